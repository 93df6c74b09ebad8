from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pyclipper
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import bisect
from shapely import LineString, Polygon, distance, hausdorff_distance
from shapely import points as shapely_points

import zoo
from drafting.curve import Cubic, Line, Segment, monotone_root
from drafting.errors import GeometryError
from drafting.point import Motion, Point, Vector
from quick import quick

THERE_AND_BACK = Cubic(
    Point(0.001, 128.223), *[Point(-3.3229684581367147, 220.2319777939594)] * 2, Point(0.001, 128.223)
)
TOLERANCES = [3.0, 1.0, 0.1, 0.01, 0.001]


def array(points: list[Point]) -> NDArray[np.float64]:
    return np.array([(point.x, point.y) for point in points])


def flat(segment: Segment, tolerance: float) -> NDArray[np.float64]:
    return array([segment.start, *segment.flat(tolerance)])


# Length


@given(zoo.gentle_cubics)
def test_length_agrees_with_svgpathtools(curve: Cubic) -> None:
    # Source: svgpathtools.CubicBezier.length.
    assert curve.length() == pytest.approx(zoo.as_svg(curve).length(error=1e-11), abs=2e-9)


@given(zoo.gentle_cubics)
def test_length_agrees_with_scipy(curve: Cubic) -> None:
    # Source: scipy.integrate.quad (QUADPACK).
    speed = zoo.as_svg(curve).derivative
    assert curve.length() == pytest.approx(quad(lambda t: abs(speed(t)), 0, 1, epsabs=1e-11)[0], abs=2e-9)


@given(zoo.cubics())
@example(THERE_AND_BACK)
def test_length_agrees_with_graded_panels_on_any_cubic(curve: Cubic) -> None:
    # Source: numpy's polynomial roots and Gauss-Legendre nodes, on panels that shrink towards wherever the curve is
    # slowest. The tolerance is the reference's: its roots are only good to 1e-5 where three of them nearly coincide.
    dx, dy = (np.polynomial.Polynomial(c).deriv() for c in zoo.coefficients(curve))
    gaining = (dx * dx + dy * dy).deriv()
    # A leading coefficient that is rounding alone, as where a curve runs out and straight back, has a root so far away
    # that the others are lost beside it.
    gaining = gaining.trim(1e-11 * np.abs(gaining.coef).max())
    slow = [root.real for root in gaining.roots() if 0 < root.real < 1]
    grading = 2.0 ** -np.arange(1, 50)
    panels = np.unique(
        np.concatenate(
            [[a, b, *(a + (b - a) * grading), *(b - (b - a) * grading)] for a, b in pairwise(sorted([0, *slow, 1]))]
        )
    )
    nodes, weights = np.polynomial.legendre.leggauss(24)
    half = np.diff(panels)[:, None] / 2
    t = panels[:-1, None] + half * (1 + nodes)
    assert curve.length() == pytest.approx((np.hypot(dx(t), dy(t)) * weights * half).sum(), abs=1e-6)


@pytest.mark.parametrize("steepness", [1e-4, 0.01, 0.5])
def test_length_of_a_parabola_in_closed_form(steepness: float) -> None:
    # Source: the arc length of y = k x^2, integral of sqrt(1 + 4 k^2 x^2): any table of integrals, from memory.
    k, w = steepness, 120.0
    true = w / 2 * math.sqrt(1 + 4 * k * k * w * w) + math.asinh(2 * k * w) / (4 * k)
    assert zoo.parabola(w, k).length() == pytest.approx(true, abs=1e-9)


def test_length_of_a_straight_cubic_is_its_chord() -> None:
    assert Cubic(Point(0, 0), Point(1, 2), Point(20, 40), Point(30, 60)).length() == pytest.approx(math.hypot(30, 60))


def test_length_past_a_cusp() -> None:
    # The two halves of this symmetric cusp are as long as each other; its speed falls to zero at t = 0.5.
    curve = Cubic(Point(0, 0), Point(100, 100), Point(0, 100), Point(100, 0))
    result = quad(lambda t: curve.derivative(t).length, 0, 0.5, epsabs=1e-12)  # source: scipy.integrate.quad
    assert curve.length() == pytest.approx(2 * result[0], abs=1e-9)


