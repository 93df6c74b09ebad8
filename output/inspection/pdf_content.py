"""What a page's content draws, read as a printer reads it: where, how large, in what order, and what is cut off.

Operators are those of ISO 32000-1, annex A, as far as files of ours use them. A page that uses another cannot be
proved: what it would do to the lines is not known here. Lengths in mm of the content's own space; see `Drawn`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import hypot
from typing import Any, Final

from output.inspection.pdf_objects import (
    DEEPEST,
    Lexer,
    Name,
    PdfError,
    PdfFile,
    Ref,
    Stream,
    TooMuchError,
    hexadecimal,
    spelled,
)
from output.inspection.record import NOTHING, Box, Tally, around, said_size, smallest_round, tally

Matrix = tuple[float, float, float, float, float, float]
ONE: Final[Matrix] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
Linear = tuple[float, float, float, float]

MOST_OPERATORS: Final = 2_000_000
"""Of a file; one of a hundred pages has fifty thousand."""

MOST_BENDS: Final = 200_000
"""Curves of a file, each kept as straight parts; one of many sizes has a few thousand."""

MOST_SHOWN: Final = 10_000
"""Forms shown on a page; one has forty."""

MOST_LETTERS: Final = 20_000
"""Tokens of a font's table of letters."""

WHITE: Final = 0.9
"""Lighter than this a line is not seen on paper; 0 is black."""

BROAD: Final = 12.0
"""A surface broader than this in all directions hides more than what words need beneath them."""

HEAVY: Final = 5.0
"""A line wider than this is none to cut or sew by; it would hide others."""

LARGE: Final = 60.0
"""Letters larger than this would hide lines."""

FARTHEST: Final = 1e6
"""mm; a kilometre. Numbers beyond are no drawing."""

STEPS: Final = 8
"""Straight parts that a curve is looked at in."""


@dataclass(frozen=True, slots=True)
class LabelledSquare:
    """An upright rectangle with a text in it that tells a size."""

    box: Box
    said: float


@dataclass(frozen=True, slots=True)
class Show:
    """A form shown: its name, its object, the matrix from its space, the clip in the space of what shows it."""

    name: str
    number: int
    matrix: Matrix
    clip: Box | None


@dataclass(slots=True)
class Drawn:
    """What content draws, in its own space.

    `lines` and `texts` tell what it draws itself, `shows` the forms that it shows. `box` is round its lines, `ink` are
    those of a form as points in a row, `marks` the layers that its content is on, part by part. `linears` are the
    linear parts of all matrices that paths were drawn under, those of shown forms included; `letters` those of texts.
    `faults` are reasons why it cannot be proved; `hides` tells what would hide or weaken lines on paper.
    """

    lines: Tally = NOTHING
    texts: Tally = NOTHING
    shows: list[Show] = field(default_factory=list)
    squares: list[LabelledSquare] = field(default_factory=list)
    linears: dict[Linear, None] = field(default_factory=dict)
    letters: dict[Linear, None] = field(default_factory=dict)
    ink: list[list[tuple[float, float]]] = field(default_factory=list)
    box: Box | None = None
    widest: float = 0.0
    colours: dict[str, None] = field(default_factory=dict)
    layers: dict[tuple[str, int], None] = field(default_factory=dict)
    marks: list[tuple[str, ...]] = field(default_factory=list)
    faults: dict[str, None] = field(default_factory=dict)
    hides: dict[str, None] = field(default_factory=dict)
    missing: dict[str, None] = field(default_factory=dict)

    @property
    def corners(self) -> list[tuple[float, float, float]]:
        """Where each square is, and what its side says."""
        return [(one.box[0], one.box[1], one.said) for one in self.squares]


@dataclass(slots=True)
class _State:
    """The graphics state, as far as it matters here; None stands for what a form takes over from where it is shown."""

    matrix: Matrix
    clip: Box | None = None
    stroke: float | None = 0.0
    fill: float | None = 0.0
    width: float | None = 1.0
    letters: Mapping[int, str] | None = None
    size: float = 0.0


