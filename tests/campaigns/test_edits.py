"""Changes to designs and size tables of any spelling: the text means what it did with those changes, and says all it
said; taken back, a change of a value leaves no trace.
"""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from blocks.quantity import read_cell
from blocks.read_design import design_from
from campaigns.effort import rounds
from drafting.errors import DraftError, TableError
from output.serve.editing import edit
from output.serve.editing.alteration import EditError
from output.serve.editing.sizes import data_of
from output.system.spreadsheet import column_name, rows_of

NUMBERS: Mapping[str, tuple[str, ...]] = {
    "leg": ("fullness", "taper", "hip_ease", "rise_ease", "front_extension"),
    "waist": ("elastic_width", "room", "channel"),
    "allowances": ("seam", "hem"),
}
WORDS: Mapping[str, tuple[str, tuple[str, ...]]] = {"waist": ("finish", ("faced", "cut-on", "waistband"))}
NAMES = (
    "low",
    "up",
    'a "b"',
    "it's",
    "a.b",
    "a",
    "a.share",
    "2.ease",
    "mid\\",
    "ירך",
    "كم",
    "x = 1",
    "[y]",
    "höher",
    "2",
    "a # b",
)
ENDS = (".toml", ".csv")

literals = st.sampled_from(["1", "1.50", "0.3", "-80", "+5", "2e0", "1_0", "0x10", "12.0", "-0.25"])
typed = st.sampled_from(["1.4", "1,4", "13", "-80", "0.56", "2e1", ".5", "007", "99999", "0", " 3 "])
names = st.sampled_from(NAMES)


def quoted(text: str, way: int) -> str:
    """A text in one of the ways in which TOML quotes it."""
    plain = "'" not in text
    if way == 1 and plain:
        return f"'{text}'"
    if way == 2 and plain:
        return f"'''{text}'''"
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


@dataclass
class Writer:
    """A design file as somebody might write it, with remarks that are numbered."""

    draw: Callable[..., Any]
    remarks: int = 0

    def chance(self, of: int = 3) -> bool:
        return bool(self.draw(st.integers(1, of)) == of)

    def remark(self) -> str:
        self.remarks += 1
        return f"#{self.remarks:03} " + self.draw(st.sampled_from(["so", "hip_ease = 7", '"', "[leg]", "it's", "ä א"]))

    def trail(self) -> str:
        return f"{self.draw(st.sampled_from(['', ' ', '   ']))}{self.remark()}" if self.chance() else ""

    def key(self, key: str) -> str:
        return quoted(key, 1 + self.draw(st.integers(0, 1)) * 7) if self.chance(5) else key

    def pair(self, key: str, literal: str) -> str:
        equals = self.draw(st.sampled_from([" = ", "=", "  =  "]))
        return f"{self.draw(st.sampled_from(['', '', '  ']))}{key}{equals}{literal}{self.trail()}"

    def between(self) -> list[str]:
        lines = []
        while self.chance():
            lines.append(self.draw(st.sampled_from(["", "  "])) if self.chance(2) else self.remark())
        return lines

    def fields(self, table: str) -> dict[str, str]:
        keys = self.draw(st.lists(st.sampled_from(NUMBERS[table]), unique=True, max_size=3))
        found = {key: self.draw(literals) for key in keys}
        if table in WORDS and self.chance():
            word, choices = WORDS[table]
            found[word] = quoted(self.draw(st.sampled_from(choices)), self.draw(st.integers(0, 2)))
        return found

    def casing(self, name: str) -> dict[str, str]:
        place = self.draw(st.sampled_from(["height", "share"]))
        found = {"name": quoted(name, self.draw(st.integers(0, 2))), place: self.draw(literals)}
        return found | ({"ease": self.draw(literals)} if self.chance() else {})


