"""The range and elastics commands: what is written, what is printed, and what is refused."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from pypdf import PdfReader

from blocks.measurements import RANGES, body_from
from blocks.read_design import design_from
from blocks.short import draft_short
from output.command import main
from output.system.reading import read_toml
from sampled import DESIGN

SIZES = DESIGN.parent / "sizes.csv"
MEASUREMENTS = DESIGN.parent / "measurements.toml"
HEADER = "size,unit,waist_girth,hip_girth,body_rise,waist_to_hip"

Run = Callable[..., tuple[int, str, str, dict[str, bytes]]]


def rows(count: int = 3, start: float = 100, step: float = 4) -> list[str]:
    hips = [start + step * number for number in range(count)]
    return [
        f"H{hip:g},cm,{0.75 * hip:.2f},{hip:g},{27 + (hip - 102) / 20:.2f},{20.5 + (hip - 102) / 40:.2f}"
        for hip in hips
    ]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command on a table; its exit code, what it printed, what it complained of, what the folder holds."""

    def runs(*options: str, table: list[str] | Path | None = None, folder: str = "out") -> tuple:
        sizes = table if isinstance(table, Path) else tmp_path / "sizes.csv"
        if not isinstance(table, Path):
            sizes.write_text("\n".join([HEADER, *(rows() if table is None else table)]) + "\n", encoding="utf-8")
        out = tmp_path / folder
        code = main(["range", str(DESIGN), str(sizes), "--out", str(out), "--workers", "1", *options])
        told = capsys.readouterr()
        return code, told.out, told.err, {p.name: p.read_bytes() for p in out.glob("*")} if out.exists() else {}

    return runs


