from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache

import pytest
import shapely
from pypdf import PdfReader

from blocks.cloth import Cloth, Lay
from blocks.haberdashery import haberdashery
from blocks.lay import Laid, LayPlan, LayRules, plan_of
from blocks.notions import thread
from blocks.requirement import Buying, required
from drafting.errors import OutputError
from drafting.role import Role
from lays import FOLDED, OPEN, found, short_for, stacked
from output.drawing.lettering import overlap, text_box
from output.drawing.sheet import Sheet
from output.lays import words as lay_text
from output.lays.plan import (
    SCALES,
    LayPage,
    lay_drawing,
    lay_pages,
    lay_part,
    lay_plans_pdf,
)
from output.paper.sizes import A4, LETTER, Paper
from output.tables.amounts import bought_words
from output.words import text
from sample_pieces import leg_like, strip

SHEETS = [
    pytest.param(lambda: found("H84", OPEN), id="whole"),
    pytest.param(lambda: found("H152", Cloth(1100)), id="split"),
    pytest.param(lambda: found("H96", FOLDED), id="folded"),
    pytest.param(lambda: found("H116", Cloth(1500), one_way=True), id="one-way"),
    pytest.param(lambda: narrow(9), id="many narrow pieces"),
    pytest.param(lambda: stacked((leg_like(),), Cloth(3200)), id="wide cloth"),
    pytest.param(lambda: stacked((strip(length=500, height=20),), Cloth(3200)), id="one low strip"),
]


@cache
def narrow(count: int) -> LayPlan:
    """Strips too low for a label, as many as a column can hold."""
    pieces = tuple(strip(name=f"band {i}", title=f"Band number {i}", length=400 - i, height=5) for i in range(count))
    return stacked(pieces, Cloth(1500))


def page_of(plan: LayPlan, label: str = "H84") -> LayPage:
    short = short_for(label, OPEN)
    return LayPage(plan, "Heron shorts", label, "high", haberdashery(short), thread(short.pieces), Buying())


def scale_of(sheet: Sheet) -> float:
    said = next(said.text for said in sheet.texts if "Scale" in said.text)
    return float(re.search(r"Scale 1 : (\d+)", said)[1])  # type: ignore[index]


@pytest.mark.parametrize("plan", SHEETS)
@pytest.mark.parametrize("paper", [A4, LETTER])
def test_no_words_overlap_or_leave_the_page(plan: object, paper: Paper) -> None:
    for sheet in lay_pages(page_of(plan()), paper):  # type: ignore[operator]
        boxes = [text_box(said) for said in sheet.texts]
        for number, box in enumerate(boxes):
            assert box[0] > 7
            assert box[1] > 7
            assert box[2] < sheet.width - 7
            assert box[3] < sheet.height - 7
            for other, said in zip(boxes[:number], sheet.texts, strict=False):
                assert not overlap(box, other), (said.text, sheet.texts[number].text)


@pytest.mark.parametrize("plan", SHEETS)
def test_a_plan_takes_one_page(plan: object) -> None:
    assert len(lay_pages(page_of(plan()), A4)) == 1  # type: ignore[operator]


@pytest.mark.parametrize("plan", SHEETS)
def test_a_drawing_is_true_to_its_stated_scale(plan: object) -> None:
    made: LayPlan = plan()  # type: ignore[operator]
    sheet = lay_drawing(made, width=180, height=150)
    scale = scale_of(sheet)
    assert scale in SCALES
    drawn = [stroke.path for stroke in sheet.strokes if stroke.role is Role.OUTLINE]
    for laid, path in zip(made.laid, drawn, strict=True):
        real = made.piece(laid.piece).cut_line
        assert path.length * scale == pytest.approx(real.length, rel=1e-6)
        left, low, right, high = path.bounds
        assert (right - left) * scale == pytest.approx(real.bounds[2] - real.bounds[0], abs=0.01)
        assert (high - low) * scale == pytest.approx(real.bounds[3] - real.bounds[1], abs=0.01)


@pytest.mark.parametrize("plan", SHEETS)
def test_every_piece_is_named_inside_itself_or_by_a_line_to_it(plan: object) -> None:
    made: LayPlan = plan()  # type: ignore[operator]
    sheet = lay_drawing(made, width=180, height=150)
    outlines = [
        shapely.Polygon(stroke.path.array(tolerance=0.02)) for stroke in sheet.strokes if stroke.role is Role.OUTLINE
    ]
    leaders = [stroke.path for stroke in sheet.strokes if stroke.role is Role.LEADER]
    for laid, outline in zip(made.laid, outlines, strict=True):
        piece = made.piece(laid.piece)
        first = piece.title.split(",")[0]
        inside = [
            text
            for said in sheet.texts
            if said.text.startswith(first) and outline.contains(shapely.box(*text_box(said)))
        ]
        led = [line for line in leaders if outline.contains(shapely.Point(line.start.x, line.start.y))]
        assert len(inside) + len(led) == 1, laid
        for line in led:
            near = min(sheet.texts, key=lambda said: abs(said.at.x - line.end.x) + abs(said.at.y - line.end.y))
            assert near.text.startswith(piece.title)
            assert (lay_text.MIRRORED in near.text) is laid.mirrored


def test_mirrored_pieces_are_tinted_and_arrows_point_up_the_piece() -> None:
    plan = found("H84", OPEN)
    sheet = lay_drawing(plan, width=180, height=150)
    fills = [stroke.role for stroke in sheet.strokes if stroke.role in (Role.FACE_DOWN, Role.FACE_UP)]
    assert fills == [Role.FACE_DOWN if laid.mirrored else Role.FACE_UP for laid in plan.laid]
    shafts = [stroke.path for stroke in sheet.strokes if stroke.role is Role.GRAIN and not stroke.filled]
    assert [shaft.end.y > shaft.start.y for shaft in shafts] == [not laid.turned for laid in plan.laid]


