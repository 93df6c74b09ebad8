"""A lay plan on paper: the pieces on the cloth at a stated scale, and what to buy. In mm on paper, y up.

The cloth's length runs up the page, so that pieces stand as they do on the pattern, or upside down when turned.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from blocks.cloth import Lay
from blocks.haberdashery import Haberdashery
from blocks.lay import Laid, LayPlan
from blocks.notions import Thread
from blocks.requirement import Buying, requirement
from drafting.errors import OutputError
from drafting.path import Path
from drafting.picture import Scale, rectangle
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.flow import (
    GAP,
    HEADING_SIZE,
    SMALL_SIZE,
    Flow,
    Part,
    Table,
    block,
    listing,
    paragraph,
    section,
    stack,
)
from output.drawing.lettering import Box, TextBlock, TextLine
from output.drawing.pens import LAY_PENS
from output.drawing.picture import moved
from output.drawing.sheet import Sheet, Stroke, Text
from output.formats.pdf import Document
from output.lays import words
from output.paper.sizes import Paper, Tiling
from output.words import text
from output.words.letters import text_width

if TYPE_CHECKING:
    import shapely

SCALES: Final = (5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)
"""Denominators that a ruler or a head can work with."""

LABEL_SIZES: Final = (2.8, 2.5, 2.2)
CLEARANCE: Final = 0.5
"""Between a label and the lines round it."""

_BAND: Final = 5.0
"""Room beside the cloth for a line of words or a dimension."""

_HEAD: Final = (1.6, 0.5)
"""An arrowhead's length and half its width, on an arrow that is long enough for it."""

_STEPS: Final = 40
"""Places tried across and up a piece for its label."""


@dataclass(frozen=True, slots=True)
class LayPage:
    """A lay plan with what else its page tells: whose it is, how it is bought, and the notions beside it."""

    plan: LayPlan
    design: str
    size: str
    rise: str
    takes: Haberdashery
    thread: Thread
    buying: Buying

    @property
    def title(self) -> str:
        """What sets this page apart from the others of its file."""
        return f"{text.size_line(self.size, self.rise)} · {words.on_cloth(self.plan.cloth, self.plan.rules)}"


def lay_drawing(plan: LayPlan, *, width: float, height: float) -> Sheet:
    """The plan in the largest scale of `SCALES` in which it fits `width` by `height` mm, on a sheet of its own size.

    Raises:
        OutputError: it fits in none, or the fonts lack a character.
    """
    across = plan.cloth.width / (2 if plan.cloth.lay is Lay.FOLDED else 1)
    for denominator in SCALES:
        if across / denominator < width and plan.length / denominator < height:
            sheet = _drawn(plan, across, denominator)
            if sheet.width <= width and sheet.height <= height:
                return sheet
    raise OutputError(
        f"lay plan: a lay of {plan.length / 1000:.2f} m does not fit {width:.0f} by {height:.0f} mm of paper at "
        f"1 : {SCALES[-1]}; give it more paper"
    )


def _drawn(plan: LayPlan, across: float, denominator: float) -> Sheet:
    """Dimensions above the cloth and on its left, names of pieces too small to hold them on its right."""
    left, low = 2.5 * _BAND, _BAND
    right, high = left + across / denominator, low + plan.length / denominator
    scale = Scale(1 / denominator, Vector(left, low))
    strokes = [*_cloth(plan, scale, across), *_dimensions(left, right, low, high)]
    texts: list[Text] = []
    outside: list[tuple[Point, TextBlock]] = []
    for laid in plan.laid:
        drawn, named, misfit = _piece(plan, laid, scale)
        strokes += drawn
        texts += named
        outside += misfit
    column = right + 2 * _BAND
    led = _led(outside, column, high)
    strokes += [_stroke(Path.through(place, end), Role.LEADER) for place, end, _ in led]
    named = [line for _, _, lines in led for line in lines]
    taken = [(min(place.y, end.y), max(place.y, end.y)) for place, end, _ in led]
    texts += [*_around(plan, (left, right, low, high), denominator, taken), *named]
    reach = max(column + text_width(line.text, line.size) for line in named) if named else right + _BAND
    top = max([high + 1.5 * _BAND, *(line.at.y + line.size for line in named)])
    lift = max([0.0, *(1.0 - line.at.y for line in named)])  # a column longer than the cloth
    return Sheet(reach, top + lift, *moved(strokes, texts, Vector(0.0, lift)))


