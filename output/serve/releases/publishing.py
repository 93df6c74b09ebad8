"""Publishing from a page: each run of the publish command in a process of its own, which tells how far it is.

A run goes on whoever watches. It is ended by SIGTERM, as the command is, and then the earlier release stays as it was;
so it is when the server stops, and when the server dies the run notices and ends itself.
"""

from __future__ import annotations

import asyncio
import atexit
import os
import signal
from collections.abc import AsyncIterator, Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import partial
from multiprocessing import get_context, parent_process
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from time import monotonic
from types import FrameType
from typing import Any, Final, NamedTuple

from blocks.design import Design
from blocks.quantity import shown
from drafting.errors import DraftError, OutputError
from output.commands.options import design_and_sizes
from output.commands.publish import PublishRequest, publish
from output.lays.file import lay_file_of
from output.serve.crew import BusyError
from output.serve.releases.comparison import Comparison, Release, Setting, compare, digest_of, read_release, settings_of
from output.system import interrupts
from output.system.interrupts import Uninterrupted
from output.system.journal import is_plain
from output.system.names import LONGEST_BYTES, RESERVED, on_line
from output.system.progress import Told, telling

MOST_RUNS: Final = 4
"""At once, each into a folder of its own."""

PATIENCE: Final = 10.0
"""Seconds that a run may take to end when it is asked to; a signal in the middle of a lay needs a moment."""

WATCHING: Final = 1.0
"""Seconds after which a run looks whether its server is still there."""

QUIET: Final = 15.0
"""Seconds after which one who waits for news is told that there are none."""

NICE: Final = 5
"""How far a run stands back, so that pages are drawn as quickly while it is under way."""

LOOKING: Final = 0.5
"""Seconds after which one who waits for news looks whether the server is being stopped."""

KINDS: Final = ("files", "lays", "guides")
"""What a run makes, in its order."""

LATE: Final = "It was asked to stop when the new release was in place already."
DIED: Final = "its process died, perhaps for want of memory; the earlier release is as it was, and you can try again"
FAULT: Final = "something went wrong on our side; the earlier release is as it was; please report it with the design"


