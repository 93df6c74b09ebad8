"""Every curve of a leg is fair, told by scipy from points along it; sewn together, edges run into each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from blocks.measurements import Body
from blocks.short import ShortCasing, ShortDesign
from blocks.short.design import LegDesign
from blocks.short.leg import LegBlock, Rise, draft_leg
from drafting.errors import DraftError
from drafting.path import Path
from drafting.point import Motion, Point, Vector
from fairness import bends_once, cubics, curvature, turns
from heron import bodies

RISES = st.sampled_from(list(Rise))
LEGS = st.builds(
    LegDesign,
    inseam_length=st.sampled_from([30, 60, 110, 300, 500, 700]),
    taper=st.sampled_from([0.0, 0.5, 1.0]),
    fullness=st.floats(1.0, 2.2),
)
ZONES = st.lists(
    st.builds(
        lambda name, share, full: ShortCasing(name, share=share, fullness=full),
        st.uuids().map(lambda one: f"c{str(one)[:8]}"),
        st.sampled_from([-0.8, -0.5, 0.35, 0.55]),
        st.floats(1.2, 2.0),
    ),
    max_size=2,
)


def drafted(body: Body, leg: LegDesign, casings: list[ShortCasing], rise: Rise) -> LegBlock:
    try:
        return draft_leg(body, ShortDesign("Any", leg=leg, casings=tuple(casings)), rise)
    except DraftError:
        assume(False)
        raise


def angle(one: Vector, other: Vector) -> float:
    return abs(math.degrees(math.atan2(one.cross(other), one.dot(other))))


def sewn(edge: Path, own: Path, onto: Path) -> Path:
    """An edge moved along with a seam of its piece that is laid onto its mate's: start on start, way on way."""
    there = onto.start_direction
    turn = math.degrees(math.atan2(there.y, there.x) - math.atan2(own.start_direction.y, own.start_direction.x))
    turned = Motion.turn(turn)
    return edge.moved(turned).moved(Motion.shift(onto.start - turned(own.start)))


@given(bodies(), LEGS, ZONES, RISES)
def test_crotch_curves_bend_one_way_and_are_tightest_once(
    body: Body, leg: LegDesign, zones: list[ShortCasing], rise: Rise
) -> None:
    block = drafted(body, leg, zones, rise)
    for curve in (cubics(block.front_crotch.segments)[0], cubics(block.back_crotch.segments)[-1]):
        assert bends_once(curvature(curve))


@given(bodies(), LEGS, ZONES, RISES)
def test_other_edges_turn_once_at_the_most_between_the_places_that_they_run_through(
    body: Body, leg: LegDesign, zones: list[ShortCasing], rise: Rise
) -> None:
    """The waist, the inseams with their taper, and what runs to another fullness; smooth from each part to the next."""
    block = drafted(body, leg, zones, rise)
    for edge in block.edges.values():
        assert all(turns(curvature(curve)) <= 1 for curve in cubics(edge.segments))
        assert all(angle(one.tangent(1), other.tangent(0)) < 1e-4 for one, other in pairwise(edge.segments))


@given(bodies(), LEGS)
def test_a_tapered_leg_only_ever_gets_narrower(body: Body, leg: LegDesign) -> None:
    block = drafted(body, leg, [], Rise.HIGH)
    inwards = [point.x for point in block.front_inseam.flat()]  # upwards from the hem
    assert all(upper >= lower - 1e-6 for lower, upper in pairwise(inwards))


@given(bodies(), LEGS, ZONES)
def test_the_crotch_runs_smoothly_from_front_to_back_where_inseams_are_joined(
    body: Body, leg: LegDesign, zones: list[ShortCasing]
) -> None:
    """The back laid with its inseam on the front's, crotch point on crotch point; the seam then runs straight on."""
    block = drafted(body, leg, zones, Rise.HIGH)
    flip = Motion.mirror_side(0.0)  # laid face to face
    own, curve = block.back_inseam.moved(flip), block.back_crotch.reversed().moved(flip)
    onto = block.front_inseam.reversed()
    assert own.length == pytest.approx(onto.length, abs=0.05)
    opened = Motion.mirror_side(0.0)
    laid = sewn(curve.moved(opened), own.moved(opened), onto)
    assert angle(block.front_crotch.start_direction, -laid.start_direction) < 1.0


@given(bodies(), LEGS, ZONES, RISES)
def test_the_waist_runs_smoothly_over_both_centre_seams(
    body: Body, leg: LegDesign, zones: list[ShortCasing], rise: Rise
) -> None:
    """The other leg is the mirror image in the centre seam at its upper end: twice a right angle is straight on."""
    block = drafted(body, leg, zones, rise)
    assert abs(angle(block.front_crotch.end_direction, block.waist.start_direction) - 90) < 0.5
    assert abs(angle(block.waist.end_direction, block.back_crotch.start_direction) - 90) < 0.5


@given(bodies(), LEGS, ZONES)
def test_the_hem_runs_smoothly_over_the_inseam(body: Body, leg: LegDesign, zones: list[ShortCasing]) -> None:
    block = drafted(body, leg, zones, Rise.HIGH)
    hem = block.hem
    laid = sewn(hem, block.back_inseam.reversed(), block.front_inseam)
    assert laid.start.isclose(Point(hem.end.x, hem.end.y), tolerance=0.01)
    assert angle(laid.start_direction, hem.end_direction) < 1.0
