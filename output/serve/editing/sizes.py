"""Changes to a size table, saved as CSV or as TOML: one cell, a row or a column, and not a byte beside it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from blocks.size_table import ROWS, is_of_one
from output.serve.editing import cells
from output.serve.editing.alteration import EditError, number_typed, text_typed, with_table, with_value, without
from output.serve.editing.cells import CALLED, SIZE, UNIT, Sheet
from output.serve.editing.saved import MARK
from output.serve.editing.statements import At, literals
from output.system.reading import SIZE_ROWS, toml_of
from output.system.spreadsheet import column_name, declares, rows_of

NEW: Final = "new"
"""What a size is called that has no label yet."""

_TOML: Final = re.compile(r"""\s*(#|\[|["'\w.-]+\s*=)""")


def is_toml(text: str) -> bool:
    """True of a table that is written as TOML, not as CSV."""
    text = text.removeprefix(MARK).lstrip()
    return _TOML.match(text) is not None and not declares(re.split(r"[\r\n]", text, maxsplit=1)[0])


def is_table(text: str) -> bool:
    """True of the text of a size table, or of the measurements of one body, not of a design.

    Raises:
        OutputError: it is neither, and no TOML.
    """
    if not is_toml(text):
        return True
    data = toml_of(text.removeprefix(MARK), CALLED)
    return ROWS in data or is_of_one(data)


def data_of(text: str) -> dict[str, object]:
    """A table as `blocks.size_table` takes it.

    Raises:
        OutputError: it is no table.
    """
    text = text.removeprefix(MARK)
    return toml_of(text, CALLED) if is_toml(text) else {ROWS: rows_of(text, CALLED, SIZE_ROWS)}


def sheet(text: str) -> Sheet:
    """The cells of a table, for a page. Of one in TOML a column is a key of any row, and the unit of all if it has one.

    Raises:
        OutputError: it is no table.
    """
    if not is_toml(text):
        return cells.grid_of(text).sheet
    data, written = _toml(text)
    rows = _rows(data)
    columns = tuple(dict.fromkeys(name for row in rows for name in row))
    shown = [
        tuple(_shown(row.get(name), written.get((*_at(data, n), name))) for name in columns)
        for n, row in enumerate(rows)
    ]
    return Sheet(columns, columns, tuple(shown))


def with_cell(text: str, row: int, column: str, value: str) -> str:
    """A table with another text in one cell. Rows count from 1; row 0 is the header: there a column gets another name,
    but for the one unit of a table in TOML, which is given in it.

    Raises:
        OutputError: it is no table, has no such cell, or cannot be changed without harm to what stands beside it.
    """
    if not is_toml(text):
        return cells.with_cell(text, row, column, value)
    data, _ = _toml(text)
    rows = _rows(data)
    if row == 0 and column == UNIT and not any(UNIT in one for one in rows):
        return with_value(text, (UNIT,), _literal(value, ""))
    if row == 0:
        return _renamed(text, data, column, column_name(value))
    at = (*_at(data, _checked(row, rows) - 1), column)
    if not value.strip():
        return without(text, at)
    return with_value(text, at, _literal(value, rows[row - 1].get(column, 0.0 if column not in (SIZE, UNIT) else "")))


def with_row(text: str, row: int, given: Mapping[str, str] | None = None) -> str:
    """A table with one more row, which gets that number; it has a label, and the unit of the others.

    Raises:
        OutputError: as `with_cell`.
    """
    now = sheet(text)
    labels = [one[now.columns.index(SIZE)] for one in now.rows] if SIZE in now.columns else []
    names = (NEW, *(f"{NEW} {number}" for number in range(2, len(labels) + 2)))
    filled = {SIZE: next(name for name in names if name not in labels), **(given or {})}
    if not is_toml(text):
        return cells.with_row(text, row, filled)
    data, _ = _toml(text)
    rows = _rows(data)
    if is_of_one(data) or not 1 <= row <= len(rows) + 1:
        raise EditError(f"row {row}: the table cannot have it; it has {len(rows)} rows")
    units = {UNIT: str(rows[0][UNIT])} if rows and UNIT in rows[0] else {}
    filled = {**units, **filled}
    texts = {name: _literal(one, "" if name in (SIZE, UNIT) else 0.0) for name, one in filled.items() if one}
    return with_table(text, (ROWS, row - 1), texts)


def without_row(text: str, row: int) -> str:
    """A table without one of its rows, numbered from 1.

    Raises:
        OutputError: as `with_cell`.
    """
    if not is_toml(text):
        return cells.without_row(text, row)
    data, _ = _toml(text)
    if is_of_one(data):
        raise EditError("row 1: it is all that the table has")
    return without(text, (ROWS, _checked(row, _rows(data)) - 1))


def with_column(text: str, column: str) -> str:
    """A table with one more column, blank in every row.

    Raises:
        OutputError: as `with_cell`; or there is such a column.
    """
    if not is_toml(text):
        return cells.with_column(text, column)
    if column in sheet(text).columns:
        raise EditError(f"{column}: the table has this column")
    data, _ = _toml(text)
    for number in range(len(_rows(data))):
        text = with_value(text, (*_at(data, number), column), '""')
    return text


def without_column(text: str, column: str) -> str:
    """A table without one of its columns.

    Raises:
        OutputError: as `with_cell`.
    """
    if not is_toml(text):
        return cells.without_column(text, column)
    data, _ = _toml(text)
    for number in range(len(_rows(data))):
        text = without(text, (*_at(data, number), column))
    return text


def _toml(text: str) -> tuple[dict[str, Any], Mapping[At, str]]:
    """The tables of a text, and each value as it is written."""
    text = text.removeprefix(MARK)
    data = toml_of(text, CALLED)
    return data, literals(text)


def _rows(data: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    if is_of_one(data):
        return [{name: value for name, value in data.items() if not isinstance(value, dict | list)}]
    rows = data.get(ROWS, [])
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise EditError(f"{ROWS}: it is no list of tables; mend it in its text")
    return rows


def _at(data: Mapping[str, Any], number: int) -> At:
    """Where a row is, numbered from nought."""
    return () if is_of_one(data) else (ROWS, number)


def _checked(row: int, rows: Sequence[object]) -> int:
    if not 1 <= row <= len(rows):
        raise EditError(f"row {row}: the table has {len(rows)} rows; name one of them")
    return row


def _renamed(text: str, data: Mapping[str, Any], column: str, name: str) -> str:
    _, written = _toml(text)
    for number, row in enumerate(_rows(data)):
        at = _at(data, number)
        if column in row:
            literal = written[(*at, column)]
            text = with_value(text, (*at, name), literal, instead=column)
    return text


def _shown(value: object, written: str | None) -> str:
    if value is None or isinstance(value, str):
        return value or ""
    return written or str(value)


def _literal(value: str, old: object) -> str:
    """A text as TOML writes it: a number where one is meant, unless one stands there as text."""
    text = cells.on_one_line(value)
    number = "" if isinstance(old, str) else number_typed(text)
    return number or text_typed(text)
