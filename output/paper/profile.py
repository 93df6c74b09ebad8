"""A shape as its profile: the lowest and the highest y in each narrow slab of x, never smaller than the shape.

Both searches for places on paper see shapes so: that for pages (`output.paper.layout`) and that for sheets and rolls
(`output.paper.packing`). Lengths in mm, y up; places across are counted in slabs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_EPS: Final = 1e-7


@dataclass(frozen=True, eq=False)
class Profile:
    """The lowest and the highest y by slab, from left to right; inf and -inf in a slab without anything."""

    low: Floats
    high: Floats

    def grown(self, gap: float, slabs: int) -> Profile:
        """The profile of all within `gap` mm, which is so many slabs at most: it begins as many earlier."""
        count = len(self.low)
        low, high = np.full(count + 2 * slabs, np.inf), np.full(count + 2 * slabs, -np.inf)
        for begin in range(2 * slabs + 1):
            part = slice(begin, begin + count)
            low[part] = np.minimum(low[part], self.low - gap)
            high[part] = np.maximum(high[part], self.high + gap)
        return Profile(low, high)


def extents(lower: Floats, upper: Floats, *, pitch: float, count: int) -> tuple[Floats, Floats]:
    """The lowest and the highest y of boxes, by two corners, in each of `count` slabs from x = 0, `pitch` mm wide."""
    first = np.floor(lower[:, 0] / pitch + _EPS).astype(np.int64).clip(0, count - 1)
    last = np.floor(upper[:, 0] / pitch).astype(np.int64).clip(0, count - 1)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    for more in range(max(0, int((last - first).max())) + 1):
        into = np.minimum(first + more, last)
        np.minimum.at(low, into, lower[:, 1])
        np.maximum.at(high, into, upper[:, 1])
    return low, high


@dataclass(frozen=True, slots=True, eq=False)
class Forbidden:
    """The open interval of shifts upward that brings one shape onto another, by how far right of it the one begins.

    It is one interval, because outlines are connected: neighbouring slabs forbid shifts in common. The first is for a
    shape that begins `first` slabs to the right; beyond the last, and before the first, nothing is forbidden.
    """

    under: Floats
    over: Floats
    first: int

    def at(self, slabs: Ints, lift: float) -> tuple[Floats, Floats]:
        """Where the interval begins and ends that many slabs to the right of a shape that lies `lift` mm up.

        From inf to -inf where nothing is forbidden.
        """
        offset = slabs - self.first
        hit = (offset >= 0) & (offset < len(self.under))
        under, over = np.full(len(slabs), np.inf), np.full(len(slabs), -np.inf)
        under[hit] = self.under[offset[hit]] + lift
        over[hit] = self.over[offset[hit]] + lift
        return under, over


def forbidden(shape: Profile, other: Profile, *, reach: int) -> Forbidden:
    """What is forbidden to `other` beside a shape that was grown by so many slabs."""
    size, length = len(shape.low), len(other.low)
    window = np.arange(length)[None, :] + np.arange(1 - length, size)[:, None]
    inside = (window >= 0) & (window < size)
    at = np.clip(window, 0, size - 1)
    under = np.where(inside, shape.low[at] - other.high, np.inf).min(axis=1)
    over = np.where(inside, shape.high[at] - other.low, -np.inf).max(axis=1)
    return Forbidden(under, over, 1 - length - reach)
