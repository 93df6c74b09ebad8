from __future__ import annotations

from drafting.path import Path
from drafting.point import Point
from drafting.role import Role
from output.drawing.pens import COMPARISON_PENS, LAY_PENS, PENS, PICTURE_PENS, stroked
from output.drawing.sheet import Stroke

OWN_LOOK = {Role.KEY, Role.LABEL, Role.GRID}
"""A sample looks like what it shows, a label is a text, and the lines of a grid are as heavy as a projector needs."""


def test_every_role_has_a_pen():
    assert {*PENS, *LAY_PENS, *COMPARISON_PENS, *PICTURE_PENS} | OWN_LOOK == {*Role}
    assert not {*PENS, *LAY_PENS, *COMPARISON_PENS, *PICTURE_PENS} & OWN_LOOK


def test_a_line_is_drawn_with_the_pen_of_its_role():
    path = Path.through(Point(0, 0), Point(90, 0))
    for role, pen in PENS.items():
        assert stroked(path, role, filled=True, layers=("H102",)) == Stroke(path, role, pen, True, ("H102",))


def test_what_is_not_to_be_cut_is_finer_than_the_cut_line_or_hides():
    furniture = (Role.JOIN, Role.REGISTER, Role.SQUARE, Role.RULE, Role.PATCH)
    assert all(2 * PENS[role].width < PENS[Role.CUT].width for role in furniture)
