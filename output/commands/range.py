"""The range command: every size of a table drafted, nested by rise and by whether it is split, and written at once."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from textwrap import wrap
from typing import Any, Final

from blocks.cloth import Lay
from blocks.garment import size_and_rise
from blocks.grade import grade
from blocks.parameters import of_kind
from blocks.quantity import Number
from blocks.size_range import Fit, SizeRange, draft_range
from blocks.words import sizes_span
from drafting.errors import DraftError
from output.commands.options import CLOTH_WIDTH, SELVEDGE, cloth_of, design_and_sizes, media_of, only, rises_of
from output.commands.request import RequestOfSizes
from output.inspection.manifest import (
    MANIFEST,
    NOTHING_ELSE,
    TABLES,
    Kind,
    OutputFile,
    Renewal,
    about_of,
    earlier,
    renew,
)
from output.patterns.range_files import printed, printings_of, tabulated
from output.system.files import writing
from output.system.names import on_line
from output.system.pool import shared, workers_named
from output.system.progress import bar
from output.tables.summary import WIDTH, MadeFile, told_pages, told_spent
from output.words import text as words
from output.words.letters import check_names

SCREEN: Final = 24
"""Lines of a terminal; JSON has what they have no room for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRequest(RequestOfSizes):
    """Every size of a table, to be drafted and written, nested, with its tables.

    Patterns go on `pages` by their names, on `rolls` so many mm wide and on `projections`, light or dark; on A4 if none
    of them is asked for. `only` prints just those sizes, `each` every size by itself, too. A part wider than the
    `cloth`, so many cm from selvedge to selvedge, is split, unless the `fit` is whole or split; `selvedge` is in cm,
    too. `strict` writes nothing if any size cannot be drafted. `workers` are processes, one for each processor if none
    are asked for.
    """

    pages: tuple[str, ...] = ()
    rolls: tuple[Number, ...] = ()
    projections: tuple[str, ...] = ()
    only: str | tuple[str, ...] = ()
    each: bool = False
    cloth: Number = CLOTH_WIDTH
    selvedge: Number = SELVEDGE
    lay: Lay = Lay.OPEN
    fit: Fit = Fit.AUTO
    strict: bool = False
    workers: int | str | None = None


@dataclass(frozen=True, slots=True)
class RangeReport:
    """What became of a range. `files` is empty when nothing was written."""

    drafted: SizeRange
    folder: str
    files: tuple[MadeFile, ...]
    warnings: tuple[str, ...]
    renewal: Renewal = NOTHING_ELSE

    @property
    def complaint(self) -> str:
        """One line about the sizes that could not be drafted; empty when all could."""
        failures = self.drafted.failures
        if not failures:
            return ""
        kept = "the rest is written" if self.files else "nothing is written"
        more = f" (and {len(failures) - 1} more)" if len(failures) > 1 else ""
        return f"{failures[0]}{more}; {kept}"

    def text(self) -> str:
        """The report, for a reader."""
        made = self.drafted
        labels = [size.label for size in made.table.sizes]
        by = f", {made.design.workroom}" if made.design.workroom else ""
        many, span = words.count(len(labels), "size"), sizes_span(labels[0], labels[-1])
        head = [
            size_and_rise(f"{made.design.name}{by}: {many}, {span}", " and ".join(made.rises)),
            *(f"{made.parts}: {sentence}" for sentence in made.splitting),
            "Elastics: cut lengths are in tables.csv and on the first pages; for the waist of one size on the hips of "
            "another, see shirrline elastics --help",
        ]
        files = [f"Files in {on_line(self.folder)}", *_told(self.files)] if self.files else ["Nothing was written"]
        told = _wrapped(head)
        remarks = [f"Not drafted: {failure}" for failure in made.failures]
        remarks += [f"Warning: {warning}" for warning in self.warnings]
        remarks += self.renewal.lines()
        return "\n".join((*told, *_as_many(remarks, SCREEN - len(told) - len(files)), *files))

    def json(self) -> str:
        """The report as one JSON object."""
        made = self.drafted
        document = {
            "design": made.design.name,
            "workroom": made.design.workroom,
            "sizes": [size.label for size in made.table.sizes],
            "rises": made.named_rises,
            "splitting": made.splitting,
            "failures": [
                {"size": failure.label, "rise": failure.rise, "message": failure.message} for failure in made.failures
            ],
            "warnings": self.warnings,
            "folder": self.folder,
            **self.renewal.entries(),
            "files": [
                {"name": file.name, "sizes": file.sizes, "pages": file.pages, "spent": told_spent(file.spent)}
                for file in self.files
            ],
        }
        return json.dumps(document, indent=2)


