from __future__ import annotations

import math

import pytest
from reportlab.lib import pagesizes

from drafting.errors import DesignError, DraftError
from drafting.units import POINT
from output.paper.sizes import A4, LETTER, WIDE_SHEETS, Tiling, paper_named, roll


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


@pytest.mark.parametrize("number", [0, 1, 2])
def test_large_sheets_follow_the_series_a_of_iso_216(number):
    # ISO 216, as above: (rounding: from memory)
    short, long = (math.floor(1000 * 2 ** (power / 4 - number / 2) + 0.2) for power in (-1, 1))
    paper = paper_named(f"A{number}")
    assert (paper.width, paper.height) == (short, long)
    assert paper.wide


def test_large_american_sheets_double_letter():
    # ANSI/ASME Y14.1: C, D and E are made of 4, 8 and 16 sheets of size A
    for name, sheets in (("ANSI-C", 4), ("ANSI-D", 8), ("ANSI-E", 16)):
        paper = paper_named(name)
        assert paper.width * paper.height == pytest.approx(sheets * LETTER.width * LETTER.height)


def test_only_sheets_of_a_print_shop_and_rolls_are_wide():
    assert all(paper.wide for paper in (*WIDE_SHEETS, roll(914)))
    assert not A4.wide
    assert not LETTER.wide


@pytest.mark.parametrize("width", [299, 2001, math.nan, -914])
def test_a_roll_that_no_printer_takes_is_refused(width):
    with pytest.raises(DraftError, match=r"roll: .* mm is outside 300 to 2000 mm; give the roll's width in mm"):
        roll(width)


def test_a_cell_and_its_strip_leave_the_margin_blank():
    assert Tiling().cell(A4) == (180, 267)
    assert Tiling().cell(A4.turned()) == (267, 180)
    assert Tiling().cell(LETTER) == pytest.approx((185.9, 249.4))


def test_papers_are_found_by_name():
    assert paper_named("a4") is A4
    assert paper_named("Letter") is LETTER
    with pytest.raises(DraftError, match="paper: 'A9' is not known; choose one of A4, Letter, A0"):
        paper_named("A9")


def test_margins_no_printer_can_keep_are_refused():
    with pytest.raises(DesignError, match=r"tiling.margin: 0 mm is outside 3 to 15 mm"):
        Tiling(margin=0)
