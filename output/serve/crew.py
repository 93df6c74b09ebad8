"""Drafting for the pages in processes of its own, each within a limit of time and of memory.

A process has one job at a time. One that dies or takes too long is replaced, and its job alone is lost: a job that
kills would kill again. What a job makes comes back as a value, or chunk by chunk into a temporary file without a name.
"""

from __future__ import annotations

import asyncio
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from tempfile import TemporaryFile
from time import monotonic
from typing import IO, Any, Final, TypeVar

import anyio.to_thread

from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.errors import DraftError, OutputError
from output.system import interrupts

Result = TypeVar("Result")

CHUNK: Final = 1 << 16
"""Bytes of a file that a process hands over at once."""

PARTING: Final = 1.0
"""Seconds that a process without work is given to end by itself."""


class BusyError(OutputError):
    """More is asked for than is done at once."""


class LostError(OutputError):
    """The process over a job has died, or took longer than it may."""


@dataclass(frozen=True, slots=True)
class Limits(Parameters):
    """What a job may take, and how many may wait for a process."""

    called = "crew"

    seconds: float = parameter(60, "s", 0.1, 3600, "for one job", PRACTICE)
    memory: int = parameter(1536, "MiB", 256, 1 << 20, "of address space for one process", PRACTICE)
    waiting: int = parameter(64, "", 0, 10_000, "jobs that may wait for a process", PRACTICE)


@dataclass(eq=False)
class _Member:
    """A process and this end of its line."""

    process: BaseProcess
    line: Connection


@dataclass
class Crew:
    """So many processes. Make it and use it within one event loop; `close` ends them all."""

    size: int
    limits: Limits = field(default_factory=Limits)
    _idle: asyncio.LifoQueue[_Member] = field(default_factory=asyncio.LifoQueue)
    _all: set[_Member] = field(default_factory=set)
    _waiting: int = 0
    _closed: bool = False

    def __post_init__(self) -> None:
        self._threads = anyio.CapacityLimiter(self.size)
        self._changing = threading.Lock()
        for _ in range(self.size):
            self._idle.put_nowait(self._hired())

    async def do(self, function: Callable[..., Result], *arguments: Any) -> Result:
        """What a function of a module returns for values that can be pickled.

        Raises:
            DraftError: the one that it raises.
            BusyError: too many jobs wait.
            LostError: its process died, or took too long.
        """
        result: Result = await self._asked(partial(function, *arguments), None)
        return result

    async def stream(self, function: Callable[..., Iterator[bytes]], *arguments: Any) -> IO[bytes]:
        """What a generator function yields, in a temporary file without a name, at its beginning.

        Raises:
            DraftError, BusyError, LostError: see `do`.
        """
        file: IO[bytes] = TemporaryFile(prefix="shirrline-")  # noqa: SIM115 - for the one who asked
        try:
            await self._asked(partial(function, *arguments), file)
            file.seek(0)
        except BaseException:
            file.close()
            raise
        return file

    async def _asked(self, job: Callable[[], Any], file: IO[bytes] | None) -> Any:
        if self._idle.empty() and self._waiting >= self.limits.waiting:
            raise BusyError("too many patterns are being made; try again in a moment")
        self._waiting += 1
        try:
            member = await self._idle.get()
        finally:
            self._waiting -= 1
        # Once begun a job is waited for, whoever has left meanwhile: its process is free only after it.
        answer = await asyncio.shield(self._begun(member, job, file))
        if isinstance(answer, DraftError):
            raise answer
        if isinstance(answer, BaseException):
            raise RuntimeError(f"{type(answer).__name__}: {answer}") from answer
        return answer

    def _begun(self, member: _Member, job: Callable[[], Any], file: IO[bytes] | None) -> asyncio.Task[Any]:
        async def run() -> Any:
            kept = member
            try:
                kept, answer = await anyio.to_thread.run_sync(self._answered, member, job, file, limiter=self._threads)
            finally:
                self._idle.put_nowait(kept)
            return answer

        return asyncio.get_running_loop().create_task(run())

    def _answered(self, member: _Member, job: Callable[[], Any], file: IO[bytes] | None) -> tuple[_Member, Any]:
        """The answer to a job, and who is there for the next one. In a thread of its own."""
        until = monotonic() + self.limits.seconds
        try:
            member.line.send((job, file is not None))
            while member.line.poll(max(0.0, until - monotonic())):
                kind, told = member.line.recv()
                if kind != "chunk":
                    return member, told
                if file is not None:
                    with suppress(ValueError):  # closed, by one who has left
                        file.write(told)
            lost = LostError(f"it took longer than {self.limits.seconds:g} s and was stopped; try a simpler one")
        except (EOFError, OSError):
            lost = LostError("it could not be made: its process died, perhaps for want of memory; try again")
        return self._replaced(member), lost

    def _replaced(self, member: _Member) -> _Member:
        member.process.kill()
        member.process.join()
        member.line.close()
        with self._changing:
            self._all.discard(member)
            return member if self._closed else self._hired()

    def _hired(self) -> _Member:
        context = get_context("spawn")  # safe beside threads, and the same on every system
        ours, theirs = context.Pipe()
        process = context.Process(target=_work, args=(theirs, self.limits.memory), daemon=True)
        process.start()
        theirs.close()
        member = _Member(process, ours)
        self._all.add(member)
        return member

    @property
    def pids(self) -> list[int]:
        """Of the processes that are there now."""
        return [member.process.pid for member in self._all if member.process.pid]

    def close(self) -> None:
        """End every process, whatever it does."""
        with self._changing:
            self._closed = True
            members = list(self._all)
        for member in members:
            with suppress(OSError):
                member.line.close()
        for member in members:
            member.process.join(PARTING)
            if member.process.is_alive():
                member.process.kill()
                member.process.join()


def _work(line: Connection, memory: int) -> None:
    """Do one job after the other until the line is closed."""
    interrupts.ignore()
    _bound(memory)
    while True:
        try:
            job, streamed = line.recv()
        except (EOFError, OSError):
            return
        try:
            made = job()
            if streamed:
                for chunk in made:
                    for start in range(0, len(chunk), CHUNK):
                        line.send(("chunk", bytes(chunk[start : start + CHUNK])))
                made = None
            told: tuple[str, Any] = ("done", made)
        except DraftError as error:
            told = ("done", error)
        except MemoryError:
            told = ("done", OutputError("it needs more memory than a page may take; ask for fewer pages at once"))
        except Exception as error:
            told = ("done", RuntimeError(f"{type(error).__name__}: {error}"))
        try:
            line.send(told)
        except (BrokenPipeError, OSError):
            return


def _bound(memory: int) -> None:
    """Let this process have so many MiB of address space, where a system can be asked to see to it."""
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - not there on every system

    _, most = resource.getrlimit(resource.RLIMIT_AS)
    wanted = memory << 20
    with suppress(ValueError, OSError):  # a system that knows no such limit
        resource.setrlimit(resource.RLIMIT_AS, (wanted if most == resource.RLIM_INFINITY else min(wanted, most), most))
