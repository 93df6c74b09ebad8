"""The blocks that there are: what a design file may be of."""

from __future__ import annotations

from importlib import import_module
from typing import Any, Final

from blocks.design import Design
from blocks.garment import Block
from blocks.measurements import Body
from blocks.quantity import shown, suggestion
from drafting.errors import DesignError

BLOCKS: Final = (
    "short",
    "skirt",
)
"""Their names: each is a folder beside this file, whose `BLOCK` it is."""


def block_named(name: object) -> Block[Any]:
    """The block of that name.

    Raises:
        DesignError: there is none.
    """
    if not isinstance(name, str) or name not in BLOCKS:
        raise DesignError(f"block: {shown(name)} is not a garment that is known here; {suggestion(str(name), BLOCKS)}")
    block: Block[Any] = import_module(f"blocks.{name}").BLOCK  # one garment's draft needs no other's
    return block


def used_of(design: Design, body: Body) -> tuple[str, ...]:
    """The measurements of a body that make a difference to a garment of that design, in the order of a table."""
    used = block_of(design).used(design, body)
    return tuple(name for name in body.names if name in used)


def block_of(design: Design) -> Block[Any]:
    """The block that drafts a design.

    Raises:
        DesignError: a design of no block.
    """
    return block_named(design.block)
