"""The sewing steps as diagrams, each drawn from the pieces that are cut: an overview, and where it helps a section.

In an overview the outside of the cloth is tinted. Sections are those of `blocks.sections`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from blocks.design import WaistFinish
from blocks.guide import OVERVIEW
from blocks.notions import of_a_tuck
from blocks.panel import HEM_TURNS
from blocks.sections import (
    buttonhole,
    channel,
    creased,
    elastic_end,
    folded_waist,
    hem,
    lap,
    pressed_tuck,
    standing_tuck,
    understitched,
    waistband,
)
from blocks.short.added import bag_on_the_side, bag_pictures, loop_pictures, patch_pictures
from blocks.short.design import ShortDesign, TrimKind
from blocks.short.leg_piece import NAME as PART
from blocks.short.model import Model, piece_named
from blocks.short.waistband import NAME as WAISTBAND
from blocks.short.worn import garment_picture, inseam_line, outer_width
from blocks.tunnel import from_fold
from drafting.path import Path
from drafting.picture import (
    Caption,
    Picture,
    Scale,
    Trace,
    area,
    arrow,
    ellipse,
    line,
    measure,
    notch_dots,
    outlined,
    ribbon,
    row,
)
from drafting.piece import MarkKind, NotchKind
from drafting.point import Motion, Point, Vector
from drafting.role import Role

# Overviews --------------------------------------------------------------------------------------------------------


def _side(model: Model) -> list[Picture]:
    front, back = (piece_named(model.halves, f"{PART} {half}") for half in ("front", "back"))
    wide = back.cut_line.bounds[2] - back.cut_line.bounds[0]
    to = Scale(min(model.scale * 1.2, 52.0 / wide))
    over = Scale(to.by, across=-1.0)
    traces = [*outlined(Role.OUTSIDE, to.path(back.cut_line)), *outlined(Role.INSIDE, over.path(front.cut_line))]
    traces += notch_dots(over, [notch for notch in front.notches if notch.edge == "side"])
    seam = front.edge("side").seam
    bags, sewn = bag_on_the_side(model, over) if model.bagged else ([], [over.path(seam)])
    traces += [*bags, *(Trace(path, Role.NOW) for path in sewn)]
    fold = next((n for n in front.notches if n.edge == "side" and n.kind is NotchKind.FOLD), front.notches[0])
    inner = over(Point(front.cut_line.bounds[2] * 0.5, seam.point_at(seam.length * 0.3).y))
    outer = to(Point(back.cut_line.bounds[0] + wide * 0.04, 0.0))
    captions = [
        Caption(over(seam.point_at(seam.length * 0.12)), model.words.say("draw.side.seam")),
        Caption(over(fold.cut_point), model.words.say("draw.side.notch")),
        Caption(inner, model.words.say("draw.side.front")),
        Caption(outer, model.words.say("draw.side.back")),
    ]
    if model.bagged:
        captions.append(Caption(sewn[-1].point_at(sewn[-1].length * 0.6), model.words.say("draw.side.bag")))
    return [Picture(tuple(traces), tuple(captions))]


def _flat(model: Model, *, outside: bool = True) -> tuple[Scale, list[Trace]]:
    """The flat leg, outside up, or inside up and so mirrored."""
    to = Scale(model.scale, across=1.0 if outside else -1.0)
    return to, [*outlined(Role.OUTSIDE if outside else Role.INSIDE, to.path(model.leg.cut_line))]


def _crease(model: Model) -> list[Picture]:
    to, traces = _flat(model)
    for fold in model.leg.fold_lines:
        traces.append(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE_NOW))
    levels = {fold.start.y for fold in model.leg.fold_lines}
    folds = [n for n in model.leg.notches if n.kind is NotchKind.FOLD and n.seam_point.y in levels]
    traces += notch_dots(to, folds)
    top = model.leg.fold_lines[-1]
    captions = (
        Caption(to(top.start.toward(top.end, 0.7)), model.words.say("draw.crease.line")),
        Caption(to(folds[0].cut_point), model.words.say("draw.crease.notch")),
    )
    overview = Picture(tuple(traces), captions)
    return [overview, creased(model.words)]


def _hem(model: Model) -> list[Picture]:
    to, traces = _flat(model, outside=False)
    block, allow = model.whole.leg, model.short.design.allowances
    deep = allow.hem / HEM_TURNS
    y = block.hem_level
    left, right = block.hem.start.x, block.hem.end.x
    traces.append(Trace(to.path(Path.through(Point(left, y), Point(right, y))), Role.CREASE))
    traces.append(Trace(to.path(Path.through(Point(left, y + deep), Point(right, y + deep))), Role.NOW))
    captions = (
        Caption(to(Point(0, 120)), model.words.say("draw.hem.wrong")),
        Caption(to(Point(left * 0.8, y + deep)), model.words.say("draw.hem.line")),
    )
    return [Picture(tuple(traces), captions), hem(model.words, deep)]


def _band(model: Model) -> list[Picture]:
    band = piece_named(model.whole, "trim band")
    left, _, right, _ = band.cut_line.bounds
    to = Scale(OVERVIEW / (right - left), across=-1.0)
    traces = [*outlined(Role.INSIDE, to.path(band.cut_line)), Trace(to.path(band.edge("casing").seam), Role.SEWN)]
    trim = model.short.design.trim
    low, seam = band.edge("hem").seam, band.edge("casing").seam
    captions = [Caption(to(seam.point_at(seam.length * 0.2)), model.words.say("draw.band.casing"))]
    if trim.hem:
        deep = Vector(0, trim.hem / HEM_TURNS)
        traces.append(Trace(to.path(Path.through(low.start + deep, low.end + deep)), Role.NOW))
        captions.append(Caption(to(low.start + deep + Vector(60, 0)), model.words.say("draw.band.hem")))
    else:
        captions.append(Caption(to(low.start + Vector(60, 0)), model.words.say("draw.band.cut")))
    captions.append(Caption(to(band.notch("hem-front").cut_point), model.words.say("draw.band.notch")))
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
        Caption(Point(OVERVIEW * 0.7, edge), model.words.say("draw.trim.top")),
        Caption(Point(OVERVIEW * 0.7, -3), model.words.say("draw.trim.length")),
    )
    return [Picture(tuple(traces), captions)]


def _casings(model: Model) -> list[Picture]:
    to, traces = _flat(model)
    leg = model.leg
    for fold in leg.fold_lines:
        traces.append(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE))
    stitches = [stitch for stitch in leg.stitch_lines if of_a_tuck(stitch, leg)]  # a cut-on waist's is sewn later
    for stitch in stitches:
        traces.append(Trace(to.path(Path.through(stitch.start, stitch.end)), Role.STITCH))
    first, last = stitches[0], stitches[-1]
    captions = (
        Caption(to(last.start.toward(last.end, 0.75)), model.words.say("draw.casings.lines")),
        Caption(to(first.start.toward(first.end, 0.6)), model.words.say("draw.casings.first")),
    )
    overview = Picture(tuple(traces), captions)
    trim = model.short.design.trim
    top = None if trim.kind is TrimKind.NONE else trim.top
    return [overview, standing_tuck(model.words, model.casings[0].depth, trim_top=top)]


def _done(model: Model) -> tuple[Scale, list[Trace]]:
    """The leg outside up with its hem turned and its tucks pressed down."""
    to = Scale(model.scale)
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


def _press(model: Model) -> list[Picture]:
    to, traces = _done(model)
    casing = model.casings[-1]
    left, right = model.across(casing.height)
    x = right.x * 0.2
    start, end = to(Point(x, casing.height + 45)), to(Point(x, casing.height - casing.depth - 25))
    traces += arrow(start, end)
    captions = (
        Caption(to(left.toward(right, 0.8) - Vector(0, casing.depth / 2)), model.words.say("draw.press.tuck")),
        Caption(to(Point(right.x * 0.5, model.whole.leg.hem_level)), model.words.say("draw.press.hem")),
    )
    overview = Picture(tuple(traces), captions)
    return [overview, pressed_tuck(model.words, PART, casing.depth, casing.elastic_width)]


def _standing(model: Model, to: Scale, fill: Role) -> list[Trace]:
    """The facing or the waistband, opened up above the waist, or a cut-on casing, which is drawn with the leg."""
    design = model.short.design
    tall, waist = design.standing, model.whole.leg.waist
    if design.waist.finish is WaistFinish.CUT_ON:
        return [Trace(to.path(waist), Role.CREASE)]
    beyond = Vector(design.allowances.seam, 0)
    seam = Path.joined(
        [Path.through(waist.start + beyond, waist.start), waist, Path.through(waist.end, waist.end - beyond)]
    )
    upper = seam.moved(Motion.shift(Vector(0, tall)))
    shape = Path.joined(
        [upper, Path.through(upper.end, seam.end), seam.reversed(), Path.through(seam.start, upper.start)]
    )
    creases = [tall - design.closing.turn_under]
    if design.waist.finish is WaistFinish.WAISTBAND:
        creases.append(design.waist.channel)
    folds = [seam.moved(Motion.shift(Vector(0, up))) for up in creases]
    return [*outlined(fill, to.path(shape)), *(Trace(to.path(fold), Role.CREASE) for fold in folds)]


def _buttonholes(model: Model) -> list[Picture]:
    """The piece that carries a buttonhole, outside up, and the place of the hole in its channel."""
    design = model.short.design
    banded = design.waist.finish is WaistFinish.WAISTBAND
    piece = piece_named(model.whole, WAISTBAND if banded else PART)
    mark = next(mark.line for mark in piece.marks if mark.kind is MarkKind.BUTTONHOLE and mark.line)
    if banded:
        left, low, right, high = piece.cut_line.bounds
        to = Scale(OVERVIEW / max(right - left, high - low))
        traces = [*outlined(Role.OUTSIDE, to.path(piece.cut_line))]
    else:
        to, traces = _done(model)
        mark = mark.moved(Motion.shift(model.whole.leg.waist.start - piece.edge("waist").seam.start))
    traces.append(Trace(to.path(mark), Role.NOW))
    overview = Picture(tuple(traces), (Caption(to(mark.start), model.words.say("draw.buttonholes.hole")),))
    return [overview, buttonhole(model.words, design.waist, design.drawcord.spacing, design.drawcord.buttonhole)]


def _facing(model: Model) -> list[Picture]:
    to, traces = _done(model)
    traces += _standing(model, to, Role.FACING)
    design = model.short.design
    seam = model.whole.leg.waist
    under = seam.moved(Motion.shift(Vector(0, design.facing.edge * 2)))
    traces += [Trace(to.path(seam), Role.OUTLINE), Trace(to.path(under), Role.NOW)]
    middle = seam.segments[0].end
    tall = design.waist.channel + design.facing.edge
    captions = (
        Caption(to(middle + Vector(seam.start.x * 0.6, tall)), model.words.say("draw.facing.crease")),
        Caption(to(under.point_at(seam.length * 0.1)), model.words.say("draw.facing.under")),
        Caption(to(middle), model.words.say("draw.facing.side")),
    )
    overview = Picture(tuple(traces), captions)
    return [overview, understitched(model.words, PART, design.allowances.waist, design.facing.edge)]


def _waistband(model: Model) -> list[Picture]:
    """The band sewn to the leg and pressed up, its creases open again."""
    to, traces = _done(model)
    traces += _standing(model, to, Role.FACING)
    design, seam = model.short.design, model.whole.leg.waist
    traces.append(Trace(to.path(seam), Role.NOW))
    middle, aside = seam.segments[0].end, Vector(seam.start.x * 0.6, 0)
    captions = (
        Caption(to(middle + aside + Vector(0, design.waist.channel)), model.words.say("draw.waistband.fold")),
        Caption(
            to(middle - aside + Vector(0, design.standing - design.closing.turn_under)),
            model.words.say("draw.waistband.under"),
        ),
        Caption(to(middle), model.words.say("draw.waistband.side")),
    )
    return [Picture(tuple(traces), captions)]


def _rows(model: Model, to: Scale, role: Role) -> list[Trace]:
    """The stitching that holds every fold down."""
    found = []
    for casing in model.casings:
        left, right = model.across(casing.height - casing.depth + from_fold(casing.depth, casing.elastic_width))
        found.append(line(role, to(left), to(right)))
    return found


def _down(model: Model) -> list[Picture]:
    to, traces = _done(model)
    traces += _rows(model, to, Role.NOW)
    casing = model.casings[-1]
    left, right = model.across(casing.height - casing.depth)
    captions = (Caption(to(left.toward(right, 0.6)), model.words.say("draw.down.line")),)
    overview = Picture(tuple(traces), captions)
    return [overview, pressed_tuck(model.words, PART, casing.depth, casing.elastic_width, down=True)]


def _elastic(model: Model) -> list[Picture]:
    to, traces = _done(model)
    traces += _rows(model, to, Role.SEWN)
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
            captions.append(Caption(end - Vector(2.4, 0), model.words.say("draw.elastic.bodkin")))
            captions.append(Caption(start, model.words.say("draw.elastic.pinned")))
    overview = Picture(tuple(traces), tuple(captions))
    return [overview, elastic_end(model.words, casing.depth, casing.elastic_width, reach)]


def _crotch(model: Model) -> list[Picture]:
    """Both legs, right sides together: the upper one inside up and mirrored, the lower one peeping out behind it."""
    behind = Scale(model.scale * 0.97, Vector(1.1, 1.1), across=-1.0)
    to = Scale(model.scale * 0.97, across=-1.0)
    traces = [*_standing(model, behind, Role.OUTSIDE)[:2], *outlined(Role.OUTSIDE, behind.path(model.hemmed))]
    traces += [*outlined(Role.INSIDE, to.path(model.hemmed)), *_standing(model, to, Role.INSIDE)]
    block, design = model.whole.leg, model.short.design
    traces.append(Trace(to.path(block.waist), Role.FINE))
    for casing in model.casings:
        left, right = model.across(casing.height)
        traces.append(line(Role.HIDDEN, to(left), to(right)))
    rising = [(block.front_crotch, block.waist.start), (block.back_crotch.reversed(), block.waist.end)]
    for edge, top in rising:
        tip = _tip(block.waist, edge, design)
        traces += [Trace(to.path(edge), Role.NOW), line(Role.NOW, to(top), to(tip))]
    leg = model.leg
    # below the lowest casing over the crotch a distance from the crotch point is the same flat and finished
    to_point = leg.edge("back crotch").seam.length - leg.notch("back-balance").distance
    front, back = leg.notch("front-balance").distance, block.back_crotch.length - to_point
    for edge, places in ((block.front_crotch, (front,)), (block.back_crotch, (back - 6, back + 6))):
        for place in places:
            on = edge.point_at(place)
            traces.append(line(Role.TICK, to(on), to(on + edge.tangent_at(place).right() * design.allowances.seam)))
    captions = [
        Caption(to(top.toward(tip, 0.5)), model.words.say(f"draw.crotch.{design.waist.finish}")),
        Caption(to(block.back_crotch.point_at(block.back_crotch.length * 0.55)), model.words.say("draw.crotch.back")),
        Caption(to(block.front_crotch.point_at(block.front_crotch.length * 0.3)), model.words.say("draw.crotch.front")),
        Caption(to(Point(0, -50)), model.words.say("draw.crotch.wrong")),
    ]
    if any(casing.height > 0 for casing in model.casings):
        casing = model.casings[-1]
        captions.append(Caption(to(model.across(casing.height)[0]), model.words.say("draw.crotch.casing")))
    return [Picture(tuple(traces), tuple(captions))]


def _tip(waist: Path, rising: Path, design: ShortDesign) -> Point:
    """Where a crotch seam ends above the waist: straight up a strip, or where the leg below the fold has its image."""
    up = Vector(0, design.standing)
    if design.waist.finish is WaistFinish.CUT_ON:
        across, down = (waist.end - waist.start).unit(), rising.reversed().start_direction
        along = across * (2 * down.dot(across)) - down  # the way down, reflected in the fold
        up = along * (design.standing / abs(across.cross(along)))
    return rising.end + up


def _inseam(model: Model) -> list[Picture]:
    short = model.whole
    scale = OVERVIEW / outer_width(short, waisted=False)
    garment = garment_picture(short, scale=scale, waisted=False)
    turned = {Role.OUTSIDE: Role.INSIDE, Role.SHADE: Role.INSIDE}
    traces = [Trace(s.path, turned.get(s.role, s.role), s.filled) for s in garment.traces]
    seam = inseam_line(short, scale=scale)
    traces.append(Trace(seam, Role.NOW))
    captions = [
        Caption(Point(0, 0), model.words.say("draw.inseam.crotch")),
        Caption(seam.end, model.words.say("draw.inseam.hem")),
        Caption(Point(OVERVIEW * 0.3, OVERVIEW * 0.08), model.words.say("draw.inseam.wrong")),
    ]
    below = [casing for casing in model.casings if casing.height < 0]
    if below:
        y = (below[0].height - below[0].depth / 2) * scale
        captions.append(Caption(next(p for p in seam.heights(y) if p.x > 0), model.words.say("draw.inseam.casing")))
    return [Picture(tuple(traces), tuple(captions))]


def _waist(model: Model) -> list[Picture]:
    design = model.short.design
    return [channel(model.words, design.allowances.waist, design.waist, design.facing), _lap(model)]


def _folded(model: Model) -> list[Picture]:
    return [folded_waist(model.words, model.short.design.waist), _lap(model)]


def _banding(model: Model) -> list[Picture]:
    design = model.short.design
    return [waistband(model.words, PART, design.allowances.waist, design.waist), _lap(model)]


def _lap(model: Model) -> Picture:
    waist = model.short.design.waist
    return lap(model.words, waist.elastic_width, waist.overlap)


def _finish(model: Model) -> list[Picture]:
    wide = outer_width(model.whole)
    pair = [garment_picture(model.whole, scale=46.0 / wide, back=back) for back in (False, True)]
    return [row(pair, gap=6)]


DIAGRAMS: Final[Mapping[str, Callable[[Model], Sequence[Picture]]]] = {
    "bags": bag_pictures,
    "side": _side,
    "pocket": patch_pictures,
    "crease": _crease,
    "hem": _hem,
    "band": _band,
    "trim": _trim,
    "casings": _casings,
    "press": _press,
    "buttonholes": _buttonholes,
    "facing": _facing,
    "waistband": _waistband,
    "down": _down,
    "elastic": _elastic,
    "loop": loop_pictures,
    "crotch": _crotch,
    "inseam": _inseam,
    "waist": _waist,
    "folded": _folded,
    "banding": _banding,
    "finish": _finish,
}
"""The pictures of each step by its name, in the order of sewing."""
