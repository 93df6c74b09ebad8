"""The elastics of a garment: each with the design that asks for it, what it must be and what is cut. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from blocks.design import CasingDesign, Design, WaistDesign, casing_title
from blocks.figure import Figure, Level
from drafting.units import beyond


class Use(StrEnum):
    """What a strip is for. A casing may be named by any of these words, so nothing is told apart by its name."""

    WAIST = "waist"
    CASING = "casing"
    TRIM = "trim"


SLACK: Final = 1e-9
"""per cent; what sums of floats may be off, so that what is set to a limit keeps it."""

OWN_WORDS: Final = frozenset({Use.WAIST, Use.TRIM})
"""Names of strips that are no casing's."""


def casing_label(name: str) -> str:
    """What a casing is called in a list.

    >>> casing_label("lower"), casing_label("waist")
    ('lower', 'waist casing')
    """
    return casing_title(name) if name.casefold() in OWN_WORDS else name


@dataclass(frozen=True, slots=True)
class Elastic:
    """One elastic of the garment, in mm, with the design of its casing or of the waist.

    `girth` is the body's at its `height`, and so many lie `round_body`; `finished` is the length that lies across the
    panel that it gathers, `flat_width` wide; `cut_length` adds what is caught in the seams or lapped. `widest` is the
    body where it is widest on the way from the feet.
    """

    design: WaistDesign | CasingDesign
    height: float
    girth: float
    finished: float
    cut_length: float
    quantity: int
    flat_width: float
    widest: Level
    round_body: int = 1

    @property
    def use(self) -> Use:
        return Use.CASING if isinstance(self.design, CasingDesign) else Use.WAIST

    @property
    def name(self) -> str:
        """Its casing's name, or `waist`."""
        return self.design.name if isinstance(self.design, CasingDesign) else Use.WAIST.value

    @property
    def elastic_width(self) -> float:
        return self.design.elastic_width

    @property
    def gather(self) -> float:
        """Gather ratio: flat width of cloth over finished elastic."""
        return self.flat_width / self.finished

    @property
    def stretch(self) -> float:
        """Stretch ratio: the widest of the body that it is drawn over, over the finished elastic round the body."""
        return self.widest.girth / (self.finished * self.round_body)

    @property
    def label(self) -> str:
        """What it is called in lists: its casing's name, said to be a casing's where it is another strip's word."""
        return casing_label(self.name) if self.use is Use.CASING else self.name


def waist_elastic(design: WaistDesign, figure: Figure, *, height: float, flat_width: float) -> Elastic:
    """The waist's elastic on a figure, at a height: girth (1 - reduction), and its lap (common practice)."""
    girth = figure.girth_at(height)
    finished = girth * (1 - design.reduction)
    return Elastic(
        design=design,
        height=height,
        girth=girth,
        finished=finished,
        cut_length=finished + design.overlap,
        quantity=1,
        flat_width=flat_width,
        widest=figure.widest_below(height),
    )


@dataclass(frozen=True, slots=True)
class Elastics:
    """The elastics of a garment: the waist's, and one for each casing from the top down."""

    waist: Elastic
    casings: tuple[Elastic, ...] = ()

    def __iter__(self) -> Iterator[Elastic]:
        return iter((self.waist, *self.casings))

    def __len__(self) -> int:
        return 1 + len(self.casings)


def elastic_warnings(elastic: Elastic, design: Design, *, wider: str) -> list[str]:
    """What to look at: an elastic that squeezes, or will not stretch over the body; cloth that will not pass over it,
    lies flat or will not gather. `wider` says how to widen the cloth.
    """
    return [*_squeezes(elastic, design), *_passes(elastic, design, wider), *_gathers(elastic, design)]


def _squeezes(elastic: Elastic, design: Design) -> Iterator[str]:
    limit = 100 * design.limits.squeeze
    shorter = 100 * (1 - elastic.finished * elastic.round_body / elastic.girth)
    if shorter > limit + SLACK:
        yield (
            f"{elastic.label} elastic: {beyond(shorter, limit)} % shorter than the body; "
            f"more than {limit:g} % can hinder circulation"
        )


def _passes(elastic: Elastic, design: Design, wider: str) -> Iterator[str]:
    """Whether elastic and cloth pass over the widest part of the body below."""
    widest, most = elastic.widest, design.limits.stretch
    over = f"the {design.said(round(widest.girth, 1))} of the {widest.name or 'body there'}"
    cloth = elastic.flat_width * elastic.round_body
    if cloth < widest.girth:
        yield (
            f"{elastic.label} elastic: the cloth that it gathers is {design.said(round(cloth, 1))} round and does not "
            f"pass over {over}; {wider}"
        )
    if elastic.stretch > most:
        told = beyond(elastic.stretch, most, decimals=2)
        short = design.at_least(widest.girth / most / elastic.round_body - elastic.finished)
        yield (
            f"{elastic.label} elastic: to pass over {over} it must stretch to {told} times its length, and ordinary "
            f"elastic gives {most:g}; make it {short} longer (a smaller reduction or a greater ease), or take one that "
            "stretches further"
        )


def _gathers(elastic: Elastic, design: Design) -> Iterator[str]:
    limits = design.limits
    if not limits.gather_low <= elastic.gather <= limits.gather_high:
        loose = elastic.gather < limits.gather_low
        fault = "the cloth hardly gathers" if loose else "the cloth is hard to gather"
        told = beyond(elastic.gather, limits.gather_low if loose else limits.gather_high, decimals=2)
        yield (
            f"{elastic.label} elastic: gather ratio {told} is outside {limits.gather_low:g} to "
            f"{limits.gather_high:g}; {fault}"
        )
