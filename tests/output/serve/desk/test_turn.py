"""Turns at the desk: changes of a design, one after the other, against the files as they are."""

from __future__ import annotations

import shutil
from dataclasses import replace

import pytest

from drafting.errors import DraftError
from output.serve.desk.steps import DESIGN, TABLE
from output.serve.desk.study import View
from output.serve.desk.turn import Look, Sent, turn
from output.serve.form import FormError
from sampled import SAMPLES

LOOK = Look(size="H100", rise="high")


@pytest.fixture
def begun(tmp_path):
    """What the first turn sends, over a copy of the samples."""
    for name in ("design.toml", "sizes.csv"):
        shutil.copy(SAMPLES / name, tmp_path)
    return Sent(design=tmp_path / "design.toml", table=tmp_path / "sizes.csv", look=LOOK, whole=False)


def after(sent, *, do="", **typed):
    """The next turn's sending, and what it gets back: fields of a call are those of a page, with _ for its points."""
    made = turn(replace(sent, typed={name.replace("__", "."): value for name, value in typed.items()}, do=do))
    return replace(sent, copy=made.copy, seen=made.seen, typed={}, do=""), made


def value(made, place):
    return next(one for group in made.groups for one in group.values if one.place == place)


def test_the_first_turn_shows_the_files_as_they_are(begun):
    _, made = after(begun)
    assert made.copy.design == begun.design.read_text()
    assert made.copy.table == begun.table.read_text()
    assert made.unsaved == 0
    assert made.drawn.size == "H100"
    assert made.drawn.drawings


def test_a_value_is_typed_undone_done_again_and_saved_with_all_comments(begun):
    old = begun.design.read_text()
    sent, made = after(begun, p__leg__fullness="1.8")
    assert value(made, "leg.fullness").value == "1.8"
    assert [(one.place, one.before, one.after) for one in made.differences[DESIGN]] == [("leg.fullness", "1.5", "1.8")]
    sent, made = after(sent, do="undo")
    assert (made.copy.design, made.unsaved) == (old, 0)
    sent, made = after(sent, do="redo")
    sent, made = after(sent, do="save")
    assert made.told == "Saved: design.toml"
    assert begun.design.read_text() == old.replace("fullness = 1.5  ", "fullness = 1.8  ")
    assert made.unsaved == 0
    assert not made.outside
    sent, made = after(sent, do="undo")
    assert made.unsaved == 1


def test_the_same_value_is_no_change_and_none_is_its_default(begun):
    sent, made = after(begun, p__leg__fullness="1.5", p__leg__taper="0")
    assert not made.copy.done
    sent, made = after(sent, p__leg__inseam_length="")
    assert value(made, "leg.inseam_length").value is None
    sent, made = after(sent, do="default leg.fullness")
    assert value(made, "leg.fullness").value is None
    assert len(made.copy.done) == 2


def test_a_step_that_came_to_nothing_is_not_gone_on_with(begun):
    """What is typed next would be joined to the step before it."""
    sent, made = after(begun, p__leg__fullness="1.6")
    assert made.open
    sent, made = after(sent, p__leg__fullness="1")
    assert made.open
    typing = replace(sent, joined=True)
    typing, made = after(typing, p__leg__fullness="1")
    assert made.open
    typing, made = after(typing, p__leg__fullness="1.6")
    assert not made.open
    sent, made = after(replace(typing, joined=False), p__leg__fullness="1.65")
    assert [value(after(sent, do="undo")[1], "leg.fullness").value, len(made.copy.done)] == ["1.6", 2]


def test_what_is_no_number_is_refused_at_its_field_and_nothing_else_is_lost(begun):
    _, made = after(begun, p__leg__fullness="much", p__leg__taper="0.3")
    assert set(made.refused) == {"p.leg.fullness"}
    assert "is text, not a number" in made.refused["p.leg.fullness"]
    assert value(made, "leg.taper").value == "0.3"


def test_a_value_out_of_range_is_kept_and_told_at_its_place(begun):
    _, made = after(begun, p__leg__fullness="9")
    assert "9 is outside 1 to 2.2" in value(made, "leg.fullness").problem
    assert not made.drawn.drawings


def test_nothing_is_saved_while_something_is_refused(begun):
    old = begun.design.read_text()
    _, made = after(begun, do="save", p__leg__taper="0.3", p__leg__fullness="much")
    assert made.told.startswith("nothing is saved")
    assert begun.design.read_text() == old


