"""What was drafted: on one screen for a reader, as tables for the printed first page, as JSON for a program."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from textwrap import wrap
from typing import Final

from blocks.garment import Garment
from blocks.haberdashery import Strip, column_of, columns_of, haberdashery, strips_by_column
from blocks.known import used_of
from blocks.measurements import Body
from blocks.words import isolated, runs
from drafting.units import show_cm, show_measure, show_small
from output.drawing.flow import Table
from output.paper.sizes import Spent
from output.system.names import on_line
from output.tables.amounts import cut_cells, cut_words
from output.tables.body import beyond_text, body_heading, estimates_text, how_well_known
from output.words import text as words

ELASTIC_HEADER: Final = ("Elastic", "width", "cut length", "quantity", "gather ratio")
STRETCH: Final = "stretch ratio"

MOVED: Final = "What the fitting has moved"

REMARKS: Final = "Please note"

RANGE_ELASTICS: Final = "{}: how many, how wide, and their cut length in cm (inches)"

WIDTH: Final = 80
"""Characters of a line."""


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A file that was written, its pages (None for a file that has none) and the sizes of a range in it.

    `alone` is true of a single size's file beside the nested ones.
    """

    name: str
    pages: int | None = None
    spent: Spent | None = None
    sizes: tuple[str, ...] = ()
    alone: bool = False


def told_pages(pages: int | None, spent: Spent | None) -> str:
    """The pages of a file after its name, and of a roll how much is printed; empty for a file without pages.

    >>> told_pages(21, None), told_pages(1, Spent(1, 1, 1344, 1343))
    (', 21 pages', ', 1 page, 134.4 cm long')
    """
    if pages is None:
        return ""
    length = "" if spent is None or spent.length is None else f", {show_cm(spent.length)} long"
    return f", {words.count(pages, 'page')}{length}"


def told_spent(spent: Spent | None) -> dict[str, float | None] | None:
    """The paper that a file takes, for JSON; lengths in mm."""
    return None if spent is None else dataclasses.asdict(spent)


def summary_json(garment: Garment, files: Sequence[MadeFile], folder: str) -> str:
    """The summary as one JSON object, lengths in mm and unrounded."""
    body = {name: _known(garment.body, name) for name in used_of(garment.design, garment.body)}
    elastics = [
        {
            "use": elastic.use,
            "name": elastic.label,
            "elastic_width": elastic.elastic_width,
            "cut_length": elastic.cut_length,
            "quantity": elastic.quantity,
            "gather_ratio": elastic.gather,
            "stretch_ratio": elastic.stretch,
        }
        for elastic in garment.elastics
    ]
    document = {
        "design": garment.design.name,
        "workroom": garment.design.workroom,
        "size": garment.size,
        "rise": garment.rise,
        "unit": "mm",
        "body": body,
        "split": garment.split,
        "measures": dict(garment.measures),
        "elastics": elastics,
        "proofs": dataclasses.asdict(garment.proofs),
        "folder": folder,
        "files": [{"name": made.name, "pages": made.pages, "spent": told_spent(made.spent)} for made in files],
        "adjusted": _adjusted(garment),
        "warnings": garment.warnings,
        "notes": garment.notes,
    }
    return json.dumps(document, indent=2)


def _known(body: Body, name: str) -> dict[str, object]:
    """A measurement; of an estimate its error, and in which measurements the body is beyond those of its rule."""
    found: dict[str, object] = {"value": body.known(name), "estimated": name in body.estimated}
    estimate = body.estimate(name)
    return {**found, "error": estimate.error, "beyond": body.strange(name)} if estimate else found


def _adjusted(garment: Garment) -> dict[str, object] | None:
    made = garment.adjusted
    if made is None:
        return None
    return {
        "found": made.fitting.found,
        "points": [{"name": one.name, "out": one.out, "up": one.up} for one in made.points],
        "edges": [{"name": one.name, "before": one.before, "after": one.after} for one in made.edges],
    }


def summary_tables(garment: Garment) -> tuple[Table, ...]:
    """The tables of the printed first page: finished measures, elastics, the body drafted for, and remarks."""
    body, names = garment.body, used_of(garment.design, garment.body)
    measured = [(words.spoken(name), show_measure(body.known(name)), how_well_known(body, name)) for name in names]
    beyond = beyond_text(body, names)
    remarks = tuple((remark,) for remark in (*garment.notes, *garment.warnings, *filter(None, (beyond,))))
    return (
        Table(_heading(garment), tuple(_measures(garment))),
        _elastic_table(garment),
        Table(body_heading(body, names), tuple(measured)),
        *([Table(MOVED, garment.adjusted.moved)] if garment.adjusted else []),
        *([Table(REMARKS, remarks)] if remarks else []),
    )


