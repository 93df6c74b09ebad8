from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from blocks.cloth import Cloth, Lay
from blocks.lay import Laid, LayPlan, LayRules, Search, check_lay, lay_pieces, plan_of, quick_lay
from blocks.notions import ThreadUse, thread
from blocks.requirement import YARD, Buying, required
from drafting.errors import DesignError, GeometryError
from drafting.piece import Grainline, Piece
from drafting.point import Motion, Point
from lays import FOLDED, OPEN, QUICK, found, short_for, stacked
from sample_pieces import strip

PLANS = [
    pytest.param("H84", OPEN, False, id="whole"),
    pytest.param("H152", Cloth(1100), False, id="split"),
    pytest.param("H96", FOLDED, False, id="folded"),
    pytest.param("H116", Cloth(1500), True, id="one-way"),
]


def outline(plan: LayPlan, laid: Laid) -> shapely.Polygon:
    return shapely.Polygon(plan.piece(laid.piece).cut_line.moved(laid.motion).array(tolerance=0.01))


@pytest.mark.parametrize(("label", "cloth", "one_way"), PLANS)
def test_a_found_lay_has_every_copy_on_the_grain_inside_the_cloth_and_apart(
    label: str, cloth: Cloth, one_way: bool
) -> None:
    # looked at with shapely alone, from the pieces and the motions
    plan = found(label, cloth, one_way=one_way)
    polygons = [outline(plan, laid) for laid in plan.laid]
    for number, one in enumerate(polygons):
        assert all(one.intersection(other).area <= 0.01 for other in polygons[:number])
        assert all(one.distance(other) >= 2 - 0.02 for other in polygons[:number])
    left, low, right, high = shapely.union_all(polygons).bounds
    assert left >= cloth.selvedge - 0.01
    assert right <= cloth.selvedge + cloth.usable + 0.01
    assert low == pytest.approx(0, abs=0.01)
    assert high == pytest.approx(plan.length, abs=0.02)
    copies = Counter((laid.piece, laid.mirrored) for laid in plan.laid)
    for piece in plan.pieces:
        assert copies[piece.name, False] == 1
        assert copies[piece.name, True] == (0 if cloth.lay is Lay.FOLDED else 1)
    for laid in plan.laid:
        grain = plan.piece(laid.piece).grainline
        along = laid.motion(grain.end) - laid.motion(grain.start)
        assert along.x == pytest.approx(0, abs=1e-6)
        assert along.y > 0 or not one_way
        assert laid.motion.mirrors is laid.mirrored


@pytest.mark.parametrize(("label", "cloth", "one_way"), PLANS)
def test_no_lay_is_shorter_than_its_area_and_none_is_much_longer_than_a_stack(
    label: str, cloth: Cloth, one_way: bool
) -> None:
    plan = found(label, cloth, one_way=one_way)
    area = sum(outline(plan, laid).area for laid in plan.laid)
    across = cloth.width if cloth.lay is Lay.OPEN else cloth.width / 2
    assert plan.used == pytest.approx(area / (across * plan.length), rel=1e-6)
    assert area / cloth.usable < plan.length < stacked(plan.pieces, cloth, apart=2.0).length


def test_folded_cloth_opened_out_is_a_good_lay_of_the_whole_garment() -> None:
    """Cut through both layers and unfolded, each piece lies there as drawn and, over the fold, mirrored."""
    plan = found("H96", FOLDED)
    over = Motion.mirror_side(FOLDED.width / 2)
    opened = [Motion.shift(Point(0, 0) - Point(0, 0)), over]
    polygons = [
        shapely.Polygon(plan.piece(laid.piece).cut_line.moved(laid.motion).moved(way).array(tolerance=0.01))
        for laid in plan.laid
        for way in opened
    ]
    assert len(polygons) == sum(piece.cut_count for piece in plan.pieces)
    tree = shapely.STRtree(polygons)
    for one, other in tree.query(polygons).T.tolist():
        assert one == other or polygons[one].intersection(polygons[other]).area <= 0.01
    left, _, right, _ = shapely.union_all(polygons).bounds
    assert left >= FOLDED.selvedge - 0.01
    assert right <= FOLDED.width - FOLDED.selvedge + 0.01


