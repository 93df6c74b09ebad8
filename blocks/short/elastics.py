"""Body girths by height, and the elastics of a short that are cut to them. Heights in mm above the crotch line."""

from __future__ import annotations

from collections.abc import Iterable

from blocks.elastic import Elastic, Elastics, Use, elastic_warnings, waist_elastic
from blocks.measurements import Body
from blocks.short.casings import PlacedCasing
from blocks.short.design import ShortDesign
from blocks.short.folding import casings_of
from blocks.short.leg import LegBlock
from drafting.casing import Tuck
from drafting.interpolate import Pchip


def girth_at(body: Body, design: ShortDesign, height: float) -> float:
    """Girth of the body at a height of the block: both legs together above the crotch line, one leg below it.

    Shape-preserving interpolation (PCHIP) through waist, high hip and hip; below the hip level the hip girth holds,
    below the crotch line the thigh girth. Levels hang from the body's waist, which the high rise's waist level meets.
    """
    if height <= 0:
        return body.thigh_girth
    waist = body.known("body_rise") + design.leg.rise_ease
    hip = waist - body.waist_to_hip
    high_hip = waist - design.leg.high_hip_share * body.waist_to_hip
    return Pchip((hip, high_hip, waist), (body.hip_girth, body.high_hip_girth, body.waist_girth))(height)


def high_hip_level(body: Body, design: ShortDesign) -> float:
    """The high-hip level of a body, in mm above the crotch line of its block."""
    return body.known("body_rise") + design.leg.rise_ease - design.leg.high_hip_share * body.waist_to_hip


def elastics_of(body: Body, leg: LegBlock, design: ShortDesign, tucks: tuple[Tuck, ...]) -> Elastics:
    """The waist elastic, then one elastic per casing from the top down.

    Above the crotch a leg's elastic is girth (1 + ease) / 2, below it thigh girth (1 + ease); both ends of each are
    caught in a seam (common practice).
    """
    waist = waist_elastic(
        design.waist,
        height=leg.top_level,
        girth=girth_at(body, design, leg.top_level),
        flat_width=2 * leg.waist.length,
    )
    casings = {casing.name: casing for casing in casings_of(leg, design)}
    return Elastics(waist, tuple(_casing(casings[tuck.name], body, leg, design) for tuck in reversed(tucks)))


def _casing(casing: PlacedCasing, body: Body, leg: LegBlock, design: ShortDesign) -> Elastic:
    girth = girth_at(body, design, casing.height)
    legs = 2 if casing.height > 0 else 1
    finished = girth * (1 + casing.ease) / legs
    return Elastic(
        design=casing,
        height=casing.height,
        girth=girth,
        finished=finished,
        cut_length=finished + 2 * design.allowances.seam,
        quantity=2,
        flat_width=leg.width_at(casing.height),
        round_body=legs,
    )


def warnings_of(elastics: Iterable[Elastic], design: ShortDesign) -> tuple[str, ...]:
    """What to look at in the elastics of a short, those far below the thigh among them."""
    found = []
    for elastic in elastics:
        found += elastic_warnings(elastic, design.limits)
        if elastic.use is Use.CASING and elastic.height < -design.limits.thigh_reach:
            found.append(
                f"{elastic.label} elastic: {-elastic.height:g} mm below the crotch it is still cut to the thigh "
                "girth; try it on and shorten it to the leg"
            )
    return tuple(found)
