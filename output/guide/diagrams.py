"""The sewing steps as diagrams, each drawn from the pieces that are cut: an overview, and where it helps a section.

In an overview the outside of the cloth is tinted. A section cuts through the leg from top to bottom: up is towards the
waist, right is outside. Sections keep the true proportions of depths, allowances and elastics, not of cloth thickness.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from blocks.design import CasingDesign
from blocks.panel import HEM_TURNS
from blocks.short import Short, draft_short
from blocks.short.design import TrimKind
from blocks.short.leg_piece import leg_sides
from drafting.allowance import with_allowances
from drafting.path import Path
from drafting.picture import (
    Caption,
    Picture,
    Scale,
    Trace,
    area,
    arrow,
    circle,
    ellipse,
    line,
    measure,
    outlined,
    ribbon,
    row,
)
from drafting.piece import Notch, NotchKind, Piece
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from drafting.units import show_at_most
from output.drawing.notches import deepest_snip, mark
from output.drawing.picture import captioned, stacked
from output.drawing.sheet import Sheet
from output.guide.garment_drawing import garment_picture, inseam_line, outer_width
from output.guide.words import say

WIDTH: Final = 104.0
OVERVIEW: Final = 66.0
"""mm; the width of a diagram, and of the piece in its overview beside the captions."""

NOTCH_DOT: Final = 0.4
"""mm; radius of a notch on a piece in miniature."""
ROOM_TO_STRETCH: Final = 0.78
"""Size of the overview that has arrows on both sides, over that of the others."""

THICK: Final = 0.9
"""mm on paper; a layer of cloth in a section."""


@dataclass(frozen=True)
class Model:
    """What the diagrams draw: one size, its leg whole, and its halves for the steps of a split leg."""

    short: Short

    @cached_property
    def whole(self) -> Short:
        return self.short if not self.short.split else self._drafted(split=False)

    @cached_property
    def halves(self) -> Short:
        return self.short if self.short.split else self._drafted(split=True)

    def _drafted(self, *, split: bool) -> Short:
        short = self.short
        return draft_short(short.design, short.body, rise=short.rise, size=short.size, split=split)

    @cached_property
    def leg(self) -> Piece:
        return piece_named(self.whole, "leg")

    @cached_property
    def casings(self) -> tuple[CasingDesign, ...]:
        """The casings of this size and rise, lowest first."""
        kept = {elastic.name for elastic in self.short.elastics.casings}
        return tuple(sorted((c for c in self.short.design.casings if c.name in kept), key=lambda c: c.height))

    @cached_property
    def finished(self) -> Mapping[str, Path]:
        """The cut line of the leg once its casings are stitched, edge by edge."""
        sides = leg_sides(self.whole.leg.edges, self.short.design)
        return {edge.name: edge.cut for edge in with_allowances(sides)}

    @cached_property
    def hemmed(self) -> Path:
        """The leg with its casings stitched and its hem turned: no allowance below the hem."""
        block = self.whole.leg
        low = block.hem_level
        front = self.finished["front inseam"].split_at_height(low)[1]
        back = self.finished["back inseam"].split_at_height(low)[0]
        parts = [front, *(self.finished[name] for name in ("front crotch", "waist", "back crotch")), back]
        path = Path.joined(parts)
        return Path.joined([path, Path.through(path.end, path.start)])

    @cached_property
    def scale(self) -> float:
        left, _, right, _ = self.leg.cut_line.bounds
        return OVERVIEW / (right - left)

    def across(self, height: float) -> tuple[Point, Point]:
        """The seam line's left and right end at a finished height."""
        block = self.whole.leg
        edges = (block.back_crotch, block.front_crotch) if height > 0 else (block.back_inseam, block.front_inseam)
        left, right = (edge.heights(height)[0] for edge in edges)
        return left, right


def piece_named(short: Short, name: str) -> Piece:
    """The piece of that name."""
    return next(piece for piece in short.pieces if piece.name == name)


def step_diagram(name: str, model: Model) -> Sheet:
    """The diagram of a step, `WIDTH` mm wide; the names are those of `STEPS`."""
    return stacked([captioned(picture, WIDTH) for picture in STEPS[name](model)])


