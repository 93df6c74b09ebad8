"""Blended sizes: the waist of one size or body on the hips of another, from two rows of the elastic table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from blocks.elastic import Elastic, Elastics, Use
from blocks.garment import Garment, size_and_rise
from blocks.haberdashery import Haberdashery, Rounding, strips_of
from blocks.known import block_of
from blocks.measurements import Body
from blocks.size_table import Size
from drafting.errors import DesignError

OWN: Final = "own measurements"


@dataclass(frozen=True, slots=True)
class Blend:
    """Which pattern to cut, and the elastics that go into it: from the height `level` in mm up those of the
    waist size, and its waist elastic; below, those of the pattern's own size.
    """

    pattern: Garment
    waist_size: str
    level: float
    elastics: Elastics
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


def blend(waist: Garment, hips: Garment, *, above: float | None = None) -> Blend:
    """The elastics of a wearer with the waist of one size and the hips of another; the pieces are the hip size's.

    The waist elastic, and every casing at the height `above` in mm or higher, is cut as for the waist size; the others
    as for the hip size. Left out, `above` is what the block says for the hip size. `-inf` takes every elastic from the
    first. Gather ratios are those of the pattern that is cut.

    Raises:
        DesignError: sizes of two designs or two rises.
    """
    design = hips.design
    if waist.design != design or waist.rise != hips.rise:
        one, other = (
            f"{garment.size} ({size_and_rise(garment.design.name, garment.rise)})" for garment in (waist, hips)
        )
        raise DesignError(f"blend: {one} and {other} differ in more than size; blend sizes of one design and rise")
    block = block_of(design)
    level = block.waist_from(hips) if above is None else above
    # The pattern may have a casing that the waist size's lacks: it too is cut to the waist size's body.
    fitting = block.fit(hips, waist.body)
    own = replace(waist.elastics.waist, height=fitting.waist.height, flat_width=fitting.waist.flat_width)
    casings = tuple(
        first if of_waist_size(first, level) else second
        for first, second in zip(fitting.casings, hips.elastics.casings, strict=True)
    )
    elastics = Elastics(own, casings)
    gone = tuple(f"{hips.size}: {one.why}" for one in hips.left_out)
    return Blend(hips, waist.size, level, elastics, (*gone, *block.elastic_warnings(elastics, design)))


def fitted(body: Body, pattern: Garment, *, size: str = "") -> Blend:
    """The elastics of one body's own measurements, to go into the pieces of a size.

    Without a `size` label they are called own measurements.

    Raises:
        DesignError: a design that this body cannot wear.
    """
    own = block_of(pattern.design).draft(pattern.design, body, rise=pattern.rise, size=size or OWN)
    return blend(own, pattern, above=-math.inf)


def nearest_size(body: Body, sizes: Sequence[Size]) -> Size:
    """The size whose hip girth is nearest the body's; of two as near, the larger.

    Raises:
        DesignError: there are no sizes.
    """
    if not sizes:
        raise DesignError("sizes: there are none to choose from; give one or more")
    return min(sizes, key=lambda size: (abs(size.body.hip_girth - body.hip_girth), -size.body.hip_girth))
