import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.bump import bumps
from drafting.errors import GeometryError

HIPS = [*range(84, 129, 4), 134, 140, 146, 152]


@given(st.integers(0, 15), st.floats(10, 40) | st.floats(-40, -10), st.floats(-2, 5), st.floats(0, 0.002))
def test_the_one_value_that_is_off_is_found_alone(index, off, slope, curve):
    values = [slope * hip + curve * (hip - 84) ** 2 for hip in HIPS]
    values[index] += off
    found = bumps(HIPS, values, 4)
    assert [bump.index for bump in found] == [index]
    assert found[0].off == pytest.approx(off, abs=1)


@given(st.floats(-3, 3), st.floats(-1, 1))
def test_rounded_even_values_are_in_line(slope, start):
    # Rounded to 5: inside a row the worst is 2.5 + 2.5, and at its ends twice that.
    assert bumps(HIPS, [5 * round((start + slope * hip) / 5) for hip in HIPS], 5.001) == ()


def test_a_change_of_interval_is_no_bump():
    assert bumps(HIPS, [10 * hip for hip in HIPS], 0.001) == ()


def test_two_bumps_are_both_found():
    values = [0.0] * 16
    values[3], values[11] = 9, -9
    assert [(bump.index, round(bump.off, 6)) for bump in bumps(HIPS, values, 4)] == [(3, 9), (11, -9)]


@pytest.mark.parametrize("count", [0, 1, 2])
def test_one_or_two_values_have_no_line(count):
    assert bumps(HIPS[:count], [0, 50][:count], 1) == ()


def test_of_three_the_middle_one_is_named():
    assert [bump.index for bump in bumps([0, 1, 2], [0, 9, 0], 4)] == [1]


@pytest.mark.parametrize(("places", "values"), [([0, 0, 1], [1, 2, 3]), ([2, 1], [1, 2]), ([0, 1], [1])])
def test_places_must_ascend_and_have_a_value_each(places, values):
    with pytest.raises(GeometryError, match="places"):
        bumps(places, values, 1)
