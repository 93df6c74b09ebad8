"""Seam allowances: the cut line is drawn edge by edge, and each corner is resolved by the order of sewing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Final

import numpy as np

from drafting.casing import farthest
from drafting.curve import Line
from drafting.errors import GeometryError
from drafting.path import JOIN_TOLERANCE, SMOOTH_TURN, Path
from drafting.piece import Edge
from drafting.point import Motion, Point, Vector

MITRE_LIMIT: Final = 4.0
"""A mitre may reach this many times the larger allowance from the corner of the seam line before it is refused."""


class Corner(StrEnum):
    """How the cut line passes the corner at an edge's end.

    MITRE runs both cut lines on until they meet. SQUARED gives the edge its full allowance to the end and cuts it off
    square there: for an edge that is sewn first and whose allowance must reach into the next seam. A corner at a
    turned edge needs no choice: the neighbour's cut line is mirrored in every turn.
    """

    MITRE = "mitre"
    SQUARED = "squared"


@dataclass(frozen=True, slots=True)
class Side:
    """An edge before it has a cut line: a smooth path, its allowance in mm and the corner at its end.

    `turns` is empty for a seam. A hem, below the piece or above it, is turned to the wrong side: once or more, by so
    many mm each time, from the piece outwards; the raw edge is turned first. Its turns make up its allowance, and none
    is deeper than the one before it, so that each lies within that.

    Raises:
        GeometryError: turns that do not make up the allowance, or a turn deeper than the one before it.
    """

    name: str
    seam: Path
    allowance: float
    corner: Corner = Corner.MITRE
    turns: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not self.turns:
            return
        if min(self.turns) <= 0 or any(after > before for before, after in pairwise(self.turns)):
            raise GeometryError(
                f"edge {self.name}: its turns of {self._turns()} mm do not lie within each other; "
                "turn it by no more than the time before"
            )
        if abs(sum(self.turns) - self.allowance) > JOIN_TOLERANCE:
            raise GeometryError(
                f"edge {self.name}: its turns of {self._turns()} mm do not make up its allowance of "
                f"{self.allowance:g} mm; change one of them"
            )

    def _turns(self) -> str:
        return " and ".join(f"{turn:g}" for turn in self.turns)


def with_allowances(sides: Sequence[Side]) -> tuple[Edge, ...]:
    """Give every side of a closed, counter-clockwise seam line its part of the cut line, outside the piece.

    Raises:
        GeometryError: a side with a corner in it, a curve tighter than its allowance, two sides that meet at an
            inward corner, a mitre that runs away, or a turned edge that is not straight, or that is turned over all of
            the edge beside it.
    """
    cuts = [side.seam.offset(-side.allowance) for side in sides]
    for index, side in enumerate(sides):
        after = (index + 1) % len(sides)
        following = sides[after]
        if side.turns and following.turns:
            raise GeometryError(
                f"edges {side.name} and {following.name}: two turned edges meet; make one of them a seam"
            )
        if side.turns:
            mirrored = _turned(cuts[after].reversed(), side, beside=following).reversed()
            cuts[after], hem_end = mirrored, mirrored.start
            cuts[index] = Path.through(cuts[index].start, hem_end)
        elif following.turns:
            cuts[index] = _turned(cuts[index], following, beside=side)
            cuts[after] = Path.through(cuts[index].end, cuts[after].end)
        else:
            cuts[index], cuts[after] = _cornered(side, cuts[index], following, cuts[after])
    return tuple(
        Edge(side.name, side.seam, side.allowance, cut, turns=side.turns) for side, cut in zip(sides, cuts, strict=True)
    )


def _cornered(side: Side, cut: Path, following: Side, next_cut: Path) -> tuple[Path, Path]:
    corner = side.seam.end
    out, into = side.seam.end_direction, following.seam.start_direction
    turn = out.cross(into)
    if abs(turn) < SMOOTH_TURN and out.dot(into) > 0:
        return _run_to(cut, next_cut.start), next_cut  # a smooth joint; a step where the two allowances differ
    if turn < 0:
        raise GeometryError(
            f"edges {side.name} and {following.name}: they meet at an inward corner at "
            f"({corner.x:.1f}, {corner.y:.1f}) mm, where an allowance has no room; draw them as one smooth edge"
        )
    if side.corner is Corner.SQUARED:
        foot = _meeting(corner, out, next_cut.start, into)
        tip = foot + out.right() * side.allowance
        return _run_to(_run_to(cut, tip), foot), _run_from(next_cut, foot)
    tip = _meeting(cut.end, out, next_cut.start, into)
    if corner.distance(tip) > MITRE_LIMIT * max(side.allowance, following.allowance):
        raise GeometryError(
            f"edges {side.name} and {following.name}: their mitre reaches {corner.distance(tip):.0f} mm from the "
            f"corner, more than {MITRE_LIMIT:g} allowances; use a squared corner"
        )
    if (tip - cut.end).dot(out) < -JOIN_TOLERANCE:
        cut = _ended(cut, next_cut.start, into)
        return cut, _run_from(next_cut, cut.end)
    if (tip - next_cut.start).dot(into) > JOIN_TOLERANCE:
        next_cut = _ended(next_cut.reversed(), cut.end, out).reversed()
        return _run_to(cut, next_cut.start), next_cut
    return _run_to(cut, tip), _run_from(next_cut, tip)


def _meeting(p: Point, along: Vector, q: Point, other: Vector) -> Point:
    """Where the line through p meets the line through q; the two are not parallel."""
    return p + along * ((q - p).cross(other) / along.cross(other))


def _ended(path: Path, point: Point, along: Vector) -> Path:
    """A path up to where it crosses a line: beside a narrow allowance a wide one ends before its edge does."""
    into, back = _laid_along(along)
    return path.moved(into).split_at_height(into(point).y)[0].moved(back)


def _run_to(path: Path, point: Point) -> Path:
    if path.end.isclose(point, tolerance=JOIN_TOLERANCE):
        return path
    return Path((*path.segments, Line(path.end, point)))


def _run_from(path: Path, point: Point) -> Path:
    return _run_to(path.reversed(), point).reversed()


def _turned(cut: Path, hem: Side, *, beside: Side) -> Path:
    """The cut line of the edge `beside` a turned one, carried on beyond that so that every turn lies on the piece.

    Cloth folds along a straight line only, level or slanting: the turns are mirror images in it.
    """
    if any(foot_of(point, hem.seam) > JOIN_TOLERANCE for point in hem.seam.flat()):
        raise GeometryError(f"edge {hem.name}: a turned edge must be one straight line; use a facing instead")
    into, back = laid_level(hem.seam)
    level = into(hem.seam.start).y
    tall = abs(into(beside.seam.start).y - into(beside.seam.end).y)
    if hem.turns[0] >= tall:
        raise GeometryError(
            f"edge {hem.name}: a turn of {hem.turns[0]:g} mm reaches over edge {beside.name} beside it, which is "
            f"{tall:.1f} mm tall; turn it by less"
        )
    return _turned_up(cut.moved(into), level, hem.turns).moved(back)


def turn_gap(edges: Sequence[Edge]) -> float:
    """The fold proof of a piece's turned edges: how far, in mm, the end of any turn lies from the cut line beneath it.

    `edges` are all of a piece, in their order. The raw edge is turned first, as cloth is folded.
    """
    gaps = [0.0]
    for edge, before, after in zip(edges, (edges[-1], *edges), (*edges[1:], edges[0]), strict=False):
        if not edge.turns:
            continue
        into, _ = laid_level(edge.seam)
        level = into(edge.seam.start).y
        for beside in (before.cut.reversed(), after.cut):
            points = beside.moved(into).array()
            outside = points[:, 1] < level - JOIN_TOLERANCE
            heights = points[:, 1].copy()
            for number in reversed(range(len(edge.turns))):
                fold = level - sum(edge.turns[:number])
                heights = np.where(heights < fold, 2 * fold - heights, heights)
            turned = np.column_stack((points[:, 0], heights))[outside]
            gaps.append(farthest(turned, points[~outside]))
    return max(gaps)


def foot_of(point: Point, edge: Path) -> float:
    """How far a point lies from the straight line through an edge's two ends, in mm."""
    return abs((edge.end - edge.start).unit().cross(point - edge.start))


