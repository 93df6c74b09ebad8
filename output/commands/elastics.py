"""The elastics command: which size to cut and which elastics to put in, for a wearer between sizes."""

from __future__ import annotations

import dataclasses
import json
from argparse import Namespace
from collections.abc import Sequence
from math import isfinite
from typing import Final

from blocks.blend import Blend, blend, fitted, nearest_size
from blocks.garment import Garment
from blocks.known import block_of
from blocks.measurements import Body, labelled_body
from blocks.quantity import finite, in_millimetres, not_a_number, read_number
from blocks.size_table import Size
from drafting.errors import DraftError
from drafting.units import show_cm
from output.commands.options import design_and_sizes
from output.system.reading import read_toml
from output.tables.range import elastics_csv, elastics_text

HIGHEST: Final = 600.0
"""mm; no waist lies higher above, and no hem lower below, what heights are measured from."""


def elastics(arguments: Namespace) -> str:
    """The elastic list that the command line asks for, as text, CSV or JSON.

    Raises:
        DraftError: a file, an option, the design, the table or a body is at fault.
    """
    design, table = design_and_sizes(arguments.design, arguments.sizes)
    block = block_of(design)
    rise = block.rise_named(arguments.rise)

    def drafted(size: Size) -> Garment:
        garment: Garment = block.draft(design, size.body, rise=rise, size=size.label)
        return garment

    if arguments.measurements is not None:
        if arguments.waist_size is not None or arguments.above is not None:
            named = "--waist-size" if arguments.waist_size is not None else "--above"
            raise DraftError(f"elastics: {named} given beside --measurements, which are for all of them; leave one out")
        label, body = labelled_body(read_toml(arguments.measurements), needs=block.needs)
        size = nearest_size(body, table.sizes) if arguments.hip_size is None else table.size(arguments.hip_size)
        own = fitted(body, drafted(size), size=label)
        return _told(arguments, own, _on_own(own, body, size))
    for option, value in (("--waist-size", arguments.waist_size), ("--hip-size", arguments.hip_size)):
        if value is None:
            raise DraftError(f"elastics: {option} is missing; give it, or --measurements for the wearer's own")
    above = None if arguments.above is None else _level(arguments.above, block.origin)
    found = blend(drafted(table.size(arguments.waist_size)), drafted(table.size(arguments.hip_size)), above=above)
    return _told(arguments, found, _between(found))


def _level(raw: str, origin: str) -> float:
    """A height above what heights are measured from, in mm."""
    number = finite(read_number(raw))
    if number is None:
        raise DraftError(f"above: {not_a_number(read_number(raw))}; give a height above the {origin} in cm")
    level = in_millimetres(number, "cm")
    if abs(level) > HIGHEST:
        raise DraftError(
            f"above: {show_cm(level)} is outside -{show_cm(HIGHEST)} to {show_cm(HIGHEST)}; give a height above the "
            f"{origin}"
        )
    return level


def _told(arguments: Namespace, found: Blend, head: Sequence[str]) -> str:
    if arguments.csv:
        return elastics_csv(found).decode().rstrip()
    return _json(found) if arguments.json else _text(found, head)


def _between(found: Blend) -> tuple[str, ...]:
    short = found.pattern
    return (
        f"{short.design.name}: waist of {found.waist_size} on the hips of {short.label}",
        f"Cut the pattern of size {short.size}",
        *_sources(found),
    )


def _sources(found: Blend) -> tuple[str, ...]:
    """Which elastics are cut for which size: names, because a rounded level would put some on its wrong side."""
    named: dict[str, list[str]] = {}
    for elastic, size in zip(found.elastics, found.taken_from, strict=True):
        named.setdefault(size, []).append(elastic.label)
    if len(named) == 1:
        return (f"All elastics are for {found.waist_size}",)
    return tuple(f"For {size}: {', '.join(names)}" for size, names in named.items())


def _on_own(found: Blend, body: Body, size: Size) -> tuple[str, ...]:
    short = found.pattern
    return (
        f"{short.design.name}: elastics of {found.waist_size} in the pattern of {short.label}",
        f"Cut the pattern of size {size.label}",
        f"Its hip girth is {show_cm(size.body.hip_girth)}, the wearer's {show_cm(body.hip_girth)}",
    )


def _text(found: Blend, head: Sequence[str]) -> str:
    warnings = (f"Warning: {warning}" for warning in found.warnings)
    return "\n".join((*head, elastics_text(found.haberdashery()), *warnings))


def _json(found: Blend) -> str:
    takes, short = found.haberdashery(), found.pattern
    document = {
        "design": short.design.name,
        "rise": short.rise,
        "unit": "mm",
        "pattern_size": short.size,
        "waist_size": found.waist_size,
        "hip_size": short.size,
        "level": found.level if isfinite(found.level) else None,
        "taken_from": found.taken_from,
        **dataclasses.asdict(takes),
        "warnings": found.warnings,
    }
    return json.dumps(document, indent=2)
