"""A body: its measurements under their ISO 8559-1 names, in mm, checked, and completed where they were not taken."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from blocks.contradictions import Proportions, contradictions, doubts
from blocks.estimates import BACK_PART, FRONT_PART, WHOLE, Estimate, completed
from blocks.fitting import CALLED, PLAIN, Fitting, fitting_from
from blocks.label import LABEL_LENGTH, label_from
from blocks.parameters import check_parameters
from blocks.quantity import length_within, shown, suggestion
from drafting.errors import MeasurementError
from drafting.units import MILLIMETRES, millimetres_per, show_in, show_span


@dataclass(frozen=True, slots=True)
class Range:
    """What a measurement may be and mostly is, in mm: refused outside `low` to `high`, warned of outside the usual.

    The ranges hold adults of every build up to a hip girth of 200 cm, with the waist where they wear it: at the navel
    or below it `waist_to_hip` and `body_rise` are shorter than those of the natural waist, which are the usual.
    """

    low: float
    high: float
    usual_low: float
    usual_high: float
    meaning: str


RANGES: Final[Mapping[str, Range]] = {
    "waist_girth": Range(450, 1900, 580, 1150, "round the natural waist"),
    "hip_girth": Range(600, 2000, 788, 1500, "round the fullest part of the hips, level"),
    "body_rise": Range(110, 450, 220, 360, "seated, from waist to chair along the side"),
    "waist_to_hip": Range(40, 350, 160, 270, "down from waist to hip level along the side"),
    "high_hip_girth": Range(500, 2000, 680, 1270, "round the hips over the hip bones, level"),
    "thigh_girth": Range(330, 1350, 450, 860, "round one thigh at its fullest, just below the crotch"),
    "knee_girth": Range(220, 900, 310, 560, "round the knee over the kneecap, the leg straight"),
    "calf_girth": Range(200, 850, 290, 500, "round the calf at its fullest"),
    "ankle_girth": Range(130, 500, 180, 290, "round the ankle at its narrowest, just above the bone"),
    "crotch_length": Range(350, 1500, 550, 1000, "from front waist between the legs to back waist"),
    "front_crotch_length": Range(130, 800, 220, 480, "from front waist to the crotch point between the legs"),
    "back_crotch_length": Range(150, 850, 280, 580, "from the crotch point between the legs to back waist"),
    "height": Range(1200, 2300, 1450, 2000, "standing, without shoes"),
    "inside_leg_height": Range(500, 1300, 640, 950, "from the floor up to the crotch"),
    "knee_height": Range(280, 750, 370, 560, "from the floor up to the middle of the kneecap"),
    "calf_height": Range(180, 550, 250, 410, "from the floor up to the fullest part of the calf"),
    "ankle_height": Range(40, 220, 60, 160, "from the floor up to the narrowest part above the ankle bone"),
}
"""By their names in ISO 8559-1, from memory. Heights are from the floor."""

NATURAL: Final = {"body_rise": 150.0, "waist_to_hip": 110.0}
"""mm; the least from an adult's natural waist down."""

_SPOKEN: Final = {"in": "inches"}

OTHERWISE: Final[Mapping[str, tuple[str, ...]]] = {
    "waist_girth": ("waist", "waist_size", "waistline", "waist_circumference"),
    "hip_girth": ("hip", "hips", "full_hip", "seat", "hip_size", "hip_circumference", "buttock_circumference"),
    "body_rise": ("rise", "crotch_depth", "seat_depth", "sitting_depth", "rise_depth"),
    "waist_to_hip": ("hip_depth", "hip_drop", "hip_line", "waist_to_hips"),
    "high_hip_girth": ("high_hip", "upper_hip", "upper_hip_girth"),
    "thigh_girth": ("thigh", "upper_leg_girth", "thigh_circumference"),
    "knee_girth": ("knee", "knee_circumference"),
    "calf_girth": ("calf", "calf_circumference"),
    "ankle_girth": ("ankle", "ankle_circumference"),
    "crotch_length": ("crotch", "total_crotch_length", "total_rise", "crotch_seam", "full_crotch_length"),
    "front_crotch_length": ("front_rise", "front_crotch", "crotch_length_front"),
    "back_crotch_length": ("back_rise", "back_crotch", "crotch_length_back"),
    "height": ("stature", "body_height", "tallness"),
    "inside_leg_height": ("inseam", "inside_leg", "inside_leg_length", "inleg", "crotch_height"),
}
"""What measurements are called by others; common practice, no source."""

ALWAYS: Final = ("waist_girth", "hip_girth", "waist_to_hip")
"""What every garment needs: without these three nobody is fitted below the waist."""

ADJUSTED: Final = "adjusted"
"""The last word of a size label whose pattern is adjusted to what a fitting found."""

USUAL: Final = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")
"""What is asked for where no garment says what it needs."""


