"""Many independent jobs at once, on processes of this machine or on a Dask cluster, without losing one when one dies.

Both ways yield the number of an item with its result, in whatever order they finish; `None` for an item whose process
died each time it was tried. Few results wait at any moment, however many items there are. The function and its items
must be picklable, and the function must return its failures: an exception ends the run.
"""

from __future__ import annotations

import os
import signal
from collections import deque
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing
from importlib import import_module
from itertools import islice
from multiprocessing import get_context, parent_process
from threading import Thread
from typing import Any, Final, TypeVar

from drafting.errors import DraftError, OutputError

Item = TypeVar("Item")
Result = TypeVar("Result")

AHEAD: Final = 2
"""Jobs handed to each process of this machine: one to do and one to go on with."""

ON_CLUSTER: Final = 128
"""Jobs handed to a cluster at a time, which is as many results as may wait for us in its memory and in ours."""

MOST_WORKERS: Final = 61
"""As many processes as one pool can wait for on every system."""

PATIENCE: Final = 10.0
"""Seconds for a scheduler to answer, and again for its first worker to come."""


def processors() -> int:
    """How many processes can run here at once."""
    allowed = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(allowed or 1, MOST_WORKERS)


def in_processes(
    function: Callable[[Item], Result], items: Sequence[Item], *, workers: int
) -> Generator[tuple[int, Result | None], None, None]:
    """Run on processes of this machine.

    When one dies, it takes its pool along. Each item that was under way is tried once more in a pool of its own, which
    tells the one that kills from those beside it; then the rest goes on in a fresh pool.

    >>> sorted(in_processes(abs, [-3, 4], workers=1))
    [(0, 3), (1, 4)]
    """
    waiting = deque(enumerate(items))
    while waiting:
        for suspect in (yield from _until_one_dies(function, waiting, workers)):
            for number, _ in (yield from _until_one_dies(function, deque([suspect]), 1)):
                yield number, None


def _until_one_dies(
    function: Callable[[Item], Result], waiting: deque[tuple[int, Item]], workers: int
) -> Generator[tuple[int, Result], None, list[tuple[int, Item]]]:
    """Take items off the queue until it is empty or a process dies; return those that were under way then."""
    pool = ProcessPoolExecutor(
        min(workers, len(waiting), MOST_WORKERS),
        mp_context=get_context("spawn"),  # the same on every system, and safe beside threads
        initializer=_start_worker,
    )
    running: dict[Future[Result], tuple[int, Item]] = {}
    try:
        while waiting or running:
            while waiting and len(running) < AHEAD * workers:
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


def _start_worker() -> None:
    """Leave interrupts to the parent, which ends its workers, and do not outlive it should it be killed."""
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

    The cluster runs the jobs of a dead worker again on another, as often as its settings allow.

    Raises:
        DraftError: Dask is not installed here.
        OutputError: the scheduler does not answer, has no workers or is lost, or its workers lack this program.
    """
    dask = _dask()
    waiting = enumerate(items)
    running: dict[Any, int] = {}  # holds the futures, so that the cluster keeps their results

    with closing(_connected(dask, scheduler)) as client:

        def submit(count: int) -> list[Any]:
            some = {client.submit(function, item, pure=False): number for number, item in islice(waiting, count)}
            running.update(some)
            return list(some)

        finished = dask.as_completed(submit(ON_CLUSTER), loop=client.loop)
        for future in finished:
            try:
                result = future.result()
            except dask.KilledWorker:
                result = None
            except CancelledError:
                raise OutputError(
                    f"scheduler: {scheduler} was lost; what is done is kept: start it and run the same again"
                ) from None
            except ImportError as error:
                raise OutputError(
                    f"scheduler: {scheduler}: its workers cannot load the program: {error}; install the same version "
                    "of shirrline for every worker"
                ) from None
            yield running.pop(future), result
            finished.update(submit(1))


def _dask() -> Any:
    """Dask's library, an extra that most do without."""
    try:
        return import_module("distributed")
    except ImportError:
        raise DraftError("scheduler: Dask is not installed; run: pip install 'shirrline[cluster]'") from None


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
