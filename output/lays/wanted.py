"""The lays that are wanted of a range: each size, in each rise, on each cloth, laid or with the reason why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.garment import Garment, size_and_rise
from blocks.haberdashery import haberdashery
from blocks.lay import LayPlan, LayRules, Search, quick_lay
from blocks.notions import thread
from blocks.requirement import Buying, Requirement, required
from blocks.size_range import SizeRange, cloth_words
from drafting.errors import DesignError, GeometryError
from output.lays.file import LayFile
from output.lays.plan import LayPage
from output.system.progress import watched
from output.tables.amounts import bought_words


@dataclass(frozen=True, slots=True)
class WantedLay:
    """One size in one rise on one cloth: its garment, or why there is none; its page, or why it could not be laid."""

    size: str
    rise: str
    cloth: Cloth
    garment: Garment | None
    page: LayPage | None = None
    problem: str = ""

    @property
    def need(self) -> Requirement | None:
        """How much of the cloth to buy."""
        return required(self.page.plan.length, buying=self.page.buying) if self.page else None

    @property
    def told(self) -> str:
        """How much of the cloth to buy, or why nothing can be laid on it."""
        return bought_words(self.need) if self.need else self.problem


def laid_quickly(
    garment: Garment, cloth: Cloth, *, rules: LayRules | None = None, buying: Buying | None = None
) -> WantedLay:
    """The lay of one garment, made without a search and kept nowhere: for a wearer who asks what cloth to buy."""
    wanted = WantedLay(garment.size, garment.rise, cloth, garment)
    try:
        plan = quick_lay(garment.pieces, cloth, rules=rules)
    except DesignError as error:
        return replace(wanted, problem=str(error))
    return replace(wanted, page=_page(garment, plan, buying or Buying()))


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
    return replace(one, page=_page(one.garment, plan, buying))


def _page(garment: Garment, plan: LayPlan, buying: Buying) -> LayPage:
    takes, sewn = haberdashery(garment), thread(garment.pieces)
    return LayPage(plan, garment.design.name, garment.size, garment.rise, takes, sewn, buying)
