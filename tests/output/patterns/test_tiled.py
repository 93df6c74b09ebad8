from __future__ import annotations

import re
from io import BytesIO
from itertools import combinations
from math import atan2, degrees

import pypdfium2
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from drafting.errors import DraftError, OutputError
from drafting.point import Point
from drafting.units import POINT
from nests import nest_of, shorts
from output.drawing.flow import Table
from output.drawing.lettering import overlap, text_box
from output.drawing.marks import STYLE
from output.drawing.sheet import Text
from output.paper.layout import Cell, lay_out
from output.paper.sizes import A4, LETTER
from output.patterns import words as printed
from output.patterns.cover import cover_pages, line_key
from output.patterns.tiled import TiledPdf, tiled_pdf
from quick import quick
from sample_pieces import leg_like, marked, strip

MEASURES = Table("Finished measures", (("hip girth", "102.0 cm (40.2 in)"), ("inseam", "11.0 cm (4.33 in)")))
ELASTICS = Table("Elastic", (("thigh", "8 mm", "2", "61.2 cm (24.1 in)"),), ("Where", "Width", "Pieces", "Cut each"))


def made(pieces=None, paper=A4, **options) -> TiledPdf:
    options = {"tables": (MEASURES, ELASTICS), **options}
    return tiled_pdf(
        pieces or [leg_like()],
        paper=paper,
        title="Heron shorts",
        size="H102",
        rise="high",
        author="Reedbank Workroom",
        subject="Pull-on shorts",
        **options,
    )


def said(pdf: TiledPdf) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf.data)).pages]


@pytest.fixture(scope="module")
def a4() -> TiledPdf:
    return made()


@pytest.mark.parametrize(("paper", "size"), [(A4, (210, 297)), (LETTER, (215.9, 279.4))])
def test_every_page_is_the_paper_it_is_printed_on(paper, size):
    # ISO 216; ANSI/ASME Y14.1; ISO 32000-1, 14.11.2
    pdf = made(paper=paper)
    pages = PdfReader(BytesIO(pdf.data)).pages
    assert len(pages) == pdf.pages == pdf.first_pages + len(pdf.layout.cells)
    for number, page in enumerate(pages):
        turned = number >= pdf.first_pages and pdf.layout.paper.landscape
        for box in (page.mediabox, page.cropbox, page.trimbox):
            sides = [float(side) * 25.4 / 72 for side in (box.width, box.height)]
            assert sides == pytest.approx(size[::-1] if turned else size, abs=1e-3)


def test_pages_are_named_by_row_and_column(a4):
    texts = said(a4)[a4.first_pages :]
    for number, (cell, text) in enumerate(zip(a4.layout.cells, texts, strict=True), a4.first_pages + 1):
        assert f"Row {cell.row} · Column {cell.column}" in text
        assert f"Heron shorts · Size H102 · high rise · page {number} of {a4.pages}" in text


def test_joins_name_the_neighbour_and_only_where_one_is_printed(a4):
    for cell, text in zip(a4.layout.cells, said(a4)[a4.first_pages :], strict=True):
        around = [cell.beside(rows=r, columns=c) for r, c in ((-1, 0), (1, 0), (0, -1), (0, 1))]
        named = {Cell(int(r), int(c)) for r, c in re.findall(r"row (\d+), column (\d+)", text)}
        assert named == {other for other in around if a4.layout.prints(other)}
        assert text.count("joins here") <= 2
        assert text.count("lay on") == sum(a4.layout.prints(other) for other in (around[1], around[2]))


def test_pages_that_no_piece_touches_are_left_out():
    pdf = made([leg_like(width=1000, height=480)], LETTER)
    layout = pdf.layout
    absent = {Cell(r, c) for r in range(1, layout.rows + 1) for c in range(1, layout.columns + 1)} - set(layout.cells)
    assert absent
    everything = " ".join(said(pdf))
    for cell in absent:
        assert f"Row {cell.row} · Column {cell.column}" not in everything
        assert f"row {cell.row}, column {cell.column} joins" not in everything


def test_every_printed_page_carries_a_part_of_a_piece(a4):
    document = pypdfium2.PdfDocument(a4.data)
    for index in range(a4.first_pages, a4.pages):
        page = document[index].render(scale=1, grayscale=True).to_numpy()
        inset = round(15 / 25.4 * 72) + 14
        assert (page[inset:-inset, inset:-inset] < 200).any()


def test_the_margin_stays_blank(a4):
    document = pypdfium2.PdfDocument(a4.data)
    edge = int(7 / 25.4 * 150)
    for index in range(a4.pages):
        page = document[index].render(scale=150 / 72, grayscale=True).to_numpy().copy()
        page[edge:-edge, edge:-edge] = 255
        assert (page > 250).all()


def test_the_sheet_is_stored_once_and_shown_on_every_page(a4):
    pages = PdfReader(BytesIO(a4.data)).pages[a4.first_pages :]
    drawings = [page["/Resources"]["/XObject"] for page in pages]
    stored = {drawing.raw_get(name).idnum for drawing in drawings for name in drawing}
    assert len(stored) == 2  # the sheet, and one register mark
    assert all(b" Do" in page.get_contents().get_data() for page in pages)
    assert len(a4.data) < 150_000


