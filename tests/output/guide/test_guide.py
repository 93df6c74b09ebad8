from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from io import BytesIO

import pypdfium2
import pytest
from pypdf import PdfReader

from blocks.blend import blend
from blocks.cloth import Cloth, Lay
from blocks.design import CasingDesign
from blocks.haberdashery import haberdashery
from blocks.known import used_of
from blocks.lay import LayRules
from blocks.measurements import Body
from blocks.requirement import required
from blocks.short import BLOCK, Short, draft_short
from blocks.short.design import ShortDesign
from blocks.short.leg import Rise
from blocks.size_range import draft_range, too_wide
from blocks.size_table import size_table_from
from blocks.words import Catalogue
from drafting.errors import OutputError
from drafting.path import Path
from drafting.point import Point
from drafting.role import Role
from drafting.units import eighths, show_measure, show_small
from guides import CLOTHS, WORDS, designs, few, guide, made, partly
from output.drawing.lettering import overlap
from output.drawing.pens import stroked
from output.drawing.sheet import Sheet, Text
from output.guide.between import lengths
from output.guide.book import guide_pdf
from output.guide.buying import lay_room
from output.guide.choosing import widths
from output.guide.content import ClothNeed
from output.paper.sizes import A4, LETTER
from output.tables.amounts import cut_words
from output.tables.range import tables_csv
from quick import quick
from ranges import rows
from sampled import heron
from spread import spread

MARGIN = 12 * 72 / 25.4
"""Points; nothing may stand nearer to the paper's edge: most printers leave less than that blank."""


def words(data: bytes) -> str:
    """All words of a file with single blanks between them."""
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(data)).pages)


def lines(data: bytes) -> list[str]:
    return [
        " ".join(line.split()) for page in PdfReader(BytesIO(data)).pages for line in page.extract_text().split("\n")
    ]


def boxes(data: bytes) -> list[tuple[int, tuple[float, float], list[tuple[float, ...]]]]:
    """For each page its number, its size and the boxes of its runs of text, in points, as another reader finds them."""
    document = pypdfium2.PdfDocument(data)
    found = []
    for number, page in enumerate(document, 1):
        text = page.get_textpage()
        found.append((number, page.get_size(), [text.get_rect(i) for i in range(text.count_rects())]))
    return found


SOME = ("plain", "band", "bought", "bare")
VARIANTS = [
    *((kind, "auto", "A4") for kind in designs()),
    *((kind, "auto", "Letter") for kind in ("plain", "band")),
    *((kind, "split", "A4") for kind in ("plain", "bare")),
    ("bought", "whole", "Letter"),
]


@pytest.mark.parametrize(("kind", "fit", "paper"), quick(VARIANTS, lambda variant: variant[0] in SOME))
def test_no_text_overlaps_another_or_leaves_its_page(kind, fit, paper):
    assert_tidy(guide(kind, fit, paper))


def assert_tidy(data: bytes) -> None:
    """No text near the paper's edge or over other text, as another reader finds them."""
    for number, (width, height), found in boxes(data):
        assert found
        for box in found:
            assert MARGIN < box[0] < box[2] < width - MARGIN, (number, box)
            assert MARGIN < box[1] < box[3] < height - MARGIN * 0.8, (number, box)
        for i, one in enumerate(found):
            for other in found[i + 1 :]:
                assert not overlap(one, other, apart=-0.4), (number, one, other)


def test_a_table_stays_with_its_heading_and_its_lead_wherever_a_page_ends():
    """Under ever longer lists of files, which push the table of cloths down and over the foot of the page."""
    told = spread()["short, one casing"]
    garments = told.drafted().garments
    seen = set()
    for count in range(14, 34, 2):
        files = [(f"file-{number}.pdf", "high rise") for number in range(count)]
        data = guide_pdf(garments, design=told.design, table=told.table, paper=A4, cloths=CLOTHS, files=files)
        texts = [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(data)).pages]
        (at,) = (at for at, text in enumerate(texts) if "What fits on which cloth" in text)
        assert "Usable width is" in texts[at]
        assert texts[at].count("single layer") == len(CLOTHS)
        seen.add(at)
    assert len(seen) == 2


def test_long_names_and_many_casings_stay_on_their_pages_and_apart():
    many = tuple(CasingDesign(f"a long name for casing {number}", 112 + 18 * number) for number in range(8))
    design = replace(
        designs()["bought"],
        name="Heron shorts for every tide and weather of a year by a river",
        workroom="Reedbank Workroom and Company of Cutters by the Broad Marsh",
        casings=(*many, CasingDesign("leg", -110)),
    )
    drafted = draft_range(design, few(), rises=["high"], cloth=CLOTHS[1])
    assert len(drafted.garments) == 4
    assert_tidy(guide_pdf(drafted.garments, design=design, table=few(), paper=LETTER, cloths=CLOTHS))


