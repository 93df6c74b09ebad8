"""What a line is, for whoever draws it or looks for it: no line is known by its pen or its place in a list."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """What a line is. Those of a pattern come first, then those of paper, then those of pictures."""

    CUT = "cut"
    SEAM = "seam"
    FOLD = "fold"
    STITCH = "stitch"
    GRAIN = "grain"
    NOTCH = "notch"

    JOIN = "join"
    REGISTER = "register"
    SQUARE = "square"
    PATCH = "patch"
    LABEL = "label"
    MARK = "mark"

    OUTSIDE = "outside"
    INSIDE = "inside"
    SHADE = "shade"
    OUTLINE = "outline"
    FINE = "fine"
    HIDDEN = "hidden"
    CREASE = "crease"
    SEWN = "sewn"
    NOW = "now"
    HAND = "hand"
    GATHER = "gather"
    CLOTH = "cloth"
    FACING = "facing"
    ELASTIC = "elastic"
    RUBBER = "rubber"
    LEADER = "leader"
