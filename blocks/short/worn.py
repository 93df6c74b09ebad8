"""The garment as a line drawing, front and back, laid flat: every width, height and gather is the draft's own.

An elastic laid flat is half as wide as it is long. Between two elastics the cloth puffs out by what is gathered.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from blocks.drape import Drape, Level, fold_count, gathers, outer_edge, tucks
from blocks.parameters import PRACTICE, parameter
from blocks.short.design import PocketKind, PocketLegs, PocketPlace, TrimKind
from blocks.short.draft import Short
from blocks.short.folding import casings_of, tucks_of
from blocks.short.pocket import pocket_place
from blocks.short.trim import trim_shows
from drafting.casing import Tuck
from drafting.curve import Cubic, Line
from drafting.path import Path
from drafting.picture import Picture, Scale, Trace, area, circle, line, smooth
from drafting.point import Motion, Point
from drafting.role import Role

TRIM_FOLDS: Final = 9
PATCH_STEPS: Final = 6
"""Straight pieces that the side of a patch is drawn in."""
KNOT: Final = 18.0
"""mm; how far below its buttonholes a drawcord is tied, in the drawing."""


@dataclass(frozen=True, slots=True)
class LegDrape(Drape):
    """How a gathered leg falls in the drawing."""

    spread: float = parameter(0.10, "", 0, 0.5, "legs part on each side, over their fall", PRACTICE)
    parted: float = parameter(14, "mm", 0, 60, "legs part on each side, at the hem of short ones", PRACTICE)


DRAPE: Final = LegDrape()


def garment_picture(
    short: Short, *, scale: float, back: bool = False, waisted: bool = True, drape: LegDrape = DRAPE
) -> Picture:
    """The garment at `scale` (paper over real mm), its crotch at the origin.

    Without `waisted` it is drawn before its waist elastic is in: the waist hangs free, and what is turned down there
    stands up.
    """
    half_drawn = _half(short, back, waisted, drape)
    pocket = _pocket(short, _levels(short, drape, waisted=waisted), back, drape)
    right, left = _sides_with_pocket(short, back)
    mirror = Motion.mirror_side(0)
    traces = [*half_drawn, *(pocket if right else [])]
    other = [*half_drawn, *(pocket if left else [])]
    other = [Trace(trace.path.moved(mirror), trace.role, trace.filled) for trace in other]
    half = _levels(short, drape, waisted=waisted)[0].outer
    behind = _inside(short, half) if waisted and not back else []
    top = _channel(short, half, back) if waisted else _standing(short, half, back)
    to = Scale(scale)
    if waisted and not back:
        top += _cord(short, half)
    return Picture(
        tuple(
            Trace(to.path(s.path), s.role, s.filled)
            for s in (*behind, *traces, *other, *top, *_centre(short, back, waisted=waisted))
        )
    )


def outer_width(short: Short, *, waisted: bool = True, drape: LegDrape = DRAPE) -> float:
    """Width of the drawn garment laid flat, in real mm."""
    left, _, right, _ = garment_picture(short, scale=1.0, waisted=waisted, drape=drape).bounds
    return right - left


def inseam_line(short: Short, *, scale: float, drape: LegDrape = DRAPE) -> Path:
    """Both inseams in one line, from hem to hem through the crotch, in the drawing's coordinates."""
    right = [level for level in _levels(short, drape) if level.y < 0]
    points = [Point(level.inner, level.y) for level in reversed(right)]
    mirrored = [Point(-point.x, point.y) for point in reversed(points)]
    return Scale(scale).path(Path.through(*points, Point(0, 0), *mirrored))


