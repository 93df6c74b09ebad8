"""What is wrong with a size table for a design, each thing at its cell, and which sizes cannot be drafted."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from blocks.known import block_named
from blocks.measurements import USUAL
from blocks.read_design import DEFAULT, design_from
from blocks.size_range import Drafting, Fit, Undrafted, draft_size
from blocks.size_table import ROWS, faults_of, size_table_from
from drafting.errors import DraftError
from output.serve.editing import cells
from output.serve.editing.sizes import data_of, is_toml
from output.system.reading import toml_of


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong, in the words of the command: in a row, numbered from 1, or in the header, row 0; and in which
    column, empty where it is the row, or the table, as a whole.
    """

    row: int
    column: str
    message: str


def problems(design: str, table: str, *, drafted: bool = True) -> tuple[Problem, ...]:
    """All that is wrong with a table for a design, both as texts. A size that cannot be drafted is told of its row.

    Where the table has no other fault, every size is drafted in every rise for that, unless `drafted` is false.
    """
    found = tuple(_of_table(design, table))
    return found or (tuple(_undrafted(design, table)) if drafted else ())


def _of_table(design: str, table: str) -> Iterator[Problem]:
    try:
        data = data_of(table)
    except DraftError as error:
        yield from _unreadable(table, str(error))
        if is_toml(table):
            return
        try:
            sheet = cells.grid_of(table).sheet
        except DraftError:
            return
        data = {ROWS: [_named(sheet.columns, row) for row in sheet.rows]}
    for fault in faults_of(data, needs=_needs(design)):
        yield Problem(fault.row, fault.column, fault.message)


def _named(columns: tuple[str, ...], row: tuple[str, ...]) -> Mapping[str, str]:
    return {name: cell for name, cell in zip(columns, row, strict=True) if not name.isdecimal()}


def _unreadable(table: str, told: str) -> Iterator[Problem]:
    """What keeps a table from being read, at the row or column that is named."""
    row, column = 0, ""
    if not is_toml(table):
        line, number = re.search(r"line (\d+)", told), re.search(r"column (\d+)", told)
        try:
            row = cells.row_at(table, int(line[1])) if line else 0
            column = cells.grid_of(table).columns[int(number[1]) - 1] if number else ""
        except (DraftError, IndexError):
            pass
    yield Problem(row, column, told)


def _needs(design: str) -> tuple[str, ...]:
    """What a garment of that design needs; the usual while the text says nothing of that."""
    try:
        return block_named(toml_of(design.removeprefix("\ufeff"), "design").get("block", DEFAULT)).needs
    except DraftError:
        return USUAL


def _undrafted(design: str, table: str) -> Iterator[Problem]:
    try:
        made = design_from(toml_of(design.removeprefix("\ufeff"), "design"))
        sizes = size_table_from(data_of(table), needs=_needs(design)).sizes
        rises = block_named(made.block).rises_named()
    except DraftError:
        return
    for row, size in enumerate(sizes, start=1):
        for rise in rises:
            found = draft_size(Drafting(made, size, rise, None, Fit.WHOLE))
            if isinstance(found, Undrafted):
                yield Problem(row, "", str(found))
