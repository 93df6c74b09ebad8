"""Many independent jobs at once, on processes of this machine or on a Dask cluster, without losing one when one dies.

Both ways yield the number of an item with its result, in whatever order they finish; `None` for an item whose process
died each time it was tried. Few results wait at any moment, however many items there are. The function and its items
must be picklable, and the function must return its failures: an exception ends the run.
"""

from __future__ import annotations

import gc
import logging
import os
import re
import signal
import sys
from collections import deque
from collections.abc import Callable, Collection, Generator, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing, contextmanager
from dataclasses import dataclass
from importlib import import_module
from itertools import islice
from multiprocessing import get_context, parent_process
from pkgutil import resolve_name
from threading import Thread
from typing import Any, Final, TypeVar

from blocks.quantity import shown
from drafting.errors import DraftError, OutputError

Item = TypeVar("Item")
Result = TypeVar("Result")

AHEAD: Final = 2
"""Jobs handed to each process of this machine: one to do and one to go on with."""

ON_CLUSTER: Final = 128
"""Jobs handed to a cluster at a time, which is as many results as may wait for us in its memory and in ours."""

MOST_WORKERS: Final = 61
"""As many processes as one pool can wait for on every system."""

QUICKEST: Final = "fork" if sys.platform == "linux" else "spawn"
"""How processes are started for a run of seconds: where they can be copies of this one, there is nothing to send."""

ADDRESS: Final = re.compile(r"(tcp|tls)://[^/\s]+:\d+")

PATIENCE: Final = 10.0
"""Seconds for a scheduler to answer, and again for its first worker to come."""


def processors() -> int:
    """How many processes can run here at once."""
    allowed = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(allowed or 1, MOST_WORKERS)


def workers_named(raw: str | None) -> int:
    """How many processes to use: as many as were asked for, or one for each processor.

    Raises:
        DraftError: not a whole number of 1 or more.
    """
    if raw is None:
        return processors()
    number = int(raw) if raw.isdecimal() else 0
    if number < 1:
        raise DraftError(f"workers: {shown(raw)} is not a number of processes; give 1 or more")
    return number


def in_processes(
    function: Callable[[Item], Result], items: Sequence[Item], *, workers: int
) -> Generator[tuple[int, Result | None], None, None]:
    """Run on processes of this machine.

    When one dies, it takes its pool along. The items that were under way are tried once more, one at a time, which
    tells the one that kills from those beside it; then the rest goes on in a fresh pool.

    >>> sorted(in_processes(abs, [-3, 4], workers=1))
    [(0, 3), (1, 4)]
    """
    waiting = deque(enumerate(items))
    while waiting:
        suspects = deque((yield from _until_one_dies(function, waiting, workers, ahead=AHEAD * workers)))
        while suspects:
            for number, _ in (yield from _until_one_dies(function, suspects, 1, ahead=1)):
                yield number, None


def _until_one_dies(
    function: Callable[[Item], Result], waiting: deque[tuple[int, Item]], workers: int, *, ahead: int
) -> Generator[tuple[int, Result], None, list[tuple[int, Item]]]:
    """Take items off the queue until it is empty or a process dies; return those that were under way then."""
    pool = ProcessPoolExecutor(
        min(workers, len(waiting), MOST_WORKERS),
        mp_context=get_context("spawn"),  # the same on every system, and safe beside threads
        initializer=_start_worker,
        initargs=gc.get_threshold(),
    )
    running: dict[Future[Result], tuple[int, Item]] = {}
    try:
        while waiting or running:
            while waiting and len(running) < ahead:
                running[pool.submit(function, waiting[0][1])] = waiting[0]
                waiting.popleft()
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                result = future.result()
                yield running.pop(future)[0], result
    except BrokenProcessPool:
        return list(running.values())
    finally:
        pool.shutdown(cancel_futures=True)
    return []


