import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, affinity, box, hausdorff_distance

from drafting.allowance import Corner, Side, turn_gap, with_allowances
from drafting.curve import Cubic, Line
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.point import Motion, Point, Vector
from zoo import numbers


def sides(points, allowances, *, corner=Corner.MITRE, turns=None):
    closed = [*points, points[0]]
    return [
        Side(f"e{i}", Path.through(a, b), allowance, corner, (turns or {}).get(i, ()))
        for i, (a, b, allowance) in enumerate(zip(closed, closed[1:], allowances, strict=False))
    ]


def polygon(edges, line):
    return Polygon(Path.joined(getattr(edge, line) for edge in edges).array(tolerance=1e-5))


ELL = ((0, 0), (200, 0), (200, 100), (100, 100), (100, 200), (0, 200))
TRAPEZIUM = (Point(0, 0), Point(300, 0), Point(250, 200), Point(40, 180))


def test_equal_allowances_are_a_mitred_buffer():
    # Reference: shapely's buffer with mitred corners.
    edges = with_allowances(sides(TRAPEZIUM, [10] * 4))
    reference = polygon(edges, "seam").buffer(10, join_style="mitre", mitre_limit=5)
    assert hausdorff_distance(polygon(edges, "cut"), reference) < 0.01


def test_a_hollow_curve_keeps_its_allowance():
    # Reference: shapely's buffer; the cut line of a hollow crotch curve lies on the far side from the piece.
    corner = [Point(0, 0), Point(300, 0), Point(300, 100), Point(200, 180), Point(0, 180)]
    hollow = Path((Cubic(corner[2], Point(240, 100), Point(200, 130), corner[3]),))
    made = sides(corner, [12] * 5)
    made[2] = Side("hollow", hollow, 12)
    edges = with_allowances(made)
    reference = polygon(edges, "seam").buffer(12, join_style="mitre", mitre_limit=5)
    assert hausdorff_distance(polygon(edges, "cut"), reference) < 0.02


@pytest.mark.parametrize("narrow", [4, 6, 9])
def test_a_wide_allowance_ends_at_a_narrow_one_that_crosses_it(narrow):
    """As at the upper corner of a trim band whose ends flare: its cut line once crossed itself there."""
    corner = [Point(0, 0), Point(300, 0), Point(280, 100), Point(20, 100)]
    made = sides(corner, [16, 12, narrow, 12])
    made[1] = Side("flared", Path((Cubic(corner[1], Point(300, 45), Point(298, 80), corner[2]),)), 12)
    made[3] = Side("flared too", Path((Cubic(corner[3], Point(2, 80), Point(0, 45), corner[0]),)), 12)
    edges = with_allowances(made)
    cut = polygon(edges, "cut")
    assert cut.is_valid
    assert cut.contains(polygon(edges, "seam"))
    assert cut.bounds[3] == pytest.approx(100 + narrow)


def test_each_edge_keeps_its_own_allowance():
    allowances = [5, 10, 15, 20]
    edges = with_allowances(sides(TRAPEZIUM, allowances))
    for edge, allowance in zip(edges, allowances, strict=True):
        middle = edge.seam.point_at(edge.seam.length / 2)
        foot = edge.cut.point_at(edge.cut.distance_of(middle))
        assert middle.distance(foot) == pytest.approx(allowance, abs=1e-6)
    assert polygon(edges, "cut").contains(polygon(edges, "seam"))


def test_a_squared_corner_reaches_into_the_next_seam_and_no_further():
    # A corner of 45 degrees: mitred it would be a spike; squared, the first edge's allowance ends square to its seam
    # where its stitching would meet the next cut line.
    points = (Point(0, 0), Point(200, 0), Point(50, 150), Point(0, 150))
    edges = with_allowances(sides(points, [10] * 4, corner=Corner.SQUARED))
    first = edges[0].cut.flat()
    tip, foot = first[-2], first[-1]
    assert tip.x == pytest.approx(foot.x)
    assert foot.y == pytest.approx(0)
    assert foot.x == pytest.approx(200 + 10 / math.sin(math.radians(45)))
    assert tip.y == pytest.approx(-10)


