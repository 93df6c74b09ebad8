"""Any measurements of any body: one that is consistent, or a refusal on one line that names what to measure again."""

from __future__ import annotations

import random
import re
from collections import Counter

from blocks.measurements import ALWAYS, RANGES, Body, body_from
from campaigns.effort import rounds
from drafting.errors import MeasurementError
from drafting.units import MILLIMETRES

MIDDLE = body_from({"waist_girth": 86, "hip_girth": 103, "body_rise": 25, "waist_to_hip": 18, "height": 164}, unit="cm")
WIDTH = 0.06
"""How far the measurements of a random body part from those of the middle one grown alike, as a standard deviation."""

BOUNDS = re.compile(r"must be (?:more than ([\d.]+) mm)?(?: and )?(?:less than ([\d.]+) mm)?;")


def measured(dice: random.Random) -> dict[str, float]:
    """Some measurements of a body in mm: all grown alike, each off by itself, now and then one by a slip of the pen."""
    grown = dice.lognormvariate(0, 0.18)
    found = {name: MIDDLE.known(name) * grown * dice.gauss(1, WIDTH) for name in RANGES}
    for name in ("height", "inside_leg_height", "knee_height", "calf_height", "ankle_height"):
        found[name] = MIDDLE.known(name) * dice.gauss(1, WIDTH / 2)
    if dice.random() < 0.2:
        found[dice.choice(list(RANGES))] *= dice.choice((0.5, 0.8, 1.25, 2.54, 10))
    wanted = {name for name in RANGES if dice.random() < dice.choice((0.0, 0.3, 1.0))}
    needed = (*ALWAYS, *(("body_rise",) if dice.random() < 0.9 else ()))
    return {name: value for name, value in found.items() if name in wanted or name in needed}


def check(body: Body, taken: dict[str, float]) -> None:
    for name in body.names:
        assert RANGES[name].low <= body.known(name) <= RANGES[name].high
        estimate = body.estimate(name)
        assert (estimate is None) is (name not in body.estimated)
        if estimate is not None:
            assert name not in taken
            assert abs(estimate.value - body.known(name)) < 1e-9
            assert 0 < estimate.error < body.known(name)
    assert {name for name in RANGES if name not in body.names} <= {
        *("body_rise", "crotch_length", "front_crotch_length", "back_crotch_length", "height")
    }
    if body.crotch_length is not None and body.body_rise is not None:
        parts = body.known("front_crotch_length") + body.known("back_crotch_length")
        assert abs(parts - body.crotch_length) < 1e-6
    assert all(len(warning.splitlines()) == 1 for warning in body.warnings)


def test_any_measurements_are_a_body_or_refused_by_name() -> None:
    dice, fates = random.Random(55), Counter[str]()
    for _ in range(rounds(1_500, 100_000)):
        taken, unit = measured(dice), dice.choice(tuple(MILLIMETRES))
        per = MILLIMETRES[unit]
        try:
            body = body_from({name: value / per for name, value in taken.items()}, unit=unit, needs=())
        except MeasurementError as error:
            message = str(error)
            assert len(message.splitlines()) == 1, message
            name = message.split(":", maxsplit=1)[0]
            assert name in taken or name in RANGES, message
            assert "again" in message or "set the unit" in message, message
            fates[f"refused for {name}"] += 1
            continue
        check(body, taken)
        fates["a body, some of it doubted" if body.doubts else "a body"] += 1
    print(*(f"{number:6d} {fate}" for fate, number in fates.most_common()), sep="\n")
    assert fates["a body"] > sum(fates.values()) / 3


def test_a_contradiction_is_mended_by_what_its_refusal_allows() -> None:
    dice, mended = random.Random(56), 0
    for _ in range(rounds(1_000, 60_000)):
        taken = measured(dice)
        for _again in range(12):
            try:
                body_from(taken, unit="mm", needs=())
                break
            except MeasurementError as error:
                message = str(error)
            name, told = message.split(":", maxsplit=1)[0], BOUNDS.search(message)
            if not told or name not in taken:  # outside its own range, in another unit, or three that do not add up
                break
            near = [float(told[1]) + 1] if told[1] else []
            near += [float(told[2]) - 1] if told[2] else []
            taken[name] = min(near, key=lambda value, name=name, taken=taken: abs(value - taken[name]))
            mended += 1
        else:
            raise AssertionError(f"refused again and again: {message}")
    print(f"{mended} contradictions mended by what their refusals allow")
    assert mended > rounds(20, 1_500)