def test_boxes_that_overlap_are_found():
    # the comparison above must be able to fail
    assert overlap((0, 0, 10, 10), (9, 9, 20, 20), apart=-0.4)


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_pages_have_the_size_of_the_paper_in_all_their_boxes(paper):
    for page in PdfReader(BytesIO(guide(paper=paper.name))).pages:
        for box in (page.mediabox, page.cropbox, page.trimbox):
            assert float(box.width) * 25.4 / 72 == pytest.approx(paper.width, abs=0.01)
            assert float(box.height) * 25.4 / 72 == pytest.approx(paper.height, abs=0.01)


def test_every_font_is_embedded_and_the_document_says_what_it_is():
    document = PdfReader(BytesIO(guide()))
    names = set()
    for page in document.pages:
        for font in page["/Resources"]["/Font"].values():
            about = font.get_object()
            names.add(about["/BaseFont"].split("+")[1])
            assert len(about["/FontDescriptor"]["/FontFile2"].get_object().get_data()) > 1000
    assert names == {"DejaVuSans", "DejaVuSans-Bold"}
    assert document.trailer["/Root"]["/Lang"] == "en-GB"
    about = document.metadata
    assert about.title == "Heron shorts · Sewing guide"
    assert about.author == "Reedbank Workroom"
    assert "cut and sew Heron shorts" in about.subject


def test_pages_are_numbered_and_the_contents_name_them():
    document = PdfReader(BytesIO(guide()))
    for number, page in enumerate(document.pages[1:], 2):
        assert str(number) in page.extract_text().split("\n")
    rows = re.findall(r"\. (\d+)\n([^\n.]+)", document.pages[1].extract_text())
    listed = {title: int(page) for page, title in rows}
    for entry in document.outline:
        assert listed[entry["/Title"]] == document.get_destination_page_number(entry) + 1
    assert len(document.outline) == 13


def test_the_same_range_gives_the_same_bytes():
    drafted = draft_range(designs()["plain"], few(), cloth=Cloth(1400))
    again = guide_pdf(drafted.garments, design=drafted.design, table=few(), paper=A4, cloths=CLOTHS)
    assert again == guide()


def test_text_can_be_searched():
    found = words(guide())
    for phrase in ("Understitch: on the facing", "Print and check the scale", "Body rise", "front crotch seam"):
        assert phrase in found


@pytest.mark.slow
def test_every_word_of_the_catalogue_is_said_in_some_guide(monkeypatch):
    used = noted(monkeypatch)
    monkeypatch.setattr("output.guide.booklet.printed", lambda *_, **__: b"")  # which has no words of its own
    for kind, fit, _ in VARIANTS:
        drafted = made(kind, fit)
        needs = [ClothNeed("H100", Rise.HIGH, CLOTHS[0], required(1000))]
        guide_pdf(
            drafted.garments,
            design=drafted.design,
            table=few(),
            paper=A4,
            cloths=[*CLOTHS, Cloth(900, lay=Lay.FOLDED)],
            needs=needs,
            rules=LayRules(one_way=kind == "plain"),
            lays=[("H100", sheet())],
            files=[("heron-high-A4.pdf", "high rise")],
        )
    for about in spread().values():
        if isinstance(about.design, ShortDesign):
            guide_pdf(about.drafted().garments, design=about.design, table=about.table, paper=A4)
    one = [short for short in made().garments if short.size == "H100"]
    for shorts in (one, one[:1], [short for short in made().garments if short.size != "H146"]):
        guide_pdf(shorts, design=made().design, table=few(), paper=A4)
    squeezed = replace(designs()["plain"], limits=replace(designs()["plain"].limits, gather_high=1.8, gather_low=1.5))
    drafted = draft_range(squeezed, few(), rises=["high"])
    guide_pdf(drafted.garments, design=squeezed, table=few(), paper=A4)
    drafted = draft_range(partly(), few())
    guide_pdf(drafted.garments, design=drafted.design, table=few(), paper=A4)
    said = {key.removeprefix("own.") for key in WORDS.words}  # to one wearer in other words
    # a short has rises
    assert said - used == {"blend.near", "blend.step", *WITHOUT_RISES}


WITHOUT_RISES = {"blend.example", "key.lead", "steps.lacking"}
"""Words for garments that have no rises."""


def noted(monkeypatch) -> set[str]:
    """The keys of all words that are said from now on."""
    used: set[str] = set()
    say = Catalogue.say

    def noting(self: Catalogue, key: str, **filled: object) -> str:
        used.add(key)
        return say(self, key, **filled)

    monkeypatch.setattr(Catalogue, "say", noting)
    return used


