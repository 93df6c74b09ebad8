from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.tunnel import FOLD_STITCH, from_fold, spare


@given(st.floats(3, 60), st.floats(1, 10))
def test_every_casing_that_is_deep_enough_has_a_tunnel_that_takes_its_elastic(width, free):
    """A casing is refused unless it is deeper than its elastic is wide, by `limits.elastic_clearance`."""
    depth = width + free
    close, left = from_fold(depth, width), spare(depth, width)
    assert close + width + left == pytest.approx(depth)
    assert 0 < close <= FOLD_STITCH
    assert left >= free / 2 - 1e-9


def test_a_casing_of_12_mm_leaves_its_elastic_of_10_mm_one_more():
    assert (from_fold(12, 10), spare(12, 10)) == (1, 1)
