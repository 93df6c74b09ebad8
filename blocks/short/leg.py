"""The leg block: one finished leg without a side seam, before its casings are opened.

Origin at side line x crotch line; front is x > 0, back is x < 0; the side line x = 0 is the straight grain. The outline
runs counter-clockwise: hem, front inseam, front crotch, waist, back crotch, back inseam.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Final

from blocks.measurements import Body
from blocks.parameters import parameters_of
from blocks.short.casings import resolved, zones
from blocks.short.crotch import brought_to, measured_apart, target_of
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.fall import Levels, check_zones, falls, gathers
from blocks.short.fitting import adjusted, lengthened
from blocks.short.frame import Frame, crotch_edge, neutral
from blocks.short.usual import UnusualError, set_back
from drafting.curve import Cubic, monotone_root
from drafting.errors import DesignError, DraftError, GeometryError
from drafting.fair import fair_edge
from drafting.path import Path
from drafting.point import Motion, Point, Vector

CHORD_SHARE: Final = 0.6
"""The back inseam may leave the crotch point at this share of its chord's angle at most, or it would bulge outwards."""


TAPERS: Final = 20
"""In how many steps a taper is taken back where the leg is too short for it."""

DROPS: Final = 20
"""In how many steps a back crotch drop is taken back where the inseam is too short for it."""


LEVERS: Final = tuple(f"leg.{name}" for name in parameters_of(LegDesign))
"""The numbers of the leg, any of which may be what a body cannot be drafted with."""


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
    frame: Frame
    waist_level: float
    notes: tuple[str, ...] = ()
    band: float = 0.0
    """Height of a waistband that stands above the waist edge."""

    @property
    def high_waist_level(self) -> float:
        """The waist of the high rise at the side."""
        return self.frame.waist_level

    @property
    def hip_level(self) -> float:
        return self.frame.hip_level

    @property
    def trued_level(self) -> float:
        return self.frame.trued_level

    @property
    def hem_level(self) -> float:
        return self.frame.hem_level

    @property
    def front_width(self) -> float:
        """Side line to centre front at the hip level."""
        return self.frame.front.width

    @property
    def back_width(self) -> float:
        """Side line to centre back at the hip level."""
        return self.frame.back.width

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
    def outline(self) -> Path:
        """All edges, closed."""
        return Path.joined(self.edges.values())

    @property
    def points(self) -> dict[str, Point]:
        """The named points, from the waist down. Hip points lie on the crotch edges, below the waist in either rise."""
        return {
            "waist at centre front": self.waist.start,
            "waist at side line": self.waist.segments[0].end,
            "waist at centre back": self.waist.end,
            "hip, front": self.front_crotch.heights(self.hip_level)[0],
            "hip, back": self.back_crotch.heights(self.hip_level)[0],
            "crotch point, front": self.front_crotch.start,
            "crotch point, back": self.back_crotch.end,
            "hem, front": self.hem.end,
            "hem, back": self.hem.start,
        }

    @property
    def crotch_seam(self) -> float:
        """Length of the front and back crotch seam together, waist to waist between the legs, through the band."""
        return self.front_crotch.length + self.back_crotch.length + 2 * self.band

    @property
    def top_level(self) -> float:
        """The waist level, or as much higher as a waistband stands above it."""
        return self.waist_level + self.band

    def crotch_corners(self, allowance: float) -> tuple[Point, Point]:
        """Where the cut lines of an inseam and a crotch edge meet beyond the crotch point, in front and at the back."""
        return (
            _corner(self.front_inseam, self.front_crotch, allowance),
            _corner(self.back_crotch, self.back_inseam, allowance),
        )

    def across(self, height: float) -> tuple[Point, Point]:
        """The ends at the back and at the front of a level line, `height` mm above the crotch line."""
        back = self.back_crotch if height > self.back_crotch.end.y else self.back_inseam
        front = self.front_crotch if height > self.front_crotch.start.y else self.front_inseam
        return back.heights(height)[0], front.heights(height)[0]

    def width_at(self, height: float) -> float:
        """Width of the finished leg, from the back edge to the front edge, `height` mm above the crotch line."""
        back, front = self.across(height)
        return front.x - back.x


def draft_leg(body: Body, design: ShortDesign, rise: Rise) -> LegBlock:
    """Draft the finished leg.

    Front and back crotch edges of the high rise are as long as the body's crotch length there, measured or estimated,
    and crotch ease: see `blocks.short.crotch`. Proportions are those of drafting handbooks, from memory, each a
    parameter of the design. What a fitting found comes on top: see `blocks.short.fitting`.

    Raises:
        DesignError: the curves cannot be drawn for this body with these parameters.
        MeasurementError: a measured crotch length that cannot be drafted beside the other measurements, or more
            found by a fitting than there is room for.
    """
    frame = frame_of(body, design)
    knee = body.known("knee_height") - body.known("inside_leg_height")
    fitted = adjusted(frame, body.fitting, knee=knee)
    if rise is Rise.MID:
        _check_mid_drop((frame, fitted), design)
    block = drawn(fitted, design, rise)
    return replace(block, notes=tuple(_notes(block, frame, body, design)))


