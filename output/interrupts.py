"""Signals that ask the program to stop: SIGINT (Ctrl-C), SIGTERM (kill, shutdown), SIGHUP (the terminal is closed).

Each is raised as an exception in the main thread, so that all that is under way is undone on the way out; one that was
ignored when the program was started, as by nohup or for a background job, stays ignored.
"""

from __future__ import annotations

import signal

TYPE_CHECKING = False  # known to type checkers by its name; help must be quick
if TYPE_CHECKING:
    from types import FrameType
    from typing import NoReturn

ASKED = 128
"""What is added to a signal's number for the exit code of a program that it has stopped, as shells do."""

STOPPING = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


class StopError(KeyboardInterrupt):
    """The user or the system asks the program to stop. No `except Exception` takes it for a fault."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


_heard: list[int] = []
"""The signal that the program is stopping for, if any."""


def heed() -> None:
    """Raise `StopError` for the signals from now on: for the command line, in its main thread. The first one counts."""
    _heard.clear()
    for number in _ours():
        signal.signal(number, _stop)


def ignore() -> None:
    """Stop for no signal any more: the program is ending."""
    for number in _ours():
        signal.signal(number, signal.SIG_IGN)


def check() -> None:
    """Stop, should a signal have come that some library took for its own affair.

    Raises:
        StopError: it has.
    """
    if _heard:
        raise StopError(_heard[0])


def _stop(number: int, _frame: FrameType | None) -> NoReturn:
    """Raise, and let no second signal break into what the first one makes us undo."""
    _heard.append(number)
    ignore()
    raise StopError(_heard[0])


def _ours() -> list[signal.Signals]:
    """The signals that do anything in this thread, which is none but in the main one."""
    import threading  # noqa: PLC0415

    if threading.current_thread() is not threading.main_thread():
        return []
    return [number for number in STOPPING if signal.getsignal(number) is not signal.SIG_IGN]


class Uninterrupted:
    """With this, a few steps that belong together are not broken into: a signal that comes meanwhile waits so long."""

    def __enter__(self) -> None:
        self._came: list[int] = []
        self._before = {number: signal.getsignal(number) for number in _ours()}
        for number, before in self._before.items():
            if callable(before):
                signal.signal(number, self._wait)

    def _wait(self, number: int, _frame: FrameType | None) -> None:
        self._came.append(number)

    def __exit__(self, *failure: object) -> None:
        for number, before in self._before.items():
            if callable(before):
                signal.signal(number, before)
        for came in self._came:
            handler = self._before[signal.Signals(came)]
            assert callable(handler)
            handler(came, None)
