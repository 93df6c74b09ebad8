"""Lengths are millimetres everywhere inside: their units where numbers enter, and how they are shown where they leave.

The inch is exactly 25.4 mm (international yard and pound agreement of 1959); a PDF unit is 1/72 inch (ISO 32000-1,
8.3.2.3).
"""

from __future__ import annotations

from math import ceil, floor, gcd
from typing import Final

from drafting.errors import DraftError

INCH: Final = 25.4
POINT: Final = INCH / 72
MOST_DECIMALS: Final = 6
MILLIMETRES: Final = {"mm": 1.0, "cm": 10.0, "in": INCH}

_STEPS: Final = {"mm": 1.0, "cm": 1.0, "in": INCH / 20}
"""mm; how finely lengths are set in each unit."""


def millimetres_per(unit: str) -> float:
    """Millimetres in one `unit`.

    >>> millimetres_per("in")
    25.4

    Raises:
        DraftError: `unit` is not one of mm, cm, in.
    """
    try:
        return MILLIMETRES[unit]
    except (KeyError, TypeError):
        raise DraftError(f"unit: {unit!r} is not a unit of length; write one of {', '.join(MILLIMETRES)}") from None


def beyond(value: float, bound: float, *, decimals: int = 0) -> str:
    """A number on one side of a bound, with as many decimals as it takes for its words to be on that side too.

    >>> beyond(10.3, 10), beyond(12.3, 10), beyond(2.504, 2.5, decimals=2), beyond(59.96, 60)
    ('10.3', '12', '2.504', '59.96')
    """
    while round(value, decimals) == round(bound, decimals) and decimals < MOST_DECIMALS:
        decimals += 1
    return f"{value:.{decimals}f}"


def apart(value: float, other: float, *, decimals: int) -> tuple[str, str]:
    """Two numbers that differ, both with as many decimals as it takes to see it.

    >>> apart(85.873, 85.872, decimals=1), apart(102.3, 57.0, decimals=1)
    (('85.873', '85.872'), ('102.3', '57.0'))
    """
    while f"{value:.{decimals}f}" == f"{other:.{decimals}f}" and decimals < MOST_DECIMALS:
        decimals += 1
    return f"{value:.{decimals}f}", f"{other:.{decimals}f}"


def show_in(length: float, unit: str) -> str:
    """A length in mm in the unit that its reader writes lengths in, and in cm beside inches.

    >>> show_in(254, "in"), show_in(254, "cm")
    ('10 in (25.4 cm)', '25.4 cm')
    """
    own = f"{_plain(length / millimetres_per(unit))} {unit}"
    return f"{own} ({_plain(length / 10, 1)} cm)" if unit == "in" else own


def show_rounded_up(length: float, unit: str) -> str:
    """A length in mm in its reader's unit, rounded up as it is set: to a whole mm, a mm in cm, a twentieth of an inch.

    >>> show_rounded_up(12.3, "mm"), show_rounded_up(12.3, "in"), show_rounded_up(13, "cm")
    ('13 mm', '0.5 in (1.3 cm)', '1.3 cm')
    """
    return show_in(rounded_up(length, unit), unit)


def show_rounded_down(length: float, unit: str) -> str:
    """A length in mm in its reader's unit, rounded down as it is set.

    >>> show_rounded_down(12.3, "mm"), show_rounded_down(12.3, "cm"), show_rounded_down(-12.3, "in")
    ('12 mm', '1.2 cm', '-0.5 in (-1.3 cm)')
    """
    return show_in(rounded_down(length, unit), unit)


def step_of(unit: str) -> float:
    """How finely lengths are set in a unit, in mm."""
    return _STEPS[unit]


def rounded_up(length: float, unit: str) -> float:
    """The least length in mm that is no less, and can be set in the reader's unit."""
    step = _STEPS[unit]
    return ceil(length / step - 1e-9) * step


def rounded_down(length: float, unit: str) -> float:
    """The greatest length in mm that is no more, and can be set in the reader's unit."""
    step = _STEPS[unit]
    return floor(length / step + 1e-9) * step


