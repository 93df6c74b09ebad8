"""The page for a projector, rendered: real size, heavy lines, a true grid, layers, and either ground."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from itertools import combinations

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from drafting.curve import FLAT_TOLERANCE
from drafting.errors import OutputError
from drafting.role import Role
from layered import switched
from nests import PENS, SMALL, shorts
from output.drawing.lettering import overlap, text_box
from output.patterns.pattern_pdf import stacks_of
from output.patterns.projection import GRID, STYLE, Ground, ProjectionPdf, ProjectionStyle, projection_pdf
from output.patterns.words import GRID_LAYER
from sample_pieces import leg_like, strip
from test_wide import MM, rendered

LABELS = [size.label for size in SMALL.sizes]
GROUNDS = pytest.mark.parametrize("ground", Ground)


@cache
def nested(ground=Ground.LIGHT) -> ProjectionPdf:
    stacks = stacks_of(shorts(3, start=104, rise="mid"))
    return projection_pdf(stacks, PENS, ground=ground, title="Heron shorts", rise="mid", group="Sizes", author="R")


@cache
def single(ground=Ground.LIGHT) -> ProjectionPdf:
    return projection_pdf([(leg_like(),), (strip(),)], ground=ground, title="Heron shorts", rise="high")


def drawn(pdf: ProjectionPdf, *off: str, ground=Ground.LIGHT) -> np.ndarray:
    """How far each pixel is from the ground."""
    page = rendered(switched(pdf.data, *off) if off else pdf.data)
    return page if ground is Ground.LIGHT else 255 - page


@pytest.mark.parametrize("make", [nested, single])
def test_it_is_one_page_in_whole_squares_of_the_grid(make):
    pdf = make()
    [page] = PdfReader(BytesIO(pdf.data)).pages
    sides = [float(side) * 25.4 / 72 for side in (page.mediabox.width, page.mediabox.height)]
    assert sides == pytest.approx([pdf.sheet.width, pdf.sheet.height], abs=1e-3)
    for side in sides:
        assert (side - 2 * STYLE.margin) / GRID == pytest.approx(round((side - 2 * STYLE.margin) / GRID), abs=1e-5)


@GROUNDS
def test_the_grid_is_true_from_edge_to_edge(ground):
    """With all else off or beside it: each line's middle, by its ink, within half a pixel at 150 dpi."""
    pdf = nested(ground)
    page = drawn(pdf, *LABELS, ground=ground).astype(float)
    count = round((pdf.sheet.width - 2 * STYLE.margin) / GRID)
    below = page[-round((STYLE.margin + 30) * MM) : -round((STYLE.margin + 5) * MM)].mean(axis=0)
    for number in range(count + 1):
        expected = (STYLE.margin + number * GRID) * MM
        near = np.arange(round(expected) - 8, round(expected) + 9)
        middle = np.average(near + 0.5, weights=below[near])
        assert middle == pytest.approx(expected, abs=0.5)


@GROUNDS
def test_the_ground_is_light_or_dark(ground):
    page = 255 - rendered(nested(ground).data)
    corner = page[:50, :50]
    assert (corner == (255 if ground is Ground.LIGHT else 0)).all()
    share = (page > 128).mean()
    assert share > 0.9 if ground is Ground.LIGHT else share < 0.1


def test_both_grounds_show_the_same_lines():
    light, dark = drawn(single(), ground=Ground.LIGHT), drawn(single(Ground.DARK), ground=Ground.DARK)
    assert ((light > 200) == (dark > 200)).mean() > 0.999


@GROUNDS
def test_sizes_and_grid_are_layers_and_leave_no_ink_when_off(ground):
    pdf = nested(ground)
    properties = PdfReader(BytesIO(pdf.data)).root_object["/OCProperties"]
    assert [str(group.get_object()["/Name"]) for group in properties["/OCGs"]] == [*LABELS, GRID_LAYER]
    bare = drawn(pdf, *LABELS, GRID_LAYER, ground=ground) > 40
    block = [text_box(text) for text in pdf.sheet.texts if not text.layers]
    top = pdf.sheet.height - min(box[1] for box in block) + 120
    bottom = pdf.sheet.height - max(box[3] for box in block) - 120
    rows = np.nonzero(bare.any(axis=1))[0] / MM
    assert len(rows)
    assert rows.min() >= bottom
    assert rows.max() <= top
    assert bare.sum() < (drawn(pdf, GRID_LAYER, ground=ground) > 40).sum()


def test_lines_are_heavy_and_letters_large():
    for pdf in (nested(), single()):
        assert all(one.pen.width >= STYLE.grid for one in pdf.sheet.strokes if not one.filled)
        cut = [one for one in pdf.sheet.strokes if one.role is Role.CUT]
        assert [one.path for one in cut] == list(pdf.sheet.outlines)
        assert all(one.pen.width == STYLE.line for one in cut)
        assert min(text.size for text in pdf.sheet.texts) >= 3
        assert max(text.size for text in pdf.sheet.texts) >= 13


@pytest.mark.parametrize("make", [nested, single])
def test_no_words_lie_on_other_words_or_leave_the_page(make):
    sheet = make().sheet
    boxes = [text_box(text) for text in sheet.texts]
    for one, other in combinations(boxes, 2):
        assert not overlap(one, other, apart=-0.3)
    for left, bottom, right, top in boxes:
        assert left >= 0
        assert bottom >= 0
        assert right <= sheet.width
        assert top <= sheet.height


@pytest.mark.parametrize("make", [nested, single])
def test_the_grain_runs_up_the_page_and_pieces_keep_apart(make):
    sheet = make().sheet
    pieces = [shapely.Polygon(outline.array(tolerance=FLAT_TOLERANCE)) for outline in sheet.outlines]
    groups = [pieces[:3], pieces[3:]] if make is nested else [[piece] for piece in pieces]
    merged = [shapely.union_all(group) for group in groups]
    for one, other in combinations(merged, 2):
        assert one.distance(other) >= STYLE.gap - 1e-6
    leg = merged[0].bounds
    assert leg[2] - leg[0] > leg[3] - leg[1]  # a leg is wider than it is long, and not turned


def test_the_page_says_what_it_is_and_how_to_set_it():
    reader = PdfReader(BytesIO(nested().data))
    assert reader.metadata["/Subject"] == "For a projector, real size; not to be printed"
    assert reader.metadata["/Title"] == "Heron shorts · Size H104 to H112 · mid rise · light"
    said = " ".join(reader.pages[0].extract_text().split())
    assert "Set the projector square to the table" in said
    assert "Do not look into the beam" in said
    assert "100 mm × 100 mm" in said
    assert "1 in × 1 in" in said


def test_no_piece_is_refused():
    with pytest.raises(OutputError, match="there is no piece to show"):
        projection_pdf([], title="Heron shorts")


def test_lines_may_be_heavier():
    pdf = projection_pdf([(leg_like(),)], title="Heron shorts", style=ProjectionStyle(line=2.5))
    assert max(one.pen.width for one in pdf.sheet.strokes) == 2.5


@GROUNDS
def test_the_same_pieces_give_the_same_bytes(ground):
    again = projection_pdf([(leg_like(),), (strip(),)], ground=ground, title="Heron shorts", rise="high")
    assert again.data == single(ground).data
