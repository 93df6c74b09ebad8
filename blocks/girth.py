"""Body girths by height, and the elastics that are cut to them. Heights in mm above the block's crotch line."""

from __future__ import annotations

from dataclasses import dataclass

from blocks.design import CasingDesign, Design
from blocks.leg import LegBlock
from blocks.measurements import Body
from drafting.casing import Tuck
from drafting.interpolate import Pchip


@dataclass(frozen=True, slots=True)
class Elastic:
    """One elastic of the garment, in mm.

    `girth` is the body's there (both legs above the crotch, one leg below), `finished` the length that lies across
    one leg, or round the waist; `cut_length` adds what is caught in the seams or lapped. `gather` is the flat width
    of cloth over `finished`.
    """

    name: str
    elastic_width: float
    height: float
    girth: float
    finished: float
    cut_length: float
    quantity: int
    flat_width: float

    @property
    def gather(self) -> float:
        """Gather ratio: flat width of cloth over finished elastic."""
        return self.flat_width / self.finished


def girth_at(body: Body, design: Design, height: float) -> float:
    """Girth of the body at a height of the block: both legs together above the crotch line, one leg below it.

    Shape-preserving interpolation (PCHIP) through waist, high hip and hip; below the hip level the hip girth holds,
    below the crotch line the thigh girth. Levels hang from the body's waist, which the high rise's waist level meets.
    """
    if height <= 0:
        return body.thigh_girth
    waist = body.body_rise + design.leg.rise_ease
    hip = waist - body.waist_to_hip
    high_hip = waist - design.leg.high_hip_share * body.waist_to_hip
    return Pchip((hip, high_hip, waist), (body.hip_girth, body.high_hip_girth, body.waist_girth))(height)


def elastics_of(body: Body, block: LegBlock, design: Design, tucks: tuple[Tuck, ...]) -> tuple[Elastic, ...]:
    """The waist elastic, then one elastic per casing from the top down.

    Above the crotch a leg's elastic is girth (1 + ease) / 2, below it thigh girth (1 + ease); both ends of each are
    caught in a seam. The waist elastic is girth (1 - reduction) and laps (common practice).
    """
    waist_girth = girth_at(body, design, block.waist_level)
    round_waist = waist_girth * (1 - design.waist.reduction)
    waist = Elastic(
        name="waist",
        elastic_width=design.waist.elastic_width,
        height=block.waist_level,
        girth=waist_girth,
        finished=round_waist,
        cut_length=round_waist + design.waist.overlap,
        quantity=1,
        flat_width=2 * block.waist.length,
    )
    casings = {casing.name: casing for casing in design.casings}
    return (waist, *(_casing(casings[tuck.name], body, block, design) for tuck in reversed(tucks)))


def _casing(casing: CasingDesign, body: Body, block: LegBlock, design: Design) -> Elastic:
    girth = girth_at(body, design, casing.height)
    finished = girth * (1 + casing.ease) / (2 if casing.height > 0 else 1)
    return Elastic(
        name=casing.name,
        elastic_width=casing.elastic_width,
        height=casing.height,
        girth=girth,
        finished=finished,
        cut_length=finished + 2 * design.allowances.seam,
        quantity=2,
        flat_width=block.width_at(casing.height),
    )


def elastic_warnings(elastics: tuple[Elastic, ...], design: Design) -> tuple[str, ...]:
    """What to look at: elastics that squeeze, cloth that lies flat or will not gather, casings far below the thigh."""
    limits, found = design.limits, []
    for elastic in elastics:
        ratio = elastic.finished * (2 if elastic.height > 0 and elastic.quantity == 2 else 1) / elastic.girth
        if 1 - ratio > limits.squeeze:
            found.append(
                f"{elastic.name} elastic: {100 * (1 - ratio):.0f} % shorter than the body; more than "
                f"{100 * limits.squeeze:.0f} % can hinder circulation"
            )
        if not limits.gather_low <= elastic.gather <= limits.gather_high:
            fault = "the cloth hardly gathers" if elastic.gather < limits.gather_low else "the cloth is hard to gather"
            found.append(
                f"{elastic.name} elastic: gather ratio {elastic.gather:.2f} is outside {limits.gather_low:g} to "
                f"{limits.gather_high:g}; {fault}"
            )
        if elastic.height < -limits.thigh_reach:
            found.append(
                f"{elastic.name} elastic: {-elastic.height:.0f} mm below the crotch it is still cut to the thigh "
                "girth; try it on and shorten it to the leg"
            )
    return tuple(found)
