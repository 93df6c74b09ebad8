"""Garments, pieces and bodies as drawings on a page: SVG text that a style sheet colours (`static/drawing.css`).

Every drawing is one image with a name that says what it shows, in the words of the printed pattern. Pieces are drawn
from what is drafted: opened with their casings, or finished, with the casings folded.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from blocks.design import casing_title
from blocks.garment import Garment
from blocks.known import block_of
from blocks.measurements import RANGES, USUAL, Body, body_from
from blocks.quantity import shown
from blocks.words import isolated
from drafting.casing import Tuck
from drafting.errors import DraftError, OutputError
from drafting.folded import FoldedTuck, folded_down, tucks_in
from drafting.path import Path
from drafting.picture import Picture
from drafting.piece import CasingLine, Grainline, Mark, MarkKind, Notch, NotchKind, Piece
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.lettering import LEADING, cut, wrap
from output.drawing.size_lines import COLOURS, PATTERNS, WIDTH
from output.guide.figure import tape_picture
from output.serve.drawing.svg import NAMESPACE, Bounds, drawing, filled, group, sized, stroke, text, traced
from output.words import text as words
from output.words.letters import text_width

LETTERS: Final = 1 / 28
"""Height of letters over the width of a drawing: 12 pixels where it is 336 wide. The style sheet makes them smaller
where it is wider, never larger, so that words keep the room that they have here."""

COLUMN: Final = 10.0
"""The narrowest that words below a piece are set, over the height of letters."""

LONGEST: Final = 6.0
"""The most of a casing's name that stands beside it, over the height of letters."""

GAP: Final = 0.03
"""Between pieces and round a drawing, over its width."""

NARROWEST: Final = 480.0
"""mm; what small pieces alone are not drawn larger than."""

HEAD: Final = 0.5
"""Arrows and crosses, over the height of letters."""

MIDDLE: Final = 0.36
"""The middle of letters above their base line, over their height."""

SAMPLE: Final = 60.0
PIXELS: Final = 1.5
"""How long the sample of a size's line is, and how wide a size's line, both in pixels."""

TALL: Final = 100.0
EDGE: Final = 2.0
"""mm; the height of a standing body in a drawing, and what is left free round it."""

SEEN: Final = 0.62
"""How much of a body is shown, over its height, where the tape goes round or along one end of it."""

TAPES: Final = (Role.TAPE, Role.TAPE_BEHIND, Role.TICK)

FLAT: Final = "as it is cut, casings opened"
FINISHED: Final = "finished, casings folded"

FAINT: Final = ' opacity="0.6"'
"""How the folds of a nest's casings are drawn."""

HAIR: Final = 0.01
"""mm; what heights may be off."""

CASING_MARKS: Final = (NotchKind.FOLD, NotchKind.STITCH)


def worn(garment: Garment, *, back: bool = False) -> str:
    """The garment as it is worn, from the front or from behind; its finished pieces where its block draws no more."""
    parts = block_of(garment.design).guide_parts
    if parts is None:
        return pieces(garment, finished=True)
    picture = parts.worn(garment, scale=1.0, back=back)
    edges = [trace for trace in picture.traces if trace.role is not Role.GATHER]  # which lie within them, in hundreds
    left, bottom, right, top = Picture(tuple(edges)).bounds
    room = (right - left) * GAP
    label = f"{_named(garment)}, as worn, {'from behind' if back else 'from the front'}"
    bounds = left - room, bottom - room, right + room, top + room
    return drawing("worn", label, bounds, (right - left) * LETTERS, traced(picture.traces))


def pieces(garment: Garment, *, finished: bool = False) -> str:
    """All pieces side by side, each with its size: as they are cut, or finished, with casings and allowances folded."""
    boxes = [_bounds(piece, finished=finished) for piece in garment.pieces]
    wide = [right - left for left, _, right, _ in boxes]
    abreast = sum(across for piece, across in zip(garment.pieces, wide, strict=True) if piece in parts_of(garment))
    width = max(NARROWEST, abreast / (1 - GAP) + HAIR, *wide)
    letters, gap = width * LETTERS, width * GAP
    inside, told, rows = [], [], _Rows(width, gap)
    for piece, box, across in zip(garment.pieces, boxes, wide, strict=True):
        tall, size = box[3] - box[1], sized(box)
        cell = max(across, letters * COLUMN)
        lines = [("svg-title", line) for line in wrap(piece.title, cell, letters, bold=True)]
        lines += [
            ("svg-caption", line) for said in (*size, words.cut_line(piece)) for line in _lines(said, cell, letters)
        ]
        x, y = rows.place(cell, tall + LEADING * letters * (len(lines) + 0.5))
        told.append(f"{piece.title}, {size[0]} ({size[1]}), {words.cut_line(piece).lower()}")
        drawn = _piece(piece, letters, finished=finished)
        inside.append(group("svg-piece", told[-1], drawn, at=(x - box[0], y - box[3]), data={"piece": piece.name}))
        for number, (kind, line) in enumerate(lines, 1):
            inside.append(text(kind, Point(x, y - tall - LEADING * letters * (number + 0.2)), line))
    how = "finished, casings folded and allowances turned" if finished else "as they are cut"
    label = f"{_named(garment)}: pieces {how}. {'; '.join(told)}"
    bounds = -gap, rows.bottom - gap, rows.right + gap, gap
    return drawing("pieces", label, bounds, letters, *inside)


