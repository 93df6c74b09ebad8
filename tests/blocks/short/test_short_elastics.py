from dataclasses import replace

import pytest

from blocks.known import used_of
from blocks.short import draft_short
from blocks.short.design import ShortCasing
from blocks.short.elastics import elastics_of, figure_of, hem_warnings, warnings_of
from blocks.short.folding import tucks_of
from blocks.short.leg import Rise, draft_leg
from heron import BODY, DESIGN, a_body


def lengths(design=DESIGN, body=BODY, rise="high"):
    return {elastic.name: elastic for elastic in draft_short(design, body, rise=rise).elastics}


def figure(body=BODY):
    return figure_of(body, draft_leg(body, DESIGN, Rise.HIGH), DESIGN)


def test_cut_lengths_by_hand():
    # Worked by hand: ends caught in two seam allowances of 12 mm, ease 3 %; the waist laps 20 mm, 7 % shorter.
    # The thigh girth is taken 30 mm below the crotch line; so that it lies at the casing, it is taken at 80 mm.
    at_casing = replace(DESIGN, leg=replace(DESIGN.leg, thigh_drop=80))
    elastics = lengths(at_casing, body=a_body(thigh_girth=60))
    assert elastics["thigh"].cut_length == pytest.approx(600 * 1.03 + 24)
    assert elastics["thigh"].quantity == 2
    hip = DESIGN.casings[1].height
    made = figure()
    assert elastics["lower"].cut_length == pytest.approx(made.girth_at(hip) * 1.03 / 2 + 24)
    assert lengths()["frill"].cut_length == pytest.approx(made.girth_at(DESIGN.casings[3].height) * 1.03 + 24)
    assert elastics["waist"].cut_length == pytest.approx(760 * 0.93 + 20)
    assert elastics["waist"].quantity == 1


def test_a_lowered_waist_takes_the_girth_it_lies_on():
    high, mid = lengths()["waist"], lengths(rise="mid")["waist"]
    assert mid.girth > high.girth == BODY.waist_girth
    assert mid.girth == pytest.approx(figure().girth_at(high.height - DESIGN.leg.mid_drop))


def test_flat_width_is_the_width_of_the_finished_leg():
    for name, elastic in lengths().items():
        if name != "waist":
            leg = draft_short(DESIGN, BODY).pieces[0]
            line = next(line for line in leg.stitch_lines if line.name == f"{name} lower stitch line")
            assert elastic.flat_width == pytest.approx(line.start.distance(line.end), abs=1e-6)


def test_squeezing_and_flat_casings_are_warned_of():
    casings = (ShortCasing("tight", height=120, ease=-0.2), ShortCasing("flat", height=180, ease=0.2))
    leg = replace(DESIGN.leg, fullness=1.0, inseam_length=200, hip_ease=0)
    design = replace(DESIGN, casings=casings, leg=leg)
    block = draft_leg(BODY, design, Rise.HIGH)
    tucks, _ = tucks_of(block, design)
    warnings = warnings_of(elastics_of(BODY, block, design, tucks), design)
    assert any("tight elastic: 20 % shorter than the body" in warning for warning in warnings)
    assert any("hardly gathers" in warning for warning in warnings)
    full = replace(design, leg=replace(leg, fullness=2.2))
    block = draft_leg(BODY, full, Rise.HIGH)
    warnings = warnings_of(elastics_of(BODY, block, full, tucks_of(block, full)[0]), full)
    assert any("hard to gather" in warning for warning in warnings)
    assert warnings_of(draft_short(DESIGN, BODY).elastics, DESIGN) == ()


def test_what_squeezes_is_said_in_per_cent_of_the_body():
    # Worked by hand: a fifth shorter than the body is 20 %, whether one leg's elastic goes half round it or all round.
    for height in (120, -100):
        design = replace(DESIGN, casings=(ShortCasing("tight", height=height, ease=-0.2),))
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


@pytest.mark.parametrize("more", [-1e-6, 1e-6])
@pytest.mark.parametrize(("height", "round_leg"), [(120, False), (-100, True)])
def test_a_leg_elastic_longer_than_the_leg_does_not_hold(height, round_leg, more):
    casing = ShortCasing("loose", height=height, ease=DESIGN.limits.grip + more)
    said = [told for told in draft_short(replace(DESIGN, casings=(casing,)), BODY).warnings if "hold" in told]
    assert len(said) == (round_leg and more > 0)
    if said:
        assert said[0].startswith("loose elastic: 5.00")
        assert said[0].endswith("more than 5 % does not hold it up: make its ease 0.05 at most")


