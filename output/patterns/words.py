"""The words on a printed pattern: its first page, its sheets and pages, and what is projected.

British English, for a translator; words that other files share are in `output.words.text`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Final

from drafting.piece import Piece
from drafting.units import INCH
from output.paper.sizes import Paper
from output.words.text import count, cut_line

_SQUARES: Final = "both squares with a rigid ruler, across and up: 50 mm and 2 in exactly"
_SHARED: Final = "Where sizes share a line, their patterns run together{}: cut there whichever size is yours."
"""Said on pages and on sheets."""

CHECK_HEADING: Final = "Check first"
CHECK_STEPS: Final = (
    "Print at 100 % or “actual size”. Switch off “fit to page”, “shrink” and “scale to fit”.",
    f"Print this page first and measure {_SQUARES}.",
    "If either is out, do not cut: correct the print scale and print this page again.",
    "Then print the rest on the same paper with the same settings.",
)
SQUARE_HINT: Final = "measure both ways"

JOIN_HEADING: Final = "Join the pages"
JOIN_STEPS: Final = (
    "Lay the pages out as in the map. Row 1 is at the top, column 1 at the left.",
    "A fine grey line is a join. Cut a page's left and lower edges off along it; leave the right and upper ones.",
    "From the lower left to the right, then row by row upward, lay each cut edge on the grey line of the page before "
    "it and tape it.",
    "Check every register mark (a cross in a ring): when the pages lie true it is whole both ways. If not, lift the "
    "page and lay it again.",
)
JOINED: Final = {
    False: "When all pages are joined, cut out each piece along its heavy line.",
    True: "When all pages are joined, cut out each piece along the line of your size.",
}
"""The last step, without and with other sizes drawn over it."""
SNIP: Final = "Snip notches {depth} deep at most, never as far as the seam line."
MAP_COLUMNS: Final = "column"
MAP_HINT: Final = "The number in a cell is the page of this file."
LINES_HEADING: Final = "Lines and notches"
CUTTING_HEADING: Final = "Cutting list"
CAUTION_HEADING: Final = "Work safely"
KEY_CUT: Final = "Cut line"
KEY_SEAM: Final = "Seam line: stitch here"
KEY_SEAM_LEFT_OUT: Final = "Seam line: left out here, {allowance} inside the cut line"
KEY_FOLD: Final = "Fold line of a casing"
KEY_CREASE: Final = "Fold line"
KEY_STITCH: Final = "Stitch line of a casing"
KEY_MARK: Final = {
    "place": "Placement line: another piece is sewn on here",
    "cross": "Cross: mark it through to the other side, do not cut",
    "buttonhole": "Buttonhole: work it first, then cut it open",
}
KEY_GRAIN: Final = "Straight grain: lay parallel to the selvedge"
KEY_NOTCH: Final = {
    "single": "Single notch: in front, and where front and back are sewn together",
    "double": "Double notch: at the back alone",
    "fold": "Fold notch: an arrow to the fold line",
    "stitch": "Stitch mark: a T at the stitch line",
    "centre": "Ends in a dot: a middle, a side, a level or a join",
    "side": "Ends in a dot: a middle, a side, a level or a join",
}
KEY_SNIP: Final = (
    "Snip along a notch, square to the edge and no deeper than it is drawn: {depth} at most. A deeper snip would cut "
    "into the seam."
)
KEY_RINGED: Final = "In a ring: mark it with chalk or a pencil, do not snip."
KEY_JOIN: Final = "Join line of two pages"
KEY_REGISTER: Final = "Register mark: whole when pages lie true"

SIZES_HEADING: Final = "Sizes"
SIZE_STEPS: Final = (
    "Each size has a cut line of its own pattern and colour, labelled every hand's breadth or so. Allowances are "
    "included.",
    _SHARED.format(""),
    "To print fewer sizes, switch the others off in your PDF reader's list of layers, or mark your line with a pen.",
)
ONE_SIZE: Final = "Cut along the line of one size"

WIDE_CHECK: Final = (
    f"Print at 100 %, in black, without “fit to page”. Measure {_SQUARES}. If either is out, do not cut: have the "
    "sheet printed again."
)

WIDE_SIZE_STEPS: Final = (
    "All sizes are drawn over one another. Each has a cut line of its own pattern, with its label in the line every "
    "hand's breadth or so: find yours below and cut along it. Seam allowances are included.",
    _SHARED.format(" into an unbroken one"),
    "To have fewer sizes printed, switch off the others in the list of layers of a PDF reader.",
)
PAPER_NOTE: Final = (
    "Pieces are turned to spare paper, and each is on it once: the cutting list says how often to cut it from cloth, "
    "with its grainline along the selvedge."
)

BEFORE_AFTER: Final = "Before and after"
BEFORE: Final = "before"
AFTER: Final = "after"
REAL_SIZE: Final = "real size"
FOUND: Final = "What the fitting found"
MOVED: Final = "What moved"
CHANGED: Final = "What became longer or shorter"
BEFORE_AFTER_NOTE: Final = (
    "Finished lines, without seam allowances and before any casing is folded: to look at, not to cut along. Numbers "
    "are those of the drawing; “out” is away from the side line, “in” towards it. Sew a new toile before you cut good "
    "cloth. Pins and needles prick: keep them clear of the skin, and take them out before the wearer sits or moves."
)


def scale(denominator: float) -> str:
    return f"scale 1 : {denominator:g}"


GRID_LAYER: Final = "Calibration grid"
PROJECTION_CHECK: Final = (
    "Set the projector square to the table and show this page at 100 %. Move and zoom until the squares measure as "
    "they say and the grid is square in every corner: its lines are 100 mm apart.",
    "Show one size: switch off the others in the list of layers of your PDF reader, and the grid when it is right.",
    "Fasten projector, table and cloth so that they cannot be knocked, and check a square again before you cut.",
    "Do not look into the beam, lead the cord where nobody trips, and let the projector cool. Shears and rotary blades "
    "cut: keep fingers clear of their way. Local codes and licensed practice come before anything written here.",
)


def layer_group(rise: str, part: str, *, split: bool) -> str:
    """What a file's layers are listed under in the reader.

    >>> layer_group("mid", "leg", split=True)
    'Sizes with a split leg · mid rise'
    """
    how = f"split {part}" if split else f"{part} in one piece"
    return f"Sizes with a {how} · {rise} rise" if rise else f"Sizes with a {how}"


def page_name(row: int, column: int) -> str:
    return f"Row {row} · Column {column}"


def joins_here(row: int, column: int) -> tuple[str, ...]:
    """Beside a join that goes under the neighbour; at length and shorter."""
    return f"row {row}, column {column} joins here", f"row {row}, column {column}"


def cut_off_here(row: int, column: int) -> tuple[str, ...]:
    """Beside a join that is laid on the neighbour; at length and ever shorter."""
    place = f"row {row}, column {column}"
    return f"cut off along this line · lay on {place}", f"cut off · lay on {place}", f"lay on {place}"


def page_number(page: int, pages: int) -> str:
    return f"page {page} of {pages}"


def map_column(column: int) -> str:
    return f"column {column}"


def map_row(row: int) -> str:
    return f"row {row}"


def square_size(side: float) -> tuple[str, str]:
    """A calibration square's size in its own unit, and in the other."""
    if side == round(side):
        return f"{side:.0f} mm × {side:.0f} mm", f"({side / INCH:.2f} in)"
    return f"{side / INCH:.0f} in × {side / INCH:.0f} in", f"({side:.1f} mm)"


def map_pages(pages: int, rows: int, columns: int, paper: str) -> str:
    return f"{count(pages, 'page')} of {paper} in {count(rows, 'row')} and {count(columns, 'column')}"


def map_size(width: float, height: float) -> str:
    """The joined sheet; lengths in mm."""
    return f"Joined: {width / 10:.1f} × {height / 10:.1f} cm ({width / INCH:.1f} × {height / INCH:.1f} in)"


def cutting_rows(pieces: Sequence[Piece]) -> tuple[tuple[str, ...], ...]:
    """One row a piece: its title and how often it is cut."""
    return tuple((piece.title, cut_line(piece), "; ".join(piece.notes)) for piece in pieces)


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