def _lines(said: str, cell: float, letters: float) -> list[str]:
    """Words in lines no wider than a cell, broken after a comma where they can be."""
    parts = [said] if _wide(said, letters) <= cell else re.split(r"(?<=,) ", said)
    return [line for part in parts for line in wrap(part, cell, letters)]


class _Rows:
    """Places for boxes from left to right, row below row, none wider than the first that is asked for."""

    def __init__(self, width: float, gap: float) -> None:
        self._width, self._gap = width, gap
        self._x = self._top = self.bottom = 0.0
        self.right = width

    def place(self, wide: float, tall: float) -> tuple[float, float]:
        """The upper left corner of the next box."""
        if self._x and self._x + wide > self._width:
            self._x, self._top = 0.0, self.bottom - self._gap
        corner = self._x, self._top
        self.right = max(self.right, self._x + wide)
        self._x += wide + self._gap
        self.bottom = min(self.bottom, self._top - tall)
        return corner


def leg(garment: Garment, *, opened: bool = True) -> str:
    """The part that has the casings, alone, each casing a group with a handle, its name and height beside it.

    A group of class `casing` tells by `data-casing` its name, by `data-height` the height of its stitching on the
    finished garment in mm above the block's origin, by `data-shift` how much higher it lies in this drawing, and by
    `data-depth` its depth. Where they are known, `data-whole` is the height at which its share would be 1, and
    `data-spans` are the heights from and to which it has room, as `-96:-40 120:231`. The user unit is the millimetre
    and a height y stands at -y: a script moves a group by `transform="translate(0 MM)"`.
    """
    parts = sorted(parts_of(garment), key=lambda piece: piece.cut_line.bounds[0])
    boxes = [_bounds(piece, finished=not opened) for piece in parts]
    width = sum(right - left for left, _, right, _ in boxes)
    gap, x, aside = width * GAP, 0.0, []
    for left, _, right, _ in boxes:
        aside.append(x - left)
        x += right - left + gap
    casings: dict[str, list[FoldedTuck]] = {}
    for piece, by in zip(parts, aside, strict=True):
        for one in tucks_in(piece):
            casings.setdefault(one.tuck.name, []).append(one.aside(by))
    names = [_height_told(garment, ones[0].tuck) for ones in casings.values()]
    beside = max((_wide(said, 1.0) for said in names), default=0.0)
    letters = width * LETTERS / (1 - beside * LETTERS)
    bodies = []
    for piece, by in zip(parts, aside, strict=True):
        drawn = _outline(piece, letters, finished=not opened)
        bodies.append(group("svg-piece", piece.title, drawn, at=(by, 0.0), data={"piece": piece.name}))
    levels = _spread([_folding(ones[0], opened=opened).start.y for ones in casings.values()], LEADING * letters)
    for (name, ones), said, level in zip(casings.items(), names, levels, strict=True):
        inside = _casing(ones, opened=opened), _beside(ones, Point(x, level), said, letters, opened=opened)
        bodies.append(group("casing", casing_title(isolated(name)), *inside, data=_handle(garment, ones[0], opened)))
    right = x + beside * letters
    low = min([*(box[1] for box in boxes), *(level - letters for level in levels)])
    high = max(box[3] for box in boxes)
    label = f"{_named(garment)}: {block_of(garment.design).part}, {FLAT if opened else FINISHED}"
    return drawing("leg", label, (-gap, low - gap, right + gap, high + gap), letters, *bodies)


def _height_told(garment: Garment, tuck: Tuck) -> str:
    """A casing's name, cut where it is long, and its height in the unit of its designer."""
    try:
        name = cut(tuck.name, LONGEST, 1.0)
    except OutputError:
        name = tuck.name[: int(LONGEST)]
    return f"{isolated(name)} {garment.design.said(round(tuck.height, 1))}"