def laid_level(edge: Path) -> tuple[Motion, Motion]:
    """The motion that lays a straight edge level, the piece above it, and the one that lays it back."""
    start, end = edge.start, edge.end
    if abs(end.y - start.y) > JOIN_TOLERANCE:
        return _laid_along((end - start).unit())
    over = Motion() if end.x > start.x else Motion.mirror_height(start.y)
    return over, over


def _laid_along(along: Vector) -> tuple[Motion, Motion]:
    """The turn that brings a unit vector onto the x axis, and the one that brings it back."""
    return Motion(along.x, -along.y, along.y, along.x), Motion(along.x, along.y, -along.y, along.x)


def _turned_up(cut: Path, level: float, turns: Sequence[float]) -> Path:
    """A cut line that runs down to a turned edge at `level`, carried on below it."""
    if cut.end.y > level + JOIN_TOLERANCE:
        direction = cut.end_direction
        cut = _run_to(cut, cut.end + direction * ((level - cut.end.y) / direction.y))
    elif cut.end.y < level - JOIN_TOLERANCE:
        cut = cut.split_at_height(level)[0]
    layer, fold = cut.split_at_height(level + turns[0])[1], level
    for before, turn in pairwise((turns[0], *turns)):
        # What a turn lies on is the piece, then the turn before it: as much of it as this one is deep.
        layer = layer if turn == before else layer.split_at_height(fold + turn)[1]
        layer = layer.reversed().moved(Motion.mirror_height(fold))
        cut = Path((*cut.segments, *layer.segments))
        fold -= turn
    return cut
