"""Whatever the user gets wrong: one line, exit 2, nothing half written, earlier files as they were."""

from __future__ import annotations

import os
import re
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import output.system.reading
from disks import small_disk
from output.command import main
from sampled import DESIGN, MEASUREMENTS, SAMPLES

ROOT = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def good_output(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("good") / "heron"
    assert main(["draft", str(DESIGN), str(MEASUREMENTS), "--out", str(folder)]) == 0
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def refused(tmp_path: Path, good_output: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Draft with edited samples and return the one line of complaint; the edits replace text of the two files."""

    def run(
        *options: str, design: dict[str, str] | None = None, body: dict[str, str] | None = None, with_file: bool = True
    ) -> str:
        paths = []
        for source, edits in ((DESIGN, design), (MEASUREMENTS, body)):
            text = source.read_text()
            for old, new in (edits or {}).items():
                assert text.count(old) == 1, old
                text = text.replace(old, new)
            paths.append(tmp_path / source.name)
            paths[-1].write_text(text)
        earlier, fresh = tmp_path / "earlier", tmp_path / "fresh"
        shutil.copytree(good_output, earlier, dirs_exist_ok=True)
        said = []
        for folder in (earlier, fresh):
            arguments = [str(path) for path in paths[: 2 if with_file else 1]]
            assert main(["draft", *arguments, "--out", str(folder), *options]) == 2
            told = capsys.readouterr()
            assert told.out == ""
            assert told.err.startswith("shirrline: ")
            assert told.err.count("\n") == 1
            said.append(told.err.removeprefix("shirrline: ").strip())
        assert contents(earlier) == contents(good_output)
        assert not fresh.exists()
        assert said[0] == said[1]
        return said[0]

    return run


Refused = Callable[..., str]


@pytest.mark.parametrize(
    ("edits", "tells"),
    [
        ({"hip_girth = 102": ""}, ["hip_girth: missing", "60 to 200 cm", "measure"]),
        ({"hip_girth = 102": "hip_girth = '102'"}, ['hip_girth: "102" is text', "60 to 200 cm", "without quotes"]),
        ({"hip_girth = 102": "hip_girth = true"}, ["hip_girth: true is not a number", "60 to 200 cm"]),
        ({"hip_girth = 102": "hip_girth = [102]"}, ["hip_girth: [102] is not a number", "60 to 200 cm"]),
        ({"hip_girth = 102": "hip_girth = nan"}, ["hip_girth: nan is not a finite number", "60 to 200 cm"]),
        ({"hip_girth = 102": "hip_girth = -inf"}, ["hip_girth: -inf is not a finite number", "60 to 200 cm"]),
        ({"hip_girth = 102": "hip_girth = 1979-05-27"}, ["hip_girth: 1979-05-27 is not a number", "60 to 200 cm"]),
        ({"hip_girth = 102": "hip_girth = -102"}, ["hip_girth: -102 cm is outside 60 to 200 cm", "measure again"]),
        ({"hip_girth = 102": "hip_girth = 1002"}, ["hip_girth: 1002 cm is outside 60 to 200 cm", 'unit to "mm"']),
        ({"hip_girth = 102": "hip_girth = 40.2"}, ["hip_girth: 40.2 cm", "60 to 200 cm", 'unit to "in"']),
        ({'unit = "cm"': 'unit = "in"'}, ["waist_girth: 76 in (193 cm)", "(45 to 190 cm)", 'set the unit to "cm"']),
        ({'unit = "cm"': 'unit = "mm"'}, ["waist_girth: 76 mm", "450 to 1900 mm", 'set the unit to "cm"']),
        ({'unit = "cm"': 'unit = "feet"'}, ['unit: "feet"', '"mm", "cm", "in"', "write the unit"]),
        ({'unit = "cm"': ""}, ["unit: missing", '"mm", "cm", "in"', "write the unit"]),
        ({'size = "H102"': "size = 102"}, ["size: 102", "1 to 20 characters", "in quotes"]),
        ({"hip_girth = 102": "hip_girt = 102"}, ["hip_girt: unknown key", "did you mean hip_girth?"]),
        ({"waist_to_hip = 20.5": "waist_to_hip = 29"}, ["waist_to_hip: 29 cm", "body_rise 27 cm", "less than 27 cm"]),
        ({"waist_girth = 76": "waist_girth = 150"}, ["waist_girth: 150 cm", "hip_girth 102 cm", "measure"]),
        ({"# thigh_girth = 61": "thigh_girth = 105"}, ["thigh_girth: 105 cm", "hip_girth 102 cm", "measure"]),
        ({"# crotch_length = 70": "crotch_length = 50"}, ["crotch_length: 50 cm", "body_rise 27 cm", "more than"]),
        ({"hip_girth = 102": "hip_girth = "}, ["measurements.toml: not TOML", "line 7", "mend"]),
        ({"hip_girth = 102": "waist_girth = 102"}, ["measurements.toml: not TOML", "line 7", "mend"]),
    ],
)
def test_measurements_in_a_file(refused: Refused, edits: dict[str, str], tells: list[str]) -> None:
    said = refused(body=edits)
    for part in tells:
        assert part in said


@pytest.mark.parametrize(
    ("options", "tells"),
    [
        ("", ["measurements: missing", "--waist, --hip, --body-rise and --waist-to-hip"]),
        ("--waist 76 --hip 102 --body-rise 27", ["waist_to_hip: missing", "4 to 35 cm", "measure"]),
        ("--waist 76 --hip 102cm --body-rise 27 --waist-to-hip 20.5", ['hip_girth: "102cm" is text', "60 to 200 cm"]),
        ("--waist 76 --hip 102 --body-rise 27 --waist-to-hip 20,5", ['waist_to_hip: "20,5"', "such as 20.5"]),
        (
            "--waist 76 --hip nan --body-rise 27 --waist-to-hip 20.5",
            ["hip_girth: nan is not a finite number", "60 to 200"],
        ),
        ("--waist 76 --hip -102 --body-rise 27 --waist-to-hip 20.5", ["hip_girth: -102 cm", "60 to 200 cm"]),
        ("--waist 30 --hip 40 --body-rise 10.6 --waist-to-hip 8", ["waist_girth: 30 cm", 'unit to "in"']),
        ("--waist 76 --hip 102 --body-rise 27 --waist-to-hip 20.5 --unit in", ["76 in", 'unit to "cm"']),
        ("--waist 76 --hip 102 --body-rise 27 --waist-to-hip 20.5 --unit mm", ["--unit", "'cm', 'in'", "--help"]),
        ("--waist 76 --hip 102 --body-rise 27 --waist-to-hip 20.5 --size ///", ['size: "///"', "1 to 20"]),
        ("--waist", ["--waist", "expected one argument", "--help"]),
        ("--waste 76", ["--waste", "--help"]),
    ],
)
def test_measurements_as_options(refused: Refused, options: str, tells: list[str]) -> None:
    said = refused(*options.split(), with_file=False)
    for part in tells:
        assert part in said


def test_a_file_and_options_together(refused: Refused) -> None:
    assert re.search(r"hip_girth given beside the file .*measurements\.toml; give one", refused("--hip", "102"))
    assert "--unit given beside" in refused("--unit", "cm")


@pytest.mark.parametrize(
    ("options", "tells"),
    [
        ("--rise low", ["rise: ", '"low"', "high, mid"]),
        ("--page A5", ["paper: 'A5'", "A4, Letter", "choose"]),
        ("--page A4 --page", ["--page", "expected one argument"]),
    ],
)
def test_other_options(refused: Refused, options: str, tells: list[str]) -> None:
    said = refused(*options.split())
    for part in tells:
        assert part in said


LOWER, THIGH, FRILL = "share = 0.36\nelastic_width = 10", "height = -80 ", "height = -110"


@pytest.mark.parametrize(
    ("edits", "tells"),
    [
        ({LOWER: "height = 150\nelastic_width = 10"}, ["upper", "lower", "mm"]),
        ({LOWER: "height = 10\nelastic_width = 10"}, ["'lower'", "crotch", "mm"]),
        ({LOWER: "height = 100\nelastic_width = 10\ndepth = 11"}, ["'lower'", "elastic", "mm"]),
        ({"share = 0.56": "height = 300"}, ["'upper'", "waist", "mm"]),
        ({"share = 0.56": "height = 272"}, ["'upper'", "waist", "mm"]),
        ({FRILL: "height = -120"}, ["'frill'", "hem", "mm"]),
        ({THIGH: "height = -130 "}, ["'thigh'", "hem", "mm"]),
        ({"share = 0.56": "height = 1900"}, ["casing 'upper'.height: 1900 mm", "-750 to 450 mm", "choose"]),
        ({"share = 0.56": "height = nan"}, ["casing 'upper'.height: nan is not a finite number", "-750 to 450 mm"]),
        ({"share = 0.56": ""}, ["casing 'upper': neither height nor share is given", "give one of them"]),
        ({'name = "thigh"': 'name = "lower"'}, ['casing 3: name: "lower" names two casings', "its own name"]),
        ({"fullness = 1.5": "fullness = 3"}, ["leg.fullness: 3", "1 to 2.2", "choose"]),
        ({"fullness = 1.5": "fulness = 1.5"}, ['leg: "fulness" is unknown', "did you mean fullness?"]),
        ({"[waist]": "[waste]"}, ['design: "waste" is unknown', "did you mean waist?"]),
        ({"inseam_length = 140": "inseam_length = 1100"}, ["leg.inseam_length: 1100 mm", "30 to 760 mm"]),
        ({'unit = "mm"': 'unit = "cm"'}, ["waist.elastic_width: 25 cm", "1 to 6 cm", 'set the unit to "mm"']),
        ({"reduction = 0.07": "reduction = 7"}, ["waist.reduction: 7", "0 to 0.25", "per cent, write 0.07"]),
        ({'name = "Heron shorts"': 'name = "鷺"'}, ["鷺", "font"]),
        ({'name = "Heron shorts"': 'name = "Heron'}, ["design.toml: not TOML", "line 6", "mend"]),
        ({'[[casing]]\nname = "upper"': '[casing]\nname = "upper"'}, ["design.toml: not TOML", "line 34"]),
    ],
)
def test_designs(refused: Refused, edits: dict[str, str], tells: list[str]) -> None:
    said = refused(design=edits)
    for part in tells:
        assert part in said


@pytest.fixture(name="small_disk")
def _small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 16 KiB."""
    with small_disk(tmp_path / "disk", "16k") as folder:
        yield folder


def complaint(folder: Path, capsys: pytest.CaptureFixture[str], *options: str) -> str:
    assert main(["draft", str(DESIGN), str(MEASUREMENTS), "--out", str(folder), *options]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    return told.err


def test_a_full_disk(small_disk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (small_disk / "pieces.json").write_bytes(b"earlier")
    said = complaint(small_disk, capsys)
    assert "No space left on device; free some space" in said
    assert contents(small_disk) == {"pieces.json": b"earlier"}


def test_a_limit_on_file_size(tmp_path: Path, good_output: Path) -> None:
    folder = tmp_path / "heron"
    shutil.copytree(good_output, folder)
    script = "import sys; from output.command import main; sys.exit(main(sys.argv[1:]))"
    run = subprocess.run(
        [sys.executable, "-c", script, "draft", DESIGN, MEASUREMENTS, "--out", folder, "--json"],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192)),
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (run.returncode, run.stdout) == (2, "")
    assert run.stderr.count("\n") == 1
    assert "File too large; free some space" in run.stderr
    assert contents(folder) == contents(good_output)


def test_a_folder_that_cannot_be_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_bytes(b"mine")
    for folder in (tmp_path / "file", tmp_path / "file" / "heron"):
        said = complaint(folder, capsys)
        assert said.startswith(f"shirrline: {folder}: cannot be written: ")
        assert "choose a folder" in said
    assert contents(tmp_path) == {"file": b"mine"}


def test_a_folder_whose_name_is_too_long(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = complaint(tmp_path / ("x" * 300), capsys)
    assert "File name too long; choose a folder" in said
    assert contents(tmp_path) == {}


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tmp_path.chmod(0o500)
    said = complaint(tmp_path / "heron", capsys)
    tmp_path.chmod(0o700)
    assert "Permission denied; choose a folder" in said


@pytest.mark.parametrize("which", [0, 1])
def test_a_file_that_cannot_be_read(which: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    latin = tmp_path / "latin.toml"
    latin.write_bytes('name = "café"'.encode("latin-1"))
    for path, tells in (
        (tmp_path / "none.toml", "No such file or directory"),
        (tmp_path, "Is a directory"),
        (latin, "line 1 is not UTF-8 text; save the file as UTF-8"),
    ):
        files = [str(DESIGN), str(MEASUREMENTS)]
        files[which] = str(path)
        assert main(["draft", *files, "--out", str(tmp_path / "heron")]) == 2
        told = capsys.readouterr()
        assert told.err.startswith(f"shirrline: {path}: ")
        assert tells in told.err
        assert told.err.count("\n") == 1
        assert not (tmp_path / "heron").exists()


def test_a_complaint_cannot_steer_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draft", "no\x1b[31m\nsuch.toml", str(MEASUREMENTS), "--out", str(tmp_path / "heron")]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "\x1b" not in told


SIZES, BOOK = str(SAMPLES / "sizes.csv"), str(SAMPLES / "orders.csv")
ON_CLOTH = ("--cloth", "140", "--lays")


@pytest.mark.parametrize("place", ["/dev/zero", "a pipe", "a folder"])
@pytest.mark.parametrize(
    "command",
    [
        ("draft", "HERE", str(MEASUREMENTS)),
        ("draft", str(DESIGN), "HERE"),
        ("range", "HERE", SIZES),
        ("range", str(DESIGN), "HERE"),
        ("guide", str(DESIGN), "HERE"),
        ("publish", str(DESIGN), "HERE"),
        ("publish", str(DESIGN), SIZES, "--lays", "HERE"),
        ("lay", str(DESIGN), "HERE", "--cloth", "140"),
        ("lay", str(DESIGN), SIZES, *ON_CLOTH, "HERE"),
        ("batch", "HERE", BOOK),
        ("batch", str(DESIGN), "HERE"),
        ("elastics", str(DESIGN), "HERE", "--waist-size", "H100", "--hip-size", "H104"),
        ("elastics", str(DESIGN), SIZES, "--measurements", "HERE"),
        ("inspect", "HERE"),
    ],
    ids=lambda command: f"{command[0]} {command.index('HERE')}",
)
def test_what_is_no_file_is_refused_by_every_command(
    command: tuple[str, ...],
    place: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if command[0] == "inspect" and place == "a folder":
        return  # a folder is a release
    monkeypatch.setattr(output.system.reading, "PATIENCE", 0.1)
    path = Path(place) if place.startswith("/") else tmp_path / "here"
    if place == "a pipe":
        os.mkfifo(path)
    elif place == "a folder":
        path.mkdir()
    named = [str(path) if word == "HERE" else word for word in command]
    out = () if command[0] in ("elastics", "inspect") else ("--out", str(tmp_path / "out"))
    assert main([*named, *out]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(f"shirrline: {path}: cannot be read: ")
    assert "; give a" in told.err
    assert told.err.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("option", ["--cloth", "--selvedge", "--roll", "--workers"])
@pytest.mark.parametrize(
    "value", ["", " ", "nan", "1e999", "9" * 5000, "1_400", "140,5", "140 cm", "½", "0x90", "-140", "\udcff", "inf"]
)
def test_an_odd_number_on_the_command_line_is_refused_by_its_option(
    option: str, value: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["range", str(DESIGN), SIZES, f"{option}={value}", "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(f"shirrline: {option.removeprefix('--')}: ")
    assert told.err.count("\n") == 1
    assert len(told.err) < 250
    assert not (tmp_path / "out").exists()
