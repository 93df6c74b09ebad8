"""The blocks that there are: what a design file may be of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from blocks.design import Design
from blocks.garment import Block
from blocks.measurements import Body
from blocks.quantity import shown, suggestion
from blocks.short import SHORT
from blocks.skirt import SKIRT
from drafting.errors import DesignError

BLOCKS: Final[Mapping[str, Block[Any]]] = {
    block.name: block
    for block in (
        SHORT,
        SKIRT,
    )
}  # fmt: skip


def block_named(name: object) -> Block[Any]:
    """The block of that name.

    Raises:
        DesignError: there is none.
    """
    if not isinstance(name, str) or name not in BLOCKS:
        raise DesignError(f"block: {shown(name)} is not a garment that is known here; {suggestion(str(name), BLOCKS)}")
    return BLOCKS[name]


def used_of(design: Design, body: Body) -> tuple[str, ...]:
    """The measurements of a body that make a difference to a garment of that design, and are known."""
    uses = block_of(design).uses
    return tuple(name for name in body.names if name in uses)


def block_of(design: Design) -> Block[Any]:
    """The block that drafts a design.

    Raises:
        DesignError: a design of no block.
    """
    return block_named(design.block)