def without_rises(design: ShortDesign, body: Body, *, rise: str = "", **more) -> Short:
    """A short as a block without rises would draft it."""
    assert not rise
    drafted = draft_short(design, body, rise="high", **more)
    pieces = tuple(replace(piece, variant="") for piece in drafted.pieces)
    return replace(drafted, rise="", pieces=pieces)


def test_a_garment_without_rises_has_a_guide_without_them(monkeypatch):
    monkeypatch.setattr("blocks.short.BLOCK", replace(BLOCK, draft=without_rises, rises=()))
    used = noted(monkeypatch)
    drafted = draft_range(partly(), few())
    text = words(guide_pdf(drafted.garments, design=drafted.design, table=few(), paper=A4, cloths=CLOTHS))
    assert "High rise" not in text
    assert "for your rise" not in text
    assert "Worked example: waist of H100, hips of H140 The wearer" in text
    assert used >= WITHOUT_RISES - {"steps.lacking"}
    assert {key for key in used if key.startswith("rise.") or key.endswith(".rise")} <= {"word.rise"}


def test_a_block_without_parts_of_its_own_has_a_guide_without_steps(monkeypatch):
    monkeypatch.setattr("blocks.short.BLOCK", replace(BLOCK, guide="", words={}))
    text = words(guide_pdf(made().garments, design=made().design, table=few(), paper=A4, cloths=CLOTHS))
    assert "front rise back rise crotch seam side length" in text
    for heading in (
        "High rise",
        "Print and check the scale",
        "Body sizes",
        "Finished measures",
        "The pieces",
        "Work safely",
    ):
        assert heading in text
    for heading in ("How to read the diagrams", "What you need", "Words used here"):
        assert heading not in text


def sheet(width: float = 150.0, height: float = 200.0):
    square = Path.through(Point(5, 5), Point(90, 5), Point(90, 90), Point(5, 5))
    return Sheet(width, height, (stroked(square, Role.CUT),), (Text(Point(20, 100), "cloth 110", 3),))


# Numbers ----------------------------------------------------------------------------------------------------------


def test_numbers_are_those_of_the_tables():
    """Each row of the guide against tables.csv, which pandas and other readers use."""
    drafted = made()
    found = lines(guide())
    for row in csv.DictReader(io.StringIO(tables_csv(drafted).decode(), newline="")):
        if row["table"] in ("body", "finished measures") and row["measure"] != "error":
            length = float(row["cm"])  # already rounded once
            assert any(f"{length + by:.1f}" in line.split() for line in found for by in (-0.001, 0.001)), row
            assert any(line == row["eighths"] or row["eighths"] in line for line in found), row
        if row["table"] == "elastics" and row["measure"] == "cut length, rounded":
            assert any(f"{float(row['cm']):.1f}" in line.split() for line in found), row


def test_each_size_has_its_row_in_the_elastic_tables():
    found = words(guide())
    for short in made().garments:
        strips = haberdashery(short).elastics
        cells = " ".join(f"{strip.rounded / 10:.1f} {eighths(strip.cut_length)}" for strip in strips)
        if len(short.elastics) == len(made().garments[0].elastics):
            assert f"{short.size} {cells}" in found


def test_each_size_has_its_row_of_body_and_finished_measures():
    found = words(guide())
    for size in few().sizes:
        cells = " ".join(
            f"{'≈ ' * (name in size.body.estimated)}{size.body.known(name) / 10:.1f} {eighths(size.body.known(name))}"
            for name in used_of(made().design, size.body)
        )
        assert f"{size.label} {cells}" in found
    for short in made().garments:
        hem = short.measures["hem"]
        assert f"{hem / 10:.1f} {eighths(hem)}" in found


def test_the_worked_example_is_the_blend_of_its_two_sizes():
    sizes = made().of(Rise.HIGH)
    mixed = blend(sizes[0], sizes[2])
    text = words(guide())
    example = text[text.index("Worked example: waist of H100, hips of H140, high rise") :]
    for elastic, strip in zip(mixed.elastics, mixed.haberdashery().elastics, strict=True):
        assert re.search(rf"{elastic.name} [^:]*?(above|below) {re.escape(show_measure(elastic.girth))} ", example)
        assert f"{cut_words(strip)} {strip.quantity}" in example


