"""Grading: where the named points of a garment lie in each size, how they move from size to size, and bumps among them.

Points are measured in mm from the origin of the block, so sizes nest on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from blocks.bump import bumps
from blocks.garment import Garment, Outline, size_and_rise
from blocks.known import block_of
from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.point import Point


@dataclass(frozen=True, slots=True)
class GradeLimits(Parameters):
    """How even a range must be."""

    called: ClassVar[str] = "grade"

    bump: float = parameter(5, "mm", 1, 30, "a point off the line of its neighbours, over hip girth", PRACTICE)


@dataclass(frozen=True, slots=True)
class Move:
    """One named point in one size, and how far it moved from the size before: None where that has no such point."""

    rise: str
    outline: Outline
    name: str
    size: str
    before: str | None
    x: float
    y: float
    dx: float | None
    dy: float | None


@dataclass(frozen=True, slots=True)
class Uneven:
    """A size with points out of line in one rise, and in words how many and which lies off by most."""

    size: str
    rise: str
    told: str

    def __str__(self) -> str:
        return f"{size_and_rise(self.size, self.rise)}: {self.told}"


@dataclass(frozen=True, slots=True)
class Grade:
    """How a range grades. `moves` run by rise, outline and point, then by size."""

    moves: tuple[Move, ...]
    uneven: tuple[Uneven, ...]

    @property
    def warnings(self) -> tuple[str, ...]:
        """One line for each size with points out of line."""
        return tuple(map(str, self.uneven))


def grade(garments: Sequence[Garment], *, limits: GradeLimits | None = None) -> Grade:
    """The grading of a design's sizes, in one rise or several, each rise by ascending hip girth.

    A warning names each size that has a point off the straight line, over hip girth, through the sizes beside it: so a
    change of interval from 4 cm to 6 cm is none. Which points are held to it, their block says.
    """
    moves: list[Move] = []
    off: list[Uneven] = []
    for rise in block_of(garments[0].design).rises_named() if garments else ():
        sizes = sorted((one for one in garments if one.rise == rise), key=lambda one: one.body.hip_girth)
        found = [{(point.outline, point.name): point.at for point in size.points} for size in sizes]
        keys = dict.fromkeys(key for points in found for key in points)
        for key in sorted(keys, key=lambda key: tuple(Outline).index(key[0])):
            moves += _moves(rise, key, sizes, found)
        off += _uneven(rise, sizes, found, limits or GradeLimits())
    return Grade(tuple(moves), tuple(off))


_Key = tuple[Outline, str]


def _moves(rise: str, key: _Key, sizes: Sequence[Garment], found: Sequence[Mapping[_Key, Point]]) -> Iterator[Move]:
    """One point through the sizes that have it."""
    outline, name = key
    for index, garment in enumerate(sizes):
        if key not in found[index]:
            continue
        point, before = found[index][key], found[index - 1].get(key) if index else None
        yield Move(
            rise=rise,
            outline=outline,
            name=name,
            size=garment.size,
            before=sizes[index - 1].size if before else None,
            x=point.x,
            y=point.y,
            dx=point.x - before.x if before else None,
            dy=point.y - before.y if before else None,
        )


def _uneven(
    rise: str, sizes: Sequence[Garment], found: Sequence[Mapping[_Key, Point]], limits: GradeLimits
) -> Iterator[Uneven]:
    """Each size with points out of line."""
    off: dict[int, list[tuple[float, str]]] = {}
    held = dict.fromkeys((point.outline, point.name) for size in sizes for point in size.points if point.held)
    for key in held:
        _, name = key
        having = [index for index, points in enumerate(found) if key in points]
        hips = [sizes[index].body.hip_girth for index in having]
        points = [found[index][key] for index in having]
        for values, (more, less) in (
            ([point.x for point in points], [f"to the {side}" for side in block_of(sizes[0].design).sides]),
            ([point.y for point in points], ("up", "down")),
        ):
            for bump in bumps(hips, values, limits.bump):
                beside = " and ".join(sizes[having[index]].size for index in bump.beside)
                told = f"{name} by {abs(bump.off):.1f} mm {more if bump.off > 0 else less}, seen from {beside}"
                off.setdefault(having[bump.index], []).append((abs(bump.off), told))
    for index, bumped in sorted(off.items()):
        count = "1 point is" if len(bumped) == 1 else f"{len(bumped)} points are"
        worst = max(bumped, key=lambda one: round(one[0], 1))
        told = f"{count} out of line with the other sizes, most of all {worst[1]}; measure this size again"
        yield Uneven(sizes[index].size, rise, told)
