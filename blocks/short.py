"""The short: from a body and a design to pieces, finished measures, elastics and the proofs that they fit together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from blocks.bends import check_bends
from blocks.design import CasingDesign, Design
from blocks.facing import facing_pieces
from blocks.girth import Elastic, elastic_warnings, elastics_of
from blocks.leg import LegBlock, Rise, check_high_rise, draft_leg, left_out, tucks_of
from blocks.leg_piece import leg_pieces
from blocks.measurements import Body, check_label, hip_label
from blocks.parameters import of_kind
from blocks.proof import Proofs, prove
from blocks.quantity import shown
from blocks.trim import trim_pieces
from drafting.errors import DesignError
from drafting.piece import Piece


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
class Short:
    """One size of one design in one rise, ready to print. Its `left_out` casings are told in its warnings."""

    design: Design
    body: Body
    size: str
    rise: Rise
    split: bool
    block: LegBlock
    pieces: tuple[Piece, ...]
    measures: Measures
    elastics: tuple[Elastic, ...]
    proofs: Proofs
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    left_out: tuple[CasingDesign, ...] = ()


def draft_short(
    design: Design,
    body: Body,
    *,
    rise: str = "high",
    size: str | None = None,
    split: bool | Callable[[Piece], bool] = False,
) -> Short:
    """Draft one size. Without a `size` label it is named by its hip girth in cm, as in H102.

    With `split` every piece is cut at the side line into a front and a back, for a leg wider than the cloth; whether it
    is may be asked of the leg in one piece.

    Raises:
        DesignError: a design that this body cannot wear, an unknown rise, a size that is no text; the message says
            what to change.
        MeasurementError: a size label that cannot be printed.
        GeometryError: a piece that cannot be built, or that fails one of its proofs.
    """
    of_kind("design", design, Design)
    of_kind("body", body, Body)
    of_kind("size", size, str | None)
    if not isinstance(rise, str) or rise not in tuple(Rise):
        raise DesignError(f"rise: {shown(rise)} is not a rise of this design; choose one of {', '.join(Rise)}")
    level = Rise(rise)
    block = draft_leg(body, design, level)
    check_bends(block, body, design, level)
    if level is Rise.HIGH:
        check_high_rise(block, design)
    tucks, vanished = tucks_of(block, design)
    label = check_label(size) if size else hip_label(body)
    legs = leg_pieces(block, design, tucks, size=label, rise=level, split=split is True)
    if callable(split):
        split = split(legs[0])
        if split:
            legs = leg_pieces(block, design, tucks, size=label, rise=level, split=True)
    pieces = (
        *legs,
        *facing_pieces(block, design, size=label, rise=level, split=split),
        *trim_pieces(block, design, tucks, size=label, rise=level, split=split),
    )
    elastics = elastics_of(body, block, design, tucks)
    gone = tuple(left_out(casing, design, level) for casing in vanished)
    return Short(
        design=design,
        body=body,
        size=label,
        rise=level,
        block=block,
        split=split,
        pieces=pieces,
        measures=_measures(block, elastics),
        elastics=elastics,
        proofs=prove(pieces, tucks),
        warnings=(*body.warnings, *gone, *elastic_warnings(elastics, design)),
        notes=block.notes,
        left_out=vanished,
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
