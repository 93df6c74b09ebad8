"""A file that a page saves: all of it or nothing, as its own program wrote it, and by one page at a time."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path

import pytest

from drafting.errors import OutputError
from output.serve.editing import edit
from steps_to_disk import at_step, broken, killed, once_full

TEXT = 'name = "Plain"\n\n# a remark\nunit = "mm"\n'


def saved(path: Path, raw: bytes, change: str = "Other") -> bytes:
    """What a file holds after a change to what is read from it."""
    path.write_bytes(raw)
    was = edit.read(path)
    now = edit.save(path, was.text.replace("Plain", change), was.sha256)
    assert now.sha256 == sha256(path.read_bytes()).hexdigest()
    assert now == edit.read(path)
    return path.read_bytes()


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("last", [True, False])
def test_encoding_and_line_ends_stay(tmp_path: Path, end: str, encoding: str, *, last: bool) -> None:
    lines = ["size;unit", "Plain;cm", '"שלום";cm']
    text = end.join(lines) + (end if last else "")
    assert saved(tmp_path / "sizes.csv", text.encode(encoding)) == text.replace("Plain", "Other").encode(encoding)


def test_each_line_keeps_its_own_end_where_they_differ(tmp_path: Path) -> None:
    raw = b"name = 'Plain'\r\n\n# a\nunit = 'mm'\r\n"
    assert saved(tmp_path / "a.toml", raw, "Other'\nworkroom = 'W") == (
        b"name = 'Other'\r\nworkroom = 'W'\r\n\n# a\nunit = 'mm'\r\n"
    )


def test_what_a_form_sends_is_taken_as_it_was_shown(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(TEXT)
    edit.save(path, TEXT.replace("\n", "\r\n").strip(), edit.read(path).sha256)
    assert path.read_bytes() == TEXT.encode()


def test_a_file_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    for mode in (0o640, 0o604):
        path.write_text(TEXT)
        path.chmod(mode)
        saved(path, TEXT.encode())
        assert stat.S_IMODE(path.stat().st_mode) == mode
    assert [one.name for one in tmp_path.iterdir()] == ["a.toml"]


def test_a_file_that_was_changed_outside_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(TEXT)
    was = edit.read(path)
    path.write_text(TEXT + "# by another program\n")
    with pytest.raises(edit.ChangedOutsideError, match=r"^a\.toml: it has been changed by another program"):
        edit.save(path, TEXT, was.sha256)
    assert path.read_text().endswith("# by another program\n")
    path.unlink()
    with pytest.raises(edit.ChangedOutsideError, match="removed"):
        edit.save(path, TEXT, was.sha256)
    assert not list(tmp_path.iterdir())
    edit.save(path, TEXT, edit.NEW)
    with pytest.raises(edit.ChangedOutsideError):
        edit.save(path, TEXT, edit.NEW)


def test_of_two_who_save_at_once_one_wins_and_the_others_are_told(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(TEXT)
    was = edit.read(path)

    def one(number: int) -> str:
        try:
            edit.save(path, f"{TEXT}# {number}\n", was.sha256)
        except edit.ChangedOutsideError:
            return ""
        return f"{TEXT}# {number}\n"

    with ThreadPoolExecutor(8) as pool:
        won = [text for text in pool.map(one, range(8)) if text]
    assert won == [path.read_text()]
    assert [one.name for one in tmp_path.iterdir()] == ["a.toml"]


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right of their own there")
def test_no_link_leads_out_of_the_folder(tmp_path: Path) -> None:
    folder, outside = tmp_path / "folder", tmp_path / "outside.toml"
    folder.mkdir()
    outside.write_text(TEXT)
    link, inner = folder / "a.toml", folder / "b.toml"
    link.symlink_to(outside)
    with pytest.raises(OutputError, match=r"^a\.toml: it is a link") as refused:
        edit.save(link, TEXT + "# more\n", edit.read(link).sha256)
    assert str(tmp_path) not in str(refused.value)
    assert outside.read_text() == TEXT
    inner.write_text(TEXT)
    link.unlink()
    link.symlink_to("b.toml")
    edit.save(link, TEXT + "# more\n", edit.read(link).sha256)
    assert link.is_symlink()
    assert inner.read_text() == TEXT + "# more\n"


def test_what_no_file_may_hold_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(TEXT)
    was = edit.read(path)
    for text, told in {"\ud800": "half a letter", "a\0b": "NUL", "#" * 1_000_001: "longer than"}.items():
        with pytest.raises(OutputError, match=rf"^a\.toml: .*{told}"):
            edit.save(path, text, was.sha256)
    assert path.read_text() == TEXT
    assert [one.name for one in tmp_path.iterdir()] == ["a.toml"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is forbidden to root")
def test_a_file_that_may_not_be_written_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(TEXT)
    path.chmod(0o444)
    with pytest.raises(OutputError, match=r"^a\.toml: cannot be written: Permission denied"):
        edit.save(path, TEXT + "# more\n", edit.read(path).sha256)
    assert path.read_text() == TEXT


@pytest.mark.parametrize("happen", [once_full, lambda: broken, lambda: killed], ids=["full", "broken", "killed"])
def test_whatever_happens_at_any_step_the_file_is_the_old_one_or_the_new(
    tmp_path: Path, happen: Callable[[], Callable[[str], None]]
) -> None:
    path, new = tmp_path / "a.toml", TEXT + "# more\n"
    for number in range(100):
        path.write_text(TEXT)
        was, before = edit.read(path), happen()
        child = os.fork()
        if not child:
            with at_step(number, before) as steps:
                try:
                    edit.save(path, new, was.sha256)
                except OutputError:
                    os._exit(1)
                os._exit(0 if len(steps) <= number else 2)
        ended = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        there = path.read_text()
        assert there == new if ended in (0, 2) else there in (TEXT, new)
        edit.save(path, TEXT + f"# {number}\n", edit.read(path).sha256)
        assert [one.name for one in tmp_path.iterdir()] == ["a.toml"]
        if ended == 0:
            break
    assert number > 5
    assert ended == 0
