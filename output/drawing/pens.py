"""Which pen draws what: the look of a line by its role, in real size, on a lay plan and in the pictures of a guide.

Lines of a pattern are told apart in black and white. What is furniture of a page is fine and grey, so that nobody cuts
along it by mistake. Sizes that lie over one another have pens of their own: `output.drawing.size_lines`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from drafting.path import Path
from drafting.role import Role
from output.drawing.sheet import Pen, Stroke

WHITE: Final = (1.0, 1.0, 1.0)
INK: Final = (0.13, 0.15, 0.17)
ACCENT: Final = (0.72, 0.24, 0.16)
RUBBER: Final = (0.10, 0.36, 0.47)
LEADER: Final = Pen(0.13, colour=(0.45, 0.47, 0.5))

PENS: Final[Mapping[Role, Pen]] = {
    Role.CUT: Pen(0.7),
    Role.SEAM: Pen(0.3, (4, 2)),
    Role.FOLD: Pen(0.45, (12, 3, 2, 3)),
    Role.STITCH: Pen(0.45, (1.2, 1.8)),
    Role.PLACE: Pen(0.3, (7, 1.5, 1, 1.5, 1, 1.5)),
    Role.CROSS: Pen(0.3),
    Role.BUTTONHOLE: Pen(0.4),
    Role.GRAIN: Pen(0.5),
    Role.NOTCH: Pen(0.5),
    Role.JOIN: Pen(0.2, colour=(0.55, 0.55, 0.55)),
    Role.REGISTER: Pen(0.2, colour=(0.25, 0.25, 0.25)),
    Role.SQUARE: Pen(0.25),
    Role.OUTLINE: Pen(0.3),
    Role.RULE: Pen(0.15, colour=(0.6, 0.6, 0.6)),
    Role.PATCH: Pen(0.0, colour=WHITE),
    Role.GROUND: Pen(0.0),
}
"""On a pattern in real size and the pages that it is printed on."""

LAY_PENS: Final[Mapping[Role, Pen]] = {
    Role.CLOTH: Pen(0.1, colour=(0.93, 0.93, 0.93)),
    Role.LOST: Pen(0.1, colour=(0.8, 0.8, 0.8)),
    Role.FACE_UP: Pen(0.1, colour=WHITE),
    Role.FACE_DOWN: Pen(0.1, colour=(0.84, 0.87, 0.9)),
    Role.OUTLINE: PENS[Role.OUTLINE],
    Role.SELVEDGE: Pen(0.6),
    Role.FOLD: PENS[Role.FOLD],
    Role.CLOTH_END: Pen(0.25),
    Role.GRAIN: Pen(0.2),
    Role.DIMENSION: Pen(0.15),
    Role.LEADER: LEADER,
}
"""On a lay plan, which shows pieces and their cloth in small."""

COMPARISON_PENS: Final[Mapping[Role, Pen]] = {
    Role.BEFORE: Pen(0.25, (2.4, 1.2), colour=(0.5, 0.5, 0.5)),
    Role.AFTER: Pen(0.45),
    Role.LEVEL: Pen(0.1, colour=(0.6, 0.6, 0.6)),
    Role.DOT: Pen(0.1),
}
"""Of a garment before and after it was adjusted."""

PICTURE_PENS: Final[Mapping[Role, Pen]] = {
    Role.OUTSIDE: Pen(0.1, colour=(0.89, 0.87, 0.82)),
    Role.INSIDE: Pen(0.1, colour=(1.0, 1.0, 1.0)),
    Role.SHADE: Pen(0.1, colour=(0.78, 0.76, 0.71)),
    Role.CLOTH: Pen(0.1, colour=(0.80, 0.77, 0.70)),
    Role.FACING: Pen(0.1, colour=(0.93, 0.91, 0.87)),
    Role.ELASTIC: Pen(0.1, colour=(0.62, 0.75, 0.80)),
    Role.OUTLINE: Pen(0.35, colour=INK),
    Role.FINE: Pen(0.18, colour=INK),
    Role.HIDDEN: Pen(0.18, (0.9, 0.7), INK),
    Role.CREASE: Pen(0.3, (2.4, 0.7, 0.5, 0.7), INK),
    Role.GATHER: Pen(0.13, colour=INK),
    Role.SEWN: Pen(0.28, (1.1, 0.7), INK),
    Role.NOW: Pen(0.55, (1.6, 0.8), ACCENT),
    Role.STITCHED: Pen(0.45, colour=INK),
    Role.STITCHING: Pen(0.6, colour=ACCENT),
    Role.HAND: Pen(0.4, colour=ACCENT),
    Role.CREASE_NOW: Pen(0.4, (2.4, 0.7, 0.5, 0.7), ACCENT),
    Role.TICK: Pen(0.35, colour=ACCENT),
    Role.DOT: Pen(0.1, colour=ACCENT),
    Role.RUBBER: Pen(0.3, colour=RUBBER),
    Role.RUBBER_FINE: Pen(0.13, colour=RUBBER),
    Role.RUBBER_HIDDEN: Pen(0.2, (0.9, 0.7), RUBBER),
    Role.SKIN: Pen(0.1, colour=(0.95, 0.945, 0.93)),
    Role.TAPE: Pen(0.5, colour=ACCENT),
    Role.TAPE_BEHIND: Pen(0.3, (1.0, 0.8), ACCENT),
    Role.TAPE_LEADER: Pen(0.15, colour=ACCENT),
    Role.RING: Pen(0.25, colour=ACCENT),
    Role.LEVEL: Pen(0.2, (1.0, 0.8), INK),
    Role.LEADER: LEADER,
    Role.LEADER_END: Pen(0.1, colour=INK),
    Role.BLANK: Pen(0.1, colour=(1.0, 1.0, 1.0)),
    Role.CUT: PENS[Role.CUT],
    Role.SEAM: Pen(0.13, (0.9, 0.6), INK),
    Role.STITCH: Pen(0.35, (0.9, 0.6), ACCENT),
    Role.NOTCH: Pen(0.1, colour=INK),
    Role.PLACE: Pen(0.18, colour=INK),
    Role.BUTTONHOLE: Pen(0.25, colour=INK),
}
"""In a picture; a filled trace takes the colour alone."""


def stroked(path: Path, role: Role, *, filled: bool = False, layers: tuple[str, ...] = ()) -> Stroke:
    """A path drawn with the pen of its role, in real size.

    >>> from drafting.point import Point
    >>> stroked(Path.through(Point(0, 0), Point(90, 0)), Role.CUT).pen.width
    0.7
    """
    return Stroke(path, role, PENS[role], filled, layers)
