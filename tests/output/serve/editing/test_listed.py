"""What a page lists of a design: every value that its file may set, in the file's own unit."""

from __future__ import annotations

import dataclasses
import tomllib
from pathlib import Path

import pytest

from blocks.known import BLOCKS, block_named
from blocks.parameters import parameters_of
from blocks.read_design import casing_of, design_from, tables_of
from drafting.errors import DraftError
from output.serve.editing import edit

PLAIN = 'name = "Plain"\nunit = "{unit}"\nblock = "{block}"\n'
SAMPLES = sorted(path for path in (Path(__file__).parents[4] / "samples").glob("*.toml") if path.stem != "measurements")


def listed(text: str) -> dict[str, edit.Listed]:
    return {value.place: value for group in edit.listed(text) for value in group.values}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_has_no_problem_and_every_value_is_as_it_is_written(path: Path) -> None:
    text = edit.read(path).text
    assert not [value for value in listed(text).values() if value.problem]
    for place, value in listed(text).items():
        if value.value is not None:
            assert edit.changed(text, place, value.value) == text


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
@pytest.mark.parametrize("block", BLOCKS)
def test_every_parameter_of_a_block_is_listed_and_its_bounds_and_default_can_be_set(block: str, unit: str) -> None:
    text = PLAIN.format(unit=unit, block=block)
    values, kinds = listed(text), tables_of(block_named(block).design)
    names = {f"{table}.{name}" for table, kind in kinds.items() for name in parameters_of(kind)}
    assert names == {place for place, value in values.items() if value.number}
    for place in names:
        for typed in (values[place].default, str(values[place].low), str(values[place].high)):
            if typed:
                assert listed(edit.changed(text, place, typed))[place].problem == "", (place, typed)
        assert values[place].span.split()[0] in edit.changed(text, place, "-99999") or "outside" in (
            listed(edit.changed(text, place, "-99999"))[place].problem
        )


def test_a_casing_lists_what_its_kind_may_have() -> None:
    text = PLAIN.format(unit="in", block="short") + '[[casing]]\nname = "a.b"\nheight = -3\nelastic_width = 0.5\n'
    values = listed(text)
    fields = {field.name for field in dataclasses.fields(casing_of(design_from(tomllib.loads(text)).__class__))}
    assert {place.removeprefix("casing.a.b.") for place in values if place.startswith("casing")} == fields
    assert values["casing.a.b.depth"].default == "0.5787"  # what is left out follows from the elastic and its room
    assert values["casing.a.b.elastic_width"].unit == "in"


@pytest.mark.parametrize(
    ("added", "place", "told"),
    [
        ("[leg]\nfullness = 9\n", "leg.fullness", "outside 1 to 2.2"),
        ("[leg]\nfulness = 1\n", "leg.fulness", "did you mean fullness"),
        ("[waist]\nchannel = 20\nelastic_width = 25\n", "waist.channel", "too shallow"),
        ('[waist]\nfinish = "glued"\n', "waist.finish", '"faced"'),
        ("[[casing]]\nheight = -80\n", "casing.1.name", "missing"),
        ('[[casing]]\nname = "a"\n', "casing.a", "neither height nor share"),
        ('[[casing]]\nname = "a"\nheight = "high"\n', "casing.a.height", "text, not a number"),
        ('[[casing]]\nname="a"\nheight=-80\n[[casing]]\nname="A"\nheight=-60\n', "casing.2", "two casings"),
        ("[pocket]\ntop = 100\nbelow = 50\n", "pocket", "both given"),
        ("[panel]\nlength = 600\n", "", 'write block = "skirt"'),
        ("leg = 3\n", "leg", "not a table"),
    ],
)
def test_a_problem_stands_at_its_value_or_table(added: str, place: str, told: str) -> None:
    groups = edit.listed(PLAIN.format(unit="mm", block="short") + added)
    problems = {one.place: one.problem for group in groups for one in (group, *group.values) if one.problem}
    assert list(problems) == [place]
    assert told in problems[place]
    with pytest.raises(DraftError) as refused:
        design_from(tomllib.loads(PLAIN.format(unit="mm", block="short") + added))
    assert str(refused.value) in problems.values()


def test_a_design_without_a_unit_or_of_an_unknown_block_can_still_be_mended() -> None:
    assert "missing" in listed('name = "Plain"\n')["unit"].problem
    assert listed('name = "Plain"\n')["leg.fullness"].default == "1.5"
    assert "not a garment" in listed('name = "Plain"\nblock = "hat"\n')["block"].problem
    assert edit.changed('name = "Plain"\nblock = "hat"\n', "block", "skirt") == 'name = "Plain"\nblock = "skirt"\n'
