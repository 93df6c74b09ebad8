"""The finished skirt: one rectangle on the grain, or two alike, and the tucks of its casings. In mm.

Origin: the waist (y = 0) at the middle of a panel (x = 0). A skirt hangs from there, so its tiers are as tall in every
size and sizes drawn over one another part at the seams alone; where the hip level lies, only its elastics need to know.
A skirt of one panel is closed by a seam at the centre back, so its middle is the centre front. One of two panels has a
seam at each side, its front and back being alike, so the middle is the centre of either.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from blocks.measurements import Body
from blocks.skirt.design import SkirtDesign, SkirtFinish
from blocks.tucks import check_depth, check_spacing
from blocks.waist import check_turn_under
from drafting.casing import Tuck
from drafting.errors import DesignError
from drafting.path import Path
from drafting.point import Point


@dataclass(frozen=True, slots=True)
class SkirtPanel:
    """One of the `count` panels that a skirt is made of: `width` from seam to seam, from the waist down to `lower`.

    `bottom` is the finished hem: that of the ruffle, where there is one, else the panel's own. `hip` is the body's hip
    level. Levels are heights from the waist, so all are negative.
    """

    count: int
    width: float
    hip: float
    lower: float
    bottom: float

    @property
    def round(self) -> float:
        """Width of cloth round the whole skirt."""
        return self.count * self.width

    @property
    def edges(self) -> Mapping[str, Path]:
        """The finished edges, counter-clockwise."""
        return rectangle(self.width, self.lower, 0.0, names=("hem", "right", "waist", "left"))


def rectangle(width: float, low: float, high: float, *, names: Sequence[str]) -> dict[str, Path]:
    """The four edges of a rectangle about x = 0, counter-clockwise from the lower one."""
    corners = [Point(x, y) for x, y in ((-width / 2, low), (width / 2, low), (width / 2, high), (-width / 2, high))]
    return {
        name: Path.through(start, end)
        for name, start, end in zip(names, corners, (*corners[1:], corners[0]), strict=True)
    }


def draft_panel(body: Body, design: SkirtDesign, *, count: int) -> SkirtPanel:
    """The panel of a skirt that is made of `count` of them.

    Its width is that of the hips with their ease, times the fullness (common practice: 1.5 to 2 gathers well).

    Raises:
        DesignError: a ruffle that leaves no skirt above it, or too shallow for its own hem, or more turned under at
            the waist than the channel is deep.
    """
    by, ruffle, waist = design.panel, design.ruffle, design.waist
    check_turn_under(design, "waist", "all that is inside", edge=waist.edge, under=waist.turn_under)
    made = SkirtPanel(
        count=count,
        width=(body.hip_girth + by.hip_ease) * by.fullness / count,
        hip=-body.waist_to_hip,
        lower=ruffle.depth - by.length,
        bottom=-by.length,
    )
    room = _ceiling(design) - _floor(made, design)
    if room < 0:
        raise DesignError(
            f"ruffle.depth: with {design.said(ruffle.depth)} of a length of {design.said(by.length)} no skirt is left "
            f"between waist and ruffle; set it to {design.at_most(ruffle.depth + room)} at most"
            if ruffle.depth
            else f"panel.length: {design.said(by.length)} leaves no room between waist and hem; set it to "
            f"{design.at_least(by.length - room)} at least"
        )
    if 0 < ruffle.depth <= design.allowances.hem:
        raise DesignError(
            f"ruffle.depth: {design.said(ruffle.depth)} is no deeper than its hem allowance of "
            f"{design.said(design.allowances.hem)}; make it deeper, or set it to 0 for no ruffle"
        )
    return made


def tucks_of(panel: SkirtPanel, design: SkirtDesign) -> tuple[Tuck, ...]:
    """The tucks of a design's casings, lowest first.

    Raises:
        DesignError: a casing too shallow for its elastic, or whose tuck covers the waist, the hem or another casing;
            the message says by how much to move it.
    """
    casings = sorted(design.casings, key=lambda casing: casing.height)
    ceiling, floor = _ceiling(design), _floor(panel, design)
    inside = "is folded down" if design.waist.finish is SkirtFinish.CUT_ON else "the facing covers"
    low = "ruffle's seam" if design.ruffle.depth else "hem"
    for casing in casings:
        check_depth(casing, design)
        if casing.height > ceiling:
            raise DesignError(
                f"casing {casing.name!r}: at {design.said(casing.height)} from the waist it runs into what {inside} "
                f"there; {design.at_most(ceiling)} is the highest: move it down by "
                f"{design.at_least(casing.height - ceiling)}"
            )
        if casing.height - casing.depth < floor:
            raise DesignError(
                f"casing {casing.name!r}: its tuck reaches down to {design.at_most(casing.height - casing.depth)} and "
                f"covers the {low}, which needs {design.at_least(floor)}; move it up by "
                f"{design.at_least(floor - casing.height + casing.depth)} or make panel.length greater"
            )
    check_spacing(casings, design)
    return tuple(Tuck(casing.name, casing.height, casing.depth) for casing in casings)


def _ceiling(design: SkirtDesign) -> float:
    """The highest stitch line that clears what is folded down at the waist, or its facing."""
    return -design.waist.depth - design.limits.tuck_gap


def _floor(panel: SkirtPanel, design: SkirtDesign) -> float:
    """The lowest that a tuck may reach: clear of the rolled hem, or of the allowance of the ruffle's seam."""
    allow = design.allowances
    return panel.lower + (allow.seam if design.ruffle.depth else allow.hem / 2) + design.limits.tuck_gap