def piece_picture(piece: Piece, scale: float) -> Picture:
    """A piece in miniature: cut line, seam line, casings and notches."""
    to = Scale(scale)
    return Picture(
        (
            *outlined(Role.OUTSIDE, to.path(piece.cut_line)),
            Trace(to.path(piece.seam_line), Role.SEAM),
            *(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE) for fold in piece.fold_lines),
            *_dots(to, piece.notches, Role.NOTCH),
            *arrow(to(piece.grainline.start), to(piece.grainline.end), Role.FINE, head=1.4),
        )
    )


# Overviews --------------------------------------------------------------------------------------------------------


def _cut(model: Model) -> list[Picture]:
    to = Scale(model.scale * 0.62)
    flip = Scale(to.by, across=-1.0)
    leg = model.leg
    pair = []
    for scale, words in ((to, "draw.cut.drawn"), (flip, "draw.cut.mirrored")):
        traces = [*outlined(Role.OUTSIDE, scale.path(leg.cut_line))]
        traces += _dots(scale, leg.notches)
        traces += arrow(scale(leg.grainline.start), scale(leg.grainline.end), Role.FINE, head=1.6)
        spot = scale(Point(leg.cut_line.bounds[2] * 0.45, 0.0))
        pair.append(Picture(tuple(traces), (Caption(spot, say(words)),)))
    upper, lower = pair
    lifted = upper.moved(Vector(0, lower.bounds[3] - upper.bounds[1] + 4))
    notch = leg.notch("inseam-front").cut_point
    whole = lifted.over(lower)
    captions = (*whole.captions, Caption(flip(notch), say("draw.cut.notch")))
    overview = Picture(whole.traces, captions)
    return [overview, _notches(leg)]


def _dots(to: Scale, notches: Iterable[Notch], role: Role = Role.DOT) -> list[Trace]:
    """Notches where they are on the edge of a piece in miniature, in which their marks would be too small to see."""
    places = [to(notch.cut_point.toward(notch.seam_point, 0.5)) for notch in notches]
    return [area(role, circle(place, NOTCH_DOT)) for place in places]


def _notches(piece: Piece) -> Picture:
    """A stretch of edge twice its size, with every kind of notch that the piece has."""
    allowance = {notch.kind: piece.edge(notch.edge).allowance for notch in piece.notches}
    kinds = [kind for kind in NotchKind if kind in allowance]
    to, apart = Scale(2.0), 6.5
    deep = max(allowance.values())
    reach, inward = apart * len(kinds), Vector(0, 1)
    cloth = Path.through(*(Point(x, y) for x, y in ((0, 0), (reach, 0), (reach, deep + 4), (0, deep + 4), (0, 0))))
    traces = [
        area(Role.OUTSIDE, to.path(cloth)),
        line(Role.CUT, to(Point(0, 0)), to(Point(reach, 0))),
        line(Role.SEWN, to(Point(0, deep)), to(Point(reach, deep))),
    ]
    for number, kind in enumerate(kinds):
        at = Point(apart * (number + 0.5), 0)
        drawn = mark(kind, at, inward, deep, allowance[kind])
        traces += [Trace(to.path(stroke.path), Role.TICK, stroke.filled) for stroke in drawn]
        role = {NotchKind.FOLD: Role.CREASE, NotchKind.STITCH: Role.SEWN}.get(kind)
        if role:
            traces.append(line(role, to(at + inward * deep), to(at + inward * (deep + 4))))
    snip = deepest_snip([piece])
    traces += measure(to(Point(reach + 1.5, 0)), to(Point(reach + 1.5, snip)))
    captions = (
        Caption(to(Point(reach, deep)), say("draw.cut.seam")),
        Caption(to(Point(reach + 1.5, snip)), say("draw.cut.snip", snip=show_at_most(snip))),
        Caption(to(Point(reach, 0)), say("draw.cut.edge")),
    )
    return Picture(tuple(traces), captions)


