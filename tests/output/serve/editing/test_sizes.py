"""Changes to a size table: one cell, a row or a column, in the table's own style, and not a byte beside it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable

import pytest

from drafting.errors import OutputError
from output.serve.editing import edit
from output.serve.editing.sizes import data_of

PLAIN = "size,unit,waist_girth,hip_girth,body_rise,waist_to_hip\nH84,cm,58.6,84,25.7,20.1\nH88,cm,62.4,88,26.0,20.2\n"
TOML = """\
unit = "cm"  # of all

# the first
[[body]]
size = "H84"
waist_girth = 58.6   # round
hip_girth = 84
body_rise = 25.7
waist_to_hip = 20.1

[[body]]
size = "H88"
waist_girth = 62.4
hip_girth = 88
body_rise = 26.0
waist_to_hip = 20.2
"""

WAYS: dict[str, Callable[[str], str]] = {
    "as it is": lambda text: text,
    "CRLF": lambda text: text.replace("\n", "\r\n"),
    "CR": lambda text: text.replace("\n", "\r"),
    "byte order mark": lambda text: "\ufeff" + text,
    "no line end at the end": lambda text: text.rstrip("\n"),
    "semicolons": lambda text: text.replace(",", ";"),
    "decimal commas": lambda text: re.sub(r"\.", ",", text.replace(",", ";")),
    "tabs": lambda text: text.replace(",", "\t"),
    "quoted": lambda text: re.sub(r"[^,\n]+", r'"\g<0>"', text),
    "decimal commas in quotes": lambda text: re.sub(r"(\d+)\.(\d+)", r'"\1,\2"', text),
    "declared": lambda text: "sep=;\n" + text.replace(",", ";"),
    "blank lines and columns": lambda text: "\n" + text.replace("\n", ",,\n").replace("H88", "H88 ") + ",,,\n",
    "names as people write them": lambda text: text.replace("_", " ").replace("waist g", "Waist-G"),
    "set in": lambda text: text.replace(",", ", "),
}


def cells(text: str) -> list[list[str]]:
    """Every cell of a table that is not blank, as Python's own reader gives it."""
    text = text.removeprefix("\ufeff")
    mark = next((mark for mark in ";\t" if mark in text), ",")
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    return [[cell.strip() for cell in row if cell.strip()] for row in rows if any(map(str.strip, row))]


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_one_cell_changes_and_goes_back_without_a_trace(way: Callable[[str], str]) -> None:
    text = way(PLAIN)
    old = edit.sheet(text)
    assert (old.columns, len(old.rows)) == (tuple(PLAIN.split("\n", maxsplit=1)[0].split(",")), 2)
    for row in (1, 2):
        for at, column in enumerate(old.columns):
            typed = {"size": "S 1", "unit": "mm"}.get(column, "61.5")
            text = edit.with_cell(way(PLAIN), row, column, typed)
            new = edit.sheet(text)
            assert new.rows[row - 1][at].replace(",", ".") == typed
            assert edit.with_cell(text, row, column, old.rows[row - 1][at]) == way(PLAIN)
            (one,) = edit.differences(way(PLAIN), edit.with_cell(way(PLAIN), row, "hip_girth", "90"))
            assert (one.place, one.after) == (f"{old.rows[row - 1][0]}.hip_girth", "90")
            before, after = cells(way(PLAIN)), cells(text)
            flat = [(a, b) for x, y in zip(before, after, strict=True) for a, b in zip(x, y, strict=True) if a != b]
            assert [b.replace(",", ".") for _, b in flat] == [typed]


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_a_row_is_added_and_taken_out_without_a_trace(way: Callable[[str], str]) -> None:
    for row in (1, 2, 3):
        text = edit.with_row(way(PLAIN), row)
        assert edit.sheet(text).rows[row - 1] == ("new", "cm", "", "", "", "")
        assert [one[0] for at, one in enumerate(edit.sheet(text).rows, start=1) if at != row] == ["H84", "H88"]
        assert edit.without_row(text, row) == way(PLAIN)
        assert {problem.row for problem in edit.problems("", text)} == {row}
        assert edit.sheet(edit.with_row(text, row)).rows[row - 1][0] == "new 2"


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_a_column_is_added_and_taken_out_without_a_trace(way: Callable[[str], str]) -> None:
    text = edit.with_column(way(PLAIN), "thigh_girth")
    assert edit.sheet(text).columns == (*edit.sheet(way(PLAIN)).columns, "thigh_girth")
    assert edit.without_column(text, "thigh_girth") == way(PLAIN)
    assert [(one.row, one.column) for one in edit.problems("", text)] == [(1, "thigh_girth"), (2, "thigh_girth")]
    filled = edit.with_cell(edit.with_cell(text, 1, "thigh_girth", "50"), 2, "thigh_girth", "52.5")
    assert edit.problems("", filled) == ()
    fewer = edit.without_column(filled, "waist_girth")
    assert "waist_girth" not in edit.sheet(fewer).columns
    assert [row[-1].replace(",", ".") for row in edit.sheet(fewer).rows] == ["50", "52.5"]
    assert (0, "waist_girth") in {(one.row, one.column) for one in edit.problems("", fewer)}


