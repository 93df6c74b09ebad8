"""No long cut line along a join of pages, none through a register mark: common practice, no source."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from covered import crossed, longest
from drafting.errors import DesignError
from nests import shorts
from output.drawing.marks import STYLE as MARKS
from output.paper.joins import BEND, FINE, MARK_REACH, STYLE, JoinStyle, cover_of, mark_places
from output.paper.layout import MORE, lay_out, lay_out_stacks
from output.paper.sizes import A4, LETTER, Tiling
from output.patterns.pattern_pdf import stacks_of
from output.patterns.tiled import joins_of
from sample_pieces import built, leg_like, strip
from sampled import heron

PAPERS = pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
SQUARE = np.array(((0.0, 0.0), (100, 0), (100, 60), (0, 60), (0, 0)))


def covered(outline, axis: int, places) -> list[bool]:
    """Whether a join at each place runs along the outline."""
    return (cover_of([outline]).along(axis, np.array((0.0,)), -np.array(places, dtype=float))[:, 0] > 0).tolist()


def test_a_join_covers_what_lies_within_five_millimetres_of_it():
    assert covered(SQUARE, 1, [-6, -4, 0, 4.4, 5.6, 30, 54.4, 55.6, 60, 64.4, 65.6]) == [
        *(False, True, True, True, False, False, False, True, True, True, False)
    ]
    assert covered(SQUARE, 0, [-6, 0, 6, 94, 100, 106]) == [False, True, False, False, True, False]


def test_a_short_edge_and_a_steep_one_only_cross_a_join():
    short = np.array(((0.0, 0.0), (100, 0), (100, 35), (0, 35), (0, 0)))
    assert not any(covered(short, 0, np.arange(6, 95)))
    steep = np.array(((0.0, 0.0), (100, 0), (50, 100), (0, 0)))
    assert not any(covered(steep, 1, np.arange(6, 95)))


def test_an_edge_that_slants_a_little_is_covered_wherever_a_join_crosses_it():
    slanting = np.array(((0.0, 0.0), (400, 0), (400, 60), (0, 100), (0, 0)))
    assert all(covered(slanting, 1, np.arange(60, 100)))


def test_a_stretch_across_the_start_of_an_outline_is_seen():
    begun_in_the_middle = np.array(((20.0, 0.0), (40, 0), (40, 300), (0, 300), (0, 0), (20, 0)))
    short, whole = (covered(SQUARE[:, ::-1] * by, 1, [0])[0] for by in ((0.3, 0.3), (1, 1)))
    assert (short, whole) == (False, True)
    assert covered(begun_in_the_middle, 1, [0]) == [True]


@settings(max_examples=30)
@given(st.integers(60, 900), st.integers(30, 200), st.integers(-15, 40))
def test_covers_agree_with_the_ends_of_the_edges(length, height, skew):
    """A strip's long edges are level, so a level join covers one exactly where it is nearer than it may be."""
    piece = strip(length=length, height=height, skew=skew)
    outline = piece.cut_line.array(tolerance=0.05)
    low, high = outline[:, 1].min(), outline[:, 1].max()
    for level in (low, high):
        inside = [level - STYLE.near + 0.1, level, level + STYLE.near - 0.1]
        outside = [level - STYLE.near - FINE - 0.1, level + STYLE.near + FINE + 0.1]
        assert covered(outline, 1, inside) == [True] * 3
        if height > 15:
            assert covered(outline, 1, outside) == [False] * 2


def test_numbers_out_of_range_are_refused():
    with pytest.raises(DesignError, match=r"joins.near: 30 mm is outside 2 to 10 mm"):
        JoinStyle(near=30)


@PAPERS
@pytest.mark.parametrize("rise", ["high", "mid"])
def test_no_cut_line_of_the_sample_runs_along_a_join_or_through_a_mark(paper, rise):
    layout = lay_out(heron(rise).pieces, paper)
    assert longest(layout, near=STYLE.near) < STYLE.long
    assert crossed(layout, joins_of(layout).marks) == 0