def frame_of(body: Body, design: ShortDesign) -> Frame:
    """The frame of a body's leg before anything but its length is changed by what a fitting found.

    Raises:
        DesignError, MeasurementError: see `draft_leg`.
    """

    def works(changed: ShortDesign) -> bool:
        try:
            _frame(body, changed)
        except DraftError:
            return False
        return True

    try:
        return _frame(body, design)
    except UnusualError as error:
        remedy = set_back(design, LEVERS, works) or error.otherwise
        raise DesignError(f"{error}; {remedy}") from None


def _frame(body: Body, design: ShortDesign) -> Frame:
    leg = lengthened(design, body)
    hem = -leg.inseam_length
    drop, trued = _truing(leg, design.allowances.seam)
    swing = _back_swing(drop, trued, leg.back_inseam_angle)[0]
    frame = neutral(body, leg, swing=swing, crotch_drop=drop, trued_level=trued)
    longer = leg.inseam_length - design.leg.inseam_length
    casings = resolved(design, frame.waist_level, hem, longer=longer)
    full = zones(casings, frame.waist_level, hem, leg.fullness)
    check_zones(frame, casings, design, full)
    frame = replace(frame, longer=longer, gathers=gathers(full, leg.fullness))
    frame = brought_to(target_of(body, leg), frame, body, design)
    return _tapered(frame, body, design, full)


def _tapered(frame: Frame, body: Body, design: ShortDesign, full: Levels) -> Frame:
    """The frame with its leg tapered as the design says; but less where it is too short to taper so within its seam."""
    leg, seam = design.leg, design.allowances.seam
    width = frame.front.reach - _back_inseam(frame).end.x
    for step in range(TAPERS + 1):
        taper = leg.taper * (1 - step / TAPERS)
        less = replace(design, leg=replace(leg, taper=taper)) if step else design
        tapered = replace(frame, taper=taper, falls=falls(frame, width, body, less, full))
        if not leg.taper or all(bears(edge, seam) for edge in _inseams(tapered)):
            return tapered
    return replace(frame, taper=leg.taper, falls=falls(frame, width, body, design, full))


def _inseams(frame: Frame) -> tuple[Path, Path]:
    """The front one, upwards, and the back one, downwards."""
    below = _below(frame)
    trued = Path.through(Point(0.0, frame.front.crotch), Point(0.0, frame.trued_level))
    front = Path.joined([trued, *below]).moved(Motion.shift(Vector(frame.front.reach, 0.0))).reversed()
    swung = _back_inseam(frame)
    return front, Path.joined([swung, *(part.moved(Motion.mirror_side(swung.end.x / 2)) for part in below)])


def _check_mid_drop(frames: Iterable[Frame], design: ShortDesign) -> None:
    """Hold the mid rise's waist above hips and curves: of the leg before a fitting changed it, too, to compare them.

    Raises:
        DesignError: it would cut into them.
    """
    lowered = design.leg.mid_drop
    room = min(half.waist - max(half.top, frame.hip_level) for frame in frames for half in (frame.front, frame.back))
    if lowered > room - 1:
        raise DesignError(
            f"leg.mid_drop: {design.said(lowered)} puts the mid rise's waist at or below the hip level or the top of "
            f"the crotch curve on this body; set it to {design.at_most(room - 1)} at most"
        )


def drawn(frame: Frame, design: ShortDesign, rise: Rise) -> LegBlock:
    """The edges of a leg from its frame.

    Raises:
        DesignError: the curves cannot be drawn.
    """
    front_crotch, back_crotch = crotch_edge(frame.front, frame), crotch_edge(frame.back, frame).reversed()
    lowered = design.leg.mid_drop if rise is Rise.MID else 0.0
    if lowered:
        front_crotch = front_crotch.split_at_height(frame.front.waist - lowered)[0]
        back_crotch = back_crotch.split_at_height(frame.back.waist - lowered)[1]
    front_inseam, back_inseam = _inseams(frame)
    return LegBlock(
        hem=Path.through(back_inseam.end, front_inseam.start),
        front_inseam=front_inseam,
        front_crotch=front_crotch,
        waist=waist_curve(front_crotch, Point(0.0, frame.waist_level + frame.side - lowered), back_crotch),
        back_crotch=back_crotch,
        back_inseam=back_inseam,
        frame=frame,
        waist_level=frame.waist_level - lowered,
    )


def _corner(before: Path, after: Path, allowance: float) -> Point:
    out, following = before.end_direction.right(), after.start_direction.right()
    return before.end + (out + following) * (allowance / (1 + out.dot(following)))


def _below(frame: Frame) -> list[Path]:
    """Both inseams below the trued level, as the front's falls from x = 0: one shape, so that they meet everywhere."""
    if frame.trued_level <= frame.hem_level:
        return []
    start = Point(0.0, frame.trued_level)
    if not frame.falls:
        return [Path.through(start, Point(0.0, frame.hem_level))]
    return [fair_edge([start, *(Point(-inside, height) for height, inside in frame.falls)])]