def test_a_casing_is_moved_by_its_share_and_by_its_height(begun):
    sent, made = after(begun)
    (upper, _, thigh, _) = made.drawn.made[0].casings
    sent, made = after(sent, **{"m.upper": str(upper.at - 10), "m.thigh": str(thigh.at + 3)})
    now = {one.name: one for one in made.drawn.made[0].casings}
    assert now["upper"].at == upper.at - 10
    assert now["thigh"].at == thigh.at + 3
    assert {one.place for one in made.differences[DESIGN]} == {"casing.upper.share", "casing.thigh.height"}


def test_a_casing_is_moved_on_from_where_it_cannot_be_drafted(begun):
    _, made = after(begun)
    upper, lower = made.drawn.made[0].casings[:2]
    stuck = replace(begun, joined=True)
    sent, made = after(stuck, **{"m.thigh": "-1"})
    assert not made.drawn.drawings
    sent, made = after(sent, **{"m.thigh": "-75"})
    assert made.drawn.drawings
    assert value(made, "casing.thigh.height").value == "-75"
    assert len(made.copy.done) == 1
    assert upper.at > lower.at


def test_a_casing_stays_on_its_side_and_on_the_garment(begun):
    _, made = after(begun, **{"m.upper": "-500"})
    assert value(made, "casing.upper.share").value is not None
    assert float(value(made, "casing.upper.share").value) > 0
    _, made = after(begun, **{"m.thigh": "-99999"})
    assert float(value(made, "casing.thigh.height").value) >= -140


@pytest.mark.parametrize("steps", ["", "x", "1.5", "9" * 30, "٣"])
def test_a_place_that_is_no_count_is_refused(begun, steps):
    _, made = after(begun, **{"m.upper": steps})
    assert "cannot be moved" in made.refused["m.upper"]


def test_a_casing_is_renamed_and_removed(begun):
    sent, made = after(begun, p__casing__upper__name="high")
    assert value(made, "casing.high.name").value == "high"
    sent, made = after(sent, do="remove high")
    assert [one.name for one in made.drawn.made[0].casings] == ["lower", "thigh", "frill"]
    _, made = after(sent, do="undo")
    assert value(made, "casing.high.share").value == "0.56"


def test_a_file_changed_outside_is_never_written_over_without_a_choice(begun):
    sent, _ = after(begun, p__leg__fullness="1.8")
    theirs = begun.design.read_text().replace("inseam_length = 140", "inseam_length = 150")
    begun.design.write_text(theirs)
    sent, made = after(sent)
    (outside,) = made.outside
    assert {one.place for one in outside.differences} == {"leg.fullness", "leg.inseam_length"}
    sent, made = after(sent, do="save")
    assert made.told.startswith("nothing is saved")
    assert begun.design.read_text() == theirs

    mine, made = after(sent, do="mine design")
    assert not made.outside
    _, made = after(mine, do="save")
    assert "inseam_length = 140" in begun.design.read_text()
    assert "fullness = 1.8" in begun.design.read_text()

    begun.design.write_text(theirs)
    loaded, made = after(sent, do="theirs design")
    assert (made.copy.design, made.unsaved, made.outside) == (theirs, 0, ())
    _, made = after(loaded, do="undo")
    assert value(made, "leg.fullness").value == "1.8"


def test_a_file_that_was_made_alike_outside_is_no_matter(begun):
    sent, made = after(begun, p__leg__fullness="1.8")
    begun.design.write_text(made.copy.design)
    sent, made = after(sent)
    assert not made.outside
    assert made.unsaved == 0


def test_both_files_are_watched_and_none_is_saved_if_either_has_changed(begun):
    sent, _ = after(begun, p__leg__fullness="1.8")
    begun.table.write_text(begun.table.read_text().replace("58.6", "58.7"))
    old = begun.design.read_text()
    _, made = after(sent, do="save")
    assert [one.which for one in made.outside] == [TABLE]
    assert begun.design.read_text() == old


def test_sizes_of_a_nest_are_switched_on_and_off(begun):
    nest = replace(begun, look=replace(LOOK, view=View.NEST, sizes=("H84", "H100")))
    _, made = after(nest)
    assert [one.size for one in made.drawn.made] == ["H84", "H100"]
    assert made.drawn.drawings[0].svg.count('class="size"') == 2


def test_the_whole_range_is_looked_at_when_asked(begun):
    _, made = after(replace(begun, whole=True))
    assert made.whole
    assert len({one.size for one in made.whole.made}) == len(made.whole.labels)
    assert after(begun)[1].whole is None


def test_a_design_that_is_no_toml_can_still_be_put_right(begun):
    sent, _ = after(begun)
    begun.design.write_text("[leg\n")
    sent, made = after(sent)
    assert made.outside
    sent, made = after(sent, do="theirs design")
    assert "not TOML" in made.problem
    _, made = after(sent, do="undo")
    assert made.groups


