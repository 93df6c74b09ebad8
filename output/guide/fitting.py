"""The section on trying a toile: how it is fitted, and what each thing that is seen on the body asks for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from blocks.fitting import STARTS, called
from drafting.units import show_small
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import Content

AGAIN: Final = 15.0
"""mm; a toile is sewn again when anything moved by more (common practice, no source)."""

FOUND: Final = 27.0
START: Final = 23.0
"""mm; columns of what it is called and of the amount to begin with."""


def toile(made: Content) -> Iterator[Matter]:
    """Nothing for a garment that no finding changes, or whose block has no words for them."""
    findings = [name for name in made.block.findings if f"find.{name}.see" in made.words.words]
    if not findings:
        return
    yield from pages.heading(made.say("toile"))
    yield pages.paragraph(made.say("toile.lead"))
    yield from pages.numbered(made.words.listed("toile", again=show_small(AGAIN)))
    yield pages.paragraph(made.say("toile.mind"))
    wide = (made.width - FOUND - START) / 2
    rows = [
        (
            made.say(f"find.{name}.see"),
            called(name),
            made.say(f"find.{name}.change"),
            show_small(STARTS[name]).replace(" (", "\n("),
        )
        for name in findings
    ]
    header = [made.say(f"toile.{key}") for key in ("see", "found", "change", "start")]
    yield pages.grid(rows, (wide, FOUND, wide, START), header=header)
