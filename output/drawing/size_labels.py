"""Size labels in the cut lines of a nested sheet, each where nothing but its own line runs. Lengths in mm, y up.

A label stands on its line like a height on a contour line; a white patch breaks the line beneath it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor
from typing import ClassVar, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from blocks.parameters import CHOICE, PRACTICE, Parameters, parameter
from drafting.path import Path
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.ink import FLAT, Floats
from output.drawing.labels import NO_JOINS, Joins
from output.drawing.pens import stroked
from output.drawing.sheet import Stroke, Text
from output.words.letters import text_width

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

CAP: Final = 0.73
"""Height of capitals and figures, as a share of the size (OS/2 table of the fonts)."""


@dataclass(frozen=True, slots=True)
class SizeLabels(Parameters):
    """The labels in the cut lines."""

    called: ClassVar[str] = "size labels"

    size: float = parameter(2.6, "mm", 1.8, 5, "the font's em", CHOICE)
    smallest: float = parameter(1.8, "mm", 1.5, 3, "where sizes lie too close for larger ones", PRACTICE)
    every: float = parameter(110, "mm", 40, 400, "a line is labelled about once in this length", CHOICE)
    clear: float = parameter(0.4, "mm", 0.2, 2, "between a label and any line but its own", CHOICE)
    bend: float = parameter(0.25, "mm", 0.05, 1, "most that a line may bend beneath its label", CHOICE)
    gap: float = parameter(0.7, "mm", 0.2, 3, "between the ends of a label and its line", CHOICE)


LABELS: Final = SizeLabels()

STEP: Final = 1.0
"""mm; a cut line is seen as points this far apart."""

CELL: Final = 0.5
"""mm; side of a cell of the map that tells which size has the paper."""

NOBODY, MARKED = -1, -2

MARGIN_CELLS: Final = 12
"""Cells round the sheet, for what reaches beyond it."""

STAGGER: Final = 3
"""Sizes until one is labelled at the same place as the first again."""

STEEPEST: Final = 110.0
"""degrees; a steeper label is turned the other way about."""

SHRINK: Final = 0.85
"""Letters that have no room are tried smaller by this."""


class SizeLabel(NamedTuple):
    """A label and the patch that breaks its line beneath it."""

    patch: Stroke
    text: Text


class _Line(NamedTuple):
    """A cut line as points a step apart; `stack` is the number of its piece."""

    stack: int
    stroke: Stroke
    points: Floats

    @property
    def label(self) -> str:
        return self.stroke.layers[0]


def size_labels(
    cut_lines: Sequence[Sequence[Stroke]],
    marks: Sequence[Stroke],
    *,
    extent: tuple[float, float],
    joins: Joins = NO_JOINS,
    style: SizeLabels = LABELS,
) -> list[list[SizeLabel]]:
    """For each piece the labels in its sizes' cut lines, at as many places as have room.

    Each cut line names its size as its layer. `marks` are all other strokes, `extent` is the size of the sheet. Sizes
    beside each other are labelled at different places. Where a size has no room on a piece, its labels there are set
    smaller; a line that lies too near others all the way has none.
    """
    lines = [_Line(i, stroke, _spaced(stroke.path)) for i, strokes in enumerate(cut_lines) for stroke in strokes]
    dots = _dotted(marks) if marks else np.empty((0, 2))
    found: list[list[SizeLabel]] = [[] for _ in cut_lines]
    ground = _Ground(extent)
    for number, line in enumerate(lines):
        ground.draw(line.points, number)
    ground.draw(dots, MARKED)
    widest = max((line.stroke.pen.width for line in lines), default=0.0)
    missing, size = list(range(len(lines))), style.size
    while missing and size >= style.smallest:
        half = size * CAP / 2
        free = _Free(ground, joins, half, half + style.clear + widest / 2)
        free.take([label.text for labels in found for label in labels], style.size * CAP / 2)
        unlabelled = []
        for number in missing:
            line = lines[number]
            labels = [_label(*place, line, size, style) for place in _places(line, number, size, free, style)]
            free.take([label.text for label in labels], half)
            found[line.stack] += labels
            if not labels:
                unlabelled.append(number)
        missing, size = unlabelled, size * SHRINK
    return found


class _Ground:
    """Who draws on each cell of a sheet: nobody, one size, or what no label may touch."""

    def __init__(self, extent: tuple[float, float]) -> None:
        self.columns, self.rows = (ceil(side / CELL) + 2 * MARGIN_CELLS for side in extent)
        # Owners are kept from NOBODY up: a map of zeros costs nothing where nobody draws.
        self._owner = np.zeros(self.rows * self.columns, dtype=np.int16)

    def cells(self, points: Floats) -> Ints:
        x, y = (np.floor(points / CELL).astype(np.int64) + MARGIN_CELLS).T
        cells: Ints = y * self.columns + x
        return cells

    def disk(self, reach: float) -> Ints:
        """From any cell to all those within reach of it."""
        return _disk(reach, self.columns)

    def draw(self, points: Floats, owner: int) -> None:
        """What two have drawn on is nobody's to label."""
        cells = self.cells(points)
        before = self._owner[cells] + NOBODY
        self._owner[cells] = np.where((before == NOBODY) | (before == owner), owner, MARKED) - NOBODY

    def alone(self, cells: Ints, owner: int, disk: Ints) -> Flags:
        """Whether nobody but the owner has drawn near each cell."""
        near = self._owner.take(disk[:, None] + cells)
        alone: Flags = ((near == 0) | (near == owner - NOBODY)).all(axis=0)
        return alone


