"""What a PDF of ours holds, read back from the file alone, and whether to send it to a print shop.

It is called safe when it is proved: every page draws what it drew when it was written, in its order, at true scale, and
nothing keeps a printer from printing all of it. The proof is twofold. Each page comes to the digest that the file's own
record has of it (`record`), and what its content draws, followed operator by operator (`pdf_content`), is
what the record tells of it: sizes, drawings and where they are shown, numbers of lines, calibration squares, layers.
What the record cannot vouch for is held against what every file of ours is: upright, unclipped, unmasked, without
images, notes or scripts. Whatever is not known here cannot be proved and is not safe.

Read are page boxes (ISO 32000-1, 14.11.2), UserUnit, print scaling (12.2), fonts and whether they are embedded (9.9),
optional content (8.11), transparency (11.6), and the content streams, in which the calibration squares are measured in
true units. A square is known by the size that is written in it. Lengths in mm.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from textwrap import wrap
from typing import Any, Final

from drafting.errors import OutputError
from drafting.units import POINT
from output.inspection.pdf_content import HEAVY, ContentStream, Drawn, Linear, Show, box_of
from output.inspection.pdf_objects import (
    Budget,
    PdfError,
    PdfFile,
    PdfPage,
    Ref,
    Stream,
    TooMuchError,
    spelled,
)
from output.inspection.record import (
    CREATOR,
    PLACED,
    TO_PRINT,
    TO_PROJECT,
    TO_READ,
    Box,
    PageRecord,
    Record,
    RecordError,
    Shown,
    info_of,
    kind_of,
    near,
    record_of,
    whole_digest,
)
from output.paper.sizes import PAPERS
from output.words import text as words

WIDTH: Final = 100

TRUE: Final = 0.02
"""mm; how far a square may measure from what is written in it. A scale of 99.9 % is found out by 50 mm."""

SAME: Final = 0.1
"""mm; how far a page may be from the paper that it is named after, and boxes from one another."""

SCALE_TRUE: Final = 1e-4
"""Share by which the scale of a page may differ from 1: rounding of the numbers in the file."""

MOST_PAGES: Final = 10_000
"""Times that a drawing is shown; a register mark of a large nest some hundreds."""

FOR_PROJECTOR: Final = "it is made for a projector, not for print"
UNDESCRIBED: Final = (
    "it cannot be proved: it has no description of itself, as files of older versions have none; write it again"
)


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
    """One page: its media box, the paper of that size if it has a name, how it is scaled, whether its boxes agree.

    `label` is what the file's record calls it.
    """

    width: float
    height: float
    paper: str
    scale: float
    user_unit: float
    rotated: int
    boxes_agree: bool
    label: str = ""


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

    `real_size` says whether the file has pieces to cut by, as a guide has not: only then must its scale be true. `kind`
    is what the file is for, one of those of `output.inspection.record`.
    """

    file: str
    title: str
    subject: str
    creator: str
    producer: str
    kind: str
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
    def proved(self) -> bool:
        """Whether every page is what was written: a file for a projector can be proved and is yet not for print."""
        return not set(self.problems) - {FOR_PROJECTOR}

    @property
    def complaint(self) -> str:
        """The first problem on one line; empty when there is none."""
        if self.safe:
            return ""
        more = f" (and {len(self.problems) - 1} more)" if len(self.problems) > 1 else ""
        return f"{self.file}: not safe to send: {self.problems[0]}{more}"

    def json(self) -> str:
        """The findings as one JSON object."""
        return json.dumps({**asdict(self), "proved": self.proved, "safe": self.safe}, indent=2, ensure_ascii=False)

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
            *(["Proved: all pages are as they were written, complete and in order"] if self.proved else []),
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


