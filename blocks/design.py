"""A design: everything the designer decides, independent of the body. Lengths in mm, ratios without unit."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from blocks.label import CASING_LENGTH, NAME_LENGTH, label_from, same, spelled_otherwise
from blocks.parameters import CHOICE, MEMORY, PRACTICE, check_parameters, derived, parameter
from blocks.quantity import at_least, at_most, length, shown
from drafting.errors import DesignError
from drafting.units import millimetres_per


@dataclass(frozen=True, slots=True)
class LegDesign:
    """How the leg block is drafted from a body.

    Raises:
        DesignError: a parameter is outside its range.
    """

    inseam_length: float = parameter(110, "mm", 40, 400, "crotch point to finished hem, along the inseam", CHOICE)
    fullness: float = parameter(1.5, "", 1.0, 2.2, "panel width over body width: what is gathered", CHOICE)
    rise_ease: float = parameter(10, "mm", 5, 20, "added to body rise", PRACTICE)
    hip_ease: float = parameter(60, "mm", 0, 200, "added to hip girth before fullness", MEMORY)
    panel_shift: float = parameter(7.5, "mm", 0, 15, "front panel narrower and back panel wider than a quarter", MEMORY)
    front_extension: float = parameter(1 / 16, "", 0.04, 0.08, "front crotch extension over hip girth", MEMORY)
    back_extension: float = parameter(1 / 8, "", 0.09, 0.15, "back crotch extension over hip girth", MEMORY)
    front_lean: float = parameter(7.5, "mm", 0, 15, "centre front leans in at the waist", PRACTICE)
    front_drop: float = parameter(7.5, "mm", 0, 15, "waist dropped at centre front", PRACTICE)
    back_lean: float = parameter(20, "mm", 10, 30, "centre back leans in at the waist", PRACTICE)
    back_raise: float = parameter(27.5, "mm", 15, 45, "waist raised at centre back", PRACTICE)
    back_crotch_drop: float = parameter(5, "mm", 0, 10, "back crotch point below the front one", PRACTICE)
    front_scoop: float = parameter(0.72, "", 0.4, 0.95, "front crotch curve drawn so far into its corner", MEMORY)
    back_scoop: float = parameter(0.62, "", 0.4, 0.95, "back crotch curve drawn so far into its corner", MEMORY)
    curve_floor: float = parameter(
        0.28, "", 0.15, 0.5, "crotch curve starts at the hip level, but not below this share of the waist level", MEMORY
    )
    curve_spread: float = parameter(
        0.6, "", 0.3, 1.0, "crotch curve starts no lower than this share of its own crotch extension", MEMORY
    )
    inseam_shaping: float = parameter(0.6, "", 0.3, 0.8, "share of the inseam in which both are trued", MEMORY)
    back_inseam_angle: float = parameter(12, "deg", 0, 25, "back inseam from the grain at the crotch point", MEMORY)
    crotch_ease: float = parameter(20, "mm", 0, 60, "added to crotch length when it is measured", MEMORY)
    slope_limit: float = parameter(1.0, "", 0.3, 2.0, "steepest |dX/dY| of an edge under a casing", PRACTICE)
    high_hip_share: float = parameter(0.5, "", 0.3, 0.7, "high-hip level on the way down from waist to hip", MEMORY)
    balance_share: float = parameter(0.4, "", 0.2, 0.45, "crotch curve from its point to the balance notch", PRACTICE)
    grainline_margin: float = parameter(0.15, "", 0.05, 0.4, "grainline clear of each end, over the height", CHOICE)
    mid_drop: float = parameter(60, "mm", 20, 140, "waist edge of the mid rise below that of the high rise", CHOICE)

    def __post_init__(self) -> None:
        check_parameters(self, "leg")


@dataclass(frozen=True, slots=True)
class Allowances:
    """Seam allowances per kind of edge.

    Raises:
        DesignError: a parameter is outside its range.
    """

    seam: float = parameter(12, "mm", 5, 25, "crotch seam and inseam", PRACTICE)
    waist: float = parameter(12, "mm", 5, 25, "waist seam", PRACTICE)
    hem: float = parameter(16, "mm", 6, 40, "hem allowance, turned twice by half of it", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, "allowances")


def _with_room(record: CasingDesign | WaistDesign) -> float:
    return record.elastic_width + record.room


@dataclass(frozen=True, slots=True)
class CasingDesign:
    """One casing across the leg, stitched at `height` mm above the crotch line (negative: below it).

    Left out, the depth is the elastic's width and the room to turn it in.

    Raises:
        DesignError: a parameter is outside its range.
    """

    name: str
    height: float = parameter(None, "mm", -390, 450, "stitch line above the crotch line, negative below", CHOICE)
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


@dataclass(frozen=True, slots=True)
class WaistDesign:
    """The waist elastic. Left out, its channel is the elastic's width and the room to draw it through.

    Raises:
        DesignError: a parameter is outside its range.
    """

    elastic_width: float = parameter(25, "mm", 10, 60, "width of the waist elastic", CHOICE)
    room: float = parameter(5, "mm", 2, 10, "channel deeper than the elastic is wide, if it is left out", PRACTICE)
    channel: float = derived(_with_room, 30, "mm", 12, 70, "waist seam to the stitch line of the facing", PRACTICE)
    reduction: float = parameter(0.07, "", 0.0, 0.25, "waist elastic shorter than the body", PRACTICE)
    overlap: float = parameter(20, "mm", 10, 50, "lap where the waist elastic is joined", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, "waist")


@dataclass(frozen=True, slots=True)
class FacingDesign:
    """The waist facing: a strip sewn to the waist, turned down inside and stitched.

    Raises:
        DesignError: a parameter is outside its range.
    """

    edge: float = parameter(2, "mm", 1, 5, "stitch line to the facing's folded edge", PRACTICE)
    turn_under: float = parameter(12, "mm", 5, 20, "turned under along the facing's lower edge", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, "facing")


class TrimKind(StrEnum):
    """What hangs from the lowest casing: nothing, a band cut from the cloth, or a bought trim."""

    NONE = "none"
    BAND = "band"
    BOUGHT = "bought"


@dataclass(frozen=True, slots=True)
class TrimDesign:
    """The trim caught in the lowest casing, hanging behind the leg's hem and showing below it.

    Raises:
        DesignError: a parameter is outside its range.
    """

    kind: TrimKind = TrimKind.NONE
    shows: float = parameter(20, "mm", 5, 200, "band below the leg's hem", CHOICE)
    top: float = parameter(6, "mm", 4, 20, "allowance of the band inside the casing", PRACTICE)
    hem: float = parameter(16, "mm", 0, 40, "allowance of the band's lower edge, turned twice; 0 leaves it cut", CHOICE)
    width: float = parameter(50, "mm", 10, 300, "width of a bought trim, its top edge included", CHOICE)

    def __post_init__(self) -> None:
        check_parameters(self, "trim")


@dataclass(frozen=True, slots=True)
class Limits:
    """Where the tool refuses or warns.

    Raises:
        DesignError: a parameter is outside its range.
    """

    elastic_clearance: float = parameter(2, "mm", 1, 10, "casing depth beyond the elastic's width", PRACTICE)
    tuck_gap: float = parameter(3, "mm", 0, 30, "cloth left between a tuck and the next seam", PRACTICE)
    squeeze: float = parameter(0.10, "", 0.0, 0.25, "elastic shorter than the body before a warning", PRACTICE)
    gather_low: float = parameter(1.2, "", 1.0, 1.5, "gather ratio below which a casing lies flat", PRACTICE)
    gather_high: float = parameter(2.5, "", 1.8, 4.0, "gather ratio above which cloth will not gather", PRACTICE)
    thigh_reach: float = parameter(120, "mm", 50, 400, "casing below the crotch before a warning on fit", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, "limits")


@dataclass(frozen=True, slots=True)
class Design:
    """One design, drafted for any body. `unit` is the one its designer writes lengths in: what is wrong is told in it.

    Raises:
        DesignError: a field is not of its kind, a name cannot be printed, or two casings have one name.
    """

    name: str
    workroom: str = ""
    leg: LegDesign = field(default_factory=LegDesign)
    casings: tuple[CasingDesign, ...] = ()
    waist: WaistDesign = field(default_factory=WaistDesign)
    allowances: Allowances = field(default_factory=Allowances)
    facing: FacingDesign = field(default_factory=FacingDesign)
    trim: TrimDesign = field(default_factory=TrimDesign)
    limits: Limits = field(default_factory=Limits)
    unit: str = field(default="mm", compare=False)

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

    def said(self, millimetres: float) -> str:
        """A length as the designer writes lengths."""
        return length(millimetres, self.unit)

    def at_least(self, millimetres: float) -> str:
        """A length as the designer writes lengths, rounded up to what can be set."""
        return at_least(millimetres, self.unit)

    def at_most(self, millimetres: float) -> str:
        """A length as the designer writes lengths, rounded down to what can be set."""
        return at_most(millimetres, self.unit)
