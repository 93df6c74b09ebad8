"""A toile's findings on the command line: in a file, as options, in an order book; and what comes out."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pypdf
import pytest

import output
from blocks.fitting import NAMES
from output.command import main
from output.commands.draft import DraftRequest, draft
from output.inspection.pdf import inspect_pdf
from sampled import DESIGN, MEASUREMENTS, SAMPLES, heron_body

SCHEMA = json.loads((Path(output.__file__).parent / "formats" / "pieces.schema.json").read_text())


@pytest.fixture
def measured(tmp_path: Path) -> Path:
    """The sample's measurements, with findings."""
    path = tmp_path / "mara.toml"
    path.write_text(MEASUREMENTS.read_text() + "\n[fit]\nfull_seat = 1.5\nhollow_back = '8 mm'\n")
    return path


def run(*words: object) -> int:
    return main([str(word) for word in words])


def pieces_of(folder: Path) -> Any:
    document = json.loads((folder / "pieces.json").read_text())
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    return document


def test_findings_in_the_file_and_as_options_are_the_same_draft(measured, tmp_path, capsys):
    by_file, by_option = tmp_path / "file", tmp_path / "option"
    assert run("draft", DESIGN, measured, "--out", by_file) == 0
    options = ("--adjust", "full-seat=1.5", "--adjust", "hollow_back=8mm")
    assert run("draft", DESIGN, MEASUREMENTS, *options, "--out", by_option) == 0
    assert {path.name: path.read_bytes() for path in by_file.iterdir()} == {
        path.name: path.read_bytes() for path in by_option.iterdir()
    }
    assert "full seat 15 mm, hollow back 8 mm" in " ".join(capsys.readouterr().out.split())


def test_an_adjusted_pattern_is_no_file_of_the_plain_one_and_says_so_everywhere(measured, tmp_path, capsys):
    plain, made = tmp_path / "plain", tmp_path / "made"
    assert run("draft", DESIGN, MEASUREMENTS, "--out", plain, "--json") == 0
    assert json.loads(capsys.readouterr().out)["adjusted"] is None
    assert run("draft", DESIGN, measured, "--out", made, "--dxf", "--json") == 0
    report = json.loads(capsys.readouterr().out)
    assert report["size"] == "H102 adjusted"
    assert report["adjusted"]["found"] == {"full_seat": 15, "hollow_back": 8}
    assert {one["name"] for one in report["adjusted"]["edges"]} >= {"back crotch seam", "waist seam"}
    assert not {path.name for path in plain.glob("*.pdf")} & {path.name for path in made.glob("*.pdf")}
    assert "adjusted" not in pieces_of(plain)
    (told,) = pieces_of(made)["adjusted"]
    assert told["size"] == "H102 adjusted"
    assert told["found"] == {"full_seat": 15, "hollow_back": 8}
    (pdf,) = made.glob("*.pdf")
    reader = pypdf.PdfReader(pdf)
    assert reader.metadata
    assert "H102 adjusted" in str(reader.metadata.title)
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert text.count("adjusted after a fitting") > len(pieces_of(made)["pieces"])
    assert "What the fitting has moved" in text
    assert "H102 adjusted" in next(made.glob("*.dxf")).read_text("cp1252")


@pytest.mark.parametrize(
    ("option", "said"),
    [
        ("sway-back=1", "fit.sway_back: unknown finding; did you mean hollow_back?"),
        ("full-seet=1", "did you mean full_seat?"),
        ("full-seat", "fit.full_seat: it has no amount"),
        ("full-seat=12", 'write "12 mm"'),
        ("flat-seat=1", "contradicts flat_seat"),
    ],
)
def test_an_option_at_fault_is_one_line(measured, tmp_path, capsys, option, said):
    assert run("draft", DESIGN, measured, "--adjust", option, "--out", tmp_path / "out") == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert said in line
    assert not (tmp_path / "out").exists()


def test_an_option_goes_over_the_file_and_nought_takes_a_finding_back(measured, tmp_path, capsys):
    options = ("--adjust", "full-seat=0", "--adjust", "hollow-back=0")
    assert run("draft", DESIGN, measured, *options, "--out", tmp_path / "out", "--json") == 0
    report = json.loads(capsys.readouterr().out)
    assert (report["size"], report["adjusted"]) == ("H102", None)


def test_options_are_in_the_unit_of_the_measurements(tmp_path, capsys):
    taken = ("--waist", 30, "--hip", 40, "--body-rise", 10.5, "--waist-to-hip", 8, "--unit", "in")
    assert run("draft", DESIGN, *taken, "--adjust", "full-seat=0.5", "--out", tmp_path / "out", "--json") == 0
    assert json.loads(capsys.readouterr().out)["adjusted"]["found"] == {"full_seat": 12.7}


def test_findings_of_a_request_go_over_those_of_a_body(tmp_path):
    report = draft(DraftRequest(design=DESIGN, measurements=heron_body(), adjust={"long rise": 1}, out=tmp_path))
    assert report.garment.body.fitting.found == {"long_rise": 10}
    assert report.garment.size == "H102 adjusted"


