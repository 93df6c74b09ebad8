"""The sections of a guide for one wearer that are others than in a guide to a range: her lists, no tables of sizes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from blocks.cloth import width_across
from blocks.fitting import told as findings
from blocks.garment import Garment
from blocks.guide import INSTEAD
from blocks.haberdashery import haberdashery
from blocks.words import Catalogue
from drafting.units import show_both, show_measure, show_small
from output.guide import booklet as pages
from output.guide import buying, choosing
from output.guide.booklet import Matter
from output.guide.content import Content
from output.guide.tables import elastic_grid
from output.guide.words import COMMON, OWN
from output.paper.sizes import Paper
from output.tables.amounts import bought_words
from output.tables.body import beyond_text, how_well_known

NAME: Final = 46.0
"""mm; column of what something is called."""
HOW: Final = 40.0
"""mm; room above a lay for how it is made."""


def lay_room(paper: Paper) -> tuple[float, float]:
    """Width and height, in mm, that a drawing of her lay may take."""
    width, height = buying.lay_room(paper)
    return width, height - HOW


@dataclass(frozen=True)
class OwnContent(Content):
    """What the sections draw on when there is one wearer.

    `media` is what her pattern is on, `how` her lay is made, or why there is none, the `problem`.
    """

    media: tuple[Paper, ...]
    how: tuple[str, ...]
    problem: str

    @cached_property
    def words(self) -> Catalogue:
        found, block = self.garments[0].body.fitting, self.block.words
        before = {"toile.6": OWN["toile.before"].format(found=findings(found))} if found.found else {}
        own = {key.removeprefix(INSTEAD): said for key, said in block.items() if key.startswith(INSTEAD)}
        return COMMON.under({**OWN, **before}).under(block).under(own)

    @property
    def title(self) -> str:
        return f"{super().title} · {self.model.label}"


def remarks(made: OwnContent) -> Iterator[Matter]:
    """What the pattern's first page says, too."""
    garment = made.model
    told = (*garment.notes, *garment.warnings, *filter(None, (beyond_text(garment.body, made.asked),)))
    if told:
        yield from pages.heading(made.say("remarks"), room=30)
        yield from pages.bulleted(told)


def printing(made: OwnContent) -> Iterator[Matter]:
    """For each way in which the pattern is put on paper or cloth."""
    if any(paper.home for paper in made.media):
        yield from choosing.printing(made)
    others = {
        "shop": [paper for paper in made.media if paper.wide],
        "beam": [paper for paper in made.media if paper.screen],
    }
    for key, asked in others.items():
        if asked:
            yield from pages.heading(made.say(f"print.{key}"), room=40)
            yield from pages.numbered(made.words.listed(f"print.{key}"))


def files(made: OwnContent) -> Iterator[Matter]:
    yield from pages.heading(made.say("files"))
    if made.files:
        yield pages.grid(made.files, (made.width * 0.5,) * 2, header=(made.say("files.file"), made.say("files.for")))


def body(made: OwnContent) -> Iterator[Matter]:
    garment = made.model
    rows = [
        (made.say(f"measure.{name}"), show_measure(garment.body.known(name)), how_well_known(garment.body, name))
        for name in made.asked
    ]
    yield from pages.heading(made.say("body"))
    yield pages.lead(made.say("body.lead"))
    yield pages.grid(rows, (NAME, NAME, made.width - 2 * NAME))
    if any(name in garment.body.estimated for name in made.asked):
        yield pages.paragraph(made.say("body.estimated"), pages.SMALL)
    if garment.adjusted:
        yield pages.lead(made.say("body.adjusted", found=findings(garment.body.fitting)))
        yield pages.together(
            pages.subheading(made.say("body.moved")),
            pages.grid(garment.adjusted.moved, (NAME, made.width - NAME)),
        )


def finished(made: OwnContent) -> Iterator[Matter]:
    yield from pages.heading(made.say("finished"))
    if made.sentences.finished:
        yield pages.lead(made.sentences.finished)
    rows = [(made.measure_name(name), show_measure(length)) for name, length in made.model.measures.items()]
    yield pages.grid(rows, (NAME, made.width - NAME))


def cloth(made: OwnContent) -> Iterator[Matter]:
    yield from pages.heading(made.say("cloth"))
    (on,) = made.cloths
    width = show_both(on.width)
    if made.needs:
        (need,) = made.needs
        yield pages.paragraph(made.say("cloth.buy", amount=bought_words(need.need), width=width))
        yield pages.paragraph(buying.cloth_lead(made))
    else:
        yield pages.paragraph(made.say("cloth.none", width=width, lay=made.say(on.lay.value), problem=made.problem))
    yield pages.paragraph(" ".join(_across(made, made.model)))


def _across(made: OwnContent, garment: Garment) -> Iterator[str]:
    """How wide a cloth must be, and how wide if the part were split, or in one piece."""
    part = made.block.part
    yield made.say("files.across", wide=show_both(max(map(width_across, garment.pieces))))
    whole, half = choosing.widths(garment)
    if half < whole and garment.split:
        yield made.say("files.wider", whole=show_both(whole), split=made.say("files.cloth.whole", part=part))
    elif half < whole:
        yield made.say("files.narrower", half=show_both(half), split=made.say("files.cloth.split", part=part))


def elastics(made: OwnContent) -> Iterator[Matter]:
    garment = made.model
    takes = haberdashery(garment)
    yield from pages.heading(made.say("elastics"))
    yield pages.lead(buying.elastics_lead(made))
    yield elastic_grid(made, garment.elastics, (*takes.elastics, *takes.trims))
    shop = [
        (made.say("elastics.ware", ware=one.ware.capitalize(), width=show_small(one.width)), bought_words(one))
        for one in takes.shopping
    ]
    yield pages.together(pages.subheading(made.say("elastics.shop")), pages.grid(shop, (NAME, made.width - NAME)))
    yield from buying.stretches(made)


def lays(made: OwnContent) -> Iterator[Matter]:
    """The lay and how it is made, on one page."""
    for caption, sheet in made.lays:
        room = buying.LAY_HEAD + HOW + sheet.height
        yield from pages.heading(made.say("lays"), room=min(room, made.paper.height - 80))
        yield pages.paragraph(made.say("lays.lead"))
        yield from pages.bulleted(made.how)
        yield buying.lay_figure(made, caption, sheet)
