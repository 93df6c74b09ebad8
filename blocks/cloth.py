"""The cloth a size is cut from, and whether a piece still fits across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from blocks.parameters import PRACTICE, Parameters, parameter, parameters_of
from blocks.quantity import length_within
from drafting.errors import DesignError
from drafting.piece import Piece


class Lay(StrEnum):
    """How the cloth lies on the table: opened out to its full width, or folded lengthwise, selvedge on selvedge."""

    OPEN = "open"
    FOLDED = "folded"


@dataclass(frozen=True, slots=True)
class Cloth(Parameters):
    """A cloth as it is bought and laid. Its grain runs along its length.

    Raises:
        DesignError: a parameter is outside its range, or an unknown lay.
    """

    called: ClassVar[str] = "cloth"

    width: float = parameter(1400, "mm", 600, 3200, "nominal width, selvedge to selvedge", PRACTICE)
    selvedge: float = parameter(15, "mm", 0, 50, "lost along each selvedge", PRACTICE)
    fold: float = parameter(5, "mm", 0, 30, "lost along the fold when the cloth is folded", PRACTICE)
    lay: Lay = Lay.OPEN

    @property
    def usable(self) -> float:
        """The widest piece that fits across, in mm.

        >>> Cloth(1400).usable, Cloth(1400, lay=Lay.FOLDED).usable
        (1370.0, 680.0)
        """
        across = self.width - 2 * self.selvedge
        return across if self.lay is Lay.OPEN else across / 2 - self.fold

    def fits(self, piece: Piece) -> bool:
        """True when the piece, allowances included, is no wider than the usable cloth; exactly as wide still fits."""
        return width_across(piece) <= self.usable + 1e-6


def cloth_length(parameter: str, raw: object, unit: str, *, name: str) -> float:
    """The width or the selvedge of a cloth as a user wrote it, in mm; errors call it `name`.

    >>> cloth_length("width", 140, "cm", name="cloth")
    1400.0

    Raises:
        DesignError: not a number, or outside its range.
    """
    about = parameters_of(Cloth)[parameter]
    return length_within(name, raw, about, unit, otherwise=f"give the {about.meaning}", error=DesignError)


def width_across(piece: Piece) -> float:
    """Width of a piece's cut line square to its grain, in mm."""
    left, _, right, _ = piece.cut_line.bounds
    return right - left


def widest(pieces: Sequence[Piece]) -> Piece:
    """The piece that needs the widest cloth."""
    return max(pieces, key=width_across)
