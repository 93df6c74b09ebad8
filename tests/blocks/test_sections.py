from __future__ import annotations

import pytest

from blocks.design import FacingDesign, WaistDesign
from blocks.sections import (
    channel,
    creased,
    elastic_end,
    hem,
    lap,
    pressed_tuck,
    standing_tuck,
    understitched,
)
from drafting.picture import Picture, Trace
from drafting.role import Role
from guides import WORDS


def of(picture: Picture, role: Role) -> list[Trace]:
    return [trace for trace in picture.traces if trace.role is role]


def tall(trace: Trace) -> float:
    _, bottom, _, top = trace.path.bounds
    return top - bottom


def wide(trace: Trace) -> float:
    left, _, right, _ = trace.path.bounds
    return right - left


def test_elastics_keep_their_width_in_proportion_to_their_casing():
    narrow, broad = (elastic_end(WORDS, 20, width, 12) for width in (6, 12))
    (narrow,), (broad,) = ([one for one in of(picture, Role.ELASTIC) if one.filled] for picture in (narrow, broad))
    assert tall(broad) == pytest.approx(2 * tall(narrow))


@pytest.mark.parametrize(("depth", "width"), [(12, 10), (16, 12), (70, 60)])
def test_an_elastic_lies_in_the_tunnel_between_the_two_rows(depth, width):
    picture = elastic_end(WORDS, depth, width, 12)
    (elastic,) = (one for one in of(picture, Role.ELASTIC) if one.filled)
    (row,) = of(picture, Role.SEWN)
    assert row.path.start.y < elastic.path.bounds[1] < elastic.path.bounds[3] < 0
    assert elastic.path.bounds[1] - row.path.start.y == pytest.approx(-elastic.path.bounds[3])


def test_a_deeper_tuck_stands_further_out():
    shallow, deep = (of(standing_tuck(WORDS, depth), Role.CLOTH)[0] for depth in (10, 20))
    assert wide(deep) - wide(shallow) == pytest.approx(1.3 * 10)


def test_a_trim_is_caught_in_the_tuck_where_there_is_one():
    assert not of(standing_tuck(WORDS, 12), Role.FACING)
    (trim,) = (trace for trace in of(standing_tuck(WORDS, 12, trim_top=6), Role.FACING) if trace.filled)
    assert trim.path.bounds[2] == pytest.approx(1.3 * 6)


def test_a_fold_is_stitched_down_over_an_empty_tunnel():
    assert not of(pressed_tuck(WORDS, "leg", 12, 10), Role.STITCHED)
    down = pressed_tuck(WORDS, "leg", 12, 10, down=True)
    assert len(of(down, Role.STITCHED)) == len(of(down, Role.STITCHING)) == 1
    assert not of(down, Role.ELASTIC)


def test_the_part_is_named_as_the_block_calls_it():
    for picture in (pressed_tuck(WORDS, "skirt", 12, 10), understitched(WORDS, "skirt", 12, 2)):
        told = [caption.text for caption in picture.captions]
        assert any("skirt" in text for text in told)
        assert not any("leg" in text for text in told)


def test_every_caption_lies_on_what_it_names():
    pictures = [
        *(creased(WORDS), hem(WORDS, 8), standing_tuck(WORDS, 12, trim_top=6), elastic_end(WORDS, 12, 10, 12)),
        *(pressed_tuck(WORDS, "leg", 12, 10, down=down) for down in (True, False)),
        *(understitched(WORDS, "leg", 12, 2), channel(WORDS, 12, WaistDesign(), FacingDesign()), lap(WORDS, 25, 20)),
    ]
    for picture in pictures:
        left, bottom, right, top = picture.bounds
        assert picture.captions
        for caption in picture.captions:
            assert left - 0.1 <= caption.at.x <= right + 0.1, caption
            assert bottom - 0.1 <= caption.at.y <= top + 0.1, caption


@pytest.mark.parametrize(("width", "overlap"), [(10, 50), (25, 20), (60, 10)])
def test_the_ends_of_a_waist_elastic_overlap_in_true_proportion(width, overlap):
    dimension = of(lap(WORDS, width, overlap), Role.FINE)[0]
    strips = [trace for trace in of(lap(WORDS, width, overlap), Role.ELASTIC) if trace.filled]
    assert wide(dimension) / tall(strips[0]) == pytest.approx(overlap / width)
