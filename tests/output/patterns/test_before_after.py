"""Before and after, over one another: both lines at the scale that is said, every number beside its point."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from xml.etree import ElementTree

import pypdf
import pytest
import svgpathtools

from blocks.fitting import NAMES, STARTS, Fitting
from blocks.short import Short, draft_short
from drafting.errors import OutputError
from output.inspection.pdf import inspect_pdf
from output.paper.sizes import A4, LETTER, Paper
from output.patterns.before_after import before_after_pdf, before_after_svg
from quick import quick
from sampled import heron, heron_body, heron_design

SVG = "{http://www.w3.org/2000/svg}"


def adjusted(**found: float) -> Short:
    return draft_short(heron_design(), replace(heron_body(), fitting=Fitting(**found)))


def test_the_drawing_in_real_size_has_both_outlines_to_the_millimetre():
    short = adjusted(full_seat=30, full_tummy=20)
    assert short.adjusted
    root = ElementTree.fromstring(before_after_svg(short))
    lengths = [
        svgpathtools.parse_path(path.get("d")).length(error=1e-4)
        for path in root.iter(f"{SVG}path")
        if path.get("d", "").count("C") > 4
    ]
    wanted = [short.adjusted.before.length, short.adjusted.after.length]
    for length in wanted:
        assert min(abs(found - length) for found in lengths) < 0.05
    words = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
    for said in ("before", "after", "real size", "front", "back", "not to cut along"):
        assert said in words


BOTH = ("full_seat", "long_leg")
"""Those that are looked at on both papers."""


@pytest.mark.parametrize(
    ("name", "paper"),
    quick([*((name, A4) for name in NAMES), *((name, LETTER) for name in BOTH)], lambda case: case[0] in BOTH),
)
def test_each_finding_has_one_page_that_is_proved_and_names_what_moved(name: str, paper: Paper):
    short = adjusted(**{name: STARTS[name]})
    assert short.adjusted
    data, pages = before_after_pdf(short, paper)
    assert pages == 1
    assert inspect_pdf(data, "page.pdf").safe
    (page,) = pypdf.PdfReader(BytesIO(data)).pages
    text = " ".join(page.extract_text().split())
    assert "scale 1 : " in text
    assert "H102 adjusted" in text
    for moved, told in short.adjusted.moved:
        assert moved in text
        assert told in text


def test_a_split_leg_and_many_findings_have_their_page():
    found = {name: STARTS[name] for name in ("full_tummy", "full_seat", "hollow_back", "full_outer_thigh", "long_leg")}
    body = replace(heron_body(), fitting=Fitting(**found, long_rise=10, long_crotch=15, high_waist_side=10))
    data, pages = before_after_pdf(draft_short(heron_design(), body, split=True, rise="mid"), LETTER)
    assert pages <= 2
    assert inspect_pdf(data, "page.pdf").safe
    assert before_after_pdf(draft_short(heron_design(), body, split=True, rise="mid"), LETTER)[0] == data


def test_a_plain_garment_has_no_before():
    with pytest.raises(OutputError, match="nothing was adjusted"):
        before_after_svg(heron())
