"""Paths: segments end to end, open or closed, in mm. A distance along a path is an arc length from its start."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from drafting.curve import FLAT_TOLERANCE, Cubic, Line, Segment
from drafting.errors import GeometryError
from drafting.point import Motion, Point, Vector

JOIN_TOLERANCE: Final = 1e-6
"""mm; two segments whose ends lie this close meet."""


@dataclass(frozen=True)
class Path:
    """One or more segments, each starting where the one before ends.

    >>> corner = Path.through(Point(0, 0), Point(30, 0), Point(30, 40))
    >>> corner.length, corner.point_at(50)
    (70.0, Point(x=30.0, y=20.0))

    Raises:
        GeometryError: no segment, or a gap between two of them.
    """

    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        if not self.segments:
            raise GeometryError("a path needs at least one segment; give one")
        for before, after in pairwise(self.segments):
            if not before.end.isclose(after.start, tolerance=JOIN_TOLERANCE):
                raise GeometryError(
                    f"a path has a gap of {before.end.distance(after.start):.4f} mm at "
                    f"({before.end.x:.2f}, {before.end.y:.2f}); its segments must meet within {JOIN_TOLERANCE} mm"
                )

    @staticmethod
    def through(*points: Point) -> Path:
        """Straight lines from point to point; a point that repeats the one before is left out."""
        kept = [points[0]]
        for point in points[1:]:
            if not point.isclose(kept[-1], tolerance=JOIN_TOLERANCE):
                kept.append(point)
        return Path(tuple(Line(a, b) for a, b in pairwise(kept)))

    @staticmethod
    def joined(paths: Iterable[Path]) -> Path:
        """One path from several that meet end to end."""
        return Path(tuple(segment for path in paths for segment in path.segments))

    @property
    def start(self) -> Point:
        return self.segments[0].start

    @property
    def end(self) -> Point:
        return self.segments[-1].end

    @property
    def closed(self) -> bool:
        return self.start.isclose(self.end, tolerance=JOIN_TOLERANCE)

    @cached_property
    def _ends(self) -> tuple[float, ...]:
        return tuple(accumulate(segment.length() for segment in self.segments))

    @property
    def length(self) -> float:
        """Arc length in mm, exact for lines and within 1e-9 mm a segment for curves."""
        return self._ends[-1]

    def _locate(self, distance: float) -> tuple[int, float]:
        """The segment and the t on it at an arc length, held to the path's two ends."""
        index = min(bisect_right(self._ends, distance), len(self.segments) - 1)
        behind = self._ends[index - 1] if index else 0.0
        t = self.segments[index].t_at_length(distance - behind)
        return index, min(1.0, max(0.0, t))

    def point_at(self, distance: float) -> Point:
        """The point `distance` mm along the path; before the start or past the end, that end."""
        index, t = self._locate(distance)
        return self.segments[index].point(t)

    def tangent_at(self, distance: float) -> Vector:
        """Unit vector along the direction of travel; at a corner, that of the segment which follows."""
        index, t = self._locate(distance)
        return self.segments[index].tangent(t)

    @property
    def start_direction(self) -> Vector:
        return self.segments[0].tangent(0.0)

    @property
    def end_direction(self) -> Vector:
        return self.segments[-1].tangent(1.0)

    def distance_of(self, point: Point) -> float:
        """Arc length to the place on the path nearest to `point`, to 1e-6 mm."""
        best, place, behind = float("inf"), 0.0, 0.0
        for segment, end in zip(self.segments, self._ends, strict=True):
            t = _nearest(segment, point)
            gap = segment.point(t).distance(point)
            if gap < best:
                part = 0.0 if t == 0 else end - behind if t == 1 else Path((segment.split(t)[0],)).length
                best, place = gap, behind + part
            behind = end
        return place

    def split_at(self, distance: float) -> tuple[Path, Path]:
        """The parts before and after `distance` mm.

        Raises:
            GeometryError: the distance is not inside the path.
        """
        if not JOIN_TOLERANCE < distance < self.length - JOIN_TOLERANCE:
            raise GeometryError(
                f"a path of {self.length:.3f} mm cannot be split at {distance:.3f} mm; "
                "the place must lie between its ends"
            )
        return self._split(*self._locate(distance))

    def _split(self, index: int, t: float) -> tuple[Path, Path]:
        before, after = list(self.segments[:index]), list(self.segments[index + 1 :])
        if t <= 1e-12:
            after.insert(0, self.segments[index])
        elif t >= 1 - 1e-12:
            before.append(self.segments[index])
        else:
            first, second = self.segments[index].split(t)
            before.append(first)
            after.insert(0, second)
        return Path(tuple(before)), Path(tuple(after))

    def part(self, start: float, end: float) -> Path:
        """The path between two arc lengths, each held to the path's ends.

        Raises:
            GeometryError: nothing is left between them.
        """
        kept = self
        if end < self.length - JOIN_TOLERANCE:
            kept = kept.split_at(end)[0]
        if start > JOIN_TOLERANCE:
            kept = kept.split_at(start)[1]
        return kept

    def heights(self, y: float) -> list[Point]:
        """The places where the path is at height `y`, in order of travel; level lines do not count."""
        found: list[Point] = []
        for segment in self.segments:
            for t in segment.heights(y):
                point = segment.point(t)
                if not found or not point.isclose(found[-1], tolerance=JOIN_TOLERANCE):
                    found.append(point)
        return found

    def split_at_height(self, y: float) -> tuple[Path, Path]:
        """The parts before and after the path's one crossing of height `y`.

        Raises:
            GeometryError: the path does not cross that height, or more than once.
        """
        places = [(index, t) for index, segment in enumerate(self.segments) for t in segment.heights(y)]
        inner = [
            (index, t)
            for index, t in places
            if not (index == 0 and t <= 1e-12) and not (index == len(self.segments) - 1 and t >= 1 - 1e-12)
        ]
        points = [self.segments[index].point(t) for index, t in inner]
        if not inner or any(not point.isclose(points[0], tolerance=1e-4) for point in points):
            raise GeometryError(
                f"an edge from ({self.start.x:.1f}, {self.start.y:.1f}) to ({self.end.x:.1f}, {self.end.y:.1f}) mm "
                f"crosses the height {y:.1f} mm {len(inner)} times; it must cross it once"
            )
        return self._split(*inner[0])

    def reversed(self) -> Path:
        return Path(tuple(segment.reversed() for segment in reversed(self.segments)))

    def moved(self, motion: Motion) -> Path:
        """The path under a rigid motion; a mirrored path keeps its direction of travel."""
        return Path(tuple(segment.moved(motion) for segment in self.segments))

    def offset(self, distance: float, *, tolerance: float = FLAT_TOLERANCE) -> Path:
        """The parallel path `distance` mm to the left of travel (right when negative), within `tolerance` mm.

        The path must be smooth: its corners are a question of sewing order, answered in `drafting.allowance`.

        Raises:
            GeometryError: a corner of more than 0.1 degrees, or a curve tighter than the distance.
        """
        for before, after in pairwise(self.segments):
            if abs(before.tangent(1).cross(after.tangent(0))) > 2e-3 or before.tangent(1).dot(after.tangent(0)) < 0:
                raise GeometryError(
                    f"an edge has a corner at ({before.end.x:.1f}, {before.end.y:.1f}) mm; "
                    "an allowance needs a smooth edge: make it two edges there"
                )
        parts = [part for segment in self.segments for part in segment.offset(distance, tolerance)]
        return Path(tuple(_closed_up(parts)))

    def flat(self, *, tolerance: float = FLAT_TOLERANCE) -> list[Point]:
        """A polyline within `tolerance` mm of the path, from its start to its end."""
        points = [self.start]
        for segment in self.segments:
            points.extend(segment.flat(tolerance))
        return points

    def array(self, *, tolerance: float = FLAT_TOLERANCE) -> NDArray[np.float64]:
        """The flattened path as an array of shape (n, 2)."""
        return np.array([(point.x, point.y) for point in self.flat(tolerance=tolerance)])

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top in mm, within the flattening tolerance."""
        points = self.flat()
        xs, ys = [point.x for point in points], [point.y for point in points]
        return min(xs), min(ys), max(xs), max(ys)


def _closed_up(parts: Sequence[Segment]) -> list[Segment]:
    """Segments whose ends differ by rounding or a nearly smooth joint, made to meet exactly."""
    joined = [parts[0]]
    for part in parts[1:]:
        start = joined[-1].end
        if part.start != start:
            part = Line(start, part.end) if isinstance(part, Line) else Cubic(start, *_rest(part, start))
        joined.append(part)
    return joined


def _rest(cubic: Cubic, start: Point) -> tuple[Point, Point, Point]:
    return cubic.control1 + (start - cubic.start), cubic.control2, cubic.end


def _nearest(segment: Segment, point: Point) -> float:
    """The t at which a segment comes nearest to a point."""
    if isinstance(segment, Line):
        along = segment.end - segment.start
        return min(1.0, max(0.0, (point - segment.start).dot(along) / along.dot(along)))
    steps = 24
    low = min(range(steps + 1), key=lambda i: segment.point(i / steps).distance(point)) / steps
    a, b = max(0.0, low - 1 / steps), min(1.0, low + 1 / steps)
    golden = (5**0.5 - 1) / 2
    for _ in range(48):
        left, right = b - golden * (b - a), a + golden * (b - a)
        if segment.point(left).distance(point) < segment.point(right).distance(point):
            b = right
        else:
            a = left
    return (a + b) / 2
