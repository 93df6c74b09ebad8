"""The skirt: from a body and a design to pieces, finished measures, elastics and the proofs that they fit together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from blocks.elastic import Elastics
from blocks.fitting import check_taken
from blocks.garment import Garment, NamedPoint, Outline
from blocks.measurements import Body, check_label, hip_label
from blocks.parameters import of_kind
from blocks.proof import prove
from blocks.quantity import shown
from blocks.skirt.design import SkirtDesign
from blocks.skirt.elastics import check_widths, elastics_of, warnings_of
from blocks.skirt.panel import SkirtPanel, draft_panel, tucks_of
from blocks.skirt.pieces import seams_of, skirt_pieces
from drafting.casing import Tuck
from drafting.errors import DesignError
from drafting.piece import CasingLine, Piece
from drafting.point import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Skirt(Garment):
    """One size of one design, with the finished panel that it was drafted from."""

    design: SkirtDesign
    panel: SkirtPanel


def fit(pattern: Skirt, body: Body) -> Elastics:
    """The elastics of a body to go into the pieces of a skirt."""
    return elastics_of(body, pattern.panel, pattern.design, tucks_of(pattern.panel, pattern.design))


def draft_skirt(
    design: SkirtDesign,
    body: Body,
    *,
    rise: str = "",
    size: str | None = None,
    split: bool | Callable[[Piece], bool] = False,
) -> Skirt:
    """Draft one size. Without a `size` label it is named by its hip girth in cm, as in H102.

    With `split` it is made of two panels, front and back, for a skirt wider than the cloth; whether it is may be asked
    of every piece of the skirt in one panel. A skirt has no rises.

    Raises:
        DesignError: a design that this body cannot wear, a rise, a size that is no text; the message says what to
            change.
        MeasurementError: a size label that cannot be printed, or a body with what a fitting found: a rectangle, alike
            in front and behind, cannot be changed by it.
        GeometryError: a piece that cannot be built, or that fails one of its proofs.
    """
    of_kind("design", design, SkirtDesign)
    of_kind("body", body, Body)
    of_kind("size", size, str | None)
    if rise:
        raise DesignError(f"rise: {shown(rise)} is not a rise of this design; a skirt has none: leave it out")
    check_taken(body.fitting, (), "skirt")
    label = check_label(size) if size else hip_label(body)
    made, tucks, pieces = _made(design, body, label, count=2 if split is True else 1)
    if callable(split):
        split = any(map(split, pieces))
        if split:
            made, tucks, pieces = _made(design, body, label, count=2)
    elastics, seams = elastics_of(body, made, design, tucks), seams_of(design)
    check_widths(elastics, body, design)
    return Skirt(
        design=design,
        body=body,
        size=label,
        rise="",
        split=split,
        panel=made,
        pieces=pieces,
        elastics=elastics,
        measures=_measures(made, design, elastics),
        drawn_in=("waist_at_rest",),
        points=tuple(_points(made, pieces[0])),
        seams=seams,
        proofs=prove(pieces, tucks, seams),
        warnings=(*body.warnings, *warnings_of(elastics, design)),
    )


def _made(
    design: SkirtDesign, body: Body, label: str, *, count: int
) -> tuple[SkirtPanel, tuple[Tuck, ...], tuple[Piece, ...]]:
    made = draft_panel(body, design, count=count)
    tucks = tucks_of(made, design)
    return made, tucks, skirt_pieces(made, design, tucks, size=label)


def _measures(made: SkirtPanel, design: SkirtDesign, elastics: Elastics) -> dict[str, float]:
    return {
        "waist_at_rest": elastics.waist.finished,
        "width": made.round,
        "hem": made.round * (design.ruffle.fullness if design.ruffle.depth else 1),
        "length": -made.bottom,
    }


def _points(made: SkirtPanel, piece: Piece) -> Iterator[NamedPoint]:
    """The named points of the skirt, from the centre front (x) and the waist (y); all at the side.

    That is the seam of a panel of two, and lies half-way to the seam of a single one: alike in a range of both.
    """
    side = made.round / 4
    levels = {"waist": 0.0, "hip": made.hip, "lower edge": made.lower, "finished hem": made.bottom}
    for name, y in levels.items():
        yield NamedPoint(Outline.FINISHED, f"{name} at the side", Point(side, y))
    yield NamedPoint(Outline.FLAT, "waist at the side", Point(side, piece.edge("waist").seam.start.y))
    yield NamedPoint(Outline.FLAT, "lower edge at the side", Point(side, piece.edge("hem").seam.end.y))
    for line in (*piece.fold_lines, *piece.stitch_lines):
        yield NamedPoint(Outline.FLAT, f"casing {_part(line)}", Point(side, line.end.y))


def _part(line: CasingLine) -> str:
    return f"{line.casing}: {line.name.removeprefix(line.casing).strip()}"
