"""Patterns on what a print shop prints: large sheets, and rolls as long as need be. In mm, y up.

Pieces are laid to spare paper and turned by quarter turns with all that is drawn on them: paper has no grain, and the
grainline turns with its piece. A title block with two calibration squares is on every sheet; what the first pages of a
tiled file say lies between the pieces, in panels. A piece larger than the sheet is drawn over several sheets, which are
joined like the pages of a tiled file; there the title block has a strip of its own.

The file is black and grey on paper, by the black ink alone, in lines and letters of embedded fonts, without images or
transparency. Media, crop, bleed and trim boxes are the sheet: nothing is trimmed off and nothing bleeds. There is no
output intent (ISO 32000-1, 14.11.5): one would either claim conformance with a standard that this file does not keep
or describe the colours of a printer that nobody has named, and plain black needs neither. A page of more than 14 400
units would need a UserUnit, which many printers pass over, so that they would print at a wrong scale: a roll is
divided between pieces instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from math import ceil, inf
from typing import Any, ClassVar, Final

import numpy as np

from blocks.parameters import CHOICE, PRACTICE, Parameters, parameter
from blocks.words import sizes_span
from drafting.curve import FLAT_TOLERANCE
from drafting.errors import OutputError
from drafting.point import Motion, Point, Vector
from output.drawing.flow import Drawing, Flow, Part, Table, beside, block, listing, paragraph, section, stack
from output.drawing.lettering import TextLine, text_box
from output.drawing.pieces import draw_sheet
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.formats.pdf import PAGE_LIMIT, Document
from output.paper.layout import Cell, Layout, Stack, lay_out_stacks, outline_of
from output.paper.packing import READABLE, Packing, Shape, Spot, least_length, pack
from output.paper.sizes import Paper, Spent, Tiling
from output.patterns import words
from output.patterns.cover import SQUARES, cutting_steps, line_key, size_key, square
from output.patterns.nested import draw_nested
from output.patterns.tiled import joins_of, published
from output.words import text as common

BLACK: Final = (0.0, 0.0, 0.0)

TITLE_SIZE: Final = 8.0
LINE_SIZE: Final = 4.6
WORDS_WIDTH: Final = 170.0
PANEL: Final = (190.0, 270.0)
"""mm; most that the title block's words and one panel may take."""

STEEPEST: Final = 110.0
"""degrees; a text that is steeper when its piece is turned is set the other way about."""

STEP: Final = 10.0
"""mm; between the places that are tried for a panel on joined sheets."""


@dataclass(frozen=True, slots=True)
class WideStyle(Parameters):
    """How a sheet is divided."""

    called: ClassVar[str] = "wide"

    margin: float = parameter(10, "mm", 5, 25, "left blank at the edges: a plotter cannot reach them", PRACTICE)
    gap: float = parameter(10, "mm", 2, 50, "paper between two pieces, room for shears", CHOICE)
    overlap: float = parameter(12, "mm", 6, 20, "strip that two joined sheets both print", CHOICE)


STYLE: Final = WideStyle()


@dataclass(frozen=True)
class WidePdf:
    """A finished file, what its sheets show, and the paper it takes.

    Sheets that are joined show their part of one: then `sheets` is that one, and `layout` the grid that divides it.
    """

    data: bytes
    sheets: tuple[Sheet, ...]
    spent: Spent
    layout: Layout | None = None

    @property
    def pages(self) -> int:
        return self.spent.sheets


@dataclass(frozen=True, slots=True)
class _Item:
    """What is laid: a stack of pieces, or a drawing such as a title block or a panel."""

    shape: Shape
    stack: Stack = ()
    drawing: Drawing | None = None


