"""The sewing steps of a skirt as pictures, each drawn from the panel that is cut: an overview, and perhaps a section.

In an overview the outside of the cloth is tinted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from blocks.design import FacingDesign
from blocks.guide import OVERVIEW
from blocks.panel import HEM_TURNS
from blocks.sections import THICK, creased, elastic_end, folded_waist, lap, pressed_tuck, standing_tuck
from blocks.sections import channel as facing_section
from blocks.sections import hem as hem_section
from blocks.skirt.design import SkirtCasing
from blocks.skirt.draft import Skirt, draft_skirt
from blocks.skirt.pieces import RUFFLE
from blocks.skirt.worn import worn
from blocks.tunnel import from_fold
from blocks.words import Catalogue
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
    outlined,
    rectangle,
    ribbon,
    row,
)
from drafting.piece import Notch, NotchKind, Piece
from drafting.point import Point, Vector
from drafting.role import Role

FOLDED: Final = 0.8
"""Size of a picture of two layers, over that of the others."""

DOT: Final = 0.4
"""mm; radius of a notch in miniature."""

SECTION: Final = 1.15
"""Paper over real mm in the sections of the waist and the ruffle's seam."""


@dataclass(frozen=True)
class Sample:
    """What the pictures are drawn of: one size, in one panel or with its two panels joined."""

    given: Skirt
    words: Catalogue

    @cached_property
    def skirt(self) -> Skirt:
        given = self.given
        return given if not given.split else draft_skirt(given.design, given.body, size=given.size)

    @property
    def panel(self) -> Piece:
        return self.skirt.pieces[0]

    @cached_property
    def casings(self) -> tuple[SkirtCasing, ...]:
        """Lowest first."""
        return tuple(sorted(self.skirt.design.casings, key=lambda casing: casing.height))

    @cached_property
    def scale(self) -> float:
        left, _, right, _ = self.panel.cut_line.bounds
        return OVERVIEW / (right - left)

    @cached_property
    def half(self) -> float:
        """From the middle of the panel to its cut edge."""
        return self.skirt.panel.width / 2 + self.skirt.design.allowances.seam

    @cached_property
    def ends(self) -> tuple[float, float]:
        """The lower and the upper cut edge of the panel, its casings stitched."""
        panel, piece = self.skirt.panel, self.panel
        return panel.lower - piece.edge("hem").allowance, piece.edge("waist").allowance


def pictures_of(name: str, drawn: Sample) -> tuple[Picture, ...]:
    """The pictures of the step of that name."""
    return tuple(PICTURES[name](drawn))


def _dots(to: Scale, notches: Iterable[Notch]) -> list[Trace]:
    """Notches where they are on the edge of a piece in miniature, in which their marks would be too small to see."""
    return [area(Role.DOT, circle(to(notch.cut_point.toward(notch.seam_point, 0.5)), DOT)) for notch in notches]


def _flat(drawn: Sample) -> tuple[Scale, list[Trace]]:
    """The flat panel, outside up."""
    to = Scale(drawn.scale)
    return to, [*outlined(Role.OUTSIDE, to.path(drawn.panel.cut_line))]


def _crease(drawn: Sample) -> Sequence[Picture]:
    to, traces = _flat(drawn)
    panel = drawn.panel
    traces += [Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE_NOW) for fold in panel.fold_lines]
    folds = [notch for notch in panel.notches if notch.kind is NotchKind.FOLD]
    traces += _dots(to, folds)
    top = panel.fold_lines[-1]
    first = next(notch for notch in folds if notch.edge == "right")
    captions = (
        Caption(to(top.start.toward(top.end, 0.7)), drawn.words.say("draw.crease.line")),
        Caption(to(first.cut_point), drawn.words.say("draw.crease.notch")),
    )
    return [Picture(tuple(traces), captions), creased(drawn.words)]


def _casings(drawn: Sample) -> Sequence[Picture]:
    to, traces = _flat(drawn)
    panel = drawn.panel
    tucked = {f"{casing.name} {part} stitch line" for casing in drawn.casings for part in ("lower", "upper")}
    stitches = [one for one in panel.stitch_lines if one.name in tucked]
    traces += [Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE) for fold in panel.fold_lines]
    traces += [Trace(to.path(Path.through(one.start, one.end)), Role.STITCH) for one in stitches]
    captions = (
        Caption(to(stitches[-1].start.toward(stitches[-1].end, 0.75)), drawn.words.say("draw.casings.lines")),
        Caption(to(stitches[0].start.toward(stitches[0].end, 0.6)), drawn.words.say("draw.casings.first")),
    )
    return [Picture(tuple(traces), captions), standing_tuck(drawn.words, drawn.casings[0].depth)]


