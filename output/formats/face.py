"""A font for reportlab whose tables are read whole.

reportlab reads the same tables number by number, which takes a sixth of a draft to A4 pages. The tests hold every
table of our fonts to what it reads by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from struct import iter_unpack, unpack, unpack_from
from typing import Any

from reportlab.pdfbase import ttfonts

from output.words.font import metrics


class _Face(ttfonts.TTFontFace):
    """A face of ours: all its characters in one table of format 12, the places of its glyphs in long numbers."""

    def extractInfo(self, charInfo: int = 1) -> None:  # noqa: ARG002, N802, N803 - as reportlab names them
        """Read what reportlab wants to know of a font (OpenType specification: cmap, hmtx, loca)."""
        super().extractInfo(charInfo=0)
        table: Any = self.get_table
        count: int = self.numGlyphs
        (wide,) = unpack_from(">H", table("hhea"), 34)
        measured = list(iter_unpack(">HH", table("hmtx")[: wide * 4]))
        bearings = unpack_from(f">{count - wide}H", table("hmtx"), wide * 4)
        self.hmetrics = [*measured, *((measured[-1][0], bearing) for bearing in bearings)]
        self.glyphPos = list(unpack(f">{count + 1}L", table("loca")))
        self.charToGlyph = dict(chain.from_iterable(_runs(table("cmap"))))
        self.charToGlyph[0xA0] = self.charToGlyph[0x20]
        thousandth = 1000 / self.unitsPerEm
        widths = [advance * thousandth for advance, _ in self.hmetrics]
        self.defaultWidth = widths[0]
        self.charWidths = {code: widths[glyph] for code, glyph in self.charToGlyph.items()}


def _runs(cmap: bytes) -> Iterator[Iterator[tuple[int, int]]]:
    """Characters with their glyphs, run by run, from the last of a font's tables for Windows."""
    (tables,) = unpack_from(">H", cmap, 2)
    *_, at = (at for system, _, at in iter_unpack(">HHL", cmap[4 : 4 + tables * 8]) if system == 3)
    kind, _, _, _, runs = unpack_from(">HHLLL", cmap, at)
    if kind != 12:
        raise ttfonts.TTFError(f"a table of characters of format {kind}")
    for first, last, glyph in iter_unpack(">LLL", cmap[at + 16 :][: runs * 12]):
        yield zip(range(first, last + 1), range(glyph, glyph + last - first + 1), strict=True)


def font(name: str) -> ttfonts.TTFont:
    """An embedded font by its name, to be registered with reportlab."""
    module = vars(ttfonts)  # where reportlab itself looks for the face of a font
    usual, module["TTFontFace"] = module["TTFontFace"], _Face
    try:
        return ttfonts.TTFont(name, str(metrics(name).file))
    finally:
        module["TTFontFace"] = usual