def _side(model: Model) -> list[Picture]:
    front, back = (piece_named(model.halves, f"leg {half}") for half in ("front", "back"))
    wide = back.cut_line.bounds[2] - back.cut_line.bounds[0]
    to = Scale(min(model.scale * 1.2, 52.0 / wide))
    over = Scale(to.by, across=-1.0)
    traces = [*outlined(Role.OUTSIDE, to.path(back.cut_line)), *outlined(Role.INSIDE, over.path(front.cut_line))]
    traces += _dots(over, [notch for notch in front.notches if notch.edge == "side"])
    seam = front.edge("side").seam
    traces.append(Trace(over.path(seam), Role.NOW))
    fold = next((n for n in front.notches if n.edge == "side" and n.kind is NotchKind.FOLD), front.notches[0])
    inner = over(Point(front.cut_line.bounds[2] * 0.5, seam.point_at(seam.length * 0.3).y))
    outer = to(Point(back.cut_line.bounds[0] + wide * 0.04, 0.0))
    captions = (
        Caption(over(seam.point_at(seam.length * 0.12)), say("draw.side.seam")),
        Caption(over(fold.cut_point), say("draw.side.notch")),
        Caption(inner, say("draw.side.front")),
        Caption(outer, say("draw.side.back")),
    )
    return [Picture(tuple(traces), captions)]


def _flat(model: Model, *, outside: bool = True) -> tuple[Scale, list[Trace]]:
    """The flat leg, outside up, or inside up and so mirrored."""
    to = Scale(model.scale, across=1.0 if outside else -1.0)
    return to, [*outlined(Role.OUTSIDE if outside else Role.INSIDE, to.path(model.leg.cut_line))]


def _crease(model: Model) -> list[Picture]:
    to, traces = _flat(model)
    for fold in model.leg.fold_lines:
        traces.append(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE_NOW))
    folds = [notch for notch in model.leg.notches if notch.kind is NotchKind.FOLD]
    traces += _dots(to, folds)
    top = model.leg.fold_lines[-1]
    captions = (
        Caption(to(top.start.toward(top.end, 0.7)), say("draw.crease.line")),
        Caption(to(folds[0].cut_point), say("draw.crease.notch")),
    )
    overview = Picture(tuple(traces), captions)
    peak = 9.0
    cloth = ribbon(
        [Point(-1.1, -9), Point(-1.1, peak - 1), Point(0, peak), Point(1.1, peak - 1), Point(1.1, -9)],
        THICK,
        Role.CLOTH,
    )
    section = Picture(
        cloth,
        (Caption(Point(0, peak), say("draw.crease.fold")), Caption(Point(-1.1, -5), say("draw.crease.wrong"))),
    )
    return [overview, section]


def _hem(model: Model) -> list[Picture]:
    to, traces = _flat(model, outside=False)
    block, allow = model.whole.leg, model.short.design.allowances
    deep = allow.hem / HEM_TURNS
    y = block.hem_level
    left, right = block.hem.start.x, block.hem.end.x
    traces.append(Trace(to.path(Path.through(Point(left, y), Point(right, y))), Role.CREASE))
    traces.append(Trace(to.path(Path.through(Point(left, y + deep), Point(right, y + deep))), Role.NOW))
    captions = (
        Caption(to(Point(0, 120)), say("draw.hem.wrong")),
        Caption(to(Point(left * 0.8, y + deep)), say("draw.hem.line")),
    )
    return [Picture(tuple(traces), captions), _hem_section(deep)]


def _hem_section(deep: float) -> Picture:
    """A hem turned twice to the inside, at 2 mm on paper for each mm."""
    d = deep * 2
    cloth = ribbon(
        [
            *(Point(0, d + 12), Point(0, 0), Point(-1.5, -1), Point(-3, 0), Point(-3, d)),
            *(Point(-2.2, d + 0.8), Point(-1.5, d), Point(-1.5, 1.2)),
        ],
        THICK,
        Role.CLOTH,
    )
    stitch = line(Role.STITCHING, Point(0.9, d - 1.6), Point(-3.9, d - 1.6))
    captions = (
        Caption(Point(0.9, d - 1.6), say("draw.hem.stitch")),
        Caption(Point(-1.5, 2.2), say("draw.hem.raw")),
    )
    return Picture((*cloth, stitch, *measure(Point(-6, 0), Point(-6, d))), captions)