def named(*labels: str) -> list[str]:
    """Rows of sizes with these labels."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(
        [label, *row.split(",")[1:]] for label, row in zip(labels, rows(len(labels), 90, 3), strict=True)
    )
    return text.getvalue().splitlines()


def layers_of(data: bytes) -> list[str]:
    groups = PdfReader(io.BytesIO(data)).root_object["/OCProperties"]["/OCGs"]
    return [str(group.get_object()["/Name"]) for group in groups]


def test_a_range_is_written_and_summed_up(run: Run) -> None:
    code, out, err, files = run()
    assert (code, err) == (0, "")
    assert set(files) == {
        "heron-shorts-high-whole-A4.pdf",
        "heron-shorts-high-whole-pieces.json",
        "heron-shorts-mid-whole-A4.pdf",
        "heron-shorts-mid-whole-pieces.json",
        "tables.csv",
        "tables.json",
        "grade.csv",
        "manifest.json",
    }
    assert out.startswith("Heron shorts, Reedbank Workroom: 3 sizes, H100 to H108, high and mid rise\n")
    assert "Legs: no size is split on 140 cm cloth, single layer" in out
    assert "shirrline elastics --help" in out
    assert len(out.splitlines()) <= 24
    assert all(len(line) <= 80 or line.startswith("Files in ") for line in out.splitlines())  # no path is broken
    for name, data in files.items():
        assert name in out
        if name.endswith(".pdf"):
            assert layers_of(data) == ["H100", "H104", "H108"]
            assert f"{name}, {len(PdfReader(io.BytesIO(data)).pages)} pages" in out
    pieces = json.loads(files["heron-shorts-mid-whole-pieces.json"])["pieces"]
    assert {(piece["size"], piece["rise"]) for piece in pieces} == {(size, "mid") for size in ("H100", "H104", "H108")}
    assert {row["size"] for row in csv.DictReader(io.StringIO(files["tables.csv"].decode()))} >= {"H100", "H108"}


@pytest.mark.slow
def test_the_whole_sample_range_is_the_same_whatever_the_workers(run: Run) -> None:
    one, two = (run("--workers", workers, table=SIZES, folder=workers) for workers in "12")
    assert one[3] == two[3]
    assert {name for name in one[3] if name.endswith(".pdf")} == {
        f"heron-shorts-{rise}-{group}-A4.pdf" for rise in ("high", "mid") for group in ("split", "whole")
    }
    assert layers_of(one[3]["heron-shorts-high-split-A4.pdf"]) == ["H134", "H140", "H146", "H152"]
    assert "H134 and up are split on 140 cm cloth, single layer" in one[1]


def test_the_same_input_gives_the_same_bytes(run: Run) -> None:
    assert run("--each", folder="a")[3] == run("--each", folder="b")[3]


def test_only_prints_just_those_sizes(run: Run) -> None:
    whole, some = run("--rise", "mid", folder="a"), run("--rise", "mid", "--only", "H108, H100", folder="b")
    assert some[0] == 0
    name = "heron-shorts-mid-whole-H100-H108-A4.pdf"
    assert {file for file in some[3] if file.startswith("heron")} == {name, name.replace("A4.pdf", "pieces.json")}
    assert layers_of(some[3][name]) == ["H100", "H108"]
    assert not any("H104" in page.extract_text() for page in PdfReader(io.BytesIO(some[3][name])).pages)
    for file in ("tables.csv", "tables.json", "grade.csv"):  # they speak of the range
        assert some[3][file] == whole[3][file]
    code, _, err, files = run("--only", "H100,H105", folder="c")
    assert code == 2
    assert err.startswith('shirrline: size: "H105" is not in the table')
    assert not files


def test_each_writes_every_size_alone_as_the_draft_command_does(run: Run, tmp_path: Path) -> None:
    _, _, _, files = run("--each", "--rise", "high")
    assert {f"heron-shorts-H{hip}-high-A4.pdf" for hip in (100, 104, 108)} < set(files)
    fields = dict(zip(HEADER.split(","), rows()[1].split(","), strict=True))
    measures = "\n".join(f"{name} = {fields[name]}" for name in RANGES if name in fields)
    (tmp_path / "body.toml").write_text(f'size = "H104"\nunit = "cm"\n{measures}\n')
    assert main(["draft", str(DESIGN), str(tmp_path / "body.toml"), "--out", str(tmp_path / "alone")]) == 0
    name = "heron-shorts-H104-high-A4.pdf"
    assert (tmp_path / "alone" / name).read_bytes() == files[name]


def test_json_is_all_that_is_printed(run: Run) -> None:
    code, out, err, files = run("--json", "--rise", "mid")
    report = json.loads(out)
    assert (code, err) == (0, "")
    assert report["sizes"] == ["H100", "H104", "H108"]
    assert report["failures"] == []
    assert {file["name"] for file in report["files"]} == set(files)


def test_a_size_that_cannot_be_drafted_is_left_out_and_told(run: Run) -> None:
    """The halves of the largest are too wide for the cloth."""
    code, out, err, files = run("--cloth", "65", "--rise", "high", table=rows(4, 96, 6))
    assert code == 2
    assert "Not drafted: H114, high rise: too wide for 65 cm cloth" in " ".join(out.split())
    assert err.startswith("shirrline: H114, high rise: too wide for 65 cm cloth")
    assert err.endswith("; the rest is written\n")
    assert layers_of(files["heron-shorts-high-split-A4.pdf"]) == ["H96", "H102", "H108"]
    rows_of_it = [line for line in files["tables.csv"].splitlines() if b"H114" in line]
    assert [row.split(b",")[:3] for row in rows_of_it] == [[b"failures", b"H114", b"high"]]
    for name in ("grade.csv", "heron-shorts-high-split-pieces.json"):
        assert b"H114" not in files[name]
    assert [failure["size"] for failure in json.loads(files["tables.json"])["failures"]] == ["H114"]
    assert "H114" not in json.loads(files["tables.json"])["body"]
    for page in PdfReader(io.BytesIO(files["heron-shorts-high-split-A4.pdf"])).pages:
        assert "H114" not in page.extract_text()


def test_strict_writes_nothing_then_and_leaves_an_earlier_range_alone(run: Run) -> None:
    before = run("--rise", "high", table=rows(4, 96, 6))[3]
    code, out, err, files = run("--cloth", "65", "--rise", "high", "--strict", table=rows(4, 96, 6))
    assert code == 2
    assert files == before
    assert err.endswith("; nothing is written\n")
    assert "Nothing was written" in out


def test_when_no_size_can_be_drafted_nothing_is_written(run: Run) -> None:
    code, out, err, files = run("--cloth", "60", "--rise", "high", table=rows(2, 140, 6))
    assert (code, out, files) == (2, "", {})
    assert "none of those to print could be drafted; H140, high rise: too wide" in err
    assert err.count("\n") == 1


@pytest.mark.parametrize("count", [1, 60])
def test_one_size_and_sixty(run: Run, count: int) -> None:
    code, out, err, files = run("--rise", "high", "--fit", "whole", table=rows(count, 84, 1.1))
    assert (code, err) == (0, "")
    assert len(out.splitlines()) <= 24
    assert len(layers_of(files["heron-shorts-high-whole-A4.pdf"])) == count


BAD = {
    "unknown column": ([HEADER + ",hip_girt", *(f"{row},1" for row in rows())], "hip_girt: unknown column; did you"),
    "missing column": ([HEADER.replace(",hip_girth", ""), "H100,cm,75,27,20.5"], "hip_girth: missing column"),
    "mixed units": ([HEADER, rows()[0], rows()[1].replace("cm", "in")], "unit: mixed, cm in H100, in in H104"),
    "out of order": ([HEADER, *reversed(rows())], "H104: out of order: its hip girth"),
    "no size": ([HEADER], "no sizes"),
    "twice": ([HEADER, rows()[0], rows()[1].replace("H104", "H100")], "two sizes have this label"),
    "not a number": ([HEADER, rows()[0].replace("75.00", "wide")], "H100: waist_girth"),
}


@pytest.mark.parametrize("fault", BAD)
def test_a_bad_table_is_refused_with_its_fault_and_nothing_is_written(
    fault: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines, told = BAD[fault]
    (tmp_path / "bad.csv").write_text("\n".join(lines) + "\n")
    code = main(["range", str(DESIGN), str(tmp_path / "bad.csv"), "--out", str(tmp_path / "out")])
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    assert told in err
    assert all(line.startswith("shirrline: ") for line in err.splitlines())
    assert not (tmp_path / "out").exists()


def test_several_faults_of_a_table_are_told_one_a_line(run: Run) -> None:
    broken = rows(4)
    broken[1], broken[3] = broken[1].replace("78.00", ""), broken[3].replace("112", "wide", 2)
    code, _, err, _ = run(table=broken)
    assert code == 2
    assert len(err.splitlines()) == 2
    assert "H104: waist_girth: blank" in err


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [
        ("--workers", "0", "workers: "),
        ("--workers", "two", "workers: "),
        ("--cloth", "wide", 'cloth: "wide" is text'),
        ("--cloth", "14", "cloth: 14 cm is outside 60 to 320 cm"),
        ("--selvedge", "9", "selvedge: 9 cm is outside"),
        ("--page", "A5", "paper: 'A5' is not known"),
        ("--fit", "tight", "argument --fit: invalid choice"),
        ("--only", "", "size: "),
    ],
)
def test_a_bad_option_is_one_line_and_writes_nothing(run: Run, option: str, value: str, told: str) -> None:
    code, out, err, files = run(option, value)
    assert (code, out, files) == (2, "", {})
    assert err.startswith(f"shirrline: {told}")
    assert err.count("\n") == 1


def test_what_fits_the_cloth_follows_from_its_options(run: Run) -> None:
    _, out, _, _ = run("--rise", "high", "--cloth", "110", "--selvedge", "2", folder="a")
    assert "Legs: H108 is split on 110 cm cloth, single layer" in out
    _, out, _, _ = run("--rise", "high", "--cloth", "150", "--lay", "folded", folder="b")
    assert "Legs: every size is split on 150 cm cloth, folded" in out


def elastics(capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, str, str]:
    code = main(["elastics", str(DESIGN), str(SIZES), *options])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_elastics_between_two_sizes(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = elastics(capsys, "--waist-size", "H100", "--hip-size", "H108")
    assert (code, err) == (0, "")
    assert out.startswith("Heron shorts: waist of H100 on the hips of H108, high rise\nCut the pattern of size H108\n")
    _, own, _ = elastics(capsys, "--waist-size", "H108", "--hip-size", "H108")
    mine, theirs = ({line.split()[0]: line for line in told.splitlines()} for told in (out, own))
    assert mine["frill"] == theirs["frill"]
    assert mine["lower"] != theirs["lower"]  # it lies above the hips
    assert mine["thigh"] == theirs["thigh"]
    assert mine["waist"] != theirs["waist"]
    assert "without pressing" in out


def test_elastics_as_json_with_a_level_of_ones_own(capsys: pytest.CaptureFixture[str]) -> None:
    options = ("--waist-size", "H100", "--hip-size", "H108", "--rise", "mid", "--above", "10", "--json")
    _, out, _ = elastics(capsys, *options)
    found = json.loads(out)
    assert (found["pattern_size"], found["waist_size"], found["rise"], found["level"]) == ("H108", "H100", "mid", 100)
    assert [one["name"] for one in found["elastics"]] == ["waist", "upper", "lower", "thigh", "frill"]


def test_elastics_for_a_wearers_own_measurements(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = elastics(capsys, "--measurements", str(MEASUREMENTS))
    assert (code, err) == (0, "")
    assert "Cut the pattern of size H104\nIts hip girth is 104.0 cm, the wearer's 102.0 cm\n" in out
    _, told, _ = elastics(capsys, "--measurements", str(MEASUREMENTS), "--hip-size", "H100", "--json")
    found = json.loads(told)
    assert (found["pattern_size"], found["waist_size"], found["level"]) == ("H100", "H102", None)
    # The reference is the draft of the wearer's own short: their own girths, but where the pattern's casings lie, which
    # grade with its rise.
    body = body_from({"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}, unit="cm")
    own = draft_short(design_from(read_toml(DESIGN)), body)
    lengths = [one["cut_length"] for one in found["elastics"]]
    assert lengths == pytest.approx([one.cut_length for one in own.elastics], abs=1)
    assert all(one["rounded"] % 5 == 0 and abs(one["rounded"] - one["cut_length"]) <= 2.5 for one in found["elastics"])


def test_two_sizes_and_own_measurements_are_told_alike(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The waist of one size on the hips of another, by its sizes and by a file with the same measurements."""
    rows = {row["size"]: row for row in csv.DictReader(SIZES.read_text().splitlines())}
    taken = {**rows["H108"], "waist_girth": rows["H100"]["waist_girth"]}
    own = tmp_path / "own.toml"
    own.write_text("\n".join(f"{name} = {value}" for name, value in taken.items() if name not in ("size", "unit")))
    own.write_text(f'unit = "{taken["unit"]}"\n{own.read_text()}\n')
    for rise in ("high", "mid"):
        _, one, _ = elastics(capsys, "--waist-size", "H100", "--hip-size", "H108", "--rise", rise, "--json")
        _, other, _ = elastics(capsys, "--measurements", str(own), "--hip-size", "H108", "--rise", rise, "--json")
        first, second = json.loads(one), json.loads(other)
        assert first["elastics"] == second["elastics"]
        assert first["to_buy"] == second["to_buy"]
        assert first["elastics"][0]["stretch_ratio"] > 1
    _, text, _ = elastics(capsys, "--waist-size", "H100", "--hip-size", "H108", "--rise", "mid")
    assert f"Stretch ratio: waist {first['elastics'][0]['stretch_ratio']:.2f}, " in text


