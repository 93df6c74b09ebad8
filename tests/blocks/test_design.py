from __future__ import annotations

import copy
import dataclasses
import math
from typing import Any, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.design import Allowances, CasingDesign, FacingDesign, WaistDesign
from blocks.measurements import body_from
from blocks.parameters import parameters_of
from blocks.read_design import design_from
from blocks.short import Short, draft_short
from blocks.short.design import LegDesign, ShortDesign, ShortLimits, TrimDesign, TrimKind
from drafting.errors import DesignError
from drafting.units import MILLIMETRES

BODY = body_from({"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}, unit="cm")
RECORDS: dict[str, Any] = {
    name: kind for name, kind in get_type_hints(ShortDesign).items() if dataclasses.is_dataclass(kind)
}
NUMBERS = [(table, name) for table, kind in RECORDS.items() for name in parameters_of(kind)]
PLAIN: dict[str, Any] = {
    "name": "Heron",
    "workroom": "Reedbank Workroom",
    "unit": "mm",
    "casing": [{"name": "upper", "height": 190}, {"name": "leg", "height": -80, "elastic_width": 6}],
}


def plain(**changes: Any) -> dict[str, Any]:
    data = {**copy.deepcopy(PLAIN), **changes}
    return {name: value for name, value in data.items() if value is not ...}


def refusal(data: dict[str, Any]) -> str:
    with pytest.raises(DesignError) as caught:
        design_from(data)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    return message


def test_a_design_is_read() -> None:
    design = design_from(
        plain(leg={"fullness": 1.6}, waist={"overlap": 25}, allowances={"hem": 12}, limits={"tuck_gap": 4})
    )
    assert design == ShortDesign(
        name="Heron",
        workroom="Reedbank Workroom",
        leg=LegDesign(fullness=1.6),
        casings=(CasingDesign("upper", 190.0), CasingDesign("leg", -80.0, elastic_width=6.0)),
        waist=WaistDesign(overlap=25.0),
        allowances=Allowances(hem=12.0),
        limits=ShortLimits(tuck_gap=4.0),
    )


def test_a_word_is_chosen_from_a_few() -> None:
    assert design_from(plain(trim={"kind": "band", "shows": 25})).trim == TrimDesign(TrimKind.BAND, shows=25.0)


def test_what_is_left_out_keeps_its_default() -> None:
    assert design_from({"name": "Heron", "unit": "in"}) == ShortDesign(name="Heron")


@pytest.mark.parametrize(("unit", "size"), MILLIMETRES.items())
def test_lengths_take_the_unit_and_ratios_do_not(unit: str, size: float) -> None:
    data = plain(unit=unit, leg={"inseam_length": 127 / size, "fullness": 1.4, "back_inseam_angle": 10}, casing=...)
    leg = design_from(data).leg
    assert leg.inseam_length == pytest.approx(127, abs=1e-8)
    assert (leg.fullness, leg.back_inseam_angle) == (1.4, 10)


def test_every_bound_may_be_reached_in_any_unit() -> None:
    for unit, size in MILLIMETRES.items():
        for table, name in NUMBERS:
            about = parameters_of(RECORDS[table])[name]
            for bound in (about.low, about.high):
                given_value = bound / size if about.unit == "mm" else bound
                design = design_from(plain(unit=unit, casing=..., **{table: {name: given_value}}))
                assert getattr(getattr(design, table), name) == pytest.approx(bound, abs=1e-8)


@pytest.mark.parametrize("record", [*RECORDS.values(), CasingDesign])
def test_every_number_is_documented(record: Any) -> None:
    for name, about in parameters_of(record).items():
        assert about.low < about.high, name
        assert about.unit in {"mm", "deg", ""}
        assert about.meaning
        assert about.source
    for field in dataclasses.fields(record):
        if field.default not in (dataclasses.MISSING, None) and field.name in parameters_of(record):
            about = parameters_of(record)[field.name]
            assert about.low <= field.default <= about.high


@pytest.mark.parametrize(("table", "name"), NUMBERS)
@pytest.mark.parametrize("raw", ["10", "10 mm", True, [10], {"mm": 10}, math.nan, math.inf, 10**400])
def test_only_finite_numbers_are_numbers(table: str, name: str, raw: object) -> None:
    message = refusal(plain(**{table: {name: raw}}))
    assert message.startswith(f"{table}.{name}: ")
    assert "number" in message


@pytest.mark.parametrize(("table", "name"), NUMBERS)
@pytest.mark.parametrize("value", [-999, 9999])
def test_numbers_out_of_range_are_refused_with_value_and_range(table: str, name: str, value: float) -> None:
    about = parameters_of(RECORDS[table])[name]
    message = refusal(plain(**{table: {name: value}}))
    assert message.startswith(f"{table}.{name}: {value}{' ' if about.unit else ''}{about.unit} is outside ")
    assert about.meaning in message


def test_errors_speak_in_the_unit_of_the_file() -> None:
    message = refusal(plain(unit="in", leg={"inseam_length": 1}, casing=...))
    assert message.startswith("leg.inseam_length: 1 in (2.5 cm) is outside 1.2 to 29.9 in (3 to 76 cm) (")
    assert message.endswith("; choose a value in that range")


def test_a_length_in_the_wrong_unit_is_recognised() -> None:
    message = refusal(plain(unit="cm", leg={"inseam_length": 110}, casing=...))
    assert message.startswith("leg.inseam_length: 110 cm is outside 3 to 76 cm (")
    assert message.endswith('; if it was measured in mm, set the unit to "mm"')


def test_per_cent_for_a_ratio_is_recognised() -> None:
    message = refusal(plain(waist={"reduction": 7}))
    assert message.startswith("waist.reduction: 7 is outside 0 to 0.25 (")
    assert message.endswith("; if it was meant in per cent, write 0.07")


@pytest.mark.parametrize(
    ("changes", "start", "end"),
    [
        ({"legs": {}}, 'design: "legs" is unknown', "did you mean leg?"),
        ({"casings": []}, 'design: "casings" is unknown', "did you mean casing?"),
        ({"leg": {"fulness": 1.5}}, 'leg: "fulness" is unknown', "did you mean fullness?"),
        ({"casing": [{"name": "a", "hight": 90}]}, "casing 'a': \"hight\" is unknown", "did you mean height?"),
        ({"zzz": 1}, 'design: "zzz" is unknown', "trim, pocket, loop, casing"),
    ],
)
def test_unknown_keys_are_refused_with_the_nearest(changes: dict[str, Any], start: str, end: str) -> None:
    message = refusal(plain(**changes))
    assert message.startswith(start)
    assert message.endswith(end)


@pytest.mark.parametrize(
    ("changes", "start"),
    [
        ({"unit": ...}, "unit: missing"),
        ({"unit": "ft"}, 'unit: "ft" is not a unit of length; it may be "mm", "cm", "in"'),
        ({"unit": 10}, "unit: 10 is not a unit"),
        ({"unit": ["mm"]}, "unit: ['mm'] is not a unit"),
        ({"name": ...}, "name: missing"),
        ({"name": 7}, "name: 7 is not a name: it is not text"),
        ({"name": "  "}, 'name: " " is not a name: it is empty; give 1 to 60 characters, a letter or digit among them'),
        ({"name": "..."}, 'name: "..." is not a name: it has no letter or digit'),
        ({"name": "a\nb"}, 'name: "a b" is not a name: U+000A in it is a control character; leave it out'),
        ({"name": "x" * 61}, "name: "),
        ({"workroom": 1.5}, "workroom: 1.5 is not a name: it is not text"),
        ({"trim": {"kind": "lace"}}, 'trim.kind: "lace" is unknown; it may be "none", "band", "bought"'),
        ({"trim": {"kind": 1}}, "trim.kind: 1 is unknown"),
        ({"leg": 5}, "leg: 5 is not a table"),
        ({"leg": [1]}, "leg: [1] is not a table"),
        ({"casing": {"name": "upper", "height": 90}}, "casing: it must be a list of tables"),
        ({"casing": "upper"}, "casing: it must be a list of tables"),
        ({"casing": ["upper"]}, 'casing 1: "upper" is not a table'),
        ({"casing": [{"height": 90}]}, "casing 1: name: missing"),
        ({"casing": [{"name": 3, "height": 90}]}, "casing 1: name: 3 is not a name: it is not text"),
        ({"casing": [{"name": "x" * 25, "height": 90}]}, "casing 1: name: "),
        (
            {"casing": [{"name": "upper"}]},
            "casing 'upper': neither height nor share is given; give one of them: its height",
        ),
        ({"casing": [{"name": "upper", "height": "90"}]}, "casing 'upper'.height: \"90\" is text"),
        ({"casing": [{"name": "upper", "height": 900}]}, "casing 'upper'.height: 900 mm is outside -750 to 450 mm"),
        (
            {"casing": [{"name": "upper", "height": 90}, {"name": "Upper", "height": 140}]},
            'casing 2: name: "Upper" names two casings, "upper" and "Upper"; give each',
        ),
    ],
)
def test_malformed_designs_are_refused(changes: dict[str, Any], start: str) -> None:
    assert refusal(plain(**changes)).startswith(start)


@given(st.dictionaries(st.sampled_from(sorted(PLAIN)), st.floats() | st.text("ab1. \n", max_size=3) | st.booleans()))
def test_any_input_gives_a_design_or_one_line(values: dict[str, object]) -> None:
    message = None
    try:
        design_from({**PLAIN, **values})
    except DesignError as error:
        message = str(error)
    assert message is None or len(message.splitlines()) == 1


@pytest.mark.parametrize(
    ("unit", "tells", "remedy"),
    [
        ("mm", "at 105 mm its tuck of 10 mm comes within 3 mm of casing 'lower' at 100 mm; ", "move it up by 8 mm"),
        ("cm", "at 10.5 cm its tuck of 1 cm comes within 0.3 cm of casing 'lower' at 10 cm; ", "move it up by 0.8 cm"),
        ("in", "comes within 0.1181 in (0.3 cm) of casing 'lower'", "move it up by 0.35 in (0.9 cm)"),
    ],
)
def test_a_draft_is_refused_in_the_unit_of_its_design_and_the_remedy_helps(unit: str, tells: str, remedy: str) -> None:
    def drafted(upper: float) -> Short:
        per = MILLIMETRES[unit]
        casings = [
            {"name": name, "height": at / per, "elastic_width": 8 / per, "depth": 10 / per}
            for name, at in (("lower", 100), ("upper", upper))
        ]
        return draft_short(design_from({"name": "Plain", "unit": unit, "casing": casings}), BODY)

    with pytest.raises(DesignError) as caught:
        drafted(105)
    said = str(caught.value)
    assert tells in said
    assert remedy in said
    assert drafted(105 + float(remedy.partition("by ")[2].split()[0]) * MILLIMETRES[unit]).pieces


def test_a_casing_is_as_deep_as_its_elastic_and_its_room_unless_told_otherwise():
    # Common practice, no source: a casing 2 mm and a waist channel 5 mm deeper than the elastic is wide.
    assert CasingDesign("a", height=90).depth == 12
    assert CasingDesign("a", height=90, elastic_width=20, room=3).depth == 23
    assert CasingDesign("a", height=90, elastic_width=20, depth=30).depth == 30
    assert WaistDesign().channel == 30
    assert WaistDesign(elastic_width=40).channel == 45
    told = design_from(plain(unit="cm", waist={"elastic_width": 4}, casing=[{"name": "a", "height": 9, "room": 0.3}]))
    assert (told.waist.channel, told.casings[0].depth) == (45, 13)
    with pytest.raises(DesignError, match=r"casing 'a'\.depth"):
        CasingDesign("a", height=90, depth=None)


@pytest.mark.parametrize("finish", [{}, {"block": "skirt"}, {"block": "skirt", "finish": "faced"}])
def test_a_waist_channel_too_shallow_for_its_elastic_is_refused_and_either_remedy_helps(finish: dict[str, str]) -> None:
    block = {key: value for key, value in finish.items() if key == "block"}
    rest = {key: value for key, value in finish.items() if key != "block"}

    def told(**waist: float) -> dict[str, Any]:
        return {"name": "Plain", "unit": "mm", **block, "waist": {**rest, **waist}}

    # By hand: 40 mm of elastic and 2 mm clear are 42; 25 mm of channel less 2 are 23.
    assert refusal(told(elastic_width=40, channel=25)) == (
        "waist.channel: 25 mm is too shallow for the waist elastic, 40 mm wide and 2 mm clear "
        "(limits.elastic_clearance); set it to 42 mm at least, or waist.elastic_width to 23 mm at most"
    )
    assert design_from(told(elastic_width=40, channel=42)).waist.channel == 42
    assert design_from(told(elastic_width=23, channel=25)).waist.channel == 25
    assert refusal(told(elastic_width=12, channel=12)).endswith("or waist.elastic_width to 10 mm at most")
    assert refusal({**told(elastic_width=12, channel=12), "limits": {"elastic_clearance": 3}}).endswith(
        "15 mm at least"
    )


@pytest.mark.parametrize("unit", MILLIMETRES)
def test_a_channel_or_an_elastic_that_is_left_out_fits_the_other(unit: str) -> None:
    size = MILLIMETRES[unit]
    about = parameters_of(WaistDesign)
    for clearance in (1, 2, 10):
        for name in ("elastic_width", "room", "channel"):
            for bound in (about[name].low, about[name].high):
                limits = {"elastic_clearance": clearance / size}
                if name == "channel" and bound == about[name].low and clearance > bound - about["elastic_width"].low:
                    continue
                waist = design_from(plain(unit=unit, casing=..., limits=limits, waist={name: bound / size})).waist
                assert waist.elastic_width + 1.999999 <= waist.channel
    # By hand: 20 mm of channel less the usual room of 5; of 60 mm the usual elastic is narrow enough.
    assert (WaistDesign(channel=20).elastic_width, WaistDesign(channel=60).elastic_width) == (15, 25)
    assert (WaistDesign(channel=12).elastic_width, WaistDesign(room=10).elastic_width) == (10, 25)


def test_defaults_hang_together():
    allowances, trim = Allowances(), TrimDesign()
    assert allowances.seam == allowances.waist == FacingDesign().turn_under
    assert allowances.hem == trim.hem
    for record in (CasingDesign("a", height=90), WaistDesign()):
        for field in dataclasses.fields(record):
            assert getattr(record, field.name) == getattr(dataclasses.replace(record), field.name)
            if field.name in ("depth", "channel"):
                assert field.default == getattr(record, field.name)


@pytest.mark.parametrize(("block", "table", "other"), [("short", "panel", "skirt"), ("skirt", "leg", "short")])
def test_a_table_of_another_block_tells_whose_it_is(block: str, table: str, other: str) -> None:
    with pytest.raises(
        DesignError, match=f'"{table}" is no part of a {block}, but of a {other}; write block = "{other}"'
    ):
        design_from({"block": block, "name": "Dipper", "unit": "mm", table: {}})
