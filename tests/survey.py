"""The women of a survey, where it lies beside the project: bodies that nobody here made up.

Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007; every second woman.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

SURVEY: Final = Path(
    os.environ.get("SURVEY_OF_WOMEN") or Path(__file__).parents[2] / "shared" / "data" / "bodies" / "ansur2-women.csv"
)


def women() -> Iterator[dict[str, float]]:
    """Each woman's measurements by the survey's names, in mm."""
    with SURVEY.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield {name: float(value) for name, value in row.items() if value}
