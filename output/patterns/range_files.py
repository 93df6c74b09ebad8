"""The files of a range's patterns: which there are, and each of them made, by whatever process."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from blocks.grade import grade
from blocks.size_range import Group, SizeRange
from output.drawing.sheet import Pen
from output.drawing.size_lines import size_pens
from output.formats.pattern_json import pattern_json
from output.paper.sizes import Paper
from output.patterns.file_names import chosen_stem, group_stem, size_stem
from output.patterns.pattern_pdf import nest_pdf, pattern_pdf
from output.system.names import stems, together
from output.tables.range import grade_csv, tables_csv, tables_json
from output.tables.summary import MadeFile


@dataclass(frozen=True, slots=True)
class Printing:
    """One file to be made by any process: a nest on a paper, or without a paper its pieces, or a single size."""

    name: str
    group: Group
    pens: Mapping[str, Pen]
    paper: Paper | None = None
    nested: bool = True


def printings_of(
    made: SizeRange, papers: Sequence[Paper], chosen: tuple[str, ...] | None = None, *, each: bool = False
) -> list[Printing]:
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
        garments = tuple(garment for garment in whole.garments if chosen is None or garment.size in chosen)
        if not garments:
            continue
        group, own = replace(whole, garments=garments), {garment.size: pens[garment.size] for garment in garments}
        some = "" if chosen is None else f"-{chosen_stem([sizes[label] for label in own], list(sizes.values()))}"
        nests += [Printing(f"{group_stem(group)}{some}-{paper.name}.pdf", group, own, paper) for paper in papers]
        nests.append(Printing(f"{group_stem(group)}{some}-pieces.json", group, own))
        for garment in garments if each else ():
            alone = replace(group, garments=(garment,))
            own_stem = size_stem(garment, sizes[garment.size])
            singles += [Printing(f"{own_stem}-{paper.name}.pdf", alone, {}, paper, nested=False) for paper in papers]
    return list(together((job.name, job) for job in nests + singles).values())


def printed(job: Printing) -> tuple[MadeFile, bytes]:
    """One file of the range."""
    garments = job.group.garments
    labels = tuple(garment.size for garment in garments)
    if job.paper is None:
        return MadeFile(job.name, sizes=labels), pattern_json(
            [piece for garment in garments for piece in garment.pieces], of=garments
        )
    pdf = nest_pdf(job.group, job.pens, job.paper) if job.nested else pattern_pdf(garments[0], job.paper)
    return MadeFile(job.name, pdf.pages, pdf.spent, labels, alone=not job.nested), pdf.data


def tabulated(made: SizeRange) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """The tables of a range by their file names, and what its grading warns of."""
    graded = grade(made.garments)
    tables = {"tables.csv": tables_csv(made), "tables.json": tables_json(made), "grade.csv": grade_csv(graded)}
    return tables, graded.warnings
