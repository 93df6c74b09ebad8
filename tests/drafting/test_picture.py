from __future__ import annotations

import math

import pytest
import shapely

from drafting.picture import Caption, Label, Picture, Scale, arrow, circle, ellipse, line, measure, ribbon, row, smooth
from drafting.point import Point, Vector
from drafting.role import Role


def test_a_circle_is_round_and_as_long_as_it_should_be():
    ring = circle(Point(3, 4), 10)
    assert ring.length == pytest.approx(2 * math.pi * 10, rel=3e-4)
    for i in range(40):
        assert ring.point_at(ring.length * i / 40).distance(Point(3, 4)) == pytest.approx(10, rel=3e-4)


def test_a_smooth_curve_passes_its_points_without_a_corner():
    points = [Point(0, 0), Point(10, 4), Point(12, 20), Point(0, 30)]
    for closed in (False, True):
        path = smooth(points, closed=closed)
        for point in points:
            assert path.point_at(path.distance_of(point)).distance(point) < 1e-6
        for before, after in zip(path.segments, path.segments[1:], strict=False):
            assert before.tangent(1).cross(after.tangent(0)) == pytest.approx(0, abs=1e-9)


def test_an_ellipse_has_its_half_axes():
    assert ellipse(Point(3, 4), 5, 2).bounds == pytest.approx((-2, 2, 8, 6))


def test_a_ribbon_is_as_thick_as_it_should_be():
    """Area of a straight band; shapely as the reference."""
    fill, _ = ribbon([Point(0, 0), Point(0, 10), Point(0, 20)], 0.9, Role.CLOTH)
    assert shapely.Polygon(fill.path.array()).area == pytest.approx(18)


def test_arrows_and_measures_end_where_they_should():
    shaft, head = arrow(Point(0, 0), Point(0, 10))
    assert head.filled
    assert head.path.bounds[3] == 10
    assert shaft.path.end.y < 10
    dimension, *ticks = measure(Point(0, 0), Point(8, 0))
    assert dimension.path.length == 8
    assert len(ticks) == 2


def test_pictures_in_a_row_keep_apart():
    square = Picture((line(Role.NOW, Point(0, 0), Point(10, 10)),))
    assert row([square, square], gap=4).bounds == pytest.approx((0, 0, 24, 10))


def test_what_belongs_to_a_picture_moves_with_it():
    one = Picture(
        (line(Role.NOW, Point(0, 0), Point(10, 0)),), (Caption(Point(1, 0), "a"),), (Label(Point(2, 0), "b"),)
    )
    moved = one.moved(Vector(5, 7))
    assert moved.bounds == (5, 7, 15, 7)
    assert (moved.captions[0].at, moved.labels[0].at) == (Point(6, 7), Point(7, 7))
    both = moved.over(one)
    assert (both.traces[-1], both.captions[0], both.labels[0]) == (moved.traces[0], one.captions[0], one.labels[0])


def test_a_scale_keeps_curves_true():
    to = Scale(0.5, Vector(1, 2), across=-1.0)
    round_ = ellipse(Point(0, 0), 10, 10)
    assert to.path(round_).length == pytest.approx(math.pi * 10, rel=1e-3)
    assert to(Point(4, 4)) == Point(-1, 4)
