from dataclasses import replace
from itertools import pairwise

import pytest

from blocks.grade import GradeLimits, Outline, grade
from blocks.short import draft_short
from blocks.short.leg import Rise
from blocks.size_range import draft_range
from drafting.errors import DesignError
from ranges import HERON, HIGH_CASING, TABLE, heron_range, rows, spoiled, table

GRADE = grade(heron_range().garments)


def moves(name, outline=Outline.FINISHED, rise=Rise.HIGH, of=GRADE):
    return [place for place in of.moves if (place.rise, place.outline, place.name) == (rise, outline, name)]


def test_sample_range_has_no_bump():
    assert GRADE.warnings == ()
    assert grade(heron_range().garments, limits=GradeLimits(bump=1)).warnings == ()


def test_points_move_as_the_block_is_reckoned():
    # Drafted by hand: panel (hip + ease) / 4 x fullness from the side line; extensions a share of hip, from memory 1/7
    # to 1/5 in all, and what a larger crotch length asks for.
    for place in moves("hip, front")[1:]:
        hip = 60 if place.size in ("H134", "H140", "H146", "H152") else 40
        rise = TABLE.size(place.size).body.body_rise - TABLE.size(place.before).body.body_rise
        to_hip = TABLE.size(place.size).body.waist_to_hip - TABLE.size(place.before).body.waist_to_hip
        assert place.dx == pytest.approx(hip / 4 * 1.5, abs=3)
        assert place.dy == pytest.approx(rise - to_hip, abs=1e-6)
    for name, sign in (("front", 1), ("back", -1)):
        for place in moves(f"crotch point, {name}")[1:]:
            hip = TABLE.size(place.size).body.hip_girth - TABLE.size(place.before).body.hip_girth
            assert 1.5 / 4 + 1 / 16 <= sign * place.dx / hip <= 1.5 / 4 + 0.25
            assert place.dy == pytest.approx(0, abs=1e-6)
    for place in moves("waist at side line")[1:]:
        rise = TABLE.size(place.size).body.body_rise - TABLE.size(place.before).body.body_rise
        assert (place.dx, place.dy) == pytest.approx((0, rise), abs=1e-6)


def test_moves_lead_from_the_first_place_to_the_last():
    for name in dict.fromkeys(place.name for place in GRADE.moves if place.outline is Outline.FINISHED):
        places = moves(name)
        assert places[0].before is places[0].dx is places[0].dy is None
        for before, place in pairwise(places):
            assert place.before == before.size
            assert (before.x + place.dx, before.y + place.dy) == pytest.approx((place.x, place.y))


def test_flat_points_stand_above_the_finished_ones_by_the_casings_below():
    high = grade(heron_range(design=HIGH_CASING).garments)
    for rise, casings in ((Rise.HIGH, 5), (Rise.MID, 4)):
        flat, finished = (
            moves("waist at side line", outline, rise, high) for outline in (Outline.FLAT, Outline.FINISHED)
        )
        assert flat[0].y - finished[0].y == pytest.approx(2 * 12 * casings, abs=1e-6)


def test_a_casing_that_comes_in_with_a_size_is_no_bump_and_steps_the_flat_waist():
    made = grade(heron_range(design=HIGH_CASING).garments)
    assert made.warnings == ()
    top = moves("casing top: fold, front", Outline.FLAT, Rise.MID, made)
    assert top[0].size != "H84"
    assert top[0].before is None
    steps = {place.size: place.dy for place in moves("waist at side line", Outline.FLAT, Rise.MID, made)[1:]}
    assert steps[top[0].size] == pytest.approx(24 + 4, abs=1.5)


def test_every_casing_has_its_ends():
    names = {place.name for place in GRADE.moves if place.outline is Outline.FLAT and place.rise == Rise.HIGH}
    for casing in HERON.casings:
        for part in ("fold", "lower stitch line", "upper stitch line"):
            for half in ("front", "back"):
                assert f"casing {casing.name}: {part}, {half}" in names


@pytest.mark.parametrize("index", range(16))
@pytest.mark.parametrize("off", [15, -15])
def test_one_body_rise_off_by_a_centimetre_and_a_half_is_caught_and_named(index, off):
    shorts = list(heron_range().of(Rise.HIGH))
    shorts[index] = draft_short(HERON, spoiled(index, body_rise=off).sizes[index].body, size=shorts[index].size)
    (warning,) = grade(shorts).warnings
    label = TABLE.sizes[index].label
    assert warning.startswith(f"{label}, high rise: ")
    assert f"by 15.{warning.split('by 15.')[1][0]} mm {'up' if off > 0 else 'down'}, seen from " in warning


def test_each_rise_is_graded_by_itself_in_whatever_order_sizes_come():
    shorts = draft_range(HERON, spoiled(4, body_rise=15)).garments
    turned = grade(tuple(reversed(shorts)))
    assert turned == grade(shorts)
    assert [warning.split(":")[0] for warning in turned.warnings] == ["H100, high rise", "H100, mid rise"]


def test_split_and_whole_legs_grade_alike():
    split = draft_range(HERON, TABLE, fit="split").garments
    for one, other in zip(grade(split).moves, GRADE.moves, strict=True):
        assert replace(one, x=0, y=0, dx=0, dy=0) == replace(other, x=0, y=0, dx=0, dy=0)
        assert (one.x, one.y) == pytest.approx((other.x, other.y), abs=1e-6)


@pytest.mark.parametrize("count", [0, 1, 2, 60])
def test_any_number_of_sizes(count):
    shorts = draft_range(HERON, table(rows(count, step=1)), rises=["high"]).garments if count else ()
    found = grade(shorts)
    assert found.warnings == ()
    assert len(moves("waist at side line", of=found)) == count


def test_limits_have_ranges():
    with pytest.raises(DesignError, match=r"grade\.bump: 0 mm is outside 1 to 30 mm"):
        GradeLimits(bump=0)
