"""Which casings a short has: at a height or at a share, and how full the cloth between them is."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from blocks.design import CasingDesign
from blocks.parameters import parameters_of
from blocks.read_design import design_from
from blocks.short import ShortCasing, ShortDesign, draft_short
from blocks.short.casings import PlacedCasing, resolved, zones
from blocks.short.design import LegDesign
from drafting.errors import DesignError
from heron import BODY
from output.tables.summary import summary_json

WAIST, HEM = 280.0, -140.0


def design(*casings: CasingDesign) -> ShortDesign:
    return ShortDesign("Heron", casings=casings, leg=LegDesign(inseam_length=-HEM))


def test_every_number_of_a_casing_is_documented_and_held_to_its_range() -> None:
    for name, about in parameters_of(ShortCasing).items():
        assert about.low < about.high
        assert about.meaning
        assert about.source
        given: dict[str, Any] = {} if name in ("height", "share") else {"height": 100}
        for wrong in (about.low - 0.01, about.high + 0.01, "12", True, float("nan")):
            with pytest.raises(DesignError, match=rf"casing 'a'\.{name}"):
                ShortCasing("a", **{name: wrong, **given})


@pytest.mark.parametrize(
    ("given", "fault"),
    [({}, "neither height nor share is given"), ({"height": 160, "share": 0.55}, "height and share are both given")],
)
def test_a_casing_has_a_height_or_a_share_and_never_both(given: dict[str, float], fault: str) -> None:
    with pytest.raises(DesignError, match=f"casing 'upper': {fault}; give one of them"):
        ShortCasing("upper", **given)
    with pytest.raises(DesignError, match=f"casing 'upper': {fault}; give one of them"):
        design_from({"name": "Heron", "unit": "mm", "casing": [{"name": "upper", **given}]})


def test_a_file_gives_a_height_or_a_share() -> None:
    read = design_from(
        {
            "name": "Heron",
            "unit": "cm",
            "casing": [{"name": "upper", "share": 0.55, "fullness": 1.8}, {"name": "leg", "height": -8}],
        }
    )
    assert read.casings == (ShortCasing("upper", share=0.55, fullness=1.8), ShortCasing("leg", -80))


def test_a_share_is_of_the_rise_above_the_crotch_and_of_the_leg_below_it() -> None:
    placed = resolved(
        design(ShortCasing("upper", share=0.5), ShortCasing("lower", 100), ShortCasing("thigh", share=-0.5)), WAIST, HEM
    )
    assert [(one.name, one.height) for one in placed] == [("thigh", -70.0), ("lower", 100.0), ("upper", 140.0)]
    assert [one.whole for one in placed if one.share is not None] == [140.0, WAIST]


def test_a_casing_of_any_garment_will_do() -> None:
    assert design(CasingDesign("upper", 160, elastic_width=8)).casings == (ShortCasing("upper", 160, elastic_width=8),)


def test_placed_casings_keep_what_their_design_says() -> None:
    one = ShortCasing("upper", share=0.5, elastic_width=8, depth=14, ease=-0.02, fullness=1.9)
    (placed,) = resolved(design(one), WAIST, HEM)
    for field in dataclasses.fields(ShortCasing):
        if field.name != "height":
            assert getattr(placed, field.name) == getattr(one, field.name)


def test_the_cloth_beyond_a_casing_has_its_fullness() -> None:
    casings = (
        ShortCasing("upper", 160, fullness=2.0),
        ShortCasing("lower", 100),
        ShortCasing("thigh", -80, fullness=1.2),
        ShortCasing("frill", -110, fullness=1.8),
    )
    of = design(*casings).leg.fullness
    found = zones(resolved(design(*casings), WAIST, HEM), WAIST, HEM, of)
    assert found == ((-125.0, 1.8), (-95.0, 1.2), (0.0, of), (130.0, of), (220.0, 2.0))
    assert zones((), WAIST, HEM, of) == ((0.0, of),)


def test_zones_run_strictly_up_wherever_casings_lie() -> None:
    for heights in ([0.0], [-200.0, 300.0], [1.0, 400.0], [-0.5, -141.0, 279.0, 281.0]):
        placed = [PlacedCasing(f"c{height}", height) for height in sorted(heights)]
        middles = [middle for middle, _ in zones(placed, WAIST, HEM, 1.5)]
        assert middles == sorted(set(middles))


def test_fullness_that_changes_is_told_where_gather_ratios_are() -> None:
    plain, full = design(ShortCasing("upper", 160)), design(ShortCasing("upper", 160, fullness=1.6))
    assert not any("fullness" in note for note in draft_short(plain, BODY).notes)
    (told,) = [note for note in draft_short(full, BODY).notes if "fullness" in note]
    assert told == "fullness of the cloth: 1.5 round the crotch line, 1.6 above casing 'upper'"
    assert told in summary_json(draft_short(full, BODY), (), "out")
