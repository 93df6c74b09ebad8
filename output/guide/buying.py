"""Sections by which a reader buys: cloth, lay plans, elastics, the pieces, materials."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from blocks.cloth import width_across
from blocks.garment import Garment
from blocks.haberdashery import Haberdashery, column_of, columns_of, haberdashery, strips_by_column
from blocks.left_out import casings_left_out
from blocks.words import isolated, together
from drafting.piece import Piece
from drafting.units import show_both, show_small
from output.drawing.picture import captioned
from output.drawing.sheet import Sheet
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content
from output.guide.cutting import piece_picture
from output.guide.tables import bought_cell, rise_heading, size_tables, stack
from output.paper.sizes import Paper
from output.tables.amounts import cut_cells

PIECE_ROOM: Final = 62.0
"""mm; how wide the widest piece of the list of pieces is drawn."""
PIECES_HEAD: Final = 48.0
"""mm; room above the first piece of the list for the heading of the section, its lead and the head of the table."""
LAY_HEAD: Final = 48.0
"""mm; room above a lay plan for its caption and, on the first page, the heading of the section."""


def lay_room(paper: Paper) -> tuple[float, float]:
    """Width and height, in mm, that a drawing of a lay may take on a page of the guide."""
    return paper.width - 2 * pages.MARGIN, paper.height - pages.MARGIN - pages.FOOT - LAY_HEAD


def cloth(made: Content) -> Iterator[Matter]:
    if made.needs:
        yield from pages.heading(made.say("cloth"), room=made.table_room)
        yield pages.lead(cloth_lead(made))
        for rise in made.rises:
            needs = {(need.size, need.cloth): need.need for need in made.needs if need.rise == rise}
            cloths = list(dict.fromkeys(need.cloth for need in made.needs if need.rise == rise))
            if not cloths:
                continue
            names = [
                made.say("cloth.on", width=show_both(cloth.width), lay=made.say(cloth.lay.value)) for cloth in cloths
            ]
            rows = [
                (label, [bought_cell(made, needs.get((label, cloth))) for cloth in cloths])
                for label in made.labels
                if any((label, cloth) in needs for cloth in cloths)
            ]
            yield from rise_heading(made, rise)
            yield from size_tables(made, names, rows)
    if made.lays:
        yield from pages.heading(made.say("lays"))
        yield pages.lead(made.say("lays.lead"))
        for caption, sheet in made.lays:
            yield lay_figure(made, caption, sheet)


def lay_figure(made: Content, caption: str, sheet: Sheet) -> Matter:
    """A lay with its caption."""
    figure = pages.Figure(sheet, limit=lay_room(made.paper)[1])
    return pages.together(pages.subheading(caption), figure, pages.space(3))


def cloth_lead(made: Content) -> str:
    """What lengths to buy include."""
    shrinkage, ends = f"{100 * made.buying.shrinkage:g}", show_both(made.buying.ends)
    way = made.say("cloth.one_way" if made.rules.one_way else "cloth.two_way")
    return f"{made.say('cloth.lead', shrinkage=shrinkage, ends=ends)} {way}"


def elastics(made: Content) -> Iterator[Matter]:
    yield from pages.heading(made.say("elastics"), room=made.table_room)
    yield pages.lead(" ".join((elastics_lead(made), *([_heights(made)] if made.model.elastics.casings else []))))
    for rise in made.rises:
        takes = {garment.size: haberdashery(garment) for garment in made.of(rise)}
        names, rows = _elastic_rows(made, takes)
        yield from rise_heading(made, rise)
        yield from size_tables(made, names, rows)
    yield pages.paragraph(made.say("unit"), pages.SMALL)
    yield from stretches(made)
    for sentence in casings_left_out(made.garments):
        yield pages.paragraph(made.say("elastics.mind", sentence=sentence))


def elastics_lead(made: Content) -> str:
    """What cut lengths include, and how they are tried."""
    design = made.design
    lap, seam = show_small(design.waist.overlap), show_small(design.allowances.seam)
    if not made.model.elastics.casings:
        return made.say("elastics.lead.plain", lap=lap)
    return " ".join(made.say("elastics.lead", seam=seam, lap=lap, trying=made.sentences.trying).split())


def stretches(made: Content) -> Iterator[Matter]:
    """What elastics must stretch to as the garment is put on, of those that must stretch at all."""
    most: dict[str, float] = {}
    for garment in made.garments:
        for elastic in garment.elastics:
            most[elastic.label] = max(elastic.stretch, most.get(elastic.label, 1.0))
    told = [
        made.say("elastics.stretch.one", name=name, ratio=f"{ratio:.2f}")
        for name, ratio in most.items()
        if round(ratio, 2) > 1
    ]
    if told:
        limit = f"{made.design.limits.stretch:g}"
        yield pages.paragraph(made.say("elastics.stretch", stretches=together(told), most=limit))


def _heights(made: Content) -> str:
    """Where on the body each casing's elastic is tried, in the size that is drawn."""
    places = [
        f"{isolated(casing.label)} {made.say(way, length=show_both(abs(casing.height)))}"
        for casing in made.model.elastics.casings
        for way in ("blend.above" if casing.height > 0 else "blend.below",)
    ]
    return made.say("elastics.heights", origin=made.block.origin, size=made.model.size, places=together(places))


