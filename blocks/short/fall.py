"""How wide a leg is away from the crotch: its taper to the girths of the leg, and its fullness zone by zone."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from blocks.measurements import Body
from blocks.short.design import ShortDesign
from blocks.short.frame import Frame
from drafting.errors import DesignError
from drafting.interpolate import Pchip

Levels = tuple[tuple[float, float], ...]
"""Heights above the crotch line in mm, and a value at each."""

APART: Final = 1.0
"""mm; heights nearer than this are one place: no edge turns between them."""


def gathers(zones: Levels, fullness: float) -> Levels:
    """Width of cloth over that at the hip level, at the zones above the crotch line; none where all are as full."""
    found = tuple((height, full / fullness) for height, full in zones if height > 0)
    return found if any(gather != 1 for _, gather in found) else ()


def falls(frame: Frame, body: Body, design: ShortDesign, zones: Levels) -> Levels:
    """How far each inseam lies inside its upright at heights below the trued level, down to the hem, in mm.

    Taper takes the leg's width from that at the trued level to the girths of the thigh, knee, calf and ankle, in their
    proportion; what lies above a wider part is no narrower, for the leg must pass over it. Zones make it fuller.

    Raises:
        DesignError: the leg is longer than the body's.
    """
    leg = design.leg
    floor = body.known("inside_leg_height")
    if -frame.hem_level > floor:
        raise DesignError(
            f"leg.inseam_length: {design.said(-frame.hem_level)} is longer than this body's inside leg height of "
            f"{design.said(floor)}; set it to {design.at_most(floor)} at most"
        )
    low = [(height, full / leg.fullness) for height, full in zones if height < frame.trued_level - APART]
    if (not leg.taper and all(full == 1 for _, full in low)) or frame.trued_level - frame.hem_level < APART:
        return ()
    girths = _girths(body, frame.trued_level)
    full = _steps([*low, (frame.trued_level, 1.0)])
    heights = {height for height, _ in (*girths, *low)} | {frame.hem_level}
    inside = sorted((y for y in heights if frame.hem_level <= y < frame.trued_level - APART), reverse=True)
    places = [*(y for y, below in pairwise(inside) if y - below >= APART), inside[-1]]
    narrow = _steps(girths)
    width = frame.front.reach + frame.back.reach
    return tuple((y, width / 2 * (1 - (1 - leg.taper * (1 - narrow(y))) * full(y))) for y in places)


def _girths(body: Body, top: float) -> list[tuple[float, float]]:
    """The girths of the leg over that of the thigh, lowest first, each at its height, up to the thigh's at `top`."""
    crotch = body.known("inside_leg_height")
    found, widest = [], 0.0
    for name in ("ankle", "calf", "knee"):
        height = body.known(f"{name}_height") - crotch
        widest = max(widest, body.known(f"{name}_girth") / body.thigh_girth)
        if height < top - APART:
            found.append((height, min(1.0, widest)))
    return [*found, (top, 1.0)]


def _steps(levels: Sequence[tuple[float, float]]) -> Pchip:
    """Values between levels that rise and fall only where theirs do."""
    heights, values = zip(*levels, strict=True)
    if len(heights) == 1:
        heights, values = (heights[0] - APART, *heights), (*values, *values)
    return Pchip(heights, values)
