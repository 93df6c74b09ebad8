"""What holds of the casings of any garment: each has room for its elastic, and for its tuck above the next one."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from blocks.design import HAIR, CasingDesign, Design, least_depth
from blocks.parameters import parameters_of
from drafting.errors import DesignError
from drafting.units import rounded_down, rounded_up


def check_depth(casing: CasingDesign, design: Design) -> None:
    """Refuse a casing that its elastic does not fit into.

    Raises:
        DesignError: it is too shallow; the message says how deep it must be.
    """
    need = least_depth(casing, design.limits.elastic_clearance)
    if casing.depth < need - HAIR:
        deepest = rounded_down(parameters_of(casing)["depth"].high, design.unit)
        remedy = f"make it at least {design.at_least(need)} deep"
        if rounded_up(need, design.unit) > deepest:
            widest = design.at_most(deepest - design.limits.elastic_clearance)
            remedy = f"make it at least {design.said(deepest)} deep, and its elastic at most {widest} wide"
        raise DesignError(
            f"casing {casing.name!r}: a depth of {design.said(casing.depth)} is too shallow for its elastic of "
            f"{design.said(casing.elastic_width)}; {remedy}"
        )


def check_spacing(casings: Iterable[CasingDesign], design: Design) -> None:
    """Refuse a casing whose tuck would reach down to the stitching of the one below it.

    `casings` run from the lowest up.

    Raises:
        DesignError: one does; the message says by how much to move it.
    """
    for low, high in pairwise(casings):
        short = low.height + design.limits.tuck_gap - (high.height - high.depth)
        if short > 0:
            raise DesignError(
                f"casing {high.name!r}: at {design.said(high.height)} its tuck of {design.said(high.depth)} comes "
                f"within {design.said(design.limits.tuck_gap)} of casing {low.name!r} at {design.said(low.height)}; "
                f"move it up by {design.at_least(short)}"
            )
