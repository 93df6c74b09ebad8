"""The processes that draft for the pages: what is lost when one dies, hangs, or has enough, and what is not."""

from __future__ import annotations

import asyncio
import os
import signal
import subprocess
import sys
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from time import monotonic, sleep
from typing import Any, Final

import psutil
import pytest

from drafting.errors import DraftError, OutputError
from output.serve.crew import BusyError, Crew, Limits, LostError
from output.serve.fault import FaultError

ROOT: Final = Path(__file__).parents[3]

SOON: Final = 30.0
"""Seconds in which a process is there, or gone, on a machine that has much else to do."""


class TwoPartError(DraftError):
    """An error that cannot be made again from what it says."""

    def __init__(self, one: str, other: str) -> None:
        super().__init__(f"{one} and {other}")


def add(one: int, other: int) -> int:
    return one + other


def process() -> int:
    return os.getpid()


def nap(seconds: float, answer: int = 0) -> int:
    sleep(seconds)
    return answer


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def freeze() -> None:
    os.kill(os.getpid(), signal.SIGSTOP)


def refuse(kind: type[DraftError], *said: str) -> None:
    raise kind(*said)


def blunder(said: str) -> None:
    raise ZeroDivisionError(said)


def hoard() -> int:
    return len(bytearray(1 << 40))


def secret() -> Callable[[], None]:
    return lambda: None


def echo(said: bytes) -> bytes:
    return said


def chunks(number: int, each: int) -> Iterator[bytes]:
    for which in range(number):
        yield bytes([which % 256]) * each


def slow_file() -> Iterator[bytes]:
    for _ in range(10):
        yield b"x" * 100_000
        sleep(0.05)


def half_a_file() -> Iterator[bytes]:
    yield b"half"
    raise DraftError("no more of it")


def with_crew(job: Callable[[Crew], Awaitable[Any]], size: int = 1, **limits: Any) -> Any:
    async def run() -> Any:
        crew = Crew(size, Limits(**limits))
        try:
            return await job(crew)
        finally:
            crew.close()

    return asyncio.run(run())


async def until(true: Callable[[], object]) -> None:
    end = monotonic() + SOON
    while not true():
        assert monotonic() < end
        await asyncio.sleep(0.01)


def test_a_function_is_called_in_a_process_of_the_crew() -> None:
    async def job(crew: Crew) -> None:
        assert await crew.do(add, 1, 2) == 3
        assert [await crew.do(process)] == crew.pids
        assert await crew.do(process) != os.getpid()

    with_crew(job)


def test_its_process_begins_with_what_it_is_told_to_do() -> None:
    async def run() -> str:
        crew = Crew(1, begin=_begin)
        try:
            return await crew.do(os.getenv, "BEGUN") or ""
        finally:
            crew.close()

    assert asyncio.run(run()) == "yes"


def _begin() -> None:
    os.environ["BEGUN"] = "yes"


def test_one_that_cannot_begin_is_told_in_a_line_and_tried_again(capfd: pytest.CaptureFixture[str]) -> None:
    async def run() -> None:
        crew = Crew(1, Limits(patience=1.5), blunder_at_once)
        try:
            with pytest.raises(BusyError):
                await crew.do(add, 1, 2)
        finally:
            crew.close()

    asyncio.run(run())
    said = capfd.readouterr().err
    assert "internal error: ZeroDivisionError" in said
    assert "could not begin; another try" in said
    assert "Traceback" not in said
    assert "waist" not in said


def blunder_at_once() -> None:
    blunder("waist 76")


def test_errors_of_the_user_come_back_as_they_are() -> None:
    async def job(crew: Crew) -> None:
        with pytest.raises(OutputError, match=r"^leave me$"):
            await crew.do(refuse, OutputError, "leave me")
        with pytest.raises(DraftError, match=r"^this and that$"):
            await crew.do(refuse, TwoPartError, "this", "that")

    with_crew(job)


def test_a_fault_says_where_and_not_what_was_typed() -> None:
    async def job(crew: Crew) -> None:
        with pytest.raises(FaultError, match=r"^ZeroDivisionError") as caught:
            await crew.do(blunder, "waist 76")
        assert "76" not in str(caught.value)
        assert caught.value.__cause__ is None

    with_crew(job)


