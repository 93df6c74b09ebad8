from __future__ import annotations

import math

import pytest
from reportlab.lib import pagesizes

from drafting.errors import DesignError, DraftError
from drafting.units import POINT
from output.paper import A4, LETTER, Tiling, paper_named


def test_a4_follows_the_series_a_of_iso_216():
    # ISO 216: A0 has an area of 1 m² and sides in the ratio of the root of 2; each size halves the one before,
    # and lengths are rounded down to whole millimetres after adding 0.2 (rounding: from memory).
    short, long = (math.floor(1000 * 2 ** (power / 4 - 4 / 2) + 0.2) for power in (-1, 1))
    assert (A4.width, A4.height) == (short, long) == (210, 297)


def test_papers_agree_with_a_general_library():
    # reportlab.lib.pagesizes, an independent table in units of 1/72 inch
    for paper, (width, height) in ((A4, pagesizes.A4), (LETTER, pagesizes.LETTER)):
        assert (paper.width / POINT, paper.height / POINT) == pytest.approx((width, height), abs=1e-3)


def test_letter_is_eight_and_a_half_by_eleven_inches():
    # ANSI/ASME Y14.1, size A
    assert (LETTER.width, LETTER.height) == pytest.approx((215.9, 279.4))


def test_a_cell_and_its_strip_leave_the_margin_blank():
    assert Tiling().cell(A4) == (180, 267)
    assert Tiling().cell(A4.turned()) == (267, 180)
    assert Tiling().cell(LETTER) == pytest.approx((185.9, 249.4))


def test_papers_are_found_by_name():
    assert paper_named("a4") is A4
    assert paper_named("Letter") is LETTER
    with pytest.raises(DraftError, match="paper: 'A9' is not known; choose one of A4, Letter"):
        paper_named("A9")


def test_margins_no_printer_can_keep_are_refused():
    with pytest.raises(DesignError, match=r"tiling.margin: 0 mm is outside 3 to 15 mm"):
        Tiling(margin=0)
