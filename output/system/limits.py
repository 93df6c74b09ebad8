"""What a text may hold before it is given to a parser: nesting, names and digits are counted first, cheaply.

A parser pays for depth in stack and memory, not for length alone: a key of sixty thousand parts, all legal TOML, costs
gigabytes. The counts are far above any design, table or lay, and quotes and comments are passed over.
"""

from __future__ import annotations

import re
from typing import Final

from drafting.errors import OutputError

DEEPEST: Final = 32
"""Levels that tables and lists may stand in one another, and parts of a dotted key."""

NAMES: Final = 50_000
"""Keys, parts of keys and lists of one TOML file."""

DIGITS: Final = 100
"""Digits of one number."""

_TOML: Final = re.compile(
    r"""
    (?P<passed> \#[^\n]*+
      | \"{3} (?: [^"\\] | \\. | "(?!"") )*+ \"{3,5}
      | '{3} (?: [^'] | '(?!'') )*+ '{3,5}
      | " (?: [^"\\\n] | \\[^\n] )*+ "
      | ' [^'\n]*+ ' )
    | (?P<open> [\[{] ) | (?P<close> [\]}] ) | (?P<equals> = ) | (?P<end> [,\n] )
    | (?P<bare> [\w.+:-]++ ) | (?P<broken> ["'] )
    """,
    re.VERBOSE | re.DOTALL,
)

_JSON: Final = re.compile(
    r'(?P<passed>"(?:[^"\\]|\\.)*+")|(?P<open>[\[{])|(?P<close>[\]}])|(?P<bare>[\d.eE+-]++)|(?P<broken>")', re.DOTALL
)


def check_toml(text: str, where: object) -> None:
    """Hold a TOML text to the limits; what is not TOML at all is left for the parser to refuse.

    Raises:
        OutputError: too deep, too many names, or a number of too many digits; with the line.
    """
    depth = names = points = 0
    for found in _TOML.finditer(text):
        kind, start = found.lastgroup, found.start()
        if kind == "broken":  # the parser stops here as well
            return
        if kind == "bare":
            points += found[0].count(".")
            names += found[0].count(".")
            _check_digits(found[0], text, start, where)
        elif kind == "open":
            depth, names, points = depth + 1, names + 1, 0
        elif kind == "equals":
            names, points = names + 1, 0
        elif kind == "close":
            depth, points = max(0, depth - 1), 0
        elif kind == "end":
            points = 0
        if depth > DEEPEST:
            raise _refused(text, start, where, f"its tables are nested too deeply, more than {DEEPEST} levels")
        if points >= DEEPEST:
            raise _refused(text, start, where, f"a key has more than {DEEPEST} parts")
        if names > NAMES:
            raise _refused(text, start, where, f"more than {NAMES} keys and values")


def check_json(text: str, where: object) -> None:
    """Hold a JSON text to the limits; what is not JSON at all is left for the parser to refuse.

    Raises:
        OutputError: too deep, or a number of too many digits; with the line.
    """
    depth = 0
    for found in _JSON.finditer(text):
        kind, start = found.lastgroup, found.start()
        if kind == "broken":
            return
        if kind == "bare":
            _check_digits(found[0], text, start, where)
        elif kind == "open":
            depth += 1
        elif kind == "close":
            depth -= 1
        if depth > DEEPEST:
            raise _refused(text, start, where, f"its lists are nested too deeply, more than {DEEPEST} levels")


def _check_digits(word: str, text: str, start: int, where: object) -> None:
    if len(word) > DIGITS and sum(map(str.isdigit, word)) > DIGITS:
        raise _refused(text, start, where, f"a number of more than {DIGITS} digits")


def _refused(text: str, start: int, where: object, problem: str) -> OutputError:
    line = text.count("\n", 0, start) + 1
    return OutputError(f"{where}: line {line}: {problem}; write a plain file, as the samples are")
