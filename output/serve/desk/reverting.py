"""What is changed in a text against the one that is saved, each thing so that it can be taken back by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from itertools import groupby
from typing import Final

from blocks.label import known_as
from drafting.errors import DraftError
from output.serve.desk.steps import DESIGN
from output.serve.editing import edit
from output.serve.editing.alteration import text_typed, with_table
from output.serve.editing.cells import SIZE, Sheet
from output.serve.editing.differences import TEXT
from output.serve.editing.places import CASING

Found = tuple[edit.Difference, Callable[[], str]]
"""A difference, and what makes the text without it."""

ADDED: Final = "added"


def changes(which: str, saved: str, text: str) -> tuple[edit.Difference, ...]:
    """What is changed in the design or in the table: a casing, row or column that is new or gone is one change."""
    return tuple(change for change, _ in _found(which, saved, text))


def reverted(which: str, saved: str, text: str, place: str) -> str:
    """The text without its change at one place.

    Raises:
        DraftError: it has none there, or it cannot be taken back by itself.
    """
    for change, back in _found(which, saved, text):
        if change.place == place:
            return back()
    raise DraftError(f"{place}: nothing is changed there any more")


def _found(which: str, saved: str, text: str) -> list[Found]:
    if saved == text:
        return []
    try:
        found = list(_in_design(saved, text) if which == DESIGN else _in_table(saved, text))
    except DraftError as error:
        return [(edit.Difference(TEXT, "", str(error)), lambda: saved)]
    return found or [(edit.Difference(TEXT, "", "comments, order or blanks"), lambda: saved)]


def _in_design(saved: str, text: str) -> Iterator[Found]:
    written = {one.place: one.value for group in edit.listed(saved) for one in group.values}
    for table, group in groupby(edit.differences(saved, text), key=lambda one: one.place.rpartition(".")[0]):
        changed = list(group)
        named = next((one for one in changed if one.place == f"{table}.name" and table.startswith(f"{CASING}.")), None)
        if named and not named.before:
            yield edit.Difference(table, "", ADDED), partial(edit.changed, text, table, None)
        elif named and not named.after:
            told = ", ".join(f"{one.place.rpartition('.')[2]} {one.before}" for one in changed)
            yield edit.Difference(table, told, ""), partial(_with_casing, saved, text, table)
        else:
            for one in changed:
                before = written.get(one.place) or one.before or None
                yield one, (lambda: saved) if one.place == TEXT else partial(edit.changed, text, one.place, before)


def _with_casing(saved: str, text: str, place: str) -> str:
    """The text with a casing of the saved one, as the last."""
    given = next(group.values for group in edit.listed(saved) if group.place == place)
    literals = {one.key: one.value if one.number else text_typed(one.value) for one in given if one.value is not None}
    number = sum(group.place.startswith(f"{CASING}.") for group in edit.listed(text))
    return with_table(text, (CASING, number), literals)


def _in_table(saved: str, text: str) -> Iterator[Found]:
    old, new = edit.sheet(saved), edit.sheet(text)
    for column in new.columns:
        if column not in old.columns:
            yield edit.Difference(column, "", ADDED), partial(edit.without_column, text, column)
    for column in old.columns:
        if column not in new.columns:
            yield edit.Difference(column, "a column", ""), partial(_with_column, old, new, text, column)
    pairs = _pairs(old, new)
    for number, row in enumerate(new.rows):
        label = _label(new, number)
        if number not in pairs:
            yield edit.Difference(label, "", ADDED), partial(edit.without_row, text, number + 1)
            continue
        before = dict(zip(old.columns, old.rows[pairs[number]], strict=True))
        for column, cell in zip(new.columns, row, strict=True):
            if column in before and before[column] != cell:
                back = partial(edit.with_cell, text, number + 1, column, before[column])
                yield edit.Difference(f"{label}.{column}", before[column], cell), back
    for number, row in enumerate(old.rows):
        if number not in pairs.values():
            given = {name: cell for name, cell in zip(old.columns, row, strict=True) if name in new.columns}
            told = ", ".join(filter(None, row))
            back = partial(edit.with_row, text, min(number, len(new.rows)) + 1, given)
            yield edit.Difference(_label(old, number), told, ""), back


def _pairs(old: Sheet, new: Sheet) -> Mapping[int, int]:
    """Which row was which: one of the same label, or among those left over one at the same place."""
    was, now = _labels(old), _labels(new)
    pairs = {at: was.index(label) for at, label in enumerate(now) if was.count(label) == now.count(label) == 1}
    left = [at for at in range(len(was)) if at not in pairs.values()]
    pairs.update({at: at for at in range(len(now)) if at not in pairs and at in left and len(was) == len(now)})
    return pairs


def _labels(sheet: Sheet) -> Sequence[str]:
    at = sheet.columns.index(SIZE) if SIZE in sheet.columns else None
    return ["" if at is None else known_as(row[at]) for row in sheet.rows]


def _label(sheet: Sheet, number: int) -> str:
    labels = _labels(sheet)
    alone = labels[number] and labels.count(labels[number]) == 1
    return sheet.rows[number][sheet.columns.index(SIZE)] if alone else f"row {number + 1}"


def _with_column(old: Sheet, new: Sheet, text: str, column: str) -> str:
    """The text with a column of the saved one, as the last."""
    text, at = edit.with_column(text, column), old.columns.index(column)
    for number, was in _pairs(old, new).items():
        text = edit.with_cell(text, number + 1, column, old.rows[was][at])
    return text