def _band(model: Model) -> list[Picture]:
    band = piece_named(model.whole, "trim band")
    left, _, right, _ = band.cut_line.bounds
    to = Scale(OVERVIEW / (right - left), across=-1.0)
    traces = [*outlined(Role.INSIDE, to.path(band.cut_line)), Trace(to.path(band.edge("casing").seam), Role.SEWN)]
    trim = model.short.design.trim
    low, seam = band.edge("hem").seam, band.edge("casing").seam
    captions = [Caption(to(seam.point_at(seam.length * 0.2)), say("draw.band.casing"))]
    if trim.hem:
        deep = Vector(0, trim.hem / HEM_TURNS)
        traces.append(Trace(to.path(Path.through(low.start + deep, low.end + deep)), Role.NOW))
        captions.append(Caption(to(low.start + deep + Vector(60, 0)), say("draw.band.hem")))
    else:
        captions.append(Caption(to(low.start + Vector(60, 0)), say("draw.band.cut")))
    captions.append(Caption(to(band.notch("hem-front").cut_point), say("draw.band.notch")))
    return [Picture(tuple(traces), tuple(captions))]


def _trim(model: Model) -> list[Picture]:
    design, lowest = model.short.design, model.short.elastics.casings[-1]
    long = lowest.flat_width + 2 * design.allowances.seam
    by = OVERVIEW / long
    tall = design.trim.width * by
    shape = Path.through(Point(0, 0), Point(OVERVIEW, 0), Point(OVERVIEW, tall), Point(0, tall), Point(0, 0))
    edge = tall - design.trim.top * by
    traces = [*outlined(Role.FACING, shape), line(Role.SEWN, Point(0, edge), Point(OVERVIEW, edge))]
    traces += measure(Point(0, -3), Point(OVERVIEW, -3))
    captions = (
        Caption(Point(OVERVIEW * 0.7, edge), say("draw.trim.top")),
        Caption(Point(OVERVIEW * 0.7, -3), say("draw.trim.length")),
    )
    return [Picture(tuple(traces), captions)]


def _casings(model: Model) -> list[Picture]:
    to, traces = _flat(model)
    leg = model.leg
    for fold in leg.fold_lines:
        traces.append(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE))
    for stitch in leg.stitch_lines:
        traces.append(Trace(to.path(Path.through(stitch.start, stitch.end)), Role.STITCH))
    first, last = leg.stitch_lines[0], leg.stitch_lines[-1]
    captions = (
        Caption(to(last.start.toward(last.end, 0.75)), say("draw.casings.lines")),
        Caption(to(first.start.toward(first.end, 0.6)), say("draw.casings.first")),
    )
    sheets = [Picture(tuple(traces), captions)]
    trimmed = model.short.design.trim.kind is not TrimKind.NONE
    return [*sheets, _standing(model.casings[0], model, trimmed=trimmed)]


def _standing(casing: CasingDesign, model: Model, *, trimmed: bool) -> Picture:
    """A tuck as it is stitched, standing out from the leg; the trim caught in it."""
    by = 1.3
    d, apart = casing.depth * by, 1.7 if trimmed else 0.9
    cloth = ribbon(
        [
            *(Point(0, -15), Point(0, -apart), Point(d - 0.6, -apart), Point(d + 0.5, 0)),
            *(Point(d - 0.6, apart), Point(0, apart), Point(0, 12)),
        ],
        THICK,
        Role.CLOTH,
    )
    traces = [*cloth]
    captions = [
        Caption(Point(d + 0.5, 0), say("draw.casings.fold")),
        Caption(Point(0.4, -apart - 0.9), say("draw.casings.stitch")),
    ]
    if trimmed:
        top = model.short.design.trim.top * by
        traces += ribbon([Point(top, 0), Point(-1, 0), Point(-2.0, -1.1), Point(-2.0, -15)], THICK, Role.FACING)
        captions.append(Caption(Point(-2.0, -12), say("draw.casings.trim")))
    traces.append(line(Role.STITCHING, Point(0.4, -apart - 0.9), Point(0.4, apart + 0.9)))
    traces += measure(Point(0.4, 6), Point(d + 0.5, 6))
    return Picture(tuple(traces), tuple(captions))


