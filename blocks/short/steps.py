"""The steps of sewing a design, in order, and what each says: they follow from its casings, its trim and its split."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from blocks.guide import Step, Told
from blocks.panel import HEM_TURNS
from blocks.sewing import OPENING, casing_facts, casing_numbers
from blocks.short.casings import PlacedCasing
from blocks.short.design import TrimKind
from blocks.short.diagrams import DIAGRAMS, Model
from blocks.short.draft import Short
from blocks.short.trim import trim_shows
from drafting.casing import Tuck
from drafting.units import show_small

PLAN: Final[Sequence[tuple[str, str, Mapping[str, str]]]] = (
    ("side", "split", {"only": "some", "1": "", "2": "", "3": "", "band": "band"}),
    ("crease", "casings", {"1": "", "2": "", "next": "several casings"}),
    ("hem", "", {"1": "", "2": ""}),
    ("band", "band", {"1": "", "2": "hemmed", "cut": "raw"}),
    ("trim", "bought", {"1": "", "2": ""}),
    ("casings", "casings", {"lowest": "several casings", "1": "", "2": "", "band": "band", "trim": "bought"}),
    ("press", "casings", {"1": "", "2": ""}),
    ("facing", "", {"1": "", "2": "whole", "2.split": "all", "3": ""}),
    ("down", "casings", {"1": "", "2": "", "trim": "trimmed", "3": "", "snug": "snug", "mind": "snug"}),
    ("elastic", "casings", {"1": "", "try": "", "2": "", "trim": "trimmed", "3": "", "4": ""}),
    ("crotch", "", {"1": "above", "1.plain": "level", "2": "", "try": "above", "3": ""}),
    ("inseam", "", {"1": "", "casing": "below", "band": "trimmed", "2": "", "try": "below", "3": ""}),
    ("waist", "", {"1": "", "2": "", "3": "", "4": ""}),
    ("finish", "", {"1": "", "2": ""}),
)
"""Each step, the fact it needs, and its sentences, each with the fact that it needs; an empty one always holds.

The order is one in which hands can do it. Casings and hems are sewn while the leg lies flat, and folds are stitched
down while their tunnels are empty. Elastics go in before a seam closes the ends of their casings: the crotch seam above
the crotch, the inseam below it; only then do they go round a body and can be tried on. The facing is on before the
crotch seam, which runs through its ends; it is turned down after, when the waist is a round.
"""


def steps(told: Told[Short]) -> tuple[Step, ...]:
    """The steps that follow cutting and marking."""
    model = Model(told.garment, told.words)
    facts, numbers = _facts(told, model.casings), _numbers(told, model.casings)
    halved = Model(told.halved or told.garment, told.words)
    return tuple(
        Step(
            name,
            told.words.say(f"step.{name}"),
            tuple(told.words.say(f"step.{name}.{key}", **numbers) for key, fact in sentences.items() if fact in facts),
            tuple(DIAGRAMS[name](halved if name == "side" else model)),
        )
        for name, need, sentences in PLAN
        if need in facts
    )


def _facts(told: Told[Short], casings: Sequence[PlacedCasing]) -> set[str]:
    trim, heights = told.garment.design.trim, [elastic.height for elastic in told.garment.elastics.casings]
    split, labels = told.split, told.labels
    band = trim.kind is TrimKind.BAND
    above = any(height > 0 for height in heights)
    true = {
        "": True,
        **casing_facts(casings),
        "above": above,
        "level": not above,
        "below": any(height <= 0 for height in heights),
        "split": bool(split),
        "some": 0 < len(split) < len(labels),
        "all": len(split) == len(labels),
        "whole": len(split) < len(labels),
        "trimmed": trim.kind is not TrimKind.NONE,
        "band": band,
        "hemmed": band and trim.hem > 0,
        "raw": band and trim.hem == 0,
        "bought": trim.kind is TrimKind.BOUGHT,
    }
    return {fact for fact, holds in true.items() if holds}


def _numbers(told: Told[Short], casings: Sequence[PlacedCasing]) -> dict[str, str]:
    design = told.garment.design
    allow, waist, facing, trim = design.allowances, design.waist, design.facing, design.trim
    found = {
        "seam": show_small(allow.seam),
        "half": show_small(allow.seam / 2),
        "waist": show_small(allow.waist),
        "deep": show_small(allow.hem / HEM_TURNS),
        "under": show_small(facing.turn_under),
        "edge": show_small(facing.edge),
        "channel": show_small(waist.channel),
        "lap": show_small(waist.overlap),
        "opening": show_small(OPENING),
        "top": show_small(trim.top),
        "band_deep": show_small(trim.hem / HEM_TURNS),
        "sizes": told.words.sizes_of(told.labels, told.split) if told.split else "",
        **casing_numbers(casings),
    }
    if trim.kind is not TrimKind.NONE:
        tucks = [Tuck(casing.name, casing.height, casing.depth) for casing in casings]
        found["gap"] = show_small(casings[0].depth - trim.top)
        found["shows"] = show_small(trim_shows(told.garment.leg, design, tucks))
    return found
