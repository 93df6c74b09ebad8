"""The files of a release: listed with what each is for, and handed out one by one or all in a zip.

Only what the manifest lists is opened, no link is followed, and nothing is handed out that is not as it was published.
"""

from __future__ import annotations

import hashlib
import os
import stat
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BufferedReader
from pathlib import Path
from typing import Final

from drafting.errors import OutputError
from output.inspection.folder import Listed, listing
from output.inspection.manifest import MANIFEST
from output.inspection.pdf_objects import LARGEST, PdfError, PdfFile
from output.system.names import on_line
from output.system.reading import LARGEST_JSON, read_bytes, reason_of
from output.words import text as words

CHUNK: Final = 1 << 16
"""Bytes that are handed over at once."""

OLDEST: Final = (1980, 1, 1, 0, 0, 0)
"""The date of every file in a zip, the first that it can have: the same release gives the same zip."""

_PLAIN: Final = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)


@dataclass(frozen=True, slots=True)
class Shown:
    """A file as a page lists it; `note` is what is wrong with it, if so."""

    name: str
    about: str
    size: str
    pages: str
    note: str


def shown_files(folder: Path) -> tuple[str, tuple[Shown, ...]]:
    """The design's name and the files of the release in a folder.

    Raises:
        OutputError: it holds none.
    """
    design, listed = _listing(folder)
    return design, tuple(_shown(folder, file) for file in listed)


def opened(folder: Path, name: str) -> tuple[Listed, BufferedReader]:
    """A file that the release in a folder lists, open at its beginning, as it was published.

    Raises:
        OutputError: the release does not list it, or it is gone or has been changed.
    """
    _, listed = _listing(folder)
    for file in listed:
        if file.name == name:
            return file, _opened(folder, file)
    raise OutputError("file: this release has none of that name; open the page of the release again")


def chunks(file: BufferedReader) -> Iterator[bytes]:
    """What is left of a file, which is then closed."""
    with file:
        while chunk := file.read(CHUNK):
            yield chunk


def check(folder: Path) -> list[Listed]:
    """See that every file of a release is as it was published, and list them.

    Raises:
        OutputError: one is not.
    """
    _, listed = _listing(folder)
    for file in listed:
        _opened(folder, file).close()
    return listed


def zipped(folder: Path, listed: Sequence[Listed]) -> Iterator[bytes]:
    """A zip of a release's files and its manifest, made as it is read.

    Raises:
        OutputError: a file has been changed meanwhile; what has been made of the zip then is no whole one.
    """
    sink = _Sink()
    with zipfile.ZipFile(sink, "w") as made:
        for file in listed:
            with made.open(_entry(file.name), "w") as entry:
                for chunk in chunks(_opened(folder, file)):
                    entry.write(chunk)
                    yield from sink.taken()
        about = read_bytes(folder / MANIFEST, "manifest", LARGEST_JSON)
        made.writestr(_entry(MANIFEST), about)
    yield from sink.taken()


def _entry(name: str) -> zipfile.ZipInfo:
    """How a file stands in a zip."""
    entry = zipfile.ZipInfo(name, OLDEST)
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry


class _Sink:
    """Where a zip is written that nobody keeps."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []

    def write(self, part: bytes) -> int:
        self._parts.append(bytes(part))
        return len(part)

    def flush(self) -> None:
        """Nothing is held back."""

    def close(self) -> None:
        """There is nothing to close."""

    def taken(self) -> Iterator[bytes]:
        """What has been written since it was asked last."""
        parts, self._parts = self._parts, []
        if parts:
            yield b"".join(parts)


def _listing(folder: Path) -> tuple[str, list[Listed]]:
    """What a release holds; what is wrong with its manifest is told without the way to it."""
    if folder.is_symlink():
        raise OutputError(f"{on_line(folder.name)}: it is a link, which leads elsewhere; publish into another folder")
    try:
        return listing(folder)
    except OutputError as error:
        raise OutputError(str(error).replace(f"{folder}", folder.name)) from None


def _opened(folder: Path, listed: Listed) -> BufferedReader:
    name = on_line(listed.name)
    try:
        file: BufferedReader = os.fdopen(os.open(folder / listed.name, os.O_RDONLY | _PLAIN), "rb")
    except FileNotFoundError:
        raise OutputError(f"{name}: it is not there any more; publish the release again") from None
    except OSError as error:
        raise OutputError(f"{name}: it cannot be read: {reason_of(error)}; publish the release again") from None
    try:
        about = os.fstat(file.fileno())
        same = stat.S_ISREG(about.st_mode) and about.st_size == listed.size
        if not same or hashlib.file_digest(file, "sha256").hexdigest() != listed.sha256:
            raise OutputError(f"{name}: it has been changed since it was published; publish the release again")
        file.seek(0)
    except BaseException:
        file.close()
        raise
    return file


def _shown(folder: Path, listed: Listed) -> Shown:
    note = ""
    try:
        about = (folder / listed.name).lstat()
        if not stat.S_ISREG(about.st_mode) or about.st_size != listed.size:
            note = "changed since it was published"
    except OSError:
        note = "not there any more"
    pages = None if note else _pages(str(folder / listed.name), listed.sha256, listed.size)
    return Shown(listed.name, listed.about, size_words(listed.size), words.count(pages, "page") if pages else "", note)


@lru_cache(maxsize=4096)
def _pages(path: str, _sha256: str, size: int) -> int | None:
    """How many pages a PDF has, where it can be told; read once for each content."""
    if not path.lower().endswith(".pdf") or size > LARGEST:
        return None
    try:
        return len(PdfFile(read_bytes(path, "PDF", LARGEST)).pages())
    except (PdfError, OutputError):
        return None


def size_words(size: int) -> str:
    """How large a file is, in units of a thousand (ISO/IEC 80000-13 leaves kB to them).

    >>> size_words(641), size_words(161_300), size_words(2_450_000)
    ('641 bytes', '161 kB', '2.5 MB')
    """
    if size < 1000:
        return words.count(size, "byte")
    return f"{size / 1000:.0f} kB" if size < 999_500 else f"{size / 1_000_000:.1f} MB"
