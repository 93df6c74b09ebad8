"""A whole release by one command, read back from its folder."""

from __future__ import annotations

import json
import shutil
from hashlib import sha256
from pathlib import Path

import pytest
from pypdf import PdfReader

import output.commands.publish
from output.command import main
from sampled import DESIGN

TABLE = """size,unit,waist_girth,hip_girth,body_rise,waist_to_hip
H100,cm,74.0,100,27.0,20.3
H104,cm,78.0,104,27.3,20.5
"""


@pytest.fixture(scope="module")
def given(tmp_path_factory):
    folder = tmp_path_factory.mktemp("given")
    (folder / "design.toml").write_bytes(Path(DESIGN).read_bytes())
    (folder / "sizes.csv").write_text(TABLE)
    return folder


def publish(given: Path, out: Path, *options: str) -> int:
    paths = [str(given / "design.toml"), str(given / "sizes.csv")]
    return main(["publish", *paths, "--out", str(out), "--seconds", "1", "--rise", "high", "--workers", "1", *options])


@pytest.fixture(scope="module")
def release(given, tmp_path_factory):
    out = tmp_path_factory.mktemp("release")
    assert publish(given, out) == 0
    return out


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_release_holds_every_kind_of_file(release):
    names = set(contents(release))
    kinds = ("A4.pdf", "Letter.pdf", "A0.pdf", "roll-914.pdf", "projection-light.pdf", "pieces.json")
    assert {f"heron-shorts-high-whole-{kind}" for kind in kinds} <= names
    assert {"heron-shorts-high-whole.svg", "heron-shorts-high-whole.dxf"} <= names
    assert {"heron-shorts-guide-A4.pdf", "heron-shorts-guide-Letter.pdf", "heron-shorts-lay-plans-A4.pdf"} <= names
    assert {"tables.csv", "tables.json", "grade.csv", "cloth-requirement.csv", "notions.csv"} <= names


def test_the_manifest_names_every_file_with_its_digest(release):
    found = contents(release)
    manifest = json.loads(found.pop("manifest.json"))
    assert manifest["sizes"] == ["H100", "H104"]
    assert {file["name"]: file["sha256"] for file in manifest["files"]} == {
        name: sha256(data).hexdigest() for name, data in found.items()
    }
    assert all(file["bytes"] == len(found[file["name"]]) and file["about"] for file in manifest["files"])


def test_a_release_is_proved_against_its_manifest(release, tmp_path, capsys):
    assert main(["inspect", str(release)]) == 0
    assert capsys.readouterr().out.endswith("All is as it was published\n")
    less = tmp_path / "less"
    shutil.copytree(release, less)
    (less / "tables.csv").unlink()
    assert main(["inspect", str(less)]) == 2


def test_the_guide_tells_the_files_the_cloth_and_the_lays(release):
    text = " ".join(
        " ".join(page.extract_text().split()) for page in PdfReader(release / "heron-shorts-guide-A4.pdf").pages
    )
    assert "heron-shorts-high-whole-A4.pdf" in text.replace(" ", "") or "heron-shorts-high-whole-A4.pdf" in text
    assert "140 cm" in text
    assert "Size H104 · high rise" in text


def test_the_same_release_again_is_the_same_bytes(given, release, tmp_path):
    # The engine of the lays stops on the clock; their placements are kept beside the design and used again.
    assert (given / "design.lays.json").exists()
    assert publish(given, tmp_path, "--workers", "2") == 0
    assert contents(tmp_path) == contents(release)


def test_every_pattern_on_paper_is_safe_to_print(release, capsys):
    for path in sorted(release.glob("heron-shorts-high-whole-*.pdf")):
        assert main(["inspect", str(path)]) == (2 if "projection" in path.name else 0), path.name
    assert "it is made for a projector" in capsys.readouterr().err


@pytest.mark.parametrize("error", [KeyboardInterrupt(), RuntimeError("broken")])
def test_a_stopped_or_failed_run_leaves_the_earlier_release_untouched(given, release, monkeypatch, capsys, error):
    before = contents(release)

    def fail(*given: object, **options: object) -> None:
        raise error

    monkeypatch.setattr(output.commands.publish, "guide_pdf", fail)
    assert publish(given, release) in (1, 130)
    assert contents(release) == before
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_a_release_lacks_no_size(given, tmp_path, capsys):
    sizes = tmp_path / "sizes.csv"
    sizes.write_text(TABLE.replace("27.0,20.3", "18.5,16.0").replace("27.3,20.5", "18.6,16.0"))
    code = main(["publish", str(given / "design.toml"), str(sizes), "--out", str(tmp_path / "out")])
    assert code == 2
    lines = capsys.readouterr().err.splitlines()
    assert lines
    assert all("H100" in line or "H104" in line for line in lines)
    assert not (tmp_path / "out").exists()
