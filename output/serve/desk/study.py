"""What the desk shows of a design in the sizes of a table: drawings, figures, and what to look at, where it is.

It is made in a worker of the texts that are being worked on, not of files. What has been drafted is kept there: a
number that is typed drafts the sizes anew, another view of them does not.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Final

from blocks.cloth import Lay
from blocks.design import Design
from blocks.elastic import Use
from blocks.garment import Garment, size_and_rise
from blocks.grade import grade
from blocks.haberdashery import haberdashery
from blocks.known import block_of
from blocks.left_out import uneven_casings
from blocks.quantity import Number
from blocks.read_design import design_from
from blocks.size_range import Drafting, Fit, SizeRange, Undrafted, draft_range, draft_size
from blocks.size_table import SizeTable, size_table_from
from blocks.words import runs
from drafting.errors import DraftError, OutputError, TableError
from drafting.units import show_measure, show_small
from output.commands.options import CLOTH_WIDTH, SELVEDGE, cloth_of
from output.commands.request import Request
from output.serve.desk.sliding import Slider, sliders
from output.serve.drawing import screen
from output.system.reading import SIZE_ROWS, toml_of
from output.system.spreadsheet import rows_of
from output.tables.amounts import cut_words
from output.words import text as words
from output.words.letters import check_names

KEPT: Final = 192
"""Garments that a worker keeps drafted: three times two rises of the sizes of a long table."""


class View(StrEnum):
    """What is drawn: a size with its casings opened or folded, or as it is worn, or the sizes over one another."""

    OPENED = "opened"
    FINISHED = "finished"
    WORN = "worn"
    NEST = "nest"


class About(StrEnum):
    """What a note is about. Failures come first: what cannot be drafted has no other notes."""

    DESIGN = "design"
    TABLE = "table"
    CLOTH = "cloth"
    FAILURE = "failure"
    GRADE = "grade"
    ELASTIC = "elastic"
    LEFT_OUT = "left out"
    OMITTED = "omitted"
    UNEVEN = "uneven"
    GARMENT = "garment"


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyRequest(Request):
    """A design and a size table as they are written now, and what to show of them.

    The table is CSV text, or TOML if it is said to be `toml`; what errors call them is `design_name` and `table_name`.
    Of the `sizes` that are chosen, all if none is, and of the `rises`, all if none is named, all is told; `size` in
    the first of those rises is drawn, a middle one of them if it is not among them, and in a nest all of them by their
    `piece`, what has the casings if none of them has it. Sizes and rises that are not there, or not any more, are
    passed over. The cloth is as in a command, its lengths in cm; None is no cloth.

    Raises:
        DraftError: a field is not of its kind.
    """

    design: str
    table: str
    toml: bool = False
    design_name: str = "design"
    table_name: str = "sizes"
    sizes: tuple[str, ...] = ()
    rises: tuple[str, ...] = ()
    size: str = ""
    view: View = View.OPENED
    piece: str = ""
    cloth: Number | None = CLOTH_WIDTH
    selvedge: Number = SELVEDGE
    lay: Lay = Lay.OPEN
    fit: Fit = Fit.AUTO


@dataclass(frozen=True, slots=True)
class Note:
    """What to look at, and where: in which size, rise and casing, if it is about one. `place` is that of the value in
    the design that it begins with, as `leg.fullness` or `casing.upper`; both empty where it is about none.
    """

    about: About
    text: str
    size: str = ""
    rise: str = ""
    casing: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """Notes that say the same of the same casing, and where that is so in words; empty where it is of all."""

    about: About
    text: str
    where: str
    casing: str = ""


@dataclass(frozen=True, slots=True)
class ElasticRow:
    """An elastic or trim as the command lists it, and its ratios, empty where it has none. `casing` is the name of its
    casing, empty of the waist's and of a trim.
    """

    name: str
    casing: str
    width: str
    cut_length: str
    quantity: str
    gather: str
    stretch: str


@dataclass(frozen=True, slots=True)
class Made:
    """One size in one rise: whether it is split, its finished measures by name, its elastics, and where casings lie."""

    size: str
    rise: str
    split: bool
    measures: tuple[tuple[str, str], ...]
    elastics: tuple[ElasticRow, ...]
    casings: tuple[Slider, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing and what is to be said above it."""

    title: str
    svg: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """What there is to see. Nothing is drawn or told but `notes` where a text cannot be read.

    `labels` are all sizes of the table, `samples` their lines in a nest; `rises` are those of the block, `pieces` what
    may be laid over one another, each by name and title. `size`, `rise` and `piece` are those that are drawn.
    """

    name: str = ""
    part: str = ""
    labels: tuple[str, ...] = ()
    samples: tuple[str, ...] = ()
    rises: tuple[str, ...] = ()
    pieces: tuple[tuple[str, str], ...] = ()
    size: str = ""
    rise: str = ""
    piece: str = ""
    drawings: tuple[Drawing, ...] = ()
    made: tuple[Made, ...] = ()
    splitting: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def told(self) -> tuple[Told, ...]:
        """The notes for a reader: what is said of several sizes and rises is said once."""
        having: dict[tuple[About, str, str], list[Note]] = {}
        for note in self.notes:
            having.setdefault((note.about, note.text, note.casing), []).append(note)
        return tuple(Told(about, text, self._where(notes), casing) for (about, text, casing), notes in having.items())

    def _where(self, notes: Sequence[Note]) -> str:
        """The sizes of notes, rise by rise."""
        by_rise: dict[str, list[str]] = {}
        for note in notes:
            if note.size:
                by_rise.setdefault(note.rise, []).append(note.size)
        told: dict[str, list[str]] = {}
        for rise, sizes in by_rise.items():
            told.setdefault(runs(self.labels, sizes), []).append(rise)
        return "; ".join(size_and_rise(sizes, " and ".join(rises)) for sizes, rises in told.items())


