"""The counter over HTTP: the page with and without scripting, and files that are what the draft command writes."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from email.message import Message
from pathlib import Path
from urllib.parse import unquote

import httpx
import pytest

from output.command import main
from sampled import DESIGN
from served import served

PATIENCE = 60
HERON = {"design": "design", "waist_girth": "76", "hip_girth": "102", "body_rise": "27", "waist_to_hip": "20.5"}
OPTIONS = ("--waist", "76", "--hip", "102", "--body-rise", "27", "--waist-to-hip", "20.5")
PLAIN = 'name = "{}"\nunit = "mm"\n[leg]\nfullness = 1.5\n'


@pytest.fixture(scope="module")
def samples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    place = tmp_path_factory.mktemp("served")
    with served(place, "--workers", "1") as server, httpx.Client(base_url=server.counter, timeout=PATIENCE) as client:
        yield client


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, httpx.Client]]:
    """A folder of this file's own, and its pages."""
    place = tmp_path_factory.mktemp("kept")
    (place / "designs").mkdir()
    options = ("--workers", "1")
    with (
        served(place, *options, folder=place / "designs") as server,
        httpx.Client(base_url=server.counter, timeout=PATIENCE) as client,
    ):
        yield server.folder, client


@pytest.fixture
def kept(pages: tuple[Path, httpx.Client]) -> tuple[Path, httpx.Client]:
    """That folder, empty."""
    for path in pages[0].iterdir():
        path.unlink()
    return pages


