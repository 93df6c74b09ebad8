"""Several sizes of each piece drawn over one another, each size on a layer of its own over all pages.

A size is its cut line, in its own pattern and colour, with its notches and, beyond what all sizes share, its casing
lines. Its label stands in its cut line, which a white patch breaks there, so that no reader need ask which line it
names. Seam lines are left out, because they would double the lines to tell apart. What sizes share - casing lines, as
far as all have them, grainline, title - is on the layers of all those sizes, shown while one of them is. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from blocks.design import CHOICE, PRACTICE
from blocks.parameters import check_parameters, parameter
from drafting.path import Path
from drafting.piece import Piece
from drafting.point import Point, Vector
from output import text as words
from output.cover import cover_pages
from output.flow import Table
from output.labels import NO_JOINS, Floats, Joins, dotted, label_stack
from output.layout import FLAT, Stack, lay_out_stacks
from output.lettering import text_box
from output.marks import MarkStyle, grain_strokes, notch_ticks
from output.paper import Paper, Tiling
from output.pdf import Document, text_width
from output.sheet import FOLD, STITCH, Pen, Sheet, Stroke, Text
from output.size_lines import WIDTH
from output.tiled import TiledPdf, joins_of, published

Ints = NDArray[np.int64]

CASING_WIDTH: Final = 0.25
"""mm; casing lines are finer than on a single size, well apart from the cut lines."""

PATCH: Final = Pen(0.0, colour=(1.0, 1.0, 1.0))

CAP: Final = 0.73
"""Height of capitals and figures, as a share of the size (OS/2 table of the fonts)."""


@dataclass(frozen=True, slots=True)
class SizeLabels:
    """The labels in the cut lines.

    Raises:
        DesignError: a parameter is outside its range.
    """

    size: float = parameter(2.6, "mm", 1.8, 5, "the font's em", CHOICE)
    smallest: float = parameter(1.8, "mm", 1.5, 3, "where sizes lie too close for larger ones", PRACTICE)
    every: float = parameter(110, "mm", 40, 400, "a line is labelled about once in this length", CHOICE)
    clear: float = parameter(0.4, "mm", 0.2, 2, "between a label and any line but its own", CHOICE)
    bend: float = parameter(0.25, "mm", 0.05, 1, "most that a line may bend beneath its label", CHOICE)
    gap: float = parameter(0.7, "mm", 0.2, 3, "between the ends of a label and its line", CHOICE)

    def __post_init__(self) -> None:
        check_parameters(self, "size labels")


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

MARKS: Final = MarkStyle(fold_reach=3, long_reach=3)
"""Notches end well before the line of the next size."""


def nested_pdf(
    stacks: Sequence[Stack],
    pens: Mapping[str, Pen],
    *,
    paper: Paper,
    title: str,
    rise: str = "",
    group: str = "",
    author: str = "",
    tables: Sequence[Table] = (),
    tiling: Tiling | None = None,
) -> TiledPdf:
    """Stacks of pieces tiled on `paper`, each size a layer. The same arguments give the same bytes.

    `pens` are those of the sizes' cut lines, smallest first; `group` is the heading of their layers in the reader.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
        DraftError: there is no piece.
    """
    layout = lay_out_stacks(stacks, paper, tiling=tiling)
    joins = joins_of(layout)
    sheet = draw_nested(layout.stacks, pens, width=layout.width, height=layout.height, design=title, joins=joins)
    first, *_, last = (*pens, *pens)
    span = words.sizes_span(first, last)
    cover = cover_pages(
        layout, title=title, size=span, rise=rise, workroom=author, tables=tables, paper=paper, cut_lines=pens
    )
    about = f"{title} · {words.size_line(span, rise)}"
    document = Document(title=f"{about} · {paper.name}", author=author, layers=tuple(pens), group=group or about)
    return published(document, layout, sheet, cover, paper=paper, title=title, about=about)


def draw_nested(
    stacks: Sequence[Stack],
    pens: Mapping[str, Pen],
    *,
    width: float,
    height: float,
    design: str,
    joins: Joins = NO_JOINS,
    style: SizeLabels = LABELS,
) -> Sheet:
    """A sheet with stacks that already lie where they are to be printed.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
    """
    strokes: list[Stroke] = []
    texts: list[Text] = []
    for stack in stacks:
        lines = [*_grain(stack), *_casing_lines(stack), *(s for piece in stack for s in _own(piece, pens[piece.size]))]
        labels = _size_labels(stack, lines, (width, height), joins, style)
        strokes += [*lines, *(patch for patch, _ in labels)]
        named = [text for _, text in labels]
        span = words.sizes_span(stack[0].size, stack[-1].size)
        heading = (*words.piece_heading(replace(stack[0], size=span), design), words.ONE_SIZE)
        taken = [text_box(text) for text in named]
        texts += named
        texts += label_stack(stack, lines, heading=heading, taken=taken, joins=joins)
    return Sheet(width, height, tuple(strokes), tuple(texts), tuple(p.cut_line for stack in stacks for p in stack))


def _own(piece: Piece, pen: Pen) -> Iterator[Stroke]:
    """What is drawn for one size alone, but for its casing lines."""
    on = (piece.size,)
    yield Stroke(piece.cut_line, pen, layers=on)
    solid = Pen(pen.width, colour=pen.colour)
    for notch in piece.notches:
        for tick in notch_ticks(notch, style=MARKS):
            yield Stroke(tick, solid, layers=on)


def _grain(stack: Stack) -> Iterator[Stroke]:
    """The grainline of the smallest size: it lies within all."""
    every = tuple(piece.size for piece in stack)
    for stroke in grain_strokes(stack[0].grainline):
        yield replace(stroke, layers=every)


def _casing_lines(stack: Stack) -> Iterator[Stroke]:
    """Each casing line once as far as all sizes that have it share it, and what each has beyond that."""
    found: dict[tuple[str, float, float], list[tuple[str, float, float, Pen]]] = {}
    for piece in stack:
        for lines, pen in ((piece.fold_lines, FOLD), (piece.stitch_lines, STITCH)):
            for line in lines:
                start, end = (line.start, line.end) if line.start.x <= line.end.x else (line.end, line.start)
                place = (line.name, round(start.y, 3), round(end.y, 3))
                found.setdefault(place, []).append((piece.size, start.x, end.x, pen))
    for (_, y, far), having in found.items():
        low, high = max(left for _, left, _, _ in having), min(right for _, _, right, _ in having)
        if low >= high or y != far:  # nothing is shared, or it is not level
            low = high = -inf
        else:
            yield _casing_line(having[0][3], low, high, y, y, tuple(size for size, *_ in having))
        for size, left, right, pen in having:
            for begin, stop in ((left, low), (max(left, high), right)):
                if stop - begin > FLAT:
                    yield _casing_line(pen, begin, stop, y, far, (size,))


def _casing_line(pen: Pen, left: float, right: float, y: float, far: float, layers: tuple[str, ...]) -> Stroke:
    """A line whose dashes lie where those of every other line at its height do, and so never fill their gaps."""
    fine = Pen(CASING_WIDTH, pen.dash, pen.colour, round(left % sum(pen.dash), 3))
    return Stroke(Path.through(Point(left, y), Point(right, far)), fine, layers=layers)


def _size_labels(
    stack: Stack, lines: Sequence[Stroke], extent: tuple[float, float], joins: Joins, style: SizeLabels
) -> list[tuple[Stroke, Text]]:
    """Each size's label in its own cut line, and the patch that breaks the line there, at as many places as have room.

    Sizes beside each other are labelled at different places along the line.
    """
    tracks = [_spaced(piece.cut_line) for piece in stack]
    outlines = {id(piece.cut_line) for piece in stack}
    marks = dotted(stroke for stroke in lines if id(stroke.path) not in outlines)
    found: list[tuple[Stroke, Text]] = []
    missing = list(range(len(stack)))
    size = style.size
    while missing and size >= style.smallest:
        beside_line = size * CAP / 2 + style.clear + STEP / 4
        beside_label = beside_line + style.size * CAP / 2
        ground = _Ground(extent)
        for number, track in enumerate(tracks):
            ground.claim(track, number, beside_line)
        ground.claim(marks, MARKED, beside_line)
        for _, text in found:
            ground.claim(_row(text), MARKED, beside_label)
        unlabelled = []
        for number in missing:
            places = list(_places(tracks[number], number, stack[number].size, size, ground, joins, style))
            for start, end in places:
                found.append(_label(start, end, stack[number].size, size, style))
                ground.claim(_row(found[-1][1]), MARKED, beside_label)
            if not places:
                unlabelled.append(number)
        missing, size = unlabelled, size * SHRINK
    return found


class _Ground:
    """Who has drawn near each place of a sheet: nobody, one size, or what no label may touch."""

    def __init__(self, extent: tuple[float, float]) -> None:
        self._columns, rows = (ceil(side / CELL) + 2 * MARGIN_CELLS for side in extent)
        self._owner = np.full(rows * self._columns, NOBODY, dtype=np.int16)

    def _cells(self, points: Floats) -> Ints:
        x, y = (np.floor(points / CELL).astype(np.int64) + MARGIN_CELLS).T
        cells: Ints = y * self._columns + x
        return cells

    def claim(self, points: Floats, owner: int, reach: float) -> None:
        """Mark all that lies within reach of points; what two have claimed is nobody's to label."""
        wide = np.arange(-ceil(reach / CELL), ceil(reach / CELL) + 1)
        x, y = np.meshgrid(wide, wide)
        near = (y * self._columns + x)[np.hypot(x, y) * CELL <= reach + CELL / 2]
        around = (np.unique(self._cells(points))[:, None] + near).ravel()
        before = self._owner[around]
        self._owner[around] = np.where((before == NOBODY) | (before == owner), owner, MARKED)

    def belongs(self, points: Floats, owner: int) -> NDArray[np.bool_]:
        belongs: NDArray[np.bool_] = self._owner[self._cells(points)] == owner
        return belongs


