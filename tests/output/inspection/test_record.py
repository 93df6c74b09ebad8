"""The record that each file has in it, and that it is what another reader finds there."""

from __future__ import annotations

import json
import zlib
from io import BytesIO

import pytest
from pypdf import PdfReader

from drafting.errors import OutputError
from drafting.picture import rectangle
from drafting.point import Point
from drafting.role import Role
from guides import guide
from nests import SMALL, mid_nest
from output.drawing.pens import stroked
from output.drawing.sheet import Sheet, Text
from output.formats.pdf import Document, one_page_pdf
from output.inspection.pdf_objects import PdfFile
from output.inspection.record import json_of, record_of
from output.paper.sizes import A4
from output.patterns.tiled import tiled_pdf
from sample_pieces import leg_like


def tiled() -> bytes:
    return tiled_pdf([leg_like(width=500)], paper=A4, title="Heron shorts", size="H102", rise="high").data


def record(data: bytes):
    found = record_of(PdfFile(data))
    assert found
    return found


def test_a_record_is_private_data_of_the_program_as_the_standard_has_it():
    """ISO 32000-1, 14.5: the page-piece dictionary has a date, and the data as the program likes."""
    piece = PdfReader(BytesIO(tiled()), strict=True).root_object["/PieceInfo"]["/Shirrline"]
    assert piece["/LastModified"].startswith("D:")
    said = json.loads(piece["/Private"].get_data())
    assert said["schema"] == 1
    assert said["kind"] == "pattern to print"
    assert [page["size"] for page in said["pages"]] == [[210, 297]] * 8


def test_a_record_tells_pages_squares_layers_and_drawings():
    found = record(mid_nest().data)
    assert found.layers == [size.label for size in SMALL.sizes]
    assert found.pages[-1].label.startswith("Row ")
    assert {show.drawing for show in found.pages[-1].shows} >= {"sheet", "register-mark"}
    assert {said for page in found.pages for _, _, said in page.squares} == {50.0, 25.4 * 2}
    assert len({page.sha256 for page in found.pages}) == len(found.pages)
    assert found.drawings["sheet"].count > 0


def test_only_a_line_that_is_a_calibration_square_is_told_as_one():
    box, said = rectangle(20, 20, 70, 70), Text(Point(25, 40), "50 mm × 50 mm", 3)
    for role, told in ((Role.SQUARE, [(20, 20, 50)]), (Role.JOIN, [])):
        drawn = Sheet(100, 100, (stroked(box, role),), (said,))
        assert record(one_page_pdf(drawn, title="t")).pages[0].squares == told


def test_a_guide_has_a_record_of_its_pages():
    found = record(guide())
    assert found.kind == "matter to read"
    assert len(found.pages) == len(PdfReader(BytesIO(guide())).pages)
    assert all(page.texts.count for page in found.pages)


def test_a_record_is_small():
    data = tiled()
    assert len(zlib.compress(json_of(record(data).told()))) < len(data) / 20


def test_the_same_document_has_the_same_record():
    assert tiled() == tiled_pdf([leg_like(width=500)], paper=A4, title="Heron shorts", size="H102", rise="high").data


@pytest.mark.parametrize("text", ["é“–”", "שלום", "·" * 40])
def test_words_in_any_encoding_are_recorded_as_they_are(text):
    document = Document(title=text)
    document.page(100, 100, bookmark=text)
    found = record(document.data())
    assert found.about["Title"] == text
    assert found.pages[0].label == text


def test_a_file_too_long_to_be_inspected_is_refused_in_writing(monkeypatch):
    monkeypatch.setattr("output.inspection.pdf_objects.LARGEST", 1000)
    document = Document(title="t")
    document.page(100, 100)
    with pytest.raises(OutputError, match="too long to be inspected"):
        document.data()
