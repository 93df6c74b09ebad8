"""How lengths to cut and amounts to buy are told: each by one function, wherever it is printed, listed or tabulated."""

from __future__ import annotations

import math

from blocks.haberdashery import Purchase, Strip
from blocks.notions import Thread
from blocks.requirement import YARD, Requirement
from drafting.units import INCH, eighths
from output.tables.csv_text import Written


def cm(length: float, decimals: int = 2) -> Written:
    """A length in mm as bare centimetres in a table.

    >>> cm(1020), cm(-0.004), cm(1020, 1)
    ('102.00', '0.00', '102.0')
    """
    return _fixed(length / 10, decimals)


def inches_of(length: float, decimals: int = 3) -> Written:
    """A length in mm as bare inches in a table.

    >>> inches_of(25.4)
    '1.000'
    """
    return _fixed(length / INCH, decimals)


def _fixed(value: float, decimals: int) -> Written:
    """A number with so many decimals, and no minus before nought."""
    return Written(f"{round(value, decimals) + 0.0:.{decimals}f}")


def cut_cells(strip: Strip) -> tuple[str, str]:
    """A length to cut: rounded for a tape in centimetres, and to the nearest eighth of an inch."""
    return cm(strip.rounded, 1), eighths(strip.cut_length)


def cut_words(strip: Strip) -> str:
    """A length to cut in a list, as in `46.5 cm (18 1/4 in)`."""
    rounded, inches = cut_cells(strip)
    return f"{rounded} cm ({inches} in)"


def metres(amount: float) -> str:
    """Metres to buy, to the centimetre.

    >>> metres(0.7), metres(1.25)
    ('0.70', '1.25')
    """
    return f"{amount:.2f}"


def yards(amount: float) -> str:
    """Yards in eighths, or as a decimal where they are not.

    >>> yards(1.25), yards(2.0), yards(0.625), yards(1.2)
    ('1 1/4', '2', '5/8', '1.2')
    """
    whole, parts = divmod(round(amount * 8, 6), 8)
    if parts != round(parts):
        return f"{amount:g}"
    if not parts:
        return f"{whole:g}"
    common = math.gcd(int(parts), 8)
    return f"{f'{whole:g} ' if whole else ''}{int(parts) // common}/{8 // common}"


def bought(need: Purchase | Requirement) -> tuple[str, str]:
    """What to buy, in metres and in yards. Elastic and trim are sold by the eighth of a yard, rounded up.

    >>> bought(Purchase("elastic", 8.0, 640.0, 0.7))
    ('0.70', '7/8')
    """
    if isinstance(need, Requirement):
        return metres(need.metres), yards(need.yards)
    return metres(need.metres), yards(math.ceil(1000 * need.metres / YARD * 8 - 1e-9) / 8)


def bought_words(need: Purchase | Requirement) -> str:
    """What to buy in a list, as in `0.70 m (7/8 yd)`."""
    metric, imperial = bought(need)
    return f"{metric} m ({imperial} yd)"


def thread_metres(thread: Thread) -> str:
    """Thread to buy, about, in whole metres."""
    return f"{thread.metres:.0f}"


def used_percent(used: float) -> str:
    """The share of the cloth that pieces cover, in per cent."""
    return f"{100 * used:.1f}"
