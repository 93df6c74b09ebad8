"""The publish command: a whole release of a design in one folder, written at once, with a manifest of what is in it.

A release is the patterns of a size range on every paper and as vectors, their tables, the lay plans and the guide.
It is all made before any of it is written: a run that fails or is stopped leaves the release before it untouched.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final

from blocks.cloth import Cloth, Lay
from blocks.lay import LayRules
from blocks.parameters import of_kind
from blocks.quantity import Number
from blocks.requirement import Buying
from blocks.size_range import Group, SizeRange, draft_range
from blocks.words import sizes_span
from drafting.errors import DraftError, TableError
from output.commands.lay_options import SECONDS, SHRINKAGE, buying_of, lays_of, search_of
from output.commands.options import CLOTH_WIDTH, SELVEDGE, cloths_of, design_and_sizes, media_of, rises_of
from output.commands.request import RequestOfSizes
from output.formats.dxf import pattern_dxf
from output.formats.svg import nest_svg
from output.guide.book import guide_pdf
from output.guide.buying import lay_room
from output.guide.cloths import told_cloths
from output.guide.content import ClothNeed
from output.inspection.manifest import (
    NOTHING_ELSE,
    TABLES,
    Kind,
    OutputFile,
    Renewal,
    about_of,
    earlier,
    manifest,
    renew,
)
from output.lays.plan import lay_drawing
from output.lays.requirement import lay_files
from output.lays.wanted import WantedLay, lay_all, wanted_lays
from output.paper.sizes import A4, LETTER, PROJECTIONS, Paper, paper_named, roll_named
from output.patterns.file_names import group_stem
from output.patterns.range_files import Printing, printed, printings_of, tabulated
from output.system.files import writing
from output.system.names import design_stem, on_line
from output.system.pool import shared, workers_named
from output.system.progress import bar, expect
from output.words import text as words
from output.words.letters import check_names

Work = Callable[[Sequence[Callable[[], Any]]], list[Any]]
"""What does tasks and returns their results, as `output.system.pool.shared`."""

MEDIA: Final = (A4, LETTER, paper_named("A0"), roll_named("914"), PROJECTIONS["light"])
"""What a release holds when no page is named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishRequest(RequestOfSizes):
    """A release of every size of a table.

    Patterns go on `pages` by their names, on `rolls` so many mm wide and on `projections`, light or dark, or if none of
    them is asked for on all of `MEDIA`; the guide and the lay plans on those of the pages that a home printer takes.
    Parts are split for the first of the `cloths`, so many cm from selvedge to selvedge, and laid on all of them.
    `selvedge` is in cm, too, and `shrinkage` in per cent of the cloth's length. If it is `one_way`, no piece is turned
    upside down. Each lay is searched for so many `seconds`, and kept in the file `lays`, beside the design's if none is
    named. `workers` are processes, one for each processor if none are asked for.
    """

    pages: tuple[str, ...] = ()
    rolls: tuple[Number, ...] = ()
    projections: tuple[str, ...] = ()
    cloths: tuple[Number, ...] = (CLOTH_WIDTH,)
    selvedge: Number = SELVEDGE
    lay: Lay = Lay.OPEN
    one_way: bool = False
    shrinkage: Number = SHRINKAGE
    seconds: int | str = SECONDS
    lays: str | Path | None = None
    workers: int | str | None = None


@dataclass(frozen=True, slots=True)
class PublishReport:
    """What was published."""

    made: SizeRange
    folder: str
    files: tuple[OutputFile, ...]
    warnings: tuple[str, ...]
    renewal: Renewal = NOTHING_ELSE

    def text(self) -> str:
        """The release, a line for each file."""
        labels = [size.label for size in self.made.table.sizes]
        span = f"{words.count(len(labels), 'size')}, {sizes_span(labels[0], labels[-1])}"
        longest = max(len(file.name) for file in self.files)
        return "\n".join(
            (
                f"{self.made.design.name}: {span}",
                *(f"{self.made.parts}: {sentence}" for sentence in self.made.splitting),
                *(f"Warning: {warning}" for warning in self.warnings),
                *self.renewal.lines(),
                f"Files in {on_line(self.folder)}",
                *(f"  {file.name:<{longest}}  {file.about}" for file in self.files),
            )
        )

    def json(self) -> str:
        """The manifest, with the folder, the warnings and what became of other files."""
        found = json.loads(manifest(self.made, self.files, Kind.RELEASE))
        more = {"folder": self.folder, "warnings": self.warnings, **self.renewal.entries()}
        return json.dumps({**found, **more}, indent=2)


