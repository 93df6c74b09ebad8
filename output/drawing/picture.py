"""Small pictures in printed matter: scaled geometry in a few pens, with captions that lead to what they name.

A picture is in mm on paper, y up, its origin anywhere. The outside of the cloth is tinted, its inside white.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from drafting.curve import Cubic, Line, Segment
from drafting.path import Path
from drafting.point import Motion, Point, Vector
from output.drawing.lettering import ASCENT, TextBlock, TextLine, wrap
from output.drawing.marks import circle
from output.drawing.sheet import Pen, Sheet, Stroke, Text

INK: Final = (0.13, 0.15, 0.17)
ACCENT: Final = (0.72, 0.24, 0.16)
ELASTIC: Final = (0.10, 0.36, 0.47)

OUTSIDE: Final = Pen(0.1, colour=(0.89, 0.87, 0.82))
INSIDE: Final = Pen(0.1, colour=(1.0, 1.0, 1.0))
SHADE: Final = Pen(0.1, colour=(0.78, 0.76, 0.71))
OUTLINE: Final = Pen(0.35, colour=INK)
FINE: Final = Pen(0.18, colour=INK)
HIDDEN: Final = Pen(0.18, (0.9, 0.7), INK)
CREASE: Final = Pen(0.3, (2.4, 0.7, 0.5, 0.7), INK)
SEWN: Final = Pen(0.28, (1.1, 0.7), INK)
NOW: Final = Pen(0.55, (1.6, 0.8), ACCENT)
"""What the step at hand sews; SEWN is what earlier steps have sewn."""
HAND: Final = Pen(0.4, colour=ACCENT)
RUBBER: Final = Pen(0.3, colour=ELASTIC)
LEADER: Final = Pen(0.13, colour=(0.45, 0.47, 0.5))

CAPTION_SIZE: Final = 2.5
CAPTION_WIDTH: Final = 30.0
CAPTION_GAP: Final = 1.2
LEAD: Final = 4.0
DOT: Final = 0.45
HANDLE: Final = 0.36
"""A smooth curve's handles over the chord that they span."""


NOWHERE: Final = Vector(0, 0)


