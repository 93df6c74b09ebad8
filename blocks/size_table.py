"""A size table: one body per size, named and measured as in ISO 8559-1, checked row by row and as a whole."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import ClassVar, Final

from blocks.bump import LEAST, bumps
from blocks.fitting import CALLED as FIT
from blocks.fitting import NAMES as FINDINGS
from blocks.label import known_as, spelled_otherwise, tidy
from blocks.measurements import (
    ALWAYS,
    RANGES,
    USUAL,
    Body,
    body_from,
    check_label,
    hip_label,
    labelled_body,
    marked,
    meant,
    measurement,
    worn_low,
)
from blocks.parameters import PRACTICE, Parameters, parameter
from blocks.quantity import read_cell, shown, suggestion
from drafting.errors import DraftError, MeasurementError, TableError
from drafting.units import MILLIMETRES, show_in, show_span

COLUMNS: Final = ("size", "unit", *RANGES)
ROWS: Final = "body"
"""The list of rows in the tables of a file."""


@dataclass(frozen=True, slots=True)
class TableLimits(Parameters):
    """How even a size table must run from size to size."""

    called: ClassVar[str] = "size table"

    girth: float = parameter(15, "mm", 2, 60, "a girth off the line of its neighbours, over hip girth", PRACTICE)
    length: float = parameter(7, "mm", 1, 40, "a length off the line of its neighbours, over hip girth", PRACTICE)
    gap: float = parameter(1.75, "", 1.2, 4, "a step of the hip girth over those beside it", PRACTICE)


@dataclass(frozen=True, slots=True)
class Size:
    """One row: the size's label, as it is printed, and its body.

    Raises:
        MeasurementError: the label cannot be printed.
    """

    label: str
    body: Body

    def __post_init__(self) -> None:
        object.__setattr__(self, "label", check_label(self.label))


@dataclass(frozen=True, slots=True)
class SizeTable:
    """Sizes by ascending hip girth. `unit` is the one they were written in; `warnings` tell what is unusual.

    Tables come from `size_table_from`, which checks them.
    """

    sizes: tuple[Size, ...]
    unit: str
    warnings: tuple[str, ...] = ()

    def size(self, label: str) -> Size:
        """The size of that label.

        Raises:
            MeasurementError: the table has none; the nearest label is offered.
        """
        label = tidy(label)
        for size in self.sizes:
            if size.label == label:
                return size
        labels = {known_as(size.label): size.label for size in self.sizes}
        if known_as(label) in labels:
            raise MeasurementError(f"size: {shown(label)} is not in the table; did you mean {labels[known_as(label)]}?")
        raise MeasurementError(
            f"size: {shown(label)} is not in the table; {suggestion(label, [size.label for size in self.sizes])}"
        )


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a size table: in a row, numbered from 1, or in the names of the columns, row 0; and in which
    column, empty where it is the row, or the table, as a whole.
    """

    message: str
    row: int = 0
    column: str = ""


def size_table_from(
    data: Mapping[str, object], *, needs: Collection[str] = USUAL, limits: TableLimits | None = None
) -> SizeTable:
    """The table in a file: `body`, a list of rows, each with its `size` and measurements; and the one `unit` of them.

    What a garment `needs` must be in every row. The unit stands at the top, or as a column `unit` with one value in
    every row. A number may be written as text, as a spreadsheet gives it. Rows run from the smallest hip girth to the
    largest; measurements never fall from one to the next and grow evenly, reckoned by the centimetre of hip girth, so
    that steps of 4 cm may turn into steps of 6. The measurements of one body without a row, as in a measurements file,
    are a table of one size.

    >>> row = {"waist_girth": "76", "hip_girth": "102", "body_rise": "27", "waist_to_hip": "20.5"}
    >>> size_table_from({"unit": "cm", "body": [{"size": "H102", **row}]}).sizes[0].body.hip_girth
    1020.0

    Raises:
        TableError: one line for each fault: an unknown or missing column, mixed units, a blank cell, a measurement
            that `body_from` refuses, sizes out of order or twice, a gap, a value that falls or is out of line.
        MeasurementError: what `labelled_body` refuses of one body's measurements.
    """
    if is_of_one(data):
        label, body = labelled_body(data, needs=needs)
        return SizeTable((Size(marked(label or hip_label(body), body), body),), str(data["unit"]))
    rows, problems = _rows(data)
    _refuse(problems)
    unit, problems = _head(data, rows, needs)
    _refuse(problems)
    assert unit is not None, "that would be a fault"
    sizes, problems = _sizes(rows, unit, needs)
    problems += _order(sizes, unit)
    _refuse(problems)
    found = list(sizes.values())
    _refuse(_evenness(sizes, unit, limits or TableLimits()))
    return SizeTable(tuple(found), unit, tuple(_unusual(found, unit)))


