"""Grading: where the named points of the leg lie in each size, how they move from size to size, and bumps among them.

Points are measured in mm from the side line (x, front positive) and the crotch line (y, up), so sizes nest on both.
`finished` points are those of the sewn leg; `flat` ones those of the printed piece, casings opened.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from blocks.bump import bumps
from blocks.leg import Rise
from blocks.panel import length_of
from blocks.parameters import PRACTICE, check_parameters, parameter
from blocks.short import Short
from drafting.piece import CasingLine
from drafting.point import Point

LEG: Final = "leg"
CASING: Final = "casing "


class Outline(StrEnum):
    """Which leg a point lies on: the sewn one, or the flat one with its casings opened."""

    FINISHED = "finished"
    FLAT = "flat"


@dataclass(frozen=True, slots=True)
class GradeLimits:
    """How even a range must be.

    Raises:
        DesignError: a parameter is outside its range.
    """

    bump: float = parameter(5, "mm", 1, 30, "a point off the line of its neighbours, over hip girth", PRACTICE)

    def __post_init__(self) -> None:
        check_parameters(self, "grade")


@dataclass(frozen=True, slots=True)
class Place:
    """One named point in one size, and how far it moved from the size before: None where that has no such point."""

    rise: Rise
    outline: Outline
    name: str
    size: str
    before: str | None
    x: float
    y: float
    dx: float | None
    dy: float | None


@dataclass(frozen=True, slots=True)
class Grade:
    """How a range grades. `places` run by rise, outline and point, then by size."""

    places: tuple[Place, ...]
    warnings: tuple[str, ...]


def grade(shorts: Sequence[Short], *, limits: GradeLimits | None = None) -> Grade:
    """The grading of a design's sizes, in one rise or several, each rise by ascending hip girth.

    A warning names each size that has a point off the straight line, over hip girth, through the sizes beside it: so a
    change of interval from 4 cm to 6 cm is none. On the flat leg only the casings' ends are held to it; its waist
    steps up by twice its depth where a casing comes in, and is otherwise the finished one.
    """
    places: list[Place] = []
    warnings: list[str] = []
    for rise in Rise:
        sizes = sorted((short for short in shorts if short.rise is rise), key=lambda short: short.body.hip_girth)
        found = [dict(_points(short)) for short in sizes]
        keys = dict.fromkeys(key for points in found for key in points)
        for key in sorted(keys, key=lambda key: tuple(Outline).index(key[0])):
            places += _moves(rise, key, sizes, found)
        warnings += _warnings(rise, sizes, found, limits or GradeLimits())
    return Grade(tuple(places), tuple(warnings))


_Key = tuple[Outline, str]


def _points(short: Short) -> Iterator[tuple[_Key, Point]]:
    """The named points of one leg. Its hip points lie on the crotch edges, below the waist in either rise."""
    block = short.block
    yield (Outline.FINISHED, "waist at centre front"), block.waist.start
    yield (Outline.FINISHED, "waist at side line"), Point(0.0, block.waist_level)
    yield (Outline.FINISHED, "waist at centre back"), block.waist.end
    for half, crotch in (("front", block.front_crotch), ("back", block.back_crotch)):
        yield (Outline.FINISHED, f"hip, {half}"), crotch.heights(block.hip_level)[0]
    yield (Outline.FINISHED, "crotch point, front"), block.front_crotch.start
    yield (Outline.FINISHED, "crotch point, back"), block.back_crotch.end
    yield (Outline.FINISHED, "hem, front"), block.hem.end
    yield (Outline.FINISHED, "hem, back"), block.hem.start

    # The halves of a split leg lie where the whole leg does, so its points are theirs.
    legs = [piece for piece in short.pieces if piece.name == LEG or piece.name.startswith(f"{LEG} ")]
    front, back = legs[0], legs[-1]
    yield (Outline.FLAT, "waist at centre front"), front.edge("waist").seam.start
    yield (Outline.FLAT, "waist at side line"), front.edge("waist").seam.point_at(length_of(block.waist, 0))
    yield (Outline.FLAT, "waist at centre back"), back.edge("waist").seam.end
    yield (Outline.FLAT, "crotch point, front"), front.edge("front crotch").seam.start
    yield (Outline.FLAT, "crotch point, back"), back.edge("back crotch").seam.end
    yield (Outline.FLAT, "hem, front"), front.edge("hem").seam.end
    yield (Outline.FLAT, "hem, back"), back.edge("hem").seam.start
    there = {line.name: line for line in (*back.fold_lines, *back.stitch_lines)}
    for line in (*front.fold_lines, *front.stitch_lines):
        yield (Outline.FLAT, f"{CASING}{_part(line)}, front"), line.end
        yield (Outline.FLAT, f"{CASING}{_part(line)}, back"), there[line.name].start


def _part(line: CasingLine) -> str:
    return f"{line.casing}: {line.name.removeprefix(line.casing).strip()}"


def _moves(rise: Rise, key: _Key, sizes: Sequence[Short], found: Sequence[Mapping[_Key, Point]]) -> Iterator[Place]:
    """One point through the sizes that have it."""
    outline, name = key
    for index, short in enumerate(sizes):
        if key not in found[index]:
            continue
        point, before = found[index][key], found[index - 1].get(key) if index else None
        yield Place(
            rise=rise,
            outline=outline,
            name=name,
            size=short.size,
            before=sizes[index - 1].size if before else None,
            x=point.x,
            y=point.y,
            dx=point.x - before.x if before else None,
            dy=point.y - before.y if before else None,
        )


def _warnings(
    rise: Rise, sizes: Sequence[Short], found: Sequence[Mapping[_Key, Point]], limits: GradeLimits
) -> Iterator[str]:
    """One line for each size with points out of line: how many, and which lies off by most."""
    off: dict[int, list[tuple[float, str]]] = {}
    for key in dict.fromkeys(key for points in found for key in points):
        outline, name = key
        if outline is Outline.FLAT and not name.startswith(CASING):
            continue
        having = [index for index, points in enumerate(found) if key in points]
        hips = [sizes[index].body.hip_girth for index in having]
        points = [found[index][key] for index in having]
        for values, (more, less) in (
            ([point.x for point in points], ("to the front", "to the back")),
            ([point.y for point in points], ("up", "down")),
        ):
            for bump in bumps(hips, values, limits.bump):
                beside = " and ".join(sizes[having[index]].size for index in bump.beside)
                told = f"{name} by {abs(bump.off):.1f} mm {more if bump.off > 0 else less}, seen from {beside}"
                off.setdefault(having[bump.index], []).append((abs(bump.off), told))
    for index, bumped in sorted(off.items()):
        count = "1 point is" if len(bumped) == 1 else f"{len(bumped)} points are"
        worst = max(bumped, key=lambda one: round(one[0], 1))
        yield (
            f"{sizes[index].size}, {rise} rise: {count} out of line with the other sizes, most of all "
            f"{worst[1]}; measure this size again"
        )
