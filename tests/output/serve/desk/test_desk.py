"""The desk over HTTP: what a page without scripting sends back, what a script gets, and what neither ever sends."""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from called import TOKEN, Caller, called
from output.serve.serving import Settings
from sampled import SAMPLES

OPEN = "edit?design=design&table=sizes.csv"
JSON = {"Accept": "application/json"}
STRANGE = 'a.b "c" <i>é</i>'
"""A casing's name."""

TOML_TABLE = """# of the workroom
unit = "cm"

[[body]]
size = "H84"
waist_girth = 58.6
hip_girth = 84
body_rise = 25.7
waist_to_hip = 20.1

[[body]]
size = "H88"   # the next
waist_girth = 62.4
hip_girth = 88
body_rise = 26.0
waist_to_hip = 20.2
"""


class Form(HTMLParser):
    """The fields of the desk's form, as a browser sends them by a button."""

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._inside = False
        self._select = ""
        self._chosen: str | None = None
        self._text = ""

    def handle_starttag(self, tag, attrs):
        about = dict(attrs)
        if tag == "form":
            self._inside = about.get("id") == "desk"
        if not self._inside:
            return
        if tag == "input" and about.get("name"):
            switch = about.get("type") in ("checkbox", "radio")
            if not switch or "checked" in about:
                self.fields[about["name"]] = about.get("value") or ("on" if switch else "")
        elif tag == "select":
            self._select, self._chosen = about["name"], None
        elif tag == "option":
            self._text, self._selected, self._value = "", "selected" in about, about.get("value")

    def handle_data(self, data):
        self._text += data

    def handle_endtag(self, tag):
        if tag == "option" and self._select and (self._selected or self._chosen is None):
            self._chosen = self._text if self._value is None else self._value
        elif tag == "select" and self._select:
            self.fields[self._select], self._select = self._chosen or "", ""
        elif tag == "form":
            self._inside = False


def fields_of(page: str) -> dict[str, str]:
    """What a browser sends; it ends every line of a field by two characters (WHATWG HTML, 4.10.21.4)."""
    form = Form()
    form.feed(page)
    return {name: value.replace("\r\n", "\n").replace("\n", "\r\n") for name, value in form.fields.items()}


@pytest.fixture(scope="module", name="folder")
def _folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("desk") / "designs"
    shutil.copytree(SAMPLES, folder)
    heron = (SAMPLES / "design.toml").read_text()
    (folder / "strange.toml").write_text(heron.replace('name = "upper"', f"name = '{STRANGE}'"))
    (folder / "windows.toml").write_bytes(heron.replace("\n", "\r\n").encode())
    (folder / "few.toml").write_text(TOML_TABLE)
    (folder / "semicolons.csv").write_text((SAMPLES / "sizes.csv").read_text().replace(",", ";").replace(".", ","))
    return folder


@pytest.fixture(scope="module", name="desk")
def _desk(folder) -> Iterator[Caller]:
    with called(Settings(folder=folder, token=TOKEN, workers=1)) as caller:
        yield caller


def sent(desk, address: str = OPEN, **more: str) -> dict[str, str]:
    return {**fields_of(desk.get(address).text), **more}


DESIGNS = ("design", "ankle", "calf", "knee", "skirt", "strange", "windows")


@pytest.mark.parametrize(
    ("design", "table"),
    [*((design, "sizes.csv") for design in DESIGNS), ("design", "few.toml"), ("design", "semicolons.csv")],
)
def test_a_page_sent_back_as_it_is_changes_nothing(desk, folder, design, table):
    """All values, cells and sliders are in the form of a page without scripting, and so are the working texts."""
    answer = desk.post("edit", data=sent(desk, f"edit?design={design}&table={table}", do="look"))
    assert answer.status_code == 200
    fields = fields_of(answer.text)
    assert fields["steps"] == "[[],[]]"
    assert "All is saved" in answer.text
    texts = [json.loads(fields[name]) for name in ("design_text", "table_text")]
    files = [(folder / f"{design}.toml").read_bytes(), (folder / table).read_bytes()]
    assert texts == [file.decode().replace("\r\n", "\n") for file in files]


def test_the_page_sends_only_what_a_request_to_the_desk_may_hold(desk):
    fields = sent(desk)
    assert len(fields) < 400
    assert sum(len(name) + 3 * len(value) for name, value in fields.items()) < 100_000


def test_a_script_gets_the_parts_that_may_be_others(desk):
    at_once = desk.post("edit", data=sent(desk, part="drawing", **{"p.leg.fullness": "1.8"}), headers=JSON).json()
    assert set(at_once["parts"]) >= {"parameters", "sizes", "drawing", "changes", "bar"}
    assert "notes" not in at_once["parts"]
    assert "leg.fullness" in at_once["parts"]["changes"]
    later = desk.post("edit", data={**at_once["state"], "part": "notes"}, headers=JSON).json()
    assert "split on 140 cm cloth" in later["parts"]["notes"]
    assert later["state"]["design_text"] == at_once["state"]["design_text"]


