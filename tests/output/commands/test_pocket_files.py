"""Pockets and the hanging loop through the command line: every file has them, and tells where they are left out."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from ezdxf import readfile
from pypdf import PdfReader

from output.command import main
from sampled import DESIGN, MEASUREMENTS, SAMPLES

PATCH = 'kind = "patch"\n'
LOOP = '[loop]\nkind = "folded"\n'


def a_design(folder: Path, pocket: str) -> str:
    path = folder / "design.toml"
    sample = DESIGN.read_text(encoding="utf-8")
    path.write_text(sample.replace("[waist]\n", f"[pocket]\n{pocket}\n{LOOP}\n[waist]\n", 1), encoding="utf-8")
    return str(path)


def text_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


@pytest.mark.parametrize(
    "pocket", ['kind = "patch"\ncorner = "round"', 'kind = "patch"\nplace = "back"\nlegs = "left"']
)
def test_every_file_of_a_draft_has_the_pocket_and_its_place(tmp_path, capsys, pocket):
    out = tmp_path / "out"
    options = ("--page", "A4", "--projection", "light", "--svg", "--dxf", "--out", str(out))
    assert main(["draft", a_design(tmp_path, pocket), str(MEASUREMENTS), *options]) == 0
    assert "patch pocket" in capsys.readouterr().out
    pieces = {piece["name"]: piece for piece in json.loads((out / "pieces.json").read_bytes())["pieces"]}
    assert list(pieces)[1:] == ["leg", "patch pocket", "waist facing"]
    (place,) = pieces["leg"]["marks"]
    assert (place["name"], place["kind"], len(place["points"])) == ("patch pocket", "place", 4)
    assert place["line"][0] == place["line"][-1]
    assert [mark["name"] for mark in pieces["waist facing"]["marks"]] == ["loop"]
    for path in out.glob("*.pdf"):
        printed = text_of(path)
        assert "Patch pocket" in printed
        assert "Hanging loop" in printed
        assert ("left leg only" in printed) is ("left" in pocket)
    (tiled,) = out.glob("*A4.pdf")
    assert main(["inspect", str(tiled)]) == 0
    assert "Cross: mark it through" in text_of(tiled)
    svg = next(out.glob("*-leg.svg")).read_text(encoding="utf-8")
    assert {'class="place"', 'class="cross"'} <= set(re.findall(r'class="\w+"', svg))
    drawing = readfile(next(out.glob("*.dxf")))
    blocks = {block.name: block for block in drawing.blocks if not block.is_any_layout}
    holes = {name: len(block.query('POINT[layer=="13"]')) for name, block in blocks.items()}
    assert {name.split("-H102")[0]: count for name, count in holes.items() if count} == {"LEG": 4}


def test_a_pocket_in_the_side_seam_is_drafted_with_it_and_said_to_be_left_out_without(tmp_path, capsys):
    design = a_design(tmp_path, 'kind = "in-seam"')
    for fit, bags in (("whole", 0), ("split", 2)):
        out = tmp_path / fit
        assert main(["draft", design, str(MEASUREMENTS), "--fit", fit, "--out", str(out)]) == 0
        told = " ".join(capsys.readouterr().out.split())
        assert ("Warning: the pocket is left out" in told) is (fit == "whole")
        names = [piece["name"] for piece in json.loads((out / "pieces.json").read_bytes())["pieces"]]
        assert sum(name.startswith("pocket bag") for name in names) == bags
        printed = text_of(next(out.glob("*.pdf")))
        assert ("the pocket is left out" in printed) is (fit == "whole")
        assert ("Pocket bag, front" in printed) is (fit == "split")


def test_a_range_and_its_guide_say_which_sizes_have_the_pocket(tmp_path, capsys):
    sizes, design = tmp_path / "sizes.csv", a_design(tmp_path, 'kind = "in-seam"')
    rows = (SAMPLES / "sizes.csv").read_text(encoding="utf-8").splitlines()
    sizes.write_text("\n".join([rows[0], *(row for row in rows if row.startswith(("H128,", "H134,")))]) + "\n")
    options = ("--rise", "high", "--cloth", "140")
    assert main(["range", design, str(sizes), *options, "--out", str(tmp_path / "range")]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "H128 alone, high rise: the pocket is left out" in told
    assert main(["guide", design, str(sizes), *options, "--out", str(tmp_path / "guide")]) == 0
    guide = text_of(next((tmp_path / "guide").glob("*.pdf")))
    assert "Only for size H134, whose leg is split: a leg in one piece has no pocket." in guide


def test_a_pocket_that_a_casing_runs_through_is_refused_on_one_line(tmp_path, capsys):
    design = a_design(tmp_path, 'kind = "patch"\ntop = 110')
    assert main(["draft", design, str(MEASUREMENTS), "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert re.fullmatch(
        r"shirrline: pocket\.top: at 110 mm .* runs into casing 'lower'; free on this body is .*\n", told
    )
    assert not (tmp_path / "out").exists()
