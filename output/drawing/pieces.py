"""Pieces drawn on a sheet: their lines and the words inside them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from drafting.path import Path
from drafting.piece import Piece
from output.drawing.labels import NO_JOINS, Joins, label_piece
from output.drawing.marks import grain_strokes
from output.drawing.notches import notch_strokes
from output.drawing.sheet import CUT, FOLD, SEAM, STITCH, Sheet, Stroke


def piece_roles(piece: Piece) -> dict[str, list[Stroke]]:
    """The lines of a piece by what they are, in the order in which they are drawn: the cut line first.

    Each kind can be told apart in black and white.
    """
    return {
        "cut": [Stroke(piece.cut_line, CUT)],
        "seam": [Stroke(piece.seam_line, SEAM)],
        "fold": [Stroke(Path.through(line.start, line.end), FOLD) for line in piece.fold_lines],
        "stitch": [Stroke(Path.through(line.start, line.end), STITCH) for line in piece.stitch_lines],
        "grain": list(grain_strokes(piece.grainline)),
        "notch": list(notch_strokes(piece)),
    }


def piece_strokes(piece: Piece) -> tuple[Stroke, ...]:
    """All lines of a piece."""
    return tuple(chain.from_iterable(piece_roles(piece).values()))


def draw_sheet(pieces: Sequence[Piece], *, width: float, height: float, design: str, joins: Joins = NO_JOINS) -> Sheet:
    """A sheet of `width` by `height` mm with pieces that already lie where they are to be printed.

    `design` is the name of the design, printed on every piece; `joins` are lines that labels avoid if they can.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
    """
    lines = [piece_strokes(piece) for piece in pieces]
    texts = [label_piece(p, strokes, design=design, joins=joins) for p, strokes in zip(pieces, lines, strict=True)]
    return Sheet(
        width,
        height,
        tuple(stroke for strokes in lines for stroke in strokes),
        tuple(text for found in texts for text in found),
        tuple(piece.cut_line for piece in pieces),
    )
