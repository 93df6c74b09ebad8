"""Casings of a design's text: one more where there is room for it, and their order."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from blocks.known import block_of
from blocks.read_design import design_from
from blocks.size_table import size_table_from
from drafting.errors import DraftError
from output.serve.editing import edit
from output.serve.editing.sizes import data_of

SAMPLES = Path(__file__).parents[4] / "samples"
TABLE = edit.read(SAMPLES / "sizes.csv").text


@pytest.mark.parametrize("design", ["design", "knee", "skirt"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_casing_is_added_where_the_range_has_room_for_it(design: str, unit: str) -> None:
    text = edit.read(SAMPLES / f"{design}.toml").text
    if unit == "in":
        text = 'name = "Plain"\nunit = "in"\n' + ('block = "skirt"\n' if design == "skirt" else "")
    more = edit.with_casing(text, TABLE)
    before, after = (design_from(tomllib.loads(one)) for one in (text, more))
    assert [one.name for one in after.casings] == [*(one.name for one in before.casings), "new"]
    sizes = size_table_from(data_of(TABLE), needs=block_of(after).needs).sizes
    for size in (sizes[0], sizes[len(sizes) // 2], sizes[-1]):
        garment = block_of(after).draft(after, size.body, size=size.label)
        assert not [one for one in garment.left_out if one.casing.name == "new"]
    assert edit.changed(more, "casing.new", None) == text


def test_casings_are_added_until_there_is_no_room() -> None:
    texts = [edit.read(SAMPLES / "design.toml").text]

    def add() -> None:
        for _ in range(30):
            texts.append(edit.with_casing(texts[-1], TABLE))

    with pytest.raises(DraftError, match=r"casing 'new.*': there is no room"):
        add()
    assert len(texts) > 2
    assert edit.problems(texts[-1], TABLE) == ()


def test_a_name_that_is_taken_or_a_design_that_cannot_be_drafted_is_told_as_by_the_command() -> None:
    text = edit.read(SAMPLES / "design.toml").text
    with pytest.raises(DraftError, match="names two casings"):
        edit.with_casing(text, TABLE, "Upper")
    with pytest.raises(DraftError, match="flat of the crotch curve"):
        edit.with_casing(edit.changed(text, "casing.upper.height", "20"), TABLE)
    with pytest.raises(DraftError, match="blank"):
        edit.with_casing(text, edit.with_cell(TABLE, 1, "hip_girth", ""))


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("last", [True, False])
def test_two_casings_change_places_and_back(end: str, *, last: bool) -> None:
    text = end.join(
        [
            'name = "a"',
            'unit = "mm"',
            "",
            "[[casing]] # low",
            'name = "low"',
            "height = -80",
            "# stays",
            "",
            "[waist]",
            "room = 5",
            "",
            "[[casing]]",
            'name = "up"',
            "height = 150 # up",
            *([""] if last else []),
        ]
    )
    changed = edit.swapped(text, "low", "up")
    assert [one.name for one in design_from(tomllib.loads(changed)).casings] == ["up", "low"]
    assert changed.index("# up") < changed.index("# stays") < changed.index("[waist]") < changed.index("# low")
    assert edit.swapped(changed, "low", "up") == text
