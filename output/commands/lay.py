"""The lay command: every size of a table laid on every cloth; plans to print, and tables of what to buy."""

from __future__ import annotations

import json
import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.haberdashery import haberdashery
from blocks.lay import LayRules, Search
from blocks.leg import Rise
from blocks.notions import thread
from blocks.parameters import parameters_of
from blocks.quantity import finite, read_number, shown
from blocks.read_design import design_from
from blocks.requirement import Buying, required
from blocks.short import Short
from blocks.size_range import SizeRange, cloth_words, draft_range
from blocks.size_table import size_table_from
from drafting.errors import DesignError, DraftError, GeometryError
from drafting.units import INCH
from output.commands.options import cloth_of, only, papers_of, rises_of
from output.inspection.manifest import check_unlisted
from output.lays.file import LayFile, lay_file_of
from output.lays.plan import LayPage, lay_plans_pdf
from output.paper.sizes import Paper
from output.system.files import writing
from output.system.names import design_stem, on_line, together
from output.system.reading import read_sizes, read_toml
from output.tables.amounts import bought, bought_words, thread_metres, used_percent
from output.tables.csv_text import csv_of
from output.words.letters import check_names

CLOTH_COLUMNS: Final = (
    *("size", "rise", "cloth_cm", "cloth_inches", "lay", "one_way", "legs"),
    *("lay_length_cm", "lay_length_inches", "cloth_used_percent", "shrinkage_percent"),
    *("least_cm", "least_inches", "buy_metres", "buy_yards", "problem"),
)
NOTION_COLUMNS: Final = ("size", "rise", "notion", "width_cm", "width_inches", "buy_metres", "buy_yards")
CLOTHS: Final = "cloth-requirement.csv"
NOTIONS: Final = "notions.csv"
LAY_PLANS: Final = "lay-plans"


@dataclass(frozen=True, slots=True)
class Wanted:
    """One size in one rise on one cloth: its short, or why there is none; and its page, or why it could not be laid."""

    size: str
    rise: Rise
    cloth: Cloth
    short: Short | None
    page: LayPage | None = None
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Lays:
    """What became of every lay, in the order of the cloths, the rises and the sizes."""

    folder: str
    lay_file: str
    design: str
    rules: LayRules
    buying: Buying
    wanted: tuple[Wanted, ...]
    files: tuple[str, ...]

    @property
    def failures(self) -> tuple[Wanted, ...]:
        return tuple(one for one in self.wanted if one.page is None)

    @property
    def complaint(self) -> str:
        """One line about the lays that failed; empty when none did."""
        if not self.failures:
            return ""
        count = len(self.failures)
        return f"{count} lay{'' if count == 1 else 's'} failed; {Path(self.folder) / CLOTHS} tells why"

    def text(self) -> str:
        """What to buy, one line a lay, and the files."""
        lines = [f"{self.design}: cloth requirement{', one-way' if self.rules.one_way else ''}"]
        for one in self.wanted:
            head = f"  {one.size}, {one.rise} rise, {cloth_words(one.cloth)}: "
            if one.page is None:
                lines.append(f"{head}{one.problem}")
                continue
            needs = required(one.page.plan.length, buying=self.buying)
            split = ", split leg" if one.short and one.short.split else ""
            lines.append(f"{head}{bought_words(needs)}{split}")
        lines += ["", f"Files in {on_line(self.folder)}", *(f"  {name}" for name in self.files)]
        return "\n".join((*lines, f"Lays are kept in {on_line(self.lay_file)}"))

    def json(self) -> str:
        """Every lay as one JSON object, lengths in mm."""
        document = {
            "design": self.design,
            "unit": "mm",
            "folder": self.folder,
            "lay_file": self.lay_file,
            "files": self.files,
            "one_way": self.rules.one_way,
            "shrinkage": self.buying.shrinkage,
            "lays": [self._entry(one) for one in self.wanted],
        }
        return json.dumps(document, indent=2)

    def _entry(self, one: Wanted) -> dict[str, object]:
        entry: dict[str, object] = {
            "size": one.size,
            "rise": one.rise,
            "cloth": one.cloth.width,
            "lay": one.cloth.lay,
        }
        if one.page is None or one.short is None:
            return {**entry, "problem": one.problem}
        needs = required(one.page.plan.length, buying=self.buying)
        return {
            **entry,
            "split": one.short.split,
            "lay_length": needs.lay_length,
            "used": one.page.plan.used,
            "least": needs.least,
            "metres": needs.metres,
            "yards": needs.yards,
        }


def lay(arguments: Namespace) -> Lays:
    """Lay what the command line asks for and write plans and tables; each lay that is found is stored at once.

    Raises:
        DraftError: a file, an option, the design or the table is at fault, the packing engine is not installed, or
            a folder cannot be written. Then no plan and no table is written; lays that were found stay stored.
    """
    papers = papers_of(arguments.page)
    cloths = list(dict.fromkeys(cloth_of(raw, arguments.selvedge, arguments.lay) for raw in arguments.cloth))
    rules, buying = LayRules(one_way=arguments.one_way), Buying(shrinkage=share_of("shrinkage", arguments.shrinkage))
    search = Search(seconds=seconds_of(arguments.seconds))
    design = design_from(read_toml(arguments.design))
    table = only(size_table_from(read_sizes(arguments.sizes)), arguments.only)
    check_names(design, (size.label for size in table.sizes))
    lays = LayFile(arguments.lays or lay_file_of(arguments.design))
    rises = rises_of(arguments.rise)
    with writing(arguments.out) as place:
        ranges = [draft_range(design, table, rises=rises, cloth=cloth, fit=arguments.fit) for cloth in cloths]
        done = [laid(one, lays, design, rules, buying, search) for one in laying(wanted_lays(ranges))]
        files = lay_files(done, design, rules, buying, papers)
        check_unlisted(place.goal, files, named=arguments.out)
        place.put(files)
    return Lays(arguments.out, str(lays.path), design.name, rules, buying, tuple(done), tuple(sorted(files)))