def test_viewer_and_catalogue_entries(a4):
    root = PdfReader(BytesIO(a4.data)).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/Lang"] == "en-GB"
    about = PdfReader(BytesIO(a4.data)).metadata
    assert about.title == "Heron shorts · Size H102 · high rise · A4"
    assert (about.author, about.subject) == ("Reedbank Workroom", "Pull-on shorts")


def test_the_outline_leads_to_every_page(a4):
    names = [entry.title for entry in PdfReader(BytesIO(a4.data)).outline]
    assert names[a4.first_pages :] == [f"Row {cell.row} · Column {cell.column}" for cell in a4.layout.cells]


def test_the_same_pattern_gives_the_same_bytes(a4):
    assert made().data == a4.data


def test_the_first_pages_tell_what_to_check_and_what_to_mind(a4):
    text = " ".join(said(a4)[: a4.first_pages])
    for words in (
        "50 mm × 50 mm",
        "2 in × 2 in",
        "100 %",
        "Switch off “fit to page”",
        "register mark",
        "Joined: 108.0 × 53.4 cm (42.5 × 21.0 in)",
        "Cut 2: 1 as drawn, 1 mirrored",
        "hip girth 102.0 cm (40.2 in)",
        "61.2 cm (24.1 in)",
        "Blades, pins and needles",
        "Hot iron",
        "circulation",
        "For a child",
        "Local codes",
    ):
        assert words in text, words


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_the_very_first_page_carries_squares_map_checks_and_cautions(paper):
    first = said(made(paper=paper))[0]
    for words in ("Size H102", "50 mm × 50 mm", "2 in × 2 in", "Check first", "row 1", "Local codes"):
        assert words in first, words


def test_the_key_names_only_what_is_drawn(a4):
    plain = " ".join(said(made([strip()])))
    assert "Fold line" not in plain
    assert "Double notch" not in plain
    assert "Ends in a dot" in plain
    text = " ".join(said(a4))
    for words in ("Fold line", "Stitch line", "Double notch", "Fold notch", "Stitch mark"):
        assert words in text


def test_the_map_numbers_every_page_and_no_other():
    pdf = made([leg_like(width=1000, height=480)], LETTER)
    (first, *_) = said(pdf)
    numbers = set(range(pdf.first_pages + 1, pdf.pages + 1))
    assert numbers <= {int(number) for number in re.findall(r"\b\d+\b", first)}
    assert (
        f"{len(pdf.layout.cells)} pages of Letter in {pdf.layout.rows} rows and {pdf.layout.columns} columns" in first
    )


words = st.text("abcdefghij ÄÖ", min_size=1, max_size=40).map(lambda text: f"x{text}")
tables = st.lists(
    st.tuples(words, st.lists(st.tuples(words, words, words), min_size=1, max_size=60)), min_size=0, max_size=4
)


@settings(max_examples=20)
@given(tables, words, words, st.sampled_from([A4, LETTER]))
@example([("x", [("x" * 40, "y" * 40, "z" * 40)] * 2)], "x" * 40, "y" * 40, A4)
def test_first_pages_flow_on_and_never_overlap(tables, title, size, paper):
    layout = lay_out([leg_like(width=600, height=300)], paper)
    listed = [Table(heading, tuple(rows)) for heading, rows in tables]
    pages = cover_pages(layout, paper=paper, title=title, size=size, rise="high", tables=listed)
    drawn = "".join(text.text for page in pages for text in page.texts)  # a long word goes on in the next line
    for table in listed:
        for row in table.rows:
            for cell in row:
                assert all(word in drawn for word in cell.split())
    for page in pages:
        boxes = [text_box(text) for text in page.texts]
        for a, b in combinations(boxes, 2):
            across, up = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
            assert across < 0.01 or up < 0.01
        assert all(box[0] >= 7 and box[1] >= 7 for box in boxes)
        assert all(box[2] <= paper.width - 7 and box[3] <= paper.height - 7 for box in boxes)
        for stroke in page.strokes:
            left, bottom, right, top = stroke.path.bounds
            assert min(left, bottom) >= 7
            assert right <= paper.width - 7
            assert top <= paper.height - 7


def test_a_row_taller_than_a_page_is_refused():
    with pytest.raises(OutputError, match=r"table 'Notes': the row .* is taller than a page"):
        made(tables=[Table("Notes", ((" ".join(["endless"] * 4000),),))])


def test_a_title_that_cannot_be_printed_is_refused():
    with pytest.raises(OutputError, match="the character '鷺'"):
        tiled_pdf([leg_like()], paper=A4, title="鷺", size="H102")


def test_nothing_to_print_is_refused():
    with pytest.raises(DraftError, match="there is no piece to print"):
        tiled_pdf([], paper=A4, title="Heron shorts", size="H102")