def wide_pdf(
    stacks: Sequence[Stack],
    pens: Mapping[str, Pen] | None = None,
    *,
    paper: Paper,
    title: str,
    rise: str = "",
    group: str = "",
    author: str = "",
    tables: Sequence[Table] = (),
    style: WideStyle = STYLE,
) -> WidePdf:
    """Stacks of pieces on wide paper; with `pens` each size is a layer, as in a tiled file, its line in black.

    Without `pens` a stack is one piece. The same arguments give the same bytes.

    Raises:
        OutputError: a piece is wider than the roll, a label has no room, or the fonts lack a character.
    """
    if not stacks or not all(stacks):
        raise OutputError("sheet: there is no piece to print; draft at least one")
    black = {size: replace(pen, colour=BLACK) for size, pen in (pens or {}).items()}
    span = sizes_span(stacks[0][0].size, stacks[0][-1].size)
    about = common.size_line(span, rise)
    heading = _Heading(title, about, author, paper)
    full_title = f"{title} · {about} · {paper.name}"
    described = {
        "title": full_title,
        "author": author,
        "subject": common.WIDE_SUBJECT,
        "keywords": common.REAL_SIZE,
        "layers": tuple(black),
        "group": group or f"{title} · {about}",
    }
    pieces = [piece_item(one) for one in stacks]
    width, length = paper.width - 2 * style.margin, min(paper.height, PAGE_LIMIT) - 2 * style.margin
    make = _Apart(black, title, style, heading)
    if all(make.takes(item, width, length) for item in pieces):
        panels = [drawing_item(part) for part in _panels(stacks, black, tables, joined=False)]
        return make.pdf([*pieces, *panels], width, length, described)
    if paper.height == inf:
        raise OutputError(_too_wide(pieces, stacks, width, length))
    return _joined(stacks, black, tables, title, style, heading, described)


def _too_wide(items: Sequence[_Item], stacks: Sequence[Stack], width: float, length: float) -> str:
    item, one = next((item, one) for item, one in zip(items, stacks, strict=True) if not item.shape.fits(width, length))
    return (
        f"piece {one[0].name}: it is {min(item.shape.extent(0)):.0f} mm wide the narrow way and the roll prints "
        f"{width:.0f} mm; use a wider roll, or sheets, over which it can be drawn"
    )


def piece_item(one: Stack) -> _Item:
    import shapely  # noqa: PLC0415 - slow to import, and only printing needs it

    corners = outline_of(one).array(tolerance=FLAT_TOLERANCE)
    return _Item(Shape(corners, float(shapely.Polygon(corners).area)), stack=one)


def drawing_item(part: Part) -> _Item:
    """A part with its lower left corner at the origin."""
    w, h = part.width, part.height
    corners = np.array(((0.0, 0.0), (w, 0.0), (w, h), (0.0, h)))
    return _Item(Shape(corners, w * h, READABLE), drawing=part.drawn(0, h))


@dataclass(frozen=True, slots=True)
class _Heading:
    """What the title block of every sheet says."""

    title: str
    about: str
    author: str
    paper: Paper

    def block(self, sheet: int, sheets: int) -> Part:
        below = f"{self.about} · {self.author}" if self.author else self.about
        says = stack(
            paragraph(self.title, WORDS_WIDTH, size=TITLE_SIZE, bold=True),
            paragraph(below, WORDS_WIDTH, size=LINE_SIZE),
            block(TextLine(words.scale_line(sheet, sheets, self.paper), LINE_SIZE, bold=True)),
            paragraph(words.WIDE_CHECK, WORDS_WIDTH),
            gap=1.5,
        )
        return beside(*(square(side) for side in SQUARES), replace(says, width=WORDS_WIDTH))


