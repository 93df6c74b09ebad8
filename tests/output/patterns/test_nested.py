"""Sizes drawn over one another: each true to its piece, labelled in its own line, told apart without colour."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from shapely import affinity

from blocks.short import ShortCasing
from blocks.size_range import draft_range
from drafting.point import Motion, Vector
from drafting.role import Role
from nests import nest_of, shorts, table
from output.drawing.labels import Joins
from output.drawing.lettering import overlap, text_box
from output.drawing.placing import mark_strokes
from output.drawing.sheet import Sheet, Text
from output.drawing.size_labels import CAP, LABELS
from output.drawing.size_lines import COLOURS, PATTERNS, size_pens
from output.paper.sizes import A4, LETTER
from output.patterns.cover import size_key
from output.patterns.nested import draw_nested
from output.patterns.pattern_pdf import stacks_of
from output.patterns.words import SIZE_STEPS
from output.words.font import DESCENT
from output.words.letters import text_width
from quick import quick
from sample_pieces import marked
from sampled import heron_design, high_casing_design

PLACED = (Role.PLACE, Role.CROSS, Role.BUTTONHOLE)
RANGES = {
    "sixteen": {"count": 16, "start": 84.0, "step": 4.0},
    "sixty": {"count": 60, "start": 84.0, "step": 1.1},
    "one": {"count": 1},
    "split": {"count": 4, "start": 140.0, "fit": "split"},
}


def drawn(sizes) -> tuple[list, Sheet]:
    """The stacks of some sizes, set side by side on one sheet."""
    laid, right = [], 20.0
    for stack in stacks_of(sizes):
        left = min(piece.cut_line.bounds[0] for piece in stack)
        by = Motion.shift(Vector(right - left, 200.0))
        laid.append([piece.moved(by) for piece in stack])
        right += max(piece.cut_line.bounds[2] for piece in stack) - left + 20
    pens = size_pens([short.size for short in sizes])
    return laid, draw_nested(laid, pens, width=right, height=700, design="Heron shorts")


@pytest.fixture(
    scope="module",
    params=quick(RANGES, lambda name: name != "sixty"),
)
def sheet(request):
    return drawn(shorts(**RANGES[request.param]))


def label_box(text: Text) -> shapely.Polygon:
    """The figures and capitals of a label, turned as it is."""
    box = shapely.box(0, 0, text_width(text.text, text.size, bold=text.bold), text.size * CAP)
    return affinity.translate(affinity.rotate(box, text.angle, origin=(0, 0)), text.at.x, text.at.y)


def size_labels(sheet: Sheet) -> list[Text]:
    return [text for text in sheet.texts if text.layers == (text.text,)]


def lines_of(stack) -> dict[str, shapely.LineString]:
    return {piece.size: shapely.LineString(piece.cut_line.array(tolerance=0.02)) for piece in stack}


def test_each_size_is_cut_along_its_own_whole_line(sheet) -> None:
    stacks, drawn_sheet = sheet
    for stack in stacks:
        for piece in stack:
            mine = [stroke for stroke in drawn_sheet.strokes if stroke.path == piece.cut_line]
            assert [stroke.layers for stroke in mine] == [(piece.size,)]
            assert mine[0].path.closed


def test_seam_lines_are_left_out(sheet) -> None:
    assert Role.SEAM not in {stroke.role for stroke in sheet[1].strokes}
    assert {stroke.role for stroke in sheet[1].strokes} >= {Role.CUT, Role.FOLD, Role.STITCH, Role.GRAIN, Role.NOTCH}


def test_marks_are_drawn_once_where_sizes_share_them_and_else_in_the_colour_of_their_size() -> None:
    sizes = ("H98", "H100", "H102")
    stack = [replace(marked(), size=size) for size in sizes]
    pocket, *others = stack[1].marks
    stack[1] = replace(stack[1], marks=(pocket.moved(Motion.shift(Vector(0, -20))), *others))
    pens = size_pens(sizes)
    one = draw_nested([stack], pens, width=500, height=400, design="Heron shorts")
    placed = [stroke for stroke in one.strokes if stroke.role in PLACED]
    for piece in stack:
        own = [stroke.path for stroke in placed if piece.size in stroke.layers]
        assert sorted(map(repr, own)) == sorted(repr(stroke.path) for stroke in mark_strokes(piece.marks))
    assert {stroke.layers for stroke in placed} == {sizes, ("H98", "H102"), ("H100",)}
    for stroke in placed:
        alone = len(stroke.layers) == 1
        assert stroke.pen.colour == (pens[stroke.layers[0]].colour if alone else (0, 0, 0))
    assert [text.layers for text in one.texts if text.text == "pocket"] == [sizes]


def test_everything_in_a_piece_is_on_layers(sheet) -> None:
    known = {piece.size for stack in sheet[0] for piece in stack}
    for thing in (*sheet[1].strokes, *sheet[1].texts):
        assert thing.layers
        assert set(thing.layers) <= known


def test_every_size_is_labelled_in_its_own_line_on_every_piece(sheet) -> None:
    stacks, drawn_sheet = sheet
    labels = size_labels(drawn_sheet)
    for stack in stacks:
        lines = lines_of(stack)
        around = shapely.union_all([shapely.Polygon(line.coords) for line in lines.values()])
        here = [text for text in labels if around.intersects(label_box(text))]
        for size, line in lines.items():
            mine = [text for text in here if text.text == size]
            assert mine, size
            for text in mine:
                assert line.distance(label_box(text).centroid) <= LABELS.bend + 0.05


def test_a_label_touches_no_line_but_its_own_and_no_other_label(sheet) -> None:
    stacks, drawn_sheet = sheet
    boxes = [(text.text, label_box(text)) for text in size_labels(drawn_sheet)]
    tree = shapely.STRtree([box for _, box in boxes])
    assert not [(a, b) for a, b in tree.query([box for _, box in boxes], predicate="intersects").T if a != b]
    outlines = {id(piece.cut_line.segments) for stack in stacks for piece in stack}
    others = [
        (stroke.layers, stroke.pen.width, shapely.LineString(stroke.path.array(tolerance=0.02)))
        for stroke in drawn_sheet.strokes
        if not stroke.filled
    ]
    assert outlines
    lines = shapely.STRtree([line for *_, line in others])
    for label, box in boxes:
        for index in lines.query(box.buffer(0.5)):
            layers, width, line = others[index]
            own_line = layers == (label,) and shapely.get_num_coordinates(line) > 4
            if not own_line:
                assert line.distance(box) > width / 2, (label, layers)


def test_a_patch_breaks_no_line_but_its_own(sheet) -> None:
    stacks, drawn_sheet = sheet
    lines = [lines_of(stack) for stack in stacks]
    patches = [stroke for stroke in drawn_sheet.strokes if stroke.role is Role.PATCH]
    assert len(patches) == len(size_labels(drawn_sheet))
    for patch in patches:
        box = shapely.Polygon(patch.path.array())
        cut = {size for stack in lines for size, line in stack.items() if line.intersects(box)}
        assert cut == {*patch.layers}


def test_shared_words_keep_off_all_lines(sheet) -> None:
    _, drawn_sheet = sheet
    lines = shapely.STRtree(
        [shapely.LineString(s.path.array(tolerance=0.05)) for s in drawn_sheet.strokes if not s.filled]
    )
    for text in drawn_sheet.texts:
        if text.layers != (text.text,):
            width = text_width(text.text, text.size, bold=text.bold)
            box = shapely.box(0, -DESCENT * text.size * 0.8, width, text.size * CAP)
            box = affinity.translate(affinity.rotate(box, text.angle, origin=(0, 0)), text.at.x, text.at.y)
            assert not len(lines.query(box, predicate="intersects")), text.text


def test_casing_lines_of_all_sizes_lie_on_one_another_dash_for_dash() -> None:
    """Where one size's line goes on beyond what all share, its dashes fall where the others' do."""
    heights = (160, 100, -80, -110)
    design = replace(heron_design(), casings=tuple(ShortCasing(f"c{height}", height) for height in heights))
    _, drawn_sheet = drawn(shorts(16, start=84.0, design=design))
    dashed = [s for s in drawn_sheet.strokes if s.role in (Role.FOLD, Role.STITCH)]
    assert len({(s.path.start.y, s.pen.dash) for s in dashed}) == 13
    for stroke in dashed:
        period = sum(stroke.pen.dash)
        off = (stroke.path.start.x - stroke.pen.phase) / period
        assert off == pytest.approx(round(off), abs=0.001)


def test_a_casing_that_small_sizes_lack_is_named_for_those_that_have_it() -> None:
    sizes = shorts(16, start=84.0, rise="mid", design=high_casing_design())
    having = tuple(short.size for short in sizes if any(elastic.name == "top" for elastic in short.elastics))
    assert 0 < len(having) < 16
    _, drawn_sheet = drawn(sizes)
    [fold] = {text.layers for text in drawn_sheet.texts if text.text == "fold · top casing"}
    assert fold == having


def test_labels_keep_off_joins_where_they_can() -> None:
    pdf = nest_of(shorts(3))
    joins = Joins(
        tuple(pdf.layout.cell_size[0] * column for column in range(1, pdf.layout.columns)),
        tuple(pdf.layout.cell_size[1] * row for row in range(1, pdf.layout.rows)),
    )
    reach = pdf.layout.tiling.overlap
    for text in size_labels(pdf.sheet):
        left, low, right, high = label_box(text).bounds
        assert not any(left < x + reach and x - reach < right for x in joins.xs)
        assert not any(low < y + reach and y - reach < high for y in joins.ys)


def test_every_page_that_a_size_crosses_names_it() -> None:
    """Where a line that no other size shares runs for two hands' breadths on a page, its label is on that page."""
    pdf = nest_of(shorts(3))
    labels = size_labels(pdf.sheet)
    for cell in pdf.layout.cells:
        corner = pdf.layout.corner(cell)
        page = shapely.box(corner.x, corner.y, corner.x + pdf.layout.cell_size[0], corner.y + pdf.layout.cell_size[1])
        lines = {}
        for stack in pdf.layout.stacks:
            for size, line in lines_of(stack).items():
                lines.setdefault(size, []).append(line.intersection(page))
        for size, mine in lines.items():
            others = shapely.union_all([part for other, parts in lines.items() if other != size for part in parts])
            alone = shapely.union_all(mine).difference(others.buffer(2.5))
            longest = max((part.length for part in shapely.get_parts(alone)), default=0)
            if longest > 200:
                assert any(text.text == size and page.intersects(label_box(text)) for text in labels), (cell, size)


