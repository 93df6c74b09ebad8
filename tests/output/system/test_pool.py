"""Jobs on processes of this machine: none is lost, whatever dies. The jobs are functions of this module."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from multiprocessing import active_children
from pathlib import Path

import pytest

from drafting.errors import OutputError
from output.system.pool import AHEAD, in_processes, processors, shared


def square(number: int) -> int:
    return number * number


def square_slowly(number: int) -> int:
    time.sleep(0.01)
    return number * number


def who_does_it() -> int:
    time.sleep(0.02)
    return os.getpid()


def die_unless_here(here: int) -> None:
    time.sleep(0.02)
    if os.getpid() != here:
        os.kill(os.getpid(), signal.SIGKILL)


def die_once(job: tuple[int, Path]) -> int:
    """Kill the process, but only the first that is given this job."""
    number, marker = job
    if number == 3 and not marker.exists():
        marker.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def die_always(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def leave_mark(job: tuple[int, Path]) -> bytes:
    number, folder = job
    (folder / str(number)).touch()
    return b"done"


def fail(number: int) -> int:
    raise RuntimeError(f"item {number}")


@pytest.mark.parametrize("workers", [1, 2])
def test_every_item_is_done_once(workers: int) -> None:
    done = list(in_processes(square, range(40), workers=workers))
    assert sorted(done) == [(number, number * number) for number in range(40)]


def test_nothing_to_do_starts_no_process() -> None:
    assert list(in_processes(square, [], workers=2)) == []


@pytest.mark.parametrize("workers", [1, 2])
def test_jobs_of_a_killed_process_are_done_after_all(workers: int, tmp_path: Path) -> None:
    jobs = [(number, tmp_path / "died") for number in range(12)]
    assert sorted(in_processes(die_once, jobs, workers=workers)) == [(number, number) for number in range(12)]
    assert (tmp_path / "died").exists()


@pytest.mark.parametrize("workers", [1, 2])
def test_only_the_job_that_kills_is_given_up(workers: int) -> None:
    done = dict(in_processes(die_always, range(8), workers=workers))
    assert done == {number: None if number == 3 else number for number in range(8)}


def test_few_jobs_are_done_ahead_of_their_reader(tmp_path: Path) -> None:
    results = in_processes(leave_mark, [(number, tmp_path) for number in range(50)], workers=2)
    next(results)
    time.sleep(0.5)
    assert len(list(tmp_path.iterdir())) <= AHEAD * 2
    assert len(list(results)) == 49


def test_an_exception_ends_the_run() -> None:
    with pytest.raises(RuntimeError, match="item"):
        list(in_processes(fail, range(3), workers=2))


def test_there_is_a_processor() -> None:
    assert 1 <= processors() <= (os.cpu_count() or 1)


class Lazy:
    """A value that grows while it is used, as paths and pieces do when they first work something out."""

    def __init__(self) -> None:
        self.parts = {"number": 7}

    def used(self) -> int:
        for part in range(60):
            self.parts[f"part {part}"] = part
            time.sleep(0.0005)
        for part in range(60):
            del self.parts[f"part {part}"]
        return self.parts["number"]

    def __getstate__(self) -> dict[str, dict[str, int]]:
        packed = {}
        for name, value in self.parts.items():
            packed[name] = value
            time.sleep(0.0005)  # long enough for another thread to come between
        return {"parts": packed}


@pytest.mark.parametrize("start", ["fork", "spawn"])
def test_a_task_may_be_used_here_while_it_is_handed_to_a_worker(monkeypatch: pytest.MonkeyPatch, start: str) -> None:
    monkeypatch.setattr("output.system.pool.QUICKEST", start)
    lazy = Lazy()
    assert shared([lazy.used] * 12, workers=2) == [7] * 12


@pytest.mark.parametrize("start", ["fork", "spawn"])
def test_shared_work_is_done_once_and_told_as_it_goes(monkeypatch: pytest.MonkeyPatch, start: str) -> None:
    monkeypatch.setattr("output.system.pool.QUICKEST", start)
    told: list[tuple[int, int]] = []
    done = shared(
        [partial(square_slowly, number) for number in range(30)], workers=3, progress=lambda *more: told.append(more)
    )
    assert done == [number * number for number in range(30)]
    assert [sum(column) for column in zip(*told, strict=True)] == [30, 30]


def test_work_is_shared_with_other_processes() -> None:
    assert len(set(shared([who_does_it] * 30, workers=2))) == 2


def test_a_helper_that_dies_is_told() -> None:
    with pytest.raises(OutputError, match="--workers 1"):
        shared([partial(die_unless_here, os.getpid())] * 30, workers=2)


def nothing_to_be_had(*given: object, **more: object) -> None:
    raise BlockingIOError(11, "Resource temporarily unavailable")


def test_a_machine_without_processes_has_the_work_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """As under a limit on processes; semaphores and shared memory, which some machines lack, are not asked for."""
    monkeypatch.setattr("multiprocessing.popen_fork.Popen._launch", nothing_to_be_had)
    monkeypatch.setattr("multiprocessing.popen_spawn_posix.Popen._launch", nothing_to_be_had)
    monkeypatch.setattr("multiprocessing.synchronize.SemLock.__init__", nothing_to_be_had)
    assert set(shared([os.getpid] * 5, workers=3)) == {os.getpid()}
    assert sorted(in_processes(square, range(5), workers=3)) == [(n, n * n) for n in range(5)]


def test_a_machine_with_too_few_processes_has_the_work_done_by_those(monkeypatch: pytest.MonkeyPatch) -> None:
    from multiprocessing.popen_fork import Popen  # noqa: PLC0415 - not on every system

    plain, launched = Popen._launch, []

    def one(self: Popen, process: object) -> None:
        if launched:
            nothing_to_be_had()
        launched.append(process)
        plain(self, process)

    monkeypatch.setattr("output.system.pool.QUICKEST", "fork")
    monkeypatch.setattr(Popen, "_launch", one)
    (pid,) = set(shared([who_does_it] * 5, workers=3))
    assert pid != os.getpid()


def test_processes_that_cannot_even_begin_cost_no_job(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("output.system.pool.QUICKEST", "fork")
    monkeypatch.setattr("output.system.pool.settle_worker", lambda *thresholds: os.kill(os.getpid(), signal.SIGKILL))
    assert set(shared([os.getpid] * 5, workers=3)) == {os.getpid()}


def test_no_moment_of_death_makes_the_others_wait() -> None:
    """One helper is killed again and again, whatever it is at: the work is done by the others, or by its successors."""
    deaths = []

    def kill_one(done: int, more: int) -> None:
        for child in active_children()[:1] if done and len(deaths) < 40 else ():
            child.kill()
            deaths.append(done)

    tasks = [partial(square, number) for number in range(400)]
    with suppress(OutputError):  # the one that tried again was killed, too
        assert shared(tasks, workers=3, progress=kill_one) == [number * number for number in range(400)]
    assert deaths


def cannot_be_sent() -> object:
    return lambda: None


class OddError(Exception):
    """An error that no other process can make again."""

    def __init__(self, one: object, two: object) -> None:
        super().__init__(f"{one} and {two}")


def fail_oddly() -> None:
    raise OddError("one", "two")


@pytest.mark.parametrize(("task", "told"), [(cannot_be_sent, "lambda"), (fail_oddly, "OddError: one and two")])
def test_what_cannot_be_sent_back_is_told(task: Callable[[], object], told: str) -> None:
    with pytest.raises(RuntimeError, match=told):
        shared([task] * 5, workers=2)


def test_large_jobs_and_large_results_do_not_wait_for_one_another() -> None:
    large = b"x" * 3_000_000
    done = dict(in_processes(bytes.upper, [large] * 7, workers=2))
    assert done == dict.fromkeys(range(7), large.upper())


def test_an_exception_ends_shared_work() -> None:
    with pytest.raises(RuntimeError, match="item"):
        shared([partial(fail, number) for number in range(30)], workers=2)