def lay_files(
    done: Sequence[Wanted], design: Design, rules: LayRules, buying: Buying, papers: Iterable[Paper]
) -> dict[str, bytes]:
    """The plans on every paper, the cloth requirement and the notions, by their file names.

    Raises:
        DraftError: nothing could be laid.
    """
    pages = [one.page for one in done if one.page]
    if not pages:
        raise DraftError(f"lay plan: nothing could be laid; {done[0].size}, {done[0].rise} rise: {done[0].problem}")
    named = f"{design_stem(design.name)}-{LAY_PLANS}"
    plans = [(f"{named}-{paper.name}.pdf", lay_plans_pdf(pages, paper, author=design.workroom)) for paper in papers]
    return together([(CLOTHS, cloth_csv(done, rules, buying)), (NOTIONS, notions_csv(done)), *plans])


def wanted_lays(ranges: Sequence[SizeRange]) -> list[Wanted]:
    """Everything to lay of ranges drafted for a cloth each: cloth by cloth, rise by rise."""
    wanted: list[Wanted] = []
    for made in ranges:
        assert made.cloth is not None
        shorts = {(short.size, short.rise): short for short in made.shorts}
        problems = {(failure.label, failure.rise): failure.message for failure in made.failures}
        for rise in made.rises:
            for label in (size.label for size in made.table.sizes):
                problem = problems.get((label, rise), "")
                wanted.append(Wanted(label, rise, made.cloth, shorts.get((label, rise)), problem=problem))
    return wanted


def laid(one: Wanted, lays: LayFile, design: Design, rules: LayRules, buying: Buying, search: Search) -> Wanted:
    """One lay, from the lay file or searched for and stored there; or the problem that it has."""
    if one.short is None:
        return one
    about = f"{design.name} {one.size}, {one.rise} rise, {cloth_words(one.cloth)}"
    try:
        plan = lays.lay(one.short.pieces, one.cloth, rules=rules, search=search, about=about)
    except (DesignError, GeometryError) as error:
        return replace(one, problem=str(error))
    takes, sewn = haberdashery(one.short), thread(one.short.pieces)
    return replace(one, page=LayPage(plan, design.name, one.size, one.rise.value, takes, sewn, buying))


def cloth_csv(lays: Iterable[Wanted], rules: LayRules, buying: Buying) -> bytes:
    """The cloth requirement, one line a size, rise and cloth; `problem` tells why a line has no length."""
    return csv_of(CLOTH_COLUMNS, (_cloth_cells(one, rules, buying) for one in lays))


def _cloth_cells(one: Wanted, rules: LayRules, buying: Buying) -> tuple[str, ...]:
    head = (
        *(one.size, one.rise.value, *_both(one.cloth.width), one.cloth.lay.value, "yes" if rules.one_way else "no"),
        "" if one.short is None else "split" if one.short.split else "whole",
    )
    if one.page is None:
        return (*head, *("" for _ in CLOTH_COLUMNS[len(head) : -1]), one.problem)
    needs = required(one.page.plan.length, buying=buying)
    return (
        *head,
        *_both(needs.lay_length),
        used_percent(one.page.plan.used),
        f"{100 * buying.shrinkage:g}",
        *_both(needs.least),
        *bought(needs),
        "",
    )


def notions_csv(lays: Iterable[Wanted]) -> bytes:
    """Elastic, trim and, about, thread to buy: one line each for every size and rise; thread is sold by the metre."""
    rows: dict[tuple[str, ...], None] = {}
    for one in lays:
        if one.page is None:
            continue
        head = (one.size, one.rise.value)
        for notion, purchases in (("elastic", one.page.takes.to_buy), ("trim", one.page.takes.trims_to_buy)):
            for each in purchases:
                rows[*head, notion, *_both(each.width), *bought(each)] = None
        legs = "split" if one.short and one.short.split else "whole"
        rows[*head, f"sewing thread, {legs} leg", "", "", thread_metres(one.page.thread), ""] = None
    return csv_of(NOTION_COLUMNS, rows)


def _both(length: float) -> Iterator[str]:
    yield f"{length / 10:.1f}"
    yield f"{length / INCH:.2f}"


def share_of(name: str, raw: str) -> float:
    """A percentage as a share."""
    about = parameters_of(Buying)[name]
    number = finite(read_number(raw))
    if number is None or not about.low <= number / 100 <= about.high:
        allowed = f"{100 * about.low:g} to {100 * about.high:g} %"
        raise DraftError(f"{name}: {shown(raw)} is not a percentage in {allowed} ({about.meaning}); give one")
    return number / 100


def seconds_of(raw: str) -> int:
    about = parameters_of(Search)["seconds"]
    number = int(raw) if raw.isascii() and raw.isdecimal() and len(raw) < 9 else 0
    if not about.low <= number <= about.high:
        raise DraftError(f"seconds: {shown(raw)} is not a whole number of {about.low:g} to {about.high:g}; give one")
    return number


def laying(wanted: Sequence[Wanted]) -> Iterable[Wanted]:
    """What is to be laid, with a bar on a terminal when it takes longer than a second."""
    if not sys.stderr.isatty():
        return wanted
    from tqdm import tqdm  # noqa: PLC0415 - slow to import, and often not needed

    return tqdm(wanted, desc="lays", unit="lay", delay=1, leave=False)