def test_a_new_column_is_spelled_as_the_others_are() -> None:
    for spelled, new in {"Hip girth": "Thigh girth", "HIP-GIRTH": "THIGH-GIRTH", "hip_girth": "thigh_girth"}.items():
        assert edit.with_column(f"size,{spelled}\nH84,84\n", "thigh_girth").startswith(f"size,{spelled},{new}\n")


def test_a_header_is_mended() -> None:
    text = edit.with_cell(PLAIN.replace("hip_girth", "hip girt"), 0, "hip_girt", "hip girth")
    assert text == PLAIN.replace("hip_girth", "hip girth")


def test_what_a_spreadsheet_would_run_is_guarded() -> None:
    text = edit.with_cell(PLAIN, 1, "size", "=1+1")
    assert text == PLAIN.replace("H84", "'=1+1")
    assert edit.with_cell(text, 1, "hip_girth", "-5") == text.replace("84", "-5")
    assert edit.with_cell(text, 2, "hip_girth", "90").startswith(text[: text.index("88,26")])


def test_a_table_in_toml_keeps_its_comments() -> None:
    for text in (TOML, TOML.replace("\n", "\r\n")):
        changed = edit.with_cell(text, 1, "waist_girth", "59")
        assert changed == text.replace("58.6", "59")
        assert edit.with_cell(text, 0, "unit", "in") == text.replace('"cm"', '"in"')
        assert edit.with_cell(text, 2, "size", "M") == text.replace("H88", "M")
        for row in (1, 2, 3):
            more = edit.with_row(text, row)
            assert [one[0] for one in edit.sheet(more).rows] == [
                *["H84", "H88"][: row - 1],
                "new",
                *["H84", "H88"][row - 1 :],
            ]
            assert edit.without_row(more, row) == text
        wide = edit.with_column(text, "thigh_girth")
        assert [(one.row, one.column) for one in edit.problems("", wide)] == [(1, "thigh_girth"), (2, "thigh_girth")]
        assert edit.without_column(wide, "thigh_girth") == text
        assert (
            edit.without_column(edit.with_cell(text, 0, "hip_girth", "hips"), "hips").count("\n")
            == text.count("\n") - 2
        )


def test_the_measurements_of_one_body_are_a_table_of_one_row() -> None:
    text = 'size = "mine"\nunit = "cm"\nwaist_girth = 76 # w\nhip_girth = 102\nbody_rise = 27\nwaist_to_hip = 20.5\n'
    assert edit.sheet(text).rows == (("mine", "cm", "76", "102", "27", "20.5"),)
    assert edit.with_cell(text, 1, "waist_girth", "76,5") == text.replace("76", "76.5")
    (one,) = edit.problems("", edit.with_cell(text, 1, "waist_girth", "7"))
    assert (one.row, one.column) == (1, "waist_girth")
    with pytest.raises(OutputError, match="all that the table has"):
        edit.without_row(text, 1)


def test_what_no_table_has_is_refused_by_name() -> None:
    for text in (PLAIN, TOML):
        with pytest.raises(OutputError, match="the table has 2 rows"):
            edit.with_cell(text, 3, "hip_girth", "1")
        with pytest.raises(OutputError, match="the table has this column"):
            edit.with_column(text, "hip_girth")
    with pytest.raises(OutputError, match="no such column; it has size, unit"):
        edit.with_cell(PLAIN, 1, "hop", "1")
    with pytest.raises(OutputError, match="not CSV"):
        edit.with_cell(PLAIN + '"H92', 1, "size", "1")
    with pytest.raises(OutputError, match=r"not TOML.*line 1"):
        edit.with_cell("unit = cm\n[[body]]\n", 1, "size", "1")


def test_short_rows_can_be_filled_in() -> None:
    short = PLAIN.replace(",26.0,20.2", "")
    (told, *rest) = edit.problems("", short)
    assert (told.row, "line 3 has 4 cells" in told.message) == (2, True)
    assert [(one.row, one.column) for one in rest] == [(2, "body_rise"), (2, "waist_to_hip")]
    filled = edit.with_cell(edit.with_cell(short, 2, "waist_to_hip", "20.2"), 2, "body_rise", "26.0")
    assert filled == PLAIN
    assert data_of(filled) == data_of(PLAIN)
