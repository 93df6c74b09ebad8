"""Writing into a folder again: what goes, what stays, what is refused, and a manifest that cannot be trusted."""

from __future__ import annotations

import json
import os
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from drafting.errors import OutputError
from output.command import main
from output.inspection.manifest import (
    MANIFEST,
    MOST_TOLD,
    Kind,
    OutputFile,
    Renewal,
    earlier,
    manifest,
    read_manifest,
    renewal,
)
from sampled import DESIGN

TABLE = """size,unit,waist_girth,hip_girth,body_rise,waist_to_hip
H100,cm,74.0,100,27.0,20.3
H104,cm,78.0,104,27.3,20.5
"""
DIGEST = "0" * 64


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    (tmp_path / "design.toml").write_bytes(Path(DESIGN).read_bytes())
    (tmp_path / "sizes.csv").write_text(TABLE)
    return tmp_path


def run(shop: Path, command: str, *options: str, design: str = "design.toml") -> int:
    return main([command, str(shop / design), str(shop / "sizes.csv"), "--out", str(shop / "out"), *options])


def make_range(shop: Path, *options: str, design: str = "design.toml") -> int:
    return run(shop, "range", "--rise", "high", "--workers", "1", *options, design=design)


def publish(shop: Path, *options: str) -> int:
    return run(shop, "publish", "--rise", "high", "--workers", "1", "--seconds", "1", *options)


