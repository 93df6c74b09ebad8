"""Pockets of the short: a patch sewn on the leg, or a bag in the side seam of a leg that is split. In mm.

Cloth that is gathered carries a pocket well where it lies flat: the pocket is sewn on before any elastic is drawn in,
keeps its own cloth smooth, and the gathers form beside it and fade out over a gap towards the next casing (common
practice, no source). So a pocket lies in one space of the finished leg: between two casings, or between one of them
and the waist's finish or the hem. No tuck runs through it, and on the flat pattern it has its own shape, only higher.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf, sqrt
from typing import Final

from blocks.panel import HEM_TURNS, grainline, notch, panel
from blocks.parameters import parameters_of
from blocks.proof import Seam
from blocks.short.design import PocketCorner, PocketDesign, PocketKind, PocketLegs, PocketPlace, ShortDesign
from blocks.short.leg import LegBlock
from blocks.words import together
from drafting.allowance import Side
from drafting.casing import Tuck, flat_height
from drafting.curve import Cubic, Line, Segment
from drafting.errors import DesignError
from drafting.path import Path
from drafting.piece import Mark, MarkKind, Notch, NotchKind, Piece
from drafting.point import Motion, Point, Vector
from drafting.units import rounded_down, rounded_up

PATCH: Final = "patch pocket"
BAG: Final = "pocket bag"

BRACKET: Final = 6.0
"""mm; from the side seam to the line that marks the opening."""

TELLING: Final = 3.0
"""mm; a shorter range of free heights is not told: rounded, nothing may be left of it."""

HELD: Final = 10.0
"""mm; the most that the straight edge of a bag reaches beyond each end of its opening."""

BAG_CORNER: Final = 40.0
BAG_FALL: Final = 0.6
"""mm, radius of a bag's corners; and the most of its width over which its lower edge runs up to the seam."""

QUARTER: Final = 4 / 3 * (sqrt(2) - 1)
"""Handle of a cubic for a quarter circle over its radius, from memory."""

MOVES: Final = 2.0
"""mm; a pocket without a height of its own may move when it is made narrower: so much less is offered."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a pocket lies on the finished leg: its opening at `top`, its lower end at `low`, from x to x."""

    low: float
    top: float
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class Space:
    """Heights of the finished leg that no tuck, hem or channel takes up, and what bounds them."""

    low: float
    high: float
    under: str
    over: str


def has_pocket(design: ShortDesign, *, split: bool) -> bool:
    """Whether a leg, split or whole, has the design's pocket: one in the side seam needs the seam."""
    return design.pocket.kind is PocketKind.PATCH or (design.pocket.kind is PocketKind.IN_SEAM and split)


def pocket_left_out(design: ShortDesign, *, split: bool) -> tuple[str, ...]:
    """Why a leg lacks the pocket of its design, in the same words for every size; nothing where it has it."""
    if design.pocket.kind is not PocketKind.IN_SEAM or split:
        return ()
    return (
        "the pocket is left out: its leg is in one piece, and an in-seam pocket lies in the side seam of a split one; "
        'split the leg, or set pocket.kind = "patch"',
    )


def pocket_place(block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck]) -> Place:
    """Where the pocket lies on this leg.

    Raises:
        DesignError: a tuck, the waist's channel, the hem or the leg's edge runs through it; the message says which
            heights and widths are free.
    """
    pocket = design.pocket
    patch = pocket.kind is PocketKind.PATCH
    near = pocket.from_side if patch else 0.0
    ahead = not patch or pocket.place is PocketPlace.FRONT
    left, right = (near, near + pocket.width) if ahead else (-near - pocket.width, -near)
    _check_shape(design)
    top = _top(list(_spaces(block, design, tucks, left, right)), block, design)
    place = Place(top - pocket.height, top, left, right)
    if not patch:
        _check_bag(place, block, design)
    _check_width(place, block, design, near, ahead=ahead)
    return place


def _check_shape(design: ShortDesign) -> None:
    """Refuse round corners that leave no straight edge.

    Raises:
        DesignError: they do; the message says how round they may be.
    """
    pocket = design.pocket
    most = min(pocket.width / 2, pocket.height - pocket.hem) - 1
    if pocket.kind is PocketKind.PATCH and pocket.corner is PocketCorner.ROUND and pocket.radius > most:
        raise DesignError(
            f"pocket.radius: {design.said(pocket.radius)} leaves no straight edge below the hem of its opening or "
            f"along its bottom; set it to {design.at_most(most)} at most"
        )