@st.composite
def designs(draw: Callable[..., Any]) -> str:
    writer = Writer(draw)
    top = [writer.pair("name", quoted(draw(names), 0)), *writer.between(), writer.pair("unit", '"cm"')]
    below: list[list[str]] = []
    for table in draw(st.lists(st.sampled_from(sorted(NUMBERS)), unique=True)):
        fields = writer.fields(table)
        way = draw(st.sampled_from(["header", "header", "dotted", "inline"]))
        if way == "dotted":
            top += [writer.pair(f"{writer.key(table)}.{writer.key(key)}", value) for key, value in fields.items()]
        elif way == "inline":
            inner = ", ".join(f"{writer.key(key)} = {value}" for key, value in fields.items())
            top.append(writer.pair(table, f"{{{inner}}}"))
        else:
            lines = [f"{draw(st.sampled_from(['[{}]', '[ {} ]']))}".format(writer.key(table)) + writer.trail()]
            for key, value in fields.items():
                lines += [*writer.between(), writer.pair(writer.key(key), value)]
            below.append(lines)
    called = draw(st.lists(names, unique=True, max_size=3))
    casings = [writer.casing(name) for name in called]
    if writer.chance(4) and casings:
        inner = [f"{{{', '.join(f'{key} = {value}' for key, value in one.items())}}}" for one in casings]
        top.append(writer.pair("casing", f"[{', '.join(inner)}]"))
    else:
        for one in casings:
            lines = [f"[[{writer.key('casing')}]]{writer.trail()}"]
            for key, value in one.items():
                lines += [writer.pair(writer.key(key), value), *writer.between()]
            below.insert(draw(st.integers(0, len(below))), lines)
    lines = [*writer.between(), *top]
    for section in below:
        lines += [*writer.between(), *section]
    text = "\n".join([*lines, *writer.between()]) + draw(st.sampled_from(["", "\n", "\n\n"]))
    ended = text.replace("\n", draw(st.sampled_from(["\n", "\r\n"])))
    return draw(st.sampled_from(["", "\ufeff"])) + ended


def meaning(text: str) -> dict[str, Any]:
    return tomllib.loads(text.removeprefix("\ufeff"))


def remarks(text: str) -> list[str]:
    return re.findall(r"#\d{3}", text)


def places(text: str) -> list[str]:
    """Every place of a value that a page lists, and of casings as a whole."""
    groups = edit.listed(text)
    return [value.place for group in groups for value in group.values] + [
        group.place for group in groups if group.place.startswith("casing.")
    ]


def drafted(data: Mapping[str, Any]) -> object:
    """The design in a file, or why there is none."""
    try:
        return design_from(data)
    except DraftError as error:
        return str(error)


def set_in(data: dict[str, Any], place: str, value: Any, text: str) -> dict[str, Any]:
    """What a design means with another value at a place, reckoned by itself."""
    if place in ("block", "name", "workroom", "unit"):
        inner, key = data, place
    elif place.startswith("casing."):
        groups = [group for group in edit.listed(text) if group.place.startswith("casing.")]
        number = next(
            at for at, one in enumerate(groups) if place in (one.place, *(value.place for value in one.values))
        )
        called = groups[number].place
        if place == called:
            del data["casing"][number]
            return data
        inner, key = data["casing"][number], place[len(called) + 1 :]
        if value is not None:
            inner.pop({"height": "share", "share": "height"}.get(key, ""), None)
    else:
        table, _, key = place.partition(".")
        inner = data.setdefault(table, {}) if value is not None else data.get(table, {})
    if value is None:
        inner.pop(key, None)
    else:
        inner[key] = value
    return data


def full(data: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in data.items() if value not in ([], {})}


@settings(max_examples=rounds(120, 20_000))
@given(designs(), st.data())
def test_a_design_means_what_it_did_with_the_changes_and_keeps_every_remark(text: str, data: st.DataObject) -> None:
    remarked = remarks(text)
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.sampled_from(places(text)))
        number = place.rpartition(".")[2] in {
            "height",
            "share",
            "ease",
            *(key for keys in NUMBERS.values() for key in keys),
        }
        value = None
        listed = {one.place: one for group in edit.listed(text) for one in group.values}
        if place in listed and data.draw(st.booleans()):
            value = data.draw(typed if listed[place].number else names)
        old = meaning(text)
        new = edit.changed(text, place, value)
        wanted = float(value.replace(",", ".")) if value is not None and listed[place].number else value
        assert full(meaning(new)) == full(set_in(old, place, wanted, text)), (place, value, number)
        assert drafted(meaning(new)) == drafted(full(set_in(meaning(text), place, wanted, text)))
        assert remarks(new) == remarked
        assert new.startswith("\ufeff") == text.startswith("\ufeff")
        assert ("\r\n" in text) <= ("\n" not in new.replace("\r\n", ""))
        text = new


