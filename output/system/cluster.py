"""Many independent jobs at once on the workers of a Dask cluster, without losing one when a worker dies."""

from __future__ import annotations

import logging
import re
import time
from collections.abc import Callable, Collection, Generator, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from importlib import import_module
from itertools import islice
from pkgutil import resolve_name
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any, Final, TypeVar

from blocks.quantity import shown
from drafting.errors import DraftError, OutputError

Item = TypeVar("Item")
Result = TypeVar("Result")

ON_CLUSTER: Final = 128
"""Jobs handed to a cluster at a time, which is as many results as may wait for us in its memory and in ours."""

ADDRESS: Final = re.compile(r"(?P<way>tcp|tls)://(\[[0-9A-Fa-f:.]+(%\w+)?\]|[^/\s:\[\]]+):(?P<port>[0-9]{1,5})")
"""An address with a name, an IPv4 address, or an IPv6 address in brackets."""

LAST_PORT: Final = 65_535

PATIENCE: Final = 10.0
"""Seconds for a scheduler to answer, whatever it is asked, and for its first worker to come."""

STALLED: Final = 900.0
"""Seconds in which some job must end. An order takes one or two; Dask itself gives a silent worker up after 300."""


def on_cluster(
    function: Callable[[Item], Result], items: Sequence[Item], *, scheduler: str
) -> Generator[tuple[int, Result | None], None, None]:
    """Run on the workers of a Dask scheduler that is already there, as at `tcp://127.0.0.1:8786`.

    The cluster runs the jobs of a dead worker again on another, as often as its settings allow. It cannot tell the one
    that kills from those that waited beside it; so each of them is tried once more, alone.

    Raises:
        DraftError: not an address, Dask is not installed here, or is not set up for an encrypted connection.
        OutputError: the scheduler does not answer or is lost, has no workers, or lacks the function's module; or no job
            ends.
    """
    address = ADDRESS.fullmatch(scheduler)
    if not address or not 0 < int(address["port"]) <= LAST_PORT:
        raise DraftError(f"scheduler: {shown(scheduler)} is not an address; write it as tcp://127.0.0.1:8786")
    dask = _dask()
    if address["way"] == "tls":
        _check_certificates(dask, scheduler)
    with _connected(dask, scheduler) as client:
        try:
            _check_module(client, function.__module__, scheduler)
            cluster = _Cluster(dask, client, scheduler)
            suspects = yield from cluster.run(function, enumerate(items), ahead=ON_CLUSTER)
            for number, _ in (yield from cluster.run(function, iter(suspects), ahead=1)):
                yield number, None
        except (CancelledError, OSError):  # a TimeoutError among them
            raise OutputError(
                f"scheduler: {scheduler} was lost; what is done is kept: start it and run the same again"
            ) from None


@dataclass(frozen=True, slots=True)
class _Cluster:
    """A Dask scheduler that we are connected to."""

    dask: Any
    client: Any
    address: str
    heard: list[float] = field(default_factory=lambda: [time.monotonic()])
    """When a job last ended."""

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
                except TimeoutError:  # its worker died with the result; it is being made again
                    self._check_alive()
                    continue
                except self.dask.KilledWorker:
                    killed.append(running.pop(future))
                else:
                    yield running.pop(future)[0], result
                self.heard[:] = [time.monotonic()]

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
                self._check_alive()

    def _check_alive(self) -> None:
        """See that the scheduler answers, that it has workers, and that they get anywhere."""
        if not _in_time(self.client.nthreads):
            raise OutputError(
                f"scheduler: {self.address} has lost its workers; what is done is kept: start some and run the same "
                "again"
            )
        if time.monotonic() - self.heard[0] > STALLED:
            raise OutputError(
                f"scheduler: {self.address}: no order has been finished for {STALLED / 60:.0f} minutes; what is done "
                "is kept: see what its workers are at, and run the same again"
            )


def _check_module(client: Any, module: str, scheduler: str) -> None:
    """Have the scheduler and every worker load the module: without it they would break down or wait for ever."""
    try:
        for run in (client.run_on_scheduler, client.run):
            _in_time(partial(run, resolve_name, f"{module}:__name__"), 3 * PATIENCE)  # loading takes a while
    except TimeoutError:
        raise OutputError(
            f"scheduler: {scheduler}: it or one of its workers does not answer; stop that one and run the same again"
        ) from None
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


def _check_certificates(dask: Any, scheduler: str) -> None:
    """See that Dask has what an encrypted connection needs, by its own settings."""
    try:
        context = dask.Security().get_connection_args("client").get("ssl_context")
    except (OSError, ValueError) as error:  # ssl.SSLError is an OSError
        raise DraftError(
            f"scheduler: {scheduler}: Dask's certificates cannot be used: {error}; see its settings "
            "distributed.comm.tls"
        ) from None
    if context is None:
        raise DraftError(
            f"scheduler: {scheduler}: Dask has no certificates for it; set DASK_DISTRIBUTED__COMM__TLS__CA_FILE and "
            "DASK_DISTRIBUTED__COMM__TLS__CLIENT__CERT to their files"
        )


@contextmanager
def _connected(dask: Any, scheduler: str) -> Iterator[Any]:
    """A client of the scheduler that has at least one worker."""
    try:
        client = _in_time(
            partial(dask.Client, scheduler, timeout=PATIENCE, set_as_default=False), 1.5 * PATIENCE
        )  # the library's own limit does not hold for a port that takes the call and says nothing
    except (OSError, ValueError, RuntimeError) as error:  # RuntimeError: it must be encrypted, or is of another version
        said = str(error) or "it takes the call and says nothing"
        raise OutputError(
            f"scheduler: {scheduler} does not answer: {said}; start it, or leave --scheduler out to use this machine"
        ) from None
    try:
        try:
            client.wait_for_workers(1, timeout=PATIENCE)
        except TimeoutError:
            raise OutputError(
                f"scheduler: {scheduler} has no workers; start some, or leave --scheduler out to use this machine"
            ) from None
        yield client
    finally:
        with suppress(Exception):  # how it parts from us is of no matter
            _in_time(client.close)


def _in_time(ask: Callable[[], Result], seconds: float | None = None) -> Result:
    """What a question to the cluster returns, asked in a thread that is left behind if there is no answer.

    Raises:
        TimeoutError: there is none within `seconds`, or `PATIENCE`.
    """
    answers: SimpleQueue[tuple[Result | None, Exception | None]] = SimpleQueue()

    def wait() -> None:
        try:
            answers.put((ask(), None))
        except Exception as error:
            answers.put((None, error))

    Thread(target=wait, daemon=True).start()
    try:
        answer, error = answers.get(timeout=PATIENCE if seconds is None else seconds)
    except Empty:
        raise TimeoutError from None
    if error is not None:
        raise error
    return answer  # type: ignore[return-value]  # nothing is an answer, too
