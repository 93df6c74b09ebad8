"""SVG 1.1 at real size: the user unit is the millimetre, and the page says so. Curves are the drafted Béziers.

Everything is one group per size, in it one per piece, in that one per role: cut, seam, fold, stitch, grain, notch,
label. A group's class is what it is (`size`, `piece`, or the role) and its id is made of the names above it, as in
`size-H102-high-leg-cut`, so that a file drawn again has the same ids. No style sheets, no transforms but of turned
text, no references: cutters and simple readers know no more than that. svgwrite checks every element and attribute
against the rules of the standard while the drawing is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from math import ceil
from typing import TYPE_CHECKING, Any, Final
from xml.etree import ElementTree

from blocks.words import isolated
from drafting.path import Path
from drafting.piece import Piece
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing import lettering
from output.drawing.labels import STYLE as LETTERS
from output.drawing.labels import label_piece
from output.drawing.pens import PENS
from output.drawing.pieces import piece_strokes
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.formats.pattern_json import DIGITS
from output.words import text as words
from output.words.letters import check_text

if TYPE_CHECKING:
    from svgwrite import Drawing

FONTS: Final = "DejaVu Sans, Verdana, Arial, sans-serif"
"""The font of the labels, and those that may stand in for it: none is wider, so that labels keep their room."""

MARGIN: Final = 5.0
GAP: Final = 20.0
"""mm; round the drawing, and between the pieces of a nest."""

SAMPLE: Final = 24.0
"""mm; length of a line in the key of a nest."""

COLOURS: Final = (
    (0.0, 0.0, 0.0),
    (0.0, 0.447, 0.698),
    (0.835, 0.369, 0.0),
    (0.0, 0.62, 0.451),
    (0.8, 0.475, 0.655),
    (0.902, 0.624, 0.0),
    (0.337, 0.706, 0.914),
)
"""One for each size of a nest: told apart by every kind of colour vision (Okabe and Ito, *Color Universal Design*,
2008, without its yellow, which is faint on paper; from memory)."""

DASHES: Final = ((), (10.0, 2.0), (10.0, 2.0, 2.0, 2.0))
"""mm; of the cut lines of the first seven sizes of a nest, of the next seven, and of those after them."""


def piece_svg(piece: Piece, *, design: str, labels: bool = True) -> bytes:
    """One piece with a narrow margin round it. Without `labels` it has no text at all.

    Raises:
        OutputError: a label has no room in the piece, or a name has a character that the fonts lack.
    """
    left, bottom, right, top = piece.cut_line.bounds
    laid = piece.moved(Motion.shift(Vector(MARGIN - left, MARGIN - bottom)))
    width, height = (float(ceil(side + 2 * MARGIN)) for side in (right - left, top - bottom))
    return laid_svg([laid], width=width, height=height, design=design, labels=labels)


def laid_svg(pieces: Sequence[Piece], *, width: float, height: float, design: str, labels: bool = True) -> bytes:
    """Pieces that already lie on a sheet of `width` by `height` mm, origin at its lower left.

    Raises:
        OutputError: a label has no room in its piece, or a name has a character that the fonts lack.
    """
    drawing = _Drawing(width, height, title=_heading(pieces, design))
    for group, ofsize in _by_size(drawing, pieces):
        for piece in ofsize:
            strokes = piece_strokes(piece)
            texts = label_piece(piece, strokes, design=design) if labels else ()
            drawing.piece(group, piece, strokes, texts)
    return drawing.data()


def nest_svg(pieces: Sequence[Piece], *, design: str, labels: bool = True) -> bytes:
    """A range: the sizes of each piece laid over one another by the origin they are drafted from, a colour for each.

    Sizes and pieces follow each other in the order in which they are first met; pieces stand from top to bottom, their
    names below them, and a key of the colours comes last. Without `labels` there are neither names nor key.

    Raises:
        OutputError: a name has a character that the fonts lack.
    """
    nests: dict[str, list[Piece]] = {}
    for piece in pieces:
        nests.setdefault(piece.name, []).append(piece)
    sizes = list(dict.fromkeys((piece.size, piece.variant) for piece in pieces))
    captions = {name: _caption(nest, design) for name, nest in nests.items()} if labels else {}
    bounds = {name: _bounds(nest) for name, nest in nests.items()}
    key = (
        [lettering.TextBlock((lettering.TextLine(words.size_line(*size), LETTERS.body),)) for size in sizes]
        if labels
        else []
    )

    widths = [right - left for left, _, right, _ in bounds.values()]
    widths += [caption.width for caption in captions.values()] + [SAMPLE + MARGIN + line.width for line in key]
    width = float(ceil(max(widths) + 2 * MARGIN))
    height = 2 * MARGIN + sum(top - bottom for _, bottom, _, top in bounds.values()) + GAP * (len(nests) - 1)
    height += sum(MARGIN + caption.height for caption in captions.values())
    height = float(ceil(height + (GAP + sum(lettering.LEADING * line.height for line in key) if key else 0)))

    laid: list[Piece] = []
    texts: list[Text] = []
    ceiling = height - MARGIN
    for name, nest in nests.items():
        left, bottom, _, top = bounds[name]
        by = Motion.shift(Vector(MARGIN - left, ceiling - top))
        laid += [piece.moved(by) for piece in nest]
        ceiling -= top - bottom
        if name in captions:
            ceiling -= MARGIN + captions[name].height
            texts += captions[name].texts(Point(MARGIN, ceiling))
        ceiling -= GAP

    drawing = _Drawing(width, height, title=_heading(pieces, design))
    samples: list[Stroke] = []
    for number, (group, ofsize) in enumerate(_by_size(drawing, laid)):
        colour, dash = COLOURS[number % len(COLOURS)], DASHES[number // len(COLOURS) % len(DASHES)]
        for piece in ofsize:
            strokes = [_of_size(stroke, colour, dash) for stroke in piece_strokes(piece)]
            drawing.piece(group, piece, strokes, ())
        if key:
            line = key[number]
            ceiling -= lettering.LEADING * line.height
            middle = ceiling + line.height / 2
            sample = Path.through(Point(MARGIN, middle), Point(MARGIN + SAMPLE, middle))
            samples.append(Stroke(sample, Role.KEY, Pen(PENS[Role.CUT].width, dash, colour)))
            texts += line.texts(Point(2 * MARGIN + SAMPLE, ceiling))
    if samples:
        drawing.strokes(drawing.group(drawing.root, Role.KEY), Role.KEY, samples)
    drawing.texts(drawing.root, Role.LABEL, texts)
    return drawing.data()


def sheet_svg(sheet: Sheet, *, title: str, labels: bool = True) -> bytes:
    """A sheet as it is drawn. What is on the same layers forms a group of class `layer`, and what is on none lies
    outside. In either, lines that follow one another with one pen form a group, and so do the texts.

    Raises:
        OutputError: a text or the title has a character that the fonts lack.
    """
    drawing = _Drawing(sheet.width, sheet.height, title=title)
    texts = sheet.texts if labels else ()
    for layers in dict.fromkeys([*(stroke.layers for stroke in sheet.strokes), *(text.layers for text in texts)]):
        parent = drawing.root
        if layers:
            parent = drawing.group(parent, "layer", name="-".join(("layer", *layers)), title=", ".join(layers))
        drawing.strokes(parent, "lines", [stroke for stroke in sheet.strokes if stroke.layers == layers])
        drawing.texts(parent, Role.LABEL, [text for text in texts if text.layers == layers])
    return drawing.data()


class _PathData:
    """A sink whose `parts` are the commands of path data (SVG 1.1, 8.3), y down from `height`."""

    def __init__(self, height: float) -> None:
        self.parts: list[str] = []
        self._height = height

    def _place(self, point: Point) -> str:
        return f"{_number(point.x)},{_number(self._height - point.y)}"

    def move_to(self, start: Point) -> None:
        self._start = self._end = self._place(start)
        self.parts.append(f"M{self._start}")

    def line_to(self, end: Point) -> None:
        self._end = self._place(end)
        self.parts.append(f"L{self._end}")

    def curve_to(self, control1: Point, control2: Point, end: Point) -> None:
        self._end = self._place(end)
        self.parts.append(f"C{self._place(control1)} {self._place(control2)} {self._end}")

    def close(self) -> None:
        """End in the very figures of the start: else a line of no length could close the path."""
        self.parts[-1] = self.parts[-1].removesuffix(self._end) + self._start
        self.parts.append("Z")


@dataclass
class _Drawing:
    """An SVG in the making. Strokes and texts come in mm, y up; y is turned down here, once, in each coordinate."""

    width: float
    height: float
    title: str
    root: Drawing = field(init=False)
    _ids: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        from svgwrite import Drawing  # noqa: PLC0415 - only this file needs it

        check_text(self.title)
        width, height = _number(self.width), _number(self.height)
        self.root = Drawing(
            size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", profile="full", debug=True
        )
        self.root["xml:lang"] = words.LANGUAGE
        self.root.set_desc(title=self.title, desc=words.real_size(self.width, self.height))

    def group(self, parent: Any, kind: str, *, name: str = "", title: str = "", **attributes: str) -> Any:
        """A group of that class, its id made of its parent's and its name."""
        check_text(title)
        above = parent.attribs.get("id", "")
        group = self.root.g(id=self._id(f"{above}-{name or kind}" if above else name or kind), class_=kind)
        group.update(attributes)
        if title:
            group.set_desc(title=title)
        parent.add(group)
        return group

    def _id(self, wanted: str) -> str:
        """The id as wanted, or with a number when it is taken: other names can come down to the same letters."""
        plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in wanted)
        chosen, number = plain, 1
        while chosen.lower() in self._ids:  # some readers fold capitals
            number += 1
            chosen = f"{plain}-{number}"
        self._ids.add(chosen.lower())
        return chosen

    def piece(self, parent: Any, piece: Piece, strokes: Iterable[Stroke], texts: Sequence[Text]) -> None:
        """A piece's group, in it one for each role of its lines in the order in which they are drawn."""
        group = self.group(parent, "piece", name=piece.name, title=piece.title)
        for role, run in groupby(strokes, key=lambda stroke: stroke.role):
            self.strokes(self.group(group, role), "pen", run, merge=True)
        self.texts(group, Role.LABEL, texts)

    def strokes(self, parent: Any, kind: str, strokes: Iterable[Stroke], *, merge: bool = False) -> None:
        """Lines in groups by pen; with `merge`, a parent that needs but one pen is that group itself."""
        runs = [(look, list(run)) for look, run in groupby(strokes, key=lambda stroke: (stroke.pen, stroke.filled))]
        for (pen, filled), run in runs:
            look = _look(pen, filled=filled)
            if merge and len(runs) == 1:
                group = parent
                group.update(look)
            else:
                group = self.group(parent, kind, **look)
            for stroke in run:
                outline = _PathData(self.height)
                stroke.path.draw(outline)
                group.add(self.root.path(d=" ".join(outline.parts)))

    def texts(self, parent: Any, kind: str, texts: Sequence[Text]) -> None:
        """Lines of text in a group of their own, none for none. They are not kerned, as in our PDF."""
        if not texts:
            return
        group = self.group(parent, kind, font_family=FONTS, kerning="0", fill="#000000", stroke="none")
        for text in texts:
            check_text(text.text)
            x, y = _number(text.at.x), _number(self.height - text.at.y)
            look = {"font_size": _number(text.size)}
            if text.bold:
                look["font_weight"] = "bold"
            if text.angle:
                look["transform"] = f"rotate({_number(-text.angle)},{x},{y})"
            group.add(self.root.text(_said(text.text), x=[x], y=[y], **look))

    def data(self) -> bytes:
        """The finished file, an element a line."""
        tree = self.root.get_xml()
        ElementTree.indent(tree, space="")
        return (
            b'<?xml version="1.0" encoding="UTF-8"?>\n'
            + ElementTree.tostring(tree, encoding="unicode").encode()
            + b"\n"
        )