def faults_of(
    data: Mapping[str, object], *, needs: Collection[str] = USUAL, limits: TableLimits | None = None
) -> tuple[Fault, ...]:
    """All that is wrong with the table in a file, each at its cell; none if `size_table_from` takes it.

    A fault in the names of the columns keeps none in the rows from being told, as far as they can be read.
    """
    if is_of_one(data):
        try:
            size_table_from(data, needs=needs)
        except DraftError as error:
            name = str(error).partition(":")[0]
            return (Fault(str(error), 1, name if name in COLUMNS else ""),)
        return ()
    rows, problems = _rows(data)
    if not rows:
        return tuple(problems)
    unit, more = _head(data, rows, needs)
    problems += more
    if unit is not None:
        sizes, more = _sizes(rows, unit, needs)
        problems += [fault for fault in more if fault.column or not problems]  # where a column lacks, every row does
        problems += _order(sizes, unit)
        problems += [] if problems else _evenness(sizes, unit, limits or TableLimits())
    return tuple(problems)


def is_of_one(data: Mapping[str, object]) -> bool:
    """True of the measurements of one body without a row, as in a measurements file."""
    return ROWS not in data and any(name in RANGES for name in data)


def _refuse(problems: Sequence[Fault]) -> None:
    if problems:
        raise TableError(*(problem.message for problem in problems))


def _head(
    data: Mapping[str, object], rows: Sequence[Mapping[str, object]], needs: Collection[str]
) -> tuple[str | None, list[Fault]]:
    """The unit of a table, and what is wrong with it or with the columns."""
    names = _names(rows)
    unit, problems = _unit(data, rows)
    problems += [
        Fault(f"{name}: {_unknown(name, 'column', COLUMNS)}", 0, name) for name in names if name not in COLUMNS
    ]
    problems += [
        Fault(f"{name}: missing column; give {about} for every size", 0, name)
        for name, about in (
            ("size", "a label"),
            *((n, r.meaning) for n, r in RANGES.items() if n in needs or n in ALWAYS),
        )
        if name not in names
    ]
    return unit, problems


def _names(rows: Sequence[Mapping[str, object]]) -> list[str]:
    """The columns of a table but for the unit."""
    return list(dict.fromkeys(name for row in rows for name in row if name != "unit"))


def _sizes(
    rows: Sequence[Mapping[str, object]], unit: str, needs: Collection[str]
) -> tuple[dict[int, Size], list[Fault]]:
    """The sizes by the numbers of their rows, from 1, and what is wrong with the others."""
    sizes: dict[int, Size] = {}
    problems: list[Fault] = []
    names = _names(rows)
    for number, row in enumerate(rows, start=1):
        size, faults = _size(number, row, [name for name in RANGES if name in names], unit, needs)
        problems += faults
        if size:
            sizes[number] = size
    return sizes, problems


def _rows(data: Mapping[str, object]) -> tuple[Sequence[Mapping[str, object]], list[Fault]]:
    """The rows of a table, none if they are no list of tables, and what is wrong with it as a whole."""
    problems = [
        Fault(f"{name}: {_unknown(name, 'key', ('unit', ROWS))}", 0, name)
        for name in data
        if name not in ("unit", ROWS)
    ]
    rows = data.get(ROWS, [])
    if not isinstance(rows, list | tuple) or not all(isinstance(row, Mapping) for row in rows):
        problems.append(Fault(f"{ROWS}: it must be a list of tables; write each size under a line [[{ROWS}]]"))
        return [], problems
    if not rows and not problems:
        problems.append(Fault("size table: it has no sizes; write one row for each"))
    return rows, problems


