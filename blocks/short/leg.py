"""The leg block: one finished leg without a side seam, before its casings are opened.

Origin at side line x crotch line; front is x > 0, back is x < 0; the side line x = 0 is the straight grain. The outline
runs counter-clockwise: hem, front inseam, front crotch, waist, back crotch, back inseam.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Final

from blocks.measurements import Body
from blocks.parameters import parameters_of
from blocks.short.design import LegDesign, ShortDesign
from drafting.curve import Cubic, Line, monotone_root
from drafting.errors import DesignError, GeometryError
from drafting.path import Path
from drafting.point import Point, Vector
from drafting.units import show_cm

SEAM_TOLERANCE: Final = 0.1
"""mm; how near the crotch seam must come to a measured crotch length."""

CHORD_SHARE: Final = 0.6
"""The back inseam may leave the crotch point at this share of its chord's angle at most, or it would bulge outwards."""


class Rise(StrEnum):
    """Where the waist edge lies: as drafted, or lowered by the design's mid drop."""

    HIGH = "high"
    MID = "mid"


@dataclass(frozen=True, slots=True)
class LegBlock:
    """A finished leg in mm: its six edges and the levels that other things are placed by."""

    hem: Path
    front_inseam: Path
    front_crotch: Path
    waist: Path
    back_crotch: Path
    back_inseam: Path
    waist_level: float
    high_waist_level: float
    hip_level: float
    trued_level: float
    hem_level: float
    front_width: float
    back_width: float
    notes: tuple[str, ...] = ()
    band: float = 0.0
    """Height of a waistband that stands above the waist edge."""

    @property
    def edges(self) -> dict[str, Path]:
        """The edges by their printed names, counter-clockwise."""
        return {
            "hem": self.hem,
            "front inseam": self.front_inseam,
            "front crotch": self.front_crotch,
            "waist": self.waist,
            "back crotch": self.back_crotch,
            "back inseam": self.back_inseam,
        }

    @property
    def crotch_seam(self) -> float:
        """Length of the front and back crotch seam together, waist to waist between the legs, through the band."""
        return self.front_crotch.length + self.back_crotch.length + 2 * self.band

    @property
    def top_level(self) -> float:
        """The waist level, or as much higher as a waistband stands above it."""
        return self.waist_level + self.band

    def width_at(self, height: float) -> float:
        """Width of the finished leg, from the front edge to the back edge, `height` mm above the crotch line."""
        front, back = (self.front_crotch, self.back_crotch) if height > 0 else (self.front_inseam, self.back_inseam)
        return front.heights(height)[0].x - back.heights(height)[0].x


def draft_leg(body: Body, design: ShortDesign, rise: Rise) -> LegBlock:
    """Draft the finished leg.

    With a measured crotch length the back raise, then the back crotch extension, are solved within their ranges so
    that the high rise's crotch seam equals crotch length + crotch ease within 0.1 mm; a note says so where the ranges
    forbid it. Proportions are those of drafting handbooks, from memory, each a parameter of the design.

    Raises:
        DesignError: the curves cannot be drawn for this body with these parameters.
    """
    leg, notes, seam = design.leg, [], design.said(design.allowances.seam)
    if body.measured("crotch_length"):
        leg, note = _fitted(body, leg, design)
        notes.append(note)
    block = _draft(body, leg, design, leg.mid_drop if rise is Rise.MID else 0.0)
    if block.trued_level < block.hem_level * leg.inseam_shaping - 1e-9:
        over = design.at_least(-block.trued_level)
        usual = design.at_least(leg.inseam_length * leg.inseam_shaping)
        if over != usual:
            notes.append(
                f"inseams are trued over {over}, not {usual}: over less the back inseam would bend tighter than its "
                f"seam allowance of {seam}"
            )
    return replace(block, notes=tuple(notes))


