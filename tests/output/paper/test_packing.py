"""Shapes on sheets: none overlaps another, all lie inside, the gap is kept, and little paper is spent."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.errors import OutputError
from drafting.point import Point
from nests import shorts
from output.paper.packing import QUARTERS, READABLE, Packing, Shape, Spot, least_length, pack
from output.patterns.pattern_pdf import stacks_of
from output.patterns.wide import piece_item

GAP = 10.0


def box(width, height, turns=QUARTERS) -> Shape:
    return Shape(np.array(((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))), width * height, turns)


def laid(shapes, packing: Packing) -> list[shapely.Polygon]:
    polygons = []
    for shape, spot in zip(shapes, packing.spots, strict=True):
        assert spot.turn in shape.turns
        moved = [spot.motion(Point(*corner)) for corner in shape.corners.tolist()]
        polygons.append(shapely.Polygon([(point.x, point.y) for point in moved]))
    return polygons


def assert_holds(shapes, width, packing: Packing) -> None:
    """Checked by shapely, which has no part in the search."""
    polygons = laid(shapes, packing)
    for one, other in combinations(polygons, 2):
        assert one.distance(other) >= GAP - 1e-6
    left, bottom, right, top = shapely.total_bounds(polygons)
    assert left >= -1e-6
    assert bottom >= -1e-6
    assert right <= width + 1e-6
    assert top == pytest.approx(packing.length, abs=1e-6)
    assert packing.length >= least_length(shapes, width) - 1e-6


def star(spikes, radius, hollow) -> Shape:
    angles = np.arange(2 * spikes) * np.pi / spikes
    reach = np.where(np.arange(2 * spikes) % 2, radius * hollow, radius)
    corners = np.column_stack((np.cos(angles) * reach, np.sin(angles) * reach))
    return Shape(corners, float(shapely.Polygon(corners).area))


SHAPES = st.one_of(
    st.builds(box, st.floats(5, 380), st.floats(5, 380)),
    st.builds(box, st.floats(5, 200), st.floats(5, 200), st.just(READABLE)),
    st.builds(star, st.integers(3, 9), st.floats(20, 190), st.floats(0.2, 0.9)),
)


@settings(max_examples=15, deadline=None)
@given(st.lists(SHAPES, min_size=1, max_size=6))
def test_shapes_of_any_form_keep_apart_and_inside(shapes):
    assert_holds(shapes, 400, pack(shapes, 400, gap=GAP))


def test_boxes_that_fill_a_sheet_leave_no_more_than_the_gap():
    shapes = [box(195, 300), box(195, 300), box(400, 90)]
    assert pack(shapes, 400, gap=GAP).length == pytest.approx(400, abs=0.5)


def test_a_shape_as_wide_as_the_sheet_fits_it():
    assert pack([box(401.3, 20)], 401.3, gap=GAP).length == pytest.approx(20)
    assert pack([box(20, 401.3)], 401.3, gap=GAP).spots[0].turn in (90, 270)


def test_a_shape_too_wide_is_refused():
    with pytest.raises(OutputError, match="a piece is wider than 400 mm; use a wider sheet"):
        pack([box(410, 500)], 400, gap=GAP)
    with pytest.raises(OutputError, match="there is nothing to lay"):
        pack([], 400, gap=GAP)


def test_the_search_may_stop_at_what_is_enough():
    shapes = [box(width, 50) for width in (120, 90, 160, 200, 310)]
    assert pack(shapes, 400, gap=GAP, enough=1000).length <= 1000


@pytest.mark.parametrize("turn", QUARTERS)
def test_a_spot_turns_about_the_origin_and_then_shifts(turn):
    moved = Spot(turn, 5, 7).motion(Point(2, 1))
    expected = complex(2, 1) * 1j ** (turn // 90) + complex(5, 7)
    assert (moved.x, moved.y) == pytest.approx((expected.real, expected.imag))


@cache
def stacks(fit):
    return [piece_item(stack).shape for stack in stacks_of(shorts(3, start=100, step=6, fit=fit))]


def test_the_same_shapes_always_lie_the_same_way():
    assert pack(stacks("split"), 894, gap=GAP) == pack(stacks("split"), 894, gap=GAP)


@pytest.mark.parametrize("width", [894, 821])
def test_a_leg_in_one_piece_takes_hardly_more_than_its_own_length(width):
    """It lies along the roll, and no quarter turn makes it shorter there: a bound that nothing can beat."""
    packing = pack(stacks("whole"), width, gap=GAP)
    assert_holds(stacks("whole"), width, packing)
    assert packing.length <= 1.1 * least_length(stacks("whole"), width)


@pytest.mark.slow
@pytest.mark.parametrize("width", [894, 690])
def test_split_legs_are_no_more_than_a_tenth_longer_than_the_best_that_an_engine_finds(width):
    """spyrrow, a search for short strips that stops on the clock (three seconds here), sets what can be achieved."""
    spyrrow = pytest.importorskip("spyrrow")
    shapes = stacks("split")
    items = [
        spyrrow.Item(
            str(number),
            list(shapely.Polygon(shape.corners).simplify(0.2).exterior.coords)[:-1],
            1,
            [float(turn) for turn in shape.turns],
        )
        for number, shape in enumerate(shapes)
    ]
    settings = spyrrow.StripPackingConfig(min_items_separation=GAP, total_computation_time=3, seed=1)
    # the engine keeps the gap from the edges of the strip, too; its strip lies on its side
    engine = spyrrow.StripPackingInstance("roll", width + 2 * GAP, items).solve(settings).width - 2 * GAP
    packing = pack(shapes, width, gap=GAP)
    assert_holds(shapes, width, packing)
    assert packing.length <= 1.1 * engine
