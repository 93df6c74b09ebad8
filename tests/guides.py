"""Small ranges and their guides, drafted once for all tests of the guide."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from blocks.cloth import Cloth
from blocks.design import CasingDesign, WaistDesign
from blocks.guide import Told
from blocks.short import BLOCK, Short
from blocks.short.design import DrawcordDesign, LoopDesign, PocketDesign, ShortCasing, ShortDesign, TrimDesign
from blocks.size_range import SizeRange, draft_range
from blocks.size_table import SizeTable, size_table_from
from output.guide.book import guide_pdf
from output.guide.words import COMMON
from output.paper.sizes import paper_named
from output.system.reading import read_sizes
from sampled import SAMPLES, heron_design

WORDS = COMMON.under(BLOCK.words)
"""What a guide to a short says."""

CLOTHS = (Cloth(1100), Cloth(1400), Cloth(1500))


def above(casing: ShortCasing) -> float:
    """On which side of the crotch line a casing lies, and in what order: whether by its height or its share."""
    return casing.share * 300 if casing.height is None else casing.height


def designs() -> dict[str, ShortDesign]:
    """One design for each way in which steps change."""
    heron = heron_design()
    low = tuple(casing for casing in heron.casings if above(casing) < 0)
    return {
        "plain": heron,
        "band": replace(heron, trim=TrimDesign(kind="band")),
        "raw band": replace(heron, trim=TrimDesign(kind="band", hem=0, top=4)),
        "bought": replace(heron, trim=TrimDesign(kind="bought")),
        "patch": replace(heron, pocket=PocketDesign(kind="patch"), loop=LoopDesign(kind="folded")),
        "patch and band": replace(
            heron, pocket=PocketDesign(kind="patch", place="back", corner="round", legs="left"), trim=TrimDesign("band")
        ),
        "side pocket": replace(heron, pocket=PocketDesign(kind="in-seam")),
        "bare": replace(heron, casings=()),
        "leg only": replace(heron, casings=low),
        "above": replace(
            heron,
            leg=replace(heron.leg, high_hip_share=0.4),
            casings=tuple(casing for casing in heron.casings if above(casing) > 0),
        ),
        "cut-on": replace(heron, waist=WaistDesign(finish="cut-on")),
        "waistband": replace(heron, waist=WaistDesign(finish="waistband")),
        "cord": replace(heron, drawcord=DrawcordDesign(width=5)),
        "bare waistband": replace(
            heron, casings=(), waist=WaistDesign(finish="waistband"), drawcord=DrawcordDesign(width=4)
        ),
        "uneven": replace(heron, casings=(*heron.casings[:3], CasingDesign("frill", -110, elastic_width=12, depth=16))),
    }


def partly() -> ShortDesign:
    """A design whose topmost casing the two larger of the `few` sizes alone keep in the mid rise."""
    heron = heron_design()
    low = min(heron.casings, key=above)
    sizes = few().sizes
    rise = (sizes[1].body.body_rise + sizes[2].body.body_rise) / 2
    leg = replace(heron.leg, mid_drop=30)
    lost = leg.front_drop + leg.mid_drop + heron.waist.channel + heron.limits.tuck_gap
    top = CasingDesign("top", rise + leg.rise_ease - lost)
    return replace(heron, leg=leg, casings=(top, low))


@cache
def few() -> SizeTable:
    """Four sizes, of which the last two are wider than cloth of 140 cm."""
    table = size_table_from(read_sizes(SAMPLES / "sizes.csv"))
    return replace(table, sizes=tuple(table.size(label) for label in ("H100", "H104", "H140", "H146")))


@cache
def made(kind: str = "plain", fit: str = "auto") -> SizeRange:
    return draft_range(designs()[kind], few(), cloth=Cloth(1400), fit=fit)


@cache
def guide(kind: str = "plain", fit: str = "auto", paper: str = "A4") -> bytes:
    drafted = made(kind, fit)
    return guide_pdf(drafted.garments, design=drafted.design, table=few(), paper=paper_named(paper), cloths=CLOTHS)


def told(kind: str = "plain", fit: str = "auto", split: tuple[str, ...] = ()) -> Told[Short]:
    """What a short's parts of a guide to two sizes are told."""
    short = made(kind, fit).garments[0]
    halved = made(kind, "split").garments[0] if split else None
    return Told(garment=short, halved=halved, labels=("H100", "H104"), split=split, rises=("high",), words=WORDS)
