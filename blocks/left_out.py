"""What some garments of a design lack: which casings and parts, why, and how every size of a range could have them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import reduce
from math import ceil, floor
from typing import Any, Final

from blocks.design import Design
from blocks.garment import Garment, size_and_rise
from blocks.known import block_of
from blocks.words import listed
from drafting.units import step_of

Span = tuple[float, float]

SHARE_STEP: Final = 0.001
"""To how much a share is told: a third of a millimetre of a rise."""


def casings_left_out(garments: Sequence[Garment]) -> tuple[str, ...]:
    """Which casings a rise lacks, in which of these sizes of a design and why: a sentence for each casing and rise."""
    told = []
    for rise, sizes in _by_rise(garments):
        for casing in sizes[0].design.casings:
            why = [next((one.why for one in size.left_out if one.casing.name == casing.name), "") for size in sizes]
            told += _lacked(sizes, why, rise)
    return tuple(told)


def parts_omitted(garments: Sequence[Garment]) -> tuple[str, ...]:
    """Which parts of a design are omitted, in which of these sizes and rises and why: a sentence for each."""
    told = []
    for rise, sizes in _by_rise(garments):
        for sentence in dict.fromkeys(why for size in sizes for why in size.omitted):
            told += _lacked(sizes, [sentence if sentence in size.omitted else "" for size in sizes], rise)
    return tuple(told)


def uneven_casings(garments: Sequence[Garment]) -> tuple[str, ...]:
    """Where a style changes within a range: a casing that some sizes of a rise lack and others have, and the remedy.

    The remedies of several casings are for all of them together.
    """
    told = []
    for rise, sizes in _by_rise(garments):
        labels = [size.size for size in sizes]
        for casing in sizes[0].design.casings:
            lacking = [size.size for size in sizes if any(one.casing.name == casing.name for one in size.left_out)]
            if lacking and len(lacking) < len(sizes):
                having = [label for label in labels if label not in lacking]
                told.append((rise, casing.name, listed(labels, having), listed(labels, lacking)))
    if not told:
        return ()
    remedies = {way: _shared({name for _, name, _, _ in told}, garments, way) for way in ("share", "height")}
    found = []
    for rise, name, has, lacks in told:
        ways = [f"its {way} to {values[name]}" for way, values in remedies.items() if name in values]
        mend = f"set {' or '.join(ways)} and every size has it" if ways else "leave it out, or draft these sizes apart"
        found.append(f"{rise} rise: casing {name!r} is in {has}, but not in {lacks}: the style changes; {mend}")
    return tuple(found)


def _shared(names: Collection[str], garments: Sequence[Garment], way: str) -> Mapping[str, str]:
    """The `share` or `height` at which every garment has room for casings of these names, as a design file says it.

    Each is as near as can be to where it is; the upper ones come first, and the next keep clear of them.
    """
    design, found = garments[0].design, {}
    middle, room_of = garments[len(garments) // 2], block_of(design).casing_room
    if room_of is None:
        return {}
    step = SHARE_STEP if way == "share" else step_of(design.unit)
    for name in sorted(names, key=lambda name: -room_of(middle, design, name).height):
        rooms = [room_of(garment, design, name) for garment in garments]
        steps = [step * (room.whole if way == "share" else 1.0) for room in rooms]
        free = [
            tuple((low / one, high / one) for low, high in room.spans) for room, one in zip(rooms, steps, strict=True)
        ]
        now = rooms[len(rooms) // 2].height / steps[len(rooms) // 2]
        spans = [(ceil(low), floor(high)) for low, high in reduce(in_common, free)]
        values = [min(max(round(now), low), high) for low, high in spans if low <= high]
        if values:
            value = step * min(values, key=lambda value: abs(value - now))
            design = _moved(design, name, way, value)
            found[name] = f"{value:.3f}".rstrip("0") if way == "share" else design.said(value)
    return found


def _by_rise(garments: Sequence[Garment]) -> Iterator[tuple[str, list[Garment]]]:
    """Each rise with its garments, in the order in which they come."""
    for rise in dict.fromkeys(garment.rise for garment in garments):
        yield rise, [garment for garment in garments if garment.rise == rise]


def _moved(design: Design, name: str, way: str, value: float) -> Design:
    """The design with a casing at another share or height."""
    place: dict[str, Any] = {"share": None, "height": None, way: value}
    return replace(design, casings=tuple(replace(one, **place) if one.name == name else one for one in design.casings))


def in_common(some: tuple[Span, ...], others: tuple[Span, ...]) -> tuple[Span, ...]:
    """What lies in a span of both, each from its lower to its higher end."""
    both = ((max(one[0], other[0]), min(one[1], other[1])) for one in some for other in others)
    return tuple((low, high) for low, high in both if low <= high)


def _lacked(sizes: Sequence[Garment], why: Sequence[str], rise: str) -> list[str]:
    """A sentence on what some of the sizes of a rise lack, `why` for each; none where none lacks it."""
    labels = [size.size for size in sizes]
    lacking = [label for label, reason in zip(labels, why, strict=True) if reason]
    if not lacking:
        return []
    where = listed(labels, lacking)
    if len(sizes) > 1:
        where = "every size" if len(lacking) == len(sizes) else f"{where} alone"
    return [f"{size_and_rise(where, rise)}: {next(filter(None, why))}"]
