"""The pieces of a skirt: its panel, the facing of a faced waist, and the strip of a ruffle. All are rectangles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from blocks.panel import Panel, casing_lines, casing_notches, grainline, notch, panel, rolled, sides_of
from blocks.proof import Seam
from blocks.skirt.design import SkirtDesign, SkirtFinish
from blocks.skirt.panel import SkirtPanel, rectangle
from blocks.waist import CUT_ON_NOTE
from drafting.casing import Tuck, flat_height
from drafting.path import Path
from drafting.piece import CasingLine, Notch, NotchKind, Piece
from drafting.point import Point

SKIRT: Final = "skirt"
FACING: Final = "waist facing"
RUFFLE: Final = "ruffle"


def skirt_pieces(made: SkirtPanel, design: SkirtDesign, tucks: Sequence[Tuck], *, size: str) -> tuple[Piece, ...]:
    """The flat pieces of one size.

    Raises:
        GeometryError: an edge that cannot be turned or opened.
    """
    pieces = [_skirt(made, design, tucks, size)]
    if design.waist.finish is SkirtFinish.FACED:
        pieces.append(_facing(made, design, size))
    if design.ruffle.depth:
        pieces.append(_ruffle(made, design, size))
    return tuple(pieces)


def seams_of(design: SkirtDesign) -> tuple[Seam, ...]:
    """Every seam. A panel's right edge is sewn to a left one: its own, or that of the other panel, which is alike."""
    seams = [Seam(SKIRT, "right", SKIRT, "left")]
    if design.waist.finish is SkirtFinish.FACED:
        seams += [Seam(SKIRT, "waist", FACING, "waist"), Seam(FACING, "right", FACING, "left")]
    if design.ruffle.depth:
        ruffle = design.ruffle
        seams.append(Seam(SKIRT, "hem", RUFFLE, "top", times=ruffle.fullness, strips=ruffle.strips))
        seams.append(Seam(RUFFLE, "right", RUFFLE, "left"))
    return tuple(seams)


def _skirt(made: SkirtPanel, design: SkirtDesign, tucks: Sequence[Tuck], size: str) -> Piece:
    allow, waist, ruffled = design.allowances, design.waist, bool(design.ruffle.depth)
    folded = waist.finish is SkirtFinish.CUT_ON
    own = {
        "hem": (allow.seam, ()) if ruffled else rolled(allow.hem),
        "waist": (waist.depth + waist.turn_under, (waist.depth, waist.turn_under)) if folded else (allow.waist, ()),
    }
    flat = panel(sides_of(made.edges, allow.seam, own), tucks)
    mates = {"right": ("right", "{}-left"), "left": ("left", "{}-right")}
    notches = [
        *casing_notches(flat, mates),
        notch(flat, "waist", NotchKind.CENTRE, "waist", made.width / 2, None if folded else f"{FACING}/waist"),
    ]
    covered = any(tuck.height - tuck.depth <= made.hip <= tuck.height + tuck.depth for tuck in tucks)
    if made.hip > made.lower + allow.hem and not covered:
        up = flat_height(tucks, made.hip) - made.lower
        down = flat.edge("left").seam.length - up
        notches.append(notch(flat, "hip-right", NotchKind.SIDE, "right", up, "hip-left"))
        notches.append(notch(flat, "hip-left", NotchKind.SIDE, "left", down, "hip-right"))
    if ruffled:
        notches += _ruffle_notches(flat, made, design)
    folds, stitches = casing_lines(flat, tucks)
    channel = flat.edge("waist").seam.start.y - waist.channel
    if folded:
        stitches = (*stitches, _channel_line(made, channel, waist.channel))
    return _piece(
        SKIRT,
        "Skirt" if made.count == 1 else "Skirt, front and back",
        flat,
        design,
        size=size,
        count=made.count,
        fold_lines=folds,
        stitch_lines=stitches,
        notches=notches,
        notes=(CUT_ON_NOTE,) if folded else (),
    )


