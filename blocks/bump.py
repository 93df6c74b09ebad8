"""Bumps: values that lie off the line of their neighbours in a row that should run evenly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from drafting.errors import GeometryError

END_SHARE = 2.0
"""A line carried on beyond its two points doubles their own unevenness, so an end value may lie off twice as far."""

LEAST = 3
"""Values in a row before any of them can be out of line."""


@dataclass(frozen=True, slots=True)
class Bump:
    """The value at `index` lies `off` above the line through the values at the two indices `beside` it."""

    index: int
    off: float
    beside: tuple[int, int]


def bumps(places: Sequence[float], values: Sequence[float], allowed: float) -> tuple[Bump, ...]:
    """The values that lie further than `allowed` off the straight line of their neighbours, in order.

    `places` must ascend; steps between them may differ. A value that is off pulls its neighbours' lines with it, so
    the one that leaves the evenest row behind is taken out first, and the rest are looked at again without it.

    >>> bumps([0, 4, 8, 14, 20], [0, 4, 10, 14, 20], 1)
    (Bump(index=2, off=2.0, beside=(1, 3)),)
    >>> bumps([0, 4, 8, 14, 20], [0, 4, 8, 14, 20], 1)
    ()

    Raises:
        GeometryError: places that do not ascend, or not one value for each.
    """
    if len(places) != len(values) or any(after <= before for before, after in pairwise(places)):
        raise GeometryError(
            f"bumps: {len(places)} places and {len(values)} values; give as many of each, the places ascending"
        )
    kept, found = list(range(len(values))), []
    while len(kept) >= LEAST:
        seen = [_bump(places, values, kept, at) for at in range(len(kept))]
        ends = {kept[0], kept[-1]}
        suspects = [bump for bump in seen if abs(bump.off) > allowed * (END_SHARE if bump.index in ends else 1)]
        if not suspects:
            break
        worst = min(suspects, key=lambda bump: (_unevenness(places, values, kept, bump.index), bump.index in ends))
        found.append(worst)
        kept.remove(worst.index)
    return tuple(sorted(found, key=lambda bump: bump.index))


def _bump(places: Sequence[float], values: Sequence[float], kept: Sequence[int], at: int) -> Bump:
    """How far one value lies off the line of the two kept beside it, or of the two next to an end."""
    if at == 0:
        first, second = kept[1], kept[2]
    elif at == len(kept) - 1:
        first, second = kept[-3], kept[-2]
    else:
        first, second = kept[at - 1], kept[at + 1]
    index = kept[at]
    share = (places[index] - places[first]) / (places[second] - places[first])
    return Bump(index, values[index] - values[first] - share * (values[second] - values[first]), (first, second))


def _unevenness(places: Sequence[float], values: Sequence[float], kept: Sequence[int], without: int) -> float:
    rest = [index for index in kept if index != without]
    total = sum(abs(_bump(places, values, rest, at).off) for at in range(1, len(rest) - 1))
    return round(total, 6)  # so that rounding of the last digit does not decide between equals
