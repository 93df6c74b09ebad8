"""Numbers of the trade as named parameters: each has a default, a unit, an allowed range and a source."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any, Final

from drafting.errors import DesignError

PRACTICE: Final = "common practice, no source"
MEMORY: Final = "drafting handbooks, from memory"
CHOICE: Final = "the designer's choice"
"""Sources that many parameters share."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """What is known of one number: its unit ("mm", "deg" or "" for a ratio), the range it may take, its source."""

    unit: str
    low: float
    high: float
    meaning: str
    source: str


def parameter(default: float | None, unit: str, low: float, high: float, meaning: str, source: str) -> Any:
    """A dataclass field that carries its own documentation; without a default it must be given."""
    metadata = {"parameter": Parameter(unit, low, high, meaning, source)}
    return (
        dataclasses.field(metadata=metadata)
        if default is None
        else dataclasses.field(default=default, metadata=metadata)
    )


def parameters_of(record: Any) -> dict[str, Parameter]:
    """The parameters of a dataclass by field name."""
    return {
        field.name: field.metadata["parameter"] for field in dataclasses.fields(record) if "parameter" in field.metadata
    }


def check_parameters(record: Any, where: str) -> None:
    """Hold every parameter of a dataclass instance to its range.

    Raises:
        DesignError: one is not a finite number within its range.
    """
    for name, about in parameters_of(record).items():
        value = getattr(record, name)
        if not about.low <= value <= about.high:  # also false for NaN
            unit = f" {about.unit}" if about.unit else ""
            raise DesignError(
                f"{where}.{name}: {value:g}{unit} is outside {about.low:g} to {about.high:g}{unit} ({about.meaning}); "
                "choose a value in that range"
            )
