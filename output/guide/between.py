"""The section for a wearer between two sizes: how long each elastic is, and a worked example."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from blocks.blend import blend, blends, reach_of
from blocks.garment import Garment
from blocks.haberdashery import Haberdashery, columns_of, haberdashery
from blocks.words import together
from drafting.units import show_measure, show_small
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content
from output.guide.tables import elastic_grid, rise_heading, size_tables, stack
from output.tables.amounts import bought_words, cut_cells

Cell = tuple[str, str] | None
"""A length to cut in both systems, or none where the pattern lacks the casing."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """How long one elastic is cut: by waist and hip size, a size's own among them."""

    name: str
    cut: Mapping[tuple[str, str], Cell]

    def of_waist(self) -> bool:
        """True when each is that of the waist size alone."""
        return all(cell == self.cut[waist, waist] for (waist, _), cell in self.cut.items())

    def of_hips(self) -> bool:
        """True when each is that of the hip size alone."""
        return all(cell == self.cut[hips, hips] for (_, hips), cell in self.cut.items())


def blended(made: Content) -> Iterator[Matter]:
    if not made.between:
        return
    yield from pages.heading(made.say("blend"))
    yield pages.paragraph(made.say("blend.lead"))
    table = made.say("blend.own_list" if made.rises[1:] else "blend.one_list")
    last = made.words.listed("blend.last", most=f"{made.design.limits.stretch:g}")
    yield from pages.numbered((*made.words.listed("blend", table=table), *last))
    printed: dict[str, list[Lengths]] = {}
    for rise in made.rises:
        garments = made.of(rise)
        if garments[1:]:
            yield from rise_heading(made, rise)
            yield from _lists(made, garments, printed)
    yield from _example(made, made.between)


def lengths(garments: Sequence[Garment]) -> list[Lengths]:
    """The lengths of every elastic of sizes of one rise, from the waist down."""
    takes = {(garment.size, garment.size): haberdashery(garment) for garment in garments}
    takes |= {pair: blend.haberdashery() for pair, blend in blends(garments).items()}
    names = [strip.name for strip in columns_of([Haberdashery(each.elastics, ()) for each in takes.values()])]
    cut = {pair: {strip.name: cut_cells(strip) for strip in each.elastics} for pair, each in takes.items()}
    return [Lengths(name, {pair: cells.get(name) for pair, cells in cut.items()}) for name in names]


def _lists(made: Content, garments: Sequence[Garment], printed: dict[str, list[Lengths]]) -> Iterator[Matter]:
    """By which size each elastic is cut, and the tables of those that go by both: one for rises that are alike."""
    told: dict[str, list[str]] = {}
    follow: list[Lengths] = []
    before = ""
    for each in lengths(garments):
        if each.of_hips():
            told.setdefault("blend.of_hips", []).append(each.name)
        elif each.of_waist():
            told.setdefault("blend.of_waist", []).append(each.name)
        elif found := [rise for rise, tables in printed.items() if each in tables]:
            before = made.rise_name(found[0]).lower()
            told.setdefault("blend.of_before", []).append(each.name)
        else:
            told.setdefault("blend.of_both", []).append(each.name)
            follow.append(each)
    for key, names in told.items():
        yield pages.paragraph(made.say(key, names=together(names), rise=before))
    printed[garments[0].rise] = follow
    labels, reach = [garment.size for garment in garments], reach_of(garments)
    near = reach < len(garments)
    if near:
        steps = range(-reach, reach + 1)
        across = [made.say("blend.step", step=f"{step:+d}") for step in steps]
        columns = {hips: [dict(enumerate(labels)).get(at + step) for step in steps] for at, hips in enumerate(labels)}
    else:
        across = [made.say("blend.across", size=label) for label in labels]
        columns = {hips: list[str | None](labels) for hips in labels}
    for each in follow:
        yield pages.room(made.table_room)
        yield pages.subheading(made.say("blend.near" if near else "blend.table", name=each.name))
        yield from size_tables(made, across, _rows(made, each, columns), made.say("blend.size"))


def _rows(made: Content, each: Lengths, columns: Mapping[str, Sequence[str | None]]) -> list[tuple[str, Sequence[str]]]:
    """By hip size the lengths for the waist sizes of its columns, of which those at the ends have fewer."""
    lacks = made.say("blend.lacks")

    def cell(waist: str | None, hips: str) -> str:
        length = each.cut[waist, hips] if waist is not None else None
        return lacks if length is None else stack(length)

    return [(hips, [cell(waist, hips) for waist in waists]) for hips, waists in columns.items()]


def _example(made: Content, sizes: Sequence[Garment]) -> Iterator[Matter]:
    """Two sizes blended."""
    middle = len(sizes) // 2
    waist, hips = sizes[max(0, middle - 2)], sizes[middle]
    mixed = blend(waist, hips)
    takes = mixed.haberdashery()
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
        elastic_grid(made, mixed.elastics, takes.elastics),
        pages.paragraph(made.say("blend.bought", amounts=shop)),
        *(pages.paragraph(made.say("blend.warned", warning=warning), pages.SMALL) for warning in mixed.warnings),
    )
