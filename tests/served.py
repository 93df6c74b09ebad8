"""A folder's pages, served by a process of their own as a user starts it, over a copy of the samples."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import monotonic, sleep
from typing import Final
from urllib.request import urlopen

ROOT: Final = Path(__file__).parent.parent
SAMPLES: Final = ROOT / "samples"

COMMAND: Final = [sys.executable, "-c", "import sys; from output.command import main; sys.exit(main())"]

PATIENCE: Final = 60.0
"""Seconds in which a server has started, or ended, on a machine that has much else to do."""


@dataclass(frozen=True)
class Served:
    """A server that runs: where its pages are, and what it has said."""

    folder: Path
    counter: str
    desk: str
    process: subprocess.Popen[bytes]
    output: Path

    @property
    def said(self) -> str:
        """All that it has written to its standard output and error."""
        return self.output.read_text()


@contextmanager
def served(place: Path, *options: str, folder: Path | None = None, stopped: bool = False) -> Iterator[Served]:
    """The pages of a `folder`, or of a copy of the samples in a `place`, until the end of the block.

    The server must then end by itself, as it does for Ctrl-C, unless the block has `stopped` it.
    """
    if folder is None:
        folder = place / "samples"
        shutil.copytree(SAMPLES, folder)
    port, output = _free_port(), place / f"{folder.name}.server.txt"
    with output.open("wb") as file:
        process = subprocess.Popen(
            [*COMMAND, "serve", str(folder), "--port", str(port), *options],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=file,
            stderr=subprocess.STDOUT,
        )
    try:
        _await(process, output, f"http://127.0.0.1:{port}/health")
        addresses = [word for line in output.read_text().splitlines() for word in line.split() if "://" in word]
        yield Served(folder, addresses[0], next((one for one in addresses if "/desk/" in one), ""), process, output)
        if not stopped:
            assert process.poll() is None, output.read_text()
            process.terminate()
        process.wait(PATIENCE)
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()


def _free_port() -> int:
    with closing(socket.socket()) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def _await(process: subprocess.Popen[bytes], output: Path, address: str) -> None:
    until = monotonic() + PATIENCE
    while monotonic() < until and process.poll() is None:
        try:
            with urlopen(address, timeout=5):
                return
        except OSError:
            sleep(0.05)
    raise AssertionError(f"the server has not started: {output.read_text()}")
