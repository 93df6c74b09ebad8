"""The release of a skirt, every file read back: no file is the short's alone."""

from __future__ import annotations

import contextlib
import io
import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from pypdf import PdfReader

import output
from blocks.read_design import design_from
from output.command import main
from output.system.reading import read_toml
from quick import quick
from released import table
from sampled import SAMPLES

DESIGN = SAMPLES / "skirt.toml"
SIZES = """size,unit,waist_girth,hip_girth,waist_to_hip
S,cm,58.6,84,20.1
M,cm,74,100,20.5
L,cm,97,122,21
"""
OTHER = """
block = "skirt"
name = "Dipper skirt"
unit = "cm"

[waist]
finish = "faced"

[ruffle]
depth = 9
strips = 2

[[casing]]
name = "waist"
height = -25
"""
LEG = re.compile(r"\b(legs?|crotch|inseams?|shorts|body rise|(high|mid) rise)\b", re.IGNORECASE)


def said(*arguments: str) -> str:
    """What a command prints; it must succeed."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(list(arguments)) == 0
    return out.getvalue()


@pytest.fixture(scope="module")
def given(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("given")
    (folder / "skirt.toml").write_bytes(DESIGN.read_bytes())
    (folder / "dipper.toml").write_text(OTHER)
    (folder / "sizes.csv").write_text(SIZES)
    return folder


def publish(given: Path, design: str, out: Path) -> str:
    options = ("--seconds", "1", "--workers", "1", "--out", str(out))
    return said("publish", str(given / design), str(given / "sizes.csv"), *options)


@pytest.fixture(scope="module")
def release(given, tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp("release")
    publish(given, "skirt.toml", out)
    return out


@pytest.fixture(scope="module")
def dipper(given, tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp("dipper")
    publish(given, "dipper.toml", out)
    return out


def text(path: Path) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


def test_a_release_of_a_skirt_holds_every_kind_of_file(release):
    names = {path.name for path in release.iterdir()}
    kinds = (
        "-A4.pdf",
        "-Letter.pdf",
        "-A0.pdf",
        "-roll-914.pdf",
        "-projection-light.pdf",
        "-pieces.json",
        ".svg",
        ".dxf",
    )
    for group in ("whole", "split"):
        assert {f"wagtail-tiered-skirt-{group}{kind}" for kind in kinds} <= names
    assert {"wagtail-tiered-skirt-guide-A4.pdf", "wagtail-tiered-skirt-lay-plans-A4.pdf", "tables.csv"} <= names
    assert {"grade.csv", "notions.csv", "cloth-requirement.csv", "manifest.json"} <= names
    assert json.loads((release / "manifest.json").read_bytes())["sizes"] == ["S", "M", "L"]


@pytest.mark.parametrize("which", quick(["release", "dipper"], lambda which: which == "release"))
def test_a_release_of_a_skirt_is_proved(which, request, capsys):
    folder = request.getfixturevalue(which)
    assert main(["inspect", str(folder)]) == 0
    for path in sorted(folder.glob("*.pdf")):
        if "guide" not in path.name and "lay-plans" not in path.name:
            assert main(["inspect", str(path)]) == (2 if "projection" in path.name else 0), path.name
    capsys.readouterr()


@pytest.mark.parametrize("which", quick(["release", "dipper"], lambda which: which == "release"))
def test_the_pieces_are_those_of_the_format(which, request):
    folder = request.getfixturevalue(which)
    schema = json.loads((Path(output.__file__).parent / "formats" / "pieces.schema.json").read_bytes())
    for path in sorted(folder.glob("*-pieces.json")):
        pattern = json.loads(path.read_bytes())
        Draft202012Validator(schema).validate(pattern)
        count = 2 if "split" in path.name else 1
        for piece in pattern["pieces"]:
            assert piece["cut_count"] == count * (2 if piece["name"] == "ruffle" else 1)


@pytest.mark.parametrize("which", quick(["release", "dipper"], lambda which: which == "release"))
def test_no_file_tells_of_a_leg(which, request):
    folder = request.getfixturevalue(which)
    for path in sorted(folder.glob("*.pdf")):
        found = LEG.search(text(path).replace("swollen legs", ""))  # a caution
        assert not found, (path.name, found)


@pytest.mark.slow
def test_the_guide_tells_how_this_skirt_is_sewn(release, dipper):
    folded, faced = (text(next(folder.glob("*-guide-A4.pdf"))) for folder in (release, dipper))
    for title in (
        "Join front and back at one side",
        "Stitch the casings",
        "Fold the waist down",
        "Roll the hem",
        "Finish",
    ):
        assert title in folded
    for title in ("Sew on the facing", "Make the ruffle", "Gather the ruffle on"):
        assert title in faced
        assert title not in folded
    for caution in ("Work safely", "hinder circulation", "local rules"):
        assert caution in folded


def test_the_tables_tell_lengths_by_hand(release):
    # By hand, for a hip girth of 100 cm: (100 + 4) x 1.5 round, 60 cm long; the lowest casing lies 21.5 cm below the
    # hips: 100 x 1.03 + 0.4 x 21.5, and 2 x 1.2 in the seam.
    rows = {(row["table"], row["size"], row["item"], row["measure"]): row for row in table(release / "tables.csv")}
    assert float(rows["finished measures", "M", "width", ""]["cm"]) == pytest.approx(156)
    assert float(rows["finished measures", "M", "length", ""]["cm"]) == pytest.approx(60)
    assert float(rows["elastics", "M", "lower", "cut length"]["cm"]) == pytest.approx(103 + 8.6 + 2.4)
    assert [rows["splitting", size, "skirt", ""]["text"] for size in "SML"] == ["whole", "split", "split"]
    assert all(row["rise"] == "" for row in rows.values())


def test_elastics_are_those_of_the_tables(given, release):
    paths = (str(given / "skirt.toml"), str(given / "sizes.csv"))
    told = json.loads(said("elastics", *paths, "--waist-size", "M", "--hip-size", "L", "--json"))
    rows = {(row["table"], row["size"], row["item"], row["measure"]): row for row in table(release / "tables.csv")}
    for strip in told["elastics"]:
        name = strip["name"]
        row = rows.get(("blended elastics", "M on L", name, "cut length")) or rows["elastics", "L", name, "cut length"]
        assert float(row["cm"]) == pytest.approx(strip["cut_length"] / 10, abs=0.005)
        assert int(row["count"]) == strip["quantity"] == 1


def test_the_same_release_again_is_the_same_bytes(given, release, tmp_path):
    publish(given, "skirt.toml", tmp_path)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {p.name: p.read_bytes() for p in release.iterdir()}


def test_a_skirt_of_one_wearer(tmp_path, capsys):
    body = ("--waist", "30", "--hip", "40", "--waist-to-hip", "8", "--unit", "in")
    assert main(["draft", str(DESIGN), *body, "--svg", "--dxf", "--out", str(tmp_path)]) == 0
    assert "width" in capsys.readouterr().out
    assert main(["draft", str(DESIGN), *body, "--rise", "high", "--out", str(tmp_path)]) == 2
    assert "a skirt has none: leave it out" in capsys.readouterr().err


def test_an_order_book_of_skirts(tmp_path, capsys):
    orders = tmp_path / "orders.csv"
    orders.write_text(
        "order,unit,waist_girth,hip_girth,waist_to_hip,page,cloth_width\n"
        "whole,cm,60,84,20,A4,140\nsplit,cm,76,102,20.5,Letter,140\nwide,cm,130,150,21,A4,100\n"
    )
    assert main(["batch", str(DESIGN), str(orders), "--out", str(tmp_path / "out")]) == 2
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"whole", "split", "failures.csv"}
    (failed,) = table(tmp_path / "out" / "failures.csv")
    assert failed["order"] == "wide"
    assert "use wider cloth" in failed["reason"]
    pieces = json.loads((tmp_path / "out" / "split" / "pieces.json").read_bytes())["pieces"]
    assert [piece["cut_count"] for piece in pieces] == [2]
    capsys.readouterr()


def test_lays_of_the_sample_are_kept(tmp_path, capsys):
    for path in ("skirt.toml", "skirt.lays.json", "sizes.csv"):
        (tmp_path / path).write_bytes((SAMPLES / path).read_bytes())
    before = (tmp_path / "skirt.lays.json").read_bytes()
    assert json.loads(before)["lays"]
    paths = (str(tmp_path / "skirt.toml"), str(tmp_path / "sizes.csv"))
    assert main(["lay", *paths, "--cloth", "140", "--out", str(tmp_path / "out")]) == 0
    assert (tmp_path / "skirt.lays.json").read_bytes() == before
    capsys.readouterr()


@pytest.mark.parametrize(
    ("table", "match"),
    [
        ('[panel]\nlength = 2000', r"panel.length: 2000 mm is outside 250 to 1200 mm"),
        ('[leg]\nfullness = 1.4', r'"leg" is no part of a skirt'),
        ('[waist]\nfinish = "band"', r'waist.finish: "band" is unknown; it may be "cut-on", "faced"'),
        ('[ruffle]\ndepth = 80\nstrips = 1.5', r"ruffle.strips: 1.5 is not a whole number"),
        ('[[casing]]\nname = "a"\nheight = 20', r"height: 20 mm is outside -1190 to -15 mm"),
    ],
)  # fmt: skip
def test_a_design_that_is_no_skirts_is_refused(tmp_path, capsys, table, match):
    path = tmp_path / "design.toml"
    path.write_text(f'block = "skirt"\nname = "S"\nunit = "mm"\n{table}\n')
    body = ("--waist", "76", "--hip", "102", "--waist-to-hip", "20")
    assert main(["draft", str(path), *body, "--out", str(tmp_path / "out")]) == 2
    assert re.search(match, capsys.readouterr().err)


def test_the_sample_design_is_read_whole():
    design = design_from(read_toml(DESIGN))
    assert design.block == "skirt"
    assert [casing.name for casing in design.casings] == ["upper", "middle", "lower"]
