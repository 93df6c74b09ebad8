"""Changes to a design's text: one value moves, and not a byte beside it."""

from __future__ import annotations

import tomllib

import pytest

from blocks.read_design import design_from
from drafting.errors import DraftError
from output.serve.editing import edit
from output.serve.editing.alteration import EditError, with_table, with_value
from output.serve.editing.statements import joined, statements

DESIGN = """\
# What this is.
name = "Plain"   # the name
unit = "mm"

[leg] # of the leg
fullness = 1.50  # full
# hip_ease = 60  # its default

# Between them stands the waist.
[[casing]]
name = "low \\"q\\" אב"
share = -0.5     # of the leg

[waist]
elastic_width = 20

[[casing]] # the second
name = 'upper'
height = 150
# about the next
"""

SPELLINGS = {
    "plain": DESIGN,
    "CRLF": DESIGN.replace("\n", "\r\n"),
    "byte order mark": "\ufeff" + DESIGN,
    "no line end at the end": DESIGN.rstrip("\n"),
    "set in": "\n".join(f"  {line}" if line else line for line in DESIGN.split("\n")),
    "quoted keys": DESIGN.replace("fullness", '"fullness"').replace("[leg]", "[ 'leg' ]"),
    "dotted keys": DESIGN.replace("[leg] # of the leg\n", "# of the leg\n")
    .replace("fullness", "leg.fullness")
    .replace("share", '"share"'),
}


@pytest.mark.parametrize("text", SPELLINGS.values(), ids=SPELLINGS)
def test_a_text_is_the_statements_that_it_is_made_of(text: str) -> None:
    assert joined(statements(text.removeprefix("\ufeff"))) == text.removeprefix("\ufeff")


@pytest.mark.parametrize("text", SPELLINGS.values(), ids=SPELLINGS)
def test_a_value_is_changed_and_back_without_a_trace(text: str) -> None:
    changed = edit.changed(text, "leg.fullness", "1.6")
    assert changed == text.replace("1.50", "1.6")
    assert edit.changed(changed, "leg.fullness", "1.50") == text
    assert edit.differences(text, changed) == (edit.Difference("leg.fullness", "1.5", "1.6"),)


@pytest.mark.parametrize("text", SPELLINGS.values(), ids=SPELLINGS)
def test_a_default_that_stands_as_a_comment_is_set_below_it(text: str) -> None:
    changed = edit.changed(text, "leg.hip_ease", "70")
    lines = edit.plain(changed).split("\n")
    at = next(number for number, line in enumerate(lines) if line.lstrip().startswith("# hip_ease"))
    assert len(edit.plain(text).split("\n")) == len(lines) - 1
    assert "hip_ease = 70" in "\n".join(lines[at - 1 : at + 2])
    assert edit.changed(changed, "leg.hip_ease", None) == text
    assert edit.changed(text, "leg.taper", None) == text


def test_height_and_share_stand_for_each_other() -> None:
    higher = edit.changed(DESIGN, 'casing.low "q" אב.height', "-80")
    assert higher == DESIGN.replace("share = -0.5 ", "height = -80 ")
    assert edit.changed(higher, 'casing.low "q" אב.share', "-0.5") == DESIGN


def test_casings_parted_by_another_table_stay_where_they_are() -> None:
    renamed = edit.changed(DESIGN, "casing.upper.name", 'the "high" one')
    assert renamed == DESIGN.replace("'upper'", '"the \\"high\\" one"')
    assert edit.differences(DESIGN, renamed) == (
        edit.Difference('casing.the "high" one.name', "upper", 'the "high" one'),
    )
    gone = edit.changed(DESIGN, "casing.upper", None)
    assert [casing.name for casing in design_from(tomllib.loads(gone)).casings] == ['low "q" אב']
    assert "# the second\n# about the next\n" in gone


def test_what_is_typed_is_written_as_toml_writes_it() -> None:
    for typed, written in {
        "1,6": "1.6",
        " 2 ": "2",
        ".5": "0.5",
        "1e0": "1e0",
        "007": "7",
        "1_0": "1_0",
        "0x2": "0x2",
        "-0.5": "-0.5",
    }.items():
        changed = edit.changed(DESIGN, "leg.fullness", typed)
        assert f"fullness = {written}  # full" in changed
    for typed in ("", "wide", "1__0", "nan", "true", "2026-01-02", "inf", "1/2", "1.234,5"):
        with pytest.raises(DraftError, match=r"leg\.fullness: .* write"):
            edit.changed(DESIGN, "leg.fullness", typed)


