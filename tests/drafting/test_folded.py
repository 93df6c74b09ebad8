"""A flat piece is folded back by what is marked on it: to the finished heights that it was drafted from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blocks.size_range import draft_to_fit
from drafting.folded import folded_down, tucks_in
from drafting.piece import Piece
from output.commands.options import design_of
from sampled import SAMPLES, heron, heron_body


@pytest.fixture
def leg() -> Piece:
    return heron().pieces[0]


def test_tucks_lie_at_the_heights_of_their_casings(leg: Piece) -> None:
    found = {one.tuck.name: one.tuck for one in tucks_in(leg)}
    casings = {elastic.name: elastic for elastic in heron().elastics.casings}
    assert set(found) == set(casings)
    for name, elastic in casings.items():
        assert found[name].height == pytest.approx(elastic.height, abs=1e-9)
        assert found[name].depth == pytest.approx(elastic.design.depth)  # type: ignore[union-attr]


def test_a_tuck_is_stitched_across_the_finished_leg(leg: Piece) -> None:
    """The lines come from the flat piece, the outline from the finished one: the ends of the one lie on the other."""
    finished = leg.finished
    assert finished
    for one in tucks_in(leg):
        for line in (one.stitched, one.folded):
            crossed = [point.x for point in finished.heights(line.start.y)]
            assert [line.start.x, line.end.x] == pytest.approx([min(crossed), max(crossed)], abs=1e-6)
        assert one.stitched.start.y - one.folded.start.y == pytest.approx(one.tuck.depth)


def test_heights_come_down_by_twice_the_depth_of_each_tuck_below(leg: Piece) -> None:
    low, high = leg.cut_line.bounds[1], leg.cut_line.bounds[3]
    tucks = tucks_in(leg)
    taken = sum(2 * one.tuck.depth for one in tucks)
    assert folded_down([low, high], tucks) == pytest.approx([low, high - taken])
    assert folded_down([high], ()) == [high]


def test_the_fold_of_a_waistband_is_no_tuck() -> None:
    design = design_of(SAMPLES / "calf.toml")
    band = draft_to_fit(design, heron_body()).pieces[1]
    assert band.fold_lines
    assert not tucks_in(band)


def test_a_fold_without_its_stitching_is_no_tuck(leg: Piece) -> None:
    assert not tucks_in(replace(leg, stitch_lines=()))
