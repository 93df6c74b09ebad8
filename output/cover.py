"""The first pages of a printed pattern: what to check, how to join the pages, what the lines mean, what to cut.

Parts are built at an origin in their upper left corner, y up, and then flow down as many pages as they need. In mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from drafting.errors import OutputError
from drafting.path import Path
from drafting.piece import Grainline, Notch, NotchKind
from drafting.point import Motion, Point, Vector
from drafting.units import INCH
from output import text as words
from output.layout import Layout
from output.lettering import ASCENT, DESCENT, LEADING, Block, Line, wrap
from output.marks import JOIN, MarkStyle, grain_strokes, notch_ticks, rectangle, register_mark
from output.paper import Paper
from output.pdf import text_width
from output.sheet import CUT, FOLD, SEAM, STITCH, Pen, Stroke, Text

MARGIN: Final = 14.0
TITLE_SIZE: Final = 9.0
HEADING_SIZE: Final = 4.6
BODY_SIZE: Final = 3.3
SMALL_SIZE: Final = 2.6
GAP: Final = 6.0

SQUARES: Final = (50.0, 2 * INCH)
"""mm; sides of the calibration squares, one for each kind of ruler."""

THIN: Final = Pen(0.25)
RULE: Final = Pen(0.15, colour=(0.6, 0.6, 0.6))
OUTLINE: Final = Pen(0.3)
PATCH: Final = Pen(0.0, colour=(1.0, 1.0, 1.0))
KEY_MARKS: Final = MarkStyle(
    double_gap=2.4, fold_reach=4, long_reach=3, arrow_length=4, arrow_width=2.4, register_ring=1.4, register_arm=2.6
)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under a heading; `header` names the columns, or is empty."""

    heading: str
    rows: tuple[tuple[str, ...], ...]
    header: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """One page's strokes and texts, from the paper's lower left corner."""

    strokes: tuple[Stroke, ...]
    texts: tuple[Text, ...]


def cover_pages(
    layout: Layout,
    *,
    paper: Paper,
    title: str,
    size: str,
    rise: str = "",
    workroom: str = "",
    tables: Sequence[Table] = (),
) -> list[Drawing]:
    """The first pages, as many as their matter needs, on upright `paper`.

    Raises:
        OutputError: one row of a table is taller than a page, or the fonts lack a character.
    """
    size_line = words.size_line(size, rise)
    first_pages = 1
    while True:  # the map names pages of the file, so it depends on how many come before them
        flow = _Flow(paper)
        width = flow.width
        flow.add(_title(title, size_line, workroom, width))
        flow.add(_stack(_heading(words.CHECK_HEADING), _check(width)))
        flow.add(_stack(_heading(words.JOIN_HEADING), _joining(layout, width, first_pages, paper)))
        flow.add(_stack(_heading(words.LINES_HEADING), _key(layout, width)))
        for table in (Table(words.CUTTING_HEADING, words.cutting_rows(layout.pieces)), *tables):
            flow.add_table(table)
        flow.add(_stack(_heading(words.CAUTION_HEADING), _list(words.CAUTIONS, width, bullet="•")))
        if len(flow.pages) <= first_pages:
            break
        first_pages = len(flow.pages)
    total = first_pages + len(layout.cells)
    return [
        _finished(part, paper, f"{title} · {size_line} · {words.page_number(number, total)}")
        for number, part in enumerate(flow.pages, 1)
    ]


@dataclass(frozen=True)
class _Part:
    """Strokes and texts below and to the right of the origin."""

    width: float
    height: float
    strokes: tuple[Stroke, ...] = ()
    texts: tuple[Text, ...] = ()

    def at(self, x: float, y: float) -> _Part:
        """The same drawn with its upper left corner at (x, y)."""
        by = Vector(x, y)
        shift = Motion.shift(by)
        return _Part(
            self.width,
            self.height,
            tuple(Stroke(stroke.path.moved(shift), stroke.pen, stroke.filled) for stroke in self.strokes),
            tuple(Text(text.at + by, text.text, text.size, text.bold, text.angle) for text in self.texts),
        )


def _merged(width: float, height: float, parts: Sequence[_Part]) -> _Part:
    return _Part(
        width,
        height,
        tuple(stroke for part in parts for stroke in part.strokes),
        tuple(text for part in parts for text in part.texts),
    )


