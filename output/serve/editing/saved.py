"""A design file or size table, read and written again as its own program wrote it, by one page at a time."""

from __future__ import annotations

import codecs
import errno
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from difflib import SequenceMatcher
from hashlib import sha256
from pathlib import Path
from typing import Final

from drafting.errors import OutputError
from output.system.files import remedy_of, replacing
from output.system.reading import LARGEST, TABLES, read_bytes, reason_of, text_of

KIND: Final = "design or size table"
MARK: Final = "\ufeff"
"""The byte order mark that some programs put before a text."""

NEW: Final = ""
"""What is expected of a file that is not there yet."""

_ENCODINGS: Final = {codecs.BOM_UTF8: "utf-8", codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}
_ENDS: Final = ("\r", "\n")
_LINE: Final = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+$")


class ChangedOutsideError(OutputError):
    """A file that is no longer what it was when a page read it."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A file as a page shows it, its lines ended by a line feed alone, and the SHA-256 of what it holds."""

    text: str
    sha256: str


def read(path: str | Path) -> Saved:
    """A design file or a size table.

    Raises:
        OutputError: it cannot be read, or is no text.
    """
    with _by_name(path):
        raw = read_bytes(path, KIND, LARGEST)
        return Saved(plain(text_of(raw, path)), sha256(raw).hexdigest())


def plain(text: str) -> str:
    r"""A text as pages have it: without a mark before it, its lines ended by a line feed alone.

    >>> plain("\ufeffsize;unit\r\n")
    'size;unit\n'
    """
    return text.removeprefix(MARK).replace("\r\n", "\n").replace("\r", "\n")


def save(path: str | Path, text: str, expected_sha256: str, *, within: str | Path | None = None) -> Saved:
    """Write a text into the file that it was read from, if that still holds what was expected: all of it or nothing.

    The file keeps its encoding, its line ends, its last line end and its mode. `NEW` is expected of a file that is not
    there. A link leads no further than the folder `within`, which is that of the file unless another is named.

    Raises:
        ChangedOutsideError: it holds something else by now.
        OutputError: it cannot be written, or is outside the folder, or the text is too long or none.
    """
    path = Path(path)
    with _by_name(path):
        goal = _inside(path, Path(path.parent if within is None else within))
        try:
            with replacing(goal) as write:
                old = read_bytes(goal, KIND, LARGEST) if os.path.lexists(goal) else None
                _inside(goal, goal.parent)
                if old is not None and not os.access(goal, os.W_OK):
                    raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
                if expected_sha256 != (NEW if old is None else sha256(old).hexdigest()):
                    raise ChangedOutsideError(
                        f"{path}: it has been {'changed' if old is not None else 'removed'} by another program, or on "
                        "another page, since it was read here; read it again, and make your changes anew"
                    )
                raw = _as_before(plain(text), old, path)
                if raw != old:
                    write(raw)
        except BlockingIOError:
            raise OutputError(
                f"{path}: it is just being written by another run; save again when it has ended"
            ) from None
        except (OSError, ValueError) as error:  # ValueError: a NUL in the name
            raise OutputError(f"{path}: cannot be written: {reason_of(error)}; {remedy_of(error)}") from None
    return Saved(plain(text_of(raw, path)), sha256(raw).hexdigest())


def _inside(path: Path, folder: Path) -> Path:
    """Where a file truly is.

    Raises:
        OutputError: outside the folder.
    """
    goal = Path(os.path.realpath(path))
    if Path(os.path.realpath(folder)) not in goal.parents:
        raise OutputError(f"{path}: it is a link to a file outside its folder; put the file itself there")
    return goal


@contextmanager
def _by_name(path: str | Path) -> Iterator[None]:
    """Let an error call the file by its name alone: a page shows no path."""
    try:
        yield
    except OutputError as error:
        name = Path(path).name
        told = str(error).replace(os.path.realpath(path), name).replace(str(path), name)
        raise type(error)(told) from None


def _as_before(text: str, old: bytes | None, path: Path) -> bytes:
    """A text as the bytes of a file, as those that it held were written.

    Raises:
        OutputError: it is none that a file may hold.
    """
    start = next((mark for mark in _ENCODINGS if old is not None and old.startswith(mark)), b"")
    before = text_of(old, path) if old is not None else ""
    if before.endswith(_ENDS) and not text.endswith("\n"):
        text += "\n"
    text = _with_ends(text, before, table=path.suffix.lower() in TABLES)
    try:
        raw = start + text.encode(_ENCODINGS.get(start, "utf-8"))
    except UnicodeEncodeError:
        raise OutputError(f"{path}: there is half a letter in it; delete it") from None
    if len(raw) > LARGEST:
        raise OutputError(f"{path}: it would be longer than {LARGEST} bytes; keep what is needed")
    text_of(raw, path)
    return raw


def _with_ends(text: str, before: str, *, table: bool) -> str:
    """A text whose lines end as they did before: each that is still there as it did, a new one as that above it."""
    ended = [(line.rstrip("\r\n"), line[len(line.rstrip("\r\n")) :]) for line in _LINE.findall(before)]
    ends = {end for _, end in ended if end} or {"\n"}
    if len(ends) == 1:
        end = ends.pop()
        return text.replace("\n", "\n" if end == "\r" and not table else end)
    old, new = [line for line, _ in ended], text.split("\n")
    written = ["" for _ in new]
    for block in SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks():
        for step in range(block.size):
            written[block.b + step] = ended[block.a + step][1]
    last, parts = ended[0][1] or "\n", []
    for line, end in zip(new, written, strict=True):
        last = end or last
        parts += [line, last]
    return "".join(parts[:-1])
