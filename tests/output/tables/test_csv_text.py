"""Tables as CSV: read back by another library, and nothing in them that a spreadsheet would run."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from output.tables.csv_text import Written, csv_of, harmless

SIGNS = "=+-@\t\r"
"""What a cell may not begin with: OWASP, *CSV Injection*, from memory."""


def cells(data: bytes, delimiter: str = ",") -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode(), newline=""), delimiter=delimiter))


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@SUM(A1)", "  =1", '"=1', "' =1", "＝1", "＋1", "－1", "＠A1", "\u00a0=1"],
)
def test_a_text_that_a_spreadsheet_would_run_is_written_as_text(text: str) -> None:
    assert cells(csv_of(["size"], [[text]]))[1] == [f"'{text}"]
    for blank in "\t\r\n":
        assert harmless(f"{blank}{text}").startswith("'")


def test_numbers_of_ours_are_left_alone() -> None:
    assert csv_of(["a", "b", "c"], [[Written("-3.20"), -4, 1.5]]) == b"a,b,c\r\n-3.20,-4,1.5\r\n"


def test_a_plain_text_is_left_alone() -> None:
    for text in ("H102", "36/38", "S, tall", "10*", "a=b", "x - y; z", ""):
        assert harmless(text) == text


@given(st.text(st.one_of(st.sampled_from("=+-@;\t\r\n\"' ,a"), st.characters(codec="utf-8")), max_size=12))
def test_no_cell_begins_with_a_sign_where_commas_or_semicolons_part_the_columns(text: str) -> None:
    (said,) = cells(csv_of(["size"], [[text]]))[1] or [""]
    assert said.replace("'", "") == text.replace("'", "")
    for cell in said.split(";"):
        assert not cell.lstrip(' "\u00a0').startswith(tuple(SIGNS)), said
