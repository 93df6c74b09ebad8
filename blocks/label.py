"""Names that people give: of designs, workrooms, casings, sizes and orders. All of them come in by `label_from`.

What looks alike is made alike: letters take their composed form (Unicode NFC), blanks of every kind become single
spaces, and marks without a look of their own go. What a page cannot show, or what would change how the text round it
is shown, is refused by name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final
from unicodedata import category, name, normalize

from blocks.quantity import shown
from drafting.errors import DesignError, DraftError

NAME_LENGTH: Final = 60
"""Characters of a design's or a workroom's name that fit the title of a page."""

CASING_LENGTH: Final = 24
"""Characters of a casing's name that fit beside its fold line."""

LABEL_LENGTH: Final = 20
"""Characters of a size label, or of an order's name, that fit the title of a page."""

_BLANKS: Final = "\t\u115f\u1160\u2800\u3164\uffa0"
"""The tab, and letters and signs that are drawn as nothing: the Hangul fillers and the empty Braille cell."""

_UNSEEN: Final = frozenset(
    "\u00ad\u034f\u061c\u180e\u200b\u200e\u200f\u2060\ufeff"
    + "".join(map(chr, (*range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0))))
)
"""Marks that come along with copied text and have no look here: soft hyphen, blanks without width, byte order mark,
the marks left-to-right and right-to-left, and those that choose between looks of the character before them."""

_JOINERS: Final = "\u200c\u200d"
"""They choose how letters join, where letters join at all: kept between letters of these scripts, else unseen."""

_JOINING: Final = ("\u0600", "\u1cff")
"""The first and the last letter of the scripts that join their letters, from Arabic to those of India and beyond."""

_REFUSED: Final = {
    "Cc": "a control character",
    "Zl": "a line separator",
    "Zp": "a paragraph separator",
    "Cs": "half a character, as of text in another encoding",
    "Co": "a character for private use",
    "Cn": "no character of Unicode",
    "Cf": "an invisible character",
}
"""What may not be in a name, by its category in Unicode."""


def label_from(
    where: str,
    raw: object,
    longest: int,
    *,
    kind: str = "name",
    plain: bool = True,
    error: type[DraftError] = DesignError,
) -> str:
    """A name of 1 to `longest` characters, as it is printed; `plain` ones have a letter or digit.

    >>> label_from("name", " Cafe\u0301\u00a0 shorts", 20)
    'Café shorts'

    Raises:
        DraftError: of the class `error`: missing, not text, empty, too long, or with a character that has no place in
            a name, which is told.
    """
    if raw is None:
        raise error(f"{where}: missing; give it as text in quotes, up to {longest} characters")
    told = f"{where}: {shown(raw)} is not a {kind}"
    remedy = f"give 1 to {longest} characters" + (", a letter or digit among them" if plain else "")
    if not isinstance(raw, str):
        raise error(f"{told}: it is not text; write 1 to {longest} characters in quotes")
    for character in raw.strip():
        if character in _UNSEEN or character in _JOINERS or character in _BLANKS:
            continue
        if (reason := _REFUSED.get(category(character))) is not None:
            called = f" ({name(character).lower()})" if name(character, "") else ""
            raise error(f"{told}: U+{ord(character):04X}{called} in it is {reason}; leave it out")
    text = tidy(raw)
    if not text:
        raise error(f"{told}: it is empty; {remedy}")
    if category(text[0]).startswith("M"):
        raise error(f"{told}: U+{ord(text[0]):04X} at its start is a mark without a letter below it; leave it out")
    if len(text) > longest:
        raise error(f"{told}: it has {len(text)} characters; {remedy}")
    if plain and not any(map(str.isalnum, text)):
        raise error(f"{told}: it has no letter or digit; {remedy}")
    return text


def tidy(text: str) -> str:
    """A text with everything made alike that looks alike, so that names can be compared.

    >>> tidy("S\u00a0 tall\u200b") == "S tall"
    True
    """
    text = normalize("NFC", text)
    kept = [
        " " if character in _BLANKS or character.isspace() else character
        for index, character in enumerate(text)
        if character not in _UNSEEN and (character not in _JOINERS or _joins(text, index))
    ]
    return normalize("NFC", " ".join("".join(kept).split()))  # a mark may now stand beside its letter


def known_as(label: str) -> str:
    """What two labels have in common that people take for one another: all but capitals.

    >>> known_as("XL") == known_as(" xl")
    True
    """
    return normalize("NFC", tidy(label).casefold())


def same(labels: Iterable[str], printed: Callable[[str], str] = str) -> tuple[str, str] | None:
    """The first two labels that people take for one another as they are `printed`, or None."""
    seen: dict[str, str] = {}
    for label in labels:
        key = known_as(printed(label))
        if key in seen:
            return seen[key], label
        seen[key] = label
    return None


def spelled_otherwise(one: str, other: str) -> str:
    """What to add to a complaint about two labels that people take for one another, if they are not quite the same.

    >>> spelled_otherwise("XL", "xl"), spelled_otherwise("XL", "XL")
    (', "XL" and "xl"', '')
    """
    return "" if one == other else f", {shown(one)} and {shown(other)}"


def _joins(text: str, index: int) -> bool:
    low, high = _JOINING
    return all(
        len(beside) and low <= beside <= high for beside in (text[index - 1 : index], text[index + 1 : index + 2])
    )
