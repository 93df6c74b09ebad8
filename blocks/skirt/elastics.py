"""Body girths by height, and the elastics of a skirt that are cut to them. Heights in mm from the waist."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

from blocks.design import CasingDesign
from blocks.elastic import Elastic, Elastics, elastic_warnings, waist_elastic
from blocks.measurements import Body
from blocks.skirt.design import SkirtDesign
from blocks.skirt.panel import SkirtPanel
from drafting.casing import Tuck
from drafting.errors import DesignError
from drafting.interpolate import Pchip


def girth_at(body: Body, design: SkirtDesign, height: float) -> float:
    """Girth of the body at a height: shape-preserving interpolation (PCHIP) through waist, high hip and hip.

    Below the hip level the hip girth holds: the skirt hangs from the hips, and the body must pass through.
    """
    levels = (-body.waist_to_hip, high_hip_level(body, design), 0.0)
    return Pchip(levels, (body.hip_girth, body.high_hip_girth, body.waist_girth))(height)


def high_hip_level(body: Body, design: SkirtDesign) -> float:
    """The high-hip level of a body, in mm from its waist: negative."""
    return -design.panel.high_hip_share * body.waist_to_hip


def elastics_of(body: Body, made: SkirtPanel, design: SkirtDesign, tucks: Sequence[Tuck]) -> Elastics:
    """The waist elastic, then one elastic per casing from the top down.

    A casing's elastic goes once round the body, both ends caught in the seam that closes the skirt: of two panels one
    side is joined before. It is girth (1 + ease), and below the hip level longer by the share of its depth that a
    stride needs (common practice).
    """
    waist = waist_elastic(design.waist, height=0.0, girth=body.waist_girth, flat_width=made.round)
    casings = {casing.name: casing for casing in design.casings}
    return Elastics(waist, tuple(_casing(casings[tuck.name], body, made, design) for tuck in reversed(tucks)))


def _casing(casing: CasingDesign, body: Body, made: SkirtPanel, design: SkirtDesign) -> Elastic:
    girth = girth_at(body, design, casing.height)
    stride = design.panel.stride_ease * max(0.0, -body.waist_to_hip - casing.height)
    finished = girth * (1 + casing.ease) + stride
    return Elastic(
        design=casing,
        height=casing.height,
        girth=girth,
        finished=finished,
        cut_length=finished + 2 * design.allowances.seam,
        quantity=1,
        flat_width=made.round,
    )


def check_widths(elastics: Elastics, body: Body, design: SkirtDesign) -> None:
    """Refuse an elastic that is longer than the cloth that it should gather.

    Raises:
        DesignError: one is; the message says how full the skirt must be, or what else makes the elastic long.
    """
    for elastic in elastics:
        if elastic.gather < 1:
            fullness = ceil(100 * elastic.finished / (body.hip_girth + design.panel.hip_ease)) / 100
            raise DesignError(
                f"panel.fullness: {design.panel.fullness:g} makes the skirt {design.said(elastic.flat_width)} wide, "
                f"and the {elastic.label} elastic is {design.said(elastic.finished)} long; set it to {fullness:.2f} at "
                "least, or make panel.stride_ease or the ease of the casing smaller"
            )


def warnings_of(elastics: Iterable[Elastic], design: SkirtDesign) -> tuple[str, ...]:
    """What to look at in the elastics of a skirt."""
    return tuple(told for elastic in elastics for told in elastic_warnings(elastic, design.limits))
