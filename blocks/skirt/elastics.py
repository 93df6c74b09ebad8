"""The figure that a skirt is worn by, and the elastics that are cut to it. Heights in mm from the waist."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

from blocks.design import CasingDesign
from blocks.elastic import Elastic, Elastics, elastic_warnings, waist_elastic
from blocks.figure import Figure, trunk_of
from blocks.measurements import Body
from blocks.skirt.design import SkirtDesign
from blocks.skirt.panel import SkirtPanel
from drafting.casing import Tuck
from drafting.errors import DesignError


def figure_of(body: Body, design: SkirtDesign) -> Figure:
    """The figure of a body in a skirt, which hangs from the hips: below them their girth holds, for a body to pass."""
    return Figure(trunk_of(body, waist=0.0, high_hip_share=design.panel.high_hip_share))


def elastics_of(body: Body, made: SkirtPanel, design: SkirtDesign, tucks: Sequence[Tuck]) -> Elastics:
    """The waist elastic, then one elastic per casing from the top down.

    A casing's elastic goes once round the body, both ends caught in the seam that closes the skirt: of two panels one
    side is joined before. It is girth (1 + ease), and below the hip level longer by the share of its depth that a
    stride needs (common practice).
    """
    figure = figure_of(body, design)
    waist = waist_elastic(design.waist, figure, height=0.0, flat_width=made.round)
    casings = {casing.name: casing for casing in design.casings}
    return Elastics(waist, tuple(_casing(casings[tuck.name], figure, made, design) for tuck in reversed(tucks)))


def _casing(casing: CasingDesign, figure: Figure, made: SkirtPanel, design: SkirtDesign) -> Elastic:
    girth = figure.girth_at(casing.height)
    stride = design.panel.stride_ease * max(0.0, figure.trunk[0].height - casing.height)
    finished = girth * (1 + casing.ease) + stride
    return Elastic(
        design=casing,
        height=casing.height,
        girth=girth,
        finished=finished,
        cut_length=finished + 2 * design.allowances.seam,
        quantity=1,
        flat_width=made.round,
        widest=figure.widest_below(casing.height),
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
    wider = "make panel.fullness or panel.hip_ease greater"
    return tuple(told for elastic in elastics for told in elastic_warnings(elastic, design, wider=wider))
