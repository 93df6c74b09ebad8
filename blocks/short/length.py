"""How far down a leg reaches on its body, and so what the garment is called. Heights in mm from the floor."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

from blocks.measurements import Body

BRIEF: Final = 60.0
"""mm; with no longer an inseam it is a brief: common practice, no source."""

NEAR: Final = 60.0
"""mm; a hem so near the height of the knee or of the calf is named by it: common practice, no source."""


class Length(StrEnum):
    """What a pull-on garment with legs is called by its length, from the shortest to the longest."""

    BRIEF = "brief"
    SHORT = "short"
    KNEE = "knee"
    CALF = "calf"
    ANKLE = "ankle"


def length_of_leg(inseam: float, body: Body) -> Length:
    """The name of a leg's length on a body; between calf and ankle the nearer of the two."""
    hem = body.inside_leg_height - inseam
    if inseam <= BRIEF:
        return Length.BRIEF
    if hem > body.knee_height + NEAR:
        return Length.SHORT
    if hem >= body.knee_height - NEAR:
        return Length.KNEE
    return Length.CALF if hem >= (body.calf_height + body.ankle_height) / 2 else Length.ANKLE
