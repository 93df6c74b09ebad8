"""What a pattern proves before it is published: it folds back to the finished leg, and its seams walk together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from blocks.facing import NAME as FACING
from blocks.trim import NAME as BAND
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
class Proofs:
    """What was proved of all pieces, in mm: each the widest gap found. `walks` are the seams that were walked."""

    fold: float
    seam: float
    mates: float
    walks: tuple[Walk, ...]


def prove(pieces: Sequence[Piece], tucks: Sequence[Tuck]) -> Proofs:
    """Fold every piece with casings back, walk every seam, and see that each piece is one simple shape in its cut line.

    Raises:
        GeometryError: a layer off the finished edge by more than 0.05 mm, seams whose lengths differ by more than
            0.1 mm, mates more than 0.5 mm apart, or a crossing outline.
    """
    opened = [(edge.finished, edge.seam) for piece in pieces for edge in piece.edges if edge.finished is not None]
    walks = [walk(first, one, second, two, mirrored=mirrored) for first, one, second, two, mirrored in _seams(pieces)]
    proofs = Proofs(
        fold=fold_gap(opened, tucks),
        seam=max(abs(seam.longer) for seam in walks),
        mates=max(seam.mate_gap for seam in walks),
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


def _seams(pieces: Sequence[Piece]) -> list[tuple[Piece, str, Piece, str, bool]]:
    """Every seam of the garment: first piece and edge, second piece and edge, and whether the second is mirrored."""
    by_name = {piece.name: piece for piece in pieces}

    def half(name: str, which: str) -> Piece:
        return by_name[f"{name} {which}"] if f"{name} {which}" in by_name else by_name[name]

    leg_front, leg_back = half("leg", "front"), half("leg", "back")
    facing_front, facing_back = half(FACING, "front"), half(FACING, "back")
    seams = [
        (leg_front, "front inseam", leg_back, "back inseam", False),
        (leg_front, "front crotch", leg_front, "front crotch", True),
        (leg_back, "back crotch", leg_back, "back crotch", True),
        (leg_front, "waist", facing_front, "waist", False),
        (facing_front, "front end", facing_front, "front end", True),
        (facing_back, "back end", facing_back, "back end", True),
    ]
    if leg_front is not leg_back:
        seams += [
            (leg_front, "side", leg_back, "side", False),
            (leg_back, "waist", facing_back, "waist", False),
            (facing_front, "side", facing_back, "side", False),
        ]
    if BAND in by_name or f"{BAND} front" in by_name:
        band_front, band_back = half(BAND, "front"), half(BAND, "back")
        seams.append((band_front, "front inseam", band_back, "back inseam", False))
        if band_front is not band_back:
            seams.append((band_front, "side", band_back, "side", False))
    return seams
