"""What the pages find in a folder: designs told from other files, by names that are no paths, always as they are."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from drafting.errors import DraftError
from output.serve.folder import Folder
from sampled import SAMPLES

PLAIN = 'name = "{}"\nunit = "mm"\n[leg]\nfullness = 1.5\n'


def put(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_the_samples_are_designs_and_one_size_table() -> None:
    folder = Folder(SAMPLES)
    assert [one.file for one in folder.designs()] == [
        "ankle.toml",
        "calf.toml",
        "design.toml",
        "knee.toml",
        "skirt.toml",
    ]
    assert all(one.design and not one.problem for one in folder.designs())
    assert [one.file for one in folder.tables()] == ["sizes.csv"]
    assert folder.releases() == ()


def test_other_files_are_no_designs(tmp_path: Path) -> None:
    put(tmp_path, "one.toml", PLAIN.format("One"))
    put(tmp_path, "measurements.toml", 'unit = "cm"\nwaist_girth = 76\n')
    put(tmp_path, "broken-measurements.toml", 'unit = "cm"\nwaist_girth = 76 cm\n')
    put(tmp_path, "sizes.toml", 'unit = "cm"\n[[body]]\nsize = "H102"\n')
    put(tmp_path, "pyproject.toml", '[project]\nname = "x"\n')
    put(tmp_path, "empty.toml", "")
    put(tmp_path, ".hidden.toml", PLAIN.format("Hidden"))
    put(tmp_path, "design.toml~", PLAIN.format("Backup"))
    (tmp_path / "folder.toml").mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    assert [one.file for one in Folder(tmp_path).designs()] == ["one.toml"]
    assert [one.file for one in Folder(tmp_path).tables()] == ["sizes.toml"]


def test_links_are_not_followed(tmp_path: Path) -> None:
    inside, outside = tmp_path / "in", tmp_path / "out"
    inside.mkdir(), outside.mkdir()
    target = put(outside, "secret.toml", PLAIN.format("Secret"))
    (inside / "link.toml").symlink_to(target)
    put(outside, "manifest.json", "{}")
    (inside / "release").symlink_to(outside)
    folder = Folder(inside)
    assert folder.designs() == ()
    assert folder.releases() == ()


@pytest.mark.parametrize("slug", ["../out/secret", "/etc/passwd", "one.toml", "", "a" * 5000, "one\0", "ONE"])
def test_a_public_name_is_no_path(tmp_path: Path, slug: str) -> None:
    put(tmp_path, "one.toml", PLAIN.format("One"))
    folder = Folder(tmp_path)
    assert folder.design("one") == tmp_path / "one.toml"
    with pytest.raises(DraftError, match=r"^design: .* is not in the folder"):
        folder.design(slug)


def test_a_broken_design_is_told_without_the_way_to_it(tmp_path: Path) -> None:
    put(tmp_path, "good.toml", PLAIN.format("Good"))
    put(tmp_path, "range.toml", PLAIN.format("Range").replace("1.5", "9"))
    put(tmp_path, "syntax.toml", PLAIN.format("Syntax") + "fullness = = 2\n")
    put(tmp_path, "nameless.toml", 'unit = "mm"\n[leg]\n')
    found = {one.file: one for one in Folder(tmp_path).designs()}
    assert found["good.toml"].problem == ""
    assert found["range.toml"].problem.startswith("leg.fullness: 9 is outside")
    assert found["syntax.toml"].problem.startswith("syntax.toml: not TOML")
    assert found["nameless.toml"].problem.startswith("name: ")
    for one in found.values():
        assert str(tmp_path) not in one.problem


def test_a_design_that_changes_is_read_anew_and_others_are_not(tmp_path: Path) -> None:
    path, other = put(tmp_path, "a.toml", PLAIN.format("Old")), put(tmp_path, "b.toml", PLAIN.format("Other"))
    folder = Folder(tmp_path)
    before = folder.designs()
    assert folder.designs()[0].design is before[0].design
    about = path.stat()
    put(tmp_path, "a.toml", PLAIN.format("New"))
    os.utime(path, ns=(about.st_atime_ns, about.st_mtime_ns))  # as an editor may leave it: same size, same time
    after = folder.designs()
    assert [one.name for one in after] == ["New", "Other"]
    assert after[1].design is before[1].design
    other.unlink()
    assert [one.name for one in folder.designs()] == ["New"]


def test_names_of_any_script_and_files_that_differ_in_capitals_are_told_apart(tmp_path: Path) -> None:
    for file, name in (("ερωδιός.toml", "Ερωδιός"), ("אנפה.toml", "אנפה"), ("A.toml", "Upper"), ("a.toml", "Lower")):
        put(tmp_path, file, PLAIN.format(name))
    found = Folder(tmp_path).designs()
    assert {one.name for one in found} == {"Ερωδιός", "אנפה", "Upper", "Lower"}
    assert len({one.slug for one in found}) == 4
    for one in found:
        assert Folder(tmp_path).design(one.slug).name == one.file


def test_two_endings_of_one_name_are_told_apart(tmp_path: Path) -> None:
    put(tmp_path, "a.toml", PLAIN.format("One"))
    put(tmp_path, "a.TOML", PLAIN.format("Two"))
    found = Folder(tmp_path).designs()
    assert {Folder(tmp_path).design(one.slug).name for one in found} == {"a.toml", "a.TOML"}


def test_size_tables_are_told_from_order_books(tmp_path: Path) -> None:
    put(tmp_path, "semicolons.csv", "Size;Hip girth\r\nH84;84,5\r\n")
    put(tmp_path, "orders.csv", "order,unit,waist_girth\n1,cm,70\n")
    put(tmp_path, "prices.csv", "ware,price\nelastic,3\n")
    (tmp_path / "wide.txt").write_bytes("size\thip_girth\nH84\t84\n".encode("utf-16"))
    assert [one.file for one in Folder(tmp_path).tables()] == ["semicolons.csv", "wide.txt"]


def test_a_release_is_a_folder_with_a_manifest(tmp_path: Path) -> None:
    (tmp_path / "release").mkdir()
    put(tmp_path / "release", "manifest.json", "{}")
    (tmp_path / "other").mkdir()
    assert Folder(tmp_path).releases() == ("release",)


def test_a_folder_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(DraftError, match=r"^folder: it cannot be read"):
        Folder(tmp_path / "gone").designs()
