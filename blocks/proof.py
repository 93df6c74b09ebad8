"""What a pattern proves before it is published: it folds back to the finished garment, and its seams walk together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from drafting.allowance import turn_gap
from drafting.casing import Tuck, fold_gap
from drafting.errors import GeometryError
from drafting.piece import Piece
from drafting.seam import Walk, walk

FOLD_TOLERANCE: Final = 0.05
SEAM_TOLERANCE: Final = 0.1
MATE_TOLERANCE: Final = 0.5
"""mm; what a pattern must prove. Cloth and pencil are coarser than any of them."""

OUTLINE_FLAT: Final = 0.05
"""mm; tolerance of the outlines that must not cross. The narrowest allowance is a hundred times as wide."""


@dataclass(frozen=True, slots=True)
class Seam:
    """Which edge of which piece is sewn to which: `second` may be the first piece's `mirrored` twin.

    A second edge that is gathered onto the first is so many `times` as long, in so many `strips` joined end to end.
    """

    first: str
    first_edge: str
    second: str
    second_edge: str
    mirrored: bool = False
    times: float = 1.0
    strips: int = 1


@dataclass(frozen=True, slots=True)
class Proofs:
    """What was proved of all pieces, in mm: each the widest gap found. `walks` are the seams that were walked."""

    fold: float
    seam: float
    mates: float
    walks: tuple[Walk, ...]


def prove(pieces: Sequence[Piece], tucks: Sequence[Tuck], seams: Sequence[Seam]) -> Proofs:
    """Fold casings and turned edges back, walk every seam, and see that each piece is one simple shape in its cut line.

    Raises:
        GeometryError: a layer off the finished edge by more than 0.05 mm, seams whose lengths differ by more than
            0.1 mm, mates more than 0.5 mm apart, or a crossing outline.
    """
    opened = [(edge.finished, edge.seam) for piece in pieces for edge in piece.edges if edge.finished is not None]
    named = {piece.name: piece for piece in pieces}
    walks = [
        walk(
            named[seam.first],
            seam.first_edge,
            named[seam.second],
            seam.second_edge,
            mirrored=seam.mirrored,
            times=seam.times,
            strips=seam.strips,
        )
        for seam in seams
    ]
    proofs = Proofs(
        fold=max((fold_gap(opened, tucks), *(turn_gap(piece.edges) for piece in pieces))),
        seam=max((abs(seam.longer) for seam in walks), default=0.0),
        mates=max((seam.mate_gap for seam in walks), default=0.0),
        walks=tuple(walks),
    )
    for what, gap, allowed in (
        ("fold proof: a folded layer lies off by", proofs.fold, FOLD_TOLERANCE),
        ("seam walk: two edges differ by", proofs.seam, SEAM_TOLERANCE),
        ("notches: two mates lie apart by", proofs.mates, MATE_TOLERANCE),
    ):
        if gap > allowed:
            raise GeometryError(f"pieces: {what} {gap:.2f} mm, allowed are {allowed} mm; move the casings")
    for piece in pieces:
        _simple(piece)
    return proofs


def _simple(piece: Piece) -> None:
    from shapely import Polygon  # noqa: PLC0415 - a slow import

    seam_line, cut_line = (Polygon(line.array(tolerance=OUTLINE_FLAT)) for line in (piece.seam_line, piece.cut_line))
    if not (seam_line.is_valid and cut_line.is_valid and cut_line.covers(seam_line)):
        raise GeometryError(f"piece {piece.name}: its outline crosses itself or its cut line; use smaller allowances")
