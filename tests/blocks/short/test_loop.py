"""The hanging loop: its strip, and the mark where it is caught."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, Polygon

from blocks.short import draft_short
from blocks.short.design import LoopDesign
from blocks.short.loop import NAME
from heron import BODY, DESIGN

LOOPED = replace(DESIGN, loop=LoopDesign(kind="folded", length=60, width=9))


def test_a_strip_folds_in_four_and_hangs_double():
    strip = draft_short(LOOPED, BODY).pieces[-1]
    assert strip.name == NAME
    left, low, right, top = strip.seam_line.bounds
    assert (right - left, top - low) == pytest.approx((4 * 9, 2 * 60))
    cut = strip.cut_line.bounds
    assert (cut[2] - cut[0], cut[3] - cut[1]) == pytest.approx((36, 120 + 2 * DESIGN.allowances.seam))
    assert strip.cut_count == 1
    assert {round(notch.seam_point.x, 6) for notch in strip.notches} == {9, 18, 27}
    # along the grain, which stretches least (common practice, no source)
    assert strip.grainline.start.x == strip.grainline.end.x


@pytest.mark.parametrize("split", [False, True])
def test_it_is_caught_at_centre_back_just_inside_the_waist(split):
    pieces = draft_short(LOOPED, BODY, split=split).pieces
    (piece,) = (piece for piece in pieces if piece.marks)
    assert piece.name == ("waist facing back" if split else "waist facing")
    (mark,) = piece.marks
    end, waist = (LineString(piece.edge(name).seam.array()) for name in ("back end", "waist"))
    caught = LineString(mark.line.array())
    assert caught.intersection(end.buffer(1e-6)).length < 1e-3  # both of its ends, and no more
    ends = [mark.line.start, mark.line.end]
    assert ends[0].distance(ends[1]) == pytest.approx(9)
    assert caught.distance(waist) == pytest.approx(3)
    assert Polygon(piece.seam_line.array()).buffer(1e-6).contains(caught)


def test_a_design_without_a_loop_has_none():
    assert NAME not in {piece.name for piece in draft_short(DESIGN, BODY).pieces}