def test_a_skirt_refuses_what_a_fitting_found_by_its_name(measured, tmp_path, capsys):
    assert run("draft", SAMPLES / "skirt.toml", measured, "--out", tmp_path / "out") == 2
    assert "fit.full_seat: a skirt cannot be changed by it" in capsys.readouterr().err


def test_before_and_after_are_printed_over_one_another(measured, tmp_path, capsys):
    out = tmp_path / "out"
    assert run("draft", DESIGN, measured, "--before-after", "--page", "Letter", "--out", out) == 0
    said = capsys.readouterr().out
    name = "heron-shorts-H102-adjusted-high-before-after-Letter.pdf"
    assert f"{name}, 1 page" in said
    data = (out / name).read_bytes()
    assert inspect_pdf(data, name).safe
    reader = pypdf.PdfReader(out / name)
    text = " ".join(reader.pages[0].extract_text().split())
    for words in ("Before and after", "H102 adjusted", "full seat 15 mm", "hollow back 8 mm", "back crotch seam"):
        assert words in text
    assert "not to cut along" in text
    assert reader.metadata
    assert "real size" not in str(reader.metadata.get("/Keywords"))
    svg = (out / "heron-shorts-H102-adjusted-high-before-after.svg").read_text()
    assert "not to cut along" in svg
    assert "before" in svg


def test_before_and_after_without_findings_is_refused_and_wide_paper_gets_a_page_beside_it(measured, tmp_path, capsys):
    assert run("draft", DESIGN, MEASUREMENTS, "--before-after", "--out", tmp_path / "none") == 2
    assert "before_after: nothing is adjusted" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()
    assert run("draft", DESIGN, measured, "--before-after", "--page", "A0", "--out", tmp_path / "wide") == 0
    assert list((tmp_path / "wide").glob("*before-after-A4.pdf"))


def test_a_measurements_file_as_a_table_is_a_range_of_an_adjusted_size(measured, tmp_path, capsys):
    out = tmp_path / "range"
    assert run("range", DESIGN, measured, "--out", out, "--workers", 1) == 0
    with (out / "tables.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert {row["size"] for row in rows if row["size"]} == {"H102 adjusted"}
    assert any("full seat 15 mm" in row["text"] for row in rows if row["table"] == "notes")
    told = [json.loads(path.read_text()).get("adjusted") for path in out.glob("*pieces.json")]
    assert all(told)
    capsys.readouterr()


def test_an_order_carries_its_own_findings(tmp_path, capsys):
    book = tmp_path / "orders.csv"
    head, first, second = (SAMPLES / "orders.csv").read_text().splitlines()[:3]
    book.write_text("\n".join((f"{head},full_seat,long_leg", f"{first},1.5,", f"{second},,20mm")) + "\n")
    assert run("batch", DESIGN, book, "--out", tmp_path / "made", "--workers", 1) == 0
    found = {}
    for path in (tmp_path / "made").glob("*/pieces.json"):
        (told,) = pieces_of(path.parent)["adjusted"]
        found[path.parent.name] = told["found"]
    assert found == {"RW-1001": {"full_seat": 15}, "RW-1002": {"long_leg": 20}}
    capsys.readouterr()
    book.write_text(f"{head},fullseat\n{first},1\n")
    assert run("batch", DESIGN, book, "--out", tmp_path / "made", "--workers", 1) == 2
    assert "did you mean full_seat?" in capsys.readouterr().err


def test_an_order_with_a_finding_at_fault_fails_by_its_name(tmp_path, capsys):
    book = tmp_path / "orders.csv"
    head, first = (SAMPLES / "orders.csv").read_text().splitlines()[:2]
    book.write_text(f"{head},full_seat,flat_seat\n{first},1,1\n")
    assert run("batch", DESIGN, book, "--out", tmp_path / "made", "--workers", 1) == 2
    assert "contradicts flat_seat" in (tmp_path / "made" / "failures.csv").read_text()
    capsys.readouterr()


def test_the_guide_has_a_line_for_every_finding(tmp_path, capsys, measured):
    assert run("guide", DESIGN, measured, "--out", tmp_path) == 0
    text = " ".join(
        " ".join(page.extract_text() for page in pypdf.PdfReader(next(tmp_path.glob("*.pdf"))).pages).split()
    )
    squeezed = re.sub(r"\s", "", text)
    for name in NAMES:
        assert name.split("_")[0] in text
    for words in ("hollow back", "Drag lines run from the crotch", "Pins and needles", "begin with"):
        assert words.replace(" ", "") in squeezed
    assert "H102adjustedisdraftedwithwhatafittingfound:fullseat15mm,hollowback8mm." in squeezed
    assert run("guide", SAMPLES / "skirt.toml", SAMPLES / "sizes.csv", "--out", tmp_path / "skirt") == 0
    skirt = pypdf.PdfReader(next((tmp_path / "skirt").glob("*.pdf")))
    assert not any("toile" in page.extract_text() for page in skirt.pages)
    capsys.readouterr()
