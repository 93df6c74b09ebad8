"""The casings of a leg: which it has, and where it can be folded true, so that they may lie there. In mm, y up.

A tuck's two layers lie on the leg below its stitching, so over its whole depth both edges and their cut lines must run
up without turning back, and nowhere sideways faster than cloth eases (`leg.slope_limit`). Below the crotch they must
also be level with each other, or a casing would meet itself at two heights in the inseam.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import floor
from typing import Final

from blocks.measurements import Body
from blocks.parameters import parameters_of
from blocks.short.bends import check_bends
from blocks.short.casings import PlacedCasing, resolved
from blocks.short.design import ShortDesign
from blocks.short.leg import LegBlock, Rise
from blocks.short.waist import finished_leg
from blocks.words import together
from drafting.casing import Tuck
from drafting.curve import Cubic, Segment
from drafting.errors import DesignError, DraftError
from drafting.path import Path
from drafting.point import Vector
from drafting.units import rounded_down, rounded_up

SLOPE_STEP: Final = 0.05
"""How finely a greater slope limit is looked for as a remedy."""

MOVING: Final = ("slope_limit", "truing_length", "inseam_shaping", "inseam_length")
"""The numbers of the leg by which it can be folded at more heights or fewer, the likeliest first."""

SHARE_DIGITS: Final = 3
"""Decimals of a share that is told as a remedy: a third of a millimetre of a rise."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one height up to another, in mm."""

    low: float
    high: float


def casings_of(block: LegBlock, design: ShortDesign) -> tuple[PlacedCasing, ...]:
    """Every casing of a design as it would lie on this leg, lowest first, were there room at the waist for all.

    Raises:
        DesignError: as `resolved` does.
    """
    return resolved(design, block.high_waist_level, block.hem_level, longer=block.frame.longer)


def tucks_of(block: LegBlock, design: ShortDesign) -> tuple[tuple[Tuck, ...], tuple[PlacedCasing, ...]]:
    """The tucks of a design's casings on this leg, lowest first, and the casings that it has no room for at the waist.

    Whether they can be folded there is asked of `check_casings`.

    Raises:
        DesignError: a casing too shallow for its elastic.
    """
    casings, highest = casings_of(block, design), ceiling(block, design)
    tucks = tuple(Tuck(one.name, one.height, one.depth) for one in casings if one.height <= highest)
    return tucks, tuple(one for one in casings if one.height > highest)


def ceiling(block: LegBlock, design: ShortDesign) -> float:
    """The highest stitch line that clears the waist elastic's channel, wherever the waist edge is lowest."""
    return block.waist.bounds[1] - design.waist.taken_below - design.limits.tuck_gap


def foldable(block: LegBlock, design: ShortDesign) -> tuple[Stretch, ...]:
    """The stretches of a leg in which tucks may lie from fold to stitching, lowest first; hem and waist are clear."""
    points = block.front_crotch.start.y, block.back_crotch.end.y
    parts = (
        (Stretch(_above_hem(block, design), min(block.trued_level, *points)), (block.front_inseam, block.back_inseam)),
        (Stretch(max(0.0, *points), ceiling(block, design)), (block.front_crotch, block.back_crotch)),
    )
    found: list[Stretch] = []
    for stretch, edges in parts:
        lines = (line for edge in edges for line in (edge, edge.offset(-design.allowances.seam)))
        found += _without(stretch, _steep(lines, design.leg.slope_limit))
    return tuple(found)


def room(casing: PlacedCasing, block: LegBlock, design: ShortDesign) -> tuple[Stretch, ...]:
    """The stretches in which a casing's stitching may lie among the others of the leg, lowest first.

    Casings that are themselves out of place do not count: they will have to move.
    """
    stretches = foldable(block, design)
    others = (one for one in casings_of(block, design) if one.name != casing.name and _lies_in(one, stretches))
    gap = design.limits.tuck_gap
    taken = [Stretch(one.height - one.depth - gap, one.height + gap) for one in others]
    free = [left for stretch in stretches for left in _without(stretch, taken)]
    return tuple(Stretch(one.low + casing.depth, one.high) for one in free if one.low + casing.depth <= one.high)


