import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, affinity, box, hausdorff_distance
from shapely.ops import unary_union

from drafting.casing import Tuck, flat_height, fold_gap, folded_heights, opened
from drafting.curve import Cubic
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.point import Motion, Point, Vector

EDGE = Path((Cubic(Point(150, 0), Point(60, 60), Point(40, 120), Point(50, 300)),))


@st.composite
def rising_edges(draw):
    xs = [draw(st.floats(-150, 150)) for _ in range(4)]
    ys = [0.0, *sorted(draw(st.floats(20, 280)) for _ in range(2)), 300.0]
    return Path((Cubic(*(Point(x, y) for x, y in zip(xs, ys, strict=True))),))


@st.composite
def tuck_sets(draw):
    tucks, floor = [], 5.0
    for index in range(draw(st.integers(1, 4))):
        depth = draw(st.floats(5, 25))
        height = floor + depth + draw(st.floats(1, 30))
        if height > 290:
            break
        tucks.append(Tuck(f"t{index}", height, depth))
        floor = height
    return tucks


def folded_by_shapely(flat: Path, tucks) -> Polygon:
    """Fold a flat shape with shapely's affine reflections: an independent way from flat to finished."""
    shape = Polygon([*flat.array(tolerance=0.001), (-500, flat.end.y), (-500, flat.start.y)])
    layers, low, shift = [], -1e4, 0.0
    for tuck in sorted(tucks, key=lambda tuck: tuck.height):
        seam = tuck.height + shift
        visible = shape.intersection(box(-1e4, low, 1e4, seam))
        lower = shape.intersection(box(-1e4, seam, 1e4, seam + tuck.depth))
        upper = shape.intersection(box(-1e4, seam + tuck.depth, 1e4, seam + 2 * tuck.depth))
        layers.append(affinity.translate(visible, 0, -shift))
        layers.append(affinity.translate(affinity.scale(lower, 1, -1, origin=(0, seam)), 0, -shift))
        shift += 2 * tuck.depth
        layers.append(affinity.translate(upper, 0, -shift))
        low = seam + 2 * tuck.depth
    layers.append(affinity.translate(shape.intersection(box(-1e4, low, 1e4, 1e4)), 0, -shift))
    return unary_union([layer.buffer(1e-6) for layer in layers])


@given(rising_edges(), tuck_sets())
def test_folding_back_gives_the_finished_shape(edge, tucks):
    # Reference: shapely's reflections and union.
    flat = opened(edge, tucks).path
    finished = Polygon([*edge.array(tolerance=0.001), (-500, edge.end.y), (-500, edge.start.y)])
    assert hausdorff_distance(folded_by_shapely(flat, tucks), finished) < 0.05
    assert fold_gap([(edge, flat)], tucks) < 0.05


@given(rising_edges(), tuck_sets())
def test_opening_down_is_opening_up(edge, tucks):
    up, down = opened(edge, tucks), opened(edge.reversed(), tucks)
    assert np.allclose(up.path.array(), down.path.reversed().array())
    for mark in down.marks:
        twin = next(other for other in up.marks if other.tuck == mark.tuck)
        for part in ("lower", "fold", "upper"):
            a = down.path.joint(getattr(mark, part))
            b = up.path.joint(getattr(twin, part))
            assert a.isclose(b, tolerance=1e-6)


@given(tuck_sets())
def test_every_tuck_adds_twice_its_depth(tucks):
    flat = opened(EDGE, tucks).path
    assert flat.end.y == pytest.approx(300 + sum(2 * tuck.depth for tuck in tucks))
    assert flat_height(tucks, 300) == pytest.approx(flat.end.y)


@given(tuck_sets())
def test_marks_lie_on_their_lines(tucks):
    edge = opened(EDGE, tucks)
    for mark in edge.marks:
        seam = flat_height(tucks, mark.tuck.height)
        heights = [edge.path.joint(count).y for count in (mark.lower, mark.fold, mark.upper)]
        assert heights == pytest.approx([seam, seam + mark.tuck.depth, seam + 2 * mark.tuck.depth], abs=1e-6)


def test_folded_heights_of_one_tuck():
    tucks = [Tuck("one", 100, 10)]
    flat = np.array([50.0, 100.0, 104.0, 110.0, 116.0, 120.0, 200.0])
    assert folded_heights(flat, tucks).tolist() == [50.0, 100.0, 96.0, 90.0, 96.0, 100.0, 180.0]


def test_a_flat_edge_that_is_not_trued_fails_the_proof():
    tucks = [Tuck("one", 100, 20)]
    assert fold_gap([(EDGE, opened(EDGE, tucks).path)], tucks) < 0.05
    untrued = Path.through(EDGE.start, Point(50, 340))
    assert fold_gap([(EDGE, untrued)], tucks) > 1


def test_a_flat_edge_of_the_wrong_height_fails_the_proof():
    with pytest.raises(GeometryError, match="from where it should"):
        fold_gap([(EDGE, EDGE.moved(Motion.shift(Vector(0, 3))))], [Tuck("one", 100, 20)])


@pytest.mark.parametrize("tucks", [[Tuck("low", 8, 10)], [Tuck("a", 100, 10), Tuck("b", 105, 10)]])
def test_a_tuck_without_room_is_refused(tucks):
    with pytest.raises(GeometryError, match="times"):
        opened(EDGE, tucks)


def test_an_edge_that_turns_back_is_refused():
    wave = Path((Cubic(Point(0, 0), Point(50, 300), Point(100, -200), Point(150, 100)),))
    with pytest.raises(GeometryError, match="cross it once"):
        opened(wave, [Tuck("one", 50, 10)])


def test_an_edge_between_casings_is_only_shifted():
    above = opened(Path.through(Point(0, 200), Point(50, 201)), [Tuck("one", 100, 10)])
    assert above.marks == ()
    assert LineString(above.path.array()).bounds == (0, 220, 50, 221)
