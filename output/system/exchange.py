"""A folder put in place of another at one stroke, with everything in the other that is not ours.

The order of steps, each of which may be the last before the machine stops:

1. The new files are written into the stage beside the goal, and each is forced to the disk.
2. What the goal holds that is not ours gets a second name there (a hard link), so that it is in both folders.
3. The new folder's names are forced to the disk, then a journal that tells the new folder by its number. Up to here
   nothing of the goal has been touched: whatever the stage holds can be thrown away.
4. The two folders change places: one rename if there is no goal yet, one exchange where the system can (Linux, macOS),
   else two renames. The goal is the old folder before and the new one after; only between two renames is it absent,
   and then the next run finishes, because the journal says which of the two is the new one.
5. The parent's names are forced to the disk. Now the new folder is in place for good.
6. What came into the old folder meanwhile is moved over, and the rest of it removed: a file that is not ours is
   removed only when the very same file is in the goal.

`Exchange.settle` is steps 5 and 6 after a success, the throwing away after a failure, and the recovery by the next
run, in one: it asks the journal which folder is in place.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
from collections.abc import Collection, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from output.system.stage import Stage, sync, write_new

MOST_FOREIGN: Final = 2000
"""Files and folders that are not ours and are linked into a new folder; where there are more, none is exchanged."""

_UNKNOWN: Final = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP)
"""What a system or a file system says that cannot exchange."""

_IMMOVABLE: Final = (errno.EXDEV, errno.EBUSY, errno.EACCES, errno.EPERM, errno.EMLINK, *_UNKNOWN)
"""What says that a folder cannot be moved, or a file not have a second name: mounted, in layers, somebody else's."""

_AT_FDCWD: Final = -100
_EXCHANGED: Final = 2
"""`RENAME_EXCHANGE` of Linux's renameat2 and `RENAME_SWAP` of macOS's renamex_np, which are both 2."""


class ImmovableError(Exception):
    """A folder that cannot be exchanged whole, or would do harm: its files are to be replaced one by one."""


class Exchange:
    """How a folder is exchanged by way of a stage beside it that has been filled: steps 2 to 6."""

    def __init__(self, stage: Stage, goal: Path) -> None:
        self.stage, self.goal = stage, goal

    def put(self, ours: Collection[str]) -> None:
        """Steps 2 to 4 and 5; `ours` are the names that the new folder has, and those that it must not have.

        Raises:
            ImmovableError: it cannot be done with this folder. Nothing in it has changed.
            OSError: the disk is full or fails. Nothing in it has changed.
        """
        new = self.stage.new
        try:
            if not self.goal.exists():
                sync(new)
                new.rename(self.goal)
            else:
                self._check_movable()
                _mirror(self.goal, new, ours, MOST_FOREIGN)
                _like(self.goal, new)
                sync(new)
                write_new(self.stage.journal, json.dumps({"new": new.stat().st_ino, "ours": sorted(ours)}).encode())
                sync(self.stage.path)
                sync(self.goal.parent)
                self._change_places()
            self._keep_or_return()
        except OSError as error:
            if error.errno in _IMMOVABLE and self.goal.exists():
                raise ImmovableError from error
            raise

    def _check_movable(self) -> None:
        """See that the exchange harms nobody who stands in the folder and meets no other file system."""
        with suppress(OSError):
            here = Path.cwd().resolve()
            if self.goal == here or self.goal in here.parents:
                raise ImmovableError
        if self.goal.is_mount() or self.goal.stat().st_dev != self.stage.path.stat().st_dev:
            raise ImmovableError

    def _change_places(self) -> None:
        if exchange(self.stage.new, self.goal):
            return
        self.goal.rename(self.stage.old)
        try:
            self.stage.new.rename(self.goal)
        except BaseException:
            self.stage.old.rename(self.goal)
            raise

    def _keep_or_return(self) -> None:
        """Step 5; a disk that fails at it gets back what was there."""
        try:
            sync(self.goal.parent)
        except OSError:
            if self.stage.old.exists():
                self.goal.rename(self.stage.new)
                self.stage.old.rename(self.goal)
            elif not self.stage.new.exists():
                self.goal.rename(self.stage.new)
            else:
                exchange(self.stage.new, self.goal)
            raise

    def settle(self) -> None:
        """Finish what was put in place, or throw away what was not, and empty the stage. Twice is no harm.

        Raises:
            OSError: the disk fails; the next run does the rest.
        """
        plan = _read(self.stage.plan())
        if plan:
            number, ours = plan
            if not self.goal.exists() and _number(self.stage.new) == number:  # stopped between two renames
                self.stage.new.rename(self.goal)
            if _number(self.goal) == number:
                sync(self.goal.parent)
                for old in (self.stage.old, self.stage.new):
                    if old.exists():
                        _follow(old, self.goal, ours)
                sync(self.goal)
        self.stage.clear()


