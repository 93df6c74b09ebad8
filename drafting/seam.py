"""Seams walked before they are sewn: two edges laid on each other by arc length, with the notches that must meet."""

from __future__ import annotations

from dataclasses import dataclass

from drafting.errors import GeometryError
from drafting.piece import Edge, Notch, Piece

MIRROR = "mirror"


@dataclass(frozen=True, slots=True)
class Walk:
    """What a walked seam shows, in mm: how much longer the first edge is, and the widest gap between two mates."""

    first: str
    second: str
    longer: float
    mate_gap: float
    mates: int


def walk(first: Piece, first_edge: str, second: Piece, second_edge: str, *, mirrored: bool = False) -> Walk:
    """Lay `first_edge` on `second_edge` and compare lengths and mates.

    Both edges run counter-clockwise round their pieces, so right sides together the start of one lies on the end of
    the other; on the edge of a `mirrored` piece, start lies on start. Every notch of the first edge whose mate lies on
    the second is compared.

    Raises:
        GeometryError: an edge that does not exist, or a mate that does not name this notch in return.
    """
    one, two = first.edge(first_edge), second.edge(second_edge)
    gaps = [
        abs(notch.distance - _met(two, mate.distance, mirrored=mirrored))
        for notch, mate in _mates(first, one, second, two, mirrored=mirrored)
    ]
    return Walk(
        f"{first.name} {first_edge}",
        f"{'mirrored ' if mirrored else ''}{second.name} {second_edge}",
        one.seam.length - two.seam.length,
        max(gaps, default=0.0),
        len(gaps),
    )


def _met(edge: Edge, distance: float, *, mirrored: bool) -> float:
    return distance if mirrored else edge.seam.length - distance


def _mates(first: Piece, one: Edge, second: Piece, two: Edge, *, mirrored: bool) -> list[tuple[Notch, Notch]]:
    pairs = []
    for notch in first.notches:
        if notch.edge != one.name or notch.mate is None:
            continue
        where, _, mate_id = notch.mate.rpartition("/")
        if where != (MIRROR if mirrored else "" if second is first else second.name):
            continue
        mate = second.notch(mate_id)
        if mate.edge != two.name:
            continue
        if mate.mate is None or mate.mate.rpartition("/")[2] != notch.id:
            raise GeometryError(
                f"piece {first.name}: notch {notch.id} names {notch.mate} as its mate, which names {mate.mate}; "
                "mates must name each other"
            )
        pairs.append((notch, mate))
    return pairs
