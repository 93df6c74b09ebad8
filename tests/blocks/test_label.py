"""Names as people give them: made alike where they look alike, refused by name where a page cannot show them."""

from __future__ import annotations

from unicodedata import category, is_normalized

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.design import CasingDesign
from blocks.label import known_as, label_from, same, tidy
from blocks.measurements import body_from
from blocks.short import draft_short
from blocks.short.design import ShortDesign
from blocks.size_table import Size, size_table_from
from drafting.errors import DesignError, DraftError, MeasurementError, TableError

BODY = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}


def refused(raw: object, longest: int = 20) -> str:
    with pytest.raises(MeasurementError) as found:
        label_from("size", raw, longest, kind="label", error=MeasurementError)
    return str(found.value)


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        ("Meadow\u00a0shorts", "Meadow shorts"),
        ("\u3000S\u2009tall\t", "S tall"),
        ("S \u2003 tall", "S tall"),
        ("e\u0301te\u0301", "été"),
        ("\ufeffM", "M"),
        ("M\u200b\u2060\u00ad", "M"),
        ("\u200eM\u200f", "M"),
        ("A\u200dB", "AB"),
        ("می\u200cخواهم", "می\u200cخواهم"),
        ("क्\u200dष", "क्\u200dष"),
        ("\u3164M\u2800", "M"),
        ("e\u200b\u0301", "é"),
        ("36/38", "36/38"),
        ("M+", "M+"),
    ],
)
def test_what_looks_alike_is_made_alike(raw: str, expected: str) -> None:
    assert label_from("size", raw, 20) == expected


def test_a_blank_that_does_not_break_is_a_blank_in_a_name() -> None:
    assert label_from("name", "Heron\u00a0shorts", 60) == "Heron shorts"
    assert label_from("size", "\u00a0" * 30 + "M" * 20, 20) == "M" * 20


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        ("a\x1b[31m", "U+001B in it is a control character"),
        ("a\nb", "U+000A in it is a control character"),
        ("a\u2028b", "U+2028 (line separator) in it is a line separator"),
        ("a\u202eb", "U+202E (right-to-left override) in it is an invisible character"),
        ("a\u2066b", "U+2066 (left-to-right isolate) in it is an invisible character"),
        ("a\ud800", "U+D800 in it is half a character"),
        ("a\ue000", "U+E000 in it is a character for private use"),
        ("a\U000e0041", "U+E0041 (tag latin capital letter a) in it is an invisible character"),
        ("a\uffff", "U+FFFF in it is no character of Unicode"),
        ("\u0301a", "U+0301 at its start is a mark without a letter"),
    ],
)
def test_what_a_page_cannot_show_is_refused_by_name(raw: str, told: str) -> None:
    said = refused(raw)
    assert said.startswith("size: ")
    assert told in said
    assert said.endswith("leave it out")
    assert said.isprintable()


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (None, "size: missing; give it as text in quotes, up to 20 characters"),
        (7, "size: 7 is not a label: it is not text; write 1 to 20 characters in quotes"),
        ("\u200b \u00a0", "is not a label: it is empty; give 1 to 20 characters, a letter or digit among them"),
        ("x" * 21, "it has 21 characters; give 1 to 20 characters"),
        ("+", "it has no letter or digit; give 1 to 20"),
    ],
)
def test_what_is_no_label_is_refused_with_what_to_do(raw: object, told: str) -> None:
    assert told in refused(raw)


@given(st.text(max_size=30))
def test_a_name_that_comes_in_is_plain_and_comes_in_again(raw: str) -> None:
    try:
        name = label_from("name", raw, 20)
    except DraftError:
        return
    assert is_normalized("NFC", name)
    assert label_from("name", name, 20) == name == tidy(name)
    assert name == name.strip()
    assert all(letter.isprintable() or letter in "\u200c\u200d" for letter in name)
    assert not any(category(letter) in ("Cc", "Zl", "Zp", "Cs", "Co") for letter in name)


def test_labels_are_known_apart_from_capitals_and_forms() -> None:
    assert known_as("É") == known_as("e\u0301")
    assert known_as("S  tall") == known_as("s\u00a0TALL")
    assert same(["S", "M", "s"]) == ("S", "s")
    assert same(["M", "M+", "36/38", "36-38"]) is None


def test_names_given_in_python_pass_the_same_door() -> None:
    body = body_from(BODY, unit="cm")
    assert ShortDesign(name="Heron\u00a0shorts").name == "Heron shorts"
    assert CasingDesign("e\u0301", height=50).name == "é"
    assert Size("S\u00a0tall", body).label == "S tall"
    assert draft_short(ShortDesign(name="Plain"), body, size="S\u00a0tall").size == "S tall"
    with pytest.raises(DesignError, match=r"name: .* U\+001B"):
        ShortDesign(name="a\x1b")
    with pytest.raises(DesignError, match='names two casings, "low" and "Low"'):
        ShortDesign(name="a", casings=(CasingDesign("low", height=50), CasingDesign("Low", height=90)))
    with pytest.raises(MeasurementError, match=r"size: .* U\+202E"):
        draft_short(ShortDesign(name="Plain"), body, size="M\u202e")


def test_labels_of_a_table_that_look_alike_are_refused_naming_both() -> None:
    rows = [{"size": label, **BODY, "hip_girth": 102 + 4 * at} for at, label in enumerate(("xl", "XL", "S tall"))]
    rows[2]["size"] = "S\u00a0tall"
    with pytest.raises(TableError) as found:
        size_table_from({"unit": "cm", "body": rows})
    assert found.value.problems == ('XL: two sizes have this label, "xl" and "XL"; give each its own',)
    rows[0]["size"] = "s tall"
    with pytest.raises(TableError, match='S tall: two sizes have this label, "s tall" and "S tall"'):
        size_table_from({"unit": "cm", "body": rows})


def test_a_size_is_found_however_its_blanks_are_written() -> None:
    table = size_table_from({"unit": "cm", "body": [{"size": "S tall", **BODY}]})
    assert table.size("S\u00a0tall ").label == "S tall"
    with pytest.raises(MeasurementError, match=r"did you mean S tall\?"):
        table.size("s TALL")
