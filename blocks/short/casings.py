"""Which casings a leg has, how high each lies, how full the cloth between them is, and why one is left out.

Heights are in mm above the crotch line. Where a leg has room for them is asked of `blocks.short.folding`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, copysign
from typing import Final

from blocks.design import CasingDesign
from blocks.short.design import ShortCasing, ShortDesign
from blocks.tucks import check_depth

FULLNESS_STEP: Final = 0.1
"""How finely a fullness nearer to the leg's is looked for, where one is too great or too small."""


@dataclass(frozen=True, slots=True)
class PlacedCasing(CasingDesign):
    """A casing of a short as it lies in one size: its `height` in mm above the crotch line, in both rises.

    `fullness` is that of the cloth beyond it. One placed by its `share` has that still, and `whole` is what a share
    of 1 is here, in mm: the rise, or the leg's length below the crotch.
    """

    fullness: float = 1.0
    share: float | None = None
    whole: float = 0.0


@lru_cache(maxsize=256)
def resolved(
    design: ShortDesign, waist_level: float, hem_level: float, *, longer: float = 0.0
) -> tuple[PlacedCasing, ...]:
    """Every casing of a design as it lies in one size, lowest first.

    `waist_level` is the height of the high rise's waist at the side, in either rise. Where a casing lies is asked here
    and nowhere else. Where a fitting has made the leg `longer`, those below the crotch line keep their distance from
    the hem.

    Raises:
        DesignError: a casing too shallow for its elastic.
    """
    placed = [_placed(casing, design, waist_level, hem_level, longer) for casing in design.casings]
    for casing in placed:
        check_depth(casing, design)
    return tuple(sorted(placed, key=lambda casing: casing.height))


def _placed(
    casing: ShortCasing, design: ShortDesign, waist_level: float, hem_level: float, longer: float
) -> PlacedCasing:
    share = casing.share or 0.0
    whole = waist_level if share > 0 else -hem_level
    height = share * whole if casing.height is None else casing.height
    if casing.height is not None and height <= 0:  # the leg is slashed above them
        height -= longer
    return PlacedCasing(
        name=casing.name,
        height=height,
        elastic_width=casing.elastic_width,
        room=casing.room,
        depth=casing.depth,
        ease=casing.ease,
        fullness=design.leg.fullness if casing.fullness is None else casing.fullness,
        share=casing.share,
        whole=whole,
    )


def zones(
    casings: Sequence[PlacedCasing], waist_level: float, hem_level: float, fullness: float
) -> tuple[tuple[float, float], ...]:
    """The zones of cloth between casings, lowest first: the height of each one's middle, in mm, and its fullness.

    `casings` run from the lowest up. The zone round the crotch line has the leg's `fullness`, and there it is held: its
    middle is the crotch line itself, however long the leg. Two casings at one height have no zone between them, and
    one beyond the leg has none at all, so heights grow strictly.

    >>> placed = [PlacedCasing("low", -80, fullness=1.2), PlacedCasing("up", 100, fullness=2.0)]
    >>> zones(placed, 280, -140, 1.5)
    ((-110.0, 1.2), (0.0, 1.5), (190.0, 2.0))
    """
    below = [casing for casing in casings if hem_level < casing.height <= 0]
    above = [casing for casing in casings if 0 < casing.height < waist_level]
    lows = [hem_level, *(casing.height for casing in below)]
    highs = [*(casing.height for casing in above), waist_level]
    return (
        *(((low + one.height) / 2, one.fullness) for low, one in zip(lows, below, strict=False) if low < one.height),
        (0.0, fullness),
        *(
            ((one.height + high) / 2, one.fullness)
            for one, high in zip(above, highs[1:], strict=True)
            if one.height < high
        ),
    )


def eased(casing: ShortCasing, design: ShortDesign) -> Iterator[tuple[float, ShortDesign]]:
    """Values of a casing's fullness from its own to the leg's, each with the design that has it."""
    apart = design.leg.fullness - (casing.fullness or design.leg.fullness)
    for step in range(1, ceil(abs(apart) / FULLNESS_STEP) + 1):
        value = round(design.leg.fullness - apart + copysign(min(step * FULLNESS_STEP, abs(apart)), apart), 2)
        casings = (replace(one, fullness=value) if one.name == casing.name else one for one in design.casings)
        yield value, replace(design, casings=tuple(casings))


def fullness_told(casings: Sequence[PlacedCasing], fullness: float) -> str:
    """How full the cloth is from one casing to the next, where it is not the same all over; empty where it is.

    `casings` run from the lowest up, and the leg's own `fullness` is that of the cloth round the crotch line.

    >>> fullness_told([PlacedCasing("low", -80, fullness=1.2), PlacedCasing("up", 100, fullness=1.5)], 1.5)
    "fullness of the cloth: 1.5 round the crotch line, 1.2 below casing 'low', 1.5 above casing 'up'"
    """
    if all(casing.fullness == fullness for casing in casings):
        return ""
    beyond = [
        f"{casing.fullness:g} {'above' if casing.height > 0 else 'below'} casing {casing.name!r}" for casing in casings
    ]
    return ", ".join((f"fullness of the cloth: {fullness:g} round the crotch line", *beyond))


def left_out(casing: PlacedCasing, design: ShortDesign, rise: str) -> str:
    """Why a rise lacks a casing, in the same words for every size.

    >>> left_out(PlacedCasing("upper", 190), ShortDesign("Heron"), "mid")[:43]
    "casing 'upper' is left out of the mid rise:"
    """
    at = design.said(casing.height) if casing.share is None else f"{casing.share:g} of the rise"
    return (
        f"casing {casing.name!r} is left out of the {rise} rise: stitched {at} above the crotch line, its tuck would "
        f"lie above {_waist_edge(design)}{design.said(design.limits.tuck_gap)} of clearance"
    )


def _waist_edge(design: ShortDesign) -> str:
    if not design.waist.taken_below:
        return "the front seam of the waistband less "
    return f"the front waist edge less the {design.said(design.waist.channel)} channel of the waist elastic and "
