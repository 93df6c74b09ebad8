"""Whether measurements can be of one body: those that contradict each other are refused, odd ones are warned of.

Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf
from typing import ClassVar, Final

from blocks.estimates import (
    BACK_PART,
    CROTCH_BACK,
    CROTCH_SHARE,
    FRONT_PART,
    RULES,
    WHOLE,
    Estimate,
    estimate_of,
    sources,
)
from blocks.parameters import PRACTICE, Parameters, parameter
from blocks.words import together
from drafting.errors import MeasurementError
from drafting.units import show_in, show_rounded_down, show_rounded_up

Taken = Mapping[str, float]

SURVEY: Final = "so wide that it holds all women of Gordon et al. 2014, NATICK/TR-15/007"


@dataclass(frozen=True, slots=True)
class Proportions(Parameters):
    """How far measurements of one body may part: beyond it they contradict each other.

    Raises:
        DesignError: a proportion is outside its range.
    """

    called: ClassVar[str] = "proportions"

    waist_over_hip_low: float = parameter(0.5, "", 0.3, 0.6, "least waist girth over hip girth", PRACTICE)
    waist_over_hip_high: float = parameter(1.3, "", 1.1, 1.6, "greatest waist girth over hip girth", PRACTICE)
    thigh_over_hip_low: float = parameter(0.4, "", 0.2, 0.45, "least thigh girth over hip girth", PRACTICE)
    thigh_over_hip_high: float = parameter(0.8, "", 0.7, 1.0, "greatest thigh girth over hip girth", PRACTICE)
    high_hip_slack: float = parameter(0.15, "", 0.05, 0.3, "high-hip girth beyond the range waist to hip", PRACTICE)
    rise_over_height_low: float = parameter(0.07, "", 0.05, 0.14, "least body rise over height", SURVEY)
    rise_over_height_high: float = parameter(0.24, "", 0.2, 0.3, "greatest body rise over height", PRACTICE)
    leg_over_height_low: float = parameter(0.39, "", 0.3, 0.43, "least inside leg height over height", SURVEY)
    leg_over_height_high: float = parameter(0.57, "", 0.54, 0.65, "greatest inside leg height over height", SURVEY)
    crotch_refused: float = parameter(
        4, "", 3, 6, "standard deviations of a crotch length from what body rise and hips lead to", PRACTICE
    )
    crotch_doubted: float = parameter(
        2.5, "", 1.5, 4, "standard deviations of a crotch length beyond which it is warned of", PRACTICE
    )
    doubted: float = parameter(
        3.5, "", 2, 6, "standard deviations of any other measurement beyond which it is warned of", PRACTICE
    )
    crotch_parts: float = parameter(
        10, "mm", 2, 30, "crotch length from front waist to back waist beyond or short of its two parts", PRACTICE
    )


@dataclass(frozen=True, slots=True)
class _Holder:
    """Measurements that are held against one another, and the unit that their reader writes."""

    taken: Taken
    known: Taken
    unit: str

    def hold(self, name: str, *others: str, above: float | None = None, below: float | None = None) -> None:
        """See that a measurement is `above` and `below` what the others allow; estimates alone contradict nothing.

        Raises:
            MeasurementError: it is not.
        """
        value = self.known.get(name)
        if value is None or not any(one in self.taken for one in (name, *others)):
            return
        if (above is None or value > above) and (below is None or value < below):
            return
        bounds = [("more", above, show_rounded_up), ("less", below, show_rounded_down)]
        allowed = " and ".join(
            f"{word} than {show(bound, self.unit)}" for word, bound, show in bounds if bound is not None
        )
        beside = together(list(map(self.named, others)))
        raise MeasurementError(
            f"{self.named(name).replace(' ', ': ', 1)} contradicts {beside}, beside which it must be {allowed}; "
            f"measure {together((name, *others))} again"
        )

    def named(self, name: str) -> str:
        """A measurement with its value, and whether it is an estimate."""
        told = f"{name} {show_in(round(self.known[name], 1), self.unit)}"
        return told if name in self.taken else f"{told} (estimated)"


def contradictions(taken: Taken, follows: Taken, estimated: Mapping[str, Estimate], by: Proportions, unit: str) -> None:
    """Hold each measurement that was taken against the others and what follows from them.

    Raises:
        MeasurementError: two cannot be of one body.
    """
    known = {**taken, **{name: one.value for name, one in estimated.items()}, **follows}
    holder = _Holder(taken, known, unit)
    _torso(holder, by)
    _crotch(holder, by)
    _leg(holder, by)


def _torso(body: _Holder, by: Proportions) -> None:
    waist, hip = body.taken["waist_girth"], body.taken["hip_girth"]
    body.hold("waist_girth", "hip_girth", above=by.waist_over_hip_low * hip, below=by.waist_over_hip_high * hip)
    if "body_rise" in body.taken:
        body.hold("waist_to_hip", "body_rise", below=body.taken["body_rise"])
    lowest, highest = min(waist, hip) * (1 - by.high_hip_slack), max(waist, hip) * (1 + by.high_hip_slack)
    body.hold("high_hip_girth", "waist_girth", "hip_girth", above=lowest, below=highest)
    if "height" in body.taken:
        height = body.taken["height"]
        body.hold(
            "body_rise", "height", above=by.rise_over_height_low * height, below=by.rise_over_height_high * height
        )


def _crotch(body: _Holder, by: Proportions) -> None:
    """The crotch length against body rise and hips, its parts against it and against each other."""
    taken, unit = body.taken, body.unit
    parts = [taken[name] for name in (FRONT_PART, BACK_PART) if name in taken]
    if WHOLE in taken and len(parts) == 2 and abs(sum(parts) - taken[WHOLE]) > by.crotch_parts:
        raise MeasurementError(
            f"{WHOLE}: {show_in(taken[WHOLE], unit)} contradicts {body.named(FRONT_PART)} and {body.named(BACK_PART)}, "
            f"which come to {show_in(sum(parts), unit)}; measure all three again, or leave {WHOLE} out"
        )
    front, back = FRONT_PART in taken, BACK_PART in taken
    for name in (FRONT_PART, BACK_PART, WHOLE):
        if expected := estimate_of(name, taken):
            least, most = _off(expected, by)
            if name == WHOLE and front and back:  # which are the whole, whatever it was taken for
                rest = taken[FRONT_PART]
                body.hold(BACK_PART, FRONT_PART, "body_rise", "hip_girth", above=least - rest, below=most - rest)
            elif name in taken:
                body.hold(name, "body_rise", "hip_girth", above=least, below=most)
    least, most = _back_shares(by)
    if front and back:
        rest = taken[FRONT_PART]
        body.hold(BACK_PART, FRONT_PART, above=least / (1 - least) * rest, below=most / (1 - most) * rest)
    elif WHOLE in taken and front:
        body.hold(FRONT_PART, WHOLE, above=(1 - most) * taken[WHOLE], below=(1 - least) * taken[WHOLE])
    elif WHOLE in taken and back:
        body.hold(BACK_PART, WHOLE, above=least * taken[WHOLE], below=most * taken[WHOLE])


def crotch_span(name: str, taken: Taken, by: Proportions) -> tuple[float, float]:
    """What a crotch length, or its part in front or behind, may be so that none of what was taken contradicts it."""
    spans = [(0.0, inf)]
    if expected := estimate_of(name, taken):
        spans.append(_off(expected, by))
    other = {FRONT_PART: BACK_PART, BACK_PART: FRONT_PART}.get(name, "")
    if other in taken:
        rest, (least, most) = taken[other], _back_shares(by)
        if whole := estimate_of(WHOLE, taken):
            spans.append((_off(whole, by)[0] - rest, _off(whole, by)[1] - rest))
        if name == FRONT_PART:
            least, most = 1 - most, 1 - least
        spans.append((least / (1 - least) * rest, most / (1 - most) * rest))
    lows, highs = zip(*spans, strict=True)
    return max(lows), min(highs)


def _off(expected: Estimate, by: Proportions) -> tuple[float, float]:
    """The least and the most of a crotch length that is believed beside what it is expected to be."""
    return expected.value - by.crotch_refused * expected.error, expected.value + by.crotch_refused * expected.error


def _back_shares(by: Proportions) -> tuple[float, float]:
    """The least and the most of a crotch length that is believed to lie behind."""
    return CROTCH_BACK - by.crotch_refused * CROTCH_SHARE, CROTCH_BACK + by.crotch_refused * CROTCH_SHARE


def _leg(body: _Holder, by: Proportions) -> None:
    """Girths that get less from the hips down to the ankle, heights in their order from the floor up."""
    known, hip = body.known, body.known["hip_girth"]
    body.hold("thigh_girth", "hip_girth", above=by.thigh_over_hip_low * hip, below=by.thigh_over_hip_high * hip)
    for less, more in (
        ("knee_girth", "thigh_girth"),
        ("calf_girth", "thigh_girth"),
        ("ankle_girth", "knee_girth"),
        ("ankle_girth", "calf_girth"),
        ("ankle_height", "calf_height"),
        ("calf_height", "knee_height"),
        ("knee_height", "inside_leg_height"),
    ):
        body.hold(less, more, below=known[more])
    if "height" in body.taken:
        height = body.taken["height"]
        least, most = by.leg_over_height_low * height, by.leg_over_height_high * height
        body.hold("inside_leg_height", "height", above=least, below=most)


def doubts(taken: Taken, by: Proportions, unit: str) -> Iterator[str]:
    """A sentence for each measurement that was taken and is far from what the others lead one to expect."""
    body = _Holder(taken, taken, unit)
    for name in (name for name in (WHOLE, *RULES) if name in taken):
        expected, beside = estimate_of(name, taken), sources(name, taken)
        if expected is None or not beside:  # from nothing but the mean of a survey
            continue
        limit = by.crotch_doubted if name in (WHOLE, FRONT_PART, BACK_PART) else by.doubted
        if abs(taken[name] - expected.value) > limit * expected.error:
            yield (
                f"{name}: {show_in(taken[name], unit)} is unusual beside {together(list(map(body.named, beside)))}, "
                f"which lead to {show_in(round(expected.value), unit)} (two bodies in three within "
                f"{show_in(round(expected.error), unit)}); measure {together((name, *beside))} again"
            )
    if WHOLE in taken and FRONT_PART in taken and BACK_PART in taken:
        whole = taken[FRONT_PART] + taken[BACK_PART]
        if abs(whole - taken[WHOLE]) > 1:
            yield (
                f"{WHOLE}: {show_in(taken[WHOLE], unit)} was measured, but its two parts come to "
                f"{show_in(whole, unit)}, which the draft goes by; measure all three again"
            )
