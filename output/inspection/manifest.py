"""The manifest of a release or a range: which files of a folder are ours, each with its SHA-256.

It is what lets a folder be published into again: what the earlier manifest lists and the new one does not goes, unless
somebody has changed it since; what no manifest lists is not ours and stays.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from blocks.left_out import casings_left_out
from blocks.words import sizes_span
from drafting.errors import DraftError, OutputError
from output.system.files import HeldFolder, writing
from output.system.journal import is_plain
from output.system.names import folded, on_line, together
from output.system.reading import read_json
from output.system.stage import ENDING, LONGEST, is_stage
from output.system.version import version
from output.words import text as words

if TYPE_CHECKING:
    from blocks.size_range import SizeRange
    from output.paper.sizes import Paper

SCHEMA: Final = 1
MANIFEST: Final = "manifest.json"

MOST_TOLD: Final = 6
"""Names that a report for a reader lists before it counts the rest."""

TABLES: Final[Mapping[str, str]] = {
    "tables.csv": "body sizes, finished measures and elastics, for a spreadsheet",
    "tables.json": "the same for programs",
    "grade.csv": "how each point moves from size to size",
    "cloth-requirement.csv": "cloth to buy for every size",
    "notions.csv": "elastic, trim and thread to buy for every size",
}
"""What the files are for that are named alike in every folder."""


class Kind(StrEnum):
    """What a folder holds: all that a customer and a print shop need, or the patterns and tables of a range alone."""

    RELEASE = "release"
    RANGE = "range"


@dataclass(frozen=True, slots=True)
class OutputFile:
    """One file of a release or a range: its name, what it is for, and its bytes."""

    name: str
    about: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an earlier manifest says: the kind, the design's name, and the SHA-256 of each file by its name."""

    kind: Kind
    design: str
    files: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Renewal:
    """What becomes of the other files of a folder that is written into again.

    `removed` are those of the earlier manifest that the new one has not; `kept` all others that stay, a folder with a
    slash at its end; `changed` those of them that the earlier manifest lists with other content.
    """

    removed: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()

    def lines(self) -> list[str]:
        """For a reader, who is told some of many."""
        foreign = [name for name in self.kept if name not in self.changed]
        told = (
            ("Removed, as nothing of this name is made any more", self.removed),
            ("Left, as somebody has changed it since it was made", self.changed),
            ("Left, as it is not ours", foreign),
        )
        return [f"{what}: {_some(names)}" for what, names in told if names]

    def entries(self) -> dict[str, tuple[str, ...]]:
        """For programs."""
        return {"removed": self.removed, "kept": self.kept, "changed": self.changed}


NOTHING_ELSE: Final = Renewal()


def _some(names: Sequence[str]) -> str:
    left = len(names) - MOST_TOLD
    more = f" and {words.count(left, 'more file')}" if left > 0 else ""
    return ", ".join(map(on_line, names[:MOST_TOLD])) + more


def manifest(made: SizeRange, parts: Iterable[OutputFile], kind: Kind) -> bytes:
    """What a folder holds, as JSON: the SHA-256 of each file tells whether it arrived as it was made."""
    document = {
        "schema": SCHEMA,
        "kind": kind,
        "design": made.design.name,
        "workroom": made.design.workroom,
        "version": version(),
        "sizes": [size.label for size in made.table.sizes],
        "rises": list(made.named_rises),
        "casings_left_out": casings_left_out(made.garments),
        "files": [
            {
                "name": part.name,
                "about": part.about,
                "bytes": len(part.data),
                "sha256": hashlib.sha256(part.data).hexdigest(),
            }
            for part in sorted(parts, key=lambda part: part.name)
        ],
    }
    return (json.dumps(document, indent=2) + "\n").encode()


def about_of(paper: Paper | None, sizes: Sequence[str]) -> str:
    """What a file of the range is for: that of its paper, or of the pieces where it has none."""
    span = sizes_span(sizes[0], sizes[-1])
    if paper is None:
        return f"{span}: the pieces as plain geometry"
    if paper.screen:
        return f"{span}: for a projector"
    return f"{span}: {'for a print shop' if paper.wide else 'to print at home'}"


