"""The commands as Python calls them: a request, and what comes of it."""

from __future__ import annotations

import json
import re
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, fields
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy
import pytest

from blocks.measurements import body_from
from blocks.size_table import size_table_from
from drafting.errors import DraftError
from lays import stacked
from output.command import COMMANDS, _parser, _request, main
from output.commands.batch import BatchRequest, batch
from output.commands.draft import DraftRequest, draft
from output.commands.elastics import ElasticsRequest, elastics
from output.commands.guide import GuideRequest, guide
from output.commands.inspect import InspectRequest, inspect
from output.commands.lay import LayRequest, lay
from output.commands.publish import PublishRequest, publish
from output.commands.range import RangeRequest, write_range
from output.inspection.pdf import inspect_pdf
from output.serve.server import ServeRequest, serve
from output.system.reading import read_sizes
from sampled import DESIGN, MEASUREMENTS, SAMPLES, heron_body, heron_design

SIZES, ORDERS = SAMPLES / "sizes.csv", SAMPLES / "orders.csv"
MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}

REQUESTS: dict[str, tuple[type[Any], Callable[[Any], Any]]] = {
    "draft": (DraftRequest, draft),
    "range": (RangeRequest, write_range),
    "elastics": (ElasticsRequest, elastics),
    "batch": (BatchRequest, batch),
    "lay": (LayRequest, lay),
    "guide": (GuideRequest, guide),
    "publish": (PublishRequest, publish),
    "inspect": (InspectRequest, inspect),
    "serve": (ServeRequest, serve),
}
LEAST = {
    "draft": {"design": DESIGN, "out": "out"},
    "range": {"design": DESIGN, "sizes": SIZES, "out": "out"},
    "elastics": {"design": DESIGN, "sizes": SIZES},
    "batch": {"design": DESIGN, "orders": ORDERS, "out": "out"},
    "lay": {"design": DESIGN, "sizes": SIZES, "out": "out", "cloths": (140,)},
    "guide": {"design": DESIGN, "sizes": SIZES, "out": "out"},
    "publish": {"design": DESIGN, "sizes": SIZES, "out": "out"},
    "inspect": {"file": "release"},
    "serve": {"folder": "designs"},
}
"""What each request needs at the least."""


def parsed(*words: object) -> Any:
    given = [str(word) for word in words]
    return _parser(given).parse_args(given)


def options_of(command: str) -> ArgumentParser:
    parser = ArgumentParser()
    COMMANDS[command][1](parser)
    return parser


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_every_command_has_its_request():
    assert set(REQUESTS) == set(COMMANDS)


@pytest.mark.parametrize("command", REQUESTS)
def test_a_request_has_a_field_for_each_option_and_no_other(command):
    printed = {"help", "json", "csv"}  # how a report is printed is asked of the report
    options = {action.dest for action in options_of(command)._actions} - printed
    assert options == {field.name for field in fields(REQUESTS[command][0])}


@pytest.mark.parametrize("command", REQUESTS)
def test_a_field_that_is_left_out_is_as_on_the_command_line(command):
    kind, least = REQUESTS[command][0], LEAST[command]
    words = [least[name] for name in ("design", "sizes", "orders", "file", "folder") if name in least]
    words += ["--out", "out"] if "out" in least else []
    words += ["--cloth", "140"] if command == "lay" else []
    arguments = parsed(command, *words)
    if command == "draft":
        arguments.measured = None
    assert _plain(_request(kind, arguments)) == _plain(kind(**least))


def _plain(request: Any) -> dict[str, str]:
    """A request with every number and path as text."""
    return {field.name: re.sub(r"'|PosixPath|\.0", "", str(getattr(request, field.name))) for field in fields(request)}


@pytest.mark.parametrize("command", REQUESTS)
def test_the_defaults_that_help_tells_are_those_of_the_request(command):
    kind = REQUESTS[command][0]
    defaults = {field.name: field.default for field in fields(kind) if field.default not in (MISSING, None, (), "")}
    told = {}
    for action in options_of(command)._actions:
        found = re.search(r"\(default: ([\w.]+)\)", action.help or "")
        if found and action.dest in defaults:
            told[action.dest] = found[1]
    for name, value in told.items():
        default = defaults[name]
        one = default[0] if isinstance(default, tuple) else default
        assert str(one).removesuffix(".0") == value, name
    assert {name for name, value in defaults.items() if not isinstance(value, bool)} == set(told)


