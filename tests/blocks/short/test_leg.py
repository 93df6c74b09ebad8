import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.design import CasingDesign
from blocks.short.design import LegDesign
from blocks.short.folding import check_casings, tucks_of
from blocks.short.frame import neutral
from blocks.short.leg import Rise, draft_leg
from drafting.curve import Cubic
from drafting.errors import DesignError
from drafting.path import Path
from heron import BODY, DESIGN, HIGH_CASING, a_body, bodies

legs = st.builds(
    LegDesign,
    fullness=st.floats(1.0, 2.2),
    inseam_length=st.integers(60, 300),
    back_crotch_drop=st.floats(0, 10),
    front_lean=st.floats(0, 12),
    back_lean=st.floats(12, 28),
)
both_rises = pytest.mark.parametrize("rise", list(Rise))


def block_of(body=BODY, leg=None, rise=Rise.HIGH, **changes):
    return draft_leg(body, replace(DESIGN, leg=replace(leg or DESIGN.leg, **changes)), rise)


def angle(one, other):
    return math.degrees(math.atan2(one.cross(other), one.dot(other)))


# --- proportions against drafting handbooks -------------------------------------------------------------------------


@given(bodies())
def test_the_design_s_crotch_extensions_are_handbook_proportions(body):
    # From memory: published trouser drafts give 1/7 to 1/5 of hip girth in all, front to back from 1:2 to 1:3.
    frame = neutral(body, LegDesign(), swing=12, crotch_drop=5, trued_level=-60)
    front, back = frame.front.extension, frame.back.extension
    assert 1 / 7 <= (front + back) / body.hip_girth <= 1 / 5
    assert 2 - 1e-9 <= back / front <= 3


@given(bodies())
def test_crotch_extensions_brought_to_the_body_stay_near_them(body):
    # From memory: as above; what a body's own crotch length asks for is given to the front first.
    block = block_of(body)
    front = block.front_inseam.end.x - block.front_width
    back = -block.back_width - block.back_inseam.start.x
    assert 0.13 <= (front + back) / body.hip_girth <= 0.27
    assert front < back < 4 * front


def test_the_drafted_crotch_seam_is_near_a_handbook_crotch_length():
    # From memory: a size of 102 cm hip and 27 cm body rise is drafted for a crotch length of 68 to 74 cm.
    assert 680 <= block_of().crotch_seam <= 740


@given(bodies())
def test_the_back_is_longer_and_wider_than_the_front(body):
    # Common practice, no source: sitting needs length and width at the back.
    block = block_of(body)
    assert block.back_crotch.length > block.front_crotch.length + 20
    assert block.back_width > block.front_width


def test_hip_width_is_hip_girth_and_ease_times_fullness():
    # Common practice, no source: only the panel widens, never the crotch extension.
    plain, full = block_of(fullness=1.0), block_of(fullness=1.8)
    ease = DESIGN.leg.hip_ease
    assert 2 * (plain.front_width + plain.back_width) == pytest.approx(BODY.hip_girth + ease)
    assert 2 * (full.front_width + full.back_width) == pytest.approx(1.8 * (BODY.hip_girth + ease))
    assert plain.frame.front.extension == pytest.approx(full.frame.front.extension, abs=3)


# --- curves ---------------------------------------------------------------------------------------------------------


@given(bodies(), legs, st.sampled_from(list(Rise)))
def test_outline_is_closed_and_counter_clockwise(body, leg, rise):
    block = block_of(body, leg, rise)
    outline = Path.joined(block.edges.values())
    assert outline.closed
    xy = outline.array()
    assert sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(xy)) > 0


@given(bodies(), legs)
def test_joined_inseams_make_one_smooth_crotch_curve(body, leg):
    # Common practice, no source: both curves arrive square to their inseam, so they run into each other.
    block = block_of(body, leg)
    front = angle(block.front_inseam.end_direction, block.front_crotch.start_direction)
    back = angle(block.back_crotch.end_direction, block.back_inseam.start_direction)
    assert front == pytest.approx(90, abs=1e-6)
    assert back == pytest.approx(90, abs=1e-6)


@given(bodies(), legs)
def test_inseams_are_trued(body, leg):
    # Common practice, no source: equal lengths, and hem angles that add up to 180 degrees.
    block = block_of(body, leg)
    assert block.front_inseam.length == pytest.approx(block.back_inseam.length, abs=1e-6)
    hem = block.hem.start_direction
    front = 180 - angle(hem, block.front_inseam.start_direction)
    back = 180 - angle(block.back_inseam.end_direction, hem)
    assert front + back == pytest.approx(180, abs=1e-6)


@given(bodies(), legs)
def test_crotch_curves_have_no_kink_and_no_inflection(body, leg):
    block = block_of(body, leg)
    for path, inner in ((block.front_crotch, 0), (block.back_crotch, 1)):
        line, curve = path.segments[1 - inner], path.segments[inner]
        assert isinstance(curve, Cubic)
        joint = angle(curve.tangent(1), line.tangent(0)) if inner == 0 else angle(line.tangent(1), curve.tangent(0))
        assert joint == pytest.approx(0, abs=1e-6)
        bends = [curve.curvature(t) for t in np.linspace(0, 1, 101)]
        assert max(bends) < 0  # always hollow: to the right of travel round the piece
        xs = [p.x for p in path.flat()]
        steps = np.diff(xs if inner == 0 else xs[::-1])
        above = [p.y > 0 for p in (path if inner == 0 else path.reversed()).flat()][1:]
        curved = [step for step, up in zip(steps, above, strict=True) if up]
        assert all(step <= 1e-9 for step in curved) if inner == 0 else all(step >= -1e-9 for step in curved)


