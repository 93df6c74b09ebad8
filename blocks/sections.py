"""Sections for the guide: a garment cut through where it is folded and stitched, up towards the waist, outside right.

Depths, allowances and elastics keep their true proportions, the thickness of cloth does not. Each takes the catalogue
with its captions, which are common to all garments, and real lengths in mm.
"""

from __future__ import annotations

from typing import Final

from blocks.design import FacingDesign, WaistDesign
from blocks.tunnel import from_fold
from blocks.words import Catalogue
from drafting.path import Path
from drafting.picture import Caption, Picture, Trace, area, arrow, line, measure, outlined, rectangle, ribbon
from drafting.point import Point, Vector
from drafting.role import Role

THICK: Final = 0.9
"""mm on paper; a layer of cloth."""


def creased(words: Catalogue) -> Picture:
    """Cloth folded wrong sides together along a fold line."""
    peak = 9.0
    cloth = ribbon(
        [Point(-1.1, -9), Point(-1.1, peak - 1), Point(0, peak), Point(1.1, peak - 1), Point(1.1, -9)],
        THICK,
        Role.CLOTH,
    )
    captions = (
        Caption(Point(0, peak), words.say("draw.crease.fold")),
        Caption(Point(-1.1, -5), words.say("draw.crease.wrong")),
    )
    return Picture(cloth, captions)


def hem(words: Catalogue, deep: float) -> Picture:
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
        Caption(Point(0.9, d - 1.6), words.say("draw.hem.stitch")),
        Caption(Point(-1.5, 2.2), words.say("draw.hem.raw")),
    )
    return Picture((*cloth, stitch, *measure(Point(-6, 0), Point(-6, d))), captions)


def standing_tuck(words: Catalogue, depth: float, *, trim_top: float | None = None) -> Picture:
    """A tuck as it is stitched, standing out from the garment; a trim with `trim_top` caught in it."""
    by = 1.3
    d, apart = depth * by, 0.9 if trim_top is None else 1.7
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
        Caption(Point(d + 0.5, 0), words.say("draw.casings.fold")),
        Caption(Point(0.4, -apart - 0.9), words.say("draw.casings.stitch")),
    ]
    if trim_top is not None:
        top = trim_top * by
        traces += ribbon([Point(top, 0), Point(-1, 0), Point(-2.0, -1.1), Point(-2.0, -15)], THICK, Role.FACING)
        captions.append(Caption(Point(-2.0, -12), words.say("draw.casings.trim")))
    traces.append(line(Role.STITCHING, Point(0.4, -apart - 0.9), Point(0.4, apart + 0.9)))
    traces += measure(Point(0.4, 6), Point(d + 0.5, 6))
    return Picture(tuple(traces), tuple(captions))


def pressed_tuck(words: Catalogue, part: str, depth: float, elastic_width: float, *, down: bool = False) -> Picture:
    """A tuck pressed toward the hem; `down` when its fold is being stitched down and it is an empty tunnel."""
    by = 1.3
    d = depth * by
    outer = 4.6 if down else 3.0
    cloth = ribbon(
        [
            *(Point(0, -d - 9), Point(0, -0.2), Point(0.75, 0.7), Point(1.5, -0.2), Point(1.5, -d + 0.6)),
            *(Point((1.5 + outer) / 2, -d - 0.3), Point(outer, -d + 0.6), Point(outer, -0.9)),
            *(Point(1.6, 1.9), Point(1.6, 12)),
        ],
        THICK,
        Role.CLOTH,
    )
    traces = [*cloth, line(Role.STITCHED if down else Role.STITCHING, Point(-0.9, -0.9), Point(outer + 0.9, -0.9))]
    captions = [Caption(Point(outer + 0.9, -0.9), words.say("draw.press.stitch"))]
    if down:
        y = -d + from_fold(depth, elastic_width) * by + 0.1
        traces.append(line(Role.STITCHING, Point(-0.9, y), Point(outer + 0.9, y)))
        traces += measure(Point(-5, -0.9), Point(-5, y))
        captions.append(Caption(Point((1.5 + outer) / 2, (y - 0.9) * 0.5), words.say("draw.down.tunnel")))
        captions.append(Caption(Point(outer + 0.9, y), words.say("draw.down.stitch")))
    else:
        traces += arrow(Point(-6, 4), Point(-6, -d), head=2.2)
        captions.append(Caption(Point((1.5 + outer) / 2, -d - 0.3), words.say("draw.press.fold")))
    captions.append(Caption(Point(1.6, 9), words.say("draw.press.outside", part=part)))
    return Picture(tuple(traces), tuple(captions))


