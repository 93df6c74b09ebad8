"""What is wrong with a size table is told at its cell, all of it, in the words of the command."""

from __future__ import annotations

from pathlib import Path

import pytest

from blocks.size_table import size_table_from
from drafting.errors import MeasurementError
from output.serve.editing import edit
from output.serve.editing.sizes import data_of

SAMPLES = Path(__file__).parents[4] / "samples"
DESIGN, TABLE = edit.read(SAMPLES / "design.toml").text, edit.read(SAMPLES / "sizes.csv").text
SIZES = [row[0] for row in edit.sheet(TABLE).rows]


def told(text: str, *, design: str = DESIGN) -> list[tuple[int, str, str]]:
    return [(one.row, one.column, one.message) for one in edit.problems(design, text)]


def with_cells(*cells: tuple[int, str, str]) -> str:
    text = TABLE
    for cell in cells:
        text = edit.with_cell(text, *cell)
    return text


def test_the_sample_has_none() -> None:
    assert told(TABLE) == []


def test_every_fault_of_every_cell_is_told() -> None:
    text = with_cells((2, "hip_girth", "wide"), (2, "waist_girth", ""), (5, "body_rise", "1"), (7, "size", ""))
    found = told(text)
    assert [(row, column) for row, column, _ in found] == [
        (2, "waist_girth"),
        (2, "hip_girth"),
        (5, "body_rise"),
        (7, "size"),
    ]
    with pytest.raises(MeasurementError) as refused:
        size_table_from(data_of(text))
    assert str(refused.value).split("\n") == [message for *_, message in found]


@pytest.mark.parametrize(
    ("cells", "places", "word"),
    [
        ([(3, "waist_girth", "130")], [(3, "")], "contradicts"),
        ([(3, "size", "H88")], [(3, "size")], "two sizes"),
        ([(3, "hip_girth", "88")], [(3, "hip_girth")], "that of"),
        ([(3, "hip_girth", "86")], [(3, "hip_girth")], "out of order"),
        ([(8, "waist_girth", "92")], [(8, "waist_girth")], "lead to"),
        ([(4, "unit", "mm")], [(4, "unit")], "mixed"),
        ([(4, "unit", "ell")], [(4, "unit")], "not a unit"),
        ([(0, "body_rise", "body_ris")], [(0, "body_ris"), (0, "body_rise")], "column"),
    ],
)
def test_a_fault_is_told_where_it_is(
    cells: list[tuple[int, str, str]], places: list[tuple[int, str]], word: str
) -> None:
    found = told(with_cells(*cells))
    assert [(row, column) for row, column, _ in found] == places
    assert all(word in message for *_, message in found)


def test_faults_of_the_header_keep_none_in_the_rows_from_being_told() -> None:
    text = with_cells((0, "body_rise", "body_ris"), (3, "hip_girth", "wide"))
    assert [(row, column) for row, column, _ in told(text)] == [(0, "body_ris"), (0, "body_rise"), (3, "hip_girth")]


def test_a_column_without_a_name_is_told_by_its_number() -> None:
    text = TABLE.replace("body_rise", "")
    assert told(text)[0][:2] == (0, "5")


def test_a_size_that_cannot_be_drafted_is_told_at_its_row_by_its_label() -> None:
    design = edit.changed(DESIGN, "casing.upper.height", "20")
    found = told(TABLE, design=design)
    assert {row for row, _, _ in found} == set(range(1, len(SIZES) + 1))
    assert all(message.startswith(SIZES[row - 1]) and "casing 'upper'" in message for row, _, message in found)
    assert edit.problems(design, TABLE, drafted=False) == ()


def test_a_design_that_cannot_be_read_is_no_fault_of_the_table() -> None:
    for design in ("leg = [", "[leg]\nfullness = 9\n", 'block = "hat"\n'):
        assert told(TABLE, design=design) == []


def test_a_skirt_needs_no_body_rise() -> None:
    skirt = edit.read(SAMPLES / "skirt.toml").text
    assert told(edit.without_column(TABLE, "body_rise"), design=skirt) == []
    assert told(edit.without_column(TABLE, "body_rise"))[0][:2] == (0, "body_rise")
