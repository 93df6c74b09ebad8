"""What a text says otherwise than the one that is saved: place by place of a design, cell by cell of a size table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from blocks.label import known_as
from blocks.quantity import finite, read_cell
from drafting.errors import OutputError
from output.serve.editing.cells import SIZE, Sheet
from output.serve.editing.places import CASING, casing_names
from output.serve.editing.saved import plain
from output.serve.editing.sizes import is_table, sheet
from output.serve.editing.statements import At
from output.system.reading import toml_of

TEXT = "text"
"""The place of a difference that is none of any value."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What was at a place and what is there now, as they are written; empty where nothing was, or is."""

    place: str
    before: str
    after: str


def differences(saved: str, text: str) -> tuple[Difference, ...]:
    """What the text of a design or a size table says otherwise than the one that is saved, place by place.

    A place of a design is as in `edit.changed`, one of a table a size's label and a column. What looks
    otherwise alone, as comments and the order do, or cannot be read, is told as one difference of the place `text`.
    """
    if plain(saved) == plain(text):
        return ()
    try:
        if is_table(saved):
            before, after = (_cells(sheet(one)) for one in (saved, text))
        else:
            old, new = (toml_of(plain(one), "design") for one in (saved, text))
            names = casing_names(new)
            before, after = _said(old, _as_now(casing_names(old), names)), _said(new, names)
    except OutputError as error:
        return (Difference(TEXT, "", str(error)),)
    return _between(before, after)


def _between(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[Difference, ...]:
    found = tuple(
        Difference(place, before.get(place, ""), after.get(place, ""))
        for place in dict.fromkeys((*before, *after))
        if before.get(place) != after.get(place)
    )
    return found or (Difference(TEXT, "", "comments, order or blanks"),)


def _cells(cells: Sheet) -> Mapping[str, str]:
    """Every cell that is not blank under its size and column, alike if they mean the same."""
    labels = [row[cells.columns.index(SIZE)] if SIZE in cells.columns else "" for row in cells.rows]
    known = [known_as(label) for label in labels]
    said = {}
    for number, (label, row) in enumerate(zip(labels, cells.rows, strict=True)):
        name = label if label and known.count(known[number]) == 1 else f"row {number + 1}"
        said.update(
            {
                f"{name}.{column}": _bare(read_cell(cell))
                for column, cell in zip(cells.columns, row, strict=True)
                if cell
            }
        )
    return said


def _as_now(old: Sequence[str], new: Sequence[str]) -> list[str]:
    """What casings are called now: one of another name in the same place has been renamed."""
    return [
        new[number] if number < len(new) and name not in new and new[number] not in old else name
        for number, name in enumerate(old)
    ]


def _said(data: Mapping[str, object], names: Sequence[str]) -> Mapping[str, str]:
    """Every value of a design under its place, alike if they mean the same."""
    said: dict[str, str] = {}

    def say(at: At, value: object) -> None:
        if isinstance(value, Mapping | list):
            for key, inner in value.items() if isinstance(value, Mapping) else enumerate(value):
                say((*at, key), inner)
        else:
            called = [names[key] if at[0] == CASING and isinstance(key, int) else str(key) for key in at[:2]]
            said[".".join((*called, *map(str, at[2:])))] = _bare(value)

    say((), data)
    return said


def _bare(value: object) -> str:
    number = finite(value)
    return f"{number:.10g}" if number is not None else str(value)