def _stroke(path: Path, role: Role, *, filled: bool = False) -> Stroke:
    return Stroke(path, role, LAY_PENS[role], filled)


def _cloth(plan: LayPlan, scale: Scale, across: float) -> Iterator[Stroke]:
    """The cloth, tinted where nothing may lie; its edges along the length."""
    cloth, length = plan.cloth, plan.length

    def strip(start: float, end: float, role: Role) -> Stroke:
        return _stroke(scale.path(rectangle(start, 0.0, end, length)), role, filled=True)

    def line(start: Point, end: Point, role: Role) -> Stroke:
        return _stroke(scale.path(Path.through(start, end)), role)

    folded = cloth.lay is Lay.FOLDED
    yield strip(0.0, across, Role.CLOTH)
    for start, end in ((0.0, cloth.selvedge), (across - (cloth.fold if folded else cloth.selvedge), across)):
        if end > start:
            yield strip(start, end, Role.LOST)
    for y in (0.0, length):
        yield line(Point(0.0, y), Point(across, y), Role.CLOTH_END)
    yield line(Point(0.0, 0.0), Point(0.0, length), Role.SELVEDGE)
    yield line(Point(across, 0.0), Point(across, length), Role.FOLD if folded else Role.SELVEDGE)


def _around(plan: LayPlan, cloth: Box, denominator: float, taken: Sequence[tuple[float, float]]) -> Iterator[Text]:
    """The words outside the cloth: its edges, its width, the length of the lay, the scale.

    `cloth` is its left, right, low and high on paper; `taken` are the heights where lines cross its right edge.
    """
    left, right, low, high = cloth
    size, middle = SMALL_SIZE, (low + high) / 2
    edge = words.FOLD if plan.cloth.lay is Lay.FOLDED else words.SELVEDGE
    length, scale = words.length_label(plan.length), words.scale(denominator)
    yield _centred(words.SELVEDGE, Point(left - 1.4, middle), size, angle=90)
    free = _free(middle, text_width(edge, size), (low, high), taken)
    if free is not None:
        yield _centred(edge, Point(right + 3.4, free), size, angle=90)
    yield _centred(words.width_label(plan.cloth), Point((left + right) / 2, high + _BAND - 1.0), size)
    if text_width(length, size) < high - low:
        yield _centred(length, Point(left - _BAND - 2.4, middle), size, angle=90)
    else:
        scale = f"{length} · {scale}"
    yield Text(Point(left, low - 3.8), scale, size)


def _free(aim: float, length: float, within: tuple[float, float], taken: Sequence[tuple[float, float]]) -> float | None:
    """The height nearest to `aim` round which `length` is free; None where nothing is, as a tinted edge can do without
    its name.
    """
    low, high = within
    if length > high - low:
        return None
    half = length / 2 + CLEARANCE
    heights = [aim, *(bottom - half for bottom, _ in taken), *(top + half for _, top in taken)]
    clear = [
        height
        for height in heights
        if low <= height - length / 2
        and height + length / 2 <= high
        and all(height + half <= bottom + 1e-6 or height - half >= top - 1e-6 for bottom, top in taken)
    ]
    return min(clear, key=lambda height: abs(height - aim), default=None)


