from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline, PchipInterpolator

import zoo
from drafting.errors import GeometryError
from drafting.interpolate import Pchip


@st.composite
def tables(draw: st.DrawFn, *, ascending: bool = False) -> tuple[tuple[float, ...], tuple[float, ...]]:
    steps = draw(st.lists(zoo.numbers(0.5, 300), min_size=1, max_size=8))
    xs = tuple(itertools.accumulate(steps, initial=draw(zoo.numbers(-500, 500))))
    ys = [draw(zoo.numbers(-1000, 1000)) for _ in xs]
    return xs, tuple(sorted(ys) if ascending else ys)


@given(tables())
def test_agrees_with_scipy(table: tuple[tuple[float, ...], tuple[float, ...]]) -> None:
    # Source: scipy.interpolate.PchipInterpolator.
    xs, ys = table
    ours, theirs = Pchip(xs, ys), PchipInterpolator(xs, ys)
    places = np.linspace(xs[0], xs[-1], 101)
    assert np.allclose([ours(x) for x in places], theirs(places), rtol=1e-9, atol=1e-9)


def test_the_comparison_tells_one_interpolation_from_another() -> None:
    # Source: scipy.interpolate.CubicSpline, which overshoots where PCHIP does not.
    xs, ys = (0, 10, 20, 30), (0, 0, 100, 100)
    places = np.linspace(0, 30, 101)
    ours = [Pchip(xs, ys)(x) for x in places]
    assert not np.allclose(ours, CubicSpline(xs, ys)(places), atol=1)
    assert CubicSpline(xs, ys)(places).max() > 101 > max(ours)


@given(tables(ascending=True))
def test_rises_only_where_the_values_rise(table: tuple[tuple[float, ...], tuple[float, ...]]) -> None:
    xs, ys = table
    values = [Pchip(xs, ys)(x) for x in np.linspace(xs[0], xs[-1], 101)]
    assert np.diff(values).min() >= -1e-9


@given(tables(), zoo.numbers(0, 1e4))
def test_meets_its_values_and_holds_the_end_ones(
    table: tuple[tuple[float, ...], tuple[float, ...]], beyond: float
) -> None:
    xs, ys = table
    curve = Pchip(xs, ys)
    assert [curve(x) for x in xs] == pytest.approx(ys)
    assert curve(xs[0] - beyond) == ys[0]
    assert curve(xs[-1] + beyond) == ys[-1]


def test_two_values_give_a_line() -> None:
    assert Pchip((10, 30), (5, 1))(15) == pytest.approx(4)


@pytest.mark.parametrize(
    ("xs", "ys", "why"),
    [
        ((), (), "0 places"),
        ((1,), (2,), "1 places"),
        ((1, 2), (2, 3, 4), "2 places and 3 values"),
        ((1, 1), (2, 3), "must ascend"),
        ((2, 1), (2, 3), "must ascend"),
        ((1, 2), (math.nan, 3), "nan is not"),
        ((1, math.inf), (2, 3), "inf is not"),
    ],
)
def test_refuses_a_bad_table(xs: tuple[float, ...], ys: tuple[float, ...], why: str) -> None:
    with pytest.raises(GeometryError, match=why):
        Pchip(xs, ys)
