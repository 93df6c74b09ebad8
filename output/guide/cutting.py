"""The pieces in miniature, and the first step of every guide: cutting them and marking their notches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from blocks.guide import OVERVIEW, Step
from blocks.words import Catalogue
from drafting.path import Path
from drafting.picture import Caption, Picture, Scale, Trace, area, arrow, line, measure, notch_dots, outlined, rectangle
from drafting.piece import MarkKind, NotchKind, Piece
from drafting.point import Point, Vector
from drafting.role import Role
from drafting.units import show_at_most
from output.drawing.notches import deepest_snip, mark, ringed

NAME: Final = "cut"
WIDE: Final = 0.62 * OVERVIEW
TALL: Final = 45.0
"""mm; room for the piece as drawn, and for the same piece mirrored below it."""
MARKED_AS: Final = {
    NotchKind.SINGLE: "single",
    NotchKind.DOUBLE: "double",
    NotchKind.FOLD: "fold",
    NotchKind.STITCH: "stitch",
    NotchKind.CENTRE: "dot",
    NotchKind.SIDE: "dot",
}
"""By what its mark is told of; those that end in a dot are told of as one."""
CASING_MARKS: Final = frozenset((NotchKind.FOLD, NotchKind.STITCH))


def piece_picture(piece: Piece, scale: float) -> Picture:
    """A piece in miniature: cut line, seam line, casings, marks and notches."""
    to = Scale(scale)
    return Picture(
        (
            *outlined(Role.OUTSIDE, to.path(piece.cut_line)),
            Trace(to.path(piece.seam_line), Role.SEAM),
            *(Trace(to.path(Path.through(fold.start, fold.end)), Role.CREASE) for fold in piece.fold_lines),
            *mark_traces(to, piece),
            *notch_dots(to, piece.notches, Role.NOTCH),
            *arrow(to(piece.grainline.start), to(piece.grainline.end), Role.FINE, head=1.4),
        )
    )


def mark_traces(to: Scale, piece: Piece) -> list[Trace]:
    """What is marked inside a piece, in miniature: lines alone, for a cross would be too small to see."""
    roles = {MarkKind.PLACE: Role.PLACE, MarkKind.BUTTONHOLE: Role.BUTTONHOLE, MarkKind.CREASE: Role.CREASE}
    return [Trace(to.path(mark.line), roles[mark.kind]) for mark in piece.marks if mark.line]


def cutting_step(piece: Piece, pieces: Sequence[Piece], words: Catalogue) -> Step:
    """How the `pieces` are cut and marked, shown on one of them."""
    said = [words.say("step.cut.1")]
    kinds = {notch.kind for one in pieces for notch in one.notches}
    if kinds:
        told = dict.fromkeys(f"step.cut.{MARKED_AS[kind]}" for kind in NotchKind if kind in kinds)
        snip = words.say("step.cut.2", snip=show_at_most(deepest_snip(pieces)))
        said.append(" ".join((snip, *map(words.say, told))))
    if ringed(pieces):
        said.append(words.say("step.cut.ring"))
    if any(one.marks for one in pieces):
        said.append(words.say("step.cut.marks"))
    said.append(words.say("step.cut.3"))
    pictures = [_cut(piece, words), *([_notches(piece, words)] if piece.notches else [])]
    return Step(NAME, words.say("step.cut"), tuple(said), tuple(pictures))


def _cut(piece: Piece, words: Catalogue) -> Picture:
    """The piece as drawn, and below it mirrored where one is cut so."""
    left, bottom, right, top = piece.cut_line.bounds
    to = Scale(min(WIDE / (right - left), TALL / (top - bottom)))
    flip = Scale(to.by, across=-1.0)
    named = words.say("draw.cut.notch")
    drawn = _outline(piece, to, words.say("draw.cut.drawn", piece=piece.name), "" if piece.mirrored else named)
    if not piece.mirrored:
        return drawn
    lower = _outline(piece, flip, words.say("draw.cut.mirrored", piece=piece.name), named)
    upper = drawn.moved(Vector(0, lower.bounds[3] - drawn.bounds[1] + 4))
    # One straight below the other, or by the grain line where they then lie near enough.
    if max(right, -left) * 2 * to.by > OVERVIEW:
        upper = upper.moved(Vector(lower.bounds[0] - upper.bounds[0], 0))
    return upper.over(lower)


def _outline(piece: Piece, to: Scale, name: str, notch: str) -> Picture:
    """The piece in miniature with its name, and a notch of it that meets its mate called `notch`."""
    traces = [*outlined(Role.OUTSIDE, to.path(piece.cut_line)), *notch_dots(to, piece.notches)]
    traces += arrow(to(piece.grainline.start), to(piece.grainline.end), Role.FINE, head=1.6)
    captions = [Caption(to(_inside(piece)), name)]
    plain = [one for one in piece.notches if one.kind not in CASING_MARKS] or piece.notches
    if plain and notch:
        captions.append(Caption(to(max(plain, key=lambda one: one.cut_point.x).cut_point), notch))
    return Picture(tuple(traces), tuple(captions))


def _inside(piece: Piece) -> Point:
    """A place on the right of the piece: near the level from which its heights are measured, well within its bounds."""
    left, bottom, right, top = piece.cut_line.bounds
    wide, tall = (right - left) / 5, (top - bottom) / 4
    return Point(min(max(right * 0.45, left + wide), right - wide), min(max(0.0, bottom + tall), top - tall))


def _notches(piece: Piece, words: Catalogue) -> Picture:
    """A stretch of edge twice its size, with every kind of notch that the piece has.

    Its allowance is the least that any of them stands in: a hem's or a folded waist's would be a long way to the seam.
    """
    allowance = {notch.kind: piece.edge(notch.edge).allowance for notch in piece.notches}
    kinds = [kind for kind in NotchKind if kind in allowance]
    to, apart = Scale(2.0), 6.5
    deep = min(allowance.values())
    reach, inward = apart * len(kinds), Vector(0, 1)
    traces = [
        area(Role.OUTSIDE, to.path(rectangle(0, 0, reach, deep + 4))),
        line(Role.CUT, to(Point(0, 0)), to(Point(reach, 0))),
        line(Role.SEWN, to(Point(0, deep)), to(Point(reach, deep))),
    ]
    for number, kind in enumerate(kinds):
        at = Point(apart * (number + 0.5), 0)
        drawn = mark(kind, at, inward, deep, allowance[kind])
        traces += [Trace(to.path(stroke.path), Role.TICK, stroke.filled) for stroke in drawn]
        role = {NotchKind.FOLD: Role.CREASE, NotchKind.STITCH: Role.SEWN}.get(kind)
        if role:
            traces.append(line(role, to(at + inward * deep), to(at + inward * (deep + 4))))
    snip = deepest_snip([piece])
    captions = [Caption(to(Point(reach, deep)), words.say("draw.cut.seam"))]
    if snip:
        traces += measure(to(Point(reach + 1.5, 0)), to(Point(reach + 1.5, snip)))
        told = words.say("draw.cut.snip", snip=show_at_most(snip))
        captions.append(Caption(to(Point(reach + 1.5, snip)), told))
    captions.append(Caption(to(Point(reach, 0)), words.say("draw.cut.edge")))
    return Picture(tuple(traces), tuple(captions))
