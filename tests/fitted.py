"""A short that a fitting has changed, held to what holds of all: seams walk, casings are level, curves are fair."""

from __future__ import annotations

from itertools import pairwise

import pytest

from blocks.design import WaistFinish
from blocks.short import Short
from drafting.path import Path
from drafting.point import Point


def check_true(short: Short) -> None:
    """Every seam walks, every casing is level, the crotch curves turn one way, the waist is square to the centres."""
    leg = short.leg
    # inseams walk, mates meet, folds lie true: what every draft proves of itself
    assert leg.front_inseam.length == pytest.approx(leg.back_inseam.length, abs=0.01)
    assert short.proofs.fold < 0.05
    assert short.proofs.seam < 0.5
    # casings are level, and end at one height on both inseams
    for elastic in short.elastics.casings:
        back, front = leg.across(elastic.height)
        assert (back.y, front.y) == pytest.approx((elastic.height, elastic.height), abs=1e-9)
    # curves turn one way, without a kink
    _check_fair(leg.front_crotch)
    _check_fair(leg.back_crotch)
    # the waist is square to both centre lines, but for a fold, which is straight
    if short.design.waist.finish is WaistFinish.CUT_ON:
        return
    assert abs(leg.waist.start_direction.dot(leg.front_crotch.end_direction)) < 1e-6
    assert abs(leg.waist.end_direction.dot(leg.back_crotch.start_direction)) < 1e-6


def _check_fair(edge: Path) -> None:
    """The edge turns to one side all along: no inflection, and no corner of more than a degree between its parts."""
    for before, after in pairwise(edge.segments):
        assert abs(before.tangent(1).cross(after.tangent(0))) < 0.02
    points: list[Point] = edge.flat(tolerance=0.001)
    steps = [(b - a).unit() for a, b in pairwise(points) if b.distance(a) > 0.2]
    turns = [a.cross(b) for a, b in pairwise(steps)]
    assert max(turns) < 2e-3
