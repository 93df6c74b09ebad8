"""How wide a leg is away from the crotch: its taper to the girths of the leg, and its fullness zone by zone."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor
from typing import Final

from blocks.measurements import Body
from blocks.short.casings import PlacedCasing
from blocks.short.design import ShortDesign
from blocks.short.frame import Frame
from drafting.errors import DesignError
from drafting.interpolate import Pchip

Levels = tuple[tuple[float, float], ...]
"""Heights above the crotch line in mm, and a value at each."""

ROUNDING: Final = 1e-9

APART: Final = 30.0
"""mm; heights nearer than this are one place: an edge that turned between them would bend too tightly for a seam."""


def gathers(zones: Levels, fullness: float) -> Levels:
    """Width of cloth over that at the hip level, at the zones above the crotch line; none where all are as full."""
    found = tuple((height, full / fullness) for height, full in zones if height > 0)
    return found if any(gather != 1 for _, gather in found) else ()


def check_zones(frame: Frame, casings: Sequence[PlacedCasing], design: ShortDesign, zones: Levels) -> None:
    """Hold the fullness of each zone to what the edges can come to from that of the zone before, seen from the crotch.

    Raises:
        DesignError: an edge would run too far sideways; the message names the casing and the fullness that it may have.
    """
    leg, width = design.leg, max(frame.front.width, frame.back.width)
    top = max(frame.front.top, frame.back.top)
    rising = [zone for zone in zones if zone[0] > 0]
    falling = [zone for zone in reversed(zones) if zone[0] < 0]
    for start, beyond in ((top, rising), (frame.trued_level, falling)):
        level, full = start, leg.fullness
        for height, wanted in beyond:
            room = leg.flare_limit * abs(height - level) * leg.fullness / width
            if abs(wanted - full) > room + ROUNDING:
                most = max(floor((full + room) * 100) / 100, full)
                if wanted < full:
                    most = min(ceil((full - room) * 100) / 100, full)
                casing = _before(height, casings)
                raise DesignError(
                    f"casing {casing.name!r}: its fullness of {wanted:g} beside one of {full:g} would slant the edges "
                    f"of the leg by more than leg.flare_limit allows; set it to {most:g} at "
                    f"{'most' if wanted > full else 'least'}"
                )
            level, full = height, wanted


def _before(height: float, casings: Sequence[PlacedCasing]) -> PlacedCasing:
    """The casing that a zone with its middle at that height lies beyond, seen from the crotch."""
    outwards = casings if height < 0 else casings[::-1]  # of two at one height the zone is the outer one's
    beside = [casing for casing in outwards if casing.height * height >= 0 and abs(casing.height) <= abs(height)]
    return min(beside, key=lambda casing: abs(casing.height - height))


def falls(frame: Frame, width: float, body: Body, design: ShortDesign, zones: Levels) -> Levels:
    """How far each inseam lies inside its upright at heights below the trued level, down to the hem, in mm.

    Taper takes the leg's `width` at the trued level to the girths of the thigh, knee, calf and ankle, in their
    proportion; what lies above a wider part is no narrower, for the leg must pass over it. Zones make it fuller.

    Raises:
        DesignError: the leg is longer than the body's.
    """
    leg = design.leg
    ground = body.known("inside_leg_height")
    if -frame.hem_level > ground:
        raise DesignError(
            f"leg.inseam_length: {design.said(-frame.hem_level)} is longer than this body's inside leg height of "
            f"{design.said(ground)}; set it to {design.at_most(ground)} at most"
        )
    low = [(height, full / leg.fullness) for height, full in zones if height < frame.trued_level]
    if all(full == 1 for _, full in low):
        low = []
    if not (leg.taper or low) or frame.trued_level <= frame.hem_level:
        return ()
    girths = _girths(body, frame.trued_level)
    full = _steps([*low, (frame.trued_level, 1.0)])
    places = [frame.trued_level]
    for height in sorted((height for height, _ in (*girths, *low)), reverse=True):
        if places[-1] - height >= APART and height - frame.hem_level >= APART:
            places.append(height)
    places.append(frame.hem_level)
    narrow = _steps(girths)
    return tuple((y, width / 2 * (1 - (1 - leg.taper * (1 - narrow(y))) * full(y))) for y in places[1:])


def _girths(body: Body, top: float) -> list[tuple[float, float]]:
    """The girths of the leg over that of the thigh, lowest first, each at its height, up to the thigh's at `top`."""
    crotch = body.known("inside_leg_height")
    found, widest = [], 0.0
    for name in ("ankle", "calf", "knee"):
        height = body.known(f"{name}_height") - crotch
        widest = max(widest, body.known(f"{name}_girth") / body.thigh_girth)
        if height < top:
            found.append((height, min(1.0, widest)))
    return [*found, (top, 1.0)]


def _steps(levels: Sequence[tuple[float, float]]) -> Pchip:
    """Values between levels that rise and fall only where theirs do."""
    heights, values = zip(*levels, strict=True)
    if len(heights) == 1:
        heights, values = (heights[0] - 1, *heights), (*values, *values)
    return Pchip(heights, values)
