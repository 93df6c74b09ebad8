"""What a fitting found: how it comes in, what contradicts what, and how it is told."""

from __future__ import annotations

import re

import pytest

from blocks.fitting import NAMES, OPPOSITES, PLAIN, STARTS, Finished, Fitting, called, compared, fitting_from, told
from blocks.measurements import body_from, labelled_body, marked
from blocks.parameters import parameters_of
from blocks.size_range import draft_to_fit
from blocks.size_table import size_table_from
from blocks.skirt.design import SkirtDesign
from drafting.errors import DraftError, MeasurementError, TableError
from drafting.path import Path
from drafting.point import Point

MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
FILE = {"unit": "cm", **MEASURED}
ABOUT = parameters_of(Fitting)


@pytest.mark.parametrize("name", NAMES)
def test_an_amount_may_be_anything_in_its_range_and_begins_well_inside(name):
    about = ABOUT[name]
    assert Fitting(**{name: about.high}).found == {name: about.high}
    assert Fitting(**{name: 0}) == PLAIN
    assert 0 < STARTS[name] <= about.high / 2
    for amount in (-0.1, about.high + 0.1, float("nan"), "ten"):
        with pytest.raises(MeasurementError, match=f"^fit.{name}"):
            Fitting(**{name: amount})


def test_every_finding_that_has_an_opposite_is_refused_beside_it_by_both_names():
    for one, other in (*OPPOSITES, ("hollow_back", "high_waist_back")):
        for first, second in ((one, other), (other, one)):
            with pytest.raises(MeasurementError) as refused:
                Fitting(**{first: 10, second: 5})
            assert one in str(refused.value)
            assert other in str(refused.value)


def test_a_crotch_is_given_in_whole_or_in_halves():
    Fitting(long_front_crotch=10, short_back_crotch=5)
    for half in ("long_front_crotch", "short_back_crotch"):
        with pytest.raises(MeasurementError, match=f"^fit.long_crotch.*{half}"):
            Fitting(long_crotch=10, **{half: 5})


@pytest.mark.parametrize(
    ("raw", "unit", "amount"),
    [
        (1.2, "cm", 12),
        ("12mm", "cm", 12),
        ("12 mm", "in", 12),
        ("1,2 cm", "mm", 12),
        ("0.5 in", "mm", 12.7),
        (0, "cm", 0),
    ],
)
def test_an_amount_is_in_the_unit_of_its_table_unless_it_says_its_own(raw, unit, amount):
    assert fitting_from({"full_seat": raw}, unit).full_seat == pytest.approx(amount)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"ful_seat": 1}, "did you mean full_seat?"),
        ({"sway_back": 1}, "did you mean hollow_back?"),
        ({"full_bottom": 1}, "did you mean full_seat?"),
        ({"full_seat": "x"}, '"x" is no amount; it may be 0 to 5 cm'),
        ({"full_seat": ""}, "it has no amount"),
        ({"full_seat": True}, "no amount"),
        ({"full_seat": 12}, 'write "12 mm"'),
        ({"full_seat": -1}, "give it to flat_seat instead"),
        ({"flat_seat": -1}, "give it to full_seat instead"),
        ([], "is not a table"),
    ],
)
def test_what_cannot_be_meant_is_refused_by_name_with_what_to_write(values, said):
    with pytest.raises(MeasurementError, match=f"^fit.*{re.escape(said)}"):
        fitting_from(values, "cm")


def test_the_remedies_of_refusals_are_taken():
    assert fitting_from({"full_seat": "12 mm"}, "cm").found == {"full_seat": 12}
    assert fitting_from({"flat_seat": 1}, "cm").found == {"flat_seat": 10}


def test_a_measurements_file_has_a_table_of_findings_in_its_own_unit():
    _, body = labelled_body({**FILE, "fit": {"full_seat": 1.5, "hollow_back": "8 mm"}})
    assert body.fitting.found == {"full_seat": 15, "hollow_back": 8}
    assert labelled_body(FILE)[1].fitting == PLAIN
    with pytest.raises(MeasurementError, match=r"did you mean fit"):
        labelled_body({**FILE, "fits": {}})


def test_what_is_asked_for_goes_over_the_file():
    data = {**FILE, "fit": {"full_seat": 1.5, "hollow_back": 0.8}}
    assert labelled_body(data, adjust={"full_seat": "5mm"})[1].fitting.found == {"full_seat": 5, "hollow_back": 8}
    assert labelled_body(data, adjust={"full_seat": 0})[1].fitting.found == {"hollow_back": 8}
    with pytest.raises(MeasurementError, match=r"full_seat.*flat_seat"):
        labelled_body(data, adjust={"flat_seat": 1})


def test_a_size_that_is_adjusted_is_called_so_once():
    body = labelled_body({**FILE, "fit": {"full_seat": 1}})[1]
    assert marked("H102", body) == "H102 adjusted"
    assert marked("Mara Adjusted", body) == "Mara Adjusted"
    assert marked("H102", body_from(MEASURED, unit="cm")) == "H102"
    with pytest.raises(MeasurementError, match=r"^size: .* at most 11 characters"):
        marked("x" * 12, body)
    assert len(marked("x" * 11, body)) == 20


def test_a_measurements_file_is_a_table_of_one_adjusted_size_and_no_other_table_has_findings():
    table = size_table_from({**FILE, "size": "H102", "fit": {"full_seat": 1}})
    assert [size.label for size in table.sizes] == ["H102 adjusted"]
    assert table.sizes[0].body.fitting.found == {"full_seat": 10}
    row = {"size": "H102", **MEASURED}
    for data in ({"unit": "cm", "body": [row], "fit": {}}, {"unit": "cm", "body": [{**row, "full_seat": 1}]}):
        with pytest.raises(TableError, match=r"one wearer.*measurements file"):
            size_table_from(data)


def test_a_skirt_takes_no_findings():
    body = labelled_body({**FILE, "fit": {"full_seat": 1}})[1]
    with pytest.raises(DraftError, match=r"^fit.full_seat: a skirt"):
        draft_to_fit(SkirtDesign("Plain"), body)


def test_findings_are_told_as_a_reader_calls_them():
    assert told(Fitting(full_seat=12, high_waist_side=5.5)) == "full seat 12 mm, high waist at the side 5.5 mm"
    assert len({called(name) for name in NAMES}) == len(NAMES)


def test_what_moved_is_told_outwards_and_up_on_both_sides():
    before = {"cf": Point(100, 200), "cb": Point(-100, 220), "side": Point(0, 210)}
    after = {"cf": Point(103, 200), "cb": Point(-95, 230), "side": Point(0, 210)}
    outline = Path.through(*before.values(), before["cf"])
    made = compared(
        Fitting(full_seat=12),
        Finished(before, {"back": 400, "front": 300}, outline),
        Finished(after, {"back": 412, "front": 300}, outline),
    )
    assert [(one.name, one.out, one.up, one.at) for one in made.points] == [
        ("cf", 3, 0, after["cf"]),
        ("cb", -5, 10, after["cb"]),
    ]
    assert [(one.name, one.by) for one in made.edges] == [("back", 12)]
    assert made.moved == (
        ("cf", "3 mm (1/8 in) out"),
        ("cb", "10 mm (3/8 in) up, 5 mm (3/16 in) in"),
        ("back", "12 mm (1/2 in) longer, now 41.2 cm (16 1/4 in)"),
    )