def _spaces(block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck], left: float, right: float) -> Iterator[Space]:
    """The free spaces of the leg from x to x, from the hem up."""
    low, under = block.hem_level + design.allowances.hem / HEM_TURNS, "the hem"
    for tuck in sorted(tucks, key=lambda tuck: tuck.height):
        name = f"casing {tuck.name!r}"
        yield Space(low, tuck.height - tuck.depth, under, name)
        low, under = tuck.height, name
    over = "the waist's channel" if design.waist.taken_below else "the waist seam"
    yield Space(low, _lowest(block.waist, left, right) - design.waist.taken_below, under, over)


def _lowest(waist: Path, left: float, right: float) -> float:
    """How low the waist comes from x to x; it runs from the front, which is on the right, to the back."""
    found = []
    for a, b in pairwise(waist.flat()):
        for x in (min(a.x, right), max(b.x, left)):
            if b.x <= x <= a.x and b.x < a.x:
                found.append(a.y + (b.y - a.y) * (a.x - x) / (a.x - b.x))
    return min(found, default=min(waist.start.y, waist.end.y))


def _top(spaces: Sequence[Space], block: LegBlock, design: ShortDesign) -> float:
    """The height of the opening.

    Raises:
        DesignError: the pocket does not fit there, or nowhere.
    """
    pocket = design.pocket
    need = pocket.height + 2 * pocket.gap
    fitting = [space for space in spaces if space.high - space.low >= need]
    if not fitting:
        raise DesignError(_too_tall(spaces, design))
    top = pocket.top if pocket.below is None else _waist(block) - pocket.below
    if top is None:
        tallest = max(fitting, key=lambda space: space.high - space.low)
        if pocket.kind is PocketKind.IN_SEAM:
            return tallest.high - pocket.gap
        return (tallest.low + tallest.high + pocket.height) / 2
    if any(space.low + pocket.gap + pocket.height <= top <= space.high - pocket.gap for space in fitting):
        return top
    raise DesignError(_misplaced(top, spaces, fitting, block, design))


def _waist(block: LegBlock) -> float:
    """Where the garment ends at the side: a waistband stands above the leg."""
    return block.waist_level + block.band


def _too_tall(spaces: Sequence[Space], design: ShortDesign) -> str:
    pocket, about = design.pocket, parameters_of(design.pocket)
    tallest = max(spaces, key=lambda space: space.high - space.low)
    free = tallest.high - tallest.low
    where = f"the tallest free space, between {tallest.under} and {tallest.over}, is {design.at_most(free)}"
    lead = (
        f"pocket.height: {design.said(pocket.height)} and {design.said(pocket.gap)} above and below it (pocket.gap) "
        f"do not fit between the casings on this body: {where}"
    )
    unplaced = "" if pocket.top is None and pocket.below is None else ", and leave out pocket.top and pocket.below"
    for gap in (pocket.gap, rounded_up(about["gap"].low, design.unit)):
        if rounded_down(most := free - 2 * gap, design.unit) >= about["height"].low:
            less = "" if gap == pocket.gap else f" and pocket.gap to {design.at_least(gap)}"
            return f"{lead}; set pocket.height to {design.at_most(most)} at most{less}{unplaced}"
    return f'{lead}; set the casings farther apart, or pocket.kind = "none"'


def _misplaced(
    top: float, spaces: Sequence[Space], fitting: Sequence[Space], block: LegBlock, design: ShortDesign
) -> str:
    pocket = design.pocket
    met = _met(spaces, top - pocket.height - pocket.gap, top + pocket.gap)
    key, given = ("top", top) if pocket.below is None else ("below", pocket.below)
    about, told = parameters_of(pocket)[key], []
    for space in fitting:
        first, last = space.low + pocket.gap + pocket.height, space.high - pocket.gap
        if key == "below":
            first, last = _waist(block) - last, _waist(block) - first
        first, last = max(first, about.low), min(last, about.high)
        if last - first >= TELLING:
            told.append(f"from {design.at_least(first)} to {design.at_most(last)}")
    return (
        f"pocket.{key}: at {design.said(given)} the pocket, {design.said(pocket.height)} high with "
        f"{design.said(pocket.gap)} free above and below it, runs into {together(met)}; "
        + (f"free on this body is {' or '.join(told)}: set pocket.{key} to one of these, or " if told else "")
        + f"leave pocket.{key} out, and the pocket is placed where it fits"
    )


