from __future__ import annotations

import pytest

from blocks.drape import Drape, Level, fold_count, gathers, held, outer_edge, tucks
from drafting.errors import DesignError
from drafting.role import Role

LEVELS = (Level(300, 0, 150, 1.5, 6, "waist"), Level(280, 0, 150, 1.5, 6, "waist"), Level(0, 0, 260))
"""An elastic at the top, cloth that hangs free below it."""


def test_more_cloth_has_more_gathers_and_flat_cloth_none():
    drape = Drape(pleat=20)
    assert fold_count(300, 200, drape) == 5
    assert fold_count(400, 200, drape) == 10
    assert fold_count(200, 200, drape) == 0
    assert fold_count(180, 200, drape) == 0


def test_the_edge_passes_every_level_and_is_straight_along_an_elastic():
    edge = outer_edge(LEVELS, Drape())
    assert [(s.start.x, s.start.y) for s in edge.segments] == [(150, 300), (150, 280)]
    assert (edge.end.x, edge.end.y) == (260, 0)
    assert edge.segments[0].length() == pytest.approx(20)


def test_gathered_cloth_puffs_out_and_flat_cloth_does_not():
    free = outer_edge((Level(300, 0, 150), Level(0, 0, 150)), Drape())
    puffed = outer_edge((Level(300, 0, 150, 1.5, 6), Level(0, 0, 150, 1.5, 8)), Drape())
    assert free.bounds[2] == pytest.approx(150)
    assert puffed.bounds[2] > 160
    assert outer_edge((Level(300, 0, 150, 1.5, 6), Level(0, 0, 150, 1.5, 8)), Drape(puff=0)).bounds[2] < 151


def test_each_fold_is_drawn_along_the_elastic_and_into_the_cloth():
    drawn = gathers(LEVELS, Drape())
    assert len(drawn) == 2 * 6
    assert {trace.role for trace in drawn} == {Role.GATHER}
    assert all(trace.path.bounds[1] >= 280 - 280 * 0.42 - 1 for trace in drawn)


def test_a_tuck_is_drawn_where_an_elastic_is_held_but_not_at_the_waist():
    casing = (Level(150, 0, 180, 1.4, 4, "low"), Level(138, 0, 180, 1.4, 4, "low"))
    assert held(*casing)
    assert not held(casing[1], LEVELS[-1])
    assert not tucks(LEVELS)
    found = tucks((*LEVELS[:2], *casing, LEVELS[-1]))
    assert sum(trace.role is Role.SHADE for trace in found) == 1
    assert sum(trace.role is Role.GATHER for trace in found) == 4


def test_the_cloth_between_two_elastics_that_are_alike_is_no_tuck():
    """Two casings round one thigh have one girth, one gather and as many folds: only their names part them."""
    high = (Level(150, 0, 180, 1.4, 4, "thigh"), Level(138, 0, 180, 1.4, 4, "thigh"))
    low = (Level(90, 0, 180, 1.4, 4, "frill"), Level(78, 0, 180, 1.4, 4, "frill"))
    assert not held(high[1], low[0])
    shades = [trace for trace in tucks((*LEVELS[:2], *high, *low, LEVELS[-1])) if trace.role is Role.SHADE]
    assert [(trace.path.bounds[1], trace.path.bounds[3]) for trace in shades] == [(138, 150), (78, 90)]
    assert outer_edge((*high, *low), Drape()).bounds[2] > 180


def test_a_drape_out_of_range_is_refused():
    with pytest.raises(DesignError, match=r"drape\.pleat"):
        Drape(pleat=1)
