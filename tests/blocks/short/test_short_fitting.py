"""What a fitting found, drafted: each finding at both ends, and in pairs; held to slashing and spreading by hand.

The amounts that seams change by are what the findings say (drafting and fitting handbooks, from memory).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from math import degrees
from typing import Any

import pytest
from shapely import Polygon
from shapely.affinity import rotate

from blocks.fitting import NAMES, PLAIN, STARTS, Fitting
from blocks.measurements import Body, body_from
from blocks.parameters import parameters_of
from blocks.short import Short, ShortDesign, draft_short
from blocks.short.fitting import USUAL, Shares, adjusted, scaled
from blocks.short.leg import Rise, draft_leg, frame_of
from drafting.errors import DraftError, MeasurementError
from fitted import check_true
from sampled import heron_body, heron_design

ENDS = {name: parameters_of(Fitting)[name].high for name in NAMES}

LONGER: dict[str, tuple[float, float]] = {
    "full_tummy": (1, 0),
    "flat_tummy": (-1, 0),
    "full_seat": (0, 1),
    "flat_seat": (0, -1),
    "hollow_back": (0, -1),
    "full_outer_thigh": (0, 0),
    "high_waist_front": (1, 0),
    "low_waist_front": (-1, 0),
    "high_waist_back": (0, 1),
    "low_waist_back": (0, -1),
    "high_waist_side": (0, 0),
    "low_waist_side": (0, 0),
    "long_crotch": (0.45, 0.55),
    "short_crotch": (-0.45, -0.55),
    "long_front_crotch": (1, 0),
    "short_front_crotch": (-1, 0),
    "long_back_crotch": (0, 1),
    "short_back_crotch": (0, -1),
    "long_rise": (1, 1),
    "short_rise": (-1, -1),
    "long_leg": (0, 0),
    "short_leg": (0, 0),
}
"""How much longer the front and the back crotch seam become, over the amount; a full inner thigh has no say in it."""


@cache
def plain(rise: str = "high") -> Short:
    return draft_short(heron_design(), heron_body(), rise=rise)


def fitted(rise: str = "high", design: ShortDesign | None = None, **found: float) -> Short:
    body = replace(heron_body(), fitting=Fitting(**found))
    return draft_short(design or heron_design(), body, rise=rise)


def at_both_ends() -> list[Any]:
    amounts = [(name, amount) for name in NAMES for amount in (0.1, STARTS[name], ENDS[name])]
    return [pytest.param(name, amount, id=f"{name}-{amount:g}") for name, amount in amounts]


@pytest.mark.parametrize(("name", "amount"), at_both_ends())
def test_each_finding_is_drafted_true_or_refused_with_a_remedy_that_drafts(name, amount):
    design = heron_design()
    if name == "short_leg" and amount > STARTS[name]:  # no casing has room below the crotch of a leg so short
        with pytest.raises(DraftError, match="casing 'frill'"):
            fitted(**{name: amount})
        design = replace(design, casings=())
    short = fitted(design=design, **{name: amount})
    check_true(short)
    assert short.adjusted
    assert short.adjusted.fitting.found == {name: amount}


@pytest.mark.parametrize("rise", ["high", "mid"])
@pytest.mark.parametrize("name", LONGER)
def test_each_crotch_seam_changes_by_what_the_finding_says(name, rise):
    amount = min(ENDS[name], 3 * STARTS[name]) if name != "short_leg" else 10
    before, after = plain(rise).leg, fitted(rise, **{name: amount}).leg
    front, back = LONGER[name]
    slack = 1e-3 if rise == "high" else 1.0  # the mid rise's waist is lowered level, whatever the centres' slant
    assert after.front_crotch.length - before.front_crotch.length == pytest.approx(front * amount, abs=slack)
    assert after.back_crotch.length - before.back_crotch.length == pytest.approx(back * amount, abs=slack)


def test_findings_come_on_top_of_a_measured_crotch_length():
    body = body_from(
        {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5, "crotch_length": 70}, unit="cm"
    )
    design = heron_design()
    before = draft_leg(body, design, Rise.HIGH)
    assert before.crotch_seam == pytest.approx(700 + design.leg.crotch_ease, abs=0.1)
    after = draft_leg(replace(body, fitting=Fitting(long_crotch=15)), design, Rise.HIGH)
    assert after.crotch_seam - before.crotch_seam == pytest.approx(15, abs=1e-3)


def test_pairs_of_findings_are_drafted_true():
    tried = 0
    for one, other in combinations(NAMES, 2):
        amounts = {one: STARTS[one], other: STARTS[other]}
        try:
            Fitting(**amounts)
        except MeasurementError:
            continue
        tried += 1
        check_true(fitted(**amounts))
    print(f"{tried} pairs drafted")
    assert tried > 200


def test_a_hinge_at_the_side_opens_as_paper_does():
    """Slashed from the centre back to the side at the hip level, the part above turned about the side (from memory)."""
    before, frame = plain().leg, frame_of(heron_body(), heron_design())
    amount = 12.0
    made = adjusted(frame, Fitting(full_seat=amount), knee=-400, shares=Shares(seat_extension=0))
    outline = Polygon([(at.x, at.y) for at in before.outline.flat(tolerance=0.01)])
    assert outline.is_valid
    hinge = (0.0, frame.hip_level)
    turned = rotate(outline, -degrees(amount / frame.back.width), origin=hinge)
    corner = min(
        turned.exterior.coords, key=lambda at: at[0] - 2 * at[1]
    )  # the centre back's waist is highest, leftmost
    assert -(made.back.width - made.back.lean) == pytest.approx(corner[0], abs=1.0)
    assert made.back.waist == pytest.approx(corner[1], abs=1.5)


def test_a_long_rise_opens_evenly_and_moves_nothing_below_the_slash():
    before, after = plain().leg.points, fitted(long_rise=20).leg.points
    for name in before:
        up = 20 if name.startswith("waist") else 0
        assert after[name].y - before[name].y == pytest.approx(up, abs=0.1), name
        assert after[name].x - before[name].x == pytest.approx(0, abs=0.5), name


def test_a_long_leg_opens_below_the_crotch_and_takes_its_casings_along():
    before, after = plain(), fitted(long_leg=25)
    assert after.leg.hem_level == before.leg.hem_level - 25
    for old, new in zip(before.elastics.casings, after.elastics.casings, strict=True):
        assert new.height - old.height == pytest.approx(-25 if old.height <= 0 else 0)
    moved = {one.name: one.up for one in after.adjusted.points} if after.adjusted else {}
    assert moved["frill casing"] == -25
    assert "upper casing" not in moved


def test_a_full_thigh_is_nothing_at_the_knee_of_a_leg_that_tapers():
    design = heron_design()
    design = replace(design, casings=(), leg=replace(design.leg, inseam_length=650, taper=1.0))
    body = heron_body()
    knee = body.known("knee_height") - body.known("inside_leg_height")
    before = draft_short(design, body).leg
    for found in ({"full_inner_thigh": 20}, {"full_outer_thigh": 20}):
        after = fitted(design=design, **found).leg
        widths = [after.width_at(y) - before.width_at(y) for y in (-1, knee, before.hem_level + 1)]
        assert widths == pytest.approx([20, 0, 0], abs=0.6)


def test_what_moved_is_what_the_finished_lines_say():
    short = fitted(full_seat=20, high_waist_side=8)
    made, bare = short.adjusted, plain()
    assert made
    assert made.before.length == pytest.approx(bare.leg.outline.length)
    assert made.after.length == pytest.approx(short.leg.outline.length)
    edges = {one.name: one for one in made.edges}
    assert edges["back crotch seam"].before == pytest.approx(bare.measures["back_rise"])
    assert edges["back crotch seam"].after == pytest.approx(short.measures["back_rise"])
    assert edges["side line"].by == pytest.approx(8)
    assert "front inseam" not in edges
    old = {point.name: point.at for point in bare.points if point.outline == "finished"}
    new = {point.name: point.at for point in short.points if point.outline == "finished"}
    told = {one.name: one for one in made.points}
    for name, was in old.items():
        out = (new[name].x - was.x) * (-1 if was.x < 0 else 1)
        shift = told.get(name)
        told_of = (shift.out, shift.up) if shift else (0.0, 0.0)
        assert told_of == pytest.approx((out, new[name].y - was.y), abs=0.006), name


def test_the_plain_short_is_told_nothing_of_fittings():
    assert plain().adjusted is None
    assert heron_body().fitting == PLAIN
    assert not any("adjusted" in text for text in (*plain().notes, *(note for p in plain().pieces for note in p.notes)))


def test_every_piece_and_the_report_say_that_it_is_adjusted():
    short = fitted(full_seat=12)
    assert all("adjusted after a fitting" in piece.notes for piece in short.pieces)
    assert "adjusted after a fitting: full seat 12 mm" in short.notes
    assert short.size == "H102 adjusted"
    assert all(piece.size == short.size for piece in short.pieces)


def test_more_than_a_curve_has_room_for_is_refused_with_what_it_bears():
    slim = body_from({"waist_girth": 60, "hip_girth": 80, "body_rise": 20, "waist_to_hip": 16}, unit="cm")
    design, found = heron_design(), Fitting(flat_seat=30, short_crotch=40, short_rise=40)
    frame = frame_of(slim, design)
    narrow = replace(frame, back=replace(frame.back, extension=8.0))
    with pytest.raises(MeasurementError, match=r"^fit.flat_seat: .*back crotch curve.*set flat_seat to ([\d.]+) mm"):
        adjusted(narrow, found, knee=-400)
    for share in (0.99, 0.5):
        try:
            adjusted(narrow, scaled(found, share), knee=-400)
        except MeasurementError as error:
            amount = float(str(error).split("flat_seat to ")[1].split(" mm")[0])
            adjusted(narrow, scaled(found, amount / found.flat_seat), knee=-400)


@pytest.mark.parametrize(("found", "said"), [({"short_leg": 100}, "short_leg"), ({"long_leg": 200}, "long_leg")])
def test_a_leg_beyond_its_range_is_refused_with_how_much_it_may_be(found, said):
    design = heron_design()
    leg = replace(design.leg, inseam_length=100 if said == "short_leg" else 660)
    design = replace(design, casings=(), leg=leg)
    with pytest.raises(MeasurementError, match=rf"^fit.{said}: .* set {said} to ([\d.]+) mm at most") as refused:
        fitted(design=design, **found)
    most = float(str(refused.value).split(f"set {said} to ")[1].split(" mm")[0])
    assert fitted(design=design, **{said: most}).leg


def test_shares_are_those_that_the_guide_tells():
    from blocks.short.words import WORDS  # noqa: PLC0415

    assert pytest.approx(1 / 3) == USUAL.seat_extension
    assert "a third" in WORDS["find.full_seat.change"]
    assert USUAL.crotch_extension == USUAL.thigh_back == 0.5
    assert "half at the crotch points" in WORDS["find.long_crotch.change"]
    assert "half each" in WORDS["find.full_inner_thigh.change"]
    assert isinstance(heron_body(), Body)


@pytest.mark.parametrize("finish", ["cut-on", "waistband"])
def test_every_waist_finish_takes_the_findings_but_for_a_side_that_a_fold_cannot_follow(finish):
    design = heron_design()
    design = replace(design, waist=replace(design.waist, finish=finish))
    for name in NAMES:
        amount = min(STARTS[name], 10)
        if finish == "cut-on" and name.endswith("waist_side"):
            with pytest.raises(MeasurementError, match=rf"^fit.{name}: a cut-on casing is folded along a straight"):
                fitted(design=design, **{name: amount})
            continue
        short = fitted(design=design, **{name: amount})
        assert short.adjusted
        assert short.adjusted.moved, name
        assert short.proofs.fold < 0.05


def test_a_refusal_that_a_finding_is_to_blame_for_says_so_and_less_of_it_drafts():
    with pytest.raises(DraftError, match=r"or lessen what the fitting found: short leg 60 mm$"):
        fitted(short_leg=60)
    assert fitted(short_leg=20).leg


def test_a_waist_that_is_higher_at_the_side_alone_moves_no_casing_and_no_elastic():
    design = heron_design()
    upper, *others = design.casings
    design = replace(design, casings=(replace(upper, height=None, share=0.55), *others))
    before, after = draft_short(design, heron_body()), fitted(design=design, high_waist_side=20)
    for old, new in zip(before.elastics, after.elastics, strict=True):
        assert (new.height, new.cut_length) == pytest.approx((old.height, old.cut_length))
    assert after.leg.points["waist at side line"].y - before.leg.points["waist at side line"].y == 20