@PAPERS
def test_casing_lines_keep_off_the_joins_where_there_is_room(paper):
    layout = lay_out([leg_like(width=1000, height=400, casings=3)], paper)
    joins = [row * layout.cell_size[1] for row in range(1, layout.rows)]
    for piece in layout.pieces:
        for line in (*piece.fold_lines, *piece.stitch_lines):
            assert all(abs(line.start.y - join) >= STYLE.near for join in joins), line.name


LEGS = st.tuples(
    st.just("leg"),
    st.fixed_dictionaries(
        {"width": st.integers(200, 1500), "height": st.integers(280, 700), "casings": st.integers(0, 3)}
    ),
)
STRIPS = st.tuples(
    st.just("strip"),
    st.fixed_dictionaries(
        {"length": st.integers(40, 900), "height": st.integers(20, 250), "skew": st.integers(-15, 40)}
    ),
)


@settings(max_examples=20)
@given(LEGS, st.lists(STRIPS, max_size=2), st.sampled_from([A4, LETTER]))
def test_pieces_keep_apart_and_their_marks_clear_wherever_they_are_shifted(leg, strips, paper):
    layout = lay_out([built(spec) for spec in (leg, *strips)], paper)
    laid = [shapely.Polygon(piece.cut_line.array()) for piece in layout.pieces]
    for number, one in enumerate(laid):
        assert all(one.distance(other) >= Tiling().gap - 1e-6 for other in laid[:number])
        assert shapely.box(0, 0, layout.width, layout.height).contains(one)
    assert crossed(layout, joins_of(layout).marks) == 0


def test_a_hem_that_just_fills_its_rows_is_laid_off_the_join():
    """Two rows of a leg and a strip between: the strip once lay flush with the join, its cut line under the tape."""
    layout = lay_out([leg_like(width=700, height=500, casings=0), strip(length=600, height=50)], A4)
    assert longest(layout, near=STYLE.near) < STYLE.long


def test_pages_are_spent_only_for_a_clear_join_and_only_a_few():
    """A strip of nearly three pages lies across two joins whatever is done; its ends keep off them."""
    for length in range(480, 620, 20):
        layout = lay_out([strip(length=length, height=100)], A4)
        fewest = min(len(lay_out([strip(length=length, height=20)], A4).cells), len(layout.cells))
        assert len(layout.cells) <= fewest + MORE
        assert longest(layout, near=STYLE.near) < STYLE.long


@PAPERS
@pytest.mark.parametrize("sizes", [4, 16])
def test_no_register_mark_of_a_nest_has_a_cut_line_through_it(paper, sizes):
    made = shorts(sizes)
    layout = lay_out_stacks(stacks_of(made), paper)
    marks = joins_of(layout).marks
    assert marks
    assert crossed(layout, marks) == 0
    print(f"{sizes} sizes on {paper.name}: longest stretch along a join {longest(layout):.0f} mm, {len(marks)} marks")


def test_marks_stand_at_the_ends_and_in_the_middle_where_nothing_crosses():
    nothing = np.empty(0)
    assert mark_places(nothing, nothing, 180.0) == (0.0, 90.0, 180.0)


def test_a_mark_gives_way_to_a_line_by_no_more_than_it_must():
    start, middle, end = mark_places(np.array((88.0,)), np.array((89.0,)), 180.0)
    assert (start, end) == (0.0, 180.0)
    assert 0 < middle - 89 - MARK_REACH < 1.01


def test_a_mark_that_leaves_the_corner_stands_clear_of_the_marks_of_other_joins_there():
    start, _, _ = mark_places(np.array((0.0,)), np.array((0.5,)), 180.0)
    assert start >= BEND


def test_where_lines_cover_the_whole_join_there_is_no_mark():
    lines = np.arange(0.0, 181.0, 6.0)
    assert mark_places(lines, lines, 180.0) == ()


@settings(max_examples=60)
@given(st.lists(st.floats(0, 180), max_size=12), st.sampled_from([180.0, 249.4, 267.0]))
def test_marks_keep_off_lines_and_each_other(lines, length):
    places = mark_places(np.array(lines), np.array(lines), length)
    assert all(abs(place - line) >= MARK_REACH - 1e-9 for place in places for line in lines)
    assert all(after - before >= 2 * MARKS.register_arm for before, after in pairwise(places))
    assert all(0 <= place <= length for place in places)
