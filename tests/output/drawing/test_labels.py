from __future__ import annotations

import dataclasses
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from drafting.errors import OutputError
from drafting.path import Path
from drafting.piece import Mark, MarkKind
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.labels import ASIDE, STYLE, Joins, label_piece
from output.drawing.lettering import TextBlock, TextLine, text_box, wrap
from output.drawing.pens import stroked
from output.drawing.pieces import piece_strokes
from output.drawing.sheet import Text
from output.words.letters import text_width
from sample_pieces import built, leg_like, marked, strip

legs = st.tuples(
    st.just("leg"),
    st.fixed_dictionaries(
        {
            "width": st.integers(150, 1500),
            "height": st.integers(280, 600),
            "casings": st.integers(0, 5),
            "depth": st.integers(5, 14),
        }
    ),
)
strips = st.tuples(
    st.just("strip"), st.fixed_dictionaries({"length": st.integers(100, 900), "height": st.integers(24, 120)})
)


def labelled(piece, **options):
    strokes = piece_strokes(piece)
    return strokes, label_piece(piece, strokes, design="Heron shorts", **options)


@settings(max_examples=60)
@given(st.one_of(legs, strips), st.floats(60, 250), st.floats(60, 250))
def test_labels_keep_clear_of_lines_and_of_each_other_inside_the_piece(spec, x, y):
    piece = built(spec)
    left, bottom, _, _ = piece.cut_line.bounds
    joins = Joins((left + x, left + 2 * x), (bottom + y,), 8.0, ((left + x - 4, bottom - 4, left + x + 4, bottom + 4),))
    strokes, texts = labelled(piece, joins=joins)
    boxes = [shapely.box(*text_box(text)) for text in texts]
    inside = shapely.Polygon(piece.seam_line.array())
    lines = [shapely.LineString(stroke.path.array()) for stroke in strokes]
    assert all(inside.contains(box) for box in boxes)
    # the clearance, less the flatness of the lines that labels see
    assert all(box.distance(line) > STYLE.clearance - 0.06 for box in boxes for line in lines)
    # lines of one title share a block; their boxes may touch, but the ink does not
    assert all(one.intersection(two).area < 0.1 * min(one.area, two.area) for one, two in combinations(boxes, 2))
    assert min(text.size for text in texts) >= 2.2


@settings(max_examples=20)
@given(legs)
def test_every_casing_line_and_the_grain_are_named(spec):
    piece = built(spec)
    _, texts = labelled(piece)
    said = {text.text for text in texts}
    for line in piece.fold_lines:
        assert f"fold · {line.casing} casing" in said
    for line in piece.stitch_lines:
        assert f"stitch · {line.casing} casing" in said
    assert {"straight grain", piece.title} <= said
    whole = " · ".join(text.text for text in texts)
    assert "Size H102 · high rise" in whole
    assert "Cut 2: 1 as drawn, 1 mirrored" in whole


@pytest.mark.parametrize("turn", [0, 90, 180])
def test_every_mark_is_named_clear_of_its_lines(turn):
    piece = marked().moved(Motion.turn(turn))
    strokes, texts = labelled(piece)
    said = [text.text for text in texts]
    assert all(said.count(mark.label) == 1 for mark in piece.marks)
    lines = [shapely.LineString(stroke.path.array()) for stroke in strokes]
    for text in texts:
        assert all(shapely.box(*text_box(text)).distance(line) > STYLE.clearance - 0.06 for line in lines), text


def test_marks_that_are_called_the_same_are_named_once():
    piece = marked()
    again = tuple(dataclasses.replace(mark, label="here") for mark in piece.marks)
    _, texts = labelled(dataclasses.replace(piece, marks=again))
    assert [text.text for text in texts].count("here") == 1


def test_a_label_stands_on_one_page_when_there_is_room():
    piece = leg_like(width=1000, height=500, casings=3)
    left, bottom, _, _ = piece.cut_line.bounds
    joins = Joins(tuple(left + 180 * i for i in range(1, 6)), (bottom + 180,), 8.0)
    _, texts = labelled(piece, joins=joins)
    for text in texts:
        box = text_box(text)
        assert not any(box[0] < x + 8 and box[2] > x - 8 for x in joins.xs), text.text
        assert not any(box[1] < y + 8 and box[3] > y - 8 for y in joins.ys), text.text


def test_a_title_in_a_low_strip_takes_fewer_lines_rather_than_cross_a_join():
    piece = strip(length=700, height=22)
    left = piece.cut_line.bounds[0]
    joins = Joins(tuple(left + 120 * i for i in range(1, 6)), (), 8.0)
    _, texts = labelled(piece, joins=joins)
    assert max(text.size for text in texts) == STYLE.title
    boxes = [text_box(text) for text in texts]
    assert not any(box[0] < x + 8 and box[2] > x - 8 for box in boxes for x in joins.xs)