def _stack(*parts: _Part, gap: float = 2.0) -> _Part:
    placed, y = [], 0.0
    for part in parts:
        placed.append(part.at(0, y))
        y -= part.height + gap
    return _merged(max(part.width for part in parts), -y - gap, placed)


def _beside(*parts: _Part, gap: float = GAP) -> _Part:
    placed, x = [], 0.0
    for part in parts:
        placed.append(part.at(x, 0))
        x += part.width + gap
    return _merged(x - gap, max(part.height for part in parts), placed)


class _Flow:
    """Parts down the pages, each on the first page that has room for it after the one before."""

    def __init__(self, paper: Paper) -> None:
        self.width = paper.width - 2 * MARGIN
        self._height = paper.height - 2 * MARGIN - SMALL_SIZE * 2
        self.pages: list[_Part] = [_Part(self.width, 0)]

    @property
    def _left(self) -> float:
        used = self.pages[-1].height
        return self._height - used - (GAP if used else 0)

    def add(self, part: _Part) -> None:
        if part.height > self._left and self.pages[-1].height:
            self.pages.append(_Part(self.width, 0))
        page = self.pages[-1]
        top = page.height + (GAP if page.height else 0)
        self.pages[-1] = _merged(self.width, top + part.height, [page, part.at(0, -top)])

    def add_table(self, table: Table) -> None:
        """A table whole, or its rows over several pages under the same heading.

        Raises:
            OutputError: one row is taller than a page.
        """
        columns = _column_widths(table, self.width)
        heading, rows = table.heading, list(table.rows)
        while rows:
            for count in range(len(rows), 0, -1):
                part = _stack(_heading(heading), _rows(rows[:count], table.header, columns))
                if part.height <= self._left or (count == len(rows) and part.height <= self._height / 2):
                    break
            else:
                if not self.pages[-1].height:
                    raise OutputError(
                        f"table {table.heading!r}: the row that starts {rows[0][0]!r} is taller than a page; shorten it"
                    )
                self.pages.append(_Part(self.width, 0))
                continue
            self.add(part)
            rows, heading = rows[count:], words.continued(table.heading)


def _finished(part: _Part, paper: Paper, footer: str) -> Drawing:
    page = part.at(MARGIN, paper.height - MARGIN)
    line = Text(Point(MARGIN, MARGIN - DESCENT), footer, SMALL_SIZE)
    return Drawing(page.strokes, (*page.texts, line))


def _block(*lines: Line) -> _Part:
    block = Block(lines)
    return _Part(block.width, block.height, (), tuple(block.texts(Point(0, -block.height))))


def _heading(text: str) -> _Part:
    return _block(Line(text, HEADING_SIZE, bold=True))


def _title(title: str, size_line: str, workroom: str, width: float) -> _Part:
    lines = [Line(part, TITLE_SIZE, bold=True) for part in wrap(title, width, TITLE_SIZE, bold=True)]
    lines += [Line(part, 5.2) for part in wrap(f"{size_line} · {workroom}" if workroom else size_line, width, 5.2)]
    return _block(*lines)


def _list(items: Sequence[str], width: float, *, bullet: str = "") -> _Part:
    """Items one below the other, numbered unless a bullet is given."""
    indent = 5.5
    parts = []
    for number, item in enumerate(items, 1):
        text = _block(*(Line(part, BODY_SIZE) for part in wrap(item, width - indent, BODY_SIZE)))
        mark = _Part(
            indent, 0, (), (Text(Point(0, -ASCENT * BODY_SIZE), bullet or f"{number}", BODY_SIZE, bold=not bullet),)
        )
        parts.append(_beside(mark, text, gap=0))
    return _stack(*parts, gap=0.7)


def _check(width: float) -> _Part:
    squares = _beside(*(_square(side) for side in SQUARES))
    return _beside(squares, _list(words.CHECK_STEPS, width - squares.width - GAP))


def _square(side: float) -> _Part:
    """A square whose lines' middles are `side` mm apart, its size written in it so that nothing touches the lines."""
    own, other = words.square_size(side)
    lines = (Line(own, 4.2, bold=True), Line(other, BODY_SIZE), Line(words.SQUARE_HINT, SMALL_SIZE))
    texts, y = [], -side / 2 + 5.0
    for line in lines:
        texts.append(Text(Point((side - line.width) / 2, y), line.text, line.size, line.bold))
        y -= line.size * LEADING + 1
    return _Part(side, side, (Stroke(rectangle(0, -side, side, 0), THIN),), tuple(texts))


