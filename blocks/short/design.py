"""The design of a short: what the designer decides, independent of the body. Lengths in mm, ratios without unit."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import ClassVar, Final

from blocks.design import CasingDesign, Design, FacingDesign, Limits, WaistFinish
from blocks.parameters import CHOICE, MEMORY, PRACTICE, Parameters, check_parameters, derived, optional, parameter
from drafting.errors import DesignError

SURVEY: Final = (
    "one standard deviation of the share behind in 1,986 women: Gordon et al. 2014, 2012 Anthropometric Survey of "
    "U.S. Army Personnel, NATICK/TR-15/007"
)
FURROW: Final = "from memory: anthropometric surveys take it at the gluteal furrow, about 3 cm below the crotch"
HEEL: Final = "from memory: heel-ankle over ankle circumference of women in anthropometric surveys, 31 to 21.5 cm"
GRIP: Final = "common practice, from memory: what lies on the leg looser than that slides down"


@dataclass(frozen=True, slots=True)
class LegDesign(Parameters):
    """How the leg block is drafted from a body."""

    called: ClassVar[str] = "leg"

    inseam_length: float = parameter(110, "mm", 30, 760, "crotch line to finished hem, straight down", CHOICE)
    fullness: float = parameter(1.5, "", 1.0, 2.2, "panel width over body width: what is gathered", CHOICE)
    taper: float = parameter(
        0.0, "", 0.0, 1.0, "leg below the crotch follows the girths of the leg; 0 falls straight", CHOICE
    )
    rise_ease: float = parameter(10, "mm", 0, 70, "added to body rise: crotch depth", PRACTICE)
    hip_ease: float = parameter(60, "mm", 0, 200, "added to hip girth before fullness", MEMORY)
    panel_shift: float = parameter(7.5, "mm", 0, 15, "front panel narrower and back panel wider than a quarter", MEMORY)
    front_extension: float = parameter(1 / 16, "", 0.045, 0.115, "front crotch extension over hip girth", MEMORY)
    back_extension: float = parameter(1 / 8, "", 0.085, 0.17, "back crotch extension over hip girth", MEMORY)
    front_lean: float = parameter(7.5, "mm", 0, 15, "centre front leans in at the waist", PRACTICE)
    lean_height: float = parameter(
        200, "mm", 100, 300, "waist to hip over which the centres lean in so far; over less they lean in less", PRACTICE
    )
    front_drop: float = parameter(7.5, "mm", -30, 25, "waist dropped at centre front (raised when negative)", PRACTICE)
    back_lean: float = parameter(20, "mm", 10, 30, "centre back leans in at the waist", PRACTICE)
    back_raise: float = parameter(27.5, "mm", 5, 70, "waist raised at centre back", PRACTICE)
    back_crotch_drop: float = parameter(5, "mm", 0, 10, "back crotch point below the front one", PRACTICE)
    front_scoop: float = parameter(0.72, "", 0.6, 0.85, "front crotch curve drawn so far into its corner", MEMORY)
    back_scoop: float = parameter(0.62, "", 0.6, 0.85, "back crotch curve drawn so far into its corner", MEMORY)
    curve_floor: float = parameter(
        0.28, "", 0.15, 0.5, "crotch curve starts at the hip level, but not below this share of the waist level", MEMORY
    )
    curve_ceiling: float = parameter(
        0.6, "", 0.5, 0.8, "crotch curve starts no higher than this share of the waist at its centre", MEMORY
    )
    curve_spread: float = parameter(
        0.6, "", 0.3, 1.0, "crotch curve starts no lower than this share of its own crotch extension", MEMORY
    )
    inseam_shaping: float = parameter(0.6, "", 0.3, 0.8, "share of the inseam in which both are trued", MEMORY)
    truing_length: float = parameter(60, "mm", 30, 200, "inseams are trued over no more than this", PRACTICE)
    back_inseam_angle: float = parameter(12, "deg", 0, 25, "back inseam from the grain at the crotch point", MEMORY)
    crotch_ease: float = parameter(25, "mm", 0, 60, "added to crotch length", MEMORY)
    crotch_share_slack: float = parameter(
        0.03, "", 0.0, 0.1, "crotch length that front or back may leave to the other unless measured apart", SURVEY
    )
    slope_limit: float = parameter(1.0, "", 0.3, 2.0, "steepest |dX/dY| of an edge under a casing", PRACTICE)
    flare_limit: float = parameter(
        0.6, "", 0.1, 1.5, "farthest sideways over its height that an edge runs to another fullness", PRACTICE
    )
    high_hip_share: float = parameter(0.5, "", 0.3, 0.7, "high-hip level on the way down from waist to hip", MEMORY)
    thigh_drop: float = parameter(30, "mm", 0, 80, "thigh girth is taken so far below the crotch line", FURROW)
    heel_over_ankle: float = parameter(1.45, "", 1.2, 1.8, "girth over heel and instep over ankle girth", HEEL)
    balance_share: float = parameter(0.4, "", 0.2, 0.45, "crotch curve from its point to the balance notch", PRACTICE)
    grainline_margin: float = parameter(0.15, "", 0.05, 0.4, "grainline clear of each end, over the height", CHOICE)
    mid_drop: float = parameter(60, "mm", 5, 180, "waist edge of the mid rise below that of the high rise", CHOICE)


@dataclass(frozen=True, slots=True)
class ShortCasing(CasingDesign):
    """One casing across the leg: at a `height` from the crotch line, or at a `share` of what a size has there.

    Above the crotch a share is of the rise, from the crotch line up to the side of the high rise's waist; below it
    of the leg, -1 being the hem. In both rises of a size the casing lies at one height. `fullness` is that of the
    cloth beyond it, away from the crotch, up or down to the next casing or the edge; left out, it is the leg's.

    Raises:
        DesignError: a parameter is outside its range, or not just one of `height` and `share` is given.
    """

    height: float | None = optional(  # type: ignore[assignment]  # see `blocks.short.casings.PlacedCasing`
        "mm", -750, 450, "stitch line above the crotch line, negative below", CHOICE
    )
    share: float | None = optional(
        "", -1, 1, "stitch line above the crotch line over the rise; negative: below it, over the leg's length", CHOICE
    )
    fullness: float | None = optional("", 1.0, 2.5, "cloth beyond the casing over body: what is gathered", CHOICE)

    def __post_init__(self) -> None:
        CasingDesign.__post_init__(self)
        if (self.height is None) is (self.share is None):
            fault = "neither height nor share is given" if self.share is None else "height and share are both given"
            raise DesignError(
                f"casing {self.name!r}: {fault}; give one of them: its height from the crotch line, or its share of "
                "the rise (negative: of the leg below the crotch)"
            )


class BandGrain(StrEnum):
    """Where the straight grain of a waistband runs: across it, as in the leg that it is sewn to, or along it."""

    ACROSS = "across"
    ALONG = "along"


@dataclass(frozen=True, slots=True)
class WaistbandDesign(Parameters):
    """The waistband: a strip sewn to the waist and folded over its elastic, as high as the channel is deep."""

    called: ClassVar[str] = "waistband"

    grain: BandGrain = BandGrain.ACROSS


def _through(cord: DrawcordDesign) -> float:
    return cord.width + cord.room


@dataclass(frozen=True, slots=True)
class DrawcordDesign(Parameters):
    """A cord in the waist's channel and its two buttonholes in front. Left out, a buttonhole is as long as the cord is
    wide, and the room to draw it through.
    """

    called: ClassVar[str] = "drawcord"

    width: float = parameter(0, "mm", 0, 9, "width of the cord; 0 for no drawcord", CHOICE)
    room: float = parameter(6, "mm", 3, 15, "buttonhole longer than the cord is wide, if it is left out", PRACTICE)
    buttonhole: float = derived(_through, 6, "mm", 3, 26, "length of each buttonhole, upright", PRACTICE)
    spacing: float = parameter(20, "mm", 10, 60, "centre front to each buttonhole", PRACTICE)
    tail: float = parameter(300, "mm", 100, 600, "cord beyond the hip girth at each end, to tie it by", PRACTICE)


class TrimKind(StrEnum):
    """What hangs from the lowest casing: nothing, a band cut from the cloth, or a bought trim."""

    NONE = "none"
    BAND = "band"
    BOUGHT = "bought"


@dataclass(frozen=True, slots=True)
class TrimDesign(Parameters):
    """The trim caught in the lowest casing, hanging behind the leg's hem and showing below it."""

    called: ClassVar[str] = "trim"

    kind: TrimKind = TrimKind.NONE
    shows: float = parameter(20, "mm", 5, 200, "band below the leg's hem", CHOICE)
    top: float = parameter(6, "mm", 4, 20, "allowance of the band inside the casing", PRACTICE)
    hem: float = parameter(16, "mm", 0, 40, "allowance of the band's lower edge, turned twice; 0 leaves it cut", CHOICE)
    width: float = parameter(50, "mm", 10, 300, "width of a bought trim, its top edge included", CHOICE)