def shared(
    tasks: Sequence[Callable[[], Result]], *, workers: int, progress: Callable[[int, int], object] | None = None
) -> list[Result]:
    """What tasks of a run of seconds return: this process and `workers` - 1 more each take the next when they are free.

    `progress` is told how many more are taken or done, and how many more there are. Tasks must be picklable.

    >>> shared([int, str], workers=1)
    [0, '']

    Raises:
        OutputError: a process died, killed or out of memory.
    """
    tell = progress or _say_nothing
    tell(0, len(tasks))
    helpers = min(workers, MOST_WORKERS, len(tasks)) - 1
    context = get_context(QUICKEST)
    queue = _Queue(context.Value("L", 0), len(tasks), tell)
    if helpers < 1:
        return [result for _, result in _taken(tasks, queue)]
    pool = ProcessPoolExecutor(
        helpers, mp_context=context, initializer=_join, initargs=(tasks, queue.next, gc.get_threshold())
    )
    helped = True
    try:
        others = [pool.submit(_take_part) for _ in range(helpers)]
        results = dict(_taken(tasks, queue))
        helped = len(results) < len(tasks)
        for other in others if helped else ():
            results.update(other.result())
        return [results[number] for number in range(len(tasks))]
    except BrokenProcessPool:
        raise OutputError("a worker process died; is there memory enough? Try again with --workers 1") from None
    finally:
        queue.close()
        # A helper that is still loading what it needs when all is done is not waited for.
        pool.shutdown(wait=helped or QUICKEST == "fork", cancel_futures=True)


@dataclass
class _Queue:
    """The numbers of the tasks, each handed out once; `next` is common to all processes."""

    next: Any
    count: int
    tell: Callable[[int, int], object]
    told: int = 0

    def __iter__(self) -> Iterator[int]:
        while True:
            with self.next.get_lock():
                number = self.next.value
                self.next.value += 1
            handed_out = min(number, self.count)
            self.tell(handed_out - self.told, 0)
            self.told = handed_out
            if number >= self.count:
                return
            yield number

    def close(self) -> None:
        """Have all processes stop after the task that they are at."""
        with self.next.get_lock():
            self.next.value = self.count


def _taken(tasks: Sequence[Callable[[], Result]], queue: Iterable[int]) -> list[tuple[int, Result]]:
    return [(number, tasks[number]()) for number in queue]


_part: Any = None
"""In a helping process: the tasks, and the queue of their numbers."""


def _join(tasks: Sequence[Callable[[], Any]], following: Any, thresholds: tuple[int, ...]) -> None:
    global _part  # noqa: PLW0603 - a process is begun with it and has no other place to keep it
    _part = tasks, _Queue(following, len(tasks), _say_nothing)
    _start_worker(*thresholds)


def _take_part() -> list[tuple[int, Any]]:
    return _taken(*_part)


@contextmanager
def bar(what: str) -> Iterator[Callable[[int, int], object]]:
    """Progress for work that is shared: a bar on a terminal when the run takes longer than a second."""
    if not sys.stderr.isatty():
        yield _say_nothing
        return
    from tqdm import tqdm  # noqa: PLC0415 - slow to import, and often not needed

    tqdm.monitor_interval = 0  # its watching thread would be copied half with this process
    with tqdm(total=0, desc=what, unit="", delay=1, leave=False) as shown:

        def moved(done: int, more: int) -> None:
            shown.total = (shown.total or 0) + more
            shown.update(done)

        yield moved


def _say_nothing(done: int, more: int) -> None:
    """Progress that nobody watches."""


def _start_worker(*thresholds: int) -> None:
    """Collect garbage as the parent does, leave interrupts to it, which ends its workers, and do not outlive it."""
    gc.set_threshold(*thresholds)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_follow_parent, daemon=True).start()


def _follow_parent() -> None:
    parent = parent_process()
    assert parent is not None
    parent.join()
    os._exit(1)


