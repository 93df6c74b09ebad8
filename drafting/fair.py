"""Fair edges: through places by height, smooth, and turning sideways only where the places do."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from drafting.curve import Cubic, Line, Segment
from drafting.errors import GeometryError
from drafting.interpolate import Pchip
from drafting.path import Path
from drafting.point import Point, Vector


def fair_edge(places: Sequence[Point], *, first: float = 0.0, last: float = 0.0) -> Path:
    """An edge through places that all rise or all fall, one cubic between two: x is a smooth function of y.

    It keeps the shape of the places (see `Pchip`); its ends lean by `first` and `last`, dx over dy: 0 is upright.

    >>> edge = fair_edge([Point(0, 0), Point(10, -100), Point(10, -200)])
    >>> edge.point_at(edge.length), edge.end_direction
    (Point(x=10.0, y=-200.0), Vector(x=0.0, y=-1.0))

    Raises:
        GeometryError: fewer than two places, or places that turn back in height.
    """
    falls = len(places) > 1 and places[-1].y < places[0].y
    up = list(reversed(places)) if falls else list(places)
    if len(up) < 2 or any(below.y >= above.y for below, above in pairwise(up)):
        raise GeometryError("a fair edge needs two or more places, each above the one before; sort them by height")
    inner = Pchip(tuple(place.y for place in up), tuple(place.x for place in up)).slopes
    ends = (last, first) if falls else (first, last)
    slopes = (ends[0], *inner[1:-1], ends[1])
    segments: list[Segment] = []
    for (below, above), (leave, arrive) in zip(pairwise(up), pairwise(slopes), strict=True):
        third = (above.y - below.y) / 3
        if leave == arrive == (above.x - below.x) / (above.y - below.y):
            segments.append(Line(below, above))
        else:
            segments.append(
                Cubic(below, below + Vector(leave * third, third), above - Vector(arrive * third, third), above)
            )
    edge = Path(tuple(segments))
    return edge.reversed() if falls else edge
