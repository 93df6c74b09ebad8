"""What the fields of requests for lays mean: how cloth is bought, how long is searched for a lay, where it is kept."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from blocks.design import Design
from blocks.lay import Search
from blocks.parameters import parameters_of
from blocks.quantity import Number, finite, read_count, read_number, shown
from blocks.requirement import Buying
from drafting.errors import DraftError
from output.lays.file import LayFile, lay_file_of

SHRINKAGE: Final = 100 * Buying().shrinkage
"""Per cent of the cloth's length."""

SECONDS: Final = Search().seconds
"""For each lay."""


def lays_of(lays: str | Path | None, design: str | Path | Design) -> LayFile:
    """The file in which lays are kept: the one that was named, or the one beside the design's.

    Raises:
        DraftError: neither is known, the file cannot be read, or it is no lay file.
    """
    if lays:
        return LayFile(lays)
    if isinstance(design, Design):
        raise DraftError("lays: missing; the design is in no file that they could be kept beside: name a file for them")
    return LayFile(lay_file_of(design))


def buying_of(shrinkage: Number) -> Buying:
    """How cloth is bought that shrinks by so many per cent.

    Raises:
        DraftError: it is not a percentage within its range.
    """
    about = parameters_of(Buying)["shrinkage"]
    number = finite(read_number(shrinkage))
    if number is None or not about.low <= number / 100 <= about.high:
        allowed = f"{100 * about.low:g} to {100 * about.high:g} %"
        raise DraftError(f"shrinkage: {shown(shrinkage)} is not a percentage in {allowed} ({about.meaning}); give one")
    return Buying(shrinkage=number / 100)


def search_of(seconds: int | str) -> Search:
    """A search for lays that takes so many seconds for each.

    Raises:
        DraftError: it is not a whole number within its range.
    """
    about, number = parameters_of(Search)["seconds"], read_count(seconds)
    if number is None or not about.low <= number <= about.high:
        raise DraftError(
            f"seconds: {shown(seconds)} is not a whole number of {about.low:g} to {about.high:g}; give one"
        )
    return Search(seconds=number)
