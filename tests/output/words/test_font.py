"""What our fonts measure, against reportlab, which reads the same files by itself and writes them into a PDF."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from reportlab.pdfbase.ttfonts import TTFont as PdfFont

from output.words.font import ASCENT, DESCENT, NAMES, metrics

ROOT = Path(__file__).parents[3]


@pytest.mark.parametrize("name", NAMES)
def test_every_letter_is_as_wide_as_the_file_says_that_is_written(name: str) -> None:
    assert dict(metrics(name).widths) == PdfFont(name, str(metrics(name).file)).face.charWidths


def listed(font: Path) -> str:
    """The widths of a font in runs of characters, as `output.words.font` reads them."""
    runs: list[tuple[int, list[int]]] = []
    with TTFont(font) as read:
        unit, advances, glyphs = read["head"].unitsPerEm, read["hmtx"].metrics, read.getBestCmap()
    for code in sorted(glyphs):
        if not runs or runs[-1][0] + len(runs[-1][1]) != code:
            runs.append((code, []))
        runs[-1][1].append(advances[glyphs[code]][0])
    return json.dumps({"unit": unit, "runs": runs}, separators=(",", ":")) + "\n"


@pytest.mark.parametrize("name", NAMES)
def test_the_list_of_widths_is_the_font_s(name: str, request: pytest.FixtureRequest) -> None:
    """By fontTools, which reads the font files by itself too."""
    font = metrics(name).file
    file = font.with_suffix(".widths.json")
    if request.config.getoption("--regenerate"):
        file.write_text(listed(font), encoding="ascii")
    assert file.read_text(encoding="ascii") == listed(font)


@pytest.mark.parametrize("name", NAMES)
def test_lines_reach_as_far_as_the_tallest_letters(name: str) -> None:
    with TTFont(metrics(name).file) as read:
        unit, reach = read["head"].unitsPerEm, read["hhea"]
        assert read["name"].getDebugName(6) == name
    assert pytest.approx(reach.ascent / unit, abs=0.005) == ASCENT
    assert pytest.approx(-reach.descent / unit, abs=0.005) == DESCENT


def test_setting_words_loads_no_writer_of_pdf() -> None:
    code = (
        "import sys; from output.drawing.lettering import wrap; wrap('Heron shorts, size אדום', 20, 3, bold=True); "
        "assert not any(name.startswith('reportlab') for name in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)
