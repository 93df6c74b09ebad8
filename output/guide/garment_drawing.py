"""The garment as a line drawing, front and back, laid flat: every width, height and gather is the draft's own.

An elastic laid flat is half as wide as it is long. Between two elastics the cloth puffs out by what is gathered.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import floor
from typing import Final

from blocks.parameters import PRACTICE, check_parameters, parameter
from blocks.short import Short
from blocks.short.design import TrimKind
from blocks.short.trim import trim_shows
from drafting.casing import Tuck
from drafting.curve import Cubic, Line, Segment
from drafting.path import Path
from drafting.picture import Picture, Scale, Trace, area, line
from drafting.point import Motion, Point, Vector
from drafting.role import Role

GOLDEN: Final = 0.6180339887498949
"""Steps of this share of one spread any number of lengths evenly."""

TRIM_FOLDS: Final = 9


@dataclass(frozen=True, slots=True)
class Drape:
    """How gathered cloth falls in the drawing; it shapes nothing that is cut.

    Raises:
        DesignError: a parameter is outside its range.
    """

    pleat: float = parameter(26, "mm", 8, 80, "cloth that one drawn gather takes up", PRACTICE)
    puff: float = parameter(0.30, "", 0, 0.6, "cloth between two elastics stands out, over their distance", PRACTICE)
    flare: float = parameter(0.55, "", 0, 1.5, "cloth below the last elastic widens each way, over its fall", PRACTICE)
    spread: float = parameter(0.10, "", 0, 0.5, "legs part on each side, over their fall", PRACTICE)
    fall: float = parameter(0.42, "", 0.1, 0.8, "longest gather over the cloth it runs into", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, "drape")


DRAPE: Final = Drape()


@dataclass(frozen=True, slots=True)
class _Level:
    """One height of the right half: where its inner and outer edges lie, in mm, and how the cloth is gathered there."""

    y: float
    inner: float
    outer: float
    gather: float = 1.0
    folds: int = 0


def garment_picture(
    short: Short, *, scale: float, back: bool = False, waisted: bool = True, drape: Drape = DRAPE
) -> Picture:
    """The garment at `scale` (paper over real mm), its crotch at the origin.

    Without `waisted` it is drawn before its waist elastic is in: the waist hangs free, and the facing stands up.
    """
    traces = _half(short, back, waisted, drape)
    mirror = Motion.mirror_side(0)
    other = [Trace(trace.path.moved(mirror), trace.role, trace.filled) for trace in traces]
    half = _levels(short, drape, waisted=waisted)[0].outer
    behind = _inside(short, half) if waisted and not back else []
    top = _channel(short, half, back) if waisted else _facing(short, half, back)
    to = Scale(scale)
    return Picture(
        tuple(
            Trace(to.path(s.path), s.role, s.filled)
            for s in (*behind, *traces, *other, *top, *_centre(short, back, waisted=waisted))
        )
    )


def outer_width(short: Short, *, waisted: bool = True, drape: Drape = DRAPE) -> float:
    """Width of the drawn garment laid flat, in real mm."""
    left, _, right, _ = garment_picture(short, scale=1.0, waisted=waisted, drape=drape).bounds
    return right - left


def inseam_line(short: Short, *, scale: float, drape: Drape = DRAPE) -> Path:
    """Both inseams in one line, from hem to hem through the crotch, in the drawing's coordinates."""
    right = [level for level in _levels(short, drape) if level.y < 0]
    points = [Point(level.inner, level.y) for level in reversed(right)]
    mirrored = [Point(-point.x, point.y) for point in reversed(points)]
    return Scale(scale).path(Path.through(*points, Point(0, 0), *mirrored))


