"""A pattern for a projector: one page in real size, heavy lines, large letters, and a grid to set the picture by.

Dark lines on a light page or light ones on a dark page. The grain of every piece runs up the page, so that cloth is
laid along one edge of the picture. Each size is a layer, and so is the grid, whose lines are 100 mm apart from edge to
edge: a picture that is not square shows in its corners. In mm, y up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain
from math import ceil
from typing import ClassVar, Final

from blocks.parameters import CHOICE, Parameters, parameter
from blocks.words import sizes_span
from drafting.errors import OutputError
from drafting.path import Path
from drafting.picture import rectangle
from drafting.point import Point
from drafting.role import Role
from drafting.units import INCH
from output.drawing.flow import Part, beside, paragraph, stack
from output.drawing.labels import LabelStyle
from output.drawing.lettering import TextLine
from output.drawing.pens import PENS, stroked
from output.drawing.pieces import draw_sheet
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.drawing.size_labels import SizeLabels
from output.formats.pdf import Document
from output.paper.layout import Stack
from output.paper.packing import HALVES, pack
from output.patterns import words
from output.patterns.nested import draw_nested
from output.patterns.wide import drawing_item, piece_item
from output.words import text as common

GRID: Final = 100.0
"""mm; between two lines of the grid, and the side of the metric square."""

CELLS: Final = 4
"""One-inch squares along a side of the other."""

TITLE_SIZE: Final = 16.0
BODY_SIZE: Final = 7.0
WORDS_WIDTH: Final = 460.0
SQUARE_LETTERS: Final = (8.0, 3.5)
"""mm; in the metric square and in the first inch."""

LETTERS: Final = LabelStyle(title=13, body=8, line=6, smallest=3, clearance=1.5)
SIZE_LETTERS: Final = SizeLabels(size=5, smallest=3, clear=0.8, bend=0.5, gap=1.5)


class Ground(StrEnum):
    """What the lines are drawn on."""

    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class ProjectionStyle(Parameters):
    """How heavy the lines are."""

    called: ClassVar[str] = "projection"

    line: float = parameter(1.2, "mm", 0.8, 4, "width of a cut line", CHOICE)
    other: float = parameter(0.9, "mm", 0.6, 4, "width of any other line", CHOICE)
    grid: float = parameter(0.6, "mm", 0.3, 2, "width of a line of the grid", CHOICE)
    grid_grey: float = parameter(0.7, "", 0.3, 0.9, "of the grid on a light page: 0 is black, 1 white", CHOICE)
    margin: float = parameter(40, "mm", 20, 100, "round the grid, for its figures", CHOICE)
    gap: float = parameter(20, "mm", 10, 100, "between two pieces", CHOICE)


STYLE: Final = ProjectionStyle()


@dataclass(frozen=True)
class ProjectionPdf:
    """A finished file and what its page shows, in the colours of a light page."""

    data: bytes
    sheet: Sheet
    pages: int = 1
    spent: None = None


class _Dark(Document):
    ink = (1.0, 1.0, 1.0)


def projection_pdf(
    stacks: Sequence[Stack],
    pens: Mapping[str, Pen] | None = None,
    *,
    ground: Ground = Ground.LIGHT,
    title: str,
    rise: str = "",
    group: str = "",
    author: str = "",
    style: ProjectionStyle = STYLE,
) -> ProjectionPdf:
    """Stacks of pieces on one page; with `pens` each size is a layer, as in a tiled file.

    Without `pens` a stack is one piece. The same arguments give the same bytes.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
    """
    if not stacks or not all(stacks):
        raise OutputError("projection: there is no piece to show; draft at least one")
    span = sizes_span(stacks[0][0].size, stacks[0][-1].size)
    about = common.size_line(span, rise)
    sheet = _page(stacks, pens or {}, _block(title, f"{about} · {author}" if author else about), title, style)
    make = _Dark if ground is Ground.DARK else Document
    document = make(
        title=f"{title} · {about} · {ground}",
        author=author,
        subject=common.PROJECTION_SUBJECT,
        keywords=common.REAL_SIZE,
        layers=(*(pens or {}), words.GRID_LAYER),
        group=group or f"{title} · {about}",
    )
    document.page(sheet.width, sheet.height, bookmark=title)
    strokes = sheet.strokes
    if ground is Ground.DARK:
        page = rectangle(0, 0, sheet.width, sheet.height)
        document.strokes([stroked(page, Role.GROUND, filled=True)])
        strokes = tuple(replace(one, pen=replace(one.pen, colour=_lit(one.pen.colour))) for one in strokes)
    document.strokes(strokes)
    document.texts(sheet.texts)
    return ProjectionPdf(document.data(), sheet)


def _lit(colour: tuple[float, float, float]) -> tuple[float, float, float]:
    """A colour for a dark page: greys turned about, others halfway to white."""
    red, green, blue = colour
    if red == green == blue:
        return 1 - red, 1 - green, 1 - blue
    return (1 + red) / 2, (1 + green) / 2, (1 + blue) / 2


def _page(stacks: Sequence[Stack], pens: Mapping[str, Pen], block: Part, title: str, style: ProjectionStyle) -> Sheet:
    """Pieces one above the other as far as they must be, the title block among them, and the grid beneath all."""
    items = [*map(piece_item, stacks), drawing_item(block)]
    shapes = [*(replace(item.shape, turns=HALVES) for item in items[:-1]), replace(items[-1].shape, turns=(0,))]
    widest = max(shape.extent(0)[0] for shape in shapes)
    columns = ceil(widest / GRID)
    packing = pack(shapes, columns * GRID, gap=style.gap)
    rows = ceil(packing.length / GRID)
    inset = style.margin
    width, height = columns * GRID + 2 * inset, rows * GRID + 2 * inset
    lift = rows * GRID - packing.length
    spots = [replace(spot, x=spot.x + inset, y=spot.y + inset + lift) for spot in packing.spots]
    laid = [tuple(piece.moved(spot.motion) for piece in one) for one, spot in zip(stacks, spots, strict=False)]
    drawn = _pieces(laid, pens, width, height, title, style)
    at = spots[-1]
    head = block.drawn(at.x, at.y + block.height)
    room = rectangle(at.x, at.y, at.x + block.width, at.y + block.height)
    patch = stroked(room, Role.PATCH, filled=True)
    lines, figures = _grid(columns, rows, style)
    strokes = (*lines, patch, *drawn.strokes, *head.strokes)
    return Sheet(width, height, strokes, (*figures, *drawn.texts, *head.texts))


def _pieces(
    laid: Sequence[Stack], pens: Mapping[str, Pen], width: float, height: float, title: str, style: ProjectionStyle
) -> Sheet:
    if pens:
        heavy = {size: _heavier(pen, style.line) for size, pen in pens.items()}
        drawn = draw_nested(laid, heavy, width=width, height=height, design=title, style=SIZE_LETTERS, letters=LETTERS)
    else:
        pieces = list(chain.from_iterable(laid))
        drawn = draw_sheet(pieces, width=width, height=height, design=title, letters=LETTERS)
        strokes = (
            replace(stroke, pen=_heavier(stroke.pen, style.line)) if stroke.role is Role.CUT else stroke
            for stroke in drawn.strokes
        )
        drawn = replace(drawn, strokes=tuple(strokes))
    return replace(drawn, strokes=tuple(_at_least(stroke, style.other) for stroke in drawn.strokes))


def _heavier(pen: Pen, width: float) -> Pen:
    """A pen of that width, its dashes longer by half of what it is wider."""
    share = (1 + width / pen.width) / 2
    return replace(pen, width=width, dash=tuple(dash * share for dash in pen.dash))


def _at_least(stroke: Stroke, width: float) -> Stroke:
    if stroke.filled or stroke.pen.width >= width:
        return stroke
    return replace(stroke, pen=replace(stroke.pen, width=width))


def _grid(columns: int, rows: int, style: ProjectionStyle) -> tuple[list[Stroke], list[Text]]:
    """The lines of the grid and, outside it, how far each is from its lower left corner."""
    pen = Pen(style.grid, colour=(style.grid_grey,) * 3)
    on, inset = (words.GRID_LAYER,), style.margin
    right, top = inset + columns * GRID, inset + rows * GRID
    upright = [Path.through(Point(inset + i * GRID, inset), Point(inset + i * GRID, top)) for i in range(columns + 1)]
    level = [Path.through(Point(inset, inset + i * GRID), Point(right, inset + i * GRID)) for i in range(rows + 1)]
    texts = []
    for i in range(1, columns + 1):
        line = TextLine(words.along_grid(i), BODY_SIZE)
        texts.append(
            Text(Point(inset + i * GRID - line.width / 2, inset - 1.5 * BODY_SIZE), line.text, line.size, layers=on)
        )
    for i in range(1, rows + 1):
        line = TextLine(words.along_grid(i), BODY_SIZE)
        texts.append(
            Text(Point(inset - line.width - 4, inset + i * GRID - BODY_SIZE / 3), line.text, line.size, layers=on)
        )
    return [Stroke(path, Role.GRID, pen, layers=on) for path in (*upright, *level)], texts


def _block(title: str, below: str) -> Part:
    says = stack(
        paragraph(title, WORDS_WIDTH, size=TITLE_SIZE, bold=True),
        paragraph(below, WORDS_WIDTH, size=1.3 * BODY_SIZE),
        *(paragraph(step, WORDS_WIDTH, size=BODY_SIZE) for step in words.PROJECTION_CHECK),
        gap=3,
    )
    return beside(_metric(), _inches(), replace(says, width=WORDS_WIDTH), gap=12)


def _metric() -> Part:
    own, _ = words.square_size(GRID)
    line = TextLine(own, SQUARE_LETTERS[0], bold=True)
    text = Text(Point((GRID - line.width) / 2, -GRID / 2 - line.size / 3), line.text, line.size, line.bold)
    return Part(GRID, GRID, (_square(rectangle(0, -GRID, GRID, 0)),), (text,))


def _square(path: Path) -> Stroke:
    return Stroke(path, Role.SQUARE, replace(PENS[Role.SQUARE], width=STYLE.other))


def _inches() -> Part:
    """A square ruled into inches; the first of them says what it is."""
    side = CELLS * INCH
    own, _ = words.square_size(INCH)
    line = TextLine(own, SQUARE_LETTERS[1], bold=True)
    text = Text(Point((INCH - line.width) / 2, -INCH / 2 - line.size / 3), line.text, line.size, line.bold)
    paths = [rectangle(0, -INCH, INCH, 0), rectangle(0, -side, side, 0), *_ruled(side)]
    return Part(side, side, tuple(map(_square, paths)), (text,))


def _ruled(side: float) -> Iterator[Path]:
    for number in range(1, CELLS):
        at = number * INCH
        yield Path.through(Point(at, 0), Point(at, -side))
        yield Path.through(Point(0, -at), Point(side, -at))
