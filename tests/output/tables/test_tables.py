from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blocks.blend import blend
from blocks.cloth import Cloth, Lay
from blocks.design import CasingDesign
from blocks.grade import grade
from blocks.haberdashery import haberdashery
from blocks.short.design import TrimDesign
from blocks.size_range import SizeRange, draft_range
from blocks.size_table import SizeTable, size_table_from
from output.system.reading import read_sizes
from output.tables.amounts import bought_words
from output.tables.range import (
    CAUTION,
    COLUMNS,
    GRADE_COLUMNS,
    eighths,
    elastics_csv,
    elastics_text,
    grade_csv,
    tables_csv,
    tables_json,
)
from sampled import SAMPLES, heron_design


@cache
def table() -> SizeTable:
    return size_table_from(read_sizes(SAMPLES / "sizes.csv"))


@cache
def made(width: float = 1400) -> SizeRange:
    return draft_range(heron_design(), table(), cloth=Cloth(width))


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode(), newline=""), strict=True))


def frame(data: bytes) -> pandas.DataFrame:
    return pandas.read_csv(io.BytesIO(data), dtype={"eighths": str}, keep_default_na=False, na_values={"cm": [""]})


def test_csv_is_one_rectangle() -> None:
    for data, header in ((tables_csv(made()), COLUMNS), (grade_csv(grade(made().garments)), GRADE_COLUMNS)):
        lines = list(csv.reader(io.StringIO(data.decode(), newline=""), strict=True))
        assert tuple(lines[0]) == header
        assert {len(line) for line in lines} == {len(header)}
        assert data.endswith(b"\r\n")
        assert b"nan" not in data.lower()
        assert len(frame(data)) == len(lines) - 1


def test_every_size_has_its_body_measures_elastics_splitting_and_pieces() -> None:
    read = frame(tables_csv(made()))
    assert set(read.loc[read.table == "body", "size"]) == {size.label for size in table().sizes}
    for short in made().garments:
        mine = read[(read["size"] == short.size) & (read.rise == short.rise)]
        measures = mine[mine.table == "finished measures"].set_index("item").cm
        for item in ("waist seam", "hip", "leg opening", "front rise", "back rise", "inseam"):
            assert measures[item] == pytest.approx(short.measures[item.replace(" ", "_")] / 10, abs=0.00501)
        cuts = mine[(mine.table == "elastics") & (mine.measure == "cut length")].set_index("item")
        for elastic in short.elastics:
            assert cuts.cm[elastic.name] == pytest.approx(elastic.cut_length / 10, abs=0.00501)
            assert int(cuts["count"][elastic.name]) == elastic.quantity
        assert list(mine[mine.table == "splitting"].text) == ["split" if short.split else "whole"]
        pieces = mine[mine.table == "pieces"].set_index("item")["count"].astype(int)
        assert dict(pieces) == {piece.name: piece.cut_count for piece in short.pieces}
    first = next(short.size for short in made().garments if short.split)
    assert list(read[(read.table == "splitting") & (read["size"] == "")].text) == [
        f"{first} and up are split on 140 cm cloth, single layer"
    ]


def test_inches_are_those_of_the_centimetres() -> None:
    for row in rows(tables_csv(made())):
        each = [bool(row[name]) for name in ("cm", "inches", "eighths")]
        if row["measure"] == "width":
            assert each == [True, True, False]
        elif row["measure"] == "metres":
            assert each == [True, False, False]
        elif row["measure"] == "cut length, rounded":
            assert all(each)
        else:
            assert each in ([True] * 3, [False] * 3)
        if row["measure"] == "cut length, rounded":
            # Each tape rounds for itself: to half a centimetre, to an eighth of an inch.
            assert (2 * float(row["cm"])).is_integer()
            assert float(row["inches"]) == sum(Fraction(part) for part in row["eighths"].split())
        elif row["eighths"]:
            # The inch is 2.54 cm exactly: international yard and pound agreement of 1959.
            assert float(row["inches"]) == pytest.approx(float(row["cm"]) / 2.54, abs=0.0026)
            assert float(sum(Fraction(part) for part in row["eighths"].split())) == pytest.approx(
                float(row["inches"]), abs=0.0631
            )


@given(st.integers(0, 4000), st.floats(-1.5, 1.5))
def test_eighths_are_the_nearest_and_in_lowest_terms(count: int, off: float) -> None:
    length = max(0.0, count * 25.4 / 8 + off)
    text = eighths(length)
    assert sum(Fraction(part) for part in text.split()) == Fraction(count, 8)
    assert re.fullmatch(r"\d+( (1/8|1/4|3/8|1/2|5/8|3/4|7/8))?", text)


def test_metres_to_buy_are_told_by_width() -> None:
    for short in made().garments[::9]:
        takes = haberdashery(short)
        buy = {
            (row["item"], row["measure"]): row
            for row in rows(tables_csv(made()))
            if (row["table"], row["size"], row["rise"]) == ("to buy", short.size, short.rise)
        }
        for one, item in zip(takes.to_buy, ("elastic 2.5 cm wide", "elastic 1 cm wide"), strict=True):
            assert float(buy[item, "total"]["cm"]) == pytest.approx(one.total / 10, abs=0.00501)
            assert buy[item, "metres"]["text"] == bought_words(one)
            assert float(buy[item, "metres"]["cm"]) == pytest.approx(100 * one.metres)