def _unknown(name: str, what: str, known: Sequence[str]) -> str:
    if name == FIT or name in FINDINGS:
        return "what a fitting found is of one wearer, not of a table of sizes; give it in a measurements file"
    return f"unknown {what}; {meant(name, known)}"


def _unit(data: Mapping[str, object], rows: Sequence[Mapping[str, object]]) -> tuple[str | None, list[Fault]]:
    """The unit of the whole table, or None and what is wrong with it."""
    written = [(0, "unit", data["unit"])] if "unit" in data else []
    written += [(number, _name(number, row), row["unit"]) for number, row in enumerate(rows, start=1) if "unit" in row]
    known = ", ".join(MILLIMETRES)
    if not written:
        missing = f"unit: missing column; it may be {known}: write the unit of the measurements in every row"
        return None, [Fault(missing, 0, "unit")]
    if "unit" not in data and len(written) < len(rows):
        lacking = next(number for number, row in enumerate(rows, start=1) if "unit" not in row)
        return None, [
            Fault("unit: missing in some rows; write it in every row, or once for the table", lacking, "unit")
        ]
    where: dict[str, list[str]] = {}
    first: dict[str, int] = {}
    for number, name, raw in written:
        unit = raw.strip() if isinstance(raw, str) else shown(raw)
        where.setdefault(unit, []).append(name)
        first.setdefault(unit, number)
    problems = [
        Fault(
            f"unit: {f'{shown(found)} is not a unit of length' if found else 'blank'} in {_several(names)}; "
            f"it may be {known}: write one of them",
            first[found],
            "unit",
        )
        for found, names in where.items()
        if found not in MILLIMETRES
    ]
    if problems:
        return None, problems
    if len(where) > 1:
        each = ", ".join(f"{found} in {_several(names)}" for found, names in where.items())
        rarest = min(where, key=lambda found: len(where[found]))
        return None, [Fault(f"unit: mixed, {each}; measure the whole table in one unit", first[rarest], "unit")]
    return next(iter(where)), []


