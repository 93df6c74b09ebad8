"""What the diagrams of a short draw: one size, its leg whole and halved, and its edges once they are sewn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from blocks.guide import OVERVIEW
from blocks.short.casings import PlacedCasing
from blocks.short.design import PocketKind
from blocks.short.draft import Short, draft_short
from blocks.short.folding import casings_of
from blocks.short.leg_piece import NAME as PART
from blocks.short.leg_piece import leg_sides
from blocks.words import Catalogue
from drafting.allowance import with_allowances
from drafting.path import Path
from drafting.piece import Piece
from drafting.point import Point


@dataclass(frozen=True)
class Model:
    """What the diagrams draw: one size, its leg whole, and its halves for the steps of a split leg; and their words."""

    short: Short
    words: Catalogue

    @cached_property
    def whole(self) -> Short:
        return self.short if not self.short.split else self._drafted(split=False)

    @cached_property
    def halves(self) -> Short:
        return self.short if self.short.split else self._drafted(split=True)

    def _drafted(self, *, split: bool) -> Short:
        short = self.short
        return draft_short(short.design, short.body, rise=short.rise, size=short.size, split=split)

    @property
    def bagged(self) -> bool:
        """Whether the side seam of a split leg has a pocket in it."""
        return self.short.design.pocket.kind is PocketKind.IN_SEAM

    @cached_property
    def leg(self) -> Piece:
        return piece_named(self.whole, PART)

    @cached_property
    def casings(self) -> tuple[PlacedCasing, ...]:
        """The casings of this size and rise, lowest first."""
        kept = {elastic.name for elastic in self.short.elastics.casings}
        return tuple(c for c in casings_of(self.short.leg, self.short.design) if c.name in kept)

    @cached_property
    def finished(self) -> Mapping[str, Path]:
        """The cut line of the leg once its casings are stitched, edge by edge."""
        sides = leg_sides(self.whole.leg.edges, self.short.design)
        return {edge.name: edge.cut for edge in with_allowances(sides)}

    @cached_property
    def hemmed(self) -> Path:
        """The leg with its casings stitched and its hem turned: no allowance below the hem."""
        block = self.whole.leg
        low = block.hem_level
        front = self.finished["front inseam"].split_at_height(low)[1]
        back = self.finished["back inseam"].split_at_height(low)[0]
        parts = [front, *(self.finished[name] for name in ("front crotch", "waist", "back crotch")), back]
        path = Path.joined(parts)
        return Path.joined([path, Path.through(path.end, path.start)])

    @cached_property
    def scale(self) -> float:
        left, _, right, _ = self.leg.cut_line.bounds
        return OVERVIEW / (right - left)

    def across(self, height: float) -> tuple[Point, Point]:
        """The seam line's left and right end at a finished height."""
        block = self.whole.leg
        edges = (block.back_crotch, block.front_crotch) if height > 0 else (block.back_inseam, block.front_inseam)
        left, right = (edge.heights(height)[0] for edge in edges)
        return left, right


def piece_named(short: Short, name: str) -> Piece:
    """The piece of that name."""
    return next(piece for piece in short.pieces if piece.name == name)
