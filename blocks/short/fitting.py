"""A short changed by what a fitting found: each finding as slashing and spreading the leg there would change it.

Findings change the numbers that the leg's edges are drawn from, `blocks.short.frame`, so every curve stays fair and
every seam walks. A finding that says how much longer a crotch edge becomes is met exactly, by the height of the waist
at the centre. Methods are those of drafting and fitting handbooks, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from math import floor
from typing import ClassVar, Final

from blocks.design import WaistFinish
from blocks.fitting import CALLED, STILL, Fitting
from blocks.measurements import Body
from blocks.parameters import MEMORY, PRACTICE, Parameters, parameter, parameters_of
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.frame import Frame, Half, crotch_edge
from drafting.curve import monotone_root
from drafting.errors import DesignError, MeasurementError
from drafting.units import show_span

TOLERANCE: Final = 1e-6
"""mm; how near a crotch edge comes to the length that the findings make of it."""

LESS: Final = 0.95
"""The findings of a leg that does not bear them all are lessened by this until it does."""


@dataclass(frozen=True, slots=True)
class Shares(Parameters):
    """How a finding's amount is shared out over a leg."""

    called: ClassVar[str] = "shares of a finding"

    tummy_lean: float = parameter(1 / 3, "", 0, 1, "a full tummy's amount by which the centre front leans less", MEMORY)
    seat_extension: float = parameter(1 / 3, "", 0, 1, "a full seat's amount that widens the back extension", MEMORY)
    thigh_back: float = parameter(0.5, "", 0.3, 0.7, "a full thigh's amount that the back is widened by", PRACTICE)
    crotch_back: float = parameter(0.55, "", 0.4, 0.7, "a long crotch's amount that lies behind", MEMORY)
    crotch_extension: float = parameter(0.5, "", 0, 1, "a long crotch's amount that widens the extension", MEMORY)


USUAL: Final = Shares()


def adjusted(frame: Frame, fitting: Fitting, *, knee: float, shares: Shares = USUAL) -> Frame:
    """The frame of a leg after what a fitting found; `knee` is the height of the knee, below the crotch line negative.

    - A full tummy: slashed from the centre front to the side and opened, the centre line trued up: longer there by the
      amount, and leaning in less. A flat one the other way.
    - A full seat: slashed from the centre back to the side at the hip level and opened like a hinge: longer there by
      the amount, leaning in more, and a part of it across, in the extension. A flat one the other way.
    - A hollow back: folded out above the seat, from the centre back to nothing at the side.
    - A full inner thigh widens the extensions, a full outer one the panels; a leg that tapers is as before at the knee.
    - A long crotch: a part in each extension, the rest at the waist of each centre. A short one the other way.
    - A long rise: slashed across above the hip level and spread evenly.

    Raises:
        MeasurementError: the crotch curves of this body have no room for so much; it says how much they bear.
    """
    if not fitting.found:
        return frame
    try:
        return _changed(frame, fitting, knee, shares)
    except DesignError as error:
        raise _too_much(frame, fitting, knee, shares, error) from None


def _changed(frame: Frame, by: Fitting, knee: float, shares: Shares) -> Frame:
    tummy, seat = by.full_tummy - by.flat_tummy, by.full_seat - by.flat_seat
    rise, crotch = by.long_rise - by.short_rise, by.long_crotch - by.short_crotch
    front_crotch = (1 - shares.crotch_back) * crotch + by.long_front_crotch - by.short_front_crotch
    back_crotch = shares.crotch_back * crotch + by.long_back_crotch - by.short_back_crotch
    hinged = seat * (frame.back.waist - frame.hip_level) / frame.back.width
    front = _half(
        _wider(frame.front, by, 1 - shares.thigh_back),
        frame,
        longer=tummy + front_crotch + rise + by.high_waist_front - by.low_waist_front,
        extension=shares.crotch_extension * front_crotch,
        lean=-shares.tummy_lean * tummy,
    )
    back = _half(
        _wider(frame.back, by, shares.thigh_back),
        frame,
        longer=seat + back_crotch + rise - by.hollow_back + by.high_waist_back - by.low_waist_back,
        extension=shares.seat_extension * seat + shares.crotch_extension * back_crotch,
        lean=hinged,
    )
    return replace(
        frame,
        front=front,
        back=back,
        waist_level=frame.waist_level + rise,
        side=by.high_waist_side - by.low_waist_side,
        falls=_falls(frame, by.full_inner_thigh + by.full_outer_thigh, knee),
    )


