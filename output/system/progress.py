"""How far a run is: told to whoever listens, else a bar on a terminal when it takes longer than a second."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from typing import TypeVar

Item = TypeVar("Item")

Told = Callable[[str, int, int], object]
"""What is told of which things how many more are done, and how many more there are."""


class _Listener:
    """Passes on what is told, but what was expected not once more when it comes."""

    def __init__(self, tell: Told) -> None:
        self._tell = tell
        self._expected: Counter[str] = Counter()

    def expect(self, what: str, more: int) -> None:
        self._expected[what] += more
        self._tell(what, 0, more)

    def moved(self, what: str, done: int, more: int) -> None:
        known = min(more, self._expected[what])
        self._expected[what] -= known
        self._tell(what, done, more - known)


_listening: ContextVar[_Listener | None] = ContextVar("listening", default=None)


@contextmanager
def telling(tell: Told) -> Iterator[None]:
    """Have all progress within told to a function, and shown nowhere.

    >>> with telling(print), bar("files", total=3) as moved:
    ...     moved(1, 0)
    files 0 3
    files 1 0
    """
    before = _listening.set(_Listener(tell))
    try:
        yield
    finally:
        _listening.reset(before)


def expect(what: str, more: int) -> None:
    """Tell whoever listens that so many things will be done, before they are begun."""
    if listener := _listening.get():
        listener.expect(what, more)


@contextmanager
def bar(what: str, *, unit: str = "", total: int = 0, done: int = 0) -> Iterator[Callable[[int, int], object]]:
    """A function that is told how many more are done and how many more there are; some may be from the beginning."""
    if listener := _listening.get():
        listener.moved(what, done, total)
        yield partial(listener.moved, what)
        return
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
