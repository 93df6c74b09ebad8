"""The trim: a band caught in the lowest casing that hangs behind the leg's hem and shows below it, or a bought one.

A band is drawn as it hangs, in the block's finished coordinates: its ends follow the leg's inseam edges below the
casing, so both are caught in one inseam. It has a right way up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from blocks.panel import Panel, grainline, notch, panel, rolled, sides_of
from blocks.parameters import parameters_of
from blocks.short.design import ShortDesign, TrimKind
from blocks.short.leg import LegBlock
from drafting.casing import Tuck
from drafting.errors import DesignError
from drafting.path import Path
from drafting.piece import Notch, NotchKind, Piece
from drafting.point import Point
from drafting.units import rounded_down, rounded_up

NAME = "trim band"
WAY_UP = "this way up: the long edge marked casing goes into the lowest casing"


def trim_shows(block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck]) -> float:
    """How far, in mm, the trim shows below the leg's hem.

    Raises:
        DesignError: no casing below the crotch to catch the trim in, no room in its tuck, or a bought trim too narrow
            to reach below the hem.
    """
    tuck = _caught_in(design, tucks)
    trim = design.trim
    if trim.kind is TrimKind.BAND:
        return trim.shows
    hangs = trim.width - trim.top
    shows = hangs - (tuck.height - block.hem_level)
    if shows <= 0:
        raise DesignError(
            f"trim.width: {design.said(trim.width)} hangs {design.said(hangs)} from casing {tuck.name!r} and does not "
            f"reach below the hem; {_wider(trim.width - shows + 1, design)}"
        )
    return shows


def _caught_in(design: ShortDesign, tucks: Sequence[Tuck]) -> Tuck:
    below = [tuck for tuck in tucks if tuck.height < 0]
    if not below:
        raise DesignError(
            f"trim.kind: a {design.trim.kind} trim hangs from a casing below the crotch, and the design has none; "
            'add a casing with a negative height or set trim.kind = "none"'
        )
    tuck = min(below, key=lambda tuck: tuck.height)
    room = tuck.depth - design.limits.elastic_clearance
    if design.trim.top > room:
        raise DesignError(
            f"trim.top: {design.said(design.trim.top)} does not fit into casing {tuck.name!r} of "
            f"{design.said(tuck.depth)}; {_narrower(room, tuck, design)}"
        )
    return tuck


def _wider(least: float, design: ShortDesign) -> str:
    if rounded_up(least, design.unit) <= parameters_of(design.trim)["width"].high:
        return f"set trim.width to {design.at_least(least)} at least, or lower the casing"
    return 'lower the casing, or set trim.kind = "none"'


def _narrower(room: float, tuck: Tuck, design: ShortDesign) -> str:
    if rounded_down(room, design.unit) >= parameters_of(design.trim)["top"].low:
        return f"set trim.top to {design.at_most(room)} at most, or the casing's depth to more"
    deep = design.trim.top + design.limits.elastic_clearance
    return f'make casing {tuck.name!r} at least {design.at_least(deep)} deep, or set trim.kind = "none"'


def trim_pieces(
    block: LegBlock, design: ShortDesign, tucks: Sequence[Tuck], *, size: str, rise: str, split: bool
) -> tuple[Piece, ...]:
    """The band of one leg, cut twice as a mirrored pair; none when the trim is bought or the design has none.

    Raises:
        DesignError: see `trim_shows`.
    """
    if design.trim.kind is TrimKind.NONE:
        return ()
    low = block.hem_level - trim_shows(block, design, tucks)
    if design.trim.kind is TrimKind.BOUGHT:
        return ()
    tuck = _caught_in(design, tucks)
    front, back = (_inseam(edge, tuck, low) for edge in (block.front_inseam, block.back_inseam.reversed()))
    top, bottom = Point(0.0, tuck.height), Point(0.0, low)
    if not split:
        edges = {
            "hem": Path.through(back.start, front.start),
            "front inseam": front,
            "casing": Path.through(front.end, back.end),
            "back inseam": back.reversed(),
        }
        return (_piece(NAME, "Trim band", edges, block, design, size=size, rise=rise, grain_at=0.0),)
    halves = {
        "front": {
            "hem": Path.through(bottom, front.start),
            "front inseam": front,
            "casing": Path.through(front.end, top),
            "side": Path.through(top, bottom),
        },
        "back": {
            "hem": Path.through(back.start, bottom),
            "side": Path.through(bottom, top),
            "casing": Path.through(top, back.end),
            "back inseam": back.reversed(),
        },
    }
    middle = {"front": block.front_width / 2, "back": -block.back_width / 2}
    return tuple(
        _piece(
            f"{NAME} {half}", f"Trim band, {half}", edges, block, design, size=size, rise=rise, grain_at=middle[half]
        )
        for half, edges in halves.items()
    )


def _inseam(rising: Path, tuck: Tuck, low: float) -> Path:
    """The leg's inseam edge below the casing, carried straight on below the hem."""
    kept = rising.split_at_height(tuck.height)[0]
    foot = Path.through(Point(kept.start.x, low), kept.start)
    return Path((*foot.segments, *kept.segments))


def _piece(
    name: str,
    title: str,
    edges: Mapping[str, Path],
    block: LegBlock,
    design: ShortDesign,
    *,
    size: str,
    rise: str,
    grain_at: float,
) -> Piece:
    trim, allow = design.trim, design.allowances
    made = panel(sides_of(edges, allow.seam, {"hem": rolled(trim.hem), "casing": (trim.top, ())}), ())
    top, low = edges["casing"].start.y, edges["hem"].start.y
    return Piece(
        name=name,
        title=title,
        size=size,
        variant=rise,
        edges=made.edges,
        grainline=grainline(grain_at, low, top, design.leg.grainline_margin),
        cut_count=2,
        mirrored=True,
        notches=tuple(_notches(made, name, block.hem_level - low)),
        notes=(WAY_UP,),
    )


def _notches(made: Panel, name: str, below: float) -> list[Notch]:
    """Where the leg's hem lies on each end and side seam; the side line on the edge that goes into the casing."""
    names = [edge.name for edge in made.edges]
    whole = name == NAME
    found = []
    for half, other in (("front", "back"), ("back", "front")):
        edge = f"{half} inseam"
        if edge in names:
            away = "" if whole else f"{NAME} {other}/"
            length = made.edge(edge).seam.length
            distance = below if half == "front" else length - below
            found.append(notch(made, f"hem-{half}", NotchKind.SINGLE, edge, distance, f"{away}hem-{other}"))
    if whole:
        casing = made.edge("casing").seam
        found.append(notch(made, "side", NotchKind.SIDE, "casing", casing.start.x, None))
    else:
        other = f"{NAME} back" if name.endswith("front") else f"{NAME} front"
        length = made.edge("side").seam.length
        distance = below if made.edge("side").seam.end.y > made.edge("side").seam.start.y else length - below
        found.append(notch(made, "hem-side", NotchKind.SINGLE, "side", distance, f"{other}/hem-side"))
    return found