@pytest.mark.parametrize("turns", [1, 2])
@pytest.mark.parametrize("lean", [-30, 0, 30])
def test_a_turned_hem_lies_on_the_piece(turns, lean):
    # Common practice, no source: fold the hem up and its raw ends lie on the cut line above it, turn on turn.
    points = (Point(0, 0), Point(200, 0), Point(200 + lean, 150), Point(-lean, 150))
    edges = with_allowances(sides(points, [12, 10, 10, 10], turns={0: (12 / turns,) * turns}))
    hem, side = edges[0], edges[1]
    deep = 12 / turns
    assert hem.cut.start.y == hem.cut.end.y == pytest.approx(-12)

    def folded(y):
        for turn in reversed(range(turns)):  # the raw edge is turned first
            y = 2 * -turn * deep - y if y < -turn * deep else y
        return y

    slope = lean / 150
    at_zero = next(p.x for p in side.cut.flat() if abs(p.y) < 1e-9)
    below = [p for p in side.cut.flat() if p.y < 0]
    assert len(below) >= turns
    for point in below:
        assert point.x == pytest.approx(at_zero + slope * folded(point.y), abs=1e-6)


side_lines = st.tuples(numbers(-60, 60), numbers(-25, 25), numbers(0.25, 0.4), numbers(0.25, 0.4))
depths = st.lists(numbers(4, 40), min_size=1, max_size=3).map(lambda turns: tuple(sorted(turns, reverse=True)))


def side_line(x, low, high, shape):
    """An edge that rises from one level to the other, leaning and waving a little."""
    lean, bend, tight1, tight2 = shape
    start, end = Point(x, low), Point(x + lean, high)
    along = Vector(lean, high - low)
    aside = along.left() * math.tan(math.radians(bend))
    return Path((Cubic(start, start + (along + aside) * tight1, end - (along - aside) * tight2, end),))


@given(side_lines, side_lines, depths, depths, numbers(5, 25))
def test_turned_edges_below_and_above_lie_on_the_piece(left, right, hem, waist, allowance):
    # Common practice, no source: what is turned to the wrong side must be as wide as what it lies on, turn on turn.
    low, high = -100.0, 250.0
    rising, falling = side_line(300, low, high, right), side_line(0, low, high, left).reversed()
    made = with_allowances(
        [
            Side("hem", Path.through(falling.end, rising.start), sum(hem), turns=hem),
            Side("right", rising, allowance),
            Side("waist", Path.through(rising.end, falling.start), sum(waist), turns=waist),
            Side("left", falling, allowance),
        ]
    )
    cut = polygon(made, "cut")
    assert cut.is_valid
    assert cut.bounds[1::2] == pytest.approx((low - sum(hem), high + sum(waist)))
    for level, outwards, turns in ((low, -1, hem), (high, 1, waist)):
        folds = [level + outwards * sum(turns[:number]) for number in range(len(turns))]
        for number, turn in enumerate(turns):
            layer = cut & between(folds[number], folds[number] + outwards * turn)
            for fold in reversed(folds[: number + 1]):
                layer = affinity.scale(layer, yfact=-1, origin=(0, fold))
            covered = cut & between(*layer.bounds[1::2])
            assert layer.symmetric_difference(covered).area < 0.05  # mm2; of flattening
            assert max(abs(level - edge) for edge in layer.bounds[1::2]) <= turns[0] + 1e-6