def _channel_line(made: SkirtPanel, y: float, channel: float) -> CasingLine:
    left, right = Point(-made.width / 2, y), Point(made.width / 2, y)
    return CasingLine("waist stitch line", "waist", left, right, channel)


def _facing(made: SkirtPanel, design: SkirtDesign, size: str) -> Piece:
    """The facing of one panel, drawn as it hangs inside: waist seam on top."""
    waist, allow = design.waist, design.allowances
    edges = rectangle(made.width, -waist.depth, 0.0, names=("turn-under", "right", "waist", "left"))
    own = {"turn-under": (waist.turn_under, (waist.turn_under,)), "waist": (allow.waist, ())}
    flat = panel(sides_of(edges, allow.seam, own), ())
    return _piece(
        FACING,
        "Waist facing",
        flat,
        design,
        size=size,
        count=made.count,
        stitch_lines=(_channel_line(made, -waist.channel, waist.channel),),
        notches=[
            notch(flat, "waist", NotchKind.CENTRE, "waist", made.width / 2, f"{SKIRT}/waist"),
            *_ends(flat, "end"),
        ],
        notes=("the plain long edge is the waist seam",),
    )


def _ruffle(made: SkirtPanel, design: SkirtDesign, size: str) -> Piece:
    """One strip of the ruffle, across the grain like the skirt, so that it hangs as the skirt does."""
    ruffle, allow = design.ruffle, design.allowances
    width = made.width * ruffle.fullness / ruffle.strips
    edges = rectangle(width, made.bottom, made.lower, names=("hem", "right", "top", "left"))
    flat = panel(sides_of(edges, allow.seam, {"hem": rolled(allow.hem)}), ())
    return _piece(
        RUFFLE,
        "Ruffle",
        flat,
        design,
        size=size,
        count=made.count * ruffle.strips,
        notches=[
            notch(flat, "gather", NotchKind.CENTRE, "top", width / 2, f"{SKIRT}/{_middle(1)}"),
            *_ends(flat, "end"),
        ],
        notes=("the edge with the notch is gathered onto the skirt",),
    )


def _ruffle_notches(flat: Panel, made: SkirtPanel, design: SkirtDesign) -> list[Notch]:
    """Where the middle of each strip of the ruffle lies on the skirt's lower edge, and where two strips are joined."""
    strips = design.ruffle.strips
    each = made.width / strips
    middles = [
        notch(flat, _middle(at), NotchKind.CENTRE, "hem", (at - 0.5) * each, f"{RUFFLE}/gather")
        for at in range(1, strips + 1)
    ]
    joins = [notch(flat, f"ruffle-join-{at}", NotchKind.SIDE, "hem", at * each, None) for at in range(1, strips)]
    return [*middles, *joins]


def _middle(strip: int) -> str:
    return f"ruffle-{strip}"


def _ends(flat: Panel, stem: str) -> list[Notch]:
    """A pair half-way down the two ends of a strip."""
    half = flat.edge("right").seam.length / 2
    return [
        notch(flat, f"{stem}-right", NotchKind.SIDE, "right", half, f"{stem}-left"),
        notch(flat, f"{stem}-left", NotchKind.SIDE, "left", half, f"{stem}-right"),
    ]


def _piece(
    name: str,
    title: str,
    flat: Panel,
    design: SkirtDesign,
    *,
    size: str,
    count: int,
    notches: Sequence[Notch],
    fold_lines: tuple[CasingLine, ...] = (),
    stitch_lines: tuple[CasingLine, ...] = (),
    notes: tuple[str, ...] = (),
) -> Piece:
    _, low, _, high = Path.joined(edge.seam for edge in flat.edges).bounds
    return Piece(
        name=name,
        title=title,
        size=size,
        variant="",
        edges=flat.edges,
        grainline=grainline(0.0, low, high, design.panel.grainline_margin),
        cut_count=count,
        fold_lines=fold_lines,
        stitch_lines=stitch_lines,
        notches=tuple(notches),
        notes=notes,
    )