def test_length_of_a_curve_that_turns_straight_back_near_its_middle() -> None:
    # Quadratures of several orders agree on a wrong length here. Source: the farthest point, by numpy's polynomials.
    curve = Cubic(Point(0, 0), Point(1, 0), Point(1.005, 0), Point(0.005, 0))
    x = np.polynomial.Polynomial([0, 3, 3 * (1.005 - 2), 0.005 - 3 * 1.005 + 3])
    farthest = max(x(root.real) for root in x.deriv().roots() if 0 < root.real < 1)
    assert curve.length() == pytest.approx(2 * farthest - 0.005, abs=1e-9)


def test_length_of_a_huge_curve_does_not_halve_for_ever() -> None:
    small, huge = zoo.quarter_circle(1), zoo.quarter_circle(1e12)
    assert huge.length() == pytest.approx(1e12 * small.length(), rel=1e-11)


@given(zoo.cubics(), st.floats(0, 1))
def test_t_at_length_leaves_that_length_behind(curve: Cubic, share: float) -> None:
    t = curve.t_at_length(share * curve.length())
    assert curve.length_before(t) == pytest.approx(share * curve.length(), abs=1e-9)


@given(zoo.gentle_cubics, zoo.numbers(0.01, 0.99))
def test_t_at_length_agrees_with_svgpathtools(curve: Cubic, share: float) -> None:
    # Source: svgpathtools.CubicBezier.ilength.
    length = share * curve.length()
    other = zoo.as_svg(curve).ilength(length, s_tol=1e-10, error=1e-11)
    assert curve.t_at_length(length) == pytest.approx(other, abs=1e-8)


def test_t_at_length_beyond_the_ends_is_an_end() -> None:
    curve = zoo.quarter_circle(50)
    assert (curve.t_at_length(-1), curve.t_at_length(0)) == (0, 0)
    assert (curve.t_at_length(curve.length()), curve.t_at_length(1e9)) == (1, 1)


# Points and directions


@given(zoo.cubics(), st.floats(0, 1))
def test_points_agree_with_svgpathtools(curve: Cubic, t: float) -> None:
    # Source: svgpathtools.CubicBezier.point and .derivative.
    point, first = curve.point(t), curve.derivative(t)
    assert complex(point.x, point.y) == pytest.approx(zoo.as_svg(curve).point(t), abs=1e-9)
    assert complex(first.x, first.y) == pytest.approx(zoo.as_svg(curve).derivative(t), abs=1e-8)


@given(zoo.gentle_cubics, zoo.numbers(0.01, 0.99))
def test_tangent_and_curvature_agree_with_svgpathtools(curve: Cubic, t: float) -> None:
    # Source: svgpathtools.CubicBezier.unit_tangent and .curvature, which has no sign.
    tangent = curve.tangent(t)
    assert complex(tangent.x, tangent.y) == pytest.approx(zoo.as_svg(curve).unit_tangent(t), abs=1e-9)
    assert abs(curve.curvature(t)) == pytest.approx(zoo.as_svg(curve).curvature(t), abs=1e-9)


@given(zoo.gentle_cubics, zoo.numbers(0.01, 0.99))
def test_tangent_is_the_numeric_derivative(curve: Cubic, t: float) -> None:
    # Source: the central difference quotient.
    step = 1e-5
    before, after = curve.point(t - step), curve.point(t + step)
    numeric = cmath.phase(complex(after.x - before.x, after.y - before.y))
    tangent = curve.tangent(t)
    assert math.remainder(cmath.phase(complex(tangent.x, tangent.y)) - numeric, math.tau) == pytest.approx(0, abs=1e-6)


def test_curvature_is_positive_to_the_left() -> None:
    left = zoo.quarter_circle(80)  # counter-clockwise
    assert left.curvature(0.5) == pytest.approx(1 / 80, rel=0.01)
    assert left.reversed().curvature(0.5) == pytest.approx(-1 / 80, rel=0.01)


# Splitting, reversing, moving


@given(zoo.cubics(), zoo.numbers(0.05, 0.95), st.floats(0, 1))
def test_the_parts_of_a_split_are_the_curve(curve: Cubic, where: float, t: float) -> None:
    before, after = curve.split(where)
    assert before.end == after.start
    assert before.point(t).isclose(curve.point(t * where), tolerance=1e-9)
    assert after.point(t).isclose(curve.point(where + t * (1 - where)), tolerance=1e-9)
    assert before.length() + after.length() == pytest.approx(curve.length(), abs=3e-9)