def test_an_answer_or_a_job_that_cannot_be_sent_is_a_fault_and_costs_no_process() -> None:
    async def job(crew: Crew) -> None:
        pid = await crew.do(process)
        with pytest.raises(FaultError):
            await crew.do(secret)
        with pytest.raises(Exception, match="pickle"):
            await crew.do(lambda: None)
        assert await crew.do(process) == pid

    with_crew(job)


def test_values_longer_than_any_buffer_go_both_ways() -> None:
    said = bytes(range(256)) * 20_000

    async def job(crew: Crew) -> None:
        assert await crew.do(echo, said) == said

    with_crew(job)


def test_the_process_that_worked_last_is_asked_first() -> None:
    async def job(crew: Crew) -> None:
        await asyncio.gather(*(crew.do(nap, 0.2) for _ in range(2)))
        assert len({await crew.do(process) for _ in range(20)}) == 1

    with_crew(job, 2)


def test_a_file_comes_chunk_by_chunk_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))

    async def job(crew: Crew) -> None:
        with await crew.stream(chunks, 7, 100_000) as file:
            assert file.read() == b"".join(chunks(7, 100_000))
            assert not list(tmp_path.iterdir())
        with pytest.raises(DraftError, match=r"^no more of it$"):
            await crew.stream(half_a_file)
        assert not list(tmp_path.iterdir())

    with_crew(job)


def test_a_file_may_have_so_many_bytes() -> None:
    async def job(crew: Crew) -> None:
        with pytest.raises(OutputError, match="longer than 1 MiB"):
            await crew.stream(chunks, 100, 100_000)
        assert await crew.do(add, 1, 1) == 2

    with_crew(job, file=1)


def test_no_room_for_a_file_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class Full:
        closed = False

        def tell(self) -> int:
            return 0

        def write(self, chunk: bytes) -> None:
            raise OSError(28, "No space left on device")

        def close(self) -> None:
            self.closed = True

    monkeypatch.setattr("output.serve.crew.TemporaryFile", lambda **about: Full())

    async def job(crew: Crew) -> None:
        with pytest.raises(LostError, match="no room"):
            await crew.stream(chunks, 2, 10)

    with_crew(job)


def test_a_process_that_dies_loses_its_job_alone_and_is_replaced() -> None:
    async def job(crew: Crew) -> None:
        await asyncio.gather(*(crew.do(nap, 0.2) for _ in range(2)))
        before = set(crew.pids)
        answers = await asyncio.gather(
            *(crew.do(die) if which == 3 else crew.do(nap, 0.02, which) for which in range(12)), return_exceptions=True
        )
        assert [answer for which, answer in enumerate(answers) if which != 3] == [0, 1, 2, *range(4, 12)]
        assert isinstance(answers[3], LostError)
        await until(lambda: len(crew.pids) == 2 and len(before & set(crew.pids)) == 1)

    with_crew(job, 2)


def test_a_process_that_dies_without_work_costs_nobody_anything() -> None:
    async def job(crew: Crew) -> None:
        for _ in range(3):
            os.kill(await crew.do(process), signal.SIGKILL)
            assert await crew.do(add, 2, 2) == 4

    with_crew(job)