def _joining(layout: Layout, width: float, first_pages: int, paper: Paper) -> _Part:
    left = width * 0.48
    return _beside(_list(words.JOIN_STEPS, left), _map(layout, width - left - GAP, first_pages, paper))


def _map(layout: Layout, width: float, first_pages: int, paper: Paper) -> _Part:
    """The grid in miniature with the pieces' true outlines; pages that are not printed are not drawn."""
    cell_width, cell_height = layout.cell_size
    head, side = SMALL_SIZE * 1.6, max(text_width(words.map_row(layout.rows), SMALL_SIZE), 8) + 1.5
    scale = min((width - side) / layout.width, 75 / layout.height)
    tall = layout.height * scale

    def spot(x: float, y: float) -> Point:
        return Point(side + x * scale, -head - tall + y * scale)

    strokes, texts = [], []
    for cell in layout.cells:
        a = layout.corner(cell)
        low, high = spot(a.x, a.y), spot(a.x + cell_width, a.y + cell_height)
        strokes.append(Stroke(rectangle(low.x, low.y, high.x, high.y), JOIN))
    dots: list[Point] = []
    for piece in layout.pieces:
        points = [spot(point.x, point.y) for point in piece.cut_line.flat(tolerance=0.05 / scale)]
        strokes.append(Stroke(Path.through(*points, points[0]), OUTLINE))
        dots += [a.toward(b, i / 8) for a, b in zip(points, points[1:], strict=False) for i in range(8)]
    for number, cell in enumerate(layout.cells, first_pages + 1):
        a = layout.corner(cell)
        low, high = spot(a.x, a.y), spot(a.x + cell_width, a.y + cell_height)
        patch, text = _number(f"{number}", low, high, dots)
        strokes += patch
        texts.append(text)
    for column in range(1, layout.columns + 1):
        name = _fitting((words.map_column(column), f"{column}"), cell_width * scale)
        middle = spot((column - 0.5) * cell_width, 0).x
        texts.append(Text(Point(middle - name.width / 2, -head + 1), name.text, name.size))
    for row in range(1, layout.rows + 1):
        y = spot(0, (layout.rows - row + 0.5) * cell_height).y
        texts.append(Text(Point(0, y - SMALL_SIZE / 3), words.map_row(row), SMALL_SIZE))
    caption = words.map_caption(len(layout.cells), layout.rows, layout.columns, paper.name, layout.width, layout.height)
    lines = [Line(part, SMALL_SIZE) for text in (words.MAP_HINT, caption) for part in wrap(text, width, SMALL_SIZE)]
    return _stack(_Part(width, head + tall, tuple(strokes), tuple(texts)), _block(*lines))


def _fitting(names: Sequence[str], width: float) -> Line:
    """The first name that is not too wide, or else the last."""
    lines = [Line(name, SMALL_SIZE) for name in names]
    return next((line for line in lines if line.width < width - 1), lines[-1])


def _number(number: str, low: Point, high: Point, dots: Sequence[Point]) -> tuple[list[Stroke], Text]:
    """A page's number in its cell of the map where no outline runs, or on a white patch."""
    line = Line(number, min(SMALL_SIZE, (high.y - low.y) / 2, (high.x - low.x) / 2), bold=True)
    wide, tall = line.width + 1, line.size
    places = [
        (low.x + (high.x - low.x - wide) * across, low.y + (high.y - low.y - tall) * up)
        for across, up in ((0.5, 0.5), (0.5, 0.25), (0.5, 0.75), (0.25, 0.5), (0.75, 0.5), (0.15, 0.15), (0.85, 0.85))
    ]
    free = [
        (x, y)
        for x, y in places
        if not any(x - 0.3 < dot.x < x + wide + 0.3 and y - 0.3 < dot.y < y + tall + 0.3 for dot in dots)
    ]
    x, y = (free or places)[0]
    patch = [] if free else [Stroke(rectangle(x, y, x + wide, y + tall), PATCH, filled=True)]
    return patch, Text(Point(x + 0.5, y + tall * 0.15), number, line.size, bold=True)


