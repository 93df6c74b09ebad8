"""Body girths by height, and the elastics that are cut to them. Heights in mm above the block's crotch line."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from blocks.design import CasingDesign, Design, casing_title
from blocks.leg import LegBlock
from blocks.measurements import Body
from drafting.casing import Tuck
from drafting.interpolate import Pchip
from drafting.units import beyond


class Use(StrEnum):
    """What a strip is for. A casing may be named by any of these words, so nothing is told apart by its name."""

    WAIST = "waist"
    CASING = "casing"
    TRIM = "trim"


OWN_WORDS: Final = frozenset({Use.WAIST, Use.TRIM})
"""Names of strips that are no casing's."""


def casing_label(name: str) -> str:
    """What a casing is called in a list.

    >>> casing_label("lower"), casing_label("waist")
    ('lower', 'waist casing')
    """
    return casing_title(name) if name.casefold() in OWN_WORDS else name


@dataclass(frozen=True, slots=True)
class Elastic:
    """One elastic of the garment, in mm; `use` tells the waist's from a casing's.

    `girth` is the body's there (both legs above the crotch, one leg below), `finished` the length that lies across
    one leg, or round the waist; `cut_length` adds what is caught in the seams or lapped. `gather` is the flat width
    of cloth over `finished`.
    """

    use: Use
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

    @property
    def label(self) -> str:
        """What it is called in lists: its casing's name, said to be a casing's where it is another strip's word."""
        return casing_label(self.name) if self.use is Use.CASING else self.name


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
        use=Use.WAIST,
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
        use=Use.CASING,
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
        ratio = elastic.finished * (2 if elastic.height > 0 and elastic.use is Use.CASING else 1) / elastic.girth
        if 1 - ratio > limits.squeeze:
            found.append(
                f"{elastic.label} elastic: {beyond(100 * (1 - ratio), 100 * limits.squeeze)} % shorter than the body; "
                f"more than {100 * limits.squeeze:g} % can hinder circulation"
            )
        if not limits.gather_low <= elastic.gather <= limits.gather_high:
            loose = elastic.gather < limits.gather_low
            fault = "the cloth hardly gathers" if loose else "the cloth is hard to gather"
            told = beyond(elastic.gather, limits.gather_low if loose else limits.gather_high, decimals=2)
            found.append(
                f"{elastic.label} elastic: gather ratio {told} is outside {limits.gather_low:g} to "
                f"{limits.gather_high:g}; {fault}"
            )
        if elastic.height < -limits.thigh_reach:
            found.append(
                f"{elastic.label} elastic: {-elastic.height:g} mm below the crotch it is still cut to the thigh "
                "girth; try it on and shorten it to the leg"
            )
    return tuple(found)