def _said(text: str) -> str:
    """A text as it is read, for its readers put letters in order themselves; each part has a direction of its own."""
    return words.SEPARATOR.join(map(isolated, words.parts(text)))


def _by_size(drawing: _Drawing, pieces: Sequence[Piece]) -> Iterator[tuple[Any, list[Piece]]]:
    """A group for each size and variant, in the order in which they are first met, and the pieces that go into it."""
    for size, variant in dict.fromkeys((piece.size, piece.variant) for piece in pieces):
        group = drawing.group(
            drawing.root,
            "size",
            name="-".join(part for part in ("size", size, str(variant)) if part),
            title=words.size_line(size, variant),
        )
        yield group, [piece for piece in pieces if (piece.size, piece.variant) == (size, variant)]


def _heading(pieces: Sequence[Piece], design: str) -> str:
    """The design, its one piece when there is no other, and its sizes."""
    titles = dict.fromkeys(piece.title for piece in pieces)
    return words.file_title(design, *titles if len(titles) == 1 else (), _sizes(pieces))


def _sizes(pieces: Sequence[Piece]) -> str:
    return words.sizes_line(list(dict.fromkeys((piece.size, piece.variant) for piece in pieces)))


def _caption(nest: Sequence[Piece], design: str) -> lettering.TextBlock:
    small = (design, _sizes(nest), words.cut_line(nest[0]), *nest[0].notes)
    first = lettering.TextLine(nest[0].title, LETTERS.title, bold=True)
    return lettering.TextBlock((first, *(lettering.TextLine(line, LETTERS.body) for line in small)))


