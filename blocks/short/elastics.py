"""The figure that a short is worn by, and the elastics that are cut to it. Heights in mm above the crotch line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from blocks.elastic import SLACK, Elastic, Elastics, Use, elastic_warnings, waist_elastic
from blocks.figure import Figure, leg_of, trunk_of
from blocks.measurements import Body
from blocks.short.casings import PlacedCasing
from blocks.short.design import ShortDesign
from blocks.short.folding import casings_of
from blocks.short.leg import LegBlock
from drafting.casing import Tuck
from drafting.units import beyond


def figure_of(body: Body, leg: LegBlock, design: ShortDesign, *, drafted_for: Body | None = None) -> Figure:
    """The figure of a body in a leg that was drafted for it, or for another: its crotch on the crotch line.

    Its waist is where the high rise's waist meets it, higher or lower by as much as its body rise is the longer.
    """
    by, wearer = design.leg, drafted_for or body
    higher = body.known("body_rise") - wearer.known("body_rise")
    adjusted = leg.high_waist_level - leg.hip_level - wearer.waist_to_hip
    return Figure(
        trunk=trunk_of(body, waist=leg.high_waist_level + higher, high_hip_share=by.high_hip_share, longer=adjusted),
        leg=leg_of(body, crotch=0.0, thigh_drop=by.thigh_drop),
        crotch=0.0,
        heel=by.heel_over_ankle * body.known("ankle_girth"),
    )


def elastics_of(
    body: Body, leg: LegBlock, design: ShortDesign, tucks: tuple[Tuck, ...], *, drafted_for: Body | None = None
) -> Elastics:
    """The waist elastic, then one elastic per casing from the top down, cut to a body's girth where each lies.

    The leg may have been drafted for another body.

    Above the crotch a leg's elastic is girth (1 + ease) / 2, below it girth (1 + ease); both ends of each are caught in
    a seam (common practice). The waist's lies as far below the body's own waist as the top of the short lies below the
    waist level of the high rise.
    """
    figure = figure_of(body, leg, design, drafted_for=drafted_for)
    lowered = leg.high_waist_level - leg.top_level
    waist = waist_elastic(
        design.waist, figure, height=figure.trunk[-1].height - lowered, flat_width=2 * leg.waist.length
    )
    casings = {casing.name: casing for casing in casings_of(leg, design)}
    made = (_casing(casings[tuck.name], figure, leg, design) for tuck in reversed(tucks))
    return Elastics(replace(waist, height=leg.top_level), tuple(made))


def _casing(casing: PlacedCasing, figure: Figure, leg: LegBlock, design: ShortDesign) -> Elastic:
    girth, legs = figure.girth_at(casing.height), figure.legs_at(casing.height)
    finished = girth * (1 + casing.ease) / legs
    return Elastic(
        design=casing,
        height=casing.height,
        girth=girth,
        finished=finished,
        cut_length=finished + 2 * design.allowances.seam,
        quantity=2,
        flat_width=leg.width_at(casing.height),
        widest=figure.widest_below(casing.height),
        round_body=legs,
    )


def warnings_of(elastics: Iterable[Elastic], design: ShortDesign) -> tuple[str, ...]:
    """What to look at in the elastics of a short."""
    found = []
    for elastic in elastics:
        found += elastic_warnings(elastic, design, wider=_wider(design, elastic.height))
        found += _slips(elastic, design)
    return tuple(found)


def _wider(design: ShortDesign, height: float) -> str:
    """How the cloth of a short is made wider there."""
    if height > 0:
        return "make leg.fullness or leg.hip_ease greater"
    return "make leg.taper smaller or leg.fullness greater" if design.leg.taper else "make leg.fullness greater"


def _slips(elastic: Elastic, design: ShortDesign) -> Iterator[str]:
    """A leg's elastic that is longer than the leg: nothing but its own grip holds it up."""
    limit = 100 * design.limits.grip
    longer = 100 * (elastic.finished / elastic.girth - 1)
    if elastic.round_body == 1 and elastic.use is Use.CASING and longer > limit + SLACK:
        yield (
            f"{elastic.label} elastic: {beyond(longer, limit)} % longer than the leg there; more than {limit:g} % does "
            f"not hold it up: make its ease {design.limits.grip:g} at most"
        )


def hem_warnings(body: Body, leg: LegBlock, design: ShortDesign) -> tuple[str, ...]:
    """Whether the leg's hem passes over the foot, and over all of the leg on its way up."""
    widest = figure_of(body, leg, design).widest_below(leg.hem_level)
    if leg.hem.length >= widest.girth:
        return ()
    return (
        f"hem: {design.said(round(leg.hem.length, 1))} round, it does not pass over the "
        f"{design.said(round(widest.girth, 1))} of the {widest.name or 'leg there'}; {_wider(design, leg.hem_level)}",
    )
