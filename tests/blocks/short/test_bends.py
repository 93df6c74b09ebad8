"""Edges that have no room for their allowance: drafted true where they can be, else refused by number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blocks.design import Allowances, FacingDesign, WaistDesign
from blocks.measurements import body_from
from blocks.short import draft_short
from blocks.short.design import LegDesign, ShortDesign
from campaigns.test_drafts import bodies, check, remedies, told
from drafting.errors import DesignError

BODY = body_from({"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}, unit="cm")


@pytest.mark.parametrize("inseam", [40, 45, 50, 55, 58, 59, 60])
def test_the_shortest_inseams_are_drafted_true(inseam: float) -> None:
    for body in bodies():
        for rise in ("high", "mid"):
            short = draft_short(ShortDesign("Brief", leg=LegDesign(inseam_length=inseam)), body, rise=rise)
            block = short.leg
            assert block.back_inseam.length == pytest.approx(block.front_inseam.length, abs=0.01)
            assert block.back_inseam.end_direction.x == pytest.approx(0, abs=1e-9)  # square to the hem
            assert short.proofs


def test_a_longer_truing_is_told_and_an_ample_one_is_left_alone() -> None:
    short = draft_short(ShortDesign("Brief", leg=LegDesign(inseam_length=45)), BODY)
    (note,) = short.notes
    assert "inseams are trued over 3" in note
    assert "not 27 mm" in note
    assert -short.leg.trued_level <= 45
    usual = draft_short(ShortDesign("Usual"), BODY)
    assert usual.notes == ()
    assert usual.leg.trued_level == -0.6 * 110


@pytest.mark.parametrize(
    ("design", "starts"),
    [
        (
            ShortDesign("Wide", leg=LegDesign(inseam_length=40), allowances=Allowances(seam=25)),
            "leg.inseam_length: with 40 mm the back inseam bends tighter than its allowance of 25 mm on this body",
        ),
        (
            ShortDesign("Sharp", leg=LegDesign(front_scoop=0.95), allowances=Allowances(seam=25)),
            "leg.front_scoop: with 0.95 the front crotch bends tighter than its allowance of 25 mm on this body",
        ),
        (
            ShortDesign("Sharp", leg=LegDesign(back_scoop=0.4), allowances=Allowances(seam=15)),
            "leg.back_scoop: with 0.4 the back crotch bends tighter than its allowance of 15 mm on this body",
        ),
        (
            ShortDesign("Deep", facing=FacingDesign(turn_under=20), waist=WaistDesign(channel=12, elastic_width=10)),
            "facing.turn_under: 20 mm reaches over the facing's whole height, 14 mm",
        ),
    ],
)
def test_a_refusal_names_the_numbers_and_its_remedies_help(design: ShortDesign, starts: str) -> None:
    said = told(design, BODY, "high")
    assert said.startswith(starts)
    assert len(remedies(said)) >= 1
    assert check(design, BODY, "high") == 1


def test_a_crotch_length_at_the_very_end_of_what_can_be_solved() -> None:
    """Within the tolerance on the same side was taken for a change of sign: no crossing between 0.09 and 0.125."""
    measured = {"waist_girth": 1200, "hip_girth": 2000, "body_rise": 400, "waist_to_hip": 300}
    design = ShortDesign("Plain", leg=LegDesign(back_crotch_drop=10))
    shortest = replace(design, leg=replace(design.leg, back_raise=15, back_extension=0.09))
    plain = draft_short(shortest, body_from(measured, unit="mm"))
    for off in (-0.02, -0.009, -0.005, 0.0, 0.005, 0.009, 0.02):
        target = plain.leg.crotch_seam - design.leg.crotch_ease + off
        body = body_from({**measured, "crotch_length": target}, unit="mm")
        try:
            fitted = draft_short(design, body)
        except DesignError as error:
            assert "bends tighter" in str(error)  # noqa: PT017
        else:
            assert fitted.leg.crotch_seam == pytest.approx(target + design.leg.crotch_ease, abs=0.1)
