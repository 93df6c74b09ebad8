"""The sample table and its range, and tables of any number of sizes, for tests that need many sizes."""

from dataclasses import replace
from functools import cache
from pathlib import Path

from blocks.cloth import Cloth
from blocks.design import CasingDesign
from blocks.read_design import design_from
from blocks.size_range import draft_range
from blocks.size_table import size_table_from
from output.system.reading import read_sizes, read_toml

SAMPLES = Path(__file__).parents[1] / "samples"
SIZES = SAMPLES / "sizes.csv"
HERON = design_from(read_toml(SAMPLES / "design.toml"))
TABLE = size_table_from(read_sizes(SIZES))


HIGH_CASING = replace(HERON, casings=(CasingDesign("top", height=200), *HERON.casings))
"""The sample with a casing that the mid rise of the smaller sizes has no room for."""


@cache
def heron_range(width=1400, design=HERON):
    return draft_range(design, TABLE, cloth=Cloth(width))


def rows(count=16, start=84, step=4):
    """Rows of a table that runs evenly, in cm."""
    hips = [start + step * number for number in range(count)]
    return [
        {
            "size": f"H{hip:g}",
            "waist_girth": round(0.75 * hip, 1),
            "hip_girth": hip,
            "body_rise": round(27 + (hip - 102) / 20, 2),
            "waist_to_hip": round(20.5 + (hip - 102) / 40, 2),
        }
        for hip in hips
    ]


def table(sizes, unit="cm"):
    return size_table_from({"unit": unit, "body": sizes})


def spoiled(index, **by):
    """The sample table with one size's measurements off by so many mm, past all checks of the table."""
    sizes = list(TABLE.sizes)
    body = sizes[index].body
    changed = {name: getattr(body, name) + off for name, off in by.items()}
    sizes[index] = replace(sizes[index], body=replace(body, **changed))
    return replace(TABLE, sizes=tuple(sizes))
