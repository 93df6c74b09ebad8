"""Many independent jobs at once, on processes of this machine, without losing one when one of them dies.

Each process has a line of its own to this one, and is handed one job after another by it: nothing is common to them
that could be left locked by one that dies. A machine that gives us no process at all has the jobs done in this one.
"""

from __future__ import annotations

import gc
import os
import pickle
import sys
from collections import deque
from collections.abc import Callable, Generator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from multiprocessing.process import BaseProcess
from threading import Thread
from typing import Any, Final, TypeVar

from blocks.quantity import read_count, shown
from drafting.errors import DraftError, OutputError
from output.system.interrupts import Uninterrupted, check, ignore
from output.system.progress import unseen

Item = TypeVar("Item")
Result = TypeVar("Result")

AHEAD: Final = 2
"""Jobs handed to each process while this one writes: one to do and one to go on with."""

MOST_WORKERS: Final = 61
"""As many processes as can be waited for at once on every system."""

QUICKEST: Final = "fork" if sys.platform == "linux" else "spawn"
"""How processes are started for a run of seconds: where they can be copies of this one, there is nothing to send."""

SMALL: Final = 8_000
"""Bytes that a line holds on every system: with more, this process would wait for one that waits for it."""

PARTING: Final = 1.0
"""Seconds that a process without work is given to end by itself."""


def processors() -> int:
    """How many processes can run here at once."""
    allowed = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(allowed or 1, MOST_WORKERS)


def workers_named(raw: int | str | None) -> int:
    """How many processes to use: as many as were asked for, or one for each processor.

    Raises:
        DraftError: not a whole number of 1 or more.
    """
    if raw is None:
        return processors()
    number = read_count(raw)
    if not number:
        raise DraftError(f"workers: {shown(raw)} is not a number of processes; give 1 or more")
    return number


def in_processes(
    function: Callable[[Item], Result], items: Sequence[Item], *, workers: int
) -> Generator[tuple[int, Result | None], None, None]:
    """The number of each item with what the function returns for it, in whatever order they finish.

    It is `None` for an item whose process died each time: what was under way when a process died is tried once more
    after all others, alone, so that the one that kills is told from one that was killed beside it. Few results wait at
    any moment, however many items there are. The function and its items must be picklable, and the function must return
    its failures: an exception ends the run.

    >>> sorted(in_processes(abs, [-3, 4], workers=1))
    [(0, 3), (1, 4)]
    """
    crew = _Crew("spawn", function, items, ahead=AHEAD)  # the same on every system, and safe beside threads
    with closing(crew.work(workers)) as answers:
        for number, answer in answers:
            yield number, answer[0] if answer else None


def shared(
    tasks: Sequence[Callable[[], Result]], *, workers: int, progress: Callable[[int, int], object] | None = None
) -> list[Result]:
    """What tasks of a run of seconds return, each done by the next process that is free; with one worker, by this one.

    `progress` is told how many more are done, and how many more there are. Tasks must be picklable.

    >>> shared([int, str], workers=1)
    [0, '']

    Raises:
        OutputError: a process died over a task, killed or out of memory, and so did the one that tried again.
    """
    tell = progress or unseen
    tell(0, len(tasks))
    crew = _Crew(QUICKEST, partial(_numbered, tasks), range(len(tasks)), ahead=1)
    results: dict[int, Result] = {}
    with closing(crew.work(workers) if min(workers, len(tasks)) > 1 else crew.work_here()) as answers:
        for number, answer in answers:
            if answer is None:
                raise OutputError("a worker process died; is there memory enough? Try again with --workers 1")
            results[number] = answer[0]
            tell(1, 0)
    return [results[number] for number in range(len(tasks))]


def _numbered(tasks: Sequence[Callable[[], Result]], number: int) -> Result:
    return tasks[number]()


@dataclass(frozen=True)
class _Answer:
    """What a helper says: that it has begun, or what came of its first job."""

    result: tuple[Any] | None = None
    fault: Exception | None = None


@dataclass(eq=False)
class _Helper:
    """A process, the line to it, and the numbers of the jobs it was handed, in the order in which it does them."""

    process: BaseProcess
    line: Any
    jobs: deque[int] = field(default_factory=deque)
    begun: bool = False
    dismissed: bool = False

    def hand(self, packed: bytes) -> None:
        """Send it a job, or none any more. If it has died, that is heard when it is listened to."""
        with suppress(OSError):
            self.line.send_bytes(packed)

    def answer(self) -> _Answer | None:
        """What it says next; nothing when it has died."""
        try:
            answer: _Answer = self.line.recv()
        except (EOFError, OSError):
            return None
        self.begun = True
        return answer

    def end(self) -> None:
        """End the process: at once, unless it has been told to go and needs but a moment."""
        if self.dismissed and self.begun:
            self.process.join(PARTING)
        if self.process.is_alive():
            self.process.kill()
        self.process.join()
        self.line.close()


