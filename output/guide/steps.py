"""The steps of sewing a design, in order, and what each says: they follow from its casings, its trim and its split."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from blocks.elastic import casing_label
from blocks.panel import HEM_TURNS
from blocks.short.design import TrimKind
from blocks.short.trim import trim_shows
from blocks.words import isolated
from drafting.casing import Tuck
from drafting.units import show_at_most, show_small
from output.drawing.notches import deepest_snip, ringed
from output.guide.diagrams import Model, from_fold
from output.guide.words import say, sizes_of, together

OPENING: Final = 60.0
"""mm; the gap for the waist elastic: common practice, no source."""

PLAN: Final[Sequence[tuple[str, str, Mapping[str, str]]]] = (
    ("cut", "", {"1": "", "2": "casings", "plain": "no casings", "ring": "ringed", "3": ""}),
    ("side", "split", {"only": "some", "1": "", "2": "", "3": "", "band": "band"}),
    ("crease", "casings", {"1": "", "2": ""}),
    ("hem", "", {"1": "", "2": ""}),
    ("band", "band", {"1": "", "2": "hemmed", "cut": "raw"}),
    ("trim", "bought", {"1": "", "2": ""}),
    ("casings", "casings", {"1": "", "2": "", "band": "band", "trim": "bought"}),
    ("press", "casings", {"1": "", "2": ""}),
    ("facing", "", {"1": "", "2": "whole", "2.split": "all", "3": ""}),
    ("elastic", "casings", {"1": "", "2": "", "3": "", "trim": "trimmed", "mind": ""}),
    ("down", "casings", {"1": "", "2": "", "trim": "trimmed", "mind": ""}),
    ("crotch", "", {"1": "above", "1.plain": "level", "2": "", "3": ""}),
    ("inseam", "", {"1": "", "casing": "below", "band": "trimmed", "2": ""}),
    ("waist", "", {"1": "", "2": "", "3": "", "4": ""}),
    ("finish", "", {"1": "", "2": ""}),
)
"""Each step, the fact it needs, and its sentences, each with the fact that it needs; an empty one always holds.

The order is one in which hands can do it. Casings and hems are sewn while the leg lies flat. Elastics go in before a
seam closes the ends of their casings: the crotch seam above the crotch, the inseam below it. The facing is on before
the crotch seam, which runs through its ends; it is turned down after, when the waist is a round.
"""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: the name of its diagram, its title and its sentences."""

    name: str
    title: str
    sentences: tuple[str, ...]


def steps(model: Model, *, labels: Sequence[str], split: Sequence[str]) -> tuple[Step, ...]:
    """The steps for the sizes `labels`, of which those of `split` have a leg in two parts.

    Raises:
        DesignError: a design that its own body cannot wear.
    """
    facts, numbers = _facts(model, labels, split), _numbers(model, labels, split)
    return tuple(
        Step(
            name,
            say(f"step.{name}"),
            tuple(say(f"step.{name}.{key}", **numbers) for key, fact in sentences.items() if fact in facts),
        )
        for name, need, sentences in PLAN
        if need in facts
    )


def _facts(model: Model, labels: Sequence[str], split: Sequence[str]) -> set[str]:
    trim, casings = model.short.design.trim, model.casings
    band = trim.kind is TrimKind.BAND
    above = any(casing.height > 0 for casing in casings)
    true = {
        "": True,
        "casings": bool(casings),
        "no casings": not casings,
        "above": above,
        "level": not above,
        "below": any(casing.height <= 0 for casing in casings),
        "split": bool(split),
        "some": 0 < len(split) < len(labels),
        "all": len(split) == len(labels),
        "whole": len(split) < len(labels),
        "trimmed": trim.kind is not TrimKind.NONE,
        "band": band,
        "hemmed": band and trim.hem > 0,
        "raw": band and trim.hem == 0,
        "bought": trim.kind is TrimKind.BOUGHT,
        "ringed": ringed(model.short.pieces),
    }
    return {fact for fact, holds in true.items() if holds}


def _numbers(model: Model, labels: Sequence[str], split: Sequence[str]) -> dict[str, str]:
    design, casings = model.short.design, model.casings
    allow, waist, facing, trim = design.allowances, design.waist, design.facing, design.trim
    found = {
        "snip": show_at_most(deepest_snip(model.short.pieces)),
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
        "sizes": sizes_of(labels, split) if split else "",
    }
    if casings:
        found["casings"] = together([isolated(casing_label(casing.name)) for casing in casings])
        found["depths"] = _each(model, [casing.depth for casing in casings])
        found["close"] = _each(model, [from_fold(casing) for casing in casings])
    if trim.kind is not TrimKind.NONE:
        tucks = [Tuck(casing.name, casing.height, casing.depth) for casing in casings]
        found["gap"] = show_small(casings[0].depth - trim.top)
        found["shows"] = show_small(trim_shows(model.whole.leg, design, tucks))
    return found


def _each(model: Model, lengths: Sequence[float]) -> str:
    """A length of every casing: once when all are the same."""
    if len(set(lengths)) == 1:
        return show_small(lengths[0])
    named = zip(model.casings, lengths, strict=True)
    return together([f"{isolated(casing_label(casing.name))} {show_small(length)}" for casing, length in named])
