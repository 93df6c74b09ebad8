"""The wearer's form: a request of what was typed, and at each field what is wrong in the words of the command."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from blocks.known import block_of
from blocks.measurements import RANGES
from drafting.errors import DraftError
from output.command import main
from output.commands.draft import DraftRequest, plan
from output.serve.counter.wearer import EXTRAS, FIELDS, GROUNDS, PAGES, Asked, form_of, placed, read
from output.serve.folder import Folder
from output.serve.form import FormError
from sampled import DESIGN, SAMPLES

HERON = {"design": "design", "waist_girth": "76", "hip_girth": "102", "body_rise": "27", "waist_to_hip": "20.5"}


@pytest.fixture(scope="module")
def folder() -> Folder:
    return Folder(SAMPLES)


def asked(folder: Folder, **changed: str | None) -> Asked:
    """What the form for the Heron asks for with some fields changed, or left empty."""
    typed = HERON | {name.replace("__", "."): value for name, value in changed.items()}
    return read({name: value for name, value in typed.items() if value is not None}, folder)


def test_what_is_typed_is_asked_for(folder: Folder) -> None:
    found = asked(
        folder, thigh_girth="61,5", rise="mid", page__Letter="on", roll="914 610", projection__dark="on", svg="on"
    )
    assert found.problems == {}
    request = found.request
    assert request is not None
    assert request.measured["thigh_girth"] == 61.5
    assert (request.pages, request.rolls, request.projections) == (("Letter",), (914.0, 610.0), ("dark",))
    assert (request.rise, request.svg, request.dxf, request.cloth) == ("mid", True, False, None)
    garment = plan(request).garment
    assert (garment.size, garment.rise, garment.body.hip_girth) == ("H102", "mid", 1020.0)


def test_whatever_the_command_can_be_asked_for_the_page_can(folder: Folder) -> None:
    every = dict.fromkeys((*PAGES, *GROUNDS, *EXTRAS), "yes")
    every |= {"roll": "914", "cloth": "150", "selvedge": "2", "lay": "folded", "fit": "split", "size": "Mine"}
    every |= {"unit": "cm", "rise": "mid", "fit.full_seat": "12mm"}
    found = read(HERON | every, folder)
    assert found.problems == {}
    plain = DraftRequest(design="", out="")
    same = {one.name for one in fields(DraftRequest) if getattr(found.request, one.name) == getattr(plain, one.name)}
    assert same == {"out", "measurements"}  # where to write, and a file, which are no matter of a page


def test_inches_are_inches_for_the_body_and_the_cloth(folder: Folder) -> None:
    inches = {"waist_girth": "30", "hip_girth": "40", "body_rise": "10.6", "waist_to_hip": "8"}
    found = asked(folder, unit="in", cloth="60", selvedge="0.5", **inches)
    assert found.request is not None
    assert plan(found.request).garment.body.hip_girth == pytest.approx(40 * 25.4)
    assert found.request.cloth == pytest.approx(152.4)
    assert found.request.selvedge == pytest.approx(1.27)


@pytest.mark.parametrize(
    ("field", "value", "option"),
    [
        ("hip_girth", "30", "--hip"),
        ("hip_girth", "many", "--hip"),
        ("hip_girth", "nan", "--hip"),
        ("waist_girth", "190", "--waist"),
        ("waist_girth", "140", "--waist"),
        ("thigh_girth", "2", "--thigh"),
        ("size", "x" * 200, "--size"),
        ("cloth", "20", "--cloth"),
        ("selvedge", "-1", "--selvedge"),
        ("roll", "9", "--roll"),
        ("fit.full_seat", "900", "--adjust"),
        ("fit.full_seat", "some", "--adjust"),
    ],
)
def test_a_refused_figure_says_why_in_the_words_of_the_command(
    folder: Folder, tmp_path: Path, capsys: pytest.CaptureFixture[str], field: str, value: str, option: str
) -> None:
    given = {"--waist": "76", "--hip": "102", "--body-rise": "27", "--waist-to-hip": "20.5", "--cloth": "140"}
    given[option] = f"full-seat={value}" if option == "--adjust" else value
    options = [f"{name}={text}" for name, text in given.items()]
    assert main(["draft", str(DESIGN), *options, "--out", str(tmp_path / "out")]) == 2
    found = read(HERON | {field: value}, folder)
    assert found.request is None
    assert found.problems[field] in capsys.readouterr().err


def test_every_field_is_looked_at(folder: Folder) -> None:
    found = asked(
        folder,
        waist_girth="abc",
        hip_girth=None,
        body_rise="900",
        cloth="1",
        rise="low",
        size="x" * 200,
        fit__long_leg="x",
    )
    assert set(found.problems) == {"waist_girth", "hip_girth", "body_rise", "cloth", "rise", "size", "fit.long_leg"}
    assert found.missing == ("hip_girth",)
    assert found.problems["hip_girth"].startswith("hip_girth: missing; it may be 60 to 200 cm")
    assert found.values["waist_girth"] == "abc"


def test_two_measurements_that_contradict_each_other_are_told_at_the_first(folder: Folder) -> None:
    found = asked(folder, waist_girth="140", cloth="1")
    assert "contradicts hip_girth" in found.problems["waist_girth"]
    assert "cloth" in found.problems


def test_a_figure_that_is_not_finished_is_left_out(folder: Folder) -> None:
    typed = HERON | {"thigh_girth": "6"}
    assert read(typed, folder).request is None
    found = read(typed, folder, typing="thigh_girth")
    assert found.request is not None
    assert "thigh_girth" not in found.request.measured
    assert found.values["thigh_girth"] == "6"
    needed = read(HERON | {"hip_girth": "1"}, folder, typing="hip_girth")
    assert needed.request is None
    assert needed.missing == ("hip_girth",)
    assert needed.problems["hip_girth"].startswith("hip_girth: 1 cm is outside")  # for when it is left like that
    finished = read(HERON | {"thigh_girth": "61"}, folder, typing="thigh_girth")
    assert finished.request is not None
    assert finished.request.measured["thigh_girth"] == 61


def test_a_field_that_no_page_has_is_refused(folder: Folder) -> None:
    with pytest.raises(FormError, match="is no field of this page"):
        read(HERON | {"out": "/tmp"}, folder)


@pytest.mark.parametrize("slug", ["nothing", "../design", "design.toml"])
def test_a_design_that_is_not_there_is_told(folder: Folder, slug: str) -> None:
    found = asked(folder, design=slug)
    assert found.request is None
    assert "is not here" in found.problems["design"]
    assert found.design is not None  # the form stays, for another choice


def test_without_a_choice_it_is_the_first_design(folder: Folder) -> None:
    found = asked(folder, design=None)
    assert found.design is not None
    assert found.design.slug == folder.designs()[0].slug
    assert found.request is not None


def test_a_broken_design_is_told_as_it_is_in_the_folder(tmp_path: Path) -> None:
    (tmp_path / "broken.toml").write_text('name = "B"\nunit = "mm"\n[leg]\nfullness = 90\n', encoding="utf-8")
    found = read({"design": "broken"}, Folder(tmp_path))
    assert found.problems == {"design": Folder(tmp_path).designs()[0].problem}
    empty = tmp_path / "empty"
    empty.mkdir()
    assert read({}, Folder(empty)).design is None


@pytest.mark.parametrize("slug", ["design", "ankle", "skirt"])
def test_the_form_has_every_measurement_once_and_first_those_that_are_needed(folder: Folder, slug: str) -> None:
    design = folder.named(slug).design
    assert design is not None
    form = form_of(design)
    names = [entry.name for entry in (*form.needs, *form.helps, *form.others)]
    assert sorted(names) == sorted(RANGES)
    assert {entry.name for entry in form.needs} == set(block_of(design).needs)
    assert [entry.name.removeprefix("fit.") for entry in form.findings] == list(block_of(design).findings)
    assert {entry.name for entry in form.findings} <= FIELDS


def test_a_leg_to_the_ankle_asks_for_the_ankle_and_a_short_does_not(folder: Folder) -> None:
    long, short = (form_of(folder.named(slug).design) for slug in ("ankle", "design"))  # type: ignore[arg-type]
    assert "ankle_girth" in [entry.name for entry in long.helps]
    assert "ankle_girth" in [entry.name for entry in short.others]


def test_what_a_design_has_no_field_for_is_left_out_when_another_design_is_chosen(folder: Folder) -> None:
    found = asked(folder, design="skirt", rise="mid", fit__full_seat="10mm")
    assert found.request is not None
    assert (found.request.rise, found.request.adjust) == ("", {})


def test_a_message_is_placed_at_the_field_that_it_begins_with() -> None:
    assert placed(DraftError("hip_girth: too wide")) == ("hip_girth", "hip_girth: too wide")
    assert placed(DraftError("casing 'upper': no room")) == ("", "casing 'upper': no room")
