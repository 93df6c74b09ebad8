"""What the sewing steps of every block say of its casings: lengths told by name, and what is so of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from blocks.design import CasingDesign
from blocks.elastic import casing_label
from blocks.tunnel import SLIDES, from_fold, spare
from blocks.words import isolated, together
from drafting.units import show_small

OPENING: Final = 60.0
"""mm; the gap for the waist elastic: common practice, no source."""


def casing_facts(casings: Sequence[CasingDesign]) -> dict[str, bool]:
    """What is so of a garment's casings; `snug` where an elastic hardly slides in its finished tunnel."""
    return {
        "casings": bool(casings),
        "no casings": not casings,
        "several casings": len(casings) > 1,
        "snug": any(spare(casing.depth, casing.elastic_width) < SLIDES for casing in casings),
    }


def casing_numbers(casings: Sequence[CasingDesign]) -> dict[str, str]:
    """The blanks that sentences about casings have, filled in: nothing of a garment without casings."""
    if not casings:
        return {}
    return {
        "casings": together([isolated(casing_label(casing.name)) for casing in casings]),
        "depths": each_casing(casings, [casing.depth for casing in casings]),
        "close": each_casing(casings, [from_fold(casing.depth, casing.elastic_width) for casing in casings]),
        "spare": each_casing(casings, [spare(casing.depth, casing.elastic_width) for casing in casings]),
        "slides": show_small(SLIDES),
    }


def each_casing(casings: Sequence[CasingDesign], lengths: Sequence[float]) -> str:
    """A length of every casing: once when all are the same."""
    if len(set(lengths)) == 1:
        return show_small(lengths[0])
    named = zip(casings, lengths, strict=True)
    return together([f"{isolated(casing_label(casing.name))} {show_small(length)}" for casing, length in named])
