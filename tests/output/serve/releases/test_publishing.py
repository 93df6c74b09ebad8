"""A run of publish in a process of its own tells how far it is, can be cancelled, and leaves nothing half done."""

from __future__ import annotations

import asyncio
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import psutil
import pytest

from children import HEEDFUL
from drafting.errors import DraftError, OutputError
from output.commands.inspect import InspectRequest, inspect
from output.commands.publish import PublishReport, PublishRequest, publish
from output.serve.releases import publishing
from output.serve.releases.publishing import Run, Runs, State, release_name
from output.system.progress import bar, expect, telling
from sampled import SAMPLES

ROOT = Path(__file__).parents[4]
PATIENCE = 60


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    """The sample with three of its sizes, and the lays that were found for them."""
    for name in ("design.toml", "design.lays.json"):
        shutil.copy(SAMPLES / name, tmp_path)
    table = (SAMPLES / "sizes.csv").read_text().splitlines(keepends=True)
    (tmp_path / "sizes.csv").write_text("".join(table[:4]))
    return tmp_path


def asked(**more: object) -> PublishRequest:
    given = {"design": "design.toml", "sizes": "sizes.csv", "out": "heron", "pages": ("A4",), "rises": ("mid",)}
    return PublishRequest(**{**given, "seconds": 1, **more})  # type: ignore[arg-type]


def earlier_release(shop: Path) -> dict[str, bytes]:
    """A folder as a release leaves it, as far as a run looks at it before it has anything to put there."""
    (shop / "heron").mkdir()
    (shop / "heron" / "tables.csv").write_bytes(b"table,size\r\n")
    (shop / "heron" / "note.txt").write_bytes(b"a note of the workroom")
    return content(shop / "heron")


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


async def until(condition: Callable[[], object]) -> None:
    end = time.monotonic() + PATIENCE
    while not condition():
        assert time.monotonic() < end
        await asyncio.sleep(0.01)


def children() -> list[psutil.Process]:
    return [
        one
        for one in psutil.Process().children(recursive=True)
        if "resource_tracker" not in " ".join(one.cmdline()) and one.status() != psutil.STATUS_ZOMBIE
    ]


async def to_the_end(run: Run) -> list[tuple[int, int, str]]:
    return [(run.done, run.of, run.told()) async for fresh in run.news(bool) if fresh]


def test_a_run_tells_how_far_it_is_and_leaves_a_release_that_is_as_published(shop: Path) -> None:
    async def scenario() -> tuple[Run, list[tuple[int, int, str]]]:
        runs = Runs(shop, workers=1)
        run = runs.start(asked())
        steps = await to_the_end(run)
        assert runs.settings("heron") == run.outcome.settings
        await runs.close()
        return run, steps

    run, steps = asyncio.run(scenario())
    assert run.state is State.DONE
    assert [done for done, _, _ in steps] == sorted(done for done, _, _ in steps)
    assert [of for _, of, _ in steps] == sorted(of for _, of, _ in steps)
    done, of, told = steps[-1]
    assert done == of == sum(count.of for count in run.counts)
    assert {count.what: count.of for count in run.counts} == {"files": 4, "lays": 3, "guides": 1}
    assert told == "Files 4 of 4, lays 3 of 3, guides 1 of 1"
    assert len(steps) > done, "each thing is told"
    assert inspect(InspectRequest(file=str(shop / "heron"))).safe
    assert names(shop) == {"design.toml", "design.lays.json", "sizes.csv", "heron"}


def test_a_run_that_is_cancelled_leaves_all_as_it_was(shop: Path) -> None:
    (shop / "design.lays.json").unlink()  # so that there is something to search for
    before = earlier_release(shop)

    async def scenario() -> Run:
        runs = Runs(shop, workers=2)
        run = runs.start(asked(seconds=600))
        await until(lambda: run.counts and run.counts[0].done == run.counts[0].of)  # the lays are begun
        assert (shop / ".heron.shirrline").exists()
        assert runs.cancel("heron") is run
        assert run.state is State.STOPPING
        runs.cancel("heron")
        await to_the_end(run)
        runs.cancel("heron")
        await runs.close()
        return run

    run = asyncio.run(scenario())
    assert (run.state, run.problems) == (State.STOPPED, ())
    assert content(shop / "heron") == before
    assert names(shop) <= {"design.toml", "design.lays.json", "sizes.csv", "heron"}
    assert not children()


def test_a_second_press_is_told_that_a_run_is_under_way_and_another_folder_is_not(shop: Path) -> None:
    async def scenario() -> None:
        runs = Runs(shop, workers=1)
        first = runs.start(asked(seconds=600))
        with pytest.raises(OutputError, match=r"heron: a release is just being made there; wait .* or cancel it"):
            runs.start(asked())
        second = runs.start(asked(out="wren", cloths=("9",)))
        assert runs.all() == (first, second)
        await to_the_end(second)
        runs.cancel("heron")
        await to_the_end(first)
        assert runs.start(asked(cloths=("9",))) is runs.of("heron")
        await runs.close()
        assert [run.name for run in runs.all()] == ["wren", "heron"]

    asyncio.run(scenario())


