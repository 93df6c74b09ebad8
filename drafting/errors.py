"""The one family of errors that a user may see.

Every message names the field or piece, the value found, what is allowed and what to do about it, on one line.
"""

from __future__ import annotations


class DraftError(Exception):
    """Base of every error that the user's input or surroundings can cause."""


class GeometryError(DraftError):
    """A curve or piece that cannot be built as asked."""


class MeasurementError(DraftError):
    """A body measurement that is missing, mistyped, implausible or contradicts another."""


class TableError(MeasurementError):
    """A size table with one fault or more: `problems` tells each on a line of its own."""

    def __init__(self, *problems: str) -> None:
        super().__init__(*problems)

    @property
    def problems(self) -> tuple[str, ...]:
        """One line per fault."""
        return tuple(map(str, self.args))

    def __str__(self) -> str:
        return "\n".join(self.problems)


class DesignError(DraftError):
    """A design that cannot be drafted: a number out of range, casings that collide, an unknown key."""


class OutputError(DraftError):
    """A file or folder that cannot be read or written."""