def luminance(rgb) -> float:
    """Relative luminance of sRGB: WCAG 2.1 (W3C 2018), definition."""
    channels = [part / 255 / 12.92 if part / 255 <= 0.03928 else ((part / 255 + 0.055) / 1.055) ** 2.4 for part in rgb]
    return float(np.dot(channels, (0.2126, 0.7152, 0.0722)))


def test_every_colour_stands_out_on_white_paper() -> None:
    """At least 3 to 1: WCAG 2.1 (W3C 2018), success criterion 1.4.11, non-text contrast; so in grey as well."""
    assert all(1.05 / (luminance(colour) + 0.05) >= 3 for colour in COLOURS)


MACHADO = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
"""Simulation at full severity, in linear sRGB: Machado, Oliveira and Fernandes (2009), IEEE TVCG 15(6); from memory."""

XYZ = np.array(
    ((0.4124564, 0.3575761, 0.1804375), (0.2126729, 0.7151522, 0.0721750), (0.0193339, 0.1191920, 0.9503041))
)
"""Linear sRGB to CIE XYZ: IEC 61966-2-1; from memory."""


def lab(rgb, seen) -> np.ndarray:
    """CIE 1976 L*a*b* (ISO/CIE 11664-4) of a colour as it is seen."""
    part = np.array(rgb) / 255
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    x, y, z = XYZ @ np.clip(np.array(seen) @ linear, 0, 1) / XYZ.sum(axis=1)
    fx, fy, fz = (np.cbrt(v) if v > 0.008856 else 7.787 * v + 16 / 116 for v in (x, y, z))
    return np.array((116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)))