@given(bodies())
def test_the_front_scoops_deeper_than_the_back(body):
    # Common practice, no source. Depth: how far the curve is drawn into the corner of its tangents.
    frame = block_of(body).frame
    assert frame.front.scoop > frame.back.scoop - 0.05


@given(bodies(), legs, st.sampled_from(list(Rise)))
def test_waist_is_smooth_and_square_to_both_centre_lines(body, leg, rise):
    # Common practice, no source: joined at the centres, a waist edge square to them has no peak.
    block = block_of(body, leg, rise)
    assert angle(block.front_crotch.end_direction, block.waist.start_direction) == pytest.approx(90, abs=1e-6)
    assert angle(block.waist.end_direction, block.back_crotch.start_direction) == pytest.approx(90, abs=1e-6)
    first, second = block.waist.segments
    assert angle(first.tangent(1), second.tangent(0)) == pytest.approx(0, abs=1e-6)
    assert first.end.x == 0
    assert first.end.y == pytest.approx(block.waist_level)


# --- rises ----------------------------------------------------------------------------------------------------------


def test_mid_rise_lowers_the_whole_waist_and_nothing_else():
    high, mid = block_of(), block_of(rise=Rise.MID)
    for end in ("start", "end"):
        dropped = getattr(high.waist, end).y - getattr(mid.waist, end).y
        assert dropped == pytest.approx(DESIGN.leg.mid_drop)
    assert mid.waist_level == pytest.approx(high.waist_level - DESIGN.leg.mid_drop)
    assert mid.front_inseam == high.front_inseam
    assert mid.back_inseam == high.back_inseam
    assert mid.hip_level == high.hip_level
    for height in (20, 60, 120):
        assert mid.width_at(height) == pytest.approx(high.width_at(height), abs=1e-6)


def test_a_mid_rise_below_the_crotch_curve_is_refused_with_the_most_it_may_be():
    with pytest.raises(DesignError, match=r"leg\.mid_drop: 140 mm .* set it to \d+ mm at most"):
        block_of(a_body(body_rise=20, waist_to_hip=12), rise=Rise.MID, mid_drop=140)


# --- casings that cannot be ----------------------------------------------------------------------------------------


def with_casings(*casings):
    return replace(DESIGN, casings=casings)


def placed(design, rise=Rise.HIGH, body=BODY):
    block = draft_leg(body, design, rise)
    check_casings(block, body, design, rise)
    return tucks_of(block, design)


REFUSED = {
    "too shallow": ((CasingDesign("a", height=120, elastic_width=10, depth=11),), r"'a'.* at least 12 mm deep"),
    "flat of the curve": ((CasingDesign("a", height=30),), r"'a': from 18 mm to 30 mm .* up by (\d+) mm"),
    "across the crotch point": ((CasingDesign("a", height=-20),), r"'a': .* down by (\d+) mm"),
    "covers another": ((CasingDesign("b", height=120), CasingDesign("a", height=112)), r"'b'.* move it up by 7 mm"),
    "covers the hem": ((CasingDesign("a", height=-125),), r"'a'.* hem.* move it up by (\d+) mm"),
    "runs into the waist": ((CasingDesign("a", height=250),), r"'a'.* waist seam.* move it down by (\d+) mm"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_casing_that_cannot_be_is_refused_with_its_remedy(case):
    casings, match = REFUSED[case]
    with pytest.raises(DesignError, match=match):
        placed(with_casings(*casings))


@pytest.mark.parametrize(
    ("height", "words", "sign"),
    [(30, "up by ", 1), (250, "down by ", -1), (-125, "up by ", 1), (-20, "down by ", -1), (-20, "up by ", 1)],
)
def test_the_remedy_works(height, words, sign):
    with pytest.raises(DesignError) as error:
        placed(with_casings(CasingDesign("a", height=height)))
    by = int(str(error.value).split(words)[1].split(" mm")[0])
    tucks, _ = placed(with_casings(CasingDesign("a", height=height + sign * by)))
    assert len(tucks) == 1
    with pytest.raises(DesignError):
        placed(with_casings(CasingDesign("a", height=height + sign * (by - 2))))


@both_rises
def test_lower_casings_are_shared_by_both_rises(rise):
    tucks, gone = placed(HIGH_CASING, rise)
    names = [tuck.name for tuck in tucks]
    assert names[:4] == ["frill", "thigh", "lower", "upper"]
    assert [casing.name for casing in gone] == ([] if rise is Rise.HIGH else ["top"])
    assert {tuck.name: tuck.height for tuck in tucks}["upper"] == 160


@pytest.mark.parametrize("hip", range(84, 153, 4))
def test_room_for_casings_does_not_depend_on_how_the_cut_line_is_split_into_curves(hip):
    # The flat of the curve ends where the edge, and the same edge shifted out by the allowance, get steeper than 1:1.
    body = a_body(hip_girth=hip, waist_girth=hip * 0.75)
    edges = (block_of(body).front_crotch, block_of(body).back_crotch)
    flat = 0.0
    for path in (line for edge in edges for line in (edge, edge.offset(-DESIGN.allowances.seam))):
        points = path.array(tolerance=0.0005)
        slopes = np.abs(np.diff(points[:, 0])) > np.abs(np.diff(points[:, 1]))
        flat = max(flat, points[:-1][slopes, 1].max(), points[1:][slopes, 1].max())
    above, depth = math.ceil(flat) + 1, CasingDesign("a", height=0).depth
    assert len(placed(with_casings(CasingDesign("a", height=above + depth)), body=body)[0]) == 1
    with pytest.raises(DesignError, match="flat of the crotch curve"):
        placed(with_casings(CasingDesign("a", height=math.floor(flat) - 2 + depth)), body=body)
