"""A garment before and after what a fitting found, over one another: on a page to scale, and in real size for screens.

What was lies under what is, in a lighter line. Nothing is cut along either: the lines are finished ones, no allowances.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from blocks.fitting import Adjusted, called
from blocks.garment import Garment
from blocks.known import block_of
from drafting.errors import OutputError
from drafting.path import Path
from drafting.picture import Scale, circle
from drafting.point import Point, Vector
from drafting.role import Role
from drafting.units import show_small
from output.drawing.flow import HEADING_SIZE, SMALL_SIZE, Flow, Part, Table, beside, block, paragraph, stack
from output.drawing.lettering import TextLine, overlap, text_box
from output.drawing.pens import COMPARISON_PENS
from output.drawing.sheet import Sheet, Stroke, Text
from output.formats.pdf import Document
from output.formats.svg import sheet_svg
from output.paper.sizes import Paper, Tiling
from output.patterns import words
from output.words import text
from output.words.letters import text_width

SCALES: Final = (2, 2.5, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20)
"""Denominators that a ruler or a head can work with."""

SHARE: Final = 0.6
"""Of a page's height, at most for the drawing: the rest tells what moved."""

DOT: Final = 0.6
NUMBER_SIZE: Final = 3.0
SAMPLE: Final = 16.0
"""mm; a point that moved, its number's letters, a line in the key."""

REAL_LETTERS: Final = 4
"""Letters of the drawing in real size over those on a page: it is looked at from further away."""

AROUND: Final = tuple(Vector.at_angle(angle) for angle in (135, 45, 225, 315, 180, 0, 90, 270))
"""Where a number may stand from its point."""


def before_after_pdf(garment: Garment, paper: Paper) -> tuple[bytes, int]:
    """The drawing in the largest scale that fits, what was found, and all that moved by it; and how many pages it is.

    Raises:
        OutputError: nothing was found, a drawing that fits in no scale, or the fonts lack a character.
    """
    made, margin = _adjusted(garment), Tiling().inset
    width, height = paper.width - 2 * margin, paper.height - 2 * margin
    document = Document(title=_title(garment), author=garment.design.workroom)
    flow = Flow(width, height)
    flow.add(
        stack(
            block(TextLine(words.BEFORE_AFTER, HEADING_SIZE, bold=True)),
            paragraph(text.SEPARATOR.join((garment.design.name, text.size_line(garment.size, garment.rise))), width),
            gap=1.0,
        )
    )
    flow.add(_drawing(garment, made, width, height * SHARE))
    flow.add_tables(_tables(made))
    flow.add(paragraph(words.BEFORE_AFTER_NOTE, width, size=SMALL_SIZE))
    for part in flow.pages:
        drawn = part.drawn(margin, paper.height - margin)
        document.page(paper.width, paper.height)
        document.strokes(drawn.strokes)
        document.texts(drawn.texts)
    return document.data(), len(flow.pages)


def before_after_svg(garment: Garment) -> bytes:
    """The drawing alone, in real size.

    Raises:
        OutputError: nothing was found, or the fonts lack a character.
    """
    letters = NUMBER_SIZE * REAL_LETTERS
    drawing = _drawn(garment, _adjusted(garment), 1, letters)
    part = stack(drawing, paragraph(words.BEFORE_AFTER_NOTE, drawing.width, size=letters), gap=letters)
    drawn = part.drawn(0, part.height)
    return sheet_svg(Sheet(part.width, part.height, drawn.strokes, drawn.texts), title=_title(garment))


def _adjusted(garment: Garment) -> Adjusted:
    if garment.adjusted is None:
        raise OutputError("before and after: nothing was adjusted; give what a fitting found, or leave this out")
    return garment.adjusted


def _title(garment: Garment) -> str:
    line = text.size_line(garment.size, garment.rise)
    return text.file_title(garment.design.name, line, words.BEFORE_AFTER.lower())


def _drawing(garment: Garment, made: Adjusted, width: float, height: float) -> Part:
    for denominator in SCALES:
        part = _drawn(garment, made, denominator, NUMBER_SIZE)
        if part.width <= width and part.height <= height:
            return part
    raise OutputError(f"before and after: the drawing does not fit the paper at 1 : {SCALES[-1]:g}; use larger paper")