@given(zoo.cubics(), st.floats(0, 1))
def test_reversed_runs_the_other_way(curve: Cubic, t: float) -> None:
    assert curve.reversed().point(t).isclose(curve.point(1 - t), tolerance=1e-9)
    assert curve.reversed().length() == pytest.approx(curve.length(), abs=2e-9)
    assert curve.reversed().reversed() == curve


@given(zoo.cubics(), zoo.motions(), st.floats(0, 1))
def test_a_moved_curve_keeps_its_length(curve: Cubic, motion: Motion, t: float) -> None:
    assert curve.moved(motion).point(t).isclose(motion(curve.point(t)), tolerance=1e-9)
    assert curve.moved(motion).length() == pytest.approx(curve.length(), abs=2e-9)


@given(zoo.gentle_cubics, zoo.motions())
def test_a_curve_mapped_point_by_point_is_the_curve_moved(curve: Cubic, motion: Motion) -> None:
    assert curve.mapped(motion) == curve.moved(motion)
    assert Line(curve.start, curve.end).mapped(motion) == Line(motion(curve.start), motion(curve.end))


@given(zoo.gentle_cubics)
def test_from_another_start_a_curve_leaves_the_same_way(curve: Cubic) -> None:
    start = curve.start + Vector(1e-6, -2e-6)
    from_there = curve.starting_at(start)
    assert from_there.points()[::3] == (start, curve.end)
    assert from_there.derivative(0).dot(curve.derivative(0)) == pytest.approx(curve.derivative(0).length ** 2)
    assert from_there.derivative(1) == curve.derivative(1)
    assert Line(*curve.points()[::3]).starting_at(start).points() == (start, curve.end)


# Flattening


@pytest.mark.parametrize("tolerance", TOLERANCES)
@given(curve=zoo.cubics())
def test_a_flattened_curve_stays_within_tolerance(tolerance: float, curve: Cubic) -> None:
    # Source: shapely's distance from points of the true curve to the polyline.
    gaps = distance(shapely_points(zoo.dense(curve)), LineString(flat(curve, tolerance)))
    assert gaps.max() <= tolerance


@pytest.mark.parametrize("tolerance", TOLERANCES)
@pytest.mark.parametrize("radius", [10, 300])
def test_a_flattened_quarter_circle_stays_within_tolerance_of_the_circle(tolerance: float, radius: float) -> None:
    # Source: the radial error of the usual cubic quarter circle, 2.73e-4 of the radius (Goldapp 1991, from memory).
    polyline = LineString(flat(zoo.quarter_circle(radius), tolerance)).segmentize(radius / 1000)
    radii = np.hypot(*np.array(polyline.coords).T)
    assert radii.max() <= radius * (1 + 2.73e-4)
    assert radii.min() >= radius - tolerance


@pytest.mark.parametrize("tolerance", TOLERANCES)
def test_a_flattened_parabola_is_as_far_off_as_its_chords_say(tolerance: float) -> None:
    # Source: a chord of y = k x^2 over a width h lies k h^2 / 4 above it at most (elementary, by differentiation).
    polyline = flat(zoo.parabola(200, 0.01), tolerance)
    widest = np.diff(polyline[:, 0]).max()
    assert 0.01 * widest**2 / 4 <= tolerance * (1 + 1e-12)
    assert len(polyline) <= math.sqrt(0.01 * 200**2 / 4 / tolerance) + 2, "no more points than the tolerance needs"


def test_the_flattening_check_can_fail() -> None:
    curve = zoo.quarter_circle(100)
    gaps = distance(shapely_points(zoo.dense(curve)), LineString(flat(curve, 1.0)))
    assert gaps.max() > 0.1


# Heights