def elastic_end(words: Catalogue, depth: float, elastic_width: float, allowance: float) -> Picture:
    """The end of a casing from outside, its fold stitched down, at 1.5 mm on paper for each mm."""
    by = 1.5
    allow = allowance * by
    d, width, long = depth * by, elastic_width * by, 34.0
    above, below = 7.0, -d - 7.0
    cloth = Path.through(
        Point(-long, below), Point(0, below), Point(0, above), Point(-long, above), Point(-long, below)
    )
    tuck = Path.through(Point(-long, -d), Point(0, -d), Point(0, 0), Point(-long, 0), Point(-long, -d))
    row = -d + from_fold(depth, elastic_width) * by
    y = row / 2 + width / 2
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
        line(Role.SEWN, Point(-long, row), Point(0, row)),
        line(Role.OUTLINE, Point(0, below), Point(0, above)),
        line(Role.HIDDEN, Point(-allow, below), Point(-allow, above)),
        line(Role.STITCHING, Point(-allow / 2, -d + 0.4), Point(-allow / 2, -0.4)),
        line(Role.STITCHING, Point(-allow / 2 - 1, -d + 0.4), Point(-allow / 2 - 1, -0.4)),
    ]
    captions = (
        Caption(Point(-allow, above - 1.5), words.say("draw.elastic.seam")),
        Caption(Point(0, y - width * 0.3), words.say("draw.elastic.flush")),
        Caption(Point(-allow / 2, -d + 1.5), words.say("draw.elastic.stitch")),
    )
    return Picture(tuple(traces), captions)


def understitched(words: Catalogue, part: str, waist_allowance: float, edge: float) -> Picture:
    """A facing sewn to the waist, stood up, and understitched `edge` mm from the seam."""
    by = 1.2
    deep = waist_allowance * by
    cloth = ribbon([Point(0, -12), Point(0, -1), Point(-2.8, 0.4), Point(-2.8, deep)], THICK, Role.CLOTH)
    face = ribbon(
        [Point(0, deep + 8), Point(0, 0.9), Point(-0.7, 0.2), Point(-1.4, 0.9), Point(-1.4, deep)], THICK, Role.FACING
    )
    stitch = line(Role.STITCHING, Point(0.9, edge * by + 0.6), Point(-3.7, edge * by + 0.6))
    return Picture(
        (*cloth, *face, stitch),
        (
            Caption(Point(0, deep + 5), words.say("draw.facing.facing")),
            Caption(Point(0.9, edge * by + 0.6), words.say("draw.facing.stitch")),
            Caption(Point(0, -9), words.say("draw.facing.part", part=part)),
        ),
    )