def _places(
    track: Floats, number: int, label: str, size: float, ground: _Ground, joins: Joins, style: SizeLabels
) -> Iterator[tuple[Point, Point]]:
    """Where a label may stand in a line: the ends of straight stretches near which no other line runs."""
    room = ceil((text_width(label, size, bold=True) + 2 * style.gap) / STEP)
    starts = len(track) - room
    if starts <= 0:
        return
    free = ground.belongs(track, number)
    straight = _bend(track, room) <= style.bend
    spans = max(1, round(len(track) * STEP / style.every))
    shift = (number % STAGGER + 0.5) / STAGGER
    aims = (np.arange(spans) + shift) * len(track) / spans - room / 2
    taken = np.zeros(len(track), dtype=bool)
    for clear in (free & ~_joined(track, joins, size), free):
        fits = straight & _all_of(clear & ~taken, room)
        places = np.flatnonzero(fits)
        if not len(places):
            continue
        for aim in aims:
            nearest = int(places[np.argmin(np.abs(places - aim))])
            if abs(nearest - aim) <= len(track) / spans / 2 and not taken[nearest : nearest + room].any():
                taken[max(0, nearest - room) : nearest + 2 * room] = True
                yield Point(*track[nearest].tolist()), Point(*track[nearest + room].tolist())
        if taken.any():
            return


