"""The letters that are printed: which the embedded fonts have, how wide they are, and in which form and order they run.

A text is kept as it is read. Where it holds letters that run from right to left, it is drawn in the order of Unicode's
bidirectional algorithm (UAX #9), Arabic letters in the forms in which they join. Texts of ours put their parts between
middle dots; each part has a direction of its own, that of its first letter, so that a name in one script leaves its
neighbours where they stand. Marks that are no part of a letter cannot be placed by the fonts' widths alone and are
refused, as is a letter that joins in a form that the fonts lack: better no print than a wrong one.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, Final
from unicodedata import bidirectional, category, mirrored, name, normalize

from blocks.words import LEFTWARD, leftward
from drafting.errors import OutputError
from output.words.font import BOLD, NAMES, REGULAR, metrics
from output.words.text import SEPARATOR, parts

if TYPE_CHECKING:
    from blocks.design import Design

UNSEEN: Final = frozenset("\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Joiners and directions: they act on other letters and are not drawn."""

_FORMS: Final = "\ufb1d"
"""The first of the letters that are forms by themselves."""

_MARK: Final = "\u0301"
"""A mark that goes wherever the sign before it goes (UAX #9, W1 and N0), and so tells which way it runs."""


class _Advances(dict[str, float]):
    """Advance widths by character, in thousandths of the size, as they are first met.

    Only of what all fonts have and what stands in the order in which it is read, by itself.
    """

    def __init__(self, name: str) -> None:
        self._own = metrics(name).widths

    def __missing__(self, character: str) -> float:
        if not _plain(character):
            raise KeyError(character)
        self[character] = width = self._own[ord(character)]
        return width


def _plain(character: str) -> bool:
    """True of what is drawn as it stands, by itself."""
    return category(character)[0] not in "MC" and bidirectional(character) not in LEFTWARD and _printable(character)


def _printable(character: str) -> bool:
    return ord(character) >= 32 and all(ord(character) in metrics(name).widths for name in NAMES)


@lru_cache(maxsize=2)
def _advances(name: str) -> _Advances:
    return _Advances(name)


def check_text(text: str) -> None:
    """See that every letter of a text can be printed.

    Raises:
        OutputError: the fonts lack one, or it cannot be set rightly.
    """
    _thousandths(text, False)


def check_names(design: Design, sizes: Iterable[str] = ()) -> None:
    """See that all names of a design and labels of sizes can be printed, before any work is done for them.

    Raises:
        OutputError: one of them cannot; the message names its field, the letter and its number in Unicode.
    """
    casings = ((f"casing {number}: name", one.name) for number, one in enumerate(design.casings, 1))
    labels = (("size", label) for label in sizes)
    for field, said in (("name", design.name), ("workroom", design.workroom), *casings, *labels):
        try:
            check_text(said)
        except OutputError as error:
            raise OutputError(f"{field}: {str(error).removeprefix('text ')}") from None


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """How far a line of text runs, in mm.

    Raises:
        OutputError: one of its letters cannot be printed.
    """
    return _thousandths(text, bold) * size / 1000


@lru_cache(maxsize=4096)
def _thousandths(text: str, bold: bool) -> float:
    advances = _advances(BOLD if bold else REGULAR)
    try:
        return sum(map(advances.__getitem__, text))
    except KeyError:
        widths = metrics(BOLD if bold else REGULAR).widths
        return sum(widths[ord(form)] for form in drawn(text))


def unmarked(text: str) -> str:
    """A text as it is read, without the signs that are not drawn, for readers that would draw them.

    >>> unmarked("Size \u2068אדום\u2069")
    'Size אדום'
    """
    return "".join(letter for letter in text if letter not in UNSEEN)


@lru_cache(maxsize=4096)
def drawn(text: str) -> str:
    """The forms of a line's letters, from left to right. Of a text that is read so it is the text itself.

    >>> drawn("Heron · size 36/38")
    'Heron · size 36/38'

    Raises:
        OutputError: one of its letters cannot be printed.
    """
    try:
        sum(map(_advances(REGULAR).__getitem__, text))
    except KeyError:
        pass
    else:
        return text
    text, ordered = normalize("NFC", text), False
    for character in text:
        if _plain(character) or character in UNSEEN:
            continue
        if not _printable(character) or category(character)[0] in "MC":
            raise _refused(text, character)
        ordered = True
        if not _known(character):
            raise _refused(text, character, "joins its neighbours in forms that the fonts lack")
    said = SEPARATOR.join(map(_ordered, parts(text))) if ordered else text
    forms = unmarked(said)
    for form in forms:
        if not _printable(form):
            raise _refused(text, normalize("NFKC", form)[0], "joins its neighbours in a form that the fonts lack")
    return forms


def _refused(text: str, character: str, why: str = "is not in the fonts that are embedded") -> OutputError:
    named = f"U+{ord(character):04X} {name(character, '').lower()}".strip()
    if category(character)[0] == "M":
        sign, why = f"the mark {named}", "is no part of the letter before it and cannot be placed on it"
    else:
        sign = f"the character {character!r} ({named})"
    return OutputError(f"text {text!r}: {sign} {why}; leave it out or spell it differently")


def _ordered(part: str) -> str:
    """A part of a text as it runs from left to right; its own direction is that of its first letter."""
    if not leftward(part):
        return part
    from bidi import get_display  # noqa: PLC0415 - few texts need it
    from bidi.mirror import MIRRORED  # noqa: PLC0415

    # Brackets that run to the left are to be mirrored, which the library leaves to us without saying which those are.
    told = "".join(f"{form}{_MARK}" if mirrored(form) else form for form in _joined(part))
    forms, found = iter(get_display(told)), []
    for form in forms:
        if form == _MARK:  # before its sign: they run to the left
            sign = next(forms)
            found.append(MIRRORED.get(sign, sign))
        else:
            found.append(form)
            if mirrored(form):
                next(forms)
    return "".join(found)


def _joined(part: str) -> str:
    """Arabic letters in the forms in which they join their neighbours, in the order in which they are read."""
    if not any(bidirectional(character) == "AL" for character in part):
        return part
    from arabic_reshaper import ArabicReshaper  # noqa: PLC0415 - few texts need it

    return str(ArabicReshaper({"delete_harakat": False, "ARABIC LIGATURE ALLAH": False}).reshape(part))


@lru_cache(maxsize=1)
def _joining() -> frozenset[str]:
    """The Arabic letters whose joined forms are known."""
    from arabic_reshaper.letters import LETTERS_ARABIC  # noqa: PLC0415 - few texts need it

    return frozenset(LETTERS_ARABIC)


def _known(character: str) -> bool:
    """True of a letter that runs to the left when its forms are known: Hebrew has but one, Arabic up to four."""
    return (
        not category(character).startswith("L")
        or name(character, "").startswith("HEBREW")
        or (character >= _FORMS or character in _joining())
    )
