"""Sheets of paper that a home printer takes, and how a drawing is divided among them. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import ClassVar, Final

from blocks.parameters import CHOICE, PRACTICE, Parameters, parameter
from blocks.quantity import Number, finite, read_number, shown
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

    @property
    def wide(self) -> bool:
        """True for what a print shop has: a large sheet, or a roll, whose height is infinite."""
        return self in WIDE_SHEETS or (self.height == inf and not self.screen)

    @property
    def home(self) -> bool:
        """True for what a home printer takes."""
        return not (self.wide or self.screen)

    @property
    def screen(self) -> bool:
        """True for what is shown by a projector, and is as large as need be."""
        return self.width == inf


A4: Final = Paper("A4", 210, 297)
"""ISO 216."""

LETTER: Final = Paper("Letter", 8.5 * INCH, 11 * INCH)
"""ANSI/ASME Y14.1, size A."""

WIDE_SHEETS: Final = (
    Paper("A0", 841, 1189),
    Paper("A1", 594, 841),
    Paper("A2", 420, 594),
    Paper("ANSI-E", 34 * INCH, 44 * INCH),
    Paper("ANSI-D", 22 * INCH, 34 * INCH),
    Paper("ANSI-C", 17 * INCH, 22 * INCH),
)
"""ISO 216, and ANSI/ASME Y14.1 for the last three."""

NARROWEST, WIDEST = 300.0, 2000.0
"""mm; rolls of plotters (common practice, no source)."""

PROJECTIONS: Final = {ground: Paper(f"projection-{ground}", inf, inf) for ground in ("light", "dark")}
"""Pages for a projector, by what lines are drawn on."""

PAPERS: Final = {paper.name.lower(): paper for paper in (A4, LETTER, *WIDE_SHEETS)}


def paper_named(name: str) -> Paper:
    """The paper of that name, in capitals or not; a roll is named by its width in mm.

    >>> paper_named("a4").height, paper_named("roll-914").width
    (297, 914.0)

    Raises:
        DraftError: there is none.
    """
    kind, _, width = name.lower().partition("-")
    if kind == "roll":
        return roll_named(width)
    try:
        return PAPERS[name.lower()]
    except KeyError:
        known = ", ".join(paper.name for paper in PAPERS.values())
        raise DraftError(f"paper: {name!r} is not known; choose one of {known}") from None


def roll_named(width: Number) -> Paper:
    """The roll of that width in mm, as a number or as it is written.

    Raises:
        DraftError: it is not a number, or no printer takes such a roll.
    """
    number = finite(read_number(width))
    if number is None:
        raise DraftError(f"roll: {shown(width)} is not a number; give the roll's width in mm, as in 914")
    return roll(number)


def roll(width: float) -> Paper:
    """Paper from a roll `width` mm wide, as long as need be.

    >>> roll(914).name
    'roll-914'

    Raises:
        DraftError: no printer takes a roll of that width.
    """
    if not NARROWEST <= width <= WIDEST:
        raise DraftError(
            f"roll: {width:g} mm is outside {NARROWEST:g} to {WIDEST:g} mm; give the roll's width in mm, as in 914"
        )
    return Paper(f"roll-{width:g}", width, inf)


@dataclass(frozen=True, slots=True)
class Spent:
    """The sheets that pieces take, and the fewest that they could: their area over what a sheet prints, rounded up.

    Of a roll also its length in mm, and the least: the area over what the roll prints of its width, or what the piece
    that lies worst takes alone.
    """

    sheets: int
    least_sheets: int
    length: float | None = None
    least_length: float | None = None


@dataclass(frozen=True, slots=True)
class Tiling(Parameters):
    """How a page carries its part of the drawing: an unprinted margin, in it a strip that repeats the neighbours'
    drawing, in that the page's own cell.
    """

    called: ClassVar[str] = "tiling"

    margin: float = parameter(7, "mm", 3, 15, "left blank on all four sides: home printers cannot reach it", PRACTICE)
    overlap: float = parameter(8, "mm", 6, 20, "strip round the cell that repeats its neighbours' drawing", CHOICE)
    gap: float = parameter(10, "mm", 2, 50, "paper between two pieces, room for shears", CHOICE)

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
