"""Whatever Python calls a number goes through one door: it becomes a plain float, or our error names the field."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Any, get_type_hints

import numpy as np
import pytest

import blocks
import output
from blocks.cloth import Cloth, Lay
from blocks.design import CasingDesign
from blocks.lay import LayRules, Search
from blocks.measurements import RANGES, Body, body_from
from blocks.parameters import parameters_of
from blocks.quantity import finite
from blocks.short import draft_short
from blocks.short.design import LegDesign, ShortDesign, TrimDesign, TrimKind
from blocks.size_range import draft_range
from blocks.size_table import Size, SizeTable
from drafting.errors import DraftError

MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
DESIGN = ShortDesign("Heron shorts", casings=(CasingDesign("lower", height=90), CasingDesign("leg", height=-80)))

NUMBERS: dict[str, Callable[[float], object]] = {
    "int": int,
    "float": float,
    "np.float64": np.float64,
    "np.float32": np.float32,
    "np.float16": np.float16,
    "np.longdouble": np.longdouble,
    "np.int64": np.int64,
    "np.int32": np.int32,
    "np.uint16": np.uint16,
    "np 0-d array": np.array,
    "np element": lambda number: np.array([number])[0],
    "Decimal": lambda number: Decimal(str(number)),
    "Fraction": Fraction,
}
NO_NUMBERS: list[object] = [
    *(True, False, np.True_, None, "1.5", "", b"1.5", np.str_("1.5"), [1.5], (1.5,), {}, {1.5}, object(), int, len),
    *(1.5 + 0j, np.complex64(1), np.array([1.5]), np.array([1.5, 2]), np.array("1.5"), np.datetime64("2020-01-01")),
    *(float("nan"), float("inf"), -float("inf"), np.float32("nan"), np.float64("inf"), 10**400, Fraction(10**400)),
    *(Decimal("nan"), Decimal("sNaN"), Decimal("Infinity"), Decimal("1e999"), lambda: 1.5),
]


def records() -> Iterator[type]:
    """Every dataclass of the project that has parameters."""
    for package in (blocks, output):
        for module in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            for _, kind in inspect.getmembers(importlib.import_module(module.name), inspect.isclass):
                if kind.__module__ == module.name and dataclasses.is_dataclass(kind) and parameters_of(kind):
                    yield kind


RECORDS = tuple(records())


def record(kind: Any, /, **given: object) -> Any:
    """One of that kind, whatever it needs beside what is given."""
    needed = {
        field.name: "a name" if field.name == "name" else sum(_range(kind, field.name)) / 2
        for field in dataclasses.fields(kind)
        if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    }
    return kind(**{**needed, **given})


def _range(kind: Any, name: str) -> tuple[float, float]:
    about = parameters_of(kind)[name]
    return about.low, about.high


def refused(call: Callable[[], object], *words: str) -> None:
    with pytest.raises(DraftError) as caught:
        call()
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    for word in words:
        assert word in message


def test_every_kind_of_number_is_that_number() -> None:
    for name, made in NUMBERS.items():
        number = finite(made(3))
        assert type(number) is float, name
        assert number == 3, name
    assert finite(np.float32(1.5)) == 1.5
    assert finite(np.float32(0.1)) == float(np.float32(0.1)) != 0.1
    assert finite(Decimal("0.1")) == finite(Fraction(1, 10)) == 0.1


def test_nothing_else_is() -> None:
    for value in NO_NUMBERS:
        assert finite(value) is None, repr(value)


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_every_parameter_takes_every_kind_of_number(kind: Any) -> None:
    hints = get_type_hints(kind)
    for field, about in parameters_of(kind).items():
        whole = next((number for number in range(int(about.low), int(about.high) + 1) if number >= about.low), None)
        for name, made in NUMBERS.items():
            number = whole if "int" in name or hints[field] is int else about.low
            if number is None or (number < 0 and "uint" in name):
                continue
            try:
                given = record(kind, **{field: made(number)})
            except DraftError:
                assert finite(made(number)) != number  # a narrow kind of number that has not got this one
                continue
            value = getattr(given, field)
            assert type(value) is hints[field], (field, name)
            assert value == finite(made(number))


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_what_is_no_number_is_refused_by_the_name_of_its_field(kind: Any) -> None:
    for field, about in parameters_of(kind).items():
        for value in (*NO_NUMBERS, about.low - 1e-3, about.high + 1e-3, np.float32(2 * about.high + 1)):
            refused(lambda field=field, value=value: record(kind, **{field: value}), field)


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_every_other_field_takes_its_own_kind_alone(kind: Any) -> None:
    for field in dataclasses.fields(kind):
        if field.name not in parameters_of(kind):
            for value in (
                1.5,
                b"x",
                object(),
                [object()],
                float("nan"),
                {},
                "no such word" if field.type != "str" else 0,
            ):
                refused(lambda field=field, value=value: record(kind, **{field.name: value}), field.name)


def test_words_and_lists_become_what_they_mean() -> None:
    assert TrimDesign(kind="band").kind is TrimKind.BAND
    assert Cloth(lay=np.str_("folded")).lay is Lay.FOLDED
    assert LayRules(one_way=np.True_).one_way is True
    assert Search(seconds=np.int64(5), workers=2.0) == Search(5, 2)
    casing = CasingDesign("low", height=90)
    assert ShortDesign("Plain", casings=[casing]) == ShortDesign("Plain", casings=(casing,))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": None}, "name: None is not a text"),
        ({"name": 7}, "name: 7 is not a text"),
        ({"workroom": b"R"}, "workroom: b'R' is not a text"),
        ({"leg": None}, "leg: None is not a LegDesign"),
        ({"leg": {"fullness": 1.5}}, "leg: {'fullness': 1.5} is not a LegDesign"),
        ({"casings": None}, "casings: None is not a list"),
        ({"casings": "lower"}, 'casings: "lower" is not a list'),
        ({"casings": [CasingDesign("low", 90), {"name": "leg"}]}, "casings 2: {'name': 'leg'} is not a ShortCasing"),
        ({"limits": 3}, "limits: 3 is not a ShortLimits"),
    ],
)
def test_a_design_of_other_things_is_refused(fields: dict[str, Any], words: str) -> None:
    refused(lambda: ShortDesign(**{"name": "Plain", **fields}), words)


def test_seconds_are_whole() -> None:
    refused(lambda: Search(seconds=2.5), "search.seconds: 2.5 is not a whole number")


def test_a_draft_from_single_precision_ends_and_is_the_same() -> None:
    plain = draft_short(ShortDesign("Heron", leg=LegDesign(fullness=1.5)), body_from(MEASURED, unit="cm"))
    for made in NUMBERS.values():
        if "int" in repr(made):
            continue
        measured = {name: made(number) for name, number in MEASURED.items()}
        if finite(made(20.5)) == 20.5 and finite(made(1.5)) == 1.5:
            again = draft_short(ShortDesign("Heron", leg=LegDesign(fullness=made(1.5))), body_from(measured, unit="cm"))
            assert again == plain


UNKNOWN = ("body_rise", "crotch_length", "front_crotch_length", "back_crotch_length", "height")
"""What a body may lack: not every garment needs it, and nothing else tells it."""


def test_a_body_takes_every_kind_of_number_and_refuses_the_rest() -> None:
    whole = {**MEASURED, "waist_to_hip": 20}
    body = body_from(whole, unit="cm")
    for made in NUMBERS.values():
        assert body_from({name: made(number) for name, number in whole.items()}, unit="cm") == body
    for name in RANGES:
        for value in NO_NUMBERS:
            refused(lambda name=name, value=value: body_from({**MEASURED, name: value}, unit="cm"), name)
            if value is not None or name not in UNKNOWN:
                refused(lambda name=name, value=value: dataclasses.replace(body, **{name: value}), name)
    assert dataclasses.replace(body, hip_girth=np.float32(1020)) == body
    refused(lambda: body_from(None, unit="cm"), "measurements: None is not a table")
    refused(lambda: body_from([("hip_girth", 1)], unit="cm"), "is not a table")
    refused(lambda: body_from({**MEASURED, 5: 5}, unit="cm"), "5: unknown measurement")
    for unit in (None, 5, [], {}, "feet"):
        refused(lambda unit=unit: body_from(MEASURED, unit=unit), "unit: ")


def test_a_draft_of_other_things_is_refused() -> None:
    body = body_from(MEASURED, unit="cm")
    for value in (None, 7, [], {}, "low", np.array(["high", "mid"]), b"high", "High"):
        refused(lambda value=value: draft_short(DESIGN, body, rise=value), "rise: ", "high, mid")
    for value in (7, 38.0, [], b"H102", object()):
        refused(lambda value=value: draft_short(DESIGN, body, size=value), "size: ")
    assert draft_short(DESIGN, body, size=None).size == draft_short(DESIGN, body).size == "H102"
    refused(lambda: draft_short("Heron", body), 'design: "Heron" is not a ShortDesign')
    refused(lambda: draft_short(DESIGN, MEASURED), "body: ", "is not a Body")
    assert isinstance(body, Body)


def test_a_range_of_other_things_is_refused() -> None:
    table = SizeTable((Size("H102", body_from(MEASURED, unit="cm")),), "cm")
    refused(lambda: draft_range(DESIGN, None), "sizes: None is not a SizeTable")
    refused(lambda: draft_range(DESIGN, table, cloth=140), "cloth: 140 is not a Cloth")
    refused(lambda: draft_range(DESIGN, table, rises="high"), 'rises: "high" is not a list')
    refused(lambda: draft_range(DESIGN, table, rises=5), "rises: 5 is not a list")
    refused(lambda: draft_range(DESIGN, table, rises=["low"]), 'rise: "low" is not a rise')
    refused(lambda: draft_range(DESIGN, table, fit=None), "fit: None is unknown")