def inspect_pdf(data: bytes, name: str) -> Inspection:
    """Inspect the bytes of a PDF.

    Raises:
        OutputError: it is damaged, encrypted, not a PDF of ours, or longer, deeper or slower to read than any of ours.
    """
    try:
        file = PdfFile(data, Budget())
        if "Encrypt" in file.trailer:
            raise OutputError(f"{name}: it is encrypted; give the file as this program wrote it")
        about = info_of(file)
        creator = about.get("Creator", "")
        if creator != CREATOR:
            made = f"made by {creator}" if creator else "silent about what made it"
            raise OutputError(f"{name}: it is {made}, not by {CREATOR}; give a PDF that {CREATOR} wrote")
        return _inspected(file, name, about)
    except PdfError as error:
        raise _damaged(name, str(error)) from None
    except (TypeError, ValueError, LookupError, AttributeError, ArithmeticError, RecursionError, MemoryError) as error:
        # what stands where a dictionary, a list or a number should be: no file that a program wrote has that
        raise _damaged(name, f"it has values of the wrong kind ({type(error).__name__})") from None


def _damaged(name: str, reason: str) -> OutputError:
    return OutputError(f"{name}: not a PDF that can be read: {reason}; give one that is whole")


def _inspected(file: PdfFile, name: str, about: Mapping[str, str]) -> Inspection:
    pages = file.pages()
    if not pages:
        raise OutputError(f"{name}: it has no page; give a PDF that {CREATOR} wrote")
    digests = file.page_digests()
    kind = kind_of(about.get("Keywords", ""), about.get("Subject", ""))
    content = ContentStream(file)
    found = [_Found(file, content, page, kind) for page in pages]
    squares = tuple(square for one in found for square in one.squares)
    fonts = {font.name: font for one in found for font in one.fonts}
    transparent = tuple(dict.fromkeys(said for one in found for said in one.transparent))
    preferences = file.get(file.catalog.get("ViewerPreferences"))
    scaling = str(preferences.get("PrintScaling", "AppDefault") if isinstance(preferences, dict) else "AppDefault")
    group, layers, layer_problems = _layers(file, {mark for one in found for mark in one.layers})
    problems = [problem for one in found for problem in one.problems]
    problems += layer_problems
    problems += [f"the font {font.name} is not embedded" for font in fonts.values() if not font.embedded]
    problems += _catalog_problems(file)
    shown = [one.page for one in found]
    if kind != TO_READ:
        problems += _scale_problems(shown, squares, scaling, about.get("Subject", ""))
    if transparent:
        problems.append(f"it has transparency: {', '.join(transparent)}")
    problems += _record_problems(file, content, found, digests, _Told(kind, about, group, layers))
    if kind == TO_PROJECT:
        problems.append(FOR_PROJECTOR)
    return Inspection(
        file=name,
        title=about.get("Title", ""),
        subject=about.get("Subject", ""),
        creator=about.get("Creator", ""),
        producer=about.get("Producer", "unknown"),
        kind=kind,
        real_size=kind != TO_READ,
        print_scaling=scaling,
        pages=tuple(one.page for one in found),
        squares=squares,
        fonts=tuple(fonts[key] for key in sorted(fonts)),
        layer_group=group,
        layers=layers,
        transparent=transparent,
        colours=tuple(sorted({colour for one in found for colour in one.colours})),
        problems=tuple(dict.fromkeys(problems)),
    )


def _scale_problems(pages: Sequence[Page], squares: Sequence[Square], scaling: str, subject: str) -> Iterator[str]:
    for square in squares:
        if not square.true:
            measured = f"{square.width:.2f} × {square.height:.2f} mm"
            yield f"page {square.page} has a square that says {square.said:.5g} mm and measures {measured}"
    measured_pages = {square.page for square in squares}
    if not squares:
        yield "no calibration square says its size"
    elif subject == words.WIDE_SUBJECT and (bare := [n for n in range(1, len(pages) + 1) if n not in measured_pages]):
        yield f"sheets without a calibration square that says its size: {_ranges(bare)}"
    if scaling != "None":
        yield f"the reader is not told to print at 100 % (print scaling: {scaling})"


