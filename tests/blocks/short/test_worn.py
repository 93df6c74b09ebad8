from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from blocks.short import draft_short
from blocks.short.design import PocketDesign, ShortCasing
from blocks.short.worn import LegDrape, garment_picture, inseam_line, outer_width
from drafting.picture import Picture, Trace
from drafting.point import Point
from drafting.role import Role
from guides import designs, made
from sampled import heron, heron_body, heron_design


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


def test_every_casing_is_drawn_as_a_tuck_as_deep_as_it_is_and_nothing_else_is():
    """The Heron's two casings below the crotch have one gather; the cloth between them hangs free."""
    short = heron()
    right = [
        trace.path.bounds
        for trace in garment_picture(short, scale=1.0, back=True).traces
        if trace.role is Role.SHADE and trace.path.bounds[0] >= 0
    ]
    depths = {casing.name: casing.depth for casing in short.design.casings}
    drawn = sorted((bottom, top) for _, bottom, _, top in right)
    tucks = sorted((elastic.height - depths[elastic.name], elastic.height) for elastic in short.elastics.casings)
    assert [*map(pytest.approx, tucks)] == drawn


@pytest.mark.parametrize("inseam", [30, 330, 700])
def test_no_gather_leaves_the_cloth_however_long_the_leg(inseam):
    """Between the legs there is no cloth."""
    heron = designs()["above"]
    low = ShortCasing("low", 40 - inseam) if inseam > 200 else None
    casings = (*heron.casings, *([low] if low else []))
    leg = replace(heron.leg, inseam_length=inseam, taper=0.5 if inseam > 200 else 0)
    picture = garment_picture(draft_short(replace(heron, leg=leg, casings=casings), heron_body()), scale=1.0)
    cloth = shapely.union_all([shapely.Polygon(t.path.array()) for t in picture.traces if t.role is Role.OUTSIDE])
    for trace in picture.traces:
        if trace.role is Role.GATHER and trace.path.bounds[1] < 0:
            assert cloth.buffer(2.5).covers(shapely.LineString(trace.path.array())), trace.path.bounds
    gap = shapely.box(-5, -inseam, 5, -inseam + 4)
    assert not cloth.intersects(gap)


def test_the_garment_is_symmetric():
    left, _, right, _ = garment_picture(heron(), scale=0.2).bounds
    assert left == pytest.approx(-right)
    assert outer_width(heron()) * 0.2 == pytest.approx(right - left)


def test_a_fuller_design_has_more_gathers_and_a_drape_only_draws():
    few_folds = garment_picture(heron(), scale=1.0, drape=LegDrape(pleat=60))
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


@pytest.mark.parametrize(("place", "back"), [("front", False), ("back", True)])
@pytest.mark.parametrize("legs", ["both", "left", "right"])
def test_a_patch_is_drawn_on_its_legs_and_on_its_side_alone(place, back, legs):
    """Seen from the front the wearer's left is on the right, from the back on the left."""
    plain, pocket = heron_design(), PocketDesign(kind="patch", place=place, legs=legs)
    short = draft_short(replace(plain, pocket=pocket), heron_body())

    def added(seen_from_the_back: bool) -> list[Trace]:
        bare = garment_picture(heron(), scale=1.0, back=seen_from_the_back).traces
        return [one for one in garment_picture(short, scale=1.0, back=seen_from_the_back).traces if one not in bare]

    assert not added(not back)
    drawn = [trace for trace in added(back) if trace.role is Role.FINE]
    on_the_right = {trace.path.bounds[0] > 0 for trace in drawn}
    assert len(drawn) == (2 if legs == "both" else 1)
    assert on_the_right == ({True, False} if legs == "both" else {(legs == "left") is not back})
    for trace in drawn:
        _, low, _, top = trace.path.bounds
        assert top - low == pytest.approx(pocket.height)
