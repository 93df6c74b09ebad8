"""Words inside a piece: its title, its grainline and its lines are named where nothing is drawn. Lengths in mm, y up.

Every label keeps clear of every line and of every other label. It stays on one page and off the register marks when
there is room for that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import ClassVar, Final, NamedTuple

import numpy as np

from blocks.parameters import CHOICE, PRACTICE, Parameters, parameter
from drafting.errors import OutputError
from drafting.piece import Mark, Piece
from drafting.point import Motion, Point, Vector
from output.drawing.ink import Ink, boxes_seen
from output.drawing.lettering import Box, TextBlock, TextLine, cut, text_box, wrap
from output.drawing.sheet import Stroke, Text
from output.words import text as words
from output.words.letters import text_width


@dataclass(frozen=True, slots=True)
class LabelStyle(Parameters):
    """Sizes of the letters (the font's em) and how far they keep off the lines."""

    called: ClassVar[str] = "labels"

    title: float = parameter(7, "mm", 4, 15, "first line of a piece's title", CHOICE)
    body: float = parameter(4.2, "mm", 3, 8, "other lines of a piece's title", CHOICE)
    line: float = parameter(3.2, "mm", 2.5, 6, "name of a fold, stitch or grain line", CHOICE)
    smallest: float = parameter(2.2, "mm", 1.8, 3, "letters are not printed smaller: about 6 points", PRACTICE)
    clearance: float = parameter(
        1.0, "mm", 0.5, 3, "between a label and the middle of a line, or another label", CHOICE
    )
    repeat: float = parameter(400, "mm", 100, 2000, "a long line is named about once in this length", CHOICE)


STYLE: Final = LabelStyle()

FINEST, CLOSEST = 1.8, 0.5
"""mm; letters and their clearance where there is no other room: still legible, and better than no word."""


def _tight(style: LabelStyle) -> LabelStyle:
    return replace(style, smallest=min(FINEST, style.smallest), clearance=min(CLOSEST, style.clearance))


@dataclass(frozen=True, slots=True)
class Joins:
    """Where a sheet is cut into pages: the x and y of its joins, the strip on both sides of each that two pages print,
    and the register marks.
    """

    xs: tuple[float, ...] = ()
    ys: tuple[float, ...] = ()
    overlap: float = 0.0
    marks: tuple[Box, ...] = ()


NO_JOINS: Final = Joins()

WRAPPED: Final = (80.0, 60.0, 45.0, 35.0, 25.0)
SHORTENED: Final = (60.0, 40.0, 25.0, 12.0)
"""mm; widths that a title is broken into, and that a name is cut to, where there is no other room."""

ASIDE: Final = 60.0
"""mm; a mark or a line that is crowded by those of other sizes is named no further from it."""

STEP, FINE_STEP = 2.0, 0.5
"""mm; between two heights at which a title is tried."""

ENDLESS: Final = 1e6
"""mm; more than any sheet is long."""


def label_piece(
    piece: Piece, strokes: Sequence[Stroke], *, design: str, joins: Joins = NO_JOINS, style: LabelStyle = STYLE
) -> tuple[Text, ...]:
    """The texts of a piece that lies where it is to be printed, `strokes` being all that is drawn on it.

    Raises:
        OutputError: a label has no room in the piece even in the smallest letters, or the fonts lack a character.
    """
    found = _labels([piece], strokes, words.piece_heading(piece, design), (), joins, style)
    return tuple(text for _, texts in found for text in texts)


def label_stack(
    pieces: Sequence[Piece],
    strokes: Sequence[Stroke],
    *,
    heading: Sequence[str],
    taken: Sequence[Box] = (),
    joins: Joins = NO_JOINS,
    style: LabelStyle = STYLE,
) -> tuple[Text, ...]:
    """The texts that sizes of one piece share, drawn over one another, smallest first: `heading` and the lines' names.

    Each is on the layers of the sizes that it is true of. `taken` are boxes of what is already written.

    Raises:
        OutputError: as for `label_piece`.
    """
    found = _labels(pieces, strokes, heading, taken, joins, style)
    return tuple(replace(text, layers=sizes) for sizes, texts in found for text in texts)


def _labels(
    pieces: Sequence[Piece],
    strokes: Sequence[Stroke],
    heading: Sequence[str],
    taken: Sequence[Box],
    joins: Joins,
    style: LabelStyle,
) -> Iterator[tuple[tuple[str, ...], list[Text]]]:
    """The sizes that have something, and its texts, set where the first of them has it."""
    boxes, named = list(taken), set[str]()
    every_line = [list(_line_labels(piece)) for piece in pieces]
    having: dict[str, list[tuple[str, float]]] = {}
    for piece, lines in zip(pieces, every_line, strict=True):
        for line in lines:
            having.setdefault(line.name, []).append((piece.size, round(line.start.y, 3)))
    for number, piece in enumerate(pieces):
        lines = [one for one in every_line[number] if one.name not in named]
        if number and not lines:
            continue
        room = _Room(piece, strokes, joins, boxes)
        if number == 0:
            every, grain = tuple(one.size for one in pieces), piece.grainline
            yield every, _title(piece, room, heading, style)
            yield every, _along(piece, room, grain.start, grain.end, words.GRAIN, style, above=True)
        for line in lines:
            named.add(line.name)
            sizes, heights = zip(*having[line.name], strict=True)
            graded = len(pieces) > 1 < len(set(heights))
            aside = line.mark or graded
            yield (
                tuple(dict.fromkeys(sizes)),
                _along(piece, room, line.start, line.end, [line.label], style, above=line.above, aside=aside),
            )


class _Line(NamedTuple):
    """A line that is named, by what is printed, and on which side if there is room on both."""

    name: str
    start: Point
    end: Point
    label: str
    above: bool
    mark: bool = False


def _line_labels(piece: Piece) -> Iterator[_Line]:
    """Fold lines are named above, stitch lines on the side away from their fold, marks below the edge they begin with.

    Marks that are called the same are named once.
    """
    for line in piece.fold_lines:
        yield _Line(line.name, line.start, line.end, words.fold_label(line), above=True)
    for line in piece.stitch_lines:
        folds = [fold for fold in piece.fold_lines if fold.casing == line.casing]
        above = not folds or line.start.y >= folds[0].start.y
        yield _Line(line.name, line.start, line.end, words.stitch_label(line), above=above)
    for label, mark in {mark.label: mark for mark in reversed(piece.marks)}.items():
        start, end = _named_at(mark)
        yield _Line(f"mark {label}", start, end, label, above=False, mark=True)


def _named_at(mark: Mark) -> tuple[Point, Point]:
    """Where a mark is named: at its first segment, or beside its first point."""
    if mark.line:
        return mark.line.segments[0].start, mark.line.segments[0].end
    return mark.points[0], mark.points[0] + Vector(2.0, 0.0)


@dataclass
class _Room:
    """What a piece already carries. A view turned by some degrees sees it so that a label lies level there."""

    piece: Piece
    strokes: Sequence[Stroke]
    joins: Joins
    taken: list[Box]

    def __post_init__(self) -> None:
        import shapely  # noqa: PLC0415 - slow to import, and only printing needs it

        self.ink = Ink.of(stroke.path for stroke in self.strokes)
        self.inside = shapely.Polygon(self.piece.seam_line.array(tolerance=0.05))
        shapely.prepare(self.inside)
        self._views: dict[float, _View] = {}

    def view(self, degrees: float) -> _View:
        if degrees not in self._views:
            self._views[degrees] = _View(self, degrees)
        return self._views[degrees]

    def take(self, texts: Sequence[Text]) -> None:
        self.taken += [text_box(text) for text in texts]


class _View:
    """The room seen from a frame turned by `degrees`; all coordinates of its methods are of that frame."""

    def __init__(self, room: _Room, degrees: float) -> None:
        self._room = room
        self.seen, self.real = Motion.turn(-degrees), Motion.turn(degrees)
        self._taken: list[Box] = []
        joins = room.joins
        # A join is an endless line; in a frame turned by 90 degrees upright joins are level and the other way about.
        xs: list[float] = []
        self._ys: list[float] = []
        for places, normal in ((joins.xs, Point(1, 0)), (joins.ys, Point(0, 1))):
            across, up = self.seen(normal).x, self.seen(normal).y
            if abs(up) < 1e-6:
                xs += [place * across for place in places]
            elif abs(across) < 1e-6:
                self._ys += [place * up for place in places]
        strips = [(x - joins.overlap, -ENDLESS, x + joins.overlap, ENDLESS) for x in xs]
        self._ink = room.ink.seen(self.seen)
        self._ink_and_joins = self._ink.with_boxes([*boxes_seen(joins.marks, self.seen), *strips])

    def gaps(
        self, bottom: float, top: float, width: float, *, keep: float, on_one_page: bool
    ) -> list[tuple[float, float]]:
        """Stretches of a level band that are free and no narrower than `width`, from left to right.

        They keep `keep` mm off everything. The outermost reach no further than a line.
        """
        reach = self._room.joins.overlap
        if on_one_page and any(bottom - reach < y < top + reach for y in self._ys):
            return []
        low, high = bottom - keep, top + keep
        ink = self._ink_and_joins if on_one_page else self._ink
        free = [(begin + keep, end - keep) for begin, end in ink.gaps(low, high, 2 * keep + width)]
        if free:
            self._taken += boxes_seen(self._room.taken[len(self._taken) :], self.seen)
            for left, under, right, over in self._taken:
                if under < high and over > low:
                    free = without(free, left - keep, right + keep)
        return [(begin, end) for begin, end in free if end - begin >= width]

    def inside(self, x: float, y: float) -> bool:
        import shapely  # noqa: PLC0415

        point = self.real(Point(x, y))
        return bool(shapely.contains_xy(self._room.inside, point.x, point.y))

    def fit(
        self,
        width: float,
        bottom: float,
        top: float,
        target: float,
        *,
        within: tuple[float, float],
        keep: float,
        on_one_page: bool,
    ) -> float | None:
        """The left end of a free stretch inside the piece, its middle as near to `target` as can be."""
        lefts = []
        for begin, end in self.gaps(bottom, top, width, keep=keep, on_one_page=on_one_page):
            low, high = max(begin, within[0]), min(end, within[1]) - width
            if low <= high:
                lefts.append(min(max(target - width / 2, low), high))
        for left in sorted(lefts, key=lambda left: abs(left + width / 2 - target)):
            if self.inside(left + width / 2, (bottom + top) / 2):
                return left
        return None


def without(stretches: Sequence[tuple[float, float]], left: float, right: float) -> list[tuple[float, float]]:
    parts = [part for a, b in stretches for part in ((a, min(b, left)), (max(a, right), b))]
    return [(a, b) for a, b in parts if a < b]


def _title(piece: Piece, room: _Room, lines: Sequence[str], style: LabelStyle) -> list[Text]:
    view = room.view(0)
    grain = piece.grainline
    aim = grain.start.toward(grain.end, 0.5) + Vector(4 * style.clearance, 0)
    tight = _tight(style)
    for block, keep, step, on_one_page in chain(
        ((block, style.clearance, STEP, on_one_page) for block, on_one_page in _title_blocks(lines, style)),
        ((block, tight.clearance, FINE_STEP, False) for block in _last_blocks(lines, tight)),
    ):
        place = _nearest_place(view, piece, block, aim, keep=keep, step=step, on_one_page=on_one_page)
        if place:
            texts = block.texts(view.real(Point(*place)))
            room.take(texts)
            return texts
    raise OutputError(
        f"piece {piece.name}: its title {lines[0]!r} with {len(lines) - 1} more lines has no room inside the seam "
        f"line, even in letters of {tight.smallest:g} mm; shorten the design's name or widen the piece"
    )


def _title_blocks(lines: Sequence[str], style: LabelStyle) -> Iterator[tuple[TextBlock, bool]]:
    """Ever more modest titles: shrunk, then across a join, then in one line, then wrapped."""
    least = style.smallest / style.body
    scales = (1.0, 0.85, 0.7)
    first, *more = lines
    # one to a line, two to a line, in two lines, in one line
    counts = sorted({1, min(2, len(more)), -(-len(more) // 2), len(more)} - {0})
    arrangements = [
        (first, *(words.SEPARATOR.join(more[i : i + count]) for i in range(0, len(more), count))) for count in counts
    ]

    def block(title: str, *others: str, scale: float) -> TextBlock:
        return TextBlock(
            (TextLine(title, style.title * scale, bold=True), *(TextLine(one, style.body * scale) for one in others))
        )

    for on_one_page, sizes in ((True, scales), (False, (*scales, least))):
        for scale in sizes:
            for arrangement in arrangements:
                yield block(*arrangement, scale=scale), on_one_page
    for on_one_page in (True, False):
        for scale in (0.85, 0.7, least):
            yield TextBlock((TextLine(words.SEPARATOR.join(lines), style.body * scale, bold=True),)), on_one_page
    for limit in WRAPPED:
        yield _wrapped(lines, limit, style.smallest), False


def _last_blocks(lines: Sequence[str], style: LabelStyle) -> Iterator[TextBlock]:
    """Titles in the finest letters, the design's name cut ever shorter: it stands on every page as well."""
    size = style.smallest
    for limit in (ENDLESS, *SHORTENED):
        first, *more = lines
        modest = (first, *(cut(one, limit, size) for one in more[:1]), *more[1:])
        for width in (ENDLESS, *WRAPPED):
            yield _wrapped((words.SEPARATOR.join(modest),), width, size)
            yield _wrapped(modest, width, size)


def _wrapped(lines: Sequence[str], limit: float, size: float) -> TextBlock:
    broken = [part for line in lines for part in wrap(line, limit, size)]
    return TextBlock(tuple(TextLine(part, size, i == 0) for i, part in enumerate(broken)))


def _nearest_place(
    view: _View, piece: Piece, block: TextBlock, aim: Point, *, keep: float, step: float, on_one_page: bool
) -> tuple[float, float] | None:
    """Left and bottom of the free place nearest to one that starts at `aim` and is centred on its height."""
    width, height = block.width, block.height
    left, low, right, high = piece.seam_line.bounds
    best: tuple[float, tuple[float, float]] | None = None
    steps = np.arange(low, high - height, step)
    target = aim.x + width / 2
    for bottom in sorted(steps.tolist(), key=lambda y: abs(y + height / 2 - aim.y)):
        away = abs(bottom + height / 2 - aim.y)
        if best and away >= best[0]:
            break
        found = view.fit(
            width, bottom, bottom + height, target, within=(left, right), keep=keep, on_one_page=on_one_page
        )
        if found is not None:
            cost = float(np.hypot(away, found + width / 2 - target))
            if best is None or cost < best[0]:
                best = cost, (found, bottom)
    return best[1] if best else None


def _along(
    piece: Piece,
    room: _Room,
    start: Point,
    end: Point,
    labels: Sequence[str],
    style: LabelStyle,
    *,
    above: bool,
    aside: bool = False,
) -> list[Text]:
    """A label beside a straight line, repeated along a long one where there is room; a shorter one if need be.

    One that may stand `aside` is set near the line where there is no room beside it.
    """
    along = end - start
    degrees = float(np.degrees(np.arctan2(along.y, along.x)))
    if not -90 < round(degrees, 6) <= 90:  # never upside down
        start, end, degrees = end, start, degrees - 180 if degrees > 0 else degrees + 180
    degrees = round(degrees, 9) + 0.0
    view = room.view(degrees)
    a, b = view.seen(start), view.seen(end)
    length = b.x - a.x
    count = max(1, round(length / style.repeat))
    texts: list[Text] = []
    sizes = [style.line * share for share in (1, 0.9, 0.8)]
    for i in range(count):
        within = (a.x + length * i / count, a.x + length * (i + 1) / count)
        texts += _beside(room, view, degrees, a.y, within, [(labels[0],)], sizes, style, above=above, on_one_page=True)
    if not texts:
        sizes.append(style.smallest)
        reach = text_width(labels[0], style.line)
        whole = (a.x - reach, b.x + reach)
        arrangements = [*((label,) for label in labels), *_split(labels[0])]
        texts = _beside(room, view, degrees, a.y, whole, arrangements, sizes, style, above=above, on_one_page=False)
    if not texts and aside:
        texts = _aside(piece, room, start.toward(end, 0.5), labels[0], style, (style.line, style.smallest))
    if not texts:
        tight = _tight(style)
        sizes = [tight.smallest]
        arrangements += [(cut(labels[0], limit, tight.smallest),) for limit in SHORTENED]
        texts = _beside(room, view, degrees, a.y, whole, arrangements, sizes, tight, above=above, on_one_page=False)
    if not texts and aside:
        texts = _aside(piece, room, start.toward(end, 0.5), labels[0], tight, (tight.smallest,))
    if not texts:
        raise OutputError(
            f"piece {piece.name}: its label {labels[0]!r} has no room beside its line of {length:.0f} mm, even in "
            f"letters of {tight.smallest:g} mm; move what lies near it or shorten the name"
        )
    return texts


def _aside(piece: Piece, room: _Room, at: Point, label: str, style: LabelStyle, sizes: Sequence[float]) -> list[Text]:
    """A label level, in the free place nearest to what it names, where none is beside that."""
    view = room.view(0.0)
    for size in sizes:
        block = TextBlock((TextLine(label, size),))
        aim = view.seen(at) - Vector(block.width / 2, 0.0)
        place = _nearest_place(view, piece, block, aim, keep=style.clearance, step=FINE_STEP, on_one_page=False)
        if place is not None and Point(*place).distance(aim) <= ASIDE:
            texts = block.texts(view.real(Point(*place)), 0.0)
            room.take(texts)
            return texts
    return []


def _split(label: str) -> list[tuple[str, ...]]:
    """The label in two lines, broken at each space in turn, then a word a line."""
    parts = label.split()
    halves = [(" ".join(parts[:i]), " ".join(parts[i:])) for i in range(1, len(parts))]
    return [*halves, tuple(parts)]


def _beside(
    room: _Room,
    view: _View,
    degrees: float,
    y: float,
    within: tuple[float, float],
    arrangements: Sequence[tuple[str, ...]],
    sizes: Sequence[float],
    style: LabelStyle,
    *,
    above: bool,
    on_one_page: bool,
) -> list[Text]:
    """The label once, in the largest letters that have room on either side of a level line at height `y`."""
    near = style.clearance + 1e-6
    for arrangement in arrangements:
        for size in sizes:
            block = TextBlock(tuple(TextLine(part, size) for part in arrangement))
            width, height = block.width, block.height
            for bottom in [
                y + off if up else y - off - height
                for off in (near, near + style.clearance, near + 2 * style.clearance)
                for up in (above, not above)
            ]:
                middle = (within[0] + within[1]) / 2
                left = view.fit(
                    width,
                    bottom,
                    bottom + height,
                    middle,
                    within=within,
                    keep=style.clearance,
                    on_one_page=on_one_page,
                )
                if left is not None:
                    texts = block.texts(view.real(Point(left, bottom)), degrees)
                    room.take(texts)
                    return texts
    return []
