"""The sheet on home printer's paper: a first page to check and plan with, then one page for each cell of the grid.

A page prints its cell and, all round it, a strip of its neighbours' drawing. The left and bottom edges of a page are
cut off along the join line and laid on the join line of the neighbour, whose own strip goes underneath.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from drafting.path import Path
from drafting.picture import rectangle
from drafting.piece import Piece
from drafting.point import Motion, Point
from drafting.role import Role
from output.drawing.flow import Drawing, Table
from output.drawing.ink import Ink
from output.drawing.labels import Joins
from output.drawing.lettering import Box, TextBlock, TextLine, led, overlap, text_box
from output.drawing.marks import STYLE, register_mark
from output.drawing.pens import PENS, stroked
from output.drawing.pieces import draw_sheet
from output.drawing.sheet import Sheet, Stroke, Text
from output.formats.pdf import Document
from output.paper.layout import Cell, Layout, lay_out
from output.paper.sizes import Paper, Spent, Tiling
from output.patterns import words
from output.patterns.cover import cover_pages
from output.words import text as common

SHEET: Final = "sheet"
REGISTER_MARK: Final = "register-mark"
"""Names of the drawings that are stored once and shown on every page."""

LINE_SIZE: Final = 2.5
NAME_SIZE: Final = 3.4
"""mm; letters of a page's furniture, small enough for two lines in the overlap strip."""

STRIP_GAP: Final = 0.8
"""mm; between a join line and the words beside it."""

MARK_ROOM: Final = STYLE.register_arm + 1.5
LINE_ROOM: Final = 2.0
"""mm; kept free along a strip on both sides of a register mark's centre, and of a line that crosses it."""

LEAST_SHARE: Final = 0.72
"""A long title in a strip is set smaller down to this, and then cut: it stands in full on the first page."""

SLACK: Final = 1e-6
"""mm; lengths that differ by less are alike: sums of the same lengths may round differently."""


@dataclass(frozen=True)
class TiledPdf:
    """A finished file and what it holds. `first_pages` come before the `layout`'s own."""

    data: bytes
    layout: Layout
    sheet: Sheet
    first_pages: int

    @property
    def pages(self) -> int:
        """All pages of the file."""
        return self.first_pages + len(self.layout.cells)

    @property
    def spent(self) -> Spent:
        """The pages with pieces, and the fewest that could be."""
        return self.layout.spent


def tiled_pdf(
    pieces: Sequence[Piece],
    *,
    paper: Paper,
    title: str,
    size: str,
    rise: str = "",
    author: str = "",
    subject: str = "",
    tables: Sequence[Table] = (),
    tiling: Tiling | None = None,
) -> TiledPdf:
    """Pieces of one size, tiled on `paper`.

    `title` is the design's name, `author` its workroom; `tables` are printed on the first pages after the cutting list.
    The same arguments give the same bytes.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
        DraftError: there is no piece.
    """
    layout = lay_out(pieces, paper, tiling=tiling)
    sheet = draw_sheet(layout.pieces, width=layout.width, height=layout.height, design=title, joins=joins_of(layout))
    cover = cover_pages(layout, title=title, size=size, rise=rise, workroom=author, tables=tables, paper=paper)
    about = common.size_line(size, rise)
    document = Document(
        title=common.file_title(title, about, paper.name), author=author, subject=subject, keywords=common.REAL_SIZE
    )
    return published(document, layout, sheet, cover, paper=paper, title=title, about=about)