@lru_cache(maxsize=64)
def _truing(leg: LegDesign, seam: float) -> tuple[float, float]:
    """How far the back crotch point lies below the front's, and the level down to which the inseams are trued.

    As the design says; but trued over more while the back inseam bends too tightly for its seam, down to the hem, and
    where even that is too short, from a crotch point that lies less far below.
    """
    usual, hem = usual_trued_level(leg), -leg.inseam_length
    for step in range(DROPS):
        drop = leg.back_crotch_drop * (1 - step / DROPS)
        if _bears(drop, usual, leg, seam):
            return drop, usual
        if _bears(drop, hem, leg, seam):
            tight, level = usual, hem
            while tight - level > 1:
                middle = (tight + level) / 2
                tight, level = (tight, middle) if _bears(drop, middle, leg, seam) else (middle, level)
            return drop, max(hem, math.floor(level))
    return 0.0, usual


def _bears(drop: float, level: float, leg: LegDesign, seam: float) -> bool:
    return -level > drop and bears(_back_swing(drop, level, leg.back_inseam_angle)[1], seam)


def usual_trued_level(leg: LegDesign) -> float:
    """Down to where the inseams are trued unless they bend too tightly for it."""
    return -min(leg.inseam_shaping * leg.inseam_length, leg.truing_length)


def bears(edge: Path, allowance: float) -> bool:
    """True when a finished edge has room for its allowance: nowhere hollow and bent tighter than that."""
    try:
        edge.offset(-allowance)
    except GeometryError:
        return False
    return True


def _back_inseam(frame: Frame) -> Path:
    """The trued part of the back inseam, from its crotch point down."""
    swung = _back_swing(-frame.back.crotch, frame.trued_level, frame.back.swing)[1]
    return swung.moved(Motion.shift(Vector(-frame.back.reach, 0.0)))


@lru_cache(maxsize=256)
def _back_swing(drop: float, trued_level: float, degrees: float) -> tuple[float, Path]:
    """The trued part of a back inseam from x = 0, and the degrees by which it leaves the crotch point inwards.

    It is as long as the straight front one. Its crotch point lies lower, so it swings inwards; how far is solved for.
    Below, both inseams are of one shape: casings meet there at one distance from the crotch point, and the hem runs
    smooth.
    """
    top, length, tall = Point(0.0, -drop), -trued_level, -drop - trued_level
    if length - tall < 1e-9:
        return 0.0, Path.through(top, Point(0.0, trued_level))
    chord = math.degrees(math.acos(tall / length))
    swing = min(degrees, CHORD_SHARE * chord)
    leave, handle = Vector.at_angle(swing - 90), tall / 3

    def curve(inwards: float) -> Cubic:
        end = Point(inwards, trued_level)
        return Cubic(top, top + leave * handle, end + Vector(0, handle), end)

    straight = math.sqrt(length**2 - tall**2)  # a chord of that length: no curve as long swings further in
    inwards = monotone_root(
        lambda inwards: curve(inwards).length() - length, leave.x * handle, straight, tolerance=1e-12
    )
    return swing, Path((curve(inwards),))


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


def _notes(block: LegBlock, frame: Frame, body: Body, design: ShortDesign) -> Iterator[str]:
    """What the draft did of its own accord, for the reader; the `frame` is that before any fitting."""
    leg = design.leg

    def said(length: float) -> str:
        return design.said(round(length, 1))

    inseam, straight = block.front_inseam.length, -block.hem_level
    if inseam > straight * (1 + design.limits.inseam_slack):
        yield (
            f"the inseam is {said(inseam - straight)} longer than the leg is from crotch line to hem, for it runs "
            "slanting: that much bags between its casings; lower leg.taper or leg.fullness for less"
        )
    if -frame.back.crotch < leg.back_crotch_drop:
        yield (
            f"back crotch point {said(-frame.back.crotch)}, not {said(leg.back_crotch_drop)}, below the front one: "
            "the inseam is too short to true more"
        )
    usual = usual_trued_level(leg)
    if frame.trued_level < usual - 1e-9 and design.at_least(-frame.trued_level) != design.at_least(-usual):
        yield (
            f"inseams are trued over {design.at_least(-frame.trued_level)}, not {design.at_least(-usual)}: over less "
            f"the back inseam would bend tighter than its seam allowance of {said(design.allowances.seam)}"
        )
    if frame.taper < leg.taper:
        yield (
            f"the leg has {frame.taper:.2g} of its taper, not {leg.taper:.2g}: so short, it would bend tighter than "
            f"its seam allowance of {said(design.allowances.seam)}"
        )
    if measured_apart(body) or body.measured("crotch_length"):
        level = frame.waist_level
        drop = level - frame.front.waist
        yield (
            f"crotch seam fitted to the measured crotch length: waist {said(abs(drop))} "
            f"{'dropped' if drop >= 0 else 'raised'} at centre front and {said(frame.back.waist - level)} raised at "
            f"centre back, crotch extensions {said(frame.front.extension)} in front and {said(frame.back.extension)} "
            "behind, crotch depth body rise "
            f"and {said(level - body.known('body_rise'))}"
        )
