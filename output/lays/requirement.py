"""The files that lays come to: plans to print, the cloth requirement and the notions to buy."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from blocks.design import Design
from blocks.garment import size_and_rise
from blocks.known import block_of
from blocks.lay import LayRules
from blocks.requirement import Buying
from drafting.errors import DraftError
from output.lays.plan import lay_plans_pdf
from output.lays.wanted import WantedLay
from output.paper.sizes import Paper
from output.system.names import design_stem, together
from output.tables.amounts import bought, cm, inches_of, thread_metres, used_percent
from output.tables.csv_text import csv_of

CLOTH_COLUMNS: Final = (
    *("size", "rise", "cloth_cm", "cloth_inches", "lay", "one_way", "legs"),
    *("lay_length_cm", "lay_length_inches", "cloth_used_percent", "shrinkage_percent"),
    *("least_cm", "least_inches", "buy_metres", "buy_yards", "problem"),
)
NOTION_COLUMNS: Final = ("size", "rise", "notion", "width_cm", "width_inches", "buy_metres", "buy_yards")
CLOTHS: Final = "cloth-requirement.csv"
NOTIONS: Final = "notions.csv"
LAY_PLANS: Final = "lay-plans"


def lay_files(
    done: Sequence[WantedLay], design: Design, rules: LayRules, buying: Buying, papers: Iterable[Paper]
) -> dict[str, bytes]:
    """The plans on every paper, the cloth requirement and the notions, by their file names.

    Raises:
        DraftError: nothing could be laid.
    """
    pages = [one.page for one in done if one.page]
    if not pages:
        first = size_and_rise(done[0].size, done[0].rise)
        raise DraftError(f"lay plan: nothing could be laid; {first}: {done[0].problem}")
    named = f"{design_stem(design.name)}-{LAY_PLANS}"
    plans = [(f"{named}-{paper.name}.pdf", lay_plans_pdf(pages, paper, author=design.workroom)) for paper in papers]
    return together([(CLOTHS, cloth_csv(done, rules, buying)), (NOTIONS, notions_csv(done)), *plans])


def cloth_csv(lays: Iterable[WantedLay], rules: LayRules, buying: Buying) -> bytes:
    """The cloth requirement, one line a size, rise and cloth; `problem` tells why a line has no length."""
    return csv_of(CLOTH_COLUMNS, (_cloth_cells(one, rules, buying) for one in lays))


def _cloth_cells(one: WantedLay, rules: LayRules, buying: Buying) -> tuple[str, ...]:
    head = (
        *(one.size, one.rise, *_both(one.cloth.width), one.cloth.lay.value, "yes" if rules.one_way else "no"),
        "" if one.garment is None else "split" if one.garment.split else "whole",
    )
    needs = one.need
    if one.page is None or needs is None:
        return (*head, *("" for _ in CLOTH_COLUMNS[len(head) : -1]), one.problem)
    return (
        *head,
        *_both(needs.lay_length),
        used_percent(one.page.plan.used),
        f"{100 * buying.shrinkage:g}",
        *_both(needs.least),
        *bought(needs),
        "",
    )


def notions_csv(lays: Iterable[WantedLay]) -> bytes:
    """Elastic, trim and, about, thread to buy: one line each for every size and rise; thread is sold by the metre."""
    rows: dict[tuple[str, ...], None] = {}
    for one in lays:
        if one.page is None:
            continue
        head, part = (one.size, one.rise), block_of(one.garment.design).part if one.garment else ""
        for each in one.page.takes.shopping:
            rows[*head, each.ware, *_both(each.width), *bought(each)] = None
        cut = "split" if one.garment and one.garment.split else "whole"
        rows[*head, f"sewing thread, {cut} {part}", "", "", thread_metres(one.page.thread), ""] = None
    return csv_of(NOTION_COLUMNS, rows)


def _both(length: float) -> Iterator[str]:
    yield cm(length, 1)
    yield inches_of(length, 2)
