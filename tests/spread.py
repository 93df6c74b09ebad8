"""A spread of designs, one for each way in which a guide's sentences change, with the sizes that each is told for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO

from pypdf import PdfReader

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.short import ShortDesign
from blocks.size_range import SizeRange, draft_range
from blocks.size_table import SizeTable
from guides import CLOTHS, above, designs, few
from output.guide.book import guide_pdf
from output.paper.sizes import paper_named
from wagtail import FACED, PLAIN, RUFFLED, TIERED


@dataclass(frozen=True)
class Told:
    """A design, the sizes and rises that its guide is for, and how it is split."""

    design: Design
    table: SizeTable
    fit: str = "auto"
    rises: tuple[str, ...] | None = None

    def drafted(self) -> SizeRange:
        return draft_range(self.design, self.table, rises=self.rises, cloth=Cloth(1400), fit=self.fit)


def _table(*labels: str) -> SizeTable:
    table = few()
    return replace(table, sizes=tuple(table.size(label) for label in labels))


def measured(table: SizeTable) -> SizeTable:
    """The table of bodies of which everything was measured."""
    return replace(table, sizes=tuple(replace(one, body=replace(one.body, estimated=())) for one in table.sizes))


def leg_of(design: ShortDesign, inseam: float) -> ShortDesign:
    """The design with another length of leg, and only the casings that it has above the crotch."""
    high = tuple(casing for casing in design.casings if above(casing) > 0)
    return replace(design, leg=replace(design.leg, inseam_length=inseam), casings=high)


@cache
def spread() -> dict[str, Told]:
    """By name."""
    two, one = _table("H100", "H104"), _table("H104")
    shorts = {f"short, {kind}": Told(design, two, rises=("high",)) for kind, design in designs().items()}
    skirts = {"plain": PLAIN, "tiered": TIERED, "ruffled": RUFFLED, "faced": FACED}
    heron = designs()["plain"]
    return {
        **shorts,
        "short, both rises": Told(heron, two),
        "short, some split": Told(heron, _table("H104", "H140"), rises=("high",)),
        "short, all split": Told(heron, two, "split", ("high",)),
        "short, bare and all split": Told(designs()["bare"], two, "split", ("high",)),
        "short, one size": Told(heron, one, rises=("mid",)),
        **{f"short, {long}": Told(leg_of(heron, long), one, rises=("high",)) for long in (50, 330)},
        "short, measured": Told(heron, measured(two), rises=("high",)),
        "short, one casing": Told(replace(heron, casings=heron.casings[:1]), one, rises=("high",)),
        **{f"skirt, {kind}": Told(design, two, "whole") for kind, design in skirts.items()},
        "skirt, some split": Told(TIERED, _table("H100", "H146")),
        "skirt, all split": Told(RUFFLED, two, "split"),
    }


@cache
def guide_to(name: str, paper: str = "A4") -> bytes:
    """The guide to a design of the spread."""
    told = spread()[name]
    garments = told.drafted().garments
    return guide_pdf(garments, design=told.design, table=told.table, paper=paper_named(paper), cloths=CLOTHS)


@cache
def text(name: str) -> str:
    """All words of the guide to a design of the spread, single blanks between them."""
    pages = PdfReader(BytesIO(guide_to(name))).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)
