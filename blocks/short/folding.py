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
from blocks.panel import length_of
from blocks.parameters import parameters_of
from blocks.short.bends import tight
from blocks.short.casings import PlacedCasing, eased, resolved
from blocks.short.design import ShortCasing, ShortDesign
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

MOVES: Final = 6
"""How often a move is tried anew where the leg changes with it."""

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
    marked = _balanced(block, design)
    corners = (corner.y for corner in block.crotch_corners(design.allowances.seam))
    parts = (
        (Stretch(_above_hem(block, design), min(block.trued_level, *points)), (block.front_inseam, block.back_inseam)),
        (
            Stretch(max(0.0, *points, *corners, *marked), ceiling(block, design)),
            (block.front_crotch, block.back_crotch),
        ),
    )
    found: list[Stretch] = []
    for stretch, edges in parts:
        lines = (line for edge in edges for line in (edge, edge.offset(-design.allowances.seam)))
        found += _without(stretch, _steep(lines, design.leg.slope_limit))
    return tuple(found)


def _balanced(block: LegBlock, design: ShortDesign) -> tuple[float, float]:
    """The heights of the balance notches of the crotch curves, which no tuck may hide."""
    front, back, share = block.front_crotch, block.back_crotch, design.leg.balance_share
    on_front, on_back = length_of(front, 0) * share, back.length - length_of(back, -1) * share
    return front.point_at(on_front).y, back.point_at(on_back).y


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
    for casing, fault in misplaced(block, design, rise):
        moves, settings = _moves(casing, body, design, rise, block), _settings(casing, body, design, rise, block)
        ways = list(moves) or ["leave it out"]
        remedy = " or ".join((*ways, *settings))
        raise DesignError(f"casing {casing.name!r}: {fault}; {_told(casing, block, design)}: {remedy}")


def misplaced(block: LegBlock, design: ShortDesign, rise: Rise) -> Iterator[tuple[PlacedCasing, str]]:
    """The casings that cannot lie where they do on this leg, lowest first, each with what is wrong with it."""
    stretches, highest = foldable(block, design), ceiling(block, design)
    for casing in casings_of(block, design):
        left_out = casing.height > highest and rise is Rise.MID
        if not left_out and (fault := _fault(casing, block, design, stretches)):
            yield casing, fault


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
            *(
                ["the stretch over which the inseams are still being trued"]
                if bottom < 0 and top > block.trued_level
                else []
            ),
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
        low, high = design.at_least(one.low), design.at_most(one.high)
        if rounded_up(one.low, unit) <= rounded_down(one.high, unit):
            spans.append(low if low == high else f"{low} to {high}")
    where = (
        f"free on this body are {together(spans)} from the crotch line" if spans else "nowhere on this body is it free"
    )
    moving = "" if _lies_in(casing, foldable(block, design)) else f" (by {', '.join(f'leg.{name}' for name in MOVING)})"
    return where + moving


def _moves(casing: PlacedCasing, body: Body, design: ShortDesign, rise: Rise, block: LegBlock) -> Iterator[str]:
    """Where the nearest free places lie above and below a casing, as what to do."""
    found = []
    for up in (True, False):
        if moved := _moved(casing, body, design, rise, block, up=up):
            by = moved.height - casing.height
            way = f"{'up' if up else 'down'} by {design.said(abs(by))}"
            found.append(way if moved.share is None else f"{moved.share:g}")
    start = "move it " if casing.share is None else "set its share to "
    yield from (f"{'' if at else start}{move}" for at, move in enumerate(found))


def _moved(
    casing: PlacedCasing, body: Body, design: ShortDesign, rise: Rise, block: LegBlock, *, up: bool
) -> PlacedCasing | None:
    """A casing where it is next free, tried out; None where it is not. Zones of other fullness move along with it."""
    leg: LegBlock | None = block
    placed, changed = casing, design
    for _ in range(MOVES):
        own = next(one for one in changed.casings if one.name == casing.name)
        other = _next_free(placed, own, leg, changed, up=up) if leg else None
        if other is None:
            return None
        changed = replace(changed, casings=tuple(other if one is own else one for one in changed.casings))
        if any(one.fullness != design.leg.fullness for one in casings_of(block, design)):
            leg = _drawn(body, changed, rise)
        if leg is None:
            return None
        placed = next(one for one in casings_of(leg, changed) if one.name == casing.name)
        if not _fault(placed, leg, changed, foldable(leg, changed)):
            return placed
    return None


