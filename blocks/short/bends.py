"""Whether every finished edge of a leg has room for its allowance, and which numbers to change where one has not."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final

from blocks.measurements import Body
from blocks.parameters import Parameter
from blocks.short.casings import eased
from blocks.short.design import ShortDesign
from blocks.short.leg import LEVERS, LegBlock, Rise, bears
from blocks.short.usual import AGAIN, about_place, set_back, value_at, with_value, written
from blocks.short.waist import finished_leg
from drafting.errors import DesignError, DraftError
from drafting.units import rounded_down, rounded_up, step_of

STEPS: Final = 20
"""How finely a parameter's range is looked through for a value that helps."""

REMEDIES: Final[dict[str, tuple[str, ...]]] = {
    "back inseam": ("leg.inseam_length", "allowances.seam", "leg.back_crotch_drop"),
    "front inseam": ("allowances.seam",),
    "front crotch": ("leg.front_scoop", "allowances.seam", "leg.front_extension", "leg.curve_floor"),
    "back crotch": ("leg.back_scoop", "allowances.seam", "leg.back_extension", "leg.curve_floor"),
    "waist": ("allowances.waist", "leg.back_raise", "leg.front_drop"),
}
"""The parameters that change how tightly an edge bends, or how tightly it may, the likeliest first."""

USUAL: Final = (*LEVERS, "allowances.seam", "allowances.waist")
"""What may be set back to its usual value where none of these helps by itself."""


def check_bends(block: LegBlock, body: Body, design: ShortDesign, rise: Rise) -> None:
    """Hold every edge of a leg to its allowance: it may not be hollow and bent tighter than that.

    Raises:
        DesignError: one is; the message names numbers, each of which by itself mends it on this body.
    """
    edge = tight(block, design)
    if not edge:
        return
    name = "waist" if edge == "waist" else "seam"
    found = list(_remedies(edge, body, design, rise))
    set_to = "" if found else set_back(design, USUAL, lambda changed: _helps(changed, body, rise, REMEDIES))
    found = found or ([] if set_to else list(_remedies(edge, body, design, rise, alone=True)))
    if not (found or set_to):
        set_to = set_back(design, USUAL, lambda changed: _differs(changed, body, rise, edge))
    usual = REMEDIES[edge][0]
    place, now = (
        found[0][:2] if found else (usual, written(value_at(design, usual), about_place(design, usual), design))
    )
    values = " or ".join(f"{place} to {value}" for place, _, value in found[:2])
    remedy = (f"set {values}" if values else set_to) or AGAIN
    allowance = design.said(getattr(design.allowances, name))
    raise DesignError(
        f"{place}: with {now} the {edge} bends tighter than its allowance of {allowance} on this body; {remedy}"
    )


def tight(block: LegBlock, design: ShortDesign, edges: Iterable[str] = REMEDIES) -> str:
    """The first of the edges that has no room for its allowance; empty when all have."""
    for name in edges:
        allowance = design.allowances.waist if name == "waist" else design.allowances.seam
        if not bears(block.edges[name], allowance):
            return name
    return ""


def _remedies(
    edge: str, body: Body, design: ShortDesign, rise: Rise, *, alone: bool = False
) -> Iterator[tuple[str, str, str]]:
    """Numbers, what they are, and the nearest value that by itself gives room to every edge, or `alone` to that one."""
    edges = (edge,) if alone else REMEDIES
    for place in REMEDIES[edge]:
        about, now = about_place(design, place), value_at(design, place)
        even = [about.low + (about.high - about.low) * step / STEPS for step in range(STEPS + 1)]
        tried = [_round(value, about, design.unit) for value in even]
        for value in sorted(tried, key=lambda value: abs(value - now)):
            if _helps(with_value(design, place, value), body, rise, edges):
                yield place, written(now, about, design), written(value, about, design)
                break
    for casing in design.casings:
        for value, changed in eased(casing, design):
            if _helps(changed, body, rise, edges):
                yield f"casing {casing.name!r}.fullness", f"{casing.fullness:g}", f"{value:g}"
                break


def _helps(design: ShortDesign, body: Body, rise: Rise, edges: Iterable[str]) -> bool:
    try:
        return not tight(finished_leg(body, design, rise), design, edges)
    except DraftError:
        return False


def _differs(design: ShortDesign, body: Body, rise: Rise, edge: str) -> bool:
    """True when the edge has room, or what is wrong with the leg is something else, which is then told of."""
    try:
        return not tight(finished_leg(body, design, rise), design, (edge,))
    except DraftError:
        return True


def _round(value: float, about: Parameter, unit: str) -> float:
    """The value as it can be set, with as many decimals as its range is worth, and within it."""
    if about.unit == "mm":
        step = step_of(unit)
        return min(rounded_down(about.high, unit), max(rounded_up(about.low, unit), round(value / step) * step))
    digits = max(0, 2 - math.floor(math.log10(about.high - about.low)))
    return min(about.high, max(about.low, round(value, digits)))