@dataclass(frozen=True, slots=True)
class Caption:
    """Words that name the place `at` in a picture."""

    at: Point
    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """Strokes, words that stand in the picture itself, and captions that will stand beside it."""

    strokes: tuple[Stroke, ...]
    texts: tuple[Text, ...] = ()
    captions: tuple[Caption, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the strokes."""
        boxes = [stroke.path.bounds for stroke in self.strokes]
        lefts, bottoms, rights, tops = zip(*boxes, strict=True)
        return min(lefts), min(bottoms), max(rights), max(tops)

    def moved(self, by: Vector) -> Picture:
        shift = Motion.shift(by)
        return Picture(
            tuple(replace(stroke, path=stroke.path.moved(shift)) for stroke in self.strokes),
            tuple(replace(text, at=text.at + by) for text in self.texts),
            tuple(replace(caption, at=caption.at + by) for caption in self.captions),
        )

    def over(self, below: Picture) -> Picture:
        """Both in one picture, this one drawn last."""
        return Picture(below.strokes + self.strokes, below.texts + self.texts, below.captions + self.captions)


@dataclass(frozen=True, slots=True)
class Scale:
    """Real mm to mm on paper: `by` across and up, both mirrored where negative, then `shift`."""

    by: float
    shift: Vector = NOWHERE
    across: float = 1.0
    up: float = 1.0

    def __call__(self, point: Point) -> Point:
        return Point(point.x * self.by * self.across + self.shift.x, point.y * self.by * self.up + self.shift.y)

    def path(self, path: Path) -> Path:
        """The path on paper; exact, for a curve's handles move as its points do."""
        return Path(tuple(self._segment(segment) for segment in path.segments))

    def _segment(self, segment: Segment) -> Segment:
        if isinstance(segment, Line):
            return Line(self(segment.start), self(segment.end))
        return Cubic(self(segment.start), self(segment.control1), self(segment.control2), self(segment.end))


def line(pen: Pen, *points: Point) -> Stroke:
    """Straight lines from point to point."""
    return Stroke(Path.through(*points), pen)


def area(pen: Pen, path: Path) -> Stroke:
    """A closed path filled."""
    return Stroke(path, pen, filled=True)


def outlined(fill: Pen, path: Path, pen: Pen = OUTLINE) -> tuple[Stroke, Stroke]:
    """A closed path filled, and its outline."""
    return area(fill, path), Stroke(path, pen)


def smooth(points: Sequence[Point], *, closed: bool = False) -> Path:
    """A curve through points, at each of them parallel to the line between its two neighbours."""
    count = len(points)

    def along(i: int) -> Vector:
        if closed:
            return (points[(i + 1) % count] - points[(i - 1) % count]).unit()
        return (points[min(i + 1, count - 1)] - points[max(i - 1, 0)]).unit()

    pairs = [(i, (i + 1) % count) for i in range(count if closed else count - 1)]
    curves = []
    for i, j in pairs:
        handle = points[i].distance(points[j]) * HANDLE
        curves.append(Cubic(points[i], points[i] + along(i) * handle, points[j] - along(j) * handle, points[j]))
    return Path(tuple(curves))


def ellipse(centre: Point, wide: float, tall: float) -> Path:
    """An oval with half axes `wide` and `tall`."""
    return Scale(1.0, centre - Point(0, 0), wide, tall).path(circle(Point(0, 0), 1.0))


def arrow(start: Point, end: Point, pen: Pen = HAND, *, head: float = 2.0) -> tuple[Stroke, Stroke]:
    """A straight arrow to `end`."""
    along = (end - start).unit()
    base = end - along * head
    side = along.left() * (head * 0.35)
    return line(pen, start, base), area(pen, Path.through(end, base + side, base - side, end))


def measure(start: Point, end: Point, pen: Pen = FINE) -> tuple[Stroke, ...]:
    """A dimension: a line with a tick square across each end."""
    tick = (end - start).unit().left() * 0.9
    return line(pen, start, end), *(line(pen, at - tick, at + tick) for at in (start, end))


def captioned(picture: Picture, width: float, *, caption_width: float = CAPTION_WIDTH) -> Sheet:
    """A picture on a sheet of that width, its captions in a column on the right, none over another.

    The picture keeps its size; it must leave the column free.
    """
    left, bottom, right, top = picture.bounds
    if not picture.captions:
        return _sheet(picture, Vector((width - right + left) / 2 - left, 1 - bottom), width, top - bottom + 2)
    column = width - caption_width
    across = max(0.0, (column - LEAD - (right - left)) / 2) - left
    picture = picture.moved(Vector(across, -bottom))
    tall = top - bottom
    wanted = sorted(picture.captions, key=lambda caption: -caption.at.y)
    blocks = [
        TextBlock(tuple(TextLine(part, CAPTION_SIZE) for part in wrap(caption.text, caption_width, CAPTION_SIZE)))
        for caption in wanted
    ]
    tops = _spread([caption.at.y for caption in wanted], [block.height for block in blocks], tall)
    texts, strokes = list(picture.texts), list(picture.strokes)
    for caption, block, high in zip(wanted, blocks, tops, strict=True):
        texts += block.texts(Point(column, high - block.height))
        end = Point(column - 1.2, high - ASCENT * CAPTION_SIZE * 0.62)
        strokes.append(line(LEADER, caption.at, end))
        strokes.append(area(Pen(0.1, colour=INK), circle(caption.at, DOT)))
    low = min([0.0, *(high - block.height for high, block in zip(tops, blocks, strict=True))])
    high = max([tall, *tops])
    return _sheet(Picture(tuple(strokes), tuple(texts)), Vector(0, 1 - low), width, high - low + 2)


def _spread(places: Sequence[float], heights: Sequence[float], tall: float) -> list[float]:
    """Upper edges for blocks that want to stand level with `places`, highest first, pushed apart where they touch."""
    tops = [place + height / 2 for place, height in zip(places, heights, strict=True)]
    total = sum(heights) + CAPTION_GAP * (len(heights) - 1)
    ceiling = max(tall, (tall + total) / 2)
    for i, height in enumerate(heights):
        tops[i] = min(tops[i], ceiling)
        ceiling = tops[i] - height - CAPTION_GAP
    floor = min(0.0, (tall - total) / 2)
    for i in reversed(range(len(tops))):
        tops[i] = max(tops[i], floor + heights[i])
        floor = tops[i] + CAPTION_GAP
    return tops


def stacked(sheets: Sequence[Sheet], *, gap: float = 3.0) -> Sheet:
    """Sheets one below the other, flush left."""
    total = sum(sheet.height for sheet in sheets) + gap * (len(sheets) - 1)
    strokes: list[Stroke] = []
    texts: list[Text] = []
    y = total
    for sheet in sheets:
        y -= sheet.height
        moved = Picture(sheet.strokes, sheet.texts).moved(Vector(0, y))
        strokes += moved.strokes
        texts += moved.texts
        y -= gap
    return Sheet(max(sheet.width for sheet in sheets), total, tuple(strokes), tuple(texts), ())


def _sheet(picture: Picture, by: Vector, width: float, height: float) -> Sheet:
    moved = picture.moved(by)
    return Sheet(width, height, moved.strokes, moved.texts, ())


def row(pictures: Iterable[Picture], *, gap: float = 8.0) -> Picture:
    """Pictures from left to right on one base line."""
    placed: list[Picture] = []
    x = 0.0
    for picture in pictures:
        left, bottom, right, _ = picture.bounds
        placed.append(picture.moved(Vector(x - left, -bottom)))
        x += right - left + gap
    whole = placed[0]
    for after in placed[1:]:
        whole = after.over(whole)
    return whole


def ribbon(points: Sequence[Point], thick: float, fill: Pen, pen: Pen = FINE) -> tuple[Stroke, ...]:
    """A layer of cloth or elastic seen from its end: a band of constant thickness along points."""
    left, right = [], []
    normals = [(b - a).unit().left() for a, b in pairwise(points)]
    for i, point in enumerate(points):
        before, after = normals[max(0, i - 1)], normals[min(i, len(normals) - 1)]
        across = (before + after).unit() if (before + after).length > 1e-9 else before
        stretch = 1 / max(0.35, across.dot(after))
        left.append(point + across * (thick / 2 * stretch))
        right.append(point - across * (thick / 2 * stretch))
    outline = Path.through(*left, *reversed(right), left[0])
    return outlined(fill, outline, pen)