@given(zoo.cubics(), zoo.numbers(-600, 600))
def test_heights_agree_with_numpy_roots(curve: Cubic, y: float) -> None:
    # Source: numpy.roots, the eigenvalues of the companion matrix.
    a, b, c, d = (point.y for point in (curve.start, curve.control1, curve.control2, curve.end))
    roots = np.roots([d - 3 * c + 3 * b - a, 3 * (c - 2 * b + a), 3 * (b - a), a - y])
    steep = [abs(curve.derivative(root.real).y) > 1 for root in roots]
    assume(all(steep) and all(abs(abs(root.real - 0.5) - 0.5) > 1e-6 for root in roots))
    true = sorted(root.real for root in roots if abs(root.imag) < 1e-6 and 0 < root.real < 1)
    assert curve.heights(y) == pytest.approx(true, abs=1e-9)


@given(zoo.cubics(), st.floats(0, 1))
def test_every_point_is_found_at_its_own_height(curve: Cubic, t: float) -> None:
    point = curve.point(t)
    assume(abs(curve.derivative(t).y) > 1)
    assert min(abs(found - t) for found in curve.heights(point.y)) < 1e-8


def test_heights_of_an_end_finds_the_inner_crossing_too() -> None:
    wave = Cubic(Point(0, 0), Point(30, 90), Point(60, -90), Point(90, 0))
    assert wave.heights(0) == pytest.approx([0, 0.5, 1])


def test_heights_of_an_end_met_but_for_rounding_is_that_end() -> None:
    level_at_end = Cubic(Point(0, 0), Point(0, 40), Point(20, 60), Point(80, 60))
    assert level_at_end.heights(60 - 1e-12) == [1]
    assert level_at_end.heights(60 + 1e-12) == [1]
    assert level_at_end.reversed().heights(60 + 1e-12) == [0]
    assert Line(Point(0, 0), Point(1, 60)).heights(60 + 1e-12) == [1]


def test_a_level_curve_has_no_heights() -> None:
    assert Cubic(Point(0, 5), Point(1, 5), Point(2, 5), Point(3, 5)).heights(5) == []
    assert Line(Point(0, 5), Point(3, 5)).heights(5) == []


def test_a_touched_height_counts_once() -> None:
    hill = Cubic(Point(0, 0), Point(0, 40), Point(60, 40), Point(60, 0))
    assert hill.heights(30) == pytest.approx([0.5])
    assert hill.heights(30.001) == []


# Bounds and the nearest place


@given(zoo.cubics())
def test_bounds_are_those_of_the_true_curve(curve: Cubic) -> None:
    # Source: svgpathtools.CubicBezier.bbox.
    left, right, bottom, top = zoo.as_svg(curve).bbox()
    assert curve.bounds() == pytest.approx((left, bottom, right, top), abs=1e-6)
    true = zoo.dense(curve)
    assert np.all(true.min(axis=0) >= np.array(curve.bounds()[:2]) - 1e-9)
    assert np.all(true.max(axis=0) <= np.array(curve.bounds()[2:]) + 1e-9)


@given(zoo.gentle_cubics, zoo.points)
def test_nearest_is_nowhere_beaten_on_a_gentle_curve(curve: Cubic, point: Point) -> None:
    # Source: brute force along the true curve.
    gap = curve.point(curve.nearest(point)).distance(point)
    assert gap <= np.hypot(*(zoo.dense(curve) - [point.x, point.y]).T).min() + 1e-9


# Parallel curves


def parallel_gaps(curve: Cubic, parts: list[Segment], by: float) -> NDArray[np.float64]:
    """How far points of a parallel curve are from lying `by` mm from the true curve."""
    places = np.vstack([zoo.dense(part, 200) for part in parts])
    return np.abs(distance(shapely_points(places), LineString(zoo.dense(curve, 8000))) - abs(by))


distances = st.one_of(zoo.numbers(-25, -2), zoo.numbers(2, 25))


def drawable(curve: Cubic, by: float) -> bool:
    return bool((zoo.bends(curve) * by).max() < 0.9)


@pytest.mark.parametrize("tolerance", quick([0.3, 0.01, 0.0005], lambda tolerance: tolerance > 0.001))
@settings(max_examples=40)
@given(curve=zoo.gentle_cubics, by=distances)
def test_a_parallel_curve_lies_at_its_distance(tolerance: float, curve: Cubic, by: float) -> None:
    # Source: shapely's distance to the densely drawn curve, whose chords are less than 1e-5 mm off.
    assume(drawable(curve, by))
    assert parallel_gaps(curve, curve.offset(by, tolerance), by).max() <= tolerance + 1e-5


