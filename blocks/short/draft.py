"""The short: from a body and a design to pieces, finished measures, elastics and the proofs that they fit together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from blocks.design import WaistFinish, casing_title
from blocks.elastic import Elastics
from blocks.fitting import MARK, PLAIN, Finished, compared, told
from blocks.garment import CasingRoom, Garment, LeftOut, NamedPoint, Outline, Trim
from blocks.measurements import Body, check_label, hip_label
from blocks.panel import length_of
from blocks.parameters import of_kind
from blocks.proof import Seam, prove
from blocks.quantity import shown
from blocks.short.bends import check_bends, tight
from blocks.short.casings import fullness_told, left_out
from blocks.short.design import ShortDesign, TrimKind
from blocks.short.drawcord import check_drawcord, drawcords, with_buttonholes
from blocks.short.elastics import elastics_of, hem_warnings, warnings_of
from blocks.short.facing import NAME as FACING
from blocks.short.facing import facing_pieces
from blocks.short.fitting import check_side
from blocks.short.folding import casings_of, check_casings, misplaced, room, tucks_of
from blocks.short.leg import LegBlock, Rise
from blocks.short.leg_piece import NAME as LEG
from blocks.short.leg_piece import leg_pieces
from blocks.short.loop import loop_pieces, with_loop
from blocks.short.pocket import pocket_left_out, pocket_pieces, pocket_seams, with_pocket
from blocks.short.trim import NAME as BAND
from blocks.short.trim import trim_pieces
from blocks.short.waist import finished_leg
from blocks.short.waistband import NAME as WAISTBAND
from blocks.short.waistband import waistband_pieces
from drafting.casing import Tuck
from drafting.errors import DesignError
from drafting.piece import CasingLine, Piece
from drafting.point import Point

FINISHED_WITH: Final[Mapping[WaistFinish, Callable[..., tuple[Piece, ...]]]] = {
    WaistFinish.FACED: facing_pieces,
    WaistFinish.WAISTBAND: waistband_pieces,
}
"""The pieces that a waist is finished with; a cut-on casing has none of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Short(Garment):
    """One size of one design in one rise, with the finished leg that it was drafted from."""

    design: ShortDesign
    leg: LegBlock


def draft_short(
    design: ShortDesign,
    body: Body,
    *,
    rise: str = "high",
    size: str | None = None,
    split: bool | Callable[[Piece], bool] = False,
) -> Short:
    """Draft one size. Without a `size` label it is named by its hip girth in cm, as in H102.

    With `split` every piece is cut at the side line into a front and a back, for a leg wider than the cloth; whether it
    is may be asked of every piece of the short in one.

    Raises:
        DesignError: a design that this body cannot wear, an unknown rise, a size that is no text; the message says
            what to change.
        MeasurementError: a size label that cannot be printed, or a measurement that was not taken.
        GeometryError: a piece that cannot be built, or that fails one of its proofs.
    """
    of_kind("design", design, ShortDesign)
    of_kind("body", body, Body)
    of_kind("size", size, str | None)
    if not isinstance(rise, str) or rise not in tuple(Rise):
        raise DesignError(f"rise: {shown(rise)} is not a rise of this design; choose one of {', '.join(Rise)}")
    level = Rise(rise)
    check_drawcord(design)
    leg = _leg(body, design, level)
    tucks, vanished = tucks_of(leg, design)
    label = check_label(size) if size else hip_label(body)
    pieces = _pieces(leg, design, tucks, label, level, split=split is True)
    if callable(split):
        split = any(map(split, pieces))
        if split:
            pieces = _pieces(leg, design, tucks, label, level, split=True)
    elastics = elastics_of(body, leg, design, tucks)
    omitted = pocket_left_out(design, split=split)
    gone = tuple(LeftOut(casing, left_out(casing, design, level)) for casing in vanished)
    seams = _seams([piece.name for piece in pieces])
    made = Short(
        design=design,
        body=body,
        size=label,
        rise=level.value,
        leg=leg,
        split=split,
        pieces=pieces,
        measures=_measures(leg, elastics),
        drawn_in=("leg_opening",) if any(elastic.height <= 0 for elastic in elastics) else (),
        elastics=elastics,
        trims=(*_trims(design, elastics), *drawcords(design, body)),
        points=tuple(_points(leg, pieces[: 2 if split else 1])),
        seams=seams,
        proofs=prove(pieces, tucks, seams),
        warnings=(
            *body.warnings,
            *(one.why for one in gone),
            *omitted,
            *warnings_of(elastics, design),
            *hem_warnings(body, leg, design),
        ),
        notes=(*leg.notes, *filter(None, (fullness_told(casings_of(leg, design), design.leg.fullness),))),
        left_out=gone,
        omitted=omitted,
    )
    return _adjusted(made) if body.fitting.found else made


