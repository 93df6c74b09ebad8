"""The first pages of a printed pattern: what to check, how to join the pages, what the lines mean, what to cut.

Parts are built as in `output.drawing.flow`: in mm, y up, from their upper left corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from drafting.path import Path
from drafting.picture import rectangle
from drafting.piece import Grainline, NotchKind, Piece
from drafting.point import Point, Vector
from drafting.role import Role
from drafting.units import INCH, show_at_most, show_small
from output.drawing.flow import (
    BODY_SIZE,
    GAP,
    SMALL_SIZE,
    Drawing,
    Flow,
    Part,
    beside,
    listing,
    paragraph,
    section,
    stack,
)
from output.drawing.flow import Table as Table  # noqa: PLC0414 - part of what cover_pages takes
from output.drawing.ink import Ink
from output.drawing.lettering import LEADING, TextLine, led
from output.drawing.marks import MarkStyle, grain_strokes, register_mark
from output.drawing.notches import deepest_snip, mark, ringed
from output.drawing.pens import PENS, stroked
from output.drawing.placing import buttonhole, crease_strokes, cross, mark_strokes
from output.drawing.sheet import Pen, Stroke, Text
from output.paper.layout import Layout
from output.paper.sizes import Paper
from output.patterns import words
from output.words import text as common
from output.words.letters import text_width

MARGIN: Final = 14.0
TITLE_SIZE: Final = 9.0
SUBTITLE_SIZE: Final = 5.2

SQUARES: Final = (50.0, 2 * INCH)
"""mm; sides of the calibration squares, one for each kind of ruler."""

MAP_HEIGHT: Final = 75.0
MAP_TOLERANCE: Final = 0.05
NUMBER_CLEAR: Final = 0.6
NUMBER_PLACES: Final = (
    (0.5, 0.5),
    (0.5, 0.25),
    (0.5, 0.75),
    (0.25, 0.5),
    (0.75, 0.5),
    (0.15, 0.15),
    (0.85, 0.85),
    (0.15, 0.85),
    (0.85, 0.15),
)
"""Where a page's number stands in its cell, as shares of the room left across and up; the best first."""
KEY_WIDTH: Final = 24.0
KEY_GAP: Final = 4.0
KEY_EDGE: Final = 6.4
"""mm; width of the sample of a line, from there to its name, and height of the sample of an edge."""

SIZE_COLUMNS: Final = 4
SIZE_ROOM: Final = 20.0
"""mm; for a size's label beside the sample of its line."""

LEAST_SAMPLE: Final = 15.0
"""mm; for the sample of a size's line beside a long label."""

MARKED: Final = (Role.PLACE, Role.CROSS, Role.BUTTONHOLE)

KEY_ROW_GAP: Final = 0.8
KEY_HEAD: Final = 9.0
"""mm; between two entries of the key, and for a heading above it."""

KEY_MARKS: Final = MarkStyle(arrow_length=4, arrow_width=2.4, register_ring=1.4, register_arm=2.6)
KEY_SEAM_PEN: Final = replace(PENS[Role.SEAM], dash=(1.6, 0.8))
"""On a sample of a few millimetres the dashes of the sheet would look like an unbroken line."""


def cover_pages(
    layout: Layout,
    *,
    paper: Paper,
    title: str,
    size: str,
    rise: str = "",
    workroom: str = "",
    tables: Sequence[Table] = (),
    cut_lines: Mapping[str, Pen] | None = None,
) -> list[Drawing]:
    """The first pages, as many as their matter needs, on upright `paper`.

    Where several sizes are drawn over one another, `cut_lines` are their pens; each size's entry is on its layer.

    Raises:
        OutputError: one row of a table is taller than a page, or the fonts lack a character.
    """
    size_line = common.size_line(size, rise)
    width = paper.width - 2 * MARGIN
    heading = _title(title, size_line, workroom, width)
    check = section(words.CHECK_HEADING, _check(width))
    nested = cut_lines is not None
    height = paper.height - 2 * MARGIN - 2 * SMALL_SIZE
    sizes = [] if cut_lines is None else size_key(cut_lines, width, height, words.SIZE_STEPS)
    lines = section(words.LINES_HEADING, line_key(layout, width, nested=nested))
    one_of_each = [stacked[0] for stacked in layout.stacks]
    listed = (Table(words.CUTTING_HEADING, words.cutting_rows(one_of_each)), *tables)
    cautions = section(words.CAUTION_HEADING, listing(common.CAUTIONS, width, bullet="•"))
    first_pages = 2
    while True:  # the map names pages of the file, so it depends on how many come before them: most often two
        flow = Flow(width, height)
        flow.add(heading)
        flow.add(check)
        flow.add(section(words.JOIN_HEADING, _joining(layout, width, first_pages, paper, nested=nested)))
        for part in (*sizes, cautions, lines):
            flow.add(part)
        flow.add_tables(listed)
        if len(flow.pages) == first_pages:
            break
        first_pages = len(flow.pages)
    total = first_pages + len(layout.cells)
    return [
        _finished(part, paper, led(title, f"{size_line} · {words.page_number(number, total)}", width, SMALL_SIZE))
        for number, part in enumerate(flow.pages, 1)
    ]