@pytest.mark.parametrize("do", ["explode", "theirs elsewhere", "mine"])
def test_what_no_page_asks_for_is_refused(begun, do):
    with pytest.raises(FormError, match="open the desk anew"):
        after(begun, do=do)


def test_a_field_that_no_page_has_is_refused(begun):
    with pytest.raises(FormError, match="no field of this page"):
        after(begun, x="1")


def test_a_value_that_is_not_in_the_design_is_refused_at_its_field(begun):
    _, made = after(begun, **{"p.leg.wings": "2"})
    assert "no such value" in made.refused["p.leg.wings"]


def test_a_file_that_is_gone_is_told(begun):
    sent, _ = after(begun)
    begun.design.unlink()
    with pytest.raises(DraftError, match=r"design\.toml: cannot be read"):
        after(sent)


def test_a_cell_is_typed_refused_at_its_place_and_saved(begun):
    old = begun.table.read_text()
    sent, made = after(begun, **{"c.1.waist_girth": "58.8"})
    assert [(one.place, one.before, one.after) for one in made.differences[TABLE]] == [
        ("H84.waist_girth", "58.6", "58.8")
    ]
    wrong, made = after(sent, **{"c.2.hip_girth": "wide"})
    (problem,) = [one for one in made.problems if one.column == "hip_girth"]
    assert (problem.row, "wide" in problem.message) == (2, True)
    assert not made.drawn.drawings
    sent, made = after(wrong, do="undo")
    sent, made = after(sent, do="save")
    assert begun.table.read_text() == old.replace("58.6", "58.8")


def test_a_cell_that_is_as_it_was_is_no_change_and_one_that_is_not_there_is_refused(begun):
    _, made = after(begun, **{"c.1.size": "H84", "c.99.size": "H999", "c.1.wings": "2", "c.x.size": "1"})
    assert not made.copy.done
    assert set(made.refused) == {"c.99.size", "c.1.wings", "c.x.size"}


def test_rows_and_columns_are_added_and_removed_and_each_is_taken_back_by_itself(begun):
    old = begun.table.read_text()
    sent, _ = after(begun, do="unrow 3")
    sent, _ = after(sent, do="row 2")
    sent, made = after(sent, do="column", **{"new.column": "thigh_girth"})
    places = [one.place for one in made.differences[TABLE]]
    assert {"thigh_girth", "H92", "new"} <= set(places)
    for place in places:
        sent, made = after(sent, do=f"revert table {place}")
    assert made.copy.table == old
    assert made.unsaved == 0


def test_every_change_of_a_design_is_taken_back_by_itself(begun):
    sent, _ = after(begun, p__leg__fullness="1.8", p__leg__taper="0.2", p__name="Kite shorts")
    sent, _ = after(sent, do="remove upper")
    sent, made = after(sent, do="add", **{"new.casing": "extra"})
    changed = {one.place for one in made.differences[DESIGN]}
    assert changed == {"name", "leg.fullness", "leg.taper", "casing.upper", "casing.extra"}
    for place in sorted(changed):
        sent, made = after(sent, do=f"revert design {place}")
        assert place not in {one.place for one in made.differences[DESIGN]}
    assert {one.place for one in made.differences[DESIGN]} <= {"text"}
    assert value(made, "casing.upper.share").value == "0.56"
    sent, made = after(sent, do="revert design text")
    assert made.copy.design == begun.design.read_text()


def test_a_renamed_size_is_one_change(begun):
    sent, made = after(begun, **{"c.1.size": "XS"})
    assert [(one.place, one.before, one.after) for one in made.differences[TABLE]] == [("XS.size", "H84", "XS")]
    _, made = after(sent, do="revert table XS.size")
    assert made.unsaved == 0


def test_a_change_that_is_not_there_cannot_be_taken_back(begun):
    _, made = after(begun, do="revert design leg.taper")
    assert "nothing is changed there" in made.told


def test_casings_change_places_in_the_file(begun):
    sent, made = after(begun, do="down upper")
    casings = [group.place for group in made.groups if group.place.startswith("casing.")]
    assert casings[:2] == ["casing.lower", "casing.upper"]
    _, made = after(sent, do="up lower")
    assert "none to change places with" in made.told


def test_a_new_casing_has_room_in_every_size(begun):
    _, made = after(replace(begun, whole=True), do="add")
    assert made.told == "A casing is added; move it to where it is wanted"
    assert "new" in {one.name for one in made.drawn.made[0].casings}
    assert not [note for note in made.whole.notes if note.casing == "new"]


def test_the_name_of_a_new_casing_must_be_free(begun):
    _, made = after(begun, do="add", **{"new.casing": "upper"})
    assert "upper" in made.told
    assert not made.copy.done
