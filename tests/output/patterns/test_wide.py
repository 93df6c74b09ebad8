"""Sheets and rolls of a print shop, read back and rendered: boxes, true scale, layers, squares, and paper spent."""

from __future__ import annotations

import math
from functools import cache
from io import BytesIO
from itertools import combinations

import numpy as np
import pypdfium2
import pytest
import shapely
from pypdf import PdfReader
from pypdfium2 import raw
from scipy import ndimage

from drafting.errors import OutputError
from drafting.point import Motion, Vector
from drafting.role import Role
from layered import ink, poppler, switched
from nests import PENS, SMALL, shorts
from output.drawing import pens
from output.drawing.lettering import overlap, text_box
from output.drawing.pieces import piece_strokes
from output.drawing.sheet import Sheet
from output.formats.pdf import one_page_pdf
from output.paper.sizes import WIDE_SHEETS, paper_named, roll
from output.patterns.pattern_pdf import stacks_of
from output.patterns.wide import STYLE, WidePdf, WideStyle, wide_pdf
from output.tables.summary import range_tables
from sample_pieces import leg_like, strip

DPI = 150
MM = DPI / 25.4


def rendered(data: bytes, index: int = 0, window: tuple[float, float, float, float] | None = None) -> np.ndarray:
    """Darkness from 0 to 255 of a page at exactly 150 dpi, or of a window in it: left, bottom, width, height in mm."""
    page = pypdfium2.PdfDocument(data)[index]
    scale = DPI / 72
    wide, tall = (side / 72 * 25.4 for side in page.get_size())
    left, bottom, width, height = window or (0.0, 0.0, wide, tall)
    columns, rows = math.ceil(width * MM - 1e-6), math.ceil(height * MM - 1e-6)
    bitmap = pypdfium2.PdfBitmap.new_native(columns, rows, raw.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, columns, rows)
    matrix = raw.FS_MATRIX(scale, 0, 0, scale, -left * MM, -(tall - bottom - height) * MM)
    raw.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, raw.FS_RECTF(0, 0, columns, rows), 0)
    return 255 - bitmap.to_numpy().reshape(rows, -1)[:, :columns].copy()


def single(*pieces, paper=None, **options) -> WidePdf:
    options = {"title": "Heron shorts", "rise": "high", "author": "Reedbank Workroom", **options}
    return wide_pdf([(piece,) for piece in pieces], paper=paper or roll(914), **options)


ROLL = roll(914)


@cache
def nested(paper=ROLL, fit="whole") -> WidePdf:
    sizes = shorts(3, start=104, rise="mid", fit=fit)
    return wide_pdf(
        stacks_of(sizes), PENS, paper=paper, title="Heron shorts", rise="mid", group="Sizes", tables=range_tables(sizes)
    )


def sides(box) -> list[float]:
    return [float(side) * 25.4 / 72 for side in box]


def pages(pdf: WidePdf):
    return PdfReader(BytesIO(pdf.data)).pages


def spread(mask: np.ndarray) -> np.ndarray:
    """What lies within one pixel of a mask."""
    wide = np.pad(mask, 1)
    rows, columns = mask.shape
    return np.any([wide[i : i + rows, j : j + columns] for i in range(3) for j in range(3)], axis=0)


@pytest.mark.parametrize("paper", [*WIDE_SHEETS, roll(914), roll(1067)], ids=lambda paper: paper.name)
def test_every_box_of_a_page_is_the_paper(paper):
    # ISO 216, ANSI/ASME Y14.1; boxes: ISO 32000-1, 14.11.2
    pdf = single(leg_like(width=600), strip(length=300), paper=paper)
    for number, page in enumerate(pages(pdf)):
        boxes = [sides(box) for box in (page.mediabox, page.cropbox, page.bleedbox, page.trimbox)]
        height = pdf.sheets[number].height if paper.height == math.inf else paper.height
        size = sorted((paper.width, height)) if pdf.layout else [paper.width, height]
        for box in boxes:
            assert box[:2] == [0, 0]
            assert (sorted(box[2:]) if pdf.layout else box[2:]) == pytest.approx(size, abs=1e-3)


def test_a_piece_turned_on_the_roll_is_drawn_to_scale():
    """Laid over the same lines drawn upright on a page of their own and turned as an image: not a pixel is missed."""
    leg = leg_like()
    pdf = single(leg)
    left, bottom, right, top = pdf.sheets[0].outlines[0].bounds
    assert right - left < top - bottom
    low = leg.cut_line.bounds
    margin = 10
    upright = leg.moved(Motion.shift(Vector(margin - low[0], margin - low[1])))
    size = (low[2] - low[0] + 2 * margin, low[3] - low[1] + 2 * margin)
    own = rendered(one_page_pdf(Sheet(*size, piece_strokes(upright), ()), title="t")) > 200
    # a turned image begins at its other edge, so the window begins where the last pixel ends
    here = rendered(pdf.data, 0, (left - margin, top + margin - own.shape[1] / MM, size[1], own.shape[1] / MM)) > 40
    missed = {}
    for quarter in (1, 3):
        turned = np.rot90(own, quarter)
        rows, columns = (min(pair) for pair in zip(turned.shape, here.shape, strict=True))
        missed[quarter] = int((turned[:rows, :columns] & ~spread(here[:rows, :columns])).sum())
    assert min(missed.values()) == 0
    assert max(missed.values()) > 1000  # the wrong way about it does not fit: the comparison can fail


