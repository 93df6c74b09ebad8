from __future__ import annotations

import pytest

from drafting.errors import DesignError
from drafting.piece import Grainline
from drafting.point import Point
from output.drawing.marks import MarkStyle, grain_strokes, register_mark


def test_arrowheads_point_outward_at_both_ends_and_shrink_on_a_short_line():
    for length, head in ((200, 8), (16, 4)):
        shaft, low, high = grain_strokes(Grainline(Point(0, 0), Point(0, length)))
        assert (low.path.start, high.path.start) == (Point(0, 0), Point(0, length))
        assert low.path.bounds[3] == pytest.approx(head)
        assert high.path.bounds[1] == pytest.approx(length - head)
        assert low.filled
        assert high.filled
        assert 0 < shaft.path.start.y < head


def test_a_register_mark_is_a_cross_in_a_ring_about_its_centre():
    across, upright, ring = (stroke.path for stroke in register_mark(Point(100, 50)))
    assert (across.start, across.end) == (Point(96, 50), Point(104, 50))
    assert (upright.start, upright.end) == (Point(100, 46), Point(100, 54))
    assert ring.closed


def test_a_mark_that_would_not_fit_the_strip_is_refused():
    with pytest.raises(DesignError, match=r"marks.register_arm: 9 mm is outside"):
        MarkStyle(register_arm=9)
