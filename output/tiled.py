"""The sheet on home printer's paper: a first page to check and plan with, then one page for each cell of the grid.

A page prints its cell and, all round it, a strip of its neighbours' drawing. The left and bottom edges of a page are
cut off along the join line and laid on the join line of the neighbour, whose own strip goes underneath.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from drafting.path import Path
from drafting.piece import Piece
from drafting.point import Point, Vector
from output import text as words
from output.cover import cover_pages
from output.drawing import draw_sheet
from output.flow import Drawing, Table
from output.labels import Floats, Joins, dotted
from output.layout import Cell, Layout, lay_out
from output.lettering import Block, Box, Line, overlap, text_box
from output.marks import JOIN, STYLE, rectangle, register_mark
from output.paper import Paper, Spent, Tiling
from output.pdf import Document
from output.sheet import CUT, Pen, Sheet, Stroke, Text

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

PATCH: Final = Pen(0.0, colour=(1.0, 1.0, 1.0))


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
    about = f"{title} · {words.size_line(size, rise)}"
    document = Document(title=f"{about} · {paper.name}", author=author, subject=subject, keywords=words.REAL_SIZE)
    return published(document, layout, sheet, cover, paper=paper, title=title, about=about)


def published(
    document: Document, layout: Layout, sheet: Sheet, cover: Sequence[Drawing], *, paper: Paper, title: str, about: str
) -> TiledPdf:
    """Fill a document with its first pages and one page for each cell; `about` is printed on every one of those."""
    total = len(cover) + len(layout.cells)
    for number, drawing in enumerate(cover, 1):
        document.page(paper.width, paper.height, bookmark=title if number == 1 else words.page_number(number, total))
        document.strokes(drawing.strokes)
        document.texts(drawing.texts)
    reach = CUT.width
    document.define(SHEET, sheet.strokes, (-reach, -reach, sheet.width + reach, sheet.height + reach))
    arm = STYLE.register_arm
    document.define(REGISTER_MARK, register_mark(Point(0, 0)), (-arm, -arm, arm, arm))
    boxes = [text_box(text) for text in sheet.texts]
    points = dotted(sheet.strokes)
    points = points[np.argsort(points[:, 0])]
    for number, cell in enumerate(layout.cells, len(cover) + 1):
        _tile(document, layout, sheet, boxes, points, cell, about=f"{about} · {words.page_number(number, total)}")
    return TiledPdf(document.data(), layout, sheet, len(cover))


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of a cell, on the sheet or on a page: where it starts, and its length upward or to the right.

    `outward` points off the cell. `neighbour` is the printed page that it joins, if any.
    """

    start: Point
    along: Vector
    outward: Vector
    length: float
    neighbour: Cell | None

    @property
    def cut_off(self) -> bool:
        """True on the left and at the bottom, where the strip is cut off and laid on the neighbour."""
        return self.outward.x + self.outward.y < 0

    @property
    def marks(self) -> list[Point]:
        """Centres of the register marks of a join: both ends and the middle."""
        shares = (0, 0.5, 1) if self.neighbour else ()
        return [self.start + self.along * (self.length * share) for share in shares]

    def line(self, overlap: float) -> Path:
        """Along the cell's side; where it is cut off, on to both ends of what is printed."""
        beyond = self.along * (overlap if self.cut_off else 0)
        return Path.through(self.start - beyond, self.start + self.along * self.length + beyond)


def _sides(layout: Layout, cell: Cell, corner: Point) -> tuple[_Side, ...]:
    """Top, right, bottom and left side of a cell whose lower left corner is drawn at `corner`."""
    width, height = layout.cell_size
    up, right = Vector(0, 1), Vector(1, 0)

    def side(start: Point, along: Vector, outward: Vector, length: float) -> _Side:
        beside = cell.beside(rows=-round(outward.y), columns=round(outward.x))
        return _Side(start, along, outward, length, beside if layout.prints(beside) else None)

    return (
        side(corner + up * height, right, up, width),
        side(corner + right * width, up, right, height),
        side(corner, right, -up, width),
        side(corner, up, -right, height),
    )


def joins_of(layout: Layout) -> Joins:
    """Every join between two printed pages, for the labels to avoid."""
    width, height = layout.cell_size
    reach = STYLE.register_arm
    sides = [side for cell in layout.cells for side in _sides(layout, cell, layout.corner(cell))]
    spots = {(round(spot.x, 6), round(spot.y, 6)) for side in sides for spot in side.marks}
    return Joins(
        tuple(column * width for column in range(1, layout.columns)),
        tuple(row * height for row in range(1, layout.rows)),
        layout.tiling.overlap,
        tuple((x - reach, y - reach, x + reach, y + reach) for x, y in sorted(spots)),
    )


