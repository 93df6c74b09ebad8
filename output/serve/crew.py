"""Drafting for the pages in processes of its own, each within a limit of time and of memory.

A process has one job at a time. One that dies or takes too long is replaced, and its job alone is lost: a job that
kills would kill again. What a job makes comes back as a value, or chunk by chunk into a temporary file without a name.
"""

from __future__ import annotations

import asyncio
import gc
import os
import pickle
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from io import BufferedRWPair
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from struct import Struct
from tempfile import TemporaryFile
from typing import IO, Any, Final, TypeVar

from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.errors import DraftError, OutputError
from output.serve.fault import FaultError, told
from output.system.pool import settle_worker
from output.system.streams import complain

Result = TypeVar("Result")

CHUNK: Final = 1 << 16
"""Bytes of a file that a process hands over at once."""

LENGTH: Final = Struct("!Q")
"""What goes before each message on a line: how many bytes it has."""

LEFT: Final = 2.0
"""Seconds that a job may still take when nobody waits for it any more; a process is worth more than a short one."""

AGAIN: Final = 1.0
"""Seconds before another process is tried where one could not begin."""

BUSY: Final = "too many patterns are being made; try again in a moment"
CLOSED: Final = "the pages are being closed; try again in a moment"

THREADS: Final = "OPENBLAS_NUM_THREADS"
"""Of the library under numpy, which sets space aside for each processor of the machine and has no use for it here."""


class BusyError(OutputError):
    """More is asked for than is done at once."""


class LostError(OutputError):
    """The process over a job has died, or took longer than it may."""


class _UnheardError(Exception):
    """A process died before it had heard of its job."""


@dataclass(frozen=True, slots=True)
class Limits(Parameters):
    """What a job may take, and how many may wait for a process."""

    called = "crew"

    seconds: float = parameter(60, "s", 0.1, 3600, "for one job", PRACTICE)
    memory: int = parameter(1536, "MiB", 256, 1 << 20, "of address space for one process", PRACTICE)
    file: int = parameter(256, "MiB", 1, 1 << 20, "of one temporary file", PRACTICE)
    waiting: int = parameter(64, "", 0, 10_000, "jobs that may wait for a process", PRACTICE)
    patience: float = parameter(20, "s", 0.1, 3600, "that a job waits for a process", PRACTICE)


class _Ending(asyncio.StreamReaderProtocol):
    """A line that is closed here when it is closed there: a process that has ended hears nothing more."""

    def eof_received(self) -> bool:
        super().eof_received()
        return False


@dataclass(frozen=True, eq=False)
class _Member:
    """A process and this end of its line."""

    process: BaseProcess
    reader: asyncio.StreamReader
    writer: asyncio.StreamWriter

    @classmethod
    async def of(cls, process: BaseProcess, line: socket.socket) -> _Member:
        loop = asyncio.get_running_loop()
        reader = asyncio.StreamReader(limit=4 * CHUNK)
        transport, protocol = await loop.create_connection(lambda: _Ending(reader), sock=line)
        return cls(process, reader, asyncio.StreamWriter(transport, protocol, reader, loop))

    async def hand(self, packed: bytes) -> None:
        self.writer.write(LENGTH.pack(len(packed)))
        self.writer.write(packed)
        await self.writer.drain()

    async def hear(self) -> tuple[str, Any]:
        """What it says next: its kind and what."""
        (length,) = LENGTH.unpack(await self.reader.readexactly(LENGTH.size))
        heard: tuple[str, Any] = pickle.loads(await self.reader.readexactly(length))
        return heard

    async def ended(self) -> None:
        """Wait until it has."""
        with suppress(OSError):
            await self.writer.wait_closed()

    def end(self) -> None:
        """End it, whatever it does."""
        self.writer.close()
        self.process.kill()