def _wider(half: Half, by: Fitting, share: float) -> Half:
    """A half with its share of full thighs; the crotch edge goes along with it."""
    return replace(
        half,
        width=half.width + share * by.full_outer_thigh,
        extension=half.extension + share * by.full_inner_thigh,
    )


def _half(half: Half, frame: Frame, *, longer: float, extension: float, lean: float) -> Half:
    """A half whose crotch edge is so much longer, with a wider extension and a centre that leans in more at the waist.

    Raises:
        DesignError: there is no room for its crotch curve.
    """
    if not (longer or extension or lean):
        return half
    target = crotch_edge(half, frame).length + longer
    made = replace(half, extension=half.extension + extension, lean=half.lean + lean)
    least = abs(longer) + abs(extension) + abs(lean) + 1

    def miss(waist: float) -> float:
        return crotch_edge(replace(made, waist=waist), frame).length - target

    for reach in (least, 2 * least, 4 * least):  # an edge that runs sideways to another fullness gains less by height
        low, high = half.waist - reach, half.waist + reach
        if miss(low) <= 0 <= miss(high):
            return replace(made, waist=monotone_root(miss, low, high, tolerance=TOLERANCE))
    raise DesignError(f"{half.name} crotch curve: its waist cannot be moved so far")


def _falls(frame: Frame, wider: float, knee: float) -> tuple[tuple[float, float], ...]:
    """How far each inseam falls inwards: by half of what the thighs are wider more, from the knee down."""
    if not wider or not frame.falls:
        return frame.falls
    tall = frame.trued_level - knee
    return tuple(
        (height, inside + wider / 2 * min(1.0, (frame.trued_level - height) / tall)) for height, inside in frame.falls
    )


def _too_much(frame: Frame, fitting: Fitting, knee: float, shares: Shares, error: DesignError) -> MeasurementError:
    """Which findings have no room, and how much of them has, in tenths of a mm."""

    def bears(less: Fitting) -> bool:
        try:
            _changed(frame, less, knee, shares)
        except DesignError:
            return False
        return True

    share = 1.0
    while not bears(less := _in_tenths(scaled(fitting, share))):
        share *= LESS
    amounts = " and ".join(f"{name} to {less.found.get(name, 0.0):g} mm" for name in fitting.found)
    half = "front" if str(error).startswith("front") else "back"
    return MeasurementError(
        f"{CALLED}.{next(iter(fitting.found))}: so much leaves no room for the {half} crotch curve on this body; "
        f"set {amounts} at most"
    )


def _in_tenths(fitting: Fitting) -> Fitting:
    return Fitting(**{name: floor(10 * amount + STILL) / 10 for name, amount in fitting.found.items()})


def scaled(fitting: Fitting, share: float) -> Fitting:
    """Every finding by that share of its amount."""
    return Fitting(**{one.name: getattr(fitting, one.name) * share for one in fields(fitting)})


def check_side(fitting: Fitting, design: ShortDesign) -> None:
    """See that the waist edge can rise or fall at the side by itself.

    Raises:
        MeasurementError: it is to, and is folded along a straight line.
    """
    for name in ("high_waist_side", "low_waist_side"):
        if name in fitting.found and design.waist.finish is WaistFinish.CUT_ON:
            raise MeasurementError(
                f"{CALLED}.{name}: a cut-on casing is folded along a straight line from centre to centre, so its side "
                f"cannot be changed alone; leave {name} out, or set waist.finish to another"
            )


def lengthened(design: ShortDesign, body: Body) -> LegDesign:
    """The leg of a design, as much longer or shorter as a fitting found.

    Raises:
        MeasurementError: it would be longer or shorter than a leg can be; the message says how much it can.
    """
    found = body.fitting
    by = found.long_leg - found.short_leg
    if not by:
        return design.leg
    about, now = parameters_of(design.leg)["inseam_length"], design.leg.inseam_length
    longest = min(about.high, body.known("inside_leg_height"))
    name, room = ("long_leg", longest - now) if by > 0 else ("short_leg", now - about.low)
    if abs(by) > room:
        raise MeasurementError(
            f"{CALLED}.{name}: {abs(by):.4g} mm makes the inseam {design.said(now + by)}; it may be "
            f"{show_span(about.low, longest, design.unit)}: set {name} to {design.at_most(max(0.0, room))} at most"
        )
    return replace(design.leg, inseam_length=now + by)
