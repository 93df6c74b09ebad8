from __future__ import annotations

import csv
import io
import json
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

import output.lays.file
from output.command import main
from output.lays.requirement import CLOTH_COLUMNS, NOTION_COLUMNS
from sampled import SAMPLES

Told = tuple[int, str, str]
Lay = Callable[..., Told]


@pytest.fixture
def lay(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Lay:
    """Lay the Heron in a folder of its own, so that its lays are kept there; nothing searches for over a second."""
    design = tmp_path / "design.toml"
    shutil.copy(SAMPLES / "design.toml", design)

    def run(*options: str, seconds: str = "1", out: str = "heron") -> Told:
        sizes = str(SAMPLES / "sizes.csv")
        code = main(["lay", str(design), sizes, "--out", str(tmp_path / out), "--seconds", seconds, *options])
        told = capsys.readouterr()
        return code, told.out, told.err

    return run


def rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode(), newline=""), strict=True))


def test_lays_are_made_told_and_written(lay: Lay, tmp_path: Path) -> None:
    options = ("--cloth", "140", "--cloth", "110", "--only", "H84,H152", "--rise", "high", "--page", "a4")
    code, told, complaint = lay(*options, "--page", "Letter")
    assert (code, complaint) == (0, "")
    cloth = rows(tmp_path / "heron" / "cloth-requirement.csv")
    assert tuple(cloth[0]) == CLOTH_COLUMNS
    assert [(row["size"], row["cloth_cm"], row["legs"]) for row in cloth] == [
        ("H84", "140.0", "whole"),
        ("H152", "140.0", "split"),
        ("H84", "110.0", "whole"),
        ("H152", "110.0", "split"),
    ]
    for row in cloth:
        length, least, buy = (float(row[name]) for name in ("lay_length_cm", "least_cm", "buy_metres"))
        assert least == pytest.approx((length + 4) / 0.97, abs=0.11)
        assert least / 100 - 0.001 <= buy < least / 100 + 0.051
        head = f"{row['size']}, high rise, {float(row['cloth_cm']):g} cm cloth, single layer: "
        assert f"  {head}{row['buy_metres']} m ({row['buy_yards']} yd)" in told
        assert row["problem"] == ""
    notions = rows(tmp_path / "heron" / "notions.csv")
    assert tuple(notions[0]) == NOTION_COLUMNS
    assert [row["notion"] for row in notions if row["size"] == "H84"] == [
        "elastic",
        "elastic",
        "sewing thread, whole leg",
    ]
    for paper in ("A4", "Letter"):
        pages = PdfReader(tmp_path / "heron" / f"heron-shorts-lay-plans-{paper}.pdf").pages
        assert len(pages) == 4
    assert (tmp_path / "design.lays.json").exists()
    stored = json.loads((tmp_path / "design.lays.json").read_bytes())["lays"].values()
    assert "Heron shorts H84, high rise, 140 cm cloth, single layer" in {entry["about"] for entry in stored}


