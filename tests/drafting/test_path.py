from __future__ import annotations

import math
import pickle
from itertools import pairwise

import numpy as np
import pytest
import svgpathtools
from hypothesis import assume, given, settings
from shapely import LineString, distance, hausdorff_distance, line_locate_point
from shapely import Point as ShapelyPoint
from shapely import points as shapely_points

import zoo
from drafting.curve import Cubic, Line
from drafting.errors import GeometryError
from drafting.path import JOIN_TOLERANCE, Path
from drafting.point import Motion, Point, Vector

SHARES = zoo.numbers(0, 1)


def as_svg(path: Path) -> svgpathtools.Path:
    return svgpathtools.Path(
        *(
            zoo.as_svg(segment)
            if isinstance(segment, Cubic)
            else svgpathtools.Line(complex(segment.start.x, segment.start.y), complex(segment.end.x, segment.end.y))
            for segment in path.segments
        )
    )


def same(one: Path, other: Path, *, tolerance: float = 1e-6) -> bool:
    """Two paths that run the same way along the same line."""
    return one.length == pytest.approx(other.length, abs=tolerance) and all(
        one.point_at(share * one.length).isclose(other.point_at(share * other.length), tolerance=tolerance)
        for share in (0, 0.17, 0.5, 0.83, 1)
    )


# Making


def test_a_path_needs_a_segment() -> None:
    with pytest.raises(GeometryError, match="at least one segment"):
        Path(())


@pytest.mark.parametrize("places", [(), (Point(1, 2),), (Point(1, 2), Point(1, 2 + 1e-9))])
def test_a_path_through_one_place_is_refused(places: tuple[Point, ...]) -> None:
    with pytest.raises(GeometryError, match="goes nowhere"):
        Path.through(*places)


def test_a_repeated_place_is_left_out() -> None:
    assert Path.through(Point(0, 0), Point(0, 0), Point(5, 0), Point(5, 0)).segments == (
        Line(Point(0, 0), Point(5, 0)),
    )


def test_a_gap_is_named_with_its_size_and_place() -> None:
    with pytest.raises(GeometryError, match=r"gap of 0.5000 mm at \(10.00, 0.00\)"):
        Path((Line(Point(0, 0), Point(10, 0)), Line(Point(10, 0.5), Point(20, 0))))
    with pytest.raises(GeometryError, match="gap of nan mm"):
        Path((Line(Point(0, 0), Point(10, 0)), Line(Point(math.nan, 0), Point(20, 0))))


def test_a_gap_of_rounding_is_none() -> None:
    assert Path((Line(Point(0, 0), Point(10, 0)), Line(Point(10, 1e-7), Point(20, 0)))).length == pytest.approx(20)


@given(zoo.paths, zoo.motions())
def test_joined_paths_run_one_after_another(path: Path, motion: Motion) -> None:
    moved = path.moved(motion)
    by = path.end - moved.start
    following = moved.moved(Motion.shift(by))
    both = Path.joined([path, following])
    assert both.length == pytest.approx(2 * path.length, abs=1e-6)
    assert (both.start, both.end) == (path.start, following.end)


def test_closed_means_that_the_ends_meet() -> None:
    ring = Path.through(Point(0, 0), Point(9, 0), Point(9, 9), Point(0, 0))
    assert ring.closed
    assert not Path.through(Point(0, 0), Point(9, 0), Point(9, 9), Point(0, 10 * JOIN_TOLERANCE)).closed


# Length and places


@given(zoo.smooth_paths(), zoo.numbers(0.001, 0.999))
def test_lengths_and_places_agree_with_svgpathtools(path: Path, share: float) -> None:
    # Source: svgpathtools.Path.length and .ilength.
    other = as_svg(path)
    assert path.length == pytest.approx(other.length(error=1e-11), abs=1e-8)
    place = other.point(other.ilength(share * path.length, s_tol=1e-8, error=1e-11))
    assert path.point_at(share * path.length).isclose(Point(place.real, place.imag), tolerance=1e-6)


@given(zoo.paths)
def test_length_is_that_of_a_dense_polyline(path: Path) -> None:
    # Source: shapely's length of the true curve at 20 001 places.
    assert path.length == pytest.approx(LineString(zoo.dense_path(path, 20_000)).length, rel=1e-6)


