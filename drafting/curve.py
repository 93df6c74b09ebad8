"""Segments of a path: straight lines and cubic Béziers, in mm.

Both are parametrised by t from 0 at `start` to 1 at `end`. Nothing here is sampled unless a tolerance is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise, starmap
from typing import Final

import numpy as np
from numpy.typing import NDArray

from drafting.errors import GeometryError
from drafting.point import Motion, Point, Vector
from drafting.sink import Sink

FLAT_TOLERANCE: Final = 0.01
"""mm; how far a flattened or offset curve may stray from the true one unless asked otherwise."""

HEIGHT_TOLERANCE: Final = 1e-9
"""mm; an end this close to a height counts as at it, so that rounding makes no sliver and loses no crossing."""

_LENGTH_TOLERANCE: Final = 1e-9
_CHECKS: Final = (0.0, 0.15, 0.3, 0.5, 0.7, 0.85, 1.0)  # the t at which a fitted parallel is compared with the true one
_NEAREST_STEPS: Final = 24  # a cubic has at most five places nearer than their neighbours
_SHORTEST: Final = 1e-9  # mm; below this, rounding decides where a line or a handle points


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment.

    Raises:
        GeometryError: its two ends coincide.
    """

    start: Point
    end: Point

    def __post_init__(self) -> None:
        if self.start.distance(self.end) < _SHORTEST:
            raise GeometryError(
                f"a line at ({self.start.x:.2f}, {self.start.y:.2f}) mm has no length; its two ends must differ"
            )

    def __reduce__(self) -> tuple[type[Line], tuple[Point, Point]]:
        return Line, self.points()  # as for a point

    def points(self) -> tuple[Point, Point]:
        """Its two ends."""
        return self.start, self.end

    def draw(self, sink: Sink) -> None:
        """Draw on a sink that has come to the start."""
        sink.line_to(self.end)

    def length(self) -> float:
        return self.start.distance(self.end)

    def point(self, t: float) -> Point:
        return self.start.toward(self.end, t)

    def tangent(self, t: float) -> Vector:  # noqa: ARG002 - the protocol of a segment
        """Unit vector along the direction of travel."""
        return (self.end - self.start).unit()

    def t_at_length(self, length: float) -> float:
        """The t at which `length` mm lie behind; not held to the two ends."""
        return length / self.length()

    def length_before(self, t: float) -> float:
        """The arc length in mm from `start` to t."""
        return t * self.length()

    def nearest(self, point: Point) -> float:
        """The t in [0, 1] at which the segment comes nearest to a point."""
        along = self.end - self.start
        return min(1.0, max(0.0, (point - self.start).dot(along) / along.dot(along)))

    def split(self, t: float) -> tuple[Line, Line]:
        middle = self.point(t)
        return Line(self.start, middle), Line(middle, self.end)

    def reversed(self) -> Line:
        return Line(self.end, self.start)

    def moved(self, motion: Motion, start: Point | None = None) -> Line:
        """The segment under a rigid motion, which brings its start to `start` if that is known already."""
        return Line(start or motion(self.start), motion(self.end))

    def starting_at(self, start: Point) -> Line:
        """The line from another start."""
        return Line(start, self.end)

    def mapped(self, by: Callable[[Point], Point]) -> Line:
        """The line between the places that its ends are brought to."""
        return Line(by(self.start), by(self.end))

    def flat(self, tolerance: float = FLAT_TOLERANCE) -> list[Point]:  # noqa: ARG002
        """The points after `start` of a polyline along the segment: here, the end."""
        return [self.end]

    def heights(self, y: float) -> list[float]:
        """The t in [0, 1] at which the segment is at height `y`; none for a level line."""
        climb = self.end.y - self.start.y
        if abs(climb) <= HEIGHT_TOLERANCE:
            return []
        t = (_at_end(y, self.start.y, self.end.y) - self.start.y) / climb
        return [t] if 0 <= t <= 1 else []

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top in mm."""
        (a, b), (c, d) = (self.start.x, self.start.y), (self.end.x, self.end.y)
        return min(a, c), min(b, d), max(a, c), max(b, d)

    def offset(self, distance: float, tolerance: float = FLAT_TOLERANCE) -> list[Segment]:  # noqa: ARG002
        """The parallel line `distance` mm to the left of travel (right when negative)."""
        by = Motion.shift(self.tangent(0).left() * distance)
        return [self.moved(by)]


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bézier segment with two control points. The handles join the ends to their control points.

    Raises:
        GeometryError: a handle has no length, so that the curve has no direction at its end.
    """

    start: Point
    control1: Point
    control2: Point
    end: Point

    def __post_init__(self) -> None:
        if self.start.distance(self.control1) < _SHORTEST or self.control2.distance(self.end) < _SHORTEST:
            raise GeometryError(
                f"the curve from ({self.start.x:.2f}, {self.start.y:.2f}) to ({self.end.x:.2f}, {self.end.y:.2f}) mm "
                "has a handle of no length; each control point must differ from its end"
            )

    def __reduce__(self) -> tuple[type[Cubic], tuple[Point, Point, Point, Point]]:
        return Cubic, self.points()  # as for a point

    def points(self) -> tuple[Point, Point, Point, Point]:
        """Its ends, its control points between them."""
        return self.start, self.control1, self.control2, self.end

    def draw(self, sink: Sink) -> None:
        """Draw on a sink that has come to the start."""
        sink.curve_to(self.control1, self.control2, self.end)

    def point(self, t: float) -> Point:
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        p, q, r, s = self.points()
        return Point(a * p.x + b * q.x + c * r.x + d * s.x, a * p.y + b * q.y + c * r.y + d * s.y)

    def derivative(self, t: float) -> Vector:
        """d(point)/dt, in mm per unit of t."""
        u = 1 - t
        p, q, r, s = self.points()
        a, b, c = 3 * u * u, 6 * u * t, 3 * t * t
        return Vector(
            a * (q.x - p.x) + b * (r.x - q.x) + c * (s.x - r.x), a * (q.y - p.y) + b * (r.y - q.y) + c * (s.y - r.y)
        )

    def tangent(self, t: float) -> Vector:
        """Unit vector along the direction of travel.

        Raises:
            GeometryError: the curve has a cusp there.
        """
        return self._moving(t).unit()

    def curvature(self, t: float) -> float:
        """1/mm, positive where the curve turns left.

        Raises:
            GeometryError: the curve has a cusp there.
        """
        p, q, r, s = self.points()
        first = self._moving(t)
        second = ((r - q) - (q - p)) * (6 * (1 - t)) + ((s - r) - (r - q)) * (6 * t)
        return first.cross(second) / first.length**3

    def _moving(self, t: float) -> Vector:
        first = self.derivative(t)
        if first.length < _SHORTEST:
            at = self.point(t)
            raise GeometryError(
                f"the curve has a cusp at ({at.x:.2f}, {at.y:.2f}) mm and no direction there; use shorter handles"
            )
        return first

    def length(self) -> float:
        """Arc length in mm, within 1e-9 mm."""
        return _whole_length(self)

    def t_at_length(self, length: float) -> float:
        """The t at which `length` mm lie behind, held to the two ends."""
        total = self.length()
        if length <= 0:
            return 0.0
        return 1.0 if length >= total else _t_inside(self, length, total)

    def length_before(self, t: float) -> float:
        """The arc length in mm from `start` to t."""
        return self.length() if t == 1 else _length_between(self, 0.0, t)

    def nearest(self, point: Point) -> float:
        """The t in [0, 1] at which the segment comes nearest to a point; the first of several.

        The curve is searched in 24 steps of t: one that turns back within a step is searched as if it did not.
        """

        def parting(t: float) -> float:
            """Half of what the squared distance grows by per unit of t."""
            return (self.point(t) - point).dot(self.derivative(t))

        places = [(i / _NEAREST_STEPS, parting(i / _NEAREST_STEPS)) for i in range(_NEAREST_STEPS + 1)]
        candidates = [0.0, 1.0, *(t for t, value in places if value == 0)]
        for (low, at_low), (high, at_high) in pairwise(places):
            if at_low < 0 < at_high:
                candidates.append(monotone_root(parting, low, high))
        return min(sorted(candidates), key=lambda t: self.point(t).distance(point))

    def split(self, t: float) -> tuple[Cubic, Cubic]:
        """The parts before and after t (de Casteljau)."""
        p, q, r, s = self.points()
        pq, qr, rs = p.toward(q, t), q.toward(r, t), r.toward(s, t)
        pqr, qrs = pq.toward(qr, t), qr.toward(rs, t)
        middle = pqr.toward(qrs, t)
        return Cubic(p, pq, pqr, middle), Cubic(middle, qrs, rs, s)

    def reversed(self) -> Cubic:
        return Cubic(self.end, self.control2, self.control1, self.start)

    def moved(self, motion: Motion, start: Point | None = None) -> Cubic:
        """The segment under a rigid motion, which brings its start to `start` if that is known already."""
        return Cubic(start or motion(self.start), motion(self.control1), motion(self.control2), motion(self.end))

    def starting_at(self, start: Point) -> Cubic:
        """The curve from another start, its direction there kept."""
        return Cubic(start, self.control1 + (start - self.start), self.control2, self.end)

    def mapped(self, by: Callable[[Point], Point]) -> Cubic:
        """The curve whose points are brought elsewhere; its image under `by` if that keeps straight lines straight."""
        return Cubic(by(self.start), by(self.control1), by(self.control2), by(self.end))

    def flat(self, tolerance: float = FLAT_TOLERANCE) -> list[Point]:
        """The points after `start` of a polyline within `tolerance` mm of the curve."""
        return list(starmap(Point, self.array(tolerance).tolist()))

    def array(self, tolerance: float = FLAT_TOLERANCE) -> NDArray[np.float64]:
        """The same as an array of shape (n, 2).

        The number of equal steps in t comes from the bound on the second derivative (Wang 1984, from memory).
        """
        p, q, r, s = self.points()
        bend = max(((p - q) - (q - r)).length, ((q - r) - (r - s)).length)
        steps = max(1, math.ceil(math.sqrt(0.75 * bend / tolerance)))
        points: NDArray[np.float64] = _bernstein(steps) @ np.array(((p.x, p.y), (q.x, q.y), (r.x, r.y), (s.x, s.y)))
        return points

    def heights(self, y: float) -> list[float]:
        """The t in [0, 1] at which the curve is at height `y`, ascending; none when it is level."""
        heights = [point.y for point in self.points()]
        lowest, highest = min(heights), max(heights)
        y = _at_end(y, heights[0], heights[-1])
        if not lowest <= y <= highest or highest - lowest <= HEIGHT_TOLERANCE:
            return []
        a, b, c, d = (height - y for height in heights)

        def above(t: float) -> float:
            u = 1 - t
            return u * u * (u * a + 3 * t * b) + t * t * (3 * u * c + t * d)

        stops = [(t, above(t)) for t in (0.0, *_turns(a, b, c, d), 1.0)]
        found = [t for t, value in stops if value == 0]
        for (low, at_low), (high, at_high) in pairwise(stops):
            if at_low < 0 < at_high or at_high < 0 < at_low:
                found.append(monotone_root(above, low, high))
        return sorted(found)

    def turns(self, along: Vector) -> list[float]:
        """The t inside (0, 1), ascending, at which the curve turns back as seen along a direction."""
        return _turns(*(along.x * point.x + along.y * point.y for point in self.points()))

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top in mm, of the curve itself and not of its control points."""
        p, q, r, s = self.points()
        left, right = (p.x, s.x) if p.x < s.x else (s.x, p.x)
        bottom, top = (p.y, s.y) if p.y < s.y else (s.y, p.y)
        if left <= q.x <= right and left <= r.x <= right and bottom <= q.y <= top and bottom <= r.y <= top:
            return left, bottom, right, top  # a curve lies within the hull of its points, and here its ends span that
        turns = [*self.turns(Vector(1, 0)), *self.turns(Vector(0, 1))]
        points = [p, s, *map(self.point, turns)]
        xs, ys = [point.x for point in points], [point.y for point in points]
        return min(xs), min(ys), max(xs), max(ys)

    def offset(self, distance: float, tolerance: float = FLAT_TOLERANCE) -> list[Segment]:
        """Cubics within `tolerance` mm of the parallel curve `distance` mm to the left of travel (right when negative).

        Each part keeps the true end points and end directions; a part that strays is halved (Hermite fit of
        C + d n, whose derivative is C' (1 - d k) with curvature k: do Carmo, *Differential Geometry of Curves
        and Surfaces*, 1-5; from memory).

        Raises:
            GeometryError: the curve bends tighter than `distance`, so the parallel curve would have a cusp.
        """
        return list(_parallel(self, distance, tolerance))


Segment = Line | Cubic


@lru_cache(maxsize=512)
def _bernstein(steps: int) -> NDArray[np.float64]:
    t = np.arange(1, steps + 1) / steps
    u = 1 - t
    return np.stack((u**3, 3 * u * u * t, 3 * u * t * t, t**3), axis=1)


@lru_cache(maxsize=4)
def _gauss(order: int) -> tuple[tuple[float, float], ...]:
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return tuple(zip(nodes.tolist(), weights.tolist(), strict=True))


@lru_cache(maxsize=4096)
def _whole_length(curve: Cubic) -> float:
    return _length_between(curve, 0.0, 1.0)


@lru_cache(maxsize=512)
def _t_inside(curve: Cubic, length: float, total: float) -> float:
    # Newton's method, whose slope is the speed; each step measures only the arc it adds. Halving where it leaves.
    low, high = 0.0, 1.0
    t = length / total
    behind = _length_between(curve, 0.0, t)
    for _ in range(64):
        gap = length - behind
        if abs(gap) <= _LENGTH_TOLERANCE / 10:
            break
        low, high = (t, high) if gap > 0 else (low, t)
        speed = curve.derivative(t).length
        step = t + gap / speed if speed > 0 else low
        if not low < step < high:
            step = (low + high) / 2
        behind += _length_between(curve, t, step)
        t = step
    return t


def _length_between(curve: Cubic, low: float, high: float) -> float:
    """Arc length from t = `low` to `high`; negative when `high` is below `low`."""
    if high < low:
        return -_length_between(curve, high, low)
    p, q, r, s = curve.points()
    legs = (q.x - p.x, q.y - p.y, r.x - q.x, r.y - q.y, s.x - r.x, s.y - r.y)
    # Where a curve turns straight back, its speed has a kink that quadratures of every order can agree to miss.
    along = max((q - p, r - q, s - r), key=lambda leg: leg.length)
    turns = _turns(0.0, *(along.dot(point - p) for point in (q, r, s)))
    stops = [low, *(t for t in turns if low < t < high), high]
    return sum(_arc(legs, a, b, 24) for a, b in pairwise(stops))


def _arc(legs: tuple[float, float, float, float, float, float], low: float, high: float, depth: int) -> float:
    """Gauss-Legendre quadrature of the speed, whose control values are the legs, halved until two orders agree."""
    half, middle = (high - low) / 2, (high + low) / 2
    ax, ay, bx, by, cx, cy = legs

    def quadrature(order: int) -> float:
        total = 0.0
        for node, weight in _gauss(order):
            t = middle + half * node
            u = 1 - t
            f, g, h = u * u, 2 * u * t, t * t
            total += weight * math.hypot(f * ax + g * bx + h * cx, f * ay + g * by + h * cy)
        return 3 * half * total

    fine = quadrature(4)
    for order in (8, 16):
        coarse, fine = fine, quadrature(order)
        # The second term is what rounding alone makes of a length: without it, huge curves would be halved for ever.
        if abs(fine - coarse) <= max(_LENGTH_TOLERANCE / 100, 1e-13 * abs(fine)):
            return fine
    if depth == 0:
        return fine
    return _arc(legs, low, middle, depth - 1) + _arc(legs, middle, high, depth - 1)


def _turns(a: float, b: float, c: float, d: float) -> list[float]:
    """The t inside (0, 1), ascending, at which a cubic with these Bernstein coefficients turns back."""
    if a <= b <= c <= d or a >= b >= c >= d:
        return []  # a curve turns no more often than its coefficients do
    p, q, r = b - a, c - b, d - c
    square, half = p - 2 * q + r, q - p
    under = half * half - square * p
    if under <= 0:
        return []
    # One root is found by the sum that cancels nothing, the other from their product.
    sum_ = -(half + math.copysign(math.sqrt(under), half))
    roots = [p / sum_, *([sum_ / square] if square else [])]
    return sorted(t for t in roots if 1e-9 < t < 1 - 1e-9)


def _at_end(y: float, start: float, end: float) -> float:
    """The height `y`, or that of the end it equals but for rounding."""
    if abs(y - start) <= HEIGHT_TOLERANCE:
        return start
    return end if abs(y - end) <= HEIGHT_TOLERANCE else y


@lru_cache(maxsize=512)
def _parallel(curve: Cubic, distance: float, tolerance: float) -> tuple[Segment, ...]:
    return tuple(_offset(curve, distance, tolerance, 12))


def _offset(curve: Cubic, distance: float, tolerance: float, depth: int) -> list[Segment]:
    p, q, r, s = curve.points()
    # The curve as a polynomial in t: this is the innermost loop of a draft.
    cx, cy = 3 * (q.x - p.x), 3 * (q.y - p.y)
    bx, by = 3 * (r.x - q.x) - cx, 3 * (r.y - q.y) - cy
    ax, ay = s.x - p.x - cx - bx, s.y - p.y - cy - by
    parallel: list[tuple[float, float, float, float, float]] = []
    for t in _CHECKS:
        dx, dy = (3 * ax * t + 2 * bx) * t + cx, (3 * ay * t + 2 * by) * t + cy
        speed = math.hypot(dx, dy)
        turning = dx * (6 * ay * t + 2 * by) - dy * (6 * ax * t + 2 * bx)
        stretch = 1 - distance * turning / speed**3 if speed > _SHORTEST else 0.0
        if stretch <= 0:
            at = curve.point(t)
            raise GeometryError(
                f"the curve near ({at.x:.1f}, {at.y:.1f}) mm bends tighter than {abs(distance):.1f} mm, the distance "
                "of the line parallel to it; use a smaller allowance or a flatter curve"
            )
        ux, uy = dx / speed, dy / speed
        x, y = ((ax * t + bx) * t + cx) * t + p.x, ((ay * t + by) * t + cy) * t + p.y
        parallel.append((x - uy * distance, y + ux * distance, ux, uy, speed * stretch / 3))
    start_x, start_y, ux, uy, handle = parallel[0]
    start, control1 = Point(start_x, start_y), Point(start_x + ux * handle, start_y + uy * handle)
    _, _, ux, uy, handle = parallel[-1]
    end = Point(s.x - uy * distance, s.y + ux * distance)
    control2 = Point(end.x - ux * handle, end.y - uy * handle)
    fit = Cubic(start, control1, control2, end)
    inner = zip(_CHECKS[1:-1], parallel[1:-1], strict=True)
    if all(_strays(fit, t, true) <= tolerance / 2 for t, true in inner):
        return [fit]
    if depth == 0:
        raise GeometryError(
            f"the parallel curve {abs(distance):.1f} mm from ({curve.start.x:.1f}, {curve.start.y:.1f}) mm cannot be "
            f"drawn within {tolerance} mm; use a smaller allowance or a flatter curve"
        )
    before, after = curve.split(0.5)
    return _offset(before, distance, tolerance, depth - 1) + _offset(after, distance, tolerance, depth - 1)


def _strays(fit: Cubic, t: float, true: tuple[float, ...]) -> float:
    """How far the fitted parallel is from the true one, along the normal at (x, y), whose direction of travel is u."""
    x, y, ux, uy, _ = true
    # One Newton step onto that normal: the fit's own t drifts from the curve's.
    at, first = fit.point(t), fit.derivative(t)
    slope = first.x * ux + first.y * uy
    if slope <= 0:
        return math.inf
    near = fit.point(t - ((at.x - x) * ux + (at.y - y) * uy) / slope)
    return math.hypot(near.x - x, near.y - y)


def monotone_root(function: Callable[[float], float], low: float, high: float, *, tolerance: float = 1e-13) -> float:
    """The zero of a monotone function between `low` and `high`, to `tolerance` of the larger of 1 and its size.

    Inverse quadratic interpolation, or halving where that would not be safe (Chandrupatla, *A new hybrid
    quadratic/bisection algorithm for finding the zero of a nonlinear function*, Adv. Eng. Softw. 28, 1997; from
    memory).

    >>> round(monotone_root(lambda x: x * x - 2, 0, 2), 12)
    1.414213562373

    Raises:
        GeometryError: the function has the same sign at both ends, or no value there.
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0:
        return low
    if at_high == 0:
        return high
    if not (at_low < 0 < at_high or at_high < 0 < at_low):
        raise GeometryError(
            f"no crossing between {low:g} and {high:g}: {at_low:g} and {at_high:g} are not of two signs"
        )
    # a is the newest place, b brackets the zero with it, c is the one dropped last.
    a, b, at_a, at_b = low, high, at_low, at_high
    share = 0.5
    while True:
        place = a + share * (b - a)
        value = function(place)
        if (value > 0) == (at_a > 0):
            c, at_c = a, at_a
        else:
            b, c, at_b, at_c = a, b, at_a, at_b
        a, at_a = place, value
        best, at_best = (a, at_a) if abs(at_a) < abs(at_b) else (b, at_b)
        reach = tolerance * max(1.0, abs(best)) / abs(b - a) if a != b else 1.0
        if at_best == 0 or reach > 0.5:
            return best
        across, along = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
        share = 0.5
        if along**2 < across and (1 - along) ** 2 < 1 - across:
            share = at_a / (at_b - at_a) * at_c / (at_b - at_c)
            share += (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
        share = min(1 - reach, max(reach, share))
