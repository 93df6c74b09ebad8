"""Sections by which a reader sews: cautions, the steps with their diagrams, the words explained."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from blocks.guide import WIDTH, Step
from drafting.picture import Trace, line, outlined, rectangle
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.picture import LABEL_SIZE, captioned, moved, stacked, strokes_of
from output.drawing.sheet import Sheet, Stroke, Text
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content
from output.guide.cutting import cutting_step

STEP_GAP: Final = 5.0


def sewing(made: Content) -> Iterator[Matter]:
    if not made.parts:
        return
    garment = made.model
    yield pages.new_page()
    yield from pages.heading(made.say("steps"))
    lacking = any(one.left_out for one in made.garments)
    told = made.say("steps.lacking.rise" if any(made.rises) else "steps.lacking") if lacking else ""
    yield pages.paragraph(f"{made.say('steps.lead')} {told}".rstrip())
    yield pages.together(
        pages.subheading(made.say("key")),
        pages.paragraph(made.with_rise("key.lead", garment.rise, size=garment.size, part=made.block.part)),
        pages.Figure(_key(made)),
    )
    left = made.width - WIDTH - STEP_GAP
    first = cutting_step(garment.pieces[0], garment.pieces, made.words)
    for number, step in enumerate((first, *made.parts.steps(made.told)), 1):
        said = [pages.paragraph(sentence) for sentence in step.sentences]
        yield pages.together(
            pages.subheading(f"{number}  {step.title}"),
            pages.beside(said, left, [pages.Figure(step_diagram(step))], WIDTH, gap=STEP_GAP),
            pages.space(4),
        )


def step_diagram(step: Step) -> Sheet:
    """The pictures of a step one below the other, `WIDTH` mm wide."""
    return stacked([captioned(picture, WIDTH) for picture in step.pictures])


def _key(made: Content) -> Sheet:
    """Samples of the cloth's two sides and of the lines, three beside each other."""
    samples: list[tuple[str, tuple[Trace, ...]]] = [
        ("outside", outlined(Role.OUTSIDE, rectangle(0, 0, 10, 4))),
        ("inside", outlined(Role.INSIDE, rectangle(0, 0, 10, 4))),
        ("elastic", outlined(Role.ELASTIC, rectangle(0, 1, 10, 3), Role.RUBBER)),
        ("now", (line(Role.NOW, Point(0, 2), Point(10, 2)),)),
        ("sewn", (line(Role.SEWN, Point(0, 2), Point(10, 2)),)),
        ("crease", (line(Role.CREASE, Point(0, 2), Point(10, 2)),)),
    ]
    strokes: list[Stroke] = []
    texts: list[Text] = []
    column = made.width / 3
    for number, (name, drawn) in enumerate(samples):
        by = Vector(number % 3 * column + 0.3, 8.0 - number // 3 * 7.0)
        sample, told = moved(strokes_of(drawn), [Text(Point(13, 1.1), made.say(f"key.{name}"), LABEL_SIZE)], by)
        strokes += sample
        texts += told
    return Sheet(made.width, 13.0, tuple(strokes), tuple(texts))


def safety(made: Content) -> Iterator[Matter]:
    elastic = "elastic.thigh" if made.sentences.thigh else "elastic"
    yield from pages.heading(made.say("safe"))
    for name in ("iron", "needle", "blade", elastic, "child", "law"):
        yield pages.together(pages.subheading(made.say(f"safe.{name}")), pages.paragraph(made.say(f"safe.{name}.text")))


def glossary(made: Content) -> Iterator[Matter]:
    if not made.sentences.glossary:
        return
    yield from pages.heading(made.say("glossary"))
    entries = [made.say(f"word.{name}", part=made.block.part).partition(": ") for name in made.sentences.glossary]
    rows = [(word, meaning[0].upper() + meaning[1:]) for word, _, meaning in entries]
    yield pages.grid(rows, (42, made.width - 42))