@dataclass(frozen=True, slots=True)
class _Told:
    """What a file tells every reader: what it is for, the words about it, its layers under their heading."""

    kind: str
    about: Mapping[str, str]
    heading: str
    layers: Sequence[Layer]


def _record_problems(
    file: PdfFile, content: ContentStream, found: Sequence[_Found], digests: Sequence[str], told: _Told
) -> Iterator[str]:
    """How a file differs from what its own record tells; the pages found get their labels from it."""
    try:
        record = record_of(file)
    except RecordError as error:
        yield f"it cannot be proved: {error}; write it again"
        return
    if record is None:
        yield UNDESCRIBED
        return
    for page, written in zip(found, record.pages, strict=False):
        page.page = replace(page.page, label=written.label)
    yield from _order_problems(digests, record.pages)
    if len(digests) == len(record.pages):
        for page, written in zip(found, record.pages, strict=True):
            yield from page.unlike(written)
    yield from _drawing_problems(content, found, record)
    if [layer.name for layer in told.layers] != record.layers or told.heading != record.heading:
        yield "its layers are not those that it was written with"
    if other := sorted(key for key in _ABOUT if record.about.get(key) != told.about.get(key)):
        yield f"what it says of itself is not what was written: {', '.join(other)}"
    if record.kind != told.kind or whole_digest(file, record) != record.sha256:
        yield "its record, its layers or what it tells the printer is not what was written"


def _order_problems(digests: Sequence[str], told: Sequence[PageRecord]) -> Iterator[str]:
    """Pages that are missing, there twice, out of order, strange or changed."""
    meant = [page.sha256 for page in told]
    if list(digests) == meant:
        return
    if len(digests) != len(meant):
        yield f"it has {words.count(len(digests), 'page')}, and was written with {len(meant)}"
        spare = Counter(meant) - Counter(digests)
        for number, page in enumerate(told, 1):
            if spare[page.sha256]:
                named = f" ({page.label})" if page.label else ""
                yield f"page {number}{named} of those written is missing or changed"
    here = Counter(digests)
    for number, digest in enumerate(digests, 1):
        if digest not in meant:
            yield f"page {number} is not as it was written"
        elif here[digest] > meant.count(digest):
            yield f"page {meant.index(digest) + 1} of those written is there {here[digest]} times"
        elif number > len(meant) or meant[number - 1] != digest:
            yield f"page {number} was written as page {meant.index(digest) + 1}"


def _drawing_problems(content: ContentStream, found: Sequence[_Found], record: Record) -> Iterator[str]:
    """Stored drawings that are not what the record tells, or that the pages together do not show whole."""
    shown: dict[str, set[int]] = {}
    windows: dict[int, list[Box]] = {}
    for page in found:
        for show in page.drawn.shows:
            shown.setdefault(_plain(show.name), set()).add(show.number)
            left, bottom, right, top = show.clip or (0.0, 0.0, page.page.width, page.page.height)
            x, y = show.matrix[4:]
            windows.setdefault(show.number, []).append((left - x, bottom - y, right - x, top - y))
    for name, told in record.drawings.items():
        numbers = shown.get(name, set())
        if len(numbers) != 1:
            yield f"the drawing {name} is shown as {len(numbers)} drawings"
            continue
        drawn = content.form(*numbers)
        if not drawn.lines.like(told):
            yield f"the drawing {name} has other lines than were written"
    for number, some in windows.items():
        if len(some) > MOST_PAGES:
            yield f"a drawing of it is shown more than {MOST_PAGES} times"
        elif not _covered(content.form(number), some):
            yield "its pages do not show the whole of a drawing: lines of it are on none of them"


def _covered(drawn: Drawn, windows: Sequence[Box]) -> bool:
    """Whether each line of a drawing is in one of the windows through which pages show it."""
    from shapely import MultiLineString, box, union_all  # noqa: PLC0415 - slow to import

    lines = MultiLineString([part for part in drawn.ink if len(part) > 1])
    return bool(union_all([box(*one) for one in windows]).buffer(PLACED).covers(lines))


