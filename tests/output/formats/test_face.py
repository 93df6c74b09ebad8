"""A font's tables, against reportlab, which reads the same files by itself."""

from __future__ import annotations

import pytest
from reportlab.pdfbase.ttfonts import TTFont

from output.formats.face import font
from output.words.font import NAMES, metrics


@pytest.mark.parametrize("name", NAMES)
def test_a_face_is_what_reportlab_reads_of_the_font(name: str) -> None:
    ours, its = font(name), TTFont(name, str(metrics(name).file))
    said, read = vars(ours.face), vars(its.face)
    assert len(read["charWidths"]) > 5000
    assert said.keys() ^ read.keys() <= {"glyphToChar"}  # wanted for shaping alone
    # reportlab scales the width that the last glyphs share twice, which only a subset with one of them would show.
    pairs = enumerate(zip(said["hmetrics"], read["hmetrics"], strict=True))
    apart = {glyph for glyph, (one, other) in pairs if one != other}
    assert len(apart) < 20
    assert not apart & set(read["charToGlyph"].values())
    for key in said.keys() - {"hmetrics", "_pos", "_pdfScale"}:
        assert said[key] == read[key], key
