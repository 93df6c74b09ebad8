"""Shapes on a sheet of given width, so that little of its length is taken: the same shapes always lie the same way.

Paper has no grain, so a shape may be turned by quarter turns. It is seen as its profile, grown by
the gap. The search sets one shape after the other as
low as it can go, in every order and turn worth trying, for a fixed number of steps. (`drafting.strip`, for lays on
cloth, searches by the clock and finds another each time.) Lengths in mm, y along the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil, floor, inf
from typing import Final

import numpy as np

from drafting.errors import OutputError
from drafting.point import Motion, Vector
from output.paper.profile import Floats, Forbidden, Profile, extents, forbidden

SLAB: Final = 2.0
"""mm; width of a slab."""

SPACING: Final = 0.5
"""mm; an outline is seen as points this far apart, each standing for all within half of it."""

STEPS: Final = 8000
"""Shapes tried at a place, in all, before the best that was found is taken."""

LARGE: Final = 5
"""Shapes that are tried in every order, those with the longest sides; the others are set where they find room."""

QUARTERS: Final = (0, 90, 180, 270)
HALVES: Final = (0, 180)
READABLE: Final = (0, 90)
"""Turns of words, read from below or from the right."""

_EPS: Final = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A closed outline as corners in mm, its area in mm², and the turns in degrees that it may lie in."""

    corners: Floats
    area: float
    turns: tuple[int, ...] = QUARTERS

    def extent(self, turn: int) -> tuple[float, float]:
        """Width and height when turned."""
        width, height = np.ptp(self.corners, axis=0).tolist()
        return (width, height) if turn % 180 == 0 else (height, width)

    def fits(self, width: float, length: float = inf) -> bool:
        """True when the shape alone fits in some turn."""
        return any(
            wide <= width + _EPS and tall <= length + _EPS for wide, tall in (self.extent(turn) for turn in self.turns)
        )


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a shape lies: turned by degrees about the origin, then shifted."""

    turn: int
    x: float
    y: float

    @property
    def motion(self) -> Motion:
        c, s = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}[self.turn]
        return Motion(a=c, b=s, c=-s, d=c).then(Motion.shift(Vector(self.x, self.y)))


@dataclass(frozen=True, slots=True)
class Packing:
    """Spots in the order of their shapes, and how much of the sheet's length is taken."""

    spots: tuple[Spot, ...]
    length: float


def least_length(shapes: Sequence[Shape], width: float) -> float:
    """No packing without gaps is shorter: the area over the width, or the way the least handy shape fits best."""
    alone = [
        min((tall for wide, tall in map(shape.extent, shape.turns) if wide <= width + _EPS), default=inf)
        for shape in shapes
    ]
    return max(sum(shape.area for shape in shapes) / width, *alone)


def pack(shapes: Sequence[Shape], width: float, *, gap: float, enough: float = 0.0) -> Packing:
    """The shortest packing that the search finds, or the first that is no longer than `enough`.

    Raises:
        OutputError: a shape is wider than the sheet in every turn, or there is none.
    """
    if not shapes or not all(shape.fits(width) for shape in shapes):
        raise OutputError(f"sheet: there is nothing to lay, or a piece is wider than {width:.0f} mm; use a wider sheet")
    return _Search(shapes, width, gap, max(enough, least_length(shapes, width))).best()


@dataclass(frozen=True, eq=False)
class _Turned(Profile):
    """A turned shape with its lowest point at y = 0 and its first slab at x = 0; `around` is larger by the gap.

    It begins `reach` slabs further left.
    """

    left: float
    bottom: float
    top: float
    around: Profile
    reach: int


@dataclass(frozen=True, slots=True)
class _SetDown:
    """A turned shape, by its number and its turn, and where it lies: its first slab and its lowest point."""

    key: tuple[int, int]
    slab: int
    y: float


_Option = tuple[float, float, float, int, int, int, _SetDown]