@settings(max_examples=rounds(120, 20_000))
@given(designs(), st.data())
def test_a_change_of_a_value_that_is_taken_back_leaves_no_trace(text: str, data: st.DataObject) -> None:
    for value in (one for group in edit.listed(text) for one in group.values if one.value is not None):
        new = edit.changed(text, value.place, data.draw(typed if value.number else names))
        if value.key == "name" and value.place != "name":
            number = [one.place for one in edit.listed(text) if one.place.startswith("casing.")].index(
                value.place.removesuffix(".name")
            )
            groups = [group for group in edit.listed(new) if group.place.startswith("casing.")]
            back = edit.changed(new, f"{groups[number].place}.name", value.value)
        else:
            back = edit.changed(new, value.place, value.value)
        assert meaning(back) == meaning(text)
        if value.number:
            assert back == text
        assert edit.differences(text, back) in ((), (edit.Difference("text", "", "comments, order or blanks"),))


@settings(max_examples=rounds(60, 5_000))
@given(designs(), st.integers(0, 3))
def test_a_casing_that_is_taken_out_takes_nothing_with_it(text: str, number: int) -> None:
    casings = [group.place for group in edit.listed(text) if group.place.startswith("casing.")]
    if number >= len(casings):
        return
    new = edit.changed(text, casings[number], None)
    left = meaning(text)
    del left["casing"][number]
    assert full(meaning(new)) == full(left)
    assert remarks(new) == remarks(text)


cells = st.sampled_from(
    ["84", "58.6", "58,6", "", "H 84", 'a "b"', "x;y", "a,b", "ירך", "'=1+1", "@x", "S;'-1", "-5", "1\t2", " 7 "]
)
COLUMNS = ("size", "unit", "hip_girth", "waist_girth", "body_rise")


@st.composite
def tables(draw: Callable[..., Any]) -> str:
    mark = draw(st.sampled_from([",", ";", "\t"]))
    columns = draw(st.lists(st.sampled_from(COLUMNS), unique=True, min_size=2))
    spelled = [
        draw(st.sampled_from([name, name.replace("_", " ").title(), name.upper(), f" {name} "])) for name in columns
    ]
    rows = draw(st.lists(st.lists(cells, min_size=len(columns), max_size=len(columns)), max_size=4))
    quoting = draw(st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC]))
    out = io.StringIO(newline="")
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    writer = csv.writer(out, delimiter=mark, quoting=quoting, lineterminator=end)
    writer.writerow(spelled)
    for row in rows:
        if draw(st.integers(1, 5)) == 1:
            out.write(draw(st.sampled_from(["", mark, " "])) + end)
        writer.writerow(row)
    text = out.getvalue()
    text = text if draw(st.booleans()) or text.endswith(mark + end) else text.removesuffix(end)
    return draw(st.sampled_from(["", "\ufeff"])) + draw(st.sampled_from(["", f"sep={mark}{end}"])) + text


def read(text: str) -> list[dict[str, str]]:
    return rows_of(text.removeprefix("\ufeff"), "sizes.csv", 100)


def meant(rows: list[dict[str, str]]) -> list[dict[str, float | str]]:
    """What rows of cells say, whether or not a spreadsheet is kept from running them."""
    return [{name: read_cell(cell.replace("'", "")) for name, cell in row.items()} for row in rows]