_COLOURS: Final = {
    **dict.fromkeys(("G", "g"), "black and grey"),
    **dict.fromkeys(("RG", "rg"), "red, green, blue"),
    **dict.fromkeys(("K", "k"), "four inks"),
    **dict.fromkeys(("SC", "sc", "SCN", "scn"), "others"),
}
_COUNTS: Final = {
    **dict.fromkeys(("q", "Q", "h", "n", "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "W", "W*", "BT", "ET"), 0),
    **dict.fromkeys(("T*", "EMC"), 0),
    **dict.fromkeys(("w", "J", "j", "M", "TL", "Tw", "G", "g", "Do", "Tj", "TJ", "Tz", "Tr", "Ts", "Tc", "BMC"), 1),
    **dict.fromkeys(("m", "l", "Td", "TD", "d", "Tf", "BDC"), 2),
    **dict.fromkeys(("RG", "rg"), 3),
    **dict.fromkeys(("v", "y", "re", "K", "k"), 4),
    **dict.fromkeys(("cm", "c", "Tm"), 6),
}
"""The operators that are known, each with how many operands it takes."""

_USUAL: Final = {"Tz": 100.0, "Tr": 0.0, "Ts": 0.0}
"""Text states that a file of ours never leaves: stretched, hidden or raised letters."""


class ContentStream:
    """Reads the content of a file's pages; each form is read once."""

    def __init__(self, file: PdfFile) -> None:
        self.file = file
        self._forms: dict[int, Drawn] = {}
        self._letters: dict[int, Mapping[int, str]] = {}
        self._left = MOST_OPERATORS
        self._bends = MOST_BENDS

    def page(self, content: bytes, resources: Any, unit: float) -> Drawn:
        """What a page draws, in mm if its unit is so many."""
        return self._walked(content, resources, _State((unit, 0.0, 0.0, unit, 0.0, 0.0)), ())

    def form(self, number: int) -> Drawn:
        """What the form of that number draws, in its own space."""
        return self._form(number, ())

    def _form(self, number: int, within: tuple[int, ...]) -> Drawn:
        if number not in self._forms:
            if number in within or len(within) > DEEPEST // 4:
                raise PdfError("a drawing shows itself")
            form = self.file.get(Ref(number))
            inherited = _State(ONE, None, None, None, None)
            drawn = self._walked(self.file.unpacked(form), form.entries.get("Resources"), inherited, (*within, number))
            self._forms[number] = drawn
        return self._forms[number]

    def _walked(self, content: bytes, resources: Any, state: _State, within: tuple[int, ...]) -> Drawn:
        walk = _Walk(self, resources, state, within)
        for operands, operator in self._operations(content):
            walk.go(operator, operands)
        walk.end()
        return walk.drawn

    def _operations(self, content: bytes) -> Iterator[tuple[list[Any], str]]:
        lexer = Lexer(content)
        operands: list[Any] = []
        while True:
            start = lexer.at
            token = lexer.token()
            if token is None:
                break
            if token[0] == "number":
                operands.append(float(token[1]))
                continue
            if token[0] == "word":
                self._left -= 1
                if self._left < 0:
                    raise TooMuchError(f"it has more than {MOST_OPERATORS} operators")
                if not self._left % 1024:
                    self.file.budget.go_on()
                yield operands, token[1].decode("latin-1")
                operands = []
                continue
            lexer.at = start
            value = lexer.value()
            operands.append(float(value) if isinstance(value, int) and not isinstance(value, bool) else value)
            if len(operands) > 100:
                raise PdfError("an operator has more than 100 operands")
        if operands:
            raise PdfError("it ends before an operator")

    def bend(self) -> None:
        """Count a curve.

        Raises:
            TooMuchError: there are too many.
        """
        self._bends -= 1
        if self._bends < 0:
            raise TooMuchError(f"it has more than {MOST_BENDS} curves")

    def letters_of(self, font: Any) -> Mapping[int, str]:
        """What each code of a font stands for."""
        table = self.file.get(font.get("ToUnicode")) if isinstance(font, dict) else None
        if not isinstance(table, Stream):
            return {}
        if id(table) not in self._letters:
            self._letters[id(table)] = letters(self.file.unpacked(table))
        return self._letters[id(table)]


class _Walk:
    """Where content has got to."""

    def __init__(self, content: ContentStream, resources: Any, state: _State, within: tuple[int, ...]) -> None:
        self._content = content
        self._get = content.file.get
        self._within = within
        resources = self._get(resources)
        self._named: dict[str, Any] = {
            kind: self._get(resources.get(kind)) or {} if isinstance(resources, dict) else {}
            for kind in ("Font", "XObject", "Properties")
        }
        if not all(isinstance(named, dict) for named in self._named.values()):
            raise PdfError("its list of fonts, drawings or layers is damaged")
        self._states = [state]
        self._text: Matrix = ONE
        self._line: Matrix = ONE
        self._leading = 0.0
        self._in_text = False
        self._marked = 0
        self._marks: dict[str, tuple[str, ...]] = {}
        self._points: list[list[tuple[float, float]]] = []
        self._cut = False
        self._curved = False
        self._inked = False
        self._count = 0
        self._fills = 0
        self._own: list[tuple[float, float]] = []
        self._places: list[tuple[float, float]] = []
        self._begins: list[tuple[float, float]] = []
        self._written = False
        self._boxes: list[Box] = []
        self._uprights: list[Box] = []
        self._said: list[tuple[float, float, float]] = []
        self.drawn = Drawn()

    @property
    def _now(self) -> _State:
        return self._states[-1]

    def go(self, name: str, operands: list[Any]) -> None:
        """Take one operator."""
        if name in _NAMES and not isinstance(operands[0] if operands else None, Name):
            raise PdfError(f"the operator {name} names nothing")
        if name in _COLOURS:
            self.drawn.colours[_COLOURS[name]] = None
        count = _COUNTS.get(name)
        if count is None:
            self.drawn.faults[f"it uses the operator {name[:12]}"] = None
            return
        if len(operands) != count:
            raise PdfError(f"the operator {name} has {len(operands)} operands")
        if step := self._STEPS.get(name):
            if name in _NUMBERS and not all(type(one) is float for one in operands):
                raise PdfError(f"the operator {name} has operands that are no numbers")
            step(self, operands)
        elif name in _PAINTS:
            self._paint(name)
        elif name in _USUAL and operands[0] != _USUAL[name]:
            self.drawn.faults["it stretches, hides or raises letters"] = None

    def end(self) -> None:
        """See that all that was begun has ended, and measure the squares."""
        if len(self._states) > 1 or self._in_text or self._marked:
            raise PdfError("it ends within something that it began")
        drawn = self.drawn
        drawn.lines = tally(self._count, self._fills, self._places)
        drawn.texts = tally(len(self._begins), 0, self._begins)
        drawn.box = around(self._boxes)
        for x, y, side in self._said:
            if box := smallest_round(x, y, self._uprights):
                drawn.squares.append(LabelledSquare(box, side))

    # State

    def _save(self, _: Sequence[Any]) -> None:
        if len(self._states) > 20 * DEEPEST:
            raise PdfError("it saves its state too often")
        self._states.append(replace(self._now))

    def _restore(self, _: Sequence[Any]) -> None:
        if len(self._states) == 1:
            raise PdfError("it goes back to a state that it has not saved")
        self._states.pop()

    def _transform(self, operands: Sequence[Any]) -> None:
        self._now.matrix = times(matrix_of(operands), self._now.matrix)

    def _set_width(self, operands: Sequence[Any]) -> None:
        self._now.width = operands[0]

    def _set_stroke(self, operands: Sequence[Any]) -> None:
        self._now.stroke = _lightness(operands)

    def _set_fill(self, operands: Sequence[Any]) -> None:
        self._now.fill = _lightness(operands)

    # Paths

    def _move(self, operands: Sequence[Any]) -> None:
        self._points.append([at(self._now.matrix, *operands)])
        self._own.append(self._points[-1][0])

    def _open(self) -> list[tuple[float, float]]:
        if not self._points:
            raise PdfError("a path goes on that has not begun")
        return self._points[-1]

    def _go_on(self, operands: Sequence[Any]) -> None:
        point = at(self._now.matrix, *operands)
        self._open().append(point)
        self._own.append(point)

    def _curve(self, operands: Sequence[Any]) -> None:
        ends = [at(self._now.matrix, *operands[i : i + 2]) for i in range(0, len(operands), 2)]
        self._bend(*ends)

    def _curve_from(self, operands: Sequence[Any]) -> None:
        ends = [at(self._now.matrix, *operands[i : i + 2]) for i in (0, 2)]
        self._bend(self._open()[-1], *ends)

    def _curve_to(self, operands: Sequence[Any]) -> None:
        ends = [at(self._now.matrix, *operands[i : i + 2]) for i in (0, 2)]
        self._bend(ends[0], ends[1], ends[1])

    def _bend(self, *ends: tuple[float, float]) -> None:
        points = self._open()
        self._content.bend()
        self._own += ends
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points[-1], *ends
        self._curved = True
        for step in range(1, STEPS):
            t = step / STEPS
            s = 1 - t
            a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
            points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
        points.append((x3, y3))

    def _close(self, _: Sequence[Any]) -> None:
        points = self._open()
        points.append(points[0])

    def _box(self, operands: Sequence[Any]) -> None:
        x, y, w, h = operands
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))
        self._points.append([at(self._now.matrix, *corner) for corner in corners])
        self._own += self._points[-1]

    def _clip(self, _: Sequence[Any]) -> None:
        self._cut = True

    def _paint(self, name: str) -> None:
        points, own, cut, curved = self._points, self._own, self._cut, self._curved
        self._points, self._own, self._cut, self._curved = [], [], False, False
        if cut:
            self._narrow(points, curved)
        if name == "n" or not points:
            return
        drawn, state = self.drawn, self._now
        self._count += 1
        self._places += own
        drawn.linears[state.matrix[:4]] = None
        if self._within:
            drawn.ink += points
        (left, bottom), (right, top) = (
            tuple(pick(point[i] for part in points for point in part) for i in (0, 1)) for pick in (min, max)
        )
        box = (left, bottom, right, top)
        if not all(abs(side) < FARTHEST for side in box):  # what is no number is not less either
            raise PdfError("it draws far outside of all paper")
        self._boxes.append(box)
        if name in _FILLS:
            self._fills += 1
            self._filled(points)
        if name in _STROKES:
            self._stroked(points, box, curved=curved)
        if state.clip and not _inside(box, state.clip):
            drawn.faults["it cuts off a part of what it draws"] = None
        self._inked = True

    def _narrow(self, points: list[list[tuple[float, float]]], curved: bool) -> None:
        """Clip to a path, which must be an upright rectangle."""
        box = upright(points[0]) if len(points) == 1 and not curved else None
        if box is None:
            self.drawn.faults["it cuts off what is outside a shape"] = None
        elif self._within:
            self.drawn.faults["a drawing of it cuts itself off"] = None
        else:
            old = self._now.clip or box
            self._now.clip = (*map(max, box[:2], old[:2]), *map(min, box[2:], old[2:]))  # type: ignore[assignment]

    def _filled(self, points: list[list[tuple[float, float]]]) -> None:
        if self._now.fill is None:
            self.drawn.faults["a drawing of it has no colour of its own"] = None
        if self._inked and any(_breadth(part) > BROAD for part in points):
            self.drawn.hides["a surface is painted over its lines"] = None

    def _stroked(self, points: list[list[tuple[float, float]]], box: Box, *, curved: bool) -> None:
        drawn, state = self.drawn, self._now
        if state.stroke is None or state.width is None:
            drawn.faults["a drawing of it has no colour or width of its own"] = None
            return
        a, b, c, d = state.matrix[:4]
        width = state.width * max(hypot(a, b), hypot(c, d))
        drawn.widest = max(drawn.widest, width)
        if state.stroke > WHITE:
            drawn.hides["it draws in white"] = None
        if not curved and len(points) == 1 and upright(points[0]):
            self._uprights.append(box)

    # Text

    def _begin_text(self, _: Sequence[Any]) -> None:
        if self._in_text:
            raise PdfError("a text begins within a text")
        self._in_text, self._text, self._line, self._written = True, ONE, ONE, False

    def _end_text(self, _: Sequence[Any]) -> None:
        if not self._in_text:
            raise PdfError("a text ends that has not begun")
        self._in_text = False

    def _set_text(self, operands: Sequence[Any]) -> None:
        self._text = self._line = matrix_of(operands)

    def _move_text(self, operands: Sequence[Any]) -> None:
        self._text = self._line = times((1.0, 0.0, 0.0, 1.0, operands[0], operands[1]), self._line)

    def _next_line(self, _: Sequence[Any]) -> None:
        self._move_text((0.0, -self._leading))

    def _set_leading(self, operands: Sequence[Any]) -> None:
        self._leading = operands[0]

    def _set_font(self, operands: Sequence[Any]) -> None:
        name, size = operands
        if not isinstance(size, float):
            raise PdfError("a font has no size")
        font = self._get(self._named["Font"].get(name))
        if font is None:
            self.drawn.missing[f"names a font that it does not have: {name}"] = None
        self._now.letters = self._content.letters_of(font)
        self._now.size = size

    def _write(self, operands: Sequence[Any]) -> None:
        state, drawn = self._now, self.drawn
        if state.letters is None or not self._in_text:
            raise PdfError("a text has no font")
        parts = operands[0] if isinstance(operands[0], list) else [operands[0]]
        text = "".join(state.letters.get(code, chr(code)) for part in parts if isinstance(part, bytes) for code in part)
        whole = times(self._text, state.matrix)
        drawn.letters[whole[:4]] = None
        if not self._written:
            self._begins.append(whole[4:])
            self._written = True
        if state.fill is None:
            drawn.faults["a drawing of it has no colour of its own"] = None
        elif state.fill > WHITE:
            drawn.hides["it writes in white"] = None
        if state.size * hypot(*whole[:2]) > LARGE:
            drawn.hides["its letters are too large"] = None
        if side := said_size(text):
            self._said.append((whole[4], whole[5], side))
        self._inked = True

    # Layers and forms

    def _begin_marked(self, operands: Sequence[Any]) -> None:
        self._marked += 1
        if operands[0] != "OC":
            return
        mark = operands[1] if len(operands) > 1 else None
        if not isinstance(mark, Name) or mark not in self._named["Properties"]:
            raise PdfError(f"it draws on a layer that it does not name: {str(mark)[:40]}")
        if mark not in self._marks:
            self._marks[mark] = tuple(self._layer(self._named["Properties"][mark]))
        self.drawn.marks.append(self._marks[mark])

    def _layer(self, entry: Any) -> Iterator[str]:
        """The names of the layers that an entry stands for: one, or several of which any shows what is on them."""
        thing = self._get(entry)
        kind = thing.get("Type") if isinstance(thing, dict) else None
        if kind == "OCG" and isinstance(entry, Ref):
            raw = self._get(thing.get("Name"))
            name = spelled(raw) if isinstance(raw, bytes) else ""
            self.drawn.layers[name, entry.number] = None
            yield name
        elif kind == "OCMD" and thing.keys() <= {"Type", "OCGs", "P"} and thing.get("P", "AnyOn") == "AnyOn":
            groups = self._get(thing.get("OCGs"))
            for group in groups if isinstance(groups, list) else [thing.get("OCGs")]:
                if not isinstance(self._get(group), dict) or self._get(group).get("Type") != "OCG":
                    raise PdfError("it draws on layers by a rule that is not known here")
                yield from self._layer(group)
        else:
            raise PdfError("it draws on layers by a rule that is not known here")

    def _end_marked(self, _: Sequence[Any]) -> None:
        self._marked -= 1
        if self._marked < 0:
            raise PdfError("marked content ends that has not begun")

    def _show(self, operands: Sequence[Any]) -> None:
        name = str(operands[0])
        entry = self._named["XObject"].get(name)
        form = self._get(entry)
        drawn = self.drawn
        if form is None:
            drawn.missing[f"shows a drawing that is missing: {name}"] = None
            return
        if not isinstance(entry, Ref) or not isinstance(form, Stream) or form.entries.get("Subtype") != "Form":
            drawn.faults["it shows an image"] = None
            return
        self._content.file.budget.go_on()
        if extra := form.entries.keys() - _FORM:
            drawn.faults[f"a drawing of it has the entry {sorted(extra)[0]}"] = None
        own = matrix_of(self._get(form.entries.get("Matrix", list(ONE))))
        number = entry.number
        whole = times(own, self._now.matrix)
        inside = self._content._form(number, self._within)
        box = box_of(self._get(form.entries.get("BBox")))
        slack = inside.widest / 2 + 0.01
        if inside.box and not _inside(inside.box, box, -slack if slack < 1 else 0):
            drawn.faults["the box of a drawing of it cuts off a part of it"] = None
        drawn.shows.append(Show(name, number, whole, self._now.clip))
        for mine, theirs in ((drawn.linears, inside.linears), (drawn.letters, inside.letters)):
            mine.update({times((*one, 0.0, 0.0), whole)[:4]: None for one in theirs})
        if max(map(len, (drawn.linears, drawn.letters, drawn.squares, drawn.shows))) > MOST_SHOWN:
            raise PdfError(f"it shows more than {MOST_SHOWN} drawings")
        for square in inside.squares:
            corners = [at(whole, x, y) for x in square.box[::2] for y in square.box[1::2]]
            if seen := upright([corners[0], corners[1], corners[3], corners[2], corners[0]]):
                drawn.squares.append(LabelledSquare(seen, square.said))
        drawn.widest = max(drawn.widest, inside.widest)
        if inside.shows:
            drawn.faults["a drawing of it shows another"] = None
        for mine_too, theirs_too in (
            (drawn.colours, inside.colours),
            (drawn.layers, inside.layers),
            (drawn.faults, inside.faults),
            (drawn.hides, inside.hides),
            (drawn.missing, inside.missing),
        ):
            mine_too.update(theirs_too)  # type: ignore[arg-type]
        self._inked = True

    _STEPS: Final = {
        "q": _save,
        "Q": _restore,
        "cm": _transform,
        "w": _set_width,
        **dict.fromkeys(("G", "RG", "K"), _set_stroke),
        **dict.fromkeys(("g", "rg", "k"), _set_fill),
        "m": _move,
        "l": _go_on,
        "c": _curve,
        "v": _curve_from,
        "y": _curve_to,
        "h": _close,
        "re": _box,
        **dict.fromkeys(("W", "W*"), _clip),
        "BT": _begin_text,
        "ET": _end_text,
        "Tm": _set_text,
        **dict.fromkeys(("Td", "TD"), _move_text),
        "T*": _next_line,
        "TL": _set_leading,
        "Tf": _set_font,
        **dict.fromkeys(("Tj", "TJ"), _write),
        **dict.fromkeys(("BMC", "BDC"), _begin_marked),
        "EMC": _end_marked,
        "Do": _show,
    }