def _bounds(nest: Iterable[Piece]) -> tuple[float, float, float, float]:
    lefts, bottoms, rights, tops = zip(*(piece.cut_line.bounds for piece in nest), strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def _of_size(stroke: Stroke, colour: tuple[float, float, float], dash: tuple[float, ...]) -> Stroke:
    """A line in the colour of its size and, if it is a cut line, with its dashes."""
    pen = replace(stroke.pen, colour=colour)
    return replace(stroke, pen=replace(pen, dash=dash) if stroke.role is Role.CUT else pen)


def _look(pen: Pen, *, filled: bool) -> dict[str, str]:
    """A pen as presentation attributes; joins are round, as in our PDF."""
    colour = "#" + "".join(f"{round(part * 255):02x}" for part in pen.colour)
    if filled:
        return {"fill": colour, "stroke": "none"}
    look = {
        "fill": "none",
        "stroke": colour,
        "stroke_width": _number(pen.width),
        "stroke_linejoin": "round",
    }
    if pen.dash:
        look["stroke_dasharray"] = ",".join(_number(part) for part in pen.dash)
        if pen.phase:
            look["stroke_dashoffset"] = _number(pen.phase)
    return look


def _number(value: float) -> str:
    """A length in mm as short as it can be written to a tenth of a micrometre."""
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