def _catalog_problems(file: PdfFile) -> Iterator[str]:
    """What acts, hides or is kept in a file beside its pages."""
    for key in sorted(file.catalog.keys() - _CATALOG):
        yield _CATALOG_FAULTS.get(key, f"its catalogue has the entry {key}, which cannot be proved harmless")
    preferences = file.get(file.catalog.get("ViewerPreferences"))
    for key in sorted(preferences.keys() - {"PrintScaling", "DisplayDocTitle"} if preferences else ()):
        yield f"it tells the printer or the reader what files of ours do not: {key}"
    outline = file.get(file.catalog.get("Outlines"))
    waiting = [outline.get("First")] if isinstance(outline, dict) else []
    seen: set[int] = set()
    while waiting:
        ref = waiting.pop()
        entry = file.get(ref)
        if not isinstance(ref, Ref) or not isinstance(entry, dict) or ref.number in seen:
            yield "its list of bookmarks is damaged"
            return
        seen.add(ref.number)
        if entry.keys() & {"A", "AA", "SE"}:
            yield "a bookmark of it starts something"
        waiting += [entry[key] for key in ("First", "Next") if key in entry]


_ABOUT: Final = ("Title", "Author", "Subject", "Keywords", "Creator")
_CATALOG: Final = frozenset(
    ("Type", "Pages", "Outlines", "PageMode", "ViewerPreferences", "Lang", "OCProperties", "PieceInfo", "Version")
)
_CATALOG_FAULTS: Final = {
    "OpenAction": "it does something when it is opened",
    "AA": "it does something when it is opened, printed or closed",
    "Names": "it has scripts, attachments or other named things",
    "AF": "it has attachments",
    "Collection": "it has attachments",
    "AcroForm": "it has a form to fill in",
}

_PAGE: Final = frozenset(
    ("Type", "MediaBox", "CropBox", "BleedBox", "TrimBox", "Contents", "Resources", "Rotate", "Trans")
)
_PAGE_FAULTS: Final = {
    "Annots": "has notes, fields or attachments laid on it",
    "AA": "does something when it is opened or closed",
    "UserUnit": "has a unit of its own",
    "Group": "is drawn as a group that shows through",
    "Thumb": "has a picture of itself that may show another page",
}


def _layers(file: PdfFile, used: set[tuple[str, int]]) -> tuple[str, tuple[Layer, ...], list[str]]:
    """The heading of the layers, the layers as a reader shows them at first, and what is wrong with them."""
    properties = _dict(file, file.catalog.get("OCProperties"))
    groups = [ref for ref in _list(file, properties.get("OCGs")) if isinstance(ref, Ref)]
    if not groups:
        lost = (
            [f"it has {words.count(len(used), 'layer')} that it does not list, so none can be switched"] if used else []
        )
        return "", (), lost
    if "D" not in properties:
        return "", (), ["its layers have no default state"]
    default = _dict(file, properties["D"])
    base = default.get("BaseState", "ON") == "ON"
    on, off = ({ref.number for ref in _list(file, default.get(key)) if isinstance(ref, Ref)} for key in ("ON", "OFF"))
    layers = tuple(Layer(_named(file, ref), (base or ref.number in on) and ref.number not in off) for ref in groups)
    listed = list(_flat(file, default.get("Order")))
    heading = next((spelled(item) for item in listed if isinstance(item, bytes)), "")
    shown = {ref.number for ref in listed if isinstance(ref, Ref)}
    known = {ref.number for ref in groups}
    problems = []
    if lost := [name for name, number in sorted(used) if number not in known]:
        problems.append(f"its pages draw on layers that it does not list: {', '.join(lost)}")
    if known - shown:
        problems.append("some of its layers are not in the reader's list, so they cannot be switched")
    if hidden := [layer.name for layer in layers if not layer.on]:
        problems.append(f"layers are switched off and would not be printed: {', '.join(hidden)}")
    ruled = sorted(default.keys() - {"Name", "BaseState", "ON", "OFF", "Order", "ListMode", "Intent"})
    if ruled or _list(file, properties.get("Configs")) or properties.keys() - {"OCGs", "D", "Configs"}:
        problems.append(f"its layers are switched by rules: {', '.join(ruled) or 'other states'}")
    if default.get("Intent", "View") != "View" or default.get("BaseState", "ON") not in ("ON", "OFF"):
        problems.append("its layers are switched by rules: Intent or BaseState")
    for ref in groups:
        entry = _dict(file, ref)
        if entry.keys() - {"Type", "Name", "Intent"} or entry.get("Intent", "View") != "View":
            problems.append(f"the layer {_named(file, ref)} may be shown and not printed")
    return heading, layers, problems


