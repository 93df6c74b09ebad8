"""A fault of ours, told without what a user has typed: a log holds no measurement, and no folder of the machine."""

from __future__ import annotations

from traceback import walk_tb
from typing import Final

OURS: Final = ("drafting", "blocks", "output")


class FaultError(Exception):
    """A fault of ours in another process, which tells what and where, as `told` does."""


def told(error: BaseException) -> str:
    """Which kind of error, and where in our own code; what it says itself may repeat what was typed.

    >>> told(KeyError("76 cm"))
    'KeyError'
    """
    if isinstance(error, FaultError):
        return str(error)
    places = [
        f"{name}, line {line}"
        for frame, line in walk_tb(error.__traceback__)
        if (name := str(frame.f_globals.get("__name__"))).partition(".")[0] in OURS
    ]
    return f"{type(error).__name__} in {places[-1]}" if places else type(error).__name__
