"""The words that are printed. British English; one place, so that a translator need read one file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from unicodedata import bidirectional

from blocks.design import casing_title
from blocks.words import LEFTWARD, isolated, sizes_span
from drafting.piece import CasingLine, Piece
from drafting.units import INCH

LANGUAGE: Final = "en-GB"

SEPARATOR: Final = " · "
"""Between the parts of a line."""

REAL_SIZE: Final = "real size"
"""Keyword of files whose pieces are drawn in real size."""

CHECK_HEADING: Final = "Check first"
CHECK_STEPS: Final = (
    "Print at 100 % or “actual size”. Switch off “fit to page”, “shrink” and “scale to fit”.",
    "Print this page first and measure both squares with a rigid ruler, across and up: 50 mm and 2 in exactly.",
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
CAUTIONS: Final = (
    "Blades, pins and needles: cut away from yourself, mind your fingers, switch off before you thread.",
    "Hot iron: test on a scrap, keep the cord clear, never leave it unattended.",
    "Tight elastic hinders circulation: try it on the body, seated and moving; if it marks or pinches, cut it longer.",
    "For a child: no loose cords or small parts, mind how readily cloth burns, follow your country's rules.",
    "Local codes and licensed or qualified practice come before anything written here.",
)
KEY_CUT: Final = "Cut line"
KEY_SEAM: Final = "Seam line: stitch here"
KEY_SEAM_LEFT_OUT: Final = "Seam line: left out here, {allowance} inside the cut line"
KEY_FOLD: Final = "Fold line of a casing"
KEY_STITCH: Final = "Stitch line of a casing"
KEY_GRAIN: Final = "Straight grain: lay parallel to the selvedge"
KEY_NOTCH: Final = {
    "single": "Single notch: front",
    "double": "Double notch: back",
    "fold": "Fold notch: an arrow to the fold line",
    "stitch": "Stitch mark: a T at the stitch line",
    "centre": "Centre or side notch: ends in a dot",
    "side": "Centre or side notch: ends in a dot",
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
    "Where sizes share a line, their patterns run together: cut there whichever size is yours.",
    "To print fewer sizes, switch the others off in your PDF reader's list of layers, or mark your line with a pen.",
)
ONE_SIZE: Final = "Cut along the line of one size"

GRAIN: Final = ("straight grain", "grain")


def parts(text: str) -> list[str]:
    """The parts of a line, each with a direction of its own; neighbours that run to the left run on as one.

    >>> parts("Heron · Size H102")
    ['Heron', 'Size H102']
    """
    found: list[str] = []
    for part in text.split(SEPARATOR):
        if found and _first_class(found[-1]) in LEFTWARD and _first_class(part) in LEFTWARD:
            found[-1] += SEPARATOR + part
        else:
            found.append(part)
    return found


def _first_class(text: str) -> str:
    return next((kind for kind in map(bidirectional, text) if kind in ("L", "R", "AL")), "")


def size_line(size: str, rise: str) -> str:
    """How a size and its rise are named.

    >>> size_line("H102", "high")
    'Size H102 · high rise'
    """
    if not rise:
        return f"Size {isolated(size)}"
    return f"Size {isolated(size)} · {rise if 'rise' in rise.lower() else f'{rise} rise'}"


def layer_group(rise: str, part: str, *, split: bool) -> str:
    """What a file's layers are listed under in the reader.

    >>> layer_group("mid", "leg", split=True)
    'Sizes with a split leg · mid rise'
    """
    how = f"split {part}" if split else f"{part} in one piece"
    return f"Sizes with a {how} · {rise} rise" if rise else f"Sizes with a {how}"


def cut_line(piece: Piece) -> str:
    """How often to cut a piece, as it stands in its title."""
    if not piece.mirrored:
        return f"Cut {piece.cut_count}"
    half = piece.cut_count // 2
    return f"Cut {piece.cut_count}: {piece.cut_count - half} as drawn, {half} mirrored"


def piece_heading(piece: Piece, design: str) -> tuple[str, ...]:
    """The lines of a piece's title, the most important first."""
    lines = (piece.title, design, size_line(piece.size, piece.variant), cut_line(piece), *piece.notes)
    return tuple(line for line in lines if line)


def fold_label(line: CasingLine) -> str:
    return f"fold · {casing_title(isolated(line.casing))}"


def stitch_label(line: CasingLine) -> str:
    return f"stitch · {casing_title(isolated(line.casing))}"


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


def count(number: int, noun: str) -> str:
    """A number of things.

    >>> count(1, "page"), count(2, "page")
    ('1 page', '2 pages')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def continued(heading: str) -> str:
    return f"{heading} (continued)"


def cutting_rows(pieces: Sequence[Piece]) -> tuple[tuple[str, ...], ...]:
    """One row a piece: its title and how often it is cut."""
    return tuple((piece.title, cut_line(piece), "; ".join(piece.notes)) for piece in pieces)


def sizes_line(sizes: Sequence[tuple[str, str]]) -> str:
    """How sizes, each with its rise, are named together: by the first and the last of many.

    >>> sizes_line([("H98", "high"), ("H100", "high"), ("H102", "high")])
    'Size H98 to H102 · high rise'
    """
    labels = list(dict.fromkeys(size for size, _ in sizes))
    rises = dict.fromkeys(rise for _, rise in sizes if rise)
    return size_line(sizes_span(labels[0], labels[-1]), " and ".join(rises))


def file_title(*parts: str) -> str:
    """The title that a file carries."""
    return " · ".join(part for part in parts if part)


def real_size(width: float, height: float) -> str:
    """What a drawing says of its scale; lengths in mm."""
    return f"Real size: 1 unit is 1 mm. {width:g} mm wide, {height:g} mm high. Print or cut at 100 %."
