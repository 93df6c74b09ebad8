import re
from dataclasses import replace

import pytest

from blocks.guide import OVERVIEW, Told
from blocks.skirt import BLOCK
from blocks.skirt.guide import PLAN, sentences, steps
from blocks.skirt.worn import worn
from drafting.role import Role
from output.guide.words import COMMON
from wagtail import DESIGNS, FACED, PLAIN, RUFFLED, TIERED, drafted

LABELS = ("H84", "H92", "H96")
LEG = re.compile(r"\b(legs?|crotch|inseams?|shorts|pull-on short)\b", re.IGNORECASE)


def told(design, split=()):
    whole = drafted(design, split=len(split) == len(LABELS))
    halved = drafted(design, split=True) if split else None
    words = COMMON.under(BLOCK.words)
    return Told(garment=whole, halved=halved, labels=LABELS, split=split, rises=("",), words=words)


@pytest.mark.parametrize("split", [(), ("H96",), LABELS])
@pytest.mark.parametrize("design", DESIGNS)
def test_the_steps_of_every_skirt_are_told_and_drawn(design, split):
    made = steps(told(design, split))
    for step in made:
        assert step.title
        assert step.sentences
        assert step.pictures
        for text in (step.title, *step.sentences, *(one.text for picture in step.pictures for one in picture.captions)):
            assert "{" not in text
            assert not LEG.search(text)
        for picture in step.pictures:
            left, _, right, _ = picture.bounds
            assert right - left <= (OVERVIEW + 6 if picture.captions else 104)


def test_each_skirt_has_its_own_steps():
    def named(design):
        return [step.name for step in steps(told(design))]

    assert named(PLAIN) == ["close", "folded", "hem", "finish"]
    assert named(TIERED) == ["crease", "casings", "press", "down", "elastic", *named(PLAIN)]
    assert named(FACED)[-3:] == ["faced", "hem", "finish"]
    assert named(RUFFLED)[-4:] == ["folded", "ruffle", "gather", "finish"]
    assert {name for name, *_ in PLAN} == {"side"} | {name for design in DESIGNS for name in named(design)}


def test_how_the_skirt_is_closed_follows_from_its_panels():
    def of(split):
        return {step.name: " ".join(step.sentences) for step in steps(told(PLAIN, split))}

    assert "side" not in of(())
    assert "centre back" in of(())["close"]
    assert of(("H96",))["side"].startswith("Only for size H96")
    assert "centre back" in of(("H96",))["close"]
    assert "size H96" in of(("H96",))["close"]
    assert "Only" not in of(LABELS)["side"]
    assert "centre back" not in of(LABELS)["close"]


def test_lengths_of_unlike_casings_are_told_by_name():
    casings = next(step for step in steps(told(TIERED)) if step.name == "casings")
    assert "lower 14 mm" in casings.sentences[1]
    assert "upper 12 mm" in casings.sentences[1]


@pytest.mark.parametrize("split", [(), ("H96",), LABELS])
@pytest.mark.parametrize("design", DESIGNS)
def test_what_is_said_elsewhere(design, split):
    said = sentences(told(design, split))
    for text in (said.cover, said.finished, said.pieces, *said.needs):
        assert text
        assert "{" not in text
        assert not LEG.search(text)
    for word in said.glossary:
        assert COMMON.under(BLOCK.words).say(f"word.{word}", part="skirt")
    assert ("ruffle" in said.glossary) == (design is RUFFLED)
    assert ("facing" in said.glossary) == (design is FACED)


@pytest.mark.parametrize("split", [False, True])
@pytest.mark.parametrize("design", DESIGNS)
def test_the_worn_skirt_is_as_wide_as_its_elastics(design, split):
    skirt = drafted(design, split=split)
    picture = worn(skirt, scale=1.0)
    _, bottom, _, top = picture.bounds
    assert top == pytest.approx(0)
    assert bottom == pytest.approx(skirt.panel.bottom)
    # An elastic laid flat is half as wide as it is long.
    rows = [trace.path for trace in picture.traces if trace.role is Role.SEWN]
    waist = next(path for path in rows if path.start.y == pytest.approx(-30))
    assert waist.length == pytest.approx(skirt.elastics.waist.finished / 2)
    folds = {
        elastic.height - casing.depth: elastic.finished * elastic.round_body / 2
        for elastic in skirt.elastics.casings
        for casing in design.casings
        if casing.name == elastic.name
    }
    for y, wide in folds.items():
        outlines = [trace.path for trace in picture.traces if trace.role is Role.OUTLINE]
        edges = [path for path in outlines if path.start.y == path.end.y == pytest.approx(y)]
        assert sum(path.length for path in edges) == pytest.approx(wide)


def test_only_a_single_panel_has_a_seam_at_the_back():
    def seams(split, back):
        picture = worn(drafted(PLAIN, split=split), scale=1.0, back=back)
        return [t for t in picture.traces if t.role is Role.FINE and t.path.start.x == t.path.end.x == 0]

    assert len(seams(split=False, back=True)) == 1
    assert not seams(split=False, back=False)
    assert not seams(split=True, back=True)


def test_a_ruffle_is_drawn_below_the_skirt():
    plain, ruffled = (worn(drafted(design), scale=0.5) for design in (replace(TIERED), RUFFLED))
    assert len(ruffled.traces) > len(plain.traces)
    assert ruffled.bounds[2] > plain.bounds[2]
