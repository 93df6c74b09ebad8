"""Tables as spreadsheets save them as text: parted by commas, semicolons or tabs, whatever their line ends."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from typing import Final

from drafting.errors import OutputError

MARKS: Final = {",": "commas", ";": "semicolons", "\t": "tabs"}
"""What may stand between the columns."""

COLUMNS: Final = 100
LONGEST: Final = 1_000
"""Columns of a table, and letters of a cell."""

_LINE: Final = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
_QUOTED: Final = re.compile(r'"(?:[^"]|"")*"')
_DECLARED: Final = re.compile(r'\s*"?sep=(.)"?[,;\s]*', re.IGNORECASE)
"""A first line that tells a spreadsheet what parts the columns."""


def rows_of(text: str, where: object, most: int) -> list[dict[str, str]]:
    r"""The rows of a table under its column names: RFC 4180, and what spreadsheets make of it.

    Semicolons or tabs may stand for the commas; the line of the names, or a line `sep=;` above it, decides. Names are
    read without regard to case, and blanks or hyphens in them as underscores. Cells lose the blanks around them; rows
    without any content are left out, as are unnamed columns without any. Numbers are left as they are written.

    >>> rows_of("Size;Hip girth\r\nH84;84,5\r\n", "sizes.csv", 10)
    [{'size': 'H84', 'hip_girth': '84,5'}]

    Raises:
        OutputError: more than `most` rows, quotes that do not close, a column without a name or named twice, a row of
            more or fewer cells than names, or cells of absurd length; with the line where known.
    """
    lines = list(_cells(text, where, most))
    if not lines:
        raise OutputError(f"{where}: it is empty; write the names of the columns, then the rows below them")
    (first, head), *rest = lines
    names = [column_name(cell) for cell in head]
    if len(names) > COLUMNS:
        raise OutputError(f"{where}: line {first} names more than {COLUMNS} columns; give those that are needed")
    rows = []
    for line, found in rest:
        cells = found[: len(names)] if not any(found[len(names) :]) else found
        if len(cells) != len(names):
            raise OutputError(
                f"{where}: line {line} has {len(cells)} cells and line {first} names {len(names)} columns; give as "
                "many cells as columns, with a point in numbers and quotes round a text that has a comma"
            )
        rows.append(dict(zip(names, cells, strict=True)))
    for number, name in enumerate(names):
        if name in names[:number] and name:
            raise OutputError(f"{where}: column {number + 1} is a second {name!r}; name each column once")
        if not name and any(cells[number] for _, cells in rest):
            raise OutputError(f"{where}: column {number + 1} has no name; name it or delete it")
    return [{name: cell for name, cell in row.items() if name} for row in rows]


def _cells(text: str, where: object, most: int) -> Iterator[tuple[int, list[str]]]:
    """Each line that holds anything, with its number in the file."""
    declared, mark = _DECLARED.fullmatch(_head(text)), mark_of(text, where)
    reader = csv.reader(_lines(text), delimiter=mark, strict=True)
    count = 0
    try:
        for cells in reader:
            plain = [cell.strip() for cell in cells]
            if count == 0 and declared and any(plain):
                declared = None
                continue
            if not any(plain):
                continue
            if longest := max(plain, key=len)[LONGEST:]:
                raise OutputError(
                    f"{where}: line {reader.line_num} has a cell of {LONGEST + len(longest)} letters; give at most "
                    f"{LONGEST}, and look for a quote that does not close"
                )
            if count > most:
                raise OutputError(f"{where}: it has more than {most} rows; give it in parts")
            count += 1
            yield reader.line_num, plain
    except csv.Error as error:
        raise OutputError(f"{where}: line {reader.line_num}: not CSV: {error}; mend the quotes there") from None


def mark_of(text: str, where: object) -> str:
    """What parts the columns of a table.

    Raises:
        OutputError: nothing that can be told, or that may part them.
    """
    declared = _DECLARED.fullmatch(_head(text))
    mark = declared[1] if declared else _mark(_head(text), where)
    if mark not in MARKS:
        raise OutputError(f"{where}: its columns are parted by {mark!r}; save it with commas between them")
    return mark


def declares(line: str) -> bool:
    """True of a first line that tells a spreadsheet what parts the columns."""
    return _DECLARED.fullmatch(line.strip("\r\n")) is not None


def column_name(cell: str) -> str:
    """How a column is called, whoever typed its name.

    >>> column_name(" Hip-Girth")
    'hip_girth'
    """
    return "_".join(re.split(r"[\s_-]+", cell.strip().casefold()))


def _lines(text: str) -> Iterable[str]:
    return (found[0] for found in _LINE.finditer(text) if found[0])


def _head(text: str) -> str:
    """The first line that is not blank."""
    return next((line.strip("\r\n") for line in _lines(text) if line.strip(" \r\n,;\t")), "")


def _mark(head: str, where: object) -> str:
    """What parts the columns whose names stand in that line."""
    bare = _QUOTED.sub("", head)
    found = [mark for mark in MARKS if mark in bare]
    if len(found) > 1:
        words = " and ".join(MARKS[mark] for mark in found)
        raise OutputError(f"{where}: the names of its columns are parted by {words}; save it with one of them")
    return found[0] if found else "|" if "|" in bare else ","
