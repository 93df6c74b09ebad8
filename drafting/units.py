"""Lengths are millimetres everywhere inside; this table is used only where numbers enter or leave.

The inch is exactly 25.4 mm (international yard and pound agreement of 1959); a PDF unit is 1/72 inch (ISO 32000-1,
8.3.2.3).
"""

from __future__ import annotations

from typing import Final

from drafting.errors import DraftError

INCH: Final = 25.4
POINT: Final = INCH / 72
MILLIMETRES: Final = {"mm": 1.0, "cm": 10.0, "in": INCH}


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
