"""Pictures: scaled geometry in which every line says what it is, and words for places in it. They know no page.

A picture is in mm as it will be printed, y up, its origin anywhere. Whoever prints it chooses a role for each role and
sets the captions beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, pi, sin
from typing import Final

from drafting.curve import Cubic, Line
from drafting.path import Path
from drafting.piece import Notch
from drafting.point import Motion, Point, Vector
from drafting.role import Role

HANDLE: Final = 0.36
"""A smooth curve's handles over the chord that they span."""

NOTCH_DOT: Final = 0.4
"""mm; radius of a notch on a piece in miniature."""

NOWHERE: Final = Vector(0, 0)


@dataclass(frozen=True, slots=True)
class Trace:
    """A path of a picture and what it is; `filled` for an area."""

    path: Path
    role: Role
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Caption:
    """Words that name the place `at` in a picture; they will stand beside it, a line leading to the place."""

    at: Point
    text: str


@dataclass(frozen=True, slots=True)
class Label:
    """Words that stand in the picture itself, the middle of their base line at `at`."""

    at: Point
    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """Traces, the first drawn first, with captions beside them and labels among them."""

    traces: tuple[Trace, ...]
    captions: tuple[Caption, ...] = ()
    labels: tuple[Label, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the traces, of which there must be one."""
        boxes = [trace.path.bounds for trace in self.traces]
        lefts, bottoms, rights, tops = zip(*boxes, strict=True)
        return min(lefts), min(bottoms), max(rights), max(tops)

    def moved(self, by: Vector) -> Picture:
        shift = Motion.shift(by)
        return Picture(
            tuple(replace(trace, path=trace.path.moved(shift)) for trace in self.traces),
            tuple(replace(caption, at=caption.at + by) for caption in self.captions),
            tuple(replace(label, at=label.at + by) for label in self.labels),
        )

    def over(self, below: Picture) -> Picture:
        """Both in one picture, this one drawn last."""
        return Picture(below.traces + self.traces, below.captions + self.captions, below.labels + self.labels)


@dataclass(frozen=True, slots=True)
class Scale:
    """Real mm to mm on paper: `by` across and up, both mirrored where negative, then `shift`."""

    by: float
    shift: Vector = NOWHERE
    across: float = 1.0
    up: float = 1.0

    def __call__(self, point: Point) -> Point:
        return Point(point.x * self.by * self.across + self.shift.x, point.y * self.by * self.up + self.shift.y)

    def path(self, path: Path) -> Path:
        """The path on paper; exact, for a curve's handles move as its points do."""
        if self == REAL_SIZE:
            return path
        return Path(tuple(segment.mapped(self) for segment in path.segments))


REAL_SIZE: Final = Scale(1.0)


def line(role: Role, *points: Point) -> Trace:
    """Straight lines from point to point."""
    return Trace(Path.through(*points), role)


def area(role: Role, path: Path) -> Trace:
    """A closed path filled."""
    return Trace(path, role, filled=True)


def outlined(fill: Role, path: Path, role: Role = Role.OUTLINE) -> tuple[Trace, Trace]:
    """A closed path filled, and its outline."""
    return area(fill, path), Trace(path, role)


def circle(centre: Point, radius: float) -> Path:
    """Four cubics within 0.03 % of the radius (handles of 4/3 tan(pi/8), from memory)."""
    handle = 4 / 3 * 0.41421356237309503 * radius
    arcs = []
    for quarter in range(4):
        first, last = (Vector(cos(angle), sin(angle)) for angle in (quarter * pi / 2, (quarter + 1) * pi / 2))
        start, end = centre + first * radius, centre + last * radius
        arcs.append(Cubic(start, start + first.left() * handle, end + last.right() * handle, end))
    return Path(tuple(arcs))


def rectangle(left: float, bottom: float, right: float, top: float) -> Path:
    """A closed rectangle."""
    corners = (Point(left, bottom), Point(right, bottom), Point(right, top), Point(left, top), Point(left, bottom))
    return Path(tuple(Line(a, b) for a, b in pairwise(corners)))


def smooth(points: Sequence[Point], *, closed: bool = False) -> Path:
    """A curve through points, at each of them parallel to the line between its two neighbours."""
    count = len(points)

    def along(i: int) -> Vector:
        if closed:
            return (points[(i + 1) % count] - points[(i - 1) % count]).unit()
        return (points[min(i + 1, count - 1)] - points[max(i - 1, 0)]).unit()

    pairs = [(i, (i + 1) % count) for i in range(count if closed else count - 1)]
    curves = []
    for i, j in pairs:
        handle = points[i].distance(points[j]) * HANDLE
        curves.append(Cubic(points[i], points[i] + along(i) * handle, points[j] - along(j) * handle, points[j]))
    return Path(tuple(curves))


def ellipse(centre: Point, wide: float, tall: float) -> Path:
    """An oval with half axes `wide` and `tall`."""
    return Scale(1.0, centre - Point(0, 0), wide, tall).path(circle(Point(0, 0), 1.0))


def arrow(start: Point, end: Point, role: Role = Role.HAND, *, head: float = 2.0) -> tuple[Trace, Trace]:
    """A straight arrow to `end`."""
    along = (end - start).unit()
    base = end - along * head
    side = along.left() * (head * 0.35)
    return line(role, start, base), area(role, Path.through(end, base + side, base - side, end))


def measure(start: Point, end: Point, role: Role = Role.FINE) -> tuple[Trace, ...]:
    """A dimension: a line with a tick square across each end."""
    tick = (end - start).unit().left() * 0.9
    return line(role, start, end), *(line(role, at - tick, at + tick) for at in (start, end))


def notch_dots(to: Scale, notches: Iterable[Notch], role: Role = Role.DOT) -> tuple[Trace, ...]:
    """Notches where they are on the edge of a piece in miniature, in which their marks would be too small to see."""
    places = [to(notch.cut_point.toward(notch.seam_point, 0.5)) for notch in notches]
    return tuple(area(role, circle(place, NOTCH_DOT)) for place in places)


def ribbon(points: Sequence[Point], thick: float, fill: Role, role: Role = Role.FINE) -> tuple[Trace, ...]:
    """A layer of cloth or elastic seen from its end: a band of constant thickness along points."""
    left, right = [], []
    normals = [(b - a).unit().left() for a, b in pairwise(points)]
    for i, point in enumerate(points):
        before, after = normals[max(0, i - 1)], normals[min(i, len(normals) - 1)]
        across = (before + after).unit() if (before + after).length > 1e-9 else before
        stretch = 1 / max(0.35, across.dot(after))
        left.append(point + across * (thick / 2 * stretch))
        right.append(point - across * (thick / 2 * stretch))
    outline = Path.through(*left, *reversed(right), left[0])
    return outlined(fill, outline, role)


def row(pictures: Iterable[Picture], *, gap: float = 8.0) -> Picture:
    """Pictures from left to right on one base line."""
    placed: list[Picture] = []
    x = 0.0
    for picture in pictures:
        left, bottom, right, _ = picture.bounds
        placed.append(picture.moved(Vector(x - left, -bottom)))
        x += right - left + gap
    whole = placed[0]
    for after in placed[1:]:
        whole = after.over(whole)
    return whole
