"""The hanging loop: its strip, and the mark where it is caught."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, Polygon
from shapely import Point as Spot

from blocks.short import draft_short
from blocks.short.design import LoopDesign, WaistbandDesign
from blocks.short.loop import NAME
from drafting.errors import DesignError
from drafting.piece import Mark, Piece
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


def looped(finish: str, *, split: bool = False) -> tuple[Piece, Mark]:
    """The piece that the loop is marked on, and the mark."""
    design = replace(LOOPED, waist=replace(DESIGN.waist, finish=finish))
    (piece,) = (piece for piece in draft_short(design, BODY, split=split).pieces if piece.marks)
    (mark,) = piece.marks
    return piece, mark


@pytest.mark.parametrize("split", [False, True])
@pytest.mark.parametrize("finish", ["faced", "cut-on", "waistband"])
def test_its_ends_lie_on_the_seam_at_centre_back(finish, split):
    piece, mark = looped(finish, split=split)
    name = {"faced": "waist facing", "cut-on": "leg", "waistband": "waistband"}[finish]
    assert piece.name == (f"{name} back" if split else name)
    assert mark.line.start.distance(mark.line.end) == pytest.approx(9, abs=1e-3)
    inside = Polygon(piece.cut_line.array())
    assert inside.contains(LineString(mark.line.array()))
    if finish != "cut-on":
        end = LineString(piece.edge("back end").seam.array())
        for at in (mark.line.start, mark.line.end):
            assert end.distance(Spot(at.x, at.y)) == pytest.approx(0, abs=1e-6)


def test_on_a_waistband_it_lies_on_the_inner_half_below_the_fold():
    for grain in ("across", "along"):
        design = replace(
            LOOPED, waist=replace(DESIGN.waist, finish="waistband"), waistband=WaistbandDesign(grain=grain)
        )
        (piece,) = (piece for piece in draft_short(design, BODY).pieces if piece.marks)
        (fold,), (mark,) = piece.fold_lines, piece.marks
        line = LineString([(fold.start.x, fold.start.y), (fold.end.x, fold.end.y)])
        caught = LineString(mark.line.array())
        assert caught.distance(line) == pytest.approx(3)
        under = LineString(piece.edge("turn-under").seam.array())
        assert caught.distance(under) < line.distance(under)


def test_on_a_cut_on_casing_it_lies_on_what_is_folded_inside():
    """Folded along the waist edge, the mark comes to lie on the leg's own centre back, 3 mm below the fold."""
    piece, mark = looped("cut-on")
    fold = piece.edge("waist").seam
    along = (fold.end - fold.start).unit()
    folded = []
    for point in (mark.line.start, mark.line.end):
        away = (point - fold.start).cross(along)
        assert away > 0  # outside the seam line, in the allowance
        folded.append(point + along.left() * (2 * away))
    seam = LineString(piece.edge("back crotch").seam.array(tolerance=1e-3))
    for at in folded:
        assert seam.distance(Spot(at.x, at.y)) < 0.01
    assert min(at.distance(fold.end) for at in folded) == pytest.approx(3, abs=0.01)


def test_a_loop_wider_than_the_channel_is_refused_with_the_channel_that_holds_it():
    wide = replace(LOOPED, loop=LoopDesign(kind="folded", width=20))
    low = replace(wide, waist=replace(DESIGN.waist, elastic_width=12, channel=18))
    with pytest.raises(DesignError, match=r"set waist\.channel to 23 mm at least"):
        draft_short(low, BODY)
    assert draft_short(replace(wide, waist=replace(low.waist, channel=23)), BODY).pieces


@pytest.mark.parametrize("split", [False, True])
def test_on_a_facing_it_lies_just_below_the_waist_seam(split):
    piece, mark = looped("faced", split=split)
    end, waist = (LineString(piece.edge(name).seam.array()) for name in ("back end", "waist"))
    caught = LineString(mark.line.array())
    assert caught.intersection(end.buffer(1e-6)).length < 1e-3  # both of its ends, and no more
    assert caught.distance(waist) == pytest.approx(3)
    assert Polygon(piece.seam_line.array()).buffer(1e-6).contains(caught)


def test_a_design_without_a_loop_has_none():
    assert NAME not in {piece.name for piece in draft_short(DESIGN, BODY).pieces}