def check_casings(block: LegBlock, body: Body, design: ShortDesign, rise: Rise) -> None:
    """Hold every casing of a design to where this leg can be folded true; those the mid rise leaves out do not count.

    Raises:
        DesignError: a casing too shallow for its elastic, or one that lies in the flat of the crotch curve, over the
            hem, another casing or (high rise) the waist; the message says where it may lie, by how much to move it,
            and which number of the design, changed by itself, lets it lie where it is.
    """
    stretches, highest = foldable(block, design), ceiling(block, design)
    for casing in casings_of(block, design):
        if casing.height > highest and rise is Rise.MID:
            continue
        if fault := _fault(casing, block, design, stretches):
            moves, settings = _moves(casing, block, design), _settings(casing, body, design, rise, block)
            remedy = " or ".join((*moves, *settings)) or "leave it out"
            raise DesignError(f"casing {casing.name!r}: {fault}; {_told(casing, block, design)}: {remedy}")


def _fault(casing: PlacedCasing, block: LegBlock, design: ShortDesign, stretches: Sequence[Stretch]) -> str:
    """What is wrong with where a casing lies; empty when nothing is."""
    top, bottom = casing.height, casing.height - casing.depth
    if top > ceiling(block, design):
        channel = design.waist.taken_below
        into = f"waist seam and its {design.said(channel)} channel" if channel else "seam of the waistband"
        return f"at {design.said(top)} above the crotch line it runs into the {into}"
    if bottom < _above_hem(block, design):
        return (
            f"its tuck reaches down to {design.at_most(bottom)} and covers the hem, which needs "
            f"{design.at_least(_above_hem(block, design))}"
        )
    if not _lies_in(casing, stretches):
        flat = bottom < min((one.low for one in stretches if one.low > 0), default=top)
        where = [
            *(["the flat of the crotch curve"] if top > 0 and flat else []),
            *(["where the inseams are still being trued"] if bottom < 0 and top > block.trued_level else []),
        ]
        place = f"in {' and '.join(where)}" if where else "where an edge of the leg runs too far sideways to fold true"
        return f"from {design.at_most(bottom)} to {design.at_least(top)} it lies {place}"
    for other in casings_of(block, design):
        near = other.height <= top and bottom < other.height + design.limits.tuck_gap
        if near and other.name != casing.name and _lies_in(other, stretches):
            return (
                f"at {design.said(top)} its tuck of {design.said(casing.depth)} comes within "
                f"{design.said(design.limits.tuck_gap)} of casing {other.name!r} at {design.said(other.height)}"
            )
    return ""


def _above_hem(block: LegBlock, design: ShortDesign) -> float:
    """The lowest that a tuck may reach: clear of the turned hem."""
    return block.hem_level + design.allowances.hem / 2 + design.limits.tuck_gap


def _lies_in(casing: PlacedCasing, stretches: Iterable[Stretch]) -> bool:
    return any(one.low <= casing.height - casing.depth and casing.height <= one.high for one in stretches)


def _told(casing: PlacedCasing, block: LegBlock, design: ShortDesign) -> str:
    """Where a casing's stitching may lie, as its designer writes it, and what moves that."""
    unit, spans = design.unit, []
    for one in reversed(room(casing, block, design)):
        if rounded_up(one.low, unit) <= rounded_down(one.high, unit):
            spans.append(f"{design.at_least(one.low)} to {design.at_most(one.high)}")
    where = (
        f"free on this body are {together(spans)} from the crotch line" if spans else "nowhere on this body is it free"
    )
    moving = "" if _lies_in(casing, foldable(block, design)) else f" (by {', '.join(f'leg.{name}' for name in MOVING)})"
    return where + moving


def _moves(casing: PlacedCasing, block: LegBlock, design: ShortDesign) -> Iterator[str]:
    """Where the nearest free places lie above and below a casing, as what to do."""
    stretches, unit = room(casing, block, design), design.unit
    found = []
    for one in (one for one in stretches if one.low > casing.height):
        by = rounded_up(one.low - casing.height, unit)
        if casing.height + by <= one.high:
            found.append((f"up by {design.said(by)}", _share(one.low, block, up=True), one))
            break
    for one in (one for one in reversed(stretches) if one.high < casing.height):
        by = rounded_up(casing.height - one.high, unit)
        if casing.height - by >= one.low:
            found.append((f"down by {design.said(by)}", _share(one.high, block, up=False), one))
            break
    if casing.share is None:
        yield from (f"{'' if at else 'move it '}{move}" for at, (move, _, _) in enumerate(found))
        return
    fit = [share for _, share, one in found if one.low <= _height(share, block) <= one.high]
    yield from (f"{'' if at else 'set its share to '}{share:g}" for at, share in enumerate(fit))


