"""The short's parts of the printed guide."""

from __future__ import annotations

from typing import Final

from blocks.design import WaistFinish
from blocks.guide import GuideParts, Sentences, Told
from blocks.short.design import PocketKind, TrimKind
from blocks.short.draft import Short
from blocks.short.drawcord import NAME as DRAWCORD
from blocks.short.length import length_of_leg
from blocks.short.steps import steps
from blocks.short.worn import garment_picture
from drafting.units import show_small

GLOSSARY: Final = (
    *("basting", "bodkin", "casing", "crotch", "facing", "fullness", "grain", "inseam", "notch", "rise.both", "rise"),
    *("allowance", "selvedge", "sides", "stay", "tuck", "understitch", "waistband"),
)


def sentences(told: Told[Short]) -> Sentences:
    """What a guide says of a short outside its steps."""
    casings = told.garment.elastics.casings
    below = any(elastic.height <= 0 for elastic in casings)
    above = any(elastic.height > 0 for elastic in casings)
    finished = "finished.lead" if below else "finished.lead.above" if casings else "finished.lead.plain"
    finish = told.garment.design.waist.finish
    needless = {"rise" if told.rises[1:] else "rise.both"} | (set() if casings else {"casing", "tuck"})
    needless |= set() if finish is WaistFinish.FACED else {"facing", "understitch"}
    needless |= set() if finish is WaistFinish.WAISTBAND else {"waistband"}
    needless |= set() if told.garment.design.drawcord.width else {"stay"}
    return Sentences(
        cover=_cover(told),
        finished=told.words.say(finished),
        trying=" ".join(
            told.words.say(f"try.{where}") for where, is_so in (("above", above), ("below", below)) if is_so
        ),
        pieces=_pieces(told),
        needs=_needs(told),
        glossary=tuple(name for name in GLOSSARY if name not in needless),
        thigh=below,
        high_hip=told.garment.design.leg.high_hip_share,
    )


def _cover(told: Told[Short]) -> str:
    """What the garment is, what a leg of it is made of, and what gathers it."""
    short, say = told.garment, told.words.say
    what = say(f"cover.{length_of_leg(short.design.leg.inseam_length, short.body)}")
    made = "cover.halves" if len(told.split) == len(told.labels) else "cover.whole"
    gathered = "cover.casings" if short.elastics.casings else "cover.plain"
    return f"{say(made, what=what)} {say(gathered)}"


def _pieces(told: Told[Short]) -> str:
    say, short = told.words.say, told.garment
    allow, closing, trim = short.design.allowances, short.design.closing, short.design.trim
    lengths = {
        "allowed": show_small(allow.waist),
        "depth": show_small(short.design.waist.channel + closing.edge),
        "under": show_small(closing.turn_under),
    }
    waist, turned = (say(f"pieces.{where}.{short.design.waist.finish}", **lengths) for where in ("waist", "turned"))
    lead = say(
        "pieces.lead.split" if told.split else "pieces.lead",
        size=short.size,
        rise=short.rise,
        seam=show_small(allow.seam),
        waist=waist,
        hem=show_small(allow.hem),
        turned=turned,
    )
    told_too = [lead, *_pocket(told)]
    if trim.kind is TrimKind.BAND:
        low = say("pieces.band.hem", hem=show_small(trim.hem)) if trim.hem else say("pieces.band.cut")
        told_too.append(say("pieces.band", top=show_small(trim.top), low=low))
    return " ".join(told_too)


def _pocket(told: Told[Short]) -> list[str]:
    """The allowances of the pocket's pieces, and which sizes have them."""
    say, design = told.words.say, told.garment.design
    pocket = design.pocket
    if pocket.kind is PocketKind.PATCH:
        sides, hem, turn = map(show_small, (pocket.allowance, pocket.hem, pocket.turn))
        return [say("pieces.patch", seam=sides, hem=hem, turn=turn)]
    if pocket.kind is PocketKind.NONE:
        return []
    if not told.split:
        return [say("pieces.bags.none")]
    sizes = told.words.sizes_of(told.labels, told.split)
    return [say("pieces.bags", sizes=sizes, seam=show_small(design.allowances.seam))]


def _needs(told: Told[Short]) -> tuple[str, ...]:
    words, trims = told.words, told.garment.trims
    which = "need.casings" if told.garment.elastics.casings else "need.plain"
    bought = [
        words.say("need.cord" if trim.name == DRAWCORD else "need.trim", width=show_small(trim.width)) for trim in trims
    ]
    pocket = told.garment.design.pocket
    if pocket.kind is PocketKind.IN_SEAM and told.split:
        long = show_small(pocket.height + 2 * pocket.gap)
        bought.append(words.say("need.stay", width=show_small(pocket.stay), long=long))
    return (*words.listed("need"), *words.listed(which), *bought)


GUIDE: Final[GuideParts[Short]] = GuideParts(worn=garment_picture, steps=steps, sentences=sentences)
