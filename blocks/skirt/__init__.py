"""The tiered skirt: a rectangle of cloth, gathered at the waist and in tiers by elastic in casings of its own cloth."""

from __future__ import annotations

from typing import Final

from blocks.garment import Block
from blocks.skirt.design import SkirtDesign
from blocks.skirt.draft import Skirt, draft_skirt, fit
from blocks.skirt.elastics import warnings_of
from blocks.skirt.words import WORDS

NEEDS: Final = ("waist_girth", "hip_girth", "waist_to_hip")

__all__ = ["BLOCK", "Skirt", "SkirtDesign", "draft_skirt"]


BLOCK: Final[Block[Skirt]] = Block(
    name="skirt",
    design=SkirtDesign,
    draft=draft_skirt,
    fit=fit,
    elastic_warnings=warnings_of,
    part="skirt",
    origin="waist",
    sides=("side", "middle"),
    needs=NEEDS,
    used=lambda _design, _body: (*NEEDS, "high_hip_girth"),
    words=WORDS,
    guide="blocks.skirt.guide",
)