def published(
    document: Document, layout: Layout, sheet: Sheet, cover: Sequence[Drawing], *, paper: Paper, title: str, about: str
) -> TiledPdf:
    """Fill a document with its first pages and one page for each cell, on which `title` and `about` are printed."""
    total = len(cover) + len(layout.cells)
    for number, drawing in enumerate(cover, 1):
        document.page(paper.width, paper.height, bookmark=title if number == 1 else words.page_number(number, total))
        document.strokes(drawing.strokes)
        document.texts(drawing.texts)
    reach = PENS[Role.CUT].width
    document.define(SHEET, sheet.strokes, (-reach, -reach, sheet.width + reach, sheet.height + reach))
    arm = STYLE.register_arm
    document.define(REGISTER_MARK, register_mark(Point(0, 0)), (-arm, -arm, arm, arm))
    texts = [(text, text_box(text)) for text in sheet.texts]
    lines = _Lines(sheet.strokes)
    for number, cell in enumerate(layout.cells, len(cover) + 1):
        _tile(document, layout, texts, lines, cell, title=title, about=f"{about} · {words.page_number(number, total)}")
    return TiledPdf(document.data(), layout, sheet, len(cover))


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of a cell on the sheet: where it starts and, to the right or `upright`, how far it runs.

    What lies beyond is to the right or above where `out` is 1, to the left or below where it is -1. `neighbour` is the
    printed page that it joins, if any, and `marks` is how far along that join's register marks stand.
    """

    x: float
    y: float
    upright: bool
    out: int
    length: float
    neighbour: Cell | None
    marks: tuple[float, ...]

    @property
    def cut_off(self) -> bool:
        """True on the left and at the bottom, where the strip is cut off and laid on the neighbour."""
        return self.out < 0

    def place(self, along: float, away: float) -> tuple[float, float]:
        """The place so far from the start along the side, and so far off the cell."""
        away *= self.out
        return (self.x + away, self.y + along) if self.upright else (self.x + along, self.y + away)

    @property
    def stops(self) -> list[float]:
        """How far along words must keep off a register mark, its own or those of joins that meet it at its ends."""
        return sorted({0.0, *self.marks, self.length})

    def longest(self, count: int) -> float:
        """How long each of so many blocks of words may be to stand between register marks: one or two."""
        *_, second, first = 0.0, *sorted(after - before for before, after in pairwise(self.stops))
        return (first if count == 1 else max(second, first / 2)) - 2 * MARK_ROOM

    def ends(self, overlap: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Of the line along the side; where it is cut off, on to both ends of what is printed."""
        beyond = overlap if self.cut_off else 0
        return self.place(-beyond, 0), self.place(self.length + beyond, 0)

    def beside(self, boxes: Iterable[Box], overlap: float) -> list[tuple[float, float]]:
        """From where to where along the side boxes reach into its strip."""
        near, far = sorted((0.0, overlap * self.out))
        if self.upright:
            return [(b - self.y, d - self.y) for a, b, c, d in boxes if a < self.x + far and c > self.x + near]
        return [(a - self.x, c - self.x) for a, b, c, d in boxes if b < self.y + far and d > self.y + near]


def _sides(layout: Layout, cell: Cell) -> tuple[_Side, ...]:
    """Top, right, bottom and left side of a cell."""
    (width, height), corner = layout.cell_size, layout.corner(cell)

    def side(x: float, y: float, length: float, *, upright: bool, out: int) -> _Side:
        beside = cell.beside(columns=out) if upright else cell.beside(rows=-out)
        neighbour = beside if layout.prints(beside) else None
        marks = layout.register_marks[min(cell, beside), upright] if neighbour else ()
        return _Side(corner.x + x, corner.y + y, upright, out, length, neighbour, marks)

    return (
        side(0, height, width, upright=False, out=1),
        side(width, 0, height, upright=True, out=1),
        side(0, 0, width, upright=False, out=-1),
        side(0, 0, height, upright=True, out=-1),
    )


def _spots(sides: Iterable[_Side]) -> list[tuple[float, float]]:
    """Where register marks stand; neighbouring sides share some."""
    places = (side.place(along, 0) for side in sides for along in side.marks)
    return sorted({(round(x, 6), round(y, 6)) for x, y in places})


def joins_of(layout: Layout) -> Joins:
    """Every join between two printed pages, for the labels to avoid."""
    width, height = layout.cell_size
    reach = STYLE.register_arm
    sides = [side for cell in layout.cells for side in _sides(layout, cell)]
    return Joins(
        tuple(column * width for column in range(1, layout.columns)),
        tuple(row * height for row in range(1, layout.rows)),
        layout.tiling.overlap,
        tuple((x - reach, y - reach, x + reach, y + reach) for x, y in _spots(sides)),
    )


class _Lines:
    """What is drawn on a sheet, to be looked up strip by strip."""

    def __init__(self, strokes: Sequence[Stroke]) -> None:
        ink = Ink.of(stroke.path for stroke in strokes)
        self._seen = {False: ink, True: ink.seen(Motion.turn(-90))}

    def beside(self, side: _Side, overlap: float) -> list[tuple[float, float]]:
        """From where to where along a side there are lines in its strip."""
        # Seen after a quarter turn, an upright side runs to the right along a level line, and what was right is below.
        edge, out, start = (-side.x, -side.out, side.y) if side.upright else (side.y, side.out, side.x)
        low, high = sorted((edge, edge + overlap * out))
        left, right = self._seen[side.upright].between(low, high)
        return list(zip((left - start).tolist(), (right - start).tolist(), strict=True))


