"""The crotch seam brought to the body: front and back each as long as the body's crotch length there, and ease.

What gives way, in a cutter's order (common practice, no source): first the waist at the centres (front drop, back
raise), then the crotch extensions, then the scoop of the curves. Where front and back were not measured apart, one may
leave some of its share to the other. Only what these cannot reach is left to the depth of the crotch, which they share.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from blocks.contradictions import Proportions, crotch_span
from blocks.measurements import RANGES, Body
from blocks.parameters import parameters_of
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.frame import Frame, Half, crotch_edge, deepened
from blocks.short.usual import AGAIN, UnusualError
from drafting.curve import monotone_root
from drafting.errors import DraftError, MeasurementError

SEAM_TOLERANCE: Final = 1e-3
"""mm; how near each half of the crotch seam comes to what it is drafted for."""

CLOSE: Final = 0.1
"""mm; a half of the crotch seam that is farther off is not drafted."""

DEPTH_TOLERANCE: Final = 0.01
"""mm; how near the depth of the crotch is told that leaves a half of the seam what it may be."""

NARROW: Final = 3.0
"""mm; where the design leaves a believable crotch length less than this, it is the design that is told of."""

WAY_TOLERANCE: Final = 1e-6
"""Of the way: well below `SEAM_TOLERANCE` on any edge."""

ROUNDS: Final = 12
"""How often a deeper crotch is reckoned anew: a deeper one also lifts the curves a little, each time by far less."""

SHARES: Final[Mapping[str, Callable[[float], float]]] = {
    "waist": lambda way: way * (2 - way),
    "extension": lambda way: way,
    "scoop": lambda way: way * way,
}
"""How far each has given way, from the design's proportions (0) to the end of its range (1), on the way of all: the
waist at once, the extension evenly, the scoop late. All smooth, so that sizes side by side change alike."""


@dataclass(frozen=True, slots=True)
class Target:
    """What the two halves of the crotch seam are drafted for, in mm; `slack` may go from one to the other."""

    front: float
    back: float
    slack: float = 0.0

    @property
    def whole(self) -> float:
        return self.front + self.back


def measured_apart(body: Body) -> bool:
    """True when front and back are known apart from measuring, not from the usual share."""
    return any(body.measured(f"{name}_crotch_length") for name in ("front", "back"))


def target_of(body: Body, leg: LegDesign) -> Target:
    """The body's crotch length in front and behind, each with half of the ease."""
    front, back = body.known("front_crotch_length"), body.known("back_crotch_length")
    slack = 0.0 if measured_apart(body) else leg.crotch_share_slack * (front + back)
    return Target(front + leg.crotch_ease / 2, back + leg.crotch_ease / 2, slack)


def brought_to(target: Target, frame: Frame, body: Body, design: ShortDesign) -> Frame:
    """The frame whose front and back crotch edges together are as long as the target, within 2 `SEAM_TOLERANCE`.

    Raises:
        MeasurementError: a measured crotch length is out of reach beside the other measurements.
        UnusualError: an estimated one is with this design, or a measured one that is believable.
    """
    leg = design.leg
    about = parameters_of(leg)["rise_ease"]
    start, deeper = frame, 0.0
    for _ in range(ROUNDS):
        reach = {half.name: _Reach(half, frame, body, leg) for half in (frame.front, frame.back)}
        front, back = reach["front"], reach["back"]
        least = max(
            (target.whole - front.longest - back.longest) / 2,
            target.front - front.longest - target.slack,
            target.back - back.longest - target.slack,
        )
        most = min(
            (target.whole - front.shortest - back.shortest) / 2,
            target.front - front.shortest + target.slack,
            target.back - back.shortest + target.slack,
        )
        more = min(max(0.0, least), most)
        if abs(more) <= SEAM_TOLERANCE and least <= most + SEAM_TOLERANCE:
            break
        deeper += more
        # A mm of depth is not quite a mm of seam: what can be reached at all shows only where no more can be had.
        if abs(more) <= SEAM_TOLERANCE or not about.low <= leg.rise_ease + deeper <= about.high:
            raise _out_of_reach(target, start, body, design)
        frame = deepened(frame, more)
    give = max(front.shortest - target.front, target.back - back.longest)
    take = min(front.longest - target.front, target.back - back.shortest)
    shift = min(max(0.0, give), take)
    made = replace(frame, front=front.solved(target.front + shift), back=back.solved(target.back - shift))
    for half, wanted in ((made.front, target.front + shift), (made.back, target.back - shift)):
        if abs(crotch_edge(half, made).length - wanted) > CLOSE:
            raise UnusualError(
                f"crotch_length: the {half.name} crotch seam cannot be brought to {design.said(round(wanted, 1))} with "
                "this design"
            )
    return made


