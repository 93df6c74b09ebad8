"""The tunnel in a tuck: its fold is stitched down first, while nothing is in it, and the elastic is drawn through.

Both ends of a casing are open until a seam closes them, so no fold need be stitched down over an elastic, stretched and
within a needle's breadth of it. Lengths in mm.
"""

from __future__ import annotations

from typing import Final

FOLD_STITCH: Final = 2.0
"""mm; a fold is stitched down no further from it: common practice, no source."""

SLIDES: Final = 2.0
"""mm; where a tunnel is so much higher than its elastic is wide, that slides in it: common practice, no source."""


def from_fold(depth: float, elastic_width: float) -> float:
    """How far from its fold a tuck is stitched down: half of what its elastic leaves free, `FOLD_STITCH` at most.

    >>> from_fold(12, 10), from_fold(20, 10)
    (1.0, 2.0)
    """
    return min(FOLD_STITCH, (depth - elastic_width) / 2)


def spare(depth: float, elastic_width: float) -> float:
    """How much higher the tunnel is than its elastic is wide: the tuck's depth less its fold's stitching, and that.

    >>> spare(12, 10), spare(20, 10)
    (1.0, 8.0)
    """
    return depth - from_fold(depth, elastic_width) - elastic_width
