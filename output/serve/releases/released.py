"""The files of a release: listed with what each is for, and handed out one by one or all in a zip.

Only what the manifest lists is opened, no link is followed, and nothing is handed out that is not as it was published.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from io import BufferedReader
from pathlib import Path
from typing import Final

from drafting.errors import OutputError
from output.inspection.folder import Listed, listing
from output.inspection.manifest import MANIFEST
from output.inspection.pdf_objects import LARGEST, PdfError, PdfFile
from output.serve.archive import zip_of
from output.system.names import on_line
from output.system.reading import LARGEST_JSON, read_bytes, reason_of
from output.words import text as words

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


def opened(folder: Path, name: str) -> BufferedReader:
    """A file that the release in a folder lists, open at its beginning, as it was published.

    Raises:
        OutputError: the release does not list it, or it is gone or has been changed.
    """
    _, listed = _listing(folder)
    for file in listed:
        if file.name == name:
            return _opened(folder, file)
    raise OutputError("file: this release has none of that name; open the page of the release again")


def zipped(folder: Path) -> Iterator[bytes]:
    """A zip of a release, with its manifest, bit by bit.

    Raises:
        OutputError: a file is gone or has been changed.
    """
    yield from zip_of(_whole(folder))


def _whole(folder: Path) -> Iterator[tuple[str, bytes]]:
    """Every file of a release, as it was published, and its manifest."""
    _, listed = _listing(folder)
    about = _manifest(folder)
    for file in listed:
        with _opened(folder, file) as whole:
            yield file.name, whole.read(file.size)
    if about != _manifest(folder):
        raise OutputError(f"{on_line(folder.name)}: it has just been published anew; ask for it once more")
    yield MANIFEST, about


def _manifest(folder: Path) -> bytes:
    return read_bytes(folder / MANIFEST, "manifest", LARGEST_JSON)


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