def report(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def assert_listed(out: Path, *others: str) -> None:
    """The manifest lists exactly the files of the folder, as they are, but itself and those others."""
    found = json.loads((out / MANIFEST).read_bytes())
    listed = {file["name"]: file["sha256"] for file in found["files"]}
    there = {path.name: path for path in out.iterdir() if path.name not in (MANIFEST, *others)}
    assert listed == {name: sha256(path.read_bytes()).hexdigest() for name, path in there.items()}


def test_files_that_a_range_no_longer_has_go_and_others_stay(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = shop / "out"
    assert make_range(shop, "--each", "--page", "A4", "--page", "Letter") == 0
    letters = {path.name for path in out.glob("*Letter.pdf")}
    assert len(letters) == 3
    changed = sorted(letters)[0]
    with (out / changed).open("ab") as file:
        file.write(b"% a note")
    (out / "notes.txt").write_bytes(b"mine")
    (out / "photos").mkdir()
    (out / "photos" / "one.jpg").write_bytes(b"mine")
    capsys.readouterr()
    assert make_range(shop, "--each", "--json") == 0
    told = report(capsys)
    assert set(told["removed"]) == letters - {changed}
    assert told["kept"] == sorted([changed, "notes.txt", "photos/"])
    assert told["changed"] == [changed]
    assert (out / "notes.txt").read_bytes() == (out / "photos" / "one.jpg").read_bytes() == b"mine"
    assert (out / changed).read_bytes().endswith(b"% a note")
    assert not any((out / name).exists() for name in letters - {changed})
    assert_listed(out, changed, "notes.txt", "photos")
    assert make_range(shop) == 0
    said = " ".join(capsys.readouterr().out.split()).replace("- ", "-")
    assert "Removed, as nothing of this name is made any more: heron-shorts-H100-high-A4.pdf" in said
    assert "Left, as it is not ours: " in said


@pytest.mark.slow
def test_a_release_without_letter_has_no_letter_left(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = shop / "out"
    assert publish(shop, "--page", "A4", "--page", "Letter") == 0
    assert list(out.glob("*Letter*"))
    capsys.readouterr()
    assert publish(shop, "--page", "A4", "--json") == 0
    told = report(capsys)
    assert {name.rpartition("-")[2] for name in told["removed"]} == {"Letter.pdf"}
    assert told["kept"] == []
    assert not list(out.glob("*Letter*"))
    assert_listed(out)
    found = read_manifest(out)
    assert found
    assert found.kind is Kind.RELEASE
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    for command, options in (("range", ()), ("lay", ("--cloth", "140", "--seconds", "1")), ("guide", ())):
        assert run(shop, command, *options) == 2
        assert "it holds " in capsys.readouterr().err
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def test_a_folder_of_another_design_is_refused_by_both_names(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert make_range(shop) == 0
    before = {path.name: path.read_bytes() for path in (shop / "out").iterdir()}
    (shop / "other.toml").write_text((shop / "design.toml").read_text().replace("Heron shorts", "Teal shorts"))
    capsys.readouterr()
    assert make_range(shop, design="other.toml") == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "it holds the range of 'Heron shorts', not of 'Teal shorts'; choose another folder" in line
    assert {path.name: path.read_bytes() for path in (shop / "out").iterdir()} == before


def document(*names: object, **more: object) -> bytes:
    files = [{"name": name, "about": "", "bytes": 1, "sha256": DIGEST} for name in names]
    return json.dumps({"schema": 1, "design": "Heron shorts", "files": files, **more}).encode()


HOSTILE = [
    b"",
    b"{",
    b"[]",
    b"null",
    b"\xff\xfe",
    b'{"name": "a web application", "icons": []}',
    b"[" * 100_000,
    b'{"schema": ' + b"9" * 5000 + b"}",
    document(schema=2),
    document(design=1),
    document(design=None),
    document(kind="zoo"),
    document(files={}),
    document(files=[1]),
    document("../victim.txt"),
    document("/etc/victim.txt"),
    document("sub/victim.txt"),
    document("sub\\victim.txt"),
    document(".."),
    document("."),
    document(""),
    document("a\0b"),
    document(1),
    document(["a"]),
    document(MANIFEST),
    document("x" * 3_000_000),
    document(files=[{"name": "a.pdf", "sha256": "no digest"}]),
]


@pytest.mark.parametrize(
    "content", [*HOSTILE, *(document("x" * 17_000_000) for _ in range(1))], ids=range(len(HOSTILE) + 1)
)
def test_a_manifest_that_is_none_of_ours_is_refused_and_nothing_goes(
    shop: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    out = shop / "out"
    (out / "sub").mkdir(parents=True)
    for victim in (shop / "victim.txt", out / "sub" / "victim.txt"):
        victim.write_bytes(b"mine")
    (out / MANIFEST).write_bytes(content)
    assert make_range(shop) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert len(line) < 1000
    assert f"{MANIFEST}: it is no manifest of ours" in line
    assert (out / MANIFEST).read_bytes() == content
    assert (shop / "victim.txt").read_bytes() == (out / "sub" / "victim.txt").read_bytes() == b"mine"
    assert {path.name for path in shop.iterdir()} == {"design.toml", "sizes.csv", "out", "victim.txt"}


@pytest.mark.parametrize("kind", ["link", "endless", "folder", "pipe"])
def test_what_is_no_plain_manifest_is_refused(shop: Path, capsys: pytest.CaptureFixture[str], kind: str) -> None:
    out = shop / "out"
    out.mkdir()
    place = out / MANIFEST
    if kind == "link":
        (shop / "elsewhere").write_bytes(document())
        place.symlink_to(shop / "elsewhere")
    elif kind == "endless":
        place.symlink_to("/dev/zero")
    elif kind == "folder":
        place.mkdir()
    else:
        os.mkfifo(place)
    assert make_range(shop) == 2
    assert "it is no manifest of ours" in capsys.readouterr().err


def test_a_listed_name_that_is_now_a_link_or_a_folder_stays(tmp_path: Path) -> None:
    (tmp_path / "target").write_bytes(b"x")
    digest = sha256(b"x").hexdigest()
    out = tmp_path / "out"
    out.mkdir()
    (out / "link.pdf").symlink_to(tmp_path / "target")
    (out / "folder.pdf").mkdir()
    (out / "plain.pdf").write_bytes(b"x")
    files = [{"name": name, "sha256": digest} for name in ("link.pdf", "folder.pdf", "plain.pdf", "gone.pdf")]
    (out / MANIFEST).write_text(json.dumps({"schema": 1, "design": "Heron", "files": files}))
    found = read_manifest(out)
    assert renewal(out, found, [MANIFEST, "new.pdf"]) == Renewal(
        removed=("plain.pdf",), kept=("folder.pdf/", "link.pdf"), changed=("folder.pdf", "link.pdf")
    )


def test_a_name_that_differs_in_case_alone_is_no_other(tmp_path: Path) -> None:
    """On a file system that folds case it is the new file, which must not go."""
    (tmp_path / "Heron-A4.pdf").write_bytes(b"x")
    files = [{"name": "Heron-A4.pdf", "sha256": sha256(b"x").hexdigest()}]
    (tmp_path / MANIFEST).write_text(json.dumps({"schema": 1, "design": "Heron", "files": files}))
    found = read_manifest(tmp_path)
    assert renewal(tmp_path, found, [MANIFEST, "heron-a4.pdf"]).removed == ()


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    made: Any = SimpleNamespace(
        design=SimpleNamespace(name="Heron", workroom="Reedbank"),
        table=SimpleNamespace(sizes=()),
        garments=(),
        named_rises=(),
    )
    parts = [OutputFile("b.pdf", "b", b"b"), OutputFile("a.pdf", "a", b"a")]
    for kind in Kind:
        (tmp_path / MANIFEST).write_bytes(manifest(made, parts, kind))
        found = earlier(tmp_path, "Heron", kind, named="out")
        assert found
        assert (found.kind, found.design, set(found.files)) == (kind, "Heron", {"a.pdf", "b.pdf"})
    (tmp_path / MANIFEST).write_bytes(manifest(made, parts, Kind.RELEASE))
    with pytest.raises(OutputError, match="out: it holds a release of 'Heron'"):
        earlier(tmp_path, "Heron", Kind.RANGE, named="out")


def test_a_reader_is_told_some_of_many_and_nothing_that_steers_a_terminal() -> None:
    names = tuple(f"file-{number}" for number in range(MOST_TOLD + 3))
    (line,) = Renewal(removed=names).lines()
    assert line.endswith(f"file-{MOST_TOLD - 1} and 3 more files")
    (line,) = Renewal(kept=("a\x1b[2J\nb",)).lines()
    assert line.isprintable()