_PAINTS: Final = frozenset(("n", "S", "s", "B", "b", "B*", "b*", "f", "F", "f*"))
_STROKES: Final = frozenset(("S", "s", "B", "b", "B*", "b*"))
_FILLS: Final = _PAINTS - {"n", "S", "s"}
_NUMBERS: Final = frozenset(name for name, count in _COUNTS.items() if count) - {
    "d",
    "Do",
    "Tj",
    "TJ",
    "BMC",
    "BDC",
    "Tf",
}
_NAMES: Final = frozenset(("Do", "Tf", "BMC", "BDC"))
_FORM: Final = frozenset(
    ("Type", "Subtype", "FormType", "BBox", "Matrix", "Resources", "Length", "Filter", "DecodeParms", "Group")
)
"""Entries of a form; a group is told as transparency."""


def letters(table: bytes) -> Mapping[int, str]:
    """What each code of one byte stands for, by a font's table for readers (9.10.3).

    Raises:
        PdfError: it is damaged or too long.
    """
    found: dict[int, str] = {}
    lexer = Lexer(table)
    kind, held = "", list[Any]()
    for _ in range(MOST_LETTERS):
        token = lexer.token()
        if token is None:
            return found
        word, raw = token
        if word == "word" and raw in (b"beginbfchar", b"beginbfrange"):
            kind, held = raw.decode(), []
        elif word == "word":
            kind = ""
        elif kind and word == "hex":
            held.append(hexadecimal(raw))
        elif kind and raw == b"[":
            lexer.at -= 1
            held.append(lexer.value())
        if kind == "beginbfchar" and len(held) == 2:
            _take(found, held[0], held[0], held[1])
            held = []
        elif kind == "beginbfrange" and len(held) == 3:
            _take(found, *held)
            held = []
    raise TooMuchError("a font's table of letters is too long")


