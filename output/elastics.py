"""The elastics command: which size to cut and which elastics to put in, for a wearer between two sizes."""

from __future__ import annotations

import dataclasses
import json
from argparse import Namespace
from typing import Final

from blocks.blend import Blend, blend
from blocks.quantity import finite, in_millimetres, not_a_number, read_number
from blocks.read_design import design_from
from blocks.short import draft_short
from blocks.size_table import size_table_from
from drafting.errors import DraftError
from drafting.units import show_cm
from output.files import read_sizes, read_toml
from output.tables import elastics_text

HIGHEST: Final = 600.0
"""mm; no waist lies higher above the crotch line."""


def elastics(arguments: Namespace) -> str:
    """The elastic list that the command line asks for, as text or JSON.

    Raises:
        DraftError: a file, an option, the design, the table or a body is at fault.
    """
    above = None if arguments.above is None else _level(arguments.above)
    design, table = design_from(read_toml(arguments.design)), size_table_from(read_sizes(arguments.sizes))
    waist, hip = (
        draft_short(design, size.body, rise=arguments.rise, size=size.label)
        for size in (table.size(arguments.waist_size), table.size(arguments.hip_size))
    )
    found = blend(waist, hip, above=above)
    return _json(found) if arguments.json else _text(found)


def _level(raw: str) -> float:
    """A height above the crotch line, in mm."""
    number = finite(read_number(raw))
    if number is None:
        raise DraftError(f"above: {not_a_number(read_number(raw))}; give a height above the crotch line in cm")
    level = in_millimetres(number, "cm")
    if abs(level) > HIGHEST:
        raise DraftError(
            f"above: {show_cm(level)} is outside -{show_cm(HIGHEST)} to {show_cm(HIGHEST)}; give a height above the "
            "crotch line"
        )
    return level


def _text(found: Blend) -> str:
    short = found.pattern
    return "\n".join(
        (
            f"{short.design.name}: waist of {found.waist_size} on the hips of {short.size}, {short.rise} rise",
            f"Cut the pattern of size {short.size}",
            f"Elastics from {show_cm(found.level)} above the crotch line up are for {found.waist_size}",
            elastics_text(found.haberdashery()),
            *(f"Warning: {warning}" for warning in found.warnings),
        )
    )


def _json(found: Blend) -> str:
    takes, short = found.haberdashery(), found.pattern
    document = {
        "design": short.design.name,
        "rise": short.rise,
        "unit": "mm",
        "pattern_size": short.size,
        "waist_size": found.waist_size,
        "hip_size": short.size,
        "level": found.level,
        **dataclasses.asdict(takes),
        "warnings": found.warnings,
    }
    return json.dumps(document, indent=2)