@pytest.mark.parametrize(("function", "arguments"), [(nap, (60,)), (freeze, ())])
def test_a_job_may_take_so_long(function: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    async def job(crew: Crew) -> None:
        await crew.do(add, 0, 0)
        begun = monotonic()
        with pytest.raises(LostError, match=r"longer than 1 s .* ask for less"):
            await crew.do(function, *arguments)
        assert monotonic() - begun < SOON
        assert await crew.do(add, 1, 1) == 2

    with_crew(job, seconds=1)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the limit may be unknown to the system")
def test_a_job_may_take_so_much_memory() -> None:
    async def job(crew: Crew) -> None:
        pid = await crew.do(process)
        with pytest.raises(OutputError, match="more memory"):
            await crew.do(hoard)
        assert await crew.do(process) != pid

    with_crew(job)


def test_more_jobs_than_may_wait_are_refused() -> None:
    async def job(crew: Crew) -> None:
        await crew.do(add, 0, 0)
        answers = await asyncio.gather(*(crew.do(nap, 0.1, which) for which in range(6)), return_exceptions=True)
        assert [type(answer) for answer in answers] == [int] * 4 + [BusyError] * 2

    with_crew(job, waiting=3)


def test_a_job_waits_so_long_for_a_process() -> None:
    async def job(crew: Crew) -> None:
        while BusyError in map(type, await asyncio.gather(crew.do(add, 0, 0), return_exceptions=True)):
            pass  # the process is not there yet
        first = asyncio.create_task(crew.do(nap, 1.0, 5))
        await asyncio.sleep(0)
        with pytest.raises(BusyError):
            await crew.do(add, 0, 0)
        assert await first == 5
        assert await crew.do(add, 0, 3) == 3

    with_crew(job, patience=0.3)


def test_one_who_leaves_gets_nobody_elses_answer_and_costs_no_process() -> None:
    async def job(crew: Crew) -> None:
        pid = await crew.do(process)
        for _ in range(3):
            leaving = [asyncio.create_task(crew.do(nap, 0.1, -1)) for _ in range(3)]
            await asyncio.sleep(0.02)
            for one in leaving:
                one.cancel()
            assert await crew.do(add, 3, 4) == 7
        assert await crew.do(process) == pid

    with_crew(job)


def test_a_long_job_that_nobody_waits_for_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("output.serve.crew.LEFT", 0.1)

    async def job(crew: Crew) -> None:
        pid = await crew.do(process)
        leaving = asyncio.create_task(crew.do(nap, 600))
        await asyncio.sleep(0.05)
        leaving.cancel()
        assert await crew.do(process) != pid
        assert not psutil.pid_exists(pid)

    with_crew(job)


def test_one_who_leaves_a_file_costs_no_process() -> None:
    async def job(crew: Crew) -> None:
        pid = await crew.do(process)
        leaving = asyncio.create_task(crew.stream(slow_file))
        await asyncio.sleep(0.1)
        leaving.cancel()
        with await crew.stream(chunks, 3, 10) as file:
            assert file.read() == b"".join(chunks(3, 10))
        assert await crew.do(process) == pid

    with_crew(job)


def test_closed_amid_work_it_ends_at_once_and_leaves_no_process() -> None:
    async def run() -> list[int]:
        crew = Crew(2)
        await crew.do(add, 0, 0)
        jobs = [asyncio.create_task(crew.do(nap, 600)) for _ in range(5)]
        await asyncio.sleep(0.05)
        pids = crew.pids
        begun = monotonic()
        crew.close()
        answers = await asyncio.wait_for(asyncio.gather(*jobs, return_exceptions=True), SOON)
        assert monotonic() - begun < 5
        assert all(isinstance(answer, LostError | asyncio.CancelledError) for answer in answers), answers
        with pytest.raises(LostError):
            await crew.do(add, 0, 0)
        return pids

    assert not any(map(psutil.pid_exists, asyncio.run(run())))


def test_closed_while_it_begins_it_leaves_no_process() -> None:
    async def run() -> None:
        for pause in (0, 0.01, 0.05):
            crew = Crew(2)
            await asyncio.sleep(pause)
            crew.close()

    asyncio.run(run())
    assert not [child for child in psutil.Process().children() if "spawn_main" in " ".join(child.cmdline())]


ORPHANS: Final = """
import asyncio, sys
sys.path.insert(0, "tests/output/serve")
from output.serve.crew import Crew
from test_crew import nap, process

async def run():
    crew = Crew(2)
    busy = asyncio.create_task(crew.do(nap, 600))
    await crew.do(process)
    print(*crew.pids, flush=True)
    await busy

if __name__ == "__main__":
    asyncio.run(run())
"""


def test_no_process_outlives_a_server_that_is_killed(tmp_path: Path) -> None:
    """Neither the idle nor the busy: the one hears the end of its line, the other follows its parent."""
    script = tmp_path / "server.py"
    script.write_text(ORPHANS)
    path = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    server = subprocess.Popen(
        [sys.executable, script], cwd=ROOT, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": path}
    )
    assert server.stdout
    pids = [int(word) for word in server.stdout.readline().split()]
    assert len(pids) == 2
    server.kill()
    server.wait()
    server.stdout.close()
    asyncio.run(until(lambda: not any(map(psutil.pid_exists, pids))))


def test_a_place_where_no_process_can_begin_is_tried_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("output.serve.crew.AGAIN", 0.05)
    monkeypatch.setattr("output.serve.crew.get_context", _none_left)

    async def job(crew: Crew) -> None:
        await until(lambda: "no process for drafting" in capsys.readouterr().err)
        monkeypatch.undo()
        assert await crew.do(add, 1, 1) == 2

    with_crew(job)


def _none_left(way: str) -> None:
    raise OSError(24, "Too many open files")
