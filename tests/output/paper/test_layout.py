from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.errors import DraftError
from output.paper.layout import MORE, Cell, lay_out
from output.paper.sizes import A4, LETTER, Tiling
from sample_pieces import built, leg_like, strip

papers = st.sampled_from([A4, LETTER])
legs = st.tuples(
    st.just("leg"),
    st.fixed_dictionaries(
        {"width": st.integers(200, 1500), "height": st.integers(280, 700), "casings": st.integers(0, 3)}
    ),
)
strips = st.tuples(
    st.just("strip"),
    st.fixed_dictionaries(
        {"length": st.integers(40, 900), "height": st.integers(20, 250), "skew": st.integers(-15, 40)}
    ),
)


def polygons(layout):
    return [shapely.Polygon(piece.cut_line.array()) for piece in layout.pieces]


def box(layout, cell):
    corner = layout.corner(cell)
    width, height = layout.cell_size
    return shapely.box(corner.x, corner.y, corner.x + width, corner.y + height)


def grid_of_bounds(pieces, paper):
    """Pages of the plain grid over the bounding boxes, each piece on its own, the better way up."""
    counts = []
    for width, height in (Tiling().cell(paper), Tiling().cell(paper.turned())):
        bounds = [piece.cut_line.bounds for piece in pieces]
        counts.append(
            sum(math.ceil((r - left + 1) / width) * math.ceil((top - b + 1) / height) for left, b, r, top in bounds)
        )
    return min(counts)


@settings(max_examples=40)
@given(legs, papers)
def test_the_printed_cells_are_those_the_piece_touches(spec, paper):
    piece = built(spec)
    layout = lay_out([piece], paper)
    (polygon,) = polygons(layout)
    cells = [Cell(row, column) for row in range(1, layout.rows + 1) for column in range(1, layout.columns + 1)]
    areas = {cell: polygon.intersection(box(layout, cell)).area for cell in cells}
    assert {cell for cell in cells if areas[cell] > 0} <= set(layout.cells)
    # half the width of the cut line is ink beside the polygon, so a printed cell may touch no more than that
    assert all(polygon.distance(box(layout, cell)) <= 0.4 for cell in layout.cells)
    assert shapely.box(0, 0, layout.width, layout.height).contains(polygon)
    assert list(layout.cells) == sorted(layout.cells)


@settings(max_examples=25)
@given(legs, papers)
def test_no_more_pages_than_the_plain_grid(spec, paper):
    piece = built(spec)
    assert len(lay_out([piece], paper).cells) <= grid_of_bounds([piece], paper) + MORE


@settings(max_examples=8)
@given(legs, papers)
def test_no_offset_of_the_grid_does_better(spec, paper):
    """An exhaustive search with a general geometry library, every 10 mm both ways, for a piece a millimetre larger."""
    piece = built(spec)
    best = math.inf
    polygon = shapely.Polygon(piece.cut_line.array(tolerance=0.2)).buffer(1.5, join_style="mitre")
    shapely.prepare(polygon)
    left, bottom, right, top = polygon.bounds
    for width, height in (Tiling().cell(paper), Tiling().cell(paper.turned())):
        for dx in np.arange(0, width, 10):
            for dy in np.arange(0, height, 10):
                x, y = np.meshgrid(np.arange(left - dx, right, width), np.arange(bottom - dy, top, height))
                best = min(best, int(shapely.intersects(polygon, shapely.box(x, y, x + width, y + height)).sum()))
    assert len(lay_out([piece], paper).cells) <= best + MORE  # pages spent to keep cut lines off the joins


@settings(max_examples=12)
@given(st.lists(st.one_of(legs, strips), min_size=2, max_size=4), papers)
def test_several_pieces_keep_apart_and_share_pages(specs, paper):
    pieces = [built(spec) for spec in specs]
    layout = lay_out(pieces, paper)
    laid = polygons(layout)
    for i, one in enumerate(laid):
        assert all(one.distance(other) >= Tiling().gap for other in laid[:i])
    assert len(layout.cells) <= grid_of_bounds(pieces, paper) + MORE
    cells = {cell for cell in layout.cells for polygon in laid if polygon.distance(box(layout, cell)) <= 0.4}
    assert cells == set(layout.cells)


@settings(max_examples=12)
@given(st.lists(st.one_of(legs, strips), min_size=1, max_size=3), papers)
def test_pieces_are_shifted_or_turned_by_half_but_never_otherwise(specs, paper):
    pieces = [built(spec) for spec in specs]
    layout = lay_out(pieces, paper)
    for before, after in zip(pieces, layout.pieces, strict=True):
        assert after.name == before.name
        grain, laid = before.grainline, after.grainline
        a, b = grain.end - grain.start, laid.end - laid.start
        assert a.cross(b) == pytest.approx(0, abs=1e-6)
        assert abs(a.dot(b)) == pytest.approx(a.dot(a))
        assert after.cut_line.length == pytest.approx(before.cut_line.length, abs=1e-6)


def test_the_same_pieces_are_always_laid_the_same_way():
    pieces = [leg_like(), strip(), strip(length=400, height=90, name="band", title="Band", skew=12)]
    assert lay_out(pieces, A4) == lay_out(pieces, A4)


def test_a_corner_of_the_grid_that_nothing_touches_is_left_out():
    # a narrow body above wide crotch points leaves the upper corners free when three rows are used
    layout = lay_out([leg_like(width=1000, height=480)], LETTER)
    assert len(layout.cells) < layout.rows * layout.columns


def test_a_strip_shares_the_pages_of_the_leg():
    alone = len(lay_out([leg_like(width=1000, height=400)], A4).cells)
    both = len(lay_out([leg_like(width=1000, height=400), strip(length=700, height=30)], A4).cells)
    assert both < alone + len(lay_out([strip(length=700, height=30)], A4).cells)


def test_upright_paper_comes_first_when_both_serve():
    assert not lay_out([strip(length=100, height=100)], A4).paper.landscape
    assert lay_out([strip(length=230, height=100)], A4).paper.landscape


def test_a_piece_as_large_as_a_cell_fills_one_page():
    width, height = Tiling().cell(A4)
    assert len(lay_out([strip(length=width - 21, height=height - 21)], A4).cells) == 1
    assert len(lay_out([strip(length=width - 19, height=height - 19)], A4).cells) > 1


def test_no_piece_is_an_error():
    with pytest.raises(DraftError, match="there is no piece to print"):
        lay_out([], A4)


def test_a_tall_piece_may_reach_beyond_the_rows_already_used():
    # Held to the rows of the pieces before it, the 1300 mm strip cost a page more.
    strips = [strip(length=320, height=1120), strip(length=120, height=1300), strip(length=1040, height=80)]
    assert len(lay_out(strips, A4).cells) == 17