def _finished(part: Part, paper: Paper, footer: str) -> Drawing:
    page = part.drawn(MARGIN, paper.height - MARGIN)
    return replace(page, texts=(*page.texts, Text(Point(MARGIN, MARGIN), footer, SMALL_SIZE)))


def _title(title: str, size_line: str, workroom: str, width: float) -> Part:
    below = f"{size_line} · {workroom}" if workroom else size_line
    return stack(
        paragraph(title, width, size=TITLE_SIZE, bold=True), paragraph(below, width, size=SUBTITLE_SIZE), gap=0.5
    )


def _check(width: float) -> Part:
    squares = beside(*(square(side) for side in SQUARES))
    return beside(squares, listing(words.CHECK_STEPS, width - squares.width - GAP))


def square(side: float) -> Part:
    """A square whose lines' middles are `side` mm apart, its size written in it so that nothing touches the lines."""
    own, other = words.square_size(side)
    lines = (TextLine(own, 4.2, bold=True), TextLine(other, BODY_SIZE), TextLine(words.SQUARE_HINT, SMALL_SIZE))
    texts, y = [], -side / 2 + 5.0
    for line in lines:
        texts.append(Text(Point((side - line.width) / 2, y), line.text, line.size, line.bold))
        y -= line.size * LEADING + 1
    return Part(side, side, (stroked(rectangle(0, -side, side, 0), Role.SQUARE),), tuple(texts))


def _joining(layout: Layout, width: float, first_pages: int, paper: Paper, *, nested: bool) -> Part:
    left = width * 0.54
    steps = (*words.JOIN_STEPS, *cutting_steps(layout.pieces, nested=nested))
    return beside(listing(steps, left), _map(layout, width - left - GAP, first_pages, paper))


def cutting_steps(pieces: Iterable[Piece], *, nested: bool) -> list[str]:
    """What follows when the pages are joined: how to cut out, and how deep to snip."""
    depth = deepest_snip(pieces)
    return [words.JOINED[nested], *([words.SNIP.format(depth=show_at_most(depth))] if depth else [])]


def _map(layout: Layout, width: float, first_pages: int, paper: Paper) -> Part:
    """The grid in miniature with the pieces' true outlines; pages that are not printed are not drawn."""
    cell_width, cell_height = layout.cell_size
    head = SMALL_SIZE * 1.6
    side = max(text_width(name, SMALL_SIZE) for name in (words.MAP_COLUMNS, words.map_row(layout.rows))) + 1.5
    scale = min((width - side) / layout.width, MAP_HEIGHT / layout.height)
    tall = layout.height * scale

    def spot(x: float, y: float) -> Point:
        return Point(side + x * scale, -head - tall + y * scale)

    corners = [layout.corner(cell) for cell in layout.cells]
    cells = [(spot(at.x, at.y), spot(at.x + cell_width, at.y + cell_height)) for at in corners]
    grid = [stroked(rectangle(low.x, low.y, high.x, high.y), Role.JOIN) for low, high in cells]
    small = [_in_small(outline, scale, spot) for outline in layout.outlines]
    outlines = [stroked(path, Role.OUTLINE) for path in small]
    ink = Ink.of(small)
    numbers = [_number(f"{number}", low, high, ink) for number, (low, high) in enumerate(cells, first_pages + 1)]
    texts = [text for _, text in numbers]
    columns = [TextLine(words.map_column(column), SMALL_SIZE) for column in range(1, layout.columns + 1)]
    if max(name.width for name in columns) > cell_width * scale - 1:
        texts.append(Text(Point(0, -head + 1), words.MAP_COLUMNS, SMALL_SIZE))
        columns = [TextLine(f"{column}", SMALL_SIZE) for column in range(1, layout.columns + 1)]
    for column, name in enumerate(columns):
        middle = spot((column + 0.5) * cell_width, 0).x
        texts.append(Text(Point(middle - name.width / 2, -head + 1), name.text, name.size))
    for row in range(1, layout.rows + 1):
        y = spot(0, (layout.rows - row + 0.5) * cell_height).y
        texts.append(Text(Point(0, y - SMALL_SIZE / 3), words.map_row(row), SMALL_SIZE))
    captions = (
        words.map_pages(len(layout.cells), layout.rows, layout.columns, paper.name),
        words.map_size(layout.width, layout.height),
        words.MAP_HINT,
    )
    patches = [patch for patch, _ in numbers if patch]
    drawn = Part(width, head + tall, (*grid, *outlines, *patches), tuple(texts))
    return stack(drawn, *(paragraph(caption, width, size=SMALL_SIZE) for caption in captions), gap=0.8)


