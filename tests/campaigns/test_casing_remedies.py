"""Wherever casings are asked for on a leg, it is drafted true, or refused with remedies each of which mends it."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace

from blocks.measurements import Body, body_from
from blocks.short import ShortCasing, ShortDesign, draft_short
from blocks.short.design import LegDesign
from campaigns.effort import rounds
from drafting.errors import DraftError
from drafting.units import MILLIMETRES

CASING = re.compile(r"casing '(\w+)'(?:: its .*; |: .*: |\.fullness: .*; )([^:]*)$")
MOVE = re.compile(r"(up|down) by ([\d.]+) (mm|cm|in)")
SHARES = re.compile(r"set its share to ([-\d.]+)(?: or ([-\d.]+)(?! ?mm| ?cm| ?in))?")
FULLNESS = re.compile(r"(\bit|its fullness|the fullness of casing '(\w+)'|casing '(\w+)'\.fullness) to ([\d.]+)")
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
    fuller = [
        tuple(
            replace(one, fullness=float(value)) if one.name == (other or again or name) else one
            for one in design.casings
        )
        for _, other, again, value in FULLNESS.findall(advice)
    ]
    return [
        *(replace(design, casings=(*others, place)) for place in places),
        *(replace(design, casings=casings) for casings in fuller),
        *(replace(design, leg=leg) for leg in settings),
    ]


def fault(said: str) -> str:
    """What is wrong with which casing, whatever the figures."""
    return re.sub(r"-?[\d.]+ (mm|cm|in)( \([-\d.]+ cm\))?|of [\d.]+", "#", said.partition("; ")[0])


def told(design: ShortDesign, body: Body, rise: str) -> str:
    try:
        draft_short(design, body, rise=rise)
    except DraftError as error:
        return str(error)
    return ""


def some_body(rng: random.Random) -> Body:
    hip = rng.uniform(84, 140)
    rise = rng.uniform(0.93, 1.07) * (18.5 + 0.085 * hip)
    taken = {
        "waist_girth": hip * rng.uniform(0.7, 0.88),
        "hip_girth": hip,
        "body_rise": rise,
        "waist_to_hip": rise * rng.uniform(0.7, 0.8),
    }
    return body_from(taken, unit="cm")


def some_design(rng: random.Random) -> ShortDesign:
    inseam = rng.choice((30.0, 40.0, 110.0, 140.0, rng.uniform(30, 400), rng.uniform(400, 700)))
    casings = []
    for number in range(rng.choice((1, 1, 2, 3, 4, 6))):
        width = rng.choice((6.0, 10.0, 10.0, 25.0))
        if rng.random() < 0.5:
            where = {"height": round(max(-750.0, rng.uniform(-1.1 * inseam, 350)), 1)}
        else:
            where = {"share": round(rng.uniform(-1, 1), 2)}
        full = rng.choice((None, None, None, 1.3, 1.7, 1.0, 2.5))
        casings.append(ShortCasing(f"c{number}", elastic_width=width, fullness=full, **where))  # type: ignore[arg-type]
    slope, taper = rng.choice((0.3, 1.0, 1.0, 2.0)), rng.choice((0.0, 0.0, 0.5, 1.0))
    leg = LegDesign(inseam_length=inseam, slope_limit=slope, taper=taper)
    return ShortDesign("Any", leg=leg, casings=tuple(casings), unit=rng.choice(("mm", "mm", "cm", "in")))


def test_every_remedy_for_a_casing_mends_it() -> None:
    rng = random.Random(1871)
    count: Counter[str] = Counter()
    for _ in range(rounds(40, 10_000)):
        design, body, rise = some_design(rng), some_body(rng), rng.choice(("high", "mid"))
        for _ in range(6 * len(design.casings)):
            said = told(design, body, rise)
            if not said.startswith("casing"):
                break
            count["refused"] += 1
            after = remedied(design, said)
            assert after, said
            for other in after:
                again = told(other, body, rise)
                count["remedies"] += 1
                assert fault(again) != fault(said), (design, body, rise, said, again)
            design = after[0]
        else:
            raise AssertionError(f"still refused: {said}")
        count["drafted" if not said else "refused otherwise"] += 1
    print(dict(count))