def test_a_draft_by_values_is_the_draft_of_the_command_line(tmp_path, capsys):
    by_hand = tmp_path / "by-hand"
    options = ["--waist", "76", "--hip", "102", "--body-rise", "27", "--waist-to-hip", "20.5", "--rise", "mid"]
    cloth = ["--cloth", "90", "--selvedge", "1", "--lay", "folded", "--fit", "split", "--page", "letter"]
    assert main(["draft", str(DESIGN), *options, *cloth, "--svg", "--out", str(by_hand)]) == 0
    said = capsys.readouterr().out
    made = draft(
        DraftRequest(
            design=heron_design(),
            measured=MEASURED,
            rise="mid",
            cloth=90,
            selvedge=Decimal(1),
            lay="folded",
            fit="split",
            pages=["letter"],
            svg=True,
            out=tmp_path / "by-value",
        )
    )
    assert contents(tmp_path / "by-value") == contents(by_hand)
    assert made.text().replace("by-value", "by-hand") == said.rstrip("\n")
    assert {file.name for file in made.files} == set(contents(by_hand))
    assert json.loads(made.json())["size"] == made.garment.size == "H102"
    assert capsys.readouterr() == ("", "")


def test_a_body_and_a_table_may_be_given_as_they_are(tmp_path):
    table = size_table_from(read_sizes(SIZES))
    label = table.sizes[3].label
    draft(DraftRequest(design=DESIGN, measurements=heron_body(), out=tmp_path / "value"))
    draft(DraftRequest(design=str(DESIGN), measurements=MEASUREMENTS, out=tmp_path / "file"))
    assert contents(tmp_path / "value") == contents(tmp_path / "file")
    given = {"rises": ["mid"], "only": [label], "pages": (), "rolls": [numpy.float64(914)], "workers": 1}
    made = write_range(RangeRequest(design=heron_design(), sizes=table, out=tmp_path / "values", **given))
    files = {"rises": ("mid",), "only": label, "rolls": ("914",), "workers": "1"}
    write_range(RangeRequest(design=DESIGN, sizes=SIZES, out=tmp_path / "files", **files))
    assert contents(tmp_path / "values") == contents(tmp_path / "files")
    assert {file.name for file in made.files} == set(contents(tmp_path / "values"))
    assert made.complaint == ""


def test_elastics_by_values(capsys):
    sizes = size_table_from(read_sizes(SIZES))
    waist, hip = (sizes.sizes[at].label for at in (4, 6))
    found = elastics(ElasticsRequest(design=DESIGN, sizes=sizes, waist_size=waist, hip_size=hip, above=12))
    words = [str(DESIGN), str(SIZES), "--waist-size", waist, "--hip-size", hip, "--above", "12"]
    for told, form in ((found.text(), []), (found.json(), ["--json"]), (found.csv(), ["--csv"])):
        assert main(["elastics", *words, *form]) == 0
        assert capsys.readouterr().out == f"{told}\n"
    own = elastics(ElasticsRequest(design=DESIGN, sizes=SIZES, measurements=heron_body()))
    assert own.found.pattern.size in own.text()


def test_a_release_by_values(tmp_path, monkeypatch):
    monkeypatch.setattr(
        "output.lays.file.lay_pieces", lambda pieces, cloth, *, rules, search: stacked(pieces, cloth, rules)
    )
    whole = size_table_from(read_sizes(SIZES))
    one = size_table_from({"size": "only", "unit": "cm", **MEASURED})
    made = publish(
        PublishRequest(
            design=heron_design(),
            sizes=one,
            out=tmp_path / "release",
            rises=("high",),
            pages=("A4",),
            cloths=(150, 150.0, "150"),
            shrinkage=5,
            seconds=1,
            lays=tmp_path / "lays.json",
            workers=1,
        )
    )
    assert {file.name for file in made.files} == set(contents(tmp_path / "release")) - {"manifest.json"}
    assert (tmp_path / "lays.json").exists()
    assert len((tmp_path / "release" / "cloth-requirement.csv").read_text().splitlines()) == 2  # a cloth is laid once
    assert inspect(InspectRequest(file=tmp_path / "release")).complaint == ""

    laid = lay(
        LayRequest(
            design=heron_design(),
            sizes=whole,
            out=tmp_path / "lays",
            only=(whole.sizes[0].label, whole.sizes[2].label),
            rises=("mid",),
            cloths=(150,),
            lays=tmp_path / "lays.json",
        )
    )
    assert [one.size for one in laid.wanted] == [whole.sizes[0].label, whole.sizes[2].label]
    assert set(laid.files) == set(contents(tmp_path / "lays"))

    told = guide(GuideRequest(design=heron_design(), sizes=one, out=tmp_path / "guide", cloth="150"))
    (name,) = told.files
    assert inspect_pdf((tmp_path / "guide" / name).read_bytes(), name).safe
    assert name in told.text()


