"""The cases of a test that its quick run tries; the others are slow, and tried with all the tests."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest


def quick(cases: Iterable[Any], wanted: Callable[[Any], bool]) -> list[Any]:
    """Cases for `parametrize`, or for the `params` of a fixture, those marked slow that are not wanted in a quick run.

    >>> [one.marks == () for one in quick(["A4", "Letter"], lambda paper: paper == "A4")]
    [True, False]
    """
    return [
        pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=() if wanted(case) else pytest.mark.slow)
        for case in cases
    ]
