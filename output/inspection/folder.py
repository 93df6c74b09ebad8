"""A release held against its manifest, and each PDF in it proved.

Each file is what the manifest says when its length and SHA-256 are; a PDF must then prove itself as well, each for its
own purpose: a page for a projector is not held for one to print. The manifest is no signature: it tells what was lost,
changed or added since it was written, and not who wrote it.
"""

from __future__ import annotations

import json
import os
import re
import stat
from collections import Counter
from dataclasses import asdict, dataclass
from hashlib import file_digest
from pathlib import Path
from textwrap import wrap
from typing import Any, Final

from drafting.errors import OutputError
from output.inspection.manifest import MANIFEST, SCHEMA
from output.inspection.pdf import FOR_PROJECTOR, WIDTH, inspect_pdf
from output.inspection.pdf_objects import LARGEST
from output.system.reading import read_bytes, read_json, reason_of
from output.words import text as words

MOST_FILES: Final = 10_000
"""Files in a manifest; a release has fifty."""

_SHA256: Final = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Listed:
    """What a manifest says of a file."""

    name: str
    about: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Checked:
    """A file of a release and what is wrong with it; `kind` is what a PDF is for, as `record` tells kinds."""

    name: str
    about: str
    kind: str
    problems: tuple[str, ...]

    @property
    def state(self) -> str:
        if self.problems:
            return "NOT PROVED" if self.kind else "NOT AS PUBLISHED"
        return "as published and proved" if self.kind else "as published"


@dataclass(frozen=True, slots=True)
class FolderInspection:
    """A release held against its manifest. `problems` are those of the folder and of all files, one sentence each."""

    folder: str
    design: str
    files: tuple[Checked, ...]
    foreign: tuple[str, ...]

    @property
    def problems(self) -> tuple[str, ...]:
        return (
            *(f"{file.name}: {problem}" for file in self.files for problem in file.problems),
            *(f"{name}: it is not in the manifest" for name in self.foreign),
        )

    @property
    def safe(self) -> bool:
        return not self.problems

    @property
    def complaint(self) -> str:
        """The first problem on one line; empty when there is none."""
        if self.safe:
            return ""
        more = f" (and {len(self.problems) - 1} more)" if len(self.problems) > 1 else ""
        return f"{self.folder}: not as it was published: {self.problems[0]}{more}"

    def json(self) -> str:
        """The findings as one JSON object."""
        found = {**asdict(self), "problems": self.problems, "safe": self.safe}
        return json.dumps(found, indent=2, ensure_ascii=False)

    def text(self) -> str:
        """The findings, for a reader."""
        longest = max((len(file.name) for file in self.files), default=0)
        lines = [
            f"{self.folder}: {self.design}, {words.count(len(self.files), 'file')}",
            *(f"  {file.name:<{longest}}  {file.state}{f': {file.kind}' if file.kind else ''}" for file in self.files),
            *(f"Problem: {problem}" for problem in self.problems),
            "All is as it was published" if self.safe else "Not all is as it was published",
        ]
        return "\n".join(part for line in lines for part in wrap(line, WIDTH, subsequent_indent="  "))


def inspect_folder(folder: str) -> FolderInspection:
    """Hold the release in a folder against its manifest.

    Raises:
        OutputError: the folder has no manifest, it is none of ours, or the folder cannot be read.
    """
    design, listed = listing(Path(folder))
    files = tuple(_checked(Path(folder), file) for file in listed)
    try:
        present = sorted(path.name for path in Path(folder).iterdir())
    except OSError as error:
        raise OutputError(f"{folder}: cannot be read: {reason_of(error)}; give a folder that you may read") from None
    known = {MANIFEST, *(file.name for file in listed)}
    return FolderInspection(folder, design, files, tuple(name for name in present if name not in known))


def listing(folder: Path) -> tuple[str, list[Listed]]:
    """The design's name and what a release holds, as its manifest says.

    Raises:
        OutputError: the folder has no manifest, or it is none of ours.
    """
    path = folder / MANIFEST
    if not os.path.lexists(path):
        raise OutputError(f"{folder}: it has no {MANIFEST}; give a folder that publish wrote, or a PDF")
    if path.is_symlink():
        raise OutputError(f"{path}: it is a link, not a file; give the folder as publish wrote it")
    told = read_json(path, "manifest")
    if not isinstance(told, dict) or told.get("schema") != SCHEMA or isinstance(told.get("schema"), bool):
        raise OutputError(f"{path}: it is no manifest of schema {SCHEMA}; give a folder that publish wrote")
    files, design = told.get("files"), told.get("design")
    if not isinstance(files, list) or not isinstance(design, str):
        raise OutputError(f"{path}: it lists no files of a design; give a folder that publish wrote")
    if len(files) > MOST_FILES:
        raise OutputError(f"{path}: it lists more than {MOST_FILES} files; give a folder that publish wrote")
    listed = [_listed(path, one) for one in files]
    if twice := [name for name, times in Counter(one.name for one in listed).items() if times > 1]:
        raise OutputError(f"{path}: it lists {twice[0]!r} twice; give a folder that publish wrote")
    return design, listed


def _listed(path: Path, entry: Any) -> Listed:
    """One file of a manifest; its name is that of a file in the folder itself, and nothing that leads out of it."""
    if not isinstance(entry, dict):
        raise OutputError(f"{path}: it lists what is no file; give a folder that publish wrote")
    name, about, size, digest = (entry.get(key) for key in ("name", "about", "bytes", "sha256"))
    plain = isinstance(name, str) and name.isprintable() and len(name) <= 255 and not set(name) & set('/\\:<>"|?*')
    if not isinstance(name, str) or not plain or name in ("", ".", "..", MANIFEST):
        raise OutputError(f"{path}: it lists {str(name)[:80]!r}, which is no name of a file in a release")
    whole = isinstance(size, int) and not isinstance(size, bool) and size >= 0
    if not isinstance(size, int) or not whole or not isinstance(digest, str) or not _SHA256.fullmatch(digest):
        raise OutputError(f"{path}: it does not tell the length and SHA-256 of {name!r}; publish the release again")
    return Listed(name, about if isinstance(about, str) else "", size, digest)


def _checked(folder: Path, listed: Listed) -> Checked:
    kind, problems = "", []
    try:
        found = os.lstat(folder / listed.name)
        if not stat.S_ISREG(found.st_mode):
            problems = [f"it is a {'link' if stat.S_ISLNK(found.st_mode) else 'folder or device'}, not a file"]
        elif found.st_size != listed.size or _digest(folder / listed.name) != listed.sha256:
            problems = ["it has changed since it was published"]
    except FileNotFoundError:
        problems = ["it is missing"]
    except OSError as error:
        problems = [f"it cannot be read: {reason_of(error)}"]
    if listed.name.lower().endswith(".pdf") and not problems:
        kind, problems = _proved(folder / listed.name, listed.name)
    return Checked(listed.name, listed.about, kind, tuple(problems))


def _proved(path: Path, name: str) -> tuple[str, list[str]]:
    """What a PDF is for, and why it cannot be proved."""
    try:
        found = inspect_pdf(read_bytes(path, "PDF", LARGEST), name)
    except OutputError as error:
        return "", [str(error).removeprefix(f"{name}: ")]
    return found.kind, [problem for problem in found.problems if problem != FOR_PROJECTOR]


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()
