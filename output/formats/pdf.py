"""Writing PDF: a thin layer over reportlab in mm, y up, with fonts embedded and bytes that do not vary.

Page boxes are those of ISO 32000-1, 14.11.2; a PDF unit is 1/72 inch (8.3.2.3), and an inch is 25.4 mm. A layer is an
optional content group (8.11): one over all pages, shown in the reader's list of layers, on until it is switched off.
What is switched off is not printed either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from itertools import groupby
from math import ceil, floor
from typing import TYPE_CHECKING, Any, Final

from drafting.errors import OutputError
from drafting.units import INCH, POINT
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.inspection.record import CREATOR, Notes, PageRecord, Record, kind_of
from output.inspection.seal import sealed
from output.words import text as words
from output.words.font import BOLD, REGULAR
from output.words.letters import check_text, drawn

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from drafting.path import Path
    from drafting.point import Point

PAGE_LIMIT: Final = 200 * INCH
"""mm; the longest side of a page: 14 400 units (ISO 32000-1, annex C.2)."""


@cache
def embedded(name: str) -> str:
    """The name of a font, by which reportlab knows it from now on."""
    from output.system import as_shipped  # noqa: F401, I001, PLC0415 - before reportlab, which is slow to import
    from output.formats.face import font  # noqa: PLC0415
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415

    pdfmetrics.registerFont(font(name))
    return name


class Document:
    """A PDF in the making; one page at a time, closed by `data`."""

    ink: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """The colour of texts."""

    def __init__(
        self,
        *,
        title: str,
        author: str = "",
        subject: str = "",
        keywords: str = "",
        layers: Sequence[str] = (),
        group: str = "",
    ) -> None:
        """Begin a document; `layers` are listed in that order, under the heading `group`.

        Raises:
            OutputError: one of these texts has a character that cannot be printed.
        """
        from output.system.as_shipped import as_shipped  # noqa: I001, PLC0415
        from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

        for said in (title, author, subject, keywords, group, *layers):
            check_text(said)
        self._file = BytesIO()
        with as_shipped():
            self._canvas: Canvas = Canvas(
                self._file,
                pageCompression=1,
                invariant=1,
                pdfVersion=(1, 7),
                lang=words.LANGUAGE,
                # else every page would name a font that is not embedded; the published types take a name for a number
                initialFontName=embedded(REGULAR),  # type: ignore[arg-type]
            )
        self._canvas.setTitle(title)
        self._canvas.setAuthor(author)
        self._canvas.setSubject(subject)
        if keywords:
            self._canvas.setKeywords(keywords)
        self._canvas.setCreator(CREATOR)
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._canvas.setViewerPreference("DisplayDocTitle", "true")
        self._open = False
        self._forms: dict[str, dict[tuple[str, ...], str]] = {}
        self._layers = _Layers(self._canvas, layers, group) if layers else None
        self._record = Record(kind_of(keywords, subject), heading=group if layers else "", layers=list(layers))
        self._notes = Notes()

    def page(self, width: float, height: float, *, bookmark: str = "") -> None:
        """Begin a page whose media, crop, bleed and trim boxes are all `width` by `height` mm.

        Raises:
            OutputError: a side is longer than a PDF page may be.
        """
        if max(width, height) > PAGE_LIMIT:
            raise OutputError(
                f"page: {max(width, height):.0f} mm is longer than a PDF page may be ({PAGE_LIMIT:.0f} mm); "
                "print on several pages"
            )
        self._close_page()
        size = (width / POINT, height / POINT)
        self._canvas.setPageSize(size)
        box = (0.0, 0.0, *size)
        self._canvas.setCropBox(box)
        self._canvas.setBleedBox(box)
        self._canvas.setTrimBox(box)
        if bookmark:
            check_text(bookmark)
            key = f"page-{self._canvas.getPageNumber()}"
            self._canvas.bookmarkPage(key)
            self._canvas.addOutlineEntry(bookmark, key)
        self._canvas.scale(1 / POINT, 1 / POINT)
        self._record.pages.append(PageRecord(width, height, bookmark))
        self._notes = Notes()
        self._open = True

    def lift(self, up: float) -> None:
        """Draw all that follows on the page `up` mm higher."""
        self._canvas.translate(0, up)
        self._notes.lift += up

    def _close_page(self) -> None:
        if self._open:
            page, notes = self._record.pages[-1], self._notes
            page.lines, page.texts, page.squares, page.layers = notes.lines, notes.texts, notes.squares, notes.layers
            self._canvas.showPage()
            if self._layers:
                self._layers.name_in_page()
            self._open = False

    def define(self, name: str, strokes: Iterable[Stroke], box: tuple[float, float, float, float]) -> None:
        """Store strokes that lie in a box (left, bottom, right, top) once, to be shown on any page by `show`.

        Those of one layer are kept together; layers are drawn in the order in which they first come.
        """
        self._close_page()
        by_layers: dict[tuple[str, ...], list[Stroke]] = {}
        for stroke in strokes:
            by_layers.setdefault(stroke.layers, []).append(stroke)
        self._forms[name] = {}
        for layers, some in by_layers.items():
            self._forms[name][layers] = form = f"{name}{len(self._forms[name]) or ''}"
            self._canvas.beginForm(form, *map(floor, box[:2]), *map(ceil, box[2:]))
            self._notes = notes = Notes()
            self._draw(some)
            self._record.drawings[form] = notes.lines
            self._canvas.endForm()

    def show(
        self, name: str, *, shift: tuple[float, float], clip: tuple[float, float, float, float] | None = None
    ) -> None:
        """Draw stored strokes, moved by `shift` mm; nothing outside `clip` (left, bottom, right, top on the page)."""
        self._canvas.saveState()
        if clip:
            self._clip(*clip)
        self._canvas.translate(*shift)
        for layers, form in self._forms[name].items():
            with self._on(layers):
                self._canvas.doForm(form)
                self._record.pages[-1].shows.append(self._notes.show(form, shift, clip))
        self._canvas.restoreState()

    def _clip(self, left: float, bottom: float, right: float, top: float) -> None:
        window = self._canvas.beginPath()
        window.rect(left, bottom, right - left, top - bottom)
        self._canvas.clipPath(window, stroke=0, fill=0)

    @contextmanager
    def _on(self, layers: tuple[str, ...]) -> Iterator[None]:
        """Draw on layers: shown while one of them is switched on; always without any."""
        if layers and self._layers:
            self._layers.begin(layers)
            self._notes.layers.append(layers)
            yield
            self._layers.end()
        else:
            yield

    def strokes(self, strokes: Iterable[Stroke]) -> None:
        """Draw paths; joins are round, so that no corner of a heavy line reaches beyond its own width."""
        for layers, some in groupby(strokes, lambda stroke: stroke.layers):
            with self._on(layers):
                self._draw(some)

    def _draw(self, strokes: Iterable[Stroke]) -> None:
        strokes = list(strokes)
        self._notes.draw(strokes)
        canvas = self._canvas
        canvas.setLineJoin(1)
        pen: Pen | None = None
        for stroke in strokes:
            if stroke.pen != pen:
                pen = stroke.pen
                canvas.setLineWidth(pen.width)
                canvas.setDash(list(pen.dash), pen.phase)
                self._colour(pen.colour)
            canvas.drawPath(outline_on(canvas, stroke.path), stroke=int(not stroke.filled), fill=int(stroke.filled))

    def _colour(self, colour: tuple[float, float, float]) -> None:
        """Greys as DeviceGray (ISO 32000-1, 8.6.4.2): black is then the black ink alone, never a mix of four."""
        if len(set(colour)) == 1:
            self._canvas.setStrokeGray(colour[0])
            self._canvas.setFillGray(colour[0])
        else:
            self._canvas.setStrokeColorRGB(*colour)
            self._canvas.setFillColorRGB(*colour)

    def texts(
        self,
        texts: Iterable[Text],
        *,
        shift: tuple[float, float] = (0.0, 0.0),
        clip: tuple[float, float, float, float] | None = None,
    ) -> None:
        """Draw lines of text in the document's ink, moved by `shift` mm; nothing outside `clip`.

        Raises:
            OutputError: the fonts lack a character.
        """
        texts = list(texts)
        if not texts:
            return
        canvas = self._canvas
        canvas.saveState()
        if clip:
            self._clip(*clip)
        self._colour(self.ink)
        look: tuple[bool, float] | None = None
        for layers, some in groupby(texts, lambda text: text.layers):
            with self._on(layers):
                for text in some:
                    if look != (text.bold, text.size):
                        look = (text.bold, text.size)
                        canvas.setFont(embedded(BOLD if text.bold else REGULAR), text.size)
                    self._write(text, *shift)
        canvas.restoreState()

    def _write(self, text: Text, right: float, up: float) -> None:
        canvas = self._canvas
        x, y = text.at.x + right, text.at.y + up
        self._notes.write(text, x, y)
        if text.angle:
            canvas.saveState()
            canvas.translate(x, y)
            canvas.rotate(text.angle)
            canvas.drawString(0, 0, drawn(text.text))
            canvas.restoreState()
        else:
            canvas.drawString(x, y, drawn(text.text))

    def data(self) -> bytes:
        """The finished file, with a record of what is in it."""
        from reportlab import rl_config  # noqa: PLC0415

        self._close_page()
        text_streams, rl_config.useA85 = rl_config.useA85, 0  # plain bytes: a fifth smaller, and quicker to write
        try:
            self._canvas.save()
        finally:
            rl_config.useA85 = text_streams
        return sealed(self._file.getvalue(), self._record)


class _Layers:
    """The optional content of a document, which reportlab leaves to its user."""

    def __init__(self, canvas: Any, names: Sequence[str], group: str) -> None:
        from reportlab.pdfbase import pdfdoc  # noqa: PLC0415

        self._pdf: Any = pdfdoc
        self._canvas = canvas
        self._groups = {
            name: self._object({"Type": pdfdoc.PDFName("OCG"), "Name": pdfdoc.PDFString(name)}) for name in names
        }
        self._members: dict[tuple[str, ...], tuple[str, Any]] = {}
        self._used: dict[str, Any] = {}
        groups = list(self._groups.values())
        default = {
            "Name": pdfdoc.PDFString(group),
            "BaseState": pdfdoc.PDFName("ON"),
            "ON": pdfdoc.PDFArray(groups),
            "Order": pdfdoc.PDFArray([pdfdoc.PDFArray([pdfdoc.PDFString(group), *groups])]),
            "ListMode": pdfdoc.PDFName("AllPages"),
            "Intent": pdfdoc.PDFName("View"),
        }
        catalog = self._canvas._doc.Catalog
        catalog.__NoDefault__ = [*catalog.__NoDefault__, "OCProperties"]
        catalog.OCProperties = pdfdoc.PDFDictionary(
            {"OCGs": pdfdoc.PDFArray(groups), "D": pdfdoc.PDFDictionary(default)}
        )
        catalog.setPageMode("UseOC")  # the reader opens with its list of layers

    def _object(self, entries: dict[str, Any]) -> Any:
        return self._canvas._doc.Reference(self._pdf.PDFDictionary(entries))

    def begin(self, names: tuple[str, ...]) -> None:
        """Mark what follows as optional content (ISO 32000-1, 8.11.3.2); of several layers, any that is on shows it."""
        if names not in self._members:
            self._members[names] = (f"L{len(self._members)}", self._membership(names))
        mark, member = self._members[names]
        self._used[mark] = member
        self._canvas._code.append(f"/OC /{mark} BDC")

    def _membership(self, names: tuple[str, ...]) -> Any:
        groups = [self._groups[name] for name in names]
        if len(groups) == 1:
            return groups[0]
        any_on = {"OCGs": self._pdf.PDFArray(groups), "P": self._pdf.PDFName("AnyOn")}
        return self._object({"Type": self._pdf.PDFName("OCMD"), **any_on})

    def end(self) -> None:
        self._canvas._code.append("EMC")

    def name_in_page(self) -> None:
        """Give the page just closed the names of the layers used on it."""
        page = self._canvas._doc.Pages.pages[-1]
        page.Resources = resources = self._pdf.PDFResourceDictionary(Properties=self._used)
        resources.basicFonts()
        if page.XObjects:
            resources.XObject = page.XObjects
        self._used = {}


class _Outline:
    """A sink whose `path` is what reportlab's canvas draws."""

    def __init__(self, canvas: Canvas) -> None:
        self.path = canvas.beginPath()
        self.close = self.path.close

    def move_to(self, start: Point) -> None:
        self.path.moveTo(start.x, start.y)

    def line_to(self, end: Point) -> None:
        self.path.lineTo(end.x, end.y)

    def curve_to(self, control1: Point, control2: Point, end: Point) -> None:
        self.path.curveTo(control1.x, control1.y, control2.x, control2.y, end.x, end.y)


def outline_on(canvas: Canvas, path: Path) -> object:
    """A path as reportlab's canvas draws it, its Béziers kept."""
    outline = _Outline(canvas)
    path.draw(outline)
    return outline.path


def one_page_pdf(sheet: Sheet, *, title: str, author: str = "", subject: str = "") -> bytes:
    """A sheet on a single page of its own size.

    Raises:
        OutputError: a side is too long for a page, or the fonts lack a character.
    """
    document = Document(title=title, author=author, subject=subject)
    document.page(sheet.width, sheet.height)
    document.strokes(sheet.strokes)
    document.texts(sheet.texts)
    return document.data()