class _Reach:
    """What one half of the crotch seam can be drafted to."""

    def __init__(self, half: Half, frame: Frame, body: Body, leg: LegDesign) -> None:
        about, level, hip = parameters_of(leg), frame.waist_level, body.hip_girth
        extension, scoop = about[f"{half.name}_extension"], about[f"{half.name}_scoop"]
        drop, rise = about["front_drop"], about["back_raise"]
        front = half.name == "front"
        self.half, self.frame = half, frame
        self.ends = {
            "waist": (level - drop.high, level - drop.low) if front else (level + rise.low, level + rise.high),
            "extension": (extension.low * hip, extension.high * hip),
            "scoop": (scoop.low, scoop.high),
        }
        self._lengths: dict[float, float] = {}
        self.shortest, self.longest = self._length(-1.0), self._length(1.0)

    def _at(self, way: float) -> Half:
        """The half so far on its way: from -1, the shortest seam, by 0, the design's proportions, to 1, the longest."""
        changed = {}
        for name, share in SHARES.items():
            now = getattr(self.half, name)
            changed[name] = now + share(abs(way)) * (self.ends[name][way > 0] - now)
        return replace(self.half, **changed)

    def _length(self, way: float) -> float:
        if way not in self._lengths:
            self._lengths[way] = crotch_edge(self._at(way), self.frame).length
        return self._lengths[way]

    def solved(self, length: float) -> Half:
        """The half whose crotch edge is that long, or the nearest to it."""
        if not self.shortest < length < self.longest:
            return self._at(1.0 if length >= self.longest else -1.0)
        way = monotone_root(lambda way: self._length(way) - length, -1.0, 1.0, tolerance=WAY_TOLERANCE)
        return self._at(way)


def _out_of_reach(target: Target, frame: Frame, body: Body, design: ShortDesign) -> DraftError:
    """Which crotch length is too long or too short beside which measurements, and what it may be."""
    leg = design.leg
    depths = _Depths(target, frame, body, design)
    key, found, (low, high) = "crotch_length", target.whole, depths.whole()
    if measured_apart(body):
        name = depths.farthest()
        key, found, (low, high) = f"{name}_crotch_length", getattr(target, name), depths.of(name)
    ease = leg.crotch_ease if key == "crotch_length" else leg.crotch_ease / 2
    least, most = _believable(key, body)
    low, high = max(low - ease, least), min(high - ease, most)
    beside = " and ".join(f"{name} {design.said(body.known(name))}" for name in ("body_rise", "hip_girth"))
    measured = body.measured(key) is not None
    told = f"{design.said(round(found - ease, 1))} cannot be drafted beside {beside}"
    told = f"{key}: {told}" if measured else f"{key}: estimated as {told}"
    if high - low < NARROW:
        again = f"measure {key} and body_rise again, or leave {key} out" if measured else AGAIN
        return UnusualError(f"{told} with this design", again)
    span = f"{design.at_least(low)} to {design.at_most(high)}"
    if measured:
        return MeasurementError(f"{told}, which allow {span}; measure {key} and body_rise again")
    return UnusualError(f"{told} with this design, which allows {span}", f"measure {key}, or measure body_rise again")


def _believable(key: str, body: Body) -> tuple[float, float]:
    """What a crotch length may be, so that it does not contradict the other measurements."""
    taken = {name: body.known(name) for name in body.names if body.measured(name) is not None}
    least, most = crotch_span(key, taken, Proportions())
    return max(RANGES[key].low, least + 1), min(RANGES[key].high, most - 1)


class _Depths:
    """How deep the crotch may become, and what the crotch seam can be drafted to by that."""

    def __init__(self, target: Target, frame: Frame, body: Body, design: ShortDesign) -> None:
        about = parameters_of(design.leg)["rise_ease"]
        self.target, self.frame, self.body, self.leg = target, frame, body, design.leg
        self.ends = about.low - design.leg.rise_ease, about.high - design.leg.rise_ease

    def reach(self, name: str, deeper: float) -> _Reach:
        frame = deepened(self.frame, deeper)
        return _Reach(getattr(frame, name), frame, self.body, self.leg)

    def whole(self) -> tuple[float, float]:
        """What the whole crotch seam may be, its halves in the share of the target's."""
        slack, bounds = self.target.slack, []
        for side, deeper in zip(("shortest", "longest"), self.ends, strict=True):
            ends = {name: getattr(self.reach(name, deeper), side) for name in ("front", "back")}
            more = slack if side == "longest" else -slack
            parts = [(end + more) * self.target.whole / getattr(self.target, name) for name, end in ends.items()]
            bounds.append((min if side == "longest" else max)(sum(ends.values()), *parts))
        return bounds[0], bounds[1]

    def farthest(self) -> str:
        """The half that is farther beyond what the other leaves it."""
        off = {}
        for name in ("front", "back"):
            (low, high), wanted = self.of(name), getattr(self.target, name)
            off[name] = max(low - wanted, wanted - high)
        return max(off, key=lambda name: off[name])

    def of(self, name: str) -> tuple[float, float]:
        """What one half may be beside the other one, or beside any if the other is out of reach itself."""
        other = "back" if name == "front" else "front"
        wanted = getattr(self.target, other)
        shallow, deep = self.ends
        least, most = self.reach(other, shallow).shortest, self.reach(other, deep).longest
        if least <= wanted <= most:
            shallow = self._depth(other, "longest", wanted)
            deep = self._depth(other, "shortest", wanted)
        return self.reach(name, shallow).shortest, self.reach(name, deep).longest

    def _depth(self, name: str, side: str, wanted: float) -> float:
        """The depth at which a half is as long as wanted when it gives way all the way, or the nearest."""
        lengths = [getattr(self.reach(name, end), side) for end in self.ends]
        if not lengths[0] < wanted < lengths[1]:
            return self.ends[wanted >= lengths[1]]
        return monotone_root(
            lambda deeper: getattr(self.reach(name, deeper), side) - wanted, *self.ends, tolerance=DEPTH_TOLERANCE
        )