def show_span(low: float, high: float, unit: str) -> str:
    """A range of lengths in mm in its reader's unit, and in cm beside inches.

    >>> show_span(600, 2000, "cm"), show_span(600, 2000, "in")
    ('60 to 200 cm', '23.6 to 78.7 in (60 to 200 cm)')
    """
    per = millimetres_per(unit)
    if unit != "in":
        return f"{_plain(low / per)} to {_plain(high / per)} {unit}"
    return f"{_plain(low / per, 1)} to {_plain(high / per, 1)} in ({_plain(low / 10)} to {_plain(high / 10)} cm)"


def _plain(number: float, digits: int = 4) -> str:
    """A number without trailing zeros."""
    text = f"{number:.{digits}f}" if abs(number) < 1e9 else f"{number:g}"
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text


def show_cm(length: float) -> str:
    """A length in mm as centimetres with one decimal.

    >>> show_cm(1020)
    '102.0 cm'
    """
    return f"{length / 10:.1f} cm"


def show_both(length: float) -> str:
    """A length in mm in both systems, as it is printed: inches to three figures, never coarser than a tenth.

    >>> show_both(254), show_both(3200), show_both(8)
    ('25.4 cm (10 in)', '320.0 cm (126 in)', '0.8 cm (0.315 in)')
    """
    inches = length / INCH
    decimals = 1 if abs(inches) >= 10 else 2 if abs(inches) >= 1 else 3
    return f"{show_cm(length)} ({f'{inches:.{decimals}f}'.rstrip('0').rstrip('.')} in)"


def nearest_eighth(length: float) -> float:
    """A length in mm as inches to the nearest eighth, halves away from nought.

    >>> nearest_eighth(12.375 * 25.4), nearest_eighth(-1.6)
    (12.375, -0.125)
    """
    parts = floor(abs(length) / INCH * 8 + 0.5)
    return (-parts if length < 0 else parts) / 8


def eighths(length: float) -> str:
    """A length in mm as inches to the nearest eighth; below one inch with a nought, so that it is no date.

    >>> eighths(12.375 * 25.4), eighths(25.4), eighths(9.525), eighths(-9.525)
    ('12 3/8', '1', '0 3/8', '-0 3/8')
    """
    inches = nearest_eighth(length)
    whole, rest = divmod(round(abs(inches) * 8), 8)
    sign = "-" if inches < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    common = gcd(rest, 8)
    return f"{sign}{whole} {rest // common}/{8 // common}"


def on_tape(length: float) -> tuple[str, str]:
    """A length in mm as the two sides of a tape measure show it: bare centimetres, and inches in eighths.

    >>> on_tape(721)
    ('72.1', '28 3/8')
    """
    return f"{length / 10:.1f}", eighths(length)


def show_measure(length: float) -> str:
    """A girth or length of body or garment in mm as a tape measure shows it, in both systems.

    >>> show_measure(721)
    '72.1 cm (28 3/8 in)'
    """
    return "{} cm ({} in)".format(*on_tape(length))


def show_small(length: float) -> str:
    """A short length in mm and in sixteenths of an inch, as on a seam gauge.

    >>> show_small(10), show_small(25.4), show_small(2), show_small(32)
    ('10 mm (3/8 in)', '25.4 mm (1 in)', '2 mm (1/16 in)', '32 mm (1 1/4 in)')
    """
    return f"{length:.4g} mm ({_fraction(floor(length / INCH * 16 + 0.5), 16)} in)"


def show_at_most(length: float) -> str:
    """A short length that must not be passed, in mm and in inches rounded down to a 32nd.

    >>> show_at_most(4), show_at_most(2), show_at_most(3.5)
    ('4 mm (5/32 in)', '2 mm (1/16 in)', '3.5 mm (1/8 in)')
    """
    return f"{length:.4g} mm ({_fraction(floor(length / INCH * 32), 32)} in)"


def _fraction(parts: int, of: int) -> str:
    """One part at least, of so many to the inch, as whole inches and a fraction in its lowest terms."""
    whole, rest = divmod(max(1, parts), of)
    common = gcd(rest, of)
    fraction = f"{rest // common}/{of // common}" if rest else ""
    return " ".join(part for part in (str(whole) if whole else "", fraction) if part)
