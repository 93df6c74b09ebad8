"""Casings folded from the piece itself: tucks right across it, opened into the flat pattern and folded back as a proof.

A tuck is folded along a line square to the grain and stitched `depth` mm from the fold. Its `height` is that of the
stitching on the finished piece. Pressed down, its two layers cover the piece from `height` - `depth` to `height`.
Opened, a strip 2 x `depth` tall stands above the lower line of stitching.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from drafting.curve import Segment
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.point import Motion, Point, Vector

PROOF_STEP: Final = 1.0
"""mm; the fold proof looks at the flat edge at least this often, whatever its vertices."""

QUICK_GAP: Final = 0.02
"""mm; a gap measured square to an axis that is below this needs no closer look: two flattening tolerances."""


@dataclass(frozen=True, slots=True)
class Tuck:
    """One casing: stitched at finished `height`, `depth` mm from its fold. Both in mm."""

    name: str
    height: float
    depth: float


@dataclass(frozen=True, slots=True)
class Marks:
    """Where one tuck marks an opened edge: how many of its segments lie before its stitchings and its fold.

    `lower`, `fold` and `upper` run up the edge, whichever way it travels.
    """

    tuck: Tuck
    lower: int
    fold: int
    upper: int


@dataclass(frozen=True, slots=True)
class Opened:
    """An edge of the flat pattern, with where each tuck marks it, in its direction of travel."""

    path: Path
    marks: tuple[Marks, ...] = ()


def flat_height(tucks: Sequence[Tuck], height: float) -> float:
    """Where a finished height lies on the flat pattern: higher by 2 x depth for every tuck stitched below it.

    >>> flat_height([Tuck("low", 50, 10)], 50), flat_height([Tuck("low", 50, 10)], 51)
    (50, 71)
    """
    return height + sum(2 * tuck.depth for tuck in tucks if tuck.height < height)


def opened(edge: Path, tucks: Sequence[Tuck]) -> Opened:
    """Open the tucks that an edge of the finished piece runs through, and shift it over those that lie below it.

    Each strip's edge repeats the edge below the stitching, once mirrored and once upright, so both layers lie exactly
    on the piece when the tuck is pressed down: the truing of a pleat. Exact: curves are split, mirrored and shifted.

    Raises:
        GeometryError: an edge that turns back in height where a tuck crosses it, or that ends under a tuck.
    """
    if not tucks:
        return Opened(edge)
    if edge.end.y < edge.start.y:
        up = opened(edge.reversed(), tucks)
        count = len(up.path.segments)
        marks = (Marks(m.tuck, count - m.lower, count - m.fold, count - m.upper) for m in reversed(up.marks))
        return Opened(up.path.reversed(), tuple(marks))
    _, bottom, _, top = edge.bounds
    shift, rest = 0.0, edge
    segments: list[Segment] = []
    found = []
    for tuck in sorted(tucks, key=lambda tuck: tuck.height):
        if tuck.height <= bottom:
            shift += 2 * tuck.depth
        elif tuck.height < top:
            below, rest = rest.split_at_height(tuck.height)
            layer = below.split_at_height(tuck.height - tuck.depth)[1]
            segments += _raised(below, shift).segments
            lower, each = len(segments), len(layer.segments)
            segments += layer.reversed().moved(Motion.mirror_height(tuck.height + shift / 2)).segments
            shift += 2 * tuck.depth
            segments += _raised(layer, shift).segments
            found.append(Marks(tuck, lower, lower + each, lower + 2 * each))
    segments += _raised(rest, shift).segments
    return Opened(Path(tuple(segments)), tuple(found))


def _raised(path: Path, by: float) -> Path:
    return path.moved(Motion.shift(Vector(0, by))) if by else path


def folded_heights(flat: NDArray[np.float64], tucks: Sequence[Tuck]) -> NDArray[np.float64]:
    """Fold flat heights back as cloth folds: a strip's lower layer is reflected, its upper layer lies below the seam.

    `flat` and the result have shape (n,). The inverse of opening, computed from the lines on the flat pattern alone.
    """
    finished = flat.copy()
    for tuck in sorted(tucks, key=lambda tuck: tuck.height):
        seam = flat_height(tucks, tuck.height)
        finished = np.where(flat > seam + tuck.depth, finished - 2 * tuck.depth, finished)
        lower = (flat > seam) & (flat <= seam + tuck.depth)
        finished = np.where(lower, tuck.height - (flat - seam), finished)
    return finished


def fold_gap(edges: Sequence[tuple[Path, Path]], tucks: Sequence[Tuck]) -> float:
    """The fold proof of edges, each finished and flat: how far, in mm, any layer of a folded flat edge lies from it.

    Raises:
        GeometryError: folding does not bring the ends of a flat edge back to those of the finished one.
    """
    if not edges:
        return 0.0
    gaps = []
    flat, ends = _stepped([flat.array() for _, flat in edges])
    heights = folded_heights(flat[:, 1], tucks)
    for (edge, _), begin, end in zip(edges, (0, *ends), ends, strict=False):
        folded = np.column_stack((flat[begin:end, 0], heights[begin:end]))
        for (x, y), point in ((folded[0].tolist(), edge.start), (folded[-1].tolist(), edge.end)):
            gap = point.distance(Point(x, y))
            if gap > 0.05:
                raise GeometryError(
                    f"folded back, an edge ends {gap:.3f} mm from where it should; move the casing near it"
                )
        gaps.append(farthest(folded, edge.array()))
    return max(gaps)


def _stepped(lines: Sequence[NDArray[np.float64]]) -> tuple[NDArray[np.float64], list[int]]:
    """Polylines, one after the other, with a point at every proof step of each segment and at all their own.

    And after how many points each of them ends.
    """
    points = np.concatenate(lines)
    along = np.diff(points, axis=0, append=points[-1:])
    steps = np.ceil(np.hypot(along[:, 0], along[:, 1]) / PROOF_STEP).astype(int).clip(1)
    last = np.cumsum([len(line) for line in lines]) - 1
    steps[last] = 1  # the way from one polyline to the next is none of theirs
    ends = steps.cumsum()
    share = (np.arange(ends[-1]) - np.repeat(ends - steps, steps)) / np.repeat(steps, steps)
    return np.repeat(points, steps, axis=0) + np.repeat(along, steps, axis=0) * share[:, None], ends[last].tolist()


def farthest(points: NDArray[np.float64], line: NDArray[np.float64]) -> float:
    """The greatest distance from any of the points to a polyline."""
    for along, across in ((1, 0), (0, 1)):
        rising = line if line[0, along] < line[-1, along] else line[::-1]
        if (np.diff(rising[:, along]) > 0).all():
            # A gap measured square to an axis is never less than the distance: when it proves the edge, it will do.
            beside = np.abs(points[:, across] - np.interp(points[:, along], rising[:, along], rising[:, across]))
            beyond = np.maximum(rising[0, along] - points[:, along], points[:, along] - rising[-1, along]).clip(0)
            gap = float(np.hypot(beside, beyond).max())
            if gap <= QUICK_GAP:
                return gap
    from shapely import LineString, distance  # noqa: PLC0415 - a slow import
    from shapely import points as spots  # noqa: PLC0415

    return float(distance(spots(points), LineString(line)).max())
