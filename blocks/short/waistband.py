"""The waistband: a strip as long as the leg's waist seam, folded lengthwise over the elastic.

Drawn as it stands above the leg, outside up: waist seam below, the fold half-way up, x = 0 at the side line. Its inner
half reaches a little below the waist seam, so that stitching in the seam from the outside catches it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from blocks.panel import Panel, grainline, length_of, mirrored, notch, panel
from blocks.short.design import BandGrain, ShortDesign
from blocks.short.leg import LegBlock
from drafting.allowance import Side
from drafting.path import Path
from drafting.piece import CasingLine, Notch, NotchKind, Piece
from drafting.point import Motion, Point

NAME: Final = "waistband"


def waistband_pieces(block: LegBlock, design: ShortDesign, *, size: str, rise: str, split: bool) -> tuple[Piece, ...]:
    """The band of one leg, cut twice as a mirrored pair: one strip, or a front and a back one for a split leg."""
    front, back = length_of(block.waist, 0), length_of(block.waist, 1)
    if not split:
        return (_strip(NAME, "Waistband", -back, front, design, size=size, rise=rise),)
    return (
        _strip(f"{NAME} front", "Waistband, front", 0.0, front, design, size=size, rise=rise),
        _strip(f"{NAME} back", "Waistband, back", -back, 0.0, design, size=size, rise=rise),
    )


def _strip(name: str, title: str, left: float, right: float, design: ShortDesign, *, size: str, rise: str) -> Piece:
    """A strip from `left` to `right`; an end at x = 0 is the side seam of a split band."""
    waist, allow = design.waist, design.allowances
    fold, top = waist.channel, waist.channel + waist.depth
    corners = [Point(left, 0.0), Point(right, 0.0), Point(right, top), Point(left, top)]
    front, back = "side" if right == 0.0 else "front end", "side" if left == 0.0 else "back end"
    made = panel(
        [
            Side("waist", Path.through(corners[0], corners[1]), allow.waist),
            Side(front, Path.through(corners[1], corners[2]), allow.seam),
            Side("turn-under", Path.through(corners[2], corners[3]), waist.turn_under, turns=(waist.turn_under,)),
            Side(back, Path.through(corners[3], corners[0]), allow.seam),
        ],
        (),
    )
    piece = Piece(
        name=name,
        title=title,
        size=size,
        variant=rise,
        edges=made.edges,
        grainline=grainline((left + right) / 2, 0.0, fold, design.leg.grainline_margin),
        cut_count=2,
        mirrored=True,
        fold_lines=(CasingLine("waist fold", "waist", Point(left, fold), Point(right, fold), fold),),
        notches=tuple(_notches(made, name, -left, fold)),
        notes=("the half with notched ends is sewn to the waist",),
    )
    return piece if design.waistband.grain is BandGrain.ACROSS else _upright(piece, left, right, design)


def _upright(piece: Piece, left: float, right: float, design: ShortDesign) -> Piece:
    """The strip turned to stand on its end, the front one up, so that the grain runs along it."""
    turned, fold = piece.moved(Motion.turn(90)), design.waist.channel
    return replace(turned, grainline=grainline(-fold / 2, left, right, design.leg.grainline_margin))


def _notches(made: Panel, name: str, back: float, fold: float) -> Sequence[Notch]:
    """Single in front and double at the back, half-way up the outer half; at every end the fold."""
    found = []
    other = f"{NAME} back" if name.endswith("front") else f"{NAME} front"
    for edge in (edge.name for edge in made.edges if edge.name in ("front end", "back end", "side")):
        seam = made.edge(edge).seam
        stem = edge.removesuffix(" end")
        kind = NotchKind.DOUBLE if stem == "back" else NotchKind.SINGLE
        for notch_id, how, height in ((stem, kind, fold / 2), (f"folded-waist-{stem}", NotchKind.FOLD, fold)):
            distance = height if seam.end.y > seam.start.y else seam.length - height
            mate = f"{other}/{notch_id}" if stem == "side" else mirrored(notch_id)
            found.append(notch(made, notch_id, how, edge, distance, mate))
    if name == NAME:
        found.append(notch(made, "side", NotchKind.SIDE, "waist", back, "leg/side"))
    return found
