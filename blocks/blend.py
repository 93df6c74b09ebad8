"""A wearer who is no size of the table: the waist of one size on the hips of another, or their own measurements.

Both are one rule: the pieces are those of a size, and every elastic is cut to the wearer's girth at its height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from blocks.contradictions import Proportions
from blocks.elastic import Elastics
from blocks.estimates import completed
from blocks.garment import Garment, size_and_rise
from blocks.haberdashery import Haberdashery, Rounding, strips_of
from blocks.known import block_of
from blocks.measurements import Body
from blocks.size_table import Size
from drafting.errors import DesignError

OWN: Final = "own measurements"
MANY: Final = 20
"""Sizes; of more, not every waist goes on every hip."""
NEAR: Final = 8
"""Sizes between waist and hips, of many."""
HIGH_HIP: Final = "high_hip_girth"


@dataclass(frozen=True, slots=True)
class Blend:
    """Which pattern to cut, and the elastics of the wearer that go into it.

    `level` is a height in mm above which they are those of the waist size's own body, where one was asked for.
    """

    pattern: Garment
    waist_size: str
    elastics: Elastics
    warnings: tuple[str, ...]
    level: float | None = None

    def haberdashery(self, *, rounding: Rounding | None = None) -> Haberdashery:
        """What to cut and to buy."""
        return strips_of(self.elastics, pattern=self.pattern, rounding=rounding)


def blended_body(waist: Body, hips: Body) -> Body:
    """The body of a wearer with the waist of one and all else of another.

    The high hip, between the two, is the same share of the way from waist to hip as on the second body.

    >>> from blocks.measurements import body_from
    >>> one, other = (
    ...     body_from({"waist_girth": waist, "hip_girth": hips, "body_rise": 27, "waist_to_hip": 20}, unit="cm")
    ...     for waist, hips in ((90, 116), (74, 100))
    ... )
    >>> made = blended_body(one, other)
    >>> made.waist_girth, round(made.high_hip_girth, 1), made.hip_girth
    (900.0, 966.7, 1000.0)
    """
    if waist.waist_girth == hips.waist_girth:
        return hips
    return replace(hips, waist_girth=waist.waist_girth, high_hip_girth=_high_hip(waist.waist_girth, hips))


def _high_hip(waist: float, hips: Body) -> float:
    """The high-hip girth of a body with another waist girth: estimated where it was, or where it is not between."""
    way = hips.hip_girth - hips.waist_girth
    share = (hips.high_hip_girth - hips.waist_girth) / way if way else -1.0
    if HIGH_HIP in hips.estimated or not 0 <= share <= 1:
        return completed({"waist_girth": waist, "hip_girth": hips.hip_girth})[1][HIGH_HIP].value
    return waist + share * (hips.hip_girth - waist)


def blend(waist: Garment, hips: Garment, *, above: float | None = None) -> Blend:
    """The elastics of a wearer with the waist of one size and the hips of another; the pieces are the hip size's.

    Each is cut to the girth at its height of a body with that waist and all else of the hip size. Gather ratios are
    those of the pattern that is cut. With `above`, casings at that height in mm or higher are cut to the waist size's
    own body instead.

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
    elastics = block.fit(hips, blended_body(waist.body, hips.body))
    if above is not None:
        whole = block.fit(hips, waist.body)
        casings = tuple(
            own if own.height >= above else between
            for own, between in zip(whole.casings, elastics.casings, strict=True)
        )
        elastics = Elastics(elastics.waist, casings)
    found = _with(hips, waist.size, elastics, above)
    return replace(found, warnings=(*_nobodys(waist, hips), *found.warnings))


def _nobodys(waist: Garment, hips: Garment) -> tuple[str, ...]:
    """What is wrong with two sizes that no body stands between: measured, it would be refused."""
    by, said = Proportions(), hips.design.said
    one, other = waist.body.waist_girth, hips.body.hip_girth
    if by.waist_over_hip_low * other < one < by.waist_over_hip_high * other:
        return ()
    return (
        f"waist of {waist.size} on the hips of {hips.size}: {said(one)} round the waist and {said(other)} round the "
        "hips are no body's; measure again and choose both sizes anew",
    )


def blends(garments: Sequence[Garment]) -> dict[tuple[str, str], Blend]:
    """Every waist size on every other hip size, by both labels, of sizes in one design and rise, smallest first.

    Of many sizes only those that are near each other: nobody's waist and hips lie further apart.

    Raises:
        DesignError: as `blend` does.
    """
    reach = reach_of(garments)
    return {
        (waist.size, hips.size): blend(waist, hips)
        for at, hips in enumerate(garments)
        for waist in garments[max(0, at - reach) : at + reach + 1]
        if waist.size != hips.size
    }


def reach_of(garments: Sequence[Garment]) -> int:
    """How many sizes apart waist and hips may lie."""
    return NEAR if len(garments) > MANY else len(garments)


def fitted(body: Body, pattern: Garment, *, size: str = "") -> Blend:
    """The elastics of one body's own measurements, to go into the pieces of a size.

    Without a `size` label they are called own measurements.

    Raises:
        MeasurementError: a measurement that the design needs is not known of this body.
    """
    return _with(pattern, size or OWN, block_of(pattern.design).fit(pattern, body))


def _with(pattern: Garment, label: str, elastics: Elastics, level: float | None = None) -> Blend:
    gone = tuple(f"{pattern.size}: {one.why}" for one in pattern.left_out)
    told = block_of(pattern.design).elastic_warnings(elastics, pattern.design)
    return Blend(pattern, label, elastics, (*gone, *told), level)


def nearest_size(body: Body, sizes: Sequence[Size]) -> Size:
    """The size whose hip girth is nearest the body's; of two as near, the larger.

    Raises:
        DesignError: there are no sizes.
    """
    if not sizes:
        raise DesignError("sizes: there are none to choose from; give one or more")
    return min(sizes, key=lambda size: (abs(size.body.hip_girth - body.hip_girth), -size.body.hip_girth))
