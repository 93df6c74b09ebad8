"""Grainlines, register marks and plain shapes. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar, Final

from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.path import Path
from drafting.picture import circle
from drafting.piece import Grainline
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.pens import stroked
from output.drawing.sheet import Stroke


@dataclass(frozen=True, slots=True)
class MarkStyle(Parameters):
    """Sizes of the marks."""

    called: ClassVar[str] = "marks"

    arrow_length: float = parameter(8, "mm", 4, 15, "arrowhead of the grainline", PRACTICE)
    arrow_width: float = parameter(4, "mm", 2, 8, "arrowhead of the grainline", PRACTICE)
    register_ring: float = parameter(2.2, "mm", 1, 4, "radius of the ring of a register mark", PRACTICE)
    register_arm: float = parameter(4, "mm", 2, 5.5, "arm of the cross of a register mark", PRACTICE)


STYLE: Final = MarkStyle()


def grain_strokes(grain: Grainline, *, style: MarkStyle = STYLE) -> tuple[Stroke, ...]:
    """The straight grain with an arrowhead at each end, smaller on a short line."""
    along = (grain.end - grain.start).unit()
    share = min(1.0, (grain.end - grain.start).length / (4 * style.arrow_length))
    length, width = style.arrow_length * share, style.arrow_width * share
    inset = along * (length / 2)
    heads = ((grain.start, along), (grain.end, -along))
    return (
        stroked(Path.through(grain.start + inset, grain.end - inset), Role.GRAIN),
        *(stroked(_arrowhead(tip, inward, length, width), Role.GRAIN, filled=True) for tip, inward in heads),
    )


def _arrowhead(tip: Point, inward: Vector, length: float, width: float) -> Path:
    base, side = tip + inward * length, inward.left() * (width / 2)
    return Path.through(tip, base + side, base - side, tip)


def register_mark(centre: Point, *, style: MarkStyle = STYLE) -> tuple[Stroke, ...]:
    """A cross in a ring: the register mark of the printing trade (named so in ISO 12647-1)."""
    by = Motion.shift(centre - Point(0, 0))
    return tuple(stroked(path.moved(by), Role.REGISTER) for path in _register_paths(style))


@lru_cache(maxsize=4)
def _register_paths(style: MarkStyle) -> tuple[Path, ...]:
    arm = style.register_arm
    across, upright = Path.through(Point(-arm, 0), Point(arm, 0)), Path.through(Point(0, -arm), Point(0, arm))
    return across, upright, circle(Point(0, 0), style.register_ring)