@pytest.mark.parametrize("vision", MACHADO)
def test_neighbouring_colours_differ_to_the_colour_blind(vision: str) -> None:
    """A colour difference of 20 is several times what the eye needs to part two lines (common practice, no source)."""
    colours = [lab(colour, MACHADO[vision]) for colour in (*COLOURS, COLOURS[0])]
    assert min(np.linalg.norm(a - b) for a, b in pairwise(colours)) > 20


def test_sixteen_sizes_have_sixteen_patterns_and_no_two_of_eighty_are_alike() -> None:
    pens = list(size_pens([f"S{number}" for number in range(80)]).values())
    assert len(set(PATTERNS)) == 16
    assert len({pen.dash for pen in pens[:16]}) == 16
    assert len({(pen.dash, pen.colour) for pen in pens}) == 80
    assert all(a.dash != b.dash and a.colour != b.colour for a, b in pairwise(pens))


def test_neighbouring_patterns_differ_plainly() -> None:
    """In what the eye reads: the longest dash, the dots in a period, or the dashes in it."""

    def read(pattern) -> tuple[float, int, int]:
        drawn_parts = pattern[::2]
        dots = sum(part < 1 for part in drawn_parts)
        return max(drawn_parts, default=np.inf), dots, len(drawn_parts) - dots

    reads = [read(pattern) for pattern in (*PATTERNS, PATTERNS[0])]
    assert all(a != b for a, b in pairwise(reads))


