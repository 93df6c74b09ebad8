"""What the counter shows before any file is made: the same figures and pages as in the files and the summary."""

from __future__ import annotations

import pickle
import re
from xml.etree import ElementTree

import pytest

from blocks.cloth import Cloth
from blocks.lay import quick_lay
from blocks.requirement import requirement
from output.commands.draft import DraftRequest, make
from output.serve.counter.preview import preview, stem_of
from output.tables.amounts import bought_words
from output.tables.summary import summary_text
from sampled import SAMPLES

BODY = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}


def asked(design: str = "design", **more: object) -> DraftRequest:
    measured = {name: value for name, value in BODY.items() if design != "skirt" or name != "body_rise"}
    return DraftRequest(**{"design": SAMPLES / f"{design}.toml", "out": "", "measured": measured, "cloth": 140} | more)  # type: ignore[arg-type]


@pytest.mark.parametrize("design", ["design", "calf", "skirt"])
def test_pages_and_files_are_those_that_are_made(design: str) -> None:
    request = asked(design, pages=("A4", "Letter", "A0"), svg=True)
    seen, made = preview(request), make(request)
    assert [file.name for file in seen.files] == [file.name for file in made.files]
    pages = {file.name: file.pages for file in made.files}
    for paper, count in seen.pages:
        assert pages[f"{stem_of(request)}-{paper}.pdf"] == count
    assert [paper for paper, _ in seen.pages] == ["A4", "Letter"]


@pytest.mark.parametrize("design", ["design", "ankle", "skirt"])
def test_every_figure_is_that_of_the_summary(design: str) -> None:
    request = asked(design)
    seen, summary = preview(request), summary_text(make(request).garment, (), "out")
    lines = re.sub(r"\s+", " ", summary)
    for table in seen.tables:
        if table.heading.startswith("Body"):
            continue
        for row in table.rows:
            for cell in row[: 5 if table.header else 2]:
                assert cell in lines
    assert seen.estimates in lines
    for remark in (*seen.warnings, *seen.notes):
        assert remark in lines


def test_estimates_are_marked_with_their_error() -> None:
    body = next(table for table in preview(asked()).tables if table.heading.startswith("Body"))
    known = {row[0]: row[2] for row in body.rows}
    assert known["hip girth"] == "measured"
    assert re.fullmatch(r"estimated ± \d+\.\d cm", known["thigh girth"])


def test_cloth_is_reckoned_for_the_width_that_is_asked_for_or_says_why_not() -> None:
    request = asked(cloth=90)
    garment = make(request).garment
    seen = preview(request)
    assert seen.cloth == ("90.0 cm (35 3/8 in) wide", bought_words(requirement(quick_lay(garment.pieces, Cloth(900)))))
    narrow = preview(asked("skirt", cloth=90, fit="whole"))
    assert not narrow.cloth_fits
    assert narrow.cloth[1].startswith("piece skirt: it is ")


def test_what_a_file_is_stands_beside_its_name() -> None:
    request = asked(
        pages=("A4", "A0"), rolls=(914,), projections=("dark",), adjust={"full seat": "12mm"}, before_after=True
    )
    about = {file.name.removeprefix(stem_of(request)): file.about for file in preview(request).files}
    assert about["-A4.pdf"] == "The pattern on A4, to print at home (PDF)"
    assert about["-A0.pdf"] == "The pattern on sheets of A0, for a print shop (PDF)"
    assert about["-roll-914.pdf"] == "The pattern on a roll 914 mm wide, for a print shop (PDF)"
    assert about["-projection-dark.pdf"] == "The pattern for a projector, light lines on dark (PDF)"
    assert about["-before-after-A4.pdf"] == "What the fitting has changed (PDF)"
    assert about["pieces.json"] == "The pieces for other programs (JSON)"


def test_it_comes_back_from_another_process_as_it_is_and_draws_what_can_be_read() -> None:
    seen = preview(asked())
    assert pickle.loads(pickle.dumps(seen)) == seen
    for drawing in (seen.front, seen.back, seen.pieces):
        assert ElementTree.fromstring(drawing).tag.endswith("svg")
