"""Sewing thread for one garment: an estimate to buy by. Lengths in mm, what is bought in metres."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from blocks.parameters import MEMORY, PRACTICE, Parameters, parameter
from drafting.path import JOIN_TOLERANCE, Path
from drafting.piece import CasingLine, Piece


@dataclass(frozen=True, slots=True)
class ThreadUse(Parameters):
    """How much thread sewing takes."""

    called: ClassVar[str] = "thread"

    lockstitch: float = parameter(2.8, "", 2, 5, "thread over a row of lockstitch, type 301 of ISO 4915", MEMORY)
    rows: float = parameter(1.5, "", 0.5, 4, "rows along an edge: half of its seam's, and its own neatening", PRACTICE)
    waste: float = parameter(0.25, "", 0, 1, "added for ends, bobbins and tests", PRACTICE)
    step: float = parameter(10_000, "mm", 1000, 100_000, "rounded up to the next of these", PRACTICE)


@dataclass(frozen=True, slots=True)
class Thread:
    """The rows that are sewn, in mm, and the thread to buy for them, in metres."""

    sewn: float
    metres: float


def thread(pieces: Sequence[Piece], *, use: ThreadUse | None = None) -> Thread:
    """What the pieces of a garment take: every edge is sewn and neatened, and every tuck is stitched once.

    A tuck's two stitch lines are laid on each other and sewn as one; a single stitch line is sewn by itself.
    """
    by = use or ThreadUse()
    sewn = 0.0
    for piece in pieces:
        edges = sum(edge.seam.length for edge in piece.edges)
        casings = sum(
            Path.through(line.start, line.end).length / (2 if of_a_tuck(line, piece) else 1)
            for line in piece.stitch_lines
        )
        sewn += piece.cut_count * (edges * by.rows + casings)
    taken = sewn * by.lockstitch * (1 + by.waste)
    return Thread(sewn, math.ceil(taken / by.step) * by.step / 1000)


def of_a_tuck(line: CasingLine, piece: Piece) -> bool:
    """True for a stitch line that lies its depth from a fold: not for that of a channel, whatever its name."""
    return any(
        fold.casing == line.casing
        and fold.depth == line.depth
        and math.isclose(abs(fold.start.y - line.start.y), line.depth, abs_tol=JOIN_TOLERANCE)
        for fold in piece.fold_lines
    )
