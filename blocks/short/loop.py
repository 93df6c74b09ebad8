"""The hanging loop: a strip of the cloth folded in four, folded double, its ends in the seam at centre back. In mm.

It is caught inside, just below the waist: in the layer that lies against the body, whatever the waist is finished
with, so that it hangs within the garment (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from blocks.design import WaistFinish
from blocks.panel import notch, panel
from blocks.short.design import LoopKind, ShortDesign
from blocks.short.facing import NAME as FACING
from blocks.short.leg_piece import NAME as LEG
from blocks.short.waistband import NAME as WAISTBAND
from drafting.allowance import Side, laid_level
from drafting.errors import DesignError
from drafting.path import Path
from drafting.piece import Grainline, Mark, MarkKind, NotchKind, Piece
from drafting.point import Motion, Point, Vector

NAME: Final = "hanging loop"

CAUGHT_IN: Final[Mapping[WaistFinish, tuple[str, str]]] = {
    WaistFinish.FACED: (FACING, "back end"),
    WaistFinish.CUT_ON: (LEG, "back crotch"),
    WaistFinish.WAISTBAND: (WAISTBAND, "back end"),
}
"""The piece that lies inside the waist, by the beginning of its name, and its edge at centre back."""

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
    """The pieces of a short, that which lies inside the waist at centre back marked where the loop is caught.

    Raises:
        DesignError: the loop is wider than the channel is deep.
    """
    loop, waist = design.loop, design.waist
    if loop.kind is LoopKind.NONE:
        return tuple(pieces)
    if (need := CLEAR + loop.width) > waist.channel:
        raise DesignError(
            f"loop.width: {design.said(loop.width)} does not fit inside the waist, whose channel is "
            f"{design.said(waist.channel)} deep; set waist.channel to {design.at_least(need)} at least"
        )
    name, end = CAUGHT_IN[waist.finish]
    caught = next(piece for piece in pieces if piece.name.startswith(name) and end in _edges(piece))
    mark = _mark(caught, end, design)
    return tuple(replace(piece, marks=(*piece.marks, mark)) if piece is caught else piece for piece in pieces)


def _edges(piece: Piece) -> list[str]:
    return [edge.name for edge in piece.edges]


def _mark(piece: Piece, end: str, design: ShortDesign) -> Mark:
    """The loop's end on the seam at centre back, in the layer that lies inside, just below the waist."""
    seam, waist = piece.edge(end).seam, design.waist
    below = CLEAR + design.loop.width / 2
    match waist.finish:
        case WaistFinish.WAISTBAND:  # its end runs down from the edge inside, past the fold
            at, along = seam.place_at(waist.depth - below)
            return _caught(at, along, along.left(), design)
        case WaistFinish.CUT_ON:  # what lies inside is the mirror image of the leg below the fold
            at, along = seam.place_at(below)
            into, back = laid_level(piece.edge("waist").seam)
            over = into.then(Motion.mirror_height(into(seam.start).y)).then(back)
            return _caught(over(at), over(at + along) - over(at), over(at + along.left()) - over(at), design)
        case _:  # its end runs up to the waist
            at, along = seam.place_at(seam.length - below)
            return _caught(at, along, along.left(), design)


def _caught(at: Point, along: Vector, inward: Vector, design: ShortDesign) -> Mark:
    half, inside = along * (design.loop.width / 2), inward * SHOWN
    line = Path.through(at + half, at + half + inside, at - half + inside, at - half)
    return Mark("loop", MarkKind.PLACE, "loop", line)