def test_words_beside_the_joins_do_not_touch_the_marks_or_each_other():
    pdf = made([leg_like(), strip()])
    document = pypdfium2.PdfDocument(pdf.data)
    for index, cell in enumerate(pdf.layout.cells, pdf.first_pages):
        page = document[index]
        width, height = page.get_size()
        unit = 72 / 25.4
        text = page.get_textpage()
        boxes = [text.get_rect(i) for i in range(text.count_rects())]
        strip_boxes = [
            box
            for box in boxes
            if box[0] < 15 * unit or box[1] < 15 * unit or box[2] > width - 15 * unit or box[3] > height - 15 * unit
        ]
        for a, b in combinations(strip_boxes, 2):
            assert min(a[2], b[2]) - max(a[0], b[0]) < 0.2 or min(a[3], b[3]) - max(a[1], b[1]) < 0.2, cell
        spots = [
            (x, y)
            for x in (15 * unit, width / 2, width - 15 * unit)
            for y in (15 * unit, height / 2, height - 15 * unit)
            if (x, y) != (width / 2, height / 2)
        ]
        arm = 4 * unit
        joined = [cell.beside(rows=r, columns=c) for r, c in ((-1, 0), (1, 0), (0, -1), (0, 1))]
        if all(pdf.layout.prints(other) for other in joined):
            for x, y in spots:
                assert not any(b[0] < x + arm and b[2] > x - arm and b[1] < y + arm and b[3] > y - arm for b in boxes)


def strip_words(page) -> list[tuple[str, tuple[float, ...]]]:
    """The words beside the joins of a page and their boxes on the paper in mm, read back from the file."""
    found = []

    def visit(text, matrix, at, _, size):
        if "joins here" in text or "lay on row" in text or text.startswith(("Row ", "row ")):
            x, y = (at[4] * matrix[i] + at[5] * matrix[2 + i] + matrix[4 + i] for i in (0, 1))
            angle = degrees(atan2(matrix[1], matrix[0]))
            found.append((text.strip(), text_box(Text(Point(x * POINT, y * POINT), text.strip(), size, angle=angle))))

    page.extract_text(visitor_text=visit)
    return found


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
@pytest.mark.parametrize("sizes", quick([0, 4, 16], lambda sizes: sizes < 16))
def test_every_join_is_named_on_its_page_clear_of_marks_and_other_words(paper, sizes):
    pdf = nest_of(shorts(sizes), paper=paper) if sizes else made(paper=paper)
    layout, (width, height) = pdf.layout, pdf.layout.cell_size
    inset, margin, arm = layout.tiling.inset, layout.tiling.margin, STYLE.register_arm
    pages = PdfReader(BytesIO(pdf.data)).pages[pdf.first_pages :]
    for cell, page in zip(layout.cells, pages, strict=True):
        words = strip_words(page)
        ends = {
            cell.beside(rows=-1): ((0, 1), False),
            cell.beside(columns=1): ((1, 0), True),
            cell.beside(rows=1): ((0, 0), False),
            cell.beside(columns=-1): ((0, 0), True),
        }
        joined = [other for other in ends if layout.prints(other)]
        assert sorted(re.findall(r"row \d+, column \d+", " ".join(text for text, _ in words))) == sorted(
            f"row {other.row}, column {other.column}" for other in joined
        )
        spots = [
            (inset + width * a + along * (not upright), inset + height * b + along * upright)
            for other in joined
            for (a, b), upright in [ends[other]]
            for along in layout.register_marks[min(cell, other), upright]
        ]
        marks = [(x - arm, y - arm, x + arm, y + arm) for x, y in spots]
        for number, (_, box) in enumerate(words):
            assert min(box[0], box[1]) >= margin
            assert box[2] <= layout.paper.width - margin
            assert box[3] <= layout.paper.height - margin
            assert not any(overlap(box, other) for other in marks)
            assert not any(overlap(box, other) for _, other in words[number + 1 :])


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("length", quick([25, 28, 36, 39, 45, 49, 50, 56], lambda length: length in (28, 49)))
def test_a_name_that_just_fills_the_room_between_two_marks_is_placed(paper, length):
    # set to fit, it was wider than its room by 1e-14 mm
    title = "The Willow Meadow linen bubble shorts, summer holiday, by the sea"[:length].strip()
    pdf = tiled_pdf([leg_like()], paper=paper, title=title, size="H102", rise="high")
    assert title in said(pdf)[0]
    assert all(title[:20] in page for page in said(pdf)[pdf.first_pages :])


def test_the_key_tells_the_marks_that_there_are_and_no_others():
    def key(piece):
        part = line_key(lay_out([piece], A4), 180, nested=False)
        return " ".join(text.text for text in part.drawn(0, 0).texts)

    for told in (*printed.KEY_MARK.values(), printed.KEY_CREASE):
        first, *_ = told.split(":")
        assert first in key(marked())
    assert printed.KEY_FOLD not in key(marked())
    plain = key(leg_like(casings=1))
    assert printed.KEY_FOLD in plain
    assert not any(told.split(":")[0] in plain for told in printed.KEY_MARK.values())
