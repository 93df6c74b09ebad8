from __future__ import annotations

import pytest
from hypothesis import given
from scipy import constants

import zoo
from drafting.errors import DraftError
from drafting.units import INCH, POINT, millimetres_per, show_both, show_cm


def test_units_are_those_of_physics() -> None:
    # Source: scipy.constants, after CODATA and the SI.
    assert millimetres_per("mm") == 1
    assert millimetres_per("cm") == constants.centi / constants.milli
    assert millimetres_per("in") == pytest.approx(constants.inch / constants.milli, rel=1e-15)
    assert pytest.approx(constants.point / constants.milli, rel=1e-15) == POINT


@pytest.mark.parametrize("unit", ["inch", "MM", "", None, 3, ["mm"]])
def test_an_unknown_unit_is_named(unit: object) -> None:
    with pytest.raises(DraftError, match=r"mm, cm, in"):
        millimetres_per(unit)  # type: ignore[arg-type]


@given(zoo.numbers(1, 100_000))
def test_both_units_are_read_back_within_what_they_show(length: float) -> None:
    cm, inches = show_both(length).removesuffix(" in)").split(" cm (")
    assert float(cm) * 10 == pytest.approx(length, abs=0.5 + 1e-9)
    assert "e" not in inches
    assert float(inches) * INCH == pytest.approx(length, abs=0.05 * INCH + 1e-9)


def test_long_lengths_are_not_shown_with_an_exponent() -> None:
    assert show_both(30_000) == "3000.0 cm (1181.1 in)"


def test_centimetres() -> None:
    assert show_cm(94) == "9.4 cm"