def test_the_check_of_a_parallel_curve_can_fail() -> None:
    curve = zoo.quarter_circle(100)
    shifted = [part.moved(Motion(e=0.02)) for part in curve.offset(10)]
    assert parallel_gaps(curve, curve.offset(10), 10).max() <= 0.01
    assert parallel_gaps(curve, shifted, 10).max() > 0.01


@given(zoo.gentle_cubics, distances)
def test_a_parallel_curve_keeps_ends_directions_and_side(curve: Cubic, by: float) -> None:
    assume(drawable(curve, by))
    parts = curve.offset(by)
    for part, of in ((parts[0].start, 0.0), (parts[-1].end, 1.0)):
        assert part.isclose(curve.point(of) + curve.tangent(of).left() * by, tolerance=1e-9)
    assert parts[0].tangent(0).cross(curve.tangent(0)) == pytest.approx(0, abs=1e-9)
    assert parts[-1].tangent(1).cross(curve.tangent(1)) == pytest.approx(0, abs=1e-9)
    for before, after in pairwise(parts):
        assert before.end.isclose(after.start, tolerance=1e-9)


@given(zoo.gentle_cubics, distances)
def test_a_parallel_curve_is_longer_by_what_the_curve_turns(curve: Cubic, by: float) -> None:
    # Source: Steiner's formula for parallel curves, L - d * (turning to the left); from memory.
    assume(drawable(curve, by))
    first, last = curve.tangent(0), curve.tangent(1)
    turning = math.atan2(first.cross(last), first.dot(last))
    length = sum(part.length() for part in curve.offset(by, 1e-4))
    assert length == pytest.approx(curve.length() - by * turning, abs=1e-3)


def strip(curve: Cubic, width: float) -> Polygon:
    """The ground within `width` mm either side of a curve, cut off square at its ends, from our parallels."""
    left = np.vstack([flat(part, 0.001) for part in curve.offset(width)])
    right = np.vstack([flat(part, 0.001) for part in curve.offset(-width)])
    return Polygon(np.vstack([left, right[::-1]]))


def clipper_strip(curve: Cubic, width: float) -> Polygon:
    scale = 1e8  # Clipper counts in whole numbers: a coarse grid would turn the short chords, and with them the ends
    offsetter = pyclipper.PyclipperOffset(arc_tolerance=0.001 * scale)
    line = np.round(zoo.dense(curve, 1000, fine_ends=True) * scale).astype(int).tolist()
    offsetter.AddPath(line, pyclipper.JT_ROUND, pyclipper.ET_OPENBUTT)
    (outline,) = offsetter.Execute(width * scale)
    return Polygon(np.array(outline) / scale)


@settings(max_examples=40)
@given(zoo.gentle_cubics, zoo.numbers(2, 25))
def test_parallel_curves_agree_with_clipper(curve: Cubic, width: float) -> None:
    # Source: the Clipper library's open-path offset, by pyclipper.
    assume(drawable(curve, width) and drawable(curve, -width))
    ours, theirs = strip(curve, width).exterior, clipper_strip(curve, width).exterior
    assert hausdorff_distance(ours.segmentize(0.5), theirs.segmentize(0.5)) <= 0.01 + 0.004


@given(zoo.gentle_cubics, zoo.numbers(2, 25))
def test_parallel_curves_agree_with_shapely(curve: Cubic, width: float) -> None:
    # Source: GEOS by shapely.buffer, which itself simplifies its input by up to 1 % of the distance.
    assume(drawable(curve, width) and drawable(curve, -width))
    theirs = LineString(zoo.dense(curve, 1000)).buffer(width, cap_style="flat", quad_segs=64).exterior
    ours = strip(curve, width).exterior
    assert hausdorff_distance(ours.segmentize(0.5), theirs.segmentize(0.5)) <= 0.01 + 0.01 * width + 0.02


@given(zoo.gentle_cubics, distances)
def test_a_curve_that_bends_tighter_than_the_distance_is_refused(curve: Cubic, by: float) -> None:
    # Source: a parallel curve has a cusp where the distance is the radius of curvature (do Carmo, 1-5; from memory).
    tightest = float((zoo.bends(curve) * by).max())
    if tightest > 1.05:
        with pytest.raises(GeometryError, match="bends tighter"):
            curve.offset(by)
    elif tightest < 0.95:
        assert curve.offset(by)


