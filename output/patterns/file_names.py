"""How the files of patterns are named: after the design, the size or the choice of sizes, and the rise."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from math import inf
from typing import Final

from blocks.garment import Garment
from blocks.size_range import Group
from output.paper.sizes import Paper
from output.system.names import design_stem, stem

MOST_NAMED: Final = 4
"""Labels of chosen sizes that a file's name holds one by one."""

MOST_NAMED_BYTES: Final = 130
"""Bytes that a file's name has for them."""


def size_stem(garment: Garment, size: str | None = None) -> str:
    """How the files of a garment are named: design, size and rise. `size` is its stem among the sizes of a table."""
    return "-".join(filter(None, (design_stem(garment.design.name), size or stem(garment.size), garment.rise)))


def group_stem(group: Group) -> str:
    """How the files of a group are named: design, rise, and whether it is split."""
    cut = "split" if group.split else "whole"
    return "-".join(filter(None, (design_stem(group.garments[0].design.name), group.rise, cut)))


def chosen_stem(sizes: Sequence[str], table: Sequence[str]) -> str:
    """The stems of chosen sizes as one, short enough for a file's name, and not those of another choice.

    >>> chosen_stem(["36", "38"], ["36", "38"]), chosen_stem(["36", "38"], ["36", "36-38", "38"])
    ('36-38', '36_38')
    >>> chosen_stem(["S", "M", "L", "XL", "2XL"], ["XS", "S", "M", "L", "XL", "2XL"])
    'S-to-2XL-5-sizes'
    >>> chosen_stem(["XS", "S", "M", "L", "2XL"], ["XS", "S", "M", "L", "XL", "2XL"])
    'XS-to-2XL-5-sizes-38f2a3'
    """
    named = ("_" if any("-" in size for size in table) else "-").join(sizes)
    if len(sizes) <= MOST_NAMED and len(named.encode()) <= MOST_NAMED_BYTES:
        return named
    start = table.index(sizes[0])
    told = f"{sizes[0]}-to-{sizes[-1]}-{len(sizes)}-sizes"
    gaps = list(sizes) != list(table[start : start + len(sizes)])
    return f"{told}-{sha256(' '.join(sizes).encode()).hexdigest()[:6]}" if gaps else told


def put_on(paper: Paper) -> str:
    """What a pattern is put on, and by whom.

    >>> from output.paper.sizes import paper_named, roll_named
    >>> put_on(paper_named("A4")), put_on(roll_named("914"))
    ('on A4, to print at home', 'on a roll 914 mm wide, for a print shop')
    """
    if paper.screen:
        return "for a projector, " + ("dark lines on light" if paper.name.endswith("light") else "light lines on dark")
    if paper.height == inf:
        return f"on a roll {paper.width:g} mm wide, for a print shop"
    return f"on sheets of {paper.name}, for a print shop" if paper.wide else f"on {paper.name}, to print at home"
