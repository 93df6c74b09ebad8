"""Paths: segments end to end, open or closed, in mm. A distance along a path is an arc length from its start."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise, starmap
from typing import Final

import numpy as np
from numpy.typing import NDArray

from drafting.curve import FLAT_TOLERANCE, Line, Segment
from drafting.errors import GeometryError
from drafting.point import Motion, Point, Vector
from drafting.sink import Sink

JOIN_TOLERANCE: Final = 1e-6
"""mm; two segments whose ends lie this close meet."""

SMOOTH_TURN: Final = math.radians(0.1)
"""rad; a joint that turns no more than this is smooth."""

_ROUNDING: Final = 1e-9  # mm


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
            if before.end is not after.start and not before.end.isclose(after.start, tolerance=JOIN_TOLERANCE):
                raise GeometryError(
                    f"a path has a gap of {before.end.distance(after.start):.4f} mm at "
                    f"({before.end.x:.2f}, {before.end.y:.2f}); its segments must meet within {JOIN_TOLERANCE} mm"
                )

    @staticmethod
    def through(*points: Point) -> Path:
        """Straight lines from point to point; a point that repeats the one before is left out.

        Raises:
            GeometryError: fewer than two points are left.
        """
        kept: list[Point] = []
        for point in points:
            if not kept or not point.isclose(kept[-1], tolerance=JOIN_TOLERANCE):
                kept.append(point)
        if len(kept) < 2:
            raise GeometryError(f"a path through {len(kept)} place goes nowhere; give two or more that differ")
        return Path(tuple(Line(a, b) for a, b in pairwise(kept)))

    @staticmethod
    def joined(paths: Iterable[Path]) -> Path:
        """One path from several that meet end to end."""
        return Path(tuple(segment for path in paths for segment in path.segments))

    def draw(self, sink: Sink) -> None:
        """Draw the path on a sink, its curves as they are."""
        sink.move_to(self.start)
        for segment in self.segments:
            segment.draw(sink)
        if self.closed:
            sink.close()

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

    def length_to(self, count: int) -> float:
        """Arc length of the first `count` segments."""
        return self._ends[count - 1] if count else 0.0

    def joint(self, count: int) -> Point:
        """The point after the first `count` segments."""
        return self.segments[count - 1].end if count else self.start

    def _locate(self, distance: float) -> tuple[int, float]:
        """The segment and the t on it at an arc length, held to the path's two ends."""
        # A length summed by the caller may miss a joint by rounding: it still means the segment that follows.
        index = min(bisect_right(self._ends, distance + _ROUNDING), len(self.segments) - 1)
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

    def place_at(self, distance: float) -> tuple[Point, Vector]:
        """Both `point_at` and `tangent_at`."""
        index, t = self._locate(distance)
        return self.segments[index].point(t), self.segments[index].tangent(t)

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
            t = segment.nearest(point)
            gap = segment.point(t).distance(point)
            if gap < best:
                best, place = gap, behind + segment.length_before(t)
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
        segment = self.segments[index]
        place = segment.point(t)
        if t < 0.5 and place.isclose(segment.start, tolerance=JOIN_TOLERANCE):
            after.insert(0, segment)
        elif t > 0.5 and place.isclose(segment.end, tolerance=JOIN_TOLERANCE):
            before.append(segment)
        else:
            first, second = segment.split(t)
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
        """The places where the path is at height `y`, in order of travel; level lines do not count.

        A closed path that starts at that height gives its start once.
        """
        found: list[Point] = []
        for segment in self.segments:
            for t in segment.heights(y):
                point = segment.point(t)
                if not found or not point.isclose(found[-1], tolerance=JOIN_TOLERANCE):
                    found.append(point)
        if len(found) > 1 and self.closed and found[-1].isclose(found[0], tolerance=JOIN_TOLERANCE):
            found.pop()
        return found

    def split_at_height(self, y: float) -> tuple[Path, Path]:
        """The parts before and after the one place inside the path at height `y`; its two ends do not count.

        Raises:
            GeometryError: the path is at that height nowhere between its ends, or more than once.
        """
        inner: list[tuple[int, float]] = []
        points: list[Point] = []
        for index, segment in enumerate(self.segments):
            for t in segment.heights(y):
                point = segment.point(t)
                if any(point.isclose(end, tolerance=JOIN_TOLERANCE) for end in (self.start, self.end)):
                    continue
                if not points or not point.isclose(points[-1], tolerance=JOIN_TOLERANCE):
                    inner.append((index, t))
                    points.append(point)
        if len(inner) != 1:
            raise GeometryError(
                f"an edge from ({self.start.x:.1f}, {self.start.y:.1f}) to ({self.end.x:.1f}, {self.end.y:.1f}) mm "
                f"crosses the height {y:.1f} mm {len(inner)} times; it must cross it once"
            )
        return self._split(*inner[0])

    def reversed(self) -> Path:
        return Path(tuple(segment.reversed() for segment in reversed(self.segments)))

    def moved(self, motion: Motion) -> Path:
        """The path under a rigid motion; a mirrored path keeps its direction of travel."""
        segments = [self.segments[0].moved(motion)]
        for before, segment in pairwise(self.segments):
            segments.append(segment.moved(motion, segments[-1].end if segment.start is before.end else None))
        return Path(tuple(segments))

    def offset(self, distance: float, *, tolerance: float = FLAT_TOLERANCE) -> Path:
        """The parallel path `distance` mm to the left of travel (right when negative), within `tolerance` mm.

        The path must be smooth: its corners are a question of sewing order, answered in `drafting.allowance`.
        A closed path is taken as one that starts and ends at its start, whose corner there is left open.

        Raises:
            GeometryError: a corner of more than 0.1 degrees, or a curve tighter than the distance.
        """
        for before, after in pairwise(self.segments):
            arriving, leaving = before.tangent(1), after.tangent(0)
            if abs(math.atan2(arriving.cross(leaving), arriving.dot(leaving))) > SMOOTH_TURN:
                raise GeometryError(
                    f"an edge has a corner at ({before.end.x:.1f}, {before.end.y:.1f}) mm; "
                    "an allowance needs a smooth edge: make it two edges there"
                )
        parts = [part for segment in self.segments for part in segment.offset(distance, tolerance)]
        return Path(tuple(_closed_up(parts)))

    def flat(self, *, tolerance: float = FLAT_TOLERANCE) -> list[Point]:
        """A polyline within `tolerance` mm of the path, from its start to its end."""
        return list(starmap(Point, self.array(tolerance=tolerance).tolist()))

    def array(self, *, tolerance: float = FLAT_TOLERANCE) -> NDArray[np.float64]:
        """The flattened path as an array of shape (n, 2); it is kept for the next caller and cannot be written to."""
        if tolerance not in self._arrays:
            points = self._flattened(tolerance)
            points.flags.writeable = False
            self._arrays[tolerance] = points
        return self._arrays[tolerance]

    @cached_property
    def _arrays(self) -> dict[float, NDArray[np.float64]]:
        return {}

    def _flattened(self, tolerance: float) -> NDArray[np.float64]:
        parts, corners = [], [(self.start.x, self.start.y)]
        for segment in self.segments:
            if isinstance(segment, Line):
                corners.append((segment.end.x, segment.end.y))
            else:
                if corners:
                    parts.append(np.array(corners))
                    corners = []
                parts.append(segment.array(tolerance))
        if corners:
            parts.append(np.array(corners))
        return parts[0] if len(parts) == 1 else np.concatenate(parts)

    def __getstate__(self) -> dict[str, object]:
        """What has been worked out is not sent to other processes along with what it was worked out from."""
        return {"segments": self.segments}

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top in mm, exact."""
        lefts, bottoms, rights, tops = zip(*(segment.bounds() for segment in self.segments), strict=True)
        return min(lefts), min(bottoms), max(rights), max(tops)


def _closed_up(parts: Sequence[Segment]) -> list[Segment]:
    """Segments whose ends differ by rounding or a nearly smooth joint, made to meet exactly."""
    joined = [parts[0]]
    for part in parts[1:]:
        start = joined[-1].end
        joined.append(part if part.start == start else part.starting_at(start))
    return joined
