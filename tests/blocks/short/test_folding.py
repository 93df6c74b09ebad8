"""Where a leg can be folded true: the free stretches, and what a casing that lies elsewhere is told."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks.measurements import Body
from blocks.short import ShortCasing, ShortDesign, draft_short
from blocks.short.design import LegDesign
from blocks.short.folding import casings_of, ceiling, check_casings, foldable, room
from blocks.short.leg import Rise, draft_leg
from drafting.errors import DesignError
from heron import BODY, DESIGN


def with_casings(*casings: ShortCasing, **leg: float) -> ShortDesign:
    return replace(DESIGN, casings=casings, leg=replace(DESIGN.leg, **leg))


def refusal(design: ShortDesign, rise: Rise = Rise.HIGH, body: Body = BODY) -> str:
    with pytest.raises(DesignError) as caught:
        check_casings(draft_leg(body, design, rise), body, design, rise)
    return str(caught.value)


@pytest.mark.parametrize("limit", [0.3, 1.0, 2.0])
def test_no_edge_of_a_free_stretch_is_steeper_than_the_limit_and_all_of_the_rest_is(limit: float) -> None:
    design = with_casings(slope_limit=limit)
    block = draft_leg(BODY, design, Rise.HIGH)
    stretches = foldable(block, design)
    edges = [(block.front_crotch, block.back_crotch), (block.front_inseam, block.back_inseam)]
    for stretch in stretches:
        for edge in edges[stretch.high < 0]:
            for line in (edge, edge.offset(-design.allowances.seam)):
                points = line.array(tolerance=0.0005)
                inside = (points[:, 1] > stretch.low) & (points[:, 1] < stretch.high)
                way = np.diff(points[inside], axis=0)
                assert (np.abs(way[:, 0]) <= limit * np.abs(way[:, 1]) + 1e-3).all()
    assert stretches[-1].high == ceiling(block, design)
    assert max(stretch.high for stretch in stretches if stretch.low < 0) == block.trued_level


def test_a_greater_slope_limit_frees_more_of_the_crotch_curve() -> None:
    lows = []
    for limit in (0.3, 0.6, 1.0, 1.5, 2.0):
        design = with_casings(slope_limit=limit)
        lows.append(foldable(draft_leg(BODY, design, Rise.HIGH), design)[-1].low)
    assert lows == sorted(lows, reverse=True)
    assert len(set(lows)) == len(lows)


@given(height=st.floats(-200, 350), other=st.floats(90, 200), depth=st.floats(6, 30))
@settings(max_examples=60, deadline=None)
def test_a_casing_is_taken_where_it_is_said_to_be_free_and_nowhere_else(
    height: float, other: float, depth: float
) -> None:
    design = with_casings(
        ShortCasing("a", height, elastic_width=4, depth=depth), ShortCasing("b", other, elastic_width=4, depth=6)
    )
    block = draft_leg(BODY, design, Rise.HIGH)
    casing = next(one for one in casings_of(block, design) if one.name == "a")
    taken = True
    try:
        check_casings(block, BODY, design, Rise.HIGH)
    except DesignError:
        taken = False
    assert taken is any(one.low <= height <= one.high for one in room(casing, block, design))


def test_no_tuck_hides_a_balance_notch() -> None:
    # With the steepest slopes a crotch curve could be folded below its balance notches.
    design = with_casings(slope_limit=2.0, balance_share=0.45)
    stretch = foldable(draft_leg(BODY, design, Rise.HIGH), design)[-1]
    lowest = ShortCasing("a", stretch.low + 12.01)
    leg = draft_short(replace(design, casings=(lowest,)), BODY).pieces[0]
    fold = leg.fold_lines[0].start.y
    for notch in leg.notches:
        if "balance" in notch.id:
            assert notch.seam_point.y < fold - 12, notch.id


def test_a_refusal_tells_the_free_stretches_and_what_moves_them() -> None:
    said = refusal(with_casings(ShortCasing("a", 30)))
    free = re.search(
        r"free on this body are (\d+) mm to (\d+) mm and (-\d+) mm to (-\d+) mm from the crotch line", said
    )
    assert free, said
    assert "leg.slope_limit" in said
    assert "leg.inseam_length" in said
    for height in map(float, free.groups()):
        design = with_casings(ShortCasing("a", height))
        check_casings(draft_leg(BODY, design, Rise.HIGH), BODY, design, Rise.HIGH)
    low, high, lowest, highest = map(float, free.groups())
    for beyond in (low - 2, high + 2, lowest - 2, highest + 2):
        refusal(with_casings(ShortCasing("a", beyond)))


def test_a_casing_placed_by_its_share_is_told_another_share() -> None:
    said = refusal(with_casings(ShortCasing("a", share=0.1)))
    up, down = re.search(r"set its share to ([\d.]+) or (-[\d.]+)", said).groups()  # type: ignore[union-attr]
    for share in (float(up), float(down)):
        design = with_casings(ShortCasing("a", share=share))
        check_casings(draft_leg(BODY, design, Rise.HIGH), BODY, design, Rise.HIGH)


def test_a_leg_too_short_for_a_casing_below_the_crotch_says_so() -> None:
    said = refusal(replace(with_casings(ShortCasing("a", -20)), leg=LegDesign(inseam_length=40)))
    assert " -" not in re.search(r"free on this body are (.*) from", said).group(1)  # type: ignore[union-attr]
    assert "move it up by" in said


def test_both_rises_keep_a_casing_placed_by_its_share_at_one_height() -> None:
    design = with_casings(ShortCasing("a", share=0.5), ShortCasing("b", share=-0.8))
    high, mid = (casings_of(draft_leg(BODY, design, rise), design) for rise in (Rise.HIGH, Rise.MID))
    assert high == mid
