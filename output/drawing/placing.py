"""Marks inside a piece: where another piece is sewn on, what is marked through, buttonholes, creases. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Final

from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.path import Path
from drafting.piece import Mark, MarkKind
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.pens import stroked
from output.drawing.sheet import Stroke


@dataclass(frozen=True, slots=True)
class PlacingStyle(Parameters):
    """Sizes of the forms."""

    called: ClassVar[str] = "placing"

    cross: float = parameter(3, "mm", 2, 5, "arm of the cross at a place to mark through", PRACTICE)
    bar: float = parameter(1.5, "mm", 1, 3, "half of the bar at each end of a buttonhole", PRACTICE)


STYLE: Final = PlacingStyle()


def mark_strokes(marks: Iterable[Mark], *, style: PlacingStyle = STYLE) -> tuple[Stroke, ...]:
    """Placement lines, then crosses, then buttonholes; creases are drawn with the fold lines."""
    marks = tuple(marks)
    return (
        *(stroked(mark.line, Role.PLACE) for mark in marks if mark.kind is MarkKind.PLACE and mark.line),
        *(one for mark in marks for point in mark.points for one in cross(point, style=style)),
        *(
            one
            for mark in marks
            if mark.kind is MarkKind.BUTTONHOLE and mark.line
            for one in buttonhole(mark.line, style=style)
        ),
    )


def crease_strokes(marks: Iterable[Mark]) -> tuple[Stroke, ...]:
    """Where the cloth is folded: lines like those of the casings' folds."""
    return tuple(stroked(mark.line, Role.FOLD) for mark in marks if mark.kind is MarkKind.CREASE and mark.line)


def cross(at: Point, *, style: PlacingStyle = STYLE) -> tuple[Stroke, ...]:
    """A place that is marked through onto the cloth, but not cut."""
    arms = (Vector(style.cross, 0.0), Vector(0.0, style.cross))
    return tuple(stroked(Path.through(at - arm, at + arm), Role.CROSS) for arm in arms)


def buttonhole(length: Path, *, style: PlacingStyle = STYLE) -> tuple[Stroke, ...]:
    """A buttonhole's length with a bar at each end (common practice)."""
    ends = ((length.start, length.start_direction), (length.end, length.end_direction))
    bars = (Path.through(at + along.left() * style.bar, at - along.left() * style.bar) for at, along in ends)
    return tuple(stroked(path, Role.BUTTONHOLE) for path in (length, *bars))