def _tile(
    document: Document, layout: Layout, sheet: Sheet, boxes: Sequence[Box], points: Floats, cell: Cell, *, about: str
) -> None:
    """One page: its part of the sheet, then join lines, register marks and the words in the strips."""
    paper, margin, inset = layout.paper, layout.tiling.margin, layout.tiling.inset
    corner = layout.corner(cell)
    shift = (inset - corner.x, inset - corner.y)
    printable = (margin, margin, paper.width - margin, paper.height - margin)
    seen = (printable[0] - shift[0], printable[1] - shift[1], printable[2] - shift[0], printable[3] - shift[1])
    name = words.page_name(cell.row, cell.column)
    document.page(paper.width, paper.height, bookmark=name)
    sides = _sides(layout, cell, Point(inset, inset))
    # before the sheet, so that they never hide a line of it
    document.strokes(Stroke(side.line(layout.tiling.overlap), JOIN) for side in sides if side.neighbour)
    for spot in sorted({(round(spot.x, 6), round(spot.y, 6)) for side in sides for spot in side.marks}):
        document.show(REGISTER_MARK, shift=spot)
    document.show(SHEET, shift=shift, clip=printable)
    visible = [(text, box) for text, box in zip(sheet.texts, boxes, strict=True) if overlap(box, seen)]
    document.texts((text for text, _ in visible), shift=shift, clip=printable)

    across = points[slice(*np.searchsorted(points[:, 0], (seen[0], seen[2])))]
    drawn = across[(across[:, 1] > seen[1]) & (across[:, 1] < seen[3])] + np.array(shift)
    labels = np.array([box for _, box in visible]).reshape(-1, 2, 2) + np.array(shift)
    for side in sides:
        says = [_said(side)] if side.neighbour else []
        if side is sides[0]:
            says.insert(0, [Block((Line(name, NAME_SIZE, bold=True), Line(about, LINE_SIZE)))])
        if not says:
            continue
        for patch, texts in _in_strip(side, layout.tiling.overlap, says, drawn, labels):
            document.strokes(patch)
            document.texts(texts)


def _said(side: _Side) -> list[Block]:
    """What is printed beside a join, at length and ever shorter."""
    assert side.neighbour is not None
    say = words.cut_off_here if side.cut_off else words.joins_here
    return [Block((Line(said, LINE_SIZE),)) for said in say(side.neighbour.row, side.neighbour.column)]


def _in_strip(
    side: _Side, overlap: float, says: Sequence[Sequence[Block]], drawn: Floats, labels: Floats
) -> Iterator[tuple[list[Stroke], list[Text]]]:
    """One block of each choice along the strip beside a cell, clear of the register marks and, if it can be, of lines.

    If not, a white patch keeps the words legible: what it hides is printed on the neighbour's page.
    """
    shares = (0, 0.5, 1) if side.neighbour else (0, 1)
    taken = [(side.length * share - MARK_ROOM, side.length * share + MARK_ROOM) for share in shares]
    aways, alongs = _from(side, labels)
    labelled = alongs[(aways.max(axis=1) > 0) & (aways.min(axis=1) < overlap)]
    words_here = [(min(ends) - LINE_ROOM, max(ends) + LINE_ROOM) for ends in labelled.tolist()]
    away, along = _from(side, drawn)
    hits = set(np.round(along[(away > 0) & (away < overlap)]).tolist())
    lines = [(hit - LINE_ROOM, hit + LINE_ROOM) for hit in hits]
    for choice in says:
        free, wordless = _gaps(taken, side.length), _gaps([*taken, *words_here], side.length)
        quiet = _gaps([*taken, *words_here, *lines], side.length)
        tries = [(block, quiet, True) for block in choice] + [(choice[-1], [*wordless, *free], False)]
        block, begin, clear = next(found for tried in tries if (found := _placed(*tried, side, overlap)))
        taken.append((begin - LINE_ROOM, begin + block.width + LINE_ROOM))
        # words stand on the far side of the join line, read from below or from the right
        up = side.along.left()
        rise = STRIP_GAP if up.dot(side.outward) > 0 else -STRIP_GAP - block.height
        texts = block.texts(side.start + side.along * begin + up * rise, 90.0 if side.along.y else 0.0)
        yield [] if clear else [Stroke(rectangle(*_around(texts)), PATCH, filled=True)], texts


def _gaps(taken: Sequence[tuple[float, float]], length: float) -> list[tuple[float, float]]:
    """What is left of a stretch from 0 to `length`, in order."""
    gaps, reached = [], 0.0
    for begin, end in sorted([*taken, (length, length)]):
        if begin > reached:
            gaps.append((reached, begin))
        reached = max(reached, end)
    return gaps


def _from(side: _Side, points: Floats) -> tuple[Floats, Floats]:
    """How far points are off the cell, and how far along its side; the last axis holds x and y."""
    axis = 1 if side.along.y else 0
    start, out = (side.start.x, side.start.y), side.outward.x + side.outward.y
    return (points[..., 1 - axis] - start[1 - axis]) * out, points[..., axis] - start[axis]


def _placed(
    block: Block, rooms: Sequence[tuple[float, float]], clear: bool, side: _Side, overlap: float
) -> tuple[Block, float, bool] | None:
    """The block in the middle of the first room that holds it, and where it begins there.

    It is made no taller than the strip, and no longer than the room between two marks.
    """
    share = min((overlap - STRIP_GAP) / block.height, (side.length / 2 - 2 * MARK_ROOM) / block.width)
    block = block.scaled(min(1.0, share))
    width = block.width
    return next(((block, (low + high - width) / 2, clear) for low, high in rooms if high - low >= width), None)


def _around(texts: Sequence[Text]) -> Box:
    boxes = [text_box(text) for text in texts]
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )
