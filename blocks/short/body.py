"""Which measurements of a body a short goes by."""

from __future__ import annotations

from typing import Final

from blocks.estimates import BACK_PART, CROTCH_NAMES, FRONT_PART, WHOLE
from blocks.measurements import Body
from blocks.short.design import ShortDesign

_ALWAYS: Final = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip", "high_hip_girth", "thigh_girth")


def used(_design: ShortDesign, body: Body) -> tuple[str, ...]:
    """The measurements that make a difference to this design: those that were taken, and the estimates it goes by."""
    taken = [name for name in body.names if name not in CROTCH_NAMES and body.measured(name) is not None]
    return (*_ALWAYS, *_crotch(body), *taken)


def _crotch(body: Body) -> tuple[str, ...]:
    """The crotch length as it was taken: a whole that nobody took stands for its parts where neither was taken."""
    taken = [name for name in (FRONT_PART, BACK_PART) if body.measured(name) is not None]
    if len(taken) == 1:
        return FRONT_PART, BACK_PART
    return (FRONT_PART, BACK_PART, WHOLE) if taken else (WHOLE,)