def _handle(garment: Garment, one: FoldedTuck, opened: bool) -> dict[str, str | float]:
    """What a script must know of a casing to move it."""
    height = one.tuck.height
    told: dict[str, str | float] = {"casing": one.tuck.name, "height": height, "depth": one.tuck.depth}
    return told | {"shift": one.drop if opened else 0.0} | _room(garment, one.tuck.name, height)


def nest(garments: Sequence[Garment], piece: str, *, opened: bool = True, labels: Sequence[str] = ()) -> str:
    """One piece, by its name, of several sizes over one another by the origin that they are drafted from. By the name
    of what is split where it must be, it is every size's, in one piece or split.

    Each size that has it is a group `size` with `data-size` and, where there are any, `data-rise`, its line in the
    pattern and colour that `sample` shows of its place among the `labels` of all sizes, or among those drawn. The
    largest is drawn first.

    Raises:
        DraftError: no size has that piece.
    """
    places = {label: number for number, label in enumerate(labels or [garment.size for garment in garments])}
    found = [(garment, ones) for garment in garments if (ones := _of_nest(garment, piece))]
    if not found:
        raise DraftError(f"piece: {shown(piece)} is in none of these sizes; choose one that is")
    lefts, bottoms, rights, tops = zip(
        *(_bounds(one, finished=not opened) for _, ones in found for one in ones), strict=True
    )
    left, bottom, right, top = min(lefts), min(bottoms), max(rights), max(tops)
    letters, gap = (right - left) * LETTERS, (right - left) * GAP
    groups = []
    for garment, ones in reversed(found):
        number = places[garment.size]
        more = {"size": garment.size} | ({"rise": garment.rise} if garment.rise else {})
        lines = _line_of(number, *(one.cut_line if opened else _finished(one) for one in ones))
        folds = [_folding(casing, opened=opened) for one in ones for casing in tucks_in(one)]
        casings = stroke(_colour(number), *(Path.through(fold.start, fold.end) for fold in folds), more=FAINT)
        groups.append(group("size", words.size_line(garment.size, garment.rise), lines, casings, data=more))
    sizes = words.sizes_line([(garment.size, garment.rise) for garment, _ in found])
    named, how = isolated(garments[0].design.name), FLAT if opened else FINISHED
    label = f"{named}, {sizes}: {piece} of each size over one another, {how}"
    return drawing("nest", label, (left - gap, bottom - gap, right + gap, top + gap), letters, *groups)


def _of_nest(garment: Garment, piece: str) -> tuple[Piece, ...]:
    """What a nest of that name shows of a size."""
    whole = piece == block_of(garment.design).part
    return parts_of(garment) if whole else tuple(one for one in garment.pieces if one.name == piece)


def sample(number: int) -> str:
    """A piece of the line that is the size's at that place in a nest, for a key; what it means stands beside it."""
    line = _line_of(number, Path.through(Point(0, 0), Point(SAMPLE, 0)))
    box = f"0 {-SAMPLE / 12:g} {SAMPLE:g} {SAMPLE / 6:g}"
    return f'<svg xmlns="{NAMESPACE}" class="drawing sample" aria-hidden="true" viewBox="{box}">{line}</svg>'


def _line_of(number: int, *paths: Path) -> str:
    """Lines in the pattern and the colour of a size."""
    dash = [length / WIDTH * PIXELS for length in PATTERNS[number % len(PATTERNS)]]
    told = f' stroke-dasharray="{" ".join(f"{length:g}" for length in dash)}"' if dash else ""
    return stroke(_colour(number), *paths, more=told)


def _colour(number: int) -> str:
    """The role of a line in the colour of a size."""
    return f"size-{number % len(COLOURS)}"


@lru_cache(maxsize=64)
def tape(measurement: str, body: Body | None = None) -> str:
    """Where the tape goes for one measurement, by its name in `blocks.measurements.RANGES`, on a body of usual build.

    Raises:
        MeasurementError: no measurement has that name.
    """
    picture = tape_picture(body or standard_body(), measurement, tall=TALL)
    left, bottom, right, top = picture.bounds
    _, low, _, high = Picture(tuple(one for one in picture.traces if one.role in TAPES)).bounds
    if low > (1 - SEEN) * TALL:
        bottom = max(bottom, top - SEEN * TALL)
    elif high < SEEN * TALL * 0.85 and top > 0.95 * TALL:  # it stands
        top = min(top, bottom + SEEN * TALL)
    label = f"{words.spoken(measurement)}: {RANGES[measurement].meaning}"
    bounds = left - EDGE, bottom - EDGE, right + EDGE, top + EDGE
    return drawing("tape", label, bounds, TALL * LETTERS, traced(picture.traces))


