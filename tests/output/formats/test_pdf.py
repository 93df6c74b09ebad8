from __future__ import annotations

from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

from drafting.errors import OutputError
from drafting.path import Path
from drafting.point import Point
from drafting.role import Role
from output.drawing.pens import stroked
from output.drawing.pieces import draw_sheet
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.formats.pdf import Document, one_page_pdf
from output.words.letters import check_text
from sample_pieces import strip

INCH = 25.4
"""mm, exactly (international yard and pound agreement of 1959)."""


def read(data: bytes) -> PdfReader:
    return PdfReader(BytesIO(data))


def sheet(*texts: Text, width: float = 200.0, height: float = 100.0) -> Sheet:
    square = Path.through(Point(20, 20), Point(70, 20), Point(70, 70), Point(20, 70), Point(20, 20))
    return Sheet(width, height, (stroked(square, Role.CUT),), texts)


@pytest.fixture
def document() -> PdfReader:
    text = Text(Point(30, 40), "Tag – ½ “ä”", 5)
    return read(one_page_pdf(sheet(text), title="Heron shorts", author="Reedbank Workroom", subject="Shorts"))


def test_a_page_has_the_size_of_its_sheet_in_all_its_boxes(document):
    # ISO 32000-1, 14.11.2 and 8.3.2.3: boxes in units of 1/72 inch
    page = document.pages[0]
    for box in (page.mediabox, page.cropbox, page.trimbox):
        assert [float(box.left), float(box.bottom)] == [0, 0]
        assert float(box.width) * INCH / 72 == pytest.approx(200, abs=1e-4)
        assert float(box.height) * INCH / 72 == pytest.approx(100, abs=1e-4)


def test_the_print_dialog_is_told_not_to_scale(document):
    # ISO 32000-1, table 150
    assert document.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_the_document_says_its_language_title_author_and_subject(document):
    assert document.trailer["/Root"]["/Lang"] == "en-GB"
    about = document.metadata
    assert (about.title, about.author, about.subject) == ("Heron shorts", "Reedbank Workroom", "Shorts")


def test_every_font_is_embedded_as_a_subset(document):
    for page in document.pages:
        for font in page["/Resources"]["/Font"].values():
            about = font.get_object()
            assert "+" in about["/BaseFont"]
            assert len(about["/FontDescriptor"]["/FontFile2"].get_object().get_data()) > 1000


def test_text_can_be_searched(document):
    assert "Tag – ½ “ä”" in document.pages[0].extract_text()


def test_lines_have_their_true_size_on_the_raster():
    page = pypdfium2.PdfDocument(one_page_pdf(sheet(), title="t"))[0]
    ink = 255.0 - page.render(scale=300 / 72, grayscale=True).to_numpy()
    for profile in (ink[ink.shape[0] // 2], ink[:, ink.shape[1] * 2 // 9]):
        middle = len(profile) // 2 if len(profile) < 1500 else round(45 / INCH * 300)
        halves = (profile[:middle], profile[middle:])
        first, second = (np.average(np.arange(len(half)), weights=half) for half in halves)
        assert middle + second - first == pytest.approx(50 / INCH * 300, abs=0.5)


def test_the_same_sheet_gives_the_same_bytes():
    drawn = draw_sheet([strip()], width=800, height=100, design="Heron shorts")
    assert one_page_pdf(drawn, title="t") == one_page_pdf(drawn, title="t")


@pytest.mark.parametrize("text", ["蒼鷺", "tab\there", "two\nlines", "🪡"])
def test_a_character_that_cannot_be_printed_is_refused(text):
    with pytest.raises(OutputError, match=r"text .*: the character .* is not in the fonts that are embedded"):
        one_page_pdf(sheet(Text(Point(0, 0), text, 4)), title="t")
    with pytest.raises(OutputError, match="is not in the fonts"):
        Document(title=text)


def test_letters_of_many_languages_can_be_printed():
    check_text("ÄÖÜß éèê ñ ø å ł ğ č Ελ Ж ½ × · – “” °")


def test_a_page_longer_than_a_pdf_may_have_is_refused():
    # ISO 32000-1, annex C.2: 14 400 units of 1/72 inch, 200 inches
    limit = 200 * INCH
    assert read(one_page_pdf(sheet(width=limit), title="t")).pages[0].mediabox.width == pytest.approx(14400)
    with pytest.raises(OutputError, match="page: 5090 mm is longer than a PDF page may be"):
        one_page_pdf(sheet(width=limit + 10), title="t")


def test_dashes_and_colours_reach_the_page():
    pen = Pen(0.5, (4, 2), (0.5, 0.25, 0.5))
    drawn = Sheet(100, 50, (Stroke(Path.through(Point(0, 25), Point(100, 25)), Role.CUT, pen),), ())
    content = read(one_page_pdf(drawn, title="t")).pages[0].get_contents().get_data()
    assert b"[4 2] 0 d" in content
    assert b".5 .25 .5 RG" in content


def test_black_and_grey_are_not_mixed_of_colours():
    # ISO 32000-1, 8.6.4.2: DeviceGray
    line = Path.through(Point(0, 25), Point(100, 25))
    drawn = Sheet(
        100, 50, (Stroke(line, Role.CUT, Pen(0.5)), Stroke(line, Role.CUT, Pen(0.5, (), (0.5, 0.5, 0.5)))), ()
    )
    content = read(one_page_pdf(drawn, title="t")).pages[0].get_contents().get_data()
    assert b"0 G" in content
    assert b".5 G" in content
    assert b"RG" not in content