def exchange(one: Path, other: Path) -> bool:
    """Have two folders change places at one stroke; false where the system or the file system cannot.

    Raises:
        OSError: it can, but not with these.
    """
    if os.name != "posix":
        return False
    import ctypes  # noqa: PLC0415 - slow to import, and a folder that is new needs no exchange

    library, names = ctypes.CDLL(None, use_errno=True), (os.fsencode(one), os.fsencode(other))
    if hasattr(library, "renameat2"):
        failed = library.renameat2(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _EXCHANGED)
    elif hasattr(library, "renamex_np"):
        failed = library.renamex_np(*names, _EXCHANGED)
    else:
        return False
    if failed:
        code = ctypes.get_errno()
        if code in _UNKNOWN:
            return False
        raise OSError(code, os.strerror(code))
    return True


def _like(goal: Path, new: Path) -> None:
    """Give a new folder the owner, the permissions and the other attributes of the old."""
    old, made = goal.stat(), new.stat()
    if (old.st_uid, old.st_gid) != (made.st_uid, made.st_gid):
        os.chown(new, old.st_uid, old.st_gid)
    shutil.copystat(goal, new)


def _mirror(source: Path, target: Path, ours: Collection[str], room: int) -> int:
    """Give all that is in the source, but `ours`, a second name in the target; return how much room is left.

    Raises:
        ImmovableError: there is too much, or something is mounted there, or a folder in it is not to be written.
        OSError: something cannot have a second name.
    """
    device = source.stat().st_dev
    with os.scandir(source) as entries:
        for entry in entries:
            if entry.name in ours:
                continue
            room -= 1
            if room < 0 or Path(entry.path).lstat().st_dev != device or os.path.ismount(entry.path):
                raise ImmovableError
            place = target / entry.name
            if entry.is_dir(follow_symlinks=False):
                if not os.access(entry.path, os.W_OK | os.X_OK):  # it could not be emptied afterwards
                    raise ImmovableError
                place.mkdir()
                room = _mirror(Path(entry.path), place, (), room)
                _like(Path(entry.path), place)
                sync(place)
            else:
                with suppress(FileExistsError):  # where upper and lower case are the same it is ours
                    os.link(entry.path, place, follow_symlinks=False)
    return room


def _follow(old: Path, goal: Path, ours: Collection[str]) -> None:
    """Move into the goal what it lacks of the old folder's, but `ours`; then remove the old folder."""
    there = {path.name for path in goal.iterdir()}
    for path in list(old.iterdir()):
        place, folder = goal / path.name, path.is_dir() and not path.is_symlink()
        if (path.name in ours and not folder) or (path.name not in there and os.path.lexists(place)):
            path.unlink()
        elif folder and place.is_dir() and not place.is_symlink():
            _follow(path, place, ())
        elif not folder and path.name in there and os.path.samestat(path.lstat(), place.lstat()):
            path.unlink()
        else:
            path.replace(place)  # it came, or was written anew, after the rest had been linked
    old.rmdir()


def _number(folder: Path) -> int | None:
    return folder.stat().st_ino if folder.exists() else None


def _read(plan: Mapping[str, Any]) -> tuple[int, frozenset[str]] | None:
    """The new folder's number and our names; None without a plan."""
    try:
        return int(plan["new"]), frozenset(map(str, plan["ours"]))
    except (ValueError, LookupError, TypeError, OverflowError):
        return None
