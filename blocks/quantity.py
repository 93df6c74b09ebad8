"""Numbers as a user wrote them: checked for their kind, their range and the unit they were meant in."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from decimal import Decimal
from numbers import Real
from typing import Final, Protocol

from drafting.errors import DraftError
from drafting.units import MILLIMETRES, millimetres_per, show_in, show_span

_NEAR: Final = 0.6
"""How alike two names must be (0 to 1, `difflib`) before one is offered for the other."""

_SPOKEN: Final = {"in": "inches"}

_MOST_DIGITS: Final = 8
"""Of a count: more are no number of anything."""

_DECIMAL_COMMA: Final = re.compile(r"[+-]?\d+,\d+")
_TWO_MARKS: Final = re.compile(r"\s*[+-]?\d+(\.\d+)*(\.\d+,|,\d+\.)\d[\d.,]*\s*")


class Bounds(Protocol):
    """What has a lowest and a highest value."""

    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


def finite(raw: object) -> float | None:
    """The number that was given, as a plain float, or None when it is not a finite number.

    Whatever counts as a real number does: numbers of Python, decimals, fractions, numbers of numpy and its arrays
    without dimensions. A truth value, a complex number and text do not.

    >>> from decimal import Decimal
    >>> finite(3), finite(Decimal("1.5")), finite("3"), finite(True), finite(float("nan"))
    (3.0, 1.5, None, None, None)
    """
    value = single(raw)
    if isinstance(value, bool) or not isinstance(value, Real | Decimal):
        return None
    try:
        number = float(value)
    except (OverflowError, ValueError):  # too large, or a decimal's signalling NaN
        return None
    return number if math.isfinite(number) else None


def single(raw: object) -> object:
    """The one value in a number or an array of numpy, which need not be loaded for that; anything else as it is."""
    return raw.item() if getattr(raw, "ndim", None) == 0 and hasattr(raw, "item") else raw


Number = float | str
"""A number as a caller gives it, or as somebody types it."""


def read_number(given: Number) -> Number:
    """The number that a text holds, or the text, to be refused by name, when it holds none; a number is itself.

    >>> read_number("20.5"), read_number("20,5"), read_number(20.5)
    (20.5, '20,5', 20.5)
    """
    if not isinstance(given, str) or "_" in given:  # digits parted by underscores are Python's custom alone
        return given
    try:
        return float(given)
    except ValueError:
        return given


def read_count(given: int | str) -> int | None:
    """The whole number, not negative, that was given or that a text holds in digits alone; None when it is none.

    >>> read_count("12"), read_count(12), read_count("1.0"), read_count(-1)
    (12, 12, None, None)
    """
    if isinstance(given, str):
        return int(given) if given.isdecimal() and len(given) <= _MOST_DIGITS else None
    number = finite(given)
    if number is None or not number.is_integer() or not 0 <= number < 10**_MOST_DIGITS:
        return None
    return int(number)


def read_cell(text: str) -> Number:
    """The number in a cell of a table, whose decimal mark may be a comma; what else it holds is left as text.

    >>> read_cell("20.5"), read_cell("20,5"), read_cell("1.234,5")
    (20.5, 20.5, '1.234,5')
    """
    return read_number(text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text)


def not_a_number(raw: object) -> str:
    """What is wrong with a value that `finite` refused, and what to write instead."""
    value = single(raw)
    if isinstance(value, str) and _TWO_MARKS.fullmatch(value):
        return f"{shown(value)} has two kinds of marks and may mean several numbers; write it as 1234.5"
    if isinstance(value, str):
        return f"{shown(value)} is text, not a number; write a plain number such as 20.5, without quotes or a unit"
    if isinstance(value, Real | Decimal) and not isinstance(value, bool):
        return f"{shown(value)} is not a finite number; write a plain number"
    return f"{shown(value)} is not a number; write a single plain number"


def in_millimetres(number: float, unit: str) -> float:
    """A length in mm, rounded far below any cloth so that 1.1 cm is 11 mm and not a hair more.

    >>> in_millimetres(1.1, "cm")
    11.0
    """
    return round(number * millimetres_per(unit), 9)


def outside(millimetres: float, low: float, high: float, unit: str) -> str:
    """How a length outside its range is told to the user, in the unit it was given in.

    >>> outside(102 * 25.4, 600, 2000, "in")
    '102 in (259.1 cm) is outside 23.6 to 78.7 in (60 to 200 cm)'
    """
    return f"{show_in(millimetres, unit)} is outside {show_span(low, high, unit)}"


def other_unit(millimetres: float, low: float, high: float, unit: str) -> str | None:
    """What to do about a length outside its range when the same number in another unit would lie in it; else None.

    >>> other_unit(102 * 25.4, 600, 2000, "in")
    'if it was measured in cm, set the unit to "cm"'
    >>> other_unit(3, 5, 20, "mm")
    """
    value = millimetres / millimetres_per(unit)
    for other, size in MILLIMETRES.items():
        if other != unit and low <= value * size <= high:
            return f'if it was measured in {_SPOKEN.get(other, other)}, set the unit to "{other}"'
    return None


def length_within(
    name: str, raw: object, about: Bounds, unit: str, *, otherwise: str, error: type[DraftError]
) -> float:
    """A length that was written in `unit`, in mm, held to its range; `otherwise` is the remedy if no unit explains it.

    Raises:
        DraftError: of the kind `error`: not a number, or outside the range.
    """
    number = finite(raw)
    if number is None:
        raise error(f"{name}: {not_a_number(raw)}; it may be {show_span(about.low, about.high, unit)}")
    value = in_millimetres(number, unit)
    if not about.low <= value <= about.high:
        remedy = other_unit(value, about.low, about.high, unit) or otherwise
        raise error(f"{name}: {outside(value, about.low, about.high, unit)}; {remedy}")
    return value


def suggestion(name: str, known: Iterable[str]) -> str:
    """A question that offers the known name nearest to an unknown one, or the list of them.

    >>> suggestion("hip_girt", ["hip_girth", "waist_girth"])
    'did you mean hip_girth?'
    """
    from difflib import get_close_matches  # noqa: PLC0415 - needed only for an error

    names = list(known)
    close = get_close_matches(name.lower(), names, n=1, cutoff=_NEAR)
    return f"did you mean {close[0]}?" if close else f"known are {', '.join(names)}"


def shown(raw: object) -> str:
    """A value that a user wrote, on one line and cut when it is long.

    >>> shown("10 cm"), shown([1, 2]), shown(True)
    ('"10 cm"', '[1, 2]', 'true')
    """
    if isinstance(raw, bool):
        return str(raw).lower()
    try:
        text = f'"{raw}"' if isinstance(raw, str) else str(raw)
    except ValueError:  # an integer of thousands of digits will not be written out
        return "a number of thousands of digits"
    text = " ".join("".join(character if character.isprintable() else " " for character in text).split())
    return text if len(text) <= 40 else f"{text[:37]}..."
