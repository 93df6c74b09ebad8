"""How a body's measurements follow from one another: what was not taken is estimated by a rule with its source.

Lengths in mm. A rule is a straight line through the bodies of a survey: a constant, and so much of each measurement
that it goes by. What bodies leave of it is its residual standard deviation, which grows with what is estimated: two
bodies in three lie within it (common statistics, of a normal distribution).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Final

from blocks.parameters import MEMORY

ANSUR: Final = (
    "least squares over 993 women, every second by hip girth, of Gordon et al. 2014, 2012 Anthropometric Survey of "
    "U.S. Army Personnel, NATICK/TR-15/007; their waist lies at the navel"
)
ANSUR_ALL: Final = (
    "least squares over the 1,986 women of Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, "
    "NATICK/TR-15/007"
)
BDIMS: Final = (
    "the 260 women of Heinz, Peterson, Johnson, Kerk 2003, Exploring relationships in body dimensions, Journal of "
    "Statistics Education 11(2)"
)

FEW: Final = 4
"""Bodies whose estimates are remembered: a report asks for those of one body a dozen times."""

Taken = Mapping[str, float]
"""Measurements by their names, in mm."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One straight line: `constant` and so much of each measurement in `terms`, in mm.

    `error` is the residual standard deviation in mm of bodies whose measurement is about `mean`; `span` is how far the
    measurements that it goes by reached in those bodies.
    """

    constant: float
    terms: Mapping[str, float]
    error: float
    mean: float
    source: str
    span: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    beyond: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def __call__(self, body: Taken) -> float:
        """What the rule makes of these measurements, in mm.

        From a value `beyond` which few of those bodies lay, a measurement counts by another slope.
        """
        value = self.constant
        for name, slope in self.terms.items():
            end, steeper = self.beyond.get(name, (body[name], slope))
            value += slope * min(body[name], end) + steeper * max(0.0, body[name] - end)
        return value


_HIPS: Final = {"hip_girth": (798.0, 1314.0)}
_SEATED: Final = {"body_rise": (132.0, 278.0), **_HIPS}
_HIGHER: Final = {"body_rise": (260.0, 1.0)}
"""The survey's waists lie at the navel, within 26 cm of the seat but for one woman in a hundred. A waist that is worn
higher is so much further from the crotch, in front and behind (geometry)."""
_THIGHS: Final = {"thigh_girth": (465.0, 832.0)}

WHOLE: Final = "crotch_length"
FRONT_PART: Final = "front_crotch_length"
BACK_PART: Final = "back_crotch_length"
CROTCH_NAMES: Final = (WHOLE, FRONT_PART, BACK_PART)

_FRONT: Final = Rule(
    0, {"body_rise": 0.345, "hip_girth": 0.202}, 23.6, 279, ANSUR, _SEATED, _HIGHER | {"hip_girth": (1100.0, 0.22)}
)
_BACK: Final = Rule(
    14, {"body_rise": 0.733, "hip_girth": 0.171}, 22.0, 343, ANSUR, _SEATED, _HIGHER | {"hip_girth": (1100.0, 0.153)}
)
CROTCH: Final = Rule(
    14, {"body_rise": 1.078, "hip_girth": 0.373}, 24.2, 622, ANSUR, _SEATED, {"body_rise": (260.0, 2.0)}
)
"""The crotch length, the sum of the rules of its parts. They go by the body rise that a tape takes, seated, where the
survey's own tables have the waist's height over the crotch, which nobody measures: hips of the same seated rise differ
in it, so the slope in the hips is a little steeper here (0.330 there)."""

CROTCH_BACK: Final = 0.551
CROTCH_SHARE: Final = 0.033
"""The back's share of the crotch length, in the mean and its standard deviation; of the same survey."""

RULES: Final[Mapping[str, tuple[Rule, ...]]] = {
    "high_hip_girth": (
        Rule(0, {"waist_girth": 1 / 3, "hip_girth": 2 / 3}, 52, 884, f"{MEMORY}; error by the navel girth of {BDIMS}"),
    ),
    "thigh_girth": (
        Rule(
            *(-55, {"hip_girth": 0.657}, 19.0, 616),
            f"least squares over two surveys that weigh alike: {BDIMS}, and 993 of Gordon et al. 2014",
            {"hip_girth": (788.0, 1314.0)},
        ),
    ),
    "knee_girth": (
        Rule(
            *(92, {"thigh_girth": 0.478}, 22.0, 388),
            "half way between the girth just above the knee of 993 women of Gordon et al. 2014, NATICK/TR-15/007, and "
            f"that over the bent knee of {BDIMS}",
            _THIGHS,
        ),
    ),
    "calf_girth": (Rule(132, {"thigh_girth": 0.392}, 18.0, 374, ANSUR_ALL, _THIGHS),),
    "ankle_girth": (Rule(66, {"calf_girth": 0.400}, 10.0, 216, ANSUR_ALL, {"calf_girth": (282.0, 471.0)}),),
    FRONT_PART: (_FRONT,),
    BACK_PART: (_BACK,),
    "inside_leg_height": (
        Rule(-179, {"height": 0.590}, 24.0, 782, ANSUR_ALL, {"height": (1409.0, 1827.0)}),
        Rule(62, {"knee_height": 1.605}, 17.6, 782, ANSUR, {"knee_height": (350.0, 540.0)}),
        Rule(782, {}, 46.0, 782, f"the mean of {ANSUR.removeprefix('least squares over ')}"),
    ),
    "knee_height": (
        Rule(-107, {"height": 0.341}, 14.0, 449, ANSUR_ALL, {"height": (1409.0, 1827.0)}),
        Rule(34, {"inside_leg_height": 0.531}, 10.1, 449, ANSUR, {"inside_leg_height": (640.0, 947.0)}),
    ),
    "calf_height": (Rule(0, {"knee_height": 0.71}, 20.0, 319, MEMORY),),
    "ankle_height": (Rule(0, {"knee_height": 0.24}, 15.0, 108, MEMORY),),
}
"""What can be estimated and how, in the order in which it is done; where there are several rules, that of the least
error is taken. A height is not among them: hips and rise hardly tell it (R² 0.14 of the same survey)."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A measurement that was not taken: its `value` and `error`, one standard deviation, in mm, and by which rule."""

    value: float
    error: float
    rule: Rule

    def strange(self, body: Taken) -> tuple[str, ...]:
        """The measurements that it goes by in which a body lies outside those that the rule was drawn from."""
        return tuple(
            name for name, (low, high) in self.rule.span.items() if name in body and not low <= body[name] <= high
        )