@dataclass(eq=False)
class _Crew:
    """What is to be done: items by a function, on processes that are started in one way and handed so many `ahead`."""

    way: str
    function: Callable[[Any], Any]
    items: Sequence[Any]
    ahead: int
    waiting: deque[int] = field(default_factory=deque)
    places: int = 0
    helpers: list[_Helper] = field(default_factory=list)
    killers: list[int] = field(default_factory=list)

    def work(self, workers: int) -> Generator[tuple[int, tuple[Any] | None], None, None]:
        """The number of each item, with its result or with nothing if its process died twice."""
        try:
            yield from self._work_off(range(len(self.items)), workers)
            suspects, self.killers = self.killers, []
            for suspect in suspects:
                yield from self._work_off([suspect], 1)
            for killer in self.killers:
                yield killer, None
        finally:
            self._dismiss()  # a stop may have broken into where it is done; it comes but once

    def work_here(self) -> Generator[tuple[int, tuple[Any]], None, None]:
        """The same in this process."""
        for number, item in enumerate(self.items):
            check()
            yield number, (self.function(item),)

    def _work_off(self, numbers: Sequence[int], workers: int) -> Generator[tuple[int, tuple[Any]], None, None]:
        """Do the items of these numbers, but for those over which a process dies: they are kept as `killers`."""
        self.waiting.extend(numbers)
        self.places = min(workers, len(numbers), MOST_WORKERS)
        try:
            while self.waiting or any(helper.jobs for helper in self.helpers):
                check()
                self._hire()
                if not self.helpers:
                    number = self.waiting.popleft()
                    yield number, (self.function(self.items[number]),)
                    continue
                self._hand_out()
                busy = {helper.line: helper for helper in self.helpers if helper.jobs}
                for line in wait(list(busy)):
                    helper = busy[line]
                    answer = helper.answer()
                    if answer is None:
                        self._bury(helper)
                    elif answer.fault:
                        raise answer.fault
                    elif answer.result:
                        yield helper.jobs.popleft(), answer.result
        finally:
            self._dismiss()

    def _hire(self) -> None:
        """Start processes where there is work for them, as many as the system has for us."""
        while self.waiting and len(self.helpers) < self.places:
            with Uninterrupted():  # a process that is not in our list would be waited for at the end, and wait for us
                if helper := _hired(self.way, self.function):
                    self.helpers.append(helper)
                else:
                    self.places = len(self.helpers)

    def _hand_out(self) -> None:
        """Hand the helpers their next jobs: the first to all of them before a second to one."""
        for held in range(self.ahead):
            for helper in self.helpers:
                if self.waiting and len(helper.jobs) == held:
                    packed = pickle.dumps(self.items[self.waiting[0]])
                    if held == 0 or len(packed) <= SMALL:
                        helper.hand(packed)
                        helper.jobs.append(self.waiting.popleft())

    def _bury(self, helper: _Helper) -> None:
        """Take back what a helper that has died was not yet at."""
        if helper.begun:
            self.killers.append(helper.jobs.popleft())
        else:
            self.places -= 1  # where one cannot even begin, the next could not either
        self.waiting.extendleft(reversed(helper.jobs))
        helper.end()
        self.helpers.remove(helper)

    def _dismiss(self) -> None:
        """End all helpers."""
        for helper in self.helpers:
            if not helper.jobs:
                helper.hand(b"")
                helper.dismissed = True
        for helper in self.helpers:
            helper.end()
        self.helpers.clear()


def _hired(way: str, function: Callable[[Any], Any]) -> _Helper | None:
    """A new process, if the system has one for us; no signal may come until it looks after itself."""
    context: Any = get_context(way)
    try:
        ours, theirs = context.Pipe()
    except OSError:
        return None
    process = context.Process(target=_help, args=(theirs, function, gc.get_threshold()), daemon=True)
    try:
        process.start()
    except (OSError, ImportError):
        ours.close()
        return None
    finally:
        theirs.close()
    return _Helper(process, ours)


def _help(line: Any, function: Callable[[Any], Any], thresholds: tuple[int, ...]) -> None:
    """In a helping process: say that it has begun, then answer each job that comes along the line, until none does."""
    settle_worker(*thresholds)
    answer = _Answer()
    with suppress(EOFError, OSError):  # the other end is gone
        while True:
            line.send_bytes(_packed(answer))
            if not (packed := line.recv_bytes()):
                return
            try:
                answer = _Answer((function(pickle.loads(packed)),))
            except Exception as fault:
                answer = _Answer(fault=fault)


def _packed(answer: _Answer) -> bytes:
    """An answer as it is sent; one that cannot be is told as a fault of ours."""
    try:
        packed = pickle.dumps(answer)
        if answer.fault:
            pickle.loads(packed)
    except Exception as error:
        fault = answer.fault or error
        return pickle.dumps(_Answer(fault=RuntimeError(f"{type(fault).__name__}: {fault}")))
    return packed


def settle_worker(*thresholds: int) -> None:
    """Collect garbage as the parent does, leave it to the parent to stop, and do not outlive it."""
    gc.set_threshold(*thresholds)
    ignore()
    with suppress(RuntimeError):  # without a thread to be had, the end of the line is heard after the job
        Thread(target=_follow_parent, daemon=True).start()


def _follow_parent() -> None:
    parent = parent_process()
    assert parent is not None
    parent.join()
    os._exit(1)
