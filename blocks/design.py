"""What designers decide of any garment, independent of the body. Lengths in mm, ratios without unit."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import ClassVar, Final, Self

from blocks.label import CASING_LENGTH, NAME_LENGTH, label_from, same, spelled_otherwise
from blocks.parameters import CHOICE, PRACTICE, Parameters, check_parameters, derived, parameter, parameters_of, unsaid
from blocks.quantity import finite, shown
from drafting.errors import DesignError
from drafting.units import millimetres_per, rounded_down, rounded_up, show_in, show_rounded_down, show_rounded_up

USUAL: Final = 25.0
NARROWEST: Final = 10.0
"""mm; widths of a waist elastic."""
HAIR: Final = 1e-6
"""mm; what lengths read in inches may be off."""

STRETCHES: Final = "common practice, from memory: braided and knitted elastic gives 1.8 to 2 times its length"


@dataclass(frozen=True, slots=True)
class Allowances(Parameters):
    """Seam allowances per kind of edge."""

    called: ClassVar[str] = "allowances"

    seam: float = parameter(12, "mm", 5, 25, "crotch seam and inseam", PRACTICE)
    waist: float = parameter(12, "mm", 5, 25, "waist seam", PRACTICE)
    hem: float = parameter(16, "mm", 6, 40, "hem allowance, turned twice by half of it", PRACTICE)


def _with_room(record: CasingDesign | WaistDesign) -> float:
    return record.elastic_width + record.room


def least_depth(record: CasingDesign | WaistDesign, clearance: float) -> float:
    """How deep a casing or channel must be for its elastic: the clearance more than its width.

    One that was left out has the room that its design gives it, and that is enough.

    >>> least_depth(WaistDesign(elastic_width=40, channel=43), 2), least_depth(WaistDesign(elastic_width=40), 10)
    (42.0, 45.0)
    """
    left_out = _with_room(record)
    deep = record.depth if isinstance(record, CasingDesign) else record.channel
    return left_out if deep == left_out else record.elastic_width + clearance


@dataclass(frozen=True, slots=True)
class CasingDesign:
    """One casing across a garment, stitched at `height` mm from its block's origin (negative: below it).

    Left out, the depth is the elastic's width and the room to turn it in.

    Raises:
        DesignError: a parameter is outside its range.
    """

    name: str
    height: float = parameter(None, "mm", -1190, 1000, "stitch line from the origin, negative below it", CHOICE)
    elastic_width: float = parameter(10, "mm", 3, 60, "width of the elastic", CHOICE)
    room: float = parameter(2, "mm", 1, 10, "casing deeper than its elastic is wide, if that is left out", PRACTICE)
    depth: float = derived(_with_room, 12, "mm", 4, 70, "fold to stitching", PRACTICE)
    ease: float = parameter(0.03, "", -0.25, 0.25, "elastic longer than the body (shorter when negative)", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, f"casing {self.name!r}" if isinstance(self.name, str) else "casing")
        name = label_from("casing: name", self.name, CASING_LENGTH, plain=False)
        object.__setattr__(self, "name", name)


def casing_title(name: str) -> str:
    """A casing's name, called a casing once.

    >>> casing_title("thigh"), casing_title("lower casing")
    ('thigh casing', 'lower casing')
    """
    return name if "casing" in name.lower() else f"{name} casing"


def _into_channel(waist: WaistDesign) -> float:
    """The usual width, or what a channel that was given takes; what is no number is refused when its turn comes."""
    channel, room = finite(waist.channel), finite(waist.room)
    if unsaid(waist.channel) or channel is None or room is None:
        return USUAL
    return max(NARROWEST, min(USUAL, channel - room))


class Finish(StrEnum):
    """What the waist elastic runs in; each block has its own list. A cut-on casing may be called `fold-over`, too."""

    @classmethod
    def _missing_(cls, value: object) -> Self | None:
        return next((finish for finish in cls if finish.value == "cut-on"), None) if value == "fold-over" else None


class WaistFinish(Finish):
    """A facing sewn to the waist, its own upper edge folded down inside, or a band of cloth that stands above it."""

    FACED = "faced"
    CUT_ON = "cut-on"
    WAISTBAND = "waistband"


@dataclass(frozen=True, slots=True)
class WaistDesign(Parameters):
    """The waist elastic. Left out, its channel is the elastic's width and the room to draw it through; of a channel
    that is given, an elastic left out takes what the room leaves, 25 mm at most. The channel of a waistband is its
    height. How the channel is closed below is told by `edge` and `turn_under`, or by the design of the facing.
    """

    called: ClassVar[str] = "waist"

    elastic_width: float = derived(_into_channel, USUAL, "mm", NARROWEST, 60, "width of the waist elastic", CHOICE)
    room: float = parameter(5, "mm", 2, 10, "channel deeper than the elastic is wide, if it is left out", PRACTICE)
    channel: float = derived(_with_room, 30, "mm", 12, 70, "waist edge to the channel's stitch line", PRACTICE)
    reduction: float = parameter(0.07, "", 0.0, 0.25, "waist elastic shorter than the body", PRACTICE)
    overlap: float = parameter(20, "mm", 10, 50, "lap where the waist elastic is joined", PRACTICE)
    finish: WaistFinish = WaistFinish.FACED
    edge: float = parameter(2, "mm", 1, 5, "stitch line to the edge folded under inside, if not a facing's", PRACTICE)
    turn_under: float = parameter(10, "mm", 5, 20, "turned under along that edge, if not a facing's", PRACTICE)

    @property
    def depth(self) -> float:
        """Waist edge to the folded edge inside: what is folded down."""
        return self.channel + self.edge

    @property
    def taken_below(self) -> float:
        """How much of the garment below its waist edge the channel takes: nothing under a waistband."""
        return 0.0 if self.finish is WaistFinish.WAISTBAND else self.channel


@dataclass(frozen=True, slots=True)
class FacingDesign(Parameters):
    """The waist facing: a strip sewn to the waist, turned down inside and stitched."""

    called: ClassVar[str] = "facing"

    edge: float = parameter(2, "mm", 1, 5, "stitch line to the facing's folded edge", PRACTICE)
    turn_under: float = parameter(12, "mm", 5, 20, "turned under along the facing's lower edge", PRACTICE)


@dataclass(frozen=True, slots=True)
class Limits(Parameters):
    """Where the tool refuses or warns."""

    called: ClassVar[str] = "limits"

    elastic_clearance: float = parameter(2, "mm", 1, 10, "casing depth beyond the elastic's width", PRACTICE)
    tuck_gap: float = parameter(3, "mm", 0, 30, "cloth left between a tuck and the next seam", PRACTICE)
    squeeze: float = parameter(0.10, "", 0.0, 0.25, "elastic shorter than the body before a warning", PRACTICE)
    gather_low: float = parameter(1.2, "", 1.0, 1.5, "gather ratio below which a casing lies flat", PRACTICE)
    gather_high: float = parameter(2.5, "", 1.8, 4.0, "gather ratio above which cloth will not gather", PRACTICE)
    stretch: float = parameter(1.8, "", 1.2, 3.0, "times its length that ordinary elastic stretches to", STRETCHES)


@dataclass(frozen=True, slots=True)
class Design:
    """What the design of any garment says; each block adds its own fields. Designs are drafted for any body.

    `unit` is the one its designer writes lengths in: what is wrong is told in it.

    Raises:
        DesignError: a field is not of its kind, a name cannot be printed, two casings have one name, or the waist's
            channel is too shallow for its elastic.
    """

    block: ClassVar[str] = ""
    """The name of the block that is drafted from it."""

    name: str
    workroom: str = ""
    casings: tuple[CasingDesign, ...] = ()
    waist: WaistDesign = field(default_factory=WaistDesign)
    allowances: Allowances = field(default_factory=Allowances)
    limits: Limits = field(default_factory=Limits)
    unit: str = field(default="mm", compare=False, kw_only=True)

    def __post_init__(self) -> None:
        check_parameters(self, "")
        millimetres_per(self.unit)
        object.__setattr__(self, "name", label_from("name", self.name, NAME_LENGTH))
        if self.workroom:
            workroom = label_from("workroom", self.workroom, NAME_LENGTH, plain=False)
            object.__setattr__(self, "workroom", workroom)
        if twice := same((casing.name for casing in self.casings), casing_title):
            raise DesignError(
                f"casing: name: {shown(twice[1])} names two casings{spelled_otherwise(*twice)}; give each its own name"
            )
        self._check_channel()

    def _check_channel(self) -> None:
        waist, clearance = self.waist, self.limits.elastic_clearance
        need = least_depth(waist, clearance)
        if waist.channel < need - HAIR:
            widest = waist.channel - clearance
            deepest = rounded_down(parameters_of(waist)["channel"].high, self.unit)
            ways = []
            if rounded_up(need, self.unit) <= deepest:
                ways.append(f"it to {self.at_least(need)} at least")
            if rounded_down(widest, self.unit) >= NARROWEST:
                ways.append(f"waist.elastic_width to {self.at_most(widest)} at most")
            both = (
                f"waist.channel to {self.said(deepest)} and waist.elastic_width to {self.at_most(deepest - clearance)}"
            )
            raise DesignError(
                f"waist.channel: {self.said(waist.channel)} is too shallow for the waist elastic, "
                f"{self.said(waist.elastic_width)} wide and {self.said(clearance)} clear (limits.elastic_clearance); "
                f"set {', or '.join(ways) or both}"
            )

    def said(self, millimetres: float) -> str:
        """A length as the designer writes lengths."""
        return show_in(millimetres, self.unit)

    def at_least(self, millimetres: float) -> str:
        """A length as the designer writes lengths, rounded up to what can be set."""
        return show_rounded_up(millimetres, self.unit)

    def at_most(self, millimetres: float) -> str:
        """A length as the designer writes lengths, rounded down to what can be set."""
        return show_rounded_down(millimetres, self.unit)
