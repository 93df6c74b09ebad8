"""Segments of a path: straight lines and cubic Béziers, in mm.

Both are parametrised by t from 0 at `start` to 1 at `end`. Nothing here is sampled unless a tolerance is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from drafting.errors import GeometryError
from drafting.point import Motion, Point, Vector

FLAT_TOLERANCE: Final = 0.01
"""mm; how far a flattened or offset curve may stray from the true one unless asked otherwise."""

_LENGTH_TOLERANCE: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment. Its two ends may not coincide."""

    start: Point
    end: Point

    def length(self) -> float:
        return self.start.distance(self.end)

    def point(self, t: float) -> Point:
        return self.start.toward(self.end, t)

    def tangent(self, t: float) -> Vector:  # noqa: ARG002 - the protocol of a segment
        """Unit vector along the direction of travel."""
        return (self.end - self.start).unit()

    def t_at_length(self, length: float) -> float:
        return length / self.length()

    def split(self, t: float) -> tuple[Line, Line]:
        middle = self.point(t)
        return Line(self.start, middle), Line(middle, self.end)

    def reversed(self) -> Line:
        return Line(self.end, self.start)

    def moved(self, motion: Motion) -> Line:
        return Line(motion(self.start), motion(self.end))

    def flat(self, tolerance: float = FLAT_TOLERANCE) -> list[Point]:  # noqa: ARG002
        """The points after `start` of a polyline along the segment: here, the end."""
        return [self.end]

    def heights(self, y: float) -> list[float]:
        """The t in [0, 1] at which the segment is at height `y`; none for a level line."""
        rise = self.end.y - self.start.y
        if rise == 0:
            return []
        t = (y - self.start.y) / rise
        return [t] if 0 <= t <= 1 else []

    def offset(self, distance: float, tolerance: float = FLAT_TOLERANCE) -> list[Segment]:  # noqa: ARG002
        """The parallel line `distance` mm to the left of travel (right when negative)."""
        by = Motion.shift(self.tangent(0).left() * distance)
        return [self.moved(by)]


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bézier segment with two control points. Its handles may not have zero length."""

    start: Point
    control1: Point
    control2: Point
    end: Point

    def _points(self) -> tuple[Point, Point, Point, Point]:
        return self.start, self.control1, self.control2, self.end

    def point(self, t: float) -> Point:
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        p, q, r, s = self._points()
        return Point(a * p.x + b * q.x + c * r.x + d * s.x, a * p.y + b * q.y + c * r.y + d * s.y)

    def derivative(self, t: float) -> Vector:
        """d(point)/dt, in mm per unit of t."""
        u = 1 - t
        p, q, r, s = self._points()
        a, b, c = 3 * u * u, 6 * u * t, 3 * t * t
        return (q - p) * a + (r - q) * b + (s - r) * c

    def tangent(self, t: float) -> Vector:
        """Unit vector along the direction of travel."""
        return self.derivative(t).unit()

    def curvature(self, t: float) -> float:
        """1/mm, positive where the curve turns left."""
        p, q, r, s = self._points()
        first = self.derivative(t)
        second = ((r - q) - (q - p)) * (6 * (1 - t)) + ((s - r) - (r - q)) * (6 * t)
        return first.cross(second) / first.length**3

    def length(self) -> float:
        return _length_between(self, 0.0, 1.0)

    def t_at_length(self, length: float) -> float:
        """The t at which `length` mm lie behind."""
        total = self.length()
        if length <= 0:
            return 0.0
        if length >= total:
            return 1.0
        return monotone_root(lambda t: _length_between(self, 0.0, t) - length, 0.0, 1.0)

    def split(self, t: float) -> tuple[Cubic, Cubic]:
        """The parts before and after t (de Casteljau)."""
        p, q, r, s = self._points()
        pq, qr, rs = p.toward(q, t), q.toward(r, t), r.toward(s, t)
        pqr, qrs = pq.toward(qr, t), qr.toward(rs, t)
        middle = pqr.toward(qrs, t)
        return Cubic(p, pq, pqr, middle), Cubic(middle, qrs, rs, s)

    def reversed(self) -> Cubic:
        return Cubic(self.end, self.control2, self.control1, self.start)

    def moved(self, motion: Motion) -> Cubic:
        return Cubic(*(motion(point) for point in self._points()))

    def flat(self, tolerance: float = FLAT_TOLERANCE) -> list[Point]:
        """The points after `start` of a polyline within `tolerance` mm of the curve.

        The number of equal steps in t comes from the bound on the second derivative (Wang 1984, from memory).
        """
        p, q, r, s = self._points()
        bend = max(((p - q) - (q - r)).length, ((q - r) - (r - s)).length)
        steps = max(1, math.ceil(math.sqrt(0.75 * bend / tolerance)))
        if steps == 1:
            return [s]
        basis = _bernstein(steps)
        x = basis @ np.array((p.x, q.x, r.x, s.x))
        y = basis @ np.array((p.y, q.y, r.y, s.y))
        return [*map(Point, x.tolist(), y.tolist()), s]

    def heights(self, y: float) -> list[float]:
        """The t in [0, 1] at which the curve is at height `y`, ascending; none when it is level."""
        a, b, c, d = (point.y for point in self._points())
        if y < min(a, b, c, d) or y > max(a, b, c, d):
            return []
        if y == a or y == d:  # an end is met exactly, so that a split there leaves no sliver
            inner = [0.0] if y == a else []
            return [*inner, *([1.0] if y == d else [])]
        if a <= b <= c <= d or a >= b >= c >= d:  # the common case of a draft: one crossing, found without a solver
            return [monotone_root(lambda t: self.point(t).y - y, 0.0, 1.0)]
        roots = np.roots([d - 3 * c + 3 * b - a, 3 * (c - 2 * b + a), 3 * (b - a), a - y])
        return sorted({float(root.real) for root in roots if abs(root.imag) < 1e-9 and 0 <= root.real <= 1})

    def offset(self, distance: float, tolerance: float = FLAT_TOLERANCE) -> list[Segment]:
        """Cubics within `tolerance` mm of the parallel curve `distance` mm to the left of travel (right when negative).

        Each part keeps the true end points and end directions; a part that strays is halved (Hermite fit of
        C + d n, whose derivative is C' (1 - d k) with curvature k: do Carmo, *Differential Geometry of Curves
        and Surfaces*, 1-5; from memory).

        Raises:
            GeometryError: the curve bends tighter than `distance`, so the parallel curve would have a cusp.
        """
        return _offset(self, distance, tolerance, 12)


Segment = Line | Cubic


@lru_cache(maxsize=512)
def _bernstein(steps: int) -> NDArray[np.float64]:
    t = np.arange(1, steps) / steps
    u = 1 - t
    return np.stack((u**3, 3 * u * u * t, 3 * u * t * t, t**3), axis=1)


@lru_cache(maxsize=4)
def _gauss(order: int) -> tuple[tuple[float, float], ...]:
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return tuple(zip(nodes.tolist(), weights.tolist(), strict=True))


def _length_between(curve: Cubic, low: float, high: float, depth: int = 24) -> float:
    """Arc length by Gauss-Legendre quadrature, halved until two orders agree to 1e-9 mm."""
    half, middle = (high - low) / 2, (high + low) / 2
    p, q, r, s = curve._points()
    ax, bx, cx = q.x - p.x, r.x - q.x, s.x - r.x
    ay, by, cy = q.y - p.y, r.y - q.y, s.y - r.y

    def quadrature(order: int) -> float:
        total = 0.0
        for node, weight in _gauss(order):
            t = middle + half * node
            u = 1 - t
            f, g, h = u * u, 2 * u * t, t * t
            total += weight * math.hypot(f * ax + g * bx + h * cx, f * ay + g * by + h * cy)
        return 3 * half * total

    fine = quadrature(16)
    if depth == 0 or abs(fine - quadrature(10)) <= _LENGTH_TOLERANCE:
        return fine
    return _length_between(curve, low, middle, depth - 1) + _length_between(curve, middle, high, depth - 1)


def _offset(curve: Cubic, distance: float, tolerance: float, depth: int) -> list[Segment]:
    stretch0 = 1 - distance * curve.curvature(0)
    stretch1 = 1 - distance * curve.curvature(1)
    middle = 1 - distance * curve.curvature(0.5)
    if min(stretch0, middle, stretch1) <= 0:
        raise GeometryError(
            f"curve near ({curve.start.x:.1f}, {curve.start.y:.1f}) mm bends tighter than the allowance of "
            f"{abs(distance):.1f} mm; use a smaller allowance or a flatter curve"
        )
    first, last = curve.derivative(0), curve.derivative(1)
    start = curve.start + first.unit().left() * distance
    end = curve.end + last.unit().left() * distance
    fit = Cubic(start, start + first * (stretch0 / 3), end - last * (stretch1 / 3), end)
    if max(_strays(curve, fit, t, distance) for t in (0.2, 0.4, 0.6, 0.8)) <= tolerance / 2:
        return [fit]
    if depth == 0:
        raise GeometryError(
            f"the parallel curve {abs(distance):.1f} mm from ({curve.start.x:.1f}, {curve.start.y:.1f}) mm cannot be "
            f"drawn within {tolerance} mm; use a smaller allowance or a flatter curve"
        )
    before, after = curve.split(0.5)
    return _offset(before, distance, tolerance, depth - 1) + _offset(after, distance, tolerance, depth - 1)


def _strays(curve: Cubic, fit: Cubic, t: float, distance: float) -> float:
    """How far the fitted parallel is from the true one, measured along the true normal at t."""
    direction = curve.tangent(t)
    true = curve.point(t) + direction.left() * distance
    # One Newton step onto the normal through the true point: the fit's own t drifts from the curve's.
    gap = fit.point(t) - true
    slope = fit.derivative(t).dot(direction)
    return (fit.point(t - gap.dot(direction) / slope) - true).length if slope > 0 else math.inf


def monotone_root(function: Callable[[float], float], low: float, high: float, *, tolerance: float = 1e-13) -> float:
    """The zero of a monotone function between `low` and `high`, by the Illinois variant of false position.

    Raises:
        GeometryError: the function has the same sign at both ends.
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0:
        return low
    if at_high == 0:
        return high
    if (at_low > 0) == (at_high > 0):
        raise GeometryError(f"no crossing between {low:g} and {high:g}: {at_low:g} and {at_high:g} have one sign")
    side = 0
    for _ in range(200):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        if not low < middle < high:
            middle = (low + high) / 2
        value = function(middle)
        if value == 0 or high - low <= tolerance * max(1.0, abs(high)):
            return middle
        if (value > 0) == (at_high > 0):
            if abs(middle - high) <= tolerance * max(1.0, abs(high)) and side == 1:
                return middle
            high, at_high = middle, value
            if side == 1:
                at_low /= 2
            side = 1
        else:
            if abs(middle - low) <= tolerance * max(1.0, abs(high)) and side == -1:
                return middle
            low, at_low = middle, value
            if side == -1:
                at_high /= 2
            side = -1
    return (low + high) / 2