def _panels(stacks: Sequence[Stack], pens: Mapping[str, Pen], tables: Sequence[Table], *, joined: bool) -> list[Part]:
    """What the first pages of a tiled file say, but for the check, which every sheet's title block has."""
    width, height = PANEL
    cells = (Cell(1, 1), Cell(1, 2))[: 1 + joined]
    layout = Layout(Paper("", 0, 0), Tiling(), tuple(map(tuple, stacks)), (), 1, len(cells), cells)
    flow = _Panels(width, height)
    if joined:
        steps = (*words.JOIN_STEPS[1:], *cutting_steps(layout.pieces, nested=bool(pens)))
        flow.add(section(words.JOIN_HEADING, listing(steps, width)))
    if pens:
        for part in size_key(pens, width, height, words.WIDE_SIZE_STEPS):
            flow.add(part)
    notes = [] if joined else [paragraph(words.PAPER_NOTE, width)]
    flow.add(section(words.LINES_HEADING, line_key(layout, width, nested=bool(pens)), *notes))
    flow.add_tables((Table(words.CUTTING_HEADING, words.cutting_rows([one[0] for one in stacks])), *tables))
    flow.add(section(words.CAUTION_HEADING, listing(common.CAUTIONS, width, bullet="•")))
    return flow.pages


class _Panels(Flow):
    """A flow that begins a new panel for each part: small panels find room between pieces."""

    def add(self, part: Part) -> None:
        """A part, whole, on a panel of its own.

        Raises:
            OutputError: it is taller than a panel may be.
        """
        if self._pages[-1]:
            self._pages.append([])
        super().add(part)


def _draw(
    stacks: Sequence[Stack], pens: Mapping[str, Pen], design: str, width: float, height: float, **options: Any
) -> Sheet:
    if pens:
        return draw_nested(stacks, pens, width=width, height=height, design=design, **options)
    pieces = list(chain.from_iterable(stacks))
    return draw_sheet(pieces, width=width, height=height, design=design, **options)


def moved(drawing: Drawing, motion: Motion, turn: int) -> Drawing:
    """A drawing moved as one, `turn` being by how many degrees the motion turns."""
    return Drawing(
        tuple(replace(stroke, path=stroke.path.moved(motion)) for stroke in drawing.strokes),
        tuple(replace(text, at=motion(text.at), angle=text.angle + turn) for text in drawing.texts),
    )


def drawn_at(one: Stack, pens: Mapping[str, Pen], spot: Spot, design: str) -> Drawing:
    """A stack drawn where it is laid.

    It is drawn upright, or half turned, and then turned by a quarter if need be: its words are read from below or
    from the right, and its level lines are drawn as on every other paper.
    """
    half = spot.turn >= 180
    upright = Motion.half_turn(Point(0, 0)) if half else Motion()
    boxes = [piece.cut_line.moved(upright).bounds for piece in one]
    left, bottom, right, top = (end(box[side] for box in boxes) for side, end in enumerate((min, min, max, max)))
    upright = upright.then(Motion.shift(Vector(-left, -bottom)))
    sheet = _draw([tuple(piece.moved(upright) for piece in one)], pens, design, right - left, top - bottom)
    quarter = spot.turn % 180
    onward = Motion.shift(Vector(left, bottom)).then(Spot(quarter, spot.x, spot.y).motion)
    drawing = moved(Drawing(sheet.strokes, sheet.texts), onward, quarter)
    return replace(drawing, texts=tuple(map(_legible, drawing.texts)))


def _legible(text: Text) -> Text:
    """A text, the other way about in its own place where it would be read from above or from the left."""
    if not STEEPEST < text.angle % 360 <= STEEPEST + 180:
        return text
    left, bottom, right, top = text_box(text)
    at = Point(left + right - text.at.x, bottom + top - text.at.y)
    return replace(text, at=at, angle=(text.angle + 180) % 360)


