"""What the served folder holds: designs, size tables and releases, each by a public name that is never a path.

Files are told by what stands in them, links are not followed, and what has changed since is read anew.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Final, Generic, TypeVar, get_type_hints

from blocks.design import Design
from blocks.known import BLOCKS, block_named
from blocks.measurements import RANGES
from blocks.quantity import shown
from blocks.read_design import design_from
from blocks.size_table import ROWS
from drafting.errors import DraftError
from output.inspection.manifest import MANIFEST
from output.system.names import stems
from output.system.reading import LARGEST, TABLES, read_bytes, read_toml

TOML: Final = ".toml"
SHARED: Final = frozenset(("name", "unit", "workroom", "casings", "limits"))
"""Parts of a design whose names other files may have, too, or that a file calls otherwise."""

HEAD: Final = 4096
"""Bytes of a table's first line that are looked at."""

_KEY: Final = re.compile(r"^[ \t]*(?:\[+[ \t]*)?[\"']?([A-Za-z_][\w-]*)", re.MULTILINE)
_COLUMN: Final = re.compile(r"[,;\t\r]")

Signature = tuple[int, ...]
"""What a file's entry says: another one, and the file is another."""

Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Named:
    """A file of the folder: its public name in forms, how it is called on a page, and what is wrong with it, if so.

    A design is called by its own name; one that cannot be read, and a size table, by that of its file.
    """

    slug: str
    name: str
    file: str
    design: Design | None = None
    problem: str = ""


@dataclass(eq=False)
class Folder:
    """What a folder holds. It is looked at whenever it is asked, and read only where it has changed."""

    path: Path
    _designs: _Kept[tuple[Design | None, str] | None] = field(init=False)
    _tables: _Kept[bool] = field(init=False)

    def __post_init__(self) -> None:
        self._designs = _Kept(_design)
        self._tables = _Kept(_is_table)

    def designs(self) -> tuple[Named, ...]:
        """The designs, those that are broken among them, in the order of their files' names."""
        read = self._designs.of(self._files((TOML,)))
        held = {file: made for file, made in read.items() if made is not None}
        slugs = _slugs(held)
        return tuple(
            Named(slugs[file], design.name if design else file, file, design, problem)
            for file, (design, problem) in held.items()
        )

    def tables(self) -> tuple[Named, ...]:
        """The size tables, by the names of their files; whether they are in order is not looked at."""
        files = [file for file, found in self._tables.of(self._files((TOML, *TABLES))).items() if found]
        return tuple(Named(file, file, file) for file in files)

    def named(self, slug: str) -> Named:
        """The design of that public name.

        Raises:
            DraftError: there is none.
        """
        return _of(self.designs(), slug, "design")

    def design(self, slug: str) -> Path:
        """The file of the design of that public name.

        Raises:
            DraftError: there is none.
        """
        return self.path / self.named(slug).file

    def table(self, slug: str) -> Path:
        """The file of the size table of that public name.

        Raises:
            DraftError: there is none.
        """
        return self.path / _of(self.tables(), slug, "sizes").file

    def releases(self) -> tuple[str, ...]:
        """The folders in it that hold a release or a range, as their manifests say."""
        folders = [
            entry.name
            for entry in self._entries()
            if entry.is_dir(follow_symlinks=False) and _is_plain(Path(entry.path) / MANIFEST)
        ]
        return tuple(sorted(folders))

    def _files(self, endings: Collection[str]) -> Iterator[tuple[Path, Signature]]:
        """The plain files whose names end so, each with its signature, in the order of their names."""
        for entry in sorted(self._entries(), key=lambda entry: entry.name):
            if Path(entry.name).suffix.lower() in endings:
                about = entry.stat(follow_symlinks=False)
                if stat.S_ISREG(about.st_mode):
                    yield Path(entry.path), (about.st_mtime_ns, about.st_ctime_ns, about.st_size, about.st_ino)

    def _entries(self) -> list[os.DirEntry[str]]:
        """All that is in the folder, but for what is hidden or has a name that no page can show.

        Raises:
            DraftError: the folder is gone, or may not be read.
        """
        try:
            with os.scandir(self.path) as entries:
                return [entry for entry in entries if not entry.name.startswith(".") and entry.name.isprintable()]
        except OSError as error:
            raise DraftError(f"folder: it cannot be read: {error.strerror}; see that it is there") from None


