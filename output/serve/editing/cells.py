"""The cells of a size table that is saved as CSV, each where it stands in the text, so that one changes by itself."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from output.serve.editing.alteration import EditError
from output.serve.editing.saved import MARK
from output.system.reading import SIZE_ROWS
from output.system.spreadsheet import MARKS, column_name, declares, mark_of, rows_of
from output.tables.csv_text import harmless

CALLED: Final = "size table"
SIZE, UNIT = "size", "unit"
"""The columns that hold no measurement."""

_POINT: Final = re.compile(r"[+-]?\d+\.\d+")
_COMMA: Final = re.compile(r"[+-]?\d+,\d+")
_GUARD: Final = re.compile(r"(^|[;\t])'")
"""An apostrophe before what a spreadsheet would run."""

_END: Final = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A size table as a page shows it: its columns by their names, as they are written, and the cells of its rows.

    A column without a name of its own is called by its number from 1. Every row has a cell for each column.
    """

    columns: tuple[str, ...]
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell, and from where to where, its quotes included but for the blanks round it."""

    text: str
    start: int
    end: int
    quoted: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A line of cells, with its line end, and where its cells end; a cell may hold line ends itself."""

    cells: tuple[Cell, ...]
    start: int
    stop: int
    end: int

    @property
    def empty(self) -> bool:
        return not any(cell.text for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Grid:
    """The lines of a table that hold anything: its header, then its rows; what parts cells, and what ends lines."""

    text: str
    mark: str
    lines: tuple[Line, ...]

    @property
    def header(self) -> Line:
        return self.lines[0]

    @property
    def rows(self) -> tuple[Line, ...]:
        return self.lines[1:]

    @property
    def columns(self) -> tuple[str, ...]:
        """Each column by its name, or by its number from 1 where that is empty or another's."""
        names = [column_name(cell.text) for cell in self.header.cells]
        return tuple(
            name if name and name not in names[:number] else str(number + 1) for number, name in enumerate(names)
        )

    @property
    def ending(self) -> str:
        found = _END.search(self.text)
        return found[0] if found else "\n"

    @property
    def cells(self) -> tuple[tuple[str, ...], ...]:
        """The text of every cell, in the header too; each line has as many as the header."""
        wide = len(self.header.cells)
        texts = ([cell.text for cell in line.cells[:wide]] for line in self.lines)
        return tuple((*line, *[""] * (wide - len(line))) for line in texts)

    @property
    def sheet(self) -> Sheet:
        """The table without columns in which nothing stands, not even a name."""
        kept = [number for number, column in enumerate(zip(*self.cells, strict=True)) if any(column)]
        header, *rows = (tuple(line[number] for number in kept) for line in self.cells)
        return Sheet(tuple(self.columns[number] for number in kept), header, tuple(rows))


def grid_of(text: str) -> Grid:
    """The cells of a table.

    Raises:
        OutputError: it is no table, or its quotes do not close.
    """
    text = text.removeprefix(MARK)
    mark = mark_of(text, CALLED)
    lines = [line for line in _lines(text, mark) if not line.empty]
    if lines and declares(text[lines[0].start : lines[0].stop]):
        lines = lines[1:]
    if not lines:
        rows_of(text, CALLED, SIZE_ROWS)
        raise EditError(f"{CALLED}: it has no columns; write their names")
    return Grid(text, mark, tuple(lines))


def row_at(text: str, line: int) -> int:
    """The row of a table, from 1, whose last line has that number in the text; 0 for the header, or none."""
    for number, row in enumerate(grid_of(text).lines):
        if len(_END.findall(text, 0, row.stop)) + 1 == line:
            return number
    return 0


def with_cell(text: str, row: int, column: str, value: str) -> str:
    r"""A table with another text in one cell, written as its neighbours are: in quotes, with a decimal comma.

    Rows count from 1; row 0 is the header.

    >>> with_cell("size;unit;hip_girth\r\nH84;cm;84,5\r\n", 1, "hip_girth", "85.5")
    'size;unit;hip_girth\r\nH84;cm;85,5\r\n'

    Raises:
        OutputError: it is no table, has no such cell, or cannot be changed without harm to other cells.
    """
    grid = grid_of(text)
    at, line = number_of(grid, column), _line(grid, row)
    written = _styled(value, _mark_of_numbers(grid))
    if at < len(line.cells):
        cell = line.cells[at]
        new = _replaced(grid, {(cell.start, cell.end): _quoted(written, grid, line, cell)})
    else:
        missing = grid.mark * (at - len(line.cells) + 1)
        new = _replaced(grid, {(line.stop, line.stop): missing + _quoted(written, grid, line)})
    goal = [list(one) for one in grid.cells]
    goal[row][at] = written
    return _proved(text, new, goal)


def with_row(text: str, row: int, cells: Mapping[str, str]) -> str:
    """A table with a row more, which gets that number from 1; the unit is that of the table unless it is given.

    Raises:
        OutputError: as `with_cell`; or the row would be empty.
    """
    grid = grid_of(text)
    lines = grid.lines
    above = _line(grid, row - 1)
    beside = grid.rows[min(row, len(grid.rows)) - 1] if grid.rows else None
    units = {UNIT: _cell(beside, grid.columns.index(UNIT)).text} if beside and UNIT in grid.columns else {}
    mark = _mark_of_numbers(grid)
    texts = [_styled({**units, **cells}.get(name, ""), mark) for name in grid.columns]
    line = grid.mark.join(
        _quoted(one, grid, beside or grid.header, _cell(beside, at) if beside and row <= len(lines) else None)
        for at, one in enumerate(texts)
    )
    where = above.end
    bare = where == len(grid.text) and not grid.text.endswith(("\r", "\n"))
    new = _replaced(grid, {(where, where): grid.ending + line if bare else line + grid.ending})
    return _proved(text, new, [*grid.cells[:row], texts, *grid.cells[row:]])


def without_row(text: str, row: int) -> str:
    """A table without one of its rows, numbered from 1.

    Raises:
        OutputError: as `with_cell`.
    """
    grid = grid_of(text)
    if row < 1:
        raise EditError(f"row {row}: the header is no row of sizes; name one of them")
    line = _line(grid, row)
    new = grid.text[: line.start] + grid.text[line.end :]
    if line.end == line.stop:  # the last line, which has no end
        new = re.sub(r"(\r\n|\r|\n)\Z", "", new)
    return _proved(text, new, [*grid.cells[:row], *grid.cells[row + 1 :]])


def with_column(text: str, column: str) -> str:
    """A table with one more column, empty, its name spelled as the others are.

    Raises:
        OutputError: as `with_cell`; or there is such a column.
    """
    grid = grid_of(text)
    if column in grid.columns:
        raise EditError(f"{column}: the table has this column")
    wide, header = len(grid.header.cells), _spelled(column, grid)
    edits = {}
    for line in grid.lines:
        cell = _quoted(header if line is grid.header else "", grid, line)
        padded = grid.mark * (max(0, wide - len(line.cells)) + 1) + cell
        end = line.cells[wide - 1].end if len(line.cells) > wide else line.stop
        edits[end, end] = padded
    head, *rows = grid.cells
    return _proved(text, _replaced(grid, edits), [(*head, header), *((*one, "") for one in rows)])


def without_column(text: str, column: str) -> str:
    """A table without one of its columns.

    Raises:
        OutputError: as `with_cell`.
    """
    grid = grid_of(text)
    at = number_of(grid, column)
    edits = {}
    for line in grid.lines:
        starts = [line.start, *(grid.text.index(grid.mark, cell.end) + 1 for cell in line.cells[:-1])]
        if at < len(starts) - 1:
            edits[starts[at], starts[at + 1]] = ""
        elif at < len(starts):
            edits[max(line.start, starts[at] - 1), line.stop] = ""
    return _proved(text, _replaced(grid, edits), [(*one[:at], *one[at + 1 :]) for one in grid.cells])


def on_one_line(value: str) -> str:
    """A text as a cell holds it: without line ends, or blanks round it."""
    return re.sub(r"[\r\n]+", " ", value).strip()


def number_of(grid: Grid, column: str) -> int:
    """Which column has that name, from nought.

    Raises:
        EditError: none has.
    """
    for name in (column, column_name(column)):
        if name in grid.columns:
            return grid.columns.index(name)
    raise EditError(f"{column}: the table has no such column; it has {', '.join(grid.columns)}")


def _lines(text: str, mark: str) -> list[Line]:
    cell = re.compile(rf'(?:"(?P<in>(?:[^"]|"")*)"|(?P<bare>[^{mark}\r\n]*))(?P<end>{mark}|\r\n|\r|\n|\Z)')
    lines: list[Line] = []
    cells: list[Cell] = []
    at = start = 0
    while at < len(text) or cells:
        found = cell.match(text, at)
        if not found or (found["bare"] or "").startswith('"'):
            rows_of(text, CALLED, SIZE_ROWS)
            raise EditError(f"{CALLED}: its quotes do not close; mend them in its text")
        cells.append(_found(found))
        at = found.end()
        if found["end"] != mark:
            lines.append(Line(tuple(cells), start, found.start("end"), at))
            cells, start = [], at
    return lines


def _found(found: re.Match[str]) -> Cell:
    if found["bare"] is None:
        return Cell(found["in"].replace('""', '"').strip(), found.start(), found.start("end"), quoted=True)
    bare = found["bare"]
    start = found.start("bare") + len(bare) - len(bare.lstrip())
    return Cell(bare.strip(), start, start + len(bare.strip()), quoted=False)


def _line(grid: Grid, row: int) -> Line:
    if not 0 <= row < len(grid.lines):
        raise EditError(f"row {row}: the table has {len(grid.rows)} rows; name one of them")
    return grid.lines[row]


def _cell(line: Line, at: int) -> Cell:
    return line.cells[at] if at < len(line.cells) else Cell("", line.stop, line.stop, quoted=False)


def _mark_of_numbers(grid: Grid) -> str:
    """The decimal mark of a table's numbers; empty where it has none, or as many of each."""
    cells = [cell.text for row in grid.rows for cell in row.cells]
    points, commas = (sum(1 for one in cells if kind.fullmatch(one)) for kind in (_POINT, _COMMA))
    return "," if commas > points else "." if points > commas else ""


def _styled(value: str, mark: str) -> str:
    """A text as it is written into a cell: on one line, its decimal mark that of the table, if it has one."""
    text = on_one_line(value)
    if mark and (_POINT.fullmatch(text) or _COMMA.fullmatch(text)):
        return text.replace(",", mark).replace(".", mark)
    if re.fullmatch(r"[+-]?[\d.,]+", text) or harmless(_GUARD.sub(r"\1", text)) == text:
        return text
    return harmless(text)


def _quoted(text: str, grid: Grid, line: Line, cell: Cell | None = None) -> str:
    """A text in quotes where it needs them, or where this cell, or every other of its line, has them without need."""
    marks = (*(MARKS if line is grid.header else grid.mark), '"')

    def needs(text: str) -> bool:
        return any(mark in text for mark in marks)

    others = [one for one in line.cells if one.text]
    if cell and (cell.text or cell.quoted) and not needs(cell.text):
        like = cell.quoted
    else:
        like = bool(others) and all(one.quoted for one in others)
    return '"' + text.replace('"', '""') + '"' if like or needs(text) else text


def _spelled(column: str, grid: Grid) -> str:
    """The name of a new column, spelled as those of the others are."""
    names = [cell.text for cell in grid.header.cells if re.search(r"[\s_-]", cell.text)]
    parted = re.search(r"[\s_-]", names[0]) if names else None
    text = column.replace("_", parted[0] if parted else "_")
    if names and names[0].isupper():
        return text.upper()
    return text[:1].upper() + text[1:] if names and names[0][:1].isupper() else text


def _replaced(grid: Grid, edits: Mapping[tuple[int, int], str]) -> str:
    """The text of a table with other texts in some places."""
    parts, at = [], 0
    for (start, end), text in sorted(edits.items()):
        parts += [grid.text[at:start], text]
        at = end
    return "".join((*parts, grid.text[at:]))


def _proved(text: str, new: str, goal: Sequence[Sequence[str]]) -> str:
    """A new text of a table, if these are its cells.

    Raises:
        EditError: they are not.
    """
    try:
        found = grid_of(new).cells
    except EditError:
        found = ()
    if found != tuple(map(tuple, goal)):
        raise EditError(f"{CALLED}: it would not be a table of these cells any more; change it in its text")
    return text[: len(text) - len(text.removeprefix(MARK))] + new
