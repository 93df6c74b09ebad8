"""Where lines run on a sheet, asked band by band: what is clear of them is room for words. Lengths in mm, y up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from drafting.path import Path
from drafting.point import Motion
from output.drawing.lettering import Box

Floats = NDArray[np.float64]

FLAT: Final = 0.05
"""mm; curves are seen as straight pieces this close to them."""


class Ink:
    """Straight pieces of what is drawn, as rows: x and y of the lower ends, x and y of the upper, and dx over dy.

    A level piece has no slope, so it is met from end to end; so is a box, which is one piece as well.
    """

    def __init__(self, rows: Floats) -> None:
        self._rows = rows

    @staticmethod
    def of(paths: Iterable[Path]) -> Ink:
        """What paths draw, each as thin as its middle."""
        lines = [path.array(tolerance=FLAT) for path in paths]
        points = np.concatenate(lines).T
        drawn = np.ones(points.shape[1], dtype=bool)
        drawn[np.cumsum([len(line) for line in lines]) - 1] = False  # nothing is from one path's end to the next
        return Ink._through(points[:, drawn], points[:, 1:][:, drawn[:-1]])

    @staticmethod
    def _through(start: Floats, end: Floats) -> Ink:
        low, high = np.where(start[1] > end[1], (end, start), (start, end))
        along, up = high - low
        level = up == 0
        return Ink(np.vstack((low, high, np.where(level, 0.0, along) / np.where(level, 1.0, up))))

    def seen(self, turn: Motion) -> Ink:
        """The same after a turn about the origin; not for boxes."""
        if turn == Motion():
            return self
        by = np.array(((turn.a, turn.c), (turn.b, turn.d)))
        return Ink._through(by @ self._rows[:2], by @ self._rows[2:4])

    def with_boxes(self, boxes: Sequence[Box]) -> Ink:
        """The same, and boxes."""
        if not boxes:
            return self
        left, bottom, right, top = np.array(boxes).T
        return Ink(np.hstack((self._rows, (left, bottom, right, top, np.zeros(len(boxes))))))

    def between(self, low: float, high: float) -> tuple[Floats, Floats]:
        """From which x to which x each piece runs that enters the level band from `low` to `high`; in order of from."""
        rows = self._rows
        first, bottom, last, top, slope = rows[:, (rows[1] < high) & (rows[3] > low)]
        enters = first + slope * np.maximum(low - bottom, 0.0)
        leaves = last - slope * np.maximum(top - high, 0.0)
        left, right = np.minimum(enters, leaves), np.maximum(enters, leaves)
        order = left.argsort()
        return left[order], right[order]

    def gaps(self, low: float, high: float, wide: float) -> list[tuple[float, float]]:
        """The stretches of a level band, wider than `wide`, that nothing enters, between two pieces that do."""
        left, right = self.between(low, high)
        reach = np.maximum.accumulate(right)
        found = (left[1:] - reach[:-1] > wide).nonzero()[0]
        return list(zip(reach[found].tolist(), left[found + 1].tolist(), strict=True))


def boxes_seen(boxes: Sequence[Box], turn: Motion) -> list[Box]:
    """The upright boxes that hold boxes after a turn about the origin."""
    if not boxes or turn == Motion():
        return list(boxes)
    left, bottom, right, top = np.array(boxes).T
    xs, ys = np.stack((left, left, right, right)), np.stack((bottom, top, bottom, top))
    xs, ys = turn.a * xs + turn.c * ys, turn.b * xs + turn.d * ys
    ends = (xs.min(axis=0), ys.min(axis=0), xs.max(axis=0), ys.max(axis=0))
    return list(zip(*(end.tolist() for end in ends), strict=True))
