"""Lays of the sample's sizes, found once, and lays made by hand, for tests that need one."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from blocks.cloth import Cloth, Lay
from blocks.lay import Laid, LayPlan, LayRules, Search, lay_pieces, plan_of
from blocks.short import Short
from blocks.short.leg import Rise
from blocks.size_range import Drafting, Fit, draft_size
from blocks.size_table import SizeTable, size_table_from
from drafting.piece import Piece
from output.system.reading import read_sizes
from sampled import SAMPLES, heron_design

OPEN = Cloth(1400)
FOLDED = Cloth(1500, lay=Lay.FOLDED)
QUICK = Search(seconds=1)


@cache
def sizes() -> SizeTable:
    return size_table_from(read_sizes(SAMPLES / "sizes.csv"))


@cache
def short_for(label: str, cloth: Cloth, fit: str = "auto") -> Short:
    made = draft_size(Drafting(heron_design(), sizes().size(label), Rise.HIGH, cloth, Fit(fit)))
    assert isinstance(made, Short), made
    return made


@cache
def found(label: str, cloth: Cloth, *, one_way: bool = False) -> LayPlan:
    """A lay that the engine finds in a second."""
    return lay_pieces(short_for(label, cloth).pieces, cloth, rules=LayRules(one_way=one_way), search=QUICK)


def stacked(pieces: Sequence[Piece], cloth: Cloth, rules: LayRules | None = None, *, apart: float = 5.0) -> LayPlan:
    """A lay without a search: every copy above the one before, against the left edge."""
    laid, y = [], 0.0
    for piece in pieces:
        left, bottom, right, top = piece.cut_line.bounds
        copies = range(piece.cut_count // 2) if cloth.lay is Lay.FOLDED else range(piece.cut_count)
        for copy in copies:
            mirrored = piece.mirrored and copy >= piece.cut_count / 2
            x = cloth.selvedge + (right if mirrored else -left)
            laid.append(Laid(piece.name, mirrored, False, x, y - bottom))
            y += top - bottom + apart
    return plan_of(pieces, cloth, laid, rules=rules)
