"""No skirt within its documented ranges meets an error that names no number of it, and what a refusal advises helps."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace
from typing import Any

from blocks.measurements import Body, body_from
from blocks.parameters import parameters_of
from blocks.skirt import SkirtDesign, draft_skirt
from blocks.skirt.design import SkirtCasing, SkirtFinish
from campaigns.effort import rounds
from drafting.errors import DesignError

TABLES = ("panel", "waist", "allowances", "ruffle", "limits")
NAMES = ("waist_girth", "hip_girth", "waist_to_hip")
GIRTHS = ((58.6, 84, 18.5), (76, 102, 20.5), (110, 128, 24), (62, 110, 22), (95, 88, 16), (120, 195, 34), (46, 62, 11))
BODIES = [body_from(dict(zip(NAMES, numbers, strict=True)), unit="cm", needs=NAMES) for numbers in GIRTHS]
CASINGS = (SkirtCasing("upper", height=-130), SkirtCasing("lower", height=-400))
PLAIN = SkirtDesign("Plain", casings=CASINGS)
FORMS = [
    replace(PLAIN, waist=replace(PLAIN.waist, finish=finish), ruffle=replace(PLAIN.ruffle, depth=depth))
    for finish in SkirtFinish
    for depth in (0.0, 120.0)
]
MOVE = re.compile(r"casing '(\w+)': .* move it (up|down) by ([\d.]+) mm")
DEEPEN = re.compile(r"casing '(\w+)': .* make it at least ([\d.]+) mm deep")
SET = re.compile(r"^(\w+)\.(\w+): .*; (?:set it to|make it) ([\d.]+)")


def changed(design: SkirtDesign, table: str, **values: Any) -> SkirtDesign:
    return replace(design, **{table: replace(getattr(design, table), **values)})


def told(design: SkirtDesign, body: Body, *, split: bool) -> str:
    """What the draft is refused for; any error but one of the design ends the test."""
    try:
        skirt = draft_skirt(design, body, split=split)
    except DesignError as error:
        return str(error)
    assert skirt.proofs.fold <= 0.05
    assert max(skirt.proofs.seam, skirt.proofs.mates) <= 0.1
    assert all(elastic.gather >= 1 for elastic in skirt.elastics)
    return ""


def advised(said: str, design: SkirtDesign) -> SkirtDesign | None:
    """The design as a refusal says to change it; None when a number would leave its range."""
    casings = {casing.name: casing for casing in design.casings}
    try:
        if found := MOVE.search(said):
            one, by = casings[found[1]], float(found[3]) * (1 if found[2] == "up" else -1)
            casings[one.name] = replace(one, height=one.height + by)
        elif found := DEEPEN.search(said):
            casings[found[1]] = replace(casings[found[1]], depth=float(found[2]))
        elif found := SET.search(said):
            return changed(design, found[1], **{found[2]: float(found[3])})
        return replace(design, casings=tuple(casings.values()))
    except DesignError:
        return None


def check(design: SkirtDesign, body: Body, *, split: bool) -> str:
    """Draft; when it is refused and the advice is followed, it is not refused for the same again."""
    said = told(design, body, split=split)
    assert len(said.splitlines()) <= 1
    if not said:
        return "drafted"
    assert MOVE.search(said) or DEEPEN.search(said) or SET.search(said) or "deeper, or set it to 0" in said, said
    mended = advised(said, design)
    if mended is None or mended == design:
        return "refused"
    assert told(mended, body, split=split) != said, said
    return "refused, and the advice helped"


def test_each_parameter_of_a_skirt_at_both_ends_of_its_range() -> None:
    found: Counter[str] = Counter()
    for form in FORMS:
        for table in TABLES:
            for name, about in parameters_of(getattr(form, table)).items():
                for value in (about.low, about.high):
                    try:
                        design = changed(form, table, **{name: value})
                    except DesignError as error:
                        assert SET.search(str(error)), error  # noqa: PT017
                        found["refused as a design"] += 1
                        continue
                    for body in BODIES[:: rounds(3, 1)]:
                        found[check(design, body, split=value == about.low)] += 1
    print(dict(found))
    assert found["drafted"] > 100


def test_any_skirt() -> None:
    found: Counter[str] = Counter()
    dice = random.Random(11)

    def values(kind: Any) -> dict[str, Any]:
        some = {}
        for name, about in parameters_of(kind).items():
            if dice.random() < 0.4:
                some[name] = dice.choice([about.low, about.high, dice.uniform(about.low, about.high)])
        return some

    for _ in range(rounds(300, 20_000)):
        design = dice.choice(FORMS)
        try:
            for table in TABLES:
                drawn = values(getattr(design, table))
                drawn = {name: round(value) if name == "strips" else value for name, value in drawn.items()}
                design = changed(design, table, **drawn)
            casings = [
                SkirtCasing(f"c{number}", **{**values(SkirtCasing), "height": -dice.uniform(15, 1000)})
                for number in range(dice.randrange(4))
            ]
            design = replace(design, casings=tuple(casings))
        except DesignError:
            found["no design"] += 1
            continue
        found[check(design, dice.choice(BODIES), split=dice.random() < 0.5)] += 1
    print(dict(found))
    assert found["drafted"] > 50
