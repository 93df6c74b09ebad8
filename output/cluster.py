"""Many independent jobs at once on the workers of a Dask cluster, without losing one when a worker dies."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Collection, Generator, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import closing
from dataclasses import dataclass
from importlib import import_module
from itertools import islice
from pkgutil import resolve_name
from typing import Any, Final, TypeVar

from blocks.quantity import shown
from drafting.errors import DraftError, OutputError

Item = TypeVar("Item")
Result = TypeVar("Result")

ON_CLUSTER: Final = 128
"""Jobs handed to a cluster at a time, which is as many results as may wait for us in its memory and in ours."""

ADDRESS: Final = re.compile(r"(tcp|tls)://[^/\s]+:\d+")

PATIENCE: Final = 10.0
"""Seconds for a scheduler to answer, and again for its first worker to come."""


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
