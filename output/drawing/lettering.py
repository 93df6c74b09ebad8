"""How much paper words take, from the metrics of the embedded fonts. Lengths in mm, y up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from unicodedata import normalize

from drafting.point import Point, Vector
from output.drawing.sheet import Text
from output.words import text as words
from output.words.font import ASCENT, DESCENT
from output.words.letters import text_width

LEADING: Final = 1.3
"""Baseline to baseline over the size of the lower line."""

ELLIPSIS: Final = "…"

Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""


def text_box(text: Text) -> Box:
    """The box that a line of text fills; it stays upright when the text is turned, and holds all of it.

    Raises:
        OutputError: the fonts lack a character.
    """
    width = text_width(text.text, text.size, bold=text.bold)
    direction = Vector.at_angle(text.angle)
    along, up = direction * width, direction.left() * text.size
    xs = [x + up.x * reach for x in (text.at.x, text.at.x + along.x) for reach in (-DESCENT, ASCENT)]
    ys = [y + up.y * reach for y in (text.at.y, text.at.y + along.y) for reach in (-DESCENT, ASCENT)]
    return min(xs), min(ys), max(xs), max(ys)


def overlap(a: Sequence[float], b: Sequence[float], *, apart: float = 0.0) -> bool:
    """True when two boxes share room, or lie less than `apart` mm from each other both ways."""
    return a[0] < b[2] + apart and b[0] < a[2] + apart and a[1] < b[3] + apart and b[1] < a[3] + apart


def wrap(text: str, limit: float, size: float, *, bold: bool = False) -> list[str]:
    """A text in lines no wider than `limit` mm, broken between words; a word that is wider is broken where it must be.

    Raises:
        OutputError: the fonts lack a character.
    """
    spoken = text.split() if text.isascii() else normalize("NFC", text).split()
    whole = " ".join(spoken)
    if whole and text_width(whole, size, bold=bold) <= limit:
        return [whole]
    lines: list[list[str]] = []
    space, left = text_width(" ", size, bold=bold), 0.0
    for word in spoken:
        for part, width in _parts(word, limit, size, bold=bold):
            if lines and space + width <= left:
                lines[-1].append(part)
                left -= space + width
            else:
                lines.append([part])
                left = limit - width
    return [" ".join(line) for line in lines]


def _parts(word: str, limit: float, size: float, *, bold: bool) -> list[tuple[str, float]]:
    """A word in as few parts as fit, and how wide they are; a single letter always fits."""
    width = text_width(word, size, bold=bold)
    if width <= limit or len(word) < 2:
        return [(word, width)]
    count = max(1, *(n for n in range(len(word)) if text_width(word[:n], size, bold=bold) <= limit))
    return [part for half in (word[:count], word[count:]) for part in _parts(half, limit, size, bold=bold)]


def cut(text: str, limit: float, size: float, *, bold: bool = False) -> str:
    """A text no wider than `limit` mm: its end gives way to an ellipsis where it must, down to the ellipsis alone.

    >>> cut("Heron shorts", 12.0, 2.5)
    'Heron…'
    """
    if text_width(text, size, bold=bold) <= limit:
        return text
    text = normalize("NFC", text)
    kept = next((n for n in range(len(text) - 1, 0, -1) if text_width(_cut(text, n), size, bold=bold) <= limit), 0)
    return _cut(text, kept)


def led(title: str, rest: str, limit: float, size: float) -> str:
    """A title and what follows it, no wider than `limit` mm together: the title gives way, then the whole.

    >>> led("Heron shorts", "page 2 of 9", 24.0, 2.5)
    'Her… · page 2 of 9'
    """
    left = limit - text_width(words.SEPARATOR + rest, size)
    return cut(words.SEPARATOR.join((cut(title, left, size), rest)), limit, size)


def _cut(text: str, kept: int) -> str:
    return f"{text[:kept].rstrip(' ·')}{ELLIPSIS}"


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of a block, `size` mm high."""

    text: str
    size: float
    bold: bool = False

    @property
    def width(self) -> float:
        return text_width(self.text, self.size, bold=self.bold)


@dataclass(frozen=True, slots=True)
class TextBlock:
    """Lines under each other, flush left; at least one."""

    lines: tuple[TextLine, ...]

    @property
    def width(self) -> float:
        return max(line.width for line in self.lines)

    @property
    def height(self) -> float:
        first, last = self.lines[0], self.lines[-1]
        return ASCENT * first.size + sum(line.size for line in self.lines[1:]) * LEADING + DESCENT * last.size

    def scaled(self, share: float) -> TextBlock:
        return TextBlock(tuple(TextLine(line.text, line.size * share, line.bold) for line in self.lines))

    def texts(self, corner: Point, degrees: float = 0.0) -> list[Text]:
        """The block with its lower left corner at `corner`, turned about it."""
        up = Vector.at_angle(degrees).left()
        x, y, lift, texts = corner.x, corner.y, self.height - ASCENT * self.lines[0].size, []
        for i, line in enumerate(self.lines):
            lift -= line.size * LEADING if i else 0.0
            texts.append(Text(Point(x + up.x * lift, y + up.y * lift), line.text, line.size, line.bold, degrees))
        return texts