@dataclass
class Crew:
    """So many processes, each of which calls `begin` first. Make it and use it in one event loop; `close` ends all."""

    size: int
    limits: Limits = field(default_factory=Limits)
    begin: Callable[[], object] | None = None
    _idle: asyncio.LifoQueue[_Member | None] = field(default_factory=asyncio.LifoQueue)
    _processes: dict[BaseProcess, socket.socket | None] = field(default_factory=dict)
    _tasks: set[asyncio.Task[Any]] = field(default_factory=set)
    _waiting: int = 0
    _closed: bool = False

    def __post_init__(self) -> None:
        self._changing = threading.Lock()
        self._thresholds = gc.get_threshold()  # what drafting goes best with, whatever is set for listening later
        self._places = [self._task(self._place()) for _ in range(self.size)]

    async def do(self, function: Callable[..., Result], *arguments: Any) -> Result:
        """What a function of a module returns for values that can be pickled.

        Raises:
            DraftError: the one that it raises.
            BusyError: too many jobs wait, or this one has waited too long.
            LostError: its process died, or took too long.
            FaultError: the function has a fault.
        """
        result: Result = await self._asked((function, arguments, False), None)
        return result

    async def stream(self, function: Callable[..., Iterator[bytes]], *arguments: Any) -> IO[bytes]:
        """What a generator function yields, in a temporary file without a name, at its beginning.

        Raises:
            DraftError, BusyError, LostError, FaultError: see `do`.
        """
        file: IO[bytes] = TemporaryFile(prefix="shirrline-")  # noqa: SIM115 - for the one who asked
        try:
            await self._asked((function, arguments, True), file)
            file.seek(0)
        except BaseException:
            file.close()
            raise
        return file

    @property
    def pids(self) -> list[int]:
        """Of the processes that are there now."""
        with self._changing:
            return [process.pid for process in self._processes if process.pid]

    def close(self) -> None:
        """End every process, whatever it does; what is asked for meanwhile, or later, is lost."""
        with self._changing:
            self._closed = True
            for process in self._processes:
                process.kill()
            for process, line in self._processes.items():
                process.join()
                if line:
                    line.close()  # nobody has come for it
            self._processes.clear()
        for place in self._places:
            place.cancel()
        for _ in range(self._waiting):
            self._idle.put_nowait(None)

    async def _asked(self, job: tuple[Callable[..., Any], tuple[Any, ...], bool], file: IO[bytes] | None) -> Any:
        packed = pickle.dumps(job)
        while True:
            member = await self._free()
            task = self._task(self._answer(member, packed, file))
            try:
                kind, answer = await asyncio.shield(task)
            except _UnheardError:
                continue
            except asyncio.CancelledError:
                asyncio.get_running_loop().call_later(LEFT, task.cancel)
                raise
            if kind == "made":
                return answer
            raise answer if isinstance(answer, Exception) else FaultError(answer)

    async def _free(self) -> _Member:
        """A process without work, the one that worked last: its memory is the warmest."""
        if self._closed:
            raise LostError(CLOSED)
        if self._idle.empty() and self._waiting >= self.limits.waiting:
            raise BusyError(BUSY)
        self._waiting += 1
        try:
            async with asyncio.timeout(self.limits.patience):
                while member := await self._idle.get():
                    if not member.writer.is_closing():  # else it died without work
                        return member
                raise LostError(CLOSED)
        except TimeoutError:
            raise BusyError(BUSY) from None
        finally:
            self._waiting -= 1

    async def _answer(self, member: _Member, packed: bytes, file: IO[bytes] | None) -> tuple[str, Any]:
        """What a process says of a job. It has another only when it has answered: else it is ended."""
        begun = answered = False
        try:
            async with asyncio.timeout(self.limits.seconds):
                await member.hand(packed)
                await member.hear()
                begun = True
                while (heard := await member.hear())[0] == "chunk":
                    self._keep(file, heard[1])
                answered = True
                return heard
        except TimeoutError:
            return "lost", LostError(f"it took longer than {self.limits.seconds:g} s and was stopped; ask for less")
        except (EOFError, OSError):
            if not begun and not self._closed:
                raise _UnheardError from None
            return "lost", LostError("it could not be made: its process died, perhaps for want of memory; try again")
        except OutputError as error:
            return "lost", error
        finally:
            if answered:
                self._idle.put_nowait(member)
            else:
                member.end()

    def _keep(self, file: IO[bytes] | None, chunk: bytes) -> None:
        if file is None or file.closed:  # by one who has left
            return
        try:
            length = file.tell() + len(chunk)
            file.write(chunk)
        except OSError:
            raise LostError("it could not be kept: this machine has no room for it; try again later") from None
        if length > self.limits.file << 20:
            raise OutputError(f"it is longer than {self.limits.file} MiB; ask for fewer pages at once")

    async def _place(self) -> None:
        """One process after the other, until the crew is closed."""
        pause = AGAIN
        while True:
            try:
                process = await asyncio.to_thread(self._started)
            except (OSError, RuntimeError) as error:  # no process, no thread
                complain(f"no process for drafting can be started: {told(error)}; another try in {pause:g} s")
                await asyncio.sleep(pause)
                pause = min(2 * pause, 60)
                continue
            line, self._processes[process] = self._processes[process], None
            assert line is not None
            member = await _Member.of(process, line)
            try:
                async with asyncio.timeout(self.limits.seconds):
                    await member.hear()
            except (TimeoutError, EOFError, OSError):
                complain(f"a process for drafting could not begin; another try in {pause:g} s")
                await asyncio.sleep(pause)
                pause = min(2 * pause, 60)
            else:
                pause = AGAIN
                self._idle.put_nowait(member)
                await member.ended()
            finally:
                member.end()
            await asyncio.to_thread(self._buried, process)

    def _started(self) -> BaseProcess:
        """A new process. In a thread: it takes some milliseconds."""
        context = get_context("spawn")  # safe beside threads, and the same on every system
        with self._changing:
            if self._closed:
                raise LostError(CLOSED)
            ours, theirs = socket.socketpair()
            process = context.Process(
                target=_work, args=(theirs, self.limits.memory, self._thresholds, self.begin), daemon=True
            )
            try:
                process.start()
            except BaseException:
                ours.close()
                raise
            finally:
                theirs.close()
            self._processes[process] = ours
        return process

    def _buried(self, process: BaseProcess) -> None:
        process.join()
        with self._changing:
            self._processes.pop(process, None)

    def _task(self, doing: Any) -> asyncio.Task[Any]:
        task = asyncio.get_running_loop().create_task(doing)
        self._tasks.add(task)
        task.add_done_callback(self._over)
        return task

    def _over(self, task: asyncio.Task[Any]) -> None:
        self._tasks.discard(task)
        if not task.cancelled():
            task.exception()  # the one who asked has it, or has left


