"""The waist facing: a strip as long as the leg's waist seam, sewn on, turned down inside and stitched above its edge.

Drawn as it hangs inside the garment: waist seam on top, x = 0 at the side line. The waist is square to both centre
lines, so a strip with square ends lies on the leg's own edges when it is turned down.
"""

from __future__ import annotations

from collections.abc import Sequence

from blocks.panel import Panel, grainline, length_of, mirrored, notch, panel
from blocks.short.design import ShortDesign
from blocks.short.leg import LegBlock
from blocks.waist import check_turn_under
from drafting.allowance import Side
from drafting.path import Path
from drafting.piece import CasingLine, Notch, NotchKind, Piece
from drafting.point import Point

NAME = "waist facing"


def facing_pieces(block: LegBlock, design: ShortDesign, *, size: str, rise: str, split: bool) -> tuple[Piece, ...]:
    """The facing of one leg, cut twice as a mirrored pair: one strip, or a front and a back one for a split leg.

    Raises:
        DesignError: what is turned under would reach the waist seam.
    """
    facing = design.facing
    check_turn_under(design, "facing", "the facing's whole height", edge=facing.edge, under=facing.turn_under)
    front, back = length_of(block.waist, 0), length_of(block.waist, 1)
    if not split:
        return (_strip(NAME, "Waist facing", -front, back, design, size=size, rise=rise),)
    return (
        _strip(f"{NAME} front", "Waist facing, front", -front, 0.0, design, size=size, rise=rise),
        _strip(f"{NAME} back", "Waist facing, back", 0.0, back, design, size=size, rise=rise),
    )


def _strip(name: str, title: str, left: float, right: float, design: ShortDesign, *, size: str, rise: str) -> Piece:
    """A strip from `left` to `right`; an end at x = 0 is the side seam of a split facing."""
    height, under = design.waist.channel + design.facing.edge, design.facing.turn_under
    allow = design.allowances
    corners = [Point(left, -height), Point(right, -height), Point(right, 0.0), Point(left, 0.0)]
    front, back = "side" if left == 0.0 else "front end", "side" if right == 0.0 else "back end"
    made = panel(
        [
            Side("turn-under", Path.through(corners[0], corners[1]), under, turns=(under,)),
            Side(back, Path.through(corners[1], corners[2]), allow.seam),
            Side("waist", Path.through(corners[2], corners[3]), allow.waist),
            Side(front, Path.through(corners[3], corners[0]), allow.seam),
        ],
        (),
    )
    stitch = -design.waist.channel
    return Piece(
        name=name,
        title=title,
        size=size,
        variant=rise,
        edges=made.edges,
        grainline=grainline((left + right) / 2, -height, 0.0, design.leg.grainline_margin),
        cut_count=2,
        mirrored=True,
        stitch_lines=(
            CasingLine("waist stitch line", "waist", Point(left, stitch), Point(right, stitch), design.waist.channel),
        ),
        notches=tuple(_notches(made, name, right, height)),
        notes=("the plain long edge is the waist seam",),
    )


def _notches(made: Panel, name: str, right: float, height: float) -> Sequence[Notch]:
    """Single in front and double at the back, as on the leg; one at the side line, or a pair on its seam."""
    found = []
    names = [edge.name for edge in made.edges]
    if "front end" in names:
        found.append(notch(made, "front", NotchKind.SINGLE, "front end", height / 2, mirrored("front")))
    if "back end" in names:
        found.append(notch(made, "back", NotchKind.DOUBLE, "back end", height / 2, mirrored("back")))
    if "side" in names:
        other = f"{NAME} back" if name.endswith("front") else f"{NAME} front"
        found.append(notch(made, "side", NotchKind.SINGLE, "side", height / 2, f"{other}/side"))
    else:
        found.append(notch(made, "side", NotchKind.SIDE, "waist", right, "leg/side"))
    return found
