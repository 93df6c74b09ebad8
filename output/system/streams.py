"""What the program says, and where to: standard output and standard error, whatever has become of them.

They may be closed, full, left by their reader, or in an encoding that lacks our letters. It is loaded for help, too.
"""

from __future__ import annotations

import errno
import os
import sys

TYPE_CHECKING = False  # known to type checkers by its name; importing it would double the time to help
if TYPE_CHECKING:
    from typing import TextIO


def hold_places() -> None:
    """Have something open in the three standard places: a file of ours that opened there would be printed into."""
    for place in range(3):
        try:
            os.fstat(place)
        except OSError:
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)  # opens in the lowest place that is free
    if sys.stderr is None:  # closed when the program began; what is said there is for nobody
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115 - it stays open to the end


def say(text: str) -> None:
    """Print to standard output, spelling out what its encoding lacks and what could steer a terminal.

    A reader that has left misses it.

    Raises:
        OutputError: standard output is closed, or cannot be written, as when it goes to a file on a full disk.
    """
    if not all(map(str.isprintable, text.split("\n"))):
        from output.system.names import on_terminal  # noqa: PLC0415 - not needed for help

        text = on_terminal(text)
    try:
        if sys.stdout is None:
            raise OSError(errno.EBADF, "it is closed")
        encoding = sys.stdout.encoding or "utf-8"
        print(text.encode(encoding, "backslashreplace").decode(encoding), flush=True)
    except BrokenPipeError:
        _quieten(sys.stdout)
    except (OSError, ValueError) as error:  # ValueError: an encoding that cannot even spell out
        _quieten(sys.stdout)
        from drafting.errors import OutputError  # noqa: PLC0415 - not needed for help

        raise OutputError(f"standard output: cannot be written: {getattr(error, 'strerror', error)}") from None


def complain(message: str) -> None:
    """Print one line to standard error, without what could steer a terminal; with nobody there, the exit code tells."""
    line = " ".join("".join(letter if letter.isprintable() else " " for letter in message).split())
    try:
        print(f"shirrline: {line}", file=sys.stderr, flush=True)
    except (OSError, ValueError):
        _quieten(sys.stderr)


def _quieten(stream: TextIO | None) -> None:
    """Let what a stream still holds, and what libraries may print, go nowhere: Python would fail at its end."""
    try:
        if stream is not None:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
    except (OSError, ValueError):  # it stands for no file, and has nothing that Python would flush there
        pass
