"""Which casings a leg has, where each may lie, why one is left out or refused. Heights in mm above the crotch line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from blocks.design import CasingDesign
from blocks.short.design import ShortCasing, ShortDesign
from blocks.tucks import check_depth, check_spacing
from drafting.casing import Tuck
from drafting.curve import Cubic, monotone_root
from drafting.errors import DesignError

if TYPE_CHECKING:
    from blocks.short.leg import LegBlock


@dataclass(frozen=True, slots=True)
class PlacedCasing(CasingDesign):
    """A casing of a short as it lies in one size: its `height` in mm above the crotch line, in both rises.

    `fullness` is that of the cloth beyond it. One placed by its `share` has that still, and `whole` is what a share
    of 1 is here, in mm: the rise, or the leg's length below the crotch.
    """

    fullness: float = 1.0
    share: float | None = None
    whole: float = 0.0


def resolved(design: ShortDesign, waist_level: float, hem_level: float) -> tuple[PlacedCasing, ...]:
    """Every casing of a design as it lies in one size, lowest first.

    `waist_level` is the height of the high rise's waist at the side, in either rise. Where a casing lies is asked here
    and nowhere else.

    Raises:
        DesignError: a casing too shallow for its elastic, or whose tuck covers another casing.
    """
    placed = [_placed(casing, design, waist_level, hem_level) for casing in design.casings]
    for casing in placed:
        check_depth(casing, design)
    placed.sort(key=lambda casing: casing.height)
    check_spacing(placed, design)
    return tuple(placed)


def casings_of(block: LegBlock, design: ShortDesign) -> tuple[PlacedCasing, ...]:
    """Every casing of a design as it would lie on this leg, lowest first, were there room at the waist for all.

    Raises:
        DesignError: as `resolved` does.
    """
    return resolved(design, block.high_waist_level, block.hem_level)


def _placed(casing: ShortCasing, design: ShortDesign, waist_level: float, hem_level: float) -> PlacedCasing:
    share = casing.share or 0.0
    whole = waist_level if share > 0 else -hem_level
    return PlacedCasing(
        name=casing.name,
        height=share * whole if casing.height is None else casing.height,
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
    middle is the crotch line itself, however long the leg. Heights grow strictly.

    >>> placed = [PlacedCasing("low", -80, fullness=1.2), PlacedCasing("up", 100, fullness=2.0)]
    >>> zones(placed, 280, -140, 1.5)
    ((-110.0, 1.2), (0.0, 1.5), (190.0, 2.0))
    """
    below = [casing for casing in casings if casing.height <= 0]
    above = [casing for casing in casings if casing.height > 0]
    lows = [min((hem_level, *(casing.height for casing in below))), *(casing.height for casing in below)]
    highs = [*(casing.height for casing in above), max((waist_level, *(casing.height for casing in above)))]
    return (
        *(((low + casing.height) / 2, casing.fullness) for low, casing in zip(lows, below, strict=False)),
        (0.0, fullness),
        *(((casing.height + high) / 2, casing.fullness) for casing, high in zip(above, highs[1:], strict=True)),
    )


def tucks_of(block: LegBlock, design: ShortDesign) -> tuple[tuple[Tuck, ...], tuple[PlacedCasing, ...]]:
    """The tucks of a design's casings on this leg, lowest first, and the casings that it has no room for at the waist.

    Raises:
        DesignError: a casing too shallow for its elastic, in the flat of the crotch curve, off the leg, or whose tuck
            covers another casing, the hem or (high rise) the waist; the message says by how many mm to move it.
    """
    ceiling = _ceiling(block, design)
    casings = casings_of(block, design)
    kept = [casing for casing in casings if casing.height <= ceiling]
    floor = _steep_floor(block, design)
    for casing in kept:
        _check_place(casing, block, design, floor)
    return tuple(Tuck(c.name, c.height, c.depth) for c in kept), tuple(c for c in casings if c.height > ceiling)


def left_out(casing: PlacedCasing, design: ShortDesign, rise: str) -> str:
    """Why a rise lacks a casing, in the same words for every size.

    >>> left_out(PlacedCasing("upper", 190), ShortDesign("Heron"), "mid")[:43]
    "casing 'upper' is left out of the mid rise:"
    """
    return (
        f"casing {casing.name!r} is left out of the {rise} rise: stitched {design.said(casing.height)} above the "
        f"crotch line, its tuck would lie above the front waist edge less the {design.said(design.waist.channel)} "
        f"channel of the waist elastic and {design.said(design.limits.tuck_gap)} of clearance"
    )


def _ceiling(block: LegBlock, design: ShortDesign) -> float:
    """The highest stitch line that clears the waist elastic's channel."""
    return block.front_crotch.end.y - design.waist.channel - design.limits.tuck_gap


def check_high_rise(block: LegBlock, design: ShortDesign) -> None:
    """Refuse casings that the high rise has no room for: there, nothing may vanish.

    Raises:
        DesignError: a casing in the channel of the waist elastic or above it.
    """
    ceiling = _ceiling(block, design)
    for casing in casings_of(block, design):
        if casing.height > ceiling:
            raise DesignError(
                f"casing {casing.name!r}: at {design.said(casing.height)} above the crotch line it runs into the waist "
                f"seam and its {design.said(design.waist.channel)} channel; {design.at_most(ceiling)} is the most on "
                f"this body: move it down by {design.at_least(casing.height - ceiling)}"
            )


def _check_place(casing: PlacedCasing, block: LegBlock, design: ShortDesign, floor: float) -> None:
    top, bottom = casing.height, casing.height - casing.depth
    highest_below = block.trued_level
    lowest = block.hem_level + design.allowances.hem / 2 + design.limits.tuck_gap
    if top > highest_below and bottom < floor:
        up, down = design.at_least(floor - bottom), design.at_least(top - highest_below)
        raise DesignError(
            f"casing {casing.name!r}: from {design.at_most(bottom)} to {design.at_least(top)} it lies in the flat of "
            f"the crotch curve or where the inseams are still being trued; move it up by {up} or down by {down}"
        )
    if bottom < lowest:
        raise DesignError(
            f"casing {casing.name!r}: its tuck reaches down to {design.at_most(bottom)} and covers the hem, which "
            f"needs {design.at_least(lowest)}; move it up by {design.at_least(lowest - bottom)} or lengthen the inseam"
        )


def _steep_floor(block: LegBlock, design: ShortDesign) -> float:
    """The lowest height from which both crotch edges and their cut lines keep under the slope limit all the way up."""
    floors = [0.0]
    allowance = design.allowances.seam
    for edge in (block.front_crotch, block.back_crotch):
        for path in (edge, edge.offset(-allowance)):
            curves = [segment for segment in path.segments if isinstance(segment, Cubic)]
            for curve in curves:
                floors.append(_steep_height(curve, design.leg.slope_limit))
    return max(floors)


@lru_cache(maxsize=256)
def _steep_height(curve: Cubic, limit: float) -> float:
    """The height on a hollow curve above which |dX/dY| stays under the limit; the crotch line's when it always does."""

    def excess(t: float) -> float:
        along = curve.derivative(t)
        return abs(along.x) - limit * abs(along.y)

    at_start, at_end = excess(0), excess(1)
    if at_start <= 0 and at_end <= 0:
        return 0.0
    if at_start > 0 and at_end > 0:
        return max(curve.start.y, curve.end.y)
    return curve.point(monotone_root(excess, 0, 1, tolerance=1e-6)).y
