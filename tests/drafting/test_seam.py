from dataclasses import replace

import pytest

from drafting.allowance import Side, with_allowances
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.piece import Grainline, Notch, NotchKind, Piece
from drafting.point import Point
from drafting.seam import walk


def panel(name, width, notches, height=100.0):
    points = [Point(0, 0), Point(width, 0), Point(width, height), Point(0, height)]
    sides = [
        Side(label, Path.through(a, b), 10)
        for label, a, b in zip(("bottom", "right", "top", "left"), points, [*points[1:], points[0]], strict=True)
    ]
    return Piece(
        name, name, "H100", "high", with_allowances(sides), Grainline(Point(5, 10), Point(5, 90)), notches=notches
    )


def mark(notch_id, edge, distance, mate):
    return Notch(notch_id, NotchKind.SINGLE, edge, distance, Point(0, 0), Point(0, 0), mate)


def test_right_sides_together_start_meets_end():
    one = panel("one", 200, (mark("a", "right", 30, "two/b"),))
    two = panel("two", 150, (mark("b", "left", 70, "one/a"),))
    result = walk(one, "right", two, "left")
    assert (result.longer, result.mate_gap, result.mates) == (0, 0, 1)


def test_a_mate_off_by_half_a_millimetre_shows():
    one = panel("one", 200, (mark("a", "right", 30.5, "two/b"),))
    two = panel("two", 150, (mark("b", "left", 70, "one/a"),), height=100.25)
    result = walk(one, "right", two, "left")
    assert result.longer == pytest.approx(-0.25)
    assert result.mate_gap == pytest.approx(0.25)


def test_an_edge_on_its_mirrored_twin():
    one = panel("one", 200, (mark("a", "right", 30, "mirror/a"), mark("loose", "right", 50, None)))
    assert walk(one, "right", one, "right", mirrored=True).mate_gap == 0
    assert walk(one, "right", one, "right").mates == 0


def test_two_edges_of_one_piece():
    one = panel("one", 200, (mark("a", "right", 30, "b"), mark("b", "left", 60, "a")))
    assert walk(one, "right", one, "left").mate_gap == pytest.approx(10)


def test_mates_must_name_each_other():
    one = panel("one", 200, (mark("a", "right", 30, "two/b"),))
    two = panel("two", 150, (mark("b", "left", 70, None),))
    with pytest.raises(GeometryError, match="must name each other"):
        walk(one, "right", two, "left")


def test_mates_must_be_of_one_kind():
    """Common practice, no source: single notches are matched to single ones, double to double."""
    double = replace(mark("b", "left", 70, "one/a"), kind=NotchKind.DOUBLE)
    one, two = panel("one", 200, (mark("a", "right", 30, "two/b"),)), panel("two", 150, (double,))
    with pytest.raises(GeometryError, match="notch a is single and its mate b is double; mates must be marked alike"):
        walk(one, "right", two, "left")


def test_unknown_names_are_refused():
    one = panel("one", 200, (mark("a", "right", 30, "two/missing"),))
    with pytest.raises(GeometryError, match="no edge 'side'"):
        walk(one, "side", one, "left")
    with pytest.raises(GeometryError, match="no notch 'missing'"):
        walk(one, "right", panel("two", 150, ()), "left")


def test_a_gathered_edge_is_so_many_times_as_long():
    # By hand: 200 mm take up 1.5 x 200 = 300 mm, their middle the middle of it; a strip 2 mm long too short shows.
    one = panel("one", 200, (mark("a", "bottom", 100, "two/b"),))
    two = panel("two", 300, (mark("b", "top", 150, "one/a"),))
    result = walk(one, "bottom", two, "top", times=1.5)
    assert (result.longer, result.mate_gap, result.mates) == (0, 0, 1)
    assert walk(one, "bottom", panel("two", 298, two.notches), "top", times=1.5).longer == pytest.approx(2)


def test_several_strips_are_joined_before_they_are_gathered():
    # By hand: 3 strips of 100 mm on 200 mm at 1.5; their middles lie on 200 / 6, 200 / 2 and 200 x 5 / 6.
    middles = (200 / 6, 100.0, 200 * 5 / 6)
    two = panel("two", 100, (mark("b", "top", 50, "one/a0"),))
    one = panel("one", 200, tuple(mark(f"a{at}", "bottom", x, "two/b") for at, x in enumerate(middles)))
    result = walk(one, "bottom", two, "top", times=1.5, strips=3)
    assert (result.longer, result.mates) == (pytest.approx(0), 3)
    assert result.mate_gap == pytest.approx(0)
    aside = panel("one", 200, (*one.notches[:2], mark("a2", "bottom", middles[2] - 4, "two/b")))
    assert walk(aside, "bottom", two, "top", times=1.5, strips=3).mate_gap == pytest.approx(6)


def test_a_strip_must_name_a_notch_that_it_meets():
    one = panel("one", 200, (mark("a", "bottom", 50, "two/b"), mark("c", "bottom", 150, "two/b")))
    for named, strips in (("one/d", 2), ("one/c", 1), (None, 2)):
        with pytest.raises(GeometryError, match="must name each other"):
            walk(one, "bottom", panel("two", 100, (mark("b", "top", 50, named),)), "top", strips=strips)