@lru_cache(maxsize=1)
def standard_body() -> Body:
    """A body whose needed measurements are in the middle of the usual ones, the others estimated from them."""
    middle = {name: (RANGES[name].usual_low + RANGES[name].usual_high) / 2 for name in USUAL}
    return body_from(middle, unit="mm")


def _named(garment: Garment) -> str:
    """The design and the size, as an image is named."""
    return f"{isolated(garment.design.name)}, {words.size_line(garment.size, garment.rise)}"


def parts_of(garment: Garment) -> tuple[Piece, ...]:
    """The part that casings are folded in, in one piece or split."""
    part = block_of(garment.design).part
    found = tuple(piece for piece in garment.pieces if piece.name == part or piece.name.startswith(f"{part} "))
    return found or garment.pieces[:1]


def _finished(piece: Piece) -> Path:
    """The outline of a piece once its casings are folded and its allowances turned."""
    return piece.finished or piece.seam_line


def _bounds(piece: Piece, *, finished: bool) -> Bounds:
    return (_finished(piece) if finished else piece.cut_line).bounds


def _piece(piece: Piece, letters: float, *, finished: bool) -> str:
    """A piece with all that is marked on it."""
    casings = "".join(
        group("svg-casing", casing_title(isolated(one.tuck.name)), _casing([one], opened=not finished))
        for one in tucks_in(piece)
    )
    return f"{_outline(piece, letters, finished=finished)}{casings}"


def _outline(piece: Piece, letters: float, *, finished: bool) -> str:
    """A piece with all that is marked on it but its casings."""
    tucks = tucks_in(piece)
    taken = {id(line) for one in tucks for line in (one.lower, one.fold, one.upper)}
    folds = [line for line in piece.fold_lines if id(line) not in taken]
    stitches = [line for line in piece.stitch_lines if id(line) not in taken]
    down = _Down(tucks if finished else ())
    outline = _finished(piece) if finished else piece.cut_line
    return "".join(
        (
            filled("sheet", outline),
            stroke(Role.OUTLINE if finished else Role.CUT, outline),
            "" if finished else stroke(Role.SEAM, piece.seam_line),
            stroke(Role.FOLD, *(down.path(Path.through(line.start, line.end)) for line in folds)),
            stroke(Role.STITCH, *(down.path(Path.through(line.start, line.end)) for line in stitches)),
            _marks(piece.marks, letters * HEAD, down),
            _grain(piece.grainline, letters * HEAD, down),
            _notches(piece.notches, letters * HEAD, down, finished=finished),
        )
    )


class _Down:
    """Where things of a flat piece lie once its tucks are folded; where they are, without any."""

    def __init__(self, tucks: Sequence[FoldedTuck]) -> None:
        self._tucks = tucks

    def by(self, *heights: float) -> list[Vector]:
        return [Vector(0, low - high) for high, low in zip(heights, folded_down(heights, self._tucks), strict=True)]

    def path(self, path: Path) -> Path:
        """A line that lies between two tucks, moved as its middle is."""
        if not self._tucks:
            return path
        _, bottom, _, top = path.bounds
        return path.moved(Motion.shift(self.by((bottom + top) / 2)[0]))


def _casing(ones: Sequence[FoldedTuck], *, opened: bool) -> str:
    """A casing in all parts that it crosses: its cloth, stitching and fold, and what can be gripped."""
    bands = [filled("band", _band(one, opened=opened)) for one in ones]
    stitching = [Path.through(line.start, line.end) for one in ones for line in _stitching(one, opened=opened)]
    folds = [Path.through(line.start, line.end) for one in ones for line in [_folding(one, opened=opened)]]
    return "".join((*bands, stroke(Role.STITCH, *stitching), stroke(Role.FOLD, *folds), stroke("grip", *folds)))


def _stitching(one: FoldedTuck, *, opened: bool) -> tuple[CasingLine, ...]:
    return (one.lower, one.upper) if opened else (one.stitched,)


def _folding(one: FoldedTuck, *, opened: bool) -> CasingLine:
    return one.fold if opened else one.folded


def _band(one: FoldedTuck, *, opened: bool) -> Path:
    """The cloth of a casing; its sides, which follow the edges of the piece, are drawn straight."""
    low, fold = one.lower if opened else one.stitched, _folding(one, opened=opened)
    high = (one.upper.end, one.upper.start) if opened else ()
    return Path.through(low.start, low.end, fold.end, *high, fold.start, low.start)


