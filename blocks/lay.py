"""The lay plan: where the pieces of a garment lie on the cloth. In mm, y along the cloth and its grain, x across it.

x = 0 is the left selvedge, y = 0 where the lay begins. Opened out, the cloth lies in a single layer, right side up, and
every copy is laid by itself, the mirrored ones turned over. Folded lengthwise, right sides together, it lies double: a
piece that is laid once is cut as a mirrored pair.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar, Final

from blocks.cloth import Cloth, Lay, width_across
from blocks.parameters import PRACTICE, Parameters, parameter
from drafting.drop import drop_strip
from drafting.errors import DesignError, GeometryError
from drafting.piece import Piece
from drafting.point import Motion, Vector
from drafting.strip import Copy, Item, Packed, check_packed, pack_strip
from drafting.units import apart

GRAIN_TURN: Final = 1e-6
"""rad; how far a grainline may lie off the length of the cloth: rounding."""

_MIRRORED: Final = ", mirrored"


@dataclass(frozen=True, slots=True)
class LayRules(Parameters):
    """What a lay keeps to. `one_way` is for nap, pile and prints with a direction: no piece is turned half a turn."""

    called: ClassVar[str] = "lay"

    gap: float = parameter(2, "mm", 0, 30, "between two cut lines, room for the blade", PRACTICE)
    one_way: bool = False


@dataclass(frozen=True, slots=True)
class Search(Parameters):
    """How long the engine searches for a short lay, and on how many processors: all if `workers` is None."""

    called: ClassVar[str] = "search"

    seconds: int = parameter(10, "s", 1, 3600, "for each lay: the search stops on the clock", "measured on the demo")
    workers: int | None = None


@dataclass(frozen=True, slots=True)
class Laid:
    """One copy of a piece on the cloth: mirrored or as drawn, turned by half a turn or not, then shifted."""

    piece: str
    mirrored: bool
    turned: bool
    x: float
    y: float

    @property
    def motion(self) -> Motion:
        """From where the piece is drawn to where it lies. It mirrors when the piece is turned over."""
        return _over(self.mirrored).then(Copy(self.piece, 2 * self.turned, self.x, self.y).motion)


@dataclass(frozen=True)
class LayPlan:
    """Pieces on cloth. Plans come from `lay_pieces`, `quick_lay` and `plan_of`, which check them."""

    pieces: tuple[Piece, ...]
    cloth: Cloth
    rules: LayRules
    laid: tuple[Laid, ...]

    @cached_property
    def packed(self) -> Packed:
        """The plan as items packed on a strip as wide as the usable cloth."""
        edge = self.cloth.selvedge
        copies = (Copy(_name(one.piece, one.mirrored), 2 * one.turned, one.x - edge, one.y) for one in self.laid)
        return Packed(tuple(_items(self.pieces, self.cloth, self.rules)), self.cloth.usable, tuple(copies))

    @property
    def length(self) -> float:
        """How much of the cloth's length the pieces take, in mm."""
        return self.packed.length

    @property
    def used(self) -> float:
        """The area of the pieces over that of the cloth they take, selvedges and all, 0 to 1."""
        across = self.cloth.width / (2 if self.cloth.lay is Lay.FOLDED else 1)
        return self.packed.density * self.cloth.usable / across

    def piece(self, name: str) -> Piece:
        """The piece of that name."""
        return next(piece for piece in self.pieces if piece.name == name)


def lay_pieces(
    pieces: Sequence[Piece], cloth: Cloth, *, rules: LayRules | None = None, search: Search | None = None
) -> LayPlan:
    """Search for a short lay. The search stops on the clock: another run may find another lay, so store what it finds.

    Raises:
        DesignError: a piece too wide for the cloth, or one that cannot be cut from folded cloth.
        DraftError: the strip-packing engine is not installed.
        GeometryError: the engine fails or breaks the rules.
    """
    rules, search = rules or LayRules(), search or Search()
    items = _fitting(pieces, cloth, rules)
    found = pack_strip(items, cloth.usable, gap=rules.gap, seconds=search.seconds, workers=search.workers)
    return _plan(pieces, cloth, rules, found)


def quick_lay(pieces: Sequence[Piece], cloth: Cloth, *, rules: LayRules | None = None) -> LayPlan:
    """A lay found without a search, in a few milliseconds: the same every time, and seldom much longer.

    Raises:
        DesignError: a piece too wide for the cloth, or one that cannot be cut from folded cloth.
        GeometryError: the lay breaks the rules.
    """
    rules = rules or LayRules()
    return _plan(pieces, cloth, rules, drop_strip(_fitting(pieces, cloth, rules), cloth.usable, gap=rules.gap))


