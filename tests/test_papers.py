"""What the contributor guide says of the project is so: its example of a block works, its lists are whole."""

from __future__ import annotations

import csv
import json
import re
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from pypdf import PdfReader

import blocks.known
from output.command import main
from sampled import SAMPLES

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SLIP = """block = "slip"
name = "Plain slip"
unit = "cm"
[slip]
length = 45
"""


def section(title: str) -> str:
    return re.split(r"(?m)^## ", GUIDE.split(f"## {title}\n")[1])[0]


@pytest.fixture(name="slip")
def _slip(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A design of the block that the guide gives as an example."""
    [code] = re.findall(r"```python\n(.*?)```", section("To add a block"), re.S)
    example: Any = ModuleType("blocks.slip")
    monkeypatch.setitem(sys.modules, example.__name__, example)
    exec(compile(code, "DEVELOPERS.md", "exec"), example.__dict__)
    monkeypatch.setattr(blocks.known, "BLOCKS", (*blocks.known.BLOCKS, "slip"))
    path = tmp_path / "slip.toml"
    path.write_text(SLIP)
    return path


def test_the_example_of_a_block_is_drafted_and_printed(slip: Path, tmp_path: Path) -> None:
    words = ["--waist", "76", "--hip", "102", "--waist-to-hip", "20", "--svg", "--dxf", "--out", str(tmp_path / "out")]
    assert main(["draft", str(slip), *words]) == 0
    text = PdfReader(tmp_path / "out" / "plain-slip-H102-A4.pdf").pages[0].extract_text()
    assert "Plain slip" in text
    [piece] = json.loads((tmp_path / "out" / "pieces.json").read_text())["pieces"]
    xs, ys = ([point[axis] for point in piece["cut_line"]] for axis in (0, 1))
    assert max(xs) - min(xs) == pytest.approx(1020 * 1.3 + 2 * 12)
    assert max(ys) - min(ys) == pytest.approx(450 + 16 + 30 + 8)  # hem, then the channel and what is turned under


def test_the_example_of_a_block_is_graded_and_laid(slip: Path, tmp_path: Path) -> None:
    sizes = str(SAMPLES / "sizes.csv")
    wide, out = ["--cloth", "240", "--workers", "1"], str(tmp_path / "out")
    assert main(["range", str(slip), sizes, *wide, "--page", "A0", "--out", out]) == 0
    with (tmp_path / "out" / "grade.csv").open() as file:
        moves = [row for row in csv.DictReader(file) if row["size"] == "H104"]
    assert [float(move["dx_cm"]) for move in moves] == [pytest.approx(4 * 1.3)]
    assert (
        main(["lay", str(slip), sizes, "--only", "H100", "--cloth", "160", "--seconds", "1", "--out", out + "2"]) == 0
    )


def test_the_example_of_a_block_has_a_guide_without_steps(slip: Path, tmp_path: Path) -> None:
    sizes = str(SAMPLES / "sizes.csv")
    assert main(["guide", str(slip), sizes, "--cloth", "240", "--out", str(tmp_path / "out")]) == 0
    [guide] = (tmp_path / "out").glob("*.pdf")
    text = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(guide).pages)
    assert "Finished measures size hem length" in text
    assert "slip in one piece" in text
    for phrase in ("is split at the side", "How to read the diagrams", "rise"):
        assert phrase not in text


def test_a_block_that_splits_nothing_is_refused_on_narrow_cloth(
    slip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--waist", "76", "--hip", "102", "--waist-to-hip", "20", "--cloth", "120", "--out", str(tmp_path / "out")]
    assert main(["draft", str(slip), *words]) == 2
    assert "too wide for 120 cm cloth" in capsys.readouterr().err


def test_every_field_of_the_pieces_is_listed() -> None:
    schema = json.loads((ROOT / "output" / "formats" / "pieces.schema.json").read_text())
    parts = {
        "the file": schema,
        **{name: schema["$defs"][name] for name in ("piece", "edge", "casing_line", "notch", "mark")},
    }
    parts["grainline"] = schema["$defs"]["piece"]["properties"]["grainline"]
    parts["adjusted"] = schema["$defs"]["adjusted"]
    rows = [line.split("|")[1:3] for line in section("pieces.json").splitlines() if line.startswith("| ")][2:]
    listed = [re.findall(r"`(\w+)`", re.sub(r"\([^)]*\)", "", fields.split(": `id`")[0])) for _, fields in rows]
    named = [list(part["properties"]) for part in parts.values()]
    assert list(map(set, listed)) == list(map(set, named))


def test_every_module_that_is_named_is_there() -> None:
    """Dotted names are modules, or what is in them."""
    for path in set(re.findall(r"`((?:drafting|blocks|output|tests|samples)/[\w./]+)", GUIDE)):
        assert (ROOT / path).exists(), path
    for name in set(re.findall(r"\b((?:drafting|blocks|output)(?:\.\w+)+)", GUIDE)):
        module, _, last = name.rpartition(".")
        try:
            import_module(name)
        except ModuleNotFoundError:
            assert hasattr(import_module(module), last), name
