"""The inspect command: what a PDF of ours holds, read back from the file alone, and whether to send it to a print shop.

Read are page boxes (ISO 32000-1, 14.11.2), UserUnit, print scaling (12.2), fonts and whether they are embedded (9.9),
optional content (8.11), transparency (11.6) and the content streams, in which the calibration squares are measured in
true units. A square is known by the size that is written in it. Lengths in mm.
"""

from __future__ import annotations

import json
import re
from argparse import Namespace
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from io import BytesIO
from logging import WARNING, Handler, LogRecord, getLogger
from pathlib import Path as FilePath
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

from drafting.errors import OutputError
from drafting.units import INCH, POINT
from output import text as words
from output.paper import PAPERS
from output.wide_text import PROJECTION_SUBJECT, WIDE_SUBJECT

if TYPE_CHECKING:
    from pypdf import PageObject, PdfReader

CREATOR: Final = "shirrline"

LARGEST: Final = 500_000_000
"""Bytes; a pattern has a few hundred thousand."""

WIDTH: Final = 100

TRUE: Final = 0.02
"""mm; how far a square may measure from what is written in it. A scale of 99.9 % is found out by 50 mm."""

SAME: Final = 0.1
"""mm; how far a page may be from the paper that it is named after, and boxes from one another."""

SCALE_TRUE: Final = 1e-4
"""Share by which the scale of a page may differ from 1: rounding of the numbers in the file."""

_SIZE: Final = re.compile(r"(\d+(?:\.\d+)?) (mm|in) × \1 \2")

_Matrix = tuple[float, float, float, float, float, float]
_ONE: Final[_Matrix] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Square:
    """A calibration square as it measures on paper, and as it says."""

    page: int
    width: float
    height: float
    said: float

    @property
    def true(self) -> bool:
        return max(abs(self.width - self.said), abs(self.height - self.said)) <= TRUE


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its media box, the paper of that size if it has a name, how it is scaled, whether its boxes agree."""

    width: float
    height: float
    paper: str
    scale: float
    user_unit: float
    rotated: int
    boxes_agree: bool


@dataclass(frozen=True, slots=True)
class Font:
    """A font that a page names."""

    name: str
    embedded: bool


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer, and whether a reader shows it when it opens the file."""

    name: str
    on: bool


@dataclass(frozen=True, slots=True)
class Inspection:
    """All that was found. `problems` are reasons not to send the file to a print shop, one sentence each.

    `real_size` says whether the file has pieces to cut by, as a guide has not: only then must its scale be true.
    """

    file: str
    title: str
    subject: str
    creator: str
    producer: str
    real_size: bool
    print_scaling: str
    pages: tuple[Page, ...]
    squares: tuple[Square, ...]
    fonts: tuple[Font, ...]
    layer_group: str
    layers: tuple[Layer, ...]
    transparent: tuple[str, ...]
    colours: tuple[str, ...]
    problems: tuple[str, ...]

    @property
    def safe(self) -> bool:
        return not self.problems

    @property
    def complaint(self) -> str:
        """The first problem on one line; empty when there is none."""
        if self.safe:
            return ""
        more = f" (and {len(self.problems) - 1} more)" if len(self.problems) > 1 else ""
        return f"{self.file}: not safe to send: {self.problems[0]}{more}"

    def json(self) -> str:
        """The findings as one JSON object."""
        return json.dumps({**asdict(self), "safe": self.safe}, indent=2, ensure_ascii=False)

    def text(self) -> str:
        """The findings, for a reader."""
        sizes: dict[str, list[int]] = {}
        for number, page in enumerate(self.pages, 1):
            turned = ", turned" if page.paper and page.width > page.height else ""
            named = f" ({page.paper}{turned})" if page.paper else ""
            scale = f", scale {page.scale * 100:.6g} %" if self.real_size else ", not in real size"
            sizes.setdefault(f"{page.width:.1f} × {page.height:.1f} mm{named}{scale}", []).append(number)
        shown = [layer.name for layer in self.layers if layer.on]
        hidden = [layer.name for layer in self.layers if not layer.on]
        lines = [
            f"{self.file}: {self.title}",
            f"Made by: {self.creator}, {self.producer}",
            *(f"Pages {_ranges(numbers)}: {what}" for what, numbers in sizes.items()),
            f"Print scaling: {self.print_scaling}",
            *(
                f"Square on page {square.page}: says {square.said:.5g} mm, measures {square.width:.2f} × "
                f"{square.height:.2f} mm"
                for square in self.squares
            ),
            *(f"Font: {font.name}, {'embedded' if font.embedded else 'not embedded'}" for font in self.fonts),
            f"Layers shown: {', '.join(shown) or 'none'}",
            *(f"Layers hidden: {', '.join(names)}" for names in [hidden] if names),
            f"Colours: {', '.join(self.colours) or 'none'}",
            f"Transparency: {', '.join(self.transparent) or 'none'}",
            *(f"Problem: {problem}" for problem in self.problems),
            "Safe to send to a print shop" if self.safe else "Not safe to send to a print shop",
        ]
        return "\n".join(part for line in lines for part in wrap(line, WIDTH, subsequent_indent="  "))


