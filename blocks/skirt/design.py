"""The design of a skirt: what the designer decides, independent of the body. Lengths in mm, ratios without unit."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from blocks.design import Allowances, CasingDesign, Design, Finish, WaistDesign, WaistFinish
from blocks.parameters import CHOICE, MEMORY, PRACTICE, Parameters, parameter


@dataclass(frozen=True, slots=True)
class PanelDesign(Parameters):
    """How the skirt's panel is drafted from a body.

    It is a rectangle on the grain, not flared: a casing's two layers and a cut-on waist lie flat only where warp and
    weft run straight across them, and what a flare would add at the hem the gathers and the ruffle give.
    """

    called: ClassVar[str] = "panel"

    length: float = parameter(600, "mm", 250, 1200, "waist to finished hem, ruffle included", CHOICE)
    fullness: float = parameter(1.5, "", 1.2, 2.2, "width of cloth over width of body: what is gathered", PRACTICE)
    hip_ease: float = parameter(40, "mm", 0, 200, "added to hip girth before fullness", MEMORY)
    stride_ease: float = parameter(
        0.4, "", 0, 1, "added to an elastic for its depth below the hip level: room to stride", MEMORY
    )
    high_hip_share: float = parameter(0.5, "", 0.3, 0.7, "high-hip level on the way down from waist to hip", MEMORY)
    grainline_margin: float = parameter(0.15, "", 0.05, 0.4, "grainline clear of each end, over the height", CHOICE)


@dataclass(frozen=True, slots=True)
class SkirtCasing(CasingDesign):
    """One casing across the skirt, stitched at `height` mm from the waist: negative, for it lies below."""

    height: float = parameter(None, "mm", -1190, -15, "stitch line from the waist, negative below it", CHOICE)


class SkirtFinish(Finish):
    """What the waist elastic runs in: the skirt's own upper edge folded down inside, or a facing sewn to it."""

    CUT_ON = WaistFinish.CUT_ON.value
    FACED = WaistFinish.FACED.value


@dataclass(frozen=True, slots=True)
class SkirtWaist(WaistDesign):
    """The waist elastic and the channel that it runs in."""

    finish: SkirtFinish = SkirtFinish.CUT_ON  # type: ignore[assignment]  # fewer than there are


@dataclass(frozen=True, slots=True)
class SkirtAllowances(Allowances):
    """Seam allowances per kind of edge."""

    seam: float = parameter(12, "mm", 5, 25, "seams down the skirt, and the ruffle's", PRACTICE)
    waist: float = parameter(12, "mm", 5, 25, "waist seam of a faced waist", PRACTICE)


@dataclass(frozen=True, slots=True)
class RuffleDesign(Parameters):
    """A straight strip gathered onto the skirt's lower edge; none when its depth is 0."""

    called: ClassVar[str] = "ruffle"

    depth: float = parameter(0, "mm", 0, 400, "seam to finished hem; 0 for no ruffle", CHOICE)
    fullness: float = parameter(1.6, "", 1.2, 2.5, "length of the ruffle over the edge it is gathered onto", PRACTICE)
    strips: int = parameter(1, "", 1, 4, "strips that are joined for each panel of the skirt", CHOICE)


@dataclass(frozen=True, slots=True)
class SkirtDesign(Design):
    """One design of a skirt, drafted for any body.

    Raises:
        DesignError: see `blocks.design.Design`.
    """

    block: ClassVar[str] = "skirt"

    casings: tuple[SkirtCasing, ...] = ()
    waist: SkirtWaist = field(default_factory=SkirtWaist)
    allowances: SkirtAllowances = field(default_factory=SkirtAllowances)
    panel: PanelDesign = field(default_factory=PanelDesign)
    ruffle: RuffleDesign = field(default_factory=RuffleDesign)
