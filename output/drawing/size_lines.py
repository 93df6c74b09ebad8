"""The cut line of each size on a sheet that shows several: told apart by its pattern alone, and by its colour.

The colours are those of Okabe and Ito, "Color Universal Design" (2008), whose contrast with white paper is at least
the 3 to 1 that WCAG 2.1 (W3C 2018, criterion 1.4.11) asks of graphics: not its orange, sky blue and yellow. The
patterns are the line types of ISO 128-20:1996, table 1, in units of the line's width, but for the widely spaced one,
along which nobody can cut; with a short dashed one and one of two dashes and a short one. Dots are one and a half
widths long instead of half of one, so that a home printer shows them. Values from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd
from typing import Final

from output.drawing.sheet import Pen

WIDTH: Final = 0.5
"""mm; lighter than the cut line of a single size, because lines may run 3 mm apart."""

LONG, DASH, SHORT, DOT, GAP = 24.0, 12.0, 6.0, 1.5, 3.0
"""Elements of a pattern, in widths."""


def _pattern(*drawn: float) -> tuple[float, ...]:
    return tuple(length * WIDTH for element in drawn for length in (element, GAP))


PATTERNS: Final = (
    (),
    _pattern(DASH),
    _pattern(LONG, DOT),
    _pattern(DOT),
    _pattern(LONG, SHORT),
    _pattern(DASH, DOT, DOT),
    _pattern(SHORT),
    _pattern(LONG, DOT, DOT, DOT),
    _pattern(DASH, DASH, DOT),
    _pattern(LONG, SHORT, SHORT),
    _pattern(DASH, DOT),
    _pattern(DASH, DASH, DOT, DOT, DOT),
    _pattern(DASH, DASH, SHORT),
    _pattern(LONG, DOT, DOT),
    _pattern(DASH, DOT, DOT, DOT),
    _pattern(DASH, DASH, DOT, DOT),
)
"""Neighbours in this order differ in their longest dash or in their dots, as do the last and the first."""

BLACK: Final = (0, 0, 0)
BLUE: Final = (0, 114, 178)
REDDISH_PURPLE: Final = (204, 121, 167)
VERMILLION: Final = (213, 94, 0)
BLUISH_GREEN: Final = (0, 158, 115)

COLOURS: Final = (BLACK, BLUE, REDDISH_PURPLE, VERMILLION, BLUISH_GREEN)
"""Red, green, blue from 0 to 255; in this order neighbours differ most to every kind of colour vision."""

assert gcd(len(PATTERNS), len(COLOURS)) == 1  # so no two of the first 80 sizes are alike


def size_pens(labels: Sequence[str]) -> dict[str, Pen]:
    """The pen of each size's cut line, by its place in the range.

    >>> size_pens(["H84", "H88"])["H88"].dash
    (6.0, 1.5)
    """
    return {label: _pen(number) for number, label in enumerate(labels)}


def _pen(number: int) -> Pen:
    red, green, blue = (part / 255 for part in COLOURS[number % len(COLOURS)])
    return Pen(WIDTH, PATTERNS[number % len(PATTERNS)], (red, green, blue))
