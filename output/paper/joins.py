"""How much cut line runs along the joins of pages, for every place that a piece may have over them. In mm.

A line that runs along a join is trimmed off with the page or lies on the edge of the tape, and is cut wrong. So the
layout asks here where a piece may be shifted. An answer holds for joins that go on and on, so it errs on the safe side
where a neighbouring page is not printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import ClassVar, Final

import numpy as np
from numpy.typing import NDArray

from blocks.parameters import CHOICE, Parameters, parameter
from drafting.role import Role
from output.drawing.ink import FLAT
from output.drawing.marks import STYLE as MARKS
from output.drawing.pens import PENS

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class JoinStyle(Parameters):
    """What counts as a cut line along a join."""

    called: ClassVar[str] = "joins"

    near: float = parameter(5, "mm", 2, 10, "a cut line along a join keeps so far off it", CHOICE)
    long: float = parameter(40, "mm", 20, 200, "a shorter stretch near a join only crosses it", CHOICE)


STYLE: Final = JoinStyle()

STEP: Final = 2.0
"""mm; a cut line is seen as points no further apart."""

MARK_STEP: Final = 1.0
"""mm; between the places along a join that are tried for a register mark."""

FINE: Final = 0.5
"""mm; places of a join are told apart when they are further apart."""


MARK_REACH: Final = MARKS.register_arm + PENS[Role.CUT].width / 2 + 0.5
"""mm; kept free round the centre of a register mark, of the middle of any cut line."""

BEND: Final = 2 * MARKS.register_arm + 1
"""mm; between two register marks at least, and from the corner where joins meet to one that has moved."""


def mark_places(left: Floats, right: Floats, length: float) -> tuple[float, ...]:
    """Where along a join its register marks stand, when lines run across it from each left to each right.

    There are three, at the ends and in the middle; one that a line would run through is moved to the nearest place
    where none does, or left out when there is none: then so many lines cross the join that they show how it lies.
    """
    left, right = left - MARK_REACH, right + MARK_REACH
    kept: list[float] = []
    for share in (0.0, 1.0, 0.5):
        place = _free(left, right, share * length, length, kept)
        if place is not None:
            kept.append(place)
    return tuple(sorted(kept))


def _free(left: Floats, right: Floats, aim: float, length: float, taken: Sequence[float]) -> float | None:
    """The place nearest to an aim that no line runs through, if any; apart from the aim it keeps off other marks."""
    places = np.concatenate(((aim,), np.arange(BEND, length - BEND, MARK_STEP)))
    places = places[np.abs(places - aim).argsort(kind="stable")]
    places = places[np.abs(places - aim) <= length / 2]
    crossed = ((left < places[:, None]) & (right > places[:, None])).any(axis=1)
    crossed |= (np.abs(places[:, None] - np.array(taken)) < BEND).any(axis=1)
    at = int(crossed.argmin())
    return None if crossed[at] else float(places[at])


@dataclass(frozen=True, eq=False)
class Cover:
    """What joins would cover of one or more outlines, by the join's place: a millimetre for each stretch that starts
    there and is too long. It is nothing where nothing is covered.

    `low` is the first place, the others follow `FINE` mm apart; one row for upright joins, one for level ones.
    """

    low: tuple[float, float]
    covered: tuple[Floats, Floats]

    def along(self, axis: int, joins: Floats, shifts: Floats) -> Floats:
        """How much lies along each join after each shift of the outlines along an axis; shape (shifts, joins)."""
        places = np.floor((joins - shifts[:, None] - self.low[axis]) / FINE).astype(np.int64) + 1
        row = self.covered[axis]
        found: Floats = row[places.clip(0, len(row) - 1)]
        return found


def cover_of(outlines: Sequence[Floats], *, style: JoinStyle = STYLE) -> Cover:
    """What joins would cover of closed outlines, each given as its corners, the first of them repeated as the last."""
    found = [_stretches(outline, style) for outline in outlines]
    rows = [_row([ends[axis] for ends in found]) for axis in (0, 1)]
    return Cover((rows[0][0], rows[1][0]), (rows[0][1], rows[1][1]))


def _stretches(outline: Floats, style: JoinStyle) -> tuple[Floats, Floats]:
    """From which to which place of an upright join, and of a level one, each stretch is covered that is too long."""
    along = np.concatenate(((0.0,), np.cumsum(np.hypot(*np.diff(outline, axis=0).T))))
    count = ceil(along[-1] / STEP)
    # a stretch that is too long has at least so many points, wherever they begin
    window = max(2, int(style.long / (along[-1] / count)))
    # an outline has no end, so its first stretch is met again after its last
    near = style.near + FLAT
    places = np.arange(count + min(window, count)) * (along[-1] / count) % along[-1]
    ends = []
    for axis in (0, 1):
        values = np.interp(places, along, outline[:, axis])
        begin, end = _most(values, window) - near, -_most(-values, window) + near
        covered = begin < end
        ends.append(np.stack((begin[covered], end[covered])))
    return ends[0], ends[1]


def _most(values: Floats, window: int) -> Floats:
    """The largest of each `window` values that follow one another."""
    wide = 1
    while 2 * wide <= window:
        values = np.maximum(values[:-wide], values[wide:])
        wide *= 2
    rest = window - wide
    return np.maximum(values[: len(values) - rest], values[rest:])


def _row(stretches: Iterable[Floats]) -> tuple[float, Floats]:
    """The first place, and for it and those after it how many stretches are covered; nothing at both ends."""
    begin, end = np.concatenate(list(stretches), axis=1)
    if not len(begin):
        return 0.0, np.zeros(2)
    low = float(begin.min())
    first, after = (np.floor((begin - low) / FINE).astype(np.int64), np.ceil((end - low) / FINE).astype(np.int64))
    size = int(after.max()) + 1
    count = np.cumsum(np.bincount(first, minlength=size) - np.bincount(after, minlength=size))
    return low, np.concatenate(((0.0,), count * STEP))
