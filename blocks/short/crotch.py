"""The crotch seam brought to the body: front and back each as long as the body's crotch length there, and ease.

What gives way, in a cutter's order (common practice, no source): first the waist at the centres (front drop, back
raise), then the crotch extensions, then the scoop of the curves. Where front and back were not measured apart, one may
leave some of its share to the other. Only what these cannot reach is left to the depth of the crotch, which they share.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from blocks.measurements import Body
from blocks.parameters import parameters_of
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.frame import Frame, Half, crotch_edge, deepened
from drafting.curve import monotone_root
from drafting.errors import DesignError, DraftError, MeasurementError

SEAM_TOLERANCE: Final = 1e-3
"""mm; how near each half of the crotch seam comes to what it is drafted for."""

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
        DesignError: an estimated one is, with this design.
    """
    leg = design.leg
    about = parameters_of(leg)["rise_ease"]
    deeper = 0.0
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
        if least > most or not about.low <= leg.rise_ease + deeper <= about.high:
            raise _out_of_reach(target, reach, body, design)
        frame = deepened(frame, more)
    give = max(front.shortest - target.front, target.back - back.longest)
    take = min(front.longest - target.front, target.back - back.shortest)
    shift = min(max(0.0, give), take)
    return replace(frame, front=front.solved(target.front + shift), back=back.solved(target.back - shift))


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
        self.shortest, self.longest = self._length(-1.0), self._length(1.0)

    def _at(self, way: float) -> Half:
        """The half so far on its way: from -1, the shortest seam, by 0, the design's proportions, to 1, the longest."""
        changed = {}
        for name, share in SHARES.items():
            now = getattr(self.half, name)
            changed[name] = now + share(abs(way)) * (self.ends[name][way > 0] - now)
        return replace(self.half, **changed)

    def _length(self, way: float) -> float:
        return crotch_edge(self._at(way), self.frame).length

    def solved(self, length: float) -> Half:
        """The half whose crotch edge is that long, or the nearest to it."""
        if not self.shortest < length < self.longest:
            return self._at(1.0 if length >= self.longest else -1.0)
        way = monotone_root(lambda way: self._length(way) - length, -1.0, 1.0, tolerance=1e-7)
        return self._at(way)


def _out_of_reach(target: Target, reach: Mapping[str, _Reach], body: Body, design: ShortDesign) -> DraftError:
    """Which crotch length is too long or too short beside which measurements, and what it may be."""
    leg, about = design.leg, parameters_of(design.leg)["rise_ease"]
    shallow, deep = about.low - leg.rise_ease, about.high - leg.rise_ease
    ends = {name: (half.shortest + shallow, half.longest + deep) for name, half in reach.items()}
    parts = {"front": target.front, "back": target.back}
    key, found = "crotch_length", target.whole
    low, high = (sum(end[index] for end in ends.values()) for index in (0, 1))
    if measured_apart(body):
        name = max(parts, key=lambda name: max(ends[name][0] - parts[name], parts[name] - ends[name][1]))
        key, found, (low, high) = f"{name}_crotch_length", parts[name], ends[name]
    ease = leg.crotch_ease if key == "crotch_length" else leg.crotch_ease / 2
    beside = " and ".join(f"{name} {design.said(body.known(name))}" for name in ("body_rise", "hip_girth"))
    told = (
        f"{design.said(found - ease)} cannot be drafted beside {beside}, which allow {design.at_least(low - ease)} to "
        f"{design.at_most(high - ease)}"
    )
    if key == "crotch_length" and body.measured(key) is None:
        return DesignError(f"{key}: estimated as {told}; measure it, or measure body_rise again")
    return MeasurementError(f"{key}: {told}; measure {key} and body_rise again")