def _named(file: PdfFile, ref: Ref) -> str:
    name = file.get(_dict(file, ref).get("Name"))
    return spelled(name) if isinstance(name, bytes) else ""


def _flat(file: PdfFile, value: Any, depth: int = 0) -> Iterator[Any]:
    """The items of an array and of those within it."""
    if depth > 8:
        raise PdfError("its list of layers is too deep")
    for item in _list(file, value):
        if isinstance(file.get(item), list):
            yield from _flat(file, item, depth + 1)
        else:
            yield item


def _dict(file: PdfFile, value: Any) -> dict[str, Any]:
    found = file.get(value)
    return found if isinstance(found, dict) else {}


def _list(file: PdfFile, value: Any) -> list[Any]:
    found = file.get(value)
    return found if isinstance(found, list) else []


class _Found:
    """What one page holds: its own content and the forms that it shows."""

    def __init__(self, file: PdfFile, content: ContentStream, page: PdfPage, kind: str) -> None:
        self._file = file
        self._entries = page.entries
        self._number = page.number
        self.fonts: list[Font] = []
        self.transparent: list[str] = []
        self.problems: list[str] = []
        unit = file.get(page.entries.get("UserUnit", 1))
        self._user = float(unit) if isinstance(unit, (int, float)) and 0 < unit < 1e6 else 1.0
        self._unit = self._user * POINT
        if _dict(file, page.entries.get("Group")).get("S") == "Transparency":
            self.transparent.append("a page group")
        self._resources(page.entries.get("Resources"), top=True)
        self.drawn = Drawn()
        try:
            self.drawn = content.page(file.content(page), page.entries.get("Resources"), self._unit)
        except TooMuchError:
            raise
        except PdfError as error:
            self.problems.append(f"page {self._number} cannot be proved: {error}")
        self.page = self._page()
        self._judge(kind)

    @property
    def squares(self) -> list[Square]:
        return [
            Square(self._number, one.box[2] - one.box[0], one.box[3] - one.box[1], one.said)
            for one in self.drawn.squares
        ]

    @property
    def layers(self) -> set[tuple[str, int]]:
        return set(self.drawn.layers)

    @property
    def colours(self) -> set[str]:
        return set(self.drawn.colours)

    def _page(self) -> Page:
        boxes = [self._entries[key] for key in ("MediaBox", "CropBox", "BleedBox", "TrimBox") if key in self._entries]
        sides = [[side * self._unit for side in box_of(self._file.get(box))] for box in boxes]
        if "MediaBox" not in self._entries:
            raise PdfError(f"page {self._number} has no media box")
        media = sides[0]
        agree = all(abs(a - b) <= SAME for box in sides for a, b in zip(box, media, strict=True))
        width, height = media[2] - media[0], media[3] - media[1]
        if not agree:
            self.problems.append(
                f"page {self._number} has boxes that differ: part of it would be cut off or left blank"
            )
        elif max(map(abs, media[:2])) > PLACED:
            self.problems.append(f"page {self._number} begins elsewhere than in its corner")
        named = (
            paper.name
            for paper in PAPERS.values()
            for sheet in (paper, paper.turned())
            if abs(sheet.width - width) <= SAME and abs(sheet.height - height) <= SAME
        )
        turned = self._file.get(self._entries.get("Rotate", 0))
        rotated = turned if isinstance(turned, int) else 1
        if rotated:
            self.problems.append(f"page {self._number} is turned by {rotated} degrees")
        scale = max((size_of(one) for one in self.drawn.linears), key=lambda scale: abs(scale - 1), default=1.0)
        return Page(width, height, next(named, ""), scale, self._user, rotated, agree)

    def _judge(self, kind: str) -> None:
        """What would keep a printer from printing all of the page at true scale."""
        number, drawn = self._number, self.drawn
        self.problems += [f"page {number} {said}" for said in drawn.missing]
        if kind != TO_READ:
            self._measure(kind)
        links = kind == TO_READ and self._only_links()
        for key in sorted(self._entries.keys() - _PAGE - ({"Annots"} if links else set())):
            said = _PAGE_FAULTS.get(key, f"has the entry {key}, which cannot be proved harmless")
            self.problems.append(f"page {number} {said}")
        self.problems += [f"page {number} cannot be proved: {said}" for said in drawn.faults]

    def _measure(self, kind: str) -> None:
        """What is not at true scale, upright and plain to see."""
        number, drawn = self._number, self.drawn
        if abs(self.page.scale - 1) > SCALE_TRUE:
            self.problems.append(f"page {number} is drawn at {self.page.scale * 100:.6g} %, not at 100 %")
        self.problems += [f"page {number} {said}" for one in drawn.linears if (said := _skewed(one))]
        if any(_tilted(one) for one in drawn.letters):
            self.problems.append(f"page {number} has words that are stretched, mirrored or not in their size")
        if drawn.box and not _within(drawn.box, self.page):
            self.problems.append(f"page {number} draws beyond its edge")
        if kind == TO_PRINT:
            self.problems += [f"page {number} is not as it should be: {said}" for said in drawn.hides]
            if drawn.widest > HEAVY:
                self.problems.append(f"page {number} has a line of {drawn.widest:.0f} mm, which hides others")

    def _only_links(self) -> bool:
        """Whether all notes on the page are links within the file."""
        notes = [_dict(self._file, one) for one in _list(self._file, self._entries.get("Annots"))]
        return all(
            one.get("Subtype") == "Link" and one.keys() <= _LINK and "Dest" in one and not one.get("Contents")
            for one in notes
        )

    def unlike(self, told: PageRecord) -> Iterator[str]:
        """How the page differs from what the record tells of it."""
        page, drawn = self.page, self.drawn
        if max(abs(page.width - told.width), abs(page.height - told.height)) > PLACED:
            yield (
                f"page {self._number} measures {page.width:.1f} × {page.height:.1f} mm, and was written as "
                f"{told.width:.1f} × {told.height:.1f} mm"
            )
        if [_plain(one.name) for one in drawn.shows] != [one.drawing for one in told.shows]:
            yield f"page {self._number} shows other drawings than it was written with"
        elif not all(map(_placed, drawn.shows, told.shows)):
            yield f"page {self._number} shows its part of the drawing elsewhere than it was written"
        if not drawn.lines.like(told.lines):
            yield f"page {self._number} has other lines than it was written with, or has them elsewhere"
        if not drawn.texts.like(told.texts):
            yield f"page {self._number} has other words than it was written with, or has them elsewhere"
        if drawn.marks != told.layers:
            yield f"page {self._number} has its lines on other layers than it was written with"
        apart = [max(abs(a - b) for a, b in zip(*pair, strict=True)) for pair in zip(drawn.corners, told.squares)]  # noqa: B905
        if len(drawn.corners) != len(told.squares) or max(apart, default=0.0) > PLACED:
            yield f"page {self._number} has its calibration squares elsewhere than they were written"

    def _resources(self, resources: Any, *, top: bool = False) -> None:
        file = self._file
        named = _dict(file, resources)
        for entry in _dict(file, named.get("Font")).values():
            self.fonts.append(_font(file, entry))
            if _dict(file, entry).get("Subtype") != "TrueType" or "Encoding" in _dict(file, entry):
                self.problems.append(f"page {self._number} has a font whose letters may be others than they should be")
        for entry in _dict(file, named.get("ExtGState")).values():
            self._state(_dict(file, entry))
        for entry in _dict(file, named.get("XObject")).values():
            thing = file.get(entry)
            if not isinstance(thing, Stream):
                continue
            kind = thing.entries.get("Subtype")
            if kind == "Image" and "SMask" in thing.entries:
                self.transparent.append("an image with a mask")
            if kind != "Form":
                self.problems.append(f"page {self._number} has an image, as no file of ours has")
            if _dict(file, thing.entries.get("Group")).get("S") == "Transparency":
                self.transparent.append("a transparency group")
            if kind == "Form" and top:
                self._resources(thing.entries.get("Resources"))

    def _state(self, state: Mapping[str, Any]) -> None:
        if any(isinstance(state.get(key), (int, float)) and state[key] < 1 for key in ("ca", "CA")):
            self.transparent.append("see-through ink")
        if state.get("SMask", "None") != "None":
            self.transparent.append("a soft mask")
        blend = self._file.get(state.get("BM", "Normal"))
        if any(mode not in ("Normal", "Compatible") for mode in (blend if isinstance(blend, list) else [blend])):
            self.transparent.append("blended ink")


