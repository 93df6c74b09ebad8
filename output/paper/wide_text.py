"""The words on the sheets of a print shop and in a file for a projector. British English, for a translator."""

from __future__ import annotations

from math import inf
from typing import Final

from output.paper.sizes import Paper

CHECK: Final = (
    "Print at 100 %, in black, without “fit to page”. Measure both squares with a rigid ruler, across and up: "
    "50 mm and 2 in exactly. If either is out, do not cut: have the sheet printed again."
)
WIDE_SUBJECT: Final = "Sheets for a print shop, real size"

SIZE_STEPS: Final = (
    "All sizes are drawn over one another. Each has a cut line of its own pattern, with its label in the line every "
    "hand's breadth or so: find yours below and cut along it. Seam allowances are included.",
    "Where sizes share a line, their patterns run together into an unbroken one: cut there whichever size is yours.",
    "To have fewer sizes printed, switch off the others in the list of layers of a PDF reader.",
)
PAPER_NOTE: Final = (
    "Pieces are turned to spare paper, and each is on it once: the cutting list says how often to cut it from cloth, "
    "with its grainline along the selvedge."
)

GRID_LAYER: Final = "Calibration grid"
PROJECTION_SUBJECT: Final = "For a projector, real size; not to be printed"
PROJECTION_CHECK: Final = (
    "Set the projector square to the table and show this page at 100 %. Move and zoom until the squares measure as "
    "they say and the grid is square in every corner: its lines are 100 mm apart.",
    "Show one size: switch off the others in the list of layers of your PDF reader, and the grid when it is right.",
    "Fasten projector, table and cloth so that they cannot be knocked, and check a square again before you cut.",
    "Do not look into the beam, lead the cord where nobody trips, and let the projector cool. Shears and rotary blades "
    "cut: keep fingers clear of their way. Local codes and licensed practice come before anything written here.",
)


def sheet_number(sheet: int, sheets: int) -> str:
    """Which sheet it is of how many.

    >>> sheet_number(1, 2)
    'Sheet 1 of 2'
    """
    return f"Sheet {sheet} of {sheets}"


def scale_line(sheet: int, sheets: int, paper: Paper) -> str:
    """Number, scale and paper of a sheet.

    >>> scale_line(1, 1, Paper("roll-914", 914, inf))
    'Sheet 1 of 1 · scale 1:1 · roll, 914 mm wide'
    """
    named = f"roll, {paper.width:g} mm wide" if paper.height == inf else paper.name
    return f"{sheet_number(sheet, sheets)} · scale 1:1 · {named}"


def along_grid(number: int) -> str:
    """At a line of the grid, how far it is from the first.

    >>> along_grid(3)
    '30 cm'
    """
    return f"{10 * number} cm"