def _done(drawn: Sample, *, fill: Role = Role.OUTSIDE) -> tuple[Scale, list[Trace]]:
    """The panel with its tucks pressed down."""
    to = Scale(drawn.scale)
    half, (low, high) = drawn.half, drawn.ends
    traces = [*outlined(fill, to.path(rectangle(-half, low, half, high)))]
    if fill is Role.OUTSIDE:
        for casing in drawn.casings:
            traces += _band(to, casing, -half, half)
    return to, traces


def _band(to: Scale, casing: SkirtCasing, left: float, right: float) -> list[Trace]:
    """A tuck, pressed down."""
    top, low = casing.height, casing.height - casing.depth
    return [
        area(Role.SHADE, to.path(rectangle(left, low, right, top))),
        line(Role.FINE, to(Point(left, top)), to(Point(right, top))),
        line(Role.OUTLINE, to(Point(left, low)), to(Point(right, low))),
    ]


def _press(drawn: Sample) -> Sequence[Picture]:
    to, traces = _done(drawn)
    casing, half = drawn.casings[-1], drawn.half
    traces += arrow(to(Point(half * 0.2, casing.height + 45)), to(Point(half * 0.2, casing.height - casing.depth - 25)))
    captions = (
        Caption(to(Point(half * 0.6, casing.height - casing.depth / 2)), drawn.words.say("draw.press.tuck")),
        Caption(to(Point(half * 0.5, drawn.ends[0])), drawn.words.say("draw.press.hem")),
    )
    return [Picture(tuple(traces), captions), _pressed(drawn, casing)]


def _pressed(drawn: Sample, casing: SkirtCasing, *, down: bool = False) -> Picture:
    part = drawn.words.say("part")
    return pressed_tuck(drawn.words, part, casing.depth, casing.elastic_width, down=down)


def _folds(drawn: Sample, to: Scale, role: Role) -> list[Trace]:
    """The stitching that holds every fold down."""
    half = drawn.half
    heights = [each.height - each.depth + from_fold(each.depth, each.elastic_width) for each in drawn.casings]
    return [line(role, to(Point(-half, y)), to(Point(half, y))) for y in heights]


def _down(drawn: Sample) -> Sequence[Picture]:
    to, traces = _done(drawn)
    traces += _folds(drawn, to, Role.NOW)
    casing = drawn.casings[-1]
    place = Point(drawn.half * 0.4, casing.height - casing.depth)
    overview = Picture(tuple(traces), (Caption(to(place), drawn.words.say("draw.down.line")),))
    return [overview, _pressed(drawn, casing, down=True)]


def _elastic(drawn: Sample) -> Sequence[Picture]:
    to, traces = _done(drawn)
    traces += _folds(drawn, to, Role.SEWN)
    captions: list[Caption] = []
    for casing in drawn.casings:
        y = casing.height - casing.depth / 2
        start, end = to(Point(-drawn.half, y)), to(Point(drawn.half + 45, y))
        traces += ribbon([start, end], max(0.7, casing.elastic_width * to.by), Role.ELASTIC, Role.RUBBER_FINE)
        if casing is drawn.casings[-1]:
            tip = end - Vector(2.4, 0)
            traces += outlined(Role.INSIDE, ellipse(tip, 2.2, 0.9), Role.FINE)
            captions += [
                Caption(tip, drawn.words.say("draw.elastic.bodkin")),
                Caption(start, drawn.words.say("draw.elastic.pinned")),
            ]
    casing = drawn.casings[-1]
    pinned = elastic_end(drawn.words, casing.depth, casing.elastic_width, drawn.skirt.design.allowances.seam)
    return [Picture(tuple(traces), tuple(captions)), pinned]


