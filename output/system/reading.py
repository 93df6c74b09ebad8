"""Reading the user's files: the one door for what comes in. Everything is bounded before it is parsed."""

from __future__ import annotations

import codecs
import errno
import json
import os
import re
import select
import stat
import tomllib
from pathlib import Path
from time import monotonic
from typing import Final, NoReturn

from drafting.errors import OutputError
from output.system.limits import check_json, check_toml
from output.system.spreadsheet import rows_of

LARGEST: Final = 1_000_000
"""Bytes of a design, of measurements or of a size table; they have a few thousand."""

SIZE_ROWS: Final = 1_000
"""Rows of a size table."""

LARGEST_ORDERS: Final = 20_000_000
ORDER_ROWS: Final = 50_000
"""Bytes and rows of an order book."""

LARGEST_JSON: Final = 16_000_000
"""Bytes of a file of ours that is read back: lays, records, manifests."""

PATIENCE: Final = 10.0
"""Seconds that a pipe may take to give its whole text."""

TABLES: Final = (".csv", ".tsv", ".txt")
"""The ends of the names that spreadsheets give to tables that are saved as text."""

_SPREADSHEETS: Final = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""How a spreadsheet's own files begin: a zip archive, or the older compound file."""

_UTF_32: Final = (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)
_UTF_16: Final = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)

_VALUE: Final = re.compile(r"=[\s.+-]*(\S)")
"""Where the value of a key begins, but for its sign or point."""


def read_toml(path: str | Path) -> dict[str, object]:
    """The tables of a TOML 1.0 file in UTF-8; a byte order mark is passed over.

    Raises:
        OutputError: no such file, a folder, not readable, too big, not UTF-8, too deep, or not TOML; with the line
            where known.
    """
    raw = read_bytes(path, "TOML file", LARGEST)
    if raw.startswith(_UTF_16):
        raise OutputError(f"{path}: line 1 is not UTF-8 text but UTF-16; save the file as UTF-8")
    return toml_of(text_of(raw, path), path)


def toml_of(text: str, where: object) -> dict[str, object]:
    """The tables of a TOML 1.0 text; `where` is what an error calls it.

    Raises:
        OutputError: too deep, or not TOML; with the line where known.
    """
    text = text.replace("\r\n", "\n")
    check_toml(text, where)
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise OutputError(f"{where}: not TOML: {error}; {_toml_remedy(text, str(error))}") from None


def read_csv(path: str | Path) -> list[dict[str, str]]:
    """The rows of a CSV file under its column names, as `output.system.spreadsheet.rows_of` reads them.

    Raises:
        OutputError: not readable, too big, too many rows, neither UTF-8 nor UTF-16, or no table; with the line where
            known.
    """
    return _rows(path, LARGEST, SIZE_ROWS)


def read_orders(path: str | Path) -> list[dict[str, str]]:
    """The rows of an order book: a CSV file that may be longer than others.

    Raises:
        OutputError: what `read_csv` refuses; more than 50 000 rows or 20 MB.
    """
    return _rows(path, LARGEST_ORDERS, ORDER_ROWS)


def read_sizes(path: str | Path) -> dict[str, object]:
    """The tables of a file of sizes: TOML, or by the end of its name CSV, whose rows become the list `body`.

    Raises:
        OutputError: what `read_toml` or `read_csv` refuses.
    """
    return {"body": read_csv(path)} if Path(path).suffix.lower() in TABLES else read_toml(path)


def read_json(path: str | Path, kind: str = "JSON file") -> object:
    """What stands in a JSON file (RFC 8259) in UTF-8; numbers are finite and no name stands twice in one object.

    Raises:
        OutputError: not readable, too big, too deep or not such JSON.
    """
    text = text_of(read_bytes(path, kind, LARGEST_JSON), path)
    check_json(text, path)
    try:
        document: object = json.loads(
            text, parse_float=_finite, parse_constant=_no_number, object_pairs_hook=_each_once
        )
        if re.search(r"\\u[dD][89a-fA-F]", text):
            json.dumps(document, ensure_ascii=False).encode()  # half of a pair is no letter and cannot be written
    except UnicodeEncodeError:
        raise OutputError(f"{path}: it is no {kind}: it holds half a letter; delete it, or give another") from None
    except (ValueError, RecursionError) as error:
        raise OutputError(f"{path}: it is no {kind}: {error}; delete it, or give another") from None
    return document


