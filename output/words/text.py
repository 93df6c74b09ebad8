"""Words that several kinds of files share. British English, for a translator, like `words` of each kind of file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from unicodedata import bidirectional

from blocks.design import casing_title
from blocks.words import LEFTWARD, isolated, sizes_span
from drafting.piece import CasingLine, Piece

LANGUAGE: Final = "en-GB"

SEPARATOR: Final = " · "
"""Between the parts of a line."""

REAL_SIZE: Final = "real size"
"""Keyword of files whose pieces are drawn in real size."""

WIDE_SUBJECT: Final = "Sheets for a print shop, real size"
PROJECTION_SUBJECT: Final = "For a projector, real size; not to be printed"
"""Subjects of files, by which their kinds are told."""

CAUTIONS: Final = (
    "Blades, pins and needles: cut away from yourself, mind your fingers, switch off before you thread.",
    "Hot iron: test on a scrap, keep the cord clear, never leave it unattended.",
    "Tight elastic hinders circulation: try it on the body, seated and moving; if it marks or pinches, cut it longer.",
    "For a child: no loose cords or small parts, mind how readily cloth burns, follow your country's rules.",
    "Local codes and licensed or qualified practice come before anything written here.",
)
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


def count(number: int, noun: str) -> str:
    """A number of things.

    >>> count(1, "page"), count(2, "page")
    ('1 page', '2 pages')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def spoken(name: str) -> str:
    """A name of a program's as it is said.

    >>> spoken("waist_girth")
    'waist girth'
    """
    return name.replace("_", " ")


def in_columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows of a table as lines of a terminal.

    >>> in_columns([("waist", "72.1 cm"), ("hips, level", "102.0 cm")])
    ['waist        72.1 cm', 'hips, level  102.0 cm']
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return ["  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def continued(heading: str) -> str:
    return f"{heading} (continued)"


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
