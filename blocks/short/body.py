"""Which measurements of a body a short goes by."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from blocks.estimates import BACK_PART, CROTCH_NAMES, FRONT_PART, WHOLE
from blocks.measurements import Body
from blocks.short.design import ShortDesign
from blocks.short.fitting import lengthened

_ALWAYS: Final = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip", "high_hip_girth")
_AT_KNEE: Final = ("inside_leg_height", "knee_height", "knee_girth")
_AT_CALF: Final = ("calf_height", "calf_girth")
_AT_ANKLE: Final = ("ankle_height", "ankle_girth")

NEAR_KNEE: Final = 0.5
"""From so far down on the way from crotch to knee a leg is told to go by its knee."""


def used(design: ShortDesign, body: Body) -> tuple[str, ...]:
    """The measurements that make a difference to this design: those that were taken, and the estimates it goes by."""
    taken = [name for name in body.names if name not in CROTCH_NAMES and body.measured(name) is not None]
    return (*_ALWAYS, *_crotch(body), *_of_the_leg(design, body), *taken)


def _of_the_leg(design: ShortDesign, body: Body) -> Iterator[str]:
    """As far down as casings or a taper reach. Nearer to the thigh than to the knee, the knee hardly matters."""
    leg = lengthened(design, body)
    heights = [
        (casing.share or 0.0) * leg.inseam_length if casing.height is None else casing.height
        for casing in design.casings
    ]
    below = [-height for height in heights if height <= 0] + ([leg.inseam_length] if leg.taper else [])
    if not below:
        return
    lowest = max(below)
    crotch = body.known("inside_leg_height")
    knee = crotch - body.known("knee_height")
    yield "thigh_girth"
    if lowest > NEAR_KNEE * knee:
        yield from _AT_KNEE
    if lowest > knee:
        yield from _AT_CALF
    if lowest > crotch - body.known("calf_height"):
        yield from _AT_ANKLE


def _crotch(body: Body) -> tuple[str, ...]:
    """The crotch length as it was taken: a whole that nobody took stands for its parts where neither was taken."""
    taken = [name for name in (FRONT_PART, BACK_PART) if body.measured(name) is not None]
    if len(taken) == 1:
        return FRONT_PART, BACK_PART
    return (FRONT_PART, BACK_PART, WHOLE) if taken else (WHOLE,)