@pytest.fixture(scope="module")
def drafted(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What the command writes for the same wearer, on two papers and as vectors."""
    out = tmp_path_factory.mktemp("drafted")
    extra = ("--page", "A4", "--page", "Letter", "--svg", "--dxf", "--rise", "mid")
    assert main(["draft", str(DESIGN), *OPTIONS, *extra, "--out", str(out / "heron")]) == 0
    return {path.name: path.read_bytes() for path in (out / "heron").iterdir()}


ALL = HERON | {"page.A4": "yes", "page.Letter": "yes", "svg": "yes", "dxf": "yes", "rise": "mid"}


def named(disposition: str) -> tuple[str | None, str]:
    """The plain name of an attachment, and the one in full."""
    message = Message()
    message["Content-Disposition"] = disposition
    full = re.search(r"filename\*=UTF-8''([^;]+)", disposition)
    assert message.get_content_disposition() == "attachment"
    assert full
    return re.search(r'filename="([^"]*)"', disposition)[1], unquote(full[1])  # type: ignore[index]


def test_the_empty_page_scolds_nobody(samples: httpx.Client) -> None:
    page = samples.get("/")
    assert page.status_code == 200
    assert "Still to measure: waist girth, hip girth, body rise and waist to hip." in page.text
    assert "aria-invalid" not in page.text
    assert "set-cookie" not in page.headers
    for label in ("Waist girth", "Crotch length", "Ankle height", "Heron shorts", "Wagtail tiered skirt"):
        assert label in page.text


def test_the_address_may_name_a_design(samples: httpx.Client) -> None:
    page = samples.get("/?design=skirt").text
    assert re.search(r'value="skirt" checked', page)
    assert "Height of the waist" not in page
    assert "is not here, or not any more" in samples.get("/?design=nothing").text


def test_a_form_without_scripting_is_answered_by_the_page_with_the_garment(samples: httpx.Client) -> None:
    page = samples.post("/", data=HERON)
    assert page.status_code == 200
    for told in ("as worn, from the front", "as worn, from behind", "Finished measures", "Elastics", "18 pages of A4"):
        assert told in page.text
    assert "estimated ± 1.9 cm" in page.text
    assert 'value="20.5"' in page.text
    assert samples.post("/", data={"design": "knee"}).status_code == 200  # another design, nothing measured yet


def test_the_page_says_what_the_command_prints(
    samples: httpx.Client, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["draft", str(DESIGN), *OPTIONS, "--out", str(tmp_path / "out")]) == 0
    printed = capsys.readouterr().out
    page = samples.post("/", data=HERON).text
    figures = re.findall(r"\d+\.\d cm \([\d /]+ in\)", printed)
    assert len(figures) >= 10
    for figure in figures:
        assert figure in page
    pages = re.search(r"A4\.pdf, (\d+ pages)", printed)
    assert pages
    assert f"{pages[1]} of A4" in page


def test_a_refused_figure_is_told_beside_its_field(samples: httpx.Client) -> None:
    page = samples.post("/", data=HERON | {"hip_girth": "30", "body_rise": ""})
    assert page.status_code == 422
    told = re.search(r'<p class="problem" id="hip_girth-problem"[^>]*><bdi>([^<]*)', page.text)
    assert told
    assert told[1].startswith("30 cm is outside 60 to 200 cm")
    assert re.search(
        r'id="hip_girth"[^>]*aria-describedby="hip_girth-hint hip_girth-problem" aria-invalid="true"', page.text
    )
    assert "missing; it may be 11 to 45 cm" in page.text
    assert "as worn" not in page.text
    assert re.search(r'<a href="#hip_girth-problem">Hip girth</a>: <bdi>30 cm is outside', page.text)


def test_what_only_the_draft_can_refuse_is_told_too(samples: httpx.Client) -> None:
    page = samples.post("/", data=HERON | {"before_after": "yes"})
    assert page.status_code == 422
    assert "nothing is adjusted" in page.text


def test_markup_in_a_field_is_text(samples: httpx.Client) -> None:
    attack = '"><script>alert(1)</script>'
    for name in ("hip_girth", "size", "design", "unit", "rise", "roll", "fit.full_seat", "lay"):
        page = samples.post("/", data=HERON | {name: attack})
        assert page.status_code == 422
        assert "<script>alert" not in page.text


def test_a_preview_has_the_parts_of_the_page_that_change(samples: httpx.Client) -> None:
    found = samples.post("/preview", data=HERON | {"shown": "design"}).json()
    assert found["drawn"] is True
    assert set(found["parts"]) == {"garment", "figures", "files"}
    assert "<svg" in found["parts"]["garment"]
    other = samples.post("/preview", data=HERON | {"shown": "skirt"}).json()
    assert "Height of the waist" in other["parts"]["measures"]


def test_a_preview_of_what_is_still_being_typed_keeps_what_was_drawn(samples: httpx.Client) -> None:
    typing = HERON | {"shown": "design", "hip_girth": "1", "typing": "hip_girth"}
    answer = samples.post("/preview", data=typing)
    found = answer.json()
    assert answer.status_code == 200  # a browser would put any other into its console
    assert found == {
        "told": "Still to measure: hip girth.",
        "drawn": False,
        "shown": "design",
        "problems": found["problems"],
        "missing": ["hip_girth"],
        "parts": {},
    }
    helping = HERON | {"shown": "design", "thigh_girth": "6", "typing": "thigh_girth"}
    assert samples.post("/preview", data=helping).json()["drawn"] is True


def test_forgotten_figures_leave_no_garment(samples: httpx.Client) -> None:
    found = samples.post("/preview", data={"design": "design", "shown": "design"}).json()
    assert "<svg" not in found["parts"]["garment"]
    assert "<table" not in found["parts"]["figures"]


def test_all_files_in_one_zip_are_those_of_the_command(samples: httpx.Client, drafted: dict[str, bytes]) -> None:
    answer = samples.post("/files", data=ALL)
    assert answer.status_code == 200
    assert named(answer.headers["content-disposition"]) == ("heron-shorts-H102-mid.zip", "heron-shorts-H102-mid.zip")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        assert packed.testzip() is None
        assert {name: packed.read(name) for name in packed.namelist()} == drafted
    assert answer.headers["content-length"] == str(len(answer.content))
    assert samples.post("/files", data=ALL).content == answer.content


def test_a_file_by_itself_is_that_of_the_command(samples: httpx.Client, drafted: dict[str, bytes]) -> None:
    page = samples.post("/", data=ALL).text
    offered = re.findall(r'formaction="/file" name="file" value="([^"]+)"', page)
    assert set(offered) == set(drafted)
    for name in offered:
        answer = samples.post("/file", data=ALL | {"file": name})
        assert answer.content == drafted[name]
        assert named(answer.headers["content-disposition"])[1] == name


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "heron-shorts-H102-mid-A0.pdf", "x" * 3000, "a\r\nb"])
def test_no_other_file_can_be_had(samples: httpx.Client, name: str) -> None:
    answer = samples.post("/file", data=ALL | {"file": name})
    assert answer.status_code == 422
    assert "passwd" not in answer.text or "not among" in answer.text


def test_files_that_cannot_be_made_are_answered_by_the_page(samples: httpx.Client) -> None:
    answer = samples.post("/files", data=HERON | {"hip_girth": "30"})
    assert answer.status_code == 422
    assert 'value="30"' in answer.text


def test_a_size_of_any_script_names_its_files(samples: httpx.Client) -> None:
    answer = samples.post("/files", data=HERON | {"size": "Αθηνά"})
    assert named(answer.headers["content-disposition"]) == (
        "heron-shorts-_____-high.zip",
        "heron-shorts-Αθηνά-high.zip",
    )


def test_the_files_are_asked_for_by_forms_alone(samples: httpx.Client) -> None:
    for path in ("/preview", "/files", "/file"):
        assert samples.get(path).status_code == 405


def test_an_empty_folder_says_so_and_so_does_one_with_a_broken_design(kept: tuple[Path, httpx.Client]) -> None:
    folder, client = kept
    assert "There is no design in this folder yet" in client.get("/").text
    (folder / "broken.toml").write_text(PLAIN.format("Broken").replace("1.5", "90"), encoding="utf-8")
    page = client.get("/")
    assert page.status_code == 200
    assert "leg.fullness: 90 is outside" in page.text
    assert str(folder) not in page.text


def test_one_design_leaves_no_choice_and_broken_ones_are_listed(kept: tuple[Path, httpx.Client]) -> None:
    folder, client = kept
    (folder / "one.toml").write_text(PLAIN.format("Ερωδιός"), encoding="utf-8")
    (folder / "broken.toml").write_text("name = \n", encoding="utf-8")
    (folder / "broken.toml").write_text('unit = "mm"\n[leg]\nfullness = \n', encoding="utf-8")
    page = client.get("/").text
    assert 'type="radio" name="design"' not in page
    assert "<bdi>Ερωδιός</bdi>" in page
    assert re.search(r"broken\.toml</bdi>: <span class=\"problem\"><bdi>not TOML", page)
    assert str(folder) not in page


def test_a_design_edited_while_the_pages_are_open_is_read_anew(kept: tuple[Path, httpx.Client]) -> None:
    folder, client = kept
    (folder / "one.toml").write_text(PLAIN.format("One"), encoding="utf-8")
    narrow = client.post("/", data=HERON | {"design": "one"}).text
    (folder / "one.toml").write_text(PLAIN.format("Two").replace("1.5", "1.8"), encoding="utf-8")
    wide = client.post("/", data=HERON | {"design": "one"}).text
    assert "Two" in wide
    assert re.findall(r"hip</bdi></th><td>([\d.]+)", narrow) != re.findall(r"hip</bdi></th><td>([\d.]+)", wide)
    (folder / "one.toml").rename(folder / "other.toml")
    gone = client.post("/", data=HERON | {"design": "one"})
    assert "is not here, or not any more" in gone.text
    assert 'value="20.5"' in gone.text
