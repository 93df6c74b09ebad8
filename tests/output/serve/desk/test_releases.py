"""Releases at the desk: asked for, watched, taken file by file and in a zip, and compared with the one before."""

from __future__ import annotations

import dataclasses
import io
import json
import re
import shutil
import time
import zipfile
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from hashlib import sha256
from html import escape
from pathlib import Path
from urllib.parse import quote

import httpx
import pytest
from pypdf import PdfReader

from blocks.cloth import Lay
from called import TOKEN, Caller, called
from drafting.errors import DraftError
from output.commands.options import design_of
from output.commands.publish import PublishRequest, publish
from output.serve.folder import Folder
from output.serve.releases.comparison import Moved, Release, compare, read_release, settings_of
from output.serve.releases.figures import Figures
from output.serve.releases.publish_form import asked
from output.serve.serving import Settings
from output.system.names import design_stem
from sampled import SAMPLES
from served import served

FORM = {"design": "design", "table": "sizes.csv", "folder": "heron"}


def shop_in(place: Path, fullness: str = "", sizes: slice = slice(1, 3)) -> Path:
    """The sample with some of its sizes, the lays that were found for them, and perhaps another fullness."""
    place.mkdir(exist_ok=True)
    text = (SAMPLES / "design.toml").read_text()
    changed = re.sub(r"(?m)^fullness = [0-9.]+", f"fullness = {fullness}", text, count=1) if fullness else text
    (place / "design.toml").write_text(changed)
    shutil.copy(SAMPLES / "design.lays.json", place)
    head, *rows = (SAMPLES / "sizes.csv").read_text().splitlines(keepends=True)
    (place / "sizes.csv").write_text("".join([head, *rows[sizes]]))
    return place


@pytest.fixture(scope="module", name="releases")
def _releases(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """One release, and one of the same design that is a little fuller, in other sizes and on another paper."""
    made = {}
    for name, fullness, sizes, page in (("before", "1.5", slice(1, 3), "A4"), ("after", "1.55", slice(2, 4), "Letter")):
        shop = shop_in(tmp_path_factory.mktemp(name), fullness, sizes)
        publish(
            PublishRequest(
                design=shop / "design.toml",
                sizes=shop / "sizes.csv",
                out=shop / name,
                pages=(page,),
                rises=("mid",),
                seconds=1,
                workers=1,
            )
        )
        made[name] = shop / name
    return made


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, releases: dict[str, Path]) -> Path:
    shop = shop_in(tmp_path / "shop", "1.55", slice(2, 4))
    shutil.copy(releases["after"].with_name("design.lays.json"), shop)
    shutil.copytree(releases["before"], shop / "heron")
    shutil.copytree(releases["after"], shop / "fuller")
    return shop


@pytest.fixture(name="desk")
def _desk(shop: Path) -> Iterator[Caller]:
    with called(Settings(folder=shop, token=TOKEN, workers=1)) as desk:
        yield desk


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def whole(folder: Path, design: Path) -> Release:
    found = read_release(folder, settings_of(design_of(design)))
    assert found
    return found


def test_two_releases_are_compared_in_sentences_and_figures(releases: dict[str, Path]) -> None:
    before, after = (whole(folder, folder.parent / "design.toml") for folder in releases.values())
    found = compare(before, after)
    first, _, last = dict.fromkeys((*before.figures.sizes, *after.figures.sizes))
    assert found.sentences[:2] == (f"Size {last} is new.", f"Size {first} is gone.")
    assert "In the design leg.fullness was 1.5 and is 1.55." in found.sentences
    assert [(one.what, one.before, one.after, one.by) for one in found.settings] == [
        ("leg.fullness", "1.5", "1.55", "+0.05")
    ]
    assert set(found.added) == {path.name for path in releases["after"].iterdir()} - set(before.files) - {
        "manifest.json"
    }
    assert set(found.gone) == set(before.files) - set(after.files)
    assert all("A4" in name for name in found.gone)
    assert all("Letter" in name for name in found.added)
    assert "tables.csv" in found.changed
    counted = [int(number) for number in re.findall(r"\d+", next(one for one in found.sentences if "Files" in one))]
    assert counted[:3] == [len(found.added), len(found.gone), len(found.changed)]


