"""Any pocket and loop on any short: drafted clear of every casing, or refused with a remedy that is tried."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace
from typing import Any

from shapely import LineString, Polygon

from blocks.design import CasingDesign
from blocks.fitting import NAMES as NAMED
from blocks.fitting import Fitting
from blocks.measurements import Body, body_from
from blocks.parameters import parameters_of
from blocks.short import Short, ShortDesign, draft_short
from blocks.short.design import LegDesign, LoopDesign, PocketDesign
from campaigns.effort import rounds
from drafting.errors import DraftError
from output.drawing.pieces import draw_sheet

BODIES = ((76, 102, 27, 20.5), (60, 84, 25, 19), (110, 128, 31, 24), (135, 152, 34, 26))
NAMES = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")
TIERS = ((), (160, 100), (160, 100, -80, -110), (190,), (-80,), (150, 60, -60))
SET = re.compile(r"(pocket|loop|waist|leg)\.(\w+) to (-?[\d.]+) mm")
KIND = re.compile(r'pocket\.kind = "(\w+)"')
FREE = re.compile(r"from (-?[\d.]+) mm to (-?[\d.]+) mm")


def bodies() -> list[Body]:
    return [body_from(dict(zip(NAMES, girths, strict=True)), unit="cm") for girths in BODIES]


def some_body(rng: random.Random) -> Body:
    """One of a few, on which a fitting may have found something."""
    body = rng.choice(bodies())
    if rng.random() < 0.7:
        return body
    name = rng.choice(NAMED)
    return replace(body, fitting=Fitting(**{name: parameters_of(Fitting)[name].high * rng.random()}))


def some_pocket(rng: random.Random) -> PocketDesign:
    values: dict[str, Any] = {
        "kind": rng.choice(("patch", "patch", "in-seam")),
        "place": rng.choice(("front", "back")),
        "corner": rng.choice(("square", "round")),
        "legs": rng.choice(("both", "left", "right")),
    }
    numbers = parameters_of(PocketDesign)
    for name in rng.sample([name for name in numbers if name not in ("top", "below")], rng.choice((0, 2, 4, 8))):
        about = numbers[name]
        values[name] = rng.choice((about.low, about.high, rng.uniform(about.low, about.high)))
    if rng.random() < 0.5:
        name, low, high = rng.choice((("top", -250, 250), ("below", 10, 400)))
        values[name] = rng.uniform(low, high)
    return PocketDesign(**values)


def some_design(rng: random.Random) -> ShortDesign:
    finish = rng.choice(("faced", "cut-on", "waistband"))
    design = ShortDesign(
        "Plain",
        casings=tuple(CasingDesign(f"at {height}", height=height) for height in rng.choice(TIERS)),
        leg=LegDesign(
            inseam_length=rng.choice((140, 200, 400, 620)),
            inseam_shaping=0.5,
            fullness=rng.choice((1.2, 1.5, 2)),
            taper=rng.choice((0, 0, 0.6, 1)),
        ),
        pocket=some_pocket(rng),
        loop=LoopDesign(kind=rng.choice(("none", "folded")), width=rng.uniform(8, 20), length=rng.uniform(30, 120)),
    )
    return replace(design, waist=replace(design.waist, finish=finish), unit=rng.choice(("mm", "mm", "cm", "in")))


def in_mm(said: str, unit: str) -> str:
    """A message with its lengths in mm, whatever unit the designer writes in; beside inches it has cm as well."""
    per = {"mm": 1, "cm": 10, "in": 25.4}[unit]
    return re.sub(rf"(-?\d+(?:\.\d+)?) {unit}\b(?: \([^)]*\))?", lambda m: f"{float(m[1]) * per:.4f} mm", said)


def mended(design: ShortDesign, said: str) -> list[ShortDesign]:
    """What a refusal of a pocket or a loop says to do, each way that it offers."""
    found = []
    advice = said.rpartition("; set ")[2] if "; set " in said else said
    if changes := SET.findall(advice):
        trial = design
        for table, name, value in changes:
            record: Any = getattr(trial, table)
            trial = replace(trial, **{table: replace(record, **{name: float(value)})})
        if "leave out pocket.top" in said:
            trial = replace(trial, pocket=replace(trial.pocket, top=None, below=None))
        found.append(trial)
    elif its := re.search(r"^pocket\.(\w+): .*; set it to ([\d.]+) mm", said):
        found.append(replace(design, pocket=replace(design.pocket, **{its[1]: float(its[2])})))
    if placed := re.search(r"set pocket\.(top|below) to one of these", said):
        for ends in FREE.findall(said):
            for value in map(float, ends):
                found.append(replace(design, pocket=replace(design.pocket, **{placed[1]: value})))
    if left_out := re.search(r"leave pocket\.(top|below) out", said):
        found.append(replace(design, pocket=replace(design.pocket, **{left_out[1]: None})))
    if kind := KIND.search(said):
        found.append(replace(design, pocket=replace(design.pocket, kind=kind[1])))
    return found


def told(design: ShortDesign, body: Body, how: dict[str, Any]) -> str:
    """What a draft is refused for; empty where it is drafted."""
    try:
        draft_short(design, body, **how)
    except DraftError as error:
        return str(error)
    return ""


def check(short: Short) -> None:
    """Marks lie inside their piece, clear of all that its casings take up; every word of it finds its room."""
    pocket = short.design.pocket
    for piece in short.pieces:
        inside = Polygon(piece.cut_line.array())
        for mark in piece.marks:
            assert mark.line
            drawn = LineString(mark.line.array())
            assert inside.contains(drawn), (piece.name, mark.name)
            if mark.name == "loop":
                continue
            for one in (*piece.fold_lines, *piece.stitch_lines):
                line = LineString([(one.start.x, one.start.y), (one.end.x, one.end.y)])
                assert line.distance(drawn) > pocket.gap - 1e-6, (piece.name, mark.name, one.name)
    draw_sheet(
        [piece for piece in short.pieces if piece.name.startswith(("patch", "pocket", "hanging"))] or [short.pieces[0]],
        width=2000,
        height=2000,
        design="Plain",
    )


def test_any_pocket_and_loop() -> None:
    rng = random.Random(1851)
    tally: Counter[str] = Counter()
    for _ in range(rounds(60, 6000)):
        design, body = some_design(rng), some_body(rng)
        how: dict[str, Any] = {"rise": rng.choice(("high", "mid")), "split": rng.random() < 0.5}
        try:
            short = draft_short(design, body, **how)
        except DraftError as error:
            said = str(error)
            if not said.startswith(("pocket", "loop")):
                tally["refused for something else"] += 1
                continue
            tally[f"refused for {said.partition(':')[0]}"] += 1
            ways = mended(design, in_mm(said, design.unit))
            assert ways, said
            for way in ways:
                again = told(way, body, how)
                # one fault behind another is told next, never the same again
                assert again.partition(":")[0] != said.partition(":")[0], (said, again)
                tally["another fault behind it"] += bool(again)
            continue
        check(short)
        tally["drafted"] += 1
    print(dict(tally))
    assert tally["drafted"]