@given(zoo.smooth_paths(), SHARES)
def test_tangent_is_the_numeric_derivative_by_arc_length(path: Path, share: float) -> None:
    # Source: the central difference quotient, whose error is a sixth of its step squared times the third derivative.
    place, step = share * path.length, 1e-3
    assume(step < place < path.length - step)
    numeric = (path.point_at(place + step) - path.point_at(place - step)) * (1 / (2 * step))
    tangent = path.tangent_at(place)
    assert tangent.length == pytest.approx(1)
    assert (tangent - numeric).length < 1e-4


@given(zoo.paths)
def test_beyond_the_ends_are_the_ends(path: Path) -> None:
    assert path.point_at(-5) == path.start
    assert path.point_at(path.length + 5).isclose(path.end, tolerance=1e-9)
    assert path.start_direction == path.tangent_at(0)
    assert (path.end_direction - path.tangent_at(path.length)).length < 1e-9


def test_the_tangent_at_a_corner_is_that_of_the_segment_which_follows_whatever_the_rounding() -> None:
    corner = Path.through(Point(0, 0), Point(0.1, 0), Point(0.3, 0), Point(0.3, 5))
    for place in (0.3, 0.1 + 0.2, 0.3 - 1e-13, 0.3 + 1e-13):
        assert corner.tangent_at(place) == Vector(0, 1)


@given(zoo.smooth_paths(), SHARES)
def test_distance_of_a_place_on_the_path_is_where_it_is(path: Path, share: float) -> None:
    place = path.point_at(share * path.length)
    found = path.distance_of(place)
    assert path.point_at(found).isclose(place, tolerance=1e-6)


@given(zoo.smooth_paths(), zoo.points)
def test_distance_of_agrees_with_shapely(path: Path, point: Point) -> None:
    # Source: shapely.line_locate_point on the true curve drawn densely.
    line = LineString(zoo.dense_path(path, 4000))
    theirs = line.interpolate(line_locate_point(line, ShapelyPoint(point.x, point.y)))
    ours = path.point_at(path.distance_of(point))
    assert ours.distance(point) == pytest.approx(theirs.distance(ShapelyPoint(point.x, point.y)), abs=1e-4)


@pytest.mark.parametrize("away", [1, 40, 200])
def test_distance_of_a_place_off_the_path_is_exact_to_a_millionth(away: float) -> None:
    arc = Path((zoo.quarter_circle(300),))
    for share in (0.1, 0.37, 0.5, 0.9):
        place = share * arc.length
        off = arc.point_at(place) + arc.tangent_at(place).left() * away
        assert arc.distance_of(off) == pytest.approx(place, abs=1e-6)


# Splitting


@given(zoo.paths, zoo.numbers(0.01, 0.99))
def test_the_parts_of_a_split_joined_are_the_path(path: Path, share: float) -> None:
    before, after = path.split_at(share * path.length)
    assert before.length == pytest.approx(share * path.length, abs=2 * JOIN_TOLERANCE)
    assert before.end == after.start
    assert same(Path.joined([before, after]), path)


@given(zoo.paths, SHARES, SHARES)
def test_a_part_lies_on_the_path(path: Path, one: float, other: float) -> None:
    low, high = sorted((one * path.length, other * path.length))
    assume(high - low > 0.01)
    part = path.part(low, high)
    assert part.length == pytest.approx(high - low, abs=4 * JOIN_TOLERANCE)
    for share in (0, 0.3, 1):
        assert part.point_at(share * part.length).isclose(path.point_at(low + share * (high - low)), tolerance=1e-5)


def test_a_part_is_held_to_the_ends() -> None:
    path = Path.through(Point(0, 0), Point(10, 0), Point(10, 10))
    assert path.part(-5, 25) is path


@pytest.mark.parametrize(("low", "high"), [(5, 5), (12, 3), (-3, -1), (21, 30), (-2, 0)])
def test_an_empty_part_is_refused(low: float, high: float) -> None:
    with pytest.raises(GeometryError, match="cannot be split"):
        Path.through(Point(0, 0), Point(10, 0), Point(10, 10)).part(low, high)


@pytest.mark.parametrize("place", [-1, 0, 20, 21])
def test_a_split_outside_the_path_is_refused(place: float) -> None:
    with pytest.raises(GeometryError, match=r"20.000 mm cannot be split at"):
        Path.through(Point(0, 0), Point(10, 0), Point(10, 10)).split_at(place)


