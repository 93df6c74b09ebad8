"""What the options of several commands mean: papers, rises, cloth and the sizes to take from a table."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace

from blocks.cloth import Cloth, Lay, cloth_length
from blocks.design import Design
from blocks.known import block_of
from blocks.label import LABEL_LENGTH, tidy
from blocks.lay import Search
from blocks.parameters import parameters_of
from blocks.quantity import finite, read_number, shown
from blocks.read_design import design_from
from blocks.requirement import Buying
from blocks.size_table import SizeTable, size_table_from
from drafting.errors import DraftError
from output.paper.sizes import A4, PROJECTIONS, Paper, paper_named, roll_named
from output.system.reading import read_sizes, read_toml


def papers_of(names: Sequence[str] | None) -> list[Paper]:
    """The papers of a home printer that were named, each once; A4 when none was.

    Raises:
        DraftError: no paper has that name, or it is for patterns alone.
    """
    papers = list(dict.fromkeys(paper_named(name) for name in names or ["A4"]))
    for paper in papers:
        if paper.wide or paper.screen:
            raise DraftError(f"paper: {paper.name} is for patterns alone; choose A4 or Letter")
    return papers


def media_of(arguments: Namespace) -> list[Paper]:
    """All that patterns were asked for on: papers, rolls and projections, each once; A4 when none was named.

    Raises:
        DraftError: no paper has that name, or a roll's width is none.
    """
    papers = [paper_named(name) for name in arguments.page or ()]
    rolls = [roll_named(width) for width in arguments.roll or ()]
    projections = [PROJECTIONS[ground] for ground in arguments.projection or ()]
    return list(dict.fromkeys((*papers, *rolls, *projections))) or [A4]


def design_and_sizes(design: str, sizes: str) -> tuple[Design, SizeTable]:
    """The design in a file, and the size table in another, with what the design's block needs of a body.

    Raises:
        DraftError: a file cannot be read, or what is in it is at fault.
    """
    found = design_from(read_toml(design))
    return found, size_table_from(read_sizes(sizes), needs=block_of(found).needs)


def rises_of(names: Sequence[str] | None, design: Design) -> tuple[str, ...]:
    """The rises that were named, each once; all of the design's block when none was.

    Raises:
        DesignError: the block has no such rise.
    """
    return block_of(design).rises_named(names)


def cloth_of(width: str | None, selvedge: str | None, lay: str) -> Cloth:
    """The cloth of the options, whose lengths are in cm; what was not given keeps its default.

    Raises:
        DesignError: a length is not a number, or outside its range.
    """
    given = {"width": ("cloth", width), "selvedge": ("selvedge", selvedge)}
    lengths = {
        parameter: cloth_length(parameter, read_number(raw), "cm", name=name)
        for parameter, (name, raw) in given.items()
        if raw is not None
    }
    return Cloth(**lengths, lay=Lay(lay))


def only(table: SizeTable, labels: str | None) -> SizeTable:
    """The table cut down to the sizes that were named, as in `H100,H104`, in its own order.

    Raises:
        MeasurementError: the table has no size of that label.
    """
    if labels is None:
        return table
    known = {size.label for size in table.sizes}
    parts = labels.split(",")
    kept: set[str] = set()
    while parts:
        ends = (end for end in range(min(len(parts), LABEL_LENGTH), 1, -1) if tidy(",".join(parts[:end])) in known)
        end = next(ends, 1)  # a label may hold commas itself: the longest that the table has is meant
        kept.add(table.size(",".join(parts[:end])).label)
        parts = parts[end:]
    return replace(table, sizes=tuple(size for size in table.sizes if size.label in kept))


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