def _levels(short: Short, drape: LegDrape, *, waisted: bool = True) -> list[Level]:
    """Heights from the waist down to the hem: two for each tuck, its stitching and its fold."""
    block, design = short.leg, short.design
    waist, *casings = short.elastics
    edge, top = _side(short), _side(short) + block.band
    depths = {casing.name: casing.depth for casing in casings_of(block, design)}
    half = waist.finished / 4
    folds = fold_count(waist.flat_width / 4, half, drape)
    levels = [Level(y, 0, half, waist.gather, folds, waist.label) for y in (top, top - design.waist.channel)]
    if not waisted:
        above = [casing for casing in casings if casing.height > 0]
        free = waist.flat_width / 4
        if above:
            free = min(free, above[0].finished / 2 + drape.flare * (edge - above[0].height))
        levels = [Level(edge, 0, free)]
    for casing in casings:
        wide = casing.finished / 2
        folds = fold_count(casing.flat_width / 2, wide, drape)
        for y in (casing.height, casing.height - depths[casing.name]):
            at = 0.0 if casing.height > 0 else -y * drape.spread
            levels.append(Level(y, at, at + wide, casing.gather, folds, casing.label))
    last = levels[-1]
    fall = last.y - block.hem_level
    start = last if last.y < 0 else Level(0.0, 0.0, last.outer + max(0.0, last.y) * drape.flare / 2)
    wide = min(block.hem.length / 2, start.outer - start.inner + 2 * drape.flare * min(fall, start.y - block.hem_level))
    inner = -block.hem_level * drape.spread - (wide - (start.outer - start.inner)) * 0.25
    inner = max(inner, -block.hem_level * drape.spread / 2, drape.parted)
    levels.append(Level(block.hem_level, inner, inner + wide))
    return levels


def _half(short: Short, back: bool, waisted: bool, drape: LegDrape) -> list[Trace]:
    """The right half: cloth, outline, tucks, gathers, trim."""
    levels = _levels(short, drape, waisted=waisted)
    outer = outer_edge(levels, drape)
    hem = levels[-1]
    below = [level for level in levels if level.y < 0]
    inner = Path.through(
        Point(below[-1].inner, below[-1].y), *(Point(b.inner, b.y) for b in below[-2::-1]), Point(0, 0)
    )
    up = short.leg.band if waisted else 0.0
    top = Point(0, _waist_height(short, back) + up)
    cloth = Path(
        (
            *outer.segments,
            Line(outer.end, inner.start),
            *inner.segments,
            Line(inner.end, top),
            *_half_waist(short, levels[0].outer, back, -up).segments,
        )
    )
    found = [*_trim(short, hem), area(Role.OUTSIDE, cloth)]
    found += gathers(levels, drape)
    found += tucks(levels)
    found += [Trace(outer, Role.OUTLINE), Trace(inner, Role.OUTLINE), line(Role.OUTLINE, outer.end, inner.start)]
    deep = short.design.allowances.hem / 2
    found.append(line(Role.SEWN, Point(hem.outer - 0.5, hem.y + deep), Point(hem.inner + 0.5, hem.y + deep)))
    return found


def _sides_with_pocket(short: Short, back: bool) -> tuple[bool, bool]:
    """Whether the half on the right, and that on the left, has the pocket: from the front the left leg is there."""
    legs = short.design.pocket.legs
    near = PocketLegs.RIGHT if back else PocketLegs.LEFT
    return legs in (PocketLegs.BOTH, near), legs is not near


def _pocket(short: Short, levels: Sequence[Level], back: bool, drape: LegDrape) -> list[Trace]:
    """The patch on the half on the right, drawn in as its leg is: as far from the side as a share of the panel."""
    design, block = short.design, short.leg
    pocket = design.pocket
    if pocket.kind is not PocketKind.PATCH or (pocket.place is PocketPlace.BACK) is not back:
        return []
    place = pocket_place(block, design, tucks_of(block, design)[0])
    outer, edges = outer_edge(levels, drape), [f"{pocket.place} {edge}" for edge in ("crotch", "inseam")]
    inner = Path.through(*(Point(level.inner, level.y) for level in levels))

    def drawn(x: float, y: float) -> Point:
        edge = next(point for name in edges for point in block.edges[name].heights(y))
        side, centre = outer.heights(y)[0].x, inner.heights(y)[0].x
        return Point(side - (side - centre) * abs(x / edge.x), y)

    steps = [place.top + (place.low - place.top) * step / PATCH_STEPS for step in range(PATCH_STEPS + 1)]
    near_side, near_centre = sorted((place.left, place.right), key=abs)
    down = [drawn(near_side, y) for y in steps]
    up = [drawn(near_centre, y) for y in reversed(steps)]
    outline = Path.through(*down, *up, down[0])
    hem = place.top - pocket.hem
    return [
        area(Role.OUTSIDE, outline),
        Trace(outline, Role.FINE),
        line(Role.SEWN, drawn(near_side, hem), drawn(near_centre, hem)),
    ]


