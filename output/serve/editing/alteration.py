"""One value of a TOML text set or taken out: everything else, and every comment, stays as it is, byte for byte."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import replace
from typing import Any, Final

import tomlkit
from tomlkit.exceptions import TOMLKitError

from blocks.quantity import finite, read_cell, shown
from drafting.errors import OutputError
from output.serve.editing.saved import MARK
from output.serve.editing.statements import At, Kind, Statement, comments, joined, statements

EXACT: Final = 1e15
"""Whole numbers up to here are written without an exponent."""

_WORD: Final = re.compile(r"[\w.+-]{1,100}")
"""What a number may look like."""


class EditError(OutputError):
    """A change that cannot be made for the designer, who can still make it by hand."""


def number_typed(typed: str) -> str:
    """A number as TOML writes it, from what was typed; empty if that is none.

    >>> number_typed("1,50"), number_typed("1.50"), number_typed("007"), number_typed("1_000"), number_typed("wide")
    ('1.5', '1.50', '7', '1_000', '')
    """
    plain = typed.strip().replace("\u2212", "-")
    if _WORD.fullmatch(plain):
        with suppress(ValueError):
            return plain if finite(tomllib.loads(f"x = {plain}")["x"]) is not None else ""
    number = finite(read_cell(plain))
    if number is None:
        return ""
    return str(int(number)) if number.is_integer() and abs(number) < EXACT else repr(number)


def text_typed(typed: str) -> str:
    """A text as TOML writes it."""
    return str(tomlkit.string(typed).as_string())


def with_value(text: str, at: At, literal: str, *, instead: str = "") -> str:
    r"""A TOML text with a value, given as TOML writes it, at a place; `instead` of one of another key in its table.

    >>> with_value("[leg]\nfullness = 1.5  # full\n\n[waist]\n", ("leg", "taper"), "0.4")
    '[leg]\nfullness = 1.5  # full\ntaper = 0.4\n\n[waist]\n'

    Raises:
        EditError: it cannot be done without harm to what stands beside it.
    """
    parts, goal = statements(text.removeprefix(MARK)), _read(at, literal)
    other = _at(parts, (*at[:-1], instead)) if instead else None
    if (found := _at(parts, at)) is not None:
        old = parts[found]
        parts[found] = old.with_value(literal)
        parts = _left(parts, [] if other is None else [other])
        parts[found + 1 : found + 1] = _remarks(old, old.value)
    elif other is not None:
        parts[other] = _renamed(parts[other], at, literal)
    elif (within := _around(parts, at)) is not None:
        parts[within] = _with_inner(parts[within], at, tomlkit.value(literal), instead)
    else:
        _add(parts, at, literal, "\r\n" if "\r\n" in text else "\n")
    return _proved(text, parts, at, goal, instead)


def without(text: str, at: At) -> str:
    r"""A TOML text without the value or the table at a place; the comments beside it stay. Nothing there is no harm.

    >>> without("[leg]\ntaper = 0.4  # narrow\n", ("leg", "taper"))
    '[leg]\n# narrow\n'

    Raises:
        EditError: it cannot be done without harm to what stands beside it.
    """
    parts = statements(text.removeprefix(MARK))
    inside = [number for number, part in enumerate(parts) if part.at[: len(at)] == at and part.kind is not Kind.REST]
    if inside:
        parts = _left(parts, inside)
    elif (within := _around(parts, at)) is not None:
        parts[within] = _with_inner(parts[within], at, None, "")
    return _proved(text, parts, at, None, "")


def with_table(text: str, at: At, literals: Mapping[str, str]) -> str:
    """A TOML text with one more table in a list of tables, which gets that number in it.

    Raises:
        EditError: it cannot be done without harm to what stands beside it.
    """
    parts, end = statements(text.removeprefix(MARK)), "\r\n" if "\r\n" in text else "\n"
    goal = {key: _read((*at, key), literal) for key, literal in literals.items()}
    lines = [f"[[{_key(str(at[0]))}]]", *(f"{_key(key)} = {literal}" for key, literal in literals.items())]
    header = next((number for number, part in enumerate(parts) if part.kind is Kind.TABLE and part.at == at), None)
    if (within := _around(parts, at)) is not None:
        parts[within] = _with_inner(parts[within], at, goal, "")
    elif header is not None:
        while header and _remark(parts[header - 1]):
            header -= 1  # what is said right above a table is about that
        _insert(parts, header, [*lines, ""], end)
    else:
        others = [n for n, part in enumerate(parts) if part.at[:1] == at[:1] and len(part.at) >= len(at)]
        last = max(others, default=len(parts) - 1) + 1
        while others and last < len(parts) and _remark(parts[last]):
            last += 1
        _insert(parts, last, [*([""] if last else []), *lines], end)
    return _proved(text, parts, at, goal, "", added=True)


def swapped(text: str, name: str, one: int, other: int) -> str:
    """A TOML text in which two tables of a list have changed places, with what is said in them; all else stays.

    Raises:
        EditError: they are not under headers of their own.
    """
    old = text.removeprefix(MARK)
    end = "" if old.endswith("\n") else "\r\n" if "\r\n" in old else "\n"
    parts = statements(old + end)
    first, second = (_table(parts, (name, number)) for number in sorted((one, other)))
    new = joined(
        (
            *parts[: first.start],
            *parts[second.start : second.stop],
            *parts[first.stop : second.start],
            *parts[first.start : first.stop],
            *parts[second.stop :],
        )
    ).removesuffix(end)
    meant = tomllib.loads(old)
    meant[name][one], meant[name][other] = meant[name][other], meant[name][one]
    if tomllib.loads(new) != meant or sorted(comments(new)) != sorted(comments(old)):
        raise _harm((name, one))
    return text[: len(text) - len(old)] + new


def _table(parts: Sequence[Statement], at: At) -> range:
    """The statements of a table, from its header to its last value."""
    header = next((number for number, part in enumerate(parts) if part.kind is Kind.TABLE and part.at == at), None)
    if header is None:
        raise _harm(at)
    return range(header, max(n for n, part in enumerate(parts) if part.at[: len(at)] == at) + 1)


def _remark(part: Statement) -> bool:
    return part.kind is Kind.REST and part.text.lstrip().startswith("#")


def _left(parts: Sequence[Statement], inside: Collection[int]) -> list[Statement]:
    """The statements without some of them, but with their comments; a table goes with the blank line above it."""
    kept: list[Statement] = []
    for number, part in enumerate(parts):
        if number not in inside:
            kept.append(part)
            continue
        remarks = _remarks(part, part.text)
        if part.kind is Kind.TABLE and not remarks and kept and not kept[-1].text.strip():
            kept.pop()
        kept += remarks
    if kept and not parts[-1].text.endswith("\n"):
        kept[-1] = replace(kept[-1], text=kept[-1].text.rstrip("\r\n"))
    return kept


def _at(parts: Sequence[Statement], at: At) -> int | None:
    """The statement that gives the value at a place."""
    return next((n for n, part in enumerate(parts) if part.kind is Kind.VALUE and part.at == at), None)


def _around(parts: Sequence[Statement], at: At) -> int | None:
    """The statement in whose value a place would be."""
    return next((n for n, p in enumerate(parts) if p.kind is Kind.VALUE and p.at == at[: len(p.at)] != at), None)


def _remarks(part: Statement, text: str) -> list[Statement]:
    """The comments in a part of a statement, each on a line of its own."""
    end = "\r\n" if part.text.endswith("\r\n") else "\n"
    return [Statement(f"{part.indent}{remark}{end}") for remark in comments(text)]


def _renamed(part: Statement, at: At, literal: str) -> Statement:
    """A statement that gives another key of the same table a value."""
    keys = part.key
    head = keys[: len(keys) - len(_last(keys))]
    start = len(part.indent) + len(keys)
    text = part.indent + head + _key(str(at[-1])) + part.text[start : part.start] + literal + part.text[part.end :]
    return Statement(text, Kind.VALUE, at)


def _last(keys: str) -> str:
    """The last part of a dotted key."""
    parts: list[str] = re.findall(r"\"(?:[^\"\\]|\\.)*\"|'[^']*'|[^.\s]+", keys)
    return parts[-1]


def _with_inner(part: Statement, at: At, goal: Any, instead: str) -> Statement:
    """A statement with another value inside its own: in an inline table, or a list of them."""
    try:
        document = tomlkit.parse(f"x = {part.value}\n")
        inner: Any = document["x"]
        way = at[len(part.at) :]
        for key in way[:-1]:
            inner = inner[key]
        if goal is None:
            if way[-1] in inner or isinstance(way[-1], int):
                del inner[way[-1]]
        elif isinstance(way[-1], int):
            table = tomlkit.inline_table()
            table.update(goal)
            inner.insert(way[-1], table)
        else:
            inner[way[-1]] = goal
            if instead in inner:
                del inner[instead]
        return part.with_value(tomlkit.dumps(document).partition("=")[2].strip())
    except (TOMLKitError, LookupError, TypeError) as error:
        raise _harm(at) from error


def _add(parts: list[Statement], at: At, literal: str, end: str) -> None:
    """Put a value where its table is, made if there is none."""
    table, key = at[:-1], str(at[-1])
    line = f"{_key(key)} = {literal}"
    headers = [number for number, part in enumerate(parts) if part.kind is Kind.TABLE]
    header = next((number for number in headers if parts[number].at == table), None)
    if header is not None or not table:
        first = 0 if header is None else header + 1
        last = next((number for number in headers if number >= first), len(parts))
        _insert(parts, _spot(parts, first, last, key), [line], end)
        return
    dotted = [number for number, part in enumerate(parts) if part.kind is Kind.VALUE and part.at[:-1] == table]
    if dotted:
        beside = parts[dotted[-1]].key
        _insert(parts, dotted[-1] + 1, [beside[: len(beside) - len(_last(beside))] + line], end)
        return
    if any(isinstance(key, int) for key in table):
        raise _harm(at)
    _insert(parts, len(parts), [*([""] if parts else []), f"[{'.'.join(_key(str(key)) for key in table)}]", line], end)


def _spot(parts: Sequence[Statement], first: int, last: int, key: str) -> int:
    """Where in a table a new key goes: under a comment that shows its default, else under the table's last value."""
    shown = re.compile(rf"\s*#\s*{re.escape(key)}\s*=")
    for number in range(first, last):
        if parts[number].kind is Kind.REST and shown.match(parts[number].text):
            return number + 1
    given = [number for number in range(first, last) if parts[number].kind is Kind.VALUE]
    if given or first:
        return given[-1] + 1 if given else first
    while last and last < len(parts) and _remark(parts[last - 1]):
        last -= 1  # what is said right above a table is about that
    return last


