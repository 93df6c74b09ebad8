"""The figures in the tables of a release, each by what it is, its rise and its size, as the tables tell them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

from blocks.quantity import finite, read_number
from output.system.reading import LARGEST_JSON, read_bytes

TOLD_ELSEWHERE: Final = ("warnings", "notes", "failures")
"""Tables of sentences."""

Row = Mapping[str, str]


class Place(NamedTuple):
    """Which figure it is."""

    what: str
    rise: str
    size: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A number of a table with its unit, or a word that stands for one; `told` is how a reader meets it."""

    number: float | None
    unit: str
    told: str


@dataclass(frozen=True, slots=True)
class Figures:
    """What the tables of a release say, and the sizes and rises that it is in."""

    by_place: Mapping[Place, Figure]
    sizes: tuple[str, ...]
    rises: tuple[str, ...]


def figures_in(folder: Path) -> Figures:
    """The figures of the release in a folder; a table that is not there, or is a link, has none.

    Raises:
        OutputError: a table cannot be read, or is too long for one of ours.
    """
    rows = _rows(folder / "tables.csv")
    found = [
        *_tabulated(rows),
        *_of_cloth(_rows(folder / "cloth-requirement.csv")),
        *_of_notions(_rows(folder / "notions.csv")),
    ]
    sizes = [row["size"] for row in rows if row["table"] == "body"]
    rises = [row["rise"] for row in rows if row["table"] == "finished measures" and row["rise"]]
    return Figures(dict(found), tuple(dict.fromkeys(sizes)), tuple(dict.fromkeys(rises)))


class _Cells(dict[str, str]):
    """The cells of a row by their columns; a column that a table lacks is empty in every row."""

    def __missing__(self, column: str) -> str:
        return ""


def _rows(path: Path) -> list[Row]:
    if path.is_symlink() or not path.is_file():
        return []
    text = read_bytes(path, "table", LARGEST_JSON).decode("utf-8", "replace")
    rows = csv.DictReader(io.StringIO(text, newline=""), restval="", restkey="")
    return [_Cells({column: cell for column, cell in row.items() if column}) for row in rows]


def _tabulated(rows: Iterable[Row]) -> Iterator[tuple[Place, Figure]]:
    for row in rows:
        if row["size"] and row["table"] not in TOLD_ELSEWHERE:
            named = ", ".join(filter(None, (row["item"], row["measure"])))
            yield Place(f"{row['table']}: {named}", row["rise"], row["size"]), _figure_of(row)


def _figure_of(row: Row) -> Figure:
    """What one row of the tables says: a length, how many, or a word."""
    length, count, text = (finite(read_number(row[column])) for column in ("cm", "count", "text"))
    if length is not None:
        inches = f" ({row['eighths']} in)" if row["eighths"] else ""
        return Figure(length, "cm", f"{row['cm']} cm{inches}")
    if count is not None:
        return Figure(count, "", row["count"])
    return Figure(text, "", row["text"])


def _of_cloth(rows: Iterable[Row]) -> Iterator[tuple[Place, Figure]]:
    for row in rows:
        cloth = f"cloth {row['cloth_cm']} cm wide, {row['lay']}{', one way' * (row['one_way'] == 'yes')}"
        for what, column, unit in (("to buy", "buy_metres", "m"), ("length of the lay", "lay_length_cm", "cm")):
            told = f"{row[column]} {unit}" if row[column] else row["problem"]
            yield Place(f"{cloth}: {what}", row["rise"], row["size"]), _figure(row[column], unit, told)


def _of_notions(rows: Iterable[Row]) -> Iterator[tuple[Place, Figure]]:
    for row in rows:
        width = f" {row['width_cm']} cm wide" if row["width_cm"] else ""
        what = Place(f"{row['notion']}{width}: to buy", row["rise"], row["size"])
        yield what, _figure(row["buy_metres"], "m", f"{row['buy_metres']} m")


def _figure(cell: str, unit: str, told: str) -> Figure:
    return Figure(finite(read_number(cell)), unit, told)