def _done(model: Model, *, share: float = 1.0) -> tuple[Scale, list[Trace]]:
    """The leg outside up with its hem turned and its tucks pressed down; `share` leaves room beside it."""
    to = Scale(model.scale * share)
    traces = [*outlined(Role.OUTSIDE, to.path(model.hemmed))]
    deep = model.short.design.allowances.hem / HEM_TURNS
    block = model.whole.leg
    left, right = block.hem.start, block.hem.end
    traces.append(Trace(to.path(Path.through(left + Vector(0, deep), right + Vector(0, deep))), Role.SEWN))
    for casing in model.casings:
        (a, b), (c, e) = model.across(casing.height), model.across(casing.height - casing.depth)
        reach = Vector(model.short.design.allowances.seam, 0)
        corners = [to(p) for p in (a - reach, b + reach, e + reach, c - reach)]
        traces.append(area(Role.SHADE, Path.through(*corners, corners[0])))
        traces.append(line(Role.FINE, corners[0], corners[1]))
        traces.append(line(Role.OUTLINE, corners[2], corners[3]))
    return to, traces


def from_fold(casing: CasingDesign) -> float:
    """How far from its fold a tuck is stitched down: half of what the elastic leaves free, in mm."""
    return (casing.depth - casing.elastic_width) / 2


def _press(model: Model) -> list[Picture]:
    to, traces = _done(model)
    casing = model.casings[-1]
    left, right = model.across(casing.height)
    x = right.x * 0.2
    start, end = to(Point(x, casing.height + 45)), to(Point(x, casing.height - casing.depth - 25))
    traces += arrow(start, end)
    captions = (
        Caption(to(left.toward(right, 0.8) - Vector(0, casing.depth / 2)), say("draw.press.tuck")),
        Caption(to(Point(right.x * 0.5, model.whole.leg.hem_level)), say("draw.press.hem")),
    )
    overview = Picture(tuple(traces), captions)
    section = _pressed(casing, elastic=False, down=False)
    return [overview, section]


def _pressed(casing: CasingDesign, *, elastic: bool, down: bool) -> Picture:
    """A tuck pressed toward the hem, with its elastic, with its fold stitched down."""
    by = 1.3
    d, width = casing.depth * by, casing.elastic_width * by
    outer = 4.6 if elastic else 3.0
    cloth = ribbon(
        [
            *(Point(0, -d - 9), Point(0, -0.2), Point(0.75, 0.7), Point(1.5, -0.2), Point(1.5, -d + 0.6)),
            *(Point((1.5 + outer) / 2, -d - 0.3), Point(outer, -d + 0.6), Point(outer, -0.9)),
            *(Point(1.6, 1.9), Point(1.6, 12)),
        ],
        THICK,
        Role.CLOTH,
    )
    traces = [*cloth, line(Role.STITCHED if elastic else Role.STITCHING, Point(-0.9, -0.9), Point(outer + 0.9, -0.9))]
    captions = [Caption(Point(outer + 0.9, -0.9), say("draw.press.stitch"))]
    if elastic:
        middle = (1.5 + outer) / 2
        traces += ribbon([Point(middle, -1.3), Point(middle, -1.3 - width)], 1.3, Role.ELASTIC, Role.RUBBER)
        captions.append(Caption(Point(middle, -1.3 - width * 0.6), say("draw.down.elastic")))
    else:
        captions.append(Caption(Point((1.5 + outer) / 2, -d - 0.3), say("draw.press.fold")))
    if down:
        y = -d + from_fold(casing) * by + 0.1
        traces.append(line(Role.STITCHING, Point(-0.9, y), Point(outer + 0.9, y)))
        captions.append(Caption(Point(outer + 0.9, y), say("draw.down.stitch")))
    traces += arrow(Point(-6, 4), Point(-6, -d), head=2.2)
    captions.append(Caption(Point(1.6, 9), say("draw.press.outside")))
    return Picture(tuple(traces), tuple(captions))


def _faced(model: Model, to: Scale, fill: Role) -> list[Trace]:
    """The facing opened up above the waist."""
    design = model.short.design
    tall = design.waist.channel + design.facing.edge + design.facing.turn_under
    waist, beyond = model.whole.leg.waist, Vector(design.allowances.seam, 0)
    seam = Path.joined(
        [Path.through(waist.start + beyond, waist.start), waist, Path.through(waist.end, waist.end - beyond)]
    )
    upper = seam.moved(Motion.shift(Vector(0, tall)))
    shape = Path.joined(
        [upper, Path.through(upper.end, seam.end), seam.reversed(), Path.through(seam.start, upper.start)]
    )
    fold = seam.moved(Motion.shift(Vector(0, tall - design.facing.turn_under)))
    return [*outlined(fill, to.path(shape)), Trace(to.path(fold), Role.CREASE)]


