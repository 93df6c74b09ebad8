"""Signals end a run cleanly: one line, the usual exit code, nothing left over, no process left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from subprocess import PIPE

import psutil
import pytest

from children import HEEDFUL
from output.system.interrupts import StopError, Uninterrupted, check, heard, heed, restore
from quick import quick
from sampled import DESIGN

ROOT = Path(__file__).parents[3]
TABLE = """size,unit,waist_girth,hip_girth,body_rise,waist_to_hip
H100,cm,74.0,100,27.0,20.3
H104,cm,78.0,104,27.3,20.5
"""
CODES = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}
Start = Callable[..., subprocess.Popen[str]]


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    (tmp_path / "design.toml").write_bytes(Path(DESIGN).read_bytes())
    (tmp_path / "sizes.csv").write_text(TABLE)
    return tmp_path


@pytest.fixture(name="start")
def _start(shop: Path) -> Iterator[Start]:
    """Begins a run that has none of the signals ignored but one, whatever this process was started with."""
    runs: list[subprocess.Popen[str]] = []

    def start(command: str, *options: str, ignored: signal.Signals | None = None) -> subprocess.Popen[str]:
        ignore = f"import signal; signal.signal({int(ignored)}, signal.SIG_IGN)\n" if ignored else ""
        words = [command, str(shop / "design.toml"), str(shop / "sizes.csv"), *options, "--out", str(shop / "out")]
        code = f"{HEEDFUL}{ignore}import sys; from output.command import main; sys.exit(main())"
        runs.append(
            subprocess.Popen([sys.executable, "-c", code, *words], cwd=ROOT, stdout=PIPE, stderr=PIPE, text=True)
        )
        return runs[-1]

    yield start
    for run in runs:
        if run.poll() is None:
            run.kill()
        run.communicate()


def wait_for(condition: Callable[[], object], run: subprocess.Popen[str] | None = None) -> None:
    until = time.monotonic() + 60
    while not condition():
        assert time.monotonic() < until
        assert run is None or run.poll() is None, run.communicate()
        time.sleep(0.005)


def begun(shop: Path) -> bool:
    return (shop / ".out.shirrline").exists()


def children_of(run: subprocess.Popen[str]) -> list[psutil.Process]:
    return psutil.Process(run.pid).children(recursive=True)


@pytest.mark.parametrize("number", CODES)
@pytest.mark.parametrize("words", [("range", "--workers", "2"), ("publish", "--workers", "2", "--seconds", "60")])
def test_a_signal_ends_a_run_cleanly(shop: Path, start: Start, number: signal.Signals, words: tuple[str, ...]) -> None:
    before = {path.name for path in shop.iterdir()}
    run = start(*words)
    wait_for(lambda: begun(shop) and len(children_of(run)) > 0, run)
    children = children_of(run)
    run.send_signal(number)
    asked = time.monotonic()
    told, complaint = run.communicate(timeout=30)
    assert run.returncode == CODES[number]
    assert told == ""
    said = "interrupted" if number == signal.SIGINT else f"stopped by {number.name}"
    assert complaint == f"shirrline: {said}\n"
    assert {path.name for path in shop.iterdir()} == before
    assert time.monotonic() - asked < 10
    wait_for(lambda: not any(child.is_running() and child.status() != psutil.STATUS_ZOMBIE for child in children))


@pytest.mark.slow
@pytest.mark.parametrize("number", quick(CODES, lambda number: number == signal.SIGTERM))
def test_a_signal_ends_the_search_for_a_lay(shop: Path, start: Start, number: signal.Signals) -> None:
    before = {path.name for path in shop.iterdir()}
    run = start("lay", "--cloth", "140", "--seconds", "100")
    wait_for(lambda: begun(shop), run)
    time.sleep(2)
    run.send_signal(number)
    told, complaint = run.communicate(timeout=30)
    assert (run.returncode, told) == (CODES[number], "")
    assert len(complaint.splitlines()) == 1
    assert {path.name for path in shop.iterdir()} == before


@pytest.mark.parametrize("number", CODES)
def test_an_ignored_signal_stays_ignored(shop: Path, start: Start, number: signal.Signals) -> None:
    run = start("range", "--workers", "2", ignored=number)
    wait_for(lambda: begun(shop) and len(children_of(run)) > 0, run)
    for one in (psutil.Process(run.pid), *children_of(run)):
        one.send_signal(number)
    assert run.communicate(timeout=60)[1] == ""
    assert run.returncode == 0
    assert (shop / "out" / "tables.csv").exists()


@pytest.mark.parametrize(
    "words", quick(["range", "publish", "lay --cloth 140", "guide"], lambda words: words == "publish")
)
def test_a_second_run_into_the_folder_is_told_at_once(shop: Path, start: Start, words: str) -> None:
    first = start("publish", "--seconds", "100")
    wait_for(lambda: begun(shop), first)
    second = start(*words.split())
    told, complaint = second.communicate(timeout=60)
    assert (second.returncode, told) == (2, "")
    assert "another run is writing there" in complaint
    assert len(complaint.splitlines()) == 1
    first.terminate()
    first.communicate(timeout=30)
    assert not (shop / "out").exists()


def test_what_belongs_together_is_not_broken_into() -> None:
    before, done = heed(), []

    def all_of_it() -> None:
        with Uninterrupted():
            os.kill(os.getpid(), signal.SIGTERM)
            done.append("the rest")

    try:
        with pytest.raises(StopError) as stopped:
            all_of_it()
    finally:
        restore(before)
    assert stopped.value.number == signal.SIGTERM
    assert done == ["the rest"]


def test_a_stop_is_forgotten_by_a_caller_that_goes_on() -> None:
    before = heed()
    with pytest.raises(StopError):
        os.kill(os.getpid(), signal.SIGTERM)
    assert heard() == signal.SIGTERM
    restore(before)
    check()
    assert heard() is None


@pytest.mark.parametrize("raised", ["KeyError", "output.system.interrupts.StopError"])
def test_a_stop_that_a_library_took_for_its_own_affair_is_no_fault_of_ours(raised: str) -> None:
    """It goes on and fails later, or raises the stop anew with words of its own, as reportlab does."""
    code = f"""{HEEDFUL}
import signal, sys
import output.commands.draft, output.system.interrupts
from output.command import main

def half_done(arguments):
    try:
        signal.raise_signal(signal.SIGTERM)
    except BaseException:
        pass
    raise {raised}("half done")

output.commands.draft.draft = half_done
sys.exit(main(["draft", "design.toml", "sizes.csv", "--out", "out"]))
"""
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (143, "shirrline: stopped by SIGTERM\n")
