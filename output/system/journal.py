"""Files replaced one by one inside a folder that cannot be exchanged whole, and put back if that is not finished.

A folder is not exchanged when that would harm or cannot be done: this process stands in it, it is a mount point, its
parent is not ours to write, it holds too much that is not ours. Then the stage is inside it, and the order of steps is:

1. The new files are written into the stage, and each is forced to the disk.
2. The old files of those names get a second name in the stage (a hard link), and the names are forced to the disk.
3. A journal of the names is written and forced to the disk. Up to here no name in the folder has been touched.
4. Each new file takes its place at one stroke; where files cannot have two names, the old one is moved away first.
5. The folder's names are forced to the disk, and the journal is removed: from now on the new files are there for good.

The difference to an exchange: a machine that stops during step 4 leaves some files new and some old, none of them
half written, until the next run into that folder. That run finds the journal and puts all the old ones back before it
does anything else. A failure in step 4 is undone in the same way, at once.
"""

from __future__ import annotations

import json
import os
from collections.abc import Collection, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from output.system.stage import Stage, sync, write_new


class Journal:
    """How files are replaced by way of a stage inside their folder that has been filled: steps 2 to 5."""

    def __init__(self, stage: Stage, goal: Path) -> None:
        self.stage, self.goal = stage, goal

    def put(self, files: Collection[str], without: Collection[str]) -> None:
        """Steps 2 to 5, for the files that are staged and those that are to go; after a failure all is as before.

        Raises:
            OSError: the disk is full or fails, or a file may not be replaced.
        """
        existing = [name for name in (*files, *without) if os.path.lexists(self.goal / name)]
        sync(self.stage.new)
        self.stage.old.mkdir()
        for name in existing:
            with suppress(OSError):  # it is moved there below
                os.link(self.goal / name, self.stage.old / name, follow_symlinks=False)
        sync(self.stage.old)
        write_new(self.stage.journal, json.dumps({"had": existing, "new": list(files)}).encode())
        sync(self.stage.path)
        sync(self.goal)
        for name in existing:
            if not os.path.lexists(self.stage.old / name):
                (self.goal / name).rename(self.stage.old / name)
            elif name not in files:
                (self.goal / name).unlink()
        for name in files:
            (self.stage.new / name).replace(self.goal / name)
        sync(self.goal)
        self.stage.journal.unlink()
        with suppress(OSError):  # the new files are in place; should the journal come back, the old ones do
            sync(self.stage.path)

    def settle(self) -> None:
        """Put back what was replaced if the journal says that it was not finished, and empty the stage.

        Raises:
            OSError: the disk fails; the next run does the rest.
        """
        plan = _read(self.stage.plan())
        if plan:
            had, new = plan
            for name in had:
                with suppress(FileNotFoundError):  # it is back already, or never left
                    (self.stage.old / name).replace(self.goal / name)
            for name in new - had:
                if not os.path.lexists(self.stage.new / name):
                    (self.goal / name).unlink(missing_ok=True)
            sync(self.goal)
        self.stage.clear()


def _read(plan: Mapping[str, Any]) -> tuple[frozenset[str], frozenset[str]] | None:
    """The names that were there before and the new ones; None without a plan."""
    try:
        had, new = (frozenset(map(str, plan[key])) for key in ("had", "new"))
    except (LookupError, TypeError):
        return None
    return (had, new) if all(is_plain(name) for name in had | new) else None


def is_plain(name: str) -> bool:
    """True of a text that can name a file in a folder, and nothing outside it.

    >>> is_plain("tables.csv"), is_plain("../tables.csv"), is_plain(".."), is_plain("a:b")
    (True, False, False, False)
    """
    return name not in ("", ".", "..") and not set(name) & {"/", "\\", "\0", ":"}
