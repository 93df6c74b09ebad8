"""The drawcord: a cord in the waist's channel, in front of the elastic, that comes out in front by two buttonholes.

They are worked upright through the layer that lies outside, in the middle of the channel, one on either side of the
centre front (common practice, no source). A leg, or its waistband, carries one of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from blocks.design import WaistFinish
from blocks.garment import Trim
from blocks.measurements import Body
from blocks.short.design import ShortDesign
from drafting.errors import DesignError
from drafting.path import Path
from drafting.piece import Mark, MarkKind, Piece

NAME = "drawcord"


def check_drawcord(design: ShortDesign) -> None:
    """Hold the cord and its buttonholes to the channel.

    Raises:
        DesignError: one does not fit; the message says how deep the channel must be.
    """
    cord, clear = design.drawcord, design.limits.elastic_clearance
    if not cord.width:
        return
    for name, long, ends in (("width", cord.width, 1), ("buttonhole", cord.buttonhole, 2)):
        need = long + ends * clear
        if design.waist.channel < need:
            raise DesignError(
                f"drawcord.{name}: {design.said(long)} does not fit into the waist's channel of "
                f"{design.said(design.waist.channel)}, {design.said(clear)} clear (limits.elastic_clearance); set "
                f"waist.channel to {design.at_least(need)} at least"
            )


def with_buttonholes(pieces: Sequence[Piece], design: ShortDesign) -> tuple[Piece, ...]:
    """The pieces of a short, that which lies outside in front with its buttonhole; without a cord as they are."""
    if not design.drawcord.width:
        return tuple(pieces)
    banded = design.waist.finish is WaistFinish.WAISTBAND
    front = next(piece for piece in pieces if ("front end" if banded else "front crotch") in _edges(piece))
    mark = _buttonhole(front, design, from_end=banded)
    return tuple(replace(piece, marks=(*piece.marks, mark)) if piece is front else piece for piece in pieces)


def _edges(piece: Piece) -> list[str]:
    return [edge.name for edge in piece.edges]


def _buttonhole(piece: Piece, design: ShortDesign, *, from_end: bool) -> Mark:
    """On a leg the waist edge starts at the centre front; on a band it ends there. Inwards is to its left."""
    cord, waist = design.drawcord, piece.edge("waist").seam
    at, along = waist.place_at(waist.length - cord.spacing if from_end else cord.spacing)
    middle = at + along.left() * (design.waist.channel / 2)
    half = along.left() * (cord.buttonhole / 2)
    return Mark("buttonhole", MarkKind.BUTTONHOLE, "buttonhole", Path.through(middle - half, middle + half))


def drawcords(design: ShortDesign, body: Body) -> tuple[Trim, ...]:
    """The cord: round the hips, which the waist must open to, and an end on either side to tie it by."""
    cord = design.drawcord
    return (Trim(NAME, cord.width, body.hip_girth + 2 * cord.tail, 1),) if cord.width else ()