def read_manifest(folder: Path) -> Manifest | None:
    """What the manifest of a folder says; None if there is none.

    Raises:
        OutputError: it cannot be read or is none of ours: it may say nothing about any file but those in the folder.
    """
    path = folder / MANIFEST
    if not path.exists() and not path.is_symlink():
        return None
    try:
        if path.is_symlink() or not path.is_file():
            raise ValueError("it is no plain file")
        document: Any = read_json(path, "manifest")
        if document["schema"] != SCHEMA:
            raise ValueError(f"its schema is not {SCHEMA}")
        kind, design = Kind(document.get("kind", Kind.RELEASE)), document["design"]
        files = {file["name"]: file["sha256"] for file in document["files"]}
        sound = isinstance(design, str) and isinstance(document["files"], list)
        if not sound or not all(map(_is_entry, files.items())):
            raise ValueError("it names what is no file of its folder")
    except (DraftError, ValueError, LookupError, TypeError, AttributeError) as error:
        why = str(error).removeprefix(f"{path}: ").partition(";")[0]
        raise OutputError(
            f"{path}: it is no manifest of ours: {why}; move it elsewhere, or choose another folder"
        ) from None
    return Manifest(kind, design, files)


def _is_entry(entry: tuple[object, object]) -> bool:
    name, digest = entry
    return (
        isinstance(name, str)
        and is_plain(name)
        and len(name) <= LONGEST
        and name != MANIFEST
        and isinstance(digest, str)
        and bool(re.fullmatch("[0-9a-f]{64}", digest))
    )


def earlier(folder: Path, design: str, kind: Kind, *, named: str) -> Manifest | None:
    """The manifest of a folder that is to be written into again, `named` as the user did.

    Raises:
        OutputError: it is none of ours, or of another design, or a range would take a release's place.
    """
    found = read_manifest(folder)
    if found and found.design != design:
        raise OutputError(
            f"{named}: it holds the {found.kind} of {found.design!r}, not of {design!r}; choose another folder"
        )
    if found and found.kind is Kind.RELEASE and kind is Kind.RANGE:
        raise OutputError(
            f"{named}: it holds a release of {design!r}, and a range has neither its guide nor its lays; "
            "choose another folder, or publish again"
        )
    return found


def renewal(folder: Path, found: Manifest | None, new: Collection[str]) -> Renewal:
    """What becomes of the files of a folder when the files `new` are put there; nothing is done yet."""
    if not folder.is_dir():
        return NOTHING_ELSE
    ours = {folded(name) for name in new}
    listed = found.files if found else {}
    removed, kept, changed = [], [], []
    for path in sorted(folder.iterdir()):
        if folded(path.name) in ours or (path.name.endswith(ENDING) and is_stage(path)):
            continue
        if path.name in listed and _digest(path) == listed[path.name]:
            removed.append(path.name)
            continue
        if path.name in listed:
            changed.append(path.name)
        kept.append(f"{path.name}/" if path.is_dir() and not path.is_symlink() else path.name)
    return Renewal(tuple(removed), tuple(kept), tuple(changed))


def renew(
    folder: HeldFolder, found: Manifest | None, made: SizeRange, parts: Sequence[OutputFile], kind: Kind
) -> Renewal:
    """Put the files of a release or a range into its folder, with their manifest, in the place of the earlier ones.

    Raises:
        OutputError: two files would have one name, or the folder cannot be written; then it is as it was.
    """
    named = [(part.name, part.data) for part in parts]
    files = together([*named, (MANIFEST, manifest(made, parts, kind))])
    renewed = renewal(folder.goal, found, files)
    folder.put(files, without=renewed.removed)
    return renewed


def _digest(path: Path) -> str:
    """The SHA-256 of a plain file; empty for anything else and for what cannot be read."""
    if path.is_symlink() or not path.is_file():
        return ""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def write_unlisted(folder: str, files: Mapping[str, bytes]) -> None:
    """Write files that are no part of a release or a range: all or none, and none over a file of either.

    Raises:
        OutputError: see `output.system.files.write_all` and `check_unlisted`.
    """
    with writing(folder) as place:
        check_unlisted(place.goal, files, named=folder)
        place.put(files)


def check_unlisted(folder: Path, names: Iterable[str], *, named: str) -> None:
    """See that files written by themselves replace none of a release or a range, whose manifest would then be wrong.

    Raises:
        OutputError: one of them would.
    """
    try:
        found = read_manifest(folder)
    except OutputError:  # none of ours, and it stays as it is
        return
    for name in names:
        if found and (name in found.files or name == MANIFEST):
            raise OutputError(
                f"{named}: it holds the {found.kind} of {found.design!r}, and {name} is a file of it; choose another "
                f"folder, or {'publish' if found.kind is Kind.RELEASE else 'make the range'} again"
            )