@pytest.mark.parametrize("name", ["A0", "A2"])
def test_joined_sheets_show_their_part_of_the_piece_to_scale(name):
    pdf = single(leg_like(width=1260), paper=paper_named(name))
    layout, paper = pdf.layout, paper_named(name)
    assert layout is not None
    assert pdf.pages == len(layout.cells) > 1
    whole = one_page_pdf(pdf.sheets[0], title="t")
    keep = 6  # register marks reach in by 4 mm
    inset = layout.tiling.inset + keep
    below = 0 if layout.paper.landscape else paper.height - layout.paper.height
    width, height = (side - 2 * keep for side in layout.cell_size)
    inked = 0
    for index, cell in enumerate(layout.cells):
        corner = layout.corner(cell)
        here = rendered(pdf.data, index, (inset, inset + below, width, height))
        there = rendered(whole, 0, (corner.x + keep, corner.y + keep, width, height))
        assert not ((there > 200) & ~spread(here > 40)).any()
        assert not ((here > 200) & ~spread(there > 40)).any()
        inked += (there > 200).sum()
    assert inked > 10_000


def test_squares_on_every_sheet_measure_what_they_say():
    """50 mm and 2 inches, by the ink of the rendered page."""
    for pdf in (single(leg_like(), strip()), single(leg_like(width=1260), paper=paper_named("A0"))):
        for index in range(pdf.pages):
            page = rendered(pdf.data, index) > 100
            assert square_there(page, 50 * MM), index
            assert square_there(page, 50.8 * MM), index


def square_there(page: np.ndarray, side: float) -> bool:
    """Whether there is a closed empty square of that side, to a pixel, by its outline alone."""
    areas, _ = ndimage.label(~page)
    boxes = [part for part in ndimage.find_objects(areas) if part is not None]
    wanted = side - 0.25 * MM  # between the inner edges of its lines
    return any(all(abs(part.stop - part.start - wanted) <= 1.5 for part in box) for box in boxes)


def test_samples_in_the_key_are_no_lines_to_cut():
    sheet = single(leg_like(), strip()).sheets[0]
    assert len(sheet.outlines) == 2
    samples = {stroke.pen for stroke in sheet.strokes if stroke.role is Role.KEY}
    assert {pens.PENS[role] for role in (Role.CUT, Role.SEAM, Role.GRAIN, Role.NOTCH)} <= samples


def test_all_fonts_are_embedded_and_ink_is_black_or_grey():
    for pdf in (nested(), nested(paper_named("A2"))):
        for page in pages(pdf):
            for font in page["/Resources"]["/Font"].values():
                assert "/FontFile2" in font.get_object()["/FontDescriptor"]
            assert "/ExtGState" not in page["/Resources"]
            streams = [page.get_contents().get_data()]
            streams += [form.get_object().get_data() for form in page["/Resources"].get("/XObject", {}).values()]
            for stream in streams:
                assert b" RG" not in stream
                assert b" rg" not in stream
        assert "/OutputIntents" not in PdfReader(BytesIO(pdf.data)).root_object


def test_the_file_says_what_a_print_shop_asks():
    reader = PdfReader(BytesIO(nested().data))
    about = reader.metadata
    assert about["/Title"] == "Heron shorts · Size H104 to H112 · mid rise · roll-914"
    assert about["/Subject"] == "Sheets for a print shop, real size"
    assert about["/Creator"] == "shirrline"
    assert about["/Keywords"] == "real size"
    assert about["/Trapped"] == "/False"
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
    said = " ".join(reader.pages[0].extract_text().split())
    for words in ("Sheet 1 of 1 · scale 1:1 · roll, 914 mm wide", "Work safely", "Cutting list", "Elastics"):
        assert words in said


def test_a_size_switched_off_leaves_no_ink():
    """With one size off, what is left is what is drawn without it; with all off only blocks and panels stay."""
    pdf = nested()
    [shown] = poppler(pdf.data)
    labels = [size.label for size in SMALL.sizes]
    hidden = ink(poppler(switched(pdf.data, *labels))[0])
    outline = shapely.union_all([shapely.Polygon(path.array(tolerance=0.1)) for path in pdf.sheets[0].outlines])
    tall = hidden.shape[0] / pdf.sheets[0].height
    y, x = np.nonzero(hidden)
    assert len(x)
    assert not shapely.contains_xy(outline, x / tall, (hidden.shape[0] - y) / tall).any()
    first = ink(poppler(switched(pdf.data, labels[0]))[0])
    assert first.sum() < ink(shown).sum()