_LINK: Final = frozenset(("Type", "Subtype", "Rect", "Border", "Dest", "Contents"))


def _within(box: Box, page: Page) -> bool:
    return box[0] > -1 and box[1] > -1 and box[2] < page.width + 1 and box[3] < page.height + 1


def _plain(name: str) -> str:
    """A drawing's name without what the library that writes it puts before."""
    return name.removeprefix("FormXob.")


def _placed(show: Show, told: Shown) -> bool:
    return max(abs(show.matrix[4] - told.x), abs(show.matrix[5] - told.y)) <= PLACED and near(show.clip, told.clip)


def size_of(linear: Linear) -> float:
    """Mm on paper for one mm drawn."""
    a, b, c, d = linear
    return float(abs(a * d - b * c) ** 0.5)


def _skewed(linear: Linear) -> str:
    """How drawing under a matrix differs from drawing upright; a scale alike in all directions is told elsewhere."""
    a, b, c, d = linear
    if max(abs(b), abs(c)) > SCALE_TRUE:
        return "is turned or sheared"
    if a < 0 or d < 0:
        return "is mirrored"
    if abs(a - d) > SCALE_TRUE:
        return f"is stretched: {a * 100:.6g} % across and {d * 100:.6g} % up"
    return ""


def _tilted(linear: Linear) -> bool:
    """Whether words are not just turned: turned matrices are rounded to six places."""
    a, b, c, d = linear
    return max(abs(a - d), abs(b + c), abs(a * a + b * b - 1)) > 10 * SCALE_TRUE


def _font(file: PdfFile, entry: Any) -> Font:
    font = _dict(file, entry)
    descendants = _list(file, font.get("DescendantFonts"))
    about = _dict(file, (_dict(file, descendants[0]) if descendants else font).get("FontDescriptor"))
    files = [file.get(about.get(key)) for key in ("FontFile", "FontFile2", "FontFile3")]
    embedded = any(isinstance(one, Stream) and file.unpacked(one) for one in files)
    name = str(font.get("BaseFont", "unnamed"))
    return Font(name.partition("+")[2] or name, embedded)  # a subset's name begins with six letters and a plus
