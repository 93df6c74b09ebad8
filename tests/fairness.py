"""How fair a curve is, told from points along it alone: by splines of scipy, not by the curve's own derivatives."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from drafting.curve import Cubic, Segment

POINTS = 241
STRAIGHT = 1e-5
"""1/mm; less is no bend: a radius of 100 m."""
NOISE = 2e-3
"""Of the greatest curvature; what a spline through points may be off."""


def curvature(segment: Segment, points: int = POINTS) -> NDArray[np.float64]:
    """Curvature in 1/mm at points along a segment, positive to the left of travel."""
    xy = np.array([(p.x, p.y) for p in (segment.point(t) for t in np.linspace(0, 1, points))])
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))))
    spline = make_interp_spline(along, xy, k=5)
    (x1, y1), (x2, y2) = spline(along, 1).T, spline(along, 2).T
    bend: NDArray[np.float64] = (x1 * y2 - y1 * x2) / np.hypot(x1, y1) ** 3
    return bend


def bends_once(bend: NDArray[np.float64]) -> bool:
    """True when a curve bends one way only, ever more up to one tightest place and ever less from there."""
    size = np.abs(bend)
    if size.max() < STRAIGHT:
        return True
    slack = NOISE * size.max() + STRAIGHT / 10
    peak = int(size.argmax())
    one_way = bend.min() > -slack or bend.max() < slack
    rises = (np.diff(np.maximum.accumulate(size[: peak + 1])) >= 0).all() and (
        np.maximum.accumulate(size[: peak + 1]) - size[: peak + 1] <= slack
    ).all()
    falls = (np.maximum.accumulate(size[peak:][::-1]) - size[peak:][::-1] <= slack).all()
    return bool(one_way and rises and falls)


def turns(bend: NDArray[np.float64]) -> int:
    """How often a curve changes from bending one way to bending the other."""
    slack = NOISE * np.abs(bend).max() + STRAIGHT / 10
    ways = np.sign(bend[np.abs(bend) > slack])
    return int((np.diff(ways) != 0).sum())


def cubics(segments: Sequence[Segment]) -> list[Cubic]:
    return [segment for segment in segments if isinstance(segment, Cubic)]
