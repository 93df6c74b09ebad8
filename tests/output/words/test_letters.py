"""The order and the forms of letters, against a program that shares no code with ours: resvg (rustybuzz, unicode-bidi)
draws the SVG, which holds the text as it is read, and pdfium the PDF, which holds it as it is drawn.
"""

from __future__ import annotations

import io
import random
from dataclasses import replace
from math import ulp
from pathlib import Path
from unicodedata import normalize

import ezdxf
import numpy as np
import pypdfium2
import pytest
import resvg_py
from ezdxf.lldxf.encoding import decode_dxf_unicode
from PIL import Image
from pypdf import PdfReader
from scipy import ndimage

from blocks.design import CasingDesign
from blocks.short.design import ShortDesign
from blocks.words import isolated
from drafting.errors import OutputError
from drafting.point import Point
from output.command import main
from output.drawing.flow import Flow, Table
from output.drawing.lettering import cut, text_box, wrap
from output.drawing.sheet import Sheet, Text
from output.formats import svg
from output.formats.dxf import pattern_dxf
from output.formats.pdf import one_page_pdf
from output.formats.svg import sheet_svg
from output.inspection.record import said_size
from output.words.letters import check_names, check_text, drawn, text_width
from output.words.text import parts, size_line
from raster import rendered
from sample_pieces import leg_like

DPI = 150
SAMPLES = Path(svg.__file__).parents[2] / "samples"
FONTS = [str(Path(svg.__file__).parents[1] / "fonts" / f"{name}.ttf") for name in ("DejaVuSans", "DejaVuSans-Bold")]

RIGHT_TO_LEFT = (
    "שלום",
    "שורט חסידה (קיץ) 36/38!",
    "Heron שלום 36/38",
    "(abc) שלום [36]",
    "Size אדום · high rise",
    "שורט · Size 36 · רידבנק",
    "שלום Heron",
    "12/34 שלום",
    "سروال قصير",
    "السلام أحمر لا إله",
    "Size أحمر · high rise",
    "Size ١٢/٣٤ أحمر",
    "می\u200cشود چای پلنگ",
    "fold · " + isolated("ساق 2") + " casing",
    "سروال قصير · صيف",
)


def page(text: str, **look) -> Sheet:
    return Sheet(150, 20, (), (Text(Point(10, 8), text, 6, **look),))


def svg_ink(sheet: Sheet) -> np.ndarray:
    drawing = sheet_svg(sheet, title="letters").decode()
    png = resvg_py.svg_to_bytes(
        svg_string=drawing, dpi=DPI, background="#ffffff", skip_system_fonts=True, font_files=FONTS
    )
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("L")) < 128


def astray(sheet: Sheet) -> float:
    """The share of inked pixels of either picture far from all of the other's."""
    a, b = svg_ink(sheet), rendered(one_page_pdf(sheet, title="letters"), 0, DPI) < 128
    height, width = (min(sides) for sides in zip(a.shape, b.shape, strict=True))
    a, b = a[:height, :width], b[:height, :width]
    near = np.ones((5, 5), dtype=bool)
    lost = (a & ~ndimage.binary_dilation(b, near)).sum() + (b & ~ndimage.binary_dilation(a, near)).sum()
    return float(lost / (a.sum() + b.sum()))


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", RIGHT_TO_LEFT)
def test_letters_that_run_to_the_left_stand_where_another_program_puts_them(text, bold):
    assert astray(page(text, bold=bold)) < 0.02


def test_that_comparison_sees_letters_out_of_order(monkeypatch):
    monkeypatch.setattr("output.formats.pdf.drawn", lambda text: text)
    assert astray(page("שלום")) > 0.1
    assert astray(page("سروال قصير")) > 0.1


def test_what_is_read_as_it_is_drawn_stays_as_it_is():
    for text in ("Heron · 36/38 (summer)", "Шорты Цапля", "Σορτς", "Շորտեր", "შორტები", "Quần đùi", "☂ 😀"):
        assert drawn(text) == text
        check_text(text)


def test_a_letter_with_its_mark_is_one_letter_where_unicode_has_one():
    for text in ("Été", "Quần đùi", "ё", "أحمر"):
        apart = normalize("NFD", text)
        assert drawn(apart) == drawn(text)
        assert text_width(apart, 5) == pytest.approx(text_width(text, 5))


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("Heron 短裤", "U+77ED"),
        ("निकर", "U+0928"),
        ("กางเกง", "U+0E01"),
        ("שָׁלוֹם", "U+05B8 hebrew point qamats"),
        ("سَلام", "U+064E arabic fatha"),
        ("x\u0304", "U+0304 combining macron"),
        ("ߒߞߏ", "U+07D2 nko letter n joins its neighbours in forms that the fonts lack"),
        ("ڕەش", "U+0695"),
        ("❤\ufe0f", "U+FE0F variation selector-16"),
        ("a\tb", "U+0009"),
        ("a\ue000b", "U+E000"),
    ],
)
def test_a_letter_that_cannot_be_set_is_refused_with_its_number(text, named):
    with pytest.raises(OutputError, match=r"U\+") as refused:
        check_text(text)
    assert named.split()[0] in str(refused.value)
    assert "leave it out or spell it differently" in str(refused.value)


def test_a_name_that_cannot_be_printed_is_refused_by_its_field():
    plain = ShortDesign("Heron", workroom="Reedbank", casings=(CasingDesign("leg", height=-80),))
    check_names(plain, ["H102", "אדום"])
    for spoilt, sizes, field in (
        (replace(plain, name="短裤"), [], "name"),
        (replace(plain, workroom="กาง"), [], "workroom"),
        (replace(plain, casings=(CasingDesign("腿", height=-80),)), [], "casing 1: name"),
        (plain, ["H102", "小"], "size"),
    ):
        with pytest.raises(OutputError, match=rf"^{field}: .*U\+[0-9A-F]{{4}}"):
            check_names(spoilt, sizes)


