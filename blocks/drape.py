"""Gathered cloth as it is drawn: how it puffs out between elastics, and the gathers that run from each into the cloth.

A worn garment is drawn in halves, mirrored at the centre. A half is a list of levels from the top down, two for what an
elastic holds: its upper and its lower edge. In mm, y up, x outwards from the centre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor
from typing import ClassVar, Final

from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.curve import Cubic, Line, Segment
from drafting.path import Path
from drafting.picture import Trace, area, line
from drafting.point import Point, Vector
from drafting.role import Role

GOLDEN: Final = 0.6180339887498949
"""Steps of this share of one spread any number of lengths evenly."""


FAR: Final = 120.0
"""mm; cloth that falls further than this stands out and leans no more for it."""


@dataclass(frozen=True, slots=True)
class Drape(Parameters):
    """How gathered cloth falls in the drawing; it shapes nothing that is cut."""

    called: ClassVar[str] = "drape"

    pleat: float = parameter(26, "mm", 8, 80, "cloth that one drawn gather takes up", PRACTICE)
    puff: float = parameter(0.30, "", 0, 0.6, "cloth between two elastics stands out, over their distance", PRACTICE)
    flare: float = parameter(0.55, "", 0, 1.5, "cloth below the last elastic widens each way, over its fall", PRACTICE)
    fall: float = parameter(0.42, "", 0.1, 0.8, "longest gather over the cloth it runs into", PRACTICE)


@dataclass(frozen=True, slots=True)
class Level:
    """One height of the half on the right: where its inner and outer edges lie, and how the cloth is gathered there.

    `gather` is the flat width of cloth over the width that it is held to; 1 where it hangs free. `folds` are drawn.
    `elastic` is what holds it, by its label; empty where the cloth hangs free or is sewn to other cloth.
    """

    y: float
    inner: float
    outer: float
    gather: float = 1.0
    folds: int = 0
    elastic: str = ""


def fold_count(flat: float, gathered: float, drape: Drape) -> int:
    """How many gathers are drawn where so much cloth, in mm, is held to so much."""
    return max(0, round((flat - gathered) / drape.pleat))


def held(above: Level, below: Level) -> bool:
    """True from an elastic's upper to its lower edge: two elastics alike hold nothing between them."""
    return bool(above.elastic) and above.elastic == below.elastic


def outer_edge(levels: Sequence[Level], drape: Drape) -> Path:
    """The outer edge from the waist to the hem: straight along each tuck, puffed between two."""
    segments: list[Segment] = []
    for above, below in pairwise(levels):
        start, end = Point(above.outer, above.y), Point(below.outer, below.y)
        if held(above, below):
            segments.append(Line(start, end))
            continue
        fall = above.y - below.y
        fullness = min(1.0, (max(above.gather, below.gather) - 1) / 0.6)
        puff = drape.puff * min(fall, FAR) * fullness
        free = not below.folds
        first = Vector(puff * 1.2, -fall * 0.22)
        second = Vector(0.0, fall * 0.3) if free else Vector(puff * 1.2, fall * 0.22)
        segments.append(Cubic(start, start + first, end + second, end))
    return Path(tuple(segments))


def tucks(levels: Sequence[Level]) -> list[Trace]:
    """The band of every tuck: its stitching above is hidden under it, its fold below is stitched down."""
    found: list[Trace] = []
    for above, below in pairwise(levels):
        if above is levels[0] or not held(above, below):
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


def gathers(levels: Sequence[Level], drape: Drape) -> list[Trace]:
    """Folds that run from each elastic into the cloth above and below it."""
    found = []
    for above, below in pairwise(levels):
        if held(above, below):
            if above is levels[0]:
                found += _runs(above, below, above.folds, 1.0, drape, reach=0.8)
            continue
        if above.folds:
            found += _runs(above, below, above.folds, 1.0, drape)
        if below.folds:
            found += _runs(below, above, below.folds, -1.0, drape)
    return found


def _runs(start: Level, end: Level, count: int, seed: float, drape: Drape, reach: float = 0.0) -> list[Trace]:
    found = []
    for k in range(count):
        share = (k + 0.5) / count
        odd = (k + 1) * GOLDEN + seed * 0.29
        length = reach or drape.fall * (0.35 + 0.65 * (odd - floor(odd)))
        x = start.inner + (start.outer - start.inner) * share
        aim = end.inner + (end.outer - end.inner) * share
        at, to = Point(x, start.y), Point(aim, end.y)
        tip = at.toward(to, length)
        lean = Vector((share - 0.5) * 0.10 * min(abs(end.y - start.y), FAR), 0)
        fold = Cubic(at, at.toward(tip, 0.4), at.toward(tip, 0.75) + lean * 0.4, tip + lean)
        found.append(Trace(Path((fold,)), Role.GATHER))
    return found