def _take(found: dict[int, str], first: Any, last: Any, meant: Any) -> None:
    if not isinstance(first, bytes) or not isinstance(last, bytes) or len(first) > 4 or len(last) > 4:
        raise PdfError("a font's table of letters is damaged")
    low, high = int.from_bytes(first), int.from_bytes(last)
    for code in range(low, min(high, 255) + 1):
        if isinstance(meant, list):
            one = meant[code - low] if code - low < len(meant) else b""
            found[code] = one.decode("utf-16-be", "replace") if isinstance(one, bytes) else ""
        else:
            number = int.from_bytes(meant[-2:]) + code - low
            found[code] = (meant[:-2] + (number & 0xFFFF).to_bytes(2)).decode("utf-16-be", "replace")


def matrix_of(operands: Any) -> Matrix:
    """Six numbers as a matrix."""
    if not isinstance(operands, (list, tuple)) or len(operands) != 6:
        raise PdfError("a matrix has not six numbers")
    if not all(isinstance(one, (int, float)) and abs(one) < 1e9 for one in operands):
        raise PdfError("a matrix has not six numbers")
    a, b, c, d, e, f = map(float, operands)
    return a, b, c, d, e, f


def box_of(sides: Any) -> Box:
    """Four numbers as a box."""
    if not isinstance(sides, list) or len(sides) != 4 or not all(isinstance(one, (int, float)) for one in sides):
        raise PdfError("a box has not four numbers")
    left, bottom, right, top = map(float, sides)
    return left, bottom, right, top