def _facing(model: Model) -> list[Picture]:
    to, traces = _done(model)
    traces += _faced(model, to, Role.FACING)
    design = model.short.design
    seam = model.whole.leg.waist
    under = seam.moved(Motion.shift(Vector(0, design.facing.edge * 2)))
    traces += [Trace(to.path(seam), Role.OUTLINE), Trace(to.path(under), Role.NOW)]
    middle = seam.segments[0].end
    tall = design.waist.channel + design.facing.edge
    captions = (
        Caption(to(middle + Vector(seam.start.x * 0.6, tall)), say("draw.facing.crease")),
        Caption(to(under.point_at(seam.length * 0.1)), say("draw.facing.under")),
        Caption(to(middle), say("draw.facing.side")),
    )
    overview = Picture(tuple(traces), captions)
    by = 1.2
    deep = design.allowances.waist * by
    leg = ribbon([Point(0, -12), Point(0, -1), Point(-2.8, 0.4), Point(-2.8, deep)], THICK, Role.CLOTH)
    face = ribbon(
        [Point(0, deep + 8), Point(0, 0.9), Point(-0.7, 0.2), Point(-1.4, 0.9), Point(-1.4, deep)], THICK, Role.FACING
    )
    stitch = line(Role.STITCHING, Point(0.9, design.facing.edge * by + 0.6), Point(-3.7, design.facing.edge * by + 0.6))
    section = Picture(
        (*leg, *face, stitch),
        (
            Caption(Point(0, deep + 5), say("draw.facing.facing")),
            Caption(Point(0.9, design.facing.edge * by + 0.6), say("draw.facing.stitch")),
            Caption(Point(0, -9), say("draw.facing.leg")),
        ),
    )
    return [overview, section]


def _elastic(model: Model) -> list[Picture]:
    to, traces = _done(model)
    captions = []
    for casing in model.casings:
        y = casing.height - casing.depth / 2
        left, right = model.across(y)
        reach = model.short.design.allowances.seam
        start, end = to(Point(left.x - reach, y)), to(Point(right.x + reach + 45, y))
        traces += ribbon([start, end], max(0.7, casing.elastic_width * to.by), Role.ELASTIC, Role.RUBBER_FINE)
        if casing is model.casings[-1]:
            tip = ellipse(end - Vector(2.4, 0), 2.2, 0.9)
            traces += outlined(Role.INSIDE, tip, Role.FINE)
            captions.append(Caption(end - Vector(2.4, 0), say("draw.elastic.bodkin")))
            captions.append(Caption(start, say("draw.elastic.pinned")))
    overview = Picture(tuple(traces), tuple(captions))
    return [overview, _elastic_end(model)]


def _elastic_end(model: Model) -> Picture:
    """The end of a casing from outside, at 1.5 mm on paper for each mm."""
    by = 1.5
    casing = model.casings[-1]
    allow = model.short.design.allowances.seam * by
    d, width, long = casing.depth * by, casing.elastic_width * by, 34.0
    above, below = 7.0, -d - 7.0
    cloth = Path.through(
        Point(-long, below), Point(0, below), Point(0, above), Point(-long, above), Point(-long, below)
    )
    tuck = Path.through(Point(-long, -d), Point(0, -d), Point(0, 0), Point(-long, 0), Point(-long, -d))
    y = -(d - width) / 2
    elastic = Path.through(
        Point(-long, y - width), Point(0, y - width), Point(0, y), Point(-long, y), Point(-long, y - width)
    )
    traces = [
        area(Role.OUTSIDE, cloth),
        area(Role.SHADE, tuck),
        area(Role.ELASTIC, elastic),
        Trace(elastic, Role.RUBBER_HIDDEN),
        line(Role.FINE, Point(-long, 0), Point(0, 0)),
        line(Role.OUTLINE, Point(-long, -d), Point(0, -d)),
        line(Role.OUTLINE, Point(0, below), Point(0, above)),
        line(Role.HIDDEN, Point(-allow, below), Point(-allow, above)),
        line(Role.STITCHING, Point(-allow / 2, -d + 0.4), Point(-allow / 2, -0.4)),
        line(Role.STITCHING, Point(-allow / 2 - 1, -d + 0.4), Point(-allow / 2 - 1, -0.4)),
    ]
    captions = (
        Caption(Point(-allow, above - 1.5), say("draw.elastic.seam")),
        Caption(Point(0, y - width * 0.3), say("draw.elastic.flush")),
        Caption(Point(-allow / 2, -d + 1.5), say("draw.elastic.stitch")),
    )
    return Picture(tuple(traces), captions)


