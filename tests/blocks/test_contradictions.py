"""Measurements that cannot be of one body, and those that are odd beside the others."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.contradictions import Proportions, crotch_span
from blocks.estimates import BACK_PART, CROTCH_NAMES, FRONT_PART, estimate_of
from blocks.measurements import RANGES, body_from
from drafting.errors import DesignError, MeasurementError
from women import ALL, facts

WHOLE = {
    "waist_girth": 760,
    "hip_girth": 1020,
    "body_rise": 270,
    "waist_to_hip": 205,
    "high_hip_girth": 935,
    "thigh_girth": 610,
    "knee_girth": 385,
    "calf_girth": 370,
    "ankle_girth": 220,
    "crotch_length": 690,
    "front_crotch_length": 302,
    "back_crotch_length": 388,
    "height": 1660,
    "inside_leg_height": 785,
    "knee_height": 455,
    "calf_height": 325,
    "ankle_height": 110,
}
"""A body measured in full, in mm."""


def refusal(**changes: float | None) -> str:
    values = {name: value for name, value in {**WHOLE, **changes}.items() if value is not None}
    with pytest.raises(MeasurementError) as caught:
        body_from(values, unit="mm")
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    return message


def test_a_body_measured_in_full_is_one() -> None:
    body = body_from(WHOLE, unit="mm")
    assert (body.estimated, body.warnings) == ((), ())
    assert body.names == tuple(RANGES)


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"knee_girth": 620}, ("knee_girth", "thigh_girth")),
        ({"calf_girth": 615}, ("calf_girth", "thigh_girth")),
        ({"ankle_girth": 375}, ("ankle_girth", "calf_girth")),
        ({"ankle_girth": 380, "calf_girth": 390, "knee_girth": 370}, ("ankle_girth", "knee_girth")),
        ({"ankle_height": 215, "calf_height": 210}, ("ankle_height", "calf_height")),
        ({"calf_height": 460}, ("calf_height", "knee_height")),
        ({"knee_height": 600, "inside_leg_height": 590, "height": None}, ("knee_height", "inside_leg_height")),
        ({"inside_leg_height": 960}, ("inside_leg_height", "height")),
        ({"inside_leg_height": 620}, ("inside_leg_height", "height")),
        ({"crotch_length": 720}, ("crotch_length", "front_crotch_length", "back_crotch_length")),
        (
            {"crotch_length": 560, "front_crotch_length": None, "back_crotch_length": None},
            ("crotch_length", "body_rise"),
        ),
        ({"front_crotch_length": 420, "crotch_length": None}, ("front_crotch_length", "body_rise", "hip_girth")),
        ({"back_crotch_length": 270, "crotch_length": None}, ("back_crotch_length", "body_rise", "hip_girth")),
        (
            {"front_crotch_length": 225, "back_crotch_length": None, "crotch_length": 760},
            ("front_crotch_length", "crotch_length"),
        ),
        ({"waist_to_hip": 275}, ("waist_to_hip", "body_rise")),
        (  # each part may be, but not both: and the whole is theirs, whatever it was taken for
            {"front_crotch_length": 360, "back_crotch_length": 446, "crotch_length": 800},
            ("back_crotch_length", "front_crotch_length", "body_rise", "hip_girth"),
        ),
    ],
)
def test_contradictions_name_both_and_say_what_to_do(changes: dict[str, float | None], fields: tuple[str, ...]) -> None:
    message = refusal(**changes)
    assert message.startswith(f"{fields[0]}: ")
    assert " contradicts " in message
    assert all(field in message for field in fields)
    assert "again" in message


def test_a_girth_that_contradicts_an_estimate_says_that_it_is_one() -> None:
    message = refusal(knee_girth=640, thigh_girth=None)
    assert message.startswith("knee_girth: 640 mm contradicts thigh_girth 615.1 mm (estimated), beside which")


BOUNDS = re.compile(r"beside which it must be (?:more than ([\d.]+) mm)?(?: and )?(?:less than ([\d.]+) mm)?")


@given(st.sampled_from(tuple(RANGES)), st.floats(0, 1))
def test_what_a_refusal_allows_is_not_refused_for_the_same_again(name: str, share: float) -> None:
    """The remedy, applied: a value between the bounds that were told."""
    about = RANGES[name]
    values: dict[str, Any] = {**WHOLE, name: about.low + share * (about.high - about.low)}
    values = {key: value for key, value in values.items() if key == name or key not in CROTCH_NAMES}
    seen = set()
    for _ in range(6):
        try:
            body_from(values, unit="mm")
            return
        except MeasurementError as error:
            message = str(error)
        field, bounds = message.split(":", maxsplit=1)[0], BOUNDS.search(message)
        assert bounds is not None, message
        assert message not in seen
        seen.add(message)
        assert bounds.group(1) or bounds.group(2)
        low, high = (float(bound) if bound else None for bound in bounds.groups())
        near = [*([low + 1] if low else []), *([high - 1] if high else [])]
        values = {**values, field: min(near, key=lambda value: abs(value - values.get(field, value)))}
    pytest.fail(f"refused again and again: {sorted(seen)}")


@given(
    name=st.sampled_from([FRONT_PART, BACK_PART]),
    rise=st.floats(20, 33),
    other=st.floats(0, 1),
    share=st.floats(-0.4, 1.4),
)
def test_the_span_of_a_part_of_the_crotch_length_is_what_is_not_refused(
    name: str, rise: float, other: float, share: float
) -> None:
    """A draft out of reach once asked for a length that the part in front contradicted, and again, without an end."""
    rest = FRONT_PART if name == BACK_PART else BACK_PART
    taken = {"waist_girth": 760.0, "hip_girth": 1020.0, "body_rise": 10 * rise, "waist_to_hip": 7.4 * rise}
    least, most = crotch_span(rest, taken, Proportions())
    taken[rest] = least + 1 + other * (most - least - 2)
    low, high = crotch_span(name, taken, Proportions())
    taken[name] = low + share * (high - low)
    inside = low + 0.01 < taken[name] < high - 0.01
    if inside or not low - 0.01 < taken[name] < high + 0.01:
        refused = False
        try:
            body_from(taken, unit="mm")
        except MeasurementError:
            refused = True
        assert refused is not inside


@pytest.mark.parametrize(
    ("name", "value", "beside"),
    [
        ("crotch_length", 765, ("body_rise", "hip_girth")),
        ("thigh_girth", 700, ("hip_girth",)),
        ("ankle_girth", 265, ("calf_girth",)),
        ("knee_height", 500, ("inside_leg_height",)),
    ],
)
def test_the_odd_is_a_warning_with_what_the_others_lead_to(name: str, value: float, beside: tuple[str, ...]) -> None:
    taken = {other: WHOLE[other] for other in WHOLE if other not in CROTCH_NAMES} | {name: value}
    if name == "thigh_girth":
        taken |= {"knee_girth": 440, "calf_girth": 420}
    (warning,) = (doubt for doubt in body_from(taken, unit="mm").doubts if doubt.startswith(f"{name}:"))
    expected = estimate_of(name, taken)
    assert expected is not None
    assert warning.startswith(f"{name}: {value} mm is unusual beside {beside[0]} ")
    assert f"lead to {expected.value:.0f} mm (two bodies in three within {expected.error:.0f} mm)" in warning
    assert all(other in warning for other in beside)


def test_what_only_a_mean_leads_to_is_no_doubt() -> None:
    """A calf's height beside no other height: nothing taken tells of it."""
    taken = {name: WHOLE[name] for name in ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")}
    assert body_from({**taken, "calf_height": 405}, unit="mm").doubts == ()


def test_every_middle_woman_is_a_body_without_a_doubt() -> None:
    """The medians of the survey (see `women`), their waist at the navel: unusual beside a natural waist, no more."""
    names = [name for name in RANGES if (ALL, name) in facts() and name != "crotch_length"]  # no sum of medians
    body = body_from({name: facts()[ALL, name].p50 for name in names}, unit="mm")
    assert body.doubts == ()
    assert [warning.split(":")[0] for warning in body.warnings] == ["body_rise", "waist_to_hip"]
    assert all("right for a waist worn at the navel" in warning for warning in body.warnings)


def test_how_far_measurements_may_part_can_be_chosen() -> None:
    near = Proportions(crotch_refused=3)
    taken = {name: WHOLE[name] for name in ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")}
    body_from({**taken, "crotch_length": 780}, unit="mm")
    with pytest.raises(MeasurementError, match="crotch_length: 780 mm contradicts body_rise 270 mm and hip_girth 1020"):
        body_from({**taken, "crotch_length": 780}, unit="mm", proportions=near)
    with pytest.raises(DesignError, match=r"proportions.crotch_refused: 9 is outside 3 to 6"):
        Proportions(crotch_refused=9)