def study(asked: StudyRequest) -> Study:
    """What there is to see of a design and a table; what is wrong with them, or with the cloth, is told by notes."""
    try:
        design = design_from(toml_of(asked.design, asked.design_name))
    except DraftError as error:
        return Study(notes=(_note(About.DESIGN, str(error)),))
    block = block_of(design)
    named = Study(name=design.name, part=block.part, rises=block.rises)
    try:
        table = _table(asked.table, asked.table_name, asked.toml, block.needs)
    except TableError as error:
        return replace(named, notes=tuple(_note(About.TABLE, problem) for problem in error.problems))
    except DraftError as error:
        return replace(named, notes=(_note(About.TABLE, str(error)),))
    wrong: list[Note] = []
    cloth = None
    try:
        cloth = None if asked.cloth is None else cloth_of(asked.cloth, asked.selvedge, asked.lay)
    except DraftError as error:
        wrong.append(_note(About.CLOTH, str(error)))
    sizes = tuple(size for size in table.sizes if size.label in asked.sizes)
    rises = tuple(rise for rise in block.rises if rise in asked.rises)
    chosen = replace(table, sizes=sizes) if sizes else table
    made = draft_range(design, chosen, rises=rises or None, cloth=cloth, fit=asked.fit, run=_kept(design.unit))
    labels = tuple(size.label for size in table.sizes)
    shown = replace(
        named,
        labels=labels,
        samples=tuple(map(screen.sample, range(len(labels)))),
        made=tuple(_made(garment) for garment in made.garments),
        splitting=made.splitting if made.garments else (),
        notes=(*wrong, *_notes(made, labels)),
    )
    return _drawn(shown, made, asked)


def _kept(
    unit: str,
) -> Callable[[Callable[[Drafting], Garment | Undrafted], Sequence[Drafting]], Iterator[Garment | Undrafted]]:
    """How a range is drafted here: what has been drafted before is found again. The unit is part of what is told."""

    def run(_: Callable[[Drafting], Garment | Undrafted], jobs: Sequence[Drafting]) -> Iterator[Garment | Undrafted]:
        return (_drafted(job, unit) for job in jobs)

    return run


@lru_cache(maxsize=KEPT)
def _drafted(job: Drafting, _: str) -> Garment | Undrafted:
    return draft_size(job)


@lru_cache(maxsize=8)
def _table(text: str, name: str, toml: bool, needs: tuple[str, ...]) -> SizeTable:
    return size_table_from(toml_of(text, name) if toml else {"body": rows_of(text, name, SIZE_ROWS)}, needs=needs)


