"""The cloths of which the guide says what fits them in one piece."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from blocks.cloth import Cloth, Lay

WIDTHS: Final = (1100.0, 1400.0, 1500.0)
"""mm; common widths of cloth, for which the guide says what fits in one piece: common practice, no source."""


def told_cloths(cloth: Cloth, others: Iterable[Cloth] = ()) -> list[Cloth]:
    """A cloth, as wide as the others and as common ones too, opened out and folded; narrow ones first.

    >>> [cloth.width for cloth in told_cloths(Cloth(1200))[::2]]
    [1100.0, 1200.0, 1400.0, 1500.0]
    """
    widths = {cloth.width, *(other.width for other in others), *WIDTHS}
    return [replace(cloth, width=width, lay=lay) for width in sorted(widths) for lay in Lay]