class PocketKind(StrEnum):
    """No pocket, one sewn onto the leg, or a bag in the side seam of a leg that is split."""

    NONE = "none"
    PATCH = "patch"
    IN_SEAM = "in-seam"

    @classmethod
    def _missing_(cls, value: object) -> PocketKind | None:
        """A pocket in the side seam has many names."""
        return cls.IN_SEAM if value in ("inseam", "in seam", "side-seam", "side seam") else None


class PocketPlace(StrEnum):
    """The part of the leg that a patch pocket is sewn on: in front of the side line, or behind it."""

    FRONT = "front"
    BACK = "back"


class PocketCorner(StrEnum):
    """The lower corners of a patch pocket."""

    SQUARE = "square"
    ROUND = "round"


class PocketLegs(StrEnum):
    """Which legs have a pocket."""

    BOTH = "both"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class PocketDesign(Parameters):
    """The pocket: in one space between two casings, between them and the waist or the hem.

    Its opening lies `top` mm above the crotch line, or `below` mm below the waist at the side; with neither, the
    pocket lies in the middle of the tallest space.

    Raises:
        DesignError: a parameter is outside its range, or both `top` and `below` are given.
    """

    called: ClassVar[str] = "pocket"

    kind: PocketKind = PocketKind.NONE
    place: PocketPlace = PocketPlace.FRONT
    legs: PocketLegs = PocketLegs.BOTH
    width: float = parameter(130, "mm", 60, 300, "patch from edge to edge, or bag from the side seam", CHOICE)
    height: float = parameter(130, "mm", 70, 350, "patch below its opening, or opening in the side seam", CHOICE)
    from_side: float = parameter(40, "mm", 10, 300, "side line to the nearer edge of a patch", CHOICE)
    top: float | None = optional("mm", -900, 450, "opening above the crotch line, negative below", CHOICE)
    below: float | None = optional("mm", 10, 900, "opening below the waist at the side", CHOICE)
    gap: float = parameter(10, "mm", 3, 60, "cloth free between a pocket and the next tuck, channel or seam", PRACTICE)
    hem: float = parameter(25, "mm", 15, 60, "hem along the opening of a patch", PRACTICE)
    turn: float = parameter(8, "mm", 5, 15, "turned under along that hem", PRACTICE)
    allowance: float = parameter(10, "mm", 5, 20, "seam allowance of a patch", PRACTICE)
    corner: PocketCorner = PocketCorner.SQUARE
    radius: float = parameter(25, "mm", 5, 100, "of the lower corners of a patch that are round", CHOICE)
    bag: float = parameter(50, "mm", 30, 300, "bag in the side seam hangs below its opening", CHOICE)
    inset: float = parameter(3, "mm", 1, 6, "corners are marked so far inside a patch, which covers them", PRACTICE)
    stay: float = parameter(10, "mm", 5, 20, "width of the stay along an opening in the side seam", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, self.called)
        if self.top is not None and self.below is not None:
            raise DesignError("pocket: top and below are both given; give one of them, or neither")


