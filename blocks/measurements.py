"""A body: its measurements under their ISO 8559-1 names, in mm, checked, and completed where they were not taken."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Final

from blocks.fitting import CALLED, PLAIN, Fitting, fitting_from
from blocks.label import LABEL_LENGTH, label_from
from blocks.parameters import MEMORY, PRACTICE, Parameters, check_parameters, parameter
from blocks.quantity import length_within, shown, suggestion
from drafting.errors import MeasurementError
from drafting.units import MILLIMETRES, millimetres_per, show_in, show_span

WOMEN_260: Final = (
    "least squares over 260 women of Heinz, Peterson, Johnson, Kerk 2003, "
    "Journal of Statistics Education 11(2); residual s.d. 20 mm"
)


@dataclass(frozen=True, slots=True)
class Range:
    """What a measurement may be and mostly is, in mm: refused outside `low` to `high`, warned of outside the usual.

    The ranges hold adults of every build up to a hip girth of 200 cm. They are narrow enough that a body measured in
    cm and read as inches, or the other way round, cannot pass.
    """

    low: float
    high: float
    usual_low: float
    usual_high: float
    meaning: str


RANGES: Final[Mapping[str, Range]] = {
    "waist_girth": Range(450, 1900, 580, 1150, "round the natural waist"),
    "hip_girth": Range(600, 2000, 788, 1500, "round the fullest part of the hips, level"),
    "body_rise": Range(150, 450, 220, 360, "seated, from waist to chair along the side"),
    "waist_to_hip": Range(110, 350, 160, 270, "down from waist to hip level along the side"),
    "high_hip_girth": Range(500, 1950, 680, 1270, "round the hips over the hip bones, level"),
    "thigh_girth": Range(340, 1250, 450, 860, "round one thigh at its fullest, just below the crotch"),
    "crotch_length": Range(450, 1200, 550, 1000, "from front waist between the legs to back waist"),
    "height": Range(1200, 2300, 1450, 2000, "standing, without shoes"),
}

ALWAYS: Final = ("waist_girth", "hip_girth", "waist_to_hip")
"""What every garment needs: without these three nobody is fitted below the waist."""

ADJUSTED: Final = "adjusted"
"""The last word of a size label whose pattern is adjusted to what a fitting found."""

USUAL: Final = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")
"""What is asked for where no garment says what it needs."""


@dataclass(frozen=True, slots=True)
class Proportions(Parameters):
    """How one measurement of a body follows from another: to estimate what was not taken and to find contradictions.

    Raises:
        DesignError: a proportion is outside its range.
    """

    called: ClassVar[str] = "proportions"

    thigh_per_hip: float = parameter(0.604, "", 0.5, 0.7, "thigh girth over hip girth", WOMEN_260)
    thigh_constant: float = parameter(-6, "mm", -60, 60, "added to thigh girth from hip girth", WOMEN_260)
    high_hip_share: float = parameter(2 / 3, "", 0.4, 0.9, "high-hip girth on the way from waist to hip girth", MEMORY)
    crotch_per_hip: float = parameter(
        1 / 6, "", 0.1, 0.25, "crotch length beyond two body rises, over hip girth", MEMORY
    )
    rise_per_height: float = parameter(0.163, "", 0.14, 0.19, "body rise over height", MEMORY)

    waist_over_hip_low: float = parameter(0.5, "", 0.3, 0.6, "least waist girth over hip girth", PRACTICE)
    waist_over_hip_high: float = parameter(1.3, "", 1.1, 1.6, "greatest waist girth over hip girth", PRACTICE)
    thigh_over_hip_low: float = parameter(0.4, "", 0.2, 0.45, "least thigh girth over hip girth", PRACTICE)
    thigh_over_hip_high: float = parameter(0.8, "", 0.7, 1.0, "greatest thigh girth over hip girth", PRACTICE)
    high_hip_slack: float = parameter(0.15, "", 0.05, 0.3, "high-hip girth beyond the range waist to hip", PRACTICE)
    rise_over_height_low: float = parameter(0.11, "", 0.08, 0.14, "least body rise over height", PRACTICE)
    rise_over_height_high: float = parameter(0.24, "", 0.2, 0.3, "greatest body rise over height", PRACTICE)


@dataclass(frozen=True, slots=True)
class Body:
    """One body, in mm. `estimated` names what was not measured; `warnings` what is unusual, for the reader; `fitting`
    what the fitting of a toile found on it.

    Bodies come from `body_from`, which checks them as a whole and completes them.

    Raises:
        MeasurementError: a measurement is not a number, or outside its range.
    """

    waist_girth: float
    hip_girth: float
    body_rise: float | None
    waist_to_hip: float
    high_hip_girth: float
    thigh_girth: float
    crotch_length: float | None
    height: float | None
    estimated: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    fitting: Fitting = PLAIN

    def __post_init__(self) -> None:
        for name in self.names:
            measurement(name, getattr(self, name), "mm")
        check_parameters(self, "body", error=MeasurementError)

    @property
    def names(self) -> tuple[str, ...]:
        """The measurements that are known of it, taken or estimated."""
        return tuple(name for name in RANGES if getattr(self, name) is not None)

    def known(self, name: str) -> float:
        """A measurement that was taken or could be estimated, in mm.

        Raises:
            MeasurementError: it is not known of this body, or no measurement has that name.
        """
        _check_name(name)
        value: float | None = getattr(self, name)
        if value is None:
            raise MeasurementError(f"{name}: missing; this garment needs it: measure it, {RANGES[name].meaning}")
        return value

    def measured(self, name: str) -> float | None:
        """The measurement when it was taken, None when it was estimated: an estimate drives no seam.

        Raises:
            MeasurementError: no measurement has that name.
        """
        _check_name(name)
        return None if name in self.estimated else getattr(self, name)


def _check_name(name: str) -> None:
    if name not in RANGES:
        raise MeasurementError(f"{name}: unknown measurement; {suggestion(str(name), RANGES)}")


def body_from(
    values: Mapping[str, object],
    *,
    unit: str,
    needs: Collection[str] = USUAL,
    proportions: Proportions | None = None,
) -> Body:
    """The body that was measured in `unit` (mm, cm or in), with estimates for what was not taken.

    What a garment `needs` must be there; what cannot be estimated from the rest stays unknown.

    >>> body = body_from({"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}, unit="cm")
    >>> body.hip_girth, round(body.thigh_girth), body.measured("thigh_girth")
    (1020.0, 610, None)

    Raises:
        MeasurementError: one is missing, unknown, not a number, implausible, or two contradict each other.
        DraftError: `unit` is not a unit of length.
    """
    millimetres_per(unit)
    shares = proportions or Proportions()
    if not isinstance(values, Mapping):
        raise MeasurementError(f"measurements: {shown(values)} is not a table; give each under its name")
    for name in values:
        _check_name(name)
    taken: dict[str, float] = {}
    for name, allowed in RANGES.items():
        if name in values:
            taken[name] = measurement(name, values[name], unit)
        elif name in needs or name in ALWAYS:
            raise MeasurementError(
                f"{name}: missing; it may be {show_span(allowed.low, allowed.high, unit)}: "
                f"measure it, {allowed.meaning}"
            )
    _contradictions(taken, shares, unit)
    estimates = {
        name: min(RANGES[name].high, max(RANGES[name].low, estimate(taken, shares)))
        for name, (sources, estimate) in _ESTIMATES.items()
        if name not in taken and taken.keys() >= sources
    }
    unknown: dict[str, None] = dict.fromkeys(name for name in RANGES if name not in taken and name not in estimates)
    values_of: dict[str, Any] = {**taken, **estimates, **unknown}
    return Body(**values_of, estimated=tuple(estimates), warnings=tuple(_unusual(taken, unit)))


def measurement(name: str, raw: object, unit: str) -> float:
    """One measurement in mm, as it was written in `unit`.

    >>> measurement("hip_girth", 102, "cm")
    1020.0

    Raises:
        MeasurementError: it is not a number, or outside its range.
    """
    allowed = RANGES[name]
    otherwise = f"measure again, {allowed.meaning}"
    return length_within(name, raw, allowed, unit, otherwise=otherwise, error=MeasurementError)


def hip_label(body: Body) -> str:
    """How a size without a label of its own is called: by its hip girth in cm, as H102, and by being adjusted."""
    return marked(f"H{body.hip_girth / 10:.0f}", body)


def marked(label: str, body: Body) -> str:
    """A size label that tells a pattern adjusted to what a fitting found from the plain one of that size.

    Raises:
        MeasurementError: the label is too long to be marked.
    """
    if not body.fitting.found or label.lower().endswith(ADJUSTED):
        return label
    if len(label) + len(ADJUSTED) + 1 > LABEL_LENGTH:
        raise MeasurementError(
            f"size: {shown(label)} is marked as {ADJUSTED}, and then it is too long for the title of a page; give at "
            f"most {LABEL_LENGTH - len(ADJUSTED) - 1} characters"
        )
    return f"{label} {ADJUSTED}"


def labelled_body(
    data: Mapping[str, object], *, needs: Collection[str] = USUAL, adjust: Mapping[str, object] | None = None
) -> tuple[str, Body]:
    """The size label and the body in the table of a measurements file: `unit`, perhaps `size`, and measurements.

    Without a `size` the label is empty. The table `fit`, if there is one, holds what a fitting found, and `adjust` what
    is to take the place of its amounts: see `blocks.fitting`.

    >>> measured = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
    >>> label, body = labelled_body({"size": "H102", "unit": "cm", **measured})
    >>> label, body.waist_girth
    ('H102', 760.0)

    Raises:
        MeasurementError: no unit, a size that cannot be printed, or what `body_from` refuses.
    """
    values = dict(data)
    keys = ("size", "unit", CALLED, *RANGES)
    for name in values:
        if name not in keys:
            raise MeasurementError(f"{name}: unknown key; {suggestion(name, keys)}")
    unit = values.pop("unit", None)
    if not isinstance(unit, str) or unit not in MILLIMETRES:
        found = "missing" if unit is None else f"{shown(unit)} is not a unit of length"
        units = ", ".join(f'"{known}"' for known in MILLIMETRES)
        raise MeasurementError(f"unit: {found}; it may be {units}: write the unit of the measurements")
    label = check_label(values.pop("size")) if "size" in values else ""
    fitting = fitting_from(adjust or {}, unit, over=fitting_from(values.pop(CALLED, {}), unit))
    return label, replace(body_from(values, unit=unit, needs=needs), fitting=fitting)


def check_label(raw: object) -> str:
    """A size label that fits the title of a page and the name of a file.

    Raises:
        MeasurementError: see `blocks.label.label_from`.
    """
    return label_from("size", raw, LABEL_LENGTH, kind="label", error=MeasurementError)


_ESTIMATES: Final[Mapping[str, tuple[frozenset[str], Callable[[Mapping[str, float], Proportions], float]]]] = {
    "high_hip_girth": (
        frozenset({"waist_girth", "hip_girth"}),
        lambda body, by: body["waist_girth"] + by.high_hip_share * (body["hip_girth"] - body["waist_girth"]),
    ),
    "thigh_girth": (
        frozenset({"hip_girth"}),
        lambda body, by: by.thigh_per_hip * body["hip_girth"] + by.thigh_constant,
    ),
    "crotch_length": (
        frozenset({"body_rise", "hip_girth"}),
        lambda body, by: 2 * body["body_rise"] + by.crotch_per_hip * body["hip_girth"],
    ),
    "height": (frozenset({"body_rise"}), lambda body, by: body["body_rise"] / by.rise_per_height),
}
"""What can be estimated, from which measurements, and how."""


def _unusual(taken: Mapping[str, float], unit: str) -> list[str]:
    return [
        f"{name}: {show_in(value, unit)} is unusual (mostly {show_span(about.usual_low, about.usual_high, unit)}); "
        f"check that it was taken {about.meaning}"
        for name, value in taken.items()
        for about in [RANGES[name]]
        if not about.usual_low <= value <= about.usual_high
    ]


def _contradictions(taken: Mapping[str, float], by: Proportions, unit: str) -> None:
    """Hold each measurement against the others.

    Raises:
        MeasurementError: two cannot be of one body.
    """
    waist, hip = taken["waist_girth"], taken["hip_girth"]

    def hold(name: str, *others: str, above: float | None = None, below: float | None = None) -> None:
        value = taken.get(name)
        if value is None or ((above is None or value > above) and (below is None or value < below)):
            return
        bounds = [("more", above), ("less", below)]
        allowed = " and ".join(f"{word} than {show_in(bound, unit)}" for word, bound in bounds if bound is not None)
        beside = " and ".join(f"{other} {show_in(taken[other], unit)}" for other in others)
        raise MeasurementError(
            f"{name}: {show_in(value, unit)} contradicts {beside}, beside which it must be {allowed}; "
            f"measure {' and '.join((name, *others))} again"
        )

    hold("waist_girth", "hip_girth", above=by.waist_over_hip_low * hip, below=by.waist_over_hip_high * hip)
    if "body_rise" in taken:
        hold("waist_to_hip", "body_rise", below=taken["body_rise"])
    hold("thigh_girth", "hip_girth", above=by.thigh_over_hip_low * hip, below=by.thigh_over_hip_high * hip)
    if "body_rise" in taken:
        hold("crotch_length", "body_rise", above=2 * taken["body_rise"])
    lowest, highest = min(waist, hip) * (1 - by.high_hip_slack), max(waist, hip) * (1 + by.high_hip_slack)
    hold("high_hip_girth", "waist_girth", "hip_girth", above=lowest, below=highest)
    if "height" in taken:
        height = taken["height"]
        hold("body_rise", "height", above=by.rise_over_height_low * height, below=by.rise_over_height_high * height)
