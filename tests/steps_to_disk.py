"""The steps by which a program changes what is on a disk, each made to fail, or to be the last that is done."""

from __future__ import annotations

import errno
import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import output.system.exchange

STEPS = ("mkdir", "rmdir", "rename", "replace", "link", "unlink", "write", "fsync")


@contextmanager
def at_step(number: int, happen: Callable[[str], None]) -> Iterator[list[str]]:
    """Have something happen instead of step `number` on; gives the names of the steps that were come to."""
    steps: list[str] = []

    def counted(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def step(*given: Any, **options: Any) -> Any:
            steps.append(name)
            if len(steps) > number:
                happen(name)
            return real(*given, **options)

        return step

    before = {name: getattr(os, name) for name in STEPS}
    swap = output.system.exchange.exchange
    try:
        for name, real in before.items():
            setattr(os, name, counted(name, real))
        output.system.exchange.exchange = counted("exchange", swap)
        yield steps
    finally:
        for name, real in before.items():
            setattr(os, name, real)
        output.system.exchange.exchange = swap


def once_full() -> Callable[[str], None]:
    """A disk that is full at one step, and has room again at the next."""
    left = [1]

    def happen(name: str) -> None:
        if left:
            left.pop()
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    return happen


def broken(name: str) -> None:
    """A disk that fails for good."""
    raise OSError(errno.EIO, os.strerror(errno.EIO))


def killed(name: str) -> None:
    """The process is killed."""
    os.kill(os.getpid(), signal.SIGKILL)
