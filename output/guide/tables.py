"""Tables of a guide: a row for each size, lengths in centimetres above inches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest
from math import ceil
from typing import Final

from blocks.elastic import Elastic
from blocks.haberdashery import Purchase, Strip
from blocks.requirement import Requirement
from drafting.units import show_both, show_measure, show_small
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content
from output.tables.amounts import bought, cut_words

COLUMNS: Final = 9
"""Numbers beside a size that a table has room for."""
LABEL: Final = 16.0


def rise_heading(made: Content, rise: str) -> Iterator[Matter]:
    """The head of a rise's table: the first below its section's, the others on a page that holds the table."""
    if rise is not made.rises[0]:
        yield pages.room(made.table_room - 14)
    if rise:
        yield pages.subheading(made.rise_name(rise))


def size_tables(
    made: Content, names: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]], head: str = ""
) -> Iterator[Matter]:
    """A row for each size, over several tables where there are more columns than fit; `head` stands above the sizes."""
    count = ceil(len(names) / COLUMNS)
    each = ceil(len(names) / count)
    for start in range(0, len(names), each):
        part = names[start : start + each]
        wide = min(26.0, (made.width - LABEL) / len(part))
        cells = [(label, *values[start : start + each]) for label, values in rows]
        yield pages.grid(cells, (LABEL, *(wide for _ in part)), header=(head or made.say("size"), *part))


def elastic_grid(made: Content, elastics: Iterable[Elastic], strips: Sequence[Strip]) -> Matter:
    """A row for each elastic of one wearer: where it lies, how wide it is, how it is cut; strips without one follow."""
    rows = [
        (
            strip.name,
            made.say("blend.above" if elastic.height > 0 else "blend.below", length=show_both(abs(elastic.height)))
            if elastic
            else "",
            show_measure(elastic.girth) if elastic else "",
            show_small(strip.width),
            cut_words(strip),
            f"{strip.quantity}",
        )
        for strip, elastic in zip_longest(strips, elastics)
    ]
    header = ("elastic", "height", "girth", "width", "length", "quantity")
    head = [made.say(f"blend.column.{name}", origin=made.block.origin) for name in header]
    wide = (made.width - 22 - 20) / 4
    return pages.grid(rows, (22, wide, wide, wide, wide, 20), header=head)


def stack(cells: tuple[str, str]) -> str:
    """Metric above imperial."""
    return "\n".join(cells)


def bought_cell(made: Content, need: Requirement | Purchase | None) -> str:
    if need is None:
        return made.say("blend.lacks")
    metric, imperial = bought(need)
    return f"{metric} m\n{imperial} yd"
