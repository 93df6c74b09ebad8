"""The embedded fonts as their files measure them: which characters each has, how wide they are, how far they reach."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

REGULAR: Final = "DejaVuSans"
BOLD: Final = "DejaVuSans-Bold"
NAMES: Final = (REGULAR, BOLD)

FONTS: Final = Path(__file__).parents[1] / "fonts"

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
    """What an embedded font measures, as the file beside it lists it: in runs of characters, by the first one's number.

    The font itself is read for a PDF alone (`output.formats.face`). The tests hold the list to the font, and write it
    anew with `--regenerate`.
    """
    file = FONTS / f"{name}.ttf"
    listed = json.loads(file.with_suffix(".widths.json").read_text(encoding="ascii"))
    unit = listed["unit"]
    widths = {
        code: advance * 1000 / unit for first, run in listed["runs"] for code, advance in enumerate(run, start=first)
    }
    return FontMetrics(name, file, widths)
