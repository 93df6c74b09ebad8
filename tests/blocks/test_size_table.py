import pickle
import re
from itertools import pairwise

import pytest

from blocks.size_table import TableLimits, size_table_from
from drafting.errors import DesignError, MeasurementError, TableError
from output.system.reading import read_sizes
from ranges import SIZES, TABLE, rows, table


def problems(sizes, unit="cm", **data):
    with pytest.raises(TableError) as error:
        size_table_from({"unit": unit, "body": sizes, **data})
    assert str(error.value).splitlines() == list(error.value.problems)
    return error.value.problems


def changed(index, **values):
    sizes = rows()
    sizes[index] |= values
    return sizes


# --- the sample -------------------------------------------------------------------------------------------------------


def test_sample_has_sixteen_sizes_named_by_their_hip_girth():
    assert len(TABLE.sizes) == 16
    assert [size.label for size in TABLE.sizes] == [f"H{size.body.hip_girth / 10:.0f}" for size in TABLE.sizes]
    assert (TABLE.sizes[0].label, TABLE.sizes[-1].label) == ("H84", "H152")


def test_the_measurements_of_one_body_are_a_table_of_one_size():
    measured = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
    for label, size in (("H102", {}), ("mine", {"size": "mine"})):
        made = size_table_from({"unit": "cm", **measured, **size})
        row = size_table_from({"unit": "cm", "body": [{"size": label, **measured}]})
        assert (made.sizes, made.unit, made.warnings) == (row.sizes, "cm", ())
    with pytest.raises(MeasurementError, match="unit: missing"):
        size_table_from(measured)
    with pytest.raises(MeasurementError, match="body_rise"):
        size_table_from({"unit": "cm", "waist_girth": 76, "hip_girth": 102, "waist_to_hip": 20.5})


def test_sample_steps_are_those_of_size_designation():
    # EN 13402-3, from memory: girths step by 4 cm, and by 5 or 6 cm in the larger sizes; the waist follows.
    hips = [size.body.hip_girth for size in TABLE.sizes]
    steps = [after - before for before, after in pairwise(hips)]
    assert steps == [40] * 11 + [60] * 4
    waists = [size.body.waist_girth for size in TABLE.sizes]
    shares = [(after - before) / step for (before, after), step in zip(pairwise(waists), steps, strict=True)]
    assert shares == sorted(shares)
    assert 0.9 <= shares[0] <= shares[-1] <= 1.25


def test_sample_grows_without_a_bump_far_inside_what_is_allowed():
    strict = TableLimits(girth=2, length=1)
    assert size_table_from(read_sizes(SIZES), limits=strict).sizes == TABLE.sizes


def test_unusual_bodies_are_told_once_for_each_measurement():
    waist, hip = TABLE.warnings
    assert waist.startswith("waist_girth: unusual in H140, H146, H152 (mostly 58 to 115 cm)")
    assert hip.startswith("hip_girth: unusual in H152")


# --- what is accepted -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 3, 60])
def test_any_number_of_sizes(count):
    assert len(table(rows(count, start=80, step=1.5)).sizes) == count


def test_text_as_a_spreadsheet_gives_it_and_numbers_are_the_same():
    as_text = [{name: str(value) for name, value in row.items()} | {"unit": "cm"} for row in rows()]
    assert size_table_from({"body": as_text}) == table(rows())


def test_inches():
    in_inches = [{name: value if name == "size" else value / 2.54 for name, value in row.items()} for row in rows()]
    made = table(in_inches, unit="in")
    assert made.unit == "in"
    for inch, cm in zip(made.sizes, table(rows()).sizes, strict=True):
        assert inch.body.hip_girth == pytest.approx(cm.body.hip_girth, abs=1e-6)


def test_steps_may_turn_from_four_to_six_and_a_measurement_may_stay():
    sizes = rows(6) + rows(4, start=110, step=6)
    for row in sizes:
        row["waist_to_hip"] = 20.5
    assert len(table(sizes).sizes) == 10


def test_optional_measurements_are_taken():
    made = table([row | {"thigh_girth": 0.6 * row["hip_girth"]} for row in rows()])
    assert made.sizes[3].body.measured("thigh_girth") == pytest.approx(576)


def test_a_size_is_found_by_its_label():
    assert TABLE.size("H104").body.hip_girth == 1040
    with pytest.raises(MeasurementError, match=r'"h104" is not in the table; did you mean H104\?'):
        TABLE.size("h104")
    with pytest.raises(MeasurementError, match="known are H84, H88"):
        TABLE.size("H105")


# --- what is refused --------------------------------------------------------------------------------------------------

