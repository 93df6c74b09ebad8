from __future__ import annotations

import json
import os
import subprocess
import sys
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pandas
import pytest

import output.system.reading
from blocks.size_table import size_table_from
from drafting.errors import OutputError, TableError
from output.system.reading import (
    LARGEST,
    LARGEST_JSON,
    ORDER_ROWS,
    SIZE_ROWS,
    is_folder,
    read_csv,
    read_json,
    read_orders,
    read_sizes,
    read_toml,
)
from sampled import DESIGN, SAMPLES

TEXT = 'size,unit,waist_girth\nH84,cm,58.6\n"H, 88",cm, 62.4 \n'
SEMICOLONS = "size;unit;waist_girth\nH84;cm;58.6\nH, 88;cm; 62.4 \n"
TABS = SEMICOLONS.replace(";", "\t")
ROWS = [
    {"size": "H84", "unit": "cm", "waist_girth": "58.6"},
    {"size": "H, 88", "unit": "cm", "waist_girth": "62.4"},
]


def written(folder: Path, content: str | bytes, name: str = "sizes.csv") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def refused(path: Path, read: Callable[[Path], object] = read_csv) -> str:
    with pytest.raises(OutputError) as caught:
        read(path)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    assert message.startswith(f"{path}: ")
    return message.removeprefix(f"{path}: ")


def test_the_sample_reads_as_pandas_reads_it() -> None:
    expected = pandas.read_csv(SAMPLES / "sizes.csv", dtype=str).to_dict("records")
    assert read_csv(SAMPLES / "sizes.csv") == expected


@pytest.mark.parametrize(
    "content",
    [
        TEXT,
        TEXT.replace("\n", "\r\n"),
        TEXT.rstrip("\n"),
        "\ufeff" + TEXT,
        "\n,,\n" + TEXT + ",,\n\n",
        'size,unit,waist_girth,,\nH84,cm,58.6,,\n"H, 88",cm,62.4,,\n',
        TEXT.replace("size,unit,waist_girth", '"size"," unit","waist_girth "'),
        TEXT.replace("size,unit,waist_girth", "Size,UNIT,Waist girth"),
        TEXT.replace("size,unit,waist_girth", "SIZE,Unit,\u00a0waist-girth"),
        TEXT.replace("\n", "\r"),
        TEXT.replace("cm,58.6", "cm,58.6,,"),
        SEMICOLONS,
        "\n\n" + SEMICOLONS.replace("\n", "\r\n"),
        "sep=;\r\n" + SEMICOLONS,
        '"sep=;"\n' + SEMICOLONS,
        "sep=,\n" + TEXT,
        "SEP=\t\n" + TABS,
        TABS,
        TABS.encode("utf-16"),
        b"\xfe\xff" + SEMICOLONS.encode("utf-16-be"),
    ],
)
def test_csv_as_spreadsheets_write_it(tmp_path: Path, content: str | bytes) -> None:
    assert read_csv(written(tmp_path, content)) == ROWS


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "it is empty"),
        ("\n,,\n", "it is empty"),
        ("size|unit|waist_girth\nH84|cm|58.6\n", "its columns are parted by '|'; save it with commas"),
        ("sep=|\nsize|unit|waist_girth\nH84|cm|58.6\n", "its columns are parted by '|'; save it with commas"),
        ("size;unit,waist_girth\nH84;cm;58,6\n", "the names of its columns are parted by commas and semicolons"),
        ("size,unit\nH84\n", "line 2 has 1 cells and line 1 names 2 columns"),
        ("size,hip_girth\nH84,84,5\n", "line 2 has 3 cells and line 1 names 2 columns"),
        ('size,unit\nH84,"cm\n', "line 2: not CSV"),
        ('size,unit\nH84,"c"m\n', "line 2: not CSV"),
        ("size,size\nH84,H84\n", "column 2 is a second 'size'"),
        ("size,,\nH84,,3\n", "column 3 has no name"),
        (TEXT.encode("utf-16")[:-1], "line 3 is not UTF-16 text; save the file as UTF-8"),
        (TEXT.encode("utf-16-le"), "line 1 is not UTF-8 text: it holds a NUL"),
        (TEXT.encode("utf-32"), "line 1 is not UTF-8 text"),
        (b"PK\x03\x04" + bytes(100), "it is not text but a spreadsheet's own file; save it from there as CSV"),
        ("size,unit\n" + "x" * 1001 + ",cm\n", "line 2 has a cell of 1001 letters"),
        (",".join(f"c{n}" for n in range(101)) + "\n", "line 1 names more than 100 columns"),
        ("size,unit\n" + "H84,cm\n" * (SIZE_ROWS + 1), f"it has more than {SIZE_ROWS} rows"),
        ("size,unit\nH84,cm\nH88,é\n".encode("latin-1"), "line 3 is not UTF-8 text"),
        (b"x" * (LARGEST + 1), "it is longer than"),
    ],
)
def test_what_is_not_such_a_file_is_refused_by_name(tmp_path: Path, content: str | bytes, words: str) -> None:
    assert refused(written(tmp_path, content)).startswith(words)