def range_tables(garments: Sequence[Garment]) -> tuple[Table, ...]:
    """The tables of the first pages of several sizes: elastics and remarks, each size's rows on its layer."""
    takes = [haberdashery(garment) for garment in garments]
    ordered = columns_of(takes)
    header = [f"{isolated(one.name)}: {one.quantity}, {show_small(one.width)} wide" for one in ordered]
    rows = []
    for garment, strips in zip(garments, map(strips_by_column, takes), strict=True):
        rows.append((garment.size, *(_length(strips.get(column_of(one))) for one in ordered)))
    remarks: dict[str, list[Garment]] = {}
    for garment in garments:
        # What is unusual in a size table is the designer's to know, in the report; the sewist chose a size from it.
        told = (warning for warning in garment.warnings if warning not in garment.body.warnings)
        for remark in (*garment.notes, *told):
            remarks.setdefault(remark, []).append(garment)
    labels = [garment.size for garment in garments]
    noted = tuple((runs(labels, [garment.size for garment in having]), remark) for remark, having in remarks.items())
    layers = tuple(tuple(garment.size for garment in having) for having in remarks.values())
    return (
        Table(
            RANGE_ELASTICS.format(_strips(any(each.trims for each in takes))),
            tuple(rows),
            ("Size", *header),
            tuple((garment.size,) for garment in garments),
        ),
        *([Table(REMARKS, noted, layers=layers)] if noted else []),
    )


def _strips(trimmed: bool) -> str:
    return "Elastics and trim" if trimmed else "Elastics"


def _length(strip: Strip | None) -> str:
    """A length to cut as bare cm and inches; of a strip that a size lacks, none."""
    return "none" if strip is None else "{} ({})".format(*cut_cells(strip))


def summary_text(garment: Garment, files: Sequence[MadeFile], folder: str) -> str:
    """The summary as lines of a terminal, lengths in cm and inches."""
    by = f", {garment.design.workroom}" if garment.design.workroom else ""
    lines = [f"{garment.design.name}{by}: size {garment.label}"]
    lines += wrap("Cut " + ", ".join(f"{piece.cut_count} × {piece.title.lower()}" for piece in garment.pieces), WIDTH)
    lines += ["", _heading(garment), *_two_abreast(_measures(garment))]
    lines += ["", *_aligned([ELASTIC_HEADER, *_elastics(garment)])]
    if garment.adjusted:
        lines += ["", MOVED, *_aligned([("", ""), *garment.adjusted.moved])[1:]]
    lines += ["", f"Files in {on_line(folder)}"]
    lines += [f"  {made.name}{told_pages(made.pages, made.spent)}" for made in files]
    remarks = [f"Note: {note}" for note in garment.notes] + [f"Warning: {warning}" for warning in garment.warnings]
    names = used_of(garment.design, garment.body)
    if beyond := beyond_text(garment.body, names):
        remarks.append(f"Note: {beyond}")
    if estimates := estimates_text(garment.body, names):
        remarks.insert(0, estimates)
    if remarks:
        lines.append("")
    for remark in remarks:
        lines += wrap(remark, WIDTH, subsequent_indent="  ")
    return "\n".join(lines)


def _heading(garment: Garment) -> str:
    drawn_in = " and ".join(map(words.spoken, garment.drawn_in))
    return f"Finished measures, before elastic{f' but for the {drawn_in}' if drawn_in else ''}"


def _measures(garment: Garment) -> list[tuple[str, str]]:
    return [(words.spoken(name), show_measure(value)) for name, value in garment.measures.items()]


def _elastics(garment: Garment) -> list[tuple[str, ...]]:
    takes = haberdashery(garment)
    gathers = [f"{elastic.gather:.2f}" for elastic in garment.elastics] + ["" for _ in takes.trims]
    return [
        (strip.name, show_small(strip.width), cut_words(strip), str(strip.quantity), gather)
        for strip, gather in zip((*takes.elastics, *takes.trims), gathers, strict=True)
    ]


def _elastic_table(garment: Garment) -> Table:
    """The elastics of the printed page, which has room for one ratio more than a terminal."""
    stretches = [f"{elastic.stretch:.2f}" for elastic in garment.elastics]
    rows = [(*row, stretch) for row, stretch in zip_longest(_elastics(garment), stretches, fillvalue="")]
    return Table(_strips(bool(garment.trims)), tuple(rows), (*ELASTIC_HEADER, STRETCH))


def _aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns, all but the first set in by two."""
    return words.in_columns([(f"  {row[0]}" if number else f"{row[0]}  ", *row[1:]) for number, row in enumerate(rows)])


def _two_abreast(pairs: Sequence[tuple[str, str]]) -> list[str]:
    """Two pairs to a line, set in by two and read down the left column first."""
    half = (len(pairs) + 1) // 2
    right = [*pairs[half:], ("", "")][:half]
    return _aligned([("", "", "", ""), *((*one, *other) for one, other in zip(pairs[:half], right, strict=True))])[1:]
