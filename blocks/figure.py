"""A wearer's figure: how far it is round the body at every height. In mm, heights as a block counts them.

A tape goes round both legs together down to where they part, and round one leg below.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from blocks.measurements import Body
from drafting.interpolate import Pchip

HALF: Final = 0.5
"""The thigh's girth is never taken further down than so far on the way to the knee, however short the leg."""


@dataclass(frozen=True, slots=True)
class Level:
    """A girth of the body, at a height; `name` is what is there."""

    name: str
    height: float
    girth: float


@dataclass(frozen=True, slots=True)
class Figure:
    """The girths of one body from the waist down, each part lowest first.

    `trunk` reaches from the hips to the waist; the hip girth holds below it, legs together. `leg` is one leg from the
    ankle to the thigh, whose girth holds up to the `crotch`; without it a garment goes round both legs to its hem.
    `heel` is the girth that a foot is drawn through a leg with, over heel and instep.
    """

    trunk: tuple[Level, ...]
    leg: tuple[Level, ...] = ()
    crotch: float = 0.0
    heel: float = 0.0

    def legs_at(self, height: float) -> int:
        """How many legs a tape at that height goes round: 2, and 1 at the crotch and below."""
        return 1 if self.leg and height <= self.crotch else 2

    def girth_at(self, height: float) -> float:
        """The girth at a height: shape-preserving interpolation (PCHIP) between the levels, held beyond their ends."""
        levels = self._part(height)
        heights, girths = zip(*((level.height, level.girth) for level in levels), strict=True)
        return Pchip(heights, girths)(height)

    def widest_below(self, height: float) -> Level:
        """Where the body is widest of all that a garment drawn on from the feet passes on its way to that height."""
        return max(self._passed(height), key=lambda level: level.girth)

    def _part(self, height: float) -> tuple[Level, ...]:
        return self.leg if self.legs_at(height) == 1 else self.trunk

    def _passed(self, height: float) -> Iterator[Level]:
        levels = self._part(height)
        yield from (level for level in levels if level.height < height)
        yield Level("", height, self.girth_at(height))
        if levels is self.leg:
            yield Level("heel", levels[0].height, self.heel)


def trunk_of(body: Body, *, waist: float, high_hip_share: float, longer: float = 0.0) -> tuple[Level, ...]:
    """A body from the hips up, its waist at that height, its high hip that share of the way down to the hips.

    The way is as long as was measured, or `longer` where a fitting found it so.
    """
    down = body.waist_to_hip + longer
    return (
        Level("hips", waist - down, body.hip_girth),
        Level("high hips", waist - high_hip_share * down, body.high_hip_girth),
        Level("waist", waist, body.waist_girth),
    )


def leg_of(body: Body, *, crotch: float, thigh_drop: float) -> tuple[Level, ...]:
    """One leg of a body from the ankle up, its crotch at that height and its thigh girth taken so far below it.

    Raises:
        MeasurementError: a girth or height of the leg is not known of this body.
    """
    floor = crotch - body.known("inside_leg_height")
    knee = floor + body.known("knee_height")
    thigh = crotch - min(thigh_drop, HALF * (crotch - knee))
    return (
        Level("ankle", floor + body.known("ankle_height"), body.known("ankle_girth")),
        Level("calf", floor + body.known("calf_height"), body.known("calf_girth")),
        Level("knee", knee, body.known("knee_girth")),
        Level("thigh", thigh, body.known("thigh_girth")),
    )