def _share(height: float, block: LegBlock, *, up: bool) -> float:
    """A height as a casing's share, rounded up or down."""
    share = height / (block.high_waist_level if height > 0 else -block.hem_level)
    nudge = 0.5 * 10**-SHARE_DIGITS
    return round(share + (nudge if up else -nudge), SHARE_DIGITS)


def _height(share: float, block: LegBlock) -> float:
    return share * (block.high_waist_level if share > 0 else -block.hem_level)


def _settings(casing: PlacedCasing, body: Body, design: ShortDesign, rise: Rise, block: LegBlock) -> Iterator[str]:
    """Up to two numbers of the leg, each of which by itself lets a casing lie where it is: tried out, mildest first."""
    leg, about = design.leg, parameters_of(design.leg)
    found: list[str] = []
    for name, values in _likely(casing, design, block).items():
        for value in values:
            if name in about and about[name].low <= value <= about[name].high and value != getattr(leg, name):
                changed = replace(design, leg=replace(leg, **{name: value}))
                if _helps(casing.name, body, changed, rise, block if name == "slope_limit" else None):
                    said = design.said(value) if about[name].unit == "mm" else f"{value:g}"
                    found.append(f"leg.{name} to {said}")
                    break
    yield from (f"{'' if at else 'set '}{setting}" for at, setting in enumerate(found[:2]))


def _likely(casing: PlacedCasing, design: ShortDesign, block: LegBlock) -> Mapping[str, Sequence[float]]:
    """Values of the leg's numbers that may let a casing lie where it is, the nearest first."""
    leg, share = design.leg, casing.share or 0.0
    trued = max(0.0, -casing.height)
    clear = casing.depth + _above_hem(block, design) - block.hem_level
    long = clear / max(1e-9, 1 + share) if share < 0 else clear - casing.height
    return {
        "slope_limit": [round(leg.slope_limit + step * SLOPE_STEP, 2) for step in range(1, round(2 / SLOPE_STEP))],
        "truing_length": [rounded_down(trued, design.unit)],
        "inseam_shaping": [floor(100 * trued / leg.inseam_length) / 100],
        "inseam_length": [rounded_up(long, design.unit)],
    }


def _helps(name: str, body: Body, design: ShortDesign, rise: Rise, block: LegBlock | None) -> bool:
    """True when a casing of that name has nothing wrong with it on the leg of a changed design."""
    try:
        leg = block or finished_leg(body, design, rise)
        check_bends(leg, body, design, rise)
    except DraftError:
        return False
    casing = next(one for one in casings_of(leg, design) if one.name == name)
    return not _fault(casing, leg, design, foldable(leg, design))


def _without(stretch: Stretch, taken: Iterable[Stretch]) -> list[Stretch]:
    """What is left of a stretch, lowest first."""
    left, low = [], stretch.low
    for one in sorted(taken, key=lambda one: one.low):
        if one.high > stretch.low and one.low < stretch.high:
            left.append(Stretch(low, one.low))
            low = max(low, one.high)
    left.append(Stretch(low, stretch.high))
    return [one for one in left if one.high > one.low]


def _steep(lines: Iterable[Path], limit: float) -> list[Stretch]:
    """The stretches of height in which any of the lines runs sideways faster than `limit` times its rise."""
    return [one for line in lines for segment in line.segments for one in _steep_of(segment, limit)]


@lru_cache(maxsize=512)
def _steep_of(segment: Segment, limit: float) -> tuple[Stretch, ...]:
    """Exact: between the places where a curve is as steep as the limit, or turns back in height, it is one or other."""
    if not isinstance(segment, Cubic):
        across, along = abs(segment.end.x - segment.start.x), abs(segment.end.y - segment.start.y)
        return (_between(segment, 0.0, 1.0),) if across > limit * along else ()
    turns = {t for lean in (limit, -limit) for t in segment.turns(Vector(1, lean))} | set(segment.turns(Vector(0, 1)))
    found = []
    for first, last in pairwise((0.0, *sorted(turns), 1.0)):
        way = segment.derivative((first + last) / 2)
        if abs(way.x) > limit * abs(way.y):
            found.append(_between(segment, first, last))
    return tuple(found)


def _between(segment: Segment, low: float, high: float) -> Stretch:
    heights = segment.point(low).y, segment.point(high).y
    return Stretch(min(heights), max(heights))