@dataclass(frozen=True, slots=True)
class Body:
    """One body, in mm. `estimated` names what was not measured; `warnings` what is unusual, for the reader,
    `doubts` among them what is so beside the other measurements; `fitting`
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
    knee_girth: float
    calf_girth: float
    ankle_girth: float
    crotch_length: float | None
    front_crotch_length: float | None
    back_crotch_length: float | None
    height: float | None
    inside_leg_height: float
    knee_height: float
    calf_height: float
    ankle_height: float
    estimated: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
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
        check_name(name)
        value: float | None = getattr(self, name)
        if value is None:
            raise MeasurementError(f"{name}: missing; this garment needs it: measure it, {RANGES[name].meaning}")
        return value

    def estimate(self, name: str) -> Estimate | None:
        """How it was estimated and with what error, None when it was not.

        Raises:
            MeasurementError: no measurement has that name.
        """
        check_name(name)
        if name not in self.estimated:
            return None
        taken = {other: self.known(other) for other in self.names if other not in self.estimated}
        if FRONT_PART in taken or BACK_PART in taken:  # the whole was added up from them, or it would leave the other
            taken.pop(WHOLE, None)
        return completed(taken)[1].get(name)

    def strange(self, name: str) -> tuple[str, ...]:
        """The measurements in which this body lies outside those that an estimate was drawn from; none of one taken.

        Raises:
            MeasurementError: no measurement has that name.
        """
        estimate = self.estimate(name)
        return estimate.strange({other: self.known(other) for other in self.names}) if estimate else ()

    def measured(self, name: str) -> float | None:
        """The measurement when it was taken, None when it was estimated: an estimate drives no seam.

        Raises:
            MeasurementError: no measurement has that name.
        """
        check_name(name)
        return None if name in self.estimated else getattr(self, name)


def meant(name: str, known: Collection[str]) -> str:
    """A question that offers the measurement that an unknown name may be for, or the known one nearest to it.

    >>> meant("Inseam", RANGES), meant("hip_girt", RANGES)
    ('did you mean inside_leg_height?', 'did you mean hip_girth?')
    """
    plain = "_".join("".join(letter if letter.isalnum() else " " for letter in name.lower()).split())
    other = next((other for other, names in OTHERWISE.items() if plain in names), plain)
    return f"did you mean {other}?" if other in known else suggestion(name, known)


def check_name(name: str) -> None:
    """See that a measurement has that name.

    Raises:
        MeasurementError: none has.
    """
    if name not in RANGES:
        raise MeasurementError(f"{name}: unknown measurement; {meant(str(name), RANGES)}")


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
    (1020.0, 615, None)

    Raises:
        MeasurementError: one is missing, unknown, not a number, implausible, or two contradict each other.
        DraftError: `unit` is not a unit of length.
    """
    millimetres_per(unit)
    shares = proportions or Proportions()
    if not isinstance(values, Mapping):
        raise MeasurementError(f"measurements: {shown(values)} is not a table; give each under its name")
    for name in values:
        check_name(name)
    taken: dict[str, float] = {}
    for name in RANGES:
        if name in values:
            taken[name] = measurement(name, values[name], unit)
        elif name in needs or name in ALWAYS:
            raise MeasurementError(missing(name, unit))
    _misread(taken, unit)
    follows, estimated = completed(taken)
    contradictions(taken, follows, estimated, shares, unit)
    values_of: dict[str, Any] = {
        **dict.fromkeys(RANGES),
        **taken,
        **{name: one.value for name, one in estimated.items()},
        **follows,
    }
    doubted = tuple(doubts(taken, shares, unit))
    return Body(
        **values_of,
        estimated=tuple(name for name in RANGES if name in estimated),
        warnings=(*_unusual(taken, unit), *doubted),
        doubts=doubted,
    )


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


def missing(name: str, unit: str) -> str:
    """What is said of a measurement that is needed and was not given.

    >>> missing("hip_girth", "cm")
    'hip_girth: missing; it may be 60 to 200 cm: measure it, round the fullest part of the hips, level'
    """
    allowed = RANGES[name]
    return f"{name}: missing; it may be {show_span(allowed.low, allowed.high, unit)}: measure it, {allowed.meaning}"


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
            raise MeasurementError(f"{name}: unknown key; {meant(name, keys)}")
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


def _unusual(taken: Mapping[str, float], unit: str) -> list[str]:
    return [
        f"{name}: {show_in(value, unit)} is unusual (mostly {show_span(about.usual_low, about.usual_high, unit)}); "
        f"check that it was taken {about.meaning}{worn_low(name, value)}"
        for name, value in taken.items()
        for about in [RANGES[name]]
        if not about.usual_low <= value <= about.usual_high
    ]


def worn_low(name: str, value: float) -> str:
    """What else makes a length down from the waist a short one."""
    low = name in ("body_rise", "waist_to_hip") and value < RANGES[name].usual_low
    return "; it is right for a waist worn at the navel or below" if low else ""


def _misread(taken: Mapping[str, float], unit: str) -> None:
    """See that a small body with a low waist is not a large one whose inches were read as centimetres.

    Raises:
        MeasurementError: its hips are smaller than an adult's, and all its measurements could be in a larger unit.
    """
    per = millimetres_per(unit)
    low = any(taken.get(name, least) < least for name, least in NATURAL.items())
    if taken["hip_girth"] >= RANGES["hip_girth"].usual_low or not low:
        return
    for other, size in MILLIMETRES.items():
        larger = {name: value / per * size for name, value in taken.items()}
        if size > per and all(
            0.99 * RANGES[name].low <= value <= 1.01 * RANGES[name].high for name, value in larger.items()
        ):
            raise MeasurementError(
                f"hip_girth: {show_in(taken['hip_girth'], unit)} is small for an adult, and every measurement here "
                f'could be in {_SPOKEN.get(other, other)}; if it was measured in them, set the unit to "{other}"; if '
                "not, give the height too"
            )
