"""Wherever casings are asked for on a leg, it is drafted true, or refused with remedies each of which mends it."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace

from blocks.measurements import Body
from blocks.short import ShortCasing, ShortDesign, draft_short
from blocks.short.design import LegDesign
from campaigns.effort import rounds
from campaigns.test_drafts import bodies
from drafting.errors import DraftError
from drafting.units import MILLIMETRES

CASING = re.compile(r"casing '(\w+)': .*: ([^:]*)$")
MOVE = re.compile(r"(up|down) by ([\d.]+) (mm|cm|in)")
SHARES = re.compile(r"set its share to ([-\d.]+)(?: or ([-\d.]+)(?! ?mm| ?cm| ?in))?")
SETTING = re.compile(r"leg\.(\w+) to ([\d.]+)(?: (mm|cm|in))?")


def remedied(design: ShortDesign, said: str) -> list[ShortDesign]:
    """The designs that come of following a refusal, one for each remedy that it offers."""
    found = CASING.match(said)
    if not found:
        return []
    name, advice = found.groups()
    own = next(casing for casing in design.casings if casing.name == name)
    others = tuple(casing for casing in design.casings if casing.name != name)
    if advice == "leave it out":
        return [replace(design, casings=others)]
    places = []
    for way, by, unit in MOVE.findall(advice):
        assert own.height is not None
        moved = own.height + (1 if way == "up" else -1) * float(by) * MILLIMETRES[unit]
        places.append(replace(own, height=moved))
    places += [replace(own, share=float(share)) for share in next(iter(SHARES.findall(advice)), ()) if share]
    settings = [
        replace(design.leg, **{field: float(value) * MILLIMETRES.get(unit, 1.0)})
        for field, value, unit in SETTING.findall(advice)
    ]
    return [
        *(replace(design, casings=(*others, place)) for place in places),
        *(replace(design, leg=leg) for leg in settings),
    ]


def told(design: ShortDesign, body: Body, rise: str) -> str:
    try:
        draft_short(design, body, rise=rise)
    except DraftError as error:
        return str(error)
    return ""


def some_design(rng: random.Random) -> ShortDesign:
    inseam = rng.choice((40.0, 110.0, 140.0, rng.uniform(40, 400)))
    casings = []
    for number in range(rng.choice((1, 1, 2, 3, 4, 6))):
        width = rng.choice((6.0, 10.0, 10.0, 25.0))
        if rng.random() < 0.5:
            where = {"height": round(rng.uniform(-1.1 * min(inseam, 800), 350), 1)}
        else:
            where = {"share": round(rng.uniform(-1, 1), 2)}
        full = rng.choice((None, None, 1.0, 1.3, 2.5))
        casings.append(ShortCasing(f"c{number}", elastic_width=width, fullness=full, **where))  # type: ignore[arg-type]
    leg = LegDesign(inseam_length=inseam, slope_limit=rng.choice((0.3, 1.0, 1.0, 2.0)))
    return ShortDesign("Any", leg=leg, casings=tuple(casings), unit=rng.choice(("mm", "mm", "cm", "in")))


def test_every_remedy_for_a_casing_mends_it() -> None:
    rng = random.Random(1871)
    count: Counter[str] = Counter()
    for _ in range(rounds(120, 10_000)):
        design, body, rise = some_design(rng), rng.choice(bodies()), rng.choice(("high", "mid"))
        for _ in range(3 * len(design.casings)):
            said = told(design, body, rise)
            if not said.startswith("casing"):
                break
            count["refused"] += 1
            after = remedied(design, said)
            assert after, said
            for other in after:
                again = told(other, body, rise)
                count["remedies"] += 1
                assert not again.startswith(said.partition(":")[0] + ":"), (design, body, rise, said, again)
            design = after[0]
        else:
            raise AssertionError(f"still refused: {said}")
        count["drafted" if not said else "refused otherwise"] += 1
    print(dict(count))
