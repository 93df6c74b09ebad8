from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import output.lays.file
import output.system.files
from blocks.cloth import Cloth
from blocks.lay import LayPlan, LayRules, Search
from drafting.errors import OutputError
from drafting.piece import Grainline
from drafting.point import Motion, Point, Vector
from lays import FOLDED, OPEN, QUICK, short_for, stacked
from output.lays.file import LayFile, lay_file_of, lay_key
from output.system.stage import stage_beside
from sample_pieces import strip

PIECES = (strip(name="facing"), strip(name="band", length=400))


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> list[Search]:
    """Stacks instead of searching, ever more tightly; tells which searches were asked for."""
    asked: list[Search] = []

    def lay_pieces(pieces: object, cloth: Cloth, *, rules: LayRules, search: Search) -> LayPlan:
        asked.append(search)
        return stacked(pieces, cloth, rules, apart=10.0 - len(asked))  # type: ignore[arg-type]

    monkeypatch.setattr(output.lays.file, "lay_pieces", lay_pieces)
    return asked


def test_a_stored_lay_is_used_again_by_another_run(tmp_path: Path, engine: list[Search]) -> None:
    path = tmp_path / "heron.lays.json"
    first = LayFile(path).lay(PIECES, OPEN, about="H102")
    written = path.read_bytes()
    second = LayFile(path).lay(PIECES, OPEN, about="H102")
    assert len(engine) == 1
    assert second == first
    assert path.read_bytes() == written


def test_a_lay_of_the_engine_is_the_same_when_it_is_read_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "heron.lays.json"
    pieces = short_for("H84", OPEN).pieces
    first = LayFile(path).lay(pieces, OPEN, search=QUICK)
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    second = LayFile(path).lay(pieces, OPEN, search=QUICK)
    assert second.laid == first.laid
    assert second.length == first.length


@pytest.mark.parametrize(
    "change",
    [
        lambda pieces, cloth, rules: ((replace(pieces[0], cut_count=4), pieces[1]), cloth, rules),
        lambda pieces, cloth, rules: ((strip(name="facing", length=700.01), pieces[1]), cloth, rules),
        lambda pieces, cloth, rules: ((strip(name="cuff"), pieces[1]), cloth, rules),
        lambda pieces, cloth, rules: (pieces[:1], cloth, rules),
        lambda pieces, cloth, rules: (pieces, Cloth(1410), rules),
        lambda pieces, cloth, rules: (pieces, replace(cloth, width=1410, selvedge=20), rules),
        lambda pieces, cloth, rules: (pieces, FOLDED, rules),
        lambda pieces, cloth, rules: (pieces, cloth, LayRules(gap=3)),
        lambda pieces, cloth, rules: (pieces, cloth, LayRules(one_way=True)),
    ],
)
def test_whatever_a_lay_depends_on_makes_it_another(change: Callable[..., tuple[object, ...]]) -> None:
    assert lay_key(*change(PIECES, OPEN, LayRules())) != lay_key(PIECES, OPEN, LayRules())  # type: ignore[arg-type]


def test_labels_and_marks_do_not_make_it_another() -> None:
    same = tuple(
        replace(
            piece, size="38", variant="mid", title="Strip", notches=(), grainline=Grainline(Point(9, 9), Point(9, 30))
        )
        for piece in PIECES
    )
    assert lay_key(same, OPEN, LayRules()) == lay_key(PIECES, OPEN, LayRules())
    hair = tuple(piece.moved(Motion.shift(Vector(1e-7, -1e-7))) for piece in PIECES)
    assert lay_key(hair, OPEN, LayRules()) == lay_key(PIECES, OPEN, LayRules())


def test_a_longer_search_is_made_once_and_the_shorter_lay_kept(tmp_path: Path, engine: list[Search]) -> None:
    lays = LayFile(tmp_path / "heron.lays.json")
    first = lays.lay(PIECES, OPEN, search=Search(5))
    assert lays.lay(PIECES, OPEN, search=Search(3)) == first
    better = lays.lay(PIECES, OPEN, search=Search(20))
    assert better.length < first.length
    assert lays.lay(PIECES, OPEN, search=Search(20)) == better
    assert [search.seconds for search in engine] == [5, 20]


