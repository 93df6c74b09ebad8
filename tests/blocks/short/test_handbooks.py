"""The short beside drafts worked by hand as handbooks of pattern cutting teach them, one size each.

Source of every draft here: from memory. Handbooks differ, so each number is held to the band of those recalled, and the
draft by hand is written out, so that it can be done again with a pencil. Lengths in mm.
"""

from __future__ import annotations

import pytest

from blocks.measurements import body_from
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.frame import neutral
from blocks.short.leg import LegBlock, Rise, draft_leg

SMALL = {"waist_girth": 660.0, "hip_girth": 900.0, "body_rise": 260.0, "waist_to_hip": 200.0}
MIDDLE = {"waist_girth": 760.0, "hip_girth": 1020.0, "body_rise": 270.0, "waist_to_hip": 205.0}
LARGE = {"waist_girth": 960.0, "hip_girth": 1220.0, "body_rise": 300.0, "waist_to_hip": 220.0}
SIZES = [SMALL, MIDDLE, LARGE]

plain = ShortDesign("Plain", leg=LegDesign(fullness=1.0))


def drafted(taken: dict[str, float]) -> LegBlock:
    return draft_leg(body_from(taken, unit="mm"), plain, Rise.HIGH)


@pytest.mark.parametrize("taken", SIZES)
def test_a_trouser_block_by_quarters_of_the_hip(taken: dict[str, float]) -> None:
    """By hand, for trousers with an easy fit: front a quarter of the hip less 0.5 to 1 cm, back a quarter and as much
    more, each with a quarter of 4 to 8 cm of ease. For hips of 102: front 25.5 + 1.5 - 0.75 = 26.25, back 27.75.
    """
    leg, quarter = drafted(taken), taken["hip_girth"] / 4
    assert quarter + 10 - 10 <= leg.front_width <= quarter + 20 - 5
    assert quarter + 10 + 5 <= leg.back_width <= quarter + 20 + 10
    assert 40 <= 2 * (leg.front_width + leg.back_width) - taken["hip_girth"] <= 80
    if taken is MIDDLE:
        assert (leg.front_width, leg.back_width) == pytest.approx((262.5, 277.5))


@pytest.mark.parametrize("taken", SIZES)
def test_crotch_extensions_by_sixteenths(taken: dict[str, float]) -> None:
    """By hand: the front fork a sixteenth of the hip, some take less 0.5 to 1 cm, others a twentieth and 1 cm; the back
    fork twice that, an eighth, or a tenth and 2 cm. For hips of 102: 6.4 in front and 12.75 behind, together 3/16.
    """
    hip = taken["hip_girth"]
    frame = neutral(body_from(taken, unit="mm"), plain.leg, swing=12, crotch_drop=5, trued_level=-60)
    ways = (hip / 16, hip / 16 - 10, hip / 20 + 10)
    assert min(ways) - 1 <= frame.front.extension <= max(ways) + 1
    ways = (hip / 8, hip / 8 - 10, hip / 10 + 20)
    assert min(ways) - 1 <= frame.back.extension <= max(ways) + 1
    if taken is MIDDLE:
        assert (frame.front.extension, frame.back.extension) == pytest.approx((63.75, 127.5))
    # what the body's own crotch length asks for beside that: handbooks lengthen a fork by up to 3 cm for a full body
    leg = drafted(taken)
    assert abs(leg.frame.front.extension - frame.front.extension) <= 30
    assert abs(leg.frame.back.extension - frame.back.extension) <= 30


@pytest.mark.parametrize("taken", SIZES)
def test_the_centre_back_rises_above_the_centre_front(taken: dict[str, float]) -> None:
    """By hand: the waist dropped 0.5 to 1 cm at the centre front, raised 2 to 4 cm at the centre back, so that the back
    is 2.5 to 5 cm higher; for full hips up to 6, the front then raised, too. What is sat in is not cut level.
    """
    leg = drafted(taken)
    side = leg.waist_level
    assert 20 <= leg.waist.end.y - leg.waist.start.y <= 70
    assert leg.waist.start.y <= side + 20
    assert leg.waist.end.y >= side + 20


@pytest.mark.parametrize("taken", SIZES)
def test_crotch_depth_is_the_body_rise_and_a_little(taken: dict[str, float]) -> None:
    """By hand: body rise and 0.5 to 2 cm for a pull-on; for hips of 102 and a rise of 27, 27.5 to 29 cm."""
    assert 5 <= drafted(taken).waist_level - taken["body_rise"] <= 20


@pytest.mark.parametrize("taken", SIZES)
def test_the_back_seam_is_longer_than_the_front_one(taken: dict[str, float]) -> None:
    """By hand, walking a tape along the curves of a size with hips of 102 and a rise of 27: front 30 to 33 cm, back 37
    to 42, together 68 to 74; the back 5 to 10 cm longer. Other sizes in proportion to hips and rise.
    """
    leg = drafted(taken)
    front, back = leg.front_crotch.length, leg.back_crotch.length
    assert 50 <= back - front <= 110
    if taken is MIDDLE:
        assert 295 <= front <= 335
        assert 370 <= back <= 425
        assert 680 <= front + back <= 745


def test_the_leg_of_shorts_at_the_crotch() -> None:
    """By hand, hips of 102: panels 26.25 and 27.75, forks 6.4 and 12.75: 73.1 cm round the top of the leg, over a thigh
    of 61: 12 cm of room, where handbooks give shorts 8 to 15.
    """
    leg = drafted(MIDDLE)
    across = leg.frame.front.reach + leg.frame.back.reach
    assert across == pytest.approx(731, abs=20)
    assert 80 <= across - body_from(MIDDLE, unit="mm").thigh_girth <= 150
