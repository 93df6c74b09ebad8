"""Blended sizes: the waist of one size or body on the hips of another, from two rows of the elastic table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from blocks.design import Design
from blocks.girth import Elastic, Use, elastic_warnings, elastics_of
from blocks.haberdashery import Haberdashery, Rounding, strips_of
from blocks.leg import left_out, tucks_of
from blocks.measurements import Body
from blocks.short import Short, draft_short
from blocks.size_table import Size
from drafting.errors import DesignError

OWN: Final = "own measurements"


@dataclass(frozen=True, slots=True)
class Blend:
    """Which pattern to cut, and the elastics that go into it: from `level` mm above the crotch line up those of the
    waist size, and its waist elastic; below, those of the pattern's own size.
    """

    pattern: Short
    waist_size: str
    level: float
    elastics: tuple[Elastic, ...]
    warnings: tuple[str, ...]

    @property
    def taken_from(self) -> tuple[str, ...]:
        """For each elastic the size that it is cut for."""
        return tuple(
            self.waist_size if of_waist_size(elastic, self.level) else self.pattern.size for elastic in self.elastics
        )

    def haberdashery(self, *, rounding: Rounding | None = None) -> Haberdashery:
        """What to cut and to buy."""
        return strips_of(self.elastics, pattern=self.pattern, rounding=rounding)


def of_waist_size(elastic: Elastic, level: float) -> bool:
    """True for an elastic that a blend cuts for the waist size: that of the waist, and of casings from `level` up."""
    return elastic.use is Use.WAIST or elastic.height >= level


def blend(waist_short: Short, hip_short: Short, *, above: float | None = None) -> Blend:
    """The elastics of a wearer with the waist of one size and the hips of another; the pieces are the hip size's.

    The waist elastic, and every casing at `above` mm over the crotch line or higher, is cut as for the waist size;
    the others as for the hip size. Left out, `above` is the high-hip level of the hip size: from there up the body
    is nearer its waist than its hip. `-inf` takes every elastic from the first. Gather ratios are those of the
    pattern that is cut.

    Raises:
        DesignError: sizes of two designs or two rises.
    """
    design = hip_short.design
    if waist_short.design != design or waist_short.rise != hip_short.rise:
        raise DesignError(
            f"blend: {waist_short.size} ({waist_short.design.name}, {waist_short.rise} rise) and {hip_short.size} "
            f"({design.name}, {hip_short.rise} rise) differ in more than size; blend sizes of one design and rise"
        )
    level = high_hip_level(hip_short.body, design) if above is None else above
    # The pattern may have a casing that the waist size's mid rise lacks: it too is cut to the waist size's body.
    tucks, _ = tucks_of(hip_short.block, design)
    waist, *casings = elastics_of(waist_short.body, hip_short.block, design, tucks)
    own = waist_short.elastics[0]
    waist = replace(own, height=waist.height, flat_width=waist.flat_width)
    elastics = (
        waist,
        *(
            first if of_waist_size(first, level) else second
            for first, second in zip(casings, hip_short.elastics[1:], strict=True)
        ),
    )
    gone = tuple(f"{hip_short.size}: {left_out(casing, design, hip_short.rise)}" for casing in hip_short.left_out)
    return Blend(hip_short, waist_short.size, level, elastics, (*gone, *elastic_warnings(elastics, design)))


def fitted(body: Body, pattern: Short, *, size: str = "") -> Blend:
    """The elastics of one body's own measurements, to go into the pieces of a size.

    Without a `size` label they are called own measurements.

    Raises:
        DesignError: a design that this body cannot wear.
    """
    own = draft_short(pattern.design, body, rise=pattern.rise, size=size or OWN)
    return blend(own, pattern, above=-math.inf)


def nearest_size(body: Body, sizes: Sequence[Size]) -> Size:
    """The size whose hip girth is nearest the body's; of two as near, the larger.

    Raises:
        DesignError: there are no sizes.
    """
    if not sizes:
        raise DesignError("sizes: there are none to choose from; give one or more")
    return min(sizes, key=lambda size: (abs(size.body.hip_girth - body.hip_girth), -size.body.hip_girth))


def high_hip_level(body: Body, design: Design) -> float:
    """The high-hip level of a body, in mm above the crotch line of its block."""
    waist = body.body_rise + design.leg.rise_ease
    return waist - design.leg.high_hip_share * body.waist_to_hip
