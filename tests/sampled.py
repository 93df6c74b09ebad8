"""The Heron short of the samples, drafted: the garment that tests of whole files look at."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from blocks.design import CasingDesign
from blocks.measurements import Body, labelled_body
from blocks.read_design import design_from
from blocks.short import Short, draft_short
from blocks.short.design import ShortDesign
from output.system.reading import read_toml

SAMPLES = Path(__file__).parent.parent / "samples"
DESIGN = SAMPLES / "design.toml"
MEASUREMENTS = SAMPLES / "measurements.toml"


def heron_design() -> ShortDesign:
    return design_from(read_toml(DESIGN))


def heron_body() -> Body:
    label, body = labelled_body(read_toml(MEASUREMENTS))
    assert label == "H102"
    return body


def high_casing_design() -> ShortDesign:
    """The sample with a casing that the mid rise has no room for."""
    heron = heron_design()
    return replace(heron, casings=(CasingDesign("top", height=200), *heron.casings))


@cache
def heron(rise: str = "high") -> Short:
    return draft_short(heron_design(), heron_body(), rise=rise, size="H102")


@cache
def high_casing(rise: str = "high") -> Short:
    return draft_short(high_casing_design(), heron_body(), rise=rise, size="H102")
