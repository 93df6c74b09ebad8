import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, box, union_all

from drafting.path import Path
from drafting.point import Motion, Point
from output.drawing.ink import Ink

places = st.integers(-60, 60).map(float)
polylines = st.lists(st.tuples(places, places), min_size=2, max_size=8, unique=True)
drawings = st.lists(polylines, min_size=1, max_size=5)
lows, heights = (
    places.map(lambda place: place + 0.3137),
    st.integers(1, 40).map(lambda height: height + 0.21),
)  # at no corner
turns = st.sampled_from([0, 30, 90, 180, -90, 117.5])


def paths_of(drawing):
    return [Path.through(*(Point(*place) for place in line)) for line in drawing]


@given(drawings, lows, heights, turns)
def test_what_enters_a_band_is_what_shapely_clips_to_it(drawing, low, tall, degrees):
    ink = Ink.of(paths_of(drawing)).seen(Motion.turn(degrees))
    left, right = ink.between(low, low + tall)
    turn = Motion.turn(degrees)
    seen = [LineString([(turn(Point(*place)).x, turn(Point(*place)).y) for place in line]) for line in drawing]
    inside = union_all(seen).intersection(box(-1e3, low, 1e3, low + tall))
    assert (np.diff(left) >= 0).all()
    if not inside.length:
        assert (right - left < 1e-6).all()
    else:
        met = [part for part in getattr(inside, "geoms", [inside]) if part.length]
        assert min(left) == pytest.approx(min(part.bounds[0] for part in met), abs=1e-6)
        assert max(right) == pytest.approx(max(part.bounds[2] for part in met), abs=1e-6)


@given(drawings, st.lists(st.tuples(places, places, st.floats(1, 20), st.floats(1, 20)), max_size=3), lows, places)
def test_nothing_is_in_a_gap_and_both_its_ends_are_something(drawing, corners, low, wide):
    boxes = [(x, y, x + width, y + height) for x, y, width, height in corners]
    ink, wide = Ink.of(paths_of(drawing)).with_boxes(boxes), abs(wide)
    solid = union_all([*(LineString(line) for line in drawing), *(box(*corner) for corner in boxes)])
    for left, right in ink.gaps(low, low + 7, wide):
        assert right - left > wide
        assert solid.intersection(box(left, low, right, low + 7).buffer(-1e-6)).is_empty
        for end in (left, right):
            assert solid.distance(box(end - 1e-6, low, end + 1e-6, low + 7)) < 1e-6
