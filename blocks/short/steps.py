"""The steps of sewing a design, in order, and what each says: they follow from its casings, its trim and its split."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from blocks.design import WaistFinish
from blocks.guide import Step, Told
from blocks.panel import HEM_TURNS
from blocks.sewing import OPENING, casing_facts, casing_numbers
from blocks.short.added import added_facts, added_numbers
from blocks.short.casings import PlacedCasing
from blocks.short.design import TrimKind
from blocks.short.diagrams import DIAGRAMS
from blocks.short.draft import Short
from blocks.short.model import Model
from blocks.short.trim import trim_shows
from blocks.waist import SHARED
from drafting.casing import Tuck
from drafting.units import show_small

STRIPS: Final = {"faced": "faced", "banded": "banded", "band": "band"}
"""What else is joined at the side."""

BAGS: Final = {"pocket": "in the seam", "2": "", "bags": "in the seam"}
"""How the side seam is sewn and pressed, and round the pocket in it."""

HALVED: Final = ("bags", "side")
"""Steps of a split leg alone."""

ENDS: Final = {"box": "", "cord": "cord", "hold": "no cord", "hold.cord": "cord"}
"""How the ends of the waist's elastic, and a cord, are held."""

PLAN: Final[Sequence[tuple[str, str, Mapping[str, str]]]] = (
    ("bags", "in the seam", {"only": "some", "one": "one leg", "1": "", "2": "", "3": ""}),
    ("side", "split", {"only": "some", "1": "", **BAGS, **STRIPS, "3": ""}),
    ("pocket", "patch", {"one": "one leg", "1": "", "2": "patch square", "2.round": "patch round", "3": "", "4": ""}),
    ("crease", "casings", {"1": "", "2": "", "next": "several casings"}),
    ("hem", "", {"1": "", "2": ""}),
    ("band", "band", {"1": "", "2": "hemmed", "cut": "raw"}),
    ("trim", "bought", {"1": "", "2": ""}),
    ("casings", "casings", {"lowest": "several casings", "1": "", "2": "", "band": "band", "trim": "bought"}),
    ("press", "casings", {"1": "", "2": ""}),
    ("buttonholes", "cord", {"1": "", "2": "", "3": "", "mind": ""}),
    ("facing", "faced", {"1": "", "2": "whole", "2.split": "all", "3": ""}),
    ("waistband", "banded", {"1": "", "2": "whole", "2.split": "all", "3": ""}),
    ("down", "casings", {"1": "", "2": "", "trim": "trimmed", "3": "", "snug": "snug", "mind": "snug"}),
    ("elastic", "casings", {"1": "", "try": "", "2": "", "trim": "trimmed", "3": "", "4": ""}),
    ("loop", "loop", {"1": "", "2": "faced", "2.folded": "cut-on", "2.banded": "banded", "3": ""}),
    ("crotch", "", {"1": "above", "1.plain": "level", "2": "", "try": "above", "3": ""}),
    ("inseam", "", {"1": "", "casing": "below", "band": "trimmed", "2": "", "try": "below", "3": ""}),
    ("waist", "faced", {"1": "", "elastic": "", **ENDS}),
    ("folded", "cut-on", {"1": "", "tack": "", "2": "", "elastic": "", **ENDS}),
    ("banding", "banded", {"1": "", "2": "", "elastic": "", **ENDS}),
    ("finish", "", {"1": "", "2": ""}),
)
"""Each step, the fact it needs, and its sentences, each with the fact that it needs; an empty one always holds.

The order is one in which hands can do it. Casings and hems are sewn while the leg lies flat, and folds are stitched
down while their tunnels are empty. Elastics go in before a seam closes the ends of their casings: the crotch seam above
the crotch, the inseam below it; only then do they go round a body and can be tried on. A facing or a waistband is on
before the crotch seam, which runs through its ends, as through those of a cut-on casing; what is turned down at the
waist is turned down after, when the waist is a round.
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
            tuple(told.words.say(_key(name, key), **numbers) for key, fact in sentences.items() if fact in facts),
            tuple(DIAGRAMS[name](halved if name in HALVED else model)),
        )
        for name, need, sentences in PLAN
        if need in facts
    )


def _key(step: str, sentence: str) -> str:
    """Where a sentence stands in the catalogue: those about the waist's elastic are said once for every finish."""
    return f"step.{'waist' if sentence in SHARED else step}.{sentence}"


def _facts(told: Told[Short], casings: Sequence[PlacedCasing]) -> set[str]:
    trim, heights = told.garment.design.trim, [elastic.height for elastic in told.garment.elastics.casings]
    split, labels, finish = told.split, told.labels, told.garment.design.waist.finish
    band = trim.kind is TrimKind.BAND
    above = any(height > 0 for height in heights)
    true = {
        "": True,
        **casing_facts(casings),
        "above": above,
        "level": not above,
        "below": any(height <= 0 for height in heights),
        "faced": finish is WaistFinish.FACED,
        "cut-on": finish is WaistFinish.CUT_ON,
        "banded": finish is WaistFinish.WAISTBAND,
        "cord": told.garment.design.drawcord.width > 0,
        "no cord": not told.garment.design.drawcord.width,
        "split": bool(split),
        "some": 0 < len(split) < len(labels),
        "all": len(split) == len(labels),
        "whole": len(split) < len(labels),
        "trimmed": trim.kind is not TrimKind.NONE,
        "band": band,
        "hemmed": band and trim.hem > 0,
        "raw": band and trim.hem == 0,
        "bought": trim.kind is TrimKind.BOUGHT,
        **added_facts(told.garment.design, split=split),
    }
    return {fact for fact, holds in true.items() if holds}


def _numbers(told: Told[Short], casings: Sequence[PlacedCasing]) -> dict[str, str]:
    design = told.garment.design
    allow, waist, closing, trim = design.allowances, design.waist, design.closing, design.trim
    said = {key: told.words.say(f"finish.{waist.finish}.{key}") for key in ("open", "match", "top", "outer")}
    found = {
        "seam": show_small(allow.seam),
        "half": show_small(allow.seam / 2),
        "waist": show_small(allow.waist),
        "deep": show_small(allow.hem / HEM_TURNS),
        "under": show_small(closing.turn_under),
        "edge": show_small(closing.edge),
        "depth": show_small(waist.channel + closing.edge),
        "channel": show_small(waist.channel),
        "lap": show_small(waist.overlap),
        "opening": show_small(OPENING),
        "inside": show_small(trim.top),
        "band_deep": show_small(trim.hem / HEM_TURNS),
        "sizes": told.words.sizes_of(told.labels, told.split) if told.split else "",
        **said,
        "hole": show_small(design.drawcord.buttonhole),
        "aside": show_small(design.drawcord.spacing),
        "stay": show_small(waist.channel),
        **casing_numbers(casings),
        **added_numbers(design),
    }
    if trim.kind is not TrimKind.NONE:
        tucks = [Tuck(casing.name, casing.height, casing.depth) for casing in casings]
        found["gap"] = show_small(casings[0].depth - trim.top)
        found["shows"] = show_small(trim_shows(told.garment.leg, design, tucks))
    return found