def completed(taken: Taken) -> tuple[dict[str, float], dict[str, Estimate]]:
    """What follows from what was taken of a body, and what can only be estimated beside it.

    The crotch length is its front and its back part, always. A whole that was taken is parted as the estimated parts
    are, or by the one part that was taken beside it; a part that was taken alone is completed by an estimate of the
    other; two parts that were taken are the whole, whatever that was taken for.

    >>> heron = {"waist_girth": 760.0, "hip_girth": 1020.0, "body_rise": 270.0, "waist_to_hip": 205.0}
    >>> follows, estimated = completed(heron)
    >>> follows, round(estimated["thigh_girth"].value), round(estimated["crotch_length"].value)
    ({}, 615, 695)
    >>> completed({**heron, "front_crotch_length": 310.0, "back_crotch_length": 400.0})[0]
    {'crotch_length': 710.0}
    """
    follows, estimated = _completed(tuple(taken.items()))
    return dict(follows), dict(estimated)


@lru_cache(maxsize=FEW)
def _completed(items: tuple[tuple[str, float], ...]) -> tuple[dict[str, float], dict[str, Estimate]]:
    taken = dict(items)
    estimated: dict[str, Estimate] = {}
    known = dict(taken)
    for name, rules in RULES.items():
        fits = [_by(rule, known, estimated) for rule in rules if known.keys() >= rule.terms.keys()]
        if name not in taken and fits:
            estimated[name] = min(fits, key=lambda one: one.error)
            known[name] = estimated[name].value
    follows = _crotch_follows(taken, known)
    if WHOLE in taken and FRONT_PART in estimated and BACK_PART in estimated:
        estimated |= _parted(taken[WHOLE], estimated[FRONT_PART], estimated[BACK_PART])
    elif WHOLE not in taken and FRONT_PART in estimated and BACK_PART in estimated:
        value = estimated[FRONT_PART].value + estimated[BACK_PART].value
        estimated[WHOLE] = Estimate(value, CROTCH.error * value / CROTCH.mean, CROTCH)
    return follows, {name: one for name, one in estimated.items() if name not in follows}


def estimate_of(name: str, taken: Taken) -> Estimate | None:
    """What the other measurements that were taken lead one to expect of a measurement, taken or not; None if nothing.

    >>> round(estimate_of("thigh_girth", {"hip_girth": 1020.0, "thigh_girth": 700.0}).value)
    615
    """
    left_out = CROTCH_NAMES if name in CROTCH_NAMES else (name,)
    return completed({other: value for other, value in taken.items() if other not in left_out})[1].get(name)


def sources(name: str, taken: Taken) -> tuple[str, ...]:
    """The measurements that were taken by which an estimate goes, through other estimates where it goes by those.

    >>> sources("ankle_girth", {"hip_girth": 1020.0})
    ('hip_girth',)
    """
    estimate = estimate_of(name, taken)
    terms = estimate.rule.terms if estimate else ()
    found = [source for term in terms for source in ((term,) if term in taken else sources(term, taken))]
    return tuple(dict.fromkeys(found))


def _by(rule: Rule, known: Taken, estimated: Mapping[str, Estimate]) -> Estimate:
    """An estimate; errors of estimates that it goes by itself come on top, as errors do that know nothing of each
    other (common statistics).
    """
    value = rule(known)
    errors = [slope * estimated[name].error for name, slope in rule.terms.items() if name in estimated]
    return Estimate(value, math.hypot(rule.error * value / rule.mean, *errors), rule)


def _crotch_follows(taken: Taken, known: Taken) -> dict[str, float]:
    front, back = FRONT_PART in taken, BACK_PART in taken
    if front and WHOLE in taken and not back:
        return {BACK_PART: taken[WHOLE] - taken[FRONT_PART]}
    if back and WHOLE in taken and not front:
        return {FRONT_PART: taken[WHOLE] - taken[BACK_PART]}
    if (front or back) and FRONT_PART in known and BACK_PART in known:
        return {WHOLE: known[FRONT_PART] + known[BACK_PART]}
    return {}


def _parted(whole: float, front: Estimate, back: Estimate) -> dict[str, Estimate]:
    """A whole crotch length parted in the ratio of its estimated parts; the back is what the front leaves of it."""
    part = whole * front.value / (front.value + back.value)
    error = CROTCH_SHARE * whole
    return {
        FRONT_PART: replace(front, value=part, error=error),
        BACK_PART: replace(back, value=whole - part, error=error),
    }
