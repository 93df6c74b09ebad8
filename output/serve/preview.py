"""What the counter shows of a draft before any file of it is made: pictures, figures, cloth to buy, pages to print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from blocks.cloth import Cloth
from blocks.garment import Garment
from blocks.haberdashery import haberdashery
from blocks.known import BLOCKS, block_named, used_of
from blocks.lay import quick_lay
from blocks.requirement import requirement
from drafting.errors import DraftError
from drafting.units import show_measure, show_small
from output.commands.draft import DraftRequest, plan
from output.commands.options import CLOTH_WIDTH, cloth_of, media_of
from output.drawing.flow import Table
from output.paper.sizes import A4, Paper
from output.patterns.file_names import size_stem
from output.patterns.pattern_pdf import page_count
from output.serve import screen
from output.tables.amounts import bought_words
from output.tables.body import beyond_text, estimates_text
from output.tables.summary import REMARKS, summary_tables
from output.words.text import size_line

KINDS: Final = {
    "json": "The pieces for other programs (JSON)",
    "svg": "One piece (SVG)",
    "dxf": "The pieces for cutting-room systems (DXF)",
}
"""What files are that are no PDF, by the ends of their names."""


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
    planned, papers = plan(request), media_of(request.pages, request.rolls, request.projections)
    garment = planned.garment
    body, used = garment.body, used_of(garment.design, garment.body)
    width = CLOTH_WIDTH if request.cloth is None else request.cloth
    cloth, amount, fits = _cloth(cloth_of(width, request.selvedge, request.lay), garment)
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
        cloth=(cloth, amount),
        cloth_fits=fits,
        pages=tuple((paper.name, page_count(garment, paper)) for paper in papers if _at_home(paper)),
        files=tuple(File(name, _about(name, papers)) for name in planned.makers),
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
        _cloth(Cloth(), garment)


def stem_of(request: DraftRequest) -> str:
    """How the files of what is asked for are named.

    Raises:
        DraftError: what `output.commands.draft.draft` refuses.
    """
    return size_stem(plan(request).garment)


def _at_home(paper: Paper) -> bool:
    return not paper.wide and not paper.screen


def _about(name: str, papers: Sequence[Paper]) -> str:
    """What a file is, by its name."""
    if "-before-after" in name:
        return "What the fitting has changed (PDF)" if name.endswith(".pdf") else "What the fitting has changed (SVG)"
    if "-guide" in name:
        return "The guide for your size (PDF)"
    for paper in papers:
        if name.endswith(f"-{paper.name}.pdf"):
            return f"The pattern {_on(paper)} (PDF)"
    return KINDS.get(name.rpartition(".")[2], "A file")


def _on(paper: Paper) -> str:
    """What a pattern is printed on."""
    if paper.screen:
        return "for a projector, " + ("dark lines on light" if paper.name.endswith("light") else "light lines on dark")
    if paper.height == inf:
        return f"on a roll {paper.width:g} mm wide"
    return f"on sheets of {paper.name}, for a print shop" if paper.wide else f"on {paper.name}, to print at home"


def _shopping(garment: Garment) -> tuple[tuple[str, str], ...]:
    """Elastic and trim to buy: of what width, and how much."""
    return tuple(
        (f"{need.ware[:1].upper()}{need.ware[1:]}, {show_small(need.width)} wide", bought_words(need))
        for need in haberdashery(garment).shopping
    )


def _cloth(cloth: Cloth, garment: Garment) -> tuple[str, str, bool]:
    """The cloth by its width, and how much of it to buy; or why it does not do."""
    told = f"{show_measure(cloth.width)} wide"
    try:
        return told, bought_words(requirement(quick_lay(garment.pieces, cloth))), True
    except DraftError as error:
        return told, str(error), False
