"""A pattern as a PDF on whatever it is asked for: pages to tile, a print shop's sheets and rolls, or a projector."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from blocks.garment import Garment
from blocks.known import block_of
from blocks.size_range import Group
from drafting.piece import Piece
from output.drawing.sheet import Pen
from output.paper.layout import lay_out
from output.paper.sizes import Paper
from output.patterns import words
from output.patterns.cover import cover_pages
from output.patterns.nested import nested_pdf
from output.patterns.tiled import TiledPdf, tiled_pdf
from output.tables.summary import range_tables, summary_tables

if TYPE_CHECKING:
    from blocks.design import Design
    from output.drawing.flow import Table
    from output.paper.layout import Stack
    from output.patterns.projection import ProjectionPdf
    from output.patterns.wide import WidePdf


def pattern_pdf(garment: Garment, paper: Paper) -> TiledPdf | WidePdf | ProjectionPdf:
    """The pattern of a garment as a PDF on pages of that paper, its summary on them or between the pieces."""
    design, rise = garment.design, garment.rise
    if paper.screen or paper.wide:
        return _large_pdf(
            [(piece,) for piece in garment.pieces], None, paper, design, rise, "", summary_tables(garment)
        )
    return tiled_pdf(
        garment.pieces,
        paper=paper,
        title=design.name,
        size=garment.size,
        rise=rise,
        author=design.workroom,
        tables=summary_tables(garment),
    )


def page_count(garment: Garment, paper: Paper) -> int:
    """How many pages of a home printer's paper `pattern_pdf` fills: quicker, for nothing is drawn."""
    layout = lay_out(garment.pieces, paper)
    first = cover_pages(
        layout,
        paper=paper,
        title=garment.design.name,
        size=garment.size,
        rise=garment.rise,
        workroom=garment.design.workroom,
        tables=summary_tables(garment),
    )
    return len(first) + len(layout.cells)


def nest_pdf(group: Group, pens: Mapping[str, Pen], paper: Paper) -> TiledPdf | WidePdf | ProjectionPdf:
    """The nested patterns of a group as a PDF on that paper, each size in its own layer."""
    design, rise = group.garments[0].design, group.rise
    stacks, tables = stacks_of(group.garments), range_tables(group.garments)
    heading = words.layer_group(rise, block_of(design).part, split=group.split)
    if paper.screen or paper.wide:
        return _large_pdf(stacks, pens, paper, design, rise, heading, tables)
    return nested_pdf(
        stacks,
        pens,
        paper=paper,
        title=design.name,
        rise=rise,
        group=heading,
        author=design.workroom,
        tables=tables,
    )


def _large_pdf(
    stacks: Sequence[Stack],
    pens: Mapping[str, Pen] | None,
    paper: Paper,
    design: Design,
    rise: str,
    group: str,
    tables: Sequence[Table],
) -> WidePdf | ProjectionPdf:
    """Stacks on a print shop's paper or for a projector; each size is a layer of the group if there are pens."""
    if paper.screen:
        from output.patterns.projection import Ground, projection_pdf  # noqa: PLC0415 - not needed for other paper

        ground = Ground(paper.name.partition("-")[2])
        return projection_pdf(
            stacks, pens, ground=ground, title=design.name, rise=rise, group=group, author=design.workroom
        )
    from output.patterns.wide import wide_pdf  # noqa: PLC0415 - not needed for other paper

    return wide_pdf(
        stacks, pens, paper=paper, title=design.name, rise=rise, group=group, author=design.workroom, tables=tables
    )


def stacks_of(garments: Sequence[Garment]) -> list[tuple[Piece, ...]]:
    """The pieces of several sizes, those of one name together."""
    stacks: dict[str, list[Piece]] = {}
    for garment in garments:
        for piece in garment.pieces:
            stacks.setdefault(piece.name, []).append(piece)
    return [tuple(stack) for stack in stacks.values()]