@given(numbers(-8, 8), numbers(-15, 15), depths, numbers(5, 25))
def test_an_edge_turned_along_a_slanting_line_lies_on_the_piece(slant, lean, waist, allowance):
    """Reference: shapely folds the cut line back, having laid the fold level."""
    low = 300 * math.tan(math.radians(slant))
    points = (Point(0, 0), Point(300, 0), Point(300 - lean, 200 - low), Point(lean, 200))
    made = with_allowances(sides(points, [10, allowance, sum(waist), allowance], turns={2: waist}))
    corner, other = points[3], points[2]
    degrees = math.degrees(math.atan2(other.y - corner.y, other.x - corner.x))
    level = affinity.rotate(polygon(made, "cut"), -degrees, origin=(corner.x, corner.y))
    beyond = level & between(corner.y, corner.y + 1000)
    assert level.is_valid
    assert beyond.bounds[3] == pytest.approx(corner.y + sum(waist))
    folds = [corner.y + sum(waist[:number]) for number in range(len(waist))]
    for number, turn in enumerate(waist):
        layer = level & between(folds[number], folds[number] + turn)
        for fold in reversed(folds[: number + 1]):
            layer = affinity.scale(layer, yfact=-1, origin=(0, fold))
        assert layer.symmetric_difference(level & between(*layer.bounds[1::2])).area < 0.01  # mm2
    assert turn_gap(made) < 1e-6


def test_an_end_that_does_not_lie_on_the_piece_when_it_is_turned_fails_its_proof():
    made = with_allowances(sides(TRAPEZIUM, [12, 10, 10, 10], turns={0: (12,)}))
    assert turn_gap(made) < 1e-6
    swung = made[1].cut.moved(Motion.turn(0.5))
    assert turn_gap((made[0], replace(made[1], cut=swung), *made[2:])) > 0.05


def between(one, other):
    return box(-1000, min(one, other), 1000, max(one, other))


@pytest.mark.parametrize(
    ("turns", "match"),
    [
        ((10, 12), "10 and 12 mm do not lie within each other"),
        ((22, 0), "do not lie within"),
        ((20,), "do not make up its allowance of 22 mm"),
    ],
)
def test_turns_that_cannot_be_folded_are_refused(turns, match):
    with pytest.raises(GeometryError, match=f"edge hem: its turns of .*{match}"):
        Side("hem", Path.through(Point(0, 0), Point(100, 0)), 22, turns=turns)


def test_smooth_joint_with_two_allowances_steps_square_across():
    points = (Point(0, 0), Point(100, 0), Point(200, 0), Point(200, 90), Point(0, 90))
    edges = with_allowances(sides(points, [10, 20, 10, 10, 10]))
    assert edges[0].cut.flat()[-2:] == [Point(100, -10), Point(100, -20)]


def a_curved_waist():
    made = sides(TRAPEZIUM, [10] * 4)
    top = made[2].seam
    middle = top.start.toward(top.end, 0.5) - Vector(0, 3)
    made[2] = Side("waist", Path((Cubic(top.start, middle, middle, top.end),)), 10, turns=(10,))
    return made


@pytest.mark.parametrize(
    ("made", "match"),
    [
        (sides([Point(*xy) for xy in ELL], [10] * 6), "edges e2 and e3.* inward corner"),
        (sides((Point(0, 0), Point(400, 0), Point(0, 20)), [10] * 3), "squared corner"),
        (sides(TRAPEZIUM, [10] * 4, turns={0: (10,), 1: (10,)}), "two turned edges"),
        (a_curved_waist(), "edge waist: a turned edge must be one straight line"),
        (sides(TRAPEZIUM, [190, 10, 10, 10], turns={0: (190,)}), "over edge e3 beside it, which is 180.0 mm tall"),
    ],
)
def test_what_cannot_be_cut_is_refused_by_name(made, match):
    with pytest.raises(GeometryError, match=match):
        with_allowances(made)


def test_a_corner_inside_an_edge_is_refused():
    bent = Path((Line(Point(0, 0), Point(100, 0)), Line(Point(100, 0), Point(150, 60))))
    with pytest.raises(GeometryError, match="corner at"):
        bent.offset(10)