def test_a_one_way_lay_serves_without_that_rule_as_well() -> None:
    # So one way takes as much cloth or more at the best; which of two searches of a second does better is chance.
    one_way = found("H116", Cloth(1500), one_way=True)
    assert plan_of(one_way.pieces, one_way.cloth, one_way.laid).length == one_way.length


def test_folded_cloth_refuses_what_is_not_cut_in_pairs() -> None:
    several = replace(strip(name="pocket"), cut_count=2, mirrored=False)
    with pytest.raises(DesignError, match=r"piece pocket: .* cut 2 times, not in mirrored pairs; lay the cloth open"):
        lay_pieces((several,), FOLDED)
    odd = replace(strip(name="pocket"), cut_count=3)
    with pytest.raises(DesignError, match=r"piece pocket: .* cut 3 times, not an even number of times"):
        lay_pieces((odd,), Cloth(1600, lay=Lay.FOLDED))


def test_a_piece_that_is_cut_once_leaves_another_over_on_folded_cloth() -> None:
    single = replace(strip(name="loop"), cut_count=1, mirrored=False)
    plan = lay_pieces((single,), FOLDED, search=QUICK)
    assert len(plan.laid) == 1


@pytest.mark.parametrize(
    ("count", "mirrored", "drawn", "over"), [(1, False, 1, 0), (3, False, 3, 0), (4, True, 2, 2), (3, True, 2, 1)]
)
def test_copies_on_open_cloth(count: int, mirrored: bool, drawn: int, over: int) -> None:
    plan = lay_pieces((replace(strip(), cut_count=count, mirrored=mirrored),), OPEN, search=QUICK)
    copies = Counter(laid.mirrored for laid in plan.laid)
    assert (copies[False], copies[True]) == (drawn, over)


def test_a_piece_too_wide_is_refused_by_name() -> None:
    short = short_for("H152", OPEN, "whole")
    with pytest.raises(DesignError, match=r"piece leg: it is .* cm wide and the cloth can take 137\.0 cm; use wider"):
        lay_pieces(short.pieces, OPEN)


def test_a_piece_exactly_as_wide_as_the_cloth_can_take_is_laid() -> None:
    exact = strip(length=OPEN.usable - 20)
    assert OPEN.fits(exact)
    assert lay_pieces((exact,), OPEN, search=QUICK).length == pytest.approx(2 * 70 + 2, abs=0.5)


def changed(plan: LayPlan, number: int, **changes: object) -> list[Laid]:
    laid = list(plan.laid)
    laid[number] = replace(laid[number], **changes)  # type: ignore[arg-type]
    return laid


def test_a_lay_that_breaks_a_rule_is_refused() -> None:
    pieces = (strip(name="facing"), strip(name="band", length=400))
    plan = stacked(pieces, OPEN)
    check_lay(plan)
    first = plan.laid[0]
    for laid, message in (
        (changed(plan, 1, y=first.y + 69), "facing.* and facing.*: they overlap"),
        (changed(plan, 1, y=first.y + 71), r"they lie 1\.00 mm apart, and must keep 2 mm"),
        (changed(plan, 0, x=first.x - 1), r"facing: it lies 1\.000 mm outside"),
        (changed(plan, 0, mirrored=True, x=first.x + 700), "facing: it is laid 0 times and must be laid 1 times"),
        (plan.laid[1:], "facing: it is laid 0 times"),
        (changed(plan, 0, piece="cuff"), "0 pieces are named 'cuff'"),
    ):
        with pytest.raises(GeometryError, match=message):
            plan_of(pieces, OPEN, laid)


def test_a_piece_upside_down_on_cloth_with_a_nap_is_refused() -> None:
    pieces = (strip(),)
    plan = stacked(pieces, OPEN)
    laid = changed(plan, 1, turned=True, x=OPEN.selvedge + 10, y=plan.length - 10)
    plan_of(pieces, OPEN, laid)
    with pytest.raises(GeometryError, match="piece facing: its grain does not run as it must"):
        plan_of(pieces, OPEN, laid, rules=LayRules(one_way=True))


