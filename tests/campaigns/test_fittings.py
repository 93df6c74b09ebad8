"""Any body, any short and anything that a fitting may find: drafted true, or refused by name with less that drafts."""

from __future__ import annotations

import random
import re
from collections import Counter
from contextlib import suppress
from dataclasses import replace

from blocks.fitting import NAMES, Fitting
from blocks.measurements import Body, body_from
from blocks.parameters import parameters_of
from blocks.short import Short, ShortDesign, draft_short
from blocks.short.fitting import scaled
from campaigns.effort import rounds
from drafting.errors import DraftError
from fitted import check_true
from sampled import heron_design

RANGES = parameters_of(Fitting)
TRIED = 60
"""How often what was found is lessened until it drafts."""

SET = re.compile(rf"({'|'.join(NAMES)}) to ([\d.]+) mm")


def a_body(rng: random.Random) -> Body:
    hip = rng.uniform(80, 150)
    taken = {"waist_girth": hip * rng.uniform(0.65, 0.9), "hip_girth": hip}
    return body_from({**taken, "body_rise": rng.uniform(23, 33), "waist_to_hip": rng.uniform(16, 22)}, unit="cm")


def a_design(rng: random.Random) -> ShortDesign:
    heron = heron_design()
    leg = replace(heron.leg, inseam_length=rng.choice((110, 140, 300, 620)), taper=rng.choice((0, 0, 0.6, 1)))
    finish = rng.choice(("faced", "cut-on", "waistband"))
    casings = rng.choice((heron.casings, heron.casings[:2], ()))
    return replace(heron, leg=leg, casings=casings, waist=replace(heron.waist, finish=finish))


def some_findings(rng: random.Random) -> Fitting:
    """One to four that do not contradict each other, a third of them at the end of their range."""
    while True:
        amounts = {
            name: RANGES[name].high * rng.choice((1.0, rng.random(), rng.random()))
            for name in rng.sample(NAMES, rng.choice((1, 2, 3, 4)))
        }
        with suppress(DraftError):
            return Fitting(**amounts)


def drafted(design: ShortDesign, body: Body, found: Fitting, rise: str) -> Short | str:
    try:
        return draft_short(design, replace(body, fitting=found), rise=rise)
    except DraftError as error:
        return str(error)


def followed(found: Fitting, said: str) -> Fitting:
    """What was found, lessened as a refusal says."""
    if "a cut-on casing is folded" in said:
        return replace(found, high_waist_side=0, low_waist_side=0)
    if said.startswith("fit."):
        most = {name: float(amount) for name, amount in SET.findall(said)}
        assert most, said
        less = replace(found, **{name: min(getattr(found, name), amount) for name, amount in most.items()})
        assert less != found, said
        return less
    assert "lessen what the fitting found" in said, said
    return scaled(found, 0.8)


def test_what_a_fitting_finds_is_drafted_true_or_refused_with_less_that_drafts() -> None:
    rng, fates = random.Random(1887), Counter[str]()
    for _ in range(rounds(80, 5_000)):
        try:
            design, body, rise = a_design(rng), a_body(rng), rng.choice(("high", "mid"))
            draft_short(design, body, rise=rise)
        except DraftError:
            fates["plain short refused"] += 1
            continue
        found = some_findings(rng)
        made = drafted(design, body, found, rise)
        if isinstance(made, Short):
            check_true(made)
            fates["drafted true"] += 1
            continue
        fates[f"refused: {re.split(r'[: ]', made)[0]}"] += 1
        assert len(made.splitlines()) == 1
        for _ in range(TRIED):
            if isinstance(made, Short):
                break
            found = followed(found, made)
            made = drafted(design, body, found, rise)
        assert isinstance(made, Short), made
        check_true(made)
    print(", ".join(f"{count} {fate}" for fate, count in fates.most_common()))
    assert fates["drafted true"] > rounds(40, 2_500)