def _met(spaces: Sequence[Space], low: float, high: float) -> list[str]:
    """What bounds the spaces and reaches into the heights between two, from the hem up."""
    taken = [
        (-inf, spaces[0].low, spaces[0].under),
        *((one.high, after.low, one.over) for one, after in pairwise(spaces)),
        (spaces[-1].high, inf, spaces[-1].over),
    ]
    return [name for bottom, top, name in taken if bottom < high and top > low]


def _check_width(place: Place, block: LegBlock, design: ShortDesign, near: float, *, ahead: bool) -> None:
    """Refuse a pocket that the crotch curve or the inseam runs through, or comes too near to.

    Raises:
        DesignError: it does; the message says how wide it may be.
    """
    pocket, about = design.pocket, parameters_of(design.pocket)
    crotch, inseam = ("front crotch", "front inseam") if ahead else ("back crotch", "back inseam")
    low = place.low - (0.0 if pocket.kind is PocketKind.PATCH else pocket.bag)
    reach = {name: _nearest(block.edges[name], low, place.top) for name in (crotch, inseam)}
    name = min(reach, key=lambda name: reach[name])
    room = reach[name] - pocket.gap
    if near + pocket.width <= room:
        return
    if pocket.top is None and pocket.below is None:
        room -= MOVES
    lead = (
        f"pocket.width: {design.said(pocket.width)} from {design.said(near)} off the side line reaches nearer than "
        f"{design.said(pocket.gap)} (pocket.gap) to the {name} on this body"
    )
    if rounded_down(room - near, design.unit) >= about["width"].low:
        raise DesignError(f"{lead}; set pocket.width to {design.at_most(room - near)} at most")
    nearest = rounded_up(about["from_side"].low, design.unit)
    most = room - nearest
    if near and rounded_down(most, design.unit) >= about["width"].low:
        narrower = f"pocket.width to {design.at_most(most)} at most and " if most < pocket.width else ""
        raise DesignError(f"{lead}; set {narrower}pocket.from_side to {design.at_least(nearest)}")
    raise DesignError(f'{lead}; no pocket fits there: set pocket.kind = "none"')


def _nearest(edge: Path, low: float, high: float) -> float:
    """How near an edge comes to the side line between two heights; far away where it does not lie between them."""
    ends = [point for y in (low, high) if edge.bounds[1] <= y <= edge.bounds[3] for point in edge.heights(y)]
    return min((abs(point.x) for point in (*edge.flat(), *ends) if low <= point.y <= high), default=inf)


def _check_bag(place: Place, block: LegBlock, design: ShortDesign) -> None:
    """Refuse a bag that hangs into the hem.

    Raises:
        DesignError: it does; the message says how long it may be.
    """
    pocket, about = design.pocket, parameters_of(design.pocket)
    floor = block.hem_level + design.allowances.hem / HEM_TURNS + pocket.gap
    most = place.low - floor
    if pocket.bag <= most:
        return
    longer = design.leg.inseam_length + pocket.bag - most + pocket.gap
    grades = any(casing.share is not None for casing in design.casings)  # and the pocket may move along with it
    if rounded_down(most, design.unit) >= about["bag"].low:
        remedy = f"set pocket.bag to {design.at_most(most)} at most"
    elif grades or longer > parameters_of(design.leg)["inseam_length"].high:
        remedy = 'set pocket.kind = "none"'
    else:
        remedy = f'set leg.inseam_length to {design.at_least(longer)} at least, or pocket.kind = "none"'
    raise DesignError(
        f"pocket.bag: {design.said(pocket.bag)} below its opening the bag hangs into the hem on this body; {remedy}"
    )


# Pieces -----------------------------------------------------------------------------------------------------------


def with_pocket(
    legs: tuple[Piece, ...], block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck]
) -> tuple[Piece, ...]:
    """The leg, in one piece or in two, marked for its pocket: a patch's place, or an opening in the side seam.

    Raises:
        DesignError: see `pocket_place`.
    """
    if not has_pocket(design, split=len(legs) > 1):
        return legs
    place, pocket = pocket_place(block, design, tucks), design.pocket
    if pocket.kind is PocketKind.PATCH:
        number = 0 if pocket.place is PocketPlace.FRONT else len(legs) - 1
        marked = replace(legs[number], marks=(*legs[number].marks, _patch_mark(place, design, tucks)))
        return (*legs[:number], marked, *legs[number + 1 :])
    front, back = legs
    heights = {"pocket-top": place.top, "pocket-low": place.low}
    return tuple(
        replace(
            piece,
            notches=(
                *piece.notches,
                *(_side_notch(piece, name, flat_height(tucks, y), other) for name, y in heights.items()),
            ),
            marks=(*piece.marks, _opening_mark(place, pocket, tucks, inward)),
        )
        for piece, other, inward in ((front, back, BRACKET), (back, front, -BRACKET))
    )


