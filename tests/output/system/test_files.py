from __future__ import annotations

import contextlib
import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import output.system.exchange
from disks import small_disk
from drafting.errors import OutputError
from output.system.files import write_all, writing
from output.system.stage import ENDING
from quick import quick
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
        "from output.system.files import write_all\n"
        "write_all(sys.argv[1], {'one.pdf': b'new', 'two.json': bytes(9999)})"
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


SHOPS = ["new", "exchanged", "two renames", "from within", "from within, no links"]


@pytest.fixture(params=SHOPS)
def shop(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder `out`, missing or with an earlier result and files that are not ours, in each way of writing there."""
    monkeypatch.chdir(tmp_path)
    if request.param == "two renames":
        monkeypatch.setattr(output.system.exchange, "exchange", lambda one, other: False)
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


@pytest.mark.parametrize("shop", quick(SHOPS, lambda shop: not shop.startswith("from within")), indirect=True)
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


@pytest.mark.parametrize("name", ["", " ", "\t"])
def test_a_folder_without_a_name_is_refused(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It was the working folder."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(OutputError, match=r"out: '.*' names no folder; give one, as in --out heron"):
        write_all(name, FILES)
    assert contents(tmp_path) == {}


@pytest.mark.parametrize("name", ["x" * 300, "a\0b", "loop/out", "file/out", "file"])
def test_what_can_be_no_folder_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to("loop")
    (tmp_path / "file").write_bytes(b"mine")
    refused_write(tmp_path / name, FILES)
    assert {path.name for path in tmp_path.iterdir()} == {"loop", "file"}


@pytest.mark.parametrize("length", [240, 244, 245, 250, 255])
def test_a_folder_with_the_longest_name_is_written(length: int, tmp_path: Path) -> None:
    out = tmp_path / ("x" * length)
    for content in (b"one", b"two"):
        write_all(out, {"one.pdf": content, "two.pdf": content})
        assert contents(out) == {"one.pdf": content, "two.pdf": content}
    assert [path.name for path in tmp_path.iterdir()] == [out.name]


def test_a_link_to_a_folder_stays_one(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to("real")
    for content in (b"one", b"two"):
        write_all(tmp_path / "out", {"one.pdf": content, "two.pdf": content})
    assert (tmp_path / "out").readlink() == Path("real")
    assert contents(tmp_path / "real") == {"one.pdf": b"two", "two.pdf": b"two"}
    assert {path.name for path in tmp_path.iterdir()} == {"out", "real"}


@pytest.mark.parametrize("within", [False, True])
@pytest.mark.parametrize("planted", ["stage", "lock", "new", "journal", "inside", "part"])
def test_a_planted_link_is_never_followed(
    planted: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, within: bool
) -> None:
    out, victim = tmp_path / "out", tmp_path / "victim"
    write_all(out, BEFORE)
    victim.mkdir()
    (victim / "one.pdf").write_bytes(b"mine")
    (victim / "file").write_bytes(b"mine")
    stage = out / ENDING if within else tmp_path / f".out{ENDING}"
    if planted in ("stage", "inside"):
        (stage if planted == "stage" else out / ENDING).symlink_to(victim)
    elif planted == "part":
        (out / ".one.pdf.1.part").symlink_to(victim / "file")
    else:
        stage.mkdir()
        (stage / "lock").symlink_to(victim / "file") if planted == "lock" else (stage / "lock").write_bytes(b"")
        if planted != "lock":
            (stage / planted).symlink_to(victim if planted == "new" else victim / "file")
    if within:
        monkeypatch.chdir(out)
    with contextlib.suppress(OutputError):
        write_all(out, FILES)
    assert contents(victim) == {"one.pdf": b"mine", "file": b"mine"}
    assert all((out / name).read_bytes() in (BEFORE.get(name), FILES[name]) for name in FILES)


def test_a_folder_of_the_stages_name_that_is_not_ours_is_left(tmp_path: Path) -> None:
    other = tmp_path / f".out{ENDING}"
    other.mkdir()
    (other / "diary.txt").write_bytes(b"mine")
    assert "is in the way" in refused_write(tmp_path / "out", FILES)
    assert contents(other) == {"diary.txt": b"mine"}


def test_a_second_run_is_told_and_a_dead_one_blocks_nobody(tmp_path: Path) -> None:
    out = tmp_path / "out"
    with writing(out):
        for _ in range(2):  # being refused does not let go of what the first holds
            with pytest.raises(OutputError, match="another run is writing there"):
                write_all(out, FILES)
        child = os.fork()
        if not child:
            try:
                write_all(out, FILES)
            except OutputError as error:
                os._exit(7 if "another run" in str(error) else 8)
            os._exit(9)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 7
    assert list(tmp_path.iterdir()) == []
    child = os.fork()
    if not child:
        with writing(out):
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    assert [path.name for path in tmp_path.iterdir()] == [f".out{ENDING}"]
    write_all(out, FILES)
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("dead", [False, True])
def test_what_comes_into_the_folder_meanwhile_is_moved_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, dead: bool
) -> None:
    out = tmp_path / "out"
    write_all(out, BEFORE)
    for name in ("notes.txt", "saved.txt"):
        (out / name).write_bytes(b"old")
    (out / "sub").mkdir()
    swap = output.system.exchange.exchange

    def late(one: Path, other: Path) -> bool:
        (out / "late.txt").write_bytes(b"came")
        (out / "sub" / "late.txt").write_bytes(b"came, too")
        (out / "late").mkdir()
        (out / "late" / "a.txt").write_bytes(b"with its folder")
        (out / "new.tmp").write_bytes(b"saved anew")
        (out / "new.tmp").replace(out / "saved.txt")  # as an editor saves
        done = swap(one, other)
        if dead:
            os.kill(os.getpid(), signal.SIGKILL)
        return done

    monkeypatch.setattr(output.system.exchange, "exchange", late)
    child = os.fork()
    if not child:
        write_all(out, FILES)
        os._exit(0)
    assert os.WIFSIGNALED(os.waitpid(child, 0)[1]) == dead
    monkeypatch.undo()
    with writing(out):
        pass
    found = {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}
    assert found == {
        **BEFORE,
        **FILES,
        "notes.txt": b"old",
        "saved.txt": b"saved anew",
        "late.txt": b"came",
        "sub/late.txt": b"came, too",
        "late/a.txt": b"with its folder",
    }
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_an_exchanged_folder_keeps_its_permissions_and_what_is_in_it(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_all(out, BEFORE)
    (out / "sub" / "deep").mkdir(parents=True)
    (out / "sub" / "deep" / "a.txt").write_bytes(b"mine")
    os.mkfifo(out / "sub" / "pipe")
    (out / "sub").chmod(0o711)
    os.utime(out / "sub", (1000, 1000))
    out.chmod(0o2750)
    inode, number = out.stat().st_ino, (out / "sub" / "deep" / "a.txt").stat().st_ino
    write_all(out, FILES)
    assert out.stat().st_ino != inode
    assert out.stat().st_mode & 0o7777 == 0o2750
    assert (out / "sub").stat().st_mode & 0o7777 == 0o711
    assert (out / "sub").stat().st_mtime == 1000
    assert (out / "sub" / "deep" / "a.txt").stat().st_ino == number
    assert (out / "sub" / "pipe").is_fifo()


def test_a_folder_with_too_much_in_it_is_not_exchanged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.exchange, "MOST_FOREIGN", 10)
    out = tmp_path / "out"
    write_all(out, BEFORE)
    (out / "many").mkdir()
    for number in range(11):
        (out / "many" / f"{number}").write_bytes(b"")
    inode = out.stat().st_ino
    write_all(out, FILES)
    assert out.stat().st_ino == inode
    assert len(list((out / "many").iterdir())) == 11
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.fixture(name="common")
def _common() -> Iterator[Path]:
    """A folder that every user of the machine may read."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


def as_ordinary_user(what: Callable[[], object]) -> str:
    """What it complains of when it is done by a user without any rights of their own."""
    if os.geteuid():
        pytest.skip("needs the right to become another user")
    ours, theirs = os.pipe()
    child = os.fork()
    if not child:
        os.setgid(65534)
        os.setuid(65534)
        try:
            what()
        except OutputError as error:
            os.write(theirs, str(error).encode())
        except BaseException as error:
            os.write(theirs, f"unforeseen: {error!r}".encode())
        os._exit(0)
    os.close(theirs)
    with os.fdopen(ours) as told:
        said = told.read()
    os.waitpid(child, 0)
    return said


def test_an_ordinary_user_is_refused_what_is_not_theirs(common: Path) -> None:
    out = common / "out"
    assert "out: cannot be written: Permission denied; choose" in as_ordinary_user(lambda: write_all(out, FILES))
    assert list(common.iterdir()) == []
    write_all(out, BEFORE)
    assert "out: cannot be written: Permission denied; choose" in as_ordinary_user(lambda: write_all(out, FILES))
    common.chmod(0o777)
    assert "out: cannot be written: Permission denied; choose" in as_ordinary_user(lambda: write_all(out, FILES))
    assert contents(out) == BEFORE


@pytest.mark.slow
def test_a_folder_of_ones_own_in_one_that_is_not(common: Path) -> None:
    """No stage can be made beside it."""
    out = common / "out"
    out.mkdir()
    os.chown(out, 65534, 65534)
    for files in (BEFORE, AFTER):
        assert as_ordinary_user(lambda files=files: write_all(out, files)) == ""
    assert contents(out) == {**BEFORE, **AFTER}
    number = 0
    while True:
        shutil.rmtree(out)
        out.mkdir()
        os.chown(out, 65534, 65534)
        as_ordinary_user(lambda: write_all(out, BEFORE))

        def killed_there(number: int = number) -> None:
            with at_step(number, killed):
                write_all(out, AFTER)
            (out / "came to its end").write_bytes(b"")

        as_ordinary_user(killed_there)
        as_ordinary_user(lambda: writing(out).__enter__().close())
        ended = (out / "came to its end").exists()
        found = {name: data for name, data in contents(out).items() if name in {**BEFORE, **AFTER}}
        assert found in (BEFORE, {**BEFORE, **AFTER})
        assert set(contents(out)) <= {*BEFORE, *AFTER, "came to its end"}
        if ended:
            break
        number += 1
    assert number > 10


def test_files_of_others_in_ones_own_folder_stay(common: Path) -> None:
    """Nobody may give a second name to another's file, on most systems."""
    out = common / "shop" / "out"
    out.mkdir(parents=True)
    for folder in (out, out.parent):
        os.chown(folder, 65534, 65534)
    (out / "theirs.txt").write_bytes(b"theirs")
    (out / "theirs.txt").chmod(0o600)
    for files in (BEFORE, AFTER):
        assert as_ordinary_user(lambda files=files: write_all(out, files)) == ""
    assert contents(out) == {**BEFORE, **AFTER, "theirs.txt": b"theirs"}
    assert [path.name for path in out.parent.iterdir()] == ["out"]