def _made(garment: Garment) -> Made:
    return Made(
        garment.size,
        garment.rise,
        garment.split,
        tuple((words.spoken(name), show_measure(value)) for name, value in garment.measures.items()),
        tuple(_elastics(garment)),
        sliders(garment),
    )


def _elastics(garment: Garment) -> Iterator[ElasticRow]:
    takes = haberdashery(garment)
    for strip, elastic in zip(takes.elastics, garment.elastics, strict=True):
        casing = elastic.name if elastic.use is Use.CASING else ""
        ratios = f"{elastic.gather:.2f}", f"{elastic.stretch:.2f}"
        yield ElasticRow(strip.name, casing, show_small(strip.width), cut_words(strip), str(strip.quantity), *ratios)
    for strip in takes.trims:
        yield ElasticRow(strip.name, "", show_small(strip.width), cut_words(strip), str(strip.quantity), "", "")


def _notes(made: SizeRange, labels: Sequence[str]) -> Iterator[Note]:
    """All that is to be looked at in a range, each where it is."""
    try:
        check_names(made.design, labels)
    except OutputError as error:
        yield _note(About.DESIGN, str(error))
    for failure in made.failures:
        yield _of(About.FAILURE, failure.message, failure.label, failure.rise, made.design)
    for one in grade(made.garments).uneven:
        yield Note(About.GRADE, one.told, one.size, one.rise)
    for warning in made.table.warnings:
        yield _note(About.TABLE, warning)
    for sentence in uneven_casings(made.garments):
        yield _note(About.UNEVEN, sentence)
    for garment in made.garments:
        yield from _notes_of(garment)


def _notes_of(garment: Garment) -> Iterator[Note]:
    """What is to be looked at in one size."""
    where = garment.size, garment.rise
    elsewhere = {*garment.body.warnings, *(one.why for one in garment.left_out), *garment.omitted}
    for elastic in garment.elastics:
        casing = elastic.name if elastic.use is Use.CASING else ""
        for warning in block_of(garment.design).elastic_warnings((elastic,), garment.design):
            elsewhere.add(warning)
            yield Note(About.ELASTIC, warning, *where, casing, f"casing.{casing}" if casing else "waist")
    for one in garment.left_out:
        yield Note(About.LEFT_OUT, one.why, *where, one.casing.name, f"casing.{one.casing.name}")
    for why in garment.omitted:
        yield _of(About.OMITTED, why, *where, garment.design)
    for warning in garment.warnings:
        if warning not in elsewhere:
            yield _of(About.GARMENT, warning, *where, garment.design)


def _note(about: About, text: str) -> Note:
    return Note(about, text)


def _of(about: About, text: str, size: str, rise: str, design: Design) -> Note:
    """A note whose text begins with the casing, or the value of the design, that it is about."""
    for casing in design.casings:
        if text.startswith(f"casing {casing.name!r}"):
            return Note(about, text, size, rise, casing.name, f"casing.{casing.name}")
    value = re.match(r"[a-z_]+\.[a-z_]+(?=:)", text)
    return Note(about, text, size, rise, "", value[0] if value else "")


def _drawn(shown: Study, made: SizeRange, asked: StudyRequest) -> Study:
    """The study with its drawings; without any where no size could be drafted."""
    if not made.garments:
        return shown
    rise = next(rise for rise in made.rises if made.of(rise))
    garments = made.of(rise)
    one = next((garment for garment in garments if garment.size == asked.size), garments[len(garments) // 2])
    pieces = {piece.name: piece.title for garment in garments for piece in garment.pieces}
    pieces = {shown.part: shown.part.capitalize()} | {name: pieces[name] for name in pieces if name != shown.part}
    piece = asked.piece if asked.piece in pieces else shown.part
    if asked.view is View.NEST:
        drawings = [Drawing(pieces[piece], screen.nest(garments, piece, labels=shown.labels))]
    elif asked.view is View.WORN:
        drawings = [Drawing("From the front", screen.worn(one)), Drawing("From behind", screen.worn(one, back=True))]
    else:
        flat = asked.view is View.OPENED
        drawings = [
            Drawing(shown.part.capitalize(), screen.leg(one, opened=flat)),
            Drawing("Pieces", screen.pieces(one, finished=not flat)),
        ]
    return replace(shown, size=one.size, rise=rise, piece=piece, pieces=tuple(pieces.items()), drawings=tuple(drawings))
