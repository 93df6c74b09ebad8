"""The guide for one wearer: hers alone, of all that she is sold and told, on every design and for every cloth."""

from __future__ import annotations

import re
from functools import cache
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from blocks.haberdashery import haberdashery
from blocks.known import used_of
from blocks.lay import check_lay
from drafting.errors import DesignError
from drafting.units import show_both, show_measure
from guides import designs
from output.commands.draft import DraftRequest, make, plan
from output.guide.words import OWN
from output.lays.wanted import laid_quickly
from output.tables.amounts import bought_words, cut_words
from output.tables.body import how_well_known
from sampled import DESIGN, SAMPLES

MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
WEARERS: dict[str, dict[str, Any]] = {
    "whole": {},
    "adjusted": {"adjust": {"full seat": "15mm", "hollow_back": "8mm"}, "before_after": True, "pages": ("Letter",)},
    "folded": {"cloth": 130, "lay": "folded"},
    "split": {"design": SAMPLES / "knee.toml", "cloth": 110, "fit": "split"},
    "skirt": {"design": SAMPLES / "skirt.toml", "rolls": ("914",)},
    "pocket": {"design": designs()["side pocket"]},
    "trim": {"design": designs()["bought"], "cloth": 90, "fit": "split"},
    "no lay": {"design": SAMPLES / "skirt.toml", "cloth": 200, "lay": "folded", "projections": ("dark",)},
}


def request(which: str, **more: Any) -> DraftRequest:
    return DraftRequest(**{"design": DESIGN, "out": "", "measured": MEASURED, "guide": True, **WEARERS[which], **more})


@cache
def guide(which: str) -> bytes:
    planned = plan(request(which))
    (name,) = (name for name in planned.makers if "-guide-" in name)
    return planned.made(name).data


@cache
def words(which: str) -> str:
    pages = (page.extract_text() for page in PdfReader(BytesIO(guide(which))).pages)
    return " ".join(" ".join(page.split()) for page in pages).replace("\u00a0", " ")


every = pytest.mark.parametrize("which", WEARERS)


@every
def test_it_tells_all_that_is_the_wearers(which):
    planned, said = plan(request(which)), words(which)
    garment = planned.garment
    takes, bought = haberdashery(garment), laid_quickly(garment, request(which).laid_on)
    for name in used_of(garment.design, garment.body):
        assert show_measure(garment.body.known(name)) in said
        assert how_well_known(garment.body, name) in said
    for strip in (*takes.elastics, *takes.trims):
        assert f"{cut_words(strip)} {strip.quantity}" in said
    for one in takes.shopping:
        assert bought_words(one) in said
    for length in garment.measures.values():
        assert show_measure(length) in said
    assert bought.told in said
    assert show_both(bought.cloth.width) in said
    for name, maker in planned.makers.items():
        if "-guide-" not in name:
            assert maker.about in said
    for remark in (*garment.notes, *garment.warnings):
        assert remark in said


@every
def test_it_speaks_of_no_other_size_and_of_none_to_choose(which):
    said = words(which)
    size = plan(request(which)).garment.size
    assert not re.search(
        r"Between two sizes|hip size|waist size|your size|sizes|no size|Pick|Body sizes|Only for|asks most", said
    )
    assert set(re.findall(r"\bH\d+\b", said)) == {size.partition(" ")[0]}
    assert OWN["guide"] in said


@every
def test_cautions_are_kept(which):
    said = words(which)
    for told in ("hinder circulation", "Your local rules", "Never leave", "Test it on a scrap", "Children’s wear"):
        assert told.lower() in said.lower()


def test_what_a_fitting_found_is_told_and_is_not_to_be_found_again():
    said = words("adjusted")
    assert "full seat 15 mm" in said
    assert "Add what you find to it where the names are the same" in said
    for told, moved in plan(request("adjusted")).garment.adjusted.moved:
        assert told in said
        assert moved in said


def test_the_same_request_gives_the_same_bytes():
    again = plan(request("whole"))
    (name,) = (name for name in again.makers if "-guide-" in name)
    assert again.made(name).data == guide("whole")


def test_it_is_on_each_home_paper_that_is_asked_for_and_on_a4_if_none_is():
    for pages, papers in ((("Letter", "A4", "A0"), ["Letter", "A4"]), (("A1",), ["A4"]), ((), ["A4"])):
        names = [name for name in plan(request("whole", pages=pages)).makers if "-guide-" in name]
        assert [name.removesuffix(".pdf").rpartition("-")[2] for name in names] == papers


def test_the_other_files_are_those_without_it():
    with_it, without = make(request("whole")), make(request("whole", guide=False))
    assert with_it.files[:-1] == without.files
    assert with_it.files[-1].pages == len(PdfReader(BytesIO(with_it.files[-1].data)).pages)


def test_a_cloth_that_is_none_is_refused_before_anything_is_made():
    with pytest.raises(DesignError, match="selvedge: "):
        plan(request("whole", selvedge="wide"))


def test_what_is_too_wide_for_a_usual_cloth_is_told_with_what_does():
    large = {"waist_girth": 140, "hip_girth": 150, "body_rise": 33, "waist_to_hip": 25}
    planned = plan(request("whole", measured=large))
    bought = laid_quickly(planned.garment, request("whole").laid_on)
    assert bought.problem
    assert bought.told == bought.problem
    assert not bought.need
    wide = laid_quickly(planned.garment, request("whole", cloth=200).laid_on)
    assert wide.page
    check_lay(wide.page.plan)
    name = next(name for name in planned.makers if "-guide-" in name)
    said = PdfReader(BytesIO(planned.made(name).data))
    assert "does not do: piece leg: " in " ".join(" ".join(page.extract_text().split()) for page in said.pages)