def test_a_figure_that_has_changed_is_told_with_how_much(releases: dict[str, Path]) -> None:
    """Held against the tables for programs, which the comparison does not read."""
    documents = [json.loads((folder / "tables.json").read_text()) for folder in releases.values()]
    measures = [{one["size"]: one["measures"] for one in document["sizes"]} for document in documents]
    (size,) = measures[0].keys() & measures[1].keys()
    found = compare(*(whole(folder, folder.parent / "design.toml") for folder in releases.values()))
    told = {shift.what.removeprefix("finished measures: "): shift for shift in found.figures}
    for name, was in measures[0][size].items():
        now = measures[1][size][name]
        shift = told.get(name.replace("_", " "))
        assert (shift is not None) is (was["cm"] != now["cm"])
        if shift:
            more = round(now["cm"] - was["cm"], 2)
            assert shift.by == f"{'−' if more < 0 else '+'}{abs(more):g} cm"
            (each,) = shift.each
            assert (each.what, each.before) == (size, f"{was['cm']:.2f} cm ({was['eighths']} in)")
            assert each.after == f"{now['cm']:.2f} cm ({now['eighths']} in)"
    assert "hem" in told
    by = {name: measures[1][size][name]["cm"] - was["cm"] for name, was in measures[0][size].items()}
    most = max(by, key=lambda name: abs(by[name]))
    ending = f"{most.replace('_', ' ')} has changed most: +{by[most]:.3g} cm in size {size}, mid rise."
    assert found.sentences[-1] == f"Of the finished measures {ending}"


def test_a_release_against_itself_has_nothing_new(releases: dict[str, Path]) -> None:
    one = whole(releases["before"], releases["before"].parent / "design.toml")
    found = compare(one, one)
    assert found.sentences == (
        "All files are what they were, byte for byte.",
        "The design says what it said.",
        "No figure of the tables has changed.",
    )
    assert not any((found.settings, found.figures, found.added, found.gone, found.changed))


def test_what_an_earlier_design_said_is_told_to_be_unknown(releases: dict[str, Path]) -> None:
    earlier = read_release(releases["before"])
    later = whole(releases["after"], releases["after"].parent / "design.toml")
    assert earlier
    found = compare(earlier, later)
    assert any("is not known" in sentence for sentence in found.sentences)
    assert not found.settings
    assert found.figures
    assert compare(None, later).sentences == ("There was no release in this folder to compare this one with.",)
    assert read_release(releases["after"].parent) is None


def test_a_casing_that_is_gone_is_told_once_and_another_unit_is_nothing_new() -> None:
    design = design_of(SAMPLES / "design.toml")
    *kept, last = design.casings
    empty = Figures({}, (), ())
    one, fewer, inches = (
        Release({}, empty, settings_of(other))
        for other in (design, replace(design, casings=tuple(kept)), replace(design, unit="in"))
    )
    assert compare(one, fewer).settings == (Moved(f"casing.{last.name}.name", last.name, "not there"),)
    assert compare(fewer, one).settings == (Moved(f"casing.{last.name}.name", "not there", last.name),)
    assert compare(one, inches).settings == ()


