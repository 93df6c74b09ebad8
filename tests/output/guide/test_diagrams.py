from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
import shapely

from blocks.short.design import TrimKind
from drafting.picture import Caption, Picture, line
from drafting.point import Point
from drafting.role import Role
from guides import designs, made
from output.drawing.lettering import overlap, text_box
from output.drawing.picture import captioned, stacked
from output.guide.diagrams import OVERVIEW, STEPS, WIDTH, Model, from_fold, piece_picture, step_diagram
from output.guide.figure import ORDER, measuring_picture
from output.guide.garment_drawing import Drape, garment_picture, inseam_line, outer_width
from output.guide.steps import PLAN
from output.words.text import LANGUAGE
from sampled import heron, heron_body


@cache
def model(kind: str = "plain", fit: str = "auto") -> Model:
    return Model(made(kind, fit).garments[0])


def drawn() -> list[tuple[str, str, str]]:
    """Every step of every design that has it, from a whole and from a split leg."""
    cases = []
    for kind, design in designs().items():
        for name in STEPS:
            needs_band = name == "band" and design.trim.kind is not TrimKind.BAND
            needs_trim = name == "trim" and design.trim.kind is not TrimKind.BOUGHT
            needs_casings = name in ("crease", "casings", "press", "elastic", "down") and not design.casings
            if not (needs_band or needs_trim or needs_casings):
                cases += [(kind, fit, name) for fit in ("whole", "split")]
    return cases


@pytest.mark.parametrize(("kind", "fit", "name"), drawn())
def test_words_and_lines_of_a_diagram_stay_on_it_and_apart(kind, fit, name):
    sheet = step_diagram(name, model(kind, fit))
    assert sheet.width == WIDTH
    boxes = [text_box(text) for text in sheet.texts]
    for box in boxes:
        assert box[0] >= 0
        assert box[1] >= 0
        assert box[2] <= sheet.width + 1e-6
        assert box[3] <= sheet.height + 0.3
    for i, one in enumerate(boxes):
        assert not any(overlap(one, other, apart=-0.25) for other in boxes[i + 1 :])
    for stroke in sheet.strokes:
        left, bottom, right, top = stroke.path.bounds
        assert -0.5 <= left <= right <= sheet.width + 0.5
        assert -0.5 <= bottom <= top <= sheet.height + 0.5


@pytest.mark.parametrize(("kind", "fit", "name"), drawn())
def test_no_line_but_a_leader_runs_through_words(kind, fit, name):
    sheet = step_diagram(name, model(kind, fit))
    for text in sheet.texts:
        room = shapely.box(*text_box(text)).buffer(-0.3)
        for stroke in sheet.strokes:
            assert not shapely.LineString(stroke.path.array(tolerance=0.05)).intersects(room), text.text


def test_the_plan_has_a_diagram_for_every_step():
    assert [name for name, _, _ in PLAN] == list(STEPS)


@pytest.mark.parametrize("fit", ["whole", "split"])
def test_diagrams_of_a_leg_are_the_same_whole_or_split(fit):
    other = "split" if fit == "whole" else "whole"
    for name in ("crease", "casings", "press", "crotch"):
        assert step_diagram(name, model(fit=fit)) == step_diagram(name, model(fit=other))


def test_a_diagram_changes_with_the_pieces():
    assert step_diagram("crease", model()) != step_diagram("crease", Model(made().garments[1]))


def test_the_finished_leg_is_the_flat_one_folded():
    """Height lost is twice the depth of every casing; from the pieces alone, no source needed."""
    one = model()
    flat, done = one.leg.cut_line.bounds, one.hemmed.bounds
    hem = one.short.design.allowances.hem
    assert flat[3] - flat[1] - hem - (done[3] - done[1]) == pytest.approx(2 * sum(c.depth for c in one.casings))
    assert (done[0], done[2]) == pytest.approx((flat[0], flat[2]), abs=0.7)


def test_overviews_keep_the_proportions_of_the_piece():
    one = model()
    sheet = step_diagram("crease", one)
    outline = next(stroke for stroke in sheet.strokes if stroke.role is Role.OUTLINE and stroke.path.closed)
    left, bottom, right, top = outline.path.bounds
    wide, tall = one.leg.cut_line.bounds[2] - one.leg.cut_line.bounds[0], 0.0
    tall = one.leg.cut_line.bounds[3] - one.leg.cut_line.bounds[1]
    assert right - left == pytest.approx(OVERVIEW)
    assert (top - bottom) / (right - left) == pytest.approx(tall / wide)


def test_the_stitching_of_a_fold_leaves_the_elastic_free():
    for kind in ("plain", "uneven"):
        for casing in model(kind).casings:
            assert 0 < from_fold(casing) < casing.depth - casing.elastic_width


def test_a_piece_in_miniature_keeps_its_outline():
    leg = model().leg
    picture = piece_picture(leg, 0.1)
    assert picture.bounds == pytest.approx([0.1 * side for side in leg.cut_line.bounds])


# The garment ------------------------------------------------------------------------------------------------------


