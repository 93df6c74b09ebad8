"""From the edges of a finished panel to a flat piece: allowances, casings opened, their lines and notches.

Pieces are named so that mates find each other: `leg`, `leg front`, `leg back`, `waist facing`, `trim band` and so on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drafting.allowance import Side, with_allowances
from drafting.casing import Opened, Tuck, opened
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.piece import CasingLine, Edge, Notch, NotchKind
from drafting.point import Point
from drafting.seam import MIRROR

PARTS = ("lower", "fold", "upper")

HEM_TURNS = 2
"""A hem is rolled: turned twice by half of its allowance (common practice)."""


@dataclass(frozen=True, slots=True)
class Panel:
    """A flat panel: its edges by name, and what its tucks mark on it."""

    edges: tuple[Edge, ...]
    seams: Mapping[str, Opened]

    def edge(self, name: str) -> Edge:
        return next(edge for edge in self.edges if edge.name == name)


def sides_of(edges: Mapping[str, Path], allowance: float, special: Mapping[str, tuple[float, int]]) -> list[Side]:
    """Finished edges as sides with the same seam allowance, but for `special` ones: their allowance and turns."""
    return [
        Side(name, path, own, turns=turns)
        for name, path in edges.items()
        for own, turns in [special.get(name, (allowance, 0))]
    ]


def panel(sides: Sequence[Side], tucks: Sequence[Tuck]) -> Panel:
    """Give the finished sides their allowances and open the tucks in seam line and cut line alike.

    Raises:
        GeometryError: an allowance that does not fit round a curve, or an edge that cannot be opened.
    """
    finished = with_allowances(sides)
    seams = {edge.name: opened(edge.seam, tucks) for edge in finished}
    edges = tuple(
        Edge(
            edge.name,
            seams[edge.name].path,
            edge.allowance,
            opened(edge.cut, tucks).path,
            edge.seam if tucks else None,
        )
        for edge in finished
    )
    return Panel(edges, seams)


def casing_lines(made: Panel, tucks: Sequence[Tuck]) -> tuple[tuple[CasingLine, ...], tuple[CasingLine, ...]]:
    """The fold lines and the stitch lines of a panel's tucks, each from its left to its right edge.

    Raises:
        GeometryError: a tuck that does not meet two edges.
    """
    folds, stitches = [], []
    for tuck in tucks:
        for part in PARTS:
            ends = _ends(made, tuck, part)
            if len(ends) != 2:
                raise GeometryError(f"casing {tuck.name!r}: it meets {len(ends)} edges of a piece; it must meet two")
            if part == "fold":
                folds.append(CasingLine(f"{tuck.name} fold", tuck.name, ends[0], ends[1], tuck.depth))
            else:
                stitches.append(CasingLine(f"{tuck.name} {part} stitch line", tuck.name, ends[0], ends[1], tuck.depth))
    return tuple(folds), tuple(stitches)


def _ends(made: Panel, tuck: Tuck, part: str) -> list[Point]:
    ends = [
        seam.path.point_at(getattr(mark, part))
        for seam in made.seams.values()
        for mark in seam.marks
        if mark.tuck == tuck
    ]
    return sorted(ends, key=lambda end: end.x)


def casing_notches(made: Panel, mates: Mapping[str, tuple[str, str]]) -> list[Notch]:
    """A fold notch and two stitch marks where each tuck meets an edge.

    `mates` tells, per edge, the end of its notches' ids and what comes before the same id in its mate's:
    `{"side": ("side", "leg back/{}-side")}` names `low-fold-side` with the mate `leg back/low-fold-side`.
    """
    notches = []
    for name, seam in made.seams.items():
        for mark in seam.marks:
            for part in PARTS:
                stem = f"{mark.tuck.name}-{part}"
                end, mate = mates[name]
                distance = getattr(mark, part)
                seam_point = seam.path.point_at(distance)
                cut_point = made.edge(name).cut.heights(seam_point.y)[0]
                kind = NotchKind.FOLD if part == "fold" else NotchKind.STITCH
                notches.append(Notch(f"{stem}-{end}", kind, name, distance, seam_point, cut_point, mate.format(stem)))
    return notches


def notch(made: Panel, notch_id: str, kind: NotchKind, edge: str, distance: float, mate: str | None) -> Notch:
    """A notch `distance` mm along an edge's seam line, carried square across to its cut line."""
    side = made.edge(edge)
    point = side.seam.point_at(distance)
    across = point + side.seam.tangent_at(distance).right() * side.allowance
    return Notch(notch_id, kind, edge, distance, point, across, mate)


def mirrored(notch_id: str) -> str:
    """The mate of a notch that meets itself on the mirrored piece."""
    return f"{MIRROR}/{notch_id}"


def length_of(path: Path, segment: int) -> float:
    """Arc length of one segment of a path."""
    return Path((path.segments[segment],)).length
