"""What each part of a release costs: the whole sample range, 16 sizes in both rises, in one process.

    python -m pytest tests/benchmarks/test_publish_speed.py --benchmark-enable --benchmark-columns=min,median,rounds

Searching for lays is not measured: it lasts as long as it is told to, and is done once.
"""

from __future__ import annotations

import pytest

from blocks.cloth import Cloth
from blocks.read_design import design_from
from blocks.size_range import draft_range
from blocks.size_table import size_table_from
from output.formats.dxf import pattern_dxf
from output.formats.svg import nest_svg
from output.guide.book import guide_pdf
from output.paper.sizes import A4, LETTER, PROJECTIONS, paper_named, roll_named
from output.patterns.range_files import printed, printings_of, tabulated
from output.system.reading import read_sizes, read_toml


@pytest.fixture(scope="module")
def given():
    return design_from(read_toml("samples/design.toml")), size_table_from(read_sizes("samples/sizes.csv"))


@pytest.fixture(scope="module")
def made(given):
    return draft_range(*given, cloth=Cloth())


def pieces(group):
    return [piece for short in group.garments for piece in short.pieces]


def on(paper):
    return lambda made: [printed(job) for job in printings_of(made, [paper]) if job.paper is not None]


PARTS = {
    "tables": tabulated,
    "pieces.json": lambda made: [printed(job) for job in printings_of(made, [])],
    "A4": on(A4),
    "Letter": on(LETTER),
    "A0": on(paper_named("A0")),
    "roll": on(roll_named("914")),
    "projection": on(PROJECTIONS["light"]),
    "SVG": lambda made: [nest_svg(pieces(group), design=made.design.name) for group in made.groups],
    "DXF": lambda made: [pattern_dxf(pieces(group), design=made.design.name) for group in made.groups],
    "guide": lambda made: guide_pdf(made.garments, design=made.design, table=made.table, paper=A4, cloths=[Cloth()]),
}


@pytest.mark.benchmark(group="release, part by part")
def test_drafting(benchmark, given):
    made = benchmark.pedantic(draft_range, given, {"cloth": Cloth()}, rounds=3)
    assert len(made.garments) == 32


@pytest.mark.benchmark(group="release, part by part")
@pytest.mark.parametrize("part", PARTS)
def test_part(benchmark, made, part):
    assert benchmark.pedantic(PARTS[part], (made,), rounds=3)
