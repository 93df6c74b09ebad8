from __future__ import annotations

from dataclasses import replace

import pytest

from blocks.measurements import RANGES
from output.drawing.lettering import overlap, text_box
from output.drawing.picture import captioned
from output.guide.figure import measuring_picture
from sampled import heron_body

GIRTHS = ("waist_girth", "hip_girth", "waist_to_hip")


@pytest.mark.parametrize("names", [tuple(RANGES), GIRTHS, ("height", "body_rise")])
def test_every_measurement_that_is_asked_for_has_its_number_once(names):
    picture = measuring_picture(heron_body(), names, tall=90)
    texts = captioned(picture, 200).texts
    assert sorted((text.text for text in texts), key=int) == [str(number) for number in range(1, len(names) + 1)]
    boxes = [text_box(text) for text in texts]
    for i, one in enumerate(boxes):
        assert not any(overlap(one, other, apart=1.0) for other in boxes[i + 1 :])


@pytest.mark.parametrize("hip", [84, 102, 128, 152])
def test_bodies_of_every_size_can_be_drawn(hip):
    body = replace(heron_body(), hip_girth=10.0 * hip, waist_girth=7.5 * hip, high_hip_girth=8.8 * hip)
    left, bottom, right, top = measuring_picture(body, tuple(RANGES), tall=90).bounds
    assert right - left < 170
    assert 89 < top - bottom < 95


def test_a_figure_that_shows_nothing_asked_for_is_left_out():
    every, girths = (measuring_picture(heron_body(), names, tall=90).bounds for names in (tuple(RANGES), GIRTHS))
    assert girths[2] - girths[0] < (every[2] - every[0]) / 2


def test_a_body_whose_height_nobody_took_can_be_drawn():
    body = replace(heron_body(), height=None, body_rise=None, crotch_length=None)
    left, bottom, right, top = measuring_picture(body, GIRTHS, tall=90).bounds
    assert 89 < top - bottom < 95
    assert right - left < 90
