"""The elastics of a garment: each with the design that asks for it, what it must be and what is cut. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from blocks.design import CasingDesign, Limits, WaistDesign, casing_title
from drafting.units import beyond


class Use(StrEnum):
    """What a strip is for. A casing may be named by any of these words, so nothing is told apart by its name."""

    WAIST = "waist"
    CASING = "casing"
    TRIM = "trim"


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
    panel that it gathers, `flat_width` wide; `cut_length` adds what is caught in the seams or lapped.
    """

    design: WaistDesign | CasingDesign
    height: float
    girth: float
    finished: float
    cut_length: float
    quantity: int
    flat_width: float
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
    def label(self) -> str:
        """What it is called in lists: its casing's name, said to be a casing's where it is another strip's word."""
        return casing_label(self.name) if self.use is Use.CASING else self.name


def waist_elastic(design: WaistDesign, *, height: float, girth: float, flat_width: float) -> Elastic:
    """The waist's elastic on a body of that `girth`: girth (1 - reduction), and its lap (common practice)."""
    finished = girth * (1 - design.reduction)
    return Elastic(
        design=design,
        height=height,
        girth=girth,
        finished=finished,
        cut_length=finished + design.overlap,
        quantity=1,
        flat_width=flat_width,
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


def elastic_warnings(elastic: Elastic, limits: Limits) -> list[str]:
    """What to look at: an elastic that squeezes, cloth that lies flat or will not gather."""
    found = []
    ratio = elastic.finished * elastic.round_body / elastic.girth
    if 1 - ratio > limits.squeeze:
        found.append(
            f"{elastic.label} elastic: {beyond(100 * (1 - ratio), 100 * limits.squeeze)} % shorter than the body; "
            f"more than {100 * limits.squeeze:g} % can hinder circulation"
        )
    if not limits.gather_low <= elastic.gather <= limits.gather_high:
        loose = elastic.gather < limits.gather_low
        fault = "the cloth hardly gathers" if loose else "the cloth is hard to gather"
        told = beyond(elastic.gather, limits.gather_low if loose else limits.gather_high, decimals=2)
        found.append(
            f"{elastic.label} elastic: gather ratio {told} is outside {limits.gather_low:g} to "
            f"{limits.gather_high:g}; {fault}"
        )
    return found