def _told(files: Sequence[MadeFile]) -> list[str]:
    """A line for each file, and one for all those of single sizes."""
    lines = []
    for file in files:
        pages = told_pages(file.pages, file.spent)
        sizes = f", {sizes_span(file.sizes[0], file.sizes[-1])}" if file.sizes else ""
        lines += [] if file.alone else [f"  {file.name}{pages}{sizes}"]
    alone = [file.name for file in files if file.alone]
    return lines + ([f"  {alone[0]} and so on: {words.count(len(alone), 'file')} of one size"] if alone else [])


def _wrapped(lines: Sequence[str]) -> list[str]:
    return [part for line in lines for part in wrap(line, WIDTH, subsequent_indent="  ", break_on_hyphens=False)]


def _as_many(remarks: Sequence[str], room: int) -> list[str]:
    """Remarks, wrapped, as many as have room; then how many are left."""
    shown: list[str] = []
    for number, remark in enumerate(remarks):
        lines, left = _wrapped([remark]), len(remarks) - number
        if number and len(shown) + len(lines) + (left > 1) > room:
            return [*shown, f"{words.count(left, 'more remark')}; --json lists them all"]
        shown += lines
    return shown


def write_range(request: RangeRequest) -> RangeReport:
    """Draft and write what is asked for: all files at once, or none.

    A size that cannot be drafted is left out and told; if asked to be `strict`, nothing is written then.

    Raises:
        DraftError: a file, a field of the request, the design or the table is at fault, no size can be drafted, or the
            folder cannot be written.
    """
    asked: RangeRequest = of_kind("request", request, RangeRequest, DraftError)
    workers, papers = workers_named(asked.workers), media_of(asked.pages, asked.rolls, asked.projections)
    design, table = design_and_sizes(asked.design, asked.sizes)
    check_names(design, (size.label for size in table.sizes))
    cloth = cloth_of(asked.cloth, asked.selvedge, asked.lay)
    chosen = None if asked.only == () else tuple(size.label for size in only(table, asked.only).sizes)
    rises, folder = rises_of(asked.rises, design), str(asked.out)
    with bar("files") as progress, writing(folder) as place:
        before = earlier(place.goal, design.name, Kind.RANGE, named=folder)
        made = draft_range(design, table, rises=rises, cloth=cloth, fit=asked.fit)
        if made.failures and asked.strict:
            return RangeReport(made, folder, (), (*made.warnings, *grade(made.garments).warnings))
        jobs = printings_of(made, papers, chosen, each=asked.each)
        if not jobs:
            raise DraftError(f"sizes: none of those to print could be drafted; {made.failures[0]}")
        tasks: list[Callable[[], Any]] = [partial(tabulated, made), *(partial(printed, job) for job in jobs)]
        (tables, warnings), *files = shared(tasks, workers=workers, progress=progress)
        parts = [
            *(
                OutputFile(file.name, about_of(job.paper, file.sizes), data)
                for job, (file, data) in zip(jobs, files, strict=True)
            ),
            *(OutputFile(name, TABLES[name], data) for name, data in tables.items()),
        ]
        renewed = renew(place, before, made, parts, Kind.RANGE)
    return RangeReport(
        made,
        folder,
        (*(file for file, _ in files), *(MadeFile(name) for name in (*tables, MANIFEST))),
        (*made.warnings, *warnings),
        renewed,
    )
