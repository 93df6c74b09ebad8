"""The leg as a pattern piece: the block's edges with allowances, its casings opened, notches and grainline placed."""

from __future__ import annotations

from collections.abc import Sequence

from blocks.design import Design
from blocks.leg import LegBlock, Rise
from drafting.allowance import Side, with_allowances
from drafting.casing import Opened, Tuck, opened
from drafting.errors import GeometryError
from drafting.path import Path
from drafting.piece import CasingLine, Edge, Grainline, Notch, NotchKind, Piece
from drafting.point import Point
from drafting.seam import MIRROR

HEM_TURNS = 2


def leg_piece(block: LegBlock, design: Design, tucks: Sequence[Tuck], *, size: str, rise: Rise) -> Piece:
    """The flat leg, cut twice as a mirrored pair.

    Raises:
        GeometryError: an allowance that does not fit round a curve, or an edge that cannot be opened.
    """
    finished = with_allowances(_sides(block, design))
    seams = {edge.name: opened(edge.seam, tucks) for edge in finished}
    edges = tuple(
        Edge(edge.name, seams[edge.name].path, edge.allowance, opened(edge.cut, tucks).path) for edge in finished
    )
    by_name = {edge.name: edge for edge in edges}
    ends = _casing_ends(seams)
    return Piece(
        name="leg",
        title="Leg",
        size=size,
        rise=rise.value,
        edges=edges,
        grainline=_grainline(by_name, design.leg.grainline_margin),
        cut_count=2,
        mirrored=True,
        fold_lines=tuple(_line(tuck, "fold", ends) for tuck in tucks),
        stitch_lines=tuple(_line(tuck, part, ends) for tuck in tucks for part in ("lower", "upper")),
        notches=(*_casing_notches(by_name, seams), *_balance_notches(by_name, block, design.leg.balance_share)),
        notes=(),
        finished=Path.joined(edge.seam for edge in finished),
    )


def _sides(block: LegBlock, design: Design) -> list[Side]:
    allow = design.allowances
    special = {"hem": (allow.hem, HEM_TURNS), "waist": (allow.waist, 0)}
    sides = []
    for name, path in block.edges.items():
        allowance, turns = special.get(name, (allow.seam, 0))
        sides.append(Side(name, path, allowance, turns=turns))
    return sides


def _grainline(edges: dict[str, Edge], margin: float) -> Grainline:
    """On the side line, which is the straight grain, clear of both ends."""
    low = edges["hem"].seam.start.y
    high = edges["waist"].seam.segments[0].end.y
    clear = (high - low) * margin
    return Grainline(Point(0.0, low + clear), Point(0.0, high - clear))


def _casing_ends(seams: dict[str, Opened]) -> dict[tuple[str, str], list[Point]]:
    """Where each line of each tuck meets the seam line, back end first."""
    ends: dict[tuple[str, str], list[Point]] = {}
    for name in ("back crotch", "back inseam", "front crotch", "front inseam"):
        for mark in seams[name].marks:
            for part in ("lower", "fold", "upper"):
                point = seams[name].path.point_at(getattr(mark, part))
                ends.setdefault((mark.tuck.name, part), []).append(point)
    return ends


def _line(tuck: Tuck, part: str, ends: dict[tuple[str, str], list[Point]]) -> CasingLine:
    pair = ends.get((tuck.name, part), [])
    if len(pair) != 2:
        raise GeometryError(f"casing {tuck.name!r}: it meets {len(pair)} edges of the leg; it must meet two")
    what = "fold" if part == "fold" else f"{part} stitch line"
    back, front = pair
    return CasingLine(f"{tuck.name} {what}", tuck.name, back, front, tuck.depth)


def _casing_notches(edges: dict[str, Edge], seams: dict[str, Opened]) -> list[Notch]:
    """A fold notch and two stitch marks at every casing's both ends."""
    notches = []
    for name, seam in seams.items():
        half = name.split()[0]
        other = "back" if half == "front" else "front"
        for mark in seam.marks:
            for part in ("lower", "fold", "upper"):
                notch_id = f"{mark.tuck.name}-{part}-{half}"
                mate = f"{mark.tuck.name}-{part}-{other}" if "inseam" in name else f"{MIRROR}/{notch_id}"
                kind = NotchKind.FOLD if part == "fold" else NotchKind.STITCH
                distance = getattr(mark, part)
                seam_point = seam.path.point_at(distance)
                cut_point = edges[name].cut.heights(seam_point.y)[0]
                notches.append(Notch(notch_id, kind, name, distance, seam_point, cut_point, mate))
    return notches


def _balance_notches(edges: dict[str, Edge], block: LegBlock, share: float) -> list[Notch]:
    """Side notch at the waist; single front and double back notches in the crotch curves; a pair on the inseams.

    Single front and double back: common practice. Each lies in the flat of the curve, where no casing can.
    """
    front_waist = Path((block.waist.segments[0],)).length
    front_curve = Path((block.front_crotch.segments[0],)).length * share
    back_curve = edges["back crotch"].seam.length - Path((block.back_crotch.segments[-1],)).length * share
    notches = [
        _notch(edges, "side", NotchKind.SIDE, "waist", front_waist, None),
        _notch(edges, "front-balance", NotchKind.SINGLE, "front crotch", front_curve, f"{MIRROR}/front-balance"),
        _notch(edges, "back-balance", NotchKind.DOUBLE, "back crotch", back_curve, f"{MIRROR}/back-balance"),
    ]
    # Above the trued level no casing can lie, so this pair is never under a tuck.
    from_crotch = -block.trued_level / 2
    front = edges["front inseam"].seam.length - from_crotch
    notches.append(_notch(edges, "inseam-front", NotchKind.SINGLE, "front inseam", front, "inseam-back"))
    notches.append(_notch(edges, "inseam-back", NotchKind.SINGLE, "back inseam", from_crotch, "inseam-front"))
    return notches


def _notch(
    edges: dict[str, Edge], notch_id: str, kind: NotchKind, name: str, distance: float, mate: str | None
) -> Notch:
    edge = edges[name]
    point = edge.seam.point_at(distance)
    across = edge.cut.point_at(edge.cut.distance_of(point))
    return Notch(notch_id, kind, name, distance, point, across, mate)
