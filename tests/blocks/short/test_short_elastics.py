from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from blocks.design import CasingDesign
from blocks.short import draft_short
from blocks.short.elastics import elastics_of, girth_at, warnings_of
from blocks.short.folding import tucks_of
from blocks.short.leg import Rise, draft_leg
from heron import BODY, DESIGN, a_body


def lengths(design=DESIGN, body=BODY, rise="high"):
    return {elastic.name: elastic for elastic in draft_short(design, body, rise=rise).elastics}


@given(st.floats(1, 400))
def test_girth_between_the_levels_is_pchip(height):
    # Reference: scipy's PCHIP through waist, high hip and hip; beyond them the end girths hold.
    waist = BODY.body_rise + DESIGN.leg.rise_ease
    levels = [waist - BODY.waist_to_hip, waist - BODY.waist_to_hip / 2, waist]
    curve = PchipInterpolator(levels, [BODY.hip_girth, BODY.high_hip_girth, BODY.waist_girth])
    expected = float(curve(min(max(height, levels[0]), levels[2])))
    assert girth_at(BODY, DESIGN, height) == pytest.approx(expected, abs=1e-9)


def test_below_the_crotch_it_is_one_thigh():
    assert girth_at(BODY, DESIGN, -1) == girth_at(BODY, DESIGN, -300) == BODY.thigh_girth


def test_cut_lengths_by_hand():
    # Worked by hand: ends caught in two seam allowances of 12 mm, ease 3 %; the waist laps 20 mm, 7 % shorter.
    elastics = lengths(body=a_body(thigh_girth=60))
    assert elastics["thigh"].cut_length == pytest.approx(600 * 1.03 + 24)
    assert elastics["thigh"].quantity == 2
    hip = DESIGN.casings[1].height
    assert elastics["lower"].cut_length == pytest.approx(girth_at(BODY, DESIGN, hip) * 1.03 / 2 + 24)
    assert elastics["waist"].cut_length == pytest.approx(760 * 0.93 + 20)
    assert elastics["waist"].quantity == 1


def test_a_lowered_waist_takes_the_girth_it_lies_on():
    high, mid = lengths()["waist"], lengths(rise="mid")["waist"]
    assert mid.girth > high.girth == BODY.waist_girth
    assert mid.girth == pytest.approx(girth_at(BODY, DESIGN, high.height - DESIGN.leg.mid_drop))


def test_flat_width_is_the_width_of_the_finished_leg():
    for name, elastic in lengths().items():
        if name != "waist":
            leg = draft_short(DESIGN, BODY).pieces[0]
            line = next(line for line in leg.stitch_lines if line.name == f"{name} lower stitch line")
            assert elastic.flat_width == pytest.approx(line.start.distance(line.end), abs=1e-6)


def test_squeezing_flat_and_low_casings_are_warned_of():
    casings = (CasingDesign("tight", height=120, ease=-0.2), CasingDesign("low", height=-150))
    leg = replace(DESIGN.leg, fullness=1.0, inseam_length=200, hip_ease=0)
    design = replace(DESIGN, casings=casings, leg=leg)
    block = draft_leg(BODY, design, Rise.HIGH)
    tucks, _ = tucks_of(block, design)
    warnings = warnings_of(elastics_of(BODY, block, design, tucks), design)
    assert any("tight elastic: 20 % shorter than the body" in warning for warning in warnings)
    assert any("low elastic: 150 mm below the crotch" in warning for warning in warnings)
    assert any("hardly gathers" in warning for warning in warnings)
    full = replace(design, leg=replace(leg, fullness=2.2))
    block = draft_leg(BODY, full, Rise.HIGH)
    warnings = warnings_of(elastics_of(BODY, block, full, tucks_of(block, full)[0]), full)
    assert any("hard to gather" in warning for warning in warnings)
    assert warnings_of(draft_short(DESIGN, BODY).elastics, DESIGN) == ()


def test_what_squeezes_is_said_in_per_cent_of_the_body():
    # Worked by hand: a fifth shorter than the body is 20 %, whether one leg's elastic goes half round it or all round.
    for height in (120, -100):
        design = replace(DESIGN, casings=(CasingDesign("tight", height=height, ease=-0.2),))
        (warning,) = (said for said in draft_short(design, BODY).warnings if "circulation" in said)
        assert warning == (
            "tight elastic: 20 % shorter than the body; "
            f"more than {100 * DESIGN.limits.squeeze:g} % can hinder circulation"
        )


@pytest.mark.parametrize("more", [-1e-6, 1e-6])
def test_an_elastic_that_squeezes_as_much_as_it_may_is_not_warned_of(more):
    waist = replace(DESIGN.waist, reduction=DESIGN.limits.squeeze + more)
    said = [warning for warning in draft_short(replace(DESIGN, waist=waist), BODY).warnings if "circulation" in warning]
    assert len(said) == (more > 0)


@pytest.mark.parametrize(("below", "told"), [(0, False), (1, True)])
def test_an_elastic_as_far_below_the_crotch_as_the_thigh_reaches_is_not_warned_of(below, told):
    casing = CasingDesign("low", height=-DESIGN.limits.thigh_reach - below)
    design = replace(DESIGN, casings=(casing,), leg=replace(DESIGN.leg, inseam_length=200))
    assert any("below the crotch" in said for said in draft_short(design, BODY).warnings) is told
