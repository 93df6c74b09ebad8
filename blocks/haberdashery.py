"""Elastic, trim and cord: what to cut for one garment, and what to buy. Lengths in mm, what is bought in metres."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

from blocks.elastic import Elastic, Use
from blocks.garment import Garment, Trim
from blocks.parameters import CHOICE, PRACTICE, Parameters, parameter

ELASTIC: Final = "elastic"
"""What casings and waist take, as it is sold."""

_HAIR: Final = 1e-6
"""mm; what sums of floats may be off, so that 1.9 m is bought as 1.9 m."""


@dataclass(frozen=True, slots=True)
class Rounding(Parameters):
    """How lengths are rounded for the reader."""

    called: ClassVar[str] = "rounding"

    cut: float = parameter(5, "mm", 1, 10, "cut lengths are rounded to the nearest of these", CHOICE)
    bought: float = parameter(100, "mm", 10, 1000, "lengths to buy are rounded up to the next of these", PRACTICE)


@dataclass(frozen=True, slots=True)
class Strip:
    """One elastic or trim of a garment: cut `quantity` of it, `cut_length` long, or `rounded` for a tape measure.

    `stretch_ratio` is that of an elastic: so many times its finished length it must reach as it is put on.
    """

    use: Use
    name: str
    width: float
    cut_length: float
    rounded: float
    quantity: int
    stretch_ratio: float | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy of one ware, such as elastic, in one width: the sum of the exact cut lengths, and the metres that
    suffice for cutting them exactly or rounded.
    """

    ware: str
    width: float
    total: float
    metres: float


@dataclass(frozen=True, slots=True)
class Haberdashery:
    """The strips of one garment and, by ware and from wide to narrow, what to buy for them."""

    elastics: tuple[Strip, ...]
    to_buy: tuple[Purchase, ...]
    trims: tuple[Strip, ...] = ()
    trims_to_buy: tuple[Purchase, ...] = ()

    @property
    def shopping(self) -> tuple[Purchase, ...]:
        """All that is to be bought, elastic first."""
        return (*self.to_buy, *self.trims_to_buy)


def haberdashery(garment: Garment, *, rounding: Rounding | None = None) -> Haberdashery:
    """What one size takes."""
    return strips_of(garment.elastics, pattern=garment, rounding=rounding)


def strips_of(elastics: Iterable[Elastic], *, pattern: Garment, rounding: Rounding | None = None) -> Haberdashery:
    """What a garment cut from `pattern` takes when these elastics go into it."""
    by = rounding or Rounding()
    strips = tuple(
        Strip(
            use=one.use,
            name=one.label,
            width=one.elastic_width,
            cut_length=one.cut_length,
            rounded=_nearest(one.cut_length, by.cut),
            quantity=one.quantity,
            stretch_ratio=one.stretch,
        )
        for one in elastics
    )
    trims = _trims(pattern.trims, by)
    return Haberdashery(strips, _purchases(strips, by), trims, _purchases(trims, by))


Column = tuple[Use, str]
"""What a strip is for and its name: what tells it apart from all others of a garment."""


def column_of(strip: Strip) -> Column:
    """Where a strip stands in a table of several sizes."""
    return strip.use, strip.name


def columns_of(takes: Sequence[Haberdashery]) -> tuple[Strip, ...]:
    """One strip for each column of a table of several sizes: waist, casings from the top down, trim."""
    longest = sorted(takes, key=lambda each: -len(each.elastics))
    found = {column_of(strip): strip for each in longest for strip in (*each.elastics, *each.trims)}
    order = list(Use)
    return tuple(sorted(found.values(), key=lambda strip: order.index(strip.use)))


def strips_by_column(takes: Haberdashery) -> dict[Column, Strip]:
    """The strips of one garment by their place in such a table."""
    return {column_of(strip): strip for strip in (*takes.elastics, *takes.trims)}


def changed(takes: Haberdashery, own: Haberdashery) -> tuple[Strip, ...]:
    """The elastics of a wearer between sizes that are cut to other lengths than the pattern's own."""
    lengths = {column_of(strip): strip.cut_length for strip in own.elastics}
    return tuple(strip for strip in takes.elastics if abs(strip.cut_length - lengths[column_of(strip)]) > _HAIR)


def _trims(trims: Sequence[Trim], by: Rounding) -> tuple[Strip, ...]:
    return tuple(
        Strip(Use.TRIM, one.name, one.width, one.cut_length, _nearest(one.cut_length, by.cut), one.quantity)
        for one in trims
    )


def _purchases(strips: Sequence[Strip], by: Rounding) -> tuple[Purchase, ...]:
    purchases = []
    for ware, width in sorted({(_ware(strip), strip.width) for strip in strips}, key=lambda each: (each[0], -each[1])):
        mine = [strip for strip in strips if (_ware(strip), strip.width) == (ware, width)]
        total = sum(strip.cut_length * strip.quantity for strip in mine)
        rounded = sum(strip.rounded * strip.quantity for strip in mine)
        purchases.append(Purchase(ware, width, total, _metres(max(total, rounded), by.bought)))
    return tuple(purchases)


def _ware(strip: Strip) -> str:
    """What a strip is sold as: elastic, or what it is called."""
    return strip.name if strip.use is Use.TRIM else ELASTIC


def _nearest(length: float, step: float) -> float:
    """Halves go up: an elastic a hair too long can be shortened."""
    return math.floor(length / step + 0.5) * step


def _metres(length: float, step: float) -> float:
    return round(math.ceil((length - _HAIR) / step) * step / 1000, 3)
