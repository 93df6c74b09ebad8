"""Words that are printed, said from a catalogue: what is common to all garments, and a block's own laid over it.

A key's words may have names in braces that are filled in. Keys that end in a number are the items of one list, in that
order.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from unicodedata import bidirectional

LEFTWARD: Final = frozenset(("R", "AL", "AN"))
"""Bidirectional classes of what runs from right to left, or in an order of its own (UAX #9, table 4)."""


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Words by their keys."""

    words: Mapping[str, str]

    def under(self, own: Mapping[str, str]) -> Catalogue:
        """The catalogue with a block's own words laid over it: they replace those of the same key, or add to them.

        >>> Catalogue({"a": "common", "b": "common"}).under({"b": "own"}).say("b")
        'own'
        """
        return Catalogue({**self.words, **own})

    def say(self, key: str, **filled: object) -> str:
        """The words of a key, their braces filled in.

        >>> Catalogue({"sizes": "Sizes {first} to {last}"}).say("sizes", first="H84", last="H152")
        'Sizes H84 to H152'
        """
        told = {name: isolated(value) if isinstance(value, str) else value for name, value in filled.items()}
        return self.words[key].format(**told) if told else self.words[key]

    def listed(self, key: str, **filled: object) -> tuple[str, ...]:
        """The items of a list, in order.

        >>> Catalogue({"print.1": "first", "print.2": "then", "print.why": "because"}).listed("print")
        ('first', 'then')
        """
        items: list[str] = []
        while f"{key}.{len(items) + 1}" in self.words:
            items.append(self.say(f"{key}.{len(items) + 1}", **filled))
        return tuple(items)

    def sizes_of(self, labels: Sequence[str], chosen: Sequence[str]) -> str:
        """The chosen among all sizes, in a sentence.

        >>> words = Catalogue({"sizes.one": "size {sizes}", "sizes.several": "sizes {sizes}"})
        >>> words.sizes_of(["H84", "H88", "H92"], ["H88"]), words.sizes_of(["H84", "H88", "H92"], ["H84", "H88"])
        ('size H88', 'sizes H84 to H88')
        """
        return self.say("sizes.several" if chosen[1:] else "sizes.one", sizes=runs(labels, chosen))


def together(names: Sequence[str]) -> str:
    """Names in a row.

    >>> together(["leg"]), together(["leg", "lower", "upper"])
    ('leg', 'leg, lower and upper')
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def runs(labels: Sequence[str], chosen: Sequence[str]) -> str:
    """The chosen among all labels in their order, neighbours drawn together.

    >>> runs(["H84", "H88", "H92", "H96"], ["H84", "H88", "H96"])
    'H84 to H88, H96'
    """
    return ", ".join(sizes_span(*run) if run[0] != run[1] else isolated(run[0]) for run in neighbours(labels, chosen))


def neighbours(labels: Sequence[str], chosen: Collection[str]) -> list[tuple[str, str]]:
    """The chosen among all labels in their order: the first and the last of each run of neighbours.

    >>> neighbours(["H84", "H88", "H92", "H96"], ["H84", "H88", "H96"])
    [('H84', 'H88'), ('H96', 'H96')]
    """
    found: list[tuple[str, str]] = []
    for before, label in zip(("", *labels), labels, strict=False):
        if label in chosen:
            found.append((found.pop()[0], label) if found and found[-1][1] == before else (label, label))
    return found


def listed(labels: Sequence[str], chosen: Sequence[str]) -> str:
    """The chosen sizes in their order; neighbours as `H84 to H92`, and up to the last of all as `H128 and up`.

    >>> listed(["H84", "H88", "H92", "H96"], ["H84", "H92", "H96"])
    'H84 and H92 and up'
    """
    told = []
    for first, last in neighbours(labels, chosen):
        up = f"{first} and up" if last == labels[-1] else f"{first} to {last}"
        told.append(first if first == last else up)
    return together(told)


def sizes_span(first: str, last: str) -> str:
    """From the first to the last of several sizes.

    >>> sizes_span("H84", "H134"), sizes_span("H84", "H84")
    ('H84 to H134', 'H84')
    """
    return first if first == last else f"{isolated(first)} to {isolated(last)}"


def isolated(name: str) -> str:
    """A name as it stands in a sentence of ours: one that runs from right to left leaves the words round it in order.

    It is put between FSI and PDI (UAX #9, 2.4), which are not seen.
    """
    return f"\u2068{name}\u2069" if leftward(name) else name


def leftward(text: str) -> bool:
    """True when some of a text runs from right to left."""
    return not text.isascii() and any(bidirectional(letter) in LEFTWARD for letter in text)
