"""The frame of a leg: every number that its edges are drawn from, worked out from a body and a design before any edge.

In mm, y up, from side line x crotch line. Halves are measured outwards from the side line, so that the front's numbers
and the back's are both positive. What changes the fit changes these numbers: curves drawn from them stay fair.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, tan
from typing import Final

from blocks.measurements import Body
from blocks.short.design import LegDesign
from blocks.short.usual import UnusualError
from drafting.curve import Cubic, Line
from drafting.fair import fair_edge
from drafting.path import Path
from drafting.point import Motion, Point, Vector
from drafting.units import show_cm

ZONE_START: Final = 1 / 3
ZONE_END: Final = 0.85
"""How far up an edge comes to the fullness of a zone: at the least, of what is left below the next zone, and at the
most, of what is left below the waist."""


OVER_ARC: Final = 0.01
"""How much more than an arc's the scoop of a crotch curve is at the least: with less it is tightest at both ends."""


@dataclass(frozen=True, slots=True)
class Half:
    """The front or the back of a leg."""

    name: str
    width: float
    """From the side line to the centre line at the hip level, or where the curve starts if that is lower."""
    extension: float
    """From the centre line at the hip level out to the crotch point."""
    lean: float
    """How far the centre line leans in at the waist."""
    waist: float
    """Height of the waist at the centre line."""
    crotch: float
    """Height of the crotch point."""
    curve: float
    """Height at which the crotch curve leaves the centre line: from the hip level, where that is in these bounds."""
    spread: float
    """Least height of the curve's start over the extension: a low, wide curve would bend too tightly."""
    ceiling: float
    """Greatest height of the curve's start over that of the waist."""
    scoop: float
    """How far the crotch curve is drawn into the corner of its two tangents: 0 is a chord, 1 the corner."""
    swing: float = 0.0
    """Degrees that the inseam leaves the crotch point inwards from the grain; the curve arrives square to it."""

    @property
    def reach(self) -> float:
        """From the side line to the crotch point."""
        return self.width + self.extension

    @property
    def top(self) -> float:
        """Height at which the crotch curve starts."""
        return min(max(self.curve, self.spread * self.extension), self.ceiling * self.waist)


@dataclass(frozen=True, slots=True)
class Frame:
    """A leg in numbers: its two halves, and the levels they share. `waist_level` is the high rise's at the side."""

    front: Half
    back: Half
    waist_level: float
    hip_level: float
    trued_level: float
    hem_level: float
    longer: float = 0.0
    """How much longer the leg is than its design's, by what a fitting found."""
    side: float = 0.0
    """How much higher than the waist level the waist edge is at the side, in either rise."""
    falls: tuple[tuple[float, float], ...] = ()
    """How far each inseam lies inside its upright at heights below the trued level, down to the hem."""
    taper: float = 0.0
    """How much of the design's taper is in the falls: all, or as much as a short leg bears."""
    gathers: tuple[tuple[float, float], ...] = ()
    """Width of cloth over that at the hip level, at heights above the crotch curves: more or less fullness up there."""


def neutral(body: Body, leg: LegDesign, *, swing: float, crotch_drop: float, trued_level: float) -> Frame:
    """The frame by the proportions of the design alone, before its crotch seam is brought to the body's."""
    waist = body.known("body_rise") + leg.rise_ease
    hip = waist - body.waist_to_hip
    curve = max(hip, leg.curve_floor * waist)
    upright = min(1.0, body.waist_to_hip / leg.lean_height)
    quarter = (body.hip_girth + leg.hip_ease) / 4
    front = Half(
        "front",
        width=(quarter - leg.panel_shift) * leg.fullness,
        extension=leg.front_extension * body.hip_girth,
        lean=leg.front_lean * upright,
        waist=waist - leg.front_drop,
        crotch=0.0,
        curve=curve,
        spread=leg.curve_spread,
        ceiling=leg.curve_ceiling,
        scoop=leg.front_scoop,
    )
    back = Half(
        "back",
        width=(quarter + leg.panel_shift) * leg.fullness,
        extension=leg.back_extension * body.hip_girth,
        lean=leg.back_lean * upright,
        waist=waist + leg.back_raise,
        crotch=-crotch_drop,
        curve=curve,
        spread=leg.curve_spread,
        ceiling=leg.curve_ceiling,
        scoop=leg.back_scoop,
        swing=swing,
    )
    return Frame(front, back, waist, hip, trued_level, -leg.inseam_length)


