"""Writing finished files, the one door for what goes out: all of them or none, by one run at a time.

`writing` opens a folder for a run, before its long work; `HeldFolder.put` gives it the run's files at one stroke, and
`write_all` does both. `replacing` opens a single file. Each has a hidden stage (`output.system.stage`) beside its goal,
which is the lock as well, and begins by finishing or clearing away what a killed run has left there. A folder is
exchanged whole (`output.system.exchange`); where that cannot be or would harm, its files are replaced one by one
(`output.system.journal`).
"""

from __future__ import annotations

import atexit
import errno
import os
import re
import stat
import time
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from drafting.errors import OutputError
from output.system.exchange import Exchange, ImmovableError
from output.system.interrupts import Uninterrupted, check
from output.system.journal import Journal, is_plain
from output.system.reading import reason_of
from output.system.stage import ENDING, Stage, is_stage, stage_beside, sync, write_new

PATIENCE: Final = 30.0
"""Seconds to wait for another run that is just writing the same single file."""

_EARLIER: Final = re.compile(r"\..+\.(pdf|json|csv|svg|dxf)\.\d+\.(part|old)")
"""Names that earlier versions gave to files until they took their places, and that a killed one has left."""


class HeldFolder:
    """A folder that this run alone may write into, until it is closed."""

    def __init__(self, folder: str | Path) -> None:
        """Take the folder and settle what a killed run has left; one that is missing is made when it gets its files.

        Raises:
            OSError, ValueError: it cannot be written, or another run is writing there.
        """
        self.named = folder
        self.goal = Path(os.path.realpath(folder))
        if self.goal.exists():
            _check_writable(self.goal)
        self._made = _make(self.goal.parent)
        try:
            self._stage = self._taken()
        except BaseException:
            _unmake(self._made)
            raise
        atexit.register(self.close)

    @property
    def _inside(self) -> Path:
        return self.goal / ENDING

    def _taken(self) -> Stage:
        """The stage that is the lock: beside the folder, or inside where the parent is not ours to write."""
        try:
            if self.goal.parent == self.goal:
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            stage = Stage(stage_beside(self.goal))
        except OSError as error:
            if error.errno not in (errno.EACCES, errno.EPERM, errno.EROFS) or not self.goal.exists():
                raise
            stage = Stage(self._inside)
        try:
            self._settle(stage)
            sweep(self.goal)
        except BaseException:
            stage.close()
            raise
        return stage

    def _settle(self, stage: Stage) -> None:
        """Finish or undo what was begun in the folder, and clear away what is left of it."""
        if stage.path == self._inside:
            Journal(stage, self.goal).settle()
            return
        Exchange(stage, self.goal).settle()
        if is_stage(self._inside):
            inside = Stage(self._inside)
            try:
                self._settle(inside)
            finally:
                inside.close()

    def put(self, files: Mapping[str, bytes], *, without: Collection[str] = (), stopping: bool = False) -> None:
        """Give the folder these files and take those away, at one stroke; what else is in it stays.

        Once a signal has stopped the program, nothing is put any more but a last word, said to be `stopping`.

        Raises:
            OutputError: it cannot be done; then the folder is as it was before.
        """
        if not stopping:
            check()
        with _told(self.named):
            for name in (*files, *without):
                if not is_plain(name):
                    raise OSError(errno.EINVAL, f"{name!r} is no name of a file in it")
                if (self.goal / name).is_dir() and not (self.goal / name).is_symlink():
                    raise IsADirectoryError(errno.EISDIR, f"{name} is a folder")
            gone = sorted(set(without) - set(files))
            whole = self._stage.path != self._inside and (len(files) + len(gone) > 1 or not self.goal.exists())
            try:
                if not whole:
                    raise ImmovableError
                self._exchange(files, gone)
            except ImmovableError:
                self._replace(files, gone)

    def _exchange(self, files: Mapping[str, bytes], gone: Collection[str]) -> None:
        exchange = Exchange(self._stage, self.goal)
        try:
            self._stage.fill(files)
            with Uninterrupted():
                exchange.put({*files, *gone})
        finally:
            with Uninterrupted(), suppress(OSError):  # what cannot be cleared away now is by the next run
                exchange.settle()

    def _replace(self, files: Mapping[str, bytes], gone: Collection[str]) -> None:
        stage = self._stage if self._stage.path == self._inside else Stage(self._inside)
        journal = Journal(stage, self.goal)
        try:
            stage.fill(files)
            with Uninterrupted():
                journal.put(files, gone)
        finally:
            with Uninterrupted(), suppress(OSError):  # what cannot be put back or cleared away now is by the next run
                journal.settle()
            if stage is not self._stage:
                stage.close()

    def close(self) -> None:
        """Let others write there. Twice is no harm."""
        atexit.unregister(self.close)
        if not self._stage.held:
            return
        with suppress(OSError):  # by the next run, then
            self._settle(self._stage)
        self._stage.close()
        _unmake(self._made)


