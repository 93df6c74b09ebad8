"""The study of a range: what the commands tell of it, each note where it is."""

from __future__ import annotations

import csv
import io
import pickle
from collections.abc import Callable
from dataclasses import replace
from time import process_time
from xml.etree import ElementTree

import pytest

from blocks.cloth import Cloth
from blocks.grade import grade
from blocks.known import block_of
from blocks.size_range import SizeRange, draft_range
from drafting.errors import DraftError
from output.commands.options import design_and_sizes
from output.serve.desk import study as module
from output.serve.desk.study import About, Study, StudyRequest, View, study
from output.tables.summary import summary_text
from sampled import SAMPLES

TABLE = (SAMPLES / "sizes.csv").read_text()
LABELS = tuple(row["size"] for row in csv.DictReader(io.StringIO(TABLE)))


def design(name: str = "design.toml", **changes: str) -> str:
    """A design of the samples, each of these numbers changed to another."""
    text = (SAMPLES / name).read_text()
    for key, value in changes.items():
        lines = text.splitlines()
        at = next(number for number, line in enumerate(lines) if line.startswith(f"{key} ="))
        lines[at] = f"{key} = {value}"
        text = "\n".join(lines)
    return text


def studied(text: str = "", table: str = TABLE, **asked: object) -> Study:
    return study(StudyRequest(design=text or design(), table=table, **asked))  # type: ignore[arg-type]


def drafted(name: str, cloth: Cloth | None) -> SizeRange:
    return draft_range(*design_and_sizes(SAMPLES / name, SAMPLES / "sizes.csv"), cloth=cloth)


@pytest.mark.parametrize("name", ["design.toml", "skirt.toml"])
def test_a_study_tells_what_the_range_command_does(name: str) -> None:
    found, made = studied(design(name), cloth="120"), drafted(name, Cloth(1200))
    assert found.labels == LABELS
    assert found.splitting == made.splitting
    assert [(one.size, one.rise, one.split) for one in found.made] == [(g.size, g.rise, g.split) for g in made.garments]
    shown = " ".join(summary_text(made.garments[3], (), "out").split())
    for measure, length in found.made[3].measures:
        assert f"{measure} {length}" in shown
    for row in found.made[3].elastics:
        assert " ".join((row.name, row.width, row.cut_length, row.quantity, row.gather)) in shown


@pytest.mark.parametrize("view", View)
@pytest.mark.parametrize("name", ["design.toml", "skirt.toml", "calf.toml"])
def test_every_view_is_drawn_and_can_be_sent(name: str, view: View) -> None:
    found = studied(design(name), view=view, sizes=LABELS[2:5], size=LABELS[3])
    assert pickle.loads(pickle.dumps(found)) == found
    assert found.size == LABELS[3]
    for drawing in found.drawings:
        assert ElementTree.fromstring(drawing.svg).attrib["role"] == "img"
    assert found.drawings[0].title


def test_a_size_keeps_its_line_when_others_are_switched_off() -> None:
    def lines(found: Study) -> dict[str, str]:
        root = ElementTree.fromstring(found.drawings[0].svg)
        groups = [one for one in root.iter("{http://www.w3.org/2000/svg}g") if one.attrib["class"] == "size"]
        return {one.attrib["data-size"]: one[1].attrib.get("stroke-dasharray", "") for one in groups}

    whole = lines(studied(view=View.NEST, cloth=None))
    some = lines(studied(view=View.NEST, cloth=None, sizes=LABELS[5:8]))
    assert list(whole) == list(reversed(LABELS))
    assert some == {label: whole[label] for label in reversed(LABELS[5:8])}


def test_every_warning_of_the_range_is_a_note_where_it_is() -> None:
    """Made to gather little, to squeeze, to slip and to be narrower than the hips: nothing is told less than by it."""
    text = design(fullness="1.1") + "\n[limits]\nsqueeze = 0.0\ngrip = 0.0\ngather_low = 1.5\nstretch = 1.3\n"
    found = studied(text, sizes=LABELS[3:5])
    names = {casing: f"casing.{casing}" for casing in ("upper", "lower", "thigh", "frill")}
    squeezed = [note for note in found.notes if note.about is About.ELASTIC]
    assert {note.casing for note in squeezed} == {"", *names}
    for note in squeezed:
        assert (note.size, note.rise) in {(size, rise) for size in LABELS[3:5] for rise in ("high", "mid")}
        assert note.text.startswith(f"{note.casing or 'waist'} elastic: ")
        assert note.place == names.get(note.casing, "waist")


def test_each_warning_of_a_size_is_told_once() -> None:
    made = drafted("design.toml", None)
    told = [(note.size, note.rise, note.text) for note in studied(cloth=None).notes if note.size]
    assert len(set(told)) == len(told)
    for garment in made.garments:
        for warning in garment.warnings:
            if warning not in garment.body.warnings:
                assert (garment.size, garment.rise, warning) in told


def test_a_casing_that_a_rise_lacks_is_told_of_each_size_and_said_once() -> None:
    text = design() + '\n[[casing]]\nname = "top"\nheight = 205\n'
    found = studied(text)
    lacking = [note for note in found.notes if note.about is About.LEFT_OUT]
    assert {(note.casing, note.place) for note in lacking} == {("top", "casing.top")}
    assert {note.rise for note in lacking} == {"mid"}
    (told,) = (told for told in found.told if told.about is About.LEFT_OUT)
    assert told.where.endswith("mid rise")


