"""Invented pieces for the tests of the printed page: the shapes of real ones, drafted by hand here."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from drafting.curve import Cubic, Line
from drafting.path import Path
from drafting.piece import CasingLine, Edge, Grainline, Mark, MarkKind, Notch, NotchKind, Piece
from drafting.point import Point, Vector

ALLOWANCE = 10.0


def leg_like(
    *,
    width: float = 1050.0,
    height: float = 480.0,
    casings: int = 4,
    depth: float = 10.0,
    name: str = "leg",
    title: str = "Leg",
    size: str = "H102",
    rise: str = "high",
) -> Piece:
    """A wide leg: inseams that widen to the crotch points, hollow crotch curves, tucks that give zig-zag sides."""
    crotch = height * 0.22
    half = width / 2 - ALLOWANCE
    lines = [height * share for share in (0.1, *(0.4 + 0.5 * i / max(1, casings - 2) for i in range(casings - 1)))]
    lines = lines[:casings]

    def half_width(y: float) -> float:
        if y <= crotch:
            return half - 0.15 * (crotch - y)
        return half - min(0.18 * half, 70) * (1 - math.exp(-(y - crotch) / (0.045 * height)))

    def side(y: float) -> float:
        """The tucks fold back what lies above their lower stitching, so their edge mirrors the edge below it."""
        for fold in lines:
            if abs(y - fold) < depth:
                return half_width(fold - depth - (depth - abs(y - fold)))
        return half_width(y)

    # every corner, and level steps between them that are not too near one: a mitre needs room
    corners = {0.0, float(height), crotch, *(fold + turn * depth for fold in lines for turn in (-1, 0, 1))}
    steps = {float(y) for y in range(0, int(height), 5)}
    steps = {y for y in steps if all(abs(y - fold) > depth for fold in lines)}
    levels = corners | {y for y in steps if all(abs(y - corner) > 4 for corner in corners)}
    right = [Point(side(y), y) for y in sorted(levels)]
    left = [Point(-p.x, p.y) for p in reversed(right)]
    seam = {
        "hem": Path((Line(left[-1], right[0]),)),
        "front": Path.through(*right),
        "waist": Path((_bow(right[-1], left[0]),)),
        "back": Path.through(*left),
    }
    cut_right = _parallel(right, start=Vector(0, -ALLOWANCE), end=Vector(0, ALLOWANCE))
    cut_left = [Point(-p.x, p.y) for p in reversed(cut_right)]
    cut = {
        "hem": Path((Line(cut_left[-1], cut_right[0]),)),
        "front": Path.through(*cut_right),
        "waist": Path((_bow(cut_right[-1], cut_left[0]),)),
        "back": Path.through(*cut_left),
    }
    notches = [
        *(n for i, fold in enumerate(lines) for n in _casing_notches(i, fold, depth, seam, cut)),
        *_balance_notches(seam["front"], seam["back"], height),
    ]
    top = _bow(right[-1], left[0]).point(0.5)
    notches.append(_notch("waist-side", NotchKind.SIDE, "waist", top, Vector(0, 1)))
    notches.append(_notch("hem-centre", NotchKind.CENTRE, "hem", Point(0, 0), Vector(0, -1)))
    names = ["thigh", "lower hip", "hip", "high hip", "upper", "top"]
    return Piece(
        name=name,
        title=title,
        size=size,
        variant=rise,
        edges=tuple(Edge(part, seam[part], ALLOWANCE, cut[part]) for part in seam),
        grainline=Grainline(Point(-half * 0.12, height * 0.15), Point(-half * 0.12, height * 0.85)),
        cut_count=2,
        mirrored=True,
        fold_lines=tuple(
            CasingLine(f"{names[i]}/fold", names[i], Point(-side(y), y), Point(side(y), y), depth)
            for i, y in enumerate(lines)
        ),
        stitch_lines=tuple(
            CasingLine(f"{names[i]}/{part}", names[i], Point(-side(y + d), y + d), Point(side(y + d), y + d), depth)
            for i, y in enumerate(lines)
            for part, d in (("lower", -depth), ("upper", depth))
        ),
        notches=tuple(notches),
        notes=("Press every tuck toward the hem",),
    )


def strip(
    *, length: float = 700.0, height: float = 50.0, name: str = "facing", title: str = "Waist facing", skew: float = 0.0
) -> Piece:
    """A plain strip, its upper edge longer by `skew` at each end."""
    inner = [Point(0, 0), Point(length, 0), Point(length + skew, height), Point(-skew, height)]
    a = ALLOWANCE
    outer = [
        Point(inner[0].x - a, -a),
        Point(inner[1].x + a, -a),
        Point(inner[2].x + a, height + a),
        Point(inner[3].x - a, height + a),
    ]
    names = ("bottom", "right", "top", "left")
    sides = list(zip(names, pairwise([*inner, inner[0]]), pairwise([*outer, outer[0]]), strict=True))
    return Piece(
        name=name,
        title=title,
        size="H102",
        variant="high",
        edges=tuple(Edge(n, Path.through(*s), a, Path.through(*c)) for n, s, c in sides),
        grainline=Grainline(Point(length * 0.2, height * 0.1), Point(length * 0.2, height * 0.9)),
        cut_count=2,
        mirrored=True,
        notches=(_notch("side", NotchKind.SIDE, "top", Point(length / 2, height), Vector(0, 1)),),
    )


def marked() -> Piece:
    """A small leg with a pocket's place, a buttonhole, a crease and a place alone."""
    pocket = [Point(40, 95), Point(110, 95), Point(110, 60), Point(40, 60), Point(40, 95)]
    marks = (
        Mark("pocket", MarkKind.PLACE, "pocket", Path.through(*pocket), tuple(pocket[:4])),
        Mark("loop", MarkKind.PLACE, "loop", Path.through(Point(-60, 100), Point(-40, 100))),
        Mark("buttonhole", MarkKind.BUTTONHOLE, "buttonhole", Path.through(Point(-100, 70), Point(-100, 84))),
        Mark("crease", MarkKind.CREASE, "crease", Path.through(Point(-170, 60), Point(-120, 60))),
        Mark("dart", MarkKind.PLACE, "dart point", points=(Point(150, 80),)),
    )
    return replace(leg_like(width=420, height=240, casings=2), marks=marks)