def deepened(frame: Frame, by: float) -> Frame:
    """The frame with its waist and hips lifted off the crotch line: a deeper crotch, by so many mm."""
    return replace(
        frame,
        front=replace(frame.front, waist=frame.front.waist + by, curve=frame.front.curve + by),
        back=replace(frame.back, waist=frame.back.waist + by, curve=frame.back.curve + by),
        waist_level=frame.waist_level + by,
        hip_level=frame.hip_level + by,
        gathers=tuple((height + by, gather) for height, gather in frame.gathers),
    )


def crotch_edge(half: Half, frame: Frame) -> Path:
    """One half's edge from the crotch point up to the waist: one cubic, then the centre line.

    The curve leaves the centre line in its direction and arrives square to the inseam. Its handles reach `scoop` of the
    way to the corner of the two tangents, so it has no inflection and only ever runs outwards and down; they reach a
    little farther than an arc's at the least, so it is tightest in one place.

    Raises:
        UnusualError: there is no room for the curve.
    """
    edge = _outwards(half, frame)
    return edge.moved(Motion.mirror_side(0.0)) if half.name == "back" else edge


def _outwards(half: Half, frame: Frame) -> Path:
    """The edge with its centre to the right, as the front's lies."""
    waist, point = Point(half.width - half.lean, half.waist), Point(half.reach, half.crotch)
    down = (Point(half.width, min(frame.hip_level, half.top)) - waist).unit()
    start = waist + down * ((half.top - waist.y) / down.y)
    arrive = Vector.at_angle(-half.swing)
    corner = point - arrive * (down.cross(point - start) / down.cross(arrive))
    if not point.y - 1e-9 <= corner.y < start.y or (corner - point).dot(arrive) >= 0:
        raise UnusualError(
            f"{half.name} crotch curve: it has no room between {show_cm(start.y)} above the crotch line and the crotch "
            "point"
        )
    scoop = max(half.scoop, _round_scoop(start, corner, point))
    curve = Cubic(point, point.toward(corner, scoop), start.toward(corner, scoop), start)
    if not frame.gathers:
        return Path((curve, Line(start, waist)))
    places = [start]
    for index, (height, gather) in enumerate(frame.gathers):
        # An edge never comes to the fullness of a zone at once, or lengths would jump where the curve reaches up to the
        # zone's middle, or the waist is cut down to it.
        low, later = places[-1].y, frame.gathers[index + 1 :]
        above = min(waist.y, next((other for other, _ in later if other > low), waist.y))
        y = min(max(height, low + ZONE_START * (above - low)), low + ZONE_END * (waist.y - low))
        places.append(_beside(start, down, y, half.width * (gather - 1)))
    # Over the last zone the edge runs on as it comes, so that its fullness is that of the middle: the mean.
    below, middle = places[-2:]
    flare = (middle.x - below.x) / (middle.y - below.y)
    places.append(Point(middle.x + flare * (waist.y - middle.y), waist.y))
    lean = down.x / down.y
    return Path((curve, *fair_edge(places, first=lean, last=flare).segments))


def _round_scoop(start: Point, corner: Point, end: Point) -> float:
    """The least scoop of a curve from start to end that bends more, then less: a little over that of an arc."""
    into, out = corner - start, end - corner
    turn = atan2(abs(into.cross(out)), into.dot(out))
    return 4 / 3 * tan(turn / 4) / tan(turn / 2) + OVER_ARC


def _beside(start: Point, along: Vector, height: float, out: float) -> Point:
    """The place at a height on a line from `start`, moved outwards."""
    return Point(start.x + along.x / along.y * (height - start.y) + out, height)
