from __future__ import annotations

import contextlib
import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import output.exchange
from disks import small_disk
from drafting.errors import OutputError
from output.files import write_all, writing
from output.stage import ENDING
from steps_to_disk import at_step, broken, killed, once_full

FILES = {"one.pdf": b"%PDF one", "two.json": b"{}" * 1000}


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def refused_write(folder: Path, files: dict[str, bytes]) -> str:
    with pytest.raises(OutputError) as caught:
        write_all(folder, files)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    assert message.startswith(f"{folder}: cannot be written: ")
    assert "; " in message
    return message


@pytest.fixture(name="small_disk")
def _small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 KiB."""
    with small_disk(tmp_path / "disk", "64k") as folder:
        yield folder


def test_writes_into_a_folder_it_makes(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    write_all(folder, FILES)
    assert contents(folder) == FILES


def test_replaces_earlier_files_and_leaves_others(tmp_path: Path) -> None:
    (tmp_path / "one.pdf").write_bytes(b"old")
    (tmp_path / "other.txt").write_bytes(b"mine")
    write_all(tmp_path, FILES)
    assert contents(tmp_path) == {**FILES, "other.txt": b"mine"}


def test_new_files_have_the_usual_permissions(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")
    write_all(tmp_path, FILES)
    assert (tmp_path / "one.pdf").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_temporary_file_left_by_a_killed_run_is_no_obstacle(tmp_path: Path) -> None:
    (tmp_path / f".one.pdf.{os.getpid()}.part").write_bytes(b"half")
    (tmp_path / f".one.pdf.{os.getpid()}.old").write_bytes(b"old")
    (tmp_path / "one.pdf").write_bytes(b"old")
    write_all(tmp_path, FILES)
    assert contents(tmp_path) == FILES


def test_a_folder_under_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"mine")
    assert "Not a directory" in refused_write(tmp_path / "file" / "out", FILES)
    assert contents(tmp_path) == {"file": b"mine"}


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"mine")
    refused_write(tmp_path / "file", FILES)
    assert contents(tmp_path) == {"file": b"mine"}


def test_a_folder_in_place_of_a_file_leaves_everything_as_it_was(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    (folder / "two.json").mkdir(parents=True)
    (folder / "one.pdf").write_bytes(b"old")
    assert "two.json is a folder" in refused_write(folder, FILES)
    assert sorted(path.name for path in folder.iterdir()) == ["one.pdf", "two.json"]
    assert (folder / "one.pdf").read_bytes() == b"old"


def test_a_nul_in_the_folder_name_is_refused() -> None:
    refused_write(Path("a\0b"), FILES)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    assert "Permission denied" in refused_write(tmp_path, FILES)
    tmp_path.chmod(0o700)
    assert contents(tmp_path) == {}


def test_a_read_only_disk_is_refused(small_disk: Path) -> None:
    write_all(small_disk, FILES)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    assert "Read-only file system" in refused_write(small_disk, {"one.pdf": b"new"})
    assert contents(small_disk) == FILES


@pytest.mark.parametrize("sub", ["", "new/folder"])
def test_a_full_disk_leaves_everything_as_it_was(small_disk: Path, sub: str) -> None:
    write_all(small_disk, FILES)
    big = {"one.pdf": b"new", "two.json": b"x" * 100_000}
    message = refused_write(small_disk / sub, big)
    assert "No space left on device" in message
    assert "free some space" in message
    assert contents(small_disk) == FILES


def test_a_limit_on_file_size_leaves_everything_as_it_was(tmp_path: Path) -> None:
    write_all(tmp_path, FILES)
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
        "from output.files import write_all; write_all(sys.argv[1], {'one.pdf': b'new', 'two.json': bytes(9999)})"
    )
    run = subprocess.run([sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=False)
    assert run.returncode == 1
    assert "OutputError" in run.stderr
    assert "File too large; free some space" in run.stderr
    assert contents(tmp_path) == FILES
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 4096


BEFORE = {"one.pdf": b"old", "two.json": b"older", "gone.svg": b"gone"}
AFTER = {**FILES, "three.txt": b"3"}
FOREIGN = ("notes.txt", "notes", "notes/a.txt", "link")


@pytest.fixture(params=["new", "exchanged", "two renames", "from within", "from within, no links"])
def shop(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder `out`, missing or with an earlier result and files that are not ours, in each way of writing there."""
    monkeypatch.chdir(tmp_path)
    if request.param == "two renames":
        monkeypatch.setattr(output.exchange, "exchange", lambda one, other: False)
    if request.param == "from within, no links":
        monkeypatch.setattr(os, "link", refused_link)
    return tmp_path / request.param