@settings(max_examples=rounds(150, 20_000))
@given(tables(), st.data())
def test_a_size_table_has_the_same_cells_but_for_those_that_are_changed(text: str, data: st.DataObject) -> None:
    for _ in range(data.draw(st.integers(1, 5))):
        old, sheet = read(text), edit.sheet(text)
        assert [dict(zip(sheet.columns, row, strict=True)) for row in sheet.rows] == old
        do = data.draw(st.sampled_from(["cell", "cell", "cell", "row", "no row", "column", "no column"]))
        row = data.draw(st.integers(1, len(old) + (do == "row"))) if old or do == "row" else 0
        column = data.draw(st.sampled_from(COLUMNS if do == "column" else sheet.columns))
        goal = [dict(one) for one in old]
        try:
            if do == "cell" and row:
                value = data.draw(cells)
                new = edit.with_cell(text, row, column, value)
                cell = dict(zip(sheet.columns, edit.sheet(new).rows[row - 1], strict=True))[column]
                assert meant([{"": cell}]) == meant([{"": value.strip()}])
                goal[row - 1][column] = cell
                back = edit.with_cell(new, row, column, old[row - 1][column])
                assert meant(read(back)) == meant(old)
            elif do == "row":
                new = edit.with_row(text, row)
                added = read(new)[row - 1]
                assert added.get("size", "new").startswith("new")
                goal.insert(row - 1, added)
                assert read(edit.without_row(new, row)) == old
            elif do == "no row" and row:
                new = edit.without_row(text, row)
                del goal[row - 1]
            elif do == "column" and column not in sheet.columns:
                new = edit.with_column(text, column)
                goal = [{**one, column: ""} for one in goal]
                assert edit.without_column(new, column) == text
            elif do == "no column" and len(sheet.columns) > 1:
                new = edit.without_column(text, column)
                goal = [{key: value for key, value in one.items() if key != column} for one in goal]
            else:
                continue
        except EditError:  # a row without anything is none
            continue
        assert read(new) == goal
        assert [column_name(one) for one in edit.sheet(new).headers] == list(edit.sheet(new).columns)
        assert new.startswith("\ufeff") == text.startswith("\ufeff")
        assert edit.differences(text, new) or new == text
        text = new
    assert data_of(text) == {"body": read(text)}


SAMPLES = [
    path.read_text() for path in sorted((Path(__file__).parents[2] / "samples").glob("*")) if path.suffix in ENDS
]
SPLINTERS = (
    '"',
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    "#",
    ",",
    ";",
    "\n",
    "\r",
    "\0",
    ".",
    "[[casing]]",
    "[casing]",
    "leg = 3\n",
)
ODD = (
    "casing = 3\n",
    "casing = [1]\n",
    "unit = 3\n",
    "block = []\n",
    "name = nan\n",
    "[body]\n",
    "body = 2\n",
    "\ud800",
    "א",
)


@st.composite
def spoilt(draw: Callable[..., Any]) -> str:
    """A design, a table or something else of the samples with a few splinters in it, or without some of its parts."""
    text = draw(st.sampled_from(SAMPLES))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = start + draw(st.sampled_from([0, 0, 1, 20, 400]))
        text = text[:start] + draw(st.sampled_from(["", *SPLINTERS, *ODD])) + text[end:]
    return text


@settings(max_examples=rounds(150, 20_000))
@given(
    spoilt(),
    spoilt(),
    st.sampled_from(["leg.fullness", "casing.upper", "casing.1.share", "name", "casing", "", "a.b.c"]),
)
def test_whatever_a_text_holds_it_is_changed_or_refused_on_one_line(one: str, other: str, place: str) -> None:
    def tried(job: Callable[[], object]) -> None:
        told = ""
        try:
            job()
        except DraftError as error:
            told = "" if isinstance(error, TableError) else str(error)
        assert len(told.splitlines()) <= 1, told

    tried(lambda: edit.listed(one))
    for value in (None, "0.5", "ä"):
        tried(lambda value=value: edit.changed(one, place, value))  # type: ignore[misc]
    tried(lambda: edit.differences(one, other))
    tried(lambda: edit.problems(one, other, drafted=False))
    tried(lambda: edit.sheet(other))
    for number in range(3):
        tried(lambda number=number: edit.with_cell(other, number, "hip_girth", "84"))  # type: ignore[misc]
        tried(lambda number=number: edit.with_row(other, number))  # type: ignore[misc]
        tried(lambda number=number: edit.without_row(other, number))  # type: ignore[misc]
    tried(lambda: edit.with_column(other, "thigh_girth"))
    tried(lambda: edit.without_column(other, "hip_girth"))
    tried(lambda: edit.swapped(one, "upper", "thigh"))