def _side(drawn: Sample) -> Sequence[Picture]:
    """Two panels, right sides together, inside up; the other one peeps out behind."""
    design = drawn.skirt.design
    (panel, *_) = draft_skirt(design, drawn.skirt.body, size=drawn.skirt.size, split=True).pieces
    left, low, right, high = panel.cut_line.bounds
    to = Scale(FOLDED * OVERVIEW / (right - left), across=-1.0)
    seam = panel.edge("left").seam
    meeting = [notch for notch in panel.notches if notch.edge == "left"]
    traces = [
        *_pair(to, rectangle(left, low, right, high)),
        Trace(to.path(seam), Role.NOW),
        *_dots(to, meeting),
    ]
    captions = [
        Caption(to(seam.point_at(seam.length * 0.9)), drawn.words.say("draw.side.seam")),
        Caption(to(Point(0, (low + high) / 2)), drawn.words.say("draw.side.wrong")),
    ]
    if meeting:
        captions.append(Caption(to(meeting[0].cut_point), drawn.words.say("draw.side.notch")))
    return [Picture(tuple(traces), tuple(captions))]


def _pair(to: Scale, shape: Path) -> tuple[Trace, ...]:
    """A layer inside up, and the one behind it."""
    behind = replace(to, shift=Vector(0.9, 0.9))
    return (*outlined(Role.OUTSIDE, behind.path(shape)), *outlined(Role.INSIDE, to.path(shape)))


def _close(drawn: Sample) -> Sequence[Picture]:
    """The skirt folded on itself, inside out."""
    wide, seam = drawn.skirt.panel.round / 2, drawn.skirt.design.allowances.seam
    low, high = drawn.ends
    to = Scale(FOLDED * OVERVIEW / (wide + seam))
    traces = list(_pair(to, rectangle(0, low, wide + seam, high)))
    traces += [
        line(Role.HIDDEN, to(Point(0, casing.height)), to(Point(wide + seam, casing.height)))
        for casing in drawn.casings
    ]
    traces.append(line(Role.NOW, to(Point(wide, low)), to(Point(wide, high))))
    side = "side" if drawn.given.split else "back"
    captions = [
        Caption(to(Point(wide, (low + high) * 0.5)), drawn.words.say(f"draw.close.{side}")),
        Caption(to(Point(wide / 2, low + (high - low) * 0.2)), drawn.words.say("draw.close.wrong")),
        Caption(to(Point(0, low + (high - low) * 0.8)), drawn.words.say("draw.close.fold")),
    ]
    if drawn.casings:
        captions.append(Caption(to(Point(wide * 0.7, drawn.casings[-1].height)), drawn.words.say("draw.close.casing")))
    return [Picture(tuple(traces), tuple(captions))]


def _folded(drawn: Sample) -> Sequence[Picture]:
    return [folded_waist(drawn.words, drawn.skirt.design.waist), _lap(drawn)]


def _faced(drawn: Sample) -> Sequence[Picture]:
    design = drawn.skirt.design
    facing = FacingDesign(edge=design.waist.edge, turn_under=design.waist.turn_under)
    return [facing_section(drawn.words, design.allowances.waist, design.waist, facing), _lap(drawn)]


def _lap(drawn: Sample) -> Picture:
    waist = drawn.skirt.design.waist
    return lap(drawn.words, waist.elastic_width, waist.overlap)


def _hem(drawn: Sample) -> Sequence[Picture]:
    to, traces = _done(drawn, fill=Role.INSIDE)
    deep = drawn.skirt.design.allowances.hem / HEM_TURNS
    low, half = drawn.skirt.panel.lower, drawn.half
    traces.append(line(Role.CREASE, to(Point(-half, low)), to(Point(half, low))))
    traces.append(line(Role.NOW, to(Point(-half, low + deep)), to(Point(half, low + deep))))
    captions = (
        Caption(to(Point(0, (low + drawn.ends[1]) / 2)), drawn.words.say("draw.hem.wrong")),
        Caption(to(Point(half * 0.6, low + deep)), drawn.words.say("draw.hem.line")),
    )
    return [Picture(tuple(traces), captions), hem_section(drawn.words, deep)]


