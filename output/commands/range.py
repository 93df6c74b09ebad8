"""The range command: every size of a table drafted, nested by rise and by how its leg is cut, and written at once."""

from __future__ import annotations

import json
from argparse import Namespace
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from hashlib import sha256
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

from blocks.grade import grade
from blocks.read_design import design_from
from blocks.short import Short
from blocks.size_range import Group, SizeRange, draft_range
from blocks.size_table import size_table_from
from drafting.errors import DraftError
from drafting.piece import Piece
from output.commands.draft import file_stem, large_pdf, pattern_pdf
from output.commands.options import cloth_of, media_of, only, rises_of
from output.drawing.sheet import Pen
from output.drawing.size_lines import size_pens
from output.formats.pattern_json import pattern_json
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
from output.paper.sizes import Paper, Spent
from output.patterns.nested import nested_pdf
from output.patterns.tiled import TiledPdf
from output.system.files import writing
from output.system.names import design_stem, on_line, stems, together
from output.system.reading import read_sizes, read_toml
from output.tables.range import grade_csv, tables_csv, tables_json
from output.tables.summary import WIDTH, range_tables, told_pages, told_spent
from output.words import text as words
from output.words.letters import check_names

if TYPE_CHECKING:
    from output.patterns.projection import ProjectionPdf
    from output.patterns.wide import WidePdf

Work = Callable[[Sequence[Callable[[], Any]]], list[Any]]
"""What does tasks and returns their results, as `output.system.pool.shared`."""

SCREEN: Final = 24
"""Lines of a terminal; JSON has what they have no room for."""

MOST_NAMED: Final = 4
"""Labels of chosen sizes that a file's name holds one by one."""

MOST_NAMED_BYTES: Final = 130
"""Bytes that a file's name has for them."""


@dataclass(frozen=True, slots=True)
class Made:
    """A file that was written, the sizes in it, and its pages: None for a file that has none.

    `alone` is true of a single size's file beside the nested ones.
    """

    name: str
    sizes: tuple[str, ...]
    pages: int | None = None
    alone: bool = False
    spent: Spent | None = None