def _insert(parts: list[Statement], where: int, lines: Sequence[str], end: str) -> None:
    """Put lines before a statement, set in as the one before it is."""
    before = parts[where - 1] if where else None
    indent = before.indent if before and before.kind is Kind.VALUE else ""
    added = [Statement((indent + line if line else "") + end) for line in lines]
    if before and not before.text.endswith("\n"):
        parts[where - 1] = replace(before, text=before.text + end)
        added[-1] = Statement(added[-1].text.removesuffix(end))
    parts[where:where] = added


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else tomlkit.string(name).as_string()


def _proved(text: str, parts: Sequence[Statement], at: At, goal: Any, instead: str, *, added: bool = False) -> str:
    """The text that the statements make, if it means what the old one did but for that value, and says all it said.

    Raises:
        EditError: it does not.
    """
    old = text.removeprefix(MARK)
    new = joined(parts)
    meant = _set(tomllib.loads(old), at, goal, instead, added=added)
    try:
        done = _filled(tomllib.loads(new)) == _filled(meant) and comments(new) == comments(old)
    except ValueError:
        done = False
    if not done:
        raise _harm(at)
    return text[: len(text) - len(old)] + new


def _set(data: dict[str, Any], at: At, goal: Any, instead: str, *, added: bool) -> dict[str, Any]:
    """The tables of a text with one value set or taken out."""
    meant = deepcopy(data)
    inner: Any = meant
    key: Any
    for key in at[:-1]:
        if isinstance(inner, dict) and key not in inner and goal is not None:
            inner[key] = [] if isinstance(at[-1], int) and key == at[-2] else {}
        try:
            inner = inner[key]
        except LookupError:
            return meant
    key = at[-1]
    if goal is None:
        if isinstance(inner, list) or key in inner:
            del inner[key]
    elif added:
        inner.insert(key, goal)
    else:
        inner[key] = goal
        inner.pop(instead, None)
    return meant


def _filled(data: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of a text but for empty ones: one whose last value is gone may be gone too."""
    return {key: value for key, value in data.items() if value not in ([], {})}


def _read(at: At, literal: str) -> Any:
    """What a value means that is written as TOML writes it.

    Raises:
        EditError: it is not.
    """
    try:
        return tomllib.loads(f"x = {literal}")["x"]
    except ValueError:
        raise EditError(
            f"{'.'.join(map(str, at))}: {shown(literal)} is not written as a design file wants it"
        ) from None


def _harm(at: At) -> EditError:
    place = ".".join(map(str, at))
    return EditError(f"{place}: it cannot be changed from here as the file is written; change it in its text")
