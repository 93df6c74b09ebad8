"""What a design adds to a short, pocket and loop, in its guide: what is so, figures, and pictures of the steps."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from blocks.guide import OVERVIEW
from blocks.short.design import LoopKind, PocketCorner, PocketKind, PocketLegs, ShortDesign
from blocks.short.model import Model, piece_named
from blocks.short.pocket import BAG, PATCH
from drafting.path import Path
from drafting.picture import (
    Caption,
    Picture,
    Scale,
    Trace,
    area,
    line,
    notch_dots,
    outlined,
    rectangle,
    ribbon,
)
from drafting.piece import Mark
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from drafting.units import show_small

EDGE: Final = 2.0
"""mm; from the edge of a patch, or of a loop, to the stitching along it: common practice, no source."""

THICK: Final = 0.8
"""mm on paper; a layer of the strip in its section."""

WINDOW: Final = 90.0
"""mm; as much of a piece is shown where the loop is caught."""


def added_facts(design: ShortDesign, *, split: Collection[str]) -> dict[str, bool]:
    """What is so of the pocket and the loop of a design that is split in these sizes."""
    pocket = design.pocket
    patch = pocket.kind is PocketKind.PATCH
    rounded = pocket.corner is PocketCorner.ROUND
    one = pocket.legs is not PocketLegs.BOTH
    in_seam = pocket.kind is PocketKind.IN_SEAM and bool(split)
    return {
        "patch": patch,
        "patch round": patch and rounded,
        "patch square": patch and not rounded,
        "one leg": one,
        "in the seam": in_seam,
        "loop": design.loop.kind is not LoopKind.NONE,
    }


def added_numbers(design: ShortDesign) -> dict[str, str]:
    """The blanks of sentences about pocket and loop, filled in."""
    pocket = design.pocket
    return {
        "which": str(pocket.legs),
        "stay_wide": show_small(pocket.stay),
        "stay_long": show_small(pocket.height + 2 * pocket.gap),
        "pocket_turn": show_small(pocket.turn),
        "pocket_hem": show_small(pocket.hem),
        "pocket_seam": show_small(pocket.allowance),
        "near": show_small(EDGE),
        "loop_wide": show_small(design.loop.width),
    }


# Pictures ---------------------------------------------------------------------------------------------------------


def patch_pictures(model: Model) -> list[Picture]:
    """The patch turned in, inside up, and on the leg, outside up."""
    patch, leg, pocket = piece_named(model.whole, PATCH), model.leg, model.short.design.pocket
    (mark,) = (mark for mark in leg.marks if mark.name == PATCH)
    wide = OVERVIEW / 2
    to = Scale(wide / pocket.width)
    hem = Path.through(*(Point(x, -pocket.hem) for x in (-pocket.width / 2, pocket.width / 2)))
    folded = rectangle(-pocket.width / 2, -pocket.hem, pocket.width / 2, 0.0)
    turned = [
        *outlined(Role.INSIDE, to.path(patch.seam_line)),
        area(Role.SHADE, to.path(folded)),
        Trace(to.path(hem), Role.FINE),
        line(Role.NOW, *(to(Point(x, EDGE - pocket.hem)) for x in (-pocket.width / 2, pocket.width / 2))),
    ]
    captions = (
        Caption(to(Point(pocket.width * 0.3, EDGE - pocket.hem)), model.words.say("draw.pocket.hem")),
        Caption(to(Point(pocket.width * 0.3, -pocket.height * 0.6)), model.words.say("draw.pocket.inside")),
        Caption(to(Point(0, -pocket.height)), model.words.say("draw.pocket.under")),
    )
    return [Picture(tuple(turned), captions), _patch_on_the_leg(model, mark)]


def _patch_on_the_leg(model: Model, mark: Mark) -> Picture:
    assert mark.line, "a patch has an outline"
    to, leg = Scale(model.scale), model.leg
    left, low, right, top = mark.line.bounds
    opening, *_ = mark.line.segments
    lift = Vector(0, -model.short.design.pocket.hem)
    near = EDGE + 1 / to.by
    traces = [
        *outlined(Role.OUTSIDE, to.path(leg.cut_line)),
        *(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE) for fold in leg.fold_lines),
        *outlined(Role.FACING, to.path(mark.line)),
        line(Role.SEWN, to(opening.start + lift), to(opening.end + lift)),
        line(
            Role.NOW,
            *(to(Point(x, y)) for x, y in ((left + near, top), (left + near, low + near))),
            *(to(Point(x, y)) for x, y in ((right - near, low + near), (right - near, top))),
        ),
    ]
    captions = (
        Caption(to(Point(right, top)), model.words.say("draw.pocket.corner")),
        Caption(to(Point(right - near, (low + top) / 2)), model.words.say("draw.pocket.stitch")),
    )
    return Picture(tuple(traces), captions)


def bag_pictures(model: Model) -> list[Picture]:
    """The front bag on the front of the leg, right sides together: the leg outside up, the bag inside up."""
    leg, bag = (piece_named(model.halves, f"{name} front") for name in ("leg", BAG))
    top, low = leg.notch("pocket-top"), leg.notch("pocket-low")
    _, bottom, right, high = leg.cut_line.bounds
    to = Scale(min(48.0 / right, 62.0 / (high - bottom)))
    there = Motion.mirror_side(0).then(Motion.shift(Vector(0, top.seam_point.y)))
    laid = bag.cut_line.moved(there)
    pocket = model.short.design.pocket
    strip = rectangle(-pocket.stay / 2, low.seam_point.y - pocket.gap, pocket.stay / 2, top.seam_point.y + pocket.gap)
    traces = [
        *outlined(Role.OUTSIDE, to.path(leg.cut_line)),
        *(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE) for fold in leg.fold_lines),
        *outlined(Role.INSIDE, to.path(laid)),
        Trace(to.path(strip), Role.HIDDEN),
        line(Role.NOW, to(top.seam_point), to(low.seam_point)),
        *notch_dots(to, [top, low]),
    ]
    captions = (
        Caption(to(_middle(laid)), model.words.say("draw.bags.bag")),
        Caption(to(top.seam_point.toward(low.seam_point, 0.5)), model.words.say("draw.bags.stitch")),
        Caption(to(top.cut_point), model.words.say("draw.bags.notch")),
        Caption(to(Point(right * 0.7, bottom + (high - bottom) * 0.12)), model.words.say("draw.bags.leg")),
    )
    return [Picture(tuple(traces), captions)]


def _middle(path: Path) -> Point:
    left, bottom, right, top = path.bounds
    return Point(left + (right - left) * 0.7, (bottom + top) / 2)


def bag_on_the_side(model: Model, over: Scale) -> tuple[list[Trace], list[Path]]:
    """The bags pressed out beyond the side seam, front bag up, and what is stitched: the side seam, and round them."""
    leg, bag = (piece_named(model.halves, f"{name} front") for name in ("leg", BAG))
    top, low = leg.notch("pocket-top"), leg.notch("pocket-low")
    there = Motion.shift(Vector(0, top.seam_point.y))
    seam, cut = bag.edge("bag").seam.moved(there), bag.cut_line.moved(there)
    side = leg.edge("side").seam
    first, last = sorted((top.distance, low.distance))
    parts = [side.part(0.0, first), side.part(last, side.length), seam]
    return [*outlined(Role.INSIDE, over.path(cut))], [over.path(part) for part in parts]


def loop_pictures(model: Model) -> list[Picture]:
    """The strip folded in four, from its end; and where its ends are caught."""
    return [_folded_strip(model), _caught(model)]


def _folded_strip(model: Model) -> Picture:
    wide, up = 26.0, 1.1
    cloth = ribbon(
        [
            *(Point(1.2, up), Point(wide, up), Point(wide, 0), Point(0, 0)),
            *(Point(0, 3 * up), Point(wide, 3 * up), Point(wide, 2 * up), Point(1.2, 2 * up)),
        ],
        THICK,
        Role.CLOTH,
    )
    rows = [line(Role.STITCHING, Point(x, -1.2), Point(x, 3 * up + 1.2)) for x in (2.0, wide - 2.0)]
    captions = (
        Caption(Point(wide - 2.0, 3 * up + 1.2), model.words.say("draw.loop.stitch")),
        Caption(Point(1.2, 1.5 * up), model.words.say("draw.loop.raw")),
    )
    return Picture((*cloth, *rows), captions)


def _caught(model: Model) -> Picture:
    """The part of a piece round the loop's mark, right side up, with the loop on it."""
    piece, mark = next((p, m) for p in model.whole.pieces for m in p.marks if m.name == "loop")
    assert mark.line, "a loop is marked by its outline"
    loop, inward = model.short.design.loop, mark.line.start_direction
    middle = mark.line.start.toward(mark.line.end, 0.5)
    along = inward.left() * (loop.width / 2)
    out = inward * -min(model.short.design.allowances.seam, WINDOW / 4)
    tip = inward * loop.length
    view = middle + tip * 0.5
    half = max(WINDOW, loop.length + 40) / 2
    to = Scale(OVERVIEW / (2 * half))
    corners = [middle + by for by in (out - along, out + along, tip + along, tip - along, out - along)]
    baste = middle + out * 0.5
    traces = [
        *outlined(Role.OUTSIDE, to.path(_window(piece.cut_line, view, half))),
        Trace(to.path(_window(piece.seam_line, view, half)), Role.SEAM),
        *outlined(Role.FACING, to.path(Path.through(*corners))),
        line(Role.NOW, to(baste - along * 1.4), to(baste + along * 1.4)),
    ]
    captions = (
        Caption(to(middle + inward * loop.length * 0.7), model.words.say("draw.loop.double")),
        Caption(to(middle + out), model.words.say("draw.loop.level")),
        Caption(to(baste + along), model.words.say("draw.loop.baste")),
    )
    return Picture(tuple(traces), captions)


def _window(line: Path, middle: Point, half: float) -> Path:
    """As much of what a closed line goes round as lies in a square about a place."""
    import shapely  # noqa: PLC0415 - slow to import, and only a guide needs it

    box = shapely.box(middle.x - half, middle.y - half, middle.x + half, middle.y + half)
    seen = shapely.Polygon(line.array(tolerance=0.05)).intersection(box)
    return Path.through(*(Point(x, y) for x, y in shapely.get_coordinates(seen.boundary).tolist()))