def times(first: Matrix, second: Matrix) -> Matrix:
    """The matrix that does the first and then the second."""
    a, b, c, d, e, f = first
    g, h, i, j, k, m = second
    return a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m


def at(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def upright(points: Sequence[tuple[float, float]]) -> Box | None:
    """The box of a path that is an upright rectangle."""
    corners = points[:-1] if len(points) >= 5 and _near(points[0], points[-1]) else points
    if len(corners) == 5 and _near(corners[0], corners[-1]):
        corners = corners[:-1]
    if len(corners) != 4:
        return None
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    box = (min(xs), min(ys), max(xs), max(ys))
    straight = all(
        abs(x - other) < 1e-3 or abs(y - another) < 1e-3
        for (x, y), (other, another) in zip(corners, [*corners[1:], corners[0]], strict=True)
    )
    whole = all(any(_near((x, y), corner) for corner in corners) for x in box[::2] for y in box[1::2])
    return box if straight and whole else None


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) < 1e-3 and abs(one[1] - other[1]) < 1e-3


def _inside(box: Box, outer: Box, slack: float = -0.01) -> bool:
    left, bottom, right, top = outer
    return box[0] > left + slack and box[1] > bottom + slack and box[2] < right - slack and box[3] < top - slack


def _lightness(operands: Sequence[float]) -> float:
    if len(operands) == 4:
        cyan, magenta, yellow, black = operands
        return 1 - min(1.0, black + 0.3 * cyan + 0.59 * magenta + 0.11 * yellow)
    red, green, blue = (*operands, *operands, *operands) if len(operands) == 1 else operands
    return 0.3 * red + 0.59 * green + 0.11 * blue


def _breadth(points: Sequence[tuple[float, float]]) -> float:
    """How broad a shape is, about: the area of the hull round it by its longest extent."""
    from shapely import MultiPoint  # noqa: PLC0415 - slow to import

    xs, ys = [x for x, _ in points], [y for _, y in points]
    long = hypot(max(xs) - min(xs), max(ys) - min(ys))
    return float(MultiPoint(points).convex_hull.area / long) if long else 0.0