def _bow(start: Point, end: Point) -> Cubic:
    """A waist edge that rises toward its end."""
    third = (end - start) * (1 / 3)
    return Cubic(start, start + third + Vector(0, 4), end - third + Vector(0, 12), end)


def _parallel(points: list[Point], *, start: Vector, end: Vector) -> list[Point]:
    """The polyline one allowance to the right, its corners mitred; its ends are squared with the edges that adjoin."""
    normals = [(b - a).unit().right() for a, b in pairwise(points)]
    inner = [
        p + (m + n) * (ALLOWANCE / (1 + m.dot(n))) for p, m, n in zip(points[1:-1], normals, normals[1:], strict=False)
    ]
    return [
        points[0] + normals[0] * ALLOWANCE + start,
        *inner,
        points[-1] + normals[-1] * ALLOWANCE + end,
    ]


def _notch(name: str, kind: NotchKind, edge: str, seam: Point, outward: Vector) -> Notch:
    return Notch(name, kind, edge, 0.0, seam, seam + outward.unit() * ALLOWANCE)


def _casing_notches(i: int, fold: float, depth: float, seam: dict[str, Path], cut: dict[str, Path]) -> list[Notch]:
    found = []
    for edge in ("front", "back"):
        for kind, y in ((NotchKind.FOLD, fold), (NotchKind.STITCH, fold - depth), (NotchKind.STITCH, fold + depth)):
            at, out = seam[edge].heights(y)[0], cut[edge].heights(y)[0]
            found.append(Notch(f"{edge}-{i}-{y:.1f}", kind, edge, seam[edge].distance_of(at), at, out))
    return found


def _balance_notches(front: Path, back: Path, height: float) -> list[Notch]:
    found = []
    for edge, path, kind in (("front", front, NotchKind.SINGLE), ("back", back, NotchKind.DOUBLE)):
        point = path.heights(height * 0.2)[0]
        outward = path.tangent_at(path.distance_of(point)).right()
        found.append(_notch(f"{edge}-balance", kind, edge, point, outward))
    return found


def built(spec: tuple[str, dict[str, float]]) -> Piece:
    """A piece from its kind and its numbers, which a failing example can show on one line."""
    kind, numbers = spec
    return {"leg": leg_like, "strip": strip}[kind](**numbers)