def test_a_grainline_off_the_length_of_the_cloth_is_refused() -> None:
    askew: Piece = replace(strip(), grainline=Grainline(Point(100, 5), Point(100.1, 45)))
    with pytest.raises(GeometryError, match="its grain does not run as it must"):
        stacked((askew,), OPEN)


def test_two_pieces_of_one_name_are_refused() -> None:
    with pytest.raises(GeometryError):
        lay_pieces((strip(), strip(length=300)), OPEN, search=QUICK)


@pytest.mark.parametrize("fit", ["whole", "split"])
@pytest.mark.parametrize(("label", "cloth", "one_way"), PLANS)
def test_a_quick_lay_keeps_the_rules_and_is_the_same_every_time(
    label: str, cloth: Cloth, one_way: bool, fit: str
) -> None:
    pieces = short_for(label, cloth, fit).pieces
    if not all(map(cloth.fits, pieces)):
        with pytest.raises(DesignError, match="cm wide and the cloth can take"):
            quick_lay(pieces, cloth)
        return
    rules = LayRules(one_way=one_way)
    plan = quick_lay(pieces, cloth, rules=rules)
    check_lay(plan)
    assert plan.rules == rules
    assert not (one_way and any(laid.turned for laid in plan.laid))
    assert plan.length <= stacked(pieces, cloth, apart=2.1).length
    assert quick_lay(pieces, cloth, rules=rules) == plan


def test_folded_cloth_is_refused_for_what_is_not_cut_in_pairs() -> None:
    piece = replace(strip(length=300, height=60), cut_count=3, mirrored=False)
    with pytest.raises(DesignError, match="folded cloth is cut as mirrored pairs"):
        quick_lay((piece,), FOLDED)


@pytest.mark.parametrize("bad", [lambda: LayRules(gap=-1), lambda: Search(seconds=0), lambda: Buying(shrinkage=0.5)])
def test_numbers_out_of_range_are_refused(bad: object) -> None:
    with pytest.raises(DesignError, match="is outside"):
        bad()  # type: ignore[operator]


@given(st.floats(100, 20_000), st.floats(0, 0.25), st.floats(0, 300))
def test_what_is_bought_is_long_enough_after_the_wash_and_no_step_too_long(
    length: float, shrinkage: float, ends: float
) -> None:
    # dimensional change is a share of the length before washing: ISO 5077, from memory
    needs = required(length, buying=Buying(shrinkage=shrinkage, ends=ends))
    assert needs.least * (1 - shrinkage) == pytest.approx(length + ends)
    assert needs.least - 1e-5 <= needs.metric < needs.least + 50
    assert needs.metric % 50 == pytest.approx(0, abs=1e-6)
    assert needs.least - 1e-5 <= needs.imperial < needs.least + YARD / 8
    assert needs.metres == pytest.approx(needs.metric / 1000, abs=0.0005)


def test_a_yard_is_36_inches() -> None:
    # international yard and pound agreement of 1959: a yard is 0.9144 m
    assert pytest.approx(914.4) == YARD
    assert required(914.4, buying=Buying(shrinkage=0, ends=0)).yards == 1.0


def test_thread_counts_rows_of_stitching() -> None:
    piece = strip(length=1000, height=50)
    use = ThreadUse(lockstitch=3, rows=1.5, waste=0, step=1000)
    made = thread((piece,), use=use)
    assert made.sewn == pytest.approx(2 * 2100 * 1.5)  # closed form: the strip's perimeter, twice cut
    assert made.metres == 19
    assert thread((replace(piece, cut_count=1, mirrored=False),), use=use).sewn == pytest.approx(2100 * 1.5)


def test_a_tuck_is_stitched_once() -> None:
    leg = short_for("H84", OPEN).pieces[0]
    flat = replace(leg, stitch_lines=(), fold_lines=())
    tucks = (thread((leg,)).sewn - thread((flat,)).sewn) / leg.cut_count
    widths = [line.end.x - line.start.x for line in leg.stitch_lines]
    assert tucks == pytest.approx(sum(widths) / 2)
