"""Items dropped onto a strip one after the other, each as deep as it comes: a short strip within milliseconds, and the
same one every time. In mm, as in `drafting.strip`.

The strip is seen in narrow columns, of each how far it is taken; an item in the same columns, of each how low and how
high it reaches. So no item comes to lie under another, but its hollows take what bulges. Which is dropped next, turned
how and where, is tried out on several strips at once, of which the best are carried on. Heights are whole hundredths
of a millimetre, rounded so as to keep apart: their sums are the same on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from drafting.curve import FLAT_TOLERANCE
from drafting.strip import Copy, Item, Packed, check_fitting, fitting

COLUMN: Final = 10.0
"""mm; how wide a column is at most. With finer ones strips are no more than a hundredth shorter."""

UNIT: Final = 0.01
"""mm; in which heights are whole numbers."""

SPARE: Final = 0.05
"""mm; kept beside the gap, for what flattening and rounding may be off."""

CARRIED: Final = 24
"""Unfinished strips of which the next ones are made."""

ALIKE: Final = 5.0
"""mm; strips with as much left to be dropped, whose lengths and wastes differ by less, are mostly mirror images."""

FAR: Final = 1e6
"""mm; how low an item reaches in a column that it does not reach at all."""

Numbers = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Stance:
    """An item by its number, in one of its turns; `corner` is where, so turned, its columns begin and its lowest point.

    By those columns, and heights from the lowest point: `low` is how low it reaches, with the room that it
    needs on all sides and so with more columns on either; `high` is how high it reaches without. `hollow` is the sum
    of what is below it.
    """

    item: int
    turn: int
    corner: Floats
    low: NDArray[np.int32]
    high: Numbers
    tall: int
    hollow: int


@dataclass(frozen=True, slots=True)
class _Step:
    """An item that is dropped: its stance, its first column, its height."""

    stance: _Stance
    column: int
    height: int


@dataclass(frozen=True, slots=True)
class _Strips:
    """Unfinished strips, and the steps that each came about by.

    `taken` is how far each column is, with bare ones at both ends for the room of items at an edge; `left` is how many
    of each item are to be dropped yet; `wasted` is the sum of what is bare below items.
    """

    taken: NDArray[np.int32]
    left: Numbers
    length: Numbers
    wasted: Numbers
    steps: tuple[tuple[_Step, ...], ...]


def drop_strip(items: Sequence[Item], width: float, *, gap: float = 0.0) -> Packed:
    """A short strip of that width, found without a search: `gap` is kept between any two items, not at the edges.

    Raises:
        GeometryError: no item, or one wider than the strip.
    """
    check_fitting(items, width)
    columns = max(1, math.ceil(width / COLUMN))
    across, room = width / columns, gap + SPARE
    widths: dict[int, list[_Stance]] = {}
    for number, item in enumerate(items):
        for one in _stances(item, number, width, columns, room):
            widths.setdefault(len(one.high), []).append(one)
    aside = math.ceil(room / across)
    bare = np.full((1, columns + 2 * aside), -math.floor(room / UNIT), dtype=np.int32)
    counts = np.array([[item.count for item in items]], dtype=np.int64)
    nought = np.zeros(1, dtype=np.int64)
    strips = _Strips(bare, counts, nought, nought, ((),))
    for _ in range(int(counts.sum())):
        strips = _carried_on(strips, tuple(widths.values()), aside)
    copies = []
    for step in strips.steps[int(strips.length.argmin())]:
        one = step.stance
        x, y = np.round((step.column * across, step.height * UNIT) - one.corner, 3).tolist()
        copies.append(Copy(items[one.item].name, one.turn, x, y))
    return Packed(tuple(items), width, tuple(sorted(copies, key=lambda copy: (copy.y, copy.x, copy.name))))


def _carried_on(strips: _Strips, widths: Sequence[Sequence[_Stance]], aside: int) -> _Strips:
    """The best of what becomes of strips by one more item: short ones on which little is wasted, no two alike."""
    stances = [one for some in widths for one in some]
    below = strips.taken.cumsum(axis=1, dtype=np.int64)
    parts, first = [], 0
    for some in widths:
        parts.append(_dropped(strips, below, some, first, aside))
        first += len(some)
    row, number, column, height, length, wasted = np.concatenate(parts, axis=1)
    left = strips.left[row]
    left[np.arange(len(row)), np.array([one.item for one in stances])[number]] -= 1
    columns = strips.taken.shape[1]
    score = columns * length + wasted
    of_width = [left[:, sorted({one.item for one in some})].sum(axis=1) for some in widths]
    alike = np.stack((score // round(columns * ALIKE / UNIT), *of_width), axis=1).tolist()
    best: dict[tuple[int, ...], int] = {}
    for index in score.argsort(kind="stable").tolist():
        best.setdefault(tuple(alike[index]), index)
        if len(best) == CARRIED:
            break
    picked = list(best.values())
    taken, steps = strips.taken[row[picked]], []
    for new, index in enumerate(picked):
        step = _Step(stances[number[index]], int(column[index]), int(height[index]))
        high = step.stance.high
        taken[new, step.column + aside : step.column + aside + len(high)] = step.height + high
        steps.append((*strips.steps[row[index]], step))
    return _Strips(taken, left[picked], length[picked], wasted[picked], tuple(steps))


def _dropped(strips: _Strips, below: Numbers, stances: Sequence[_Stance], first: int, aside: int) -> Numbers:
    """Each stance of one width dropped on each strip, where it comes deepest: on the left and on the right.

    `below` are the sums of what is taken from the left on. Six rows: the number of the strip, that of the stance, which
    begins at `first`, the column, the height, and the length of the strip and its waste with it.
    """
    lacking = strips.left[:, [one.item for one in stances]].T == 0
    which, row = (~lacking).nonzero()
    if not len(row):
        return np.zeros((6, 0), dtype=np.int64)
    windows = sliding_window_view(strips.taken, len(stances[0].low), axis=1)
    deep = [(windows[~lacks] - one.low).max(axis=2) for one, lacks in zip(stances, lacking, strict=True)]
    heights = np.maximum(np.concatenate(deep), 0)
    tall, hollow = np.array([(one.tall, one.hollow) for one in stances]).T[:, which]
    wide, last = len(stances[0].high), heights.shape[1] - 1
    found = []
    for column in (heights.argmin(axis=1), last - heights[:, ::-1].argmin(axis=1)):
        height = heights[np.arange(len(row)), column].astype(np.int64)
        start = column + aside - 1
        wasted = strips.wasted[row] + height * wide + hollow - (below[row, start + wide] - below[row, start])
        length = np.maximum(strips.length[row], height + tall)
        found.append(np.stack((row, first + which, column, height, length, wasted)))
    return np.concatenate(found, axis=1)


def _stances(item: Item, number: int, width: float, columns: int, room: float) -> Iterator[_Stance]:
    """An item in each turn in which it fits, seen in so many columns of a strip; on all sides it needs `room`.

    Half a turn is seen in the same columns from the other end, so it lies at the right of its columns.
    """
    across = width / columns
    seen: dict[int, tuple[_Stance, _Stance]] = {}
    for turn in fitting(item, width):
        if turn % 2 not in seen:
            seen[turn % 2] = _both_ways(item, number, turn % 2, across, columns, room)
        yield seen[turn % 2][turn // 2]


def _both_ways(item: Item, number: int, turn: int, across: float, columns: int, room: float) -> tuple[_Stance, _Stance]:
    motion = Copy(item.name, turn, 0.0, 0.0).motion
    turned = np.array(((motion.a, motion.b), (motion.c, motion.d)))
    corners = np.array(item.outline.bounds).reshape(2, 2) @ turned
    (left, bottom), (right, top) = corner, _ = corners.min(axis=0), corners.max(axis=0)
    points = item.outline.array(tolerance=FLAT_TOLERANCE) @ turned - corner
    wide, tall = min(columns, math.ceil((right - left) / across - 1e-9)), top - bottom
    low, high = _reached(points, across, wide, 0.0)
    lower, higher = _reached(points, across, wide, room)

    def stance(way: int, corner: Floats, lower: Floats, low: Floats, high: Floats) -> _Stance:
        return _Stance(
            number,
            turn + way,
            corner,
            np.floor((lower - room) / UNIT).astype(np.int32),
            np.ceil(high / UNIT).astype(np.int64),
            math.ceil(tall / UNIT),
            int(np.floor(low / UNIT).sum()),
        )

    other = np.array((-left - wide * across, -top))
    upside = (tall - heights[::-1] for heights in (higher, high, low))
    return stance(0, corner, lower, low, high), stance(2, other, *upside)


def _reached(points: Floats, across: float, wide: int, room: float) -> tuple[Floats, Floats]:
    """How low and how high a closed line reaches within each of so many columns, each of them seen wider by `room` on
    either side; with as many more columns on both ends as that takes.
    """
    aside = math.ceil(room / across)
    start, end = points[:-1], points[1:]
    near, far = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    ends = np.clip(np.floor(((near - room) / across, (far + room) / across)), -aside, wide + aside - 1)
    first, last = ends.astype(np.int64)
    count = last - first + 1
    line = np.repeat(np.arange(len(start)), count)
    column = first[line] + np.arange(len(line)) - (count.cumsum() - count)[line]
    run = end[:, 0] - start[:, 0]
    slope = np.divide(end[:, 1] - start[:, 1], run, out=np.zeros_like(run), where=run != 0)
    low, high = np.full(wide + 2 * aside, FAR), np.full(wide + 2 * aside, -FAR)
    for edge, upright in ((column * across - room, start), ((column + 1) * across + room, end)):
        x = np.clip(edge, near[line], far[line])
        y = np.where(run[line] == 0, upright[line, 1], start[line, 1] + (x - start[line, 0]) * slope[line])
        np.minimum.at(low, column + aside, y)
        np.maximum.at(high, column + aside, y)
    return low, high