def _dimensions(left: float, right: float, low: float, high: float) -> Iterator[Stroke]:
    """The width above the cloth, the length on its left, with a tick at each end."""
    y, x = high + 2.2, left - _BAND
    for start, end, tick in (
        (Point(left, y), Point(right, y), Vector(0, 1)),
        (Point(x, low), Point(x, high), Vector(1, 0)),
    ):
        yield _stroke(Path.through(start, end), Role.DIMENSION)
        for place in (start, end):
            yield _stroke(Path.through(place - tick, place + tick), Role.DIMENSION)


def _centred(said: str, middle: Point, size: float, *, angle: float = 0.0) -> Text:
    along = Vector.at_angle(angle)
    return Text(middle - along * (text_width(said, size) / 2), said, size, angle=angle)


def _piece(plan: LayPlan, laid: Laid, scale: Scale) -> tuple[list[Stroke], list[Text], list[tuple[Point, TextBlock]]]:
    """A piece's strokes, its label, or where the label must lead to when the piece has no room for it."""
    piece, motion = plan.piece(laid.piece), laid.motion
    outline = scale.path(piece.cut_line.moved(motion))
    grain = piece.grainline.moved(motion)
    start, end = scale(grain.start), scale(grain.end)
    arrow = _arrow(start, end)
    strokes = [
        _stroke(outline, Role.FACE_DOWN if laid.mirrored else Role.FACE_UP, filled=True),
        _stroke(outline, Role.OUTLINE),
        *arrow,
    ]
    labels = words.piece_labels(piece, mirrored=laid.mirrored)
    texts = _label(outline, (start, end), labels)
    if texts:
        return strokes, texts, []
    lines = tuple(TextLine(part, LABEL_SIZES[-1]) for part in labels[-2 if laid.mirrored else -1])
    return strokes, [], [(start.toward(end, 0.5), TextBlock(lines))]


def _arrow(start: Point, end: Point) -> tuple[Stroke, Stroke]:
    """The grain, with a head at the piece's upper end."""
    along = (end - start).unit()
    length = min(_HEAD[0], (end - start).length / 2)
    base, side = end - along * length, along.left() * (_HEAD[1] * length / _HEAD[0])
    head = Path.through(end, base + side, base - side, end)
    return _stroke(Path.through(start, base), Role.GRAIN), _stroke(head, Role.GRAIN, filled=True)


def _label(outline: Path, grain: tuple[Point, Point], labels: Sequence[Sequence[str]]) -> list[Text]:
    """The first label, in the largest letters, that has room in the piece, level or upright; none if none has."""
    import shapely  # noqa: PLC0415 - slow to import, and only drawing needs it

    arrow = shapely.LineString([(point.x, point.y) for point in grain]).buffer(_HEAD[1], cap_style="flat")
    room = shapely.Polygon(outline.array(tolerance=0.02)).buffer(-CLEARANCE).difference(arrow.buffer(CLEARANCE))
    middle = grain[0].toward(grain[1], 0.5)
    for label in labels:
        for size in LABEL_SIZES:
            made = TextBlock(tuple(TextLine(part, size) for part in label))
            for upright in (False, True):
                corner = _corner(room, made, middle, upright=upright)
                if corner:
                    return made.texts(corner, 90.0 if upright else 0.0)
    return []


def _corner(room: shapely.Geometry, made: TextBlock, aim: Point, *, upright: bool) -> Point | None:
    """Where the block starts so that it lies in the room, its middle nearest to `aim`; None if there is no place."""
    import shapely  # noqa: PLC0415

    wide, tall = (made.height, made.width) if upright else (made.width, made.height)
    left, low, right, high = shapely.bounds(room).tolist()
    if not (wide <= right - left and tall <= high - low):  # also of an empty room, whose bounds are NaN
        return None
    xs, ys = np.linspace(left, right - wide, _STEPS), np.linspace(low, high - tall, _STEPS)
    x, y = (grid.ravel() for grid in np.meshgrid(xs, ys))
    shapely.prepare(room)
    fits = shapely.contains(room, shapely.box(x, y, x + wide, y + tall))
    if not fits.any():
        return None
    away = np.where(fits, np.hypot(x + wide / 2 - aim.x, y + tall / 2 - aim.y), np.inf)
    best = int(away.argmin())
    # an upright block is turned about its lower left corner, which then is its lower right one on the page
    return Point(float(x[best]) + (wide if upright else 0.0), float(y[best]))


