"""A body in outline, with the lines along which it is measured: from the front, from the side and seated.

Torso breadths and levels are those of a given body; what no measurement tells follows common figure proportions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from blocks.measurements import Body, check_name
from blocks.parameters import MEMORY, PRACTICE, check_parameters, parameter
from drafting.curve import Cubic
from drafting.path import Path
from drafting.picture import (
    Label,
    Picture,
    Scale,
    Trace,
    arrow,
    circle,
    ellipse,
    line,
    outlined,
    row,
    smooth,
)
from drafting.point import Motion, Point, Vector
from drafting.role import Role

RING: Final = 2.1
BASE: Final = 0.972
"""mm; radius of a number's ring, and how far the number's base line lies below its centre."""


CLOSE: Final = 0.03
"""From a body to an arrow that stands alone beside it, over its height."""

TORSO_GIRTHS: Final = ("waist_girth", "high_hip_girth", "hip_girth")
LEG_GIRTHS: Final = ("thigh_girth", "knee_girth", "calf_girth", "ankle_girth")
LEG_HEIGHTS: Final = ("inside_leg_height", "knee_height", "calf_height", "ankle_height")


@dataclass(frozen=True, slots=True)
class Build:
    """How the figure is drawn where no measurement tells.

    Raises:
        DesignError: a parameter is outside its range.
    """

    oval: float = parameter(1.35, "", 1.0, 1.8, "breadth of the torso over its depth", PRACTICE)
    crotch: float = parameter(0.465, "", 0.4, 0.52, "crotch above the floor, over height", PRACTICE)
    tilt: float = parameter(0.32, "", 0.0, 0.5, "a level tape seen from the front dips, over half its width", PRACTICE)

    high_hip: float = parameter(0.5, "", 0, 1, "high hip on the way from waist to hip", PRACTICE)
    body_rise: float = parameter(0.163, "", 0.12, 0.22, "body rise over height, where none is known", MEMORY)

    def __post_init__(self) -> None:
        check_parameters(self, "build")


BUILD: Final = Build()


def measuring_picture(
    body: Body, names: Sequence[str], *, tall: float, high_hip: float = 0.5, build: Build = BUILD
) -> Picture:
    """The figures on which these measurements can be shown, the standing ones `tall` mm high on paper.

    Each tape has the number of its measurement among `names`, from 1. The high-hip girth is taken so far down from
    waist to hip as the share `high_hip`.
    """
    body, build = _completed(body, build), replace(build, high_hip=high_hip)
    scale = tall / body.known("height")
    figures = [draw(body, build) for draw in (_front, _side, _seated)]
    return row([_placed(figure, names, scale) for figure in figures if figure.shows(names)], gap=7)


def tape_picture(body: Body, name: str, *, tall: float, build: Build = BUILD) -> Picture:
    """The figure on which one measurement is shown, `tall` mm high if it stands, with the tape alone.

    Raises:
        MeasurementError: no measurement has that name.
    """
    check_name(name)
    body = _completed(body, build)
    figures = (draw(body, build) for draw in (_front, _side, _seated))
    figure = next(figure for figure in figures if figure.shows((name,)))
    return _drawn_close(_placed(figure, (name,), tall / body.known("height"), plain=True), CLOSE * tall)


def _drawn_close(picture: Picture, gap: float) -> Picture:
    """A picture whose upright arrow, if any, stands no further than that to the left of the body: there is one alone,
    and no number beside it.
    """
    arrows = [trace.path.bounds for trace in picture.traces if trace.role is Role.TICK]
    near = min(trace.path.bounds[0] for trace in picture.traces if trace.role is Role.SKIN) - gap
    at = min((left + right) / 2 for left, _, right, _ in arrows) if arrows else near
    if at >= near:
        return picture

    def closer(point: Point) -> Point:
        return Point(near + point.x - at, point.y) if point.x < near else point

    traces = (
        replace(one, path=Path(tuple(part.mapped(closer) for part in one.path.segments))) for one in picture.traces
    )
    return Picture(tuple(traces))


def _completed(body: Body, build: Build) -> Body:
    """The body, with a height and a body rise to be drawn by where a garment asks for neither."""
    height = body.inside_leg_height / build.crotch if body.height is None else body.height
    rise = height * build.body_rise if body.body_rise is None else body.body_rise
    return replace(body, height=height, body_rise=rise)


@dataclass(frozen=True, slots=True)
class _Figure:
    """A body in real mm, the floor at y = 0: what is drawn, in order, each with the measurement it shows, if any."""

    drawn: tuple[tuple[str, tuple[Trace, ...]], ...]
    numbers: tuple[tuple[str, Point], ...]

    def shows(self, names: Sequence[str]) -> bool:
        return any(name in names for name, _ in self.numbers)


def _placed(figure: _Figure, names: Sequence[str], scale: float, *, plain: bool = False) -> Picture:
    """A figure with its tapes; `plain` without their numbers and what leads there."""
    to = Scale(scale)
    traces = [
        Trace(to.path(trace.path), trace.role, trace.filled)
        for name, shown in figure.drawn
        for trace in shown
        if (not name or name in names) and not (plain and trace.role is Role.TAPE_LEADER)
    ]
    labels: list[Label] = []
    if plain:
        return Picture(tuple(traces))
    for name, place in figure.numbers:
        if name in names:
            at = to(place)
            traces += outlined(Role.INSIDE, circle(at, RING), Role.RING)
            labels.append(Label(at - Vector(0, BASE), str(names.index(name) + 1), bold=True))
    return Picture(tuple(traces), labels=tuple(labels))


def _levels(body: Body, build: Build) -> tuple[float, float, float, float]:
    """Heights above the floor of waist, high hip, hip and crotch."""
    crotch = body.known("height") * build.crotch
    waist = crotch + body.known("body_rise")
    return waist, waist - body.waist_to_hip * build.high_hip, waist - body.waist_to_hip, crotch


def _half_breadth(girth: float, build: Build) -> float:
    """Half the breadth of an oval of that girth: 2 pi times the root mean square of its half axes, from memory."""
    return girth / (2 * math.pi) * math.sqrt(2 / (1 + build.oval**-2))


def _front(body: Body, build: Build) -> _Figure:
    tall = body.known("height")
    waist, high_hip, hip, crotch = _levels(body, build)
    girths = (body.waist_girth, body.high_hip_girth, body.hip_girth)
    breadths = [_half_breadth(girth, build) for girth in girths]
    thigh_y = crotch - 0.025 * tall
    thigh_out = min(breadths[2] * 0.98, 0.006 * tall + body.thigh_girth / math.pi)
    chest = max(0.095 * tall, breadths[0] * 1.12)
    outer = [
        Point(0.032 * tall, 0.882 * tall),
        Point(0.036 * tall, 0.845 * tall),
        Point(chest * 1.12, 0.825 * tall),
        Point(chest, 0.745 * tall),
        Point(breadths[0], waist),
        Point(breadths[1], high_hip),
        Point(breadths[2], hip),
        Point(thigh_out, thigh_y),
        Point(max(0.062 * tall, thigh_out * 0.66), 0.275 * tall),
        Point(max(0.060 * tall, thigh_out * 0.62), 0.2 * tall),
        Point(0.042 * tall, 0.05 * tall),
        Point(0.056 * tall, 0.004 * tall),
    ]
    inner = [
        Point(0.018 * tall, 0.004 * tall),
        Point(0.018 * tall, 0.05 * tall),
        Point(0.010 * tall, 0.2 * tall),
        Point(0.012 * tall, 0.275 * tall),
        Point(0.006 * tall, thigh_y),
        Point(0.0, crotch),
    ]
    arm = _arm(chest, tall, hip, breadths[2])
    half = [smooth(outer), Path.through(outer[-1], inner[0]), smooth(inner)]
    right = Path.joined(half)
    mirror = Motion.mirror_side(0)
    left = right.moved(mirror).reversed()
    body_line = Path((*right.segments, *left.segments, *Path.through(left.end, right.start).segments))
    figure = (
        *(trace for shape in (arm, arm.moved(mirror)) for trace in outlined(Role.SKIN, shape, Role.FINE)),
        *outlined(Role.SKIN, body_line),
        *outlined(Role.SKIN, ellipse(Point(0, 0.935 * tall), 0.045 * tall, 0.063 * tall)),
    )
    away = 0.20 * tall
    beside = -away - 0.055 * tall
    drawn: list[tuple[str, tuple[Trace, ...]]] = [("", figure)]
    numbers: list[tuple[str, Point]] = []
    levels = (0.275 * tall, 0.2 * tall, 0.05 * tall)
    outside, inside = (thigh_out, *(point.x for point in outer[-4:-1])), (point.x for point in inner[4:0:-1])
    rounds = [
        *zip(TORSO_GIRTHS, (waist, high_hip, hip), (-half for half in breadths), breadths, strict=True),
        *zip(LEG_GIRTHS, (thigh_y, *levels), inside, outside, strict=True),
    ]
    for name, y, left_x, right_x in rounds:
        leader = line(Role.TAPE_LEADER, Point(right_x, y), Point(away, y))
        drawn.append((name, (*_round(left_x, right_x, y, build.tilt), leader)))
        numbers.append((name, Point(away, y)))
    drop = Path.through(Point(-breadths[0], waist), Point(-breadths[1], high_hip), Point(-breadths[2], hip))
    place = Point(-away, (waist + hip) / 2)
    leader = line(Role.TAPE_LEADER, Point(-breadths[1], high_hip), place)
    drawn.append(("waist_to_hip", (Trace(drop, Role.TAPE), leader)))
    numbers.append(("waist_to_hip", place))
    drawn.append(("height", _upright(beside, 0.0, tall, 0.02 * tall)))
    numbers.append(("height", Point(beside, tall * 0.30)))
    for column, (name, y) in enumerate(zip(LEG_HEIGHTS, (crotch, *levels), strict=True), start=1):
        x = beside - 0.048 * column * tall
        floor = line(Role.FINE, Point(x - 0.02 * tall, 0), Point(beside, 0))
        level = line(Role.LEVEL, Point(x, y), Point(-0.02 * tall, y))
        drawn.append((name, (*_upright(x, 0.0, y, 0.012 * tall), floor, level)))
        numbers.append((name, Point(x, y + 0.035 * tall)))
    drawn.append(("", (line(Role.FINE, Point(beside - 0.02 * tall, 0), Point(away, 0)),)))
    return _Figure(tuple(drawn), tuple(numbers))


def _arm(chest: float, tall: float, hip: float, breadth: float) -> Path:
    """An arm held away from the body."""
    out = max(0.16 * tall, breadth * 1.08)
    points = [
        Point(chest * 1.05, 0.822 * tall),
        Point(chest * 1.30, 0.79 * tall),
        Point(chest * 1.30 + 0.018 * tall, 0.66 * tall),
        Point(out + 0.012 * tall, 0.53 * tall),
        Point(out + 0.014 * tall, hip - 0.035 * tall),
        Point(out - 0.012 * tall, hip - 0.04 * tall),
        Point(out - 0.020 * tall, 0.53 * tall),
        Point(chest * 1.12, 0.65 * tall),
        Point(chest, 0.74 * tall),
    ]
    return smooth(points, closed=True)


def _round(left_x: float, right_x: float, y: float, tilt: float) -> tuple[Trace, Trace]:
    """A tape round torso or leg: unbroken in front, dashed behind."""
    left, right, half = Point(left_x, y), Point(right_x, y), (right_x - left_x) / 2
    across, dip = Vector(half * 0.55, 0), half * tilt * 0.55
    front = Path((Cubic(left, left + across - Vector(0, dip), right - across - Vector(0, dip), right),))
    behind = Path((Cubic(left, left + across + Vector(0, dip), right - across + Vector(0, dip), right),))
    return Trace(behind, Role.TAPE_BEHIND), Trace(front, Role.TAPE)


def _upright(x: float, low: float, high: float, head: float) -> tuple[Trace, ...]:
    middle = Point(x, (low + high) / 2)
    return *arrow(middle, Point(x, low), Role.TICK, head=head), *arrow(middle, Point(x, high), Role.TICK, head=head)


def _profile(body: Body, build: Build) -> tuple[float, float, float]:
    """Depths from the middle line: belly at the waist, seat at the hip, and thigh radius."""
    waist = _half_breadth(body.waist_girth, build) / build.oval
    hip = _half_breadth(body.hip_girth, build) / build.oval
    return waist, hip, body.thigh_girth / (2 * math.pi)


def _side(body: Body, build: Build) -> _Figure:
    """Facing right, with the tape from front waist between the legs to back waist."""
    tall = body.known("height")
    waist, high_hip, hip, crotch = _levels(body, build)
    belly, seat, thigh = _profile(body, build)
    front = [
        Point(0.012 * tall, 0.882 * tall),
        Point(0.02 * tall, 0.835 * tall),
        Point(belly * 1.12 + 0.02 * tall, 0.73 * tall),
        Point(belly, waist),
        Point(belly * 1.04, high_hip),
        Point(thigh * 1.02, crotch),
        Point(0.04 * tall, 0.285 * tall),
        Point(0.026 * tall, 0.2 * tall),
        Point(0.022 * tall, 0.045 * tall),
        Point(0.085 * tall, 0.018 * tall),
        Point(0.088 * tall, 0.003 * tall),
    ]
    back = [
        Point(-0.036 * tall, 0.003 * tall),
        Point(-0.034 * tall, 0.04 * tall),
        Point(-0.045 * tall, 0.2 * tall),
        Point(-0.035 * tall, 0.275 * tall),
        Point(-thigh * 0.9, crotch - 0.02 * tall),
        Point(-seat * 1.12, hip),
        Point(-belly * 0.86, waist),
        Point(-0.075 * tall, 0.75 * tall),
        Point(-0.042 * tall, 0.835 * tall),
        Point(-0.034 * tall, 0.882 * tall),
    ]
    outline = Path.joined(
        [
            smooth(front),
            Path.through(front[-1], back[0]),
            smooth(back),
            Path.through(back[-1], front[0]),
        ]
    )
    top, bottom = Point(belly, waist), Point(-belly * 0.86, waist)
    before, behind = Point(belly * 1.02, high_hip), Point(-seat * 1.10, hip)
    between = Point(0.0, crotch)
    down = [top, before, Point(thigh * 0.62, crotch + 0.03 * tall), between]
    up = [between, Point(-thigh * 0.62, crotch + 0.01 * tall), behind, bottom]
    away = max(belly, thigh) + 0.1 * tall
    at = Point(away, crotch - 0.02 * tall)
    front_at, back_at = Point(away, high_hip), Point(-seat * 1.12 - 0.06 * tall, high_hip)
    traces = [
        *outlined(Role.SKIN, outline),
        *outlined(Role.SKIN, ellipse(Point(0.0, 0.935 * tall), 0.052 * tall, 0.063 * tall)),
        line(Role.LEVEL, bottom, top),
        line(Role.FINE, Point(-0.1 * tall, 0), Point(0.12 * tall, 0)),
    ]
    tapes = (
        ("crotch_length", [*down, *up[1:]], between, at),
        ("front_crotch_length", down, before, front_at),
        ("back_crotch_length", up, behind, back_at),
    )
    drawn = [
        (name, (Trace(smooth(tape), Role.TAPE), line(Role.TAPE_LEADER, start, place)))
        for name, tape, start, place in tapes
    ]
    return _Figure((("", tuple(traces)), *drawn), tuple((name, place) for name, _, _, place in tapes))


def _seated(body: Body, build: Build) -> _Figure:
    """Seated upright on a hard chair, facing right, with the rise from waist to seat."""
    tall = body.known("height")
    belly, seat, thigh = _profile(body, build)
    chair = 0.26 * tall
    waist = chair + body.known("body_rise")
    knee = 0.27 * tall
    up = waist - tall * build.crotch - body.known("body_rise")  # the torso sits so much lower than it stands

    def above(share: float) -> float:
        return share * tall + up

    lap = chair + 2 * thigh * 0.88
    shape: Sequence[Point] = [
        Point(0.012 * tall, above(0.882)),
        Point(0.02 * tall, above(0.835)),
        Point(belly * 1.12 + 0.02 * tall, above(0.73)),
        Point(belly, waist),
        Point(belly * 1.10, lap + 0.02 * tall),
        Point(knee * 0.75, lap - 0.01 * tall),
        Point(knee, chair + 0.045 * tall),
        Point(knee - 0.006 * tall, 0.16 * tall),
        Point(knee - 0.02 * tall, 0.045 * tall),
        Point(knee + 0.045 * tall, 0.018 * tall),
        Point(knee + 0.048 * tall, 0.003 * tall),
    ]
    under: Sequence[Point] = [
        Point(knee - 0.078 * tall, 0.003 * tall),
        Point(knee - 0.076 * tall, 0.045 * tall),
        Point(knee - 0.085 * tall, 0.17 * tall),
        Point(knee - 0.09 * tall, chair - 0.012 * tall),
        Point(knee * 0.45, chair),
        Point(-seat * 0.5, chair),
        Point(-seat * 1.15, chair + 0.05 * tall),
        Point(-belly * 0.86, waist),
        Point(-0.075 * tall, above(0.75)),
        Point(-0.042 * tall, above(0.835)),
        Point(-0.034 * tall, above(0.882)),
    ]
    outline = Path.joined(
        [
            smooth(shape),
            Path.through(shape[-1], under[0]),
            smooth(under),
            Path.through(under[-1], shape[0]),
        ]
    )
    back, front = -seat * 1.15 - 0.01 * tall, knee * 0.62
    thick = 0.018 * tall
    frame = Path.through(
        Point(back, chair - thick),
        Point(front, chair - thick),
        Point(front, chair),
        Point(back, chair),
        Point(back, chair - thick),
    )
    legs = [line(Role.OUTLINE, Point(x, chair - thick), Point(x, 0)) for x in (back + thick, front - thick)]
    away = back - 0.045 * tall
    traces = [
        *legs,
        *outlined(Role.SKIN, outline),
        *outlined(Role.SKIN, ellipse(Point(0.0, above(0.935)), 0.052 * tall, 0.063 * tall)),
        *outlined(Role.SHADE, frame),
        line(Role.LEVEL, Point(away, waist), Point(belly, waist)),
        line(Role.LEVEL, Point(away, chair), Point(back, chair)),
        *_upright(away, chair, waist, 0.02 * tall),
        line(Role.FINE, Point(away, 0), Point(knee + 0.07 * tall, 0)),
    ]
    place = Point(away - 0.04 * tall, (chair + waist) / 2)
    return _Figure((("", tuple(traces)),), (("body_rise", place),))
