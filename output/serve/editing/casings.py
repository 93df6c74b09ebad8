"""Casings of a design's text: one more where there is room for it, and their order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import reduce
from typing import Any, Final

from blocks.design import Design, casing_title
from blocks.garment import Garment
from blocks.known import block_of
from blocks.label import same
from blocks.left_out import Span, in_common
from blocks.parameters import parameters_of
from blocks.read_design import casing_of, design_from
from blocks.size_table import Size, size_table_from
from drafting.errors import DesignError, DraftError
from drafting.units import millimetres_per, step_of
from output.serve.editing import alteration
from output.serve.editing.alteration import text_typed, with_table
from output.serve.editing.places import CASING, place_of
from output.serve.editing.saved import MARK
from output.serve.editing.sizes import NEW, data_of
from output.system.reading import toml_of

FINEST: Final = 6
"""How often the heights that a casing may have are halved, to try them."""


def with_casing(design: str, table: str, name: str = "") -> str:
    """A design's text with one more casing: where the smallest, the middle and the largest size have room for it, in
    every rise if they can.

    It gets a name of its own if none is given, and lies at a height, set as finely as its designer sets lengths.

    Raises:
        DraftError: the design or the table cannot be drafted as it is, the name is taken, or there is no room.
    """
    data = toml_of(design.removeprefix(MARK), "design")
    made = design_from(data)
    block = block_of(made)
    sizes = size_table_from(data_of(table), needs=block.needs).sizes
    chosen = list(dict.fromkeys((sizes[len(sizes) // 2], sizes[0], sizes[-1])))
    garments = [block.draft(made, size.body, size=size.label) for size in chosen]
    name = name or _free([casing.name for casing in made.casings])
    rises, heights = block.rises_named(), list(_heights(garments, name))
    for height, some in [(height, some) for some in dict.fromkeys((rises, rises[:1])) for height in heights]:
        if all(_has(name, _with(made, name, height), size, rise) for size in chosen for rise in some):
            number = len(made.casings)
            at_height = f"{height / millimetres_per(made.unit):.4f}".rstrip("0").rstrip(".")
            return with_table(design, (CASING, number), {"name": text_typed(name), "height": at_height})
    raise DesignError(
        f"casing {name!r}: there is no room for another in every size; move or take out one of the others, or lengthen "
        f"the {block.part}"
    )


def swapped(design: str, one: str, other: str) -> str:
    """A design's text in which two casings, by their names, have changed places.

    Raises:
        DesignError: it has no such casing.
        OutputError: it is no TOML, or they are not under headers of their own.
    """
    data = toml_of(design.removeprefix(MARK), "design")
    numbers = [int(place_of(data, f"{CASING}.{name}")[0][1]) for name in (one, other)]
    return alteration.swapped(design, CASING, *numbers)


def _free(taken: Sequence[str]) -> str:
    tried = (NEW, *(f"{NEW} {number}" for number in range(2, len(taken) + 2)))
    return next(name for name in tried if not same([*taken, name], casing_title))


def _with(design: Design, name: str, height: float) -> Design:
    kind: Any = casing_of(type(design))
    return replace(design, casings=(*design.casings, kind(name, height=height)))


def _heights(garments: Sequence[Garment], name: str) -> Iterator[float]:
    """Heights in mm at which one more casing may lie, likely ones first, as finely as they are set."""
    design = garments[0].design
    step, about = step_of(design.unit), parameters_of(casing_of(type(design)))["height"]
    middles = [(low + high) / 2 for low, high in _rooms(garments, name)]
    for parts in (2**halving for halving in range(1, FINEST + 1)):
        middles += [about.low + (about.high - about.low) * part / parts for part in range(1, parts, 2)]
    yield from (height for height in (step * round(one / step) for one in middles) if about.low <= height <= about.high)


def _rooms(garments: Sequence[Garment], name: str) -> Sequence[Span]:
    """Where all have room for one more casing, as far as their block tells, the widest first."""
    design = garments[0].design
    room_of = block_of(design).casing_room
    if room_of is None:
        return ()
    trial = _with(design, name, 0.0)
    common = reduce(in_common, (room_of(garment, trial, name).spans for garment in garments))
    return sorted(common, key=lambda span: span[0] - span[1])


def _has(name: str, design: Design, size: Size, rise: str) -> bool:
    """True if a size can be drafted in a rise and has that casing."""
    try:
        garment: Garment = block_of(design).draft(design, size.body, size=size.label, rise=rise)
    except DraftError:
        return False
    return all(one.casing.name != name for one in garment.left_out)
