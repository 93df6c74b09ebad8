"""What the values of a design file are called on a page, and where each stands in its tables."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from typing import Any, Final

from blocks.known import block_named
from blocks.label import known_as
from blocks.parameters import Parameter
from blocks.quantity import shown, suggestion
from blocks.read_design import DEFAULT, HEAD, casing_of, fields_of, tables_of
from drafting.errors import DesignError
from output.serve.editing.statements import At

CASING: Final = "casing"
"""The list of tables that casings are."""


def place_of(data: Mapping[str, object], place: str) -> tuple[At, Parameter | type | None]:
    """Where a value is in the tables of a design, and of what kind: a parameter's number, a word or text; None of a
    casing as a whole.

    Raises:
        DesignError: the design has no such value, and its block knows none.
    """
    table, _, rest = place.partition(".")
    if not rest and (table in HEAD or table in data):
        return (table,), str
    if table == CASING and rest:
        return _in_casing(data, place, rest)
    kinds = tables_of(block_named(data.get("block", DEFAULT)).design)
    if table not in kinds:
        raise DesignError(f"design: {shown(table)} is unknown; {suggestion(table, (*HEAD, *kinds, CASING))}")
    return (table, rest), _kind_of(data.get(table), fields_of(kinds[table]), table, rest)


def casing_names(data: Mapping[str, object]) -> list[str]:
    """What each casing of a design is called in a place: its name, or its number from 1 where that is not its own."""
    named = _named(data)
    known = Counter(map(known_as, named))
    return [
        name if _own(known_as(name), known) else _number(number, known) for number, name in enumerate(named, start=1)
    ]


def _named(data: Mapping[str, object]) -> list[str]:
    """The name of each casing, empty where it has none."""
    names = (table.get("name") if isinstance(table, Mapping) else None for table in _list(data.get(CASING)))
    return [name if isinstance(name, str) else "" for name in names]


def _own(name: str, known: Mapping[str, int]) -> bool:
    """True of a name that is one casing's alone, and not taken for a value of another, as `upper.share` would be."""
    begins = any(name[: dot.start()] in known for dot in re.finditer(r"\.", name)) or re.match(r"#*\d+\.", name)
    return bool(name) and known[name] == 1 and not begins


def _number(number: int, known: Collection[str]) -> str:
    """A number as no casing is called: with signs before it, if need be."""
    return next(name for signs in range(len(known) + 1) if (name := "#" * signs + str(number)) not in known)


def _list(tables: object) -> Sequence[Any]:
    return tables if isinstance(tables, list) else []


def _in_casing(data: Mapping[str, object], place: str, rest: str) -> tuple[At, Parameter | type | None]:
    """Where a casing is, or a value of it: by what it is called in places, or else by its name."""
    called, _, key = rest.rpartition(".")
    for names in (casing_names(data), _named(data)):
        known = list(map(known_as, names))
        if called and known_as(called) in known:
            number = known.index(known_as(called))
            fields = fields_of(casing_of(block_named(data.get("block", DEFAULT)).design))
            return (CASING, number, key), _kind_of(_list(data[CASING])[number], fields, place.rpartition(".")[0], key)
        if known_as(rest) in known:
            return (CASING, known.index(known_as(rest))), None
    raise DesignError(f"{place}: the design has no such casing; {suggestion(called or rest, casing_names(data))}")


def _kind_of(table: object, fields: Mapping[str, Parameter | type], where: str, key: str) -> Parameter | type:
    if key in fields:
        return fields[key]
    if isinstance(table, Mapping) and key in table:  # so that it can be taken out
        return str
    raise DesignError(f"{where}: {shown(key)} is unknown; {suggestion(key, fields)}")
