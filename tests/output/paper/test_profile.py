"""Profiles of boxes, for which closed forms tell what is forbidden."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from output.paper.profile import Profile, extents, forbidden

PITCH = 2.0


def box(width: float, low: float, high: float) -> Profile:
    count = int(np.ceil(width / PITCH))
    return Profile(*extents(np.array([(0.0, low)]), np.array([(width, high)]), pitch=PITCH, count=count))


def test_a_profile_holds_every_box_in_all_slabs_that_it_touches() -> None:
    low, high = extents(np.array([(0.0, 1.0), (3.0, -2.0)]), np.array([(3.9, 5.0), (9.9, 4.0)]), pitch=PITCH, count=5)
    assert low.tolist() == [1, -2, -2, -2, -2]
    assert high.tolist() == [5, 5, 4, 4, 4]


@given(st.integers(1, 9), st.integers(1, 9), st.integers(0, 3), st.integers(-25, 25), st.floats(-50, 50))
def test_beside_a_box_nothing_is_forbidden_and_over_it_what_comes_nearer_than_the_gap(
    wide: int, other: int, reach: int, begins: int, lift: float
) -> None:
    gap = 5.0
    seen = forbidden(box(PITCH * wide, 0, 10).grown(gap, reach), box(PITCH * other, -1, 3), reach=reach)
    under, over = seen.at(np.array([begins]), lift)
    if -reach - other < begins < wide + reach:  # closed form: they share a slab once the one is grown
        assert under[0] == pytest.approx(lift - gap - 3)
        assert over[0] == pytest.approx(lift + 10 + gap + 1)
    else:
        assert (under[0], over[0]) == (np.inf, -np.inf)
