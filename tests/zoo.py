"""Random geometry for every test: what a draft may contain, in mm. Shared, so that each operation meets all of it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray
from svgpathtools import CubicBezier

from drafting.curve import Cubic, Line, Segment
from drafting.path import Path
from drafting.point import Motion, Point, Vector


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Finite floats with a bounded number of digits: a draft has no lengths of 1e-300 mm."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda n: n / 1000)


points = st.builds(Point, numbers(-500, 500), numbers(-500, 500))
vectors = st.builds(Vector, numbers(-500, 500), numbers(-500, 500))
directions = st.builds(Vector.at_angle, numbers(-180, 180))


@st.composite
def motions(draw: st.DrawFn) -> Motion:
    """A shift, reflection or half turn, or two of them in turn."""
    one = st.one_of(
        st.builds(Motion.shift, vectors),
        st.builds(Motion.mirror_height, numbers(-500, 500)),
        st.builds(Motion.mirror_side, numbers(-500, 500)),
        st.builds(Motion.half_turn, points),
    )
    return draw(one).then(draw(one))


@st.composite
def cubics(draw: st.DrawFn) -> Cubic:
    """Any cubic at all with handles of 1 mm or more: it may bend sharply, wave, cross itself or close."""
    start, end = draw(points), draw(points)
    handle1 = draw(directions) * draw(numbers(1, 400))
    handle2 = draw(directions) * draw(numbers(1, 400))
    return Cubic(start, start + handle1, end + handle2, end)


def gentle(
    start: Point, heading: float, chord: float, lean1: float, lean2: float, tight1: float, tight2: float
) -> Cubic:
    """A curve of the kind a draft is made of.

    It leaves at `heading` degrees, its chord leans `lean1` from there, and it arrives `lean2` from the chord.
    """
    end = start + Vector.at_angle(heading + lean1) * chord
    return Cubic(
        start,
        start + Vector.at_angle(heading) * (chord * tight1),
        end - Vector.at_angle(heading + lean1 + lean2) * (chord * tight2),
        end,
    )


leans = numbers(-40, 40)
shares = numbers(0.25, 0.42)
gentle_cubics = st.builds(gentle, points, numbers(-180, 180), numbers(20, 400), leans, leans, shares, shares)


@st.composite
def smooth_paths(draw: st.DrawFn, most: int = 4) -> Path:
    """Lines and gentle curves, each leaving in the direction in which the one before arrived."""
    start, heading = draw(points), draw(numbers(-180, 180))
    segments: list[Segment] = []
    for _ in range(draw(st.integers(1, most))):
        if draw(st.booleans()):
            segments.append(Line(start, start + Vector.at_angle(heading) * draw(numbers(5, 300))))
        else:
            lean1, lean2 = draw(leans), draw(leans)
            segments.append(gentle(start, heading, draw(numbers(40, 400)), lean1, lean2, draw(shares), draw(shares)))
            heading += lean1 + lean2
        start = segments[-1].end
    return Path(tuple(segments))


@st.composite
def cornered_paths(draw: st.DrawFn) -> Path:
    """Lines and any cubics end to end, with corners."""
    places = draw(st.lists(points, min_size=2, max_size=6, unique=True))
    segments: list[Segment] = []
    for start, end in pairwise(places):
        handles = draw(st.one_of(st.none(), st.tuples(directions, numbers(1, 300), directions, numbers(1, 300))))
        if handles is None:
            segments.append(Line(start, end))
        else:
            out, far, back, near = handles
            segments.append(Cubic(start, start + out * far, end + back * near, end))
    return Path(tuple(segments))


paths = st.one_of(smooth_paths(), cornered_paths())


def quarter_circle(radius: float) -> Cubic:
    """The usual cubic for a quarter circle about the origin, from angle 0 to 90 degrees; 0.0273 % of the radius off."""
    handle = 4 / 3 * (math.sqrt(2) - 1) * radius
    return Cubic(Point(radius, 0), Point(radius, handle), Point(handle, radius), Point(0, radius))


def parabola(width: float, steepness: float) -> Cubic:
    """Exactly y = `steepness` x^2 for x from 0 to `width`: a quadratic Bézier raised by one degree."""
    return Cubic(
        Point(0, 0),
        Point(width / 3, 0),
        Point(2 * width / 3, steepness * width**2 / 3),
        Point(width, steepness * width**2),
    )


def as_svg(curve: Cubic) -> CubicBezier:
    """The same curve in svgpathtools, whose points are complex numbers."""
    return CubicBezier(*(complex(p.x, p.y) for p in (curve.start, curve.control1, curve.control2, curve.end)))


def dense(segment: Segment, steps: int = 2000, *, fine_ends: bool = False) -> NDArray[np.float64]:
    """Points of the true curve at equal steps of t, from its Bernstein form; shape (steps + 1, 2).

    With `fine_ends` the steps shrink towards both ends, so that the first and last chord lie along the tangents.
    """
    t = np.linspace(0, 1, steps + 1)[:, None]
    if fine_ends:
        t = (1 - np.cos(np.pi * t)) / 2
    if isinstance(segment, Line):
        return np.array([segment.start.x, segment.start.y]) * (1 - t) + np.array([segment.end.x, segment.end.y]) * t
    p, q, r, s = ([p.x, p.y] for p in (segment.start, segment.control1, segment.control2, segment.end))
    u = 1 - t
    return u**3 * np.array(p) + 3 * u * u * t * np.array(q) + 3 * u * t * t * np.array(r) + t**3 * np.array(s)


def dense_path(path: Path, steps: int = 2000) -> NDArray[np.float64]:
    """The same along a path, each joint once."""
    return np.vstack([dense(path.segments[0], steps), *(dense(segment, steps)[1:] for segment in path.segments[1:])])


def coefficients(curve: Cubic) -> NDArray[np.float64]:
    """Of x and of y in ascending powers of t; shape (2, 4)."""
    p, q, r, s = (np.array([p.x, p.y]) for p in (curve.start, curve.control1, curve.control2, curve.end))
    return np.array([p, 3 * (q - p), 3 * (r - 2 * q + p), s - 3 * r + 3 * q - p]).T


def bends(curve: Cubic, steps: int = 4001) -> NDArray[np.float64]:
    """Signed curvature at equal steps of t, by numpy's polynomials."""
    t = np.linspace(0, 1, steps)
    x, y = (np.polynomial.Polynomial(c) for c in coefficients(curve))
    dx, dy = x.deriv()(t), y.deriv()(t)
    return (dx * y.deriv(2)(t) - dy * x.deriv(2)(t)) / np.hypot(dx, dy) ** 3