def test_a_tight_bend_between_the_ends_and_the_middle_is_refused() -> None:
    hook = Cubic(Point(0, 0), Point(120, 0), Point(112, 14), Point(30, 40))
    assert (zoo.bends(hook) * 15).max() > 1.5
    with pytest.raises(GeometryError, match="bends tighter than 15"):
        hook.offset(15)
    assert parallel_gaps(hook, hook.offset(-15), 15).max() <= 0.01


@pytest.mark.parametrize("bump", [0, 1e-9, 1e-6, 1e-3])
def test_the_parallel_of_a_nearly_straight_curve_is_one_segment(bump: float) -> None:
    straight = Cubic(Point(0, 0), Point(50, bump), Point(200, -bump), Point(300, 0))
    (part,) = straight.offset(10)
    assert part.start.isclose(Point(0, 10), tolerance=1e-3)
    assert parallel_gaps(straight, [part], 10).max() <= 0.01


def test_a_line_is_moved_to_the_left_of_travel() -> None:
    assert Line(Point(0, 0), Point(50, 0)).offset(10) == [Line(Point(0, 10), Point(50, 10))]


# What cannot be drawn


def test_a_line_without_length_is_refused() -> None:
    with pytest.raises(GeometryError, match=r"line at \(3.00, 4.00\) mm has no length"):
        Line(Point(3, 4), Point(3, 4))


@pytest.mark.parametrize(
    "places",
    [
        (Point(0, 0), Point(0, 0), Point(5, 5), Point(9, 0)),
        (Point(0, 0), Point(5, 5), Point(9, 0), Point(9, 0)),
    ],
)
def test_a_handle_without_length_is_refused(places: tuple[Point, Point, Point, Point]) -> None:
    with pytest.raises(GeometryError, match="handle of no length"):
        Cubic(*places)


def test_there_is_no_direction_at_a_cusp() -> None:
    cusp = Cubic(Point(0, 0), Point(100, 100), Point(0, 100), Point(100, 0))
    for ask in (cusp.tangent, cusp.curvature):
        with pytest.raises(GeometryError, match=r"cusp at \(50.00, 75.00\)"):
            ask(0.5)
    with pytest.raises(GeometryError, match="bends tighter"):
        cusp.offset(5)
    with pytest.raises(GeometryError, match="handle of no length"):
        cusp.split(0.5)


# Roots


@pytest.mark.parametrize(
    "function",
    [
        lambda x: x**3 - 2,
        lambda x: (x - 0.3) ** 9,
        lambda x: math.tanh(50 * (x - 1.7)),
        lambda x: 1 - math.exp(x - 1e-3),
        lambda x: math.copysign(math.sqrt(abs(x - 1)), x - 1),
    ],
)
def test_roots_agree_with_scipy(function: Callable[[float], float]) -> None:
    # Source: scipy.optimize.bisect.
    calls = 0

    def counted(x: float) -> float:
        nonlocal calls
        calls += 1
        return function(x)

    assert monotone_root(counted, 0, 2) == pytest.approx(bisect(function, 0, 2, xtol=1e-13), abs=1e-12)
    assert calls < 70


@given(zoo.numbers(-3, 3), zoo.numbers(0.001, 5), zoo.numbers(-50, 50))
def test_a_root_is_found_whatever_the_slope(cube: float, slope: float, place: float) -> None:
    found = monotone_root(lambda x: abs(cube) * (x - place) ** 3 + slope * (x - place), -100, 100)
    assert found == pytest.approx(place, abs=1e-10)


def test_no_root_without_a_change_of_sign() -> None:
    with pytest.raises(GeometryError, match="no crossing between 0 and 1"):
        monotone_root(lambda x: x + 1, 0, 1)
    with pytest.raises(GeometryError, match="no crossing"):
        monotone_root(lambda x: math.nan, 0, 1)


def test_a_root_at_an_end_is_that_end() -> None:
    assert monotone_root(lambda x: x, 0, 1) == 0
    assert monotone_root(lambda x: x - 1, 0, 1) == 1