def test_a_half_turned_piece_is_named_the_right_way_up():
    _, texts = labelled(leg_like().moved(Motion.half_turn(Point(0, 0))))
    assert {text.angle for text in texts} == {0.0, 90.0}


def test_a_title_shrinks_in_a_narrow_piece():
    large = max(text.size for text in labelled(strip(height=100))[1])
    small = max(text.size for text in labelled(strip(height=14))[1])
    assert small < large


def test_a_piece_without_room_is_named_in_the_error():
    with pytest.raises(OutputError, match="piece tab: its title 'Waist facing' with 3 more lines has no room"):
        labelled(strip(length=30, height=12, name="tab"))


def test_a_label_that_is_longer_than_its_line_is_cut():
    piece = leg_like(width=120, height=300, casings=1)
    line = dataclasses.replace(piece.fold_lines[0], casing="unutterably-long-drawn-out-and-never-ending-name" * 2)
    _, texts = labelled(dataclasses.replace(piece, fold_lines=(line,)))
    assert any(text.text.startswith("fold") and text.text.endswith("…") for text in texts)


def test_a_mark_crowded_by_those_of_other_sizes_is_named_near_it():
    """The buttonholes and stitch lines of many sizes stand so close that none has room for its name beside it."""
    hole = Path.through(Point(-100, 90), Point(-100, 101))
    piece = dataclasses.replace(leg_like(casings=0), marks=(Mark("hole", MarkKind.BUTTONHOLE, "buttonhole", hole),))
    crowd = [Path.through(Point(-125, 95 + 2 * step), Point(-75, 95 + 2 * step)) for step in range(-12, 13)]
    strokes = [*piece_strokes(piece), *(stroked(line, Role.STITCH) for line in crowd)]
    (name,) = (text for text in label_piece(piece, strokes, design="Heron") if text.text == "buttonhole")
    box = shapely.box(*text_box(name))
    assert 20 < box.distance(shapely.Point(-100, 95)) <= ASIDE
    assert all(box.disjoint(shapely.LineString(line.array())) for line in (hole, *crowd))


def test_a_line_without_room_is_named_in_the_error():
    piece = leg_like(width=120, height=300, casings=1)
    line = piece.fold_lines[0]
    near = [Vector(0, 2 * step) for step in range(-8, 9)]
    crowd = tuple(dataclasses.replace(line, start=line.start + by, end=line.end + by) for by in near)
    with pytest.raises(OutputError, match=r"piece leg: its label 'fold · .*' has no room beside its line"):
        labelled(dataclasses.replace(piece, stitch_lines=crowd))


def test_a_box_holds_its_text_when_turned():
    width = text_width("grain", 4)
    assert text_box(Text(Point(10, 20), "grain", 4)) == pytest.approx((10, 20 - 0.96, 10 + width, 20 + 3.72))
    assert text_box(Text(Point(10, 20), "grain", 4, angle=90)) == pytest.approx((10 - 3.72, 20, 10.96, 20 + width))


def test_the_widths_of_letters_agree_with_the_font_file():
    # the advance widths in the font's own hmtx table, read by Pillow's FreeType
    font = ImageFont.truetype("output/fonts/DejaVuSans.ttf", 1000)
    for text in ("straight grain", "Cut 2: 1 as drawn", "½ × · “”"):
        assert text_width(text, 10) == pytest.approx(font.getlength(text, features=["-kern", "-liga"]) / 100, rel=2e-3)


@given(st.lists(st.text("abcdefghij", min_size=1, max_size=25), min_size=1, max_size=30), st.floats(3, 100))
def test_wrapped_lines_keep_every_letter_and_the_limit(words, limit):
    lines = wrap(" ".join(words), limit, 3)
    assert "".join(lines).replace(" ", "") == "".join(words)
    assert all(text_width(line, 3) <= limit for line in lines)
    if all(text_width(word, 3) <= limit for word in words):
        assert " ".join(lines).split() == words


def test_the_lines_of_a_block_fill_its_box():
    block = TextBlock((TextLine("Leg", 7, bold=True), TextLine("Size H102", 4), TextLine("Cut 2", 4)))
    boxes = [text_box(text) for text in block.texts(Point(50, 60))]
    assert min(box[1] for box in boxes) == pytest.approx(60)
    assert max(box[3] for box in boxes) == pytest.approx(60 + block.height)
    assert max(box[2] for box in boxes) == pytest.approx(50 + block.width)
