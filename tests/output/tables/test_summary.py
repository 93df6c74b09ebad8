from __future__ import annotations

import json
from dataclasses import replace

import pytest

from blocks.haberdashery import haberdashery
from blocks.known import used_of
from blocks.measurements import body_from
from blocks.short import draft_short
from output.tables.amounts import cut_words
from output.tables.summary import WIDTH, MadeFile, summary_json, summary_tables, summary_text
from sampled import heron, high_casing

FILES = [MadeFile("heron-shorts-H102-high-A4.pdf", 21), MadeFile("pieces.json")]


def test_the_text_fits_one_screen() -> None:
    lines = summary_text(heron(), FILES, "heron").splitlines()
    assert len(lines) <= 24
    assert all(len(line) <= WIDTH for line in lines)


def test_the_text_tells_what_was_made() -> None:
    text = summary_text(heron(), FILES, "heron")
    assert text.startswith("Heron shorts, Reedbank Workroom: size H102, high rise\n")
    assert "  heron-shorts-H102-high-A4.pdf, 21 pages\n  pieces.json\n" in text
    assert "inseam       14.0 cm (5 1/2 in)" in text
    said = " ".join(text.split())
    assert "Estimated, not measured, in cm: high hip girth 93.3 ± 5.5, thigh girth 61.5 ± 1.9" in said
    assert "two bodies in three" in said
    assert not any(name in text for name in ("calf", "ankle"))  # no casing lies below the knee
    assert "Warning" not in text


def test_every_elastic_has_its_line() -> None:
    short = heron()
    lines = {line.split()[0]: line for line in summary_text(short, FILES, "heron").splitlines() if line.strip()}
    for elastic, strip in zip(short.elastics, haberdashery(short).elastics, strict=True):
        assert cut_words(strip) in lines[elastic.name]
        assert lines[elastic.name].endswith(f"{elastic.gather:.2f}")
    assert lines["waist"].split()[-2:] == ["1", "2.22"]


def test_long_names_of_casings_keep_the_columns() -> None:
    short = heron()
    long = (replace(casing, design=replace(casing.design, name=casing.name * 4)) for casing in short.elastics.casings)
    renamed = replace(short, elastics=replace(short.elastics, casings=tuple(long)))
    lines = summary_text(renamed, FILES, "heron").splitlines()
    start = next(index for index, line in enumerate(lines) if line.startswith("Elastic"))
    table = lines[start : start + 1 + len(short.elastics)]
    assert len({line.rindex("cm (") for line in table[1:]}) == 1


def test_remarks_are_told_and_folded() -> None:
    short = high_casing("mid")
    short = replace(short, warnings=(*short.warnings, "hip_girth: 160 cm is unusual " * 5), notes=("a note",))
    lines = summary_text(short, FILES, "heron").splitlines()
    assert any(line.startswith("Warning: casing 'top' is left out of the mid rise") for line in lines)
    assert "Note: a note" in lines
    assert any(line.startswith("Warning: hip_girth: 160 cm") for line in lines)
    assert all(len(line) <= WIDTH for line in lines)


def test_a_design_without_workroom_has_no_stray_comma() -> None:
    short = replace(heron(), design=replace(heron().design, workroom=""))
    assert summary_text(short, FILES, "heron").startswith("Heron shorts: size H102")


@pytest.mark.parametrize("rise", ["high", "mid"])
def test_json_holds_the_same_in_millimetres(rise: str) -> None:
    short = heron(rise)
    found = json.loads(summary_json(short, FILES, "heron"))
    assert (found["design"], found["workroom"], found["size"], found["rise"]) == (
        "Heron shorts",
        "Reedbank Workroom",
        "H102",
        rise,
    )
    assert found["unit"] == "mm"
    assert found["body"]["hip_girth"] == {"value": 1020, "estimated": False}
    assert [name for name, entry in found["body"].items() if entry["estimated"]] == [
        name for name in short.body.estimated if name in used_of(short.design, short.body)
    ]
    assert found["measures"]["crotch_seam"] == short.measures["crotch_seam"]
    assert [elastic["cut_length"] for elastic in found["elastics"]] == [one.cut_length for one in short.elastics]
    assert [elastic["gather_ratio"] for elastic in found["elastics"]] == [one.gather for one in short.elastics]
    assert found["files"] == [
        {"name": "heron-shorts-H102-high-A4.pdf", "pages": 21, "spent": None},
        {"name": "pieces.json", "pages": None, "spent": None},
    ]
    assert found["notes"] == list(short.notes)
    assert found["proofs"]["fold"] < 0.05


def test_the_printed_tables_hold_measures_elastics_body_and_remarks() -> None:
    short = high_casing("mid")
    measures, elastics, body, remarks = summary_tables(short)
    assert ("inseam", "14.0 cm (5 1/2 in)") in measures.rows
    assert [row[0] for row in elastics.rows] == [elastic.name for elastic in short.elastics]
    assert all(len(row) == len(elastics.header) for row in elastics.rows)
    assert ("hip girth", "102.0 cm (40 1/8 in)", "measured") in body.rows
    assert ("thigh girth", "61.5 cm (24 1/4 in)", "estimated ± 1.9 cm") in body.rows
    assert body.heading == "Body measurements (±: two bodies in three)"
    assert remarks.rows == tuple((warning,) for warning in short.warnings)
    assert len(summary_tables(heron("high"))) == 3


def test_an_estimate_beyond_the_bodies_of_its_rule_is_told() -> None:
    """Hips of 152 cm: the surveys end near 131 cm, so what is drawn on beyond them is said to be."""
    large = {"waist_girth": 131, "hip_girth": 152, "body_rise": 30.6, "waist_to_hip": 21.6}
    garment = draft_short(heron().design, body_from(large, unit="cm"))
    assert "thigh girth and crotch length: estimated beyond the bodies" in " ".join(
        summary_text(garment, FILES, "heron").split()
    )
    found = json.loads(summary_json(garment, FILES, "heron"))["body"]
    assert found["thigh_girth"]["beyond"] == ["hip_girth"]
    assert found["crotch_length"]["beyond"] == ["body_rise", "hip_girth"]
    assert found["thigh_girth"]["error"] > 19
    measured = draft_short(heron().design, body_from({**large, "thigh_girth": 92}, unit="cm"))
    assert "Note: crotch length: estimated beyond the bodies" in summary_text(measured, FILES, "heron")


def test_a_design_that_goes_by_no_leg_tells_of_none() -> None:
    bare = replace(heron().design, casings=())
    found = json.loads(summary_json(draft_short(bare, heron().body), FILES, "heron"))["body"]
    assert [name for name, entry in found.items() if entry["estimated"]] == ["high_hip_girth", "crotch_length"]
    ankles = replace(bare, leg=replace(bare.leg, inseam_length=700.0, taper=1.0))
    found = json.loads(summary_json(draft_short(ankles, heron().body), FILES, "heron"))["body"]
    assert {"thigh_girth", "knee_girth", "calf_girth", "ankle_girth", "ankle_height", "inside_leg_height"} <= set(found)
    assert "height" not in found