def channel(words: Catalogue, waist_allowance: float, waist: WaistDesign, facing: FacingDesign) -> Picture:
    """A facing turned down and stitched below the waist, the elastic in the channel."""
    by = 1.15
    deep, reach = waist_allowance * by, waist.channel * by
    foot = reach + facing.edge * by
    under, width = facing.turn_under * by, waist.elastic_width * by
    cloth = ribbon(
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
    top = -(reach - width) / 2
    elastic = ribbon([Point(-5.0, top), Point(-5.0, top - width)], 1.5, Role.ELASTIC, Role.RUBBER)
    stitch = line(Role.STITCHING, Point(0.9, -reach), Point(-9.3, -reach))
    return Picture(
        (*cloth, *face, *elastic, stitch, *measure(Point(4.2, 0), Point(4.2, -reach))),
        (
            Caption(Point(-0.9, 0.5), words.say("draw.waist.seam")),
            Caption(Point(-5.0, top - width * 0.35), words.say("draw.waist.elastic")),
            Caption(Point(0.9, -reach), words.say("draw.waist.stitch")),
            Caption(Point(-7.6, -foot - 0.3), words.say("draw.waist.fold")),
        ),
    )


def folded_waist(words: Catalogue, waist: WaistDesign) -> Picture:
    """A cut-on casing: the waist folded down, its raw edge turned under, and the row that closes the channel."""
    by = 1.15
    depth, under, reach, width = (
        length * by for length in (waist.depth, waist.turn_under, waist.channel, waist.elastic_width)
    )
    cloth = ribbon(
        [
            *(Point(0, -depth - 9), Point(0, -1.2), Point(-1.4, 0.4), Point(-4.2, 0.4), Point(-5.6, -1.2)),
            *(Point(-5.6, -depth + 0.6), Point(-4.8, -depth - 0.3), Point(-4.0, -depth + 0.6)),
            Point(-4.0, -depth + under),
        ],
        THICK,
        Role.CLOTH,
    )
    top = -(reach - width) / 2
    traces = (
        *cloth,
        *ribbon([Point(-2.2, top), Point(-2.2, top - width)], 1.5, Role.ELASTIC, Role.RUBBER),
        line(Role.STITCHING, Point(0.9, -reach), Point(-6.5, -reach)),
        *measure(Point(4.2, 0), Point(4.2, -reach)),
    )
    captions = (
        Caption(Point(-1.4, 0.4), words.say("draw.folded.top")),
        Caption(Point(-2.2, top - width * 0.35), words.say("draw.waist.elastic")),
        Caption(Point(0.9, -reach), words.say("draw.waist.stitch")),
        Caption(Point(-4.8, -depth - 0.3), words.say("draw.folded.edge")),
    )
    return Picture(traces, captions)


def waistband(words: Catalogue, part: str, waist_allowance: float, waist: WaistDesign) -> Picture:
    """A waistband folded over its elastic, its inner edge caught by the row in the waist seam."""
    by = 1.15
    deep, high, foot = waist_allowance * by, waist.channel * by, waist.edge * by
    under, width = waist.turn_under * by, waist.elastic_width * by
    leg = ribbon(
        [Point(0, -16), Point(0, -1.3), Point(-1.1, -0.5), Point(-2.3, 0.4), Point(-2.3, deep)], THICK, Role.CLOTH
    )
    band = ribbon(
        [
            *(Point(-1.2, deep), Point(-1.2, 1.1), Point(-0.6, 0.5), Point(0, 1.1), Point(0, high - 1.2)),
            *(Point(-1.4, high), Point(-5.4, high), Point(-6.8, high - 1.2), Point(-6.8, -foot - 0.6)),
            *(Point(-6.0, -foot - 1.5), Point(-5.2, -foot - 0.6), Point(-5.2, -foot + under)),
        ],
        THICK,
        Role.FACING,
    )
    low = (high - width) / 2
    elastic = ribbon([Point(-3.7, low), Point(-3.7, low + width)], 1.5, Role.ELASTIC, Role.RUBBER)
    stitch = line(Role.STITCHING, Point(0.9, 0), Point(-7.7, 0))
    captions = (
        Caption(Point(-1.4, high), words.say("draw.banding.fold")),
        Caption(Point(-3.7, low + width * 0.6), words.say("draw.waist.elastic")),
        Caption(Point(0.9, 0), words.say("draw.banding.stitch")),
        Caption(Point(-6.0, -foot - 1.5), words.say("draw.folded.edge")),
        Caption(Point(0, -13), words.say("draw.press.outside", part=part)),
    )
    return Picture((*leg, *band, *elastic, stitch, *measure(Point(4.2, 0), Point(4.2, high))), captions)


def buttonhole(words: Catalogue, waist: WaistDesign, spacing: float, long: float) -> Picture:
    """A buttonhole in the channel of the waist beside the centre front, seen from outside."""
    by = min(1.0, 24 / waist.channel)
    high, aside, hole = waist.channel * by, spacing * by, long * by
    stay, middle = high / 2, Point(-aside, -high / 2)
    traces = (
        *outlined(Role.OUTSIDE, rectangle(-aside - high, -high - 8, 0, 0), Role.FINE),
        line(Role.CREASE, Point(-aside - high, 0), Point(0, 0)),
        line(Role.HIDDEN, Point(-aside - high, -high), Point(0, -high)),
        line(Role.OUTLINE, Point(0, -high - 8), Point(0, 0)),
        Trace(rectangle(middle.x - stay, middle.y - stay, middle.x + stay, middle.y + stay), Role.HIDDEN),
        line(Role.NOW, middle - Vector(0, hole / 2), middle + Vector(0, hole / 2)),
        *measure(Point(-aside, -high - 11), Point(0, -high - 11)),
    )
    captions = (
        Caption(Point(-aside / 3, 0), words.say(f"draw.buttonholes.top.{waist.finish}")),
        Caption(middle, words.say("draw.buttonholes.hole")),
        Caption(Point(middle.x + stay, middle.y - stay), words.say("draw.buttonholes.stay")),
        Caption(Point(0, -high - 4), words.say("draw.buttonholes.centre")),
    )
    return Picture(traces, captions)


def lap(words: Catalogue, width: float, overlap: float) -> Picture:
    """The ends of the waist elastic lapped, a box with a cross stitched through both."""
    by = min(0.7, 24 / max(width, overlap))
    tall, long = width * by, 24.0
    wide = overlap * by

    def strip(left: float, right: float) -> tuple[Trace, ...]:
        corners = (Point(left, 0), Point(right, 0), Point(right, tall), Point(left, tall), Point(left, 0))
        return outlined(Role.ELASTIC, Path.through(*corners), Role.RUBBER)

    inset = 1.2
    low, high = Point(-wide / 2 + inset, inset), Point(wide / 2 - inset, tall - inset)
    corners = (low, Point(high.x, low.y), high, Point(low.x, high.y), low)
    box = line(Role.NOW, *corners, high)
    cross = line(Role.NOW, corners[1], corners[3])
    captions = (
        Caption(Point(wide / 2, tall), words.say("draw.waist.lap")),
        Caption(high, words.say("draw.waist.box")),
    )
    traces = (
        *strip(-wide / 2, long),
        *strip(-long, wide / 2),
        box,
        cross,
        *measure(Point(-wide / 2, -3), Point(wide / 2, -3)),
    )
    return Picture(traces, captions)