@dataclass
class _Kept(Generic[Found]):
    """What was found in each file, by its name, as long as its signature stays."""

    look: Callable[[Path], Found]
    known: dict[str, tuple[Signature, Found]] = field(default_factory=dict)

    def of(self, files: Iterator[tuple[Path, Signature]]) -> dict[str, Found]:
        """What is in these files; what is known of others is forgotten."""
        now: dict[str, tuple[Signature, Found]] = {}
        for path, signature in files:
            known = self.known.get(path.name)
            # The signature is older than the content: a file that is written meanwhile is another one the next time.
            now[path.name] = known if known and known[0] == signature else (signature, self.look(path))
        self.known = now
        return {name: found for name, (_, found) in now.items()}


def _of(named: Collection[Named], slug: str, kind: str) -> Named:
    for one in named:
        if one.slug == slug:
            return one
    raise DraftError(f"{kind}: {shown(slug)} is not in the folder, or not any more; choose another")


def _slugs(files: Collection[str]) -> dict[str, str]:
    """A public name for each file, its own name without the ending where that is plain."""
    made = stems(Path(file).stem for file in files)
    taken = [made[Path(file).stem] for file in files]
    return {file: made[Path(file).stem] if taken.count(made[Path(file).stem]) == 1 else file for file in files}


def _design(path: Path) -> tuple[Design | None, str] | None:
    """The design in a file, or what is wrong with it; None if the file holds something else."""
    try:
        data = read_toml(path)
    except DraftError as error:
        return (None, _told(error, path)) if _is_design(_keys(path)) else None
    if not _is_design(data):
        return None
    try:
        return design_from(data), ""
    except DraftError as error:
        return None, _told(error, path)


def _is_design(keys: Collection[str]) -> bool:
    """Whether a file with these keys is meant to be a design, and no measurements, size table or another program's."""
    if ROWS in keys or any(name in keys for name in RANGES):
        return False
    return any(key in keys for key in _own()) or ("name" in keys and "unit" in keys)


@cache
def _own() -> frozenset[str]:
    """The keys that designs alone have."""
    parts = {part for name in BLOCKS for part in get_type_hints(block_named(name).design)}
    return frozenset(parts - SHARED | {"casing"})


def _keys(path: Path) -> Collection[str]:
    """What stands where keys do, in a file that is no TOML; in one that cannot be read at all, those of a design."""
    try:
        text = read_bytes(path, "TOML file", LARGEST).decode("utf-8", "replace")
    except DraftError:
        return ("block",)
    return set(_KEY.findall(text))


def _is_table(path: Path) -> bool:
    """Whether a file is meant to be a size table."""
    try:
        if path.suffix.lower() == TOML:
            return ROWS in read_toml(path)
        head = read_bytes(path, "CSV file", LARGEST)[:HEAD]
    except DraftError:
        return False
    text = head.decode("utf-16" if head[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig", "replace")
    line = next((line for line in text.splitlines() if line.strip() and not line.startswith("sep=")), "")
    names = {"_".join(re.split(r"[\s_-]+", cell.strip(' "').casefold())) for cell in _COLUMN.split(line)}
    return "order" not in names and ("size" in names or any(name in names for name in RANGES))


def _is_plain(path: Path) -> bool:
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False


def _told(error: DraftError, path: Path) -> str:
    """What is wrong with a file, in the words of the command, but without the way to it."""
    return str(error).replace(str(path), path.name)
