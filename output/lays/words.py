"""The words of lay plans and cloth requirements, beside those that files share in `output.words.text`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from blocks.cloth import Cloth, Lay
from blocks.haberdashery import Haberdashery
from blocks.lay import LayRules
from blocks.notions import Thread
from blocks.requirement import Buying, Requirement
from blocks.size_range import cloth_words
from drafting.piece import Piece
from drafting.units import show_both, show_small
from output.tables.amounts import bought_words, thread_metres, used_percent

HEADING: Final = "Lay plan"
SELVEDGE: Final = "selvedge"
FOLD: Final = "fold"
MIRRORED: Final = "mirrored"
REQUIREMENT_HEADING: Final = "Cloth requirement"
NOTIONS_HEADING: Final = "Also buy"
HOW_HEADING: Final = "How to lay"

HOW_OPEN: Final = (
    "Open the cloth out to its full width, right side up, in a single layer.",
    "White pieces lie as they are printed. Tinted pieces are mirrored: turn the paper piece over, printed side down.",
)
HOW_FOLDED: Final = (
    "Fold the cloth lengthwise, right sides together, selvedge on selvedge.",
    "Lay each piece once and cut through both layers: each cut gives a mirrored pair.",
)
HOW_SINGLE: Final = "Of a piece that is cut once, the second is left over: cut it through one layer alone if you can."
HOW_ALWAYS: Final = (
    "Wash, dry and press the cloth first, and square its ends. The width named here is its width after that.",
    "Keep every grainline parallel to the selvedge. The arrow points to the piece's upper edge.",
)
TWO_WAY: Final = "For cloth without nap or direction. With a nap or a print that has a way up, use a one-way lay."
ONE_WAY: Final = "One-way, for nap and prints: all arrows point the same way."


def how_to_lay(pieces: Iterable[Piece], cloth: Cloth, rules: LayRules) -> tuple[str, ...]:
    """What to do before and while the pieces are laid."""
    way: tuple[str, ...] = HOW_OPEN
    if cloth.lay is Lay.FOLDED:
        way = (*HOW_FOLDED, *[HOW_SINGLE] * any(piece.cut_count == 1 for piece in pieces))
    return (HOW_ALWAYS[0], *way, HOW_ALWAYS[1], ONE_WAY if rules.one_way else TWO_WAY)


def piece_labels(piece: Piece, *, mirrored: bool) -> tuple[tuple[str, ...], ...]:
    """What stands in a piece on the plan: at length and shorter."""
    if not mirrored:
        return ((piece.title,),)
    return ((piece.title, MIRRORED), (f"{piece.title}, {MIRRORED}",), (piece.title,))


def scale(denominator: float) -> str:
    return f"Scale 1 : {denominator:g}"


def width_label(cloth: Cloth) -> str:
    """The width that is drawn: all of the cloth, or half of it when it is folded.

    >>> width_label(Cloth(1400, lay=Lay.FOLDED))
    'folded to 70.0 cm (27.6 in)'
    """
    if cloth.lay is Lay.FOLDED:
        return f"folded to {show_both(cloth.width / 2)}"
    return f"cloth width {show_both(cloth.width)}"


def length_label(length: float) -> str:
    return f"lay length {show_both(length)}"


def on_cloth(cloth: Cloth, rules: LayRules) -> str:
    """Cloth and lay in a heading."""
    words = cloth_words(cloth)
    return f"{words[0].upper()}{words[1:]}{', one-way' if rules.one_way else ''}"


def requirement_rows(cloth: Cloth, needs: Requirement, buying: Buying, used: float) -> tuple[tuple[str, str], ...]:
    """The cloth requirement, what to buy first."""
    return (
        ("to buy", bought_words(needs)),
        ("of cloth", f"{show_both(cloth.width)} wide"),
        ("lay length", show_both(needs.lay_length)),
        ("shrinkage, ends", f"{100 * buying.shrinkage:g} % and {show_both(buying.ends)}"),
        ("least length", show_both(needs.least)),
        ("cloth used", f"{used_percent(used)} %"),
    )


def notion_rows(takes: Haberdashery, thread: Thread) -> tuple[tuple[str, str], ...]:
    """Elastic, trim and thread to buy."""
    rows = [(f"{one.ware}, {show_small(one.width)} wide", bought_words(one)) for one in takes.shopping]
    return (*rows, ("sewing thread, about", f"{thread_metres(thread)} m"))
