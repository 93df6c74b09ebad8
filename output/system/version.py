"""The version of the program that is installed."""

from __future__ import annotations

from functools import cache
from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed


@cache
def version() -> str:
    """The version, or a word for none when the program runs from its sources."""
    try:
        return installed("shirrline")
    except PackageNotFoundError:
        return "(not installed)"