class State(StrEnum):
    """Where a run is."""

    RUNNING = "under way"
    STOPPING = "being stopped"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a run, as the command says it, and what is new against the release before.

    `settings` are what its design said, and `digest` tells the release from others.
    """

    splitting: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    comparison: Comparison | None = None
    settings: Mapping[str, Setting] = field(default_factory=dict)
    digest: str = ""


class Counted(NamedTuple):
    """How many of a kind are done, of how many."""

    what: str
    done: int
    of: int


@dataclass(eq=False)
class Run:
    """One run, under way or ended; `form` is what was typed to ask for it."""

    request: PublishRequest
    form: Mapping[str, str] = field(default_factory=dict)
    state: State = State.RUNNING
    problems: tuple[str, ...] = ()
    outcome: Outcome = field(default_factory=Outcome)
    version: int = 0
    _counts: dict[str, list[int]] = field(default_factory=lambda: {what: [0, 0] for what in KINDS})
    _news: asyncio.Event = field(default_factory=asyncio.Event)

    @property
    def name(self) -> str:
        """Of the folder that it publishes into."""
        return str(self.request.out)

    @property
    def ended(self) -> bool:
        return self.state not in (State.RUNNING, State.STOPPING)

    @property
    def counts(self) -> tuple[Counted, ...]:
        """How many files, lays and guides are done, of those that are known of."""
        return tuple(Counted(what, *numbers) for what, numbers in self._counts.items() if numbers[1])

    @property
    def done(self) -> int:
        return sum(count.done for count in self.counts)

    @property
    def of(self) -> int:
        return sum(count.of for count in self.counts)

    def told(self) -> str:
        """How far it is, in words.

        >>> Run(PublishRequest(design="wren.toml", sizes="sizes.csv", out="wren")).told()
        'Beginning: the sizes are being drafted'
        """
        if not self.ended and not self.counts:
            return "Beginning: the sizes are being drafted"
        counted = ", ".join(f"{what} {done} of {of}" for what, done, of in self.counts)
        return counted[:1].upper() + counted[1:]

    def count(self, what: str, done: int, more: int) -> None:
        """Take note of what has been done."""
        numbers = self._counts.setdefault(what, [0, 0])
        numbers[0] += done
        numbers[1] += more
        self.changed()

    def changed(self) -> None:
        """Tell all who wait for news."""
        self.version += 1
        self._news.set()
        self._news = asyncio.Event()

    async def news(self, stopping: Callable[[], bool]) -> AsyncIterator[bool]:
        """Comes at once, and whenever something has changed; False: nothing has for a while. Ends with the run.

        A server that is `stopping` waits for its answers before anything else, so this one ends, too.
        """
        seen, last_told = -1, monotonic()
        while not stopping():
            fresh, ended = seen != self.version, self.ended
            if fresh or monotonic() - last_told > QUIET:
                seen, last_told = self.version, monotonic()
                yield fresh
            if ended:
                return
            if seen == self.version:
                with suppress(TimeoutError):
                    await asyncio.wait_for(self._news.wait(), LOOKING)


@dataclass
class Runs:
    """The runs of a served folder, the last one of each release. Use it within one event loop; `close` ends them."""

    folder: Path
    workers: int
    _runs: dict[str, Run] = field(default_factory=dict)
    _processes: dict[Run, BaseProcess] = field(default_factory=dict)
    _watching: dict[Run, asyncio.Task[None]] = field(default_factory=dict)
    _known: dict[str, tuple[str, Mapping[str, Setting]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._threads = ThreadPoolExecutor(MOST_RUNS, thread_name_prefix="run")
        atexit.register(self._end)  # were the server stopped before it can close

    def all(self) -> tuple[Run, ...]:
        """The last run of each release, the latest last."""
        return tuple(self._runs.values())

    def of(self, name: str) -> Run | None:
        """The last run into the folder of that name."""
        return self._runs.get(name)

    def start(self, request: PublishRequest, form: Mapping[str, str] | None = None) -> Run:
        """Begin a run: names of files in the request are those of the served folder.

        Raises:
            OutputError: the release's folder has no plain name, or a run into it is under way.
            BusyError: as many runs are under way as may be, or the system has no process for it.
        """
        name = release_name(str(request.out), self.folder)
        if (last := self.of(name)) and not last.ended:
            raise OutputError(f"{name}: a release is just being made there; wait until it is done, or cancel it")
        if len(self._processes) >= MOST_RUNS:
            raise BusyError(f"{MOST_RUNS} releases are just being made; wait until one is done, or cancel one")
        ours, theirs = get_context("spawn").Pipe(duplex=False)
        request = replace(request, out=name, workers=self.workers)
        process = get_context("spawn").Process(target=_run, args=(theirs, self.folder, request, self.settings(name)))
        try:
            process.start()
        except OSError:
            ours.close()
            raise BusyError("there is no process to be had for it just now; try again in a moment") from None
        finally:
            theirs.close()
        run = Run(request, form or {})
        self._runs.pop(name, None)
        self._runs[name] = run
        self._processes[run] = process
        self._watching[run] = asyncio.get_running_loop().create_task(self._watch(run, ours, process))
        return run

    def cancel(self, name: str) -> Run | None:
        """Have a run end; once more is no harm, and neither is it after its end."""
        run = self.of(name)
        if run and run.state is State.RUNNING:
            run.state = State.STOPPING
            self._processes[run].terminate()
            asyncio.get_running_loop().call_later(PATIENCE, self._kill, run)
            run.changed()
        return run

    def settings(self, name: str) -> Mapping[str, Setting] | None:
        """What the design of the release in that folder said, if it was made here."""
        digest, settings = self._known.get(name, ("", {}))
        return settings if digest and digest == digest_of(self.folder / name) else None

    async def close(self) -> None:
        """End every run, as a signal ends the command, and wait for it."""
        for name in list(self._runs):
            self.cancel(name)
        await asyncio.gather(*self._watching.values())
        self._threads.shutdown()
        atexit.unregister(self._end)

    def _kill(self, run: Run) -> None:
        if run in self._processes:
            self._processes[run].kill()

    def _end(self) -> None:
        for process in self._processes.values():
            process.terminate()

    async def _watch(self, run: Run, line: Connection, process: BaseProcess) -> None:
        """Hear a run out, to the end of its process."""
        loop = asyncio.get_running_loop()
        state: State = State.FAILED
        told: tuple[Any, ...] = (DIED,)
        with line:
            while True:
                try:
                    kind, *told_now = await loop.run_in_executor(self._threads, line.recv)
                except (EOFError, OSError):
                    break
                if kind == "count":
                    run.count(*told_now)
                else:
                    state, told = kind, tuple(told_now)
        await loop.run_in_executor(self._threads, process.join)
        process.close()
        del self._processes[run], self._watching[run]
        if state is State.DONE:
            run.outcome = told[0]
            self._known[run.name] = run.outcome.digest, run.outcome.settings
        elif state is State.FAILED and told == (DIED,) and run.state is State.STOPPING:
            state = State.STOPPED
        elif state is State.FAILED:
            run.problems = told
        run.state = state
        run.changed()


def release_name(raw: str, folder: Path) -> str:
    """The name of a release's folder, directly within the served folder.

    Raises:
        OutputError: it is no plain name, hidden, one that some system keeps for itself, or that of a link or a file.
    """
    name = raw.strip()
    plain = is_plain(name) and name.isprintable() and not set(name) & set('<>"|?*') and not name.startswith(".")
    if not plain or name.endswith(".") or name.partition(".")[0].casefold() in RESERVED:
        raise OutputError(f"folder: {shown(raw)} is no plain name; give a word or two, as in heron-release")
    if len(os.fsencode(name)) > LONGEST_BYTES:
        raise OutputError(f"folder: {shown(raw)} is longer than {LONGEST_BYTES} bytes; give a shorter name")
    place = folder / name
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        what = "a link, which leads elsewhere" if place.is_symlink() else "a file"
        raise OutputError(f"folder: {on_line(name)} is {what}; choose another name")
    return name


def _run(line: Connection, folder: Path, request: PublishRequest, known: Mapping[str, Setting] | None) -> None:
    """In the process of a run: publish within the folder, tell how far it is, and at last what came of it."""
    interrupts.heed()
    _heed_server()
    if hasattr(os, "nice"):
        os.nice(NICE)
    os.chdir(folder)

    def tell(*told: Any) -> None:
        with Uninterrupted(), suppress(OSError):  # half a message could not be read; the server may be gone
            line.send(told)

    before = digest_of(Path(request.out))
    try:
        told: tuple[Any, ...] = (State.DONE, _published(request, known, partial(tell, "count")))
    except KeyboardInterrupt:
        told = _stopped(request, before)
    except DraftError as error:
        told = (State.FAILED, *getattr(error, "problems", (str(error),)))
    except MemoryError:
        told = (State.FAILED, "memory: there is not enough of it; try again with fewer sizes")
    except Exception as error:
        # A library that was stopped in its work can fail later, in its own words.
        fault = (State.FAILED, f"{FAULT} ({type(error).__name__})")
        told = fault if interrupts.heard() is None else _stopped(request, before)
    interrupts.ignore()
    tell(*told)


def _published(request: PublishRequest, known: Mapping[str, Setting] | None, count: Told) -> Outcome:
    """Publish, and hold the release against the one before it."""
    folder = Path(request.out)
    design, table = design_and_sizes(request.design, request.sizes)
    lays = request.lays or (None if isinstance(request.design, Design) else lay_file_of(request.design))
    earlier = _release(folder, known)
    with telling(count):
        report = publish(replace(request, design=design, sizes=table, lays=lays))
    interrupts.ignore()  # it is in place: there is nothing to stop any more
    settings = settings_of(design)
    later = _release(folder, settings)
    unread = [one for one in (earlier, later) if isinstance(one, str)]
    compared = compare(earlier, later) if isinstance(later, Release) and not isinstance(earlier, str) else None
    return Outcome(
        lines=tuple(report.renewal.lines()),
        warnings=report.warnings,
        splitting=tuple(f"{report.made.parts}: {sentence}" for sentence in report.made.splitting),
        comparison=compared or Comparison(tuple(unread)),
        settings=settings,
        digest=digest_of(folder),
    )


def _release(folder: Path, settings: Mapping[str, Setting] | None) -> Release | str | None:
    """The release in a folder, or why it cannot be compared."""
    try:
        return read_release(folder, settings)
    except OutputError as error:
        return f"The releases cannot be compared: {error}"


def _stopped(request: PublishRequest, before: str) -> tuple[Any, ...]:
    """What came of a run that was asked to stop: nothing, unless all was written already."""
    now = digest_of(Path(request.out))
    return (State.STOPPED,) if now == before else (State.DONE, Outcome(lines=(LATE,), digest=now))


def _heed_server() -> None:
    """Stop when the server is gone without a word; without a timer of the system's, at the end of the run."""
    server = parent_process()

    def look(_number: int, _frame: FrameType | None) -> None:
        if server is not None and not server.is_alive():
            os.kill(os.getpid(), signal.SIGTERM)

    if hasattr(signal, "setitimer"):  # no thread: the run copies its process
        signal.signal(signal.SIGALRM, look)
        signal.setitimer(signal.ITIMER_REAL, WATCHING, WATCHING)
