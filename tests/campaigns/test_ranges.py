"""Every number of a short's design, at both ends of the range that is documented, on a body of middle size.

Alone each is drafted; where it stands against another number of the design, as a channel against its elastic does, and
by pairs, it is drafted or refused by name with remedies, each of which is tried.
"""

from __future__ import annotations

import random
from collections import Counter
from itertools import combinations
from typing import Any, Final

import pytest

from blocks.parameters import parameters_of
from blocks.short.design import ShortCasing
from campaigns.effort import rounds
from campaigns.test_drafts import answer, check_true, drafted
from heron import MEASURED
from remedies import TABLES, Asked

TAKEN: Final = {name: 10.0 * value for name, value in MEASURED.items()}
CASINGS: Final = (
    {"name": "upper", "share": 0.55},
    {"name": "lower", "share": 0.3},
    {"name": "leg", "share": -0.75},
)

WITH: Final[dict[str, dict[str, dict[str, Any]]]] = {
    "plain": {},
    "cut-on": {"waist": {"finish": "cut-on"}},
    "waistband": {"waist": {"finish": "waistband"}},
    "drawcord": {"drawcord": {"width": 6}},
    "patch": {"pocket": {"kind": "patch"}},
    "round patch": {"pocket": {"kind": "patch", "corner": "round"}},
    "in-seam": {"pocket": {"kind": "in-seam"}},
    "loop": {"loop": {"kind": "folded"}},
    "band": {"trim": {"kind": "band"}},
    "bought": {"trim": {"kind": "bought", "width": 90}},
}
"""What a design may have, so that every table counts in one of them."""

AGAINST: Final = {
    "waist.elastic_width": "its channel, where both are given",
    "waist.channel": "its elastic",
    "drawcord.buttonhole": "the channel",
    "limits.elastic_clearance": "the casing's depth, the buttonhole's channel, the trim's allowance",
    "pocket.height": "the cloth between waist and hem",
    "pocket.width": "the width of the leg",
    "pocket.from_side": "the width of the pocket",
    "pocket.top": "the height of the leg",
    "pocket.below": "the height of the leg",
    "pocket.radius": "the width of the pocket",
    "pocket.bag": "the length of the leg",
    "pocket.gap": "the length of the leg",
    "trim.top": "the depth of its casing",
    "trim.width": "where its casing hangs",
    "leg.inseam_length": "the casings below the crotch",
    "leg.truing_length": "the casings below the crotch",
    "leg.inseam_shaping": "the casings below the crotch",
    "leg.slope_limit": "the casings over the curve",
    "leg.balance_share": "the casings over the curve",
    "allowances.hem": "the casings at the hem",
    "limits.tuck_gap": "the casings beside each other",
}
"""The numbers that stand against others of the same design, beside which they may be refused: with what is besides."""


def ends(table: str) -> list[tuple[str, float]]:
    return [(name, value) for name, about in parameters_of(TABLES[table]).items() for value in (about.low, about.high)]


def order(what: str, rise: str, **tables: dict[str, Any]) -> Asked:
    """A design that has what is wanted, and these numbers."""
    given = WITH[what]
    merged = {table: {**given.get(table, {}), **tables.get(table, {})} for table in {*given, *tables}}
    casings = CASINGS if what in ("band", "bought") else ()
    return Asked(TAKEN, merged, casings, rise=rise, split=what == "in-seam")


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("rise", ["high", "mid"])
def test_each_number_of_a_plain_design_is_drafted_at_both_ends(table: str, rise: str) -> None:
    """With nothing that stands against it: no casing, no pocket, no trim."""
    for name, value in ends(table):
        asked = order("plain", rise, **{table: {name: value}})
        short, said = answer(asked)
        assert short, f"{table}.{name} = {value:g}: {said}"
        check_true(short, asked)


@pytest.mark.parametrize("what", WITH)
def test_each_number_beside_all_that_a_design_may_have(what: str) -> None:
    """Refused at an end only where it stands against another number, and each remedy drafts."""
    count: Counter[str] = Counter()
    rng = random.Random(what)
    every = [(table, name, value) for table in TABLES for name, value in ends(table)]
    for table, name, value in rng.sample(every, rounds(16, len(every))):
        asked = order(what, rng.choice(("high", "mid")), **{table: {name: value}})
        short, said = answer(asked)
        if not short:
            assert f"{table}.{name}" in AGAINST, f"{table}.{name} = {value:g}: {said}"
            short = drafted(asked, count)
        check_true(short, asked)
    print(what, dict(count))


@pytest.mark.parametrize("name", sorted(parameters_of(ShortCasing)))
def test_each_number_of_a_casing(name: str) -> None:
    """A casing's own numbers, at either end; where it lies there must be room for it."""
    about = parameters_of(ShortCasing)[name]
    count: Counter[str] = Counter()
    for value in (about.low, about.high):
        for place in CASINGS:
            lies = {} if name in ("height", "share") else {"share": place["share"]}
            asked = Asked(TAKEN, {"leg": {"inseam_length": 140}}, ({"name": "casing", **lies, name: value},))
            check_true(drafted(asked, count), asked)
    print(name, dict(count))


def test_pairs_of_numbers_are_drafted_or_refused_with_remedies_that_help() -> None:
    rng = random.Random(1871)
    count: Counter[str] = Counter()
    places = [(table, *end) for table in TABLES for end in ends(table)]
    pairs = [(one, other) for one, other in combinations(places, 2) if one[:2] != other[:2]]
    for one, other in rng.sample(pairs, rounds(120, len(pairs))):
        what, tables = rng.choice(tuple(WITH)), {}
        for table, name, value in (one, other):
            tables.setdefault(table, {})[name] = value
        if {"top", "below"} <= tables.get("pocket", {}).keys():
            continue
        asked = order(what, rng.choice(("high", "mid")), **tables)
        check_true(drafted(asked, count), asked)
    print(len(pairs), "pairs,", dict(count))
