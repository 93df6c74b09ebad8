"""What the counter shows of a draft before any file of it is made: pictures, figures, cloth to buy, pages to print."""

from __future__ import annotations

from dataclasses import dataclass

from blocks.cloth import Cloth
from blocks.garment import Garment
from blocks.haberdashery import haberdashery
from blocks.known import BLOCKS, block_named, used_of
from drafting.units import show_measure, show_small
from output.commands.draft import DraftRequest, plan
from output.drawing.flow import Table
from output.lays.wanted import laid_quickly
from output.paper.sizes import A4
from output.patterns.file_names import size_stem
from output.patterns.pattern_pdf import page_count
from output.serve.drawing import screen
from output.tables.amounts import bought_words
from output.tables.body import beyond_text, estimates_text
from output.tables.summary import REMARKS, summary_tables
from output.words.text import size_line


@dataclass(frozen=True, slots=True)
class File:
    """A file that would be made: its name, and what it is."""

    name: str
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """One draft on a page. Drawings are SVG text, figures are told as in the summary of the draft command.

    `cloth` is the width that it is reckoned for and what to buy, or why there is nothing to buy of that width; `pages`
    are those of each home printer's paper that is asked for; `files` what would be made.
    """

    design: str
    workroom: str
    size: str
    front: str
    back: str
    pieces: str
    cut: tuple[str, ...]
    tables: tuple[Table, ...]
    shopping: tuple[tuple[str, str], ...]
    cloth: tuple[str, str]
    cloth_fits: bool
    pages: tuple[tuple[str, int], ...]
    files: tuple[File, ...]
    estimates: str
    warnings: tuple[str, ...]
    notes: tuple[str, ...]


def preview(request: DraftRequest) -> Preview:
    """What the counter shows of what is asked for.

    Raises:
        DraftError: what `output.commands.draft.draft` refuses.
    """
    planned = plan(request)
    garment = planned.garment
    body, used = garment.body, used_of(garment.design, garment.body)
    bought = laid_quickly(garment, request.laid_on)
    beyond = beyond_text(body, used)
    return Preview(
        design=garment.design.name,
        workroom=garment.design.workroom,
        size=size_line(garment.size, garment.rise),
        front=screen.worn(garment),
        back=screen.worn(garment, back=True),
        pieces=screen.pieces(garment),
        cut=tuple(f"{piece.cut_count} × {piece.title.lower()}" for piece in garment.pieces),
        tables=tuple(table for table in summary_tables(garment) if table.heading != REMARKS),
        shopping=_shopping(garment),
        cloth=(f"{show_measure(bought.cloth.width)} wide", bought.told),
        cloth_fits=not bought.problem,
        pages=tuple((paper.name, page_count(garment, paper)) for paper in request.papers if paper.home),
        files=tuple(File(name, maker.about) for name, maker in planned.makers.items()),
        estimates=estimates_text(body, used),
        warnings=garment.warnings,
        notes=(*garment.notes, *filter(None, (beyond,))),
    )


def begin() -> None:
    """Load all that a preview needs, so that the first wearer of a process does not wait for it."""
    for name in BLOCKS:
        block = block_named(name)
        garment = block.draft(block.design(name), screen.standard_body())
        screen.worn(garment)
        screen.pieces(garment)
        page_count(garment, A4)
        laid_quickly(garment, Cloth())


def stem_of(request: DraftRequest) -> str:
    """How the files of what is asked for are named.

    Raises:
        DraftError: what `output.commands.draft.draft` refuses.
    """
    return size_stem(plan(request).garment)


def _shopping(garment: Garment) -> tuple[tuple[str, str], ...]:
    """Elastic and trim to buy: of what width, and how much."""
    return tuple(
        (f"{need.ware[:1].upper()}{need.ware[1:]}, {show_small(need.width)} wide", bought_words(need))
        for need in haberdashery(garment).shopping
    )