def test_an_order_book_by_values(tmp_path):
    rows = ORDERS.read_text().splitlines()
    (tmp_path / "orders.csv").write_text("\n".join(rows[:2]))
    made = batch(BatchRequest(design=heron_design(), orders=tmp_path / "orders.csv", out=tmp_path / "out", workers=1))
    assert (len(made.drafted), made.failures) == (1, ())
    again = batch(BatchRequest(design=DESIGN, orders=tmp_path / "orders.csv", out=tmp_path / "out", workers=1))
    assert again.unchanged == made.drafted


@pytest.mark.parametrize("command", REQUESTS)
def test_a_value_of_the_wrong_kind_is_refused_by_its_field(command):
    kind = REQUESTS[command][0]
    for field in fields(kind):
        for value in (b"A4", object(), [None], {1: 2}, 1j, {"waist_girth": None}):
            with pytest.raises(DraftError, match=rf"^({field.name}|waist_girth)\b") as refused:
                kind(**{**LEAST[command], field.name: value})
            assert "\n" not in str(refused.value)


@pytest.mark.parametrize("value", [float("nan"), -1, 1e300, "wide", True, "\udcff"])
@pytest.mark.parametrize(
    ("command", "field"),
    [("draft", "cloth"), ("range", "cloth"), ("range", "selvedge"), ("guide", "cloth"), ("lay", "shrinkage")]
    + [("lay", "seconds"), ("range", "workers"), ("publish", "workers"), ("batch", "workers")]
    + [(command, field) for command in ("draft", "range", "publish") for field in ("rolls",)]
    + [(command, "cloths") for command in ("lay", "publish")],
)
def test_a_number_that_is_none_or_out_of_range_is_refused(command, field, value, tmp_path):
    kind, run = REQUESTS[command]
    given = (value,) if field in ("rolls", "cloths") else value
    body = {"measurements": MEASUREMENTS} if command == "draft" else {}
    with pytest.raises(DraftError, match=rf"^{field.removesuffix('s')}"):
        run(kind(**{**LEAST[command], **body, "out": tmp_path / "out", field: given}))
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("command", "given", "tells"),
    [
        ("draft", {}, "measurements: missing"),
        ("draft", {"measurements": MEASUREMENTS, "measured": MEASURED}, "give one or the other"),
        ("draft", {"measured": {**MEASURED, "hips": 3}}, "hips: unknown measurement"),
        ("draft", {"measured": MEASURED, "unit": "feet"}, "unit: 'feet' is not a unit"),
        ("draft", {"measured": MEASURED, "rise": "low"}, "rise: "),
        ("draft", {"measured": MEASURED, "projections": ("grey",)}, "projection: .* choose one of light, dark"),
        ("range", {"rises": ("low",)}, "rise: "),
        ("range", {"only": ("H1",)}, "H1"),
        ("guide", {"rises": ("low",)}, "rise: "),
        ("lay", {"cloths": ()}, "cloths: there are none"),
        ("lay", {"design": heron_design()}, "lays: missing"),
        ("publish", {"design": heron_design()}, "lays: missing"),
        ("batch", {"workers": 2, "scheduler": "tcp://nowhere:1"}, "leave out"),
        ("elastics", {}, "--waist-size is missing"),
        ("elastics", {"measurements": MEASUREMENTS, "above": 3}, "leave one out"),
    ],
)
def test_fields_that_do_not_go_together_are_refused(command, given, tells, tmp_path):
    kind, run = REQUESTS[command]
    place = {"out": tmp_path / "out"} if "out" in LEAST[command] else {}
    with pytest.raises(DraftError, match=tells):
        run(kind(**{**LEAST[command], **place, **given}))
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("command", REQUESTS)
def test_what_is_no_request_is_refused(command):
    for given in (None, "design.toml", LEAST[command]):
        with pytest.raises(DraftError, match=r"^request: "):
            REQUESTS[command][1](given)


def test_a_request_cannot_be_changed():
    asked = DraftRequest(design=DESIGN, measured=MEASURED, out="out")
    with pytest.raises(FrozenInstanceError):
        asked.out = "elsewhere"
    assert asked.measured == MEASURED
    assert asked.measured is not MEASURED
    assert body_from(asked.measured, unit="cm").hip_girth == 1020
