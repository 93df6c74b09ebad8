from dataclasses import replace
from itertools import pairwise

import pytest

from drafting.errors import GeometryError
from drafting.path import Path
from drafting.piece import Mark, MarkKind
from drafting.point import Motion, Point, Vector
from test_seam import mark, panel


def test_a_moved_piece_is_moved_in_every_part():
    piece = panel("one", 200, (mark("a", "right", 30, None),))
    moved = piece.moved(Motion.shift(Vector(7, -3)))
    assert moved.cut_line.bounds == pytest.approx((-3, -13, 217, 107))
    assert moved.grainline.start == Point(12, 7)
    assert moved.notch("a").seam_point == Point(7, -3)


def test_marks_are_moved_with_their_piece():
    spot = Mark("spot", MarkKind.PLACE, "spot", Path.through(Point(1, 2), Point(3, 2)), (Point(1, 2),))
    piece = replace(panel("one", 200, ()), marks=(spot,))
    (moved,) = piece.moved(Motion.shift(Vector(7, -3))).marks
    assert moved == replace(spot, line=Path.through(Point(8, -1), Point(10, -1)), points=(Point(8, -1),))


def test_a_mark_of_nothing_is_refused():
    with pytest.raises(GeometryError, match="mark spot: it has neither a line nor a point"):
        Mark("spot", MarkKind.PLACE, "spot")


def test_a_half_turn_keeps_the_outline_counter_clockwise():
    piece = panel("one", 200, ())
    turned = piece.moved(Motion.half_turn(Point(100, 50)))
    xy = turned.seam_line.array()
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(xy)) / 2
    assert area == pytest.approx(200 * 100)


def test_a_piece_cannot_be_mirrored_when_laid_out():
    with pytest.raises(GeometryError, match="not mirrored"):
        panel("one", 200, ()).moved(Motion.mirror_side(0))


def test_an_open_outline_is_refused():
    piece = panel("one", 200, ())
    with pytest.raises(GeometryError, match="gap of 100"):
        replace(piece, edges=piece.edges[:3])


def test_names_are_used_once():
    piece = panel("one", 200, ())
    with pytest.raises(GeometryError, match="two notches are named a"):
        replace(piece, notches=(mark("a", "right", 1, None), mark("a", "left", 1, None)))
    spot = Mark("spot", MarkKind.PLACE, "spot", points=(Point(1, 2),))
    with pytest.raises(GeometryError, match="two marks are named spot"):
        replace(piece, marks=(spot, spot))
    with pytest.raises(GeometryError, match="two edges are named top"):
        replace(piece, edges=(*piece.edges[:3], replace(piece.edges[3], name="top")))
