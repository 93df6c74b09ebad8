"""Pictures in print: a pen for each role, the captions set beside the picture, each led to what it names.

The outside of the cloth is tinted, its inside white. In mm, y up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from drafting.path import Path
from drafting.picture import Label, Picture, Trace, circle
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.lettering import TextBlock, TextLine, wrap
from output.drawing.pens import PICTURE_PENS
from output.drawing.sheet import Sheet, Stroke, Text
from output.words.font import ASCENT

LABEL_SIZE: Final = 2.7
CAPTION_SIZE: Final = 2.5
CAPTION_WIDTH: Final = 30.0
CAPTION_GAP: Final = 1.2
LEAD: Final = 4.0
DOT_RADIUS: Final = 0.45


def strokes_of(traces: Iterable[Trace]) -> tuple[Stroke, ...]:
    """The traces with their pens."""
    return tuple(_stroke(trace) for trace in traces)


def _stroke(trace: Trace) -> Stroke:
    return Stroke(trace.path, trace.role, PICTURE_PENS[trace.role], trace.filled)


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
        strokes.append(_stroke(Trace(Path.through(caption.at, end), Role.LEADER)))
        strokes.append(_stroke(Trace(circle(caption.at, DOT_RADIUS), Role.LEADER_END, filled=True)))
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
    return Sheet(max(sheet.width for sheet in sheets), total, tuple(strokes), tuple(texts))


def _sheet(strokes: Iterable[Stroke], texts: Iterable[Text], by: Vector, width: float, height: float) -> Sheet:
    placed, told = moved(strokes, texts, by)
    return Sheet(width, height, placed, told)
