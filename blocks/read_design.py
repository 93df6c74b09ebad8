"""Reading a design from the tables of a file: every key known, every number in its range, every length made mm."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from contextlib import suppress
from enum import Enum
from typing import Any, Final, get_args, get_type_hints

from blocks.design import CasingDesign, Design, casing_title
from blocks.known import BLOCKS, block_named
from blocks.label import CASING_LENGTH, NAME_LENGTH, label_from, same, spelled_otherwise
from blocks.parameters import Parameter, parameters_of
from blocks.quantity import finite, in_millimetres, not_a_number, other_unit, shown, suggestion
from drafting.errors import DesignError
from drafting.units import MILLIMETRES, show_in, show_span

DEFAULT: Final = "short"
"""The block of a design file that names none."""


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
    made, kinds, records = block.design, _kinds(block.design), _records(block.design)
    known = ("block", "name", "workroom", "unit", *records, "casing")
    _of_no_other(block.name, [key for key in data if key not in known])
    _only_known("design", data, known)
    unit = _unit(data)
    name = label_from("name", data.get("name"), NAME_LENGTH)
    tables = {key: _record(kind, key, data.get(key, {}), unit) for key, kind in records.items()}
    workroom = label_from("workroom", data["workroom"], NAME_LENGTH, plain=False) if "workroom" in data else ""
    casings = _casings(data.get("casing", []), get_args(kinds["casings"])[0], unit)
    return made(name=name, workroom=workroom, casings=casings, unit=unit, **tables)


def _kinds(design: type[Design]) -> dict[str, Any]:
    """What each field of a design is."""
    hints = get_type_hints(design)
    return {field.name: hints[field.name] for field in dataclasses.fields(design)}


def _records(design: type[Design]) -> dict[str, Any]:
    """The fields that are tables of a file."""
    return {name: kind for name, kind in _kinds(design).items() if dataclasses.is_dataclass(kind)}


def _of_no_other(block: str, unknown: Sequence[str]) -> None:
    """Refuse a table that is another block's: the file has forgotten to say of which it is.

    Raises:
        DesignError: it has one.
    """
    for key in unknown:
        for other in BLOCKS:
            if key in _records(block_named(other).design):
                raise DesignError(
                    f'design: {shown(key)} is no part of a {block}, but of a {other}; write block = "{other}" at the '
                    "top, or leave it out"
                )


def _unit(data: Mapping[str, object]) -> str:
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
        name = label_from(f"casing {number}: name", table.get("name"), CASING_LENGTH, plain=False)
        if twice := same([*(casing.name for casing in casings), name], casing_title):
            raise DesignError(
                f"casing {number}: name: {shown(name)} names two casings{spelled_otherwise(*twice)}; "
                "give each casing its own name"
            )
        casings.append(_record(kind, f"casing {name!r}", table, unit))
    return tuple(casings)


def _record(kind: Any, where: str, table: object, unit: str) -> Any:
    """One table as the dataclass whose fields it sets."""
    if not isinstance(table, Mapping):
        raise DesignError(f"{where}: {shown(table)} is not a table; write its values under a line [{where}]")
    fields, parameters, hints = dataclasses.fields(kind), parameters_of(kind), get_type_hints(kind)
    _only_known(where, table, [field.name for field in fields])
    values: dict[str, object] = {}
    for field in fields:
        place, about, raw = f"{where}.{field.name}", parameters.get(field.name), table.get(field.name)
        if field.name not in table:
            if about and field.default is dataclasses.MISSING:
                raise DesignError(f"{place}: missing; it may be {_range(about, unit)}: give the {about.meaning}")
        elif about:
            values[field.name] = _number(place, raw, about, unit)
        elif issubclass(hints[field.name], Enum):
            values[field.name] = _choice(place, raw, hints[field.name])
        else:
            values[field.name] = label_from(place, raw, CASING_LENGTH, plain=False)
    return kind(**values)


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
        raise DesignError(f"{where}: {not_a_number(raw)}; it may be {_range(about, unit)} ({about.meaning})")
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
    raise DesignError(f"{where}: {found} is outside {_range(about, unit)} ({about.meaning}); {remedy}")


def _range(about: Parameter, unit: str) -> str:
    if about.unit == "mm":
        return show_span(about.low, about.high, unit)
    return f"{about.low:.3g} to {about.high:.3g} {about.unit}".rstrip()


def _only_known(where: str, table: Mapping[str, object], known: Sequence[str]) -> None:
    for key in table:
        if key not in known:
            raise DesignError(f"{where}: {shown(key)} is unknown; {suggestion(key, known)}")