def _waist_height(short: Short, back: bool) -> float:
    """Height of the leg's waist edge at the centre seam."""
    block = short.leg
    return block.back_crotch.start.y if back else block.front_crotch.end.y


def _side(short: Short) -> float:
    """Height of the leg's waist edge at the side line."""
    return short.leg.waist.segments[0].end.y


def _half_waist(short: Short, half: float, back: bool, drop: float = 0.0) -> Path:
    """The leg's waist edge from the centre to the side of the right half, `half` mm wide, `drop` mm lower."""
    side = _side(short) - drop
    centre = _waist_height(short, back) - drop
    start, end = Point(0, centre), Point(half, side)
    return Path((Cubic(start, Point(half * 0.45, centre), Point(half * 0.75, (centre + side) / 2), end),))


def _whole(half: Path) -> Path:
    """A line from the centre outwards, and its mirror image, from left to right."""
    left = half.moved(Motion.mirror_side(0)).reversed()
    return Path((*left.segments, *half.segments))


def _inside(short: Short, half: float) -> list[Trace]:
    """What shows of the inside of the back above the front's waist."""
    far, near = (_whole(_half_waist(short, half, back, -short.leg.band)) for back in (True, False))
    hole = Path((*far.segments, *near.reversed().segments))
    return [area(Role.SHADE, hole), Trace(far, Role.OUTLINE)]


def _channel(short: Short, half: float, back: bool) -> list[Trace]:
    """The upper edge, and below it the row that closes the channel, or the seam of the waistband."""
    band = short.leg.band
    return [
        Trace(_whole(_half_waist(short, half, back, -band)), Role.OUTLINE),
        Trace(_whole(_half_waist(short, half, back, short.design.waist.channel - band)), Role.SEWN),
    ]


def _cord(short: Short, half: float) -> list[Trace]:
    """The ends of a drawcord, out at its buttonholes and tied in front."""
    cord, waist = short.design.drawcord, short.elastics.waist
    if not cord.width:
        return []
    y = _waist_height(short, back=False) + short.leg.band - short.design.waist.channel / 2
    out, knot = cord.spacing * 4 * half / waist.flat_width, Point(0, y - KNOT)
    ends = [
        smooth((Point(side * out, y), knot, Point(-side * KNOT / 2, y - 2 * KNOT), Point(-side * KNOT, y - 5 * KNOT)))
        for side in (-1, 1)
    ]
    return [*(Trace(end, Role.OUTLINE) for end in ends), area(Role.OUTLINE, circle(knot, cord.width))]


def _standing(short: Short, half: float, back: bool) -> list[Trace]:
    """What is turned down later, standing up from the waist edge."""
    seam = _whole(_half_waist(short, half, back))
    upper = _whole(_half_waist(short, half, back, -short.design.standing))
    sides = Path.through(seam.end, upper.end), Path.through(upper.start, seam.start)
    shape = Path.joined([seam, sides[0], upper.reversed(), sides[1]])
    return [area(Role.OUTSIDE, shape), Trace(shape, Role.OUTLINE)]


def _centre(short: Short, back: bool, *, waisted: bool) -> list[Trace]:
    top = _waist_height(short, back) + (short.leg.band if waisted else short.design.standing)
    return [line(Role.FINE, Point(0, top), Point(0, 0))]


def _trim(short: Short, hem: Level) -> list[Trace]:
    """What shows of the trim below the hem."""
    design = short.design
    if design.trim.kind is TrimKind.NONE:
        return []
    tucks = [Tuck(casing.name, casing.height, casing.depth) for casing in casings_of(short.leg, design)]
    shows = trim_shows(short.leg, design, tucks)
    widen = min(shows * 0.15, 6.0)
    corners = [
        Point(hem.inner + 2, hem.y),
        Point(hem.outer - 2, hem.y),
        Point(hem.outer - 2 + widen, hem.y - shows),
        Point(hem.inner + 2 - widen * 0.5, hem.y - shows),
    ]
    shape = Path.through(*corners, corners[0])
    found = [area(Role.SHADE, shape), Trace(shape, Role.OUTLINE)]
    for k in range(TRIM_FOLDS):
        share = (k + 0.5) / TRIM_FOLDS
        high, low = corners[0].toward(corners[1], share), corners[3].toward(corners[2], share)
        found.append(line(Role.GATHER, high, low.toward(high, 0.35)))
    return found
