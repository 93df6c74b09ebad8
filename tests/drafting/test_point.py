from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point as ShapelyPoint
from shapely.affinity import affine_transform

import zoo
from drafting.errors import GeometryError
from drafting.point import Motion, Point, Vector


def as_complex(vector: Vector) -> complex:
    return complex(vector.x, vector.y)


@given(zoo.vectors, zoo.vectors)
def test_vectors_agree_with_complex_numbers(one: Vector, two: Vector) -> None:
    # Source: Python's complex arithmetic.
    product = as_complex(one).conjugate() * as_complex(two)
    assert one.dot(two) == pytest.approx(product.real)
    assert one.cross(two) == pytest.approx(product.imag)
    assert as_complex(one.left()) == as_complex(one) * 1j
    assert as_complex(one.right()) == as_complex(one) * -1j
    assert as_complex(one + two) == as_complex(one) + as_complex(two)
    assert as_complex(one - two) == as_complex(one) - as_complex(two)
    assert as_complex(2 * -one) == -2 * as_complex(one)
    assert one.length == pytest.approx(abs(as_complex(one)))


@given(zoo.numbers(-360, 360))
def test_a_vector_at_an_angle_is_the_unit_complex_number(degrees: float) -> None:
    # Source: Python's cmath.rect.
    assert as_complex(Vector.at_angle(degrees)) == pytest.approx(cmath.rect(1, math.radians(degrees)))


def test_unit_vector_of_a_tiny_vector_is_still_a_unit() -> None:
    assert Vector(3e-310, 4e-310).unit().length == pytest.approx(1)


def test_no_direction_in_a_vector_of_no_length() -> None:
    with pytest.raises(GeometryError, match="no direction"):
        Vector(0, 0).unit()


def test_the_difference_of_two_points_is_a_vector_and_of_a_point_and_a_vector_a_point() -> None:
    assert Point(5, 7) - Point(1, 2) == Vector(4, 5)
    assert Point(5, 7) - Vector(1, 2) == Point(4, 5)


@given(zoo.points, zoo.points, zoo.numbers(0, 1))
def test_a_point_between_two_divides_their_distance(a: Point, b: Point, share: float) -> None:
    between = a.toward(b, share)
    assert a.distance(between) == pytest.approx(share * a.distance(b), abs=1e-9)
    assert between.distance(b) == pytest.approx((1 - share) * a.distance(b), abs=1e-9)
    assert (a + (b - a)).isclose(b, tolerance=1e-9)


@given(zoo.motions(), zoo.points)
def test_motions_agree_with_shapely(motion: Motion, point: Point) -> None:
    # Source: shapely.affinity.affine_transform, whose matrix is [a, b, d, e, xoff, yoff] by rows.
    matrix = [motion.a, motion.c, motion.b, motion.d, motion.e, motion.f]
    other = affine_transform(ShapelyPoint(point.x, point.y), matrix)
    moved = motion(point)
    assert (moved.x, moved.y) == pytest.approx((other.x, other.y))


@given(zoo.motions(), zoo.motions(), zoo.points)
def test_one_motion_then_another(first: Motion, second: Motion, point: Point) -> None:
    assert first.then(second)(point).isclose(second(first(point)), tolerance=1e-9)
    assert first.then(second).mirrors == (first.mirrors != second.mirrors)


@given(zoo.motions(), zoo.points, zoo.points)
def test_motions_keep_distances(motion: Motion, a: Point, b: Point) -> None:
    assert motion(a).distance(motion(b)) == pytest.approx(a.distance(b), abs=1e-9)


@given(zoo.points)
def test_a_reflection_or_half_turn_done_twice_does_nothing(point: Point) -> None:
    for motion in (Motion.mirror_height(30), Motion.mirror_side(-20), Motion.half_turn(Point(10, 70))):
        assert motion.then(motion)(point).isclose(point, tolerance=1e-9)


def test_reflections_say_which_way() -> None:
    assert Motion.mirror_height(10)(Point(3, 4)) == Point(3, 16)
    assert Motion.mirror_side(10)(Point(3, 4)) == Point(17, 4)
    assert Motion.half_turn(Point(10, 10))(Point(3, 4)) == Point(17, 16)
    assert Motion.shift(Vector(1, 2))(Point(3, 4)) == Point(4, 6)


@given(zoo.points, st.floats(-360, 360))
def test_a_turn_keeps_the_distance_and_adds_to_the_angle(point: Point, degrees: float) -> None:
    turned = Motion.turn(degrees)(point)
    assert math.hypot(turned.x, turned.y) == pytest.approx(math.hypot(point.x, point.y), abs=1e-9)
    gained = math.atan2(turned.y, turned.x) - math.atan2(point.y, point.x) - math.radians(degrees)
    assert math.remainder(gained, math.tau) == pytest.approx(0, abs=1e-6) or math.hypot(point.x, point.y) < 1e-6


def test_quarter_turns_are_exact() -> None:
    assert Motion.turn(90)(Point(3, 4)) == Point(-4, 3)
    assert Motion.turn(-90)(Point(3, 4)) == Point(4, -3)
    assert Motion.turn(180)(Point(3, 4)) == Point(-3, -4)