class LoopKind(StrEnum):
    """No hanging loop, or a strip of the cloth folded in four."""

    NONE = "none"
    FOLDED = "folded"


@dataclass(frozen=True, slots=True)
class LoopDesign(Parameters):
    """The loop to hang the garment up by: folded double, its ends caught in the seam at centre back, inside the waist.

    Raises:
        DesignError: a parameter is outside its range.
    """

    called: ClassVar[str] = "loop"

    kind: LoopKind = LoopKind.NONE
    length: float = parameter(50, "mm", 30, 120, "hangs so far from its seam", CHOICE)
    width: float = parameter(8, "mm", 8, 20, "of the strip when it is folded in four", CHOICE)


@dataclass(frozen=True, slots=True)
class ShortLimits(Limits):
    """Where the tool refuses or warns of a short.

    Raises:
        DesignError: a parameter is outside its range.
    """

    inseam_slack: float = parameter(
        0.05, "", 0.0, 0.3, "inseam longer than the leg, where it tapers, before a note", PRACTICE
    )
    grip: float = parameter(0.05, "", 0.0, 0.25, "leg's elastic longer than the leg before it does not hold", GRIP)


@dataclass(frozen=True, slots=True)
class ShortDesign(Design):
    """One design of a short, drafted for any body.

    Raises:
        DesignError: see `blocks.design.Design`.
    """

    block: ClassVar[str] = "short"

    casings: tuple[ShortCasing, ...] = ()
    limits: ShortLimits = field(default_factory=ShortLimits)
    leg: LegDesign = field(default_factory=LegDesign)
    facing: FacingDesign = field(default_factory=FacingDesign)
    waistband: WaistbandDesign = field(default_factory=WaistbandDesign)
    drawcord: DrawcordDesign = field(default_factory=DrawcordDesign)
    trim: TrimDesign = field(default_factory=TrimDesign)
    pocket: PocketDesign = field(default_factory=PocketDesign)
    loop: LoopDesign = field(default_factory=LoopDesign)

    @property
    def closing(self) -> FacingDesign:
        """How the channel of the waist is closed below: by its facing, or as a cut-on casing or a waistband is."""
        waist = self.waist
        return self.facing if waist.finish is WaistFinish.FACED else FacingDesign(waist.edge, waist.turn_under)

    @property
    def standing(self) -> float:
        """How far all that is turned down at the waist stands above the leg's edge until then, in mm."""
        waist, closing = self.waist, self.closing
        halves = 2 if waist.finish is WaistFinish.WAISTBAND else 1
        return halves * waist.channel + closing.edge + closing.turn_under

    def __post_init__(self) -> None:
        if isinstance(self.casings, list | tuple):
            object.__setattr__(self, "casings", tuple(map(_of_a_short, self.casings)))
        Design.__post_init__(self)


def _of_a_short(casing: object) -> object:
    """A casing that any garment may have, as one of a short; everything else as it is."""
    if type(casing) is not CasingDesign:
        return casing
    return ShortCasing(casing.name, casing.height, casing.elastic_width, casing.room, casing.depth, casing.ease)
