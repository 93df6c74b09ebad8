"""The publish command: a whole release of a design in one folder, written at once, with a manifest of what is in it.

A release is the patterns of a size range on every paper and as vectors, their tables, the lay plans and the guide.
It is all made before any of it is written: a run that fails or is stopped leaves the release before it untouched.
"""

from __future__ import annotations

import json
from argparse import Namespace
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

from blocks.cloth import Cloth
from blocks.lay import LayRules, Search
from blocks.requirement import Buying, required
from blocks.size_range import Group, SizeRange, draft_range
from blocks.words import sizes_span
from drafting.errors import TableError
from output.commands.options import cloth_of, design_and_sizes, media_of, rises_of, seconds_of, share_of
from output.formats.dxf import pattern_dxf
from output.formats.svg import nest_svg
from output.guide.book import ClothNeed, guide_pdf, lay_room
from output.guide.cloths import told_cloths
from output.inspection.manifest import (
    MANIFEST,
    NOTHING_ELSE,
    TABLES,
    Kind,
    Part,
    Renewal,
    about_of,
    earlier,
    manifest,
    renewal,
)
from output.lays.file import LayFile, lay_file_of
from output.lays.plan import lay_drawing
from output.lays.requirement import lay_files
from output.lays.wanted import WantedLay, laid, laying, wanted_lays
from output.paper.sizes import A4, LETTER, PROJECTIONS, Paper, paper_named, roll_named
from output.patterns.file_names import group_stem
from output.patterns.range_files import Printing, printed, printings_of, tabulated
from output.system.files import writing
from output.system.names import design_stem, on_line, together
from output.system.pool import bar, shared, workers_named
from output.words import text as words
from output.words.letters import check_names

MEDIA: Final = (A4, LETTER, paper_named("A0"), roll_named("914"), PROJECTIONS["light"])
"""What a release holds when no page is named."""

CLOTH: Final = "140"
"""cm; the cloth that legs are split for, and laid on, when none is named."""


@dataclass(frozen=True, slots=True)
class Release:
    """What was published."""

    made: SizeRange
    folder: str
    parts: tuple[Part, ...]
    warnings: tuple[str, ...]
    renewal: Renewal = NOTHING_ELSE

    def text(self) -> str:
        """The release, a line for each file."""
        labels = [size.label for size in self.made.table.sizes]
        span = f"{words.count(len(labels), 'size')}, {sizes_span(labels[0], labels[-1])}"
        longest = max(len(part.name) for part in self.parts)
        return "\n".join(
            (
                f"{self.made.design.name}: {span}",
                *(f"{self.made.parts}: {sentence}" for sentence in self.made.splitting),
                *(f"Warning: {warning}" for warning in self.warnings),
                *self.renewal.lines(),
                f"Files in {on_line(self.folder)}",
                *(f"  {part.name:<{longest}}  {part.about}" for part in self.parts),
            )
        )

    def json(self) -> str:
        """The manifest, with the folder, the warnings and what became of other files."""
        found = json.loads(manifest(self.made, self.parts, Kind.RELEASE))
        more = {"folder": self.folder, "warnings": self.warnings, **self.renewal.entries()}
        return json.dumps({**found, **more}, indent=2)


def publish(arguments: Namespace) -> Release:
    """Make and write a release.

    Raises:
        TableError: sizes that cannot be drafted, one line each; a release lacks none.
        DraftError: a file, an option, the design or the table is at fault, a library for vectors or lays is not
            installed, or the folder cannot be written.
    """
    workers = workers_named(arguments.workers)
    media = media_of(arguments) if arguments.page or arguments.roll or arguments.projection else list(MEDIA)
    papers = [paper for paper in media if not (paper.wide or paper.screen)] or [A4]
    cloths = [cloth_of(raw, arguments.selvedge, arguments.lay) for raw in arguments.cloth or (CLOTH,)]
    rules, buying = LayRules(one_way=arguments.one_way), Buying(shrinkage=share_of("shrinkage", arguments.shrinkage))
    search = Search(seconds=seconds_of(arguments.seconds))
    design, table = design_and_sizes(arguments.design, arguments.sizes)
    check_names(design, (size.label for size in table.sizes))
    rises = rises_of(arguments.rise, design)
    lays = LayFile(arguments.lays or lay_file_of(arguments.design))

    with bar("files") as progress, writing(arguments.out) as place:
        before = earlier(place.goal, design.name, Kind.RELEASE, named=arguments.out)
        made = draft_range(design, table, rises=rises, cloth=cloths[0])
        if made.failures:
            raise TableError(*map(str, made.failures))
        tasks: list[Callable[[], Any]] = [partial(tabulated, made)]
        tasks += [partial(_printed, job) for job in printings_of(made, media)]
        tasks += [partial(_vectors, group) for group in made.groups]
        (tables, warnings), *made_parts = shared(tasks, workers=workers, progress=progress)
        patterns = [part for parts in made_parts for part in parts]
        patterns += [Part(name, TABLES[name], data) for name, data in tables.items()]
        others = [draft_range(design, table, rises=rises, cloth=cloth) for cloth in cloths[1:]]
        wanted = wanted_lays([made, *others])
        done = [laid(one, lays, design, rules, buying, search) for one in laying(wanted)]
        plans = [
            Part(name, TABLES.get(name, "lay plans: how the pieces lie on the cloth"), data)
            for name, data in lay_files(done, design, rules, buying, papers).items()
        ]
        needs = [
            ClothNeed(one.size, one.rise, one.cloth, required(one.page.plan.length, buying=buying))
            for one in done
            if one.page
        ]
        named = [(part.name, part.about) for part in (*patterns, *plans)]
        booklets = [partial(_guide, paper, made, done, needs, buying, rules, cloths, named) for paper in papers]
        guides = shared(booklets, workers=workers, progress=progress)
        parts = (*guides, *patterns, *plans)
        files = [(part.name, part.data) for part in parts]
        all_files = together([*files, (MANIFEST, manifest(made, parts, Kind.RELEASE))])
        renewed = renewal(place.goal, before, all_files)
        place.put(all_files, without=renewed.removed)
        return Release(made, arguments.out, parts, (*made.warnings, *warnings), renewed)


def _printed(job: Printing) -> list[Part]:
    """One file of the patterns."""
    file, data = printed(job)
    return [Part(file.name, about_of(job.paper, file.sizes), data)]


def _vectors(group: Group) -> list[Part]:
    """A group's nests as SVG and its pieces as DXF."""
    shorts, stem = group.garments, group_stem(group)
    design, pieces = shorts[0].design, [piece for short in shorts for piece in short.pieces]
    span = sizes_span(shorts[0].size, shorts[-1].size)
    return [
        Part(f"{stem}.svg", f"{span}: for drawing programs and cutters", nest_svg(pieces, design=design.name)),
        Part(
            f"{stem}.dxf",
            f"{span}: for cutting-room systems",
            pattern_dxf(pieces, design=design.name, workroom=design.workroom),
        ),
    ]


def _guide(
    paper: Paper,
    made: SizeRange,
    done: Sequence[WantedLay],
    needs: Sequence[ClothNeed],
    buying: Buying,
    rules: LayRules,
    cloths: Sequence[Cloth],
    files: Sequence[tuple[str, str]],
) -> Part:
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
        needs=needs,
        buying=buying,
        rules=rules,
        lays=[
            (one.page.title, lay_drawing(one.page.plan, width=width, height=height))
            for one in done
            if one.page and one.size in shown
        ],
        files=files,
    )
    return Part(f"{design_stem(made.design.name)}-guide-{paper.name}.pdf", "the guide: start here", data)