def _key(layout: Layout, width: float) -> _Part:
    """What every kind of line and notch on these pieces means."""
    pieces = layout.pieces
    half = (width - GAP) / 2
    lines = [_key_line(CUT, words.KEY_CUT), _key_line(SEAM, words.KEY_SEAM)]
    if any(piece.fold_lines for piece in pieces):
        lines.append(_key_line(FOLD, words.KEY_FOLD))
    if any(piece.stitch_lines for piece in pieces):
        lines.append(_key_line(STITCH, words.KEY_STITCH))
    grain = grain_strokes(Grainline(Point(0, -2.5), Point(KEY_WIDTH, -2.5)), style=KEY_MARKS)
    lines.append(_key_entry(grain, words.KEY_GRAIN, 5))
    if len(layout.cells) > 1:
        lines.append(_key_line(JOIN, words.KEY_JOIN))
        lines.append(_key_entry(register_mark(Point(KEY_WIDTH / 2, -3), style=KEY_MARKS), words.KEY_REGISTER, 6))
    used = {notch.kind for piece in pieces for notch in piece.notches}
    notches = [_key_notch(kind, words.KEY_NOTCH[kind.value]) for kind in NotchKind if kind in used]
    parts = [_stack(*lines, gap=1.2)]
    if notches:
        parts.append(_stack(*notches, gap=1.2))
    column = _merged(half, parts[0].height, parts[:1])
    return _beside(column, *parts[1:])


KEY_WIDTH: Final = 24.0


def _key_entry(strokes: Sequence[Stroke], name: str, height: float) -> _Part:
    middle = -height / 2 - BODY_SIZE * 0.36
    return _Part(
        KEY_WIDTH + 4 + text_width(name, BODY_SIZE),
        height,
        tuple(strokes),
        (Text(Point(KEY_WIDTH + 4, middle), name, BODY_SIZE),),
    )


def _key_line(pen: Pen, name: str) -> _Part:
    return _key_entry([Stroke(Path.through(Point(0, -2.5), Point(KEY_WIDTH, -2.5)), pen)], name, 5)


def _key_notch(kind: NotchKind, name: str) -> _Part:
    """A short piece of edge with the notch on it, and the line that it belongs to."""
    tall, cut, seam = 6.4, 0.5, 5.5
    middle = -tall / 2
    strokes = [
        Stroke(Path.through(Point(cut, 0), Point(cut, -tall)), CUT),
        Stroke(Path.through(Point(seam, -0.2), Point(seam, -tall)), SEAM),
    ]
    belongs = {NotchKind.FOLD: FOLD, NotchKind.STITCH: STITCH}.get(kind)
    if belongs:
        strokes.append(Stroke(Path.through(Point(seam, middle), Point(KEY_WIDTH, middle)), belongs))
    notch = Notch("key", kind, "key", 0, Point(seam, middle), Point(cut, middle))
    strokes += [Stroke(tick, CUT) for tick in notch_ticks(notch, style=KEY_MARKS)]
    return _key_entry(strokes, name, tall)


def _column_widths(table: Table, width: float) -> list[float]:
    """Natural widths; columns that ask for more than their share give way when the table is too wide."""
    rows = [*table.rows, *([table.header] if table.header else [])]
    count = max(len(row) for row in rows)
    natural = [
        max(text_width(row[i], BODY_SIZE, bold=row is table.header) for row in rows if i < len(row))
        for i in range(count)
    ]
    left = width - GAP * (count - 1)
    wide = sorted(range(count), key=lambda i: natural[i])
    widths = [0.0] * count
    for place, i in enumerate(wide):
        widths[i] = min(natural[i], left / (count - place))
        left -= widths[i]
    return widths


def _rows(rows: Sequence[tuple[str, ...]], header: tuple[str, ...], columns: Sequence[float]) -> _Part:
    width = sum(columns) + GAP * (len(columns) - 1)
    parts = [*_row_parts([header] if header else [], columns, width, bold=True), *_row_parts(rows, columns, width)]
    return _stack(*parts, gap=0.6)


def _row_parts(
    rows: Sequence[tuple[str, ...]], columns: Sequence[float], width: float, *, bold: bool = False
) -> Iterator[_Part]:
    for row in rows:
        cells = []
        for text, limit in zip(row, columns, strict=False):
            lines = [Line(part, BODY_SIZE, bold) for part in wrap(text, limit + 1e-6, BODY_SIZE, bold=bold)]
            block = _block(*lines) if lines else _Part(0, 0)
            cells.append(_Part(limit, block.height, block.strokes, block.texts))
        part = _beside(*cells)
        rule = Stroke(Path.through(Point(0, -part.height - 0.3), Point(width, -part.height - 0.3)), RULE)
        yield _Part(width, part.height + 0.3, (*part.strokes, rule), part.texts)
