"""Printed matter that flows down as many pages as it needs: headings, lists, tables and drawings. In mm, y up.

A part is built with its upper left corner at the origin; it never breaks, but a table may, between two rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from drafting.errors import OutputError
from drafting.path import Path
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.lettering import TextBlock, TextLine, wrap
from output.drawing.pens import stroked
from output.drawing.sheet import Stroke, Text
from output.words import text as words
from output.words.font import ASCENT
from output.words.letters import text_width

HEADING_SIZE: Final = 4.6
BODY_SIZE: Final = 3.3
SMALL_SIZE: Final = 2.6
GAP: Final = 6.0
INDENT: Final = 5.5
ROW_GAP: Final = 0.6

SLACK: Final = 1e-6
"""mm; heights that differ by less are alike: sums of the same heights may round differently."""

NARROWEST: Final = 18.0
"""mm; share of a column in a table that has many: one with more columns than that leaves room for is divided."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """One page's strokes and texts, from the paper's lower left corner."""

    strokes: tuple[Stroke, ...]
    texts: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """Strokes and texts below and to the right of the origin, and further parts, each from its own (x, y).

    All of it is on the `layers`, if any are named: see `output.drawing.sheet`.
    """

    width: float
    height: float
    strokes: tuple[Stroke, ...] = ()
    texts: tuple[Text, ...] = ()
    parts: tuple[tuple[float, float, Part], ...] = ()
    layers: tuple[str, ...] = ()

    def drawn(self, x: float, y: float, layers: tuple[str, ...] = ()) -> Drawing:
        """All of it, the origin at (x, y)."""
        strokes: list[Stroke] = []
        texts: list[Text] = []
        self._draw(x, y, layers, strokes, texts)
        return Drawing(tuple(strokes), tuple(texts))

    def _draw(self, x: float, y: float, layers: tuple[str, ...], strokes: list[Stroke], texts: list[Text]) -> None:
        on = self.layers or layers
        if self.strokes:
            shift = Motion.shift(Vector(x, y))
            strokes += [Stroke(one.path.moved(shift), one.role, one.pen, one.filled, on) for one in self.strokes]
        texts += [
            Text(Point(text.at.x + x, text.at.y + y), text.text, text.size, text.bold, text.angle, on)
            for text in self.texts
        ]
        for dx, dy, part in self.parts:
            part._draw(x + dx, y + dy, on, strokes, texts)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under a heading; `header` names the columns. `layers` has those of each row, or is empty."""

    heading: str
    rows: tuple[tuple[str, ...], ...]
    header: tuple[str, ...] = ()
    layers: tuple[tuple[str, ...], ...] = ()


def stack(*parts: Part, gap: float = 2.0) -> Part:
    """Parts one below the other."""
    placed, y = [], 0.0
    for part in parts:
        placed.append((0.0, y, part))
        y -= part.height + gap
    return Part(max(part.width for part in parts), -y - gap, parts=tuple(placed))


def beside(*parts: Part, gap: float = GAP) -> Part:
    """Parts from left to right, their tops level."""
    placed, x = [], 0.0
    for part in parts:
        placed.append((x, 0.0, part))
        x += part.width + gap
    return Part(x - gap, max(part.height for part in parts), parts=tuple(placed))


def block(*lines: TextLine) -> Part:
    """Lines of text."""
    whole = TextBlock(lines)
    height = whole.height
    return Part(whole.width, height, texts=tuple(whole.texts(Point(0, -height))))


@lru_cache(maxsize=512)
def paragraph(text: str, width: float, *, size: float = BODY_SIZE, bold: bool = False) -> Part:
    """A text wrapped to a width."""
    return block(*(TextLine(part, size, bold) for part in wrap(text, width, size, bold=bold)))


def section(heading: str, *parts: Part) -> Part:
    """Parts below a heading, never torn from it."""
    return stack(block(TextLine(heading, HEADING_SIZE, bold=True)), *parts)


def listing(items: Sequence[str], width: float, *, bullet: str = "") -> Part:
    """Items one below the other, numbered unless a bullet is given."""
    parts = []
    for number, item in enumerate(items, 1):
        sign = Text(Point(0, -ASCENT * BODY_SIZE), bullet or f"{number}", BODY_SIZE, bold=not bullet)
        parts.append(beside(Part(INDENT, 0, texts=(sign,)), paragraph(item, width - INDENT), gap=0))
    return stack(*parts, gap=0.7)