@pytest.mark.parametrize("command", ["draft", "range", "guide", "lay", "publish", "batch"])
def test_every_command_that_prints_refuses_such_a_name_before_it_drafts(command, tmp_path, monkeypatch, capsys):
    def drafted(*_, **__):
        raise AssertionError("it was drafted")

    monkeypatch.setattr("blocks.short.draft.finished_leg", drafted)
    design = tmp_path / "design.toml"
    design.write_text('name = "Heron 短裤"\nunit = "mm"\n', encoding="utf-8")
    table = {"draft": "measurements.toml", "batch": "orders.csv"}.get(command, "sizes.csv")
    more = ["--cloth", "140"] if command == "lay" else []
    code = main([command, str(design), str(SAMPLES / table), *more, "--out", str(tmp_path / "out")])
    assert code == 2
    assert "name: 'Heron 短裤': the character '短' (U+77ED" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_file_says_what_was_written_in_the_order_in_which_it_is_read():
    # pdfium reads the letters from right to left and takes joined forms for their letters
    for text in ("שורט חסידה (קיץ)", "שורט 36/38", "سروال قصير"):
        data = one_page_pdf(page(text), title=text)
        assert PdfReader(io.BytesIO(data)).metadata.title == text
        assert text in pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()


def test_a_dxf_holds_names_as_they_are_read_without_signs_that_its_readers_would_draw():
    piece = replace(leg_like(casings=1), size="אדום 36", variant="high")
    written = ezdxf.read(io.StringIO(pattern_dxf([piece], design="שורט").decode("cp1252")))
    texts = [*written.query("TEXT"), *(text for block in written.blocks for text in block.query("TEXT"))]
    said = [decode_dxf_unicode(text.dxf.text) for text in texts]
    assert "Annotation: Size אדום 36 · high rise" in said
    assert not any(letter in text for text in said for letter in "\u2068\u2069")


def test_parts_and_names_keep_a_direction_of_their_own():
    assert parts("שלום · Size 36 · high") == ["שלום", "Size 36", "high"]
    assert parts("שלום · חסידה · high") == ["שלום · חסידה", "high"]
    assert isolated("Heron") == "Heron"
    assert drawn(size_line("אדום 36", "high")) == "Size 36 םודא · high rise"
    assert drawn(f"{isolated('ساق')} casing").endswith(" casing")


def test_a_name_that_reads_like_a_calibration_square_is_none():
    # such a name was taken for the square round it, which then measured wrong
    assert said_size("50 mm × 50 mm") == 50
    assert said_size("2 in × 2 in") == pytest.approx(50.8)
    assert said_size("50 mm × 50 mm shorts") == said_size("Shorts 50 mm × 50 mm · Size H102") == 0


def test_a_table_of_many_columns_is_divided_and_its_heading_broken():
    header = ("Size", *(f"{'W' * 24} {number}" for number in range(20)))
    rows = tuple((f"H{number}", *("61.2 (24 1/8)",) * 20) for number in range(100, 130))
    flow = Flow(182, 260)
    flow.add_tables([Table("Elastics and trim: how many, how wide, and their cut length in cm (inches)", rows, header)])
    assert len(flow.pages) > 1
    said = []
    for page in flow.pages:
        assert page.height <= 260
        boxes = [text_box(text) for text in page.drawn(0, 0).texts]
        assert all(box[0] >= -1e-6 and box[2] <= 182 + 1e-6 for box in boxes)
        said += [text.text for text in page.drawn(0, 0).texts]
    assert said.count("61.2 (24 1/8)") + said.count("61.2 (24") == 600
    assert said.count("H100") == 4


def test_a_table_that_just_fills_its_page_is_not_too_tall_for_it():
    # its height summed by rows and by parts differs by 1e-14 mm
    rng = random.Random(1)
    for _ in range(12):
        rows = tuple((f"H{number}", "word " * rng.choice((1, 60, 100))) for number in range(rng.randint(2, 30)))
        whole = Flow(182, 5000)
        whole.add_tables([Table("Sizes", rows)])
        height = whole.pages[0].height
        for least in range(-9, 10):
            flow = Flow(182, height + least * ulp(height))
            flow.add_tables([Table("Sizes", rows)])
            assert len(flow.pages) <= 2


def test_a_heading_that_goes_on_in_two_lines_has_its_room():
    rows = tuple((f"H{number}", "61.2") for number in range(120))
    for height in range(60, 130, 3):
        flow = Flow(182, height)
        flow.add_tables([Table("Elastics and trim: how many, how wide, and their cut length in cm (inches)", rows)])
        assert all(page.height <= height + 1e-6 for page in flow.pages)


def test_lines_are_broken_and_cut_before_they_are_put_in_order():
    text = "שורט חסידה קיץ " * 4
    lines = wrap(text, 40, 4)
    assert " ".join(lines) == text.strip()
    assert all(text_width(line, 4) <= 40 for line in lines)
    for name in (text, "W" * 60, "سروال قصير " * 5):
        short = cut(name, 30, 3)
        assert short.endswith("…")
        assert text_width(short, 3) <= 30
        assert name.startswith(short[:-1])
    assert cut("Heron", 30, 3) == "Heron"
    assert cut("W" * 9, 0.1, 3) == "…"