def _work(line: socket.socket, memory: int, thresholds: tuple[int, ...], begin: Callable[[], object] | None) -> None:
    """In a process of its own: say that it is ready, then do one job after the other until the line is closed."""
    settle_worker(*thresholds)
    os.environ[THREADS] = "1"
    _bound(memory)
    try:
        if begin:
            begin()
    except Exception as error:
        complain(f"internal error: {told(error)}; please report it")
        return
    gc.freeze()
    with suppress(EOFError, OSError), line.makefile("rwb") as stream:
        _say(stream, "ready")
        sound = True
        while sound:
            packed = _exactly(stream, *LENGTH.unpack(_exactly(stream, LENGTH.size)))
            _say(stream, "begun")
            sound = _answered(stream, packed)


def _answered(stream: BufferedRWPair, packed: bytes) -> bool:
    """Do a job and say what came of it; whether this process is fit for another."""
    try:
        function, arguments, streamed = pickle.loads(packed)
        made = function(*arguments)
        if streamed:
            for chunk in made:
                for start in range(0, len(chunk), CHUNK):
                    _say(stream, "chunk", bytes(chunk[start : start + CHUNK]))
            made = None
        _say(stream, "made", made)
    except DraftError as error:
        _say(stream, "refused", _sent(error))
    except MemoryError:
        _say(stream, "refused", OutputError("it needs more memory than a page may take; ask for fewer pages at once"))
        return False
    except Exception as error:
        _say(stream, "fault", told(error))
    return True


def _say(stream: BufferedRWPair, kind: str, what: Any = None) -> None:
    packed = pickle.dumps((kind, what))
    stream.write(LENGTH.pack(len(packed)))
    stream.write(packed)
    stream.flush()


def _sent(error: DraftError) -> DraftError:
    """An error as it can be sent."""
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # it is made of other things than it says
        return DraftError(str(error))
    return error


def _exactly(stream: BufferedRWPair, length: int) -> bytes:
    found = stream.read(length)
    if len(found) < length:
        raise EOFError
    return found


def _bound(memory: int) -> None:
    """Let this process have so many MiB of address space, where a system can be asked to see to it."""
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - not there on every system

    _, most = resource.getrlimit(resource.RLIMIT_AS)
    wanted = memory << 20
    with suppress(ValueError, OSError):  # a system that knows no such limit
        resource.setrlimit(resource.RLIMIT_AS, (wanted if most == resource.RLIM_INFINITY else min(wanted, most), most))
