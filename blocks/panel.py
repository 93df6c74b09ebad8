"""From the edges of a finished panel to a flat piece: allowances, casings opened, their lines and notches.

Pieces are named so that mates find each other, as in `leg`, or `leg front` and `leg back`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drafting.allowance import Side, with_allowances
from drafting.casing import Opened, Tuck, opened
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.piece import CasingLine, Edge, Grainline, Notch, NotchKind, Piece
from drafting.point import Point
from drafting.seam import MIRROR

PARTS = ("lower", "fold", "upper")

HEM_TURNS = 2
"""A hem is rolled: turned twice by half of its allowance (common practice)."""


@dataclass(frozen=True, slots=True)
class Panel:
    """A flat panel: its edges, and by their names the opened seam line and cut line with what the tucks mark there."""

    edges: tuple[Edge, ...]
    opened: Mapping[str, tuple[Opened, Opened]]

    def edge(self, name: str) -> Edge:
        return next(edge for edge in self.edges if edge.name == name)


Own = tuple[float, tuple[float, ...]]
"""The allowance of an edge that has one of its own, and the turns that it is turned to the wrong side in, if any."""


def sides_of(edges: Mapping[str, Path], allowance: float, own: Mapping[str, Own]) -> list[Side]:
    """Finished edges as sides with the same seam allowance, but for those that have their `own`."""
    return [
        Side(name, path, allowed, turns=turns)
        for name, path in edges.items()
        for allowed, turns in [own.get(name, (allowance, ()))]
    ]


def rolled(allowance: float) -> Own:
    """The allowance of a hem that is turned twice, or of a raw edge that has none."""
    return allowance, (allowance / HEM_TURNS,) * HEM_TURNS if allowance else ()


def panel(sides: Sequence[Side], tucks: Sequence[Tuck]) -> Panel:
    """Give the finished sides their allowances and open the tucks in seam line and cut line alike.

    Raises:
        GeometryError: an allowance that does not fit round a curve, or an edge that cannot be opened.
    """
    finished = with_allowances(sides)
    both = {edge.name: (opened(edge.seam, tucks), opened(edge.cut, tucks)) for edge in finished}
    edges = tuple(
        Edge(edge.name, seam.path, edge.allowance, cut.path, edge.seam if tucks else None, edge.turns)
        for edge, (seam, cut) in zip(finished, both.values(), strict=True)
    )
    return Panel(edges, both)


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
        seam.path.joint(getattr(mark, part))
        for seam, _ in made.opened.values()
        for mark in seam.marks
        if mark.tuck == tuck
    ]
    return sorted(ends, key=lambda end: end.x)


def casing_notches(made: Panel, mates: Mapping[str, tuple[str, str]]) -> list[Notch]:
    """A fold notch and two stitch marks where each tuck meets an edge.

    `mates` tells, per edge, the end of its notches' ids and what comes before the same id in its mate's:
    `{"side": ("side", "leg back/{}-side")}` names `low-fold-side` with the mate `leg back/low-fold-side`. In an id, `/`
    of a casing's name is `%2F`.
    """
    notches = []
    for name, (seam, cut) in made.opened.items():
        for on_seam, on_cut in zip(seam.marks, cut.marks, strict=True):
            end, mate = mates[name]
            for part in PARTS:
                stem = f"{_coded(on_seam.tuck.name)}-{part}"
                before = getattr(on_seam, part)
                notches.append(
                    Notch(
                        f"{stem}-{end}",
                        NotchKind.FOLD if part == "fold" else NotchKind.STITCH,
                        name,
                        seam.path.length_to(before),
                        seam.path.joint(before),
                        cut.path.joint(getattr(on_cut, part)),
                        mate.format(stem),
                    )
                )
    return notches


def _coded(name: str) -> str:
    """A casing's name in a notch's id, where a slash parts piece and id: it is percent-encoded (RFC 3986, 2.1)."""
    return name.replace("%", "%25").replace("/", "%2F")


def notch(made: Panel | Piece, notch_id: str, kind: NotchKind, edge: str, distance: float, mate: str | None) -> Notch:
    """A notch `distance` mm along an edge's seam line, carried square across to its cut line."""
    side = made.edge(edge)
    point, along = side.seam.place_at(distance)
    across = point + along.right() * side.allowance
    return Notch(notch_id, kind, edge, distance, point, across, mate)


def grainline(x: float, low: float, high: float, margin: float) -> Grainline:
    """The grain at x, from `low` to `high` but for a `margin` at each end, a share of that height."""
    clear = (high - low) * margin
    return Grainline(Point(x, low + clear), Point(x, high - clear))


def mirrored(notch_id: str) -> str:
    """The mate of a notch that meets itself on the mirrored piece."""
    return f"{MIRROR}/{notch_id}"


def length_of(path: Path, segment: int) -> float:
    """Arc length of one segment of a path."""
    return Path((path.segments[segment],)).length