def _all_of(flags: NDArray[np.bool_], room: int) -> NDArray[np.bool_]:
    """For each start, whether the flag is set from there to the end of a stretch."""
    count = np.concatenate(((0,), np.cumsum(flags)))
    whole: NDArray[np.bool_] = count[room + 1 :] - count[: -room - 1] == room + 1
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


def _joined(track: Floats, joins: Joins, size: float) -> NDArray[np.bool_]:
    """Which points lie in a strip that two pages print, or on a register mark."""
    reach = joins.overlap + size
    hit = np.zeros(len(track), dtype=bool)
    for axis, places in enumerate((joins.xs, joins.ys)):
        for place in places:
            hit |= np.abs(track[:, axis] - place) < reach
    for left, bottom, right, top in joins.marks:
        hit |= np.all((track > (left - size, bottom - size)) & (track < (right + size, top + size)), axis=1)
    return hit


def _label(start: Point, end: Point, label: str, size: float, style: SizeLabels) -> tuple[Stroke, Text]:
    """A label on the chord of its line, read from below or, where it is steep, from the right; and its patch."""
    degrees = float(np.degrees(np.arctan2(end.y - start.y, end.x - start.x)))
    if not STEEPEST - 180 < degrees <= STEEPEST:
        start, end, degrees = end, start, degrees - 180 if degrees > 0 else degrees + 180
    along = (end - start).unit()
    up, middle, width = along.left(), start.toward(end, 0.5), text_width(label, size, bold=True)
    wide, tall = along * (width / 2 + style.gap), up * (style.bend + WIDTH)
    corners = (middle - wide - tall, middle + wide - tall, middle + wide + tall, middle - wide + tall)
    patch = Stroke(Path.through(*corners, corners[0]), PATCH, filled=True, layers=(label,))
    at = middle - along * (width / 2) - up * (size * CAP / 2)
    return patch, Text(at, label, size, bold=True, angle=round(degrees, 3), layers=(label,))


def _row(text: Text) -> Floats:
    """Points along the middle of a label."""
    along = Vector.at_angle(text.angle)
    start = text.at + along.left() * (text.size * CAP / 2)
    places = np.arange(0.0, text_width(text.text, text.size, bold=True) + STEP, STEP)
    points: Floats = np.array((start.x, start.y)) + places[:, None] * np.array((along.x, along.y))
    return points


def _spaced(path: Path) -> Floats:
    """Points along a path, as nearly a step apart as they divide it evenly."""
    corners = path.array(tolerance=0.05)
    along = np.concatenate(((0.0,), np.cumsum(np.hypot(*np.diff(corners, axis=0).T))))
    places = np.linspace(0.0, along[-1], max(2, round(along[-1] / STEP) + 1))
    return np.column_stack((np.interp(places, along, corners[:, 0]), np.interp(places, along, corners[:, 1])))