def test_the_elastic_of_a_longer_leg_is_cut_to_the_leg_there():
    # By hand: the knee lies where both heights differ, and a girth was measured there.
    body = a_body(height=168, knee_girth=38, inside_leg_height=76, knee_height=45)
    knee = ShortCasing("knee", height=-310)
    leg = replace(DESIGN.leg, inseam_length=400)
    made = lengths(replace(DESIGN, leg=leg, casings=(knee,)), body)["knee"]
    assert made.cut_length == pytest.approx(380 * 1.03 + 24)
    assert not [
        told for told in draft_short(replace(DESIGN, leg=leg, casings=(knee,)), body).warnings if "thigh" in told
    ]


def test_a_waist_elastic_that_ordinary_elastic_does_not_reach_is_warned_of_and_the_remedy_helps():
    # By hand: 1020 of hips over 620 x 0.9 are 1.828; 1020 / 1.8 are 566.7, less 558 are 8.7 mm longer.
    body, waist = a_body(waist_girth=62), replace(DESIGN.waist, reduction=0.1)
    told = [said for said in draft_short(replace(DESIGN, waist=waist), body).warnings if "stretch" in said]
    assert told == [
        "waist elastic: to pass over the 1020 mm of the hips it must stretch to 1.83 times its length, and ordinary "
        "elastic gives 1.8; make it 9 mm longer (a smaller reduction or a greater ease), or take one that stretches "
        "further"
    ]
    longer = replace(waist, reduction=1 - (558 + 9) / 620)
    assert not [said for said in draft_short(replace(DESIGN, waist=longer), body).warnings if "stretch" in said]


def test_an_elastic_below_the_knee_passes_over_calf_and_heel():
    # By hand: 1.45 x 22 cm of ankle are 31.9 cm of heel, wider than a calf of 30 and narrower than one of 36.
    made = figure(a_body(ankle_girth=22, calf_girth=36, knee_girth=34))
    ankle, calf, knee, _ = made.leg
    assert made.widest_below(ankle.height).name == "heel"
    assert made.widest_below(ankle.height).girth == pytest.approx(319)
    assert (made.widest_below(calf.height + 1).name, made.widest_below(knee.height - 40).name) == ("calf", "calf")
    thin = figure(a_body(ankle_girth=22, calf_girth=30, knee_girth=31))
    assert thin.widest_below(thin.leg[2].height - 40).name == "heel"
    assert made.widest_below(-50).name == ""


def test_cloth_too_narrow_for_the_hips_is_warned_of():
    leg = replace(DESIGN.leg, fullness=1.0, hip_ease=0)
    warnings = draft_short(replace(DESIGN, leg=leg, casings=()), BODY).warnings
    (told,) = (said for said in warnings if "pass over" in said and "cloth" in said)
    assert told.startswith("waist elastic: the cloth that it gathers is 9")
    assert told.endswith(
        "round and does not pass over the 1020 mm of the hips; make leg.fullness or leg.hip_ease greater"
    )


def test_a_hem_too_narrow_for_the_foot_is_warned_of():
    block = draft_leg(BODY, DESIGN, Rise.HIGH)
    assert hem_warnings(BODY, block, DESIGN) == ()
    swollen = replace(BODY, thigh_girth=block.hem.length + 30)
    low = replace(DESIGN, leg=replace(DESIGN.leg, thigh_drop=80))
    (told,) = hem_warnings(swollen, replace(block, frame=replace(block.frame, hem_level=-80)), low)
    assert told.startswith("hem: ")
    assert f"{block.hem.length + 30:.0f}"[:3] in told


@pytest.mark.parametrize(
    ("height", "told"),
    [
        (-110, set()),
        (-200, {"knee_girth", "knee_height", "inside_leg_height"}),
        (-400, {"knee_girth", "knee_height", "inside_leg_height", "calf_girth", "calf_height"}),
    ],
)
def test_estimates_of_the_leg_are_told_of_where_an_elastic_goes_by_them(height, told):
    leg = {name for name in BODY.names if name.split("_")[0] in ("knee", "calf", "ankle", "inside")}
    design = replace(DESIGN, casings=(ShortCasing("low", height=height),), leg=replace(DESIGN.leg, inseam_length=600))
    assert leg & set(used_of(design, BODY)) == told
    assert leg & set(used_of(replace(design, leg=replace(design.leg, taper=1.0, inseam_length=700)), BODY)) == leg
