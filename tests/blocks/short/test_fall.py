"""The leg below the crotch follows the girths of the leg, and its zones are as full as the design says."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.measurements import Body
from blocks.short.design import LegDesign, ShortCasing, ShortDesign
from blocks.short.leg import LegBlock, Rise, draft_leg
from drafting.errors import DesignError
from heron import BODY, a_body, bodies


def drafted(*casings: ShortCasing, body: Body = BODY, **leg: float) -> LegBlock:
    return draft_leg(body, ShortDesign("Long", leg=LegDesign(**leg), casings=casings), Rise.HIGH)


def level(body: Body, name: str) -> float:
    return body.known(f"{name}_height") - body.known("inside_leg_height")


@given(bodies(), st.floats(0, 1), st.floats(1, 1.6))
def test_a_tapered_leg_is_as_full_at_the_knee_and_the_ankle_as_at_the_thigh(
    body: Body, taper: float, fullness: float
) -> None:
    block = drafted(body=body, inseam_length=700, taper=taper, fullness=fullness)
    top = block.width_at(block.trued_level)
    for part in ("knee", "ankle"):
        widest = max(body.known(f"{lower}_girth") for lower in ("knee", "calf", "ankle")[0 if part == "knee" else 2 :])
        expected = top * (1 - taper * (1 - min(1.0, widest / body.thigh_girth)))
        assert block.width_at(level(body, part)) == pytest.approx(expected, rel=0.03)


def test_a_leg_that_falls_straight_is_as_wide_at_its_hem_as_below_the_crotch() -> None:
    block = drafted(inseam_length=600)
    assert block.width_at(-599) == pytest.approx(block.width_at(block.trued_level))
    assert block.notes == ()


@given(bodies(), st.floats(30, 700), st.floats(0, 1))
def test_inseams_of_every_length_are_trued_and_the_hem_runs_smooth(body: Body, inseam: float, taper: float) -> None:
    # Common practice, no source: equal lengths, and hem angles that add up to 180 degrees.
    block = drafted(body=body, inseam_length=inseam, taper=taper)
    assert block.front_inseam.length == pytest.approx(block.back_inseam.length, abs=1e-6)
    for edge in (block.front_inseam.start_direction, block.back_inseam.end_direction):
        assert edge.x == pytest.approx(0, abs=1e-9)
    for height in (block.trued_level - 1, (block.trued_level + block.hem_level) / 2):
        if height > block.hem_level:
            back, front = block.across(height)
            assert front.y == pytest.approx(back.y)


def test_an_inseam_that_slants_far_is_told() -> None:
    (note,) = drafted(inseam_length=600, taper=1.0, fullness=1.5).notes
    assert "longer than the leg is" in note


def test_a_leg_longer_than_the_body_s_is_refused_with_what_it_may_be() -> None:
    body = a_body(inside_leg_height=70, knee_height=40)
    with pytest.raises(DesignError, match=r"leg\.inseam_length: 740 mm is longer .* 700 mm") as refused:
        drafted(body=body, inseam_length=740)
    most = float(str(refused.value).split("set it to ")[1].split(" mm")[0])
    assert drafted(body=body, inseam_length=most).hem_level == -most


@pytest.mark.parametrize("taper", [0.0, 0.7])
def test_each_zone_comes_to_its_fullness_at_its_middle(taper: float) -> None:
    casings = (
        ShortCasing("up", height=120, fullness=1.6),
        ShortCasing("low", height=-200, fullness=1.3),
    )
    block, plain = (drafted(*(some), inseam_length=400, fullness=1.4, taper=taper) for some in (casings, ()))
    middle = -300
    assert block.width_at(middle) / plain.width_at(middle) == pytest.approx(1.3 / 1.4, rel=0.03)
    above = (120 + block.waist_level) / 2
    more = block.width_at(above) - plain.width_at(above)
    assert more == pytest.approx((block.front_width + block.back_width) * (1.6 / 1.4 - 1), abs=6)
    assert block.crotch_seam == pytest.approx(plain.crotch_seam, abs=0.01)


@pytest.mark.parametrize(("height", "fullness"), [(160, 2.4), (200, 1.0), (-60, 2.2), (-120, 1.0)])
def test_a_fullness_too_far_from_its_neighbour_is_refused_and_its_remedy_drafts(height: float, fullness: float) -> None:
    with pytest.raises(DesignError, match="casing 'zone': its fullness") as refused:
        drafted(ShortCasing("zone", height=height, fullness=fullness), inseam_length=140)
    allowed = float(re.findall(r"set it to ([\d.]+) at (?:most|least)", str(refused.value))[0])
    drafted(ShortCasing("zone", height=height, fullness=allowed), inseam_length=140)
