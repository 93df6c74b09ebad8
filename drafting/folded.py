"""A flat piece seen with its casings folded: which tucks its lines mark, and where each height of it comes to lie.

Asked of the piece alone, as whoever sews it sees it: a tuck is a fold between two lines of stitching of its casing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from drafting.casing import Tuck, folded_heights
from drafting.path import JOIN_TOLERANCE
from drafting.piece import CasingLine, Piece
from drafting.point import Motion, Vector


@dataclass(frozen=True, slots=True)
class FoldedTuck:
    """A tuck, the three lines that mark it on the flat piece, and how far its stitching comes down, in mm."""

    tuck: Tuck
    lower: CasingLine
    fold: CasingLine
    upper: CasingLine
    drop: float

    def aside(self, by: float) -> FoldedTuck:
        """The same, so far to the right."""
        motion = Motion.shift(Vector(by, 0))
        lower, fold, upper = (line.moved(motion) for line in (self.lower, self.fold, self.upper))
        return FoldedTuck(self.tuck, lower, fold, upper, self.drop)

    @property
    def stitched(self) -> CasingLine:
        """Its stitching on the finished piece."""
        return self.lower.moved(Motion.shift(Vector(0, -self.drop)))

    @property
    def folded(self) -> CasingLine:
        """Its fold on the finished piece, pressed down below the stitching."""
        return self.fold.moved(Motion.shift(Vector(0, -self.drop - 2 * self.tuck.depth)))


def tucks_in(piece: Piece) -> tuple[FoldedTuck, ...]:
    """The tucks that the lines of a flat piece mark, lowest first; a fold with stitching on one side alone is none."""
    found: list[FoldedTuck] = []
    drop = 0.0
    for fold in sorted(piece.fold_lines, key=lambda line: line.start.y):
        ends = [_stitching(piece.stitch_lines, fold, side * fold.depth) for side in (-1, 1)]
        lower, upper = ends
        if lower and upper:
            height = lower.start.y - drop
            found.append(FoldedTuck(Tuck(fold.casing, height, fold.depth), lower, fold, upper, drop))
            drop += 2 * fold.depth
    return tuple(found)


def _stitching(lines: Iterable[CasingLine], fold: CasingLine, off: float) -> CasingLine | None:
    """The line of stitching of a fold's casing that lies so far above it, level as it is."""

    def there(line: CasingLine) -> bool:
        away = (line.start.y - fold.start.y - off, line.end.y - fold.start.y - off, fold.end.y - fold.start.y)
        return line.casing == fold.casing and max(map(abs, away)) <= JOIN_TOLERANCE

    return next(filter(there, lines), None)


def folded_down(heights: Sequence[float], tucks: Sequence[FoldedTuck]) -> list[float]:
    """Heights of the flat piece as they lie once its tucks are folded."""
    if not heights or not tucks:
        return list(heights)
    folded: list[float] = folded_heights(np.array(heights, dtype=float), [one.tuck for one in tucks]).tolist()
    return folded
