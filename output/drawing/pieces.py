"""Pieces drawn on a sheet: their lines and the words inside them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from drafting.path import Path
from drafting.piece import Piece
from drafting.role import Role
from output.drawing.labels import NO_JOINS, STYLE, Joins, LabelStyle, label_piece
from output.drawing.marks import grain_strokes
from output.drawing.notches import notch_strokes
from output.drawing.pens import stroked
from output.drawing.placing import crease_strokes, mark_strokes
from output.drawing.sheet import Sheet, Stroke


def piece_strokes(piece: Piece) -> tuple[Stroke, ...]:
    """All lines of a piece, those of one role together, the cut line first."""
    return (
        stroked(piece.cut_line, Role.CUT),
        stroked(piece.seam_line, Role.SEAM),
        *(stroked(Path.through(line.start, line.end), Role.FOLD) for line in piece.fold_lines),
        *crease_strokes(piece.marks),
        *(stroked(Path.through(line.start, line.end), Role.STITCH) for line in piece.stitch_lines),
        *mark_strokes(piece.marks),
        *grain_strokes(piece.grainline),
        *notch_strokes(piece),
    )


def draw_sheet(
    pieces: Sequence[Piece],
    *,
    width: float,
    height: float,
    design: str,
    joins: Joins = NO_JOINS,
    letters: LabelStyle = STYLE,
) -> Sheet:
    """A sheet of `width` by `height` mm with pieces that already lie where they are to be printed.

    `design` is the name of the design, printed on every piece; `joins` are lines that labels avoid if
    they can, `letters` the sizes of their letters.

    Raises:
        OutputError: a label has no room in its piece, or the fonts lack a character.
    """
    lines = [piece_strokes(piece) for piece in pieces]
    texts = [
        label_piece(piece, strokes, design=design, joins=joins, style=letters)
        for piece, strokes in zip(pieces, lines, strict=True)
    ]
    return Sheet(width, height, tuple(chain.from_iterable(lines)), tuple(chain.from_iterable(texts)))
