"""The body, the block and the elastic agree with each other, by the commands that once showed that they did not."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from blocks.read_design import design_from
from blocks.short import draft_short
from output.command import main
from output.system.reading import read_toml
from ranges import HERON, TABLE
from sampled import SAMPLES

DESIGN, SIZES = SAMPLES / "design.toml", SAMPLES / "sizes.csv"
MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}


def run(*args: object) -> tuple[int, str, str]:
    """Exit status, and what is said on either stream."""
    said, wrong = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(wrong):
        status = main([str(arg) for arg in args])
    return status, said.getvalue(), wrong.getvalue()


def measurements(folder: Path, **values: float) -> Path:
    path = folder / "body.toml"
    path.write_text('unit = "cm"\n' + "".join(f"{name} = {value}\n" for name, value in values.items()))
    return path


def design(folder: Path, text: str) -> Path:
    path = folder / "design.toml"
    path.write_text('name = "Plain"\nunit = "mm"\n' + text)
    return path


def drafted(folder: Path, text: str = "", **values: float) -> dict[str, object]:
    """What a draft reports, as JSON."""
    status, said, wrong = run(
        "draft", design(folder, text), measurements(folder, **{**MEASURED, **values}), "--out", folder / "out", "--json"
    )
    assert status == 0, wrong
    report: dict[str, object] = json.loads(said)
    return report


def refused(folder: Path, text: str = "", **values: float) -> str:
    status, said, wrong = run(
        "draft", design(folder, text), measurements(folder, **{**MEASURED, **values}), "--out", folder / "out"
    )
    assert status == 2, said
    assert not (folder / "out").exists()
    return wrong


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, str]]:
    """The table of a range of all sizes of the demo."""
    out = tmp_path_factory.mktemp("range")
    status, _, wrong = run("range", DESIGN, SIZES, "--out", out, "--only", "H84", "--workers", 1)
    assert status == 0, wrong
    return list(csv.DictReader((out / "tables.csv").read_text("utf-8").splitlines()))


def cm(tables: list[dict[str, str]], **wanted: str) -> dict[str, float]:
    """The lengths in cm of a table's rows with these cells, by size."""
    rows = [row for row in tables if all(row[name] == value for name, value in wanted.items())]
    return {row["size"]: float(row["cm"]) for row in rows}


def test_the_crotch_seam_of_every_size_is_its_crotch_length_and_ease_by_the_tables_of_the_range(tables) -> None:
    """Once H84 65.1 / 65.4, H104 70.9 / 71.7, H152 83.6 / 86.5 cm: shorter than the body in all 16 sizes."""
    seams = cm(tables, table="finished measures", rise="high", item="crotch seam")
    lengths = cm(tables, table="body", item="crotch length", measure="")
    ease = design_from(read_toml(DESIGN)).leg.crotch_ease / 10
    assert len(seams) == 16
    assert seams == pytest.approx({size: length + ease for size, length in lengths.items()}, abs=0.02)


@pytest.mark.parametrize("length", [67, 70, 75, 78])
def test_a_measured_crotch_length_is_met_or_refused_by_name(tmp_path: Path, length: float) -> None:
    """Once 75 cm ended 33 mm short and 78 cm 63 mm short, and a pattern was written all the same."""
    report = drafted(tmp_path, crotch_length=length)
    seam = found(report, "crotch_seam")
    assert seam == pytest.approx(10 * length + 25, abs=1)


def test_a_crotch_length_that_contradicts_the_body_writes_nothing(tmp_path: Path) -> None:
    assert "body_rise" in refused(tmp_path, crotch_length=95)


def found(value: object, name: str) -> float:
    """A length in mm of that name, wherever it stands in a report."""
    if isinstance(value, Mapping):
        if name in value:
            one = value[name]
            return 10 * float(one["cm"]) if isinstance(one, Mapping) else float(one)
        value = list(value.values())
    for part in value if isinstance(value, list) else ():
        with contextlib.suppress(KeyError):
            return found(part, name)
    raise KeyError(name)


def test_an_estimate_that_is_typed_in_changes_no_seam(tmp_path: Path) -> None:
    """Once it made the seam 73.0 where it was 70.2 cm."""
    plain = drafted(tmp_path)
    seam = found(plain, "crotch_seam")
    (tmp_path / "typed").mkdir()
    typed = drafted(tmp_path / "typed", crotch_length=round((seam - 25) / 10, 3))
    assert found(typed, "crotch_seam") == pytest.approx(seam, abs=0.2)