def test_a_place_that_is_none_is_refused_by_name() -> None:
    for place, told in {
        "leg.fulness": "did you mean fullness",
        "legs.fullness": "did you mean leg",
        "casing.uper.share": "did you mean upper",
        "casing.upper.shares": "did you mean share",
        "casing.upper": "whole casing",
    }.items():
        with pytest.raises(DraftError, match=told):
            edit.changed(DESIGN, place, "1")


def test_what_cannot_be_changed_without_harm_is_left_alone() -> None:
    text = 'name = "a"\nunit = "mm"\ncasing = [\n  {name = "x", height = 1}, # one\n]\n'
    with pytest.raises(EditError, match="change it in its text"):
        edit.changed(text, "casing.x", None)


def test_inline_tables_are_changed_in_place() -> None:
    text = 'name = "a"\nunit = "mm"\nleg = {fullness = 1.5} # f\ncasing = [{name = "x", height = -80}]\n'
    text = edit.changed(edit.changed(text, "leg.taper", "0.5"), "casing.x.share", "-0.5")
    assert "taper = 0.5} # f\n" in text
    assert design_from(tomllib.loads(text)).casings[0].height == design_from(tomllib.loads(text)).casings[0].height
    assert tomllib.loads(text)["casing"] == [{"name": "x", "share": -0.5}]


def test_text_that_is_no_toml_is_told_with_its_line() -> None:
    text = "name = 'a'\nfullness = 1,5\n"
    for asked in (edit.listed, lambda text: edit.changed(text, "leg.fullness", "1")):
        with pytest.raises(DraftError, match=r"design: not TOML: .*line 2.*write a plain number"):
            asked(text)
    (one,) = edit.differences(DESIGN, text)
    assert (one.place, "line 2" in one.after) == ("text", True)


def test_comments_alone_are_a_difference_of_the_text() -> None:
    assert edit.differences(DESIGN, DESIGN) == ()
    (one,) = edit.differences(DESIGN, DESIGN + "# more\n")
    assert one.place == "text"


def test_a_casing_that_is_called_by_its_number_is_none_that_has_that_name() -> None:
    text = 'name = "a"\nunit = "mm"\n' + "".join(
        f'[[casing]]\nname = "{name}"\nheight = 1\n' for name in ("2", "a", "A")
    )
    places = [group.place for group in edit.listed(text) if group.place.startswith("casing")]
    assert places == ["casing.2", "casing.#2", "casing.3"]
    for number, place in enumerate(places):
        data = tomllib.loads(edit.changed(text, f"{place}.height", "5"))
        assert [one["height"] for one in data["casing"]] == [5 if at == number else 1 for at in range(3)]


def test_a_casing_whose_name_reads_like_the_value_of_another_is_called_by_its_number() -> None:
    text = 'name = "a"\nunit = "mm"\n' + "".join(
        f'[[casing]]\nname = "{name}"\nshare = 0.5\n' for name in ("a.share", "a")
    )
    assert [group.place for group in edit.listed(text) if group.place.startswith("casing")] == ["casing.1", "casing.a"]
    assert [one["name"] for one in tomllib.loads(edit.changed(text, "casing.1", None))["casing"]] == ["a"]
    for place, shares in {"casing.a.share": [0.5, 0.6], "casing.a.share.share": [0.6, 0.5]}.items():
        assert [one["share"] for one in tomllib.loads(edit.changed(text, place, "0.6"))["casing"]] == shares


def test_what_toml_does_not_write_so_is_put_into_no_text() -> None:
    with pytest.raises(EditError, match=r"casing\.1\.height: .*high"):
        with_table(DESIGN, ("casing", 1), {"name": '"new"', "height": "high"})
    with pytest.raises(EditError, match=r"leg\.taper: .*wide"):
        with_value(DESIGN, ("leg", "taper"), "wide")
