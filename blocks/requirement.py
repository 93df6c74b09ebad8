"""The cloth requirement: how much to buy for a lay, with what shrinks and what is lost at the ends. In mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar, Final

from blocks.lay import LayPlan
from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.units import INCH

YARD: Final = 36 * INCH

_HAIR: Final = 1e-6
"""mm; what sums of floats may be off, so that 1.5 m is bought as 1.5 m."""


@dataclass(frozen=True, slots=True)
class Buying(Parameters):
    """What is added to a lay, and how cloth is sold.

    Shrinkage is reckoned on the length before washing, as dimensional change is in ISO 5077 (from memory): cloth that
    shrinks by 10 % must be bought 1 / 0.9 as long. Cloth is laid after it is washed; its width is the width then.
    """

    called: ClassVar[str] = "buying"

    shrinkage: float = parameter(0.03, "", 0, 0.25, "of the length, in the first wash", PRACTICE)
    ends: float = parameter(40, "mm", 0, 300, "lost where both ends of the cloth are squared", PRACTICE)
    step: float = parameter(50, "mm", 10, 500, "lengths to buy are rounded up to the next of these", PRACTICE)
    yard_parts: float = parameter(8, "", 1, 16, "in yards they are rounded up to the next of these parts", PRACTICE)


@dataclass(frozen=True, slots=True)
class Requirement:
    """What a lay needs: its own length, the least to buy, and that rounded up for a shop in metres or in yards."""

    lay_length: float
    least: float
    metric: float
    imperial: float

    @property
    def metres(self) -> float:
        return round(self.metric / 1000, 3)

    @property
    def yards(self) -> float:
        return round(self.imperial / YARD, 4)


def requirement(plan: LayPlan, *, buying: Buying | None = None) -> Requirement:
    """The length to buy for a lay, of cloth as wide as the plan's."""
    return required(plan.length, buying=buying)


def required(lay_length: float, *, buying: Buying | None = None) -> Requirement:
    """The length to buy for a lay of that length.

    >>> required(1000.0, buying=Buying(shrinkage=0.1, ends=0)).metres
    1.15
    """
    by = buying or Buying()
    least = (lay_length + by.ends) / (1 - by.shrinkage)
    part = YARD / by.yard_parts
    return Requirement(lay_length, least, _up(least, by.step), _up(least, part))


def _up(length: float, step: float) -> float:
    return math.ceil((length - _HAIR) / step) * step
