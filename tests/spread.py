"""A spread of designs, one for each way in which a guide's sentences change, with the sizes that each is told for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO

from pypdf import PdfReader

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.fitting import Fitting
from blocks.short import ShortDesign
from blocks.short.design import DrawcordDesign, LoopDesign, PocketDesign, ShortCasing
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


def tapered(design: ShortDesign) -> ShortDesign:
    """The design with a leg to the ankle that follows the girths of the leg, and a casing round its end."""
    long = leg_of(design, 700)
    casings = (*long.casings, ShortCasing("ankle", -660))
    return replace(long, leg=replace(long.leg, taper=0.7), casings=casings)


def cut_on(design: ShortDesign) -> ShortDesign:
    """The design with a cut-on casing for elastic and cord, a loop, and one pocket in its side seams."""
    pocket = PocketDesign(kind="in-seam", legs="left")
    waist = replace(design.waist, finish="cut-on")
    return replace(design, waist=waist, drawcord=DrawcordDesign(width=5), loop=FOLDED, pocket=pocket)


def fitted(table: SizeTable) -> SizeTable:
    """The table with the height of its first body, and what the fitting of a toile found on that."""
    first, *rest = table.sizes
    body = replace(first.body, height=1660.0, fitting=Fitting(full_seat=15))
    return replace(table, sizes=(replace(first, body=body), *rest))


FOLDED = LoopDesign(kind="folded")
PATCH = PocketDesign(kind="patch", width=100, height=80)


@cache
def spread() -> dict[str, Told]:
    """By name."""
    two, one = _table("H100", "H104"), _table("H104")
    shorts = {f"short, {kind}": Told(design, two, rises=("high",)) for kind, design in designs().items()}
    skirts = {"plain": PLAIN, "tiered": TIERED, "ruffled": RUFFLED, "faced": FACED}
    heron, narrow = designs()["plain"], replace(TIERED, panel=replace(TIERED.panel, fullness=1.25))
    return {
        **shorts,
        "short, both rises": Told(heron, two),
        "short, some split": Told(heron, _table("H104", "H140"), rises=("high",)),
        "short, all split": Told(heron, two, "split", ("high",)),
        "short, bare and all split": Told(designs()["bare"], two, "split", ("high",)),
        "short, one size": Told(heron, one, rises=("mid",)),
        **{f"short, {long} mm": Told(leg_of(heron, long), one, rises=("high",)) for long in (30, 330, 480, 700)},
        "short, tapered": Told(tapered(heron), one, rises=("high",)),
        "short, patch": Told(replace(heron, pocket=PATCH, loop=FOLDED), one, rises=("high",)),
        "short, in-seam": Told(replace(heron, pocket=PocketDesign(kind="in-seam")), one, "split", ("high",)),
        "short, measured": Told(heron, measured(two), rises=("high",)),
        "short, some fitted": Told(heron, fitted(two), rises=("high",)),
        "short, cut-on with a cord": Told(cut_on(heron), two, "split", ("mid",)),
        "short, waistband with a loop": Told(replace(designs()["waistband"], loop=FOLDED), two, "split", ("high",)),
        "short, one casing": Told(replace(heron, casings=heron.casings[:1]), one, rises=("high",)),
        **{f"skirt, {kind}": Told(design, two, "whole") for kind, design in skirts.items()},
        "skirt, some split": Told(narrow, _table("H100", "H146")),
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
