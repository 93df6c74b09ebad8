"""The pull-on short: a leg without a side seam, gathered by elastic in casings folded from its own cloth."""

from __future__ import annotations

from typing import Final

from blocks.fitting import NAMES as FINDINGS
from blocks.garment import Block
from blocks.short.body import used
from blocks.short.design import ShortCasing, ShortDesign
from blocks.short.draft import Short, casing_room, draft_short, fit
from blocks.short.elastics import warnings_of
from blocks.short.leg import Rise
from blocks.short.words import WORDS

__all__ = ["BLOCK", "Short", "ShortCasing", "ShortDesign", "draft_short"]


BLOCK: Final[Block[Short]] = Block(
    name="short",
    design=ShortDesign,
    draft=draft_short,
    fit=fit,
    elastic_warnings=warnings_of,
    part="leg",
    origin="crotch line",
    rises=tuple(rise.value for rise in Rise),
    words=WORDS,
    findings=FINDINGS,
    guide="blocks.short.guide",
    casing_room=casing_room,
    needs=("waist_girth", "hip_girth", "body_rise", "waist_to_hip"),
    used=used,
)