def test_a_form_asks_for_what_the_command_is_asked_for(shop: Path) -> None:
    folder = Folder(shop)
    form = {
        "design": "design",
        "table": "sizes.csv",
        "page-Letter": "on",
        "page-A0": "on",
        "projection-dark": "on",
        "rolls": "610 914",
        "cloths": "150; 140",
        "selvedge": "1",
        "lay": "folded",
        "one_way": "on",
        "shrinkage": "4",
        "seconds": "7",
        "rise-mid": "on",
        "folder": "autumn",
    }
    assert asked(form, folder) == PublishRequest(
        design="design.toml",
        sizes="sizes.csv",
        out="autumn",
        rises=("mid",),
        pages=("Letter", "A0"),
        rolls=("610", "914"),
        projections=("dark",),
        cloths=("150", "140"),
        selvedge="1",
        lay=Lay.FOLDED,
        one_way=True,
        shrinkage="4",
        seconds="7",
    )
    stem = design_stem(design_of(shop / "design.toml").name)
    plain = PublishRequest(design="design.toml", sizes="sizes.csv", out=f"{stem}-release")
    assert asked({"design": "design", "table": "sizes.csv"}, folder) == plain
    for wrong, told in (({"design": "wren"}, "design"), ({"table": "../x"}, "sizes"), ({"lay": "heap"}, "lay")):
        with pytest.raises(DraftError, match=told):
            asked({**form, **wrong}, folder)


def test_every_field_of_the_form_is_read(desk: Caller, shop: Path) -> None:
    """A field that the page has and nobody reads would promise what is not done; so would an option it lacks."""
    page = desk.get("releases").text
    named = set(re.findall(r'name="([^"]+)"', page)) - {"viewport", "color-scheme"}
    pieces = {name.partition("-")[0] for name in named}
    read = {"design", "table", "folder", "page", "projection", "rolls", "rise", "cloths", "selvedge", "lay", "one_way"}
    assert pieces == read | {"shrinkage", "seconds"}
    options = {one.name for one in dataclasses.fields(PublishRequest)}
    assert options == {
        *("design", "sizes", "out", "rises", "pages", "rolls", "projections", "cloths", "selvedge", "lay", "one_way"),
        *("shrinkage", "seconds"),
        *("lays", "workers"),  # which file keeps lays, and how many processors are used, is the server's to say
    }


def test_a_release_is_published_watched_and_compared(desk: Caller, shop: Path) -> None:
    form = {
        "design": "design",
        "table": "sizes.csv",
        "folder": "heron",
        "page-Letter": "on",
        "rise-mid": "on",
        "seconds": "1",
    }
    answer = desk.post("releases", data=form)
    assert answer.status_code == 303
    where = answer.headers["location"]
    assert where == f"/desk/{TOKEN}/releases/heron"
    assert "heron: a release is just being made there" in desk.post("releases", data=form).text
    page = desk.get(where).text
    assert "The release is under way" in page
    assert f'action="{where}/cancel"' in page
    assert f'href="{where}">Look again' in page
    events = desk.get(f"{where}/news")
    assert events.headers["content-type"].startswith("text/event-stream")
    assert events.text.startswith("retry: ")
    ids = [int(found) for found in re.findall(r"(?m)^id: (\d+)$", events.text)]
    assert ids == sorted(set(ids))
    told = [json.loads(found) for found in re.findall(r"(?m)^data: (.+)$", events.text)]
    assert [one["ended"] for one in told].count(True) == 1
    assert (told[-1]["state"], told[-1]["done"]) == ("done", told[-1]["of"])
    page = desk.get(where).text
    assert "The release is complete" in page
    assert "In the tables" in page
    assert "is not known" in page  # the one before was made by the command
    assert "leg.fullness" not in page
    assert "Publish again" in page
    assert 'name="page-Letter" checked' in page
    assert content(shop / "heron") == content(shop / "fuller"), "what the command publishes, byte for byte"


def test_a_cancelled_release_is_said_to_have_changed_nothing(desk: Caller, shop: Path) -> None:
    (shop / "design.lays.json").unlink()
    before = content(shop / "heron")
    where = desk.post("releases", data={**FORM, "seconds": "600"})
    end = time.monotonic() + 60
    while desk.get(where.headers["location"], headers={"Accept": "application/json"}).json()["done"] < 3:
        assert time.monotonic() < end
        time.sleep(0.02)
    assert desk.post("releases/heron/cancel").headers["location"] == where.headers["location"]
    assert '"state": "stopped"' in desk.get("releases/heron/news").text
    page = desk.get("releases/heron").text
    assert "Nothing was written: what was published before is as it was." in page
    assert "Files of the release before" in page
    assert content(shop / "heron") == before
    assert not [path for path in shop.iterdir() if path.name.startswith(".")]


