"""The skirt as a line drawing, laid flat: every width, height and gather is the draft's own."""

from __future__ import annotations

from typing import Final

from blocks.drape import Drape, Level, fold_count, gathers, outer_edge, tucks
from blocks.panel import HEM_TURNS
from blocks.skirt.draft import Skirt
from drafting.curve import Line
from drafting.path import Path
from drafting.picture import Picture, Scale, Trace, area, line
from drafting.point import Motion, Point
from drafting.role import Role

DRAPE: Final = Drape()

RUFFLE_FLARE: Final = 1.5
"""A ruffle stands out so many times as much as the skirt above it: how it is drawn, not how it is cut."""


def worn(skirt: Skirt, *, scale: float, back: bool = False, drape: Drape = DRAPE) -> Picture:
    """The skirt at `scale` (paper over real mm), the middle of its waist at the origin."""
    levels, ruffle = _levels(skirt, drape), _ruffle(skirt, drape)
    to = Scale(scale)
    traces = (*_part(ruffle, drape), *_part(levels, drape), *_rows(skirt, levels, ruffle, back=back))
    return Picture(tuple(Trace(to.path(trace.path), trace.role, trace.filled) for trace in traces))


def _levels(skirt: Skirt, drape: Drape) -> list[Level]:
    """Heights of the right half from the waist down to the panel's lower edge: two for the channel and each tuck.

    An elastic laid flat is half as wide as it is long, so a half of the drawing is a quarter of that.
    """
    panel, elastics = skirt.panel, skirt.elastics
    quarter = panel.round / 4
    found: list[Level] = []
    for elastic in elastics:
        deep = skirt.design.waist.channel if elastic is elastics.waist else _depth(skirt, elastic.name)
        wide = elastic.finished * elastic.round_body / 4
        count = fold_count(quarter, wide, drape)
        found += [
            Level(y, 0, wide, elastic.gather, count, elastic.label) for y in (elastic.height, elastic.height - deep)
        ]
    last = found[-1]
    wide = min(quarter, last.outer + drape.flare * (last.y - panel.lower))
    return [*found, Level(panel.lower, 0, max(wide, last.outer))]


def _depth(skirt: Skirt, name: str) -> float:
    return next(casing.depth for casing in skirt.design.casings if casing.name == name)


def _ruffle(skirt: Skirt, drape: Drape) -> list[Level]:
    """The right half of the ruffle, from its seam to its hem; nothing without one."""
    panel, ruffle = skirt.panel, skirt.design.ruffle
    if not ruffle.depth:
        return []
    top = _levels(skirt, drape)[-1].outer
    wide = min(top * ruffle.fullness, top + drape.flare * RUFFLE_FLARE * ruffle.depth)
    count = fold_count(top * ruffle.fullness, top, drape)
    return [Level(panel.lower, 0, top, ruffle.fullness, count), Level(panel.bottom, 0, wide)]


def _part(levels: list[Level], drape: Drape) -> list[Trace]:
    """Cloth, outline, gathers and tucks of the skirt or of its ruffle, from the levels of its right half."""
    if not levels:
        return []
    mirror = Motion.mirror_side(0)
    outer = outer_edge(levels, drape)
    other = outer.moved(mirror).reversed()
    hem, top = Line(outer.end, other.start), Line(other.end, outer.start)
    half = [*gathers(levels, drape), *tucks(levels), Trace(outer, Role.OUTLINE)]
    return [
        area(Role.OUTSIDE, Path((*outer.segments, hem, *other.segments, top))),
        *half,
        *(Trace(trace.path.moved(mirror), trace.role, trace.filled) for trace in half),
        Trace(Path((hem,)), Role.OUTLINE),
    ]


def _rows(skirt: Skirt, levels: list[Level], ruffle: list[Level], *, back: bool) -> list[Trace]:
    """What runs right across: the waist, the row of its channel, the hem's; at the back the seam of a single panel."""
    top, hem = levels[0], (ruffle or levels)[-1]
    channel = top.y - skirt.design.waist.channel
    deep = hem.y + skirt.design.allowances.hem / HEM_TURNS
    found = [
        line(Role.OUTLINE, Point(-top.outer, top.y), Point(top.outer, top.y)),
        line(Role.SEWN, Point(-top.outer, channel), Point(top.outer, channel)),
        line(Role.SEWN, Point(-hem.outer, deep), Point(hem.outer, deep)),
    ]
    if back and skirt.panel.count == 1:
        found.append(line(Role.FINE, Point(0, top.y), Point(0, hem.y)))
    return found
