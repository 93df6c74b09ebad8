from __future__ import annotations

from blocks.guide import WIDTH
from drafting.picture import Caption, Picture, line
from drafting.point import Point
from drafting.role import Role
from output.drawing.lettering import overlap, text_box
from output.drawing.picture import captioned, stacked


def test_captions_are_pushed_apart_and_held_on_the_sheet():
    square = (line(Role.OUTLINE, Point(0, 0), Point(40, 0), Point(40, 10)),)
    crowd = tuple(Caption(Point(20, 5), f"the same place, told {word}") for word in ("once", "twice", "thrice", "more"))
    sheet = captioned(Picture(square, crowd), WIDTH)
    boxes = [text_box(text) for text in sheet.texts]
    assert all(box[1] >= 0 and box[3] <= sheet.height + 0.3 for box in boxes)
    assert not any(overlap(a, b, apart=-0.25) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_sheets_in_a_stack_keep_apart():
    square = Picture((line(Role.NOW, Point(0, 0), Point(10, 10)),))
    whole = stacked([captioned(square, 50), captioned(square, 60)], gap=3)
    assert (whole.width, whole.height) == (60, 27)
