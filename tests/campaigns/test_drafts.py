"""Any body and any design within their ranges: drafted true, or refused by name with remedies, each of which is tried.

Bodies part from one another in every proportion as the women of a survey do (`blocks.estimates`). What is drafted is
measured by shapely, on the pieces (`unfolded`), and its curves by scipy, through points along them (`fairness`).
"""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest

from blocks.estimates import estimate_of
from blocks.fitting import STARTS
from blocks.measurements import Body, body_from
from blocks.parameters import parameters_of
from blocks.short import Short
from blocks.short.design import ShortCasing
from campaigns.effort import rounds
from drafting.errors import DesignError, GeometryError, MeasurementError
from fairness import bends_once, cubics, curvature, turns
from remedies import TABLES, Asked, followed, kind
from unfolded import measures

GIRTHS = ((58.6, 84, 24.5, 18.5), (76, 102, 27, 20.5), (110, 128, 31, 24), (150, 170, 34, 26), (62, 110, 29, 22))
GIRTHS += ((95, 88, 23, 16), (120, 200, 40, 30), (46, 62, 16, 12), (60, 90, 30, 12))
NAMES = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")
CROTCH = ("crotch_length", "front_crotch_length", "back_crotch_length")
LEG = ("thigh_girth", "knee_girth", "calf_girth", "ankle_girth", "inside_leg_height", "knee_height")
CHOICES: dict[tuple[str, str], tuple[str, ...]] = {
    ("waist", "finish"): ("faced", "cut-on", "waistband"),
    ("waistband", "grain"): ("across", "along"),
    ("trim", "kind"): ("none", "none", "band", "bought"),
    ("pocket", "kind"): ("none", "none", "patch", "in-seam"),
    ("pocket", "place"): ("front", "back"),
    ("pocket", "legs"): ("both", "left", "right"),
    ("pocket", "corner"): ("square", "round"),
    ("loop", "kind"): ("none", "none", "folded"),
}
TELLING = 1.0
"""mm; what a waistband leaves of a curve may be too short to tell how it bends from points along it."""

HOPS = 30
"""How many refusals may follow one another, each remedied, before a draft."""


def bodies() -> list[Body]:
    return [body_from(dict(zip(NAMES, numbers, strict=True)), unit="cm") for numbers in GIRTHS]


# --- what is asked for ----------------------------------------------------------------------------------------------


def some_body(rng: random.Random) -> dict[str, float]:
    """Measurements in mm, the waist natural or at the navel, some others taken with the error that estimates have."""
    hip = rng.choice((rng.uniform(800, 1300), rng.uniform(700, 1700)))
    rise = max(125.0, rng.choice((rng.gauss(262, 18), rng.gauss(195, 20))) + 0.02 * (hip - 1000))
    taken = {
        "waist_girth": hip * min(1.15, max(0.58, rng.gauss(0.78, 0.08))),
        "hip_girth": hip,
        "body_rise": rise,
        "waist_to_hip": max(45.0, rise * rng.uniform(0.62, 0.86)),
    }
    if rng.random() < 0.4:
        taken["height"] = rng.gauss(1640, 70)
    wanted = rng.choice(((), (), CROTCH[:1], CROTCH[1:], CROTCH[1:2], CROTCH[2:]))
    for name in (*wanted, *(name for name in LEG if rng.random() < 0.25)):
        if expected := estimate_of(name, taken):
            taken[name] = expected.value + rng.gauss(0, 1.2) * expected.error
    return {name: round(value, 1) for name, value in taken.items()}


def some_casings(rng: random.Random, inseam: float, rise: float) -> tuple[dict[str, Any], ...]:
    """Up to four casings by height or by share, anywhere from hem to waist."""
    about, found = parameters_of(ShortCasing), []
    for number in range(rng.choice((0, 0, 0, 1, 1, 2, 4))):
        share = rng.choice((rng.uniform(0.2, 1), -rng.uniform(0.2, 1)))
        casing: dict[str, Any] = {"name": "casing " + "abcdef"[number]}
        if rng.random() < 0.5:
            casing["share"] = round(share, 3)
        else:
            casing["height"] = round(min(450.0, max(-750.0, share * (rise if share > 0 else inseam))), 1)
        if rng.random() < 0.3:
            casing["fullness"] = rng.uniform(1.0, 2.5)
        if rng.random() < 0.5:
            casing["elastic_width"] = rng.choice((6.0, 20.0, rng.uniform(3, 30)))
        for name in rng.sample(("ease", "room", "depth"), rng.choice((0, 0, 1, 3))):
            casing[name] = rng.uniform(about[name].low, about[name].high)
        found.append(casing)
    return tuple(found)


