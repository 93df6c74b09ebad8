"""The finishes of a short's waist through the command line: every file tells of the finish that the design has."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from ezdxf import readfile
from pypdf import PdfReader

from output.command import main
from quick import quick
from sampled import DESIGN, MEASUREMENTS, SAMPLES

OWN = {"faced": ["waist facing"], "cut-on": [], "fold-over": [], "waistband": ["waistband"]}
"""The pieces beside the leg. A cut-on casing is called fold-over, too."""


def a_design(folder: Path, finish: str, more: str = "") -> str:
    path = folder / "design.toml"
    sample = DESIGN.read_text(encoding="utf-8")
    told = re.sub(r"^\[waist\]$", f'{more}\n[waist]\nfinish = "{finish}"', sample, flags=re.MULTILINE)
    path.write_text(told, encoding="utf-8")
    return str(path)


def text_of(path: Path) -> str:
    return " ".join(page.extract_text() for page in PdfReader(path).pages)


@pytest.mark.parametrize("finish", OWN)
def test_a_draft_has_the_pieces_of_its_finish(tmp_path, capsys, finish):
    design = a_design(tmp_path, finish, "[drawcord]\nwidth = 5\n")
    out = tmp_path / "out"
    assert main(["draft", design, str(MEASUREMENTS), "--rise", "high", "--page", "A4", "--out", str(out)]) == 0
    told = capsys.readouterr().out
    pieces = json.loads((out / "pieces.json").read_bytes())["pieces"]
    assert [piece["name"] for piece in pieces] == ["leg", *OWN[finish]]
    assert [mark["kind"] for piece in pieces for mark in piece.get("marks", [])] == ["buttonhole"]
    assert "drawcord" in told
    printed = text_of(next(out.glob("*.pdf"))).lower()
    for text in (told.lower(), printed):
        assert ("facing" in text.replace("interfacing", "")) is (finish == "faced")
        assert ("waistband" in text) is (finish == "waistband")
    assert "buttonhole" in printed
    assert ("folded down inside" in printed) is (finish in ("cut-on", "fold-over"))


@pytest.mark.parametrize("finish", quick(OWN, lambda finish: finish == "cut-on"))
def test_a_release_tells_of_its_finish_alone(tmp_path, capsys, finish):
    sizes = tmp_path / "sizes.csv"
    rows = (SAMPLES / "sizes.csv").read_text(encoding="utf-8").splitlines()
    sizes.write_text("\n".join([rows[0], *(row for row in rows if row.startswith(("H100,", "H104,")))]) + "\n")
    out, options = tmp_path / "out", ("--rise", "high", "--page", "A4", "--seconds", "1")
    assert main(["publish", a_design(tmp_path, finish), str(sizes), "--out", str(out), *options]) == 0
    capsys.readouterr()
    for path in out.iterdir():
        text = text_of(path) if path.suffix == ".pdf" else path.read_text(encoding="utf-8", errors="replace")
        assert (re.search(r"\bfacing\b", text, re.IGNORECASE) is not None) <= (finish == "faced"), path.name
        assert ("waistband" in text.lower()) <= (finish == "waistband"), path.name
    blocks = {block.name for block in readfile(next(out.glob("*.dxf"))).blocks}
    assert any("waistband" in name.lower() for name in blocks) is (finish == "waistband")


@pytest.mark.parametrize("finish", ["cut-on", "waistband"])
@pytest.mark.parametrize("lay", ["open", "folded"])
def test_a_finish_can_be_laid(tmp_path, capsys, finish, lay):
    grain = "[waistband]\ngrain = 'along'\n" if lay == "open" else ""
    options = ("--cloth", "150", "--lay", lay, "--only", "H84,H104", "--rise", "mid", "--seconds", "1")
    design = a_design(tmp_path, finish, grain)
    assert main(["lay", design, str(SAMPLES / "sizes.csv"), "--out", str(tmp_path / "out"), *options]) == 0
    assert not capsys.readouterr().err


def test_a_finish_that_is_none_is_refused_by_name(tmp_path, capsys):
    design = a_design(tmp_path, "ribbed")
    assert main(["draft", design, str(MEASUREMENTS), "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert 'waist.finish: "ribbed" is unknown; it may be "faced", "cut-on", "waistband"' in " ".join(told.split())
