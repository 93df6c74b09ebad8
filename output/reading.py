"""Reading the user's files: the one door for what comes in. Everything is bounded before it is parsed."""

from __future__ import annotations

import codecs
import csv
import io
import tomllib
from pathlib import Path
from typing import Final

from drafting.errors import OutputError

LARGEST: Final = 1_000_000
"""Bytes; a file of measurements or a design has a few thousand."""


def read_toml(path: str | Path) -> dict[str, object]:
    """The tables of a TOML 1.0 file in UTF-8; a byte order mark is passed over.

    Raises:
        OutputError: no such file, a folder, not readable, too big, not UTF-8, or not TOML; with the line where known.
    """
    text = _read(path, "TOML file")
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except RecursionError:
        raise OutputError(f"{path}: its tables are nested too deeply; write plain tables") from None
    except ValueError as error:  # broken TOML, or an integer too long for Python to read
        raise OutputError(f"{path}: not TOML: {error}; mend the file there") from None


def read_csv(path: str | Path) -> list[dict[str, str]]:
    """The rows of a CSV file (RFC 4180) in UTF-8 under its column names; a byte order mark is passed over.

    Cells lose the blanks around them; rows without any content are left out, as are unnamed columns without any.

    Raises:
        OutputError: not readable, too big, not UTF-8, no comma between columns, quotes that do not close, a column
            without a name or named twice, or a row of more or fewer cells than the first; with the line where known.
    """
    text = _read(path, "CSV file")
    head = text.strip().partition("\n")[0]
    for mark, word in ((";", "semicolons"), ("\t", "tabs")):
        if mark in head and "," not in head:
            raise OutputError(f"{path}: its columns are parted by {word}; save it with commas between them")
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    lines: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            plain = [cell.strip() for cell in cells]
            if any(plain):
                lines.append((reader.line_num, plain))
    except csv.Error as error:
        raise OutputError(f"{path}: line {reader.line_num}: not CSV: {error}; mend the quotes there") from None
    if not lines:
        raise OutputError(f"{path}: it is empty; write the names of the columns, then the rows below them")
    (first, names), *rest = lines
    rows = []
    for line, cells in rest:
        if len(cells) != len(names):
            raise OutputError(
                f"{path}: line {line} has {len(cells)} cells and line {first} names {len(names)} columns; give as many "
                "cells as columns, with a point in numbers and quotes round a text that has a comma"
            )
        rows.append(dict(zip(names, cells, strict=True)))
    for number, name in enumerate(names):
        if name in names[:number] and name:
            raise OutputError(f"{path}: column {number + 1} is a second {name!r}; name each column once")
        if not name and any(cells[number] for _, cells in rest):
            raise OutputError(f"{path}: column {number + 1} has no name; name it or delete it")
    return [{name: cell for name, cell in row.items() if name} for row in rows]


def read_sizes(path: str | Path) -> dict[str, object]:
    """The tables of a file of sizes: TOML, or by the end of its name CSV, whose rows become the list `body`.

    Raises:
        OutputError: what `read_toml` or `read_csv` refuses.
    """
    return {"body": read_csv(path)} if Path(path).suffix.lower() == ".csv" else read_toml(path)


def _read(path: str | Path, kind: str) -> str:
    """The text of a user's file."""
    try:
        with Path(path).open("rb") as file:
            raw = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise OutputError(f"{path}: cannot be read: {reason_of(error)}; give a {kind} that exists") from None
    if len(raw) > LARGEST:
        raise OutputError(f"{path}: it is longer than {LARGEST} bytes; give a {kind} of measurements or a design")
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise OutputError(f"{path}: line 1 is not UTF-8 text but UTF-16; save the file as UTF-8")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise OutputError(f"{path}: line {line} is not UTF-8 text; save the file as UTF-8") from None


def reason_of(error: OSError | ValueError) -> str:
    """Why a file could not be opened, in the system's words."""
    return (error.strerror if isinstance(error, OSError) else None) or str(error)