def test_what_is_wrong_is_told_as_the_command_tells_it(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One fault of a field, one of each of two sizes, and one of the folder."""
    bad = asked(cloths=("9",))
    (shop / "narrow.csv").write_text("size,unit,waist_girth,hip_girth,body_rise,waist_to_hip\nA,cm,20,100,27,20\n")
    (shop / "full").mkdir()
    (shop / "full" / "manifest.json").write_text("{}")
    requests = [bad, asked(sizes="narrow.csv", out="narrow"), asked(out="full")]

    async def scenario() -> list[Run]:
        runs = Runs(shop, workers=1)
        made = [runs.start(request) for request in requests]
        for run in made:
            await to_the_end(run)
        await runs.close()
        return made

    monkeypatch.chdir(shop)
    for run, request in zip(asyncio.run(scenario()), requests, strict=True):
        with pytest.raises(DraftError) as failed:
            publish(request)
        assert run.state is State.FAILED
        assert run.problems == tuple(getattr(failed.value, "problems", (str(failed.value),)))
    assert names(shop / "full") == {"manifest.json"}


def stopped_late(*given: Any) -> None:
    """A run that is asked to stop when its release has just been put in place. In the run's own process."""

    def late(request: PublishRequest) -> PublishReport:
        made = publish(request)
        signal.raise_signal(signal.SIGTERM)
        return made

    publishing.publish = late
    publishing._run(*given)


def test_a_run_that_is_stopped_too_late_does_not_say_that_nothing_was_written(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("output.serve.releases.publishing._run", stopped_late)

    async def scenario() -> Run:
        runs = Runs(shop, workers=1)
        run = runs.start(asked())
        await to_the_end(run)
        await runs.close()
        return run

    run = asyncio.run(scenario())
    assert run.state is State.DONE
    assert run.outcome.lines == ("It was asked to stop when the new release was in place already.",)
    assert inspect(InspectRequest(file=str(shop / "heron"))).safe


def test_a_server_that_stops_ends_its_run(shop: Path) -> None:
    before = earlier_release(shop)

    async def scenario() -> Run:
        runs = Runs(shop, workers=1)
        run = runs.start(asked(seconds=600))
        await until((shop / ".heron.shirrline").exists)
        await runs.close()
        return run

    assert asyncio.run(scenario()).state is State.STOPPED
    assert content(shop / "heron") == before
    assert ".heron.shirrline" not in names(shop)
    assert not children()


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="a system without timers: the run ends by itself")
def test_a_run_notices_that_its_server_was_killed(shop: Path) -> None:
    (shop / "design.lays.json").unlink()
    code = f"""{HEEDFUL}
import asyncio
from pathlib import Path
from output.commands.publish import PublishRequest
from output.serve.releases.publishing import Runs

async def serve():
    runs = Runs(Path({str(shop)!r}), workers=1)
    runs.start(PublishRequest(design="design.toml", sizes="sizes.csv", out="heron", pages=("A4",), seconds=600))
    await asyncio.sleep(600)

if __name__ == "__main__":
    asyncio.run(serve())
"""
    with subprocess.Popen([sys.executable, "-c", code], cwd=ROOT) as server:
        found: list[psutil.Process] = []
        try:
            end = time.monotonic() + PATIENCE
            while not (shop / ".heron.shirrline").exists():
                assert time.monotonic() < end
                time.sleep(0.01)
            found = psutil.Process(server.pid).children(recursive=True)
            server.kill()
            server.wait()
            assert not psutil.wait_procs(found, timeout=PATIENCE)[1]
            assert names(shop) <= {"design.toml", "design.lays.json", "sizes.csv"}
        finally:
            for one in found:
                with suppress(psutil.NoSuchProcess):
                    one.kill()
            server.kill()


def test_a_run_whose_process_dies_says_so(shop: Path) -> None:
    async def scenario() -> Run:
        runs = Runs(shop, workers=1)
        run = runs.start(asked(seconds=600))
        await until((shop / ".heron.shirrline").exists)
        for one in children():
            one.kill()
        await to_the_end(run)
        again = runs.start(asked(cloths=("9",)))
        await to_the_end(again)
        await runs.close()
        return run

    run = asyncio.run(scenario())
    assert run.state is State.FAILED
    assert "its process died" in run.problems[0]


@pytest.mark.parametrize(
    "raw",
    [
        "..",
        ".",
        "../heron",
        "a/b",
        "a\\b",
        "/etc",
        "C:x",
        ".heron",
        "a\0b",
        "a\nb",
        "nul",
        "con.txt",
        "x.",
        "",
        " ",
        "?",
    ],
)
def test_a_folder_has_a_plain_name(tmp_path: Path, raw: str) -> None:
    with pytest.raises(OutputError, match=r"folder: .* no plain name; give a word or two"):
        release_name(raw, tmp_path)


def test_a_folder_is_no_link_no_file_and_not_endless(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for name, told in (("file", "is a file"), ("x" * 300, "longer than 60 bytes")):
        with pytest.raises(OutputError, match=told):
            release_name(name, tmp_path)
    with suppress(OSError, NotImplementedError):
        (tmp_path / "link").symlink_to(tmp_path.parent)
        with pytest.raises(OutputError, match="is a link, which leads elsewhere"):
            release_name("link", tmp_path)
    assert release_name(" heron release ", tmp_path) == "heron release"


def test_what_was_expected_is_not_counted_again_when_it_begins(capsys: pytest.CaptureFixture[str]) -> None:
    told: list[tuple[str, int, int]] = []
    expect("lays", 9)  # nobody listens
    with telling(lambda *one: told.append(one)):
        expect("lays", 3)
        with bar("lays", total=2) as moved:
            moved(1, 0)
            moved(0, 4)
    with bar("lays", total=5) as unheard:
        unheard(1, 0)
    assert told == [("lays", 0, 3), ("lays", 0, 0), ("lays", 1, 0), ("lays", 0, 3)]
    assert capsys.readouterr() == ("", "")