def test_a_missing_file(tmp_path: Path) -> None:
    assert "cannot be read" in refused(tmp_path / "none.csv")


def test_sizes_in_csv_and_in_toml_are_the_same_table(tmp_path: Path) -> None:
    rows = read_csv(SAMPLES / "sizes.csv")
    lines = ['unit = "cm"']
    for row in rows:
        lines += ["[[body]]", f'size = "{row["size"]}"']
        lines += [f"{name} = {value}" for name, value in row.items() if name not in ("size", "unit")]
    toml = written(tmp_path, "\n".join(lines), "sizes.toml")
    assert size_table_from(read_sizes(toml)) == size_table_from(read_sizes(SAMPLES / "sizes.csv"))
    upper = written(tmp_path, (SAMPLES / "sizes.csv").read_bytes(), "SIZES.CSV")
    assert size_table_from(read_sizes(upper)).sizes[0].label == "H84"


def test_reads_toml_with_windows_habits(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(b'\xef\xbb\xbfname = "Heron"\r\n[leg]\r\nfullness = 1.5\r\n')
    assert read_toml(path) == {"name": "Heron", "leg": {"fullness": 1.5}}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"name = \n", "line 1"),
        (b'name = "a"\nname = "b"\n', "line 2"),
        (b"[leg\n", "line 1"),
        (b"a = 1\nb = 07\n", "line 2"),
        (b'a = 1\nb = "caf\xe9"\n', "line 2 is not UTF-8 text; save the file as UTF-8"),
        (b"a = 1\nb = " + b"9" * 5000, "line 2: a number of more than 100 digits"),
        (b"a = " + b"[" * 100_000, "nested too deeply"),
        (b"# " + b"x" * LARGEST, f"longer than {LARGEST} bytes"),
    ],
)
def test_broken_toml_is_refused_with_its_line(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(content)
    assert says in refused(path, read_toml)


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    assert "No such file" in refused(tmp_path / "none.toml", read_toml)
    assert "Is a directory" in refused(tmp_path, read_toml)
    assert "null" in refused(Path("a\0b"), read_toml)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("mark", [";", "\t"])
def test_sizes_with_decimal_commas_are_the_same_table(tmp_path: Path, mark: str, encoding: str) -> None:
    text = (SAMPLES / "sizes.csv").read_text().replace(",", mark).replace(".", ",").replace("\n", "\r\n")
    european = written(tmp_path, text.encode(encoding))
    assert size_table_from(read_sizes(european)) == size_table_from(read_sizes(SAMPLES / "sizes.csv"))


def test_a_decimal_comma_may_stand_in_quotes(tmp_path: Path) -> None:
    lines = (SAMPLES / "sizes.csv").read_text().splitlines()
    rows = [",".join(f'"{cell.replace(".", ",")}"' for cell in line.split(",")) for line in lines]
    quoted = written(tmp_path, "\n".join(rows))
    assert size_table_from(read_sizes(quoted)) == size_table_from(read_sizes(SAMPLES / "sizes.csv"))


@pytest.mark.parametrize("number", ["1.058,6", "1,058.6", "58,6 cm", "58,6,1", "5 8,6", "½", "58½", "5_8", "0x3a"])
def test_a_number_that_may_mean_two_is_refused_by_name(tmp_path: Path, number: str) -> None:
    lines = (SAMPLES / "sizes.csv").read_text().replace(",", ";").splitlines()
    cells = lines[1].split(";")
    cells[lines[0].split(";").index("waist_girth")] = number
    table = written(tmp_path, "\n".join([lines[0], ";".join(cells), *lines[2:]]))
    with pytest.raises(TableError) as caught:
        size_table_from(read_sizes(table))
    (problem,) = caught.value.problems
    assert f'{cells[0]}: waist_girth: "{number}"' in problem
    assert "write " in problem


@pytest.mark.parametrize("name", ["sizes.csv", "sizes.tsv", "sizes.txt", "SIZES.TXT"])
def test_a_table_is_known_by_the_names_that_spreadsheets_give(tmp_path: Path, name: str) -> None:
    assert read_sizes(written(tmp_path, TABS.encode("utf-16"), name)) == {"body": ROWS}


def test_an_order_book_may_be_long_and_takes_bounded_memory(tmp_path: Path) -> None:
    path = written(tmp_path, "order,unit,hip_girth\n" + "".join(f"{n},cm,10{n % 10}\n" for n in range(20_000)))
    tracemalloc.start()
    rows = read_orders(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(rows) == 20_000
    assert peak < 100 * path.stat().st_size
    path = written(tmp_path, "order,unit\n" + "1,cm\n" * (ORDER_ROWS + 1))
    assert f"it has more than {ORDER_ROWS} rows" in refused(path, read_orders)


def test_a_path_that_nothing_can_have_is_no_folder(tmp_path: Path) -> None:
    assert is_folder(tmp_path)
    for path in ("x" * 300, "a\0b", tmp_path / "none", DESIGN):
        assert not is_folder(path)


READERS = (read_toml, read_csv, read_orders, read_json)


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("device", ["/dev/zero", "/dev/urandom", "/dev/null", "/dev/full"])
def test_a_device_is_refused(read: Callable[[Path], object], device: str) -> None:
    assert "it is a device" in refused(Path(device), read)


@pytest.mark.parametrize("read", READERS)
def test_a_pipe_that_nobody_writes_to_is_given_up(
    read: Callable[[Path], object], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(output.system.reading, "PATIENCE", 0.2)
    os.mkfifo(tmp_path / "pipe")
    assert "the pipe was not at its end after 0.2 seconds" in refused(tmp_path / "pipe", read)


def test_a_pipe_without_an_end_is_refused(tmp_path: Path) -> None:
    with subprocess.Popen(["yes"], stdout=subprocess.PIPE) as endless:
        assert endless.stdout
        assert "longer than" in refused(Path(f"/dev/fd/{endless.stdout.fileno()}"), read_toml)
        endless.kill()


def test_a_pipe_is_read_to_its_end(tmp_path: Path) -> None:
    script = "import sys, time; print('a = 1', flush=True); time.sleep(0.3); print('b = 2')"
    with subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE) as slow:
        assert slow.stdout
        assert read_toml(f"/dev/fd/{slow.stdout.fileno()}") == {"a": 1, "b": 2}


@pytest.mark.parametrize(
    ("line", "remedy"),
    [
        ("hip_girth = 20,5", "such as 20.5, with a point"),
        ("hip_girth = 20,5 # cm", "such as 20.5, with a point"),
        ("hip_girth = 20.5 cm", "without a unit"),
        ("hip_girth = ٢٠", "in digits 0 to 9"),
        ("hip_girth = 20½", "in digits 0 to 9"),
        ("hip_girth = ½", "in digits 0 to 9"),
        ("hip_girth = ２０", "in digits 0 to 9"),
        ("hip_girth = 1.234,5", "such as 20.5"),
        ("hip_girth = 020", "such as 20.5"),
        ("hip_girth = .5", "such as 20.5"),
        ("hip_girth = twenty", "mend the file there"),
    ],
)
def test_a_number_as_people_write_it_is_told_how_toml_writes_it(tmp_path: Path, line: str, remedy: str) -> None:
    said = refused(written(tmp_path, f"unit = 'cm'\n{line}\n", "a.toml"), read_toml)
    assert "line 2" in said
    assert remedy in said


def test_json_is_read(tmp_path: Path) -> None:
    document = {"a": [1, 2.5, -3e2, True, None, "é\U0001f9f5"], "b": {"c": []}}
    assert read_json(written(tmp_path, json.dumps(document))) == document
    assert read_json(written(tmp_path, json.dumps(document, ensure_ascii=False))) == document


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "it is no JSON file"),
        ("{", "it is no JSON file"),
        ('{"a": 1e999}', "1e999 is too large a number"),
        ('{"a": -1e999}', "-1e999 is too large a number"),
        ('{"a": NaN}', "NaN is not a number"),
        ('{"a": -Infinity}', "-Infinity is not a number"),
        ('{"a":\n ' + "1" * 4000 + "}", "line 2: a number of more than 100 digits"),
        ('{"a": 1.' + "1" * 4000 + "}", "line 1: a number of more than 100 digits"),
        ('{"a": 1, "a": 2}', "'a' stands twice"),
        ("[" * 100_000, "nested too deeply"),
        ('{"a":' * 100_000, "nested too deeply"),
        ('["\\ud800"]', "it holds half a letter"),
        ('{"\\udfff": 1}', "it holds half a letter"),
        (b'["\xff"]', "line 1 is not UTF-8 text"),
        (b'["\x00"]', "holds a NUL"),
        (b" " * (LARGEST_JSON + 1), f"longer than {LARGEST_JSON} bytes"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_what_is_no_such_json_is_refused_by_name(tmp_path: Path, content: str | bytes, words: str) -> None:
    assert words in refused(written(tmp_path, content, "lays.json"), read_json)
