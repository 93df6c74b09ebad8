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


def walk(
    first: Piece,
    first_edge: str,
    second: Piece,
    second_edge: str,
    *,
    mirrored: bool = False,
    times: float = 1.0,
    strips: int = 1,
) -> Walk:
    """Lay `first_edge` on `second_edge` and compare lengths and mates.

    Both edges run counter-clockwise round their pieces, so right sides together the start of one lies on the end of
    the other; on the edge of a `mirrored` piece, start lies on start. Every notch of the first edge whose mate lies on
    the second is compared.

    The second edge may be gathered onto the first: it is then so many `times` as long, and made of so many `strips`
    that are joined end to end. Gaps are those before it is gathered. A notch of such a strip meets one of the first
    edge on each strip and can name but one of them.

    Raises:
        GeometryError: an edge that does not exist, a mate of another kind, or one that does not name this notch in
            return.
    """
    one, two = first.edge(first_edge), second.edge(second_edge)
    gaps = [
        min(
            abs(notch.distance * times - strip * two.seam.length - _met(two, mate.distance, mirrored=mirrored))
            for strip in range(strips)
        )
        for notch, mate in _mates(first, one, second, two, mirrored=mirrored, strips=strips)
    ]
    return Walk(
        f"{first.name} {first_edge}",
        f"{'mirrored ' if mirrored else ''}{second.name} {second_edge}",
        one.seam.length * times - two.seam.length * strips,
        max(gaps, default=0.0),
        len(gaps),
    )


def _met(edge: Edge, distance: float, *, mirrored: bool) -> float:
    return distance if mirrored else edge.seam.length - distance


def _mates(
    first: Piece, one: Edge, second: Piece, two: Edge, *, mirrored: bool, strips: int
) -> list[tuple[Notch, Notch]]:
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
        pairs.append((notch, mate))
    for notch, mate in pairs:
        if mate.kind is not notch.kind:
            raise GeometryError(
                f"piece {first.name}: notch {notch.id} is {notch.kind} and its mate {mate.id} is {mate.kind}; mates "
                "must be marked alike"
            )
        if mate.mate is None or mate.mate.rpartition("/")[2] not in _named(notch, mate, pairs, strips):
            raise GeometryError(
                f"piece {first.name}: notch {notch.id} names {notch.mate} as its mate, which names {mate.mate}; "
                "mates must name each other"
            )
    return pairs


def _named(notch: Notch, mate: Notch, pairs: list[tuple[Notch, Notch]], strips: int) -> set[str]:
    """What a mate may name in return: the notch, or one of those that it meets on other strips."""
    met = {other.id for other, same in pairs if same.id == mate.id}
    return met if len(met) == strips else {notch.id}