class _Search:
    def __init__(self, shapes: Sequence[Shape], width: float, gap: float, enough: float) -> None:
        self._shapes = shapes
        self._slabs = floor(width / SLAB + _EPS)
        self._width = width
        self._gap = gap
        self._enough = enough
        self._steps = STEPS
        order = sorted(range(len(shapes)), key=lambda number: (-max(shapes[number].extent(0)), number))
        self._large, self._small = tuple(order[:LARGE]), tuple(order[LARGE:])
        self._found: tuple[float, tuple[_SetDown, ...]] = (inf, ())
        self._turned = cache(self._turn)
        self._forbidden = cache(self._forbid)

    def best(self) -> Packing:
        self._go((), self._large, 0.0)
        length, placed = self._found
        spots: dict[int, Spot] = {}
        for place in placed:
            number, turn = place.key
            profile = self._turned(place.key)
            spots[number] = Spot(turn, place.slab * SLAB - profile.left, place.y - profile.bottom)
        return Packing(tuple(spots[number] for number in range(len(self._shapes))), length)

    def _go(self, placed: tuple[_SetDown, ...], rest: tuple[int, ...], length: float) -> None:
        """Try what is left of the large shapes after what is placed, the most promising first; then set the others."""
        if not rest:
            self._finish(placed, length)
            return
        options = [option for number in rest for option in self._options(number, placed, length)]
        largest = max(self._shapes[number].area for number in rest)
        # large shapes go first: small ones find room between them
        options.sort(key=lambda option: (self._shapes[option[-1].key[0]].area < largest / 2, option[:-1]))
        for top, *_, place in options:
            out_of_steps = self._steps <= 0 and self._found[1]
            if out_of_steps or self._found[0] <= self._enough + _EPS:
                return
            if top < self._found[0] - _EPS:
                self._go((*placed, place), tuple(one for one in rest if one != place.key[0]), top)

    def _finish(self, placed: tuple[_SetDown, ...], length: float) -> None:
        """Set the small shapes, each where it is lowest, and keep what has become of it if it is the best so far."""
        for number in self._small:
            length, *_, place = min(self._options(number, placed, length), key=lambda option: option[:-1])
            placed = (*placed, place)
        if length < self._found[0] - _EPS:
            self._found = (length, placed)

    def _options(self, number: int, placed: tuple[_SetDown, ...], length: float) -> list[_Option]:
        """The length that results from each place of a shape, what decides between equals, and the place."""
        options = []
        for turn in self._shapes[number].turns:
            self._steps -= 1
            for place in self._places((number, turn), placed):
                top = place.y + self._turned(place.key).top
                options.append((max(length, top), -self._shapes[number].area, top, place.slab, number, turn, place))
        return options

    def _places(self, key: tuple[int, int], placed: Sequence[_SetDown]) -> tuple[_SetDown, ...]:
        """The lowest places of a turned shape, at the left and at the right; none where it is wider than the sheet."""
        profile = self._turned(key)
        wide, _ = self._shapes[key[0]].extent(key[1])
        if wide > self._width + _EPS:
            return ()
        starts = max(1, self._slabs - len(profile.low) + 1)
        if not placed:
            return (_SetDown(key, 0, 0.0),)
        at = np.arange(starts)
        under, over = np.empty((len(placed), starts)), np.empty((len(placed), starts))
        for row, other in enumerate(placed):
            under[row], over[row] = self._forbidden(other.key, key).at(at - other.slab, other.y)
        tries = np.maximum(np.vstack((np.zeros(starts), over)), 0.0)
        clash = np.any((tries[:, None] > under + _EPS) & (tries[:, None] < over - _EPS), axis=1)
        lowest = np.where(clash, np.inf, tries).min(axis=0)
        rounded = np.round(lowest, 3)
        ends = {int(np.argmin(rounded)), starts - 1 - int(np.argmin(rounded[::-1]))}
        return tuple(_SetDown(key, slab, float(lowest[slab])) for slab in sorted(ends))

    def _forbid(self, one: tuple[int, int], other: tuple[int, int]) -> Forbidden:
        shape = self._turned(one)
        return forbidden(shape.around, self._turned(other), reach=shape.reach)

    def _turn(self, key: tuple[int, int]) -> _Turned:
        number, turn = key
        points = _spaced(self._shapes[number].corners @ _TURNED[turn])
        left, bottom = points.min(axis=0).tolist()
        top = float(points[:, 1].max()) - bottom
        points = points - (left, bottom)
        count = max(1, ceil(float(points[:, 0].max()) / SLAB - _EPS))
        lower, upper = points - SPACING / 2, points + SPACING / 2
        lower[:, 1], upper[:, 1] = np.maximum(0.0, lower[:, 1]), np.minimum(top, upper[:, 1])
        seen, reach = Profile(*extents(lower, upper, pitch=SLAB, count=count)), ceil(self._gap / SLAB)
        return _Turned(seen.low, seen.high, left, bottom, top, seen.grown(self._gap, reach), reach)


_TURNED: Final = {
    turn: np.array(((motion.a, motion.b), (motion.c, motion.d)))
    for turn in QUARTERS
    for motion in (Spot(turn, 0.0, 0.0).motion,)
}
"""What turns rows of x and y."""


def _spaced(corners: Floats) -> Floats:
    """Points along a closed outline, no further apart than the spacing."""
    closed = corners if np.array_equal(corners[0], corners[-1]) else np.vstack((corners, corners[:1]))
    along = np.concatenate(((0.0,), np.cumsum(np.hypot(*np.diff(closed, axis=0).T))))
    places = np.union1d(along, np.linspace(0.0, along[-1], max(4, ceil(along[-1] / SPACING) + 1)))
    return np.column_stack((np.interp(places, along, closed[:, 0]), np.interp(places, along, closed[:, 1])))
