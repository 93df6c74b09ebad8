"""The lays that are wanted of a range: each size, in each rise, on each cloth, laid or with the reason why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.garment import Garment, size_and_rise
from blocks.haberdashery import haberdashery
from blocks.lay import LayRules, Search
from blocks.notions import thread
from blocks.requirement import Buying
from blocks.size_range import SizeRange, cloth_words
from drafting.errors import DesignError, GeometryError
from output.lays.file import LayFile
from output.lays.plan import LayPage
from output.system.progress import watched


@dataclass(frozen=True, slots=True)
class WantedLay:
    """One size in one rise on one cloth: its garment, or why there is none; its page, or why it could not be laid."""

    size: str
    rise: str
    cloth: Cloth
    garment: Garment | None
    page: LayPage | None = None
    problem: str = ""


def wanted_lays(ranges: Sequence[SizeRange]) -> list[WantedLay]:
    """Everything to lay of ranges drafted for a cloth each: cloth by cloth, rise by rise."""
    wanted: list[WantedLay] = []
    for made in ranges:
        assert made.cloth is not None
        garments = {(garment.size, garment.rise): garment for garment in made.garments}
        problems = {(failure.label, failure.rise): failure.message for failure in made.failures}
        for rise in made.rises:
            for label in (size.label for size in made.table.sizes):
                problem = problems.get((label, rise), "")
                wanted.append(WantedLay(label, rise, made.cloth, garments.get((label, rise)), problem=problem))
    return wanted


def lay_all(
    wanted: Sequence[WantedLay], lays: LayFile, design: Design, rules: LayRules, buying: Buying, search: Search
) -> list[WantedLay]:
    """What is wanted, each with its lay, from the lay file or searched for and stored there; or with its problem."""
    return [_laid(one, lays, design, rules, buying, search) for one in watched(wanted, "lays", unit="lay")]


def _laid(one: WantedLay, lays: LayFile, design: Design, rules: LayRules, buying: Buying, search: Search) -> WantedLay:
    if one.garment is None:
        return one
    about = f"{design.name} {size_and_rise(one.size, one.rise)}, {cloth_words(one.cloth)}"
    try:
        plan = lays.lay(one.garment.pieces, one.cloth, rules=rules, search=search, about=about)
    except (DesignError, GeometryError) as error:
        return replace(one, problem=str(error))
    takes, sewn = haberdashery(one.garment), thread(one.garment.pieces)
    return replace(one, page=LayPage(plan, design.name, one.size, one.rise, takes, sewn, buying))