def _levels(short: Short, drape: Drape, *, waisted: bool = True) -> list[_Level]:
    """Heights from the waist down to the hem: two for each tuck, its stitching and its fold."""
    block, design = short.leg, short.design
    waist, *casings = short.elastics
    depths = {casing.name: casing.depth for casing in design.casings}
    half = waist.finished / 4
    folds = _folds(waist.flat_width / 4, half, drape)
    levels = [
        _Level(block.waist_level, 0, half, waist.gather, folds),
        _Level(block.waist_level - design.waist.channel, 0, half, waist.gather, folds),
    ]
    if not waisted:
        above = [casing for casing in casings if casing.height > 0]
        free = waist.flat_width / 4
        if above:
            free = min(free, above[0].finished / 2 + drape.flare * (block.waist_level - above[0].height))
        levels = [_Level(block.waist_level, 0, free)]
    for casing in casings:
        inner, wide = (0.0, casing.finished / 2) if casing.height > 0 else (None, casing.finished / 2)
        for y in (casing.height, casing.height - depths[casing.name]):
            at = -y * drape.spread if inner is None else inner
            levels.append(
                _Level(y, at, at + wide, casing.gather, _folds(casing.flat_width / 2, casing.finished / 2, drape))
            )
    last = levels[-1]
    fall = last.y - block.hem_level
    start = last if last.y < 0 else _Level(0.0, 0.0, last.outer + max(0.0, last.y) * drape.flare / 2)
    wide = min(block.hem.length / 2, start.outer - start.inner + 2 * drape.flare * min(fall, start.y - block.hem_level))
    inner = -block.hem_level * drape.spread - (wide - (start.outer - start.inner)) * 0.25
    inner = max(inner, -block.hem_level * drape.spread / 2)
    levels.append(_Level(block.hem_level, inner, inner + wide))
    return levels


def _folds(flat: float, gathered: float, drape: Drape) -> int:
    return max(0, round((flat - gathered) / drape.pleat))


def _half(short: Short, back: bool, waisted: bool, drape: Drape) -> list[Trace]:
    """The right half: cloth, outline, tucks, gathers, trim."""
    levels = _levels(short, drape, waisted=waisted)
    outer = _outer(levels, drape)
    hem = levels[-1]
    below = [level for level in levels if level.y < 0]
    inner = Path.through(
        Point(below[-1].inner, below[-1].y), *(Point(b.inner, b.y) for b in below[-2::-1]), Point(0, 0)
    )
    centre = _waist_height(short, back)
    top = Point(0, centre)
    cloth = Path(
        (
            *outer.segments,
            Line(outer.end, inner.start),
            *inner.segments,
            Line(inner.end, top),
            *_half_waist(short, levels[0].outer, back).segments,
        )
    )
    found = [*_trim(short, hem), area(Role.OUTSIDE, cloth)]
    found += _gathers(levels, drape)
    found += _tucks(levels)
    found += [Trace(outer, Role.OUTLINE), Trace(inner, Role.OUTLINE), line(Role.OUTLINE, outer.end, inner.start)]
    deep = short.design.allowances.hem / 2
    found.append(line(Role.SEWN, Point(hem.outer - 0.5, hem.y + deep), Point(hem.inner + 0.5, hem.y + deep)))
    return found


def _held(above: _Level, below: _Level) -> bool:
    """True from an elastic's upper to its lower edge."""
    return above.gather > 1 and above.gather == below.gather and above.folds == below.folds


def _outer(levels: list[_Level], drape: Drape) -> Path:
    """The outer edge from the waist to the hem: straight along each tuck, puffed between two."""
    segments: list[Segment] = []
    for above, below in pairwise(levels):
        start, end = Point(above.outer, above.y), Point(below.outer, below.y)
        if _held(above, below):
            segments.append(Line(start, end))
            continue
        fall = above.y - below.y
        fullness = min(1.0, (max(above.gather, below.gather) - 1) / 0.6)
        puff = drape.puff * min(fall, 120.0) * fullness
        free = not below.folds
        first = Vector(puff * 1.2, -fall * 0.22)
        second = Vector(0.0, fall * 0.3) if free else Vector(puff * 1.2, fall * 0.22)
        segments.append(Cubic(start, start + first, end + second, end))
    return Path(tuple(segments))


def _tucks(levels: list[_Level]) -> list[Trace]:
    """The band of every tuck: its stitching above is hidden under it, its fold below is stitched down."""
    found: list[Trace] = []
    for above, below in pairwise(levels):
        if above is levels[0] or not _held(above, below):
            continue
        corners = [Point(above.inner, above.y), Point(above.outer, above.y)]
        lower = [Point(below.outer, below.y), Point(below.inner, below.y)]
        found.append(area(Role.SHADE, Path.through(*corners, *lower, corners[0])))
        found.append(line(Role.FINE, *corners))
        found.append(line(Role.OUTLINE, *lower))
        up = Vector(0, (above.y - below.y) * 0.15)
        found.append(line(Role.SEWN, *(point + up for point in lower)))
        wide = above.outer - above.inner
        for k in range(above.folds):
            x = above.inner + wide * (k + 0.5) / above.folds
            found.append(line(Role.GATHER, Point(x, above.y), Point(x + wide * 0.004, below.y + up.y * 2)))
    return found


