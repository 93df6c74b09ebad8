from __future__ import annotations

from functools import cache

import pytest
import shapely

from blocks.guide import WIDTH, Step
from blocks.short.steps import steps
from guides import WORDS, designs, told
from output.drawing.lettering import overlap, text_box
from output.drawing.sheet import Sheet
from output.guide.cutting import cutting_step
from output.guide.sewing import step_diagram


@cache
def drawn(kind: str, fit: str) -> tuple[Step, ...]:
    """Every step of a design, from a whole and from a split leg."""
    about = told(kind, fit, ("H104",))
    pieces = about.garment.pieces
    return (cutting_step(pieces[0], pieces, WORDS), *steps(about))


CASES = [(kind, fit, step.name) for kind in designs() for fit in ("whole", "split") for step in drawn(kind, fit)]


def sheet(kind: str, fit: str, name: str) -> Sheet:
    return step_diagram(next(step for step in drawn(kind, fit) if step.name == name))


@pytest.mark.parametrize(("kind", "fit", "name"), CASES)
def test_words_and_lines_of_a_diagram_stay_on_it_and_apart(kind, fit, name):
    drawing = sheet(kind, fit, name)
    assert drawing.width == WIDTH
    boxes = [text_box(text) for text in drawing.texts]
    for box in boxes:
        assert box[0] >= 0
        assert box[1] >= 0
        assert box[2] <= drawing.width + 1e-6
        assert box[3] <= drawing.height + 0.3
    for i, one in enumerate(boxes):
        assert not any(overlap(one, other, apart=-0.25) for other in boxes[i + 1 :])
    for stroke in drawing.strokes:
        left, bottom, right, top = stroke.path.bounds
        assert -0.5 <= left <= right <= drawing.width + 0.5
        assert -0.5 <= bottom <= top <= drawing.height + 0.5


@pytest.mark.parametrize(("kind", "fit", "name"), CASES)
def test_no_line_but_a_leader_runs_through_words(kind, fit, name):
    drawing = sheet(kind, fit, name)
    for text in drawing.texts:
        room = shapely.box(*text_box(text)).buffer(-0.3)
        for stroke in drawing.strokes:
            assert not shapely.LineString(stroke.path.array(tolerance=0.05)).intersects(room), text.text