def test_a_server_that_ends_during_a_run_leaves_the_release_before(shop: Path) -> None:
    before = content(shop / "heron")
    with called(Settings(folder=shop, token=TOKEN, workers=1)) as desk:
        form = {**FORM, "seconds": "600"}
        assert desk.post("releases", data=form).status_code == 303
        end = time.monotonic() + 60
        while not (shop / ".heron.shirrline").exists():
            assert time.monotonic() < end
            time.sleep(0.02)
    assert content(shop / "heron") == before
    assert not (shop / ".heron.shirrline").exists()


def test_a_server_stops_at_once_though_somebody_watches_a_run(shop: Path, tmp_path: Path) -> None:
    """It waits for its answers, and one that brings news would have no end before the run's."""
    (shop / "design.lays.json").unlink()
    before = content(shop / "heron")
    with ExitStack() as watching:
        with served(tmp_path, "--workers", "1", folder=shop) as server:
            desk = watching.enter_context(httpx.Client(base_url=server.desk, timeout=60))
            origin = {"Origin": server.counter.rstrip("/")}
            assert desk.post("releases", data={**FORM, "seconds": "600"}, headers=origin).status_code == 303
            news = watching.enter_context(desk.stream("GET", "releases/heron/news"))
            assert any("Files 1 of" in line for line in news.iter_lines())
            assert (shop / ".heron.shirrline").exists()
            begun = time.monotonic()
        assert time.monotonic() - begun < 15
        assert content(shop / "heron") == before
        assert not (shop / ".heron.shirrline").exists()
        assert "error" not in server.said


def test_each_file_is_listed_and_handed_out_as_it_is(desk: Caller, shop: Path) -> None:
    manifest = json.loads((shop / "heron" / "manifest.json").read_text())
    page = desk.get("releases/heron").text
    for file in manifest["files"]:
        assert f'releases/heron/files/{file["name"]}"' in page
        assert escape(file["about"]) in page
        answer = desk.get(f"releases/heron/files/{file['name']}")
        assert answer.status_code == 200
        assert sha256(answer.content).hexdigest() == file["sha256"]
        assert int(answer.headers["content-length"]) == file["bytes"]
        assert answer.headers["content-disposition"].startswith(f'attachment; filename="{file["name"]}"')
    pages = len(
        PdfReader(shop / "heron" / next(one["name"] for one in manifest["files"] if "guide" in one["name"])).pages
    )
    assert f"<td>{pages} pages</td>" in page


def test_all_files_come_in_one_zip_that_is_always_the_same(desk: Caller, shop: Path) -> None:
    answer = desk.get("releases/heron/all.zip")
    assert answer.headers["content-disposition"].startswith('attachment; filename="heron.zip"')
    with zipfile.ZipFile(io.BytesIO(answer.content)) as made:
        assert made.testzip() is None
        found = {name: made.read(name) for name in made.namelist()}
    assert found == content(shop / "heron")
    assert desk.get("releases/heron/all.zip").content == answer.content


def test_what_has_changed_since_is_not_handed_out(desk: Caller, shop: Path) -> None:
    tables, guide = shop / "heron" / "tables.csv", next((shop / "heron").glob("*guide*"))
    tables.write_bytes(tables.read_bytes()[:-1] + b"!")
    guide.unlink()
    assert desk.get("releases/heron/files/tables.csv").status_code == 422
    assert "tables.csv: it has been changed since" in desk.get("releases/heron/files/tables.csv").text
    assert "it is not there any more" in desk.get(f"releases/heron/files/{guide.name}").text
    assert desk.get("releases/heron/all.zip").status_code == 422
    assert "(not there any more)" in desk.get("releases/heron").text