def _led(
    outside: Iterable[tuple[Point, TextBlock]], column: float, high: float
) -> list[tuple[Point, Point, list[Text]]]:
    """Labels in a column beside the cloth from the top down, each with the two ends of a line to its piece."""
    led, ceiling = [], high
    for place, made in sorted(outside, key=lambda one: -one[0].y):
        bottom = min(ceiling, place.y + made.height / 2) - made.height
        ceiling = bottom - CLEARANCE
        end = Point(column - 0.8, bottom + made.height / 2)
        led.append((place, end, made.texts(Point(column, bottom))))
    return led


def lay_part(plan: LayPlan, *, width: float, height: float) -> Part:
    """The drawing as a part of printed matter, at most `width` by `height` mm."""
    sheet = lay_drawing(plan, width=width, height=height)
    down = Vector(0.0, -sheet.height)
    shift = Motion.shift(down)
    strokes = (replace(stroke, path=stroke.path.moved(shift)) for stroke in sheet.strokes)
    texts = (replace(said, at=said.at + down) for said in sheet.texts)
    return Part(sheet.width, sheet.height, tuple(strokes), tuple(texts))


def lay_pages(page: LayPage, paper: Paper, *, tiling: Tiling | None = None) -> list[Sheet]:
    """The plan as one page, its words on further ones if they must.

    Raises:
        OutputError: the drawing does not fit, or the fonts lack a character.
    """
    margin = (tiling or Tiling()).inset
    width, height = paper.width - 2 * margin, paper.height - 2 * margin
    plan = page.plan
    needs = requirement(plan, buying=page.buying)
    head = stack(
        block(TextLine(words.HEADING, HEADING_SIZE, bold=True)),
        paragraph(page.design, width),
        paragraph(page.title, width, bold=True),
        gap=1.0,
    )
    tables = (
        Table(words.REQUIREMENT_HEADING, words.requirement_rows(plan.cloth, needs, page.buying, plan.used)),
        Table(words.NOTIONS_HEADING, words.notion_rows(page.takes, page.thread)),
    )
    how = section(words.HOW_HEADING, listing(words.how_to_lay(plan.pieces, plan.cloth, plan.rules), width))
    cautions = stack(*(paragraph(text.CAUTIONS[number], width, size=SMALL_SIZE) for number in (0, -1)), gap=0.5)
    below = Flow(width, height)
    below.add_tables(tables)
    left = height - head.height - how.height - sum(part.height for part in below.pages) - cautions.height - 5 * GAP
    flow = Flow(width, height)
    flow.add(head)
    flow.add(lay_part(plan, width=width, height=left))
    flow.add(how)
    flow.add_tables(tables)
    flow.add(cautions)
    sheets = []
    for part in flow.pages:
        drawn = part.drawn(margin, paper.height - margin)
        sheets.append(Sheet(paper.width, paper.height, drawn.strokes, drawn.texts))
    return sheets


def lay_plans_pdf(pages: Sequence[LayPage], paper: Paper, *, author: str = "") -> bytes:
    """One or more plans in a file, each with a bookmark.

    Raises:
        OutputError: see `lay_pages`.
    """
    document = Document(title=f"{pages[0].design} · {words.HEADING}", author=author)
    for page in pages:
        for number, sheet in enumerate(lay_pages(page, paper)):
            document.page(sheet.width, sheet.height, bookmark="" if number else page.title)
            document.strokes(sheet.strokes)
            document.texts(sheet.texts)
    return document.data()
