"""Nests of a few sizes, for tests of layers and of the nested sheet."""

from __future__ import annotations

from functools import cache

from blocks.read_design import design_from
from blocks.size_range import draft_range
from blocks.size_table import size_table_from
from output.drawing.size_lines import size_pens
from output.paper.sizes import A4
from output.patterns.nested import nested_pdf
from output.patterns.pattern_pdf import stacks_of
from output.patterns.tiled import TiledPdf
from output.patterns.words import layer_group
from output.system.reading import read_toml
from output.tables.summary import range_tables
from sampled import DESIGN

HERON = design_from(read_toml(DESIGN))


def table(count, *, start=100.0, step=4.0):
    """A table that runs evenly, in cm."""
    hips = [start + step * number for number in range(count)]
    rows = [
        {
            "size": f"H{hip:g}",
            "unit": "cm",
            "waist_girth": round(0.75 * hip, 2),
            "hip_girth": hip,
            "body_rise": round(27 + (hip - 102) / 20, 2),
            "waist_to_hip": round(20.5 + (hip - 102) / 40, 2),
        }
        for hip in hips
    ]
    return size_table_from({"body": rows})


SMALL = table(3, start=104)
"""In the mid rise the first two lack the upper casing that the third has."""


@cache
def shorts(count, *, start=100.0, step=4.0, rise="high", fit="whole", design=HERON):
    made = draft_range(design, table(count, start=start, step=step), rises=(rise,), fit=fit)
    assert not made.failures
    return made.garments


def nest_of(sizes, paper=A4):
    pens = size_pens([short.size for short in sizes])
    return nested_pdf(
        stacks_of(sizes),
        pens,
        paper=paper,
        title=HERON.name,
        rise=sizes[0].rise,
        group=layer_group(sizes[0].rise, "leg", split=sizes[0].split),
        author=HERON.workroom,
        tables=range_tables(sizes),
    )


@cache
def mid_nest() -> TiledPdf:
    return nest_of(shorts(3, start=104, rise="mid"))


PENS = size_pens([size.label for size in SMALL.sizes])
