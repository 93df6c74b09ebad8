"""Reading a design from the tables of a file: every key known, every number in its range, every length made mm."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from contextlib import suppress
from enum import Enum
from functools import cache
from typing import Any, Final, get_args, get_type_hints

from blocks.design import CasingDesign, Design, casing_title
from blocks.known import BLOCKS, block_named
from blocks.label import CASING_LENGTH, NAME_LENGTH, label_from, same, spelled_otherwise
from blocks.parameters import Parameter, parameters_of, unsaid
from blocks.quantity import finite, in_millimetres, not_a_number, other_unit, shown, suggestion
from drafting.errors import DesignError
from drafting.units import MILLIMETRES, show_in, show_span

DEFAULT: Final = "short"
"""The block of a design file that names none."""

HEAD: Final = ("block", "name", "workroom", "unit")
"""What stands above the tables of a design file."""


def design_from(data: Mapping[str, object]) -> Design:
    """The design in the tables of a file: block, name, workroom, unit, [[casing]], [waist] and what else its block has.

    Lengths are in the file's `unit` (mm, cm or in); ratios and degrees have none. What is left out keeps its default.

    >>> design = design_from({"name": "Plain", "unit": "cm", "casing": [{"name": "low", "height": 9}]})
    >>> design.block, design.casings[0].height
    ('short', 90.0)

    Raises:
        DesignError: an unknown key or table, a value of the wrong kind or outside its range, two casings of one name.
    """
    block = block_named(data.get("block", DEFAULT))
    made, records = block.design, tables_of(block.design)
    known = (*HEAD, *records, "casing")
    _of_no_other(block.name, [key for key in data if key not in known])
    _only_known("design", data, known)
    unit = unit_of(data)
    name = name_from(data)
    tables = {key: record_from(kind, key, data.get(key, {}), unit) for key, kind in records.items()}
    workroom = workroom_from(data)
    casings = _casings(data.get("casing", []), casing_of(block.design), unit)
    return made(name=name, workroom=workroom, casings=casings, unit=unit, **tables)


def _kinds(design: type[Design]) -> dict[str, Any]:
    """What each field of a design is."""
    hints = get_type_hints(design)
    return {field.name: hints[field.name] for field in dataclasses.fields(design)}


def tables_of(design: type[Design]) -> dict[str, Any]:
    """The fields that are tables of a file."""
    return {name: kind for name, kind in _kinds(design).items() if dataclasses.is_dataclass(kind)}


def casing_of(design: type[Design]) -> Any:
    """The kind of table that a casing of such a design is."""
    return get_args(_kinds(design)["casings"])[0]


def _of_no_other(block: str, unknown: Sequence[str]) -> None:
    """Refuse a table that is another block's: the file has forgotten to say of which it is.

    Raises:
        DesignError: it has one.
    """
    for key in unknown:
        for other in BLOCKS:
            if key in tables_of(block_named(other).design):
                raise DesignError(
                    f'design: {shown(key)} is no part of a {block}, but of a {other}; write block = "{other}" at the '
                    "top, or leave it out"
                )


def name_from(data: Mapping[str, object]) -> str:
    """The name of the design in the tables of a file.

    Raises:
        DesignError: it has none, or one that cannot be printed.
    """
    return label_from("name", data.get("name"), NAME_LENGTH)


def workroom_from(data: Mapping[str, object]) -> str:
    """The workroom in the tables of a file, empty where none is named.

    Raises:
        DesignError: its name cannot be printed.
    """
    return label_from("workroom", data["workroom"], NAME_LENGTH, plain=False) if "workroom" in data else ""


def unit_of(data: Mapping[str, object]) -> str:
    """The unit of the lengths in a design file.

    Raises:
        DesignError: it names none.
    """
    units = ", ".join(f'"{unit}"' for unit in MILLIMETRES)
    if "unit" not in data:
        raise DesignError(f"unit: missing; it may be {units}: write the unit of the lengths in the design")
    unit = data["unit"]
    if not isinstance(unit, str) or unit not in MILLIMETRES:
        raise DesignError(f"unit: {shown(unit)} is not a unit of length; it may be {units}: write one of them")
    return unit


def _casings(raw: object, kind: type[CasingDesign], unit: str) -> tuple[CasingDesign, ...]:
    if not isinstance(raw, list | tuple):
        raise DesignError("casing: it must be a list of tables; write each casing under a line [[casing]]")
    casings: list[CasingDesign] = []
    for number, table in enumerate(raw, start=1):
        if not isinstance(table, Mapping):
            raise DesignError(
                f"casing {number}: {shown(table)} is not a table; write each casing under a line [[casing]]"
            )
        name = label_of_casing(number, table)
        if twice := same([*(casing.name for casing in casings), name], casing_title):
            raise DesignError(
                f"casing {number}: name: {shown(name)} names two casings{spelled_otherwise(*twice)}; "
                "give each casing its own name"
            )
        casings.append(record_from(kind, f"casing {name!r}", table, unit))
    return tuple(casings)


def label_of_casing(number: int, table: Mapping[str, object]) -> str:
    """The name of a casing of a design, its tables numbered from 1.

    Raises:
        DesignError: it has none, or one that cannot be printed.
    """
    return label_from(f"casing {number}: name", table.get("name"), CASING_LENGTH, plain=False)


def record_from(kind: Any, where: str, table: object, unit: str) -> Any:
    """One table as the dataclass whose fields it sets.

    Raises:
        DesignError: no table, an unknown key, or a value of the wrong kind or outside its range.
    """
    if not isinstance(table, Mapping):
        raise DesignError(f"{where}: {shown(table)} is not a table; write its values under a line [{where}]")
    fields = fields_of(kind)
    _only_known(where, table, list(fields))
    values: dict[str, object] = {}
    for name, about in fields.items():
        place = f"{where}.{name}"
        needed = name in needed_of(kind)
        if needed and name not in table and isinstance(about, Parameter):
            raise DesignError(f"{place}: missing; it may be {range_of(about, unit)}: give the {about.meaning}")
        if needed or name in table:
            values[name] = value_from(place, table.get(name), about, unit)
    return kind(**values)


@cache
def fields_of(kind: Any) -> Mapping[str, Parameter | type]:
    """What may stand in a table of that kind: the parameter of each number, the type of each word or name."""
    parameters, hints = parameters_of(kind), get_type_hints(kind)
    return {field.name: parameters.get(field.name) or hints[field.name] for field in dataclasses.fields(kind)}


def default_from(kind: Any, where: str, key: str, table: Mapping[str, object], unit: str) -> float | str | None:
    """What a value is that is left out of a table, lengths in mm; None for one that must be given, or need not be."""
    fields = {field.name: field for field in dataclasses.fields(kind)}
    default = fields[key].default
    if unsaid(default):
        with suppress(DesignError):
            default = getattr(record_from(kind, where, {k: v for k, v in table.items() if k != key}, unit), key)
    return None if default is dataclasses.MISSING else default


def needed_of(kind: Any) -> tuple[str, ...]:
    """What must stand in a table of that kind."""
    return tuple(field.name for field in dataclasses.fields(kind) if field.default is dataclasses.MISSING)


def value_from(where: str, raw: object, kind: Parameter | type, unit: str) -> object:
    """One value of a design file: a parameter's number, a length in mm; a word of an enumeration; or a name.

    Raises:
        DesignError: of another kind, or outside its range.
    """
    if isinstance(kind, Parameter):
        return _number(where, raw, kind, unit)
    return _choice(where, raw, kind) if issubclass(kind, Enum) else label_from(where, raw, CASING_LENGTH, plain=False)


def _choice(where: str, raw: object, kind: type[Enum]) -> Enum:
    """One of a few words."""
    with suppress(ValueError):
        return kind(raw)
    known = ", ".join(f'"{member.value}"' for member in kind)
    raise DesignError(f"{where}: {shown(raw)} is unknown; it may be {known}: write one of them")


def _number(where: str, raw: object, about: Parameter, unit: str) -> float:
    """A number in its range, a length in mm."""
    number = finite(raw)
    if number is None:
        raise DesignError(f"{where}: {not_a_number(raw)}; it may be {range_of(about, unit)} ({about.meaning})")
    if about.unit == "mm":
        value = in_millimetres(number, unit)
        found, remedy = show_in(value, unit), other_unit(value, about.low, about.high, unit)
    else:
        value, found = number, f"{number:g} {about.unit}".rstrip()
        per_cent = not about.unit and about.low <= number / 100 <= about.high
        remedy = f"if it was meant in per cent, write {number / 100:g}" if per_cent else None
    if about.low <= value <= about.high:
        return value
    remedy = remedy or "choose a value in that range"
    raise DesignError(f"{where}: {found} is outside {range_of(about, unit)} ({about.meaning}); {remedy}")


def range_of(about: Parameter, unit: str) -> str:
    """What a parameter may be, as it is told, lengths in the unit of the file."""
    if about.unit == "mm":
        return show_span(about.low, about.high, unit)
    return f"{about.low:.3g} to {about.high:.3g} {about.unit}".rstrip()


def _only_known(where: str, table: Mapping[str, object], known: Sequence[str]) -> None:
    for key in table:
        if key not in known:
            raise DesignError(f"{where}: {shown(key)} is unknown; {suggestion(key, known)}")