def test_sizes_are_layers_as_in_the_tiled_file():
    properties = PdfReader(BytesIO(nested().data)).root_object["/OCProperties"]
    assert [str(group.get_object()["/Name"]) for group in properties["/OCGs"]] == [s.label for s in SMALL.sizes]
    assert properties["/D"]["/Order"][0][0] == "Sizes"


@pytest.mark.slow
def test_a_roll_longer_than_a_page_may_be_is_divided_between_pieces():
    # 14 400 units of 1/72 inch: ISO 32000-1, annex C.2
    legs = [leg_like(name=f"leg {number}", title=f"Leg {number}") for number in range(9)]
    pdf = single(*legs, paper=roll(610))
    assert pdf.pages == len(pdf.sheets) > 1
    assert sum(len(sheet.outlines) for sheet in pdf.sheets) == len(legs)
    for sheet, page in zip(pdf.sheets, pages(pdf), strict=True):
        assert sheet.height <= 5080
        assert float(page.mediabox.height) <= 14400
        for outline in sheet.outlines:
            left, bottom, right, top = outline.bounds
            assert left >= STYLE.margin - 1e-6
            assert bottom >= STYLE.margin - 1e-6
            assert right <= 610 - STYLE.margin + 1e-6
            assert top <= sheet.height - STYLE.margin + 1e-6
    said = [" ".join(page.extract_text().split()) for page in pages(pdf)]
    assert all(f"Sheet {n} of {len(said)}" in text for n, text in enumerate(said, 1))


@pytest.mark.parametrize(
    "paper", [roll(914), roll(610), paper_named("A0"), paper_named("A2")], ids=lambda paper: paper.name
)
@pytest.mark.parametrize("fit", ["whole", "split"])
def test_no_words_lie_on_other_words_or_leave_the_sheet(paper, fit):
    pdf = nested(paper, fit)
    for sheet in pdf.sheets:
        boxes = [text_box(text) for text in sheet.texts]
        for one, other in combinations(boxes, 2):
            assert not overlap(one, other, apart=-0.3)
        more = pdf.layout.tiling.overlap if pdf.layout else 0  # joined sheets print a strip beyond the grid
        for left, bottom, right, top in boxes:
            assert left >= -more
            assert bottom >= -more
            assert right <= sheet.width + more
            assert top <= sheet.height + more


@pytest.mark.parametrize("fit", ["whole", "split"])
def test_panels_and_pieces_keep_apart(fit):
    sheet = nested(roll(914), fit).sheets[0]
    panels = [shapely.box(*text_box(text)) for text in sheet.texts if not text.layers]
    pieces = [shapely.Polygon(path.array(tolerance=0.05)) for path in sheet.outlines]
    assert all(panel.distance(piece) > 5 for panel in panels for piece in pieces)


def test_little_of_the_roll_is_spent():
    """Within 10 % of what no packing without gaps can beat, where one piece alone decides it."""
    spent = nested().spent
    assert spent.length <= 1.1 * spent.least_length
    assert spent.least_length <= spent.length


def test_sheets_are_counted_against_the_area():
    assert (nested(paper_named("A0")).spent.sheets, nested(paper_named("A0")).spent.least_sheets) == (1, 1)
    spent = single(leg_like(width=1260), paper=paper_named("A0")).spent
    assert (spent.sheets, spent.least_sheets) == (2, 1)  # it is longer than the sheet


def test_a_piece_too_wide_for_the_roll_is_refused():
    with pytest.raises(OutputError, match=r"piece leg: it is 508 mm wide the narrow way and the roll prints 400 mm"):
        single(leg_like(), paper=roll(420))


def test_a_piece_that_leaves_no_room_for_the_title_block_is_joined_of_several_sheets():
    paper = paper_named("A0")
    whole = strip(length=1100, height=730)
    assert single(whole, paper=paper).layout is None
    pdf = single(strip(length=1130, height=790), paper=paper)
    assert pdf.layout is not None
    assert pdf.pages > 1


def test_panels_without_room_between_pieces_come_first():
    pdf = single(strip(length=1080, height=1430), paper=paper_named("A2"))
    said = [" ".join(page.extract_text().split()) for page in pages(pdf)]
    assert len(said) == pdf.pages == len(pdf.layout.cells) + 1
    assert "Work safely" in said[0]
    assert "Join the pages" in said[0]
    assert all(f"Sheet {number} of {pdf.pages}" in text for number, text in enumerate(said, 1))
    assert all(f"page {number} of {pdf.pages}" in text for number, text in enumerate(said[1:], 2))


def test_no_piece_is_refused():
    with pytest.raises(OutputError, match="there is no piece to print"):
        wide_pdf([], paper=roll(914), title="Heron shorts")


def test_margins_are_the_users_within_reason():
    assert single(leg_like(), style=WideStyle(margin=20)).spent.length > single(leg_like()).spent.length


@pytest.mark.parametrize("paper", [roll(914), paper_named("A2")], ids=lambda paper: paper.name)
def test_the_same_pieces_give_the_same_bytes(paper):
    assert single(leg_like(), strip(), paper=paper).data == single(leg_like(), strip(), paper=paper).data
