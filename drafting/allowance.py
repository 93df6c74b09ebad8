"""Seam allowances: the cut line is drawn edge by edge, and each corner is resolved by the order of sewing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

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
    turned hem needs no choice: the neighbour's cut line is mirrored in every turn.
    """

    MITRE = "mitre"
    SQUARED = "squared"


@dataclass(frozen=True, slots=True)
class Side:
    """An edge before it has a cut line: a smooth path, its allowance in mm and the corner at its end.

    `turns` is how often the allowance is turned to the wrong side: 0 for a seam, 1 or 2 for a hem.
    """

    name: str
    seam: Path
    allowance: float
    corner: Corner = Corner.MITRE
    turns: int = 0


def with_allowances(sides: Sequence[Side]) -> tuple[Edge, ...]:
    """Give every side of a closed, counter-clockwise seam line its part of the cut line, outside the piece.

    Raises:
        GeometryError: a side with a corner in it, a curve tighter than its allowance, two sides that meet at an
            inward corner, a mitre that runs away, or a turned hem that is not straight and square to the grain.
    """
    cuts = [side.seam.offset(-side.allowance) for side in sides]
    for index, side in enumerate(sides):
        after = (index + 1) % len(sides)
        following = sides[after]
        if side.turns and following.turns:
            raise GeometryError(
                f"edges {side.name} and {following.name}: two turned hems meet; make one of them a seam"
            )
        if side.turns:
            mirrored = _turned(cuts[after].reversed(), side).reversed()
            cuts[after], hem_end = mirrored, mirrored.start
            cuts[index] = Path.through(cuts[index].start, hem_end)
        elif following.turns:
            cuts[index] = _turned(cuts[index], following)
            cuts[after] = Path.through(cuts[index].end, cuts[after].end)
        else:
            cuts[index], cuts[after] = _cornered(side, cuts[index], following, cuts[after])
    return tuple(Edge(side.name, side.seam, side.allowance, cut) for side, cut in zip(sides, cuts, strict=True))


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
    return _run_to(cut, tip), _run_from(next_cut, tip)


def _meeting(p: Point, along: Vector, q: Point, other: Vector) -> Point:
    """Where the line through p meets the line through q; the two are not parallel."""
    return p + along * ((q - p).cross(other) / along.cross(other))


def _run_to(path: Path, point: Point) -> Path:
    if path.end.isclose(point, tolerance=JOIN_TOLERANCE):
        return path
    return Path((*path.segments, Line(path.end, point)))


def _run_from(path: Path, point: Point) -> Path:
    return _run_to(path.reversed(), point).reversed()


def _turned(cut: Path, hem: Side) -> Path:
    """A cut line that runs down to a hem, carried on below it so that every turn lies on the piece, edge on edge."""
    level = hem.seam.start.y
    if len(hem.seam.segments) > 1 or abs(hem.seam.end.y - level) > JOIN_TOLERANCE:
        raise GeometryError(
            f"edge {hem.name}: a turned hem must be one straight line square to the grain; use a facing instead"
        )
    deep = hem.allowance / hem.turns
    if cut.end.y > level + JOIN_TOLERANCE:
        direction = cut.end_direction
        cut = _run_to(cut, cut.end + direction * ((level - cut.end.y) / direction.y))
    elif cut.end.y < level - JOIN_TOLERANCE:
        cut = cut.split_at_height(level)[0]
    layer = cut.split_at_height(level + deep)[1]
    for turn in range(hem.turns):
        layer = layer.reversed().moved(Motion.mirror_height(level - turn * deep))
        cut = Path((*cut.segments, *layer.segments))
    return cut
