"""How far a run is: a bar on a terminal when it takes longer than a second, nothing anywhere else."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

Item = TypeVar("Item")


@contextmanager
def bar(what: str, *, unit: str = "", total: int = 0, done: int = 0) -> Iterator[Callable[[int, int], object]]:
    """A function that is told how many more are done and how many more there are; some may be from the beginning."""
    if not sys.stderr.isatty():
        yield unseen
        return
    from tqdm import tqdm  # noqa: PLC0415 - slow to import, and often not needed

    tqdm.monitor_interval = 0  # its watching thread would be copied half with this process
    with tqdm(total=total, initial=done, desc=what, unit=unit, delay=1, leave=False) as shown:

        def moved(done: int, more: int) -> None:
            shown.total = (shown.total or 0) + more
            shown.update(done)

        yield moved


def watched(items: Sequence[Item], what: str, *, unit: str) -> Iterator[Item]:
    """The items, one after the other, with a bar while they are worked off."""
    with bar(what, unit=unit, total=len(items)) as moved:
        for item in items:
            yield item
            moved(1, 0)


def unseen(done: int, more: int) -> None:
    """Progress that nobody watches."""