@dataclass(frozen=True, slots=True)
class _Apart:
    """Pieces that each fit on a sheet, laid apart from one another."""

    pens: Mapping[str, Pen]
    title: str
    style: WideStyle
    heading: _Heading

    def pdf(self, items: Sequence[_Item], width: float, length: float, described: Mapping[str, Any]) -> WidePdf:
        paper = self.heading.paper
        loads = self._loads(items, width, length)
        document, sheets = Document(**described), []
        for number, (load, packing) in enumerate(loads, 1):
            block = drawing_item(self.heading.block(number, len(loads)))
            sheet = self._sheet([*load, block], packing, paper)
            document.page(sheet.width, sheet.height, bookmark=words.sheet_number(number, len(loads)))
            document.strokes(sheet.strokes)
            document.texts(sheet.texts)
            sheets.append(sheet)
        shapes = [item.shape for item in items] + [self._block().shape] * len(loads)
        spent = Spent(len(sheets), max(1, ceil(sum(shape.area for shape in shapes) / (width * length))))
        if paper.height == inf:
            least = least_length(shapes, width) + 2 * self.style.margin
            spent = replace(spent, length=sum(sheet.height for sheet in sheets), least_length=least)
        return WidePdf(document.data(), tuple(sheets), spent)

    def _loads(self, items: Sequence[_Item], width: float, length: float) -> list[tuple[list[_Item], Packing]]:
        """What each sheet takes: the largest first, each on the first sheet that still has room for it."""
        loads: list[tuple[list[_Item], Packing]] = []
        rest = sorted(items, key=lambda item: -item.shape.area)
        while rest:
            load: list[_Item] = []
            packing = self._packed(rest, width, length)
            if packing:
                load = rest
            else:
                for item in rest:
                    found = self._packed([*load, item], width, length)
                    if found:
                        load, packing = [*load, item], found
            assert packing, "every item has room on a sheet of its own"
            if self.heading.paper.height == inf:
                block = self._block().shape
                packing = pack([*(item.shape for item in load), block], width, gap=self.style.gap)
            loads.append((load, packing))
            rest = [item for item in rest if not any(item is taken for taken in load)]
        return loads

    def takes(self, item: _Item, width: float, length: float) -> bool:
        """True when an item has room on a sheet with its title block."""
        return item.shape.fits(width, length) and self._packed([item], width, length) is not None

    def _block(self) -> _Item:
        return drawing_item(self.heading.block(1, 1))

    def _packed(self, load: Sequence[_Item], width: float, length: float) -> Packing | None:
        """Items with a title block on one sheet; None when there is no room."""
        shapes = [*(item.shape for item in load), self._block().shape]
        if least_length(shapes, width) > length:
            return None
        packing = pack(shapes, width, gap=self.style.gap, enough=length)
        return packing if packing.length <= length else None

    def _sheet(self, load: Sequence[_Item], packing: Packing, paper: Paper) -> Sheet:
        margin = self.style.margin
        height = paper.height if paper.height < inf else min(PAGE_LIMIT, ceil(packing.length + 2 * margin))
        # on a sheet that has room left the first piece lies at the top, as a page is read
        lift = height - 2 * margin - packing.length
        strokes: list[Stroke] = []
        texts: list[Text] = []
        for item, spot in zip(load, packing.spots, strict=True):
            place = Spot(spot.turn, spot.x + margin, spot.y + margin + lift)
            if item.drawing:
                drawing = moved(item.drawing, place.motion, spot.turn)
            else:
                drawing = drawn_at(item.stack, self.pens, place, self.title)
            strokes += drawing.strokes
            texts += drawing.texts
        return Sheet(paper.width, height, tuple(strokes), tuple(texts))


class _Framed(Document):
    """A document whose pages have a strip beside what is drawn on them, for the title block."""

    def __init__(self, heading: _Heading, sheets: int, style: WideStyle, **described: Any) -> None:
        super().__init__(**described)
        self._heading = heading
        self._sheets = sheets
        self._margin = style.margin
        self._number = 0

    def page(self, width: float, height: float, *, bookmark: str = "") -> None:  # noqa: ARG002 - the sheet has a name
        """Begin a page of the real paper; the strip is at its foot or, where the paper is turned, at its right.

        Raises:
            OutputError: as for any document.
        """
        self._number += 1
        paper = self._heading.paper
        turned = width > height
        paper = paper.turned() if turned else paper
        super().page(paper.width, paper.height, bookmark=words.sheet_number(self._number, self._sheets))
        block = self._heading.block(self._number, self._sheets)
        at = Vector(self._margin, self._margin)
        drawing, motion = block.drawn(0, block.height), Motion.shift(at)
        if turned:
            motion = Spot(90, paper.width - self._margin, self._margin).motion
            drawing = moved(drawing, motion, 90)
        else:
            drawing = moved(drawing, motion, 0)
        self.strokes(drawing.strokes)
        self.texts(drawing.texts)
        if not turned:
            self.lift(paper.height - height)