def widths(picture: Picture, y: float) -> float:
    """How wide the drawing is at a height."""
    reach = [point.x for stroke in picture.traces if not stroke.filled for point in stroke.path.heights(y)]
    return max(reach) - min(reach)


@pytest.mark.parametrize("rise", ["high", "mid"])
@pytest.mark.parametrize("back", [False, True])
def test_the_garment_is_as_wide_as_its_elastics_laid_flat(rise, back):
    """An elastic of length L laid flat is L / 2 wide: geometry, no source needed."""
    short = heron(rise)
    picture = garment_picture(short, scale=1.0, back=back)
    waist, *casings = short.elastics
    middle = short.leg.waist_level - short.design.waist.channel / 2
    assert widths(picture, middle) == pytest.approx(waist.finished / 2, abs=0.5)
    for casing in casings:
        if casing.height > 0:
            assert widths(picture, casing.height - 3) == pytest.approx(casing.finished, abs=0.5)


def test_the_garment_is_as_tall_as_its_draft():
    short = heron()
    for back, top in ((False, short.leg.back_crotch.start.y), (True, short.leg.back_crotch.start.y)):
        _, bottom, _, high = garment_picture(short, scale=1.0, back=back).bounds
        assert bottom == pytest.approx(short.leg.hem_level)
        assert high == pytest.approx(top, abs=0.5)


def test_the_garment_is_symmetric():
    left, _, right, _ = garment_picture(heron(), scale=0.2).bounds
    assert left == pytest.approx(-right)
    assert outer_width(heron()) * 0.2 == pytest.approx(right - left)


def test_a_fuller_design_has_more_gathers_and_a_drape_only_draws():
    few_folds = garment_picture(heron(), scale=1.0, drape=Drape(pleat=60))
    assert len(few_folds.traces) < len(garment_picture(heron(), scale=1.0).traces)


def test_a_trim_shows_below_the_hem():
    with_band = made("band").garments[0]
    _, bottom, _, _ = garment_picture(with_band, scale=1.0).bounds
    assert bottom == pytest.approx(with_band.leg.hem_level - with_band.design.trim.shows)


def test_before_the_waist_elastic_the_waist_hangs_free_under_its_facing():
    free, drawn_in = (garment_picture(heron(), scale=1.0, waisted=waisted).bounds for waisted in (False, True))
    assert free[3] > drawn_in[3]
    assert (
        widths(garment_picture(heron(), scale=1.0, waisted=False), heron().leg.waist_level)
        > heron().elastics.waist.finished / 2
    )


@pytest.mark.parametrize("kind", ["bare", "leg only"])
def test_garments_with_few_casings_can_be_drawn(kind):
    short = made(kind).garments[0]
    for back in (False, True):
        left, bottom, right, _ = garment_picture(short, scale=1.0, back=back).bounds
        assert right - left < 2 * short.leg.hem.length
        assert bottom == pytest.approx(short.leg.hem_level)


def test_the_inseam_runs_from_hem_to_hem_through_the_crotch():
    seam = inseam_line(heron(), scale=1.0)
    assert seam.start.y == seam.end.y == heron().leg.hem_level
    assert seam.distance_of(Point(0, 0)) == pytest.approx(seam.length / 2)


# The body ---------------------------------------------------------------------------------------------------------


def test_every_measurement_has_its_number_once():
    picture = measuring_picture(heron_body(), tall=90)
    texts = captioned(picture, 200).texts
    assert sorted(text.text for text in texts) == [str(number) for number in range(1, len(ORDER) + 1)]
    boxes = [text_box(text) for text in texts]
    for i, one in enumerate(boxes):
        assert not any(overlap(one, other, apart=1.0) for other in boxes[i + 1 :])


@pytest.mark.parametrize("hip", [84, 102, 128, 152])
def test_bodies_of_every_size_can_be_drawn(hip):
    body = replace(heron_body(), hip_girth=10.0 * hip, waist_girth=7.5 * hip, high_hip_girth=8.8 * hip)
    left, bottom, right, top = measuring_picture(body, tall=90).bounds
    assert right - left < 170
    assert 89 < top - bottom < 95


# The parts --------------------------------------------------------------------------------------------------------


def test_captions_are_pushed_apart_and_held_on_the_sheet():
    square = (line(Role.OUTLINE, Point(0, 0), Point(40, 0), Point(40, 10)),)
    crowd = tuple(Caption(Point(20, 5), f"the same place, told {word}") for word in ("once", "twice", "thrice", "more"))
    sheet = captioned(Picture(square, crowd), WIDTH)
    boxes = [text_box(text) for text in sheet.texts]
    assert all(box[1] >= 0 and box[3] <= sheet.height + 0.3 for box in boxes)
    assert not any(overlap(a, b, apart=-0.25) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_sheets_in_a_stack_keep_apart():
    square = Picture((line(Role.NOW, Point(0, 0), Point(10, 10)),))
    whole = stacked([captioned(square, 50), captioned(square, 60)], gap=3)
    assert (whole.width, whole.height) == (60, 27)


def test_the_words_are_in_the_language_of_the_file():
    assert LANGUAGE == "en-GB"