@pytest.mark.parametrize("slip", [-1e-7, -1e-12, 0, 1e-12, 1e-7])
def test_a_split_at_a_joint_leaves_no_sliver(slip: float) -> None:
    before, after = Path.through(Point(0, 0), Point(10, 0), Point(10, 10)).split_at(10 + slip)
    assert (len(before.segments), len(after.segments)) == (1, 1)


# Heights


@given(zoo.paths, zoo.numbers(-600, 600))
def test_heights_agree_with_the_crossings_of_a_dense_polyline(path: Path, y: float) -> None:
    # Source: changes of sign along the true curve drawn densely.
    true = zoo.dense_path(path, 4000)
    above = true[:, 1] - y
    assume(np.abs(above).min() > 0)
    near = np.abs(above) < 0.05  # a height almost touched without being crossed is a matter of rounding
    assume(
        not any(near[i] and (above[i] - above[i - 1]) * (above[i + 1] - above[i]) <= 0 for i in range(1, len(near) - 1))
    )
    before = np.flatnonzero(above[:-1] * above[1:] < 0)
    share = above[before] / (above[before] - above[before + 1])
    xs = true[before, 0] + share * (true[before + 1, 0] - true[before, 0])
    found = path.heights(y)
    assert [point.x for point in found] == pytest.approx(xs.tolist(), abs=0.05)
    assert all(abs(point.y - y) < 1e-8 for point in found)


def test_a_joint_at_the_height_counts_once_and_so_does_the_start_of_a_closed_path() -> None:
    up = Path.through(Point(0, 0), Point(5, 50), Point(0, 100))
    assert up.heights(50) == [Point(5, 50)]
    ring = Path.through(Point(0, 0), Point(50, 40), Point(0, 80), Point(-50, 40), Point(0, 0))
    assert ring.heights(0) == [Point(0, 0)]
    assert ring.heights(40) == [Point(50, 40), Point(-50, 40)]


def test_level_lines_have_no_height() -> None:
    assert Path.through(Point(0, 10), Point(50, 10)).heights(10) == []


@given(zoo.smooth_paths(), zoo.numbers(-600, 600))
def test_a_split_at_a_height_ends_there(path: Path, y: float) -> None:
    inner = [p for p in path.heights(y) if min(p.distance(path.start), p.distance(path.end)) > JOIN_TOLERANCE]
    if len(inner) == 1:
        before, after = path.split_at_height(y)
        assert before.end.y == pytest.approx(y, abs=1e-6)
        assert before.end.isclose(inner[0], tolerance=1e-6)
        assert same(Path.joined([before, after]), path)
    else:
        with pytest.raises(GeometryError, match=f"crosses the height .* {len(inner)} times"):
            path.split_at_height(y)


def test_a_height_met_at_an_end_but_for_rounding_is_no_inner_crossing() -> None:
    curve = Path((Cubic(Point(0, 0), Point(0, 40), Point(20, 60), Point(80, 60)),))
    for y in (60 - 1e-12, 60, 60 + 1e-12, 0, 1e-12):
        with pytest.raises(GeometryError, match="0 times"):
            curve.split_at_height(y)


def test_a_wave_that_starts_at_the_height_and_crosses_it_again_is_split_there() -> None:
    wave = Path((Cubic(Point(0, 0), Point(30, 90), Point(60, -90), Point(90, 0)),))
    assert wave.split_at_height(0)[0].end.isclose(Point(45, 0), tolerance=1e-9)


# Reversing, moving, drawing


@given(zoo.paths, SHARES)
def test_reversed_measures_from_the_other_end(path: Path, share: float) -> None:
    back = path.reversed()
    assert back.length == pytest.approx(path.length, abs=1e-8)
    place = share * path.length
    assert back.point_at(path.length - place).isclose(path.point_at(place), tolerance=1e-6)
    assert back.reversed() == path


@given(zoo.paths, zoo.motions(), SHARES)
def test_a_moved_path_keeps_every_length(path: Path, motion: Motion, share: float) -> None:
    place = share * path.length
    assert path.moved(motion).point_at(place).isclose(motion(path.point_at(place)), tolerance=1e-6)


@pytest.mark.parametrize("tolerance", [1.0, 0.05, 0.002])
@settings(max_examples=40)
@given(path=zoo.paths)
def test_a_flattened_path_stays_within_tolerance(tolerance: float, path: Path) -> None:
    # Source: shapely's Hausdorff distance of the true curve's points and the polyline.
    flat = path.array(tolerance=tolerance)
    assert tuple(flat[0]) == (path.start.x, path.start.y)
    assert tuple(flat[-1]) == (path.end.x, path.end.y)
    assert distance(shapely_points(zoo.dense_path(path, 500)), LineString(flat)).max() <= tolerance


