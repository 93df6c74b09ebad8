"""The seam between garments and what is made of them: what a block tells of itself, and what a drafted garment holds.

A block is one kind of garment, in one folder, listed in `blocks.known`. Whatever prints, tabulates, lays or grades
knows garments by what stands here, and no block by its name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from importlib import import_module
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from blocks.design import CasingDesign, Design
from blocks.elastic import Elastics
from blocks.fitting import Adjusted
from blocks.measurements import Body
from blocks.proof import Proofs, Seam
from blocks.quantity import shown
from drafting.errors import DesignError
from drafting.piece import Piece
from drafting.point import Point

if TYPE_CHECKING:
    from blocks.guide import GuideParts


class Outline(StrEnum):
    """Where a named point lies: on the sewn garment, or on its flat pieces with their casings opened."""

    FINISHED = "finished"
    FLAT = "flat"


@dataclass(frozen=True, slots=True)
class NamedPoint:
    """A point of every size, in mm from the block's origin. Where it is `held`, a range that is not even is told of."""

    outline: Outline
    name: str
    at: Point
    held: bool = True


@dataclass(frozen=True, slots=True)
class Trim:
    """A bought trim: how wide it is, how long one is cut and how many, in mm."""

    name: str
    width: float
    cut_length: float
    quantity: int


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A casing of the design that a garment has no room for, and why, in the same words for every size."""

    casing: CasingDesign
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Garment:
    """One size of one design in one rise (empty where its block has none), ready to print. Lengths in mm.

    `measures` are of the sewn garment, flat and before elastic, but for those that are `drawn_in` by one. What is
    `left_out`, and why another part of the design is `omitted`, is told in the warnings too. `adjusted` is what the
    findings of a fitting have moved, None without any. A block adds what its own guide needs.
    """

    design: Design
    body: Body
    size: str
    rise: str
    split: bool
    pieces: tuple[Piece, ...]
    elastics: Elastics
    measures: Mapping[str, float]
    points: tuple[NamedPoint, ...]
    seams: tuple[Seam, ...]
    proofs: Proofs
    drawn_in: tuple[str, ...] = ()
    trims: tuple[Trim, ...] = ()
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    omitted: tuple[str, ...] = ()
    adjusted: Adjusted | None = None

    @property
    def label(self) -> str:
        """Its size and rise, as a message names them."""
        return size_and_rise(self.size, self.rise)


def size_and_rise(size: str, rise: str) -> str:
    """A size as a message names it, with its rise where there are any.

    >>> size_and_rise("H104", "mid"), size_and_rise("H104", "")
    ('H104, mid rise', 'H104')
    """
    return f"{size}, {rise} rise" if rise else size


@dataclass(frozen=True, slots=True)
class CasingRoom:
    """Where one casing of a design would lie in a garment, and the spans of heights at which there is room for it.

    `whole` is the height at which a share of 1 would be. All in mm.
    """

    height: float
    whole: float
    spans: tuple[tuple[float, float], ...]


Own = TypeVar("Own", bound=Garment)


@dataclass(frozen=True, slots=True)
class Block(Generic[Own]):
    """A kind of garment.

    `design` is the dataclass of its designs, whose fields a design file sets. `rises` are in the order in which they
    are printed. `needs` are measurements of a body that must be taken, and `used(design, body)` all that make a
    difference to its draft and are known: those that were taken, and the estimates that it goes by. `findings` of a
    fitting are those that it can be changed by (see `blocks.fitting`). `part` is what is split when it is wider than
    the cloth, and heights are measured from the `origin`; growing x runs to the first of
    the `sides`.

    `draft(design, body, rise=, size=, split=)` drafts one size; `split` may be a question asked of the part in one
    piece. `fit(garment, body)` are another body's elastics to go into a garment's pieces, and
    `elastic_warnings(elastics, design)` is what to look at in them. `words` are its own over the common catalogue, and
    `guide` the module whose `GUIDE` are its parts of the guide: a draft does not load them.
    Where garments may lack a casing, `casing_room(garment, design, name)` says where one has room for that casing of a
    design, which may differ from its own in where casings lie.
    """

    name: str
    design: type[Design]
    draft: Callable[..., Own]
    fit: Callable[[Own, Body], Elastics]
    elastic_warnings: Callable[..., tuple[str, ...]]
    part: str
    origin: str
    needs: tuple[str, ...]
    used: Callable[[Any, Body], tuple[str, ...]]
    findings: tuple[str, ...] = ()
    rises: tuple[str, ...] = ()
    sides: tuple[str, str] = ("front", "back")
    words: Mapping[str, str] = field(default_factory=dict)
    guide: str = ""
    casing_room: Callable[[Own, Any, str], CasingRoom] | None = None

    @property
    def guide_parts(self) -> GuideParts[Own] | None:
        """Its parts of the guide, if it has any."""
        parts: GuideParts[Own] | None = import_module(self.guide).GUIDE if self.guide else None
        return parts

    def rise_named(self, name: object) -> str:
        """The rise of that name; without one, the first.

        Raises:
            DesignError: the block has no such rise.
        """
        if name is None or name == "":
            return self.rises[0] if self.rises else ""
        if not isinstance(name, str) or str(name) not in self.rises:
            known = f"choose one of {', '.join(self.rises)}" if self.rises else f"a {self.name} has none: leave it out"
            raise DesignError(f"rise: {shown(name)} is not a rise of this design; {known}")
        return str(name)

    def rises_named(self, names: Iterable[str] = ()) -> tuple[str, ...]:
        """The rises of these names, each once; without any, all: for a block without rises, the empty one.

        Raises:
            DesignError: the block has no such rise.
        """
        return tuple(dict.fromkeys(map(self.rise_named, names))) or self.rises or ("",)
