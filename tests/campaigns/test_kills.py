"""Runs that are killed: at the steps by which they change the disk, and at any moment; runs that are asked to stop, and
runs on a disk that is full at one of those steps.

After each kill a folder holds exactly the earlier result or exactly the new one, and after the next run into it nothing
is left over, neither in it nor beside it. All of it by hand:

    CAMPAIGNS=long python -m pytest tests/campaigns/test_kills.py -rA
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from functools import partial
from io import StringIO
from itertools import count
from pathlib import Path
from typing import Any

import pytest

import output.commands.batch
import output.commands.draft
import output.commands.lay
import output.commands.publish
import output.commands.range
import output.lays.file
from campaigns.effort import rounds
from children import HEEDFUL
from lays import stacked
from output.command import main
from output.lays.file import LayFile
from output.system.stage import ENDING
from sampled import DESIGN
from steps_to_disk import at_step, killed, once_full

ROOT = Path(__file__).parents[2]
COLUMNS = "unit,waist_girth,hip_girth,body_rise,waist_to_hip"
TABLE = f"size,{COLUMNS}\nH100,cm,74.0,100,27.0,20.3\n"
ORDERS = f"order,{COLUMNS},rise,page,cloth_width\n" + "".join(
    f"M-{number},cm,{74 + number},100,27,20.3,high,A4,140\n" for number in range(3)
)
OPTIONS = {
    "draft": ["--page", "A4", "--page", "Letter"],
    "range": ["--rise", "high", "--workers", "1", "--page", "A4"],
    "publish": ["--rise", "high", "--workers", "1", "--page", "A4", "--seconds", "1"],
    "lay": ["--rise", "high", "--cloth", "140", "--seconds", "1"],
    "batch": ["--workers", "1"],
}
BEFORE, AFTER = "before", "after"
FOREIGN = {"notes.txt": b"mine", "photos/one.jpg": b"mine, too"}
STOPS = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}

Files = dict[str, bytes]


@dataclass
class Shop:
    """A folder with a design, before and after a change, a size table, an order book, and what the commands make."""

    folder: Path
    results: dict[tuple[str, str], Files] = field(default_factory=dict)
    kills: int = 0
    mixed: int = 0
    left_over: int = 0

    @property
    def out(self) -> Path:
        return self.folder / "out"

    @property
    def inputs(self) -> set[str]:
        return {
            "before.toml",
            "after.toml",
            "sizes.csv",
            "sizes.toml",
            "orders.csv",
            "before.lays.json",
            "after.lays.json",
        }

    def words(self, command: str, version: str) -> list[str]:
        table = {"draft": "sizes.toml", "batch": "orders.csv"}.get(command, "sizes.csv")
        paths = [str(self.folder / f"{version}.toml"), str(self.folder / table)]
        return [command, *paths, "--out", str(self.out), *OPTIONS[command]]

    def run(self, command: str, version: str) -> int:
        with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
            return main(self.words(command, version))

    def furnish(self, command: str) -> None:
        """Put the earlier result there, and beside it files that are not ours."""
        shutil.rmtree(self.out, ignore_errors=True)
        for name, data in (self.results[command, BEFORE] | FOREIGN).items():
            (self.out / name).parent.mkdir(parents=True, exist_ok=True)
            (self.out / name).write_bytes(data)
        (self.folder / "after.lays.json").unlink(missing_ok=True)

    def found(self) -> Files:
        inside = {path.relative_to(self.out).as_posix(): path for path in self.out.rglob("*") if path.is_file()}
        return {name: path.read_bytes() for name, path in inside.items() if ENDING not in name}

    def judge(self, command: str, next_run: Callable[[], int], *, listed: bool = False) -> None:
        """Count a kill and what is wrong after it, at once and after the next run."""
        self.kills += 1
        found, old, new = self.found(), self.results[command, BEFORE], self.results[command, AFTER]
        self.mixed += any(found.get(name) != data for name, data in FOREIGN.items())
        if command == "batch":  # each order's folder is put in place by itself
            for own in {name.partition("/")[0] for name in old | new}:
                part = {name: data for name, data in found.items() if name.partition("/")[0] == own}
                sides = [{n: d for n, d in side.items() if n.partition("/")[0] == own} for side in (old, new)]
                # A list of what failed, where something did, is neither of the two.
                self.mixed += part not in sides and not (listed and own == output.commands.batch.FAILURES)
        else:
            self.mixed += found not in (old | FOREIGN, new | FOREIGN)
        LayFile(self.folder / "after.lays.json")  # it is whole, or this raises
        assert next_run() == 0
        self.mixed += self.found() != new | FOREIGN
        beside = {path.name for path in self.folder.iterdir()} - self.inputs
        hidden = [path for path in self.folder.rglob("*") if ENDING in path.name]
        self.left_over += bool(beside - {"out"} or hidden)


def remembered(function: Callable[..., Any], answers: dict[object, Any]) -> Callable[..., Any]:
    """A slow, pure function, computed once for each of its calls in a run, which are alike; orders have a key."""
    calls = count()

    def asked(*given: Any, **options: Any) -> Any:
        number = next(calls)
        key = getattr(given[0], "key", number)
        if key not in answers:
            answers[key] = function(*given, **options)
        return answers[key]

    return asked


def in_this_process(function: Callable[[Any], Any], items: list[Any], *, workers: int) -> Iterator[tuple[int, Any]]:
    for number, item in enumerate(items):
        yield number, function(item)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """What the commands make is computed once; the tests then only write it. Lays are stacked, not searched for."""
    made = Shop(tmp_path_factory.mktemp("shop"))
    design = Path(DESIGN).read_text()
    (made.folder / "before.toml").write_text(design)
    (made.folder / "after.toml").write_text(design.replace("fullness = ", "fullness = 1.43 # "))
    (made.folder / "sizes.csv").write_text(TABLE)
    (made.folder / "sizes.toml").write_text(
        'size = "H100"\nunit = "cm"\nwaist_girth = 74\nhip_girth = 100\nbody_rise = 27\nwaist_to_hip = 20.3\n'
    )
    (made.folder / "orders.csv").write_text(ORDERS)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            output.lays.file, "lay_pieces", lambda pieces, cloth, *, rules, search: stacked(pieces, cloth, rules)
        )
        patch.setattr(output.commands.batch, "in_processes", in_this_process)
        for command in OPTIONS:
            for version in (BEFORE, AFTER):
                shutil.rmtree(made.out, ignore_errors=True)
                assert made.run(command, version) == 0
                made.results[command, version] = made.found()
            assert made.results[command, BEFORE] != made.results[command, AFTER]
        yield made


SLOW = (
    (output.commands.range, "printed"),
    (output.commands.range, "tabulated"),
    (output.commands.publish, "_printed"),
    (output.commands.publish, "_vectors"),
)
SLOW += (
    (output.commands.publish, "tabulated"),
    (output.commands.publish, "_guide"),
    (output.commands.publish, "lay_files"),
)
SLOW += ((output.commands.lay, "lay_files"), (output.commands.draft, "pattern_pdf"), (output.commands.batch, "_files"))


@pytest.fixture(name="quick")
def _quick(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Callable[[], int]]:
    """The run of a command with all that is slow computed beforehand."""

    def prepare(command: str) -> Callable[[], int]:
        memory: list[tuple[Any, str, Callable[..., Any], dict[object, Any]]] = [
            (module, name, getattr(module, name), {}) for module, name in SLOW
        ]

        def run() -> int:
            for module, name, function, answers in memory:
                monkeypatch.setattr(module, name, remembered(function, answers))
            return shop.run(command, AFTER)

        shop.furnish(command)
        assert run() == 0
        return run

    return prepare


def killed_at(number: int, run: Callable[[], int]) -> bool:
    """Run in a copy of this process that is killed at a step; false when the run has fewer."""
    child = os.fork()
    if not child:
        with at_step(number, killed):
            run()
        os._exit(0)
    _, status = os.waitpid(child, 0)
    assert not status or os.WTERMSIG(status) == signal.SIGKILL
    return status != 0


def steps_of(run: Callable[[], int]) -> int:
    with at_step(10**9, killed) as steps:
        assert run() == 0
    return len(steps)


@pytest.mark.parametrize("command", OPTIONS)
def test_kills_at_the_steps_of_replacing(shop: Shop, quick: Callable[[str], Callable[[], int]], command: str) -> None:
    run = quick(command)
    shop.furnish(command)
    steps = steps_of(run)
    chosen = sorted(random.Random(command).sample(range(steps), min(rounds(4, steps), steps)))
    shop.kills = shop.mixed = shop.left_over = 0
    for number in chosen:
        shop.furnish(command)
        assert killed_at(number, run)
        shop.judge(command, run)
    print(f"\n{command}: {shop.kills} kills at {steps} steps: {shop.mixed} mixed, {shop.left_over} left over")
    assert shop.kills == len(chosen)
    assert (shop.mixed, shop.left_over) == (0, 0)


@pytest.mark.parametrize("command", OPTIONS)
def test_a_disk_full_at_the_steps(shop: Shop, quick: Callable[[str], Callable[[], int]], command: str) -> None:
    """The command fails with one line and leaves what was there, or is done all the same; it is never our fault."""
    run = quick(command)
    shop.furnish(command)
    steps = steps_of(run)
    refused = 0
    shop.kills = shop.mixed = shop.left_over = 0
    for number in sorted(random.Random(command).sample(range(steps), min(rounds(6, steps), steps))):
        shop.furnish(command)
        with at_step(number, once_full()):
            code = run()
        assert code in (0, 2)
        refused += code == 2
        if command != "batch":  # there an order may fail and the others be done
            assert shop.found() == (shop.results[command, BEFORE] if code else shop.results[command, AFTER]) | FOREIGN
        shop.judge(command, run, listed=True)
    print(f"\n{command}: full at {shop.kills} of {steps} steps: {refused} refused, {shop.mixed} mixed")
    assert (shop.mixed, shop.left_over) == (0, 0)


def started(shop: Shop, command: str) -> subprocess.Popen[str]:
    """A run of its own, without anything computed beforehand."""
    stack = (
        "import output.lays.file; from lays import stacked\n"
        "output.lays.file.lay_pieces = lambda pieces, cloth, *, rules, search: stacked(pieces, cloth, rules)\n"
    )
    code = (
        f"{HEEDFUL}import sys; sys.path.insert(0, 'tests')\n{stack}from output.command import main\n"
        "print('ready', flush=True)\nsys.exit(main())\n"
    )
    words = [sys.executable, "-c", code, *shop.words(command, AFTER)]
    return subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def time_of(shop: Shop, command: str) -> float:
    begun = time.monotonic()
    with started(shop, command) as run:
        complaint = run.communicate(timeout=120)[1]
    assert run.returncode == 0, complaint
    return time.monotonic() - begun


def test_kills_at_any_moment(shop: Shop) -> None:
    chance = random.Random(7)
    shop.kills = shop.mixed = shop.left_over = 0
    takes: dict[str, float] = {}
    for number in range(rounds(2, 200)):
        command = ("publish", "range", "lay", "draft")[number % 4]
        shop.furnish(command)
        takes.setdefault(command, time_of(shop, command))
        shop.furnish(command)
        with started(shop, command) as run:
            time.sleep(chance.uniform(0.3, 1.1) * takes[command])
            run.kill()
            run.communicate()
        shop.judge(command, partial(shop.run, command, AFTER))
    print(f"\nat any moment: {shop.kills} kills: {shop.mixed} mixed, {shop.left_over} left over")
    assert (shop.mixed, shop.left_over) == (0, 0)


def test_stops_at_any_moment(shop: Shop) -> None:
    """A run that is asked to stop leaves nothing over itself, and says so in one line."""
    chance = random.Random(8)
    stopped = 0
    takes: dict[str, float] = {}
    for number in range(rounds(2, 60)):
        command = ("range", "publish", "draft", "lay")[number % 4]
        sign = list(STOPS)[number % 3]
        shop.furnish(command)
        takes.setdefault(command, time_of(shop, command))
        shop.furnish(command)
        with started(shop, command) as run:
            assert run.stdout is not None
            assert run.stdout.readline() == "ready\n"  # before, Python itself is begun
            time.sleep(0.05 + chance.random() * takes[command])
            run.send_signal(sign)
            _, complaint = run.communicate(timeout=60)
        beside = {path.name for path in shop.folder.iterdir()} - shop.inputs
        assert beside == {"out"}
        assert not [path for path in shop.folder.rglob("*") if ENDING in path.name]
        assert shop.found() in (shop.results[command, BEFORE] | FOREIGN, shop.results[command, AFTER] | FOREIGN)
        if run.returncode:
            assert run.returncode == STOPS[sign], complaint
            assert len(complaint.splitlines()) == 1, complaint
            stopped += 1
    print(f"\n{stopped} runs stopped, nothing left over")
