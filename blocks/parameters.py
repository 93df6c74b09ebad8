"""Numbers of the trade as named parameters: each has a default, a unit, an allowed range and a source."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, ClassVar, Final, Union, get_args, get_origin, get_type_hints

from blocks.quantity import finite, not_a_number, shown, single
from drafting.errors import DesignError, DraftError

PRACTICE: Final = "common practice, no source"
MEMORY: Final = "drafting handbooks, from memory"
CHOICE: Final = "the designer's choice"
"""Sources that many parameters share."""

_CALLED: Final[dict[type, str]] = {
    str: "a text",
    bool: "true or false",
    int: "a whole number",
    float: "a number",
}
"""What a user calls the kinds of fields."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """What is known of one number: its unit ("mm", "deg" or "" for a ratio), the range it may take, its source."""

    unit: str
    low: float
    high: float
    meaning: str
    source: str


def parameter(default: float | None, unit: str, low: float, high: float, meaning: str, source: str) -> Any:
    """A dataclass field that carries its own documentation; without a default it must be given."""
    metadata = {"parameter": Parameter(unit, low, high, meaning, source)}
    return (
        dataclasses.field(metadata=metadata)
        if default is None
        else dataclasses.field(default=default, metadata=metadata)
    )


def optional(unit: str, low: float, high: float, meaning: str, source: str) -> Any:
    """A parameter that may be left out, and is then None."""
    return dataclasses.field(default=None, metadata={"parameter": Parameter(unit, low, high, meaning, source)})


class _Unsaid(float):
    """The default of a derived parameter: told from the same number given, which stays as it is."""


def unsaid(value: object) -> bool:
    """True, while a record is being made, for a derived parameter that was left out."""
    return isinstance(value, _Unsaid)


def derived(
    worked_out: Callable[[Any], float], default: float, unit: str, low: float, high: float, meaning: str, source: str
) -> Any:
    """A parameter that, left out, is worked out from those before it in its record; from their defaults, `default`."""
    metadata = {"parameter": Parameter(unit, low, high, meaning, source), "worked out": worked_out}
    return dataclasses.field(default=_Unsaid(default), metadata=metadata)


def parameters_of(record: Any) -> dict[str, Parameter]:
    """The parameters of a dataclass by field name."""
    return {
        field.name: field.metadata["parameter"] for field in dataclasses.fields(record) if "parameter" in field.metadata
    }


def check_parameters(record: Any, where: str, *, error: type[DraftError] = DesignError) -> None:
    """Hold every field of a dataclass instance to its kind, and every parameter to its range.

    Whatever counts as a number becomes a plain one, a word becomes the member of its enumeration, and a list becomes a
    tuple, so that what was checked is what is used. Errors call a field `where.name`.

    Raises:
        DesignError: or another `error`: a field is not of its kind, or a parameter is not within its range.
    """
    parameters = parameters_of(record)
    for field in dataclasses.fields(record):
        name, hint = field.name, _hints(record.__class__)[field.name]
        place, raw = f"{where}.{name}" if where else name, getattr(record, name)
        if unsaid(raw):
            raw = field.metadata["worked out"](record)
        if (about := parameters.get(name)) and (raw is not None or field.default is not None):
            _check_range(place, raw, about, error)
        object.__setattr__(record, name, of_kind(place, raw, hint, error))


class Parameters:
    """A record of parameters, each held to its kind and its range when the record is made.

    A subclass is a frozen dataclass; in a message its fields are called `called.name`.

    Raises:
        DesignError: a parameter is not of its kind, or outside its range.
    """

    __slots__ = ()

    called: ClassVar[str]

    def __post_init__(self) -> None:
        check_parameters(self, self.called)


def of_kind(place: str, raw: object, hint: Any, error: type[DraftError] = DesignError) -> Any:
    """A value as an annotation wants it: a number, text, truth value, word of an enumeration, record, or tuple of one.

    >>> of_kind("sizes", ["H84", "H88"], tuple[str, ...])
    ('H84', 'H88')

    Raises:
        DesignError: or another `error`: it is of another kind.
    """
    value, kinds = single(raw), get_args(hint)
    if get_origin(hint) in (Union, UnionType):
        return _of_a_kind(place, raw, kinds, error)
    if get_origin(hint) is Mapping:
        if not isinstance(raw, Mapping):
            raise error(f"{place}: {shown(raw)} is not a table; give each value under its name")
        return {of_kind(place, key, kinds[0], error): of_kind(str(key), raw[key], kinds[1], error) for key in raw}
    if get_origin(hint) is tuple:
        if not isinstance(raw, list | tuple):
            raise error(f"{place}: {shown(raw)} is not a list; give a list or a tuple")
        return tuple(of_kind(f"{place} {at}", item, kinds[0], error) for at, item in enumerate(raw, start=1))
    if isinstance(hint, type) and issubclass(hint, Enum):
        with suppress(ValueError):
            return hint(value)
        words = ", ".join(str(member.value) for member in hint)
        raise error(f"{place}: {shown(raw)} is unknown; choose one of {words}")
    if hint in (int, float):
        number = finite(raw)
        if number is None or (hint is int and number != int(number)):
            raise error(f"{place}: {shown(raw)} is not {_called(hint)}; give one")
        return hint(number)
    if isinstance(hint, type) and not isinstance(value, hint):
        raise error(f"{place}: {shown(raw)} is not {_called(hint)}; give one")
    return str(value) if hint is str else value


def _of_a_kind(place: str, raw: object, kinds: Sequence[Any], error: type[DraftError]) -> Any:
    """A value as one of several annotations wants it, the first that does."""
    if raw is None and NoneType in kinds:
        return None
    wanted = [kind for kind in kinds if kind is not NoneType]
    if len(wanted) == 1:
        return of_kind(place, raw, wanted[0], error)
    for kind in wanted:
        with suppress(error):
            return of_kind(place, raw, kind, error)
    raise error(f"{place}: {shown(raw)} is not {' or '.join(map(_called, wanted))}; give one")


def _called(kind: Any) -> str:
    """What a user calls a kind of field.

    >>> _called(str), _called(tuple[str, ...]), _called(Parameter)
    ('a text', 'a list', 'a Parameter')
    """
    return "a list" if get_origin(kind) is tuple else _CALLED.get(kind, f"a {kind.__name__}")


@cache
def _hints(kind: type) -> dict[str, Any]:
    known = get_type_hints(kind)
    return {field.name: known[field.name] for field in dataclasses.fields(kind)}


def _check_range(place: str, raw: object, about: Parameter, error: type[DraftError]) -> None:
    unit = f" {about.unit}" if about.unit else ""
    value = finite(raw)
    if value is None:
        raise error(f"{place}: {not_a_number(raw)}; it may be {about.low:g} to {about.high:g}{unit} ({about.meaning})")
    if not about.low <= value <= about.high:
        raise error(
            f"{place}: {value:g}{unit} is outside {about.low:g} to {about.high:g}{unit} ({about.meaning}); "
            "choose a value in that range"
        )