def _down(model: Model) -> list[Picture]:
    to, traces = _done(model, share=ROOM_TO_STRETCH)
    for casing in model.casings:
        left, right = model.across(casing.height - casing.depth + from_fold(casing))
        traces.append(line(Role.NOW, to(left), to(right)))
    casing = model.casings[-1]
    y = casing.height - casing.depth / 2
    left, right = model.across(y)
    reach = model.short.design.allowances.seam + 6
    for at, away in ((left, -1.0), (right, 1.0)):
        start = to(Point(at.x + away * reach, y))
        traces += arrow(start, start + Vector(away * 6, 0))
    captions = [
        Caption(to(right + Vector(reach, 0)) + Vector(3, 0), say("draw.down.stretch")),
        Caption(to(left.toward(right, 0.6) - Vector(0, casing.depth / 2)), say("draw.down.line")),
    ]
    overview = Picture(tuple(traces), tuple(captions))
    return [overview, _pressed(casing, elastic=True, down=True)]


def _crotch(model: Model) -> list[Picture]:
    """Both legs, right sides together: the upper one inside up and mirrored, the lower one peeping out behind it."""
    behind = Scale(model.scale * 0.97, Vector(1.1, 1.1), across=-1.0)
    to = Scale(model.scale * 0.97, across=-1.0)
    traces = [*_faced(model, behind, Role.OUTSIDE)[:2], *outlined(Role.OUTSIDE, behind.path(model.hemmed))]
    traces += [*outlined(Role.INSIDE, to.path(model.hemmed)), *_faced(model, to, Role.INSIDE)]
    block, design = model.whole.leg, model.short.design
    traces.append(Trace(to.path(block.waist), Role.FINE))
    for casing in model.casings:
        left, right = model.across(casing.height)
        traces.append(line(Role.HIDDEN, to(left), to(right)))
    tall = Vector(0, design.waist.channel + design.facing.edge + design.facing.turn_under)
    for edge, top in ((block.front_crotch, block.front_crotch.end), (block.back_crotch, block.back_crotch.start)):
        traces.append(Trace(to.path(edge), Role.NOW))
        traces.append(line(Role.NOW, to(top), to(top + tall)))
    leg = model.leg
    # below the lowest casing over the crotch a distance from the crotch point is the same flat and finished
    to_point = leg.edge("back crotch").seam.length - leg.notch("back-balance").distance
    front, back = leg.notch("front-balance").distance, block.back_crotch.length - to_point
    for edge, places in ((block.front_crotch, (front,)), (block.back_crotch, (back - 6, back + 6))):
        for place in places:
            on = edge.point_at(place)
            traces.append(line(Role.TICK, to(on), to(on + edge.tangent_at(place).right() * design.allowances.seam)))
    captions = [
        Caption(to(block.back_crotch.start + tall * 0.5), say("draw.crotch.facing")),
        Caption(to(block.back_crotch.point_at(block.back_crotch.length * 0.55)), say("draw.crotch.back")),
        Caption(to(block.front_crotch.point_at(block.front_crotch.length * 0.3)), say("draw.crotch.front")),
        Caption(to(Point(0, -50)), say("draw.crotch.wrong")),
    ]
    if any(casing.height > 0 for casing in model.casings):
        casing = model.casings[-1]
        captions.append(Caption(to(model.across(casing.height)[0]), say("draw.crotch.casing")))
    return [Picture(tuple(traces), tuple(captions))]


def _inseam(model: Model) -> list[Picture]:
    short = model.whole
    scale = OVERVIEW / outer_width(short, waisted=False)
    garment = garment_picture(short, scale=scale, waisted=False)
    turned = {Role.OUTSIDE: Role.INSIDE, Role.SHADE: Role.INSIDE}
    traces = [Trace(s.path, turned.get(s.role, s.role), s.filled) for s in garment.traces]
    seam = inseam_line(short, scale=scale)
    traces.append(Trace(seam, Role.NOW))
    captions = [
        Caption(Point(0, 0), say("draw.inseam.crotch")),
        Caption(seam.end, say("draw.inseam.hem")),
        Caption(Point(OVERVIEW * 0.3, OVERVIEW * 0.08), say("draw.inseam.wrong")),
    ]
    below = [casing for casing in model.casings if casing.height < 0]
    if below:
        y = (below[0].height - below[0].depth / 2) * scale
        captions.append(Caption(next(p for p in seam.heights(y) if p.x > 0), say("draw.inseam.casing")))
    return [Picture(tuple(traces), tuple(captions))]