def _fitting(pieces: Sequence[Piece], cloth: Cloth, rules: LayRules) -> tuple[Item, ...]:
    """The items of pieces of which none is too wide for the cloth."""
    for piece in pieces:
        if not cloth.fits(piece):
            wide, usable = apart(width_across(piece) / 10, cloth.usable / 10, decimals=1)
            raise DesignError(
                f"piece {piece.name}: it is {wide} cm wide and the cloth can take {usable} cm; "
                "use wider cloth, a single layer or split pieces"
            )
    return tuple(_items(pieces, cloth, rules))


def _plan(pieces: Sequence[Piece], cloth: Cloth, rules: LayRules, found: Packed) -> LayPlan:
    names = {_name(piece.name, mirrored): (piece.name, mirrored) for piece in pieces for mirrored in (False, True)}
    laid = (Laid(*names[copy.name], copy.turn == 2, round(copy.x + cloth.selvedge, 3), copy.y) for copy in found.copies)
    return plan_of(pieces, cloth, tuple(laid), rules=rules)


def plan_of(pieces: Sequence[Piece], cloth: Cloth, laid: Sequence[Laid], *, rules: LayRules | None = None) -> LayPlan:
    """The plan of pieces that were laid before.

    Raises:
        DesignError: a piece that cannot be cut from folded cloth.
        GeometryError: the lay breaks a rule: see `check_lay`.
    """
    plan = LayPlan(tuple(pieces), cloth, rules or LayRules(), tuple(laid))
    check_lay(plan)
    return plan


def check_lay(plan: LayPlan) -> None:
    """See that every copy is there once, inside the usable cloth, on the grain, and clear of the others by the gap.

    The true outlines are looked at, within 0.01 mm. Two may share no more than 0.01 mm².

    Raises:
        GeometryError: the first rule that is broken, and by which piece.
    """
    names = [piece.name for piece in plan.pieces]
    for laid in plan.laid:
        if names.count(laid.piece) != 1:
            raise GeometryError(f"lay plan: {names.count(laid.piece)} pieces are named {laid.piece!r}; name each once")
        grain, motion = plan.piece(laid.piece).grainline, laid.motion
        along = motion(grain.end) - motion(grain.start)
        if abs(along.x) > GRAIN_TURN * along.length or (plan.rules.one_way and along.y < 0):
            raise GeometryError(f"piece {laid.piece}: its grain does not run as it must along the cloth")
    check_packed(plan.packed, gap=plan.rules.gap)


def _items(pieces: Sequence[Piece], cloth: Cloth, rules: LayRules) -> Iterator[Item]:
    for piece in pieces:
        for mirrored, count in _copies(piece, cloth):
            outline = piece.cut_line.moved(_over(mirrored))
            yield Item(_name(piece.name, mirrored), outline, count, turns=(0,) if rules.one_way else (0, 2))


def _copies(piece: Piece, cloth: Cloth) -> Iterator[tuple[bool, int]]:
    """How often a piece is laid as drawn and mirrored. One that is cut once leaves a second over on folded cloth.

    Raises:
        DesignError: the cloth is folded and the piece is cut several times, not in mirrored pairs.
    """
    if cloth.lay is Lay.FOLDED and piece.cut_count == 1:
        yield False, 1
        return
    if cloth.lay is Lay.FOLDED:
        if not piece.mirrored or piece.cut_count % 2:
            pairs = "in mirrored pairs" if not piece.mirrored else "an even number of times"
            raise DesignError(
                f"piece {piece.name}: folded cloth is cut as mirrored pairs, and this piece is cut {piece.cut_count} "
                f"times, not {pairs}; lay the cloth open"
            )
        yield False, piece.cut_count // 2
        return
    mirrored = piece.cut_count // 2 if piece.mirrored else 0
    yield False, piece.cut_count - mirrored
    if mirrored:
        yield True, mirrored


def _over(mirrored: bool) -> Motion:
    return Motion.mirror_side(0.0) if mirrored else Motion.shift(Vector(0.0, 0.0))


def _name(piece: str, mirrored: bool) -> str:
    return f"{piece}{_MIRRORED}" if mirrored else piece