def pocket_pieces(
    block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck], *, size: str, rise: str, split: bool
) -> tuple[Piece, ...]:
    """The pieces of the pocket itself: a patch, or the front and the back of a bag; none where there is no pocket.

    Raises:
        DesignError: see `pocket_place`.
    """
    if not has_pocket(design, split=split):
        return ()
    pocket_place(block, design, tucks)
    if design.pocket.kind is PocketKind.PATCH:
        return (_patch(design, size=size, rise=rise),)
    return tuple(_bag(half, design, size=size, rise=rise) for half in ("front", "back"))


def pocket_seams(names: Sequence[str]) -> tuple[Seam, ...]:
    """The seams of a pocket that has its own pieces sewn to one another."""
    front, back = f"{BAG} front", f"{BAG} back"
    return (Seam(front, "bag", back, "bag"),) if front in names else ()


def _patch_mark(place: Place, design: ShortDesign, tucks: Sequence[Tuck]) -> Mark:
    """The outline of the finished patch and, just inside it, where its corners are marked through."""
    pocket = design.pocket
    there = Motion.shift(Vector((place.left + place.right) / 2, flat_height(tucks, place.top)))
    outline = Path.joined(_patch_edges(pocket).values()).moved(there)
    half, inset = pocket.width / 2, pocket.inset
    # A round corner is marked where it is nearest to the square one.
    away = pocket.radius * (1 - sqrt(0.5)) + inset * sqrt(0.5) if pocket.corner is PocketCorner.ROUND else inset
    corners = [
        *(Point(side * (half - inset), -inset) for side in (-1, 1)),
        *(Point(side * (half - away), away - pocket.height) for side in (-1, 1)),
    ]
    return Mark(PATCH, MarkKind.PLACE, f"{PATCH}{_only(pocket)}", _opening_first(outline), tuple(map(there, corners)))


def _only(pocket: PocketDesign) -> str:
    """Which leg alone has the pocket, as it stands behind a mark's label."""
    return "" if pocket.legs is PocketLegs.BOTH else f", {pocket.legs} leg only"


def _opening_first(outline: Path) -> Path:
    """The outline from its opening on: a mark is named at its first edge."""
    *rest, opening = outline.segments
    return Path((opening, *rest))


def _patch_edges(pocket: PocketDesign) -> dict[str, Path]:
    """The finished patch, the middle of its opening at the origin."""
    half, tall = pocket.width / 2, pocket.height
    r = pocket.radius if pocket.corner is PocketCorner.ROUND else 0.0
    left, right, low = Point(-half, 0), Point(half, 0), -tall
    bottom: list[Segment] = [Line(Point(-half + r, low), Point(half - r, low))]
    if r:
        bottom = [
            _quarter(Point(-half, low + r), Point(-half, low), Point(-half + r, low)),
            *bottom,
            _quarter(Point(half - r, low), Point(half, low), Point(half, low + r)),
        ]
    return {
        "left side": Path.through(left, Point(-half, low + r)),
        "bottom": Path(tuple(bottom)),
        "right side": Path.through(Point(half, low + r), right),
        "opening": Path.through(right, left),
    }


def _quarter(start: Point, corner: Point, end: Point) -> Cubic:
    """A quarter circle from start to end, within the corner of its tangents."""
    return Cubic(start, start.toward(corner, QUARTER), end.toward(corner, QUARTER), end)


def _patch(design: ShortDesign, *, size: str, rise: str) -> Piece:
    pocket = design.pocket
    sides = [
        Side(name, path, pocket.hem + pocket.turn, turns=(pocket.hem, pocket.turn))
        if name == "opening"
        else Side(name, path, pocket.allowance)
        for name, path in _patch_edges(pocket).items()
    ]
    made = panel(sides, ())
    straight = made.edge("right side").seam.length
    both = pocket.legs is PocketLegs.BOTH
    return Piece(
        name=PATCH,
        title="Patch pocket",
        size=size,
        variant=rise,
        edges=made.edges,
        grainline=grainline(0.0, -pocket.height, 0.0, design.leg.grainline_margin),
        cut_count=2 if both else 1,
        mirrored=both,
        notches=(
            notch(made, "hem-left", NotchKind.FOLD, "left side", 0.0, None),
            notch(made, "hem-right", NotchKind.FOLD, "right side", straight, None),
        ),
        notes=("the upper edge is its opening",),
    )