@given(zoo.paths)
def test_bounds_are_exact(path: Path) -> None:
    # Source: svgpathtools.Path.bbox.
    left, right, bottom, top = as_svg(path).bbox()
    assert path.bounds == pytest.approx((left, bottom, right, top), abs=1e-6)


# Parallel paths


@settings(max_examples=60)
@given(zoo.smooth_paths(most=3), zoo.numbers(3, 20))
def test_a_parallel_path_lies_at_its_distance_and_agrees_with_shapely(path: Path, by: float) -> None:
    # Source: shapely's distance to the densely drawn path, which may come nearer only where it crosses itself.
    curves = [segment for segment in path.segments if isinstance(segment, Cubic)]
    assume(all((zoo.bends(curve) * by).max() < 0.95 for curve in curves))
    parallel = path.offset(by)
    true = LineString(zoo.dense_path(path, 2000))
    gaps = distance(shapely_points(zoo.dense_path(parallel, 100)), true)
    assert gaps.max() <= by + 0.0101
    assume(true.is_simple and gaps.min() > 0.9 * by)  # a path that comes back on itself has other neighbours
    assert gaps.min() >= by - 0.0101
    # Source: shapely.offset_curve, which itself simplifies its input by up to 1 % of the distance.
    theirs = true.offset_curve(by, quad_segs=64)
    ours = LineString(parallel.array(tolerance=0.001))
    assume(ours.is_simple)
    assert hausdorff_distance(ours.segmentize(0.5), theirs.segmentize(0.5)) <= 0.01 + 0.02 * by


def test_a_parallel_circle_is_a_circle() -> None:
    # Source: the radial error of the usual cubic quarter circle, 2.73e-4 of the radius (Goldapp 1991, from memory).
    quarter = zoo.quarter_circle(200)
    turns = [quarter]
    for _ in range(3):
        turns.append(turns[-1].moved(Motion(0, 1, -1, 0)))
    ring = Path(tuple(turns))
    for by, radius in ((-15, 215), (15, 185)):  # a ring that runs counter-clockwise has its inside on the left
        parallel = ring.offset(by)
        assert parallel.closed
        radii = np.hypot(*parallel.array(tolerance=0.001).T)
        assert np.abs(radii - radius).max() <= 200 * 2.73e-4 + 0.011


def test_a_parallel_path_of_a_nearly_smooth_joint_still_meets() -> None:
    turn = math.radians(0.09)
    path = Path.through(Point(0, 0), Point(100, 0), Point(100, 0) + Vector(math.cos(turn), math.sin(turn)) * 80)
    for by in (20, -20):
        parallel = path.offset(by)
        assert all(a.end == b.start for a, b in pairwise(parallel.segments))
        gaps = distance(shapely_points(zoo.dense_path(parallel, 200)), LineString(zoo.dense_path(path, 1)))
        assert np.abs(gaps - 20).max() <= 0.01


@pytest.mark.parametrize("degrees", [0.12, -5, 90, 175, 180])
def test_a_corner_is_refused(degrees: float) -> None:
    path = Path.through(Point(0, 0), Point(100, 0), Point(100, 0) + Vector.at_angle(degrees) * 80)
    with pytest.raises(GeometryError, match=r"corner at \(100.0, 0.0\) mm"):
        path.offset(10)


def test_a_flattened_path_is_kept_but_not_sent_along() -> None:
    path = Path((Cubic(Point(0, 0), Point(10, 40), Point(30, 60), Point(100, 90)),))
    bare = len(pickle.dumps(path))
    points = path.array(tolerance=0.001)
    assert path.array(tolerance=0.001) is points
    with pytest.raises(ValueError, match="read-only"):
        points[0] = 0
    assert len(pickle.dumps(path)) == bare
    assert pickle.loads(pickle.dumps(path)) == path


def test_a_place_at_a_cusp_is_found_though_it_has_no_direction() -> None:
    path = Path((Cubic(Point(0, 0), Point(10, 10), Point(0, 10), Point(10, 0)),))
    assert path.point_at(path.length / 2).isclose(Point(5, 7.5), tolerance=1e-6)
    with pytest.raises(GeometryError, match="cusp"):
        path.tangent_at(path.length / 2)