def _beside(ones: Sequence[FoldedTuck], at: Point, said: str, letters: float, *, opened: bool) -> str:
    """The words beside a casing, led to its fold."""
    fold = _folding(ones[-1], opened=opened)
    lead = Path.through(fold.end, Point(at.x - letters * HEAD, at.y))
    return stroke(Role.LEADER, lead) + text("svg-caption", at - Vector(0, letters * MIDDLE), said)


def _room(garment: Garment, name: str, height: float) -> dict[str, str | float]:
    """The height of a whole share and where a casing has room, as far as the block tells; to a hundredth of a mm."""
    found: dict[str, str | float] = {}
    share = next((getattr(one, "share", None) for one in garment.design.casings if one.name == name), None)
    if share:
        found["whole"] = height / share
    asked = block_of(garment.design).casing_room
    room = asked(garment, garment.design, name) if asked else None
    if room and any(low - HAIR <= height <= high + HAIR for low, high in room.spans):
        found["spans"] = " ".join(f"{low:.2f}:{high:.2f}" for low, high in room.spans)
        found.setdefault("whole", room.whole)
    return found


def _marks(marks: Sequence[Mark], arm: float, down: _Down) -> str:
    """Where others are sewn on and the cloth is creased, buttonholes, and places to mark through."""
    lines: dict[MarkKind, list[Path]] = {kind: [] for kind in MarkKind}
    crosses = []
    for mark in marks:
        if mark.line:
            lines[mark.kind].append(down.path(mark.line))
        for at, by in zip(mark.points, down.by(*(point.y for point in mark.points)), strict=True):
            ends = [Vector(arm, 0), Vector(0, arm)]
            crosses += [Path.through(at + by - end * 0.5, at + by + end * 0.5) for end in ends]
    roles = ((Role.PLACE, MarkKind.PLACE), (Role.BUTTONHOLE, MarkKind.BUTTONHOLE), (Role.FOLD, MarkKind.CREASE))
    return "".join((*(stroke(role, *lines[kind]) for role, kind in roles), stroke(Role.CROSS, *crosses)))


def _grain(grain: Grainline, head: float, down: _Down) -> str:
    """The straight grain, an arrow at each end."""
    low, high = down.by(grain.start.y, grain.end.y)
    start, end = grain.start + low, grain.end + high
    along = (end - start).unit()
    head = min(head, (end - start).length / 3)
    barbs = []
    for tip, back in ((start, along), (end, -along)):
        sides = [tip + (back + back.left() * side) * head for side in (0.5, -0.5)]
        barbs.append(Path.through(sides[0], tip, sides[1]))
    return group("svg-grain", words.GRAIN[0], stroke(Role.GRAIN, Path.through(start, end), *barbs))


def _notches(notches: Sequence[Notch], least: float, down: _Down, *, finished: bool) -> str:
    """Notches as strokes from the cut line to the seam line, or finished from the seam inwards; two for a double one.

    Those of casings are not seen on the finished piece.
    """
    shown_here = [one for one in notches if not (finished and one.kind in CASING_MARKS)]
    found = []
    for one, by in zip(shown_here, down.by(*(one.seam_point.y for one in shown_here)), strict=True):
        inward = one.seam_point - one.cut_point
        if inward.length < least / 4:  # drawn where seam line and cut line are one
            continue
        start, stem = (one.seam_point + by, inward.unit() * least) if finished else (one.cut_point, inward)
        aside = inward.unit().left() * (least * 0.3 if one.kind is NotchKind.DOUBLE else 0.0)
        for off in {aside, -aside}:
            found.append(Path.through(start + off, start + off + stem))
    return stroke(Role.NOTCH, *found)


def _spread(levels: Sequence[float], apart: float) -> list[float]:
    """Heights as near to these, lowest first, as they can be so far apart: those that touch share their middle."""
    heaps: list[tuple[float, int]] = []  # the middle of each heap, and how many are in it
    for level in levels:
        middle, count = level, 1
        while heaps and middle - heaps[-1][0] < apart * (count + heaps[-1][1]) / 2:
            other, many = heaps.pop()
            middle, count = (middle * count + other * many) / (count + many), count + many
        heaps.append((middle, count))
    return [middle + apart * (place - (count - 1) / 2) for middle, count in heaps for place in range(count)]


def _wide(said: str, letters: float) -> float:
    """How far words run; those that cannot be printed are taken to be as wide as they are high."""
    try:
        return text_width(said, letters, bold=True)
    except OutputError:
        return letters * len(said)
