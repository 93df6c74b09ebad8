"""The hanging loop: a strip of the cloth folded in four, folded double, its ends in the seam at centre back. In mm.

It is caught inside, just below the waist: in the layer that lies against the body, whatever the waist is finished
with, so that it hangs within the garment (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from blocks.panel import notch, panel
from blocks.short.design import LoopKind, ShortDesign
from blocks.short.facing import NAME as FACING
from drafting.allowance import Side
from drafting.path import Path
from drafting.piece import Grainline, Mark, MarkKind, NotchKind, Piece
from drafting.point import Point, Vector

NAME: Final = "hanging loop"

FOLDS: Final = 4
CLEAR: Final = 3.0
"""mm; between the waist and the loop."""
SHOWN: Final = 8.0
"""mm; how much of the loop is drawn where it is caught."""
GRAIN_AT: Final = 0.15
"""Of the strip's width: the grain runs beside its words."""


def loop_pieces(design: ShortDesign, *, size: str, rise: str) -> tuple[Piece, ...]:
    """The strip that the loop is folded from; none where the design has no loop."""
    loop = design.loop
    if loop.kind is LoopKind.NONE:
        return ()
    wide, long = FOLDS * loop.width, 2 * loop.length
    low_left, low_right, top_right, top_left = Point(0, 0), Point(wide, 0), Point(wide, long), Point(0, long)
    seam = design.allowances.seam
    made = panel(
        [
            Side("lower end", Path.through(low_left, low_right), seam),
            Side("right edge", Path.through(low_right, top_right), 0.0),
            Side("upper end", Path.through(top_right, top_left), seam),
            Side("left edge", Path.through(top_left, low_left), 0.0),
        ],
        (),
    )
    folds = [(f"{end.split()[0]}-{number}", end, number) for end in ("lower end", "upper end") for number in (1, 2, 3)]
    clear = long * design.leg.grainline_margin
    return (
        Piece(
            name=NAME,
            title="Hanging loop",
            size=size,
            variant=rise,
            edges=made.edges,
            grainline=Grainline(Point(wide * GRAIN_AT, clear), Point(wide * GRAIN_AT, long - clear)),
            notches=tuple(
                notch(made, name, NotchKind.FOLD, end, number * loop.width, None) for name, end, number in folds
            ),
        ),
    )


def with_loop(pieces: Sequence[Piece], design: ShortDesign) -> tuple[Piece, ...]:
    """The pieces of a short, that which lies inside the waist at centre back marked where the loop is caught."""
    if design.loop.kind is LoopKind.NONE:
        return tuple(pieces)
    return tuple(_marked(piece, design) if "back end" in _edges(piece) else piece for piece in pieces)


def _edges(piece: Piece) -> list[str]:
    return [edge.name for edge in piece.edges] if piece.name.startswith(FACING) else []


def _marked(piece: Piece, design: ShortDesign) -> Piece:
    """The facing: its back end runs up to the waist."""
    end, loop = piece.edge("back end").seam, design.loop
    middle = end.length - CLEAR - loop.width / 2
    at, up = end.point_at(middle), end.tangent_at(middle)
    return replace(piece, marks=(*piece.marks, _caught(at, up, design)))


def _caught(at: Point, along: Vector, design: ShortDesign) -> Mark:
    """The loop's end on a seam that runs `along`, the piece on its left."""
    half, inside = along * (design.loop.width / 2), along.left() * SHOWN
    line = Path.through(at + half, at + half + inside, at - half + inside, at - half)
    return Mark("loop", MarkKind.PLACE, "loop", line)