def _elastic_rows(made: Content, takes: Mapping[str, Haberdashery]) -> tuple[list[str], list[tuple[str, list[str]]]]:
    """Columns and rows: the cut length of every strip, then what to buy of each width."""
    strips = columns_of(list(takes.values()))
    names = [
        made.say("elastics.column", name=strip.name, width=show_small(strip.width), quantity=strip.quantity)
        for strip in strips
    ]
    # An elastic and a trim of one width are two things to buy.
    shop = {size: {(one.ware, one.width): one for one in each.shopping} for size, each in takes.items()}
    wanted = list(dict.fromkeys(key for each in shop.values() for key in each))
    names += [made.say("elastics.buy", ware=ware, width=show_small(width)) for ware, width in wanted]
    rows = []
    for size, each in takes.items():
        own = strips_by_column(each)
        cells = [
            stack(cut_cells(own[key])) if (key := column_of(strip)) in own else made.say("blend.lacks")
            for strip in strips
        ]
        cells += [bought_cell(made, shop[size].get(key)) for key in wanted]
        rows.append((size, cells))
    return names, rows


def pieces(made: Content) -> Iterator[Matter]:
    scale = PIECE_ROOM / max(map(width_across, made.whole.pieces))
    some = len(made.split) < len(made.labels)
    first = made.whole if some or not made.halved else made.halved
    _, bottom, _, top = first.pieces[0].cut_line.bounds
    yield from pages.heading(made.say("pieces"), room=PIECES_HEAD + scale * (top - bottom))
    if made.sentences.pieces:
        yield pages.paragraph(made.sentences.pieces)
    if some:
        yield _inventory(made, made.whole, scale)
    if made.halved:
        if some:
            sizes = made.words.sizes_of(made.labels, made.split)
            yield pages.subheading(made.say("pieces.split", sizes=sizes, part=made.block.part))
        yield _inventory(made, made.halved, scale)


def _inventory(made: Content, garment: Garment, scale: float) -> Matter:
    rows = [
        (
            pages.Figure(captioned(piece_picture(piece, scale), 66)),
            piece.title,
            _count(made, piece),
            _extent(piece),
            "; ".join(piece.notes),
        )
        for piece in garment.pieces
    ]
    header = ("", made.say("pieces.piece"), made.say("pieces.cut"), made.say("pieces.measures", size=garment.size), "")
    rest = made.width - 70 - 22 - 22 - 31
    return pages.grid(rows, (70, 22, 22, 31, rest), header=header, tint=False)


def _count(made: Content, piece: Piece) -> str:
    if not piece.mirrored:
        return made.say("pieces.once", count=piece.cut_count)
    half = piece.cut_count // 2
    return made.say("pieces.pairs", count=piece.cut_count, drawn=piece.cut_count - half, mirrored=half)


def _extent(piece: Piece) -> str:
    left, bottom, right, top = piece.cut_line.bounds
    return f"{show_both(right - left)} ×\n{show_both(top - bottom)}"


def needed(made: Content) -> Iterator[Matter]:
    if made.sentences.needs:
        yield from pages.heading(made.say("need"))
        yield from pages.bulleted(made.sentences.needs)