ONE_FAULT = {
    "unknown column": (
        [row | {"hip_girt": 1} for row in rows()],
        r"hip_girt: unknown column; did you mean hip_girth\?",
    ),
    "missing column": (
        [{name: value for name, value in row.items() if name != "body_rise"} for row in rows()],
        "body_rise: missing column; .* for every size",
    ),
    "no label": ([rows(1)[0] | {"size": ""}], "row 1: size: .* is not a label"),
    "blank": (changed(3, waist_girth=" "), "H96: waist_girth: blank; it may be 45 to 190 cm"),
    "blank option": (
        [row | ({"thigh_girth": 55} if row["size"] != "H92" else {}) for row in rows(4)],
        "H92: thigh_girth: blank; .* for every size, or for none",
    ),
    "comma": (changed(3, waist_girth="1.070,5"), 'H96: waist_girth: "1.070,5" has two kinds of marks'),
    "underscore": (changed(3, waist_girth="7_2"), 'H96: waist_girth: "7_2" is text'),
    "not finite": (changed(3, waist_girth="nan"), "H96: waist_girth: nan is not a finite number"),
    "wrong unit": (changed(3, hip_girth=38), "H96: hip_girth: 38 cm is outside"),
    "contradiction": (changed(3, waist_girth=47), "H96: waist_girth: 47 cm contradicts hip_girth 96 cm"),
    "label twice": (changed(3, size="h92"), "h92: two sizes have this label"),
    "size twice": (changed(3, hip_girth=92), "H96: hip_girth: 92 cm is that of H92 too"),
    "out of order": (
        [*rows()[:3], rows()[4], rows()[3], *rows()[5:]],
        "H96: out of order: .* 96 cm follows 100 cm of H100",
    ),
    "gap": ([*rows()[:5], *rows()[6:]], "H100 to H108: gap: their step of 8 cm stands beside 4 cm and 4 cm"),
    "gap at the end": (rows()[:5] + rows()[6:7], "H100 to H108: gap: their step of 8 cm stands beside 4 cm"),
    "rise 1.5 cm up": (changed(7, body_rise=29.0), "H112: body_rise: 29 cm is 1.5 cm more than H108 and H116 lead to"),
    "first rise down": (changed(0, body_rise=24.6), "H84: body_rise: .* is 1.5 cm less than H88 and H92 lead to"),
    "last rise up": (changed(15, body_rise=30.6), "H144: body_rise: .* is 1.5 cm more than H136 and H140 lead to"),
    "waist": (changed(7, waist_girth=86), "H112: waist_girth: 86 cm is 2 cm more than H108 and H116 lead to"),
    "falls": (
        [row | {"waist_to_hip": 22 - (row["hip_girth"] == 144) * 0.3} for row in rows()],
        "H144: waist_to_hip: 21.7 cm is less than 22 cm of H140; a larger size must not have less",
    ),
}


@pytest.mark.parametrize("case", ONE_FAULT)
def test_each_fault_is_told_in_one_line(case):
    sizes, words = ONE_FAULT[case]
    found = problems(sizes)
    assert len(found) == 1, found
    assert re.match(words, found[0]), found


def test_a_hip_girth_off_by_two_is_named():
    found = problems(changed(5, hip_girth=106))
    assert any("H104 to H108: hip_girth: their step of 2 cm stands beside 6 cm and 4 cm" in line for line in found)


def test_every_fault_is_told_at_once():
    sizes = changed(2, waist_girth="", body_rise="x")
    sizes[5]["hip_girth"] = 400
    found = problems(sizes)
    assert [line.split(":")[:2] for line in found] == [
        ["H92", " waist_girth"],
        ["H92", " body_rise"],
        ["H104", " hip_girth"],
    ]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"body": rows()}, "unit: missing column; it may be mm, cm, in"),
        ({"unit": "ell", "body": rows()}, 'unit: "ell" is not a unit of length in unit'),
        ({"unit": 1, "body": rows()}, 'unit: "1" is not a unit'),
        ({"body": [row | {"unit": ""} for row in rows()]}, "unit: blank in H84 and 15 more"),
        ({"body": [row | ({"unit": "cm"} if row["size"] != "H92" else {}) for row in rows()]}, "unit: missing in some"),
        (
            {"body": [row | {"unit": "in" if row["size"] == "H92" else "cm"} for row in rows()]},
            "unit: mixed, cm in H84 and 14 more, in in H92; measure the whole table in one unit",
        ),
        ({"unit": "cm", "bodies": rows()}, r"bodies: unknown key; did you mean body\?"),
        ({"unit": "cm", "body": {}}, r"body: it must be a list of tables; write each size under a line \[\[body\]\]"),
        ({"unit": "cm", "body": [3]}, "body: it must be a list of tables"),
        ({"unit": "cm", "body": []}, "size table: it has no sizes"),
        ({"unit": "cm"}, "size table: it has no sizes"),
    ],
)
def test_the_unit_and_the_frame_of_a_table(data, words):
    with pytest.raises(TableError, match=words) as error:
        size_table_from(data)
    assert len(error.value.problems) == 1


def test_problems_survive_the_way_to_another_process():
    error = pickle.loads(pickle.dumps(TableError("one: a", "two: b")))
    assert error.problems == ("one: a", "two: b")
    assert str(error) == "one: a\ntwo: b"


def test_limits_have_ranges():
    with pytest.raises(DesignError, match=r"size table\.girth: 100 mm is outside 2 to 60 mm"):
        TableLimits(girth=100)
