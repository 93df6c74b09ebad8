"""The leg as pattern pieces: whole, or split at the side line into a front and a back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from blocks.design import WaistFinish
from blocks.panel import (
    Panel,
    casing_lines,
    casing_notches,
    grainline,
    length_of,
    mirrored,
    notch,
    panel,
    rolled,
    sides_of,
)
from blocks.short.design import ShortDesign
from blocks.short.facing import NAME as FACING
from blocks.short.leg import LegBlock
from blocks.short.waist import channel_line, fold_notches, waist_allowance
from blocks.short.waistband import NAME as BAND
from blocks.waist import CUT_ON_NOTE
from drafting.allowance import Side
from drafting.casing import Tuck, flat_height
from drafting.path import Path
from drafting.piece import CasingLine, Notch, NotchKind, Piece
from drafting.point import Point

NAME: Final = "leg"


def leg_pieces(
    block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck], *, size: str, rise: str, split: bool
) -> tuple[Piece, ...]:
    """The flat leg, each piece cut twice as a mirrored pair: one piece, or front and back with a side seam.

    Raises:
        GeometryError: an allowance that does not fit round a curve, or an edge that cannot be opened.
    """
    if not split:
        made = panel(leg_sides(block.edges, design), tucks)
        here = {"front": "", "back": ""}
        notches = [
            *_fold_notches(made, _mates(here), design),
            notch(made, "side", NotchKind.SIDE, "waist", length_of(block.waist, 0), _side_mate(design)),
            *_front_notches(made, block, design, here),
            *_back_notches(made, block, design, here),
        ]
        return (_piece(NAME, "Leg", made, notches, design, tucks, size=size, rise=rise, grain_at=0.0),)
    pieces = []
    away = {"front": f"{NAME} front/", "back": f"{NAME} back/"}
    for half, edges, grain_at in (
        ("front", front_half(block), block.front_width / 2),
        ("back", back_half(block), -block.back_width / 2),
    ):
        made = panel(leg_sides(edges, design), tucks)
        other = away["back" if half == "front" else "front"]
        own = _front_notches if half == "front" else _back_notches
        side = made.edge("side").seam
        # The crotch line is free of casings in every design: it lies in the flat of the crotch curve.
        crotch_line = abs(flat_height(tucks, 0.0) - side.start.y)
        notches = [
            *_fold_notches(made, {**_mates(away), "side": ("side", f"{other}{{}}-side")}, design),
            notch(made, "side-balance", NotchKind.SINGLE, "side", crotch_line, f"{other}side-balance"),
            *own(made, block, design, away),
        ]
        name, title = f"{NAME} {half}", f"Leg {half}"
        pieces.append(_piece(name, title, made, notches, design, tucks, size=size, rise=rise, grain_at=grain_at))
    return tuple(pieces)


def front_half(block: LegBlock) -> dict[str, Path]:
    """The finished edges in front of the side line, with the side edge that splitting makes."""
    waist, hem = block.waist.segments[0].end, Point(0.0, block.hem_level)
    return {
        "hem": Path.through(hem, block.hem.end),
        "front inseam": block.front_inseam,
        "front crotch": block.front_crotch,
        "waist": Path(block.waist.segments[:1]),
        "side": Path.through(waist, hem),
    }


def back_half(block: LegBlock) -> dict[str, Path]:
    """The finished edges behind the side line, with the side edge that splitting makes."""
    waist, hem = block.waist.segments[0].end, Point(0.0, block.hem_level)
    return {
        "hem": Path.through(block.hem.start, hem),
        "side": Path.through(hem, waist),
        "waist": Path(block.waist.segments[1:]),
        "back crotch": block.back_crotch,
        "back inseam": block.back_inseam,
    }


def leg_sides(edges: Mapping[str, Path], design: ShortDesign) -> list[Side]:
    """Finished edges of the leg, or of one half of it, with the design's allowances."""
    allow = design.allowances
    return sides_of(edges, allow.seam, {"hem": rolled(allow.hem), "waist": waist_allowance(design)})


def _mates(where: Mapping[str, str]) -> dict[str, tuple[str, str]]:
    """Crotch edges meet themselves on the other leg; the inseams meet each other."""
    return {
        "front crotch": ("front", mirrored("{}-front")),
        "back crotch": ("back", mirrored("{}-back")),
        "front inseam": ("front", f"{where['back']}{{}}-back"),
        "back inseam": ("back", f"{where['front']}{{}}-front"),
    }


def _fold_notches(made: Panel, mates: Mapping[str, tuple[str, str]], design: ShortDesign) -> list[Notch]:
    """Where each casing is folded and stitched, and where a cut-on waist is folded."""
    cut_on = design.waist.finish is WaistFinish.CUT_ON
    return [*casing_notches(made, mates), *(fold_notches(made, mates) if cut_on else ())]


def _side_mate(design: ShortDesign) -> str | None:
    """What the side line of the waist edge meets."""
    meets = {WaistFinish.FACED: f"{FACING}/side", WaistFinish.WAISTBAND: f"{BAND}/side"}
    return meets.get(design.waist.finish)


def _front_notches(made: Panel, block: LegBlock, design: ShortDesign, where: Mapping[str, str]) -> list[Notch]:
    """Single in front (common practice). Each balance notch lies where no casing can: see `blocks.leg`."""
    on_curve = length_of(block.front_crotch, 0) * design.leg.balance_share
    on_inseam = made.edge("front inseam").seam.length + block.trued_level / 2
    return [
        notch(made, "front-balance", NotchKind.SINGLE, "front crotch", on_curve, mirrored("front-balance")),
        notch(made, "inseam-front", NotchKind.SINGLE, "front inseam", on_inseam, f"{where['back']}inseam-back"),
    ]


def _back_notches(made: Panel, block: LegBlock, design: ShortDesign, where: Mapping[str, str]) -> list[Notch]:
    """Double at the back (common practice); the inseam's matches the front's."""
    on_curve = made.edge("back crotch").seam.length - length_of(block.back_crotch, -1) * design.leg.balance_share
    on_inseam = -block.trued_level / 2
    return [
        notch(made, "back-balance", NotchKind.DOUBLE, "back crotch", on_curve, mirrored("back-balance")),
        notch(made, "inseam-back", NotchKind.SINGLE, "back inseam", on_inseam, f"{where['front']}inseam-front"),
    ]


def _piece(
    name: str,
    title: str,
    made: Panel,
    notches: Sequence[Notch],
    design: ShortDesign,
    tucks: Sequence[Tuck],
    *,
    size: str,
    rise: str,
    grain_at: float,
) -> Piece:
    folds, stitches = casing_lines(made, tucks)
    cut_on = design.waist.finish is WaistFinish.CUT_ON
    if cut_on:
        stitches = (*stitches, _channel_line(made, design))
    low = made.edge("hem").seam.start.y
    high = min(point.y for point in made.edge("waist").seam.flat(tolerance=1.0))
    return Piece(
        name=name,
        title=title,
        size=size,
        variant=rise,
        edges=made.edges,
        grainline=grainline(grain_at, low, high, design.leg.grainline_margin),
        cut_count=2,
        mirrored=True,
        fold_lines=folds,
        stitch_lines=stitches,
        notches=tuple(notches),
        notes=(CUT_ON_NOTE,) if cut_on else (),
    )


def _channel_line(made: Panel, design: ShortDesign) -> CasingLine:
    names = [edge.name for edge in made.edges]
    before = made.edges[names.index("waist") - 1]
    after = made.edges[(names.index("waist") + 1) % len(names)]
    return channel_line(made.edge("waist").seam, after.seam, before.seam, design.waist.channel)
