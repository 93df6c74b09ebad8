from __future__ import annotations

import json
import os
from hashlib import sha256
from pathlib import Path

import pytest

from drafting.errors import OutputError
from output.command import main
from output.inspection.folder import FolderInspection, inspect_folder
from output.paper.sizes import A4
from output.patterns.projection import Ground, projection_pdf
from output.patterns.tiled import tiled_pdf
from sample_pieces import leg_like
from spoilt import SPOILERS


@pytest.fixture
def release(tmp_path: Path) -> Path:
    """A release in small: a pattern, a page for a projector, and a table."""
    files = {
        "heron-A4.pdf": tiled_pdf([leg_like(width=500)], paper=A4, title="Heron shorts", size="H102").data,
        "heron-projection.pdf": projection_pdf([(leg_like(),)], ground=Ground.LIGHT, title="Heron shorts").data,
        "tables.csv": b"size,hip\nH102,102\n",
    }
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    told(tmp_path, [entry(name, data) for name, data in files.items()])
    return tmp_path


def entry(name: object, data: bytes, **more: object) -> dict[str, object]:
    return {"name": name, "about": "what it is for", "bytes": len(data), "sha256": sha256(data).hexdigest(), **more}


def told(folder: Path, files: object, **more: object) -> None:
    """Write a manifest."""
    document = {"schema": 1, "design": "Heron shorts", "files": files, **more}
    (folder / "manifest.json").write_text(json.dumps(document), encoding="utf-8")


def manifest(folder: Path) -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    return found


def inspected(folder: Path) -> FolderInspection:
    return inspect_folder(str(folder))


def test_a_release_as_it_was_published_is_proved_each_file_for_its_purpose(release, capsys):
    found = inspected(release)
    assert found.problems == ()
    assert {file.name: file.kind for file in found.files} == {
        "heron-A4.pdf": "pattern to print",
        "heron-projection.pdf": "pattern to project",
        "tables.csv": "",
    }
    assert main(["inspect", str(release)]) == 0
    said = capsys.readouterr().out
    assert said.endswith("All is as it was published\n")
    assert "heron-projection.pdf  as published and proved: pattern to project" in said
    assert main(["inspect", str(release), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["safe"] is True


def test_what_later_versions_add_to_a_manifest_is_passed_over(release):
    files = [{**one, "kind": "pattern"} for one in manifest(release)]
    told(release, files, sizes=["H102"], made={"by": "hand"})
    assert inspected(release).safe


def test_missing_changed_and_foreign_files_are_named(release, capsys):
    (release / "heron-projection.pdf").unlink()
    (release / "tables.csv").write_bytes(b"size,hip\nH102,103\n")
    (release / "notes.txt").write_bytes(b"")
    (release / "old").mkdir()
    assert inspected(release).problems == (
        "heron-projection.pdf: it is missing",
        "tables.csv: it has changed since it was published",
        "notes.txt: it is not in the manifest",
        "old: it is not in the manifest",
    )
    assert main(["inspect", str(release)]) == 2
    heard = capsys.readouterr()
    assert "Problem: notes.txt: it is not in the manifest" in heard.out
    assert heard.err == (
        f"shirrline: {release}: not as it was published: heron-projection.pdf: it is missing (and 3 more)\n"
    )


def test_a_spoilt_pdf_is_found_out_though_the_manifest_was_written_anew(release):
    data = SPOILERS["mirrored"]((release / "heron-A4.pdf").read_bytes())
    (release / "heron-A4.pdf").write_bytes(data)
    assert inspected(release).problems == ("heron-A4.pdf: it has changed since it was published",)
    told(release, [entry("heron-A4.pdf", data), *manifest(release)[1:]])
    problems = inspected(release).problems
    assert "heron-A4.pdf: page 8 is mirrored" in problems
    assert all(problem.startswith("heron-A4.pdf: ") for problem in problems)


def test_a_pdf_that_is_none_is_found_out(release):
    (release / "heron-A4.pdf").write_bytes(b"no PDF")
    told(release, [entry("heron-A4.pdf", b"no PDF"), *manifest(release)[1:]])
    [problem] = inspected(release).problems
    assert problem.startswith("heron-A4.pdf: not a PDF that can be read")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs links and pipes")
def test_links_and_pipes_are_not_followed(release, tmp_path_factory):
    other = tmp_path_factory.mktemp("other") / "tables.csv"
    other.write_bytes((release / "tables.csv").read_bytes())
    (release / "tables.csv").unlink()
    (release / "tables.csv").symlink_to(other)
    (release / "heron-A4.pdf").unlink()
    os.mkfifo(release / "heron-A4.pdf")
    assert inspected(release).problems == (
        "heron-A4.pdf: it is a folder or device, not a file",
        "tables.csv: it is a link, not a file",
    )


NAMES = ["../secret", "/etc/passwd", "..", ".", "", "sub/file", "a\\b", "C:file", "a\nb", "x" * 300, "manifest.json", 7]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_leads_out_of_the_folder_is_refused(release, name):
    told(release, [entry(name, b"")])
    with pytest.raises(OutputError, match="no name of a file in a release"):
        inspected(release)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"schema": 2, "design": "a", "files": []}',
        '{"schema": true, "design": "a", "files": []}',
        '{"schema": 1, "design": "a"}',
        '{"schema": 1, "design": 5, "files": []}',
        '{"schema": 1, "design": "a", "files": [5]}',
        '{"schema": 1, "design": "a", "files": [{"name": "a", "bytes": -1, "sha256": "%s"}]}' % ("0" * 64),
        '{"schema": 1, "design": "a", "files": [{"name": "a", "bytes": 1, "sha256": "0"}]}',
        '{"schema": 1, "design": "a", "files": [' + ", ".join(["{}"] * 10_001) + "]}",
        "[" * 100_000,
        '{"schema": 1, "schema": 1, "design": "a", "files": []}',
    ],
    ids=range(13),
)
def test_a_manifest_that_is_none_is_refused_on_one_line(release, text, capsys):
    (release / "manifest.json").write_text(text, encoding="utf-8")
    assert main(["inspect", str(release)]) == 2
    heard = capsys.readouterr()
    assert heard.out == ""
    assert heard.err.count("\n") == 1
    assert "manifest.json: " in heard.err


def test_a_name_given_twice_is_refused(release):
    told(release, [*manifest(release), manifest(release)[0]])
    with pytest.raises(OutputError, match=r"lists 'heron-A4\.pdf' twice"):
        inspected(release)


def test_a_manifest_that_is_a_link_is_refused(release):
    (release / "manifest.json").rename(release.parent / "elsewhere.json")
    (release / "manifest.json").symlink_to(release.parent / "elsewhere.json")
    with pytest.raises(OutputError, match="it is a link"):
        inspected(release)


def test_a_folder_without_a_manifest_is_refused(tmp_path, capsys):
    assert main(["inspect", str(tmp_path)]) == 2
    assert capsys.readouterr().err.endswith("it has no manifest.json; give a folder that publish wrote, or a PDF\n")