def test_elastics_as_csv_have_the_columns_of_the_tables(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = elastics(capsys, "--waist-size", "H100", "--hip-size", "H108", "--csv")
    _, told, _ = elastics(capsys, "--waist-size", "H100", "--hip-size", "H108", "--json")
    rows = list(csv.DictReader(io.StringIO(out)))
    cut = {row["item"]: float(row["cm"]) for row in rows if row["measure"] == "cut length"}
    assert cut == {
        one["name"]: pytest.approx(one["cut_length"] / 10, abs=0.005) for one in json.loads(told)["elastics"]
    }
    assert {row["size"] for row in rows} == {"H100 on H108"}


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--waist-size", "H101", "--hip-size", "H108"), 'size: "H101" is not in the table'),
        (("--waist-size", "H100", "--hip-size", "h108"), "did you mean H108?"),
        (("--waist-size", "H100"), "--hip-size is missing; give it, or --measurements"),
        (("--hip-size", "H100"), "--waist-size is missing; give it, or --measurements"),
        (("--measurements", str(MEASUREMENTS), "--waist-size", "H100"), "--waist-size given beside --measurements"),
        (("--measurements", str(MEASUREMENTS), "--above", "3"), "--above given beside --measurements"),
        (("--measurements", str(MEASUREMENTS), "--hip-size", "H1"), 'size: "H1" is not in the table'),
        (("--measurements", str(DESIGN)), "name: unknown key; known are size, unit"),
        (("--waist-size", "H100", "--hip-size", "H108", "--above", "high"), 'above: "high" is text'),
        (("--waist-size", "H100", "--hip-size", "H108", "--above", "90"), "above: 90.0 cm is outside"),
    ],
)
def test_elastics_refuse_on_one_line(options, told: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = elastics(capsys, *options)
    assert (code, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1


ALIKE = {
    "a sign that is dropped": (("M", "M+"), ("M", "M-plus")),
    "a slash and a hyphen": (("36/38", "36-38"), ("36-slash-38", "36-38")),
    "a star": (("10", "10*"), ("10", "10-star")),
    "a fraction": (("1/2", "1-2"), ("1-slash-2", "1-2")),
    "brackets": (("S short", "S (short)"), ("S-short", "S-bracket-short")),
    "a device of Windows": (("CON", "con-2"), ("CON-3", "con-2")),
}


@pytest.fixture(scope="module")
def each_of_all(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every size of all those pairs, in files of its own."""
    folder = tmp_path_factory.mktemp("alike")
    labels = [label for pair, _ in ALIKE.values() for label in pair]
    (folder / "sizes.csv").write_text("\n".join([HEADER, *named(*labels)]) + "\n", encoding="utf-8")
    options = ("--each", "--rise", "mid", "--page", "A4", "--workers", "2")
    assert main(["range", str(DESIGN), str(folder / "sizes.csv"), "--out", str(folder / "out"), *options]) == 0
    return folder / "out"


@pytest.mark.parametrize("pair", ALIKE)
def test_sizes_whose_labels_come_near_each_other_have_files_of_their_own(pair: str, each_of_all: Path) -> None:
    for label, stem in zip(*ALIKE[pair], strict=True):
        title = PdfReader(each_of_all / f"heron-shorts-{stem}-mid-A4.pdf").metadata
        assert title is not None
        assert f" Size {label} " in str(title.title)


def test_no_file_of_a_size_is_lost(each_of_all: Path) -> None:
    alone = [path for path in each_of_all.glob("*.pdf") if "-whole-" not in path.name]
    assert len(alone) == 2 * len(ALIKE)
    assert len({path.name.casefold() for path in each_of_all.iterdir()}) == len(list(each_of_all.iterdir()))


def test_the_name_of_a_size_in_files_does_not_depend_on_the_choice(run: Run) -> None:
    *_, files = run("--each", "--rise", "mid", "--only", "M+", table=named("M", "M+", "L"))
    assert {name for name in files if name.startswith("heron")} == {
        "heron-shorts-mid-whole-M-plus-A4.pdf",
        "heron-shorts-mid-whole-M-plus-pieces.json",
        "heron-shorts-M-plus-mid-A4.pdf",
    }


@pytest.mark.parametrize(
    ("labels", "one", "other"),
    [(("36", "36-38", "38"), "36,38", "36-38"), ("ABCDEFG", "A,B,C,D,G", "A,C,D,F,G")],
)
def test_one_choice_of_sizes_is_not_written_over_another(run: Run, labels: Sequence[str], one: str, other: str) -> None:
    found = [set(run("--rise", "mid", "--only", only, table=named(*labels), folder=only)[3]) for only in (one, other)]
    assert not any(name.startswith("heron") for name in found[0] & found[1])


def test_a_label_with_a_comma_can_be_chosen(run: Run) -> None:
    table = named("S", "S, tall", "M")
    for only, layers in (("S, tall", ["S, tall"]), ("M,S,\u00a0tall", ["S, tall", "M"]), ("S,M", ["S", "M"])):
        code, _, err, files = run("--rise", "mid", "--only", only, table=table, folder=only)
        assert (code, err) == (0, "")
        (name,) = (file for file in files if file.endswith("A4.pdf"))
        assert layers_of(files[name]) == layers
    code, _, err, _ = run("--only", "S, short", table=table)
    assert (code, err.startswith('shirrline: size: "short" is not in the table')) == (2, True)


@pytest.mark.parametrize("pair", [("xl", "XL"), ("é", "e\u0301"), ("S tall", "S\u00a0tall"), ("M", "M\u200b")])
def test_labels_that_look_alike_are_refused_naming_them(run: Run, pair: tuple[str, str]) -> None:
    code, _, err, files = run("--each", table=named(*pair))
    assert code == 2
    assert "two sizes have this label" in err
    assert "give each its own" in err
    assert not files


@pytest.mark.parametrize("letter", ["\u202e", "\ue000", "\x1b", "\u2066"])
def test_a_letter_that_cannot_be_printed_is_refused_by_name(run: Run, letter: str) -> None:
    code, _, err, files = run(table=named("M", f"L{letter}"))
    assert code == 2
    assert f"U+{ord(letter):04X}" in err
    assert err.startswith("shirrline: row 2: size: ")
    assert err.count("\n") == 1
    assert err[:-1].isprintable()
    assert not files


def cells(data: bytes) -> list[str]:
    return [cell for row in csv.reader(io.StringIO(data.decode(), newline="")) for cell in row]


def test_no_table_holds_a_cell_that_a_spreadsheet_would_run(run: Run) -> None:
    """OWASP, *CSV Injection*, from memory. Our own numbers keep their minus."""
    labels = ("=1+1", "@SUM(A1)", "+3", "-4", '"=5')
    code, _, err, files = run("--rise", "mid", table=named(*labels))
    assert (code, err) == (0, "")
    found = {name: cells(files[name]) for name in ("tables.csv", "grade.csv")}
    for all_cells in found.values():
        for cell in all_cells:
            if cell.startswith(("=", "+", "@", "-")):
                assert float(cell) < 0
        assert {f"'{label}" for label in labels} <= set(all_cells)
    assert any(cell.startswith("-") for cell in found["grade.csv"])


def test_an_elastic_list_holds_no_cell_that_a_spreadsheet_would_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "sizes.csv"
    table.write_text("\n".join([HEADER, *named("=1+1", "@2")]) + "\n")
    options = ("--waist-size", "=1+1", "--hip-size", "@2", "--csv")
    assert main(["elastics", str(DESIGN), str(table), *options]) == 0
    said = cells(capsys.readouterr().out.encode())
    assert "'=1+1 on @2" in said
    assert not any(cell.startswith(("=", "@", "+")) for cell in said)


def test_a_path_does_not_steer_the_terminal(run: Run) -> None:
    code, out, err, _ = run("--rise", "mid", folder="a\x1b[31m\nb")
    assert (code, err) == (0, "")
    assert "a\\x1b[31m\\nb" in out
    assert all(line.isprintable() for line in out.splitlines())
    code, out, _, _ = run("--rise", "mid", "--json", folder="a\x1b[31m\nb")
    assert json.loads(out)["folder"].endswith("a\x1b[31m\nb")
