from __future__ import annotations

import re
from dataclasses import replace

import pytest

from blocks.design import CasingDesign, WaistFinish
from blocks.short import draft_short
from blocks.short.diagrams import DIAGRAMS
from blocks.short.guide import sentences
from blocks.short.steps import PLAN, steps
from guides import designs, told

BEFORE = [
    ("bags", "side"),
    ("side", "pocket"),
    ("pocket", "crease"),
    ("loop", "crotch"),
    ("side", "crease"),
    ("side", "hem"),
    ("crease", "casings"),
    ("band", "casings"),
    ("trim", "casings"),
    ("hem", "inseam"),
    ("casings", "press"),
    ("press", "down"),
    ("down", "elastic"),
    ("buttonholes", "facing"),
    ("buttonholes", "waistband"),
    ("buttonholes", "crotch"),
    ("facing", "crotch"),
    ("waistband", "crotch"),
    ("elastic", "crotch"),
    ("elastic", "inseam"),
    ("crotch", "inseam"),
    *(("inseam", last) for last in ("waist", "folded", "banding")),
]
"""What must be sewn before what; common practice, no source: an elastic cannot go into a casing whose ends are shut,
and a fold that is stitched down before it is in cannot catch it."""


def said(kind: str, split: tuple[str, ...] = ()) -> dict[str, str]:
    return {step.name: " ".join(step.sentences) for step in steps(told(kind, split=split))}


@pytest.mark.parametrize("kind", designs())
@pytest.mark.parametrize("split", [(), ("H104",), ("H100", "H104")])
def test_steps_come_in_an_order_in_which_they_can_be_sewn(kind, split):
    names = list(said(kind, split))
    assert names[-1] == "finish"
    for first, second in BEFORE:
        if first in names and second in names:
            assert names.index(first) < names.index(second)


@pytest.mark.parametrize("kind", designs())
def test_a_split_leg_is_joined_first(kind):
    assert "side" not in said(kind)
    some, every = said(kind, ("H104",)), said(kind, ("H100", "H104"))
    assert "Only for size H104," in some["side"]
    assert "Only for" not in every["side"]
    assert ("trim band" in every["side"]) is (kind in ("band", "raw band", "patch and band"))
    strips = {"facing", "waistband"} & set(some)
    assert len(strips) == (0 if kind == "cut-on" else 1)
    for strip in strips:
        assert strip in every["side"]
        assert "side notches" in some[strip]
        assert "side seam on side seam" in every[strip]


@pytest.mark.parametrize("kind", designs())
@pytest.mark.parametrize("split", [(), ("H100", "H104")])
def test_a_finish_speaks_of_itself_alone(kind, split):
    """Without a facing no sentence and no word in a picture speaks of one, and so with a waistband and a cord."""
    design = designs()[kind]
    made = steps(told(kind, split=split))
    texts = [text for step in made for text in (step.title, *step.sentences)]
    texts += [caption.text for step in made for picture in step.pictures for caption in picture.captions]
    everything = " ".join(texts).lower()
    assert bool(re.search(r"\bfacing", everything)) is (design.waist.finish is WaistFinish.FACED)
    assert ("waistband" in everything) is (design.waist.finish is WaistFinish.WAISTBAND)
    assert ("folded down" in everything) is (design.waist.finish is WaistFinish.CUT_ON)
    assert bool(re.search(r"\bcord\b|buttonhole", everything)) is bool(design.drawcord.width)
    last = said(kind, split)[{"faced": "waist", "cut-on": "folded", "waistband": "banding"}[design.waist.finish]]
    assert "the cord cannot be pulled out" in last if design.drawcord.width else "in front and at the back" in last


def test_steps_follow_the_trim():
    plain, band, raw, bought = (said(kind) for kind in ("plain", "band", "raw band", "bought"))
    assert "band" not in plain
    assert "trim" not in plain
    assert "Turn the lower edge 8 mm (5/16 in)" in band["band"]
    assert "stays as it is cut" in raw["band"]
    assert "Cut one length of trim for each leg" in bought["trim"]
    assert "6 mm (1/4 in) short of the fold" in band["casings"]
    assert "shows 20 mm (13/16 in) below it" in band["casings"]
    assert "its marked line on the lower stitch line" in bought["casings"]
    for steps_said in (band, raw, bought):
        assert "front of the trim" in steps_said["elastic"]
        assert "fold the trim up" in steps_said["down"]
        assert "ends of the trim" in steps_said["inseam"]


