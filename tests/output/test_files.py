from __future__ import annotations

import contextlib
import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from disks import small_disk
from drafting.errors import OutputError
from output.files import write_all

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


@pytest.mark.parametrize("failing", ["one.pdf", "two.json", "three.txt"])
@pytest.mark.parametrize("linkable", [True, False])
def test_a_failure_while_files_take_their_places_is_undone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str, linkable: bool
) -> None:
    before = {"one.pdf": b"old", "two.json": b"older"}
    write_all(tmp_path, before)
    replace = Path.replace

    def fails(self: Path, target: Path) -> Path:
        if Path(target).name == failing and self.suffix == ".part":
            raise PermissionError(13, "Permission denied")
        return replace(self, target)

    def no_second_name(self: Path, target: Path) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(Path, "replace", fails)
    if not linkable:
        monkeypatch.setattr(Path, "hardlink_to", no_second_name)
    refused_write(tmp_path, {**FILES, "three.txt": b"3"})
    assert contents(tmp_path) == before


def test_an_interrupt_is_undone_and_passed_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with contextlib.suppress(KeyboardInterrupt):
        write_all(tmp_path / "new", FILES)
    assert contents(tmp_path) == {}
