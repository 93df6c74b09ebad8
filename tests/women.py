"""Bodies of women as they were measured, by the names of our measurements, in mm.

`women.csv` holds percentiles, means and standard deviations of 993 women, all together and by band of hip girth.
Source: Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007, approved for public
release: every second of its 1,986 women, in the order of their hip girth. Their waist lies at the navel; the seated
body rise is the waist's height less what stature is more than sitting height, the inside leg height is the crotch
height, and the lower thigh girth is taken just above the knee.

The survey itself is read where it is: the file that WOMEN names, or `shared/data/bodies/ansur2-women.csv` beside the
repository's folder. Tests of single women are skipped without it.
"""

from __future__ import annotations

import csv
import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
SURVEY = Path(os.environ.get("WOMEN") or ROOT.parent / "shared" / "data" / "bodies" / "ansur2-women.csv")

ALL = "all"
BANDS = ("hips to 950", "hips 950 to 1050", "hips 1050 to 1150", "hips from 1150")
EDGES = (0, 950, 1050, 1150, 10_000)

REQUIRED = ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")


@dataclass(frozen=True)
class Facts:
    """One measurement of the women of a band."""

    women: int
    p5: float
    p50: float
    p95: float
    mean: float
    deviation: float


@cache
def facts() -> dict[tuple[str, str], Facts]:
    """By band and measurement."""
    with Path(__file__).with_suffix(".csv").open(newline="") as lines:
        return {
            (row.pop("hips"), row.pop("measurement")): Facts(**{name: float(cell) for name, cell in row.items()})
            for row in csv.DictReader(lines)
        }


@cache
def women() -> Any:
    """Every woman of the survey's half, a row each; the test is skipped where the survey is not at hand."""
    if not SURVEY.is_file():
        pytest.skip("the survey is not at hand: name its file in WOMEN")
    import pandas as pd  # noqa: PLC0415 - not needed without the survey

    table = pd.read_csv(SURVEY)
    known = {
        "height": table.stature,
        "waist_girth": table.waistcircumference,
        "hip_girth": table.buttockcircumference,
        "body_rise": table.waistheightomphalion - (table.stature - table.sittingheight),
        "waist_to_hip": table.waistheightomphalion - table.buttockheight,
        "thigh_girth": table.thighcircumference,
        "lower_thigh_girth": table.lowerthighcircumference,
        "calf_girth": table.calfcircumference,
        "ankle_girth": table.anklecircumference,
        "crotch_length": table.crotchlengthomphalion,
        "front_crotch_length": table.crotchlengthomphalion - table.crotchlengthposterioromphalion,
        "back_crotch_length": table.crotchlengthposterioromphalion,
        "inside_leg_height": table.crotchheight,
        "knee_height": table.kneeheightmidpatella,
    }
    made = pd.DataFrame(known).astype(float)
    made["hips"] = pd.cut(made.hip_girth, EDGES, labels=BANDS).astype(str)
    return made