def _several(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"


def _name(number: int, row: Mapping[str, object]) -> str:
    """How a row is told to the user: by its label, or by its number where it has none that can be printed."""
    try:
        return check_label(row.get("size"))
    except MeasurementError:
        return f"row {number}"


def _size(
    number: int, row: Mapping[str, object], names: Sequence[str], unit: str, needs: Collection[str]
) -> tuple[Size | None, Sequence[Fault]]:
    where, faults = _name(number, row), []
    label, taken = "", {}
    try:
        label = check_label(row.get("size"))
    except MeasurementError as error:
        faults.append(Fault(f"row {number}: {error}", number, "size"))
    for name in names:
        raw, about = row.get(name), RANGES[name]
        if raw is None or (isinstance(raw, str) and not raw.strip()):
            remedy = (
                f"measure it, {about.meaning}"
                if name in needs or name in ALWAYS
                else "give it for every size, or for none"
            )
            span = show_span(about.low, about.high, unit)
            faults.append(Fault(f"{where}: {name}: blank; it may be {span}: {remedy}", number, name))
            continue
        try:
            measurement(name, _plain(raw), unit)
        except MeasurementError as error:
            faults.append(Fault(f"{where}: {error}", number, name))
        else:
            taken[name] = _plain(raw)
    if faults:
        return None, faults
    try:
        return Size(label, body_from(taken, unit=unit, needs=needs)), ()
    except MeasurementError as error:
        return None, [Fault(f"{where}: {error}", number)]


def _plain(raw: object) -> object:
    """The number in a cell of text; what is none is left to be refused by name."""
    return read_cell(raw.strip()) if isinstance(raw, str) else raw


def _order(sizes: Mapping[int, Size], unit: str) -> list[Fault]:
    problems: list[Fault] = []
    seen: dict[str, str] = {}
    for number, size in sizes.items():
        if (twin := seen.get(known_as(size.label))) is not None:
            how = spelled_otherwise(twin, size.label)
            problems.append(Fault(f"{size.label}: two sizes have this label{how}; give each its own", number, "size"))
        seen[known_as(size.label)] = size.label
    for (_, before), (number, size) in pairwise(sizes.items()):
        hip, other = size.body.hip_girth, before.body.hip_girth
        told = ""
        if hip == other:
            told = f"hip_girth: {show_in(hip, unit)} is that of {before.label} too; leave one of them out"
        elif hip < other:
            told = (
                f"out of order: its hip girth of {show_in(hip, unit)} follows {show_in(other, unit)} of "
                f"{before.label}; sort the sizes by hip girth, smallest first"
            )
        if told:
            problems.append(Fault(f"{size.label}: {told}", number, "hip_girth"))
    return problems


def _evenness(numbered: Mapping[int, Size], unit: str, limits: TableLimits) -> list[Fault]:
    numbers, sizes = list(numbered), list(numbered.values())
    problems = _steps(numbers, sizes, unit, limits.gap)
    hips = [size.body.hip_girth for size in sizes]
    for name in RANGES:
        values = [getattr(size.body, name) for size in sizes]
        if name == "hip_girth" or sizes[0].body.measured(name) is None:
            continue
        found = bumps(hips, values, limits.girth if name.endswith("girth") else limits.length)
        for bump in found:
            low, high = (sizes[index].label for index in bump.beside)
            told = (
                f"{sizes[bump.index].label}: {name}: {show_in(values[bump.index], unit)} is "
                f"{show_in(round(abs(bump.off), 1), unit)} {'more' if bump.off > 0 else 'less'} than {low} and {high} "
                "lead to; measure it again"
            )
            problems.append(Fault(told, numbers[bump.index], name))
        off = {bump.index for bump in found}
        for index in range(1, len(sizes)):
            less, more = values[index], values[index - 1]
            if less < more and not off & {index, index - 1}:
                told = (
                    f"{sizes[index].label}: {name}: {show_in(less, unit)} is less than {show_in(more, unit)} of "
                    f"{sizes[index - 1].label}; a larger size must not have less: measure both again"
                )
                problems.append(Fault(told, numbers[index], name))
    return problems


def _steps(numbers: Sequence[int], sizes: Sequence[Size], unit: str, ratio: float) -> list[Fault]:
    """Steps of the hip girth that are far greater or smaller than those beside them: a size left out, or mistyped."""
    steps = [after.body.hip_girth - before.body.hip_girth for before, after in pairwise(sizes)]
    if len(steps) < LEAST:
        return []
    problems = []
    for index, step in enumerate(steps):
        beside = [steps[at] for at in (index - 1, index + 1) if 0 <= at < len(steps)]
        where = f"{sizes[index].label} to {sizes[index + 1].label}"
        told = f"their step of {show_in(step, unit)} stands beside {' and '.join(show_in(one, unit) for one in beside)}"
        fault = ""
        if step > ratio * max(beside):
            fault = f"{where}: gap: {told}; add the size between them, or mend their hip girth"
        elif len(beside) > 1 and step * ratio < min(beside):
            fault = f"{where}: hip_girth: {told}; mend one of them, or leave one out"
        if fault:
            problems.append(Fault(fault, numbers[index + 1], "hip_girth"))
    return problems


def _unusual(sizes: Sequence[Size], unit: str) -> list[str]:
    """One line for each measurement that is unusual in some sizes, not one for each size."""
    warnings = []
    for name, about in RANGES.items():
        if sizes[0].body.measured(name) is None:
            continue
        odd = [size for size in sizes if not about.usual_low <= getattr(size.body, name) <= about.usual_high]
        if odd:
            warnings.append(
                f"{name}: unusual in {', '.join(size.label for size in odd)} "
                f"(mostly {show_span(about.usual_low, about.usual_high, unit)}); "
                f"check that it was taken {about.meaning}{worn_low(name, getattr(odd[0].body, name))}"
            )
    return warnings + [f"{size.label}: {doubt}" for size in sizes for doubt in size.body.doubts]
