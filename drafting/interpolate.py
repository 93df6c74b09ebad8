"""Interpolation between measured values: a curve that rises and falls only where the values do."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from drafting.errors import GeometryError

# Why not scipy.interpolate: a table of measurements has a handful of rows, and importing scipy for it would cost a
# user several times what the whole program takes to start. The tests compare the two.


@dataclass(frozen=True)
class Pchip:
    """A piecewise cubic through (xs, ys) that keeps their shape: no overshoot, no false maximum between two values.

    Two values give a straight line. Outside `xs` the nearest end value is held.
    Inner slopes are weighted harmonic means of the neighbouring slopes (Fritsch & Butland, *A method for constructing
    local monotone piecewise cubic interpolants*, SIAM J. Sci. Stat. Comput. 5, 1984); end slopes come from the last
    three values (Moler, *Numerical Computing with MATLAB*, 3.6).

    >>> girth = Pchip((0, 100, 200), (700, 900, 940))
    >>> girth(100), girth(250)
    (900.0, 940.0)
    >>> round(girth(50), 3)
    826.667

    Raises:
        GeometryError: fewer than two values, not as many ys as xs, a value not finite, or xs that do not ascend.
    """

    xs: tuple[float, ...]
    ys: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.xs) < 2 or len(self.xs) != len(self.ys):
            raise GeometryError(
                f"interpolation: {len(self.xs)} places and {len(self.ys)} values; give two or more pairs"
            )
        for value in (*self.xs, *self.ys):
            if not math.isfinite(value):
                raise GeometryError(f"interpolation: {value} is not a number to interpolate; give finite ones")
        for before, after in pairwise(self.xs):
            if not before < after:
                raise GeometryError(
                    f"interpolation: {after:g} follows {before:g}; places must ascend, no two of them the same"
                )

    @cached_property
    def slopes(self) -> tuple[float, ...]:
        """The slope at each of the places."""
        steps = [b - a for a, b in pairwise(self.xs)]
        secants = [(b - a) / step for (a, b), step in zip(pairwise(self.ys), steps, strict=True)]
        if len(secants) == 1:
            return secants[0], secants[0]
        inner = [
            _inner_slope(h0, h1, m0, m1) for (h0, h1), (m0, m1) in zip(pairwise(steps), pairwise(secants), strict=True)
        ]
        first = _end_slope(steps[0], steps[1], secants[0], secants[1])
        last = _end_slope(steps[-1], steps[-2], secants[-1], secants[-2])
        return first, *inner, last

    def __call__(self, x: float) -> float:
        """The value at `x`."""
        if x <= self.xs[0]:
            return float(self.ys[0])
        if x >= self.xs[-1]:
            return float(self.ys[-1])
        index = bisect_right(self.xs, x) - 1
        step = self.xs[index + 1] - self.xs[index]
        t = (x - self.xs[index]) / step
        low, high = self.ys[index], self.ys[index + 1]
        lift = t * t * (3 - 2 * t)
        bend = t * (1 - t) * ((1 - t) * self.slopes[index] - t * self.slopes[index + 1])
        return low + (high - low) * lift + step * bend


def _inner_slope(h0: float, h1: float, m0: float, m1: float) -> float:
    """The slope between two steps of lengths h0, h1 and secants m0, m1; level at a turn."""
    if m0 == 0 or m1 == 0 or (m0 > 0) != (m1 > 0):
        return 0.0
    w0, w1 = 2 * h1 + h0, h1 + 2 * h0
    return (w0 + w1) / (w0 / m0 + w1 / m1)


def _end_slope(h0: float, h1: float, m0: float, m1: float) -> float:
    """The slope at the outer end of the outer step h0, whose secant is m0; h1 and m1 are the next step's."""
    slope = ((2 * h0 + h1) * m0 - h0 * m1) / (h0 + h1)
    if m0 == 0 or slope * math.copysign(1, m0) <= 0:
        return 0.0
    if (m0 > 0) != (m1 > 0) and abs(slope) > 3 * abs(m0):
        return 3 * m0
    return slope
