"""The section for a wearer between two sizes: which elastics are whose, and a worked example."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from blocks.blend import blend, of_waist_size
from blocks.elastic import Use
from blocks.garment import Garment
from blocks.known import block_of
from blocks.words import together
from drafting.units import show_both, show_measure, show_small
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content
from output.guide.tables import rise_heading, size_tables, stack
from output.tables.amounts import bought_words, cut_cells, cut_words

FROM_WAIST: Final = "blend.waist.word"
FROM_HIPS: Final = "blend.hips.word"


def blended(made: Content) -> Iterator[Matter]:
    if not made.between:
        return
    casings = any(len(garment.elastics) > 1 for garment in made.garments)
    yield from pages.heading(made.say("blend"))
    yield pages.paragraph(made.say("blend.lead"))
    rules = {rise: [_sources(garment) for garment in made.of(rise)] for rise in made.rises}
    up = any(FROM_WAIST in row.values() for rows in rules.values() for row in rows)
    told = "blend.table" if up else "blend.hips" if casings else "blend.plain"
    table = made.say("blend.own_table" if any(made.rises) else "blend.one_table")
    rest = (*made.words.listed(told, table=table), *made.words.listed("blend.last"))
    yield from pages.numbered((*made.words.listed("blend"), *rest))
    for rise, rows in rules.items() if up else ():
        names = list(dict.fromkeys(name for row in sorted(rows, key=len, reverse=True) for name in row))
        yield from rise_heading(made, rise)
        cells = [
            (garment.size, [made.say(row.get(name, "blend.lacks")) for name in names])
            for garment, row in zip(made.of(rise), rows, strict=True)
        ]
        yield from size_tables(made, names, cells, made.say("blend.size"))
        yield from _lacking(made, rise, names)
    yield from _example(made, made.between)


def _sources(hips: Garment) -> dict[str, str]:
    """By the names of a pattern's casings, from which size a wearer between sizes takes each elastic."""
    level = block_of(hips.design).waist_from(hips)
    casings = (elastic for elastic in hips.elastics if elastic.use is Use.CASING)
    return {casing.label: FROM_WAIST if of_waist_size(casing, level) else FROM_HIPS for casing in casings}


def _lacking(made: Content, rise: str, names: Sequence[str]) -> Iterator[Matter]:
    """Lengths for waists of sizes whose own pattern lacks a casing that other sizes take from the waist size."""
    garments = made.of(rise)
    fullest = max(garments, key=lambda garment: len(garment.elastics))
    own = {garment.size: {elastic.label for elastic in garment.elastics} for garment in garments}
    asked = {name for garment in garments for name, source in _sources(garment).items() if source == FROM_WAIST}
    columns = [name for name in names if name in asked and any(name not in has for has in own.values())]
    rows = []
    for garment in garments:
        strips = {strip.name: strip for strip in blend(garment, fullest).haberdashery().elastics}
        if not own[garment.size].issuperset(columns):
            rows.append((garment.size, [stack(cut_cells(strips[name])) for name in columns]))
    if rows:
        yield pages.lead(made.say("blend.lacking"))
        yield from size_tables(made, columns, rows, made.say("blend.waist"))


def _example(made: Content, sizes: Sequence[Garment]) -> Iterator[Matter]:
    """Two sizes blended."""
    middle = len(sizes) // 2
    waist, hips = sizes[max(0, middle - 2)], sizes[middle]
    mixed = blend(waist, hips)
    takes = mixed.haberdashery()
    rows = [
        (
            strip.name,
            made.say("blend.above" if elastic.height > 0 else "blend.below", length=show_both(abs(elastic.height))),
            source,
            show_small(strip.width),
            cut_words(strip),
            f"{strip.quantity}",
        )
        for elastic, strip, source in zip(mixed.elastics, takes.elastics, mixed.taken_from, strict=True)
    ]
    header = ("elastic", "height", "from", "width", "length", "quantity")
    head = [made.say(f"blend.column.{name}", origin=made.block.origin) for name in header]
    wide = (made.width - 22 - 18 - 20) / 3
    body = made.say(
        "blend.body",
        waist=show_measure(waist.body.waist_girth),
        hips=show_measure(hips.body.hip_girth),
        size=hips.size,
    )
    shop = together(
        [made.say("blend.buy", amount=bought_words(one), width=show_small(one.width)) for one in takes.to_buy]
    )
    yield pages.together(
        pages.subheading(made.with_rise("blend.example", hips.rise, waist=waist.size, hips=hips.size)),
        pages.paragraph(body),
        pages.grid(rows, (22, wide, 18, wide, wide, 20), header=head),
        pages.paragraph(made.say("blend.bought", amounts=shop)),
        *(pages.paragraph(made.say("blend.warned", warning=warning), pages.SMALL) for warning in mixed.warnings),
    )