def test_of_many_sizes_waists_near_the_hips_have_their_lengths():
    """Forty sizes would fill forty columns: a waist lies at most eight sizes from its hips."""
    many = size_table_from({"unit": "cm", "body": rows(22, 84, 2)})
    drafted = draft_range(made().design, many, rises=["high"])
    text = words(guide_pdf(drafted.garments, design=drafted.design, table=many, paper=A4, cloths=CLOTHS))
    assert "across by how many sizes your waist is smaller (-) or larger (+)" in text
    assert " ".join(f"waist {step:+d}" for step in range(-8, 0)) in text
    garments = drafted.of("high")
    upper = {name: dict(each.cut) for each in lengths(garments) if (name := each.name) == "upper"}["upper"]
    assert len(upper) == 22 + 2 * sum(22 - step for step in range(1, 9))
    row = [upper[garments[at].size, "H106"] for at in range(3, 12)]  # the first of two tables, to the hips' own size
    assert f"H106 {' '.join(' '.join(cell) for cell in row)}" in text
    first = text[text.index(f"{garments[0].size} – – – – – – – – ") :]
    assert first.startswith(f"{garments[0].size} {'– ' * 8}{' '.join(upper[garments[0].size, garments[0].size])}")


def test_a_leg_fits_the_cloth_that_the_draft_leaves_it_whole_on():
    for cloth in (*CLOTHS, Cloth(1200), Cloth(1500, lay=Lay.FOLDED)):
        for short in draft_range(designs()["plain"], few(), rises=["high"], cloth=cloth).garments:
            whole, half = widths(short)
            assert short.split is (whole > cloth.usable)
            assert half <= cloth.usable or not short.split


def test_widths_of_a_leg_do_not_depend_on_how_it_was_drafted():
    for whole, split in zip(made(fit="whole").garments, made(fit="split").garments, strict=True):
        assert widths(whole) == pytest.approx(widths(split))
        assert not too_wide(split, Cloth(1400))


def test_files_cloth_and_lay_plans_are_printed_when_given():
    plain = words(guide())
    assert "Lay plans" not in plain
    assert "Cloth to buy" not in plain
    needs = [ClothNeed("H104", Rise.MID, Cloth(1100), required(1234.0))]
    data = guide_pdf(
        made().garments,
        design=made().design,
        table=few(),
        paper=LETTER,
        needs=needs,
        lays=[("H104 on 110 cm", sheet(*lay_room(LETTER))), ("a tall one", sheet(100, 900))],
        files=[("heron-mid-whole-Letter.pdf", "mid rise, H100 to H104")],
    )
    text = words(data)
    assert f"{needs[0].need.metres:.2f} m" in text
    for phrase in ("Lay plans", "H104 on 110 cm", "a tall one", "heron-mid-whole-Letter.pdf", "cloth 110"):
        assert phrase in text


# Steps ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", quick(designs(), lambda kind: kind in SOME))
def test_no_blank_is_left_to_fill_in(kind):
    assert "{" not in words(guide(kind))


def test_cautions_name_every_danger_and_defer_to_local_rules():
    text = words(guide())
    for phrase in (
        *("Iron", "Needles and pins", "Blades", "hinder circulation", "Children’s wear", "small parts", "catches fire"),
        "Your local rules, and the judgement of qualified and licensed people, come before anything written here.",
    ):
        assert phrase in text


# Refusals ---------------------------------------------------------------------------------------------------------


def test_a_range_without_sizes_or_of_another_design_is_refused():
    design = made().design
    with pytest.raises(OutputError, match="guide: there is no size to write about"):
        guide_pdf([], design=design, table=few(), paper=A4)
    with pytest.raises(OutputError, match=r"guide: Heron shorts, size 'H100', is not of this design"):
        guide_pdf(made().garments, design=ShortDesign("Other"), table=few(), paper=A4)
    with pytest.raises(OutputError, match=r"size 'H102', is not of this design and size table"):
        guide_pdf([heron()], design=heron().design, table=few(), paper=A4)


def test_a_name_that_cannot_be_printed_is_refused():
    design = replace(designs()["plain"], name="蒼鷺")
    drafted = draft_range(design, few(), rises=["high"])
    with pytest.raises(OutputError, match="is not in the fonts that are embedded"):
        guide_pdf(drafted.garments, design=design, table=few(), paper=A4)


def test_names_with_marks_of_markup_are_printed_as_they_stand():
    design = replace(designs()["plain"], name="Reed & <b>Bank</b>")
    drafted = draft_range(design, few(), rises=["high"])
    assert "Reed & <b>Bank</b>" in words(guide_pdf(drafted.garments, design=design, table=few(), paper=A4))


@pytest.mark.parametrize(
    ("length", "told"), [(10, "10 mm (3/8 in)"), (12.7, "12.7 mm (1/2 in)"), (0.5, "0.5 mm (1/16 in)")]
)
def test_short_lengths_are_told_in_sixteenths(length, told):
    # An inch is 25.4 mm exactly: international yard and pound agreement of 1959.
    assert show_small(length) == told
