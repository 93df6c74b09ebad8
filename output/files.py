"""Writing finished files: all of them, or none."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Callable, Mapping
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Final

from drafting.errors import OutputError

_TEMPORARY: Final = re.compile(r"\..+\.\d+\.(part|old)")
"""The names that `write_all` gives to files until they take their places."""


def write_all(folder: str | Path, files: Mapping[str, bytes]) -> None:
    """Write every file into the folder, or none: after a failure, what was there before is there still, byte for byte.

    The folder is made when it is missing. Each file is written whole under a temporary name beside its place and
    forced to the disk; only then do all take their places, each at one stroke. A machine that stops during those
    strokes can leave some files new and some old, but none half written.

    Raises:
        OutputError: the folder or a file in it cannot be written: not a folder, no permission, a full disk.
    """
    folder = Path(folder)
    waiting = [(folder / f".{name}.{os.getpid()}.part", folder / name) for name in files]
    kept: list[Path] = []
    try:
        with ExitStack() as undo:
            for missing in reversed([path for path in (folder, *folder.parents) if not path.exists()]):
                missing.mkdir()
                undo.callback(_quietly, missing.rmdir)  # it stays when someone else has put a file into it
            for (temporary, target), content in zip(waiting, files.values(), strict=True):
                if target.is_dir():
                    raise IsADirectoryError(errno.EISDIR, f"{target.name} is a folder")
                undo.callback(_quietly, temporary.unlink)
                _write(temporary, content)
            for temporary, target in waiting:
                if target.exists():
                    old = temporary.with_suffix(".old")
                    _keep(target, old)
                    kept.append(old)
                    undo.callback(_quietly, old.unlink)  # replacing one name of a file with its other leaves both
                    undo.callback(old.replace, target)
                else:
                    undo.callback(_quietly, target.unlink)
                temporary.replace(target)
            undo.pop_all()
    except (OSError, ValueError) as error:
        raise OutputError(f"{folder}: cannot be written: {_reason(error)}; {_remedy(error)}") from None
    for old in kept:
        _quietly(old.unlink)
    _sync(folder)


def sweep(folder: str | Path) -> None:
    """Remove what a killed `write_all` has left in a folder: temporary files. No other run may be writing there."""
    for path in Path(folder).glob(".*"):
        if _TEMPORARY.fullmatch(path.name):
            _quietly(path.unlink)


def _write(path: Path, content: bytes) -> None:
    """Write a file and force it to the disk."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _keep(target: Path, old: Path) -> None:
    """Keep a file that is about to be replaced under a second name, or move it there where files have but one."""
    with suppress(FileNotFoundError):
        old.unlink()
    try:
        old.hardlink_to(target)
    except OSError:
        target.replace(old)


def _sync(folder: Path) -> None:
    """Force the folder's new names to the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _quietly(undo: Callable[[], object]) -> None:
    """Undo one step; what cannot be undone, or never happened, must not hide why the rest is undone."""
    with suppress(OSError):
        undo()


def _reason(error: OSError | ValueError) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _remedy(error: OSError | ValueError) -> str:
    code = error.errno if isinstance(error, OSError) else None
    if code in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return "free some space or choose a folder on another disk"
    return "choose a folder that you may write to"
