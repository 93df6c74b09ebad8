"""Which casings a leg has, where each may lie, why one is left out or refused. Heights in mm above the crotch line."""

from __future__ import annotations

from functools import lru_cache

from blocks.design import CasingDesign
from blocks.short.design import ShortDesign
from blocks.short.leg import LegBlock, Rise
from blocks.tucks import check_depth, check_spacing
from drafting.casing import Tuck
from drafting.curve import Cubic, monotone_root
from drafting.errors import DesignError


def tucks_of(block: LegBlock, design: ShortDesign) -> tuple[tuple[Tuck, ...], tuple[CasingDesign, ...]]:
    """The tucks of a design's casings on this leg, lowest first, and the casings that it has no room for at the waist.

    Raises:
        DesignError: a casing too shallow for its elastic, in the flat of the crotch curve, off the leg, or whose tuck
            covers another casing, the hem or (high rise) the waist; the message says by how many mm to move it.
    """
    ceiling = _ceiling(block, design)
    kept = sorted((c for c in design.casings if c.height <= ceiling), key=lambda c: c.height)
    for casing in design.casings:
        check_depth(casing, design)
    floor = _steep_floor(block, design)
    for casing in kept:
        _check_place(casing, block, design, floor)
    check_spacing(kept, design)
    return tuple(Tuck(c.name, c.height, c.depth) for c in kept), tuple(c for c in design.casings if c.height > ceiling)


def left_out(casing: CasingDesign, design: ShortDesign, rise: Rise) -> str:
    """Why a rise lacks a casing, in the same words for every size.

    >>> left_out(CasingDesign("upper", 190), ShortDesign("Heron"), Rise.MID)[:43]
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
    for casing in design.casings:
        if casing.height > ceiling:
            raise DesignError(
                f"casing {casing.name!r}: at {design.said(casing.height)} above the crotch line it runs into the waist "
                f"seam and its {design.said(design.waist.channel)} channel; {design.at_most(ceiling)} is the most on "
                f"this body: move it down by {design.at_least(casing.height - ceiling)}"
            )


def _check_place(casing: CasingDesign, block: LegBlock, design: ShortDesign, floor: float) -> None:
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