def _tile(
    document: Document,
    layout: Layout,
    texts: Sequence[tuple[Text, Box]],
    lines: _Lines,
    cell: Cell,
    *,
    title: str,
    about: str,
) -> None:
    """One page: its part of the sheet, then join lines, register marks and the words in the strips."""
    paper, margin, inset, strip = layout.paper, layout.tiling.margin, layout.tiling.inset, layout.tiling.overlap
    corner = layout.corner(cell)
    right, up = shift = (inset - corner.x, inset - corner.y)
    printable = (margin, margin, paper.width - margin, paper.height - margin)
    seen = (printable[0] - right, printable[1] - up, printable[2] - right, printable[3] - up)
    name = words.page_name(cell.row, cell.column)
    document.page(paper.width, paper.height, bookmark=name)
    sides = _sides(layout, cell)
    ends = [side.ends(strip) for side in sides if side.neighbour]
    # before the sheet, so that they never hide a line of it
    document.strokes(stroked(Path.through(*(Point(x + right, y + up) for x, y in line)), Role.JOIN) for line in ends)
    for x, y in _spots(sides):
        document.show(REGISTER_MARK, shift=(x + right, y + up))
    document.show(SHEET, shift=shift, clip=printable)
    visible = [(text, box) for text, box in texts if overlap(box, seen)]
    document.texts((text for text, _ in visible), shift=shift, clip=printable)

    patches, said = [], []
    for side in sides:
        says = [_said(side)] if side.neighbour else []
        if side is sides[0]:
            line = led(title, about, side.longest(len(says) + 1) / LEAST_SHARE, LINE_SIZE)
            says.insert(0, [TextBlock((TextLine(name, NAME_SIZE, bold=True), TextLine(line, LINE_SIZE)))])
        if says:
            labels, drawn = side.beside((box for _, box in visible), strip), lines.beside(side, strip)
            for block, begin, clear in _in_strip(side, strip, says, labels, drawn):
                # words stand on the far side of the join line, read from below or from the right
                away = STRIP_GAP if (side.out > 0) is not side.upright else STRIP_GAP + block.height
                x, y = side.place(begin, away)
                said += block.texts(Point(x + right, y + up), 90.0 if side.upright else 0.0)
                if not clear:
                    (a, b), (c, d) = (
                        side.place(begin, STRIP_GAP),
                        side.place(begin + block.width, STRIP_GAP + block.height),
                    )
                    patches.append(stroked(rectangle(a + right, b + up, c + right, d + up), Role.PATCH, filled=True))
    document.strokes(patches)
    document.texts(said)


def _said(side: _Side) -> list[TextBlock]:
    """What is printed beside a join, at length and ever shorter."""
    assert side.neighbour is not None
    say = words.cut_off_here if side.cut_off else words.joins_here
    return [TextBlock((TextLine(said, LINE_SIZE),)) for said in say(side.neighbour.row, side.neighbour.column)]


def _in_strip(
    side: _Side,
    overlap: float,
    says: Sequence[Sequence[TextBlock]],
    labels: Sequence[tuple[float, float]],
    drawn: Sequence[tuple[float, float]],
) -> Iterator[tuple[TextBlock, float, bool]]:
    """One block of each choice along the strip beside a cell, where it begins, and whether it is clear of all lines.

    It keeps off the register marks and, if it can, off labels and lines. If not, a white patch keeps the words legible:
    what it hides is printed on the neighbour's page.
    """
    taken = [(along - MARK_ROOM, along + MARK_ROOM) for along in side.stops]
    longest = side.longest(len(says))
    others, lines = ([(low - LINE_ROOM, high + LINE_ROOM) for low, high in some] for some in (labels, drawn))
    for choice in says:
        quiet = _gaps([*taken, *others, *lines], side.length)
        clear = found = next((place for block in choice if (place := _placed(block, quiet, longest, overlap))), None)
        if not found:
            free = _gaps(taken, side.length)
            left = min(longest, max(high - low for low, high in free))
            found = _placed(choice[-1], [*_gaps([*taken, *others], side.length), *free], left, overlap)
        assert found, "a strip is longer than its marks"
        block, begin = found
        taken.append((begin - LINE_ROOM, begin + block.width + LINE_ROOM))
        yield block, begin, bool(clear)


def _gaps(taken: Sequence[tuple[float, float]], length: float) -> list[tuple[float, float]]:
    """What is left of a stretch from 0 to `length`, in order."""
    gaps, reached = [], 0.0
    for begin, end in sorted([*taken, (length, length)]):
        if min(begin, length) > reached:
            gaps.append((reached, min(begin, length)))
        reached = max(reached, end)
    return gaps


def _placed(
    block: TextBlock, rooms: Sequence[tuple[float, float]], longest: float, overlap: float
) -> tuple[TextBlock, float] | None:
    """The block in the middle of the first room that holds it, and where it begins there.

    It is made no taller than the strip, and no longer than it may be.
    """
    share = min((overlap - STRIP_GAP) / block.height, longest / block.width)
    if share < 1:
        block = block.scaled(share)
    width = block.width
    return next(((block, (low + high - width) / 2) for low, high in rooms if high - low >= width - SLACK), None)
