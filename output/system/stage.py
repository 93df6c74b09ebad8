"""A hidden folder of ours, beside what is to be written or in it: where content waits, and the lock that it is.

Its name is always the same for the same goal, so the next run finds what a killed one has left and clears it away.
Nothing in it is opened but files that this run has made there itself, so no link that somebody planted is followed.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import stat
import sys
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import Any, Final

ENDING: Final = ".shirrline"
"""How the names of our hidden folders end."""

LOCK: Final = "lock"
NEW: Final = "new"
"""What waits to be put in place."""

OLD: Final = "old"
"""What was in place before."""

JOURNAL: Final = "journal"
"""What is about to happen, so that it can be told how far it came."""

PARTS: Final = frozenset((LOCK, NEW, OLD, JOURNAL))

LONGEST: Final = 255
"""Bytes in a file's name, on nearly every system."""

_TRIES: Final = 100
_EXCLUSIVE: Final = os.O_WRONLY | os.O_CREAT | os.O_EXCL
_PLAIN: Final = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
_UNLOCKABLE: Final = (errno.ENOLCK, errno.ENOSYS, errno.ENOTSUP, errno.EINVAL)

_held: set[Path] = set()
"""The stages of this process: the system's lock keeps out other processes alone."""

_guard: Final = Lock()


def stage_beside(goal: Path) -> Path:
    """The hidden folder for a file or folder, in the same folder as that.

    >>> stage_beside(Path("shop/heron")).as_posix()
    'shop/.heron.shirrline'
    """
    name = f".{goal.name}{ENDING}"
    if len(os.fsencode(name)) > LONGEST:
        name = f".{sha256(os.fsencode(goal.name)).hexdigest()[:32]}{ENDING}"
    return goal.with_name(name)


class Stage:
    """A hidden folder that this run alone holds until it is closed, or the process ends in whatever way."""

    def __init__(self, path: Path) -> None:
        """Make the folder, or take over what a dead run has left of it.

        Raises:
            BlockingIOError: another run holds it.
            OSError: it cannot be made, or something that is not ours stands in its place.
        """
        self.path = path
        with _guard:
            if path in _held:
                raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))
            self._handle = _taken(path)
            _held.add(path)
        self._owner = os.getpid()

    @property
    def new(self) -> Path:
        return self.path / NEW

    @property
    def old(self) -> Path:
        return self.path / OLD

    @property
    def journal(self) -> Path:
        return self.path / JOURNAL

    @property
    def held(self) -> bool:
        """True until it is closed; never in a copy of the process that holds it."""
        return self._handle >= 0 and os.getpid() == self._owner

    def fill(self, files: Mapping[str, bytes]) -> None:
        """Write what is to be put in place, which may take long and may be broken off."""
        self.new.mkdir()
        for name, content in files.items():
            write_new(self.new / name, content)

    def plan(self) -> Mapping[str, Any]:
        """What the journal says is about to happen; nothing without a journal, or with one that was not finished."""
        try:
            plan = json.loads(self.journal.read_bytes())
        except (FileNotFoundError, ValueError, RecursionError):
            return {}
        return plan if isinstance(plan, dict) else {}

    def clear(self) -> None:
        """Remove everything in it but the lock."""
        self.journal.unlink(missing_ok=True)
        for part in (self.new, self.old):
            if part.is_symlink() or not part.is_dir():
                part.unlink(missing_ok=True)
            else:
                shutil.rmtree(part)

    def close(self) -> None:
        """Let go of the folder, and remove it unless something is left in it for the next run. Twice is no harm."""
        if not self.held:
            return
        with _guard:
            if sys.platform == "win32":
                os.close(self._handle)  # an open file cannot be removed there
            with suppress(OSError):
                if {entry.name for entry in self.path.iterdir()} == {LOCK}:
                    (self.path / LOCK).unlink()
                    self.path.rmdir()
            if sys.platform != "win32":
                os.close(self._handle)
            self._handle = -1
            _held.discard(self.path)


def is_stage(path: Path) -> bool:
    """True of a folder that looks like one of ours: a true folder, our own, with nothing but what we put into it."""
    try:
        return _looks_ours(path)
    except OSError:
        return False


def _looks_ours(path: Path) -> bool:
    about, above = path.lstat(), path.parent.stat()
    if not stat.S_ISDIR(about.st_mode):
        return False
    names = {entry.name for entry in path.iterdir()}
    # Some file systems have but one owner for all that is in them.
    ours = not hasattr(os, "geteuid") or about.st_uid in (os.geteuid(), above.st_uid)
    return ours and names <= PARTS and (not names or LOCK in names)


def _taken(path: Path) -> int:
    """The handle of the locked file in a stage. A stage that another run is just closing is made once more."""
    for _ in range(_TRIES):
        with suppress(FileExistsError):
            path.mkdir(0o700)
        try:
            if not _looks_ours(path):
                raise FileExistsError(errno.EEXIST, f"{path.name} is in the way and not ours: move it elsewhere")
            handle = os.open(path / LOCK, os.O_RDWR | os.O_CREAT | _PLAIN, 0o600)
        except FileNotFoundError:
            continue
        try:
            _lock(handle)
            there = (path / LOCK).lstat()
        except FileNotFoundError:
            os.close(handle)
            continue
        except BaseException:
            os.close(handle)
            raise
        if os.path.samestat(there, os.fstat(handle)):
            return handle
        os.close(handle)
    raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))


def _lock(handle: int) -> None:
    """Lock a file against other processes, on file systems that know locks; copies of this process do not hold it.

    Raises:
        BlockingIOError: another process has locked it.
    """
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415

            fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in (errno.EACCES, errno.EAGAIN, errno.EDEADLK):
            raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN)) from None
        if error.errno not in _UNLOCKABLE:
            raise


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet and force it to the disk.

    Raises:
        OSError: something of that name is there, were it only a link; or it cannot be written.
    """
    handle, left = os.open(path, _EXCLUSIVE | _PLAIN, 0o666), memoryview(content)
    try:
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def sync(folder: Path) -> None:
    """Force a folder's names to the disk, where the system can.

    Raises:
        OSError: the disk fails; not where folders cannot be opened or forced at all.
    """
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:  # no folder can be opened on Windows, nor one that may be written but not read
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF):
            raise
    finally:
        os.close(handle)
