"""Jobs on processes of this machine: none is lost, whatever dies. The jobs are functions of this module."""

from __future__ import annotations

import os
import signal
import time
from functools import partial
from pathlib import Path

import pytest

from drafting.errors import OutputError
from output.pool import AHEAD, in_processes, processors, shared


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
    monkeypatch.setattr("output.pool.QUICKEST", start)
    lazy = Lazy()
    assert shared([lazy.used] * 12, workers=2) == [7] * 12


@pytest.mark.parametrize("start", ["fork", "spawn"])
def test_shared_work_is_done_once_and_told_as_it_goes(monkeypatch: pytest.MonkeyPatch, start: str) -> None:
    monkeypatch.setattr("output.pool.QUICKEST", start)
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


def test_an_exception_ends_shared_work() -> None:
    with pytest.raises(RuntimeError, match="item"):
        shared([partial(fail, number) for number in range(30)], workers=2)