def _drawn(garment: Garment, made: Adjusted, denominator: float, letters: float) -> Part:
    """Both outlines, a number at each point that moved, and below them the key; its upper left corner at the origin.

    Heights and widths are measured from the two fine lines. `letters` are so many mm high.
    """
    boxes = [made.before.bounds, made.after.bounds]
    left, low = (min(box[side] for box in boxes) for side in (0, 1))
    right, high = (max(box[side] for box in boxes) for side in (2, 3))
    room = 2 * letters
    scale = Scale(1 / denominator, Vector(room - left / denominator, -room - high / denominator))
    outlines = (scale.path(made.before), scale.path(made.after))
    lines = [Path.through(scale(Point(x, low)), scale(Point(x, high))) for x in (0.0,) if left < x < right]
    lines += [Path.through(scale(Point(left, y)), scale(Point(right, y))) for y in (0.0,) if low < y < high]
    dots = [scale(one.at) for one in made.points if one.told]
    strokes = [
        *(_stroke(line, Role.LEVEL) for line in lines),
        *(_stroke(path, role) for path, role in zip(outlines, (Role.BEFORE, Role.AFTER), strict=True)),
        *(_stroke(circle(dot, DOT), Role.DOT, filled=True) for dot in dots),
    ]
    sides = dict(zip(block_of(garment.design).sides, (right, left), strict=True))
    texts = [_centred(said, scale(Point(x / 2, (low + high) / 2)), letters) for said, x in sides.items() if x]
    wide, tall = (right - left) / denominator + 2 * room, (high - low) / denominator + 2 * room
    drawing = Part(wide, tall, tuple(strokes), (*texts, *_numbers(dots, outlines, letters)))
    return stack(drawing, _key(denominator, letters), gap=1.0)


def _numbers(dots: Sequence[Point], outlines: Sequence[Path], letters: float) -> Iterator[Text]:
    """A number beside each point that moved, as in the table: on no line and no other number where there is room."""
    taken = [
        (point.x, point.y, point.x, point.y)
        for path in outlines
        for distance in np.arange(0.0, path.length, letters / 4)
        for point in [path.point_at(float(distance))]
    ]
    for number, dot in enumerate(dots, start=1):
        places = [_centred(f"{number}", dot + way * (away * letters), letters) for away in (1, 1.6) for way in AROUND]
        said = next((text for text in places if not any(overlap(text_box(text), box) for box in taken)), places[0])
        taken.append(text_box(said))
        yield said


def _centred(said: str, middle: Point, size: float) -> Text:
    half = text_width(said, size, bold=True) / 2
    return Text(middle + Vector(-half, -size * 0.36), said, size, bold=True)


def _key(denominator: float, letters: float) -> Part:
    """The look of both lines, and the scale."""
    parts, size = [], letters * SMALL_SIZE / NUMBER_SIZE
    for role, said in ((Role.BEFORE, words.BEFORE), (Role.AFTER, words.AFTER)):
        line = Part(SAMPLE, size, (_stroke(Path.through(Point(0, -0.6 * size), Point(SAMPLE, -0.6 * size)), role),))
        parts.append(beside(line, block(TextLine(said, size)), gap=2.0))
    scale = words.REAL_SIZE if denominator == 1 else words.scale(denominator)
    return beside(*parts, block(TextLine(scale, size)))


def _tables(made: Adjusted) -> tuple[Table, ...]:
    found = tuple((called(name), show_small(amount)) for name, amount in made.fitting.found.items())
    points = [(one.name, one.told) for one in made.points if one.told]
    moved = tuple((f"{number}", *row) for number, row in enumerate(points, start=1))
    edges = tuple((one.name, one.told) for one in made.edges if one.told)
    return (
        Table(words.FOUND, found),
        Table(words.MOVED, moved),
        Table(words.CHANGED, edges),
    )


def _stroke(path: Path, role: Role, *, filled: bool = False) -> Stroke:
    return Stroke(path, role, COMPARISON_PENS[role], filled)