@pytest.mark.parametrize(
    "way",
    [
        "releases/heron/files/..%2f..%2fdesign.toml",
        "releases/heron/files/%2e%2e%2fdesign.toml",
        "releases/heron/files/note.txt",
        "releases/heron/files/manifest.json",
        "releases/..%2fshop/files/design.toml",
        "releases/%2e%2e/files/design.toml",
        "releases/.hidden",
        "releases/nothing",
        "releases/nothing/news",
        "releases/nothing/all.zip",
        "releases/link",
        "releases/link/files/tables.csv",
        "releases/heron/files/secret.pdf",
    ],
)
def test_nothing_is_handed_out_but_what_a_manifest_lists(desk: Caller, shop: Path, way: str) -> None:
    (shop / "heron" / "note.txt").write_text("SECRET")
    (shop / "heron" / "secret.pdf").symlink_to(shop / "design.toml")
    (shop / "link").symlink_to(shop / "heron")
    (shop / ".hidden").mkdir()
    answer = desk.get(way)
    assert 400 <= answer.status_code < 500
    assert "SECRET" not in answer.text
    assert str(shop) not in answer.text
    assert "fullness" not in answer.text


def test_a_link_that_a_manifest_lists_is_not_followed(desk: Caller, shop: Path) -> None:
    tables = shop / "heron" / "tables.csv"
    tables.rename(shop / "elsewhere.csv")
    tables.symlink_to(shop / "elsewhere.csv")
    answer = desk.get("releases/heron/files/tables.csv")
    assert answer.status_code == 422
    assert "cannot be read" in answer.text


@pytest.mark.parametrize("name", ["../heron", "/heron", ".heron", "a/b", "link", "con"])
def test_a_release_goes_into_the_folder_alone(desk: Caller, shop: Path, name: str) -> None:
    (shop / "link").symlink_to(shop.parent)
    answer = desk.post("releases", data={"design": "design", "table": "sizes.csv", "folder": name})
    assert answer.status_code == 422
    assert "folder: " in answer.text
    assert str(shop) not in answer.text


def test_a_folder_may_have_any_plain_name(desk: Caller, shop: Path) -> None:
    """What means something in an address is no more than a letter in a name."""
    name = "50% off #1 & more, été %41"
    (shop / "heron").rename(shop / name)
    answer = desk.post("releases", data={**FORM, "folder": name, "cloths": "9"})
    assert answer.status_code == 303
    where = answer.headers["location"]
    desk.get(f"{where}/news")
    page = desk.get(where).text
    assert f"<h1>{escape(name)}</h1>" in page
    assert "cloth: 9 cm" in page
    links = re.findall(r'href="([^"]+)/files/tables.csv"', page)
    assert links == [where]
    assert desk.get(f"{links[0]}/files/tables.csv").content == (shop / name / "tables.csv").read_bytes()
    assert quote(f"{name}.zip", safe="") in desk.get(f"{where}/all.zip").headers["content-disposition"]
    (listed,) = re.findall(r'href="([^"]+)">50%', desk.get("releases").text)
    assert desk.get(listed).status_code == 200


def test_two_folders_are_compared_on_asking(desk: Caller) -> None:
    page = desk.get("releases/fuller?with=heron").text
    assert "New against heron" in page
    assert "finished measures: hem" in page
    assert "New against" not in desk.get("releases/fuller?with=../x").text


def test_markup_in_a_name_stays_text(desk: Caller, shop: Path) -> None:
    manifest = shop / "heron" / "manifest.json"
    manifest.write_text(manifest.read_text().replace("cloth to buy for every size", "<b>bold</b>"))
    page = desk.get("releases/heron").text
    assert "<b>bold" not in page
    assert "&lt;b&gt;bold" in page