def _in_small(outline: Path, scale: float, spot: Callable[[float, float], Point]) -> Path:
    """An outline on the map, with no more corners than can be seen there."""
    import shapely  # noqa: PLC0415 - slow to import, and only printing needs it

    line = shapely.LineString(outline.array(tolerance=MAP_TOLERANCE / scale))
    kept = shapely.get_coordinates(shapely.simplify(line, MAP_TOLERANCE / scale)).tolist()
    return Path.through(*(spot(x, y) for x, y in kept))


def _number(number: str, low: Point, high: Point, ink: Ink) -> tuple[Stroke | None, Text]:
    """A page's number in its cell of the map where no outline runs, or on a white patch."""
    line = TextLine(number, min(SMALL_SIZE, (high.y - low.y) / 2, (high.x - low.x) / 2), bold=True)
    wide, tall = line.width + 1, line.size
    places = [
        (low.x + (high.x - low.x - wide) * across, low.y + (high.y - low.y - tall) * up) for across, up in NUMBER_PLACES
    ]

    def free(x: float, y: float) -> bool:
        left, right = ink.between(y - NUMBER_CLEAR, y + tall + NUMBER_CLEAR)
        return not ((left < x + wide + NUMBER_CLEAR) & (right > x - NUMBER_CLEAR)).any()

    found = next((place for place in places if free(*place)), None)
    x, y = found or places[0]
    patch = None if found else stroked(rectangle(x, y, x + wide, y + tall), Role.PATCH, filled=True)
    return patch, Text(Point(x + 0.5, y + tall * 0.15), number, line.size, bold=True)