def test_a_size_that_cannot_be_drafted_is_told_at_its_casing_and_the_rest_is_drawn() -> None:
    text = design() + '\n[[casing]]\nname = "top"\nheight = 225\n'
    found = studied(text, rises=("high",))
    failed = [note for note in found.notes if note.about is About.FAILURE]
    assert failed
    assert {(note.casing, note.place, note.rise) for note in failed} == {("top", "casing.top", "high")}
    assert {note.size for note in failed}.isdisjoint(one.size for one in found.made)
    assert len(failed) + len(found.made) == len(LABELS)


def test_a_bump_of_the_grade_is_told_at_its_size() -> None:
    """A body rise that is 6.5 mm out in one size: the table takes it, its grade shows it."""
    rows = list(csv.DictReader(io.StringIO(TABLE)))[:12]
    for number, row in enumerate(rows):
        row["body_rise"] = f"{25 + 0.75 * number + (0.65 if number == 7 else 0):.2f}"
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    bumps = [note for note in studied(table=out.getvalue()).notes if note.about is About.GRADE]
    assert {note.size for note in bumps} == {LABELS[7]}
    assert all("out of line with the other sizes" in note.text for note in bumps)


@pytest.mark.parametrize(
    ("text", "table", "about", "told"),
    [
        ("name = ", TABLE, About.DESIGN, "design: not TOML"),
        (design(fullness="9"), TABLE, About.DESIGN, "leg.fullness: 9 is outside"),
        (design(), "", About.TABLE, "sizes: it is empty"),
        (design(), TABLE.replace("H84", "H88", 1), About.TABLE, "H88: two sizes have this label"),
        (design(), "size,unit\nA,cm\n", About.TABLE, "waist_girth: missing column"),
    ],
)
def test_a_text_at_fault_is_told_and_no_error(text: str, table: str, about: About, told: str) -> None:
    found = studied(text, table)
    assert [note.about for note in found.notes] == [about] * len(found.notes)
    assert any(note.text.startswith(told) for note in found.notes)
    assert not found.drawings


def test_a_toml_table_is_read_as_well() -> None:
    rows = []
    for row in csv.DictReader(io.StringIO(TABLE)):
        taken = (f"{name} = {value}" for name, value in row.items() if name not in ("size", "unit"))
        rows.append("\n".join(("[[body]]", "size = " + repr(row["size"]), *taken)))
    body = "\n".join(rows)
    assert studied(table=f'unit = "cm"\n{body}', toml=True).made == studied().made


def test_sizes_and_rises_that_are_gone_are_passed_over() -> None:
    assert studied(sizes=("H1", LABELS[4]), rises=("low", "mid"), size="H1", piece="sleeve").size == LABELS[4]
    assert studied(sizes=("H1",)).made == studied().made
    assert studied(design("skirt.toml"), rises=("high",)).made


def test_a_cloth_that_is_none_is_a_note_and_the_rest_is_as_without() -> None:
    found = studied(cloth="wide")
    assert [note.about for note in found.notes if note.text.startswith("cloth")] == [About.CLOTH]
    assert found.made == studied(cloth=None).made


def test_a_field_of_another_kind_is_refused() -> None:
    with pytest.raises(DraftError):
        studied(sizes="H104")


def test_messages_follow_the_unit_of_the_design() -> None:
    """What is drafted is kept by what it is told in: the same design in cm has other words."""
    text = design() + '\n[[casing]]\nname = "top"\nheight = 225\n'
    table = "\n".join(TABLE.splitlines()[:4])
    millimetres = studied(text, table)
    lines = text.replace('unit = "mm" ', 'unit = "cm" ').splitlines()
    lengths = {"inseam_length", "height", "elastic_width", "overlap", "seam", "waist", "hem"}
    for number, line in enumerate(lines):
        key, equals, value = line.partition(" = ")
        if equals and key in lengths:
            lines[number] = f"{key} = {float(value.partition('#')[0]) / 10}"
    centimetres = studied("\n".join(lines), table)
    assert [replace(one, casings=()) for one in centimetres.made] == [
        replace(one, casings=()) for one in millimetres.made
    ]
    assert any(" mm " in note.text for note in millimetres.notes if note.about is About.FAILURE)
    assert not any(" mm " in note.text for note in centimetres.notes if note.about is About.FAILURE)


def test_another_view_of_what_was_drafted_is_not_drafted_again() -> None:
    """0.4 s for the sizes in both rises and 30 ms for one on the machine this was set on; a ratio holds on any."""

    def spent(work: Callable[[], object]) -> float:
        start = process_time()
        work()
        return process_time() - start

    text = design()
    studied(text, sizes=LABELS[:1])  # loads what a first draft loads
    module._drafted.cache_clear()
    first = spent(lambda: studied(text))
    again = min(spent(lambda: studied(text, view=View.FINISHED)) for _ in range(3))
    assert again < first / 3
    made = drafted("design.toml", None)
    bare = spent(lambda: draft_range(made.design, made.table))
    assert first < 3 * bare


def test_the_grade_is_that_of_the_range() -> None:
    made = drafted("design.toml", None)
    assert grade(made.garments).warnings == tuple(
        f"{note.size}, {note.rise} rise: {note.text}" for note in studied(cloth=None).notes if note.about is About.GRADE
    )
    assert replace(studied(), drawings=()) == replace(studied(view=View.NEST), drawings=())
    assert studied().part == block_of(made.design).part
