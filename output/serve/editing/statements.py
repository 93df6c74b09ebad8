"""A TOML text as the statements that it is made of, so that one can be changed and not a byte beside it.

Not parsed and written anew as a whole: that would bring together what a designer has parted, as two casings with the
waist between them. What stands inside one value, as an inline table does, is left to tomlkit.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any, Final

import tomlkit

At = tuple[str | int, ...]
"""Where a value or a table is: the keys to it, and the number, from nought, in a list of tables."""

_MARK: Final = re.compile(
    r"""
    (?P<comment> \#[^\n]* )
    | (?P<string> \"{3} (?: [^"\\] | \\. | "(?!"") )*+ \"{3,5}
      | '{3} (?: [^'] | '(?!'') )*+ '{3,5}
      | " (?: [^"\\\n] | \\[^\n] )*+ "
      | ' [^'\n]*+ ' )
    | (?P<open> [\[{] ) | (?P<close> [\]}] ) | (?P<equals> = ) | (?P<end> \n )
    """,
    re.VERBOSE | re.DOTALL,
)


_BARE: Final = re.compile(r"[ \t]*([A-Za-z0-9_-]+)[ \t]*= 0")
"""A key as most are."""


class Kind(Enum):
    """What a statement does: begins a table, gives a value, or neither, as comments and blank lines do."""

    TABLE = "table"
    VALUE = "value"
    REST = "rest"


@dataclass(frozen=True, slots=True)
class Statement:
    """One statement and the line end behind it. The value stands from `start` to `end` in it."""

    text: str
    kind: Kind = Kind.REST
    at: At = ()
    start: int = 0
    end: int = 0

    @property
    def value(self) -> str:
        """What is given, as it is written."""
        return self.text[self.start : self.end]

    @property
    def indent(self) -> str:
        """The blanks before it."""
        return self.text[: len(self.text) - len(self.text.lstrip(" \t"))]

    @property
    def key(self) -> str:
        """The key, as it is written."""
        return self.text[: self.start].partition("=")[0].strip()

    def with_value(self, value: str) -> Statement:
        """The same statement with another value."""
        text = self.text[: self.start] + value + self.text[self.end :]
        return replace(self, text=text, end=self.start + len(value))


def statements(text: str) -> list[Statement]:
    r"""The statements of a valid TOML text; together they are the text.

    >>> [(one.at, one.value) for one in statements("[leg]\ntaper = 0.5  # narrow\n") if one.kind is Kind.VALUE]
    [(('leg', 'taper'), '0.5')]
    """
    return list(_placed(_parted(text)))


def literals(text: str) -> Mapping[At, str]:
    """Every value of a valid TOML text as it is written, those inside others by themselves."""
    found: dict[At, str] = {}

    def note(at: At, value: Any) -> None:
        if isinstance(value, dict | list):
            for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
                note((*at, key), inner)
        else:
            found[at] = value.as_string()

    for part in statements(text):
        if part.kind is Kind.VALUE:
            found[part.at] = part.value
            if part.value.startswith(("{", "[")):
                note(part.at, tomlkit.parse(f"x = {part.value}")["x"])
    return found


def comments(text: str) -> list[str]:
    """Every comment of a TOML text, in order."""
    return [found[0].rstrip() for found in _MARK.finditer(text) if found.lastgroup == "comment"]


def joined(parts: Sequence[Statement]) -> str:
    """The text that statements make together."""
    return "".join(part.text for part in parts)


def _parted(text: str) -> Iterator[Statement]:
    """The statements, not yet placed: of a value, `at` is what its key alone says."""
    start, depth, equals, comment = 0, 0, -1, -1
    for mark in _MARK.finditer(text):
        kind, at = mark.lastgroup, mark.start()
        if kind == "open":
            depth += 1
        elif kind == "close":
            depth -= 1
        elif kind == "equals" and not depth and equals < 0:
            equals = at
        elif kind == "comment" and not depth:
            comment = at
        elif kind == "end" and not depth:
            yield _statement(text[start : at + 1], equals - start, comment - start)
            start, equals, comment = at + 1, -1, -1
    if text[start:]:
        yield _statement(text[start:], equals - start, comment - start)


def _statement(text: str, equals: int, comment: int) -> Statement:
    bare = text[:comment] if comment >= 0 else text
    if equals < 0:
        return Statement(text, Kind.TABLE if bare.strip() else Kind.REST)
    start = equals + 1 + len(bare[equals + 1 :]) - len(bare[equals + 1 :].lstrip())
    return Statement(text, Kind.VALUE, _keys(bare[:equals] + "= 0"), start, len(bare.rstrip()))


def _placed(parts: Iterator[Statement]) -> Iterator[Statement]:
    """The statements with the whole way to each value and table."""
    home: At = ()
    counts: dict[At, int] = {}
    for part in parts:
        if part.kind is Kind.TABLE:
            keys, listed = _keys(part.text), part.text.lstrip().startswith("[[")
            home = ()
            for key in keys:
                home = (*home, key)
                if listed and len(home) - sum(isinstance(one, int) for one in home) == len(keys):
                    counts[home] = counts.get(home, -1) + 1
                if home in counts:
                    home = (*home, counts[home])
            yield replace(part, at=home)
        else:
            yield replace(part, at=(*home, *part.at)) if part.kind is Kind.VALUE else part


def _keys(text: str) -> tuple[str, ...]:
    """The keys in a header or before a value, their quotes taken off."""
    if bare := _BARE.fullmatch(text):
        return (bare[1],)
    keys: list[str] = []
    inner: Any = tomllib.loads(text)
    while inner and isinstance(inner, dict | list):
        if isinstance(inner, dict):
            keys += list(inner)
            inner = inner[keys[-1]]
        else:
            inner = inner[0]
    return tuple(keys)