def _gathers(levels: list[_Level], drape: Drape) -> list[Trace]:
    """Folds that run from each elastic into the cloth above and below it."""
    found = []
    for above, below in pairwise(levels):
        if _held(above, below):
            if above is levels[0]:
                found += _runs(above, below, above.folds, 1.0, drape, reach=0.8)
            continue
        if above.folds:
            found += _runs(above, below, above.folds, 1.0, drape)
        if below.folds:
            found += _runs(below, above, below.folds, -1.0, drape)
    return found


def _runs(start: _Level, end: _Level, count: int, seed: float, drape: Drape, reach: float = 0.0) -> list[Trace]:
    found = []
    for k in range(count):
        share = (k + 0.5) / count
        odd = (k + 1) * GOLDEN + seed * 0.29
        length = reach or drape.fall * (0.35 + 0.65 * (odd - floor(odd)))
        x = start.inner + (start.outer - start.inner) * share
        aim = end.inner + (end.outer - end.inner) * share
        at, to = Point(x, start.y), Point(aim, end.y)
        tip = at.toward(to, length)
        lean = Vector((share - 0.5) * 0.10 * abs(end.y - start.y), 0)
        fold = Cubic(at, at.toward(tip, 0.4), at.toward(tip, 0.75) + lean * 0.4, tip + lean)
        found.append(Trace(Path((fold,)), Role.GATHER))
    return found


def _waist_height(short: Short, back: bool) -> float:
    """Height of the waist at the centre seam."""
    block = short.leg
    return block.back_crotch.start.y if back else block.front_crotch.end.y


def _half_waist(short: Short, half: float, back: bool, drop: float = 0.0) -> Path:
    """The waist edge from the centre to the side of the right half, `half` mm wide, `drop` mm lower than it lies."""
    side = short.leg.waist_level - drop
    centre = _waist_height(short, back) - drop
    start, end = Point(0, centre), Point(half, side)
    return Path((Cubic(start, Point(half * 0.45, centre), Point(half * 0.75, (centre + side) / 2), end),))


def _whole(half: Path) -> Path:
    """A line from the centre outwards, and its mirror image, from left to right."""
    left = half.moved(Motion.mirror_side(0)).reversed()
    return Path((*left.segments, *half.segments))


def _inside(short: Short, half: float) -> list[Trace]:
    """What shows of the inside of the back above the front's waist."""
    far, near = (_whole(_half_waist(short, half, back)) for back in (True, False))
    hole = Path((*far.segments, *near.reversed().segments))
    return [area(Role.SHADE, hole), Trace(far, Role.OUTLINE)]


def _channel(short: Short, half: float, back: bool) -> list[Trace]:
    channel = short.design.waist.channel
    return [
        Trace(_whole(_half_waist(short, half, back)), Role.OUTLINE),
        Trace(_whole(_half_waist(short, half, back, channel)), Role.SEWN),
    ]


def _facing_height(short: Short) -> float:
    design = short.design
    return design.waist.channel + design.facing.edge + design.facing.turn_under


def _facing(short: Short, half: float, back: bool) -> list[Trace]:
    """The facing standing up from the waist seam."""
    seam = _whole(_half_waist(short, half, back))
    upper = _whole(_half_waist(short, half, back, -_facing_height(short)))
    sides = Path.through(seam.end, upper.end), Path.through(upper.start, seam.start)
    shape = Path.joined([seam, sides[0], upper.reversed(), sides[1]])
    return [area(Role.OUTSIDE, shape), Trace(shape, Role.OUTLINE)]


def _centre(short: Short, back: bool, *, waisted: bool) -> list[Trace]:
    top = _waist_height(short, back) + (0.0 if waisted else _facing_height(short))
    return [line(Role.FINE, Point(0, top), Point(0, 0))]


def _trim(short: Short, hem: _Level) -> list[Trace]:
    """What shows of the trim below the hem."""
    design = short.design
    if design.trim.kind is TrimKind.NONE:
        return []
    tucks = [Tuck(casing.name, casing.height, casing.depth) for casing in design.casings]
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
