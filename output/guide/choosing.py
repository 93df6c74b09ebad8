"""Sections by which a reader chooses: the cover, printing, files, body sizes, how to measure, finished measures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from blocks.cloth import Cloth, width_across
from blocks.fitting import told as findings
from blocks.garment import Garment
from blocks.guide import GuideParts
from blocks.known import block_of
from blocks.measurements import Body
from blocks.size_table import Size
from blocks.words import runs, together
from drafting.picture import Label, Picture, line, row
from drafting.piece import Piece
from drafting.point import Point
from drafting.role import Role
from drafting.units import on_tape, show_both
from output.drawing.picture import captioned
from output.drawing.sheet import Sheet
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content
from output.guide.figure import measuring_picture
from output.guide.tables import rise_heading, size_tables, stack
from output.tables.body import off_by

OFF_SCALE: Final = 0.03
"""What a print dialog that fits a page to its margins takes off: an example, no source."""
HALF: Final = 0.5
FIGURE_HEIGHT: Final = 92.0
COVER_HEAD: Final = 150.0
"""mm; of the first page, what title, names and margins take of its height beside the drawings of two rises."""


def cover(made: Content) -> Iterator[Matter]:
    design, labels = made.design, made.labels
    yield pages.space(6)
    yield pages.paragraph(design.name, pages.TITLE)
    sizes = (
        made.say("cover.sizes", first=labels[0], last=labels[-1])
        if labels[1:]
        else made.say("cover.one", first=labels[0])
    )
    for text in (made.say("guide"), " · ".join((sizes, *_rise_names(made))), design.workroom):
        if text:
            yield pages.paragraph(text, pages.SUBTITLE)
    yield pages.space(4)
    some = bool(made.split) and len(made.split) < len(labels)
    joined = made.say("cover.some", sizes=made.words.sizes_of(labels, made.split), part=made.block.part) if some else ""
    yield pages.paragraph(f"{made.sentences.cover} {joined}".strip())
    yield pages.space(12)
    if made.parts:
        yield from _worn(made, made.parts)
    yield pages.new_page()
    yield pages.paragraph(made.say("contents"), pages.SUBHEADING)
    yield pages.contents()


def _rise_names(made: Content) -> list[str]:
    """What the rises are called: nothing for a garment without rises."""
    return [made.rise_name(rise) for rise in made.rises if rise]


def _worn(made: Content, parts: GuideParts[Any]) -> Iterator[Matter]:
    """The garment from the front and from the back, in each rise, all to one scale."""
    wanted = made.model.size
    same = [next((s for s in made.of(rise) if s.size == wanted), made.of(rise)[0]) for rise in made.rises]
    boxes = [parts.worn(garment, scale=1.0, back=False).bounds for garment in same]
    across = (made.width - 10) / 2 / max(right - left for left, _, right, _ in boxes)
    up = (made.paper.height - COVER_HEAD) / sum(top - bottom for _, bottom, _, top in boxes)
    scale = 0.97 * min(across, up)
    for garment in same:
        yield pages.Figure(_garments(made, parts, garment, scale), align="CENTER")
        yield pages.space(10)
    yield pages.paragraph(made.say("cover.drawn", size=same[0].size), pages.CENTRED)


def _garments(made: Content, parts: GuideParts[Any], garment: Garment, scale: float) -> Sheet:
    """Front and back side by side, each named below."""
    pictures = []
    for back in (False, True):
        picture = parts.worn(garment, scale=scale, back=back)
        left, bottom, right, _ = picture.bounds
        side = made.say("cover.back" if back else "cover.front")
        name = " · ".join((made.rise_name(garment.rise), side) if garment.rise else (side,))
        named = Label(Point((left + right) / 2, bottom - 6), name)
        room = line(Role.BLANK, Point(left, bottom - 7), Point(right, bottom - 7))
        pictures.append(Picture((*picture.traces, room), labels=(named,)))
    tall = max(picture.bounds[3] for picture in pictures)
    room = line(Role.BLANK, Point(0, tall), Point(0.1, tall))
    level = [replace(picture, traces=(*picture.traces, room)) for picture in pictures]
    return captioned(row(level, gap=10), made.width)


def printing(made: Content) -> Iterator[Matter]:
    yield from pages.heading(made.say("print"))
    yield from pages.numbered(made.words.listed("print"))
    garment = made.model
    off = show_both(garment.body.hip_girth * OFF_SCALE)
    yield pages.paragraph(made.say("print.why", size=garment.size, off=off), pages.SMALL)


def files(made: Content) -> Iterator[Matter]:
    yield from pages.heading(made.say("files"))
    pick = [made.say("files.pick.size")] if made.labels[1:] else []
    pick += [made.say("files.pick.both" if pick else "files.pick.rise")] if made.rises[1:] else []
    told = [f"{' '.join(pick)}."] if pick else []
    whole, half = widths(made.model)
    told += [made.say("files.lead", part=made.block.part)] if half < whole else []
    if told:
        yield pages.paragraph(" ".join(told))
    yield pages.subheading(made.say("files.release"))
    part = made.block.part
    rows = []
    for rise in made.rises:
        for split in (False, True):
            sizes = [garment.size for garment in made.of(rise) if garment.split is split]
            if sizes:
                pieces = made.say("files.halves" if split else "files.whole", part=part)
                rows.append((*([made.rise_name(rise)] if rise else []), runs(made.labels, sizes), pieces))
    header = (made.say("files.pattern"), made.say("files.sizes"), made.say("files.pieces", part=part))
    columns = (34, made.width - 90, 56)
    own = len(rows[0])
    yield pages.grid(rows, columns[-own:], header=header[-own:])
    if made.files:
        yield pages.grid(made.files, (made.width * 0.5,) * 2, header=(made.say("files.file"), made.say("files.for")))
    if made.cloths:
        yield pages.subheading(made.say("files.cloth"))
        yield pages.lead(made.say("files.cloth.lead"))
        first = {garment.size: garment for garment in reversed(made.garments)}
        needed = {size: widths(garment) for size, garment in first.items()}
        keys = ("width", "usable", "whole", "split", "none")
        wide = (made.width - 72) / 3
        yield pages.grid(
            [_fits(made, cloth, needed) for cloth in made.cloths],
            (42, 30, wide, wide, wide),
            header=[made.say(f"files.cloth.{key}", part=part) for key in keys],
        )


def _fits(made: Content, cloth: Cloth, needed: Mapping[str, tuple[float, float]]) -> tuple[str, ...]:
    """One row: which sizes fit a cloth in one piece, which split, which not at all. All rises are as wide."""
    found: dict[str, list[str]] = {"whole": [], "split": [], "none": []}
    for label in made.labels:
        whole, half = needed[label]
        fit = "whole" if whole <= cloth.usable + 1e-6 else "split" if half <= cloth.usable + 1e-6 else "none"
        found[fit].append(label)
    told = [runs(made.labels, sizes) if sizes else made.say("none") for sizes in found.values()]
    return (
        f"{show_both(cloth.width)}\n{made.say(cloth.lay.value)}",
        show_both(cloth.usable).replace(" (", "\n("),
        *told,
    )


def widths(garment: Garment) -> tuple[float, float]:
    """How wide a cloth must be for a garment in one piece, and split, in mm: the same where nothing can be split."""
    asked: list[float] = []

    def split(piece: Piece) -> bool:
        asked.append(width_across(piece))
        return True

    draft = block_of(garment.design).draft
    halves = draft(garment.design, garment.body, rise=garment.rise, size=garment.size, split=split)
    widest = max(map(width_across, halves.pieces))
    return max(asked, default=widest), widest


def bodies(made: Content) -> Iterator[Matter]:
    yield from pages.heading(made.say("body"), room=made.table_room)
    lead = [made.say("body.lead"), made.say("body.choose" if made.labels[1:] else "body.one")]
    yield pages.lead(" ".join((*lead, *([made.say("body.blend")] if made.between else []))))
    sizes = [size for size in made.table.sizes if size.label in made.labels]
    names = made.asked
    rows = [(size.label, [_measured(made, size.body, name) for name in names]) for size in sizes]
    yield from size_tables(made, [made.say(f"measure.{name}") for name in names], rows)
    yield pages.paragraph(" ".join((made.say("unit"), *_estimated(made, sizes, names))), pages.SMALL)
    for size in sizes:
        if size.body.fitting.found:
            yield pages.paragraph(made.say("body.adjusted", size=size.label, found=findings(size.body.fitting)))


def _estimated(made: Content, sizes: Sequence[Size], names: Sequence[str]) -> Iterator[str]:
    """What nobody measured, how far it may be off, and in which sizes it goes beyond the bodies behind it."""
    bodies = [size.body for size in sizes]
    guessed = {name: off_by(bodies, name) for name in names if any(name in body.estimated for body in bodies)}
    if not guessed:
        return
    said = {name: made.say(f"measure.{name}").lower() for name in guessed}
    yield made.say("body.estimated", names=together([f"{said[name]} ({off})" for name, off in guessed.items()]))
    beyond: dict[tuple[str, ...], list[str]] = {}
    for name in guessed:
        where = tuple(size.label for size in sizes if size.body.strange(name))
        beyond.setdefault(where, []).append(said[name])
    for where, those in beyond.items():
        if where:
            yield made.say("body.beyond", names=together(those), sizes=made.words.sizes_of(made.labels, where))


def _measured(made: Content, body: Body, name: str) -> str:
    """A cell of the body chart: what was estimated is marked as such."""
    if name not in body.names:
        return made.say("body.unknown")
    metric, imperial = on_tape(body.known(name))
    return stack((made.say("body.about", length=metric) if name in body.estimated else metric, imperial))


def measuring(made: Content) -> Iterator[Matter]:
    body, share = made.model.body, made.sentences.high_hip
    names = made.asked
    picture = measuring_picture(body, names, tall=FIGURE_HEIGHT, high_hip=share)
    figure = pages.Figure(captioned(picture, made.width), align="CENTER")
    down = made.say("measure.half") if share == HALF else made.say("measure.share", percent=f"{100 * share:.3g}")
    rows = [
        (f"{number}", made.say(f"measure.{name}"), made.say(f"measure.{name}.how", down=down))
        for number, name in enumerate(names, 1)
    ]
    yield pages.new_page()
    yield from pages.heading(made.say("measure"))
    yield pages.lead(made.say("measure.lead"))
    yield figure
    yield pages.space(3)
    yield pages.grid(rows, (8, 34, made.width - 42))


def finished(made: Content) -> Iterator[Matter]:
    yield from pages.heading(made.say("finished"), room=made.table_room)
    if made.sentences.finished:
        yield pages.lead(made.sentences.finished)
    names = list(made.model.measures)
    for rise in made.rises:
        yield from rise_heading(made, rise)
        rows = [(one.size, [stack(on_tape(one.measures[name])) for name in names]) for one in made.of(rise)]
        yield from size_tables(made, [made.measure_name(name) for name in names], rows)
    yield pages.paragraph(made.say("unit"), pages.SMALL)