def publish(request: PublishRequest) -> PublishReport:
    """Make and write a release.

    Raises:
        TableError: sizes that cannot be drafted, one line each; a release lacks none.
        DraftError: a file, a field of the request, the design or the table is at fault, a library for vectors or lays
            is not installed, or the folder cannot be written.
    """
    asked: PublishRequest = of_kind("request", request, PublishRequest, DraftError)
    workers = workers_named(asked.workers)
    media = media_of(asked.pages, asked.rolls, asked.projections, otherwise=MEDIA)
    papers = [paper for paper in media if paper.home] or [A4]
    cloths = cloths_of(asked.cloths or (CLOTH_WIDTH,), asked.selvedge, asked.lay)
    rules, buying = LayRules(one_way=asked.one_way), buying_of(asked.shrinkage)
    search = search_of(asked.seconds)
    design, table = design_and_sizes(asked.design, asked.sizes)
    check_names(design, (size.label for size in table.sizes))
    rises, folder = rises_of(asked.rises, design), str(asked.out)
    lays = lays_of(asked.lays, asked.design)

    with bar("files") as progress, writing(folder) as place:
        before = earlier(place.goal, design.name, Kind.RELEASE, named=folder)
        made = draft_range(design, table, rises=rises, cloth=cloths[0])
        if made.failures:
            raise TableError(*map(str, made.failures))
        expect("lays", len(cloths) * len(made.rises) * len(table.sizes))
        expect("guides", len(papers))
        work = partial(shared, workers=workers, progress=progress)
        patterns, warnings = _patterns(made, media, work)
        others = [draft_range(design, table, rises=rises, cloth=cloth) for cloth in cloths[1:]]
        done = lay_all(wanted_lays([made, *others]), lays, design, rules, buying, search)
        plans = [
            OutputFile(name, TABLES.get(name, "lay plans: how the pieces lie on the cloth"), data)
            for name, data in lay_files(done, design, rules, buying, papers).items()
        ]
        files = [(part.name, part.about) for part in (*patterns, *plans)]
        tasks = [partial(_guide, paper, made, done, buying, rules, cloths, files) for paper in papers]
        with bar("guides") as guided:
            guides = shared(tasks, workers=workers, progress=guided)
        parts = (*guides, *patterns, *plans)
        renewed = renew(place, before, made, parts, Kind.RELEASE)
    return PublishReport(made, folder, parts, (*made.warnings, *warnings), renewed)


def _patterns(made: SizeRange, media: Sequence[Paper], work: Work) -> tuple[list[OutputFile], tuple[str, ...]]:
    """The patterns on every medium and as vectors, and their tables; and what the grading warns of."""
    tasks: list[Callable[[], Any]] = [partial(tabulated, made)]
    tasks += [partial(_printed, job) for job in printings_of(made, media)]
    tasks += [partial(_vectors, group) for group in made.groups]
    (tables, warnings), *parts = work(tasks)
    named = [OutputFile(name, TABLES[name], data) for name, data in tables.items()]
    return [*(part for some in parts for part in some), *named], warnings


def _printed(job: Printing) -> list[OutputFile]:
    """One file of the patterns."""
    file, data = printed(job)
    return [OutputFile(file.name, about_of(job.paper, file.sizes), data)]


def _vectors(group: Group) -> list[OutputFile]:
    """A group's nests as SVG and its pieces as DXF."""
    garments, stem = group.garments, group_stem(group)
    design, pieces = garments[0].design, [piece for garment in garments for piece in garment.pieces]
    span = sizes_span(garments[0].size, garments[-1].size)
    return [
        OutputFile(f"{stem}.svg", f"{span}: for drawing programs and cutters", nest_svg(pieces, design=design.name)),
        OutputFile(
            f"{stem}.dxf",
            f"{span}: for cutting-room systems",
            pattern_dxf(pieces, design=design.name, workroom=design.workroom),
        ),
    ]


def _guide(
    paper: Paper,
    made: SizeRange,
    done: Sequence[WantedLay],
    buying: Buying,
    rules: LayRules,
    cloths: Sequence[Cloth],
    files: Sequence[tuple[str, str]],
) -> OutputFile:
    """The guide, with what to buy for every size and the lays of the smallest, middle and largest."""
    labels = [size.label for size in made.table.sizes]
    shown = {labels[0], labels[len(labels) // 2], labels[-1]}
    width, height = lay_room(paper)
    data = guide_pdf(
        made.garments,
        design=made.design,
        table=made.table,
        paper=paper,
        cloths=told_cloths(cloths[0], cloths),
        needs=[ClothNeed(one.size, one.rise, one.cloth, one.need) for one in done if one.need],
        buying=buying,
        rules=rules,
        lays=[
            (one.page.title, lay_drawing(one.page.plan, width=width, height=height))
            for one in done
            if one.page and one.size in shown
        ],
        files=files,
    )
    return OutputFile(f"{design_stem(made.design.name)}-guide-{paper.name}.pdf", "the guide: start here", data)