@lru_cache(maxsize=64)
def _disk(reach: float, columns: int) -> Ints:
    wide = np.arange(-ceil(reach / CELL), ceil(reach / CELL) + 1)
    x, y = np.meshgrid(wide, wide)
    near: Ints = (y * columns + x)[np.hypot(x, y) * CELL <= reach + CELL / 2]
    return near


class _Free:
    """Where labels of one height may stand: `half` of it beside the middle of their line, `beside_line` off others."""

    def __init__(self, ground: _Ground, joins: Joins, half: float, beside_line: float) -> None:
        self._ground, self._reach = ground, beside_line
        self._disk = ground.disk(beside_line)
        self._taken = np.zeros(ground.rows * ground.columns, dtype=bool)
        joined = np.zeros((ground.rows, ground.columns), dtype=bool)
        reach = joins.overlap + half
        for x in joins.xs:
            joined[:, _span(x - reach, x + reach)] = True
        for y in joins.ys:
            joined[_span(y - reach, y + reach)] = True
        for left, bottom, right, top in joins.marks:
            joined[_span(bottom - half, top + half), _span(left - half, right + half)] = True
        self._joined = joined.ravel()

    def take(self, labels: Sequence[Text], half: float) -> None:
        """Keep further labels off these, which are twice `half` high."""
        if labels:
            cells = np.unique(self._ground.cells(np.concatenate([_row(label) for label in labels])))
            self._taken[cells[:, None] + self._ground.disk(self._reach + half)] = True

    def along(self, points: Floats, owner: int) -> tuple[Flags, Flags]:
        """Whether each point is its owner's alone; and whether it also keeps off the joins of pages and their marks."""
        cells = self._ground.cells(points)
        alone: Flags = self._ground.alone(cells, owner, self._disk) & ~self._taken[cells]
        return alone, alone & ~self._joined[cells]


def _span(low: float, high: float) -> slice:
    return slice(max(0, floor(low / CELL) + MARGIN_CELLS), max(0, ceil(high / CELL) + MARGIN_CELLS))


def _places(line: _Line, number: int, size: float, free: _Free, style: SizeLabels) -> Iterator[tuple[Point, Point]]:
    """Where a label may stand in a line: the ends of straight stretches near which no other line runs."""
    track = line.points
    room = ceil((text_width(line.label, size, bold=True) + 2 * style.gap) / STEP)
    if len(track) <= room:
        return
    straight = _bend(track, room) <= style.bend
    spans = max(1, round(len(track) * STEP / style.every))
    shift = (number % STAGGER + 0.5) / STAGGER
    aims = (np.arange(spans) + shift) * len(track) / spans - room / 2
    alone, off_joins = free.along(track, number)
    for clear in (off_joins, alone):
        places = np.flatnonzero(straight & _all_of(clear, room))
        if not len(places):
            continue
        nearest = places[np.abs(places - aims[:, None]).argmin(axis=1)]
        near, after = np.abs(nearest - aims) <= len(track) / spans / 2, 0
        for place in nearest[near].tolist():
            if place >= after:
                after = place + 2 * room
                yield Point(*track[place].tolist()), Point(*track[place + room].tolist())
        if after:
            return


