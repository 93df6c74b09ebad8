"""What a fitting of a toile found, in the trade's own terms: how much longer, wider, higher or lower, in mm.

A finding comes on top of the measurements: a garment is first drafted to the body as it was measured, then each amount
changes it as slashing and spreading the pattern there would. How, each block says in a file of the same name.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, fields, replace
from math import hypot
from typing import Any, ClassVar, Final

from blocks.parameters import PRACTICE, Parameter, Parameters, check_parameters, parameters_of
from blocks.quantity import finite, in_millimetres, read_cell, shown, suggestion
from drafting.errors import MeasurementError
from drafting.path import Path
from drafting.point import Point
from drafting.units import MILLIMETRES, millimetres_per, show_in, show_measure, show_small, show_span

CALLED: Final = "fit"
"""The table of a measurements file that holds them."""


def _found(start: float, high: float, meaning: str) -> Any:
    """An amount that is nought unless it was found; `start` mm is what to begin with on a toile."""
    about = Parameter("mm", 0, high, meaning, PRACTICE)
    return field(default=0.0, metadata={"parameter": about, "start": start})


@dataclass(frozen=True, slots=True)
class Fitting(Parameters):
    """What a fitting found; nought is what was not found. Amounts and their limits are common practice, no source.

    Raises:
        MeasurementError: an amount is no number or outside its range, or two findings contradict each other.
    """

    called: ClassVar[str] = CALLED

    full_tummy: float = _found(10, 40, "longer and straighter over the front of the body, at its centre")
    flat_tummy: float = _found(5, 20, "shorter and more inclined over the front of the body, at its centre")
    full_seat: float = _found(15, 50, "longer and more inclined over the seat, at the centre back")
    flat_seat: float = _found(10, 30, "shorter and straighter over the seat, at the centre back")
    hollow_back: float = _found(10, 30, "shorter above the seat, at the centre back")
    full_inner_thigh: float = _found(10, 40, "wider at the crotch points, front and back together")
    full_outer_thigh: float = _found(15, 60, "wider at the side line, front and back together")
    high_waist_front: float = _found(10, 40, "waist higher at the centre front")
    low_waist_front: float = _found(10, 40, "waist lower at the centre front")
    high_waist_back: float = _found(10, 40, "waist higher at the centre back")
    low_waist_back: float = _found(10, 40, "waist lower at the centre back")
    high_waist_side: float = _found(10, 30, "waist higher at the side")
    low_waist_side: float = _found(10, 30, "waist lower at the side")
    long_crotch: float = _found(15, 60, "crotch seam longer, front and back together")
    short_crotch: float = _found(15, 40, "crotch seam shorter, front and back together")
    long_front_crotch: float = _found(10, 40, "crotch seam longer in front alone")
    short_front_crotch: float = _found(10, 25, "crotch seam shorter in front alone")
    long_back_crotch: float = _found(10, 40, "crotch seam longer at the back alone")
    short_back_crotch: float = _found(10, 25, "crotch seam shorter at the back alone")
    long_rise: float = _found(10, 60, "waist higher all round")
    short_rise: float = _found(10, 40, "waist lower all round")
    long_leg: float = _found(20, 200, "hem lower")
    short_leg: float = _found(20, 100, "hem higher")

    def __post_init__(self) -> None:
        check_parameters(self, self.called, error=MeasurementError)
        _check_contradictions(self)

    @property
    def found(self) -> dict[str, float]:
        """The findings with their amounts in mm, in the order in which a fitting looks for them.

        >>> Fitting(full_seat=12).found
        {'full_seat': 12.0}
        """
        return {one.name: getattr(self, one.name) for one in fields(self) if getattr(self, one.name)}


NAMES: Final = tuple(parameters_of(Fitting))
"""All findings, in the order in which a fitting looks for them."""

STARTS: Final[Mapping[str, float]] = {one.name: one.metadata["start"] for one in fields(Fitting)}
"""mm; what to begin with when a finding is first pinned (common practice, no source)."""

OPPOSITES: Final = (
    ("full_tummy", "flat_tummy"),
    ("full_seat", "flat_seat"),
    *((f"high_waist_{where}", f"low_waist_{where}") for where in ("front", "back", "side")),
    *((f"long_{what}", f"short_{what}") for what in ("crotch", "front_crotch", "back_crotch", "rise", "leg")),
)
"""Findings of which one undoes the other."""

MARK: Final = "adjusted after a fitting"
"""What stands on every piece that is not the plain one of its size."""

STILL: Final = 0.005
"""mm; what moves less has not moved."""

SEEN: Final = 0.25
"""mm; what moves less is told to no reader."""

_WHOLE_AND_HALVES: Final = tuple(
    (f"{one}_crotch", f"{other}_{half}_crotch")
    for one in ("long", "short")
    for other in ("long", "short")
    for half in ("front", "back")
)
"""Findings of which one shares out what the other says of one half alone."""

_OTHER_WORDS: Final[Mapping[str, str]] = {
    "sway_back": "hollow_back",
    "swayback": "hollow_back",
    **dict.fromkeys(("full_belly", "full_stomach", "full_abdomen", "large_tummy", "belly", "tummy"), "full_tummy"),
    **dict.fromkeys(("flat_belly", "flat_stomach", "flat_abdomen"), "flat_tummy"),
    **dict.fromkeys(("full_bottom", "full_buttocks", "large_seat", "seat"), "full_seat"),
    **dict.fromkeys(("flat_bottom", "flat_buttocks", "small_seat"), "flat_seat"),
    **dict.fromkeys(("inner_thigh", "full_thigh", "thigh"), "full_inner_thigh"),
    **dict.fromkeys(("outer_thigh", "saddlebags", "side_thigh"), "full_outer_thigh"),
    **dict.fromkeys(("crotch", "crotch_length"), "long_crotch"),
    **dict.fromkeys(("rise", "body_rise", "crotch_depth"), "long_rise"),
    **dict.fromkeys(("leg", "leg_length", "inseam", "length"), "long_leg"),
}
"""What findings are called besides, and the name of each here."""


def fitting_from(values: object, unit: str, *, over: Fitting | None = None) -> Fitting:
    """The findings of a table, in its `unit` unless an amount says its own; those not in it are as they are `over`.

    >>> fitting_from({"full_seat": 1.2, "hollow_back": "8 mm"}, "cm").found
    {'full_seat': 12.0, 'hollow_back': 8.0}

    Raises:
        MeasurementError: it is no table, or a name or an amount in it is at fault.
        DraftError: `unit` is not a unit of length.
    """
    millimetres_per(unit)
    if not isinstance(values, Mapping):
        raise MeasurementError(f"{CALLED}: {shown(values)} is not a table; give each amount under its name")
    about = parameters_of(Fitting)
    amounts = {}
    for name, raw in values.items():
        if name not in about:
            meant = _OTHER_WORDS.get(str(name).lower())
            offer = f"did you mean {meant}?" if meant else suggestion(str(name), about)
            raise MeasurementError(f"{CALLED}.{name}: unknown finding; {offer}")
        amounts[name] = _amount(name, raw, unit, about[name])
    return replace(over or Fitting(), **amounts)


@dataclass(frozen=True, slots=True)
class Shift:
    """A point that moved: so many mm out from the line that widths are measured from (negative: in) and up.

    `at` is where it is now.
    """

    name: str
    out: float
    up: float
    at: Point

    @property
    def told(self) -> str:
        """Which way and how far, for a reader.

        >>> Shift("waist at centre back", -3, 11.2, Point(-380, 310)).told
        '11.2 mm (7/16 in) up, 3 mm (1/8 in) in'
        """
        ways = ((self.up, "up", "down"), (self.out, "out", "in"))
        return ", ".join(
            f"{show_small(round(abs(by), 1))} {more if by > 0 else less}" for by, more, less in ways if abs(by) >= SEEN
        )


@dataclass(frozen=True, slots=True)
class Change:
    """A seam or width that was so many mm before the findings, and is so many after."""

    name: str
    before: float
    after: float

    @property
    def by(self) -> float:
        """How much longer it has become, in mm."""
        return self.after - self.before

    @property
    def told(self) -> str:
        """By how much, and how long it is now, for a reader.

        >>> Change("back crotch", 400, 412).told
        '12 mm (1/2 in) longer, now 41.2 cm (16 1/4 in)'
        """
        if abs(self.by) < SEEN:
            return ""
        more = "longer" if self.by > 0 else "shorter"
        return f"{show_small(round(abs(self.by), 1))} {more}, now {show_measure(self.after)}"


@dataclass(frozen=True, slots=True)
class Adjusted:
    """What a garment's findings are, which of its points and edges they moved and by how much; its outlines before and
    after that, from one origin.
    """

    fitting: Fitting
    points: tuple[Shift, ...]
    edges: tuple[Change, ...]
    before: Path
    after: Path

    @property
    def moved(self) -> tuple[tuple[str, str], ...]:
        """All that moved enough to be seen: its name, and which way and how far, for a reader."""
        every: tuple[Shift | Change, ...] = (*self.points, *self.edges)
        return tuple((one.name, one.told) for one in every if one.told)


@dataclass(frozen=True, slots=True)
class Finished:
    """What is compared of a finished garment: its points and the lengths of its edges by name, and its outline.

    In mm from its origin, whose x = 0 is the line that widths are measured from.
    """

    points: Mapping[str, Point]
    edges: Mapping[str, float]
    outline: Path


def compared(fitting: Fitting, before: Finished, after: Finished) -> Adjusted:
    """What the findings have moved of a garment, which has the same points and edges before and after."""
    shifts = []
    for name, old in before.points.items():
        new = after.points[name]
        out = -1 if old.x + new.x < 0 else 1
        shifts.append(Shift(name, out * (new.x - old.x), new.y - old.y, new))
    changes = [Change(name, old, after.edges[name]) for name, old in before.edges.items()]
    return Adjusted(
        fitting,
        tuple(one for one in shifts if hypot(one.out, one.up) > STILL),
        tuple(one for one in changes if abs(one.by) > STILL),
        before.outline,
        after.outline,
    )


def check_taken(fitting: Fitting, taken: Collection[str], garment: str) -> None:
    """See that a garment takes all that was found.

    Raises:
        MeasurementError: it does not.
    """
    for name in fitting.found:
        if name not in taken:
            takes = f"it takes {', '.join(taken)}" if taken else "it takes no findings"
            raise MeasurementError(f"{CALLED}.{name}: a {garment} cannot be changed by it; {takes}: leave it out")


def told(fitting: Fitting) -> str:
    """The findings in a row, as a reader calls them.

    >>> told(Fitting(full_seat=12, hollow_back=5))
    'full seat 12 mm, hollow back 5 mm'
    """
    return ", ".join(f"{called(name)} {amount:.4g} mm" for name, amount in fitting.found.items())


def called(name: str) -> str:
    """A finding as a reader calls it.

    >>> called("high_waist_front"), called("long_back_crotch")
    ('high waist at the front', 'long crotch at the back')
    """
    for half in ("front", "back", "side"):
        if name.endswith(f"waist_{half}") or f"_{half}_crotch" in name:
            return f"{name.replace(f'_{half}', '').replace('_', ' ')} at the {half}"
    return name.replace("_", " ")


def _amount(name: str, raw: object, unit: str, about: Parameter) -> float:
    """An amount in mm, as a number or as text that may end in its own unit."""
    number, place = raw, f"{CALLED}.{name}"
    if isinstance(raw, str):
        text = raw.strip()
        unit = next((known for known in MILLIMETRES if text.endswith(known)), unit)
        number = read_cell(text.removesuffix(unit).strip())
    value, span = finite(number), f"it may be {show_span(about.low, about.high, unit)} ({about.meaning})"
    if value is None:
        what = f"{shown(raw)} is no amount" if raw else "it has no amount"
        raise MeasurementError(f'{place}: {what}; {span}: write one such as "{STARTS[name]:g} mm"')
    amount = in_millimetres(value, unit)
    opposite = next((pair[not pair.index(name)] for pair in OPPOSITES if name in pair), "")
    if amount < 0 and opposite:
        raise MeasurementError(f"{place}: {show_in(amount, unit)} is less than nothing; give it to {opposite} instead")
    if not about.low <= amount <= about.high:
        likely = [other for other, size in MILLIMETRES.items() if about.low <= value * size <= about.high]
        remedy = f'if it is in {likely[0]}, write "{value:g} {likely[0]}"' if likely else "measure the body again"
        raise MeasurementError(f"{place}: {show_in(amount, unit)} is not; {span}: {remedy}")
    return amount


def _check_contradictions(fitting: Fitting) -> None:
    found = fitting.found
    for one, other in (*OPPOSITES, ("hollow_back", "high_waist_back")):
        if one in found and other in found:
            raise MeasurementError(
                f"{CALLED}.{one}: {found[one]:.4g} mm contradicts {other} of {found[other]:.4g} mm; leave one out"
            )
    for whole, half in _WHOLE_AND_HALVES:
        if whole in found and half in found:
            raise MeasurementError(
                f"{CALLED}.{whole}: {found[whole]:.4g} mm is for front and back together, beside {half} of "
                f"{found[half]:.4g} mm for one of them; leave one of them out"
            )


PLAIN: Final = Fitting()
"""Nothing found."""
