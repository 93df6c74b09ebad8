"""Changes to a design file as its designer would make them by hand: its comments and its order stay.

Texts come in and texts go out; `read` and `save` alone touch a file. What the desk needs of it is here by one name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import tomlkit

from blocks.parameters import Parameter
from blocks.quantity import finite, not_a_number, read_cell
from drafting.errors import DesignError, OutputError
from output.serve.alteration import with_value, without
from output.serve.listed import Group, Listed, listed
from output.serve.places import CASING, casing_names, place_of
from output.serve.saved import NEW, ChangedOutsideError, Saved, plain, read, save
from output.serve.statements import At
from output.system.reading import toml_of

__all__ = [
    "NEW",
    "ChangedOutsideError",
    "Difference",
    "Group",
    "Listed",
    "Saved",
    "changed",
    "differences",
    "listed",
    "plain",
    "read",
    "save",
]

OTHERWISE: Final = {"height": "share", "share": "height"}
"""Of a casing: each stands instead of the other."""

EXACT: Final = 1e15
"""Whole numbers up to here are written without an exponent."""

_NUMBER: Final = re.compile(r"[+-]?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?")
"""A number as TOML writes it."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What was at a place and what is there now, as they are written; empty where nothing was, or is."""

    place: str
    before: str
    after: str


def changed(text: str, place: str, value: str | None) -> str:
    r"""A design's text with one value as it was typed, or taken out with None, so that it goes back to its default.

    A place is `name`, `leg.fullness`, or `casing.upper.share`, a casing by its name, or by its number from 1 where it
    has no name of its own; `casing.upper` alone, with None, takes the casing out. A length is in the file's unit. Of a
    casing's height and share one stands instead of the other. A number out of range is written: `listed` tells of it.

    >>> changed('[leg]\ntaper = 0.4  # narrow\n', "leg.taper", "0,5")
    '[leg]\ntaper = 0.5  # narrow\n'

    Raises:
        OutputError: the text is no TOML, or the change would harm what stands beside the value.
        DesignError: no value has that place, or it takes a number and what was typed is none.
    """
    data = toml_of(text.removeprefix("\ufeff"), "design")
    at, kind = place_of(data, place)
    if value is None:
        return without(text, at)
    if kind is None:
        raise DesignError(f"{place}: it is a whole casing; change one value of it")
    literal, old = _literal(place, value, kind), _at(data, at)
    goal = toml_of(f"x = {literal}", place)["x"]
    instead = OTHERWISE.get(str(at[-1]), "") if at[0] == CASING and len(at) == len((CASING, 0, "key")) else ""
    if type(goal) is type(old) and goal == old and not _at(data, (*at[:-1], instead)):
        return text
    return with_value(text, at, literal, instead=instead)


def differences(saved: str, text: str) -> tuple[Difference, ...]:
    """What a design's text says otherwise than another, place by place. What looks otherwise alone, as comments and
    the order do, or cannot be read, is told as one difference of the place `text`.
    """
    if plain(saved) == plain(text):
        return ()
    try:
        old, new = (toml_of(plain(one), "design") for one in (saved, text))
    except OutputError as error:
        return (Difference("text", "", str(error)),)
    before, after = _said(old, _as_now(casing_names(old), casing_names(new))), _said(new, casing_names(new))
    found = tuple(
        Difference(place, before.get(place, ""), after.get(place, ""))
        for place in dict.fromkeys((*before, *after))
        if before.get(place) != after.get(place)
    )
    return found or (Difference("text", "", "comments, order or blanks"),)


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


def _at(data: Any, at: At) -> Any:
    """What is at a place; None where nothing is."""
    for key in at:
        try:
            data = data[key]
        except (LookupError, TypeError):
            return None
    return data


def _literal(place: str, value: str, kind: Parameter | type) -> str:
    """A value as TOML writes it, from what was typed.

    Raises:
        DesignError: it should be a number and is none.
    """
    if not isinstance(kind, Parameter):
        return str(tomlkit.string(value).as_string())
    typed = value.strip().replace("\u2212", "-")
    number = finite(read_cell(typed))
    if number is None:
        raise DesignError(f"{place}: {not_a_number(read_cell(typed))}")
    if _NUMBER.fullmatch(typed):
        return typed
    return str(int(number)) if number.is_integer() and abs(number) < EXACT else repr(number)
