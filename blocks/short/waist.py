"""The upper edge of a leg, as the finish of its waist wants it.

Whatever the finish, the garment ends where the body's waist is, so its crotch seam is as long as the body needs:

- Faced, the edge is one smooth curve, square to both centre seams.
- A cut-on casing is folded along the edge, and cloth folds along a straight line only. So the edge runs straight from
  centre front to centre back, slanting as the back is raised (common practice for trousers without a side seam). Both
  centres stay where they are; the side lies a little above the curve. What is folded down is the mirror image of the
  leg below the fold.
- A waistband stands above the edge, which therefore lies its height lower, along both centre seams.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from blocks.design import WaistFinish
from blocks.measurements import Body
from blocks.panel import Own, Panel
from blocks.parameters import parameters_of
from blocks.short.design import ShortDesign
from blocks.short.leg import LegBlock, Rise, draft_leg, waist_curve
from blocks.waist import check_turn_under
from drafting.allowance import foot_of, laid_level
from drafting.curve import Line
from drafting.errors import DesignError
from drafting.path import JOIN_TOLERANCE, Path
from drafting.piece import CasingLine, Notch, NotchKind
from drafting.point import Point
from drafting.units import rounded_down

NOTED: Final = 5.0
"""mm; a cut-on waist that lies further from a faced one at the side is told of."""

LEANING: Final = 2.0
"""mm; a waist must be raised by so much more than the room that it lacks, for the centre seams lean."""


def finished_leg(body: Body, design: ShortDesign, rise: Rise) -> LegBlock:
    """The leg of a body, its upper edge drafted for the finish of its waist.

    Raises:
        DesignError: the leg cannot be drafted, or has no room for its finish.
    """
    block = draft_leg(body, design, rise)
    match design.waist.finish:
        case WaistFinish.CUT_ON:
            return _straight(block, design, rise)
        case WaistFinish.WAISTBAND:
            return _below_band(block, design, rise)
        case _:
            return block


def _straight(block: LegBlock, design: ShortDesign, rise: Rise) -> LegBlock:
    waist = design.waist
    check_turn_under(design, "waist", "all that is folded down", edge=waist.edge, under=waist.turn_under)
    front, back = block.waist.start, block.waist.end
    side = front.toward(back, front.x / (front.x - back.x))
    straight = Path((Line(front, side), Line(side, back)))
    falling = block.front_crotch.reversed(), block.back_crotch
    corners = block.crotch_corners(design.allowances.seam)
    room = min(
        *(_steep(edge, straight, design.leg.slope_limit) for edge in falling),
        *(foot_of(corner, straight) for corner in corners),
    )
    if waist.depth > room:
        what = "what is folded down at the waist"
        raise DesignError(_no_room(design, rise, what, waist.depth, room, even=not block.frame.gathers))
    above = side.y - block.waist.segments[0].end.y
    told = f"{design.said(round(abs(above)))} {'above' if above > 0 else 'below'} a faced one"
    note = f"cut-on waist: cloth folds along a straight line only, so at the side its edge lies {told}"
    return replace(block, waist=straight, notes=(*block.notes, note) if abs(above) > NOTED else block.notes)


def _steep(falling: Path, fold: Path, limit: float) -> float:
    """How far below a fold an edge runs sideways no faster than cloth eases, in mm: so far its image lies on it."""
    into, _ = laid_level(fold)
    points = falling.moved(into).array()
    across, along = np.abs(np.diff(points[:, 0])), np.diff(points[:, 1])
    flat = np.flatnonzero(across > limit * along)
    return float(points[flat[0] if flat.size else -1, 1]) - into(fold.start).y


def _below_band(block: LegBlock, design: ShortDesign, rise: Rise) -> LegBlock:
    waist, height = design.waist, design.waist.channel
    check_turn_under(design, "waist", "the inner half of the band", edge=waist.edge, under=waist.turn_under)
    rising = block.front_crotch, block.back_crotch.reversed()
    room = min(edge.length - _curved(edge, block.hip_level) for edge in rising)
    if height > room:
        raise DesignError(_no_room(design, rise, "the waistband", height, room))
    front = block.front_crotch.split_at(block.front_crotch.length - height)[0]
    back = block.back_crotch.split_at(height)[1]
    level = block.waist_level + block.frame.side - height
    return replace(
        block,
        front_crotch=front,
        waist=waist_curve(front, Point(0.0, level), back),
        back_crotch=back,
        waist_level=block.waist_level - height,
        band=height,
    )


def _curved(rising: Path, hip_level: float) -> float:
    """How far up a crotch edge its curve reaches, or the hip level, whichever is higher, in mm along the edge."""
    at_hip = rising.heights(hip_level)
    return max(rising.length_to(1), rising.distance_of(at_hip[0]) if at_hip else rising.length)


def _no_room(design: ShortDesign, rise: Rise, what: str, height: float, room: float, *, even: bool = True) -> str:
    """What to set; where the cloth is not `even`, its edges slant, and a little less may not help."""
    waist, over, drop = design.waist, height - room, design.leg.mid_drop
    least = max(parameters_of(waist)["channel"].low, waist.elastic_width + design.limits.elastic_clearance)
    remedies = []
    less = drop - over - LEANING
    if even and rise is Rise.MID and rounded_down(less, design.unit) >= parameters_of(design.leg)["mid_drop"].low:
        remedies.append(f"leg.mid_drop to {design.at_most(less)} at most")
    if even and rounded_down(waist.channel - over, design.unit) >= least:
        remedies.append(f"waist.channel to {design.at_most(waist.channel - over)} at most")
    remedy = " or ".join(remedies) or 'waist.finish to "faced"'
    return (
        f"waist.channel: {what} is {design.said(height)} high, and the leg has "
        f"{design.at_most(room)} for it above the hip level and the flat of its crotch curve; set {remedy}"
    )


def waist_allowance(design: ShortDesign) -> Own:
    """The allowance of the leg's waist edge: a seam's, or all that is folded down."""
    waist = design.waist
    if waist.finish is WaistFinish.CUT_ON:
        return waist.depth + waist.turn_under, (waist.depth, waist.turn_under)
    return design.allowances.waist, ()


def channel_line(waist: Path, left: Path, right: Path, channel: float) -> CasingLine:
    """The stitch line of a cut-on casing, `channel` mm below its fold, from the `left` edge to the `right` one."""
    into, back = laid_level(waist)
    level = into(waist.start).y + channel
    ends = [
        min(edge.moved(into).heights(level), key=lambda point: point.distance(into(corner)))
        for edge, corner in ((left, waist.end), (right, waist.start))
    ]
    return CasingLine("waist stitch line", "waist", back(ends[0]), back(ends[1]), channel)


def fold_notches(made: Panel, mates: Mapping[str, tuple[str, str]]) -> list[Notch]:
    """Where the fold of a cut-on casing meets the edges beside it, told as in `blocks.panel.casing_notches`."""
    waist = made.edge("waist").seam
    found = []
    for edge in made.edges:
        ends = {0.0: edge.seam.start, edge.seam.length: edge.seam.end}
        for distance, corner in ends.items():
            if edge.name in mates and min(corner.distance(waist.start), corner.distance(waist.end)) < JOIN_TOLERANCE:
                end, mate = mates[edge.name]
                joints = (segment.end for segment in edge.cut.segments)
                on_cut = min(joints, key=lambda joint: foot_of(joint, waist))
                stem = "folded-waist"
                made_of = Notch(f"{stem}-{end}", NotchKind.FOLD, edge.name, distance, corner, on_cut, mate.format(stem))
                found.append(made_of)
    return found
