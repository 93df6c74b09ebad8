from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pandas
import pytest

from blocks.size_table import size_table_from
from drafting.errors import OutputError
from output.reading import LARGEST, read_csv, read_sizes, read_toml
from sampled import SAMPLES

TEXT = 'size,unit,waist_girth\nH84,cm,58.6\n"H, 88",cm, 62.4 \n'
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
    ],
    ids=["plain", "crlf", "no last newline", "byte order mark", "blank rows", "blank columns", "quoted names"],
)
def test_csv_as_spreadsheets_write_it(tmp_path: Path, content: str) -> None:
    assert read_csv(written(tmp_path, content)) == ROWS


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "it is empty"),
        ("\n,,\n", "it is empty"),
        (TEXT.replace(",", ";"), "its columns are parted by semicolons; save it with commas"),
        ("size;unit;waist_girth\nH84;cm;58,6\n", "its columns are parted by semicolons"),
        (TEXT.replace(",", "\t"), "its columns are parted by tabs"),
        ("size,unit\nH84\n", "line 2 has 1 cells and line 1 names 2 columns"),
        ("size,hip_girth\nH84,84,5\n", "line 2 has 3 cells and line 1 names 2 columns"),
        ('size,unit\nH84,"cm\n', "line 2: not CSV"),
        ('size,unit\nH84,"c"m\n', "line 2: not CSV"),
        ("size,size\nH84,H84\n", "column 2 is a second 'size'"),
        ("size,,\nH84,,3\n", "column 3 has no name"),
        (TEXT.encode("utf-16"), "line 1 is not UTF-8 text but UTF-16"),
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
        (b"a = " + b"9" * 5000, "not TOML"),
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
