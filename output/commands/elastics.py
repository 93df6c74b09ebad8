"""The elastics command: which size to cut and which elastics to put in, for a wearer between sizes."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from blocks.blend import Blend, blend, fitted, nearest_size
from blocks.design import Design
from blocks.garment import Garment
from blocks.known import block_of
from blocks.measurements import Body
from blocks.parameters import of_kind
from blocks.quantity import Number, finite, in_millimetres, not_a_number, read_number
from blocks.size_table import Size, SizeTable
from drafting.errors import DraftError
from drafting.units import show_cm
from output.commands.options import body_of, design_and_sizes
from output.commands.request import Request
from output.tables.range import elastics_csv, elastics_text, stretches_text

HIGHEST: Final = 600.0
"""mm; no waist lies higher above, and no hem lower below, what heights are measured from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ElasticsRequest(Request):
    """The elastics of a wearer, for the pattern of one size of a table. Nothing is written.

    They are for the waist of `waist_size` on the hips of `hip_size`, each cut to the girth at its height of a body
    between the two; with `above`, casings at that height of the design, in cm, and higher are cut for the waist size
    alone. Or they are for the wearer's own `measurements`, to go into `hip_size` or the size with the nearest hip
    girth. Without a `rise` it is the design's first.
    """

    design: str | Path | Design
    sizes: str | Path | SizeTable
    waist_size: str | None = None
    hip_size: str | None = None
    measurements: str | Path | Body | None = None
    above: Number | None = None
    rise: str = ""


@dataclass(frozen=True, slots=True)
class ElasticsReport:
    """The elastics that were found, and what they are told as: for whom, in which pattern, and why."""

    found: Blend
    head: tuple[str, ...]

    def text(self) -> str:
        """The list, for a reader."""
        warnings = (f"Warning: {warning}" for warning in self.found.warnings)
        takes = self.found.haberdashery()
        return "\n".join((*self.head, elastics_text(takes), stretches_text(takes), *warnings))

    def csv(self) -> str:
        """The list in the columns of a range's tables.csv."""
        return elastics_csv(self.found).decode().rstrip()

    def json(self) -> str:
        """The list as one JSON object, lengths in mm."""
        found, garment = self.found, self.found.pattern
        document = {
            "design": garment.design.name,
            "rise": garment.rise,
            "unit": "mm",
            "pattern_size": garment.size,
            "waist_size": found.waist_size,
            "hip_size": garment.size,
            "level": found.level,
            **dataclasses.asdict(found.haberdashery()),
            "warnings": found.warnings,
        }
        return json.dumps(document, indent=2)


def elastics(request: ElasticsRequest) -> ElasticsReport:
    """The elastics that are asked for.

    Raises:
        DraftError: a file, a field of the request, the design, the table or a body is at fault.
    """
    asked: ElasticsRequest = of_kind("request", request, ElasticsRequest, DraftError)
    design, table = design_and_sizes(asked.design, asked.sizes)
    block = block_of(design)
    rise = block.rise_named(asked.rise)

    def drafted(size: Size) -> Garment:
        garment: Garment = block.draft(design, size.body, rise=rise, size=size.label)
        return garment

    if asked.measurements is not None:
        if asked.waist_size is not None or asked.above is not None:
            named = "--waist-size" if asked.waist_size is not None else "--above"
            raise DraftError(f"elastics: {named} given beside --measurements, which are for all of them; leave one out")
        label, body = body_of(asked.measurements, design)
        size = nearest_size(body, table.sizes) if asked.hip_size is None else table.size(asked.hip_size)
        own = fitted(body, drafted(size), size=label)
        return ElasticsReport(own, _on_own(own, body, size))
    waist, hip = _label("--waist-size", asked.waist_size), _label("--hip-size", asked.hip_size)
    above = None if asked.above is None else _level(asked.above, block.origin)
    found = blend(drafted(table.size(waist)), drafted(table.size(hip)), above=above)
    return ElasticsReport(found, _between(found))


def _label(option: str, label: str | None) -> str:
    """The label of a size that must be named."""
    if label is None:
        raise DraftError(f"elastics: {option} is missing; give it, or --measurements for the wearer's own")
    return label


def _level(raw: Number, origin: str) -> float:
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


def _between(found: Blend) -> tuple[str, ...]:
    garment, level = found.pattern, found.level
    whole = [casing.label for casing in found.elastics.casings if level is not None and casing.height >= level]
    return (
        f"{garment.design.name}: waist of {found.waist_size} on the hips of {garment.label}",
        f"Cut the pattern of size {garment.size}",
        *([f"For {found.waist_size} alone, as --above asks: {', '.join(whole)}"] if whole else []),
    )


def _on_own(found: Blend, body: Body, size: Size) -> tuple[str, ...]:
    garment = found.pattern
    return (
        f"{garment.design.name}: elastics of {found.waist_size} in the pattern of {garment.label}",
        f"Cut the pattern of size {size.label}",
        f"Its hip girth is {show_cm(size.body.hip_girth)}, the wearer's {show_cm(body.hip_girth)}",
    )
