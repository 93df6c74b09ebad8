"""The embedded fonts as their files measure them: which characters each has, how wide they are, how far they reach."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

REGULAR: Final = "DejaVuSans"
BOLD: Final = "DejaVuSans-Bold"
NAMES: Final = (REGULAR, BOLD)

ASCENT: Final = 0.93
DESCENT: Final = 0.24
"""Reach of the tallest letters above and below the baseline, as shares of the size (the fonts' `hhea` table)."""


@dataclass(frozen=True, slots=True)
class FontMetrics:
    """A font's PostScript name, its file, and the advance width of each character that it has.

    Widths are in thousandths of the size, by the character's number in Unicode.
    """

    name: str
    file: Path
    widths: Mapping[int, float]


@cache
def metrics(name: str) -> FontMetrics:
    """What an embedded font measures."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - not needed by a command that prints nothing

    file = Path(__file__).parents[1] / "fonts" / f"{name}.ttf"
    with TTFont(file, lazy=True) as read:
        read.setGlyphOrder([str(number) for number in range(read["maxp"].numGlyphs)])  # their names take long to read
        advances, unit = read["hmtx"].metrics, read["head"].unitsPerEm
        widths = {code: advances[glyph][0] * 1000 / unit for code, glyph in read.getBestCmap().items()}
    return FontMetrics(name, file, widths)
