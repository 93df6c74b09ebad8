"""The short: from a body and a design to pieces, finished measures, elastics and the proofs that they fit together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from blocks.design import Design
from blocks.girth import Elastic, elastic_warnings, elastics_of
from blocks.leg import LegBlock, Rise, check_high_rise, draft_leg, tucks_of
from blocks.leg_piece import leg_piece
from blocks.measurements import Body
from drafting.casing import Tuck, fold_gap
from drafting.errors import DesignError, GeometryError
from drafting.piece import Piece
from drafting.seam import walk

FOLD_TOLERANCE: Final = 0.05
SEAM_TOLERANCE: Final = 0.1
MATE_TOLERANCE: Final = 0.5
"""mm; what a pattern must prove before it is published. Cloth and pencil are coarser than any of them."""


@dataclass(frozen=True, slots=True)
class Measures:
    """Finished measures of the garment in mm, flat and before elastic unless named otherwise."""

    waist_seam: float
    hip: float
    hem: float
    leg_opening: float
    front_rise: float
    back_rise: float
    crotch_seam: float
    side_length: float
    inseam: float


@dataclass(frozen=True, slots=True)
class Proofs:
    """What was proved of the pieces, in mm: each the widest gap found."""

    fold: float
    seam: float
    mates: float


@dataclass(frozen=True, slots=True)
class Short:
    """One size of one design in one rise, ready to print."""

    design: Design
    body: Body
    size: str
    rise: Rise
    block: LegBlock
    pieces: tuple[Piece, ...]
    measures: Measures
    elastics: tuple[Elastic, ...]
    proofs: Proofs
    warnings: tuple[str, ...]
    notes: tuple[str, ...]


def draft_short(design: Design, body: Body, *, rise: str = "high", size: str = "") -> Short:
    """Draft one size. Without a `size` label it is named by its hip girth in cm, as in H102.

    Raises:
        DesignError: a design that this body cannot wear, or an unknown rise; the message says what to change.
        GeometryError: a piece that cannot be built, or that fails one of its proofs.
    """
    if rise not in tuple(Rise):
        raise DesignError(f"rise: {rise!r} is not a rise of this design; choose one of {', '.join(Rise)}")
    level = Rise(rise)
    block = draft_leg(body, design, level)
    if level is Rise.HIGH:
        check_high_rise(block, design)
    tucks, vanished = tucks_of(block, design)
    label = size or f"H{body.hip_girth / 10:.0f}"
    leg = leg_piece(block, design, tucks, size=label, rise=level)
    elastics = elastics_of(body, block, design, tucks)
    gone = tuple(f"casing {name!r} lies above the {level} rise's waist and is left out" for name in vanished)
    return Short(
        design=design,
        body=body,
        size=label,
        rise=level,
        block=block,
        pieces=(leg,),
        measures=_measures(block, elastics),
        elastics=elastics,
        proofs=prove(block, leg, tucks),
        warnings=(*body.warnings, *elastic_warnings(elastics, design)),
        notes=(*block.notes, *gone),
    )


def _measures(block: LegBlock, elastics: Sequence[Elastic]) -> Measures:
    below = [elastic for elastic in elastics if elastic.height <= 0]
    hem = block.hem.length
    return Measures(
        waist_seam=2 * block.waist.length,
        hip=2 * (block.front_width + block.back_width),
        hem=hem,
        leg_opening=below[-1].finished if below else hem,
        front_rise=block.front_crotch.length,
        back_rise=block.back_crotch.length,
        crotch_seam=block.crotch_seam,
        side_length=block.waist_level - block.hem_level,
        inseam=block.front_inseam.length,
    )


def prove(block: LegBlock, leg: Piece, tucks: Sequence[Tuck]) -> Proofs:
    """Fold the flat leg back, walk its seams, and see that it is one simple shape inside its cut line.

    Raises:
        GeometryError: a layer off the finished edge by more than 0.05 mm, seams whose lengths differ by more than
            0.1 mm, mates more than 0.5 mm apart, or a crossing outline.
    """
    from shapely import Polygon  # noqa: PLC0415 - a slow import

    folds = [fold_gap(path, leg.edge(name).seam, tucks) for name, path in block.edges.items()]
    walks = [
        walk(leg, "front inseam", leg, "back inseam"),
        walk(leg, "front crotch", leg, "front crotch", mirrored=True),
        walk(leg, "back crotch", leg, "back crotch", mirrored=True),
    ]
    proofs = Proofs(
        fold=max(folds),
        seam=max(abs(seam.longer) for seam in walks),
        mates=max(seam.mate_gap for seam in walks),
    )
    for what, gap, allowed in (
        ("fold proof: a folded layer lies off by", proofs.fold, FOLD_TOLERANCE),
        ("seam walk: two edges differ by", proofs.seam, SEAM_TOLERANCE),
        ("notches: two mates lie apart by", proofs.mates, MATE_TOLERANCE),
    ):
        if gap > allowed:
            raise GeometryError(f"piece {leg.name}: {what} {gap:.2f} mm, allowed are {allowed} mm; move its casings")
    seam_line, cut_line = Polygon(leg.seam_line.array()), Polygon(leg.cut_line.array())
    if not (seam_line.is_valid and cut_line.is_valid and cut_line.contains(seam_line)):
        raise GeometryError(
            f"piece {leg.name}: its outline crosses itself or its cut line; use smaller allowances or move its casings"
        )
    return proofs
