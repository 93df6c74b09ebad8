"""What was drafted, on one screen for a reader or as JSON for a program."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

from blocks.measurements import RANGES
from blocks.short import Short
from drafting.units import show_both, show_cm

WIDTH: Final = 80
"""Characters of a line."""


@dataclass(frozen=True, slots=True)
class Made:
    """A file that was written, and its pages: None for a file that has none."""

    name: str
    pages: int | None = None


def summary_json(short: Short, files: Sequence[Made], folder: str) -> str:
    """The summary as one JSON object, lengths in mm and unrounded."""
    body = {name: {"value": getattr(short.body, name), "estimated": name in short.body.estimated} for name in RANGES}
    elastics = [
        {
            "name": elastic.name,
            "elastic_width": elastic.elastic_width,
            "cut_length": elastic.cut_length,
            "quantity": elastic.quantity,
            "gather_ratio": elastic.gather,
        }
        for elastic in short.elastics
    ]
    document = {
        "design": short.design.name,
        "workroom": short.design.workroom,
        "size": short.size,
        "rise": short.rise.value,
        "unit": "mm",
        "body": body,
        "measures": dataclasses.asdict(short.measures),
        "elastics": elastics,
        "proofs": dataclasses.asdict(short.proofs),
        "folder": folder,
        "files": [{"name": made.name, "pages": made.pages} for made in files],
        "warnings": short.warnings,
        "notes": short.notes,
    }
    return json.dumps(document, indent=2)


def summary_text(short: Short, files: Sequence[Made], folder: str) -> str:
    """The summary as lines of a terminal, lengths in cm and inches."""
    by = f", {short.design.workroom}" if short.design.workroom else ""
    lines = [f"{short.design.name}{by}: size {short.size}, {short.rise.value} rise", ""]

    lines += ["Finished measures, before elastic but for the leg opening"]
    lines += _columns([(_words(name), show_both(value)) for name, value in dataclasses.asdict(short.measures).items()])

    longest = max(len(elastic.name) for elastic in short.elastics)
    lines += ["", f"{'Elastic':<{longest + 2}}  {'wide':<7} {'cut':<20} {'quantity':<9} gather ratio"]
    for elastic in short.elastics:
        wide, cut = show_cm(elastic.elastic_width), show_both(elastic.cut_length)
        lines.append(f"  {elastic.name:<{longest}}  {wide:<7} {cut:<20} {elastic.quantity:<9} {elastic.gather:.2f}")

    lines += ["", f"Files in {folder}"]
    lines += [f"  {made.name}{'' if made.pages is None else f', {made.pages} pages'}" for made in files]

    remarks = [f"Note: {note}" for note in short.notes] + [f"Warning: {warning}" for warning in short.warnings]
    if short.body.estimated:
        guesses = [f"{_words(name)} {show_cm(getattr(short.body, name))}" for name in short.body.estimated]
        remarks.insert(0, f"Estimated, not measured: {', '.join(guesses)}")
    if remarks:
        lines.append("")
    for remark in remarks:
        lines += wrap(remark, WIDTH, subsequent_indent="  ")
    return "\n".join(lines)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _columns(pairs: Sequence[tuple[str, str]]) -> list[str]:
    """Two pairs to a line, read down the left column first."""
    half, longest = (len(pairs) + 1) // 2, max(len(label) for label, _ in pairs)
    cells = [f"{label:<{longest}}  {value:<18}" for label, value in pairs]
    right = [*cells[half:], ""][:half]
    return [f"  {left}  {beside}".rstrip() for left, beside in zip(cells[:half], right, strict=True)]