def test_a_longer_search_never_makes_a_lay_worse(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lays = LayFile(tmp_path / "heron.lays.json")
    for apart, seconds in ((3.0, 5), (9.0, 20)):
        plan = stacked(PIECES, OPEN, apart=apart)
        monkeypatch.setattr(output.lays.file, "lay_pieces", lambda *_, plan=plan, **__: plan)
        assert lays.lay(PIECES, OPEN, search=Search(seconds)).length == stacked(PIECES, OPEN, apart=3.0).length


def test_what_another_run_has_stored_meanwhile_is_kept(tmp_path: Path, engine: list[Search]) -> None:
    path = tmp_path / "heron.lays.json"
    one, other = LayFile(path), LayFile(path)
    one.lay(PIECES, OPEN)
    other.lay(PIECES, FOLDED)
    third = LayFile(path)
    third.lay(PIECES, OPEN)
    third.lay(PIECES, FOLDED)
    assert len(engine) == 2


def test_a_lay_that_was_changed_is_refused(tmp_path: Path, engine: list[Search]) -> None:
    path = tmp_path / "heron.lays.json"
    LayFile(path).lay(PIECES, OPEN)
    document = json.loads(path.read_bytes())
    (entry,) = document["lays"].values()
    entry["laid"][1]["y"] -= 20
    path.write_text(json.dumps(document))
    with pytest.raises(OutputError, match=r"lay \w{12} was changed since it was stored: .* overlap .*; delete it"):
        LayFile(path).lay(PIECES, OPEN)


@pytest.mark.parametrize(
    "content", [b"", b"{", b"[]", b'{"schema": 2, "lays": {}}', b'{"schema": 1, "lays": {"a": {"laid": [1]}}}']
)
def test_what_is_no_lay_file_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "heron.lays.json"
    path.write_bytes(content)
    with pytest.raises(OutputError, match="it is no lay file") as caught:
        LayFile(path)
    assert "\n" not in str(caught.value)


PLACE = '{"piece": "a", "mirrored": false, "turned": false, "x": 1, "y": 2}'


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"x": 1', '"x": 1e999', "1e999 is too large a number"),
        ('"x": 1', '"x": NaN', "NaN is not a number"),
        ('"x": 1', '"x": ' + "1" * 4000, "line 1: a number of more than 100 digits"),
        ('"x": 1', '"x": ' + "1" * 90, "is not a place on cloth"),
        ('"x": 1', '"x": -1e300', "lay key: -1e+300, 2 is not a place on cloth"),
        ('"x": 1', '"x": "1"', "is not a place on cloth"),
        ('"x": 1', '"x": true', "is not a place on cloth"),
        ('"x": 1', '"x": 1, "x": 1', "'x' stands twice"),
        ('"x": 1, ', "", "is not a place on cloth"),
        ('"mirrored": false', '"mirrored": 0', "lay key: mirrored: 0 is not true or false"),
        ('"turned": false', '"turned": "false"', 'lay key: turned: "false" is not true or false'),
        ('"piece": "a"', '"piece": 7', "lay key: piece: 7 is not a text"),
        ('"piece": "a"', '"piece": "\\ud800"', "it holds half a letter"),
        ('"seconds": 5', '"seconds": 5.5', "lay key: seconds: 5.5 is not a whole number"),
        ('"seconds": 5', '"seconds": true', "lay key: seconds: true is not a whole number"),
        ('"about": "b"', '"about": null', "lay key: about: None is not a text"),
        ('"about": "b"', '"about": "\xff"', "line 1 is not UTF-8 text"),
        (PLACE, "[" * 5000 + "]" * 5000, "nested too deeply"),
        (PLACE, "3", "lay key: laid: 3 is not an object"),
        ("[" + PLACE + "]", "{}", "lay key: laid: {} is not a list"),
        ('"schema": 1', '"schema": [1]', "its schema is [1], not 1"),
    ],
)
def test_what_is_wrong_in_a_lay_file_is_named(tmp_path: Path, old: str, new: str, says: str) -> None:
    path = tmp_path / "heron.lays.json"
    sound = '{"schema": 1, "lays": {"key": {"about": "b", "seconds": 5, "laid": [' + PLACE + "]}}}"
    path.write_text(sound)
    LayFile(path)
    assert sound.count(old) == 1
    path.write_bytes(sound.replace(old, new).encode("latin-1"))
    with pytest.raises(OutputError) as caught:
        LayFile(path)
    assert says in str(caught.value)
    assert str(caught.value).startswith(f"{path}: ")
    assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize("name", ["x" * 300, "a\0b", "file/lays.json"])
