"""Sheets of paper that a home printer takes, and how a drawing is divided among them. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from blocks.design import CHOICE, PRACTICE
from blocks.parameters import check_parameters, parameter
from drafting.errors import DraftError
from drafting.units import INCH


@dataclass(frozen=True, slots=True)
class Paper:
    """One size of paper, upright unless turned."""

    name: str
    width: float
    height: float

    def turned(self) -> Paper:
        """The same paper laid on its other side."""
        return replace(self, width=self.height, height=self.width)

    @property
    def landscape(self) -> bool:
        return self.width > self.height


A4: Final = Paper("A4", 210, 297)
"""ISO 216."""

LETTER: Final = Paper("Letter", 8.5 * INCH, 11 * INCH)
"""ANSI/ASME Y14.1, size A."""

PAPERS: Final = {paper.name.lower(): paper for paper in (A4, LETTER)}


def paper_named(name: str) -> Paper:
    """The paper of that name, in capitals or not.

    >>> paper_named("a4").height
    297

    Raises:
        DraftError: there is none.
    """
    try:
        return PAPERS[name.lower()]
    except KeyError:
        known = ", ".join(paper.name for paper in PAPERS.values())
        raise DraftError(f"paper: {name!r} is not known; choose one of {known}") from None


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a page carries its part of the drawing: an unprinted margin, in it a strip that repeats the neighbours'
    drawing, in that the page's own cell.

    Raises:
        DesignError: a parameter is outside its range.
    """

    margin: float = parameter(7, "mm", 3, 15, "left blank on all four sides: home printers cannot reach it", PRACTICE)
    overlap: float = parameter(8, "mm", 6, 20, "strip round the cell that repeats its neighbours' drawing", CHOICE)
    gap: float = parameter(10, "mm", 2, 50, "paper between two pieces, room for shears", CHOICE)

    def __post_init__(self) -> None:
        check_parameters(self, "tiling")

    @property
    def inset(self) -> float:
        """From the paper's edge to its cell."""
        return self.margin + self.overlap

    def cell(self, paper: Paper) -> tuple[float, float]:
        """Width and height of the cell of a page.

        >>> Tiling().cell(A4)
        (180.0, 267.0)
        """
        return float(paper.width - 2 * self.inset), float(paper.height - 2 * self.inset)