def read_bytes(path: str | Path, kind: str, largest: int) -> bytes:
    """What a file holds, or a pipe gives within `PATIENCE`; never more than `largest` bytes.

    Raises:
        OutputError: not there, a folder or a device, not readable, silent or too long.
    """
    try:
        _check_kind(Path(path).stat().st_mode, path, kind)  # before it is opened: that alone can disturb a device
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            mode = os.fstat(handle).st_mode
            _check_kind(mode, path, kind)
            raw = _taken(handle, largest + 1, pipe=stat.S_ISFIFO(mode))
        finally:
            os.close(handle)
    except TimeoutError:
        raise OutputError(
            f"{path}: cannot be read: the pipe was not at its end after {PATIENCE:g} seconds; give a {kind}"
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise OutputError(f"{path}: cannot be read: {reason_of(error)}; give a {kind} that exists") from None
    if len(raw) > largest:
        raise OutputError(f"{path}: it is longer than {largest} bytes; give a {kind}, and no more than is needed")
    return raw


def text_of(raw: bytes, path: str | Path) -> str:
    """The text of a file in UTF-8, or with a byte order mark in UTF-16.

    Raises:
        OutputError: it is in neither; with the line.
    """
    if raw.startswith(_SPREADSHEETS):
        raise OutputError(f"{path}: it is not text but a spreadsheet's own file; save it from there as CSV in UTF-8")
    wide = raw.startswith(_UTF_16) and not raw.startswith(_UTF_32)
    try:
        text = raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        kind = "utf-16" if wide else "utf-8"
        line = raw[: error.start].decode(kind if wide else "latin-1", "ignore").count("\n") + 1
        raise OutputError(f"{path}: line {line} is not {kind.upper()} text; save the file as UTF-8") from None
    if (at := text.find("\0")) >= 0:
        line = text.count("\n", 0, at) + 1
        raise OutputError(f"{path}: line {line} is not UTF-8 text: it holds a NUL; save the file as UTF-8")
    return text


def is_folder(path: str | Path) -> bool:
    """True of a folder; a path that nothing can have, too long or with a NUL, is none."""
    try:
        return Path(path).is_dir()
    except (OSError, ValueError):
        return False


def is_file(path: str | Path) -> bool:
    """True of a file; a path that nothing can have is none."""
    try:
        return Path(path).is_file()
    except (OSError, ValueError):
        return False


def reason_of(error: OSError | ValueError) -> str:
    """Why a file could not be opened, in the system's words."""
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _check_kind(mode: int, path: str | Path, kind: str) -> None:
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not (stat.S_ISREG(mode) or stat.S_ISFIFO(mode)):
        raise OutputError(f"{path}: cannot be read: it is a device or a socket; give a {kind}")


def _taken(handle: int, most: int, *, pipe: bool) -> bytes:
    """All that comes, up to `most` bytes."""
    parts, left, deadline = [], most, monotonic() + PATIENCE
    while left:
        if pipe:
            waiting, rest = select.poll(), deadline - monotonic()
            waiting.register(handle, select.POLLIN)
            if rest <= 0 or not waiting.poll(1000 * rest):
                raise TimeoutError
        part = os.read(handle, min(left, 1 << 20))
        if not part:
            break
        parts.append(part)
        left -= len(part)
    return b"".join(parts)


def _rows(path: str | Path, largest: int, most: int) -> list[dict[str, str]]:
    raw = read_bytes(path, "CSV file", largest)
    return rows_of(text_of(raw, path), path, most)


def _toml_remedy(text: str, error: str) -> str:
    """What to do about broken TOML; a number as people write it is the likeliest fault."""
    found = re.search(r"at line (\d+)", error)
    lines = text.split("\n")
    line = lines[int(found[1]) - 1] if found and int(found[1]) <= len(lines) else ""
    value = _VALUE.search(line)
    if value and value[1].isnumeric() and "Cannot overwrite" not in error:
        return "write a plain number there, such as 20.5, with a point, in digits 0 to 9 and without a unit"
    return "mend the file there"


def _finite(text: str) -> float:
    number = float(text)
    if number in (float("inf"), float("-inf")):
        raise ValueError(f"{text} is too large a number")
    return number


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is not a number")


def _each_once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    table: dict[str, object] = {}
    for name, value in pairs:
        if name in table:
            raise ValueError(f"{name[:40]!r} stands twice")
        table[name] = value
    return table