def on_cluster(
    function: Callable[[Item], Result], items: Sequence[Item], *, scheduler: str
) -> Generator[tuple[int, Result | None], None, None]:
    """Run on the workers of a Dask scheduler that is already there, as at `tcp://127.0.0.1:8786`.

    The cluster runs the jobs of a dead worker again on another, as often as its settings allow. It cannot tell the one
    that kills from those that waited beside it; so each of them is tried once more, alone.

    Raises:
        DraftError: not an address, or Dask is not installed here.
        OutputError: the scheduler does not answer or is lost, has no workers, or lacks the function's module.
    """
    if not ADDRESS.fullmatch(scheduler):
        raise DraftError(f"scheduler: {shown(scheduler)} is not an address; write it as tcp://127.0.0.1:8786")
    dask = _dask()
    with closing(_connected(dask, scheduler)) as client:
        try:
            _check_module(client, function.__module__, scheduler)
            cluster = _Cluster(dask, client, scheduler)
            suspects = yield from cluster.run(function, enumerate(items), ahead=ON_CLUSTER)
            for number, _ in (yield from cluster.run(function, iter(suspects), ahead=1)):
                yield number, None
        except (CancelledError, OSError):
            raise OutputError(
                f"scheduler: {scheduler} was lost; what is done is kept: start it and run the same again"
            ) from None


@dataclass(frozen=True, slots=True)
class _Cluster:
    """A Dask scheduler that we are connected to."""

    dask: Any
    client: Any
    address: str

    def run(
        self, function: Callable[[Item], Result], waiting: Iterator[tuple[int, Item]], *, ahead: int
    ) -> Generator[tuple[int, Result], None, list[tuple[int, Item]]]:
        """Run every item and return those whose workers died too often."""
        running: dict[Any, tuple[int, Item]] = {}  # holds the futures, so that the cluster keeps their results
        killed: list[tuple[int, Item]] = []
        while True:
            for number, item in islice(waiting, ahead - len(running)):
                running[self.client.submit(function, item, pure=False)] = number, item
            if not running:
                return killed
            for future in self._finished(list(running)):
                try:
                    result = future.result(timeout=PATIENCE)
                except TimeoutError:
                    continue  # its worker died with the result; it is being made again
                except self.dask.KilledWorker:
                    killed.append(running.pop(future))
                else:
                    yield running.pop(future)[0], result

    def _finished(self, futures: Sequence[Any]) -> Collection[Any]:
        """Those that have finished, at least one."""
        while True:
            try:
                with self.client.as_current():
                    done: Collection[Any] = self.dask.wait(
                        futures, timeout=PATIENCE, return_when="FIRST_COMPLETED"
                    ).done
                return done
            except TimeoutError:
                if not self.client.nthreads():
                    raise OutputError(
                        f"scheduler: {self.address} has lost its workers; what is done is kept: start some and run "
                        "the same again"
                    ) from None


def _check_module(client: Any, module: str, scheduler: str) -> None:
    """Have the scheduler and every worker load the module: without it they would break down or wait for ever."""
    try:
        for run in (client.run_on_scheduler, client.run):
            run(resolve_name, f"{module}:__name__")
    except ImportError as error:
        raise OutputError(
            f"scheduler: {scheduler}: the program cannot be loaded there: {error}; install the same version of "
            "shirrline for the scheduler and for every worker"
        ) from None


def _dask() -> Any:
    """Dask's library, an extra that most do without."""
    try:
        library = import_module("distributed")
    except ImportError:
        raise DraftError("scheduler: Dask is not installed; run: pip install 'shirrline[cluster]'") from None
    for name in ("distributed", "distributed.client"):
        logging.getLogger(name).setLevel(logging.CRITICAL)  # what goes wrong is an error of ours, told on one line
    return library


def _connected(dask: Any, scheduler: str) -> Any:
    """A client of the scheduler that has at least one worker."""
    try:
        client = dask.Client(scheduler, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise OutputError(
            f"scheduler: {scheduler} does not answer: {error}; start it, or leave --scheduler out to use this machine"
        ) from None
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
    except TimeoutError:
        client.close()
        raise OutputError(
            f"scheduler: {scheduler} has no workers; start some, or leave --scheduler out to use this machine"
        ) from None
    return client
