"""Items dropped onto a strip: looked at by `check_packed`, by shapely, and against what is known of areas."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.curve import Cubic, Line
from drafting.drop import ALIKE, COLUMN, SPARE, UNIT, drop_strip
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.point import Point
from drafting.strip import Item, check_packed

TURNS = st.sampled_from([(0,), (0, 2), (2,), (0, 1, 2, 3)])


def polygon(*corners: tuple[float, float]) -> Path:
    return Path.through(*(Point(*corner) for corner in corners), Point(*corners[0]))


def rectangle(width: float, height: float) -> Path:
    return polygon((0, 0), (width, 0), (width, height), (0, height))


@st.composite
def stars(draw: st.DrawFn) -> Path:
    """A polygon round a point of its own, hollow and spiky as it comes, anywhere on the plane."""
    count = draw(st.integers(3, 14))
    x, y = draw(st.floats(-900, 900)), draw(st.floats(-900, 900))
    corners = []
    for number in range(count):
        angle, far = 2 * math.pi * number / count, draw(st.floats(15, 330))
        corners.append((x + far * math.cos(angle), y + far * math.sin(angle)))
    return polygon(*corners)


@st.composite
def lenses(draw: st.DrawFn) -> Path:
    """Two curves over one another, as a crotch and a hem."""
    wide, up, down = draw(st.floats(40, 600)), draw(st.floats(-60, 300)), draw(st.floats(70, 300))
    left, right = Point(0, 0), Point(wide, draw(st.floats(-50, 50)))
    return Path(
        (
            Line(left, Point(0, -down)),
            Cubic(Point(0, -down), Point(wide / 3, -down - 40), Point(wide / 2, -down + 60), Point(wide, -down)),
            Line(Point(wide, -down), right),
            Cubic(right, Point(2 * wide / 3, up), Point(wide / 3, up), left),
        )
    )


@st.composite
def bars(draw: st.DrawFn) -> Path:
    return rectangle(draw(st.floats(5, 660)), draw(st.floats(5, 300)))


@given(
    st.lists(st.tuples(st.one_of(stars(), lenses(), bars()), st.integers(1, 3), TURNS), min_size=1, max_size=5),
    st.floats(700, 1600),
    st.sampled_from([0.0, 2.0, 30.0]),
)
@settings(max_examples=60, deadline=None)
def test_whatever_is_dropped_keeps_the_rules_and_takes_no_more_than_a_stack(shapes, width, gap):
    items = [Item(f"item {number}", *shape) for number, shape in enumerate(shapes)]
    found = drop_strip(items, width, gap=gap)
    check_packed(found, gap=gap)
    apart = [a.distance(b) for i, a in enumerate(found.polygons) for b in found.polygons[:i]]
    assert min(apart, default=gap) >= gap
    area = sum(polygon.area for polygon in found.polygons)
    tall = [max(right - left, top - bottom) for left, bottom, right, top in (one.bounds for one in found.polygons)]
    assert area / width <= found.length + UNIT
    assert found.length <= sum(tall) + (len(tall) - 1) * (gap + SPARE) + len(tall) * 0.1
    assert drop_strip(items, width, gap=gap) == found


def test_an_item_as_wide_as_the_strip_is_set_flush():
    found = drop_strip((Item("bar", rectangle(1371.3, 50), 2),), 1371.3, gap=2)
    for left, _, right, _ in (one.bounds for one in found.polygons):
        assert (left, right) == (pytest.approx(0, abs=0.002), pytest.approx(1371.3, abs=0.002))
    assert found.length == pytest.approx(102, abs=SPARE + 3 * UNIT)


def test_two_that_fit_beside_one_another_lie_so():
    half = (1370 - 2 * COLUMN) / 2
    assert drop_strip((Item("bar", rectangle(half, 50), 2),), 1370, gap=2).length == pytest.approx(50, abs=0.01)


def test_a_bulge_lies_in_a_hollow():
    hollow = Item("hollow", polygon((0, 0), (900, 0), (900, 100), (600, 100), (450, 20), (300, 100), (0, 100)))
    bulge = Item("bulge", polygon((0, 0), (150, -80), (300, 0), (300, 30), (0, 30)), turns=(0,))
    found = drop_strip((hollow, bulge), 900, gap=2)
    assert found.length <= 100 + 30 + 2 + ALIKE + COLUMN * 80 / 150
    check_packed(found, gap=2)


def test_what_may_not_turn_is_not_turned():
    wedge = polygon((0, 0), (400, 0), (0, 200))
    assert not any(copy.turn for copy in drop_strip((Item("wedge", wedge, 4, turns=(0,)),), 500).copies)
    turned = drop_strip((Item("wedge", wedge, 2),), 500)
    assert {copy.turn for copy in turned.copies} == {0, 2}
    assert turned.length < 300


def test_an_item_that_fits_only_by_a_quarter_turn_is_turned_so():
    found = drop_strip((Item("bar", rectangle(300, 30), 3, turns=(0, 1, 3)),), 200, gap=2)
    assert all(copy.turn in (1, 3) for copy in found.copies)
    assert found.length == pytest.approx(300, abs=0.02)


def test_what_is_too_wide_and_nothing_at_all_are_refused():
    with pytest.raises(GeometryError, match=r"bar: it is 201\.0 mm wide and the strip 200\.0 mm"):
        drop_strip((Item("bar", rectangle(201, 30)),), 200)
    with pytest.raises(GeometryError, match="nothing to lay out"):
        drop_strip((), 200)
