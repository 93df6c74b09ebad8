"""Pictures in print: a pen for each role, the captions set beside the picture, each led to what it names.

The outside of the cloth is tinted, its inside white. In mm, y up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from drafting.path import Path
from drafting.picture import Label, Picture, Trace, circle
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.lettering import ASCENT, TextBlock, TextLine, wrap
from output.drawing.sheet import CUT, Pen, Sheet, Stroke, Text

INK: Final = (0.13, 0.15, 0.17)
ACCENT: Final = (0.72, 0.24, 0.16)
RUBBER: Final = (0.10, 0.36, 0.47)

LEADER: Final = Pen(0.13, colour=(0.45, 0.47, 0.5))
DOT: Final = Pen(0.1, colour=INK)
"""The end of a leader."""

PENS: Final[Mapping[Role, Pen]] = MappingProxyType(
    {
        Role.OUTSIDE: Pen(0.1, colour=(0.89, 0.87, 0.82)),
        Role.INSIDE: Pen(0.1, colour=(1.0, 1.0, 1.0)),
        Role.SHADE: Pen(0.1, colour=(0.78, 0.76, 0.71)),
        Role.CLOTH: Pen(0.1, colour=(0.80, 0.77, 0.70)),
        Role.FACING: Pen(0.1, colour=(0.93, 0.91, 0.87)),
        Role.ELASTIC: Pen(0.1, colour=(0.62, 0.75, 0.80)),
        Role.OUTLINE: Pen(0.35, colour=INK),
        Role.FINE: Pen(0.18, colour=INK),
        Role.HIDDEN: Pen(0.18, (0.9, 0.7), INK),
        Role.CREASE: Pen(0.3, (2.4, 0.7, 0.5, 0.7), INK),
        Role.GATHER: Pen(0.13, colour=INK),
        Role.SEWN: Pen(0.28, (1.1, 0.7), INK),
        Role.NOW: Pen(0.55, (1.6, 0.8), ACCENT),
        Role.STITCHED: Pen(0.45, colour=INK),
        Role.STITCHING: Pen(0.6, colour=ACCENT),
        Role.HAND: Pen(0.4, colour=ACCENT),
        Role.CREASE_NOW: Pen(0.4, (2.4, 0.7, 0.5, 0.7), ACCENT),
        Role.TICK: Pen(0.35, colour=ACCENT),
        Role.DOT: Pen(0.1, colour=ACCENT),
        Role.RUBBER: Pen(0.3, colour=RUBBER),
        Role.RUBBER_FINE: Pen(0.13, colour=RUBBER),
        Role.RUBBER_HIDDEN: Pen(0.2, (0.9, 0.7), RUBBER),
        Role.SKIN: Pen(0.1, colour=(0.95, 0.945, 0.93)),
        Role.TAPE: Pen(0.5, colour=ACCENT),
        Role.TAPE_BEHIND: Pen(0.3, (1.0, 0.8), ACCENT),
        Role.TAPE_LEADER: Pen(0.15, colour=ACCENT),
        Role.RING: Pen(0.25, colour=ACCENT),
        Role.LEVEL: Pen(0.2, (1.0, 0.8), INK),
        Role.LEADER: LEADER,
        Role.BLANK: Pen(0.1, colour=(1.0, 1.0, 1.0)),
        Role.CUT: CUT,
        Role.SEAM: Pen(0.13, (0.9, 0.6), INK),
        Role.STITCH: Pen(0.35, (0.9, 0.6), ACCENT),
        Role.NOTCH: Pen(0.1, colour=INK),
    }
)
"""What each role is drawn with in a picture; a filled trace takes the colour alone."""

LABEL_SIZE: Final = 2.7
CAPTION_SIZE: Final = 2.5
CAPTION_WIDTH: Final = 30.0
CAPTION_GAP: Final = 1.2
LEAD: Final = 4.0
DOT_RADIUS: Final = 0.45


def strokes_of(traces: Iterable[Trace]) -> tuple[Stroke, ...]:
    """The traces with their pens."""
    return tuple(Stroke(trace.path, PENS[trace.role], trace.filled) for trace in traces)


def _text(label: Label) -> Text:
    width = TextLine(label.text, LABEL_SIZE, bold=label.bold).width
    return Text(Point(label.at.x - width / 2, label.at.y), label.text, LABEL_SIZE, label.bold)


def moved(strokes: Iterable[Stroke], texts: Iterable[Text], by: Vector) -> tuple[tuple[Stroke, ...], tuple[Text, ...]]:
    """What is drawn, elsewhere."""
    shift = Motion.shift(by)
    return (
        tuple(replace(stroke, path=stroke.path.moved(shift)) for stroke in strokes),
        tuple(replace(text, at=text.at + by) for text in texts),
    )


def captioned(picture: Picture, width: float, *, caption_width: float = CAPTION_WIDTH) -> Sheet:
    """A picture on a sheet of that width, its captions in a column on the right, none over another.

    The picture keeps its size; it must leave the column free.
    """
    left, bottom, right, top = picture.bounds
    if not picture.captions:
        by = Vector((width - right + left) / 2 - left, 1 - bottom)
        return _sheet(strokes_of(picture.traces), map(_text, picture.labels), by, width, top - bottom + 2)
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
    texts, strokes = [_text(label) for label in picture.labels], list(strokes_of(picture.traces))
    for caption, block, high in zip(wanted, blocks, tops, strict=True):
        texts += block.texts(Point(column, high - block.height))
        end = Point(column - 1.2, high - ASCENT * CAPTION_SIZE * 0.62)
        strokes.append(Stroke(Path.through(caption.at, end), LEADER))
        strokes.append(Stroke(circle(caption.at, DOT_RADIUS), DOT, filled=True))
    low = min([0.0, *(high - block.height for high, block in zip(tops, blocks, strict=True))])
    high = max([tall, *tops])
    return _sheet(strokes, texts, Vector(0, 1 - low), width, high - low + 2)


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
        placed, told = moved(sheet.strokes, sheet.texts, Vector(0, y))
        strokes += placed
        texts += told
        y -= gap
    return Sheet(max(sheet.width for sheet in sheets), total, tuple(strokes), tuple(texts), ())


def _sheet(strokes: Iterable[Stroke], texts: Iterable[Text], by: Vector, width: float, height: float) -> Sheet:
    placed, told = moved(strokes, texts, by)
    return Sheet(width, height, placed, told, ())
