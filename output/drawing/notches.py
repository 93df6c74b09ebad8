"""Notches on paper: one form for each kind, drawn from the cut line inward and no deeper than it may be snipped.

Whoever snips along the whole of a mark still leaves the seam line alone. Where an allowance is too narrow for a snip,
the form stands in a ring inside the seam line: it is marked with chalk or a pencil, not cut. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import sqrt
from typing import ClassVar, Final, NamedTuple

from blocks.parameters import CHOICE, PRACTICE, Parameters, parameter
from drafting.path import Path
from drafting.picture import circle
from drafting.piece import Notch, NotchKind, Piece
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.pens import PENS
from output.drawing.sheet import Pen, Stroke


@dataclass(frozen=True, slots=True)
class NotchStyle(Parameters):
    """How deep notches are snipped, and the sizes of their forms."""

    called: ClassVar[str] = "notches"

    snip: float = parameter(4, "mm", 2, 6, "a notch is snipped no deeper", PRACTICE)
    snip_share: float = parameter(0.5, "", 0.25, 0.5, "nor deeper than this share of the allowance", PRACTICE)
    snip_clear: float = parameter(3, "mm", 2, 8, "nor nearer to the seam line", PRACTICE)
    snip_least: float = parameter(2, "mm", 1.5, 3, "a shallower snip is a ringed mark inside the seam line", CHOICE)
    double_gap: float = parameter(4, "mm", 2, 8, "between the two strokes of a double notch", PRACTICE)
    head: float = parameter(1.6, "mm", 1, 3, "half the width of the bar or arrow that ends a mark", CHOICE)
    dot: float = parameter(0.9, "mm", 0.5, 1.5, "radius of the dot that ends a mark", CHOICE)
    ring: float = parameter(2.2, "mm", 1.5, 4, "radius of the ring round a mark that is not snipped", CHOICE)

    def depth(self, allowance: float) -> float:
        """How deep a notch may be snipped into an allowance; 0 where that would be too little to see.

        >>> NotchStyle().depth(12), NotchStyle().depth(5), NotchStyle().depth(4)
        (4.0, 2.0, 0)
        """
        depth = min(self.snip, self.snip_share * allowance, allowance - self.snip_clear)
        return depth if depth >= self.snip_least else 0


STYLE: Final = NotchStyle()

_PEN: Final = PENS[Role.NOTCH]


class Snip(NamedTuple):
    """Where on the cut line a notch is snipped, which way and how deep; a mark that is not snipped has no depth."""

    at: Point
    inward: Vector
    depth: float


def snips(piece: Piece, notch: Notch, *, style: NotchStyle = STYLE) -> tuple[Snip, ...]:
    """The snips of a notch: two of a double one."""
    depth, inward = style.depth(_allowance(piece, notch)), _inward(piece, notch)
    if notch.kind is not NotchKind.DOUBLE:
        return (Snip(notch.cut_point, inward, depth),)
    aside = inward.left() * (style.double_gap / 2)
    return tuple(Snip(notch.cut_point + by, inward, depth) for by in (aside, -aside))


def deepest_snip(pieces: Iterable[Piece], *, style: NotchStyle = STYLE) -> float:
    """The deepest of all snips of all pieces; 0 when none is snipped."""
    return max((style.depth(_allowance(piece, n)) for piece in pieces for n in piece.notches), default=0)


def ringed(pieces: Iterable[Piece], *, style: NotchStyle = STYLE) -> bool:
    """Whether any notch of the pieces is marked and not snipped."""
    return any(style.depth(_allowance(piece, n)) == 0 for piece in pieces for n in piece.notches)


def notch_strokes(piece: Piece, pen: Pen = _PEN, *, style: NotchStyle = STYLE) -> tuple[Stroke, ...]:
    """The marks of all notches of a piece."""
    return tuple(stroke for notch in piece.notches for stroke in notch_mark(piece, notch, pen, style=style))


def notch_mark(piece: Piece, notch: Notch, pen: Pen = _PEN, *, style: NotchStyle = STYLE) -> list[Stroke]:
    """The mark of one notch."""
    allowance, inward = _allowance(piece, notch), _inward(piece, notch)
    across = notch.cut_point.distance(notch.seam_point)
    return mark(notch.kind, notch.cut_point, inward, across, allowance, pen, style=style)


def mark(
    kind: NotchKind,
    at: Point,
    inward: Vector,
    across: float,
    allowance: float,
    pen: Pen = _PEN,
    *,
    style: NotchStyle = STYLE,
) -> list[Stroke]:
    """The mark of a notch at a place of the cut line, `across` mm from the seam line the way it points.

    On a slanting edge that is more than the allowance.
    """
    depth = style.depth(allowance)
    if depth > 0:
        return _form(kind, at, inward, depth, min(1.0, allowance / across), pen, style)
    centre, least = at + inward * (across + 2 * style.ring), style.snip_least
    small = replace(style, double_gap=style.double_gap / 2)
    form = _form(kind, centre - inward * (least / 2), inward, least, 1.0, pen, small)
    return [*form, _stroke(circle(centre, style.ring), pen)]


def _allowance(piece: Piece, notch: Notch) -> float:
    """Rounded, for a depth that is just enough must not miss being so by the last binary digit."""
    return round(min(piece.edge(notch.edge).allowance, notch.cut_point.distance(notch.seam_point)), 6)


def _inward(piece: Piece, notch: Notch) -> Vector:
    """From the cut line to the seam line; square to the edge where the two are one."""
    if notch.cut_point == notch.seam_point:
        return piece.edge(notch.edge).seam.tangent_at(notch.distance).left()
    return (notch.seam_point - notch.cut_point).unit()


def _form(
    kind: NotchKind, at: Point, inward: Vector, depth: float, square: float, pen: Pen, style: NotchStyle
) -> list[Stroke]:
    """A stroke for front, two for back, an arrow for a fold line, a T for a stitch line, a pin for centre or side.

    `square` is the cosine of the angle between the mark and the edge's normal: a bar across a slanting mark has one
    end nearer to the seam line, so it stands a little higher.
    """
    aside, head = inward.left(), min(style.head, 0.7 * depth)
    if kind is NotchKind.DOUBLE:
        half = aside * (style.double_gap / 2)
        return [_stem(at + by, inward, depth, pen) for by in (half, -half)]
    if kind is NotchKind.SINGLE:
        return [_stem(at, inward, depth, pen)]
    if kind is NotchKind.STITCH:
        foot = at + inward * min(depth, (depth - head * sqrt(1 - square**2)) / square)
        bar = Path.through(foot + aside * head, foot - aside * head)
        return [_stroke(Path.through(at, foot), pen), _stroke(bar, pen)]
    tip = at + inward * depth
    if kind is NotchKind.FOLD:
        back = tip - inward * head
        barbs = Path.through(back + aside * (0.8 * head), tip, back - aside * (0.8 * head))
        return [_stroke(Path.through(at, tip), pen), _stroke(barbs, pen)]
    dot = min(style.dot, depth / 2)
    centre = tip - inward * dot
    return [_stroke(Path.through(at, centre), pen), _stroke(circle(centre, dot), pen, filled=True)]


def _stem(at: Point, inward: Vector, depth: float, pen: Pen) -> Stroke:
    return _stroke(Path.through(at, at + inward * depth), pen)


def _stroke(path: Path, pen: Pen, *, filled: bool = False) -> Stroke:
    return Stroke(path, Role.NOTCH, pen, filled)