def _waist(model: Model) -> list[Picture]:
    design = model.short.design
    by = 1.15
    deep, channel = design.allowances.waist * by, design.waist.channel * by
    foot = channel + design.facing.edge * by
    under, width = design.facing.turn_under * by, design.waist.elastic_width * by
    leg = ribbon(
        [Point(0, -foot - 8), Point(0, -0.6), Point(-0.9, 0.5), Point(-1.8, -0.6), Point(-1.8, -deep)],
        THICK,
        Role.CLOTH,
    )
    face = ribbon(
        [
            *(Point(-3.1, -deep), Point(-3.1, -0.4), Point(-4.6, 0.9), Point(-7.4, 0.2), Point(-8.4, -1.4)),
            *(Point(-8.4, -foot + 0.6), Point(-7.6, -foot - 0.3), Point(-6.8, -foot + 0.6)),
            Point(-6.8, -foot + under),
        ],
        THICK,
        Role.FACING,
    )
    top = -(channel - width) / 2
    elastic = ribbon([Point(-5.0, top), Point(-5.0, top - width)], 1.5, Role.ELASTIC, Role.RUBBER)
    stitch = line(Role.STITCHING, Point(0.9, -channel), Point(-9.3, -channel))
    section = Picture(
        (*leg, *face, *elastic, stitch, *measure(Point(4.2, 0), Point(4.2, -channel))),
        (
            Caption(Point(-0.9, 0.5), say("draw.waist.seam")),
            Caption(Point(-5.0, top - width * 0.35), say("draw.waist.elastic")),
            Caption(Point(0.9, -channel), say("draw.waist.stitch")),
            Caption(Point(-7.6, -foot - 0.3), say("draw.waist.fold")),
        ),
    )
    return [section, _lap(design.waist.elastic_width, design.waist.overlap)]


def _lap(width: float, overlap: float) -> Picture:
    """The ends of the waist elastic lapped, a box with a cross stitched through both."""
    by = min(0.7, 24 / max(width, overlap))
    tall, lap, long = width * by, overlap * by, 24.0

    def strip(left: float, right: float) -> tuple[Trace, ...]:
        corners = (Point(left, 0), Point(right, 0), Point(right, tall), Point(left, tall), Point(left, 0))
        return outlined(Role.ELASTIC, Path.through(*corners), Role.RUBBER)

    inset = 1.2
    low, high = Point(-lap / 2 + inset, inset), Point(lap / 2 - inset, tall - inset)
    corners = (low, Point(high.x, low.y), high, Point(low.x, high.y), low)
    box = line(Role.NOW, *corners, high)
    cross = line(Role.NOW, corners[1], corners[3])
    captions = (
        Caption(Point(lap / 2, tall), say("draw.waist.lap")),
        Caption(high, say("draw.waist.box")),
    )
    traces = (
        *strip(-lap / 2, long),
        *strip(-long, lap / 2),
        box,
        cross,
        *measure(Point(-lap / 2, -3), Point(lap / 2, -3)),
    )
    return Picture(traces, captions)


def _finish(model: Model) -> list[Picture]:
    wide = outer_width(model.whole)
    pair = [garment_picture(model.whole, scale=46.0 / wide, back=back) for back in (False, True)]
    return [row(pair, gap=6)]


STEPS: Final[Mapping[str, Callable[[Model], Sequence[Picture]]]] = {
    "cut": _cut,
    "side": _side,
    "crease": _crease,
    "hem": _hem,
    "band": _band,
    "trim": _trim,
    "casings": _casings,
    "press": _press,
    "facing": _facing,
    "elastic": _elastic,
    "down": _down,
    "crotch": _crotch,
    "inseam": _inseam,
    "waist": _waist,
    "finish": _finish,
}
"""The diagram of each step by its name, in the order of sewing."""