def _ruffle(drawn: Sample) -> Sequence[Picture]:
    """A strip inside up: its rolled hem, and the two rows that it will be gathered by."""
    strip = next(piece for piece in drawn.skirt.pieces if piece.name == RUFFLE)
    left, _, right, _ = strip.cut_line.bounds
    to = Scale(OVERVIEW / (right - left), across=-1.0)
    allow = drawn.skirt.design.allowances
    low, top = strip.edge("hem").seam.start.y, strip.edge("top").seam.start.y
    deep = allow.hem / HEM_TURNS
    rows = [top + allow.seam * share for share in (0.25, 0.6)]
    traces = [
        *outlined(Role.INSIDE, to.path(strip.cut_line)),
        line(Role.SEAM, to(Point(left, top)), to(Point(right, top))),
        line(Role.CREASE, to(Point(left, low)), to(Point(right, low))),
        line(Role.NOW, to(Point(left, low + deep)), to(Point(right, low + deep))),
        *(line(Role.NOW, to(Point(left, y)), to(Point(right, y))) for y in rows),
        *_dots(to, strip.notches),
    ]
    captions = (
        Caption(to(Point(left * 0.6, rows[1])), drawn.words.say("draw.ruffle.rows")),
        Caption(to(Point(left * 0.4, low + deep)), drawn.words.say("draw.ruffle.hem")),
        Caption(to(strip.notch("end-left").cut_point), drawn.words.say("draw.ruffle.join")),
    )
    return [Picture(tuple(traces), captions), hem_section(drawn.words, deep)]


def _gather(drawn: Sample) -> Sequence[Picture]:
    """The ruffle pinned to the lower edge of the panel, and the seam as it lies when it is pressed up."""
    to, traces = _done(drawn)
    skirt, half = drawn.skirt, drawn.half
    low, deep, seam = skirt.panel.lower, skirt.design.ruffle.depth, skirt.design.allowances.seam
    strip = rectangle(-half, low - seam, half, low - seam + deep)
    traces += outlined(Role.INSIDE, to.path(strip))
    folds = round(OVERVIEW / 1.6)
    for fold in range(folds):
        x = -half + 2 * half * (fold + 0.5) / folds
        traces.append(line(Role.GATHER, to(Point(x, low - seam)), to(Point(x, low - seam + deep * 0.45))))
    traces.append(line(Role.NOW, to(Point(-half, low)), to(Point(half, low))))
    pins = [notch for notch in drawn.panel.notches if notch.edge == "hem"]
    traces += [area(Role.DOT, circle(to(Point(pin.seam_point.x, low)), DOT)) for pin in pins]
    captions = (
        Caption(to(Point(half * 0.7, low - seam + deep * 0.7)), drawn.words.say("draw.gather.ruffle")),
        Caption(to(Point(pins[0].seam_point.x, low)), drawn.words.say("draw.gather.notch")),
        Caption(to(Point(half * 0.5, low)), drawn.words.say("draw.gather.seam")),
    )
    return [Picture(tuple(traces), captions), _gathered(drawn.words, seam * SECTION)]


def _gathered(words: Catalogue, seam: float) -> Picture:
    """The section of the ruffle's seam, its allowances pressed up inside the skirt."""
    skirt = ribbon(
        [Point(0, seam + 9), Point(0, 0.4), Point(-1.0, -0.5), Point(-1.9, 0.4), Point(-1.9, seam)], THICK, Role.CLOTH
    )
    ruffle = ribbon(
        [Point(-3.0, seam), Point(-3.0, -0.2), Point(-1.2, -1.8), Point(1.4, -5), Point(2.0, -14)], THICK, Role.FACING
    )
    traces = (*skirt, *ruffle, line(Role.STITCHING, Point(0.6, 0.4), Point(-3.8, 0.4)))
    captions = (
        Caption(Point(0, seam + 6), words.say("draw.gather.skirt")),
        Caption(Point(-3.0, seam * 0.7), words.say("draw.gather.allowance")),
        Caption(Point(1.8, -11), words.say("draw.gather.ruffle")),
    )
    return Picture(traces, captions)


def _finish(drawn: Sample) -> Sequence[Picture]:
    left, _, right, _ = worn(drawn.given, scale=1.0).bounds
    return [row([worn(drawn.given, scale=46.0 / (right - left), back=back) for back in (False, True)], gap=6)]


PICTURES: Final[Mapping[str, Callable[[Sample], Sequence[Picture]]]] = {
    "side": _side,
    "crease": _crease,
    "casings": _casings,
    "press": _press,
    "down": _down,
    "elastic": _elastic,
    "close": _close,
    "folded": _folded,
    "faced": _faced,
    "hem": _hem,
    "ruffle": _ruffle,
    "gather": _gather,
    "finish": _finish,
}
"""The pictures of each step by its name."""