def _ranges(numbers: list[int]) -> str:
    """Runs of page numbers.

    >>> _ranges([1, 2, 3, 5])
    '1 to 3, 5'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1][1:] = [number]
        else:
            runs.append([number])
    return ", ".join(" to ".join(map(str, run)) for run in runs)


def inspect(arguments: Namespace) -> Inspection:
    """Inspect the file that the command line names.

    Raises:
        OutputError: it cannot be read, is damaged, or is not a PDF of ours.
    """
    path = arguments.file
    try:
        with FilePath(path).open("rb") as file:
            data = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = getattr(error, "strerror", None) or error
        raise OutputError(f"{path}: cannot be read: {reason}; give a PDF that exists") from None
    if len(data) > LARGEST:
        raise OutputError(f"{path}: it is longer than {LARGEST} bytes; give a PDF that this program wrote")
    return inspect_pdf(data, str(path))


def inspect_pdf(data: bytes, name: str) -> Inspection:
    """Inspect the bytes of a PDF.

    Raises:
        OutputError: it is damaged, encrypted, or not a PDF of ours.
    """
    with _readable(name):
        from pypdf import PdfReader  # noqa: PLC0415 - slow to import, and only this command reads PDF

        reader = PdfReader(BytesIO(data), strict=True)
        if reader.is_encrypted:
            raise OutputError(f"{name}: it is encrypted; give the file as this program wrote it")
        about: Mapping[str, Any] = reader.metadata or {}
        creator = str(about.get("/Creator", ""))
        if creator != CREATOR:
            made = f"made by {creator}" if creator else "silent about what made it"
            raise OutputError(f"{name}: it is {made}, not by {CREATOR}; give a PDF that {CREATOR} wrote")
        return _inspected(reader, name, {key: str(value) for key, value in about.items()})


@contextmanager
def _readable(name: str) -> Iterator[None]:
    """Tell what a damaged file does to its reader: pypdf fails in many ways, or mends it and only warns."""
    heard: list[str] = []
    handler = _Hears(heard)
    logger = getLogger("pypdf")
    before, logger.propagate = logger.propagate, False
    logger.addHandler(handler)
    try:
        yield
    except OutputError:
        raise
    except Exception as error:
        raise _damaged(name, str(error) or type(error).__name__) from None
    finally:
        logger.removeHandler(handler)
        logger.propagate = before
    if heard:
        raise _damaged(name, heard[0])


class _Hears(Handler):
    """Keeps what is logged."""

    def __init__(self, heard: list[str]) -> None:
        super().__init__(WARNING)
        self._heard = heard

    def emit(self, record: LogRecord) -> None:
        self._heard.append(record.getMessage())


def _damaged(name: str, reason: str) -> OutputError:
    return OutputError(f"{name}: not a PDF that can be read: {reason}; give one that is whole")


def _inspected(reader: PdfReader, name: str, about: Mapping[str, str]) -> Inspection:
    found = [_Found(reader, page, number) for number, page in enumerate(reader.pages, 1)]
    if not found:
        raise OutputError(f"{name}: it has no page; give a PDF that {CREATOR} wrote")
    pages = tuple(one.page for one in found)
    squares = tuple(square for one in found for square in one.squares)
    fonts = {font.name: font for one in found for font in one.fonts}
    transparent = tuple(dict.fromkeys(said for one in found for said in one.transparent))
    catalog = reader.root_object
    scaling = str(_get(_get(catalog, "/ViewerPreferences"), "/PrintScaling") or "/AppDefault").lstrip("/")
    group, layers, layer_problems = _layers(catalog, {mark for one in found for mark in one.layers})
    problems = [problem for one in found for problem in one.problems]
    problems += layer_problems
    problems += [f"the font {font.name} is not embedded" for font in fonts.values() if not font.embedded]
    real_size = words.REAL_SIZE in about.get("/Keywords", "")
    if real_size:
        problems += _scale_problems(pages, squares, scaling, about.get("/Subject", ""))
    if transparent:
        problems.append(f"it has transparency: {', '.join(transparent)}")
    if about.get("/Subject") == PROJECTION_SUBJECT:
        problems.append("it is made for a projector, not for print")
    return Inspection(
        file=name,
        title=about.get("/Title", ""),
        subject=about.get("/Subject", ""),
        creator=about.get("/Creator", ""),
        producer=about.get("/Producer", "unknown"),
        real_size=real_size,
        print_scaling=scaling,
        pages=pages,
        squares=squares,
        fonts=tuple(fonts[key] for key in sorted(fonts)),
        layer_group=group,
        layers=layers,
        transparent=transparent,
        colours=tuple(sorted({colour for one in found for colour in one.colours})),
        problems=tuple(dict.fromkeys(problems)),
    )


def _scale_problems(pages: Sequence[Page], squares: Sequence[Square], scaling: str, subject: str) -> Iterator[str]:
    for number, page in enumerate(pages, 1):
        if abs(page.scale - 1) > SCALE_TRUE:
            yield f"page {number} is drawn at {page.scale * 100:.6g} %, not at 100 %"
    for square in squares:
        if not square.true:
            measured = f"{square.width:.2f} × {square.height:.2f} mm"
            yield f"page {square.page} has a square that says {square.said:.5g} mm and measures {measured}"
    measured_pages = {square.page for square in squares}
    if not squares:
        yield "no calibration square says its size"
    elif subject == WIDE_SUBJECT and (bare := [n for n in range(1, len(pages) + 1) if n not in measured_pages]):
        yield f"sheets without a calibration square that says its size: {_ranges(bare)}"
    if scaling != "None":
        yield f"the reader is not told to print at 100 % (print scaling: {scaling})"


def _get(holder: Any, key: str) -> Any:
    """An entry of a dictionary with what it refers to, None where there is none."""
    found = holder.get(key) if holder is not None else None
    return found.get_object() if found is not None else None


def _layers(catalog: Any, used: set[tuple[str, int]]) -> tuple[str, tuple[Layer, ...], list[str]]:
    """The heading of the layers, the layers as a reader shows them at first, and what is wrong with them."""
    properties = _get(catalog, "/OCProperties")
    groups = list(_get(properties, "/OCGs") or ())
    default = _get(properties, "/D")
    if not groups:
        lost = (
            [f"it has {words.count(len(used), 'layer')} that it does not list, so none can be switched"] if used else []
        )
        return "", (), lost
    if default is None:
        return "", (), ["its layers have no default state"]
    base = str(default.get("/BaseState", "/ON")) != "/OFF"
    on, off = ({ref.idnum for ref in _get(default, key) or ()} for key in ("/ON", "/OFF"))
    layers = tuple(
        Layer(str(ref.get_object()["/Name"]), ref.idnum in on or (base and ref.idnum not in off)) for ref in groups
    )
    order = _get(default, "/Order") or ()
    listed = list(_flat(order))
    heading = next((str(item) for item in listed if isinstance(item, str)), "")
    shown = {ref.idnum for ref in listed if hasattr(ref, "idnum")}
    known = {ref.idnum for ref in groups}
    problems = []
    if lost := [name for name, idnum in sorted(used) if idnum not in known]:
        problems.append(f"its pages draw on layers that it does not list: {', '.join(lost)}")
    if known - shown:
        problems.append("some of its layers are not in the reader's list, so they cannot be switched")
    if hidden := [layer.name for layer in layers if not layer.on]:
        problems.append(f"layers are switched off and would not be printed: {', '.join(hidden)}")
    return heading, layers, problems


def _flat(order: Any) -> Iterator[Any]:
    for item in order:
        if isinstance(item, list):
            yield from _flat(item)
        else:
            yield item


_PAINTS: Final = frozenset(("S", "s", "B", "b", "B*", "b*", "f", "F", "f*"))
_STROKES: Final = frozenset(("S", "s", "B", "b", "B*", "b*"))
_COLOURS: Final = {
    **dict.fromkeys(("G", "g"), "black and grey"),
    **dict.fromkeys(("RG", "rg"), "red, green, blue"),
    **dict.fromkeys(("K", "k"), "four inks"),
    **dict.fromkeys(("SC", "sc", "SCN", "scn"), "others"),
}
"""Operators of ISO 32000-1, annex A."""


class _Walk:
    """Where a content stream has got to: its matrix, its path in units of the page, its font and its text matrix."""

    def __init__(self, fonts: Any, matrix: _Matrix) -> None:
        self._fonts = fonts
        self._stack = [matrix]
        self._line = _ONE
        self._known: dict[str, dict[str, str]] = {}
        self.text = _ONE
        self.path: list[tuple[float, float]] = []
        self.straight = True
        self.letters: dict[str, str] = {}
        self.lacking: dict[str, None] = {}

    @property
    def matrix(self) -> _Matrix:
        return self._stack[-1]

    def go(self, name: str, operands: Any) -> None:
        """Take one operator; those that move nothing are passed over."""
        if step := self._STEPS.get(name):
            step(self, operands)

    def _save(self, _: Any) -> None:
        self._stack.append(self.matrix)

    def _restore(self, _: Any) -> None:
        if len(self._stack) > 1:
            self._stack.pop()

    def _transform(self, operands: Any) -> None:
        self._stack[-1] = _times(_matrix(operands), self.matrix)

    def _move(self, operands: Any) -> None:
        self.path, self.straight = [_at(self.matrix, *map(float, operands))], True

    def _go_on(self, operands: Any) -> None:
        self.path.append(_at(self.matrix, *map(float, operands)))

    def _curve(self, _: Any) -> None:
        self.straight = False

    def _box(self, operands: Any) -> None:
        x, y, w, h = map(float, operands)
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        self.path, self.straight = [_at(self.matrix, *corner) for corner in corners], True

    def _begin_text(self, _: Any) -> None:
        self.text = self._line = _ONE

    def _set_text(self, operands: Any) -> None:
        self.text = self._line = _matrix(operands)

    def _move_text(self, operands: Any) -> None:
        x, y = map(float, operands)
        self.text = self._line = _times((1.0, 0.0, 0.0, 1.0, x, y), self._line)

    def _set_font(self, operands: Any) -> None:
        name = str(operands[0])
        font = _get(self._fonts, name)
        if font is None:
            self.lacking[name[1:]] = None
        if name not in self._known:
            self._known[name] = _letters(font)
        self.letters = self._known[name]

    _STEPS: Final = {
        "q": _save,
        "Q": _restore,
        "cm": _transform,
        "m": _move,
        "l": _go_on,
        "c": _curve,
        "v": _curve,
        "y": _curve,
        "re": _box,
        "BT": _begin_text,
        "Tm": _set_text,
        "Td": _move_text,
        "TD": _move_text,
        "Tf": _set_font,
    }


class _Found:
    """What one page holds: its own stream and the forms that it shows."""

    def __init__(self, reader: PdfReader, page: PageObject, number: int) -> None:
        self._reader = reader
        self._number = number
        self._unit = float(page.get("/UserUnit", 1.0)) * POINT
        self.squares: list[Square] = []
        self.fonts: list[Font] = []
        self.layers: set[tuple[str, int]] = set()
        self.transparent: list[str] = []
        self.colours: set[str] = set()
        self.problems: list[str] = []
        self._boxes: list[tuple[float, float, float, float]] = []
        self._said: list[tuple[float, float, float]] = []
        self._scales: set[float] = set()
        self._seen: set[int] = set()
        if _get(_get(page, "/Group"), "/S") == "/Transparency":
            self.transparent.append("a page group")
        self._resources(page.get("/Resources"), top=True)
        contents = page.get_contents()
        if contents is not None:
            self._walk(contents.operations, page.get("/Resources"), (1, 0, 0, 1, 0, 0))
        self._measure()
        self.page = self._page(page)

    def _page(self, page: PageObject) -> Page:
        boxes = {name: getattr(page, f"{name}box") for name in ("media", "crop", "bleed", "trim")}
        sides = {name: [float(side) * self._unit for side in box] for name, box in boxes.items()}
        media = sides["media"]
        agree = all(abs(a - b) <= SAME for box in sides.values() for a, b in zip(box, media, strict=True))
        width, height = media[2] - media[0], media[3] - media[1]
        if not agree:
            self.problems.append(
                f"page {self._number} has boxes that differ: part of it would be cut off or left blank"
            )
        scale = self._scale()
        named = (
            paper.name
            for paper in PAPERS.values()
            for sheet in (paper, paper.turned())
            if abs(sheet.width - width) <= SAME and abs(sheet.height - height) <= SAME
        )
        return Page(width, height, next(named, ""), scale, self._unit / POINT, int(page.get("/Rotate", 0)), agree)

    def _scale(self) -> float:
        """The scale furthest from true at which something is drawn."""
        return max(self._scales, key=lambda scale: abs(scale - 1), default=1.0)

    def _resources(self, resources: Any, *, top: bool = False) -> None:
        resources = resources.get_object() if resources is not None else {}
        for entry in (_get(resources, "/Font") or {}).values():
            self.fonts.append(_font(entry.get_object()))
        for entry in (_get(resources, "/ExtGState") or {}).values():
            self._state(entry.get_object())
        for entry in (_get(resources, "/Properties") or {}).values():
            self._layer(entry)
        for entry in (_get(resources, "/XObject") or {}).values():
            thing = entry.get_object()
            if thing.get("/Subtype") == "/Image" and "/SMask" in thing:
                self.transparent.append("an image with a mask")
            if _get(_get(thing, "/Group"), "/S") == "/Transparency":
                self.transparent.append("a transparency group")
            thing.get_data()  # damage is found in reading
            if thing.get("/Subtype") == "/Form" and top:
                self._resources(thing.get("/Resources"))

    def _state(self, state: Any) -> None:
        if any(float(state.get(key, 1)) < 1 for key in ("/ca", "/CA")):
            self.transparent.append("see-through ink")
        if state.get("/SMask", "/None") != "/None":
            self.transparent.append("a soft mask")
        blend = state.get("/BM", "/Normal")
        if any(mode not in ("/Normal", "/Compatible") for mode in (blend if isinstance(blend, list) else [blend])):
            self.transparent.append("blended ink")

    def _layer(self, entry: Any) -> None:
        thing = entry.get_object()
        if thing.get("/Type") == "/OCG":
            self.layers.add((str(thing.get("/Name", "")), getattr(entry, "idnum", 0)))
        elif thing.get("/Type") == "/OCMD":
            groups = _get(thing, "/OCGs")
            for group in groups if isinstance(groups, list) else [thing.raw_get("/OCGs")]:
                self._layer(group)

    def _walk(self, operations: Any, resources: Any, matrix: _Matrix) -> None:
        resources = resources.get_object() if resources is not None else {}
        walk = _Walk(_get(resources, "/Font") or {}, matrix)
        for operands, operator in operations:
            name = operator.decode("latin-1")
            if name in _PAINTS:
                self._scales.add(self._size_of(walk.matrix))
                if name in _STROKES and walk.straight:
                    self._path(walk.path)
            elif name in _COLOURS:
                self.colours.add(_COLOURS[name])
            elif name in ("Tj", "TJ"):
                self._text(operands[0], walk)
            elif name == "Do":
                self._form(_get(_get(resources, "/XObject"), str(operands[0])), str(operands[0]), walk.matrix)
            else:
                walk.go(name, operands)
        self.problems += [f"page {self._number} names a font that it does not have: {font}" for font in walk.lacking]

    def _size_of(self, matrix: _Matrix) -> float:
        """Mm on paper for one unit drawn: 1 in our files, whose units are mm."""
        a, b, c, d, _, _ = matrix
        return float(abs(a * d - b * c) ** 0.5 * self._unit)

    def _form(self, form: Any, name: str, matrix: _Matrix) -> None:
        if form is None:
            self.problems.append(f"page {self._number} shows a drawing that is missing: {name[1:]}")
            return
        if form.get("/Subtype") != "/Form":
            return
        own = _matrix(form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
        if not _may_hold_squares(form):
            self._scales.add(self._size_of(_times(own, matrix)))
            return
        if form.indirect_reference.idnum in self._seen:
            return
        from pypdf.generic import ContentStream  # noqa: PLC0415

        self._seen.add(form.indirect_reference.idnum)
        self._walk(ContentStream(form, self._reader).operations, form.get("/Resources"), _times(own, matrix))

    def _path(self, path: list[tuple[float, float]]) -> None:
        """Keep a path that is an upright rectangle, as its box in units of the page."""
        corners = path[:-1] if len(path) == 5 and _near(path[0], path[-1]) else path
        if len(corners) != 4:
            return
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        box = (min(xs), min(ys), max(xs), max(ys))
        if all(
            min(abs(x - box[0]), abs(x - box[2])) < 1e-3 and min(abs(y - box[1]), abs(y - box[3])) < 1e-3
            for x, y in corners
        ):
            self._boxes.append(box)

    def _text(self, raw: Any, walk: _Walk) -> None:
        parts = raw if isinstance(raw, list) else [raw]
        text = "".join(_spelled(part, walk.letters) for part in parts if isinstance(part, (str, bytes)))
        if match := _SIZE.search(text):
            side = float(match[1]) * (INCH if match[2] == "in" else 1.0)
            self._said.append((*_at(_times(walk.text, walk.matrix), 0, 0), side))

    def _measure(self) -> None:
        """Each text that says a size, with the smallest rectangle round it."""
        for x, y, side in self._said:
            around = [box for box in self._boxes if box[0] < x < box[2] and box[1] < y < box[3]]
            if around:
                left, bottom, right, top = min(around, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]))
                self.squares.append(
                    Square(self._number, (right - left) * self._unit, (top - bottom) * self._unit, side)
                )


def _may_hold_squares(form: Any) -> bool:
    """Our own forms hold strokes alone; one with fonts is a page that somebody has placed in another."""
    return _get(_get(form, "/Resources"), "/Font") is not None


def _font(font: Any) -> Font:
    descendants = _get(font, "/DescendantFonts")
    described = descendants[0].get_object() if descendants else font
    about = _get(described, "/FontDescriptor")
    files = [_get(about, key) for key in ("/FontFile", "/FontFile2", "/FontFile3")]
    embedded = any(file is not None and file.get_data() for file in files)
    name = str(font.get("/BaseFont", "/unnamed"))[1:]
    return Font(name.partition("+")[2] or name, embedded)  # a subset's name begins with six letters and a plus


def _letters(font: Any) -> dict[str, str]:
    """What each code of a font stands for, by its table for readers (9.10.3): codes of one byte, as ours are."""
    table = _get(font, "/ToUnicode")
    if table is None:
        return {}
    letters: dict[str, str] = {}
    said = table.get_data().decode("latin-1")
    for block in re.findall(r"beginbfchar(.*?)endbfchar", said, re.DOTALL):
        for code, letter in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            letters[chr(int(code, 16))] = _utf16(letter)
    for block in re.findall(r"beginbfrange(.*?)endbfrange", said, re.DOTALL):
        for low, _, some in re.findall(r"<(\w+)>\s*<(\w+)>\s*\[(.*?)\]", block, re.DOTALL):
            for number, letter in enumerate(re.findall(r"<(\w+)>", some), int(low, 16)):
                letters[chr(number)] = _utf16(letter)
        for low, high, first in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", block):
            for number in range(int(low, 16), int(high, 16) + 1):
                letters[chr(number)] = chr(int(first, 16) + number - int(low, 16))
    return letters


def _utf16(digits: str) -> str:
    return bytes.fromhex(digits).decode("utf-16-be")


def _spelled(raw: str | bytes, letters: Mapping[str, str]) -> str:
    codes = getattr(raw, "original_bytes", raw) if isinstance(raw, str) else raw
    text = codes.decode("latin-1") if isinstance(codes, bytes) else codes
    return "".join(letters.get(code, code) for code in text)


def _matrix(operands: Any) -> _Matrix:
    a, b, c, d, e, f = map(float, operands)
    return a, b, c, d, e, f


def _times(first: _Matrix, second: _Matrix) -> _Matrix:
    """The matrix that does the first and then the second."""
    a, b, c, d, e, f = first
    g, h, i, j, k, m = second
    return a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m


def _at(matrix: _Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) < 1e-3 and abs(one[1] - other[1]) < 1e-3