def test_a_size_keeps_its_line_whichever_others_are_printed() -> None:
    made = draft_range(shorts(1)[0].design, table(4), fit="whole")
    pens = size_pens([size.label for size in made.table.sizes])
    assert pens["H108"] == size_pens(["H100", "H104", "H108"])["H108"]


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_two_hundred_sizes_run_over_as_many_pages_as_their_key_needs(paper):
    # the key of sizes was one part, taller than a page
    pens = size_pens([f"{number}" for number in range(200)])
    key = size_key(pens, paper.width - 28, paper.height - 34, SIZE_STEPS)
    assert len(key) > 1
    assert all(part.height <= paper.height - 34 and part.width <= paper.width - 28 + 1e-6 for part in key)
    texts = [text.text for part in key for text in part.drawn(0, 0).texts]
    assert [label for label in texts if label in pens and len(label) == 3] == [f"{n}" for n in range(100, 200)]


@pytest.mark.parametrize("label", ["W" * 20, "H100 long and tall", "אדום ארוך"])
def test_a_long_label_has_its_room_in_the_key(label):
    pens = size_pens([f"{label[:18]}{number:02d}" for number in range(12)])
    for part in size_key(pens, 182, 260, SIZE_STEPS):
        texts = [text for text in part.drawn(0, 0).texts if text.text in pens]
        boxes = [text_box(text) for text in texts]
        assert all(box[2] <= 182 for box in boxes)
        assert not any(overlap(a, b) for a, b in combinations(boxes, 2))
        assert sorted(text.text for text in texts) == sorted(pens)


def test_casings_that_grade_are_named_clear_of_the_lines_of_every_size() -> None:
    shares = {"upper": 0.56, "lower": 0.35, "thigh": -0.571, "frill": -0.786}
    casings = tuple(ShortCasing(name, share=share) for name, share in shares.items())
    made = draft_range(replace(heron_design(), casings=casings), table(16, start=84.0), rises=["high"])
    assert not made.failures
    ((leg, *_), sheet) = drawn(made.garments)
    lines = [shapely.LineString(s.path.array()) for s in sheet.strokes if s.role in (Role.FOLD, Role.STITCH)]
    assert len({line.bounds[1] for line in lines}) > 3 * len(casings) * len(leg) / 2
    for name in shares:
        for label in (f"fold · {name} casing", f"stitch · {name} casing"):
            named = [text for text in sheet.texts if text.text == label]
            assert named, label
            assert all(set(text.layers) == {piece.size for piece in leg} for text in named)
            assert not any(label_box(text).intersects(line) for text in named for line in lines)