@pytest.mark.slow
def test_a_second_run_gives_the_same_bytes_without_the_engine(
    lay: Lay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    options = ("--cloth", "150", "--lay", "folded", "--only", "H96", "--one-way")
    assert lay(*options, out="one")[0] == 0
    kept = (tmp_path / "design.lays.json").read_bytes()
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    assert lay(*options, out="two")[0] == 0
    one, two = ({path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in ("one", "two"))
    assert one == two
    assert (tmp_path / "design.lays.json").read_bytes() == kept


def test_json_is_all_that_is_printed(lay: Lay, tmp_path: Path) -> None:
    kept = tmp_path / "elsewhere.json"
    options = ("--cloth", "140", "--only", "H84", "--rise", "mid", "--selvedge", "1", "--shrinkage", "10")
    code, told, _ = lay(*options, "--lays", str(kept), "--json")
    assert code == 0
    summary = json.loads(told)
    assert summary["lay_file"] == str(kept)
    assert set(summary["files"]) == {path.name for path in (tmp_path / "heron").iterdir()}
    (entry,) = summary["lays"]
    assert (entry["size"], entry["rise"], entry["cloth"], entry["split"]) == ("H84", "mid", 1400, False)
    assert entry["least"] == pytest.approx((entry["lay_length"] + 40) / 0.9)
    assert kept.exists()


def test_a_size_that_cannot_be_laid_is_told_and_the_rest_is_written(lay: Lay, tmp_path: Path) -> None:
    options = ("--cloth", "110", "--lay", "folded", "--rise", "high", "--only", "H84,H116")
    code, told, complaint = lay(*options)
    assert code == 2
    assert complaint == f"shirrline: 1 lay failed; {tmp_path / 'heron' / 'cloth-requirement.csv'} tells why\n"
    assert "H116, high rise, 110 cm cloth, folded: too wide" in told
    good, bad = rows(tmp_path / "heron" / "cloth-requirement.csv")
    assert good["problem"] == ""
    assert "leg back" in bad["problem"]
    assert bad["buy_metres"] == ""


def test_a_whole_leg_forced_on_narrow_cloth_is_refused_by_name(lay: Lay, tmp_path: Path) -> None:
    code, told, complaint = lay("--cloth", "110", "--only", "H152", "--fit", "whole")
    assert (code, told) == (2, "")
    assert "nothing could be laid; H152, high rise: piece leg: it is 158.7 cm wide" in complaint
    assert not (tmp_path / "heron").exists()


@pytest.mark.parametrize(
    ("options", "complaint"),
    [
        (("--cloth", "14"), "cloth: 14 cm is outside 60 to 320 cm"),
        (("--cloth", "wide"), 'cloth: "wide" is text, not a number'),
        (("--cloth", "140", "--selvedge", "9"), "selvedge: 9 cm is outside 0 to 5 cm"),
        (("--cloth", "140", "--shrinkage", "60"), 'shrinkage: "60" is not a percentage in 0 to 25 %'),
        (("--cloth", "140", "--shrinkage", "nan"), 'shrinkage: "nan" is not a percentage'),
        (("--cloth", "140", "--seconds", "0"), 'seconds: "0" is not a whole number of 1 to 3600'),
        (("--cloth", "140", "--seconds", "1.5"), 'seconds: "1.5" is not a whole number'),
        (("--cloth", "140", "--only", "H85"), 'size: "H85" is not in the table'),
        (("--cloth", "140", "--page", "B5"), "paper: 'B5' is not known"),
        ((), "the following arguments are required: --cloth"),
    ],
)
def test_a_bad_option_is_one_line_and_nothing_is_written(
    lay: Lay, tmp_path: Path, options: tuple[str, ...], complaint: str
) -> None:
    code, told, said = lay(*options)
    assert (code, told) == (2, "")
    assert complaint in said
    assert said.count("\n") == 1
    assert not (tmp_path / "heron").exists()


def test_without_the_engine_one_line_says_how_to_get_it(
    lay: Lay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    code, told, said = lay("--cloth", "140", "--only", "H84")
    assert (code, told) == (2, "")
    assert said.startswith("shirrline: lay plan: it needs the strip-packing engine spyrrow")
    assert not (tmp_path / "heron").exists()


def test_lays_that_were_found_before_an_interrupt_stay_stored(
    lay: Lay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    search, done = output.lays.file.lay_pieces, []

    def interrupted(*arguments: object, **options: object) -> object:
        if done:
            raise KeyboardInterrupt
        done.append(1)
        return search(*arguments, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(output.lays.file, "lay_pieces", interrupted)
    assert lay("--cloth", "140", "--only", "H84,H88", "--rise", "high")[0] == 130
    assert len(json.loads((tmp_path / "design.lays.json").read_bytes())["lays"]) == 1
    assert not (tmp_path / "heron").exists()