def _all_of(flags: Flags, room: int) -> Flags:
    """For each start, whether the flag is set from there to the end of a stretch."""
    count = np.concatenate(((0,), np.cumsum(flags)))
    whole: Flags = count[room + 1 :] - count[: -room - 1] == room + 1
    return whole


def _bend(track: Floats, room: int) -> Floats:
    """For each start, how far the line strays from the chord of its stretch."""
    start, end = track[:-room], track[room:]
    chord = end - start
    length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    most = np.maximum(0.0, room * STEP - length)  # a corner shortens the chord
    for share in (0.25, 0.5, 0.75):
        at = track[round(room * share) : len(track) - room + round(room * share)] - start
        most = np.maximum(most, np.abs(at[:, 0] * chord[:, 1] - at[:, 1] * chord[:, 0]) / length)
    bend: Floats = most
    return bend


def _label(start: Point, end: Point, line: _Line, size: float, style: SizeLabels) -> SizeLabel:
    """A label on the chord of its line, read from below or, where it is steep, from the right; and its patch."""
    degrees = math.degrees(math.atan2(end.y - start.y, end.x - start.x))
    if not STEEPEST - 180 < degrees <= STEEPEST:
        start, end, degrees = end, start, degrees - 180 if degrees > 0 else degrees + 180
    along = (end - start).unit()
    middle, width = start.toward(end, 0.5), text_width(line.label, size, bold=True)
    wide, tall = width / 2 + style.gap, style.bend + line.stroke.pen.width

    def at(right: float, up: float) -> Point:
        return Point(middle.x + along.x * right - along.y * up, middle.y + along.y * right + along.x * up)

    corners = (at(-wide, -tall), at(wide, -tall), at(wide, tall), at(-wide, tall))
    layers = (line.label,)
    patch = stroked(Path.through(*corners, corners[0]), Role.PATCH, filled=True, layers=layers)
    foot = at(-width / 2, -size * CAP / 2)
    return SizeLabel(patch, Text(foot, line.label, size, bold=True, angle=round(degrees, 3), layers=layers))


def _row(text: Text) -> Floats:
    """Points along the middle of a label."""
    along = Vector.at_angle(text.angle)
    start = text.at + along.left() * (text.size * CAP / 2)
    places = np.arange(0.0, text_width(text.text, text.size, bold=True) + STEP, STEP)
    points: Floats = np.array((start.x, start.y)) + places[:, None] * np.array((along.x, along.y))
    return points


def _dotted(strokes: Iterable[Stroke]) -> Floats:
    """Points along all strokes, no further apart than a step."""
    lines = [stroke.path.array(tolerance=FLAT) for stroke in strokes]
    start, end = (np.concatenate(ends) for ends in ([line[:-1] for line in lines], [line[1:] for line in lines]))
    along = end - start
    parts = np.maximum(1, np.ceil(np.hypot(along[:, 0], along[:, 1]) / STEP)).astype(np.int64)
    step = np.arange(parts.sum(), dtype=np.float64)
    step -= np.repeat(np.cumsum(parts) - parts, parts)
    # Filled in place and by columns: with so many points, memory costs more than sums.
    points = np.empty((2, len(step) + len(parts)))
    for axis, row in enumerate(points):
        inner = row[: len(step)]
        np.multiply(np.repeat(along[:, axis] / parts, parts), step, out=inner)
        inner += np.repeat(start[:, axis], parts)
        row[len(step) :] = end[:, axis]
    return points.T


def _spaced(path: Path) -> Floats:
    """Points along a path, as nearly a step apart as they divide it evenly."""
    corners = path.array(tolerance=FLAT)
    along = np.concatenate(((0.0,), np.cumsum(np.hypot(*np.diff(corners, axis=0).T))))
    places = np.linspace(0.0, along[-1], max(2, round(along[-1] / STEP) + 1))
    return np.column_stack((np.interp(places, along, corners[:, 0]), np.interp(places, along, corners[:, 1])))