def some_tables(rng: random.Random) -> dict[str, dict[str, Any]]:
    """A few numbers of a design, anywhere in their ranges; one design in ten has nearly all of them anywhere."""
    places = [(table, name) for table, record in TABLES.items() for name in parameters_of(record)]
    many = 9 * len(places) // 10 if rng.random() < 0.1 else rng.choice((0, 1, 2, 2, 4, 8))
    tables: dict[str, dict[str, Any]] = {}
    for table, name in rng.sample(places, many):
        about = parameters_of(TABLES[table])[name]
        anywhere = rng.uniform(about.low, about.high)
        tables.setdefault(table, {})[name] = rng.choice((about.low, about.high, anywhere, anywhere))
    for (table, name), words in CHOICES.items():
        tables.setdefault(table, {})[name] = rng.choice(words)
    if "top" in tables["pocket"]:
        tables["pocket"].pop("below", None)
    return tables


def some_order(rng: random.Random) -> Asked:
    taken, tables = some_body(rng), some_tables(rng)
    leg = tables.setdefault("leg", {})
    leg["inseam_length"] = inseam = rng.choice((30.0, 50.0, 110.0, 140.0, rng.uniform(30, 760), rng.uniform(30, 760)))
    if rng.random() < 0.4:
        leg["taper"] = rng.choice((0.5, 1.0, rng.random()))
    found = {
        name: STARTS[name] * rng.uniform(0.2, 1.5) for name in rng.sample(tuple(STARTS), 1 if rng.random() < 0.3 else 0)
    }
    return Asked(
        taken=taken,
        tables=tables,
        casings=some_casings(rng, inseam, taken["body_rise"]),
        rise=rng.choice(("high", "high", "mid")),
        split=rng.random() < 0.3 or tables["pocket"]["kind"] == "in-seam",
        found={name: round(by, 1) for name, by in found.items()},
        unit=rng.choice(("mm", "cm", "in")),
    )


# --- what is true ---------------------------------------------------------------------------------------------------


def check_true(short: Short, asked: Asked) -> None:
    """Hold a draft to its proofs, to the body's crotch length, to its own tables and to fair curves."""
    proofs, design = short.proofs, short.design
    assert proofs.fold <= 0.05
    assert proofs.seam <= 0.1
    assert proofs.mates <= 0.5
    found = measures(short)
    assert found == pytest.approx({name: short.measures[name] for name in found}, abs=0.1)
    if asked.rise == "high" and not asked.found:
        seam = short.body.known("crotch_length") + design.leg.crotch_ease
        assert found["crotch_seam"] == pytest.approx(seam, abs=1)
        if {"front_crotch_length", "back_crotch_length"} & set(asked.taken):
            for half in ("front", "back"):
                seam = short.body.known(f"{half}_crotch_length") + design.leg.crotch_ease / 2
                assert found[f"{half}_rise"] == pytest.approx(seam, abs=1)
    check_fair(short)


def check_fair(short: Short) -> None:
    """One tightest place in each crotch curve; elsewhere no more than one turn in a curve from joint to joint."""
    leg = short.leg
    for curve in (cubics(leg.front_crotch.segments)[0], cubics(leg.back_crotch.segments)[-1]):
        assert bends_once(curvature(curve))
    for edge in leg.edges.values():
        curves = [curve for curve in cubics(edge.segments) if curve.length() > TELLING]
        assert all(turns(curvature(curve)) <= 1 for curve in curves)
        for before, after in zip(edge.segments, edge.segments[1:], strict=False):
            assert before.tangent(1).unit().dot(after.tangent(0).unit()) > 0.999_999


# --- drafted or refused ---------------------------------------------------------------------------------------------


def answer(asked: Asked) -> tuple[Short | None, str]:
    """The draft, or what it is refused for: by name, on one line, and never as a fault of curves."""
    try:
        return asked.draft(), ""
    except (DesignError, MeasurementError) as error:
        said = str(error)
        assert ":" in said, said
        assert len(said.splitlines()) == 1, said
        return None, said
    except GeometryError as error:
        raise AssertionError(f"a fault of curves: {error}\n{asked}") from error


def drafted(asked: Asked, count: Counter[str]) -> Short:
    """What is asked for, or what comes of following the remedies of its refusals, one after another."""
    met: Counter[str] = Counter()
    short, said = answer(asked)
    for hops in range(HOPS):
        if short:
            count["drafted at once" if not hops else "drafted after remedies"] += 1
            count["remedies in a row, most"] = max(count["remedies in a row, most"], hops)
            return short
        after = followed(asked, said)
        assert after, f"no remedy: {said}\n{asked}"
        count["refused"] += 1
        answers = [answer(other) for other in after]
        count["remedies tried"] += len(after)
        for other, (_, then) in zip(after, answers, strict=True):
            assert kind(then) != kind(said), f"a remedy that does not help: {said}\n  then: {then}\n{asked}\n{other}"
        way = met[kind(said)] % len(after)  # met again, another remedy
        met[kind(said)] += 1
        asked, (short, said) = after[way], answers[way]
    raise AssertionError(f"no end of refusals: {said}\n{asked}")


def test_random_orders() -> None:
    rng = random.Random(1871)
    count: Counter[str] = Counter()
    for _ in range(rounds(300, 10_000)):
        asked = some_order(rng)
        drafted_one = drafted(asked, count)
        check_true(drafted_one, asked)
    print(dict(count))
