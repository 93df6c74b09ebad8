"""Every parameter that a design file may set, as a page lists it: what it may be, what it is, and what is wrong."""

from __future__ import annotations

import inspect
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import lru_cache
from math import ceil, floor
from typing import Any, Final

from blocks.known import BLOCKS, block_named
from blocks.label import tidy
from blocks.parameters import Parameter
from blocks.quantity import shown, suggestion
from blocks.read_design import (
    DEFAULT,
    HEAD,
    casing_of,
    default_from,
    design_from,
    fields_of,
    label_of_casing,
    name_from,
    needed_of,
    range_of,
    record_from,
    tables_of,
    unit_of,
    value_from,
    workroom_from,
)
from drafting.errors import DesignError
from drafting.units import MILLIMETRES, millimetres_per
from output.serve.editing.places import CASING, casing_names
from output.serve.editing.statements import At, literals
from output.system.reading import toml_of

DECIMALS: Final = 4
"""Of a number that is shown, as everywhere."""

OFFERED: Final = 10
"""How many unknown keys of a table are told what may be meant, which takes its time."""

MEANINGS: Final = {
    "block": "the garment that this is a design of",
    "name": "files are named after it",
    "workroom": "printed in the title of every page",
    "unit": "of every length in the design",
    "casing": "printed beside its fold line",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """One value: its place (see `output.serve.editing.edit.changed`), its key, what it may be and what it is.

    A `number` has a `unit` (of lengths the file's own), a `span` from `low` to `high` in it, and a source; others have
    `choices`, or are any text. `value` is as it is written, None where it is left out; then the `default` holds, which
    is empty where there is none. What is `needed` must be given.
    """

    place: str
    key: str
    number: bool = False
    unit: str = ""
    span: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    needed: bool = False
    default: str = ""
    meaning: str = ""
    source: str = ""
    value: str | None = None
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """The values of one table: its place (empty of what stands above the tables), what it is about, and what is wrong
    with it as a whole.
    """

    place: str
    title: str
    about: str
    values: tuple[Listed, ...]
    problem: str = ""


@lru_cache(maxsize=8)
def listed(text: str) -> tuple[Group, ...]:
    """Every value of a design: what stands above its tables, then the tables, those that it has first, in its order.

    Raises:
        OutputError: it is not TOML; with the line.
    """
    text = text.removeprefix("\ufeff")
    data = toml_of(text, "design")
    written = literals(text)
    groups = [_head(data, written)]
    try:
        design = block_named(data.get("block", DEFAULT)).design
    except DesignError:
        return tuple(groups)
    kinds = tables_of(design)
    for key in dict.fromkeys((*data, CASING, *kinds)):
        if key == CASING:
            groups += _casings(data, casing_of(design), written)
        elif key in kinds:
            groups.append(_group(key, key, kinds[key], data.get(key, {}), (key,), _unit(data), written))
    return tuple(_with_the_rest(groups, data))


def _unit(data: Mapping[str, object]) -> str:
    """The unit of a design's lengths; mm until it names one."""
    try:
        return unit_of(data)
    except DesignError:
        return "mm"


def _head(data: Mapping[str, object], written: Mapping[At, str]) -> Group:
    checks: Mapping[str, Any] = {
        "block": lambda data: block_named(data.get("block", DEFAULT)),
        "name": name_from,
        "workroom": workroom_from,
        "unit": unit_of,
    }
    choices = {"block": BLOCKS, "unit": tuple(MILLIMETRES)}
    values = [
        Listed(
            place=key,
            key=key,
            choices=choices.get(key, ()),
            needed=key in ("name", "unit"),
            default=DEFAULT if key == "block" else "",
            meaning=MEANINGS[key],
            value=_written(data, key, (key,), written),
            problem=_problem(checks[key], data),
        )
        for key in HEAD
    ]
    return Group("", "design", "", tuple(values))


def _casings(data: Mapping[str, object], kind: Any, written: Mapping[At, str]) -> Iterator[Group]:
    tables = data.get(CASING, [])
    if not isinstance(tables, list):
        return
    for number, (name, table) in enumerate(zip(casing_names(data), tables, strict=True)):
        named = isinstance(table, Mapping) and tidy(str(table.get("name"))) == tidy(name)
        title = f"casing {tidy(name)!r}" if named else f"casing {number + 1}"
        yield _group(f"{CASING}.{name}", title, kind, table, (CASING, number), _unit(data), written)


def _group(place: str, title: str, kind: Any, table: object, at: At, unit: str, written: Mapping[At, str]) -> Group:
    about = _about(kind)
    given = table if isinstance(table, Mapping) else {}
    fields = fields_of(kind)
    values = [_value(place, title, kind, key, given, (*at, key), unit, written) for key in fields]
    unknown = [key for key in given if key not in fields]
    values += [
        Listed(
            place=f"{place}.{key}",
            key=key,
            value=_written(given, key, (*at, key), written),
            problem=f"{title}: {shown(key)} is unknown; "
            + (suggestion(key, fields) if number < OFFERED else "leave it out"),
        )
        for number, key in enumerate(unknown)
    ]
    problem = "" if any(one.problem for one in values) else _problem(record_from, kind, title, table, unit)
    return Group(place, title, about, tuple(values), problem)


def _about(kind: Any) -> str:
    """The first sentence that is said of a kind of table or word, without its point."""
    return (inspect.getdoc(kind) or "").replace("\n", " ").partition(". ")[0].partition("  ")[0].removesuffix(".")


def _value(
    place: str,
    title: str,
    kind: Any,
    key: str,
    table: Mapping[str, object],
    at: At,
    unit: str,
    written: Mapping[At, str],
) -> Listed:
    about = fields_of(kind)[key]
    default = default_from(kind, title, key, table, unit)
    value = Listed(
        place=f"{place}.{key}",
        key=key,
        needed=key in needed_of(kind),
        value=_written(table, key, at, written),
        problem=_problem(label_of_casing, int(at[1]) + 1, table)
        if at[2:] == ("name",)
        else _problem(value_from, f"{title}.{key}", table[key], about, unit)
        if key in table
        else "",
    )
    if isinstance(about, Parameter):
        per = millimetres_per(unit) if about.unit == "mm" else 1.0
        return replace(
            value,
            number=True,
            unit=unit if about.unit == "mm" else about.unit,
            span=range_of(about, unit),
            low=ceil(round(about.low / per * 10**DECIMALS, 6)) / 10**DECIMALS,
            high=floor(round(about.high / per * 10**DECIMALS, 6)) / 10**DECIMALS,
            default="" if default is None else _bare(float(default) / per),
            meaning=about.meaning,
            source=about.source,
        )
    if issubclass(about, Enum):
        return replace(
            value, choices=tuple(str(one.value) for one in about), default=str(default), meaning=_about(about)
        )
    return replace(value, meaning=MEANINGS["casing"])


def _bare(number: float) -> str:
    """A number without its unit, rounded as everywhere."""
    text = f"{round(number, DECIMALS) + 0.0:.{DECIMALS}f}"
    return text.rstrip("0").rstrip(".")


def _written(table: Mapping[str, object], key: str, at: At, written: Mapping[At, str]) -> str | None:
    """A value as its designer wrote it, of a text what is in its quotes."""
    if key not in table:
        return None
    raw = table[key]
    if isinstance(raw, str):
        return raw
    return written[at] if isinstance(raw, int | float) and at in written else shown(raw)


def _problem(check: Any, *given: object) -> str:
    try:
        check(*given)
    except DesignError as error:
        return str(error)
    return ""


def _with_the_rest(groups: Sequence[Group], data: Mapping[str, object]) -> list[Group]:
    """The groups with what else is wrong with the design: at the value or table that it names first, or above all."""
    told = [group.problem for group in groups] + [one.problem for group in groups for one in group.values]
    problem = _problem(design_from, data)
    if not problem or problem in told:
        return list(groups)
    return _told(groups, problem)


def _told(groups: Sequence[Group], problem: str) -> list[Group]:
    for number, group in enumerate(groups):
        for at, value in enumerate(group.values):
            if problem.startswith((f"{value.place}: ", f"{group.title}.{value.key}: ")) and not value.problem:
                values = (*group.values[:at], replace(value, problem=problem), *group.values[at + 1 :])
                return [*groups[:number], replace(group, values=values), *groups[number + 1 :]]
        if problem.startswith(f"{group.title}: ") and not group.problem:
            return [*groups[:number], replace(group, problem=problem), *groups[number + 1 :]]
    return [replace(groups[0], problem=problem), *groups[1:]]