def size_key(cut_lines: Mapping[str, Pen], width: float, height: float, steps: Sequence[str]) -> list[Part]:
    """How to find one's own size, and the cut line of each, read down the columns; in parts up to `height` mm tall."""
    count, room = _size_columns(cut_lines, width)
    column = (width - GAP * (count - 1)) / count
    sample = column - room
    entries = [
        replace(_key_entry([_sample(pen, sample)], size, 4, column, sample), layers=(size,))
        for size, pen in cut_lines.items()
    ]
    head = section(words.SIZES_HEADING, listing(steps, width))
    parts: list[Part] = []
    while entries:
        start = parts or [head]
        tallest = max(entry.height for entry in entries) + KEY_ROW_GAP
        left = height - (start[0].height + 2 if not parts else 0) - KEY_HEAD
        rows = max(1, min(-(-len(entries) // count), int(left / tallest)))
        some, entries = entries[: rows * count], entries[rows * count :]
        columns = [stack(*some[i : i + rows], gap=KEY_ROW_GAP) for i in range(0, len(some), rows)]
        key = beside(*columns)
        parts.append(section(common.continued(words.SIZES_HEADING), key) if parts else stack(head, key))
    return parts


def _size_columns(cut_lines: Mapping[str, Pen], width: float) -> tuple[int, float]:
    """How many columns a key of sizes has, and the room of a label in each: fewer and more for long labels."""
    room = max(SIZE_ROOM, KEY_GAP + max(text_width(size, BODY_SIZE) for size in cut_lines) + 0.1)
    for count in (SIZE_COLUMNS, 3, 2) if len(cut_lines) > SIZE_COLUMNS else (2,):
        column = (width - GAP * (count - 1)) / count
        if column - room >= LEAST_SAMPLE:
            return count, room
    return 1, min(room, width - LEAST_SAMPLE)


def line_key(layout: Layout, width: float, *, nested: bool) -> Part:
    """What every kind of line and notch on these pieces means."""
    pieces = layout.pieces
    half = (width - GAP) / 2
    grain = grain_strokes(Grainline(Point(0, -2.5), Point(KEY_WIDTH, -2.5)), style=KEY_MARKS)
    marked = {stroke.role for piece in pieces for stroke in mark_strokes(piece.marks)}
    lines = [
        *([] if nested else [_key_line(PENS[Role.CUT], words.KEY_CUT, half)]),
        _key_line(KEY_SEAM_PEN if nested else PENS[Role.SEAM], _seam_line(pieces, nested=nested), half),
        *(_key_line(PENS[Role.FOLD], fold, half) for fold in _fold_lines(pieces)),
        *(
            _key_line(PENS[Role.STITCH], words.KEY_STITCH, half)
            for _ in range(any(piece.stitch_lines for piece in pieces))
        ),
        *(_key_mark(role, half) for role in MARKED if role in marked),
        _key_entry(grain, words.KEY_GRAIN, 5, half),
    ]
    if len(layout.cells) > 1:
        mark = register_mark(Point(KEY_WIDTH / 2, -3), style=KEY_MARKS)
        lines += [_key_line(PENS[Role.JOIN], words.KEY_JOIN, half), _key_entry(mark, words.KEY_REGISTER, 6, half)]
    allowances = {notch.kind: piece.edge(notch.edge).allowance for piece in pieces for notch in piece.notches}
    named = {words.KEY_NOTCH[kind.value]: kind for kind in NotchKind if kind in allowances}
    notches = [_key_notch(kind, allowances[kind], name, half) for name, kind in named.items()]
    depth = deepest_snip(pieces)
    rules = [words.KEY_SNIP.format(depth=show_at_most(depth))] * (depth > 0) + [words.KEY_RINGED] * ringed(pieces)
    left = replace(stack(*lines, gap=1.6), width=half)
    return beside(left, stack(*notches, *(paragraph(rule, half) for rule in rules), gap=2.0)) if notches else left


def _seam_line(pieces: Iterable[Piece], *, nested: bool) -> str:
    """What the seam line is; where it is left out, the allowance of most edges and, by name, of others."""
    if not nested:
        return words.KEY_SEAM
    having: dict[float, dict[str, None]] = {}
    for piece in pieces:
        for edge in piece.edges:
            having.setdefault(edge.allowance, {})[edge.name] = None
    most, *others = sorted(having, key=lambda allowance: -len(having[allowance]))
    named = (f"{show_small(allowance)} at {', '.join(having[allowance])}" for allowance in others)
    return words.KEY_SEAM_LEFT_OUT.format(allowance=", ".join((show_small(most), *named)))


def _fold_lines(pieces: Iterable[Piece]) -> list[str]:
    """What the fold lines are: of casings alone, or of other things as well; nothing where there are none."""
    if any(crease_strokes(piece.marks) for piece in pieces):
        return [words.KEY_CREASE]
    return [words.KEY_FOLD] if any(piece.fold_lines for piece in pieces) else []


def _key_entry(
    strokes: Sequence[Stroke], name: str, height: float, width: float, sample_width: float = KEY_WIDTH
) -> Part:
    """A sample `height` mm tall with its name beside it, both centred on the entry's height.

    Its lines only show what lines of a pattern look like: none is to be cut.
    """
    says = paragraph(name, width - sample_width - KEY_GAP)
    tall = max(height, says.height)
    sample = Part(sample_width, height, tuple(replace(stroke, role=Role.KEY) for stroke in strokes))
    placed = ((0.0, (height - tall) / 2, sample), (sample_width + KEY_GAP, (says.height - tall) / 2, says))
    return Part(width, tall, parts=placed)


def _key_line(pen: Pen, name: str, width: float) -> Part:
    return _key_entry([_sample(pen, KEY_WIDTH)], name, 5, width)


def _key_mark(role: Role, width: float) -> Part:
    """A mark inside a piece, as it is drawn."""
    ends = Point(0, -2.5), Point(KEY_WIDTH, -2.5)
    middle = ends[0].toward(ends[1], 0.5)
    strokes = {
        Role.PLACE: [stroked(Path.through(*ends), role)],
        Role.CROSS: cross(middle),
        Role.BUTTONHOLE: buttonhole(Path.through(middle + Vector(-6, 0), middle + Vector(6, 0))),
    }
    return _key_entry(strokes[role], words.KEY_MARK[role.value], 5, width)


def _sample(pen: Pen, length: float) -> Stroke:
    return Stroke(Path.through(Point(0, -2.5), Point(length, -2.5)), Role.KEY, pen)


def _key_notch(kind: NotchKind, allowance: float, name: str, width: float) -> Part:
    """A short piece of edge with the notch on it as it is drawn, and the line that it belongs to."""
    tall, cut = KEY_EDGE, 0.5
    seam, middle = cut + min(allowance, KEY_WIDTH / 2), -tall / 2
    strokes = [
        stroked(Path.through(Point(cut, 0), Point(cut, -tall)), Role.CUT),
        Stroke(Path.through(Point(seam, 0), Point(seam, -tall)), Role.SEAM, KEY_SEAM_PEN),
    ]
    belongs = {NotchKind.FOLD: Role.FOLD, NotchKind.STITCH: Role.STITCH}.get(kind)
    if belongs:
        strokes.append(stroked(Path.through(Point(seam, middle), Point(KEY_WIDTH, middle)), belongs))
    strokes += mark(kind, Point(cut, middle), Vector(1, 0), seam - cut, min(allowance, seam - cut))
    return _key_entry(strokes, name, tall, width)