def _draft(body: Body, leg: LegDesign, design: ShortDesign, lowered: float) -> LegBlock:
    waist_level = body.known("body_rise") + leg.rise_ease
    hip_level = waist_level - body.waist_to_hip
    curve_level = max(hip_level, leg.curve_floor * waist_level)
    # A wide extension needs a tall curve, or it would bend tighter than its own seam allowance.
    front_level = max(curve_level, leg.curve_spread * leg.front_extension * body.hip_girth)
    back_level = max(curve_level, leg.curve_spread * leg.back_extension * body.hip_girth)
    quarter = (body.hip_girth + leg.hip_ease) / 4
    front_width = (quarter - leg.panel_shift) * leg.fullness
    back_width = (quarter + leg.panel_shift) * leg.fullness
    hem_level = -leg.inseam_length

    front_point = Point(front_width + leg.front_extension * body.hip_girth, 0.0)
    front_inseam = Path.through(Point(front_point.x, hem_level), front_point)
    back_point = Point(-back_width - leg.back_extension * body.hip_girth, -leg.back_crotch_drop)
    trued_level = _trued_level(back_point, hem_level, leg, design.allowances.seam)
    back_inseam = _back_inseam(back_point, trued_level, hem_level, leg.back_inseam_angle)

    front_waist = Point(front_width - leg.front_lean, waist_level - leg.front_drop)
    back_waist = Point(-back_width + leg.back_lean, waist_level + leg.back_raise)
    front_crotch = _crotch(
        Line(front_waist, Point(front_width, hip_level)),
        front_point,
        front_inseam.end_direction.right(),
        front_level,
        leg.front_scoop,
        "front",
    ).reversed()
    back_crotch = _crotch(
        Line(back_waist, Point(-back_width, hip_level)),
        back_point,
        back_inseam.start_direction.right(),
        back_level,
        leg.back_scoop,
        "back",
    )
    if lowered:
        room = min(front_waist.y - front_level, back_waist.y - back_level)
        if lowered >= room:
            raise DesignError(
                f"leg.mid_drop: {design.said(lowered)} puts the mid rise's waist at or below the top of the crotch "
                f"curve; lower the waist by less than {design.at_most(room)} on this body"
            )
        front_crotch = front_crotch.split_at_height(front_waist.y - lowered)[0]
        back_crotch = back_crotch.split_at_height(back_waist.y - lowered)[1]
    return LegBlock(
        hem=Path.through(back_inseam.end, front_inseam.start),
        front_inseam=front_inseam,
        front_crotch=front_crotch,
        waist=waist_curve(front_crotch, Point(0.0, waist_level - lowered), back_crotch),
        back_crotch=back_crotch,
        back_inseam=back_inseam,
        waist_level=waist_level - lowered,
        high_waist_level=waist_level,
        hip_level=hip_level,
        trued_level=trued_level,
        hem_level=hem_level,
        front_width=front_width,
        back_width=back_width,
    )


def _trued_level(top: Point, hem_level: float, leg: LegDesign, seam: float) -> float:
    """Down to where both inseams are trued: by the shaping, or lower while the back one bends too tightly for its seam.

    At the hem at the latest; `blocks.bends` refuses what bends too tightly even so.
    """

    def bent(level: float) -> bool:
        return not bears(_back_inseam(top, level, hem_level, leg.back_inseam_angle), seam)

    wanted = level = hem_level * leg.inseam_shaping
    while bent(level):
        if level <= hem_level or (level == wanted and bent(hem_level)):
            return wanted
        level = max(hem_level, level - 1)
    return level


def bears(edge: Path, allowance: float) -> bool:
    """True when a finished edge has room for its allowance: nowhere hollow and bent tighter than that."""
    try:
        edge.offset(-allowance)
    except GeometryError:
        return False
    return True


@lru_cache(maxsize=256)
def _back_inseam(top: Point, trued_level: float, hem_level: float, degrees: float) -> Path:
    """The back inseam: as long as the straight front one in all, and parallel to the grain below the trued level.

    Its crotch point lies lower than the front's, so it swings inwards; how far is solved for. Below the trued level
    both inseams are on the grain: casings meet there at one distance from the crotch point, and the hem runs smooth.
    """
    length, tall = -trued_level, top.y - trued_level
    if length - tall < 1e-9:
        return Path.through(top, Point(top.x, hem_level))
    chord = math.degrees(math.acos(tall / length))
    leave = Vector.at_angle(min(degrees, CHORD_SHARE * chord) - 90)
    handle = tall / 3

    def curve(inwards: float) -> Cubic:
        end = Point(top.x + inwards, trued_level)
        return Cubic(top, top + leave * handle, end + Vector(0, handle), end)

    straight = math.sqrt(length**2 - tall**2)  # a chord of that length: no curve as long swings further in
    inwards = monotone_root(
        lambda inwards: curve(inwards).length() - length, leave.x * handle, straight, tolerance=1e-12
    )
    swing = curve(inwards)
    if trued_level <= hem_level:
        return Path((swing,))
    return Path((swing, Line(swing.end, Point(swing.end.x, hem_level))))


