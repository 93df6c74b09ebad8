"""What the skirt brings to the printed guide: its steps of sewing, and what it says in the common parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from blocks.guide import GuideParts, Sentences, Step, Told
from blocks.panel import HEM_TURNS
from blocks.sewing import OPENING, casing_facts, casing_numbers
from blocks.skirt.design import SkirtFinish
from blocks.skirt.diagrams import Sample, pictures_of
from blocks.skirt.draft import Skirt
from blocks.skirt.worn import worn
from blocks.waist import SHARED
from drafting.units import show_small

PLAN: Final[Sequence[tuple[str, str, Mapping[str, str]]]] = (
    ("side", "halves", {"only": "some", "1": "", "2": "", "3": ""}),
    ("crease", "casings", {"1": "", "2": "", "next": "several casings"}),
    ("casings", "casings", {"lowest": "several casings", "1": "", "2": ""}),
    ("press", "casings", {"1": "", "2": ""}),
    ("down", "casings", {"1": "", "2": "", "3": "", "snug": "snug", "mind": "snug"}),
    ("elastic", "casings", {"1": "", "try": "", "2": "", "3": "", "4": ""}),
    (
        "close",
        "",
        {"1": "whole", "halves": "all", "some": "some", "casings": "casings", "2": "", "try": "casings", "3": ""},
    ),
    ("folded", "folded", {"1": "", "2": "", "elastic": "", "box": "", "hold": ""}),
    ("faced", "faced", {"1": "", "2": "", "3": "", "elastic": "", "box": "", "hold": ""}),
    ("ruffle", "ruffled", {"1": "", "2": "", "3": ""}),
    ("gather", "ruffled", {"1": "", "joins": "joins", "2": ""}),
    ("hem", "plain", {"1": "", "2": ""}),
    ("finish", "", {"1": "", "2": ""}),
)
"""Each step, the fact it needs, and its sentences, each with the fact that it needs; an empty one always holds.

The order is one in which hands can do it: casings are sewn, their folds stitched down and their elastics drawn in while
the skirt lies flat, before its seam closes their ends; waist and hem are sewn in the round, over that seam.
"""

GLOSSARY: Final[Mapping[str, str]] = {
    **dict.fromkeys(("basting", "bodkin"), ""),
    "casing": "casings",
    "facing": "faced",
    **dict.fromkeys(("fullness", "grain", "notch"), ""),
    "ruffle": "ruffled",
    **dict.fromkeys(("allowance", "selvedge", "sides"), ""),
    "tuck": "casings",
}
"""Words that are explained, each with the fact that it needs."""


def steps(told: Told[Skirt]) -> tuple[Step, ...]:
    """The steps of sewing after the cutting."""
    facts, numbers = _facts(told), _numbers(told)
    drawn = Sample(told.garment, told.words)

    def said(step: str, sentence: str) -> str:
        waist = step in ("folded", "faced") and sentence in SHARED
        return told.words.say(f"step.{'waist' if waist else step}.{sentence}", **numbers)

    return tuple(
        Step(
            name,
            told.words.say(f"step.{name}"),
            tuple(said(name, each) for each, fact in sentences.items() if fact in facts),
            pictures_of(name, drawn),
        )
        for name, need, sentences in PLAN
        if need in facts
    )


def sentences(told: Told[Skirt]) -> Sentences:
    """What a guide says of this skirt in its common parts."""
    facts, words = _facts(told), told.words
    design = told.garment.design
    allow, waist = design.allowances, design.waist
    lengths = {
        "seam": show_small(allow.seam),
        "waist": show_small(allow.waist),
        "hem": show_small(allow.hem),
        "depth": show_small(waist.depth),
        "under": show_small(waist.turn_under),
        "size": told.garment.size,
    }

    def said(name: str, keys: Mapping[str, str]) -> str:
        return " ".join(words.say(f"{name}.{key}", **lengths) for key, fact in keys.items() if fact in facts)

    cover = {"casings": "casings", "plain": "no casings", "whole": "whole", "halves": "all"}
    pieces = {"all": "", "folded": "folded", "faced": "faced", "hem": "", "ruffle": "ruffled"}
    return Sentences(
        cover=said("skirt.cover", cover),
        finished=said("skirt.finished", {"all": "", "ruffle": "ruffled"}),
        trying=words.say("try") if "casings" in facts else "",
        pieces=said("skirt.pieces", pieces),
        needs=(*words.listed("need"), *words.listed("need.casings" if "casings" in facts else "need.plain")),
        glossary=tuple(word for word, fact in GLOSSARY.items() if fact in facts),
        high_hip=design.panel.high_hip_share,
    )


def _facts(told: Told[Skirt]) -> set[str]:
    design = told.garment.design
    folded, ruffled = design.waist.finish is SkirtFinish.CUT_ON, bool(design.ruffle.depth)
    split, labels = len(told.split), len(told.labels)
    true = {
        "": True,
        **casing_facts(design.casings),
        "whole": split < labels,
        "halves": split > 0,
        "some": 0 < split < labels,
        "all": split == labels,
        "folded": folded,
        "faced": not folded,
        "ruffled": ruffled,
        "plain": not ruffled,
        "joins": ruffled and design.ruffle.strips > 1,
    }
    return {fact for fact, holds in true.items() if holds}


def _numbers(told: Told[Skirt]) -> dict[str, str]:
    design = told.garment.design
    allow, waist = design.allowances, design.waist
    casings = sorted(design.casings, key=lambda casing: casing.height)
    return {
        "seam": show_small(allow.seam),
        "half": show_small(allow.seam / 2),
        "waist": show_small(allow.waist),
        "deep": show_small(allow.hem / HEM_TURNS),
        "under": show_small(waist.turn_under),
        "edge": show_small(waist.edge),
        "depth": show_small(waist.depth),
        "channel": show_small(waist.channel),
        "lap": show_small(waist.overlap),
        "opening": show_small(OPENING),
        "sizes": told.words.sizes_of(told.labels, told.split) if told.split else "",
        **casing_numbers(casings),
    }


GUIDE: Final[GuideParts[Skirt]] = GuideParts(worn=worn, steps=steps, sentences=sentences)
