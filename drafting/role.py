"""What a line is, for whoever draws it or looks for it: no line is known by its pen or its place in a list."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """What a line is. Those of a pattern come first, then those of paper, of lay plans, and of pictures."""

    CUT = "cut"
    SEAM = "seam"
    FOLD = "fold"
    STITCH = "stitch"
    PLACE = "place"
    CROSS = "cross"
    BUTTONHOLE = "buttonhole"
    GRAIN = "grain"
    NOTCH = "notch"

    JOIN = "join"
    REGISTER = "register"
    SQUARE = "square"
    PATCH = "patch"
    RULE = "rule"
    GRID = "grid"
    GROUND = "ground"
    KEY = "key"
    LABEL = "label"

    # A lay plan: cloth where nothing may lie, its edges, pieces with either face up, lengths.
    LOST = "lost"
    SELVEDGE = "selvedge"
    CLOTH_END = "cloth end"
    FACE_UP = "face up"
    FACE_DOWN = "face down"
    DIMENSION = "dimension"

    # A garment before and after it was adjusted, over one another.
    BEFORE = "before"
    AFTER = "after"

    # Filled areas of a picture: cloth seen from its outside, from its inside, and where it lies double or behind.
    OUTSIDE = "outside"
    INSIDE = "inside"
    SHADE = "shade"
    # Filled areas of a section, which shows layers from their ends: the garment's cloth, a facing or trim, an elastic.
    CLOTH = "cloth"
    FACING = "facing"
    ELASTIC = "elastic"
    # Lines of a picture: edges, edges of lesser weight, edges that another layer hides, folds, gathers.
    OUTLINE = "outline"
    FINE = "fine"
    HIDDEN = "hidden"
    CREASE = "crease"
    GATHER = "gather"
    # Stitching from its face: of earlier steps and of the step at hand; the same in a section, through all layers.
    SEWN = "sewn"
    NOW = "now"
    STITCHED = "stitched"
    STITCHING = "stitching"
    # What the hands do in the step at hand: where they move, what they crease, what they make meet: a line
    # across an edge, a filled dot on a piece in miniature.
    HAND = "hand"
    CREASE_NOW = "crease now"
    TICK = "tick"
    DOT = "dot"
    # Edges of an elastic: in a section, on a piece in miniature, hidden in its casing.
    RUBBER = "rubber"
    RUBBER_FINE = "fine rubber"
    RUBBER_HIDDEN = "hidden rubber"
    # A body: skin, a measuring tape in front and behind, from a tape to its number, the number's ring, a level.
    SKIN = "skin"
    TAPE = "tape"
    TAPE_BEHIND = "tape behind"
    TAPE_LEADER = "tape leader"
    RING = "ring"
    LEVEL = "level"
    # From a caption to what it names, the dot there, and what only keeps room.
    LEADER = "leader"
    LEADER_END = "leader end"
    BLANK = "blank"
