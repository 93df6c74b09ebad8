"""Which numbers of a design, set back to their usual values, mend what a body cannot be drafted with. Each is tried."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, Final

from blocks.parameters import Parameter, parameters_of
from blocks.short.design import ShortDesign
from drafting.errors import DesignError

Works = Callable[[ShortDesign], bool]

AGAIN: Final = "measure body_rise and hip_girth again"
"""What to do where no number of a design is to blame."""

TOLD: Final = 2
"""How many remedies are told, each of which mends it by itself."""


class UnusualError(DesignError):
    """A body that cannot be drafted with these numbers of the design; what to set is still to be said.

    `otherwise` is what to do where none of them is to blame.
    """

    def __init__(self, said: str, otherwise: str = AGAIN) -> None:
        super().__init__(said)
        self.otherwise = otherwise


def set_back(design: ShortDesign, places: Iterable[str], works: Works) -> str:
    """What to set, as the end of a sentence: one of two numbers, or as many together as it takes; empty if none helps.

    `places` are numbers as `leg.front_scoop`, the likeliest first. The fullness of each casing counts with them.
    """
    changed = [place for place in places if _usual(design, place) != value_at(design, place)]
    changed += [casing.name for casing in design.casings if casing.fullness not in (None, design.leg.fullness)]
    if alone := [place for place in changed if works(_back(design, [place]))]:
        return "set " + " or ".join(_told(design, place) for place in alone[:TOLD])
    if not works(_back(design, changed)):
        return ""
    for place in list(changed):
        fewer = [other for other in changed if other != place]
        if works(_back(design, fewer)):
            changed = fewer
    return "set " + " and ".join(_told(design, place) for place in changed)


def _back(design: ShortDesign, places: Sequence[str]) -> ShortDesign:
    for place in places:
        if "." in place:
            design = with_value(design, place, _usual(design, place))
        else:
            casings = (replace(one, fullness=None) if one.name == place else one for one in design.casings)
            design = replace(design, casings=tuple(casings))
    return design


def about_place(design: ShortDesign, place: str) -> Parameter:
    """The parameter that a place such as `leg.front_scoop` names."""
    table, _, name = place.partition(".")
    return parameters_of(getattr(design, table))[name]


def value_at(design: ShortDesign, place: str) -> float:
    """What it is in a design."""
    table, _, name = place.partition(".")
    return float(getattr(getattr(design, table), name))


def with_value(design: ShortDesign, place: str, value: float) -> ShortDesign:
    """The design with another value there."""
    table, _, name = place.partition(".")
    changed: Any = replace(getattr(design, table), **{name: value})
    return replace(design, **{table: changed})


def written(value: float, about: Parameter, design: ShortDesign) -> str:
    """A value as the designer writes it."""
    return design.said(value) if about.unit == "mm" else f"{value:.4g} {about.unit}".rstrip()


def _usual(design: ShortDesign, place: str) -> float:
    table, _, name = place.partition(".")
    return float(getattr(type(getattr(design, table))(), name))


def _told(design: ShortDesign, place: str) -> str:
    if "." not in place:
        return f"casing {place!r}.fullness to {design.leg.fullness:g}"
    return f"{place} to {written(_usual(design, place), about_place(design, place), design)}"