def _leg(body: Body, design: ShortDesign, rise: Rise) -> LegBlock:
    """The finished leg, every edge of it with room for its allowance and every casing where it can be folded.

    Raises:
        DesignError: it is not; if what a fitting found is to blame, the message says so.
    """
    check_side(body.fitting, design)
    try:
        leg = finished_leg(body, design, rise)
        check_bends(leg, body, design, rise)
        check_casings(leg, body, design, rise)
    except DesignError as error:
        if body.fitting.found and _drafts(replace(body, fitting=PLAIN), design, rise):
            raise DesignError(f"{error}; or lessen what the fitting found: {told(body.fitting)}") from None
        raise
    return leg


def _drafts(body: Body, design: ShortDesign, rise: Rise) -> bool:
    try:
        leg = finished_leg(body, design, rise)
        return not tight(leg, design) and not any(misplaced(leg, design, rise))
    except DesignError:
        return False


def _adjusted(short: Short) -> Short:
    """A short that a fitting has changed, with what that moved; it says so on every piece and in the notes."""
    fitting, design = short.body.fitting, short.design
    try:
        plain = finished_leg(replace(short.body, fitting=PLAIN), design, Rise(short.rise))
    except DesignError as error:
        place, _, fault = str(error).partition(": ")
        raise DesignError(f"{place}: before what the fitting found, {fault}") from None
    return replace(
        short,
        pieces=tuple(replace(piece, notes=(*piece.notes, MARK)) for piece in short.pieces),
        notes=(*short.notes, f"{MARK}: {told(fitting)}"),
        adjusted=compared(fitting, _finished(plain, design), _finished(short.leg, design)),
    )


def _pieces(
    leg: LegBlock, design: ShortDesign, tucks: Sequence[Tuck], size: str, rise: Rise, *, split: bool
) -> tuple[Piece, ...]:
    """The leg first, then what its waist is finished with, then its trim."""
    finish = FINISHED_WITH.get(design.waist.finish)
    legs = leg_pieces(leg, design, tucks, size=size, rise=rise.value, split=split)
    pieces = (
        *with_pocket(legs, leg, design, tucks),
        *(finish(leg, design, size=size, rise=rise.value, split=split) if finish else ()),
        *trim_pieces(leg, design, tucks, size=size, rise=rise.value, split=split),
        *pocket_pieces(leg, design, tucks, size=size, rise=rise.value, split=split),
        *loop_pieces(design, size=size, rise=rise.value),
    )
    return with_buttonholes(with_loop(pieces, design), design)


def fit(pattern: Short, body: Body) -> Elastics:
    """The elastics of a body to go into the pieces of a short."""
    tucks, _ = tucks_of(pattern.leg, pattern.design)
    return elastics_of(body, pattern.leg, pattern.design, tucks, drafted_for=pattern.body)


def casing_room(pattern: Short, design: ShortDesign, name: str) -> CasingRoom:
    """Where a short has room for a casing above the crotch: the only place where one is ever left out."""
    casing = next(one for one in casings_of(pattern.leg, design) if one.name == name)
    spans = tuple((one.low, one.high) for one in room(casing, pattern.leg, design) if one.low > 0)
    return CasingRoom(casing.height, pattern.leg.high_waist_level, spans)


def _measures(leg: LegBlock, elastics: Elastics) -> dict[str, float]:
    below = [elastic for elastic in elastics if elastic.height <= 0]
    hem = leg.hem.length
    return {
        "waist_seam": 2 * leg.waist.length,
        "hip": 2 * leg.width_at(leg.hip_level),
        "hem": hem,
        "leg_opening": below[-1].finished if below else hem,
        "front_rise": leg.front_crotch.length + leg.band,
        "back_rise": leg.back_crotch.length + leg.band,
        "crotch_seam": leg.crotch_seam,
        "side_length": _side_length(leg),
        "inseam": leg.front_inseam.length,
    }


