"""A casing that a rise has no room for is said in every report, on paper and in every file that lists what was made."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from blocks.short import ShortCasing, ShortDesign
from output.commands.batch import BatchRequest, batch
from output.commands.draft import DraftRequest, draft
from output.commands.elastics import ElasticsRequest, elastics
from output.commands.guide import GuideRequest, guide
from output.commands.lay import LayRequest, lay
from output.commands.range import RangeRequest, write_range
from sampled import MEASUREMENTS, SAMPLES, heron_design

SIZES = SAMPLES / "sizes.csv"
TOLD = "is left out of the mid rise"
ORDERS = """order,unit,waist_girth,hip_girth,body_rise,waist_to_hip,rise,page,cloth_width
first,cm,76,102,27,20.5,mid,A4,140
second,cm,76,102,27,20.5,high,A4,140
"""


@pytest.fixture(scope="module")
def design() -> ShortDesign:
    """A design with a casing so high that the mid rise never has it, and the high rise always."""
    return replace(heron_design(), casings=(*heron_design().casings, ShortCasing("topmost", share=0.79)))


def said(text: str) -> bool:
    flat = " ".join(text.split())
    return "'topmost'" in flat and TOLD in flat


def on_paper(path: Path) -> bool:
    document = pypdfium2.PdfDocument(path)
    return said(" ".join(page.get_textpage().get_text_range() for page in document))


def test_draft_says_which_casing_is_left_out(design: ShortDesign, tmp_path: Path) -> None:
    report = draft(DraftRequest(design=design, measurements=MEASUREMENTS, rise="mid", out=tmp_path / "one"))
    assert said(report.text())
    assert said(report.json())
    assert all(on_paper(path) for path in (tmp_path / "one").glob("*.pdf"))


def test_a_range_says_so_in_its_report_its_tables_and_its_manifest(design: ShortDesign, tmp_path: Path) -> None:
    report = write_range(
        RangeRequest(design=design, sizes=SIZES, rises=("mid",), out=tmp_path / "all", only="H100,H104")
    )
    assert said(report.text())
    assert said(report.json())
    for name in ("tables.csv", "tables.json", "manifest.json"):
        assert said((tmp_path / "all" / name).read_text()), name
    assert all(on_paper(path) for path in (tmp_path / "all").glob("*.pdf"))
    assert said(str(json.loads((tmp_path / "all" / "manifest.json").read_text())["casings_left_out"]))


@pytest.mark.parametrize("wearer", [{"waist_size": "H104", "hip_size": "H100"}, {"measurements": MEASUREMENTS}])
def test_elastics_say_so(design: ShortDesign, wearer: dict[str, object]) -> None:
    report = elastics(ElasticsRequest(design=design, sizes=SIZES, rise="mid", **wearer))  # type: ignore[arg-type]
    assert said(report.text())
    assert said(report.json())


def test_a_lay_says_so(design: ShortDesign, tmp_path: Path) -> None:
    report = lay(
        LayRequest(
            design=design,
            sizes=SIZES,
            rises=("mid",),
            only="H100",
            cloths=(140,),
            seconds=1,
            lays=tmp_path / "lays.json",
            out=tmp_path / "lay",
        )
    )
    assert said(report.text())
    assert said(report.json())


def test_a_guide_says_so_to_who_makes_it_and_who_sews_from_it(design: ShortDesign, tmp_path: Path) -> None:
    report = guide(GuideRequest(design=design, sizes=SIZES, rises=("mid",), out=tmp_path / "guide"))
    assert said(report.text())
    assert all(on_paper(path) for path in (tmp_path / "guide").glob("*.pdf"))


def test_a_batch_says_so_of_each_order_drafted_or_unchanged(design: ShortDesign, tmp_path: Path) -> None:
    book, out = tmp_path / "orders.csv", tmp_path / "orders"
    book.write_text(ORDERS)
    request = BatchRequest(design=design, orders=book, out=out, workers=1)
    for _ in range(2):
        report = batch(request)
        assert "Warning: casing 'topmost' is left out of first; order.json of each tells why" in report.text()
        assert json.loads(report.json())["casings_left_out"] == {"first": ["topmost"]}
    assert said((out / "first" / "order.json").read_text())
    assert on_paper(next((out / "first").glob("*.pdf")))
    assert json.loads((out / "second" / "order.json").read_text())["casings_left_out"] == []