def refused_link(*given: object, **options: object) -> None:
    raise OSError(errno.ENOTSUP, os.strerror(errno.ENOTSUP))


def furnish(shop: Path) -> Path:
    """The folder to write into, as it was before."""
    os.chdir(shop.parent)
    shutil.rmtree(shop, ignore_errors=True)
    shop.mkdir()
    out = shop / "out"
    if shop.name != "new":
        write_all(out, BEFORE)
        (out / "notes.txt").write_bytes(b"mine")
        (out / "notes").mkdir()
        (out / "notes" / "a.txt").write_bytes(b"mine, too")
        (out / "link").symlink_to("nowhere")
    if shop.name.startswith("from within"):
        os.chdir(out)
    return out


def found(out: Path) -> dict[str, bytes]:
    """What is in the folder, without that which is not ours, which is there as it was or there is an error."""
    if out.parent.name != "new":
        assert (out / "notes.txt").read_bytes() == b"mine"
        assert (out / "notes" / "a.txt").read_bytes() == b"mine, too"
        assert (out / "link").readlink() == Path("nowhere")
    inside = {path.relative_to(out).as_posix(): path for path in out.rglob("*")}
    return {name: path.read_bytes() for name, path in inside.items() if name not in FOREIGN}


def assert_whole(out: Path, *, done: bool | None, after_next_run: bool = True) -> None:
    """All is old or all is new; and after the next run nothing else is left, neither there nor beside."""
    old: dict[str, bytes] = {} if out.parent.name == "new" else BEFORE
    allowed = [old, AFTER] if done is None else [AFTER if done else old]
    if after_next_run:
        with writing(out):
            pass
        assert {path.name for path in out.parent.iterdir()} <= {out.name}
        assert found(out) in allowed
    else:
        assert {name: data for name, data in found(out).items() if not name.startswith(ENDING)} in allowed


def put(out: Path) -> str:
    """Put the files there; return the complaint, empty when there is none."""
    try:
        with writing(out) as place:
            place.put(AFTER, without=["gone.svg"])
    except OutputError as error:
        return str(error)
    return ""


def test_files_are_put_taken_away_and_left(shop: Path) -> None:
    out = furnish(shop)
    assert put(out) == ""
    assert {path.name for path in out.parent.iterdir()} == {out.name}
    assert found(out) == AFTER


def test_a_step_that_fails_leaves_all_old_or_all_new(shop: Path) -> None:
    """A full disk at each step in turn, until one run meets none."""
    number = 0
    while True:
        out = furnish(shop)
        with at_step(number, once_full()) as steps:
            complaint = put(out)
        assert len(complaint.splitlines()) == ("No space left" in complaint)
        assert_whole(out, done=not complaint, after_next_run=False)
        assert_whole(out, done=not complaint)
        if len(steps) <= number:
            break
        number += 1
    assert number > 10


def test_a_disk_that_fails_for_good_is_set_right_by_the_next_run(shop: Path) -> None:
    number = 0
    while True:
        out = furnish(shop)
        with at_step(number, broken) as steps:
            complaint = put(out)
        assert_whole(out, done=None if complaint else True)
        if len(steps) <= number:
            break
        number += 1
    assert number > 10


def test_a_kill_at_each_step_leaves_all_old_or_all_new_after_the_next_run(shop: Path) -> None:
    number = 0
    while True:
        out = furnish(shop)
        child = os.fork()
        if not child:
            with at_step(number, killed):
                put(out)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if shop.name == "exchanged":
            assert_whole(out, done=None, after_next_run=False)
        assert_whole(out, done=None)
        if not status:
            break
        assert os.WTERMSIG(status) == signal.SIGKILL
        number += 1
    assert number > 10


def test_an_interrupt_is_undone_and_passed_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with contextlib.suppress(KeyboardInterrupt):
        write_all(tmp_path / "new", FILES)
    assert contents(tmp_path) == {}