def _joined(
    stacks: Sequence[Stack],
    pens: Mapping[str, Pen],
    tables: Sequence[Table],
    title: str,
    style: WideStyle,
    heading: _Heading,
    described: Mapping[str, Any],
) -> WidePdf:
    """Pieces over several sheets that are joined."""
    paper = heading.paper
    strip = heading.block(1, 1).height + style.gap
    inner = Paper(paper.name, paper.width, paper.height - strip)
    tiling = Tiling(margin=style.margin, overlap=style.overlap, gap=style.gap)
    layout = lay_out_stacks(stacks, inner, tiling=tiling)
    drawn = _draw(layout.stacks, pens, title, layout.width, layout.height, joins=joins_of(layout))
    placed, rest = _between(_panels(stacks, pens, tables, joined=True), layout)
    sheet = replace(
        drawn,
        strokes=(*drawn.strokes, *chain.from_iterable(panel.strokes for panel in placed)),
        texts=(*drawn.texts, *chain.from_iterable(panel.texts for panel in placed)),
    )
    first = _on_own_sheets(rest, inner, style)
    total = len(first) + len(layout.cells)
    document = _Framed(heading, total, style, **described)
    pdf = published(document, layout, sheet, first, paper=inner, title=title, about=heading.about)
    area = sum(item.shape.area for item in map(piece_item, stacks))
    printable = (paper.width - 2 * style.margin) * (paper.height - 2 * style.margin)
    return WidePdf(pdf.data, (sheet,), Spent(total, ceil(area / printable)), layout)


def _on_own_sheets(parts: Sequence[Part], paper: Paper, style: WideStyle) -> list[Drawing]:
    """Panels that found no room between the pieces, on sheets before theirs."""
    flow = Flow(paper.width - 2 * style.margin, paper.height - 2 * style.margin)
    for part in parts:
        flow.add(part)
    return [page.drawn(style.margin, paper.height - style.margin) for page in flow.pages]


def _between(panels: Sequence[Part], layout: Layout) -> tuple[list[Drawing], list[Part]]:
    """Panels on the sheets' own parts of the grid where no piece lies, and those for which there is no such place."""
    import shapely  # noqa: PLC0415

    gap = layout.tiling.gap
    taken = [shapely.Polygon(outline.array(tolerance=FLAT_TOLERANCE)) for outline in layout.outlines]
    width, height = layout.cell_size
    placed: list[Drawing] = []
    rest: list[Part] = []
    for panel in panels:
        spots = [
            (corner.x + x, corner.y + y)
            for corner in map(layout.corner, layout.cells)
            for y in np.arange(height - gap - panel.height, gap, -STEP).tolist()
            for x in np.arange(gap, width - gap - panel.width, STEP).tolist()
        ]
        boxes = shapely.box(*np.array([(x, y, x + panel.width, y + panel.height) for x, y in spots]).reshape(-1, 4).T)
        free = np.ones(len(spots), dtype=bool)
        for polygon in taken:
            shapely.prepare(polygon)
            free &= ~shapely.dwithin(polygon, boxes, gap)
        if free.any():
            place = int(np.argmax(free))
            x, y = spots[place]
            placed.append(panel.drawn(x, y + panel.height))
            taken.append(boxes[place])
        else:
            rest.append(panel)
    return placed, rest