def test_json_tells_the_same() -> None:
    document = json.loads(tables_json(made()))
    assert document["schema_version"] == 1
    assert document["splitting"] == list(made().splitting)
    assert document["failures"] == []
    assert len(document["sizes"]) == 32
    assert document["body"]["H100"]["hip_girth"] == {
        "cm": 100,
        "inches": 39.37,
        "eighths": "39 3/8",
        "estimated": False,
    }
    read = frame(tables_csv(made()))
    for size in document["sizes"]:
        mine = read[(read["size"] == size["size"]) & (read.rise == size["rise"])]
        cuts = mine[(mine.table == "elastics") & (mine.measure == "cut length")].set_index("item").cm
        assert {strip["name"]: strip["cut_length"]["cm"] for strip in size["elastics"]} == dict(cuts)
        assert [piece["cut_count"] for piece in size["pieces"]] == [2] * len(size["pieces"])
        assert size["split"] is next(
            short.split for short in made().garments if (short.size, short.rise) == (size["size"], size["rise"])
        )


def test_the_same_range_gives_the_same_bytes() -> None:
    again = draft_range(heron_design(), table(), cloth=Cloth(1400))
    assert tables_csv(again) == tables_csv(made())
    assert tables_json(again) == tables_json(made())
    assert grade_csv(grade(again.garments)) == grade_csv(grade(made().garments))


def test_failures_and_warnings_are_in_the_tables() -> None:
    folded = draft_range(heron_design(), table(), cloth=Cloth(1400, lay=Lay.FOLDED), rises=["high"])
    failed = [row for row in rows(tables_csv(folded)) if row["table"] == "failures"]
    labels = [size.label for size in table().sizes]
    assert [row["size"] for row in failed] == labels[-len(failed) :] != []
    assert len(failed) == len(folded.failures) < len(labels)
    assert failed[0]["text"].startswith("too wide for 140 cm cloth, folded")
    warned = [row["text"] for row in rows(tables_csv(folded)) if row["table"] == "warnings"]
    assert warned == list(folded.warnings)
    assert [failure["size"] for failure in json.loads(tables_json(folded))["failures"]] == [
        row["size"] for row in failed
    ]


def test_names_with_commas_quotes_and_other_scripts_keep_the_rectangle() -> None:
    design = replace(heron_design(), casings=(CasingDesign('über, "the" knee', height=-80),))
    few = draft_range(design, replace(table(), sizes=table().sizes[:1]))
    read = rows(tables_csv(few))
    assert all(None not in row and None not in row.values() for row in read)
    assert 'über, "the" knee' in {row["item"] for row in read}
    assert tables_json(few).decode().count('über, \\"the\\" knee') == 2


def test_without_a_cloth_and_with_a_bought_trim() -> None:
    design = replace(heron_design(), trim=TrimDesign(kind="bought"))
    few = draft_range(design, replace(table(), sizes=table().sizes[:1]), rises=["mid"])
    document = json.loads(tables_json(few))
    assert document["cloth"] is None
    assert document["sizes"][0]["trims"][0]["quantity"] == 2
    trims = [row for row in rows(tables_csv(few)) if row["item"] == "trim 5 cm wide"]
    assert [row["measure"] for row in trims] == ["total", "metres"]


def test_grade_is_told_in_both_units() -> None:
    read = frame(grade_csv(grade(made().garments)))
    assert set(read.outline) == {"finished", "flat"}
    assert set(read.rise) == {"high", "mid"}
    side = read[(read.rise == "high") & (read.outline == "finished") & (read.point == "waist at side line")]
    assert list(side["size"]) == [size.label for size in table().sizes]
    assert [float(step) for step in list(side.dy_cm)[1:]] == [0.3] * 11 + [0.4] * 4
    for row in rows(grade_csv(grade(made().garments))):
        for axis in ("x", "y", "dx", "dy"):
            assert "-0.00" not in (row[f"{axis}_cm"], row[f"{axis}_inches"])
            if row[f"{axis}_cm"]:
                assert float(row[f"{axis}_inches"]) == pytest.approx(float(row[f"{axis}_cm"]) / 2.54, abs=0.0026)
        assert bool(row["dx_cm"]) is bool(row["from_size"])


def test_elastic_lists_of_a_blend() -> None:
    made_of = made().garments
    mixed = blend(made_of[7], made_of[9])
    read = rows(elastics_csv(mixed))
    assert {row["size"] for row in read} == {"H112 on H120"}
    assert [row["text"] for row in read if row["table"] == "pattern"] == ["size H120", "size H120"]
    cuts = {row["item"]: row for row in read if row["measure"] == "cut length"}
    assert float(cuts["waist"]["cm"]) == pytest.approx(made_of[7].elastics.waist.cut_length / 10, abs=0.00501)
    between = sorted(made_of[at].elastics.casings[0].cut_length / 10 for at in (7, 9))
    assert between[0] < float(cuts["upper"]["cm"]) < between[1]
    assert float(cuts["frill"]["cm"]) == pytest.approx(made_of[9].elastics.casings[-1].cut_length / 10, abs=0.00501)


def test_elastic_list_for_a_terminal() -> None:
    takes = haberdashery(made().garments[4])
    lines = elastics_text(takes).splitlines()
    assert [line.split()[0] for line in lines] == [
        *("elastic", "waist", "upper", "lower", "thigh", "frill", "Buy", "Buy", "Try")
    ]
    assert lines[-1] == CAUTION
    assert "  25 mm (1 in)  " in lines[1]
    assert lines[1].endswith("1")
    assert f"{takes.elastics[0].cut_length / 10:.2f} cm" in lines[1]
    assert lines[7] == f"Buy {bought_words(takes.to_buy[1])} of elastic 10 mm (3/8 in) wide"
    assert all(len(line) <= 80 for line in lines)
