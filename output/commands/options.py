"""What the fields of several requests mean: papers, rises, cloth, and the sizes to take from a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from blocks.cloth import Cloth, Lay, cloth_length
from blocks.design import Design
from blocks.fitting import fitting_from
from blocks.known import block_of
from blocks.label import LABEL_LENGTH, tidy
from blocks.measurements import Body, labelled_body
from blocks.quantity import Number, read_number, shown
from blocks.read_design import design_from
from blocks.size_table import SizeTable, size_table_from
from drafting.errors import DraftError
from drafting.units import MILLIMETRES
from output.paper.sizes import A4, PROJECTIONS, Paper, paper_named, roll_named
from output.system.reading import read_sizes, read_toml

CLOTH_WIDTH: Final = Cloth().width / MILLIMETRES["cm"]
SELVEDGE: Final = Cloth().selvedge / MILLIMETRES["cm"]
"""cm; of the cloth when none is named."""


def design_of(given: str | Path | Design) -> Design:
    """The design that was given, or that is in the file of that name.

    Raises:
        DraftError: the file cannot be read, or the design in it is at fault.
    """
    return given if isinstance(given, Design) else design_from(read_toml(given))


def design_and_sizes(design: str | Path | Design, sizes: str | Path | SizeTable) -> tuple[Design, SizeTable]:
    """A design and a size table that were given, or are in the files of these names.

    Raises:
        DraftError: a file cannot be read, or what is in it is at fault: a row lacks what the design's block needs.
    """
    made = design_of(design)
    if isinstance(sizes, SizeTable):
        return made, sizes
    return made, size_table_from(read_sizes(sizes), needs=block_of(made).needs)


def body_of(given: str | Path | Body, design: Design, adjust: Mapping[str, Number] | None = None) -> tuple[str, Body]:
    """A size label, empty if there is none, and the body that was given, or both from the file of that name.

    It must have what the design's block needs. `adjust` is what a fitting found on it, in the unit of the file, or in
    cm, over what the file or the body says of that.

    Raises:
        DraftError: the file cannot be read, or what is in it, or to adjust, is at fault.
    """
    if isinstance(given, Body):
        return "", replace(given, fitting=fitting_from(adjust or {}, "cm", over=given.fitting))
    return labelled_body(read_toml(given), needs=block_of(design).needs, adjust=adjust)


def papers_of(names: Sequence[str]) -> list[Paper]:
    """The papers of a home printer that were named, each once; A4 when none was.

    Raises:
        DraftError: no paper has that name, or it is for patterns alone.
    """
    papers = list(dict.fromkeys(paper_named(name) for name in names)) or [A4]
    for paper in papers:
        if not paper.home:
            raise DraftError(f"paper: {paper.name} is for patterns alone; choose A4 or Letter")
    return papers


def media_of(
    pages: Sequence[str], rolls: Sequence[Number], projections: Sequence[str], *, otherwise: Sequence[Paper] = (A4,)
) -> list[Paper]:
    """All that patterns were asked for on: papers, rolls in mm and projections, each once; if nothing was, `otherwise`.

    Raises:
        DraftError: no paper and no projection has that name, or a roll's width is none.
    """
    papers = [paper_named(name) for name in pages]
    papers += [roll_named(width) for width in rolls]
    for ground in projections:
        if ground not in PROJECTIONS:
            raise DraftError(f"projection: {shown(ground)} is unknown; choose one of {', '.join(PROJECTIONS)}")
        papers.append(PROJECTIONS[ground])
    return list(dict.fromkeys(papers)) or list(otherwise)


def rises_of(names: Sequence[str], design: Design) -> tuple[str, ...]:
    """The rises that were named, each once; all of the design's block when none was.

    Raises:
        DesignError: the block has no such rise.
    """
    return block_of(design).rises_named(names)


def cloth_of(width: Number, selvedge: Number, lay: Lay) -> Cloth:
    """The cloth of the options, whose lengths are in cm.

    Raises:
        DesignError: a length is not a number, or outside its range.
    """
    return Cloth(
        width=cloth_length("width", read_number(width), "cm", name="cloth"),
        selvedge=cloth_length("selvedge", read_number(selvedge), "cm", name="selvedge"),
        lay=lay,
    )


def cloths_of(widths: Iterable[Number], selvedge: Number, lay: Lay) -> list[Cloth]:
    """The cloths of these widths, each once.

    Raises:
        DesignError: see `cloth_of`.
    """
    return list(dict.fromkeys(cloth_of(width, selvedge, lay) for width in widths))


def only(table: SizeTable, labels: str | Sequence[str]) -> SizeTable:
    """The table cut down to the sizes that were named, in its own order: as one text, `H100,H104`, or each by itself.

    No label at all means every size.

    Raises:
        MeasurementError: the table has no size of that label.
    """
    if not isinstance(labels, str) and not labels:
        return table
    kept = {table.size(label).label for label in (_parted(labels, table) if isinstance(labels, str) else labels)}
    return replace(table, sizes=tuple(size for size in table.sizes if size.label in kept))


def _parted(labels: str, table: SizeTable) -> Iterator[str]:
    """The labels in one text; a label may hold commas itself: the longest that the table has is meant."""
    known = {size.label for size in table.sizes}
    parts = labels.split(",")
    while parts:
        ends = (end for end in range(min(len(parts), LABEL_LENGTH), 1, -1) if tidy(",".join(parts[:end])) in known)
        end = next(ends, 1)
        yield ",".join(parts[:end])
        parts = parts[end:]