def _crotch(centre: Line, point: Point, arrive: Vector, curve_level: float, scoop: float, name: str) -> Path:
    """From the waist down the centre line to the curve's start, and in one cubic to the crotch point.

    `arrive` is the direction of travel at the crotch point, square to the inseam. The handles reach `scoop` of the
    way to the corner of the two tangents, so the curve has no inflection and only ever runs outwards and down.
    """
    if curve_level >= centre.start.y:
        raise DesignError(
            f"{name} crotch curve: it starts {show_cm(curve_level)} above the crotch line, above the waist at "
            f"{show_cm(centre.start.y)}; measure body rise again or lower leg.curve_spread or leg.{name}_extension"
        )
    down = centre.tangent(0)
    start = centre.start + down * ((curve_level - centre.start.y) / down.y)
    corner = point - arrive * (_side_of(down, start, point) / down.cross(arrive))
    if not point.y - 1e-9 <= corner.y < start.y or (corner - point).dot(arrive) >= 0:
        raise DesignError(
            f"{name} crotch curve: it has no room between the hip level ({show_cm(start.y)} above the crotch line) and "
            f"the crotch point; lower leg.{name}_extension or leg.back_inseam_angle, or raise leg.curve_floor"
        )
    curve = Cubic(start, start.toward(corner, scoop), point.toward(corner, scoop), point)
    return Path((Line(centre.start, start), curve))


def _side_of(along: Vector, origin: Point, point: Point) -> float:
    return along.cross(point - origin)


def waist_curve(front_crotch: Path, side: Point, back_crotch: Path) -> Path:
    """One smooth curve from centre front through the side line to centre back, square to both centre lines."""
    front, back = front_crotch.end, back_crotch.start
    leave, arrive = front_crotch.end_direction.left(), back_crotch.start_direction.right()
    across = ((side - front).unit() + (back - side).unit()).unit()
    to_side, to_back = front.distance(side) / 3, side.distance(back) / 3
    return Path(
        (
            Cubic(front, front + leave * to_side, side - across * to_side, side),
            Cubic(side, side + across * to_back, back - arrive * to_back, back),
        )
    )


def _fitted(body: Body, leg: LegDesign, design: ShortDesign) -> tuple[LegDesign, str]:
    """The leg with back raise, then back extension, solved for the measured crotch length; and a note on it."""
    target = body.known("crotch_length") + leg.crotch_ease

    def miss(trial: LegDesign) -> float:
        return _draft(body, trial, design, 0.0).crotch_seam - target

    about = parameters_of(leg)
    gap = miss(leg)
    for name in ("back_raise", "back_extension"):
        if abs(gap) <= SEAM_TOLERANCE / 10:
            break
        limit = about[name].low if gap > 0 else about[name].high
        edge = replace(leg, **{name: limit})
        at_edge = miss(edge)
        if (at_edge > 0) == (gap > 0) or abs(at_edge) <= SEAM_TOLERANCE / 10:
            leg, gap = edge, at_edge
            continue
        value = monotone_root(
            lambda value, name=name, leg=leg: miss(replace(leg, **{name: value})),  # type: ignore[misc]
            min(getattr(leg, name), limit),
            max(getattr(leg, name), limit),
            tolerance=1e-9,
        )
        leg = replace(leg, **{name: value})
        gap = miss(leg)
    solved = f"back raise {leg.back_raise:.1f} mm, back crotch extension {leg.back_extension:.4f} of the hip girth"
    if abs(gap) <= SEAM_TOLERANCE:
        return leg, f"crotch seam fitted to the measured crotch length: {solved}"
    if round(gap) == 0:
        return leg, f"crotch seam fitted to the measured crotch length within half a millimetre: {solved}"
    return leg, (
        f"crotch seam is {abs(gap):.0f} mm {'longer' if gap > 0 else 'shorter'} than the measured crotch length plus "
        f"ease ({show_cm(target)}): {solved} are at the end of their ranges; measure again, or change leg.rise_ease"
    )