def _finished(leg: LegBlock, design: ShortDesign) -> Finished:
    """What is compared of a leg before and after what a fitting found: through its waistband, as it is measured."""
    casings = {casing_title(casing.name): Point(0.0, casing.height) for casing in casings_of(leg, design)}
    seams = {"front crotch": "front crotch seam", "back crotch": "back crotch seam", "waist": "waist seam"}
    lengths = {
        seams.get(name, name): edge.length + (leg.band if name.endswith("crotch") else 0.0)
        for name, edge in leg.edges.items()
    }
    return Finished({**leg.points, **casings}, {**lengths, "side line": _side_length(leg)}, leg.outline)


def _side_length(leg: LegBlock) -> float:
    return leg.waist.segments[0].end.y + leg.band - leg.hem_level


def _trims(design: ShortDesign, elastics: Elastics) -> tuple[Trim, ...]:
    """The bought trim of each leg: as wide as the leg at its lowest casing, both ends caught in the inseam."""
    if design.trim.kind is not TrimKind.BOUGHT:
        return ()
    # A design whose trim no casing below the crotch can catch was refused when its pieces were made.
    lowest = min(elastics, key=lambda elastic: elastic.height)
    return (Trim("trim", design.trim.width, lowest.flat_width + 2 * design.allowances.seam, 2),)


def _seams(names: Sequence[str]) -> tuple[Seam, ...]:
    """Every seam of a short with pieces of these names."""

    def half(name: str, which: str) -> str:
        return f"{name} {which}" if f"{name} {which}" in names else name

    leg_front, leg_back = half(LEG, "front"), half(LEG, "back")
    seams = [
        Seam(leg_front, "front inseam", leg_back, "back inseam"),
        Seam(leg_front, "front crotch", leg_front, "front crotch", mirrored=True),
        Seam(leg_back, "back crotch", leg_back, "back crotch", mirrored=True),
    ]
    if leg_front != leg_back:
        seams.append(Seam(leg_front, "side", leg_back, "side"))
    for strip in (FACING, WAISTBAND):
        if strip in names or f"{strip} front" in names:
            seams += _strip_seams(half(strip, "front"), half(strip, "back"), leg_front, leg_back)
    if BAND in names or f"{BAND} front" in names:
        band_front, band_back = half(BAND, "front"), half(BAND, "back")
        seams.append(Seam(band_front, "front inseam", band_back, "back inseam"))
        if band_front != band_back:
            seams.append(Seam(band_front, "side", band_back, "side"))
    return (*seams, *pocket_seams(names))


def _strip_seams(front: str, back: str, leg_front: str, leg_back: str) -> Iterator[Seam]:
    """A facing's or a waistband's: to the leg, to its twin in front and at the back, and its own at the side."""
    yield Seam(leg_front, "waist", front, "waist")
    yield Seam(front, "front end", front, "front end", mirrored=True)
    yield Seam(back, "back end", back, "back end", mirrored=True)
    if front != back:
        yield Seam(leg_back, "waist", back, "waist")
        yield Seam(front, "side", back, "side")


def _points(leg: LegBlock, legs: Sequence[Piece]) -> Iterator[NamedPoint]:
    """The named points of one leg, from the side line (x) and the crotch line (y).

    On the flat leg only the casings' ends are held to an even range; its waist steps up by twice its depth where a
    casing comes in, and is otherwise the finished one. The halves of a split leg lie where the whole leg does, so its
    points are theirs.
    """

    def flat(name: str, at: Point, *, held: bool = False) -> NamedPoint:
        return NamedPoint(Outline.FLAT, name, at, held)

    for name, at in leg.points.items():
        yield NamedPoint(Outline.FINISHED, name, at)

    front, back = legs[0], legs[-1]
    yield flat("waist at centre front", front.edge("waist").seam.start)
    yield flat("waist at side line", front.edge("waist").seam.point_at(length_of(leg.waist, 0)))
    yield flat("waist at centre back", back.edge("waist").seam.end)
    yield flat("crotch point, front", front.edge("front crotch").seam.start)
    yield flat("crotch point, back", back.edge("back crotch").seam.end)
    yield flat("hem, front", front.edge("hem").seam.end)
    yield flat("hem, back", back.edge("hem").seam.start)
    there = {line.name: line for line in (*back.fold_lines, *back.stitch_lines)}
    for line in (*front.fold_lines, *front.stitch_lines):
        yield flat(f"casing {_part(line)}, front", line.end, held=True)
        yield flat(f"casing {_part(line)}, back", there[line.name].start, held=True)


def _part(line: CasingLine) -> str:
    return f"{line.casing}: {line.name.removeprefix(line.casing).strip()}"
