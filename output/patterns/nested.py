"""Several sizes of each piece drawn over one another, each size on a layer of its own over all pages.

A size is its cut line, in its own pattern and colour, with its notches and marks and, beyond what all sizes share, its
casing lines. Its label stands in its cut line, which a white patch breaks there, so that no reader need ask which line
it names. Seam lines are left out, because they would double the lines to tell apart. What sizes share - casing lines,
as far as all have them, grainline, title - is on the layers of all those sizes, shown while one of them is. Lengths in
mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain
from math import inf
from typing import Final

from blocks.words import sizes_span
from drafting.path import Path
from drafting.point import Point
from drafting.role import Role
from output.drawing.flow import Table
from output.drawing.labels import NO_JOINS, Joins, LabelStyle, label_stack
from output.drawing.labels import STYLE as LETTERS
from output.drawing.lettering import text_box
from output.drawing.marks import grain_strokes
from output.drawing.notches import notch_strokes
from output.drawing.pens import PENS
from output.drawing.placing import crease_strokes, mark_strokes
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.drawing.size_labels import LABELS, SizeLabels, size_labels
from output.drawing.size_lines import WIDTH
from output.formats.pdf import Document
from output.paper.layout import FLAT, Stack, lay_out_stacks
from output.paper.sizes import Paper, Tiling
from output.patterns import words
from output.patterns.cover import cover_pages
from output.patterns.tiled import TiledPdf, joins_of, published
from output.words import text as common

CASING_WIDTH: Final = 0.25
"""mm; casing lines are finer than on a single size, well apart from the cut lines."""


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
    span = sizes_span(first, last)
    cover = cover_pages(
        layout, title=title, size=span, rise=rise, workroom=author, tables=tables, paper=paper, cut_lines=pens
    )
    about = common.size_line(span, rise)
    document = Document(
        title=common.file_title(title, about, paper.name),
        author=author,
        keywords=common.REAL_SIZE,
        layers=tuple(pens),
        group=group or common.file_title(title, about),
    )
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
    letters: LabelStyle = LETTERS,
) -> Sheet:
    """A sheet with stacks that already lie where they are to be printed; `letters` are those of all other labels.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
    """
    cut_lines = [
        [Stroke(piece.cut_line, Role.CUT, pens[piece.size], layers=(piece.size,)) for piece in stack]
        for stack in stacks
    ]
    marks = [list(_marks(stack, pens)) for stack in stacks]
    labels = size_labels(cut_lines, list(chain(*marks)), extent=(width, height), joins=joins, style=style)
    texts: list[Text] = []
    for stack, lines, others, named in zip(stacks, cut_lines, marks, labels, strict=True):
        span = sizes_span(stack[0].size, stack[-1].size)
        heading = (*common.piece_heading(replace(stack[0], size=span), design), words.ONE_SIZE)
        taken = [text_box(label.text) for label in named]
        texts += [label.text for label in named]
        texts += label_stack(stack, [*lines, *others], heading=heading, taken=taken, joins=joins, style=letters)
    patches = [label.patch for named in labels for label in named]
    strokes = (*chain(*cut_lines), *patches, *chain(*marks))
    return Sheet(width, height, strokes, tuple(texts))


def _marks(stack: Stack, pens: Mapping[str, Pen]) -> Iterator[Stroke]:
    """What is drawn beside the cut lines."""
    yield from _grain(stack)
    yield from _casing_lines(stack, pens)
    yield from _placing(stack, pens)
    for piece in stack:
        solid = Pen(WIDTH, colour=pens[piece.size].colour)
        for stroke in notch_strokes(piece, solid):
            yield replace(stroke, layers=(piece.size,))


def _placing(stack: Stack, pens: Mapping[str, Pen]) -> Iterator[Stroke]:
    """The marks inside the pieces: each once for all sizes that have it in one place, or in the colour of its size."""
    found: dict[tuple[Role, tuple[float, ...]], tuple[Stroke, list[str]]] = {}
    for piece in stack:
        for stroke in (*crease_strokes(piece.marks), *mark_strokes(piece.marks)):
            place = tuple(stroke.path.array(tolerance=FLAT).round(3).ravel().tolist())
            found.setdefault((stroke.role, place), (stroke, []))[1].append(piece.size)
    for stroke, sizes in found.values():
        colour = pens[sizes[0]].colour if len(sizes) == 1 < len(stack) else stroke.pen.colour
        yield replace(stroke, pen=replace(stroke.pen, width=CASING_WIDTH, colour=colour), layers=tuple(sizes))


def _grain(stack: Stack) -> Iterator[Stroke]:
    """The grainline of the smallest size: it lies within all."""
    every = tuple(piece.size for piece in stack)
    for stroke in grain_strokes(stack[0].grainline):
        yield replace(stroke, layers=every)


def _casing_lines(stack: Stack, pens: Mapping[str, Pen]) -> Iterator[Stroke]:
    """Each casing line once as far as all sizes that have it share it, and what each has beyond that.

    One that lies at a height of its own, as where casings grade, has the colour of its size.
    """
    found: dict[tuple[str, float, float], list[tuple[str, float, float, Role]]] = {}
    for piece in stack:
        for lines, role in ((piece.fold_lines, Role.FOLD), (piece.stitch_lines, Role.STITCH)):
            for line in lines:
                start, end = (line.start, line.end) if line.start.x <= line.end.x else (line.end, line.start)
                place = (line.name, round(start.y, 3), round(end.y, 3))
                found.setdefault(place, []).append((piece.size, start.x, end.x, role))
    for (_, y, far), having in found.items():
        low, high = max(left for _, left, _, _ in having), min(right for _, _, right, _ in having)
        pen = PENS[having[0][3]]
        if len(having) == 1 < len(stack):
            pen = replace(pen, colour=pens[having[0][0]].colour)
        if low >= high or y != far:  # nothing is shared, or it is not level
            low = high = -inf
        else:
            yield _casing_line(having[0][3], pen, low, high, y, y, tuple(size for size, *_ in having))
        for size, left, right, role in having:
            for begin, stop in ((left, low), (max(left, high), right)):
                if stop - begin > FLAT:
                    yield _casing_line(role, pen, begin, stop, y, far, (size,))


def _casing_line(
    role: Role, pen: Pen, left: float, right: float, y: float, far: float, layers: tuple[str, ...]
) -> Stroke:
    """A line whose dashes lie where those of every other line at its height do, and so never fill their gaps."""
    fine = Pen(CASING_WIDTH, pen.dash, pen.colour, round(left % sum(pen.dash), 3))
    return Stroke(Path.through(Point(left, y), Point(right, far)), role, fine, layers=layers)
