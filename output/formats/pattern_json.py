"""pieces.json: the pieces as plain geometry, for other programs and for checks. Described by pieces.schema.json."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Final

from blocks.fitting import Adjusted
from blocks.garment import Garment
from drafting.path import Path
from drafting.piece import CasingLine, Mark, Piece
from drafting.point import Point

SCHEMA_VERSION: Final = 1

DIGITS: Final = 4
"""Decimals of a coordinate in mm: a tenth of a micrometre."""

FLATNESS: Final = 0.01
"""mm; how far a polyline may stray from the true curve."""

_FLATTENING: Final = FLATNESS - 10.0**-DIGITS
"""mm; flattened a little finer, so that rounding stays within the flatness promised."""


def pattern_json(pieces: Sequence[Piece], *, of: Sequence[Garment] = ()) -> bytes:
    """The pieces as UTF-8 JSON in mm, y up the grain; the same pieces give the same bytes, in whatever order they come.

    Where any of the garments they are `of` is adjusted to what a fitting found, what that has moved is told too.
    Polylines lie within 0.01 mm of the drafted curves. Closed ones run counter-clockwise and repeat their first point.
    """
    ordered = sorted(pieces, key=lambda piece: (piece.name, piece.size, piece.variant))
    document: dict[str, object] = {
        "schema_version": SCHEMA_VERSION,
        "unit": "mm",
        "flatness": FLATNESS,
        "pieces": [_piece(piece) for piece in ordered],
    }
    if adjusted := [_adjusted(garment, garment.adjusted) for garment in of if garment.adjusted]:
        document["adjusted"] = adjusted
    return (json.dumps(document, sort_keys=True, separators=(",", ":"), allow_nan=False) + "\n").encode()


def _piece(piece: Piece) -> dict[str, object]:
    marks = [_mark(mark) for mark in sorted(piece.marks, key=lambda mark: mark.name)]
    return {
        **({"marks": marks} if marks else {}),
        "name": piece.name,
        "size": piece.size,
        "rise": str(piece.variant),
        "cut_count": piece.cut_count,
        "mirrored": piece.mirrored,
        "seam_line": _polyline(piece.seam_line),
        "cut_line": _polyline(piece.cut_line),
        "finished_line": _polyline(piece.finished) if piece.finished else None,
        "edges": [
            {"name": edge.name, "allowance": _number(edge.allowance), "line": _polyline(edge.seam)}
            for edge in piece.edges
        ],
        "fold_lines": [_casing_line(line) for line in piece.fold_lines],
        "stitch_lines": [_casing_line(line) for line in piece.stitch_lines],
        "notches": [
            {
                "id": notch.id,
                "kind": notch.kind.value,
                "edge": notch.edge,
                "seam_point": _point(notch.seam_point),
                "cut_point": _point(notch.cut_point),
                "mate": notch.mate,
            }
            for notch in sorted(piece.notches, key=lambda notch: notch.id)
        ],
        "grainline": {"start": _point(piece.grainline.start), "end": _point(piece.grainline.end)},
    }


def _adjusted(garment: Garment, made: Adjusted) -> dict[str, object]:
    return {
        "size": garment.size,
        "rise": garment.rise,
        "found": {name: _number(amount) for name, amount in made.fitting.found.items()},
        "points": [{"name": one.name, "out": _number(one.out), "up": _number(one.up)} for one in made.points],
        "edges": [{"name": one.name, "before": _number(one.before), "after": _number(one.after)} for one in made.edges],
    }


def _casing_line(line: CasingLine) -> dict[str, object]:
    return {
        "name": line.name,
        "casing": line.casing,
        "start": _point(line.start),
        "end": _point(line.end),
        "depth": _number(line.depth),
    }


def _mark(mark: Mark) -> dict[str, object]:
    return {
        "name": mark.name,
        "kind": mark.kind.value,
        "label": mark.label,
        "line": _polyline(mark.line) if mark.line else None,
        "points": [_point(point) for point in mark.points],
    }


def _polyline(path: Path) -> list[list[float]]:
    points: list[list[float]] = (path.array(tolerance=_FLATTENING).round(DIGITS) + 0.0).tolist()
    if path.closed:
        points[-1] = points[0]
    return points


def _point(point: Point) -> list[float]:
    return [_number(point.x), _number(point.y)]


def _number(value: float) -> float:
    return round(value, DIGITS) + 0.0  # adding zero turns -0.0 into 0.0
