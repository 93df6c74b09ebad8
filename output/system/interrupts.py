"""Signals that ask the program to stop: SIGINT (Ctrl-C), SIGTERM (kill, shutdown), SIGHUP (the terminal is closed).

Each is raised as an exception in the main thread, so that all that is under way is undone on the way out; one that was
ignored when the program was started, as by nohup or for a background job, stays ignored.
"""

from __future__ import annotations

import signal
import sys

TYPE_CHECKING = False  # known to type checkers by its name; help must be quick
if TYPE_CHECKING:
    from collections.abc import Callable
    from types import FrameType
    from typing import Any, NoReturn

    Handler = Callable[[int, FrameType | None], object]
    Handlers = dict[int, Any]

ASKED = 128
"""What is added to a signal's number for the exit code of a program that it has stopped, as shells do."""

STOPPING = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


def name_of(number: int) -> str:
    """A signal's name, as in SIGTERM."""
    return signal.Signals(number).name


class StopError(KeyboardInterrupt):
    """The user or the system asks the program to stop. No `except Exception` takes it for a fault."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


_heard: list[int] = []
"""The signal that the program is stopping for, if any."""


def heed() -> Handlers:
    """Raise `StopError` for the signals from now on: for the command line. The first one counts.

    Returns what was done about them before, for `restore`.
    """
    _heard.clear()
    before = _handlers()
    for number in before:
        signal.signal(number, stop)
    return before


def restore(before: Handlers) -> None:
    """Do again about the signals what was done before, and forget what was heard: the caller goes on."""
    _handle(before)
    _heard.clear()


def _handle(handlers: Handlers) -> None:
    for number, handler in handlers.items():
        signal.signal(number, handler)


def ignore() -> None:
    """Stop for no signal any more: the program is ending, or another process sees to it."""
    for number in _handlers():
        signal.signal(number, signal.SIG_IGN)


def heard() -> int | None:
    """The number of the signal that has come, if any, even where some library took it for its own affair."""
    return _heard[0] if _heard else None


def check() -> None:
    """Stop, should a signal have come that some library took for its own affair.

    Raises:
        StopError: it has.
    """
    if _heard:
        raise StopError(_heard[0])


def hushed(told: sys.UnraisableHookArgs) -> None:
    """Tell of an exception that nobody can catch as Python does, unless it is a stop: `check` raises that once more."""
    if not isinstance(told.exc_value, StopError):
        sys.__unraisablehook__(told)


def stop(number: int, _frame: FrameType | None = None) -> NoReturn:
    """The handler: raise, and let no second signal break into what the first one makes us undo."""
    _heard.append(number)
    ignore()
    raise StopError(_heard[0])


def _handlers() -> Handlers:
    """What is done about each signal that is not ignored; nothing in a thread that cannot change it."""
    threading = sys.modules.get("threading")  # without it there is but one thread
    if threading and threading.current_thread() is not threading.main_thread():
        return {}
    found = {number: signal.getsignal(number) for number in STOPPING}
    return {number: handler for number, handler in found.items() if handler not in (signal.SIG_IGN, None)}


class Handled:
    """With this, a signal that would stop the program is told to a handler instead."""

    def __init__(self, handler: Handler) -> None:
        self._handler = handler

    def __enter__(self) -> None:
        self._before = _handlers()
        _handle(dict.fromkeys(self._before, self._handler))

    def __exit__(self, *failure: object) -> None:
        _handle(self._before)


class Uninterrupted:
    """With this, a few steps that belong together are not broken into: a signal that comes meanwhile waits so long."""

    def __enter__(self) -> None:
        self._came: list[int] = []
        self._before = {number: handler for number, handler in _handlers().items() if callable(handler)}
        for number in self._before:
            signal.signal(number, self._wait)

    def _wait(self, number: int, _frame: FrameType | None) -> None:
        self._came.append(number)

    def __exit__(self, *failure: object) -> None:
        _handle(self._before)
        for number in self._came:
            self._before[number](number, None)
