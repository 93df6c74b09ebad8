from __future__ import annotations

import pytest

from drafting.path import Path
from drafting.role import Role
from output.drawing.pens import PENS
from output.drawing.pieces import draw_sheet, piece_strokes
from sample_pieces import leg_like, marked, strip

LEG = (Role.CUT, Role.SEAM, Role.FOLD, Role.STITCH, Role.GRAIN, Role.NOTCH)
PATTERN = (*LEG[:4], Role.PLACE, Role.CROSS, Role.BUTTONHOLE, *LEG[4:])


def paths(strokes, role: Role) -> list[Path]:
    return [stroke.path for stroke in strokes if stroke.role is role]


def test_every_line_of_a_piece_has_the_role_of_what_it_is():
    piece = leg_like(casings=2)
    strokes = piece_strokes(piece)
    assert paths(strokes, Role.CUT) == [piece.cut_line]
    assert paths(strokes, Role.SEAM) == [piece.seam_line]
    for role, lines, count in ((Role.FOLD, piece.fold_lines, 2), (Role.STITCH, piece.stitch_lines, 4)):
        ends = [(path.start, path.end) for path in paths(strokes, role)]
        assert ends == [(line.start, line.end) for line in lines]
        assert len(ends) == count
    assert len(paths(strokes, Role.GRAIN)) == 3  # a shaft and two heads
    assert len(paths(strokes, Role.NOTCH)) >= len(piece.notches)


def test_every_mark_is_drawn_by_its_kind():
    piece = marked()
    strokes = piece_strokes(piece)
    pocket, loop, buttonhole, crease, _ = piece.marks
    assert paths(strokes, Role.PLACE) == [pocket.line, loop.line]
    assert crease.line in paths(strokes, Role.FOLD)
    assert paths(strokes, Role.BUTTONHOLE)[0] == buttonhole.line
    bars = paths(strokes, Role.BUTTONHOLE)[1:]
    assert [bar.start.toward(bar.end, 0.5) for bar in bars] == [buttonhole.line.start, buttonhole.line.end]
    middles = {path.start.toward(path.end, 0.5) for path in paths(strokes, Role.CROSS)}
    assert middles == {point for mark in piece.marks for point in mark.points}


@pytest.mark.parametrize("piece", [leg_like(casings=2), leg_like(), strip(), marked()], ids=lambda piece: piece.title)
def test_the_lines_of_a_role_follow_one_another_the_cut_line_first(piece):
    roles = [stroke.role for stroke in piece_strokes(piece)]
    assert roles == sorted(roles, key=PATTERN.index)


def test_roles_of_a_pattern_are_told_apart_in_black_and_white():
    assert {stroke.role for stroke in piece_strokes(leg_like(casings=2))} == set(LEG)
    assert {stroke.role for stroke in piece_strokes(marked())} == set(PATTERN)
    assert {stroke.pen.colour for stroke in piece_strokes(marked())} == {(0, 0, 0)}
    lines = [PENS[role] for role in PATTERN if role is not Role.NOTCH]  # notches are told by their form
    assert len({(pen.width, pen.dash) for pen in lines}) == len(lines)


def test_a_line_has_the_pen_of_its_role():
    for stroke in draw_sheet([leg_like(casings=1)], width=1000, height=800, design="Heron shorts").strokes:
        assert stroke.pen == PENS[stroke.role]