def test_what_was_typed_and_refused_comes_back_to_be_mended(desk):
    refused = desk.post("edit", data=sent(desk, **{"p.leg.fullness": "much"}), headers=JSON).json()
    assert refused["refused"] == {"p.leg.fullness": "much"}
    assert 'value="much"' in refused["parts"]["parameters"]
    assert "is text, not a number" in refused["told"]


def test_markup_in_any_field_is_shown_as_it_is(desk):
    markup = "<script>alert(1)</script>"
    fields = sent(
        desk, find=markup, **{"p.name": markup, "p.leg.fullness": markup, "c.1.size": markup, "cloth": markup}
    )
    page = desk.post("edit", data=fields).text
    assert markup not in page
    assert page.count("<script") == 1
    assert "&lt;script&gt;" in page


def test_a_casing_of_any_name_is_typed_moved_renamed_and_removed(desk):
    address = "edit?design=strange&table=sizes.csv"
    fields = sent(desk, address, **{f"p.casing.{STRANGE}.ease": "0.05"})
    fields[f"m.{STRANGE}"] = str(int(fields[f"m.{STRANGE}"]) - 2)
    fields = fields_of(desk.post("edit", data=fields).text)
    assert "ease = 0.05" in json.loads(fields["design_text"])
    assert "share = 0.56\n" not in json.loads(fields["design_text"])
    fields = fields_of(desk.post("edit", data={**fields, f"p.casing.{STRANGE}.name": "plain"}).text)
    assert fields["p.casing.plain.name"] == "plain"
    fields = fields_of(desk.post("edit", data={**fields, "do": "remove plain"}).text)
    assert "p.casing.plain.name" not in fields


def test_a_renamed_casing_keeps_what_was_typed_with_its_name(desk):
    fields = sent(desk, **{"p.casing.upper.name": "top", "p.casing.upper.ease": "0.05", "do": "look"})
    now = fields_of(desk.post("edit", data=fields).text)
    assert (now["p.casing.top.name"], now["p.casing.top.ease"]) == ("top", "0.05")


def test_another_program_is_noticed_by_what_the_files_hold(desk, folder):
    before = desk.get(f"files?{OPEN.partition('?')[2]}", headers=JSON).json()["seen"]
    assert before in desk.get(OPEN).text
    path = folder / "design.toml"
    old = path.read_text()
    path.write_text(f"{old}# a word more\n")
    try:
        assert desk.get(f"files?{OPEN.partition('?')[2]}", headers=JSON).json()["seen"] != before
    finally:
        path.write_text(old)


@pytest.mark.parametrize(
    "address",
    ["edit", "edit?design=../design&table=sizes.csv", "edit?design=design&table=nowhere.csv", "files?design=nowhere"],
)
def test_a_file_that_is_not_in_the_folder_is_told_in_a_sentence(desk, address):
    answer = desk.get(address)
    assert answer.status_code == 422
    assert "is not in the folder" in answer.text


@pytest.mark.parametrize(
    "wrong",
    [
        {"steps": "x"},
        {"design_text": "1"},
        {"view": "sideways"},
        {"lay": "crumpled"},
        {"do": "explode"},
        {"do": "theirs nothing"},
        {"design": "nowhere"},
        {"design_text": '"\\ud800"'},
    ],
)
def test_what_no_page_sends_is_refused_with_a_sentence(desk, wrong):
    answer = desk.post("edit", data={**sent(desk), **wrong}, headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["problem"]


def test_a_working_text_of_any_content_is_answered(desk):
    """Whatever stands in the texts, typed elsewhere or broken on the way, the page says what is wrong with them."""
    chance, whole = random.Random(7), sent(desk, part="drawing")
    heron, table = (json.loads(whole[name]) for name in ("design_text", "table_text"))
    small = {name: value for name, value in whole.items() if name[:2] not in ("p.", "c.", "m.")}
    for _ in range(60):
        text, cells = (_spoilt(chance, one) for one in (heron, table))
        fields = {**small, "design_text": json.dumps(text), "table_text": json.dumps(cells), "steps": "[[],[]]"}
        answer = desk.post("edit", data=fields, headers=JSON)
        assert answer.status_code == 200, (text, cells)


def _spoilt(chance, text: str) -> str:
    for _ in range(chance.randrange(3)):
        start = chance.randrange(len(text))
        piece = chance.choice(("", "\n", '"', "[", "]]", "=", ";", "\0", "é", "0", "-", "nan", "# ", "1e999", "'''"))
        text = text[:start] + piece + text[start + chance.randrange(12) :]
    return text


def test_a_whole_form_is_read_as_one_that_says_how_long_it_is(desk):
    answer = desk.post("edit", data={**sent(desk), "find": "x" * (1 << 20)})
    assert answer.status_code in (413, 422)