# In the side seam -------------------------------------------------------------------------------------------------


def _side_notch(leg: Piece, name: str, height: float, other: str | Piece) -> Notch:
    """Where the opening ends on the side seam of one half of the leg, met by the same on the other."""
    mate = other if isinstance(other, str) else other.name
    seam = leg.edge("side").seam
    return notch(leg, name, NotchKind.SINGLE, "side", seam.distance_of(seam.heights(height)[0]), f"{mate}/{name}")


def _opening_mark(place: Place, pocket: PocketDesign, tucks: Sequence[Tuck], inward: float) -> Mark:
    """A line beside the side seam, as long as the opening."""
    label = f"pocket opening{_only(pocket)}"
    top, low = (Point(0.0, flat_height(tucks, y)) for y in (place.top, place.low))
    into = Vector(inward, 0.0)
    return Mark("pocket opening", MarkKind.PLACE, label, Path.through(top + into, low + into))


def _bag(half: str, design: ShortDesign, *, size: str, rise: str) -> Piece:
    """The bag that is sewn to one half of the leg, the upper end of its opening at the origin.

    Right sides together on the leg its straight edge lies on the side edge, so that of the front runs up.
    """
    pocket = design.pocket
    mirror = Motion.mirror_side(0)
    side, bag = _bag_edges(pocket)
    if half == "back":
        side, bag = (path.moved(mirror).reversed() for path in (side, bag))
    sides = [Side("side", side, design.allowances.seam), Side("bag", bag, design.allowances.seam)]
    made = panel(sides, ())
    long, round_ = made.edge("side").seam.length, made.edge("bag").seam.length / 2
    other = "back" if half == "front" else "front"
    held = _held(pocket)
    upper, lower = (held, long - held) if half == "back" else (long - held, held)
    left, bottom, right, top = made.edge("bag").seam.bounds
    both = pocket.legs is PocketLegs.BOTH
    # As drawn a leg is the right one: its front lies to the right of its back when its outside is seen.
    only = "" if both else f"{pocket.legs} leg only{', cut it mirrored' * (pocket.legs is PocketLegs.LEFT)}"
    return Piece(
        name=f"{BAG} {half}",
        title=f"Pocket bag, {half}",
        size=size,
        variant=rise,
        edges=made.edges,
        grainline=grainline((left + right) / 2, bottom, top, design.leg.grainline_margin),
        cut_count=2 if both else 1,
        mirrored=both,
        notches=(
            notch(made, "pocket-top", NotchKind.SINGLE, "side", upper, f"leg {half}/pocket-top"),
            notch(made, "pocket-low", NotchKind.SINGLE, "side", lower, f"leg {half}/pocket-low"),
            notch(made, "bag", NotchKind.SINGLE, "bag", round_, f"{BAG} {other}/bag"),
        ),
        notes=tuple(filter(None, (only, "the straight edge is sewn to the side seam"))),
    )


def _held(pocket: PocketDesign) -> float:
    """How far the straight edge reaches beyond each end of the opening: it keeps clear of tucks as the opening does."""
    return min(pocket.gap, HELD)


def _bag_edges(pocket: PocketDesign) -> tuple[Path, Path]:
    """The straight edge, upward, and the edge round the bag of the front one, which lies left of its straight edge."""
    held = _held(pocket)
    top, low = Point(0.0, held), Point(0.0, -pocket.height - held)
    left, bottom = -pocket.width, -pocket.height - pocket.bag
    r = min(BAG_CORNER, pocket.width / 3)
    foot = Point(left + r, bottom)
    # A quadratic curve that runs up to the seam askew, so that it meets it at a corner.
    bend = Point(max(bottom - low.y, foot.x * BAG_FALL), bottom)
    return Path.through(low, top), Path(
        (
            Line(top, Point(left + r, top.y)),
            _quarter(Point(left + r, top.y), Point(left, top.y), Point(left, top.y - r)),
            Line(Point(left, top.y - r), Point(left, bottom + r)),
            _quarter(Point(left, bottom + r), Point(left, bottom), foot),
            Cubic(foot, foot.toward(bend, 2 / 3), low.toward(bend, 2 / 3), low),
        )
    )