def _next_free(
    casing: PlacedCasing, own: ShortCasing, block: LegBlock, design: ShortDesign, *, up: bool
) -> ShortCasing | None:
    """A casing at the height or share, as it can be set, at which it is next free in one direction."""
    for one in room(casing, block, design)[:: 1 if up else -1]:
        edge = one.low if up else one.high
        if (edge > casing.height) is not up or edge == casing.height:
            continue
        by = rounded_up(abs(edge - casing.height), design.unit) * (1 if up else -1)
        share = _share(edge, block, up=up)
        if one.low <= (casing.height + by if own.share is None else _height(share, block)) <= one.high:
            return replace(own, share=share) if own.height is None else replace(own, height=own.height + by)
    return None


def _share(height: float, block: LegBlock, *, up: bool) -> float:
    """A height as a casing's share, rounded up or down."""
    share = height / (block.high_waist_level if height > 0 else -block.hem_level)
    nudge = 0.5 * 10**-SHARE_DIGITS
    return round(share + (nudge if up else -nudge), SHARE_DIGITS)


def _height(share: float, block: LegBlock) -> float:
    return share * (block.high_waist_level if share > 0 else -block.hem_level)


def _settings(casing: PlacedCasing, body: Body, design: ShortDesign, rise: Rise, block: LegBlock) -> Iterator[str]:
    """Up to two numbers, each of which by itself lets a casing lie where it is: tried out, the mildest value first."""
    found: list[str] = []

    def helps(changed: ShortDesign) -> bool:
        same = block if changed.leg.slope_limit != design.leg.slope_limit else None
        return _helps(casing.name, body, changed, rise, same)

    for trials in (*_of_the_leg(casing, design, block), *_of_fullness(casing, block, design)):
        ways = list(trials)
        if ways and helps(ways[-1][1]):  # else none of the milder ones is worth trying
            found.append(next((setting for setting, changed in ways[:-1] if helps(changed)), ways[-1][0]))
        if len(found) == 2:
            break
    yield from (f"{'' if at else 'set '}{setting}" for at, setting in enumerate(found))


Trials = Iterator[tuple[str, ShortDesign]]
"""Values of one number, the mildest first: how each is told, and the design that has it."""


def _of_the_leg(casing: PlacedCasing, design: ShortDesign, block: LegBlock) -> Iterator[Trials]:
    """Numbers of the leg that may let a casing lie where it is."""
    leg, share = design.leg, casing.share or 0.0
    trued = max(0.0, -casing.height)
    clear = casing.depth + _above_hem(block, design) - block.hem_level
    long = clear / max(1e-9, 1 + share) if share < 0 else clear - casing.height
    long += block.hem_level + leg.inseam_length  # what a fitting has added to the leg, or taken off
    steeper = [round(leg.slope_limit + step * SLOPE_STEP, 2) for step in range(1, round(2 / SLOPE_STEP))]
    likely: Mapping[str, Sequence[float]] = {
        "slope_limit": steeper,
        "truing_length": [rounded_down(trued, design.unit)],
        "inseam_shaping": [floor(100 * trued / leg.inseam_length) / 100],
        "inseam_length": [rounded_up(long, design.unit)],
    }

    def trials(name: str, values: Sequence[float]) -> Trials:
        about = parameters_of(leg)[name]
        for value in values:
            if about.low <= value <= about.high and value != getattr(leg, name):
                said = design.said(value) if about.unit == "mm" else f"{value:g}"
                yield f"leg.{name} to {said}", replace(design, leg=replace(leg, **{name: value}))

    yield from (trials(*one) for one in likely.items())


def _of_fullness(casing: PlacedCasing, block: LegBlock, design: ShortDesign) -> Iterator[Trials]:
    """The fullness of zones, nearer to that of the leg: where it changes, the edges run sideways."""
    heights = {one.name: one.height for one in casings_of(block, design)}

    def trials(other: ShortCasing) -> Trials:
        whose = "its fullness" if other.name == casing.name else f"the fullness of casing {other.name!r}"
        yield from ((f"{whose} to {value:g}", changed) for value, changed in eased(other, design))

    yield from map(trials, sorted(design.casings, key=lambda other: abs(heights[other.name] - casing.height)))


def _helps(name: str, body: Body, design: ShortDesign, rise: Rise, block: LegBlock | None) -> bool:
    """True when a casing of that name has nothing wrong with it on the leg of a changed design."""
    leg = block or _drawn(body, design, rise)
    if leg is None:
        return False
    casing = next(one for one in casings_of(leg, design) if one.name == name)
    return not _fault(casing, leg, design, foldable(leg, design))


def _drawn(body: Body, design: ShortDesign, rise: Rise) -> LegBlock | None:
    """The leg of a changed design, if there is one with room for its allowances."""
    try:
        leg = finished_leg(body, design, rise)
    except DraftError:
        return None
    return None if tight(leg, design) else leg


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
