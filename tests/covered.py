"""Cut lines that run along the joins of pages and through register marks: the answer of a general geometry library,
which shares no code with the search for a layout without any.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import shapely

from drafting.piece import Piece
from output.paper.layout import Layout


def bands(layout: Layout, near: float) -> Iterator[shapely.Polygon]:
    """Strips `near` mm to both sides of the lines along which printed pages are joined, each as long as it goes on."""
    width, height = layout.cell_size
    level, upright = [], []
    for cell in layout.cells:
        corner = layout.corner(cell)
        if layout.prints(cell.beside(rows=1)):
            level.append(shapely.box(corner.x, corner.y - near, corner.x + width, corner.y + near))
        if layout.prints(cell.beside(columns=-1)):
            upright.append(shapely.box(corner.x - near, corner.y, corner.x + near, corner.y + height))
    for boxes in (level, upright):
        yield from shapely.get_parts(shapely.union_all(boxes))


def stretches(layout: Layout, *, near: float = 5.0) -> list[tuple[float, Piece, shapely.Geometry]]:
    """How long each connected part of a cut line is that lies within `near` mm of a join, the longest first."""
    found = []
    strips = list(bands(layout, near - 1e-6))
    for piece in layout.pieces:
        ring = shapely.LineString(piece.cut_line.array(tolerance=0.01))
        for strip in strips:
            parts = shapely.intersection(ring, strip)
            if parts.is_empty:
                continue
            merged = shapely.line_merge(parts) if parts.geom_type == "MultiLineString" else parts
            found += [(part.length, piece, strip) for part in shapely.get_parts(merged)]
    return sorted(found, key=lambda one: -one[0])


def longest(layout: Layout, *, near: float = 5.0) -> float:
    """The longest stretch of any cut line within `near` mm of a join."""
    return max((length for length, _, _ in stretches(layout, near=near)), default=0.0)


def crossed(layout: Layout, marks: Iterable[tuple[float, float, float, float]]) -> int:
    """How many register marks' boxes a cut line runs through."""
    boxes = shapely.box(*zip(*marks, strict=True)) if (marks := list(marks)) else []
    rings = shapely.union_all([shapely.LineString(piece.cut_line.array(tolerance=0.01)) for piece in layout.pieces])
    shapely.prepare(rings)
    return int(shapely.intersects(rings, boxes).sum()) if marks else 0
