"""The draft command: from the files and options that were named to a written pattern and its summary."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path as FilePath
from typing import TYPE_CHECKING

from blocks.garment import Garment
from blocks.known import block_of
from blocks.measurements import RANGES, Body, body_from, check_label, labelled_body
from blocks.quantity import read_number
from blocks.read_design import design_from
from blocks.size_range import draft_to_fit
from drafting.errors import MeasurementError, OutputError
from output.commands.options import cloth_of, media_of
from output.formats.pattern_json import pattern_json
from output.inspection.manifest import write_unlisted
from output.inspection.pdf_objects import LARGEST, PdfError, PdfFile
from output.inspection.record import CREATOR, info_of
from output.paper.sizes import Paper
from output.patterns.file_names import size_stem
from output.patterns.pattern_pdf import pattern_pdf
from output.system.names import stems, together
from output.system.reading import read_bytes, read_toml
from output.tables.summary import MadeFile, summary_json, summary_text
from output.words.letters import check_names

if TYPE_CHECKING:
    pass


def draft(arguments: Namespace) -> str:
    """Draft what the command line asks for, write it, and return the summary to print. Nothing is written on an error.

    Raises:
        DraftError: a file, an option, the design or the body is at fault, or the folder cannot be written.
    """
    papers = media_of(arguments)
    design = design_from(read_toml(arguments.design))
    size, body = _measured(arguments, block_of(design).needs)
    check_names(design, (size,))
    cloth = None if arguments.cloth is None else cloth_of(arguments.cloth, arguments.selvedge, arguments.lay)
    short = draft_to_fit(design, body, rise=arguments.rise, size=size, cloth=cloth, fit=arguments.fit)

    files, made = [], []
    for paper in _progress(papers):
        name, pdf = f"{size_stem(short)}-{paper.name}.pdf", pattern_pdf(short, paper)
        files.append((name, pdf.data))
        made.append(MadeFile(name, pdf.pages, pdf.spent))
    for name, data in _for_programs(short, svg=arguments.svg, dxf=arguments.dxf):
        files.append((name, data))
        made.append(MadeFile(name))
    for name, data in files:
        if name.endswith(".pdf"):
            _check_replaced(FilePath(arguments.out) / name, data)
    write_unlisted(arguments.out, together(files))
    return (summary_json if arguments.json else summary_text)(short, made, arguments.out)


def _check_replaced(path: FilePath, data: bytes) -> None:
    """See that a pattern is written over none of another name, as of size 36-38 over that of 36/38.

    Raises:
        OutputError: it would be.
    """
    if not path.is_file():
        return
    try:
        there = info_of(PdfFile(read_bytes(path, "PDF", LARGEST)))
    except PdfError:  # no pattern of ours that anybody could cut by
        return
    old, new = there.get("Title", ""), info_of(PdfFile(data))["Title"]
    if there.get("Creator") == CREATOR and old != new:
        raise OutputError(f"{path}: it is {old!r} and would be written over by {new!r}; choose another folder or label")


def _for_programs(short: Garment, *, svg: bool, dxf: bool) -> Iterator[tuple[str, bytes]]:
    """The pieces for other programs: as plain geometry, and if asked for as an SVG file each and as one DXF file."""
    design = short.design
    yield "pieces.json", pattern_json(short.pieces)
    if svg:
        from output.formats.svg import piece_svg  # noqa: PLC0415 - not needed for paper

        named = stems(piece.name for piece in short.pieces)
        for piece in short.pieces:
            yield f"{size_stem(short)}-{named[piece.name]}.svg", piece_svg(piece, design=design.name)
    if dxf:
        from output.formats.dxf import pattern_dxf  # noqa: PLC0415 - not needed for paper

        yield f"{size_stem(short)}.dxf", pattern_dxf(short.pieces, design=design.name, workroom=design.workroom)


def _measured(arguments: Namespace, needs: Sequence[str]) -> tuple[str, Body]:
    """The size label, empty for the default, and the body, from a file or from options."""
    given = {name: raw for name in RANGES if (raw := getattr(arguments, name)) is not None}
    if arguments.measurements is not None:
        if given or arguments.unit:
            named = ", ".join(given) or "--unit"
            raise MeasurementError(
                f"measurements: {named} given beside the file {arguments.measurements}; give one or the other"
            )
        size, body = labelled_body(read_toml(arguments.measurements), needs=needs)
    elif given:
        values = {name: read_number(raw) for name, raw in given.items()}
        size, body = "", body_from(values, unit=arguments.unit or "cm", needs=needs)
    else:
        raise MeasurementError(
            "measurements: missing; give a file of measurements, or --waist, --hip, --body-rise and --waist-to-hip"
        )
    return size if arguments.size is None else check_label(arguments.size), body


def _progress(papers: Sequence[Paper]) -> Iterable[Paper]:
    """The papers, with a bar on a terminal when they take longer than a second."""
    if not sys.stderr.isatty():
        return papers
    from tqdm import tqdm  # noqa: PLC0415 - slow to import, and often not needed

    return tqdm(papers, desc="pages", unit="file", delay=1, leave=False)