def test_a_place_that_cannot_be_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match="cannot be read: "):
        LayFile(tmp_path / name)


def test_a_device_is_no_lay_file() -> None:
    with pytest.raises(OutputError, match="/dev/zero: cannot be read: it is a device"):
        LayFile("/dev/zero")


def test_a_folder_is_no_lay_file(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="cannot be read"):
        LayFile(tmp_path)


def test_a_write_that_fails_leaves_the_lays_that_were_there(
    tmp_path: Path, engine: list[Search], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "heron.lays.json"
    lays = LayFile(path)
    lays.lay(PIECES, OPEN)
    before = path.read_bytes()

    def full(path: Path, content: bytes) -> None:
        path.write_bytes(content[:10])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(output.system.files, "write_new", full)
    with pytest.raises(OutputError, match="No space left"):
        lays.lay(PIECES, FOLDED)
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == [path.name]


def test_lays_are_kept_beside_the_design() -> None:
    assert lay_file_of(Path("shorts") / "heron.toml") == Path("shorts") / "heron.lays.json"


def test_what_a_killed_run_has_left_beside_the_file_is_cleared_away(tmp_path: Path, engine: list[Search]) -> None:
    path = tmp_path / "heron.lays.json"
    LayFile(path).lay(PIECES, OPEN)
    before, stage = path.read_bytes(), stage_beside(path)
    stage.mkdir()
    (stage / "lock").write_bytes(b"")
    (stage / "new").write_bytes(b"half")
    (tmp_path / ".heron.lays.json.12.part").write_bytes(b"half, by an earlier version")
    (tmp_path / ".other.json.12.part").write_bytes(b"somebody's")
    LayFile(path).lay(PIECES, OPEN)
    assert path.read_bytes() == before
    assert {one.name for one in tmp_path.iterdir()} == {path.name, ".other.json.12.part"}


def test_runs_at_once_lose_no_lay_of_each_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "heron.lays.json"
    monkeypatch.setattr(
        output.lays.file, "lay_pieces", lambda pieces, cloth, *, rules, search: stacked(pieces, cloth, rules)
    )
    cloths = [Cloth(1400 + 10 * number) for number in range(24)]
    children = []
    for first in range(4):
        child = os.fork()
        if not child:
            lays = LayFile(path)
            for cloth in cloths[first::4]:
                lays.lay(PIECES, cloth)
            os._exit(0)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
    assert set(json.loads(path.read_bytes())["lays"]) == {lay_key(PIECES, cloth, LayRules()) for cloth in cloths}
    assert [one.name for one in tmp_path.iterdir()] == [path.name]


def test_a_lay_that_another_run_has_found_meanwhile_is_the_one(tmp_path: Path, engine: list[Search]) -> None:
    """So that what both publish is what is kept."""
    path = tmp_path / "heron.lays.json"
    one, other = LayFile(path), LayFile(path)
    first = one.lay(PIECES, OPEN)
    assert other.lay(PIECES, OPEN) == first
    assert LayFile(path).lay(PIECES, OPEN) == first
    assert len(engine) == 2


def test_what_cannot_be_written_is_told_before_any_search(tmp_path: Path, engine: list[Search]) -> None:
    (tmp_path / "file").write_bytes(b"mine")
    lays = LayFile(tmp_path / "heron.lays.json")
    lays.path = tmp_path / "file" / "heron.lays.json"
    with pytest.raises(OutputError, match=r"heron\.lays\.json: cannot be written: .*; name another .* by --lays FILE"):
        lays.lay(PIECES, OPEN)
    assert engine == []


def test_a_link_to_a_lay_file_stays_one(tmp_path: Path, engine: list[Search]) -> None:
    (tmp_path / "kept").mkdir()
    path = tmp_path / "heron.lays.json"
    path.symlink_to("kept/lays.json")
    LayFile(path).lay(PIECES, OPEN)
    assert path.is_symlink()
    assert LayFile(tmp_path / "kept" / "lays.json").lay(PIECES, OPEN)
    assert len(engine) == 1
