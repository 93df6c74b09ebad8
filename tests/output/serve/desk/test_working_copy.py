"""The steps of a working copy, back and forth."""

from __future__ import annotations

import json
import random

import pytest

from output.serve.desk.steps import MOST, Copy, copy_from, steps_text
from output.serve.form import FormError

LETTERS = "ab=1\n\r\"'é€𝄞"


def _random_text(chance):
    return "".join(chance.choice(LETTERS) for _ in range(chance.randrange(30)))


def test_any_run_of_changes_is_undone_and_redone_to_the_letter():
    chance = random.Random(11)
    for _ in range(200):
        copies = [Copy(_random_text(chance), _random_text(chance))]
        for _ in range(chance.randrange(1, 12)):
            which = chance.choice(("design", "table"))
            copies.append(copies[-1].changed(which, "place", _random_text(chance)))
        told = [(copy.design, copy.table) for copy in copies]
        distinct = [one for number, one in enumerate(told) if not number or one != told[number - 1]]
        back = copies[-1]
        for wanted in reversed(distinct[:-1]):
            back = _carried(back.undo())
            assert (back.design, back.table) == wanted
        assert back.undo() == back
        for wanted in distinct[1:]:
            back = _carried(back.redo())
            assert (back.design, back.table) == wanted
        assert back.redo() == back


def _carried(copy):
    """The copy after it has been in a page."""
    return copy_from(json.dumps(copy.design), json.dumps(copy.table), steps_text(copy))


def test_a_number_that_is_typed_is_one_step_but_not_with_what_came_between():
    copy = Copy("1", "x").changed("design", "a", "12", joined=True).changed("design", "a", "123", joined=True)
    assert [step.after for step in copy.done] == ["23"]
    assert len(copy.changed("table", "r", "y").changed("design", "a", "1234", joined=True).done) == 3
    assert len(copy.changed("design", "a", "1234").done) == 2
    assert copy.changed("design", "a", "1", joined=True).done == ()


def test_a_change_forgets_what_was_taken_back():
    copy = Copy("1", "").changed("design", "a", "2").undo().changed("design", "a", "3")
    assert copy.undone == ()
    assert copy.undo().design == "1"


def test_the_newest_steps_alone_are_kept():
    copy = Copy("0", "")
    for number in range(1, MOST + 50):
        copy = copy.changed("design", str(number), str(number))
    assert len(copy.done) == MOST
    for _ in range(MOST):
        copy = copy.undo()
    assert copy.design == "49"
    whole = Copy("a" * 300_000, "").changed("design", "all", "b" * 300_000)
    assert whole.done == ()


@pytest.mark.parametrize(
    ("design", "table", "steps"),
    [
        ("", '""', "[[],[]]"),
        ('"a"', "1", "[[],[]]"),
        ('"a"', '"b"', ""),
        ('"a"', '"b"', "[]"),
        ('"a"', '"b"', "[[],[],[]]"),
        ('"a"', '"b"', "[[[]],[]]"),
        ('"a"', '"b"', "[[1],[]]"),
        ('"a"', '"b"', '[[["other","x",0,"","a"]],[]]'),
        ('"a"', '"b"', '[[["design","x",-1,"","a"]],[]]'),
        ('"a"', '"b"', '[[["design","x",true,"","a"]],[]]'),
        ('"a"', '"b"', '[[["design","x",0,null,"a"]],[]]'),
        ('"\\ud800"', '"b"', "[[],[]]"),
        ('"a"', '"b"', '[[["design","x",0,"\\udfff","a"]],[]]'),
        ('"a"', '"b"', "[" * 100_000),
    ],
)
def test_what_no_page_has_sent_is_refused(design, table, steps):
    with pytest.raises(FormError, match="open the desk anew"):
        copy_from(design, table, steps)


def test_a_step_of_another_text_is_refused():
    with pytest.raises(FormError, match="cannot be undone"):
        copy_from('"a"', '"b"', '[[["design","x",5,"","z"]],[]]').undo()