@contextmanager
def writing(folder: str | Path) -> Iterator[HeldFolder]:
    """Open a folder for this run alone, before its long work: what would stop it is told at once.

    Raises:
        OutputError: the folder has no name, cannot be written, is no folder, or another run is writing there.
    """
    place = None
    try:
        with _told(folder), Uninterrupted():
            place = HeldFolder(folder)
        yield place
    finally:
        with Uninterrupted():
            if place:
                place.close()


def write_all(folder: str | Path, files: Mapping[str, bytes]) -> None:
    """Write every file into the folder, or none: after a failure, what was there before is there still, byte for byte.

    The folder is made when it is missing.

    Raises:
        OutputError: the folder or a file in it cannot be written: not a folder, no permission, a full disk; or another
            run is writing there.
    """
    with writing(folder) as place:
        place.put(files)


def settle_within(folder: Path, names: Collection[str] = ()) -> None:
    """Finish or clear away what killed runs have left of the folders in a folder, and in those of these names.

    Raises:
        OutputError: it cannot be done.
    """
    with _told(folder):
        for name in names:
            sweep(folder / name)
        for stage in folder.glob(f".?*{ENDING}"):
            goal = folder / stage.name[1 : -len(ENDING)]
            if is_stage(stage) and not goal.is_file():
                with suppress(BlockingIOError):  # another run is there
                    HeldFolder(goal).close()


def settle_beside(path: str | Path) -> None:
    """Clear away what a killed run has left beside a single file; one that is not ours to write is left as it is."""
    with suppress(OSError, ValueError), Uninterrupted():
        goal = Path(os.path.realpath(path))
        sweep(goal.parent, f".{goal.name}.")
        if is_stage(stage_beside(goal)):
            stage = Stage(stage_beside(goal))
            try:
                stage.clear()
            finally:
                stage.close()


def sweep(folder: Path, start: str = ".") -> None:
    """Remove what a killed run of an earlier version has left in a folder, of names that start like that."""
    if folder.is_dir():
        for path in folder.iterdir():
            if path.name.startswith(start) and _EARLIER.fullmatch(path.name) and path.is_file():
                path.unlink()


@contextmanager
def replacing(path: str | Path) -> Iterator[Callable[[bytes], None]]:
    """Hold a single file for this run alone, waiting a while for others that do; gives what writes it.

    A reader meets the old content or the new, whole. A link to a file stays one, and the file keeps its mode.

    Raises:
        OSError, ValueError: it cannot be written, or another run holds it for too long; then it is as it was.
    """
    goal, stage = Path(os.path.realpath(path)), None
    if goal.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    made, until = _make(goal.parent), time.monotonic() + PATIENCE

    def write(content: bytes) -> None:
        assert stage is not None
        write_new(stage.new, content)
        if goal.exists():
            stage.new.chmod(stat.S_IMODE(goal.stat().st_mode))
        stage.new.replace(goal)
        sync(goal.parent)

    try:
        while stage is None:
            try:
                with Uninterrupted():
                    stage = Stage(stage_beside(goal))
            except BlockingIOError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.01)
        stage.clear()
        yield write
    finally:
        with Uninterrupted():
            if stage:
                with suppress(OSError):  # what cannot be cleared away now is by the next run
                    stage.clear()
                stage.close()
            _unmake(made)


def _make(folder: Path) -> list[Path]:
    """Make a folder and those above it; return what was missing."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    if folder.exists() and not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
    folder.mkdir(parents=True, exist_ok=True)
    return missing


def _unmake(made: Collection[Path]) -> None:
    """Remove the folders that were made for nothing: none in which there is something now."""
    for folder in made:
        with suppress(OSError):
            folder.rmdir()


def _check_writable(folder: Path) -> None:
    if not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
    if not os.access(folder, os.W_OK | os.X_OK):
        read_only = hasattr(os, "statvfs") and os.statvfs(folder).f_flag & os.ST_RDONLY
        code = errno.EROFS if read_only else errno.EACCES
        raise OSError(code, os.strerror(code))


@contextmanager
def _told(folder: str | Path) -> Iterator[None]:
    """Tell what goes wrong with a folder as an error of ours, with a remedy."""
    if not str(folder).strip():
        raise OutputError(f"out: {str(folder)!r} names no folder; give one, as in --out heron")
    try:
        yield
    except BlockingIOError:
        raise OutputError(
            f"{folder}: another run is writing there; wait until it ends or choose another folder"
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise OutputError(f"{folder}: cannot be written: {reason_of(error)}; {remedy_of(error)}") from None


def remedy_of(error: OSError | ValueError) -> str:
    """What to do about a folder that cannot be written."""
    code = error.errno if isinstance(error, OSError) else None
    if code in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return "free some space or choose a folder on another disk"
    if code in (errno.EISDIR, errno.EEXIST):
        return "move that elsewhere or choose another folder"
    return "choose a folder that you may write to"
