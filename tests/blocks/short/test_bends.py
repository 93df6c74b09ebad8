"""Edges that have no room for their allowance: drafted true where they can be, else refused by number."""

from __future__ import annotations

import pytest

from blocks.measurements import body_from
from blocks.short import draft_short
from blocks.short.design import LegDesign, ShortDesign
from campaigns.test_drafts import NAMES, bodies
from drafting.errors import DesignError
from remedies import Asked, followed

BODY = body_from({"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}, unit="cm")


@pytest.mark.parametrize("inseam", [30, 35, 40, 45, 50, 55, 58, 59, 60])
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
    assert usual.leg.trued_level == -60


@pytest.mark.parametrize(
    ("tables", "starts"),
    [
        (
            {"facing": {"turn_under": 20}, "waist": {"channel": 12, "elastic_width": 10}},
            "facing.turn_under: 20 mm reaches over the facing's whole height, 14 mm",
        ),
    ],
)
def test_a_refusal_names_the_numbers_and_its_remedies_help(tables: dict[str, dict[str, float]], starts: str) -> None:
    asked = Asked({name: BODY.known(name) for name in NAMES}, tables=tables)
    with pytest.raises(DesignError, match=f"^{starts}") as refused:
        asked.draft()
    after = followed(asked, str(refused.value))
    assert len(after) >= 1
    for other in after:
        other.draft()