def test_an_elastic_wider_than_its_channel_is_refused_and_both_remedies_draft(tmp_path: Path) -> None:
    """Once a 40 mm elastic in a 25 mm channel went without a word."""
    said = refused(tmp_path, "[waist]\nelastic_width = 40\nchannel = 25\n")
    channel, width = (float(value) for value in re.findall(r"to ([\d.]+) mm at (?:least|most)", said))
    for folder, text in (
        ("deep", f"elastic_width = 40\nchannel = {channel}"),
        ("narrow", f"elastic_width = {width}\nchannel = 25"),
    ):
        (tmp_path / folder).mkdir()
        drafted(tmp_path / folder, f"[waist]\n{text}\n")


def elastics(said: str) -> dict[str, float]:
    return {
        row["item"]: float(row["cm"])
        for row in csv.DictReader(said.splitlines())
        if row["table"] == "elastics" and row["measure"] == "cut length"
    }


@pytest.mark.parametrize(("waist", "hip"), [("H116", "H100"), ("H92", "H100"), ("H100", "H124")])
def test_a_wearer_between_sizes_has_one_answer(tmp_path: Path, waist: str, hip: str) -> None:
    """Once the upper elastic of H116's waist on H100's hips was 57.1 cm by sizes, and 51.5 by own measurements."""
    rows = {row["size"]: row for row in csv.DictReader(SIZES.read_text().splitlines())}
    own = {name: float(rows[hip][name]) for name in ("hip_girth", "body_rise", "waist_to_hip")}
    body = measurements(tmp_path, waist_girth=float(rows[waist]["waist_girth"]), **own)
    by_sizes = run("elastics", DESIGN, SIZES, "--waist-size", waist, "--hip-size", hip, "--csv")
    by_body = run("elastics", DESIGN, SIZES, "--measurements", body, "--csv")
    assert by_sizes[0] == by_body[0] == 0, (by_sizes[2], by_body[2])
    assert elastics(by_sizes[1]) == pytest.approx(elastics(by_body[1]), abs=0.1)


def test_every_size_of_the_demo_has_the_same_casings_in_both_rises(tables) -> None:
    """Once H84 to H108 lost a casing in the mid rise and H112 up kept it, without a word."""
    has: dict[tuple[str, str], set[str]] = {}
    for row in tables:
        if row["table"] == "elastics" and row["measure"] == "cut length":
            has.setdefault((row["rise"], row["size"]), set()).add(row["item"])
    assert len(has) == 32
    assert len({frozenset(names) for names in has.values()}) == 1


def test_casings_by_share_grade_with_the_rise() -> None:
    """Once the tiers stayed where they were while the rise grew."""
    small, large = (draft_short(HERON, TABLE.sizes[index].body) for index in (0, -1))
    heights = [{one.name: one.height for one in short.elastics.casings} for short in (small, large)]
    grown = large.leg.high_waist_level / small.leg.high_waist_level
    by_share = [casing.name for casing in HERON.casings if casing.share and casing.share > 0]
    assert by_share
    for name in by_share:
        assert heights[1][name] / heights[0][name] == pytest.approx(grown)


def test_the_elastic_at_the_knee_goes_round_a_knee(tmp_path: Path) -> None:
    """Once it was cut to the thigh all the way down: 62 cm for a knee of about 38."""
    text = '[leg]\ninseam_length = 370\n[[casing]]\nname = "knee"\nheight = -322\n'
    drafted(tmp_path, text, knee_girth=38, knee_height=46, inside_leg_height=78, height=166)
    status, said, wrong = run(
        "elastics", tmp_path / "design.toml", tmp_path / "body.toml", "--measurements", tmp_path / "body.toml", "--csv"
    )
    assert status == 0, wrong
    seam = design_from(read_toml(tmp_path / "design.toml")).allowances.seam / 10
    assert elastics(said)["knee"] == pytest.approx(1.03 * 38 + 2 * seam, abs=1.5)


@pytest.mark.parametrize("inseam", [30, 40, 50])
def test_a_brief_s_inseam_is_drafted(tmp_path: Path, inseam: float) -> None:
    """Once 4 and 5 cm were within the range, and refused by the geometry."""
    report = drafted(tmp_path, f"[leg]\ninseam_length = {inseam}\n")
    assert found(report, "inseam") == pytest.approx(inseam, abs=0.1)


def test_a_casing_that_cannot_lie_there_is_told_where_it_may_and_what_moves_that(tmp_path: Path) -> None:
    said = refused(tmp_path, '[[casing]]\nname = "low"\nheight = -40\n')
    assert "free on this body" in said
    assert "leg.truing_length" in said
    moved = float(re.findall(r"down by ([\d.]+) mm", said)[0])
    drafted(tmp_path, f'[[casing]]\nname = "low"\nheight = {-40 - moved}\n')


def test_no_height_is_invented(tables) -> None:
    """Once the body chart told heights of 157.7 to 187.7 cm as if known."""
    assert {row["item"] for row in tables if row["table"] == "body"}.isdisjoint({"height", "stature"})
    assert all("height" not in row["item"] for row in tables if row["table"] == "body")