class Flow:
    """Parts down pages of `width` by `height`, each on the first page with room for it after the one before."""

    def __init__(self, width: float, height: float) -> None:
        self._width = width
        self._height = height
        self._pages: list[list[Part]] = [[]]

    @property
    def pages(self) -> list[Part]:
        """One part a page, its origin in the page's upper left corner."""
        return [stack(*parts, gap=GAP) for parts in self._pages if parts]

    @property
    def _left(self) -> float:
        return self._height - sum(part.height + GAP for part in self._pages[-1])

    def add(self, part: Part) -> None:
        """A part, whole.

        Raises:
            OutputError: it is taller than a page.
        """
        if part.height > self._left + SLACK and self._pages[-1]:
            self._pages.append([])
        if part.height > self._left + SLACK:
            said = next(iter(part.drawn(0, 0).texts)).text
            raise OutputError(f"page: the matter that starts {said!r} is taller than a page; shorten it")
        self._pages[-1].append(part)

    def add_tables(self, tables: Sequence[Table]) -> None:
        """Tables in order, two narrow ones beside each other; one that is too long goes on under its heading.

        Raises:
            OutputError: one row is taller than a page.
        """
        half = (self._width - GAP) / 2
        divided = [part for table in tables if table.rows for part in _divided(table, self._width)]
        rest = [_Built(table, self._width) for table in divided]
        while rest:
            pair = [built.part() for built in rest[:2]]
            narrow = len(pair) == 2 and all(part.width <= half and part.height <= self._height / 2 for part in pair)
            if narrow:
                self.add(beside(replace(pair[0], width=half), pair[1]))
            else:
                self._add_table(rest[0])
            rest = rest[2 if narrow else 1 :]

    def _add_table(self, table: _Built) -> None:
        first, last = 0, len(table.rows)
        while first < last:
            count = sum(table.height(first, first + more) <= self._left for more in range(1, last - first + 1))
            torn_without_need = first + count < last and table.height(first, last) <= self._height / 2
            if self._pages[-1] and (count == 0 or torn_without_need):
                self._pages.append([])
            elif count == 0:
                raise OutputError(f"{table.named(first)} is taller than a page; shorten it")
            else:
                self.add(table.part(first, first + count))
                first += count


class _Built:
    """A table with its rows set in their columns, any run of which makes a part."""

    def __init__(self, table: Table, width: float) -> None:
        columns = _column_widths(table, width)
        self._table = table
        self._headings = [
            paragraph(said, width, size=HEADING_SIZE, bold=True)
            for said in (table.heading, words.continued(table.heading))
        ]
        self._header = [_row(table.header, columns, bold=True)] if table.header else []
        layers = table.layers or ((),) * len(table.rows)
        self.rows = [replace(_row(row, columns), layers=on) for row, on in zip(table.rows, layers, strict=True)]

    def named(self, row: int) -> str:
        return f"table {self._table.heading!r}: the row {self._table.rows[row]}"

    def height(self, first: int, last: int) -> float:
        """Of the part with these rows."""
        rows = [*self._header, *self.rows[first:last]]
        return (
            self._headings[1 if first else 0].height + 2.0 + sum(row.height for row in rows) + ROW_GAP * (len(rows) - 1)
        )

    def part(self, first: int = 0, last: int | None = None) -> Part:
        heading = self._headings[1 if first else 0]
        return stack(heading, stack(*self._header, *self.rows[first:last], gap=ROW_GAP))


def _divided(table: Table, width: float) -> list[Table]:
    """The table, or one with more columns than have room as several, each with the first column of it."""
    most = max(2, int((width + GAP) / (NARROWEST + GAP)))
    count = max(len(row) for row in (*table.rows, table.header))
    if count <= most:
        return [table]
    return [
        replace(
            table,
            heading=words.continued(table.heading) if first > 1 else table.heading,
            rows=tuple((row[0], *row[first : first + most - 1]) for row in table.rows),
            header=(*table.header[:1], *table.header[first : first + most - 1]),
        )
        for first in range(1, count, most - 1)
    ]


def _column_widths(table: Table, width: float) -> list[float]:
    """Natural widths; columns that ask for more than their share give way when the table is too wide."""
    rows = [*table.rows, table.header]
    count = max(len(row) for row in rows)
    natural = [
        max(text_width(row[i], BODY_SIZE, bold=row is table.header) for row in rows if i < len(row))
        for i in range(count)
    ]
    left = width - GAP * (count - 1)
    widths = [0.0] * count
    for place, i in enumerate(sorted(range(count), key=lambda i: natural[i])):
        widths[i] = min(natural[i], left / (count - place))
        left -= widths[i]
    return widths


def _row(row: Sequence[str], columns: Sequence[float], *, bold: bool = False) -> Part:
    """A row with a rule below it."""
    width = sum(columns) + GAP * (len(columns) - 1)
    cells = []
    for text, limit in zip(row, columns, strict=False):
        cell = paragraph(text, limit + 1e-6, bold=bold) if text else Part(0, 0)
        cells.append(replace(cell, width=limit))
    whole = beside(*cells)
    rule = stroked(Path.through(Point(0, -whole.height - 0.3), Point(width, -whole.height - 0.3)), Role.RULE)
    return Part(width, whole.height + 0.3, (rule,), parts=((0.0, 0.0, whole),))
