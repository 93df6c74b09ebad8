"""Names that leave the program: what a person calls a thing, as a part of a file's name and as a line on a terminal.

File systems take names for one another that people tell apart: many fold capitals, some fold the forms in which
Unicode writes one letter, and signs such as `/` may not stand in a name at all. So the stems of a set of labels are
made at once, and each is its own on every system.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Final, TypeVar
from unicodedata import category, name, normalize

from drafting.errors import OutputError

Content = TypeVar("Content")

LONGEST: Final = 30
"""Characters of a stem."""

LONGEST_BYTES: Final = 60
"""Bytes of a stem in UTF-8: one for the design, two for sizes and our own words fit the 255 of a file's name."""

RESERVED: Final = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10)))
)
"""Names of devices, which Windows gives to no file whatever its ending (Microsoft, *Naming Files, Paths, and
Namespaces*, from memory)."""

SPELLED: Final[Mapping[str, str]] = {
    "+": "plus", "-": "minus", "/": "slash", "*": "star", "&": "and", "%": "percent", "#": "number", "@": "at",
    "=": "equals", "<": "under", ">": "over", ".": "point", ",": "comma", ":": "colon", ";": "semicolon",
    "!": "exclamation", "?": "question", "(": "bracket", ")": "", "[": "square", "]": "", "{": "curly", "}": "",
    "'": "apostrophe", '"': "quote", "_": "underscore", "|": "bar", "\\": "backslash", "~": "tilde", "^": "caret",
}  # fmt: skip
"""Signs by short words; any other by its name in Unicode."""


def slug(text: str) -> str:
    """A text as part of a file name: letters and digits of any script, the rest as hyphens, of moderate length.

    A text of signs alone is spelled. Different texts can have one slug; `stems` tells them apart.

    >>> slug("Heron shorts / 2"), slug("***")
    ('Heron-shorts-2', 'star-star-star')
    """
    return _cut(_hyphened(normalize("NFC", text)) or _spelled(text) or "unnamed", LONGEST)


def stem(label: str) -> str:
    """The stem of a label that stands alone.

    >>> stem("M+"), stem("con")
    ('M', 'con-2')
    """
    return stems([label])[label]


def design_stem(name: str) -> str:
    """How the files of a design begin.

    >>> design_stem("Heron shorts")
    'heron-shorts'
    """
    return stem(name.lower())


def stems(labels: Iterable[str]) -> dict[str, str]:
    """A stem for each label of a set: its slug where no other label comes near it, else told apart.

    No two stems are alike when capitals and the forms of Unicode are folded, and none is a device's name on Windows.
    Of labels that clash, the one that is its own slug keeps it; the others have their signs spelled; those that still
    clash are numbered. The same set gives the same stems, in whatever order it comes.

    >>> stems(["M", "M+", "36/38", "36-38", "xl", "XL"])
    {'M': 'M', 'M+': 'M-plus', '36/38': '36-slash-38', '36-38': '36-38', 'xl': 'xl-2', 'XL': 'XL'}
    """
    given = list(dict.fromkeys(labels))
    taken = set(RESERVED)
    found: dict[str, str] = {}
    alike: dict[str, list[str]] = {}
    for label in given:
        alike.setdefault(folded(slug(label)), []).append(label)

    def take(label: str, wanted: str) -> None:
        if label not in found and folded(wanted) not in taken:
            found[label] = wanted
            taken.add(folded(wanted))

    for some in alike.values():
        if len(some) == 1:
            take(some[0], slug(some[0]))
    left = sorted(label for label in given if label not in found)
    for label in left:
        if slug(label) == label:
            take(label, label)
    for label in left:
        take(label, _cut(_spelled(label) or slug(label), LONGEST))
    numbers: dict[str, int] = {}
    for label in left:
        base = slug(label)
        while label not in found:
            number = numbers[base] = numbers.get(base, 1) + 1
            ending = f"-{number}"
            take(label, _cut(base, LONGEST - len(ending)) + ending)
    return {label: found[label] for label in given}


def folded(text: str) -> str:
    r"""A name with everything folded that some file system folds: capitals, and Unicode's forms of a letter.

    >>> folded("É") == folded("e\u0301"), folded("ﬁ"), folded("M")
    (True, 'fi', 'm')
    """
    for _ in range(2):  # folding can leave a form that folds again
        text = normalize("NFKC", normalize("NFKC", text).upper().casefold())
    return text


def together(named: Iterable[tuple[str, Content]]) -> dict[str, Content]:
    """What is to be written, by file name.

    Raises:
        OutputError: some file system would write one of them over another.
    """
    files: dict[str, Content] = {}
    seen: dict[str, str] = {}
    for file, content in named:
        other = seen.setdefault(folded(file), file)
        if file in files or other != file:
            raise OutputError(f"{file}: it would be written over {other}; give sizes, pieces and orders other names")
        files[file] = content
    return files


def on_terminal(text: str) -> str:
    r"""A text for people, its lines kept, but nothing in it that could steer a terminal: that is spelled out.

    >>> on_terminal("a\x1b[2J\tb")
    'a\\x1b[2J\\tb'
    """
    return "\n".join(
        line if line.isprintable() else "".join(map(_shown, line.removesuffix("\r"))) + "\r" * line.endswith("\r")
        for line in text.split("\n")
    )


def on_line(path: str) -> str:
    r"""A path within a line of a report.

    >>> on_line("a\nb")
    'a\\nb'
    """
    return path if path.isprintable() else "".join(map(_shown, path))


def _shown(letter: str) -> str:
    """A letter, or how it is spelled if it moves what a terminal shows; the joiners only shape letters."""
    steers = category(letter) in ("Cc", "Cf", "Cs", "Zl", "Zp") and letter not in "\u200c\u200d"
    return letter.encode("unicode_escape").decode() if steers else letter


def _hyphened(text: str) -> str:
    """Words of letters, digits and the marks upon them, with hyphens between."""
    return normalize("NFC", "-".join("".join(_words(text)).split()))


def _words(text: str) -> Iterator[str]:
    inside = False
    for letter in text:
        if letter.isalnum() or (inside and category(letter).startswith("M")):
            inside = True
            yield letter
        elif category(letter) != "Cf":  # what is invisible parts no words
            inside = False
            yield " "


def _spelled(text: str) -> str:
    """The words of a text and its signs as words; a hyphen between letters stays one."""
    text = normalize("NFC", text)
    parts: list[str] = []
    for index, letter in enumerate(text):
        before, after = text[index - 1 : index], text[index + 1 : index + 2]
        if letter.isalnum() or letter.isspace() or category(letter)[0] in "MC" or (
            letter == "-" and before.isalnum() and after.isalnum()
        ):  # fmt: skip
            parts.append(letter)
        else:
            parts.append(f" {SPELLED.get(letter, name(letter, f'sign {ord(letter):x}').lower())} ")
    return _hyphened("".join(parts))


def _cut(stem: str, longest: int) -> str:
    """A stem of so many characters at most, and of so many bytes less in proportion."""
    bytes_left = LONGEST_BYTES - (LONGEST - longest)
    cut = stem[:longest].encode()[:bytes_left].decode(errors="ignore")
    return cut.rstrip("-")
