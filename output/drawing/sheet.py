"""A sheet: everything drawn on paper, in mm, y up, origin at the lower left. Pieces draw in it; writers read it.

Strokes and texts may belong to layers that a reader switches on and off: they show while one of theirs is on. Those
that name no layer always show.
"""

from __future__ import annotations

from dataclasses import dataclass

from drafting.path import Path
from drafting.point import Point
from drafting.role import Role


@dataclass(frozen=True, slots=True)
class Pen:
    """A line's weight in mm, its dashes in mm (empty: unbroken) and its colour as red, green, blue from 0 to 1.

    `phase` is how far into the dashes a line begins, in mm.
    """

    width: float
    dash: tuple[float, ...] = ()
    colour: tuple[float, float, float] = (0.0, 0.0, 0.0)
    phase: float = 0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path drawn with a pen; `filled` fills it with the pen's colour instead. What it is, its role alone says."""

    path: Path
    role: Role
    pen: Pen
    filled: bool = False
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text, its baseline starting at `at`, `size` mm high (the font's em), turned by `angle` degrees."""

    at: Point
    text: str
    size: float
    bold: bool = False
    angle: float = 0.0
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is drawn on one piece of paper."""

    width: float
    height: float
    strokes: tuple[Stroke, ...]
    texts: tuple[Text, ...]

    @property
    def outlines(self) -> tuple[Path, ...]:
        """The cut lines of the pieces on it: paper that a reader must have in hand."""
        return tuple(stroke.path for stroke in self.strokes if stroke.role is Role.CUT)
