"""Finished measures of a short, taken by shapely on its flat pieces: nothing of the draft's own reckoning is asked.

Where a casing is folded the cloth of its tuck is taken out, and what lies above comes down by twice its depth.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import inf

from shapely import LineString, Polygon, box
from shapely.affinity import translate
from shapely.ops import unary_union

from blocks.design import WaistFinish
from blocks.short import Short
from drafting.piece import Piece

FINE = 1e-3
"""mm; how near the curves' polylines keep to them."""
FAR = 10_000.0


def legs(short: Short) -> list[Piece]:
    """The leg in one piece, or its front and its back, side line on side line."""
    return list(short.pieces[: 2 if short.split else 1])


def tucks(piece: Piece) -> list[tuple[float, float]]:
    """The lower and the upper stitch line of each tuck across a piece, from the lowest up."""
    spans: dict[str, list[float]] = {}
    for line in piece.stitch_lines:
        if line.casing != "waist" or "upper" in line.name or "lower" in line.name:
            spans.setdefault(line.casing, []).append(line.start.y)
    return sorted((min(ys), max(ys)) for ys in spans.values() if len(ys) == 2)


def bands(piece: Piece) -> Iterator[tuple[float, float, float]]:
    """The cloth between tucks: from, to, and how far it comes down when the tucks below it are folded."""
    taken = 0.0
    edges = [(-FAR, -FAR), *tucks(piece), (FAR, FAR)]
    for (_, low), (high, up) in pairwise(edges):
        yield low, high, taken
        taken += up - high


def finished(piece: Piece) -> Polygon:
    """A piece's seam line with its tucks folded away."""
    flat = Polygon(piece.seam_line.array(tolerance=FINE))
    parts = [translate(flat.intersection(box(-FAR, low, FAR, high)), 0, -down) for low, high, down in bands(piece)]
    return unary_union([part.buffer(0) for part in parts])


def edge(short: Short, name: str) -> float:
    """Length of an edge of the leg with its tucks folded away."""
    total = 0.0
    for piece in legs(short):
        for one in piece.edges:
            if one.name == name:
                line = LineString(one.seam.array(tolerance=FINE))
                total += sum(line.intersection(box(-FAR, low, FAR, high)).length for low, high, _ in bands(piece))
    return total


def width(short: Short, height: float) -> float:
    """Width of the finished leg at a height, from edge to edge; the halves of a split one lie side by side."""
    level = LineString([(-FAR, height), (FAR, height)])
    left, _, right, _ = unary_union([finished(piece).intersection(level) for piece in legs(short)]).bounds
    return float(right - left)


def band(short: Short) -> float:
    """Height of the waistband, folded."""
    if short.design.waist.finish is not WaistFinish.WAISTBAND:
        return 0.0
    strip = next(piece for piece in short.pieces if piece.name.startswith("waistband"))
    fold = strip.fold_lines[0]
    return LineString(strip.edge("waist").seam.array()).distance(
        LineString([(end.x, end.y) for end in (fold.start, fold.end)])
    )


def side(short: Short) -> float:
    """Height of the finished leg at the side line."""
    tall = -inf
    line = LineString([(0, -FAR), (0, FAR)])
    for piece in legs(short):
        tall = max(tall, finished(piece).intersection(line).length)
    return tall


def measures(short: Short) -> dict[str, float]:
    """The finished measures by their names in every table, in mm."""
    up = band(short)
    front, back = edge(short, "front crotch") + up, edge(short, "back crotch") + up
    hem = edge(short, "hem")
    found = {
        "waist_seam": 2 * edge(short, "waist"),
        "hip": 2 * width(short, short.leg.hip_level),
        "hem": hem,
        "front_rise": front,
        "back_rise": back,
        "crotch_seam": front + back,
        "side_length": side(short) + up,
        "inseam": edge(short, "front inseam"),
    }
    if "leg_opening" not in short.drawn_in:
        found["leg_opening"] = hem
    return found