def test_folded_cloth_shows_its_fold_and_one_selvedge() -> None:
    sheet = lay_drawing(found("H96", FOLDED), width=180, height=150)
    words = [said.text for said in sheet.texts]
    assert words.count(lay_text.SELVEDGE) == 1
    assert words.count(lay_text.FOLD) == 1
    assert "folded to 75.0 cm (29.5 in)" in words
    folds = [stroke.path for stroke in sheet.strokes if stroke.role is Role.FOLD]
    assert len(folds) == 1
    scale = scale_of(sheet)
    assert folds[0].length * scale == pytest.approx(found("H96", FOLDED).length, abs=0.01)


def test_open_cloth_shows_both_selvedges_and_its_width() -> None:
    words = [said.text for said in lay_drawing(found("H84", OPEN), width=180, height=150).texts]
    assert words.count(lay_text.SELVEDGE) == 2
    assert "cloth width 140.0 cm (55.1 in)" in words


def test_a_drawing_fits_the_room_it_is_given_in_the_largest_scale() -> None:
    plan = found("H84", OPEN)
    scales = []
    for width, height in ((180, 200), (180, 100), (90, 100), (90, 60)):
        sheet = lay_drawing(plan, width=width, height=height)
        assert sheet.width <= width
        assert sheet.height <= height
        scales.append(scale_of(sheet))
    assert scales == sorted(scales)
    assert scales[0] == 10


def test_room_for_no_drawing_is_refused() -> None:
    with pytest.raises(OutputError, match=r"a lay of .* m does not fit 10 by 10 mm of paper"):
        lay_drawing(found("H84", OPEN), width=10, height=10)


def test_a_part_hangs_from_its_upper_left_corner() -> None:
    part = lay_part(found("H84", OPEN), width=180, height=120)
    drawn = part.drawn(0, 0)
    assert all(said.at.y < 0 for said in drawn.texts)
    assert min(stroke.path.bounds[1] for stroke in drawn.strokes) >= -part.height


def test_the_pdf_tells_cloth_notions_and_cautions() -> None:
    plans = [found("H84", OPEN), found("H96", FOLDED)]
    data = lay_plans_pdf([page_of(plan) for plan in plans], A4, author="Reedbank Workroom")
    reader = PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 2
    assert [one.title for one in reader.outline] == [page_of(plan).title for plan in plans]  # type: ignore[union-attr]
    assert reader.pages[0].mediabox.width == pytest.approx(A4.width / 25.4 * 72, abs=0.01)
    for page, plan in zip(reader.pages, plans, strict=True):
        words = page.extract_text()
        needs = required(plan.length, buying=Buying())
        assert bought_words(needs) in words
        assert "sewing thread, about" in words
        assert all(caution in words.replace("\n", " ") for caution in (text.CAUTIONS[0], text.CAUTIONS[-1]))
        assert "Waist facing" in words
    assert "Fold the cloth lengthwise" in reader.pages[1].extract_text()


def test_one_way_lays_say_so() -> None:
    page = page_of(found("H116", Cloth(1500), one_way=True))
    assert page.title.endswith("150 cm cloth, single layer, one-way")
    words = [said.text for sheet in lay_pages(page, A4) for said in sheet.texts]
    assert lay_text.ONE_WAY in words


def test_the_same_plan_gives_the_same_bytes() -> None:
    pages = [page_of(found("H84", OPEN))]
    assert lay_plans_pdf(pages, LETTER) == lay_plans_pdf(pages, LETTER)


def test_the_name_of_the_cloths_edge_keeps_off_the_lines_that_cross_it() -> None:
    low = strip(name="band", title="Band", length=500, height=10)
    bottom = Laid("band", False, False, 15 + 10, 10)
    rows = [replace(bottom, y=10.0 + 400 * i) for i in range(3)]
    plan = plan_of((replace(low, cut_count=3, mirrored=False),), Cloth(1500), rows)
    sheet = lay_drawing(plan, width=100, height=100)
    leaders = [stroke.path for stroke in sheet.strokes if stroke.role is Role.LEADER]
    assert len(leaders) == 3
    edges = [shapely.box(*text_box(said)) for said in sheet.texts if said.text == lay_text.SELVEDGE]
    lines = [shapely.LineString([(p.start.x, p.start.y), (p.end.x, p.end.y)]) for p in leaders]
    assert not any(edge.intersects(line) for edge in edges for line in lines)


@pytest.mark.parametrize("lay", list(Lay))
def test_how_to_lay_fits_the_lay(lay: Lay) -> None:
    steps = " ".join(lay_text.how_to_lay((), Cloth(1500, lay=lay), LayRules()))
    assert ("both layers" in steps) is (lay is Lay.FOLDED)
    assert ("single layer" in steps) is (lay is Lay.OPEN)


def test_what_is_left_over_of_a_piece_that_is_cut_once_from_folded_cloth_is_told() -> None:
    once = replace(strip(), cut_count=1, mirrored=False)
    for pieces, lay, told in (((once,), Lay.FOLDED, True), ((strip(),), Lay.FOLDED, False), ((once,), Lay.OPEN, False)):
        steps = lay_text.how_to_lay(pieces, Cloth(1500, lay=lay), LayRules())
        assert (lay_text.HOW_SINGLE in steps) is told
