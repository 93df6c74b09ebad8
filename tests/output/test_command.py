from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

import output.commands.draft
from blocks.measurements import RANGES, labelled_body
from output.command import MEASUREMENTS as MEASURED
from output.command import main
from output.guide.words import COMMON
from sampled import DESIGN, MEASUREMENTS

ROOT = Path(__file__).parent.parent.parent
SCRIPT = "import sys; from output.command import main; sys.exit(main(sys.argv[1:]))"
OPTIONS = ["--waist", "76", "--hip", "102", "--body-rise", "27", "--waist-to-hip", "20.5"]


def in_process(*arguments: object, env: dict[str, str] | None = None, **pipes: Any) -> subprocess.CompletedProcess[str]:
    """Run the program in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", SCRIPT, *map(str, arguments)],
        env={**os.environ, "PYTHONPATH": str(ROOT), **(env or {})},
        text=True,
        check=False,
        **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **pipes},
    )


@pytest.fixture
def draft(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[str, dict[str, bytes]]]:
    """Draft the Heron and return what was printed and what was written."""

    def run(*options: str, measured: list[str] | None = None, folder: str = "heron") -> tuple[str, dict[str, bytes]]:
        out = tmp_path / folder
        body = [str(MEASUREMENTS)] if measured is None else measured
        assert main(["draft", str(DESIGN), *body, "--out", str(out), *options]) == 0
        told = capsys.readouterr()
        assert told.err == ""
        return told.out, {path.name: path.read_bytes() for path in out.iterdir()}

    return run


Draft = Callable[..., tuple[str, dict[str, bytes]]]


def test_a_draft_is_written_and_summed_up(draft: Draft, tmp_path: Path) -> None:
    told, files = draft()
    assert sorted(files) == ["heron-shorts-H102-high-A4.pdf", "pieces.json"]
    pages = len(PdfReader(tmp_path / "heron" / "heron-shorts-H102-high-A4.pdf").pages)
    assert told.startswith("Heron shorts, Reedbank Workroom: size H102, high rise\n")
    assert f"  heron-shorts-H102-high-A4.pdf, {pages} pages\n" in told
    assert json.loads(files["pieces.json"])["pieces"][0]["size"] == "H102"


def test_json_is_all_that_is_printed(draft: Draft, tmp_path: Path) -> None:
    told, files = draft("--json", "--rise", "mid", "--page", "Letter", "--page", "a4", "--page", "A4")
    summary = json.loads(told)
    assert summary["rise"] == "mid"
    assert {made["name"] for made in summary["files"]} == set(files)
    assert sorted(files) == ["heron-shorts-H102-mid-A4.pdf", "heron-shorts-H102-mid-Letter.pdf", "pieces.json"]
    for made in summary["files"]:
        if made["pages"]:
            assert len(PdfReader(tmp_path / "heron" / made["name"]).pages) == made["pages"]


def test_the_same_input_gives_the_same_bytes(draft: Draft) -> None:
    assert draft(folder="one")[1] == draft(folder="two")[1]


def test_options_and_file_give_the_same_files(draft: Draft) -> None:
    from_file = draft(folder="one")[1]
    assert draft(measured=OPTIONS, folder="two")[1] == from_file
    inches = [option if option.startswith("-") else str(float(option) / 2.54) for option in OPTIONS]
    assert set(draft("--unit", "in", measured=inches, folder="three")[1]) == set(from_file)


def test_optional_measurements_are_used(draft: Draft) -> None:
    told, _ = draft("--json", "--thigh", "63", "--high-hip", "95", "--height", "168", measured=OPTIONS)
    body = json.loads(told)["body"]
    assert body["thigh_girth"] == {"value": 630, "estimated": False}
    assert [name for name, entry in body.items() if entry["estimated"]] == ["crotch_length"]


def test_a_size_label_names_the_files(draft: Draft) -> None:
    told, files = draft("--size", "12 / 14")
    assert "heron-shorts-12-14-high-A4.pdf" in files
    assert "size 12 / 14" in told


def test_pieces_are_written_for_other_programs_when_asked_for(draft: Draft) -> None:
    told, files = draft("--svg", "--dxf", folder="vectors")
    vectors = {name for name in files if name.endswith((".svg", ".dxf"))}
    stem = "heron-shorts-H102-high"
    assert vectors == {f"{stem}-leg.svg", f"{stem}-waist-facing.svg", f"{stem}.dxf"}
    assert all(name in told for name in vectors)
    assert {name: data for name, data in files.items() if name not in vectors} == draft(folder="plain")[1]


def test_an_unusual_measurement_is_a_warning(draft: Draft) -> None:
    told, _ = draft(measured=[*OPTIONS, "--height", "141"])
    assert "Warning: height: 141 cm is unusual" in told


def test_help_and_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    assert "draft one size" in capsys.readouterr().out
    assert main(["draft", "--help"]) == 0
    assert "--waist-to-hip LENGTH" in capsys.readouterr().out
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("shirrline ")


def test_help_loads_nothing_slow() -> None:
    """Start-up is kept short by what is not imported; only argparse and what Python itself has loaded may be there."""
    script = (
        "import sys; there = set(sys.modules); from output.command import main; main(['draft', '--help']); "
        "print(*set(sys.modules) - there, file=sys.stderr)"
    )
    run = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = set(run.stderr.split())
    assert "argparse" in loaded
    slow = {"numpy", "shapely", "reportlab", "tqdm", "dataclasses", "inspect", "typing", "pathlib", "json", "tomllib"}
    ours = {name for name in loaded if name.split(".")[0] in {"drafting", "blocks", "output"}}
    assert loaded & slow == set()
    rooms = {"output.system", "output.system.interrupts", "output.system.streams"}
    assert ours == {"output", "output.command", *rooms}


def test_every_measurement_has_its_option_and_its_words_in_the_guide() -> None:
    options = {about["type"]("")[0]: about["help"] for _, about in MEASURED}
    assert list(options.items()) == [(name, about.meaning) for name, about in RANGES.items()]
    for name in RANGES:
        assert COMMON.say(f"measure.{name}").lower().replace("-", "_").replace(" ", "_") == name
        assert f"measure.{name}.how" in COMMON.words


def test_the_sample_shows_every_measurement_and_they_are_of_one_body() -> None:
    written = re.sub(r"^# (?=\w+ += |\[)", "", MEASUREMENTS.read_text(), flags=re.MULTILINE)
    _, body = labelled_body(tomllib.loads(written))
    assert len(body.fitting.found) == 2
    assert body.estimated == ()
    assert body.names == tuple(RANGES)
    assert body.warnings == ()


@pytest.mark.parametrize("arguments", [[], ["draft"], ["sew"], ["draft", "a.toml", "--out"]])
def test_mistyped_commands_are_refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("shirrline: ")
    assert told.err.count("\n") == 1
    assert "--help" in told.err


def failing(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def fail(*given: object, **options: object) -> None:
        raise error

    monkeypatch.setattr(output.commands.draft, "draft_to_fit", fail)


def test_a_leg_wider_than_the_cloth_is_split(tmp_path, capsys):
    body = ["--waist", "120", "--hip", "150", "--body-rise", "33", "--waist-to-hip", "24"]
    for cloth, pieces in (("140", {"leg front", "leg back"}), ("160", {"leg"})):
        assert main(["draft", str(DESIGN), *body, "--cloth", cloth, "--out", str(tmp_path / cloth)]) == 0
        cut = json.loads((tmp_path / cloth / "pieces.json").read_text())["pieces"]
        assert pieces <= {piece["name"] for piece in cut}
        assert f"2 × {min(pieces)}" in capsys.readouterr().out
    assert main(["draft", str(DESIGN), *body, "--cloth", "70", "--lay", "folded", "--out", str(tmp_path / "no")]) == 2
    assert "too wide for 70 cm cloth, folded" in capsys.readouterr().err
    assert not (tmp_path / "no").exists()


def test_a_fault_of_ours_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    failing(monkeypatch, RuntimeError("one\ntwo"))
    assert main(["draft", str(DESIGN), str(MEASUREMENTS), "--out", str(tmp_path / "heron")]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("shirrline: internal error: RuntimeError: one two; please report it")
    assert told.err.count("\n") == 1
    assert not (tmp_path / "heron").exists()


def test_an_interrupt_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    failing(monkeypatch, KeyboardInterrupt())
    assert main(["draft", str(DESIGN), str(MEASUREMENTS), "--out", str(tmp_path / "heron")]) == 130
    assert capsys.readouterr().err == "shirrline: interrupted\n"
    assert not (tmp_path / "heron").exists()


def test_a_reader_that_leaves_is_no_failure(tmp_path: Path) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    run = in_process("draft", DESIGN, MEASUREMENTS, "--out", tmp_path / "heron", stdout=writer)
    os.close(writer)
    assert (run.returncode, run.stderr) == (0, "")
    assert len(list((tmp_path / "heron").iterdir())) == 2


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_summary_that_cannot_be_printed_is_told(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        run = in_process("draft", DESIGN, MEASUREMENTS, "--out", tmp_path / "heron", stdout=full)
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "standard output: cannot be written: No space left on device" in run.stderr


def test_names_that_the_terminal_cannot_show_are_spelled_out(tmp_path: Path) -> None:
    design = tmp_path / "design.toml"
    design.write_text(DESIGN.read_text().replace("Heron shorts", "Hérisson"), encoding="utf-8")
    ascii_only = {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    run = in_process("draft", design, MEASUREMENTS, "--out", tmp_path / "out", env=ascii_only)
    assert (run.returncode, run.stderr) == (0, "")
    assert run.stdout.startswith("H\\xe9risson, Reedbank Workroom")
    assert (tmp_path / "out" / "hérisson-H102-high-A4.pdf").exists()


def test_progress_stays_off_standard_output(tmp_path: Path) -> None:
    leader, terminal = pty.openpty()
    run = in_process("draft", DESIGN, MEASUREMENTS, "--out", tmp_path / "heron", "--json", stderr=terminal)
    os.close(terminal)
    os.close(leader)
    assert run.returncode == 0
    assert json.loads(run.stdout)["size"] == "H102"


def test_a_draft_is_written_over_none_of_another_name(draft: Draft, capsys: pytest.CaptureFixture[str]) -> None:
    """36/38 and 36-38 come to one file; the same size again is written over itself."""
    _, first = draft("--size", "36/38")
    _, again = draft("--size", "36/38")
    assert first == again
    with pytest.raises(AssertionError):
        draft("--size", "36-38")
    told = capsys.readouterr().err
    assert "Size 36/38" in told
    assert "Size 36-38" in told
    assert "another folder" in told
    _, kept = draft("--size", "36/38", "--rise", "mid")
    assert all(kept[name] == data for name, data in first.items() if name.endswith(".pdf"))