@dataclass(frozen=True, slots=True)
class Published:
    """What became of a range. `files` is empty when nothing was written."""

    drafted: SizeRange
    folder: str
    files: tuple[Made, ...]
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
        head = [
            f"{made.design.name}{by}: {words.count(len(labels), 'size')}, {words.sizes_span(labels[0], labels[-1])}, "
            f"{' and '.join(made.rises)} rise",
            *(f"Legs: {sentence}" for sentence in made.splitting),
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
            "rises": made.rises,
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


def _told(files: Sequence[Made]) -> list[str]:
    """A line for each file, and one for all those of single sizes."""
    lines = []
    for file in files:
        pages = told_pages(file.pages, file.spent)
        sizes = f", {words.sizes_span(file.sizes[0], file.sizes[-1])}" if file.sizes else ""
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


def write_range(arguments: Namespace, work: Work) -> Published:
    """Draft and write what the command line asks for: all files at once, or none.

    A size that cannot be drafted is left out and told; with `strict` nothing is written then.

    Raises:
        DraftError: a file, an option, the design or the table is at fault, no size can be drafted, or the folder cannot
            be written.
    """
    papers = media_of(arguments)
    design, table = design_from(read_toml(arguments.design)), size_table_from(read_sizes(arguments.sizes))
    check_names(design, (size.label for size in table.sizes))
    cloth = cloth_of(arguments.cloth, arguments.selvedge, arguments.lay)
    chosen = None if arguments.only is None else tuple(size.label for size in only(table, arguments.only).sizes)
    rises = rises_of(arguments.rise)
    with writing(arguments.out) as place:
        before = earlier(place.goal, design.name, Kind.RANGE, named=arguments.out)
        made = draft_range(design, table, rises=rises, cloth=cloth, fit=arguments.fit)
        if made.failures and arguments.strict:
            return Published(made, arguments.out, (), (*made.warnings, *grade(made.shorts).warnings))
        jobs = jobs_of(made, papers, chosen, each=arguments.each)
        if not jobs:
            raise DraftError(f"sizes: none of those to print could be drafted; {made.failures[0]}")
        (tables, warnings), *files = work([partial(tabulated, made), *(partial(write, job) for job in jobs)])
        parts = [
            *(
                Part(file.name, about_of(job.paper, file.sizes), data)
                for job, (file, data) in zip(jobs, files, strict=True)
            ),
            *(Part(name, TABLES[name], data) for name, data in tables.items()),
        ]
        named = [(part.name, part.data) for part in parts]
        all_files = together([*named, (MANIFEST, manifest(made, parts, Kind.RANGE))])
        renewed = renewal(place.goal, before, all_files)
        place.put(all_files, without=renewed.removed)
    return Published(
        made,
        arguments.out,
        (*(file for file, _ in files), *(Made(name, ()) for name in (*tables, MANIFEST))),
        (*made.warnings, *warnings),
        renewed,
    )


def tabulated(made: SizeRange) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """The tables of a range by their file names, and what its grading warns of."""
    graded = grade(made.shorts)
    tables = {"tables.csv": tables_csv(made), "tables.json": tables_json(made), "grade.csv": grade_csv(graded)}
    return tables, graded.warnings


@dataclass(frozen=True, slots=True)
class Job:
    """One file to be made by any process: a nest on a paper, or without a paper its pieces, or a single size."""

    name: str
    group: Group
    pens: Mapping[str, Pen]
    paper: Paper | None = None
    nested: bool = True


def jobs_of(
    made: SizeRange, papers: Sequence[Paper], chosen: tuple[str, ...] | None = None, *, each: bool = False
) -> list[Job]:
    """The files of a range: each group nested on every paper, and its pieces; only the `chosen` sizes when given.

    With `each` there is a file of every size on every paper as well. How a size is named in files depends on the whole
    table, not on the choice.

    Raises:
        OutputError: two of them would have one name.
    """
    labels = [size.label for size in made.table.sizes]
    pens, sizes = size_pens(labels), stems(labels)
    nests, singles = [], []
    for whole in made.groups:
        shorts = tuple(short for short in whole.shorts if chosen is None or short.size in chosen)
        if not shorts:
            continue
        group, own = replace(whole, shorts=shorts), {short.size: pens[short.size] for short in shorts}
        some = "" if chosen is None else f"-{_named([sizes[label] for label in own], list(sizes.values()))}"
        nests += [Job(f"{stem_of(group)}{some}-{paper.name}.pdf", group, own, paper) for paper in papers]
        nests.append(Job(f"{stem_of(group)}{some}-pieces.json", group, own))
        for short in shorts if each else ():
            alone = replace(group, shorts=(short,))
            own_stem = file_stem(short, sizes[short.size])
            singles += [Job(f"{own_stem}-{paper.name}.pdf", alone, {}, paper, nested=False) for paper in papers]
    return list(together((job.name, job) for job in nests + singles).values())


def stem_of(group: Group) -> str:
    """How the files of a group are named: design, rise, and how its legs are cut."""
    return f"{design_stem(group.shorts[0].design.name)}-{group.rise.value}-{'split' if group.split else 'whole'}"


def _named(sizes: Sequence[str], table: Sequence[str]) -> str:
    """The stems of chosen sizes as one, short enough for a file's name, and not those of another choice.

    >>> _named(["36", "38"], ["36", "38"]), _named(["36", "38"], ["36", "36-38", "38"])
    ('36-38', '36_38')
    >>> _named(["S", "M", "L", "XL", "2XL"], ["XS", "S", "M", "L", "XL", "2XL"])
    'S-to-2XL-5-sizes'
    >>> _named(["XS", "S", "M", "L", "2XL"], ["XS", "S", "M", "L", "XL", "2XL"])
    'XS-to-2XL-5-sizes-38f2a3'
    """
    named = ("_" if any("-" in size for size in table) else "-").join(sizes)
    if len(sizes) <= MOST_NAMED and len(named.encode()) <= MOST_NAMED_BYTES:
        return named
    start = table.index(sizes[0])
    told = f"{sizes[0]}-to-{sizes[-1]}-{len(sizes)}-sizes"
    gaps = list(sizes) != list(table[start : start + len(sizes)])
    return f"{told}-{sha256(' '.join(sizes).encode()).hexdigest()[:6]}" if gaps else told


def write(job: Job) -> tuple[Made, bytes]:
    """One file of the range."""
    shorts = job.group.shorts
    labels = tuple(short.size for short in shorts)
    if job.paper is None:
        return Made(job.name, labels), pattern_json([piece for short in shorts for piece in short.pieces])
    pdf = _nested(job.group, job.pens, job.paper) if job.nested else pattern_pdf(shorts[0], job.paper)
    return Made(job.name, labels, pdf.pages, not job.nested, pdf.spent), pdf.data


def _nested(group: Group, pens: Mapping[str, Pen], paper: Paper) -> TiledPdf | WidePdf | ProjectionPdf:
    design, rise = group.shorts[0].design, group.rise.value
    stacks, tables = stacks_of(group.shorts), range_tables(group.shorts)
    heading = words.layer_group(rise, split=group.split)
    if paper.screen or paper.wide:
        return large_pdf(stacks, pens, paper, design, rise, heading, tables)
    return nested_pdf(
        stacks,
        pens,
        paper=paper,
        title=design.name,
        rise=rise,
        group=heading,
        author=design.workroom,
        tables=tables,
    )


def stacks_of(shorts: Sequence[Short]) -> list[tuple[Piece, ...]]:
    """The pieces of several sizes, those of one name together."""
    stacks: dict[str, list[Piece]] = {}
    for short in shorts:
        for piece in short.pieces:
            stacks.setdefault(piece.name, []).append(piece)
    return [tuple(stack) for stack in stacks.values()]
