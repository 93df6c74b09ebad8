from __future__ import annotations

from functools import cache

import pytest

from blocks.guide import OVERVIEW, WIDTH
from blocks.short.diagrams import DIAGRAMS
from blocks.short.model import Model
from blocks.short.steps import steps
from blocks.tunnel import from_fold, spare
from drafting.role import Role
from guides import WORDS, designs, made, told


@cache
def model(kind: str = "plain", fit: str = "auto") -> Model:
    return Model(made(kind, fit).garments[0], WORDS)


@pytest.mark.parametrize("fit", ["whole", "split"])
def test_diagrams_of_a_leg_are_the_same_whole_or_split(fit):
    other = "split" if fit == "whole" else "whole"
    for name in ("crease", "casings", "press", "crotch"):
        assert DIAGRAMS[name](model(fit=fit)) == DIAGRAMS[name](model(fit=other))


def test_a_diagram_changes_with_the_pieces():
    assert DIAGRAMS["crease"](model()) != DIAGRAMS["crease"](Model(made().garments[1], WORDS))


def test_the_finished_leg_is_the_flat_one_folded():
    """Height lost is twice the depth of every casing; from the pieces alone, no source needed."""
    one = model()
    flat, done = one.leg.cut_line.bounds, one.hemmed.bounds
    hem = one.short.design.allowances.hem
    assert flat[3] - flat[1] - hem - (done[3] - done[1]) == pytest.approx(2 * sum(c.depth for c in one.casings))
    assert (done[0], done[2]) == pytest.approx((flat[0], flat[2]), abs=0.7)


def test_overviews_keep_the_proportions_of_the_piece():
    one = model()
    overview, _ = DIAGRAMS["crease"](one)
    outline = next(trace for trace in overview.traces if trace.role is Role.OUTLINE and trace.path.closed)
    left, bottom, right, top = outline.path.bounds
    wide, tall = one.leg.cut_line.bounds[2] - one.leg.cut_line.bounds[0], 0.0
    tall = one.leg.cut_line.bounds[3] - one.leg.cut_line.bounds[1]
    assert right - left == pytest.approx(OVERVIEW)
    assert (top - bottom) / (right - left) == pytest.approx(tall / wide)


def test_the_stitching_of_a_fold_leaves_the_elastic_free():
    for kind in ("plain", "uneven"):
        for casing in model(kind).casings:
            assert from_fold(casing.depth, casing.elastic_width) > 0
            assert spare(casing.depth, casing.elastic_width) > 0


@pytest.mark.parametrize("kind", designs())
def test_pictures_leave_room_for_their_captions(kind):
    for name, draw in DIAGRAMS.items():
        if name in {step.name for step in steps(told(kind))}:
            for picture in draw(model(kind)):
                left, _, right, _ = picture.bounds
                assert right - left <= (OVERVIEW + 4 if picture.captions else WIDTH)