def test_steps_follow_the_pocket_and_the_loop():
    plain, patch, band = said("plain"), said("patch"), said("patch and band")
    assert not {"pocket", "bags", "loop"} & set(plain)
    assert "Turn the upper edge of the pocket 8 mm (5/16 in) to the inside, then 25 mm (1 in)" in patch["pocket"]
    assert "the bottom first" in patch["pocket"]
    assert "Only on" not in patch["pocket"]
    assert "Only on the left leg." in band["pocket"]
    assert "round corners" in band["pocket"]
    assert "8 mm (5/16 in) wide" in patch["loop"]
    assert "loop" not in band
    assert "to one of the two facings" in patch["loop"]


def test_only_a_split_leg_has_a_pocket_in_its_side_seam():
    whole, some = said("side pocket"), said("side pocket", ("H104",))
    assert not {"bags", "side"} & set(whole)
    assert "Only for size H104," in some["bags"]
    assert "150 mm (5 7/8 in) long" in some["bags"]
    assert "Leave the opening of the pocket free" in some["side"]
    assert "opening" not in said("plain", ("H104",))["side"]
    for split, tells in (((), "no size here has one"), (("H104",), "for size H104, whose leg is split, have 12 mm")):
        assert tells in sentences(told("side pocket", split=split)).pieces
    assert any("Stay tape" in need for need in sentences(told("side pocket", split=("H104",))).needs)
    assert "on three sides" in sentences(told("patch")).pieces


def test_steps_follow_the_casings():
    bare, low, uneven = (said(kind) for kind in ("bare", "leg only", "uneven"))
    assert not {"crease", "casings", "press", "elastic", "down"} & set(bare)
    assert "casing" not in f"{bare['crotch']} {bare['inseam']}"
    assert "casing on casing" not in low["crotch"]
    assert "casings below the crotch" in low["inseam"]
    assert "frill 16 mm (5/8 in), thigh 12 mm (1/2 in)" in uneven["casings"]
    assert "frill 2 mm (1/16 in), thigh 1 mm (1/16 in)" in uneven["down"]


@pytest.mark.parametrize("kind", designs())
def test_an_elastic_is_tried_on_where_it_goes_round_a_body(kind):
    """Half a girth in an open leg goes round nobody: the crotch seam closes it above the crotch, the inseam below."""
    heights = [elastic.height for elastic in told(kind).garment.elastics.casings]
    texts = said(kind)
    assert ("Put the garment on" in texts["crotch"]) is any(height > 0 for height in heights)
    assert ("Put the garment on" in texts["inseam"]) is any(height <= 0 for height in heights)
    last = next(name for name in ("waist", "folded", "banding") if name in texts)
    assert "try" in texts[last].lower()
    for name, text in texts.items():
        if name not in ("crotch", "inseam", last, "elastic"):
            assert not re.search(r"round the body|put the garment on", text, re.IGNORECASE), name


def test_a_tunnel_is_told_by_what_it_leaves_beside_its_elastic():
    """The depth less the stitching of the fold and the elastic's width: 16 - 2 - 12 and 12 - 1 - 10 mm."""
    uneven = said("uneven")["down"]
    assert "frill 2 mm (1/16 in), thigh 1 mm (1/16 in)" in uneven
    assert "may stick" in uneven
    roomy = replace(designs()["leg only"], casings=(CasingDesign("leg", -90, elastic_width=10, depth=14),))
    about = replace(told("leg only"), garment=draft_short(roomy, told("leg only").garment.body))
    (down,) = (step for step in steps(about) if step.name == "down")
    assert "higher than its elastic is wide: 2 mm" in " ".join(down.sentences)
    assert "may stick" not in " ".join(down.sentences)


def test_one_casing_is_told_of_as_one():
    one = replace(designs()["leg only"], casings=(CasingDesign("leg", -90),))
    about = replace(told("leg only"), garment=draft_short(one, told("leg only").garment.body))
    text = " ".join(sentence for step in steps(about) for sentence in step.sentences)
    assert "lowest first" not in text
    assert "Begin with the lowest" not in text


@pytest.mark.parametrize("kind", designs())
def test_no_blank_is_left_to_fill_in_a_step(kind):
    for text in (*said(kind).values(), *said(kind, ("H104",)).values()):
        assert "{" not in text


def test_the_plan_has_a_diagram_for_every_step():
    assert [name for name, _, _ in PLAN] == list(DIAGRAMS)
