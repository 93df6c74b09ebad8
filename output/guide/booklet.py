"""Printed matter of many pages to read: headings, paragraphs, lists, tables and drawings that flow, with contents.

Lengths of the layout are in mm; reportlab's own unit is the point.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias
from xml.sax.saxutils import escape, unescape

from output.system.as_shipped import as_shipped  # before reportlab is loaded

# isort: split
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    TableStyle,
)
from reportlab.platypus import Table as Grid
from reportlab.platypus.tableofcontents import TableOfContents

from drafting.errors import OutputError
from drafting.units import POINT
from output.drawing.lettering import cut, wrap
from output.drawing.sheet import Sheet, Stroke
from output.formats.pdf import embedded, outline_on
from output.inspection.record import TO_READ, Record
from output.inspection.seal import sealed
from output.paper.sizes import Paper
from output.words import text as words
from output.words.font import BOLD, REGULAR
from output.words.letters import check_text, drawn

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


Matter: TypeAlias = Flowable
"""What is printed: it flows from page to page."""

MARGIN: Final = 20.0
FOOT: Final = 24.0
"""mm; left, right and top, and the bottom, which holds the page number."""

FOLIO: Final = 12.0
"""mm; kept free for the page number beside the footer."""

FOOTER_SIZE: Final = 7.4
PAD: Final = 6.0
"""Points; what a frame keeps free inside itself."""

THINNEST: Final = 0.12
"""mm; a line of a drawing that was scaled down stays at least so wide."""

_MEASURE: Final = re.compile(r"(?<=\d) (?=(?:mm|cm|in|m|yd|%)\b|%|\d+/\d)|(?<=[±≈]) ")

_BREAK: Final = "<br/>"
"""A new line, in the markup that reportlab reads."""

INK: Final = (0.13, 0.15, 0.17)
GREY: Final = (0.42, 0.44, 0.47)
RULE: Final = (0.75, 0.76, 0.77)
TINT: Final = (0.955, 0.95, 0.935)


def _style(
    size: float, *, leading: float = 1.42, bold: bool = False, before: float = 0, after: float = 0, **more: Any
) -> ParagraphStyle:
    return ParagraphStyle(
        f"guide-{size}-{bold}-{before}-{after}-{sorted(more)}",
        **{
            "fontName": embedded(BOLD if bold else REGULAR),
            "fontSize": size,
            "leading": size * leading,
            "textColor": INK,
            "spaceBefore": before,
            "spaceAfter": after,
            "bulletFontName": REGULAR,
            "bulletFontSize": size,
            "splitLongWords": 1,
            **more,
        },
    )


TITLE: Final = _style(27, bold=True, leading=1.15, after=4)
SUBTITLE: Final = _style(12.5, after=3, textColor=GREY)
HEADING: Final = _style(15.5, bold=True, leading=1.2, before=13, after=6, keepWithNext=1)
SUBHEADING: Final = _style(10.2, bold=True, leading=1.3, before=8, after=3, keepWithNext=1)
BODY: Final = _style(8.8, after=4)
LEAD: Final = _style(8.8, after=4, keepWithNext=1)
SMALL: Final = _style(7.4, after=3, textColor=GREY)
ITEM: Final = _style(8.8, after=2.6, leftIndent=14, bulletIndent=0)
CELL: Final = _style(7.6, leading=1.3)
HEAD: Final = _style(7.2, bold=True, leading=1.25)
CENTRED: Final = _style(7.4, alignment=1, textColor=GREY)
CONTENTS: Final = _style(9.2, leading=1.75)


def paragraph(text: str, style: ParagraphStyle = BODY, *, bullet: str = "") -> Paragraph:
    """A text as it stands: nothing in it is markup.

    Raises:
        OutputError: the fonts lack a character.
    """
    check_text(bullet)
    return _set([text], style, bullet)


def _set(lines: Sequence[str], style: ParagraphStyle, bullet: str = "") -> Paragraph:
    """Lines of text, each of which is broken where it is too long.

    Raises:
        OutputError: one of its letters cannot be printed.
    """
    kind = Paragraph if all(drawn(line) == line for line in lines) else _Ordered
    return kind(_BREAK.join(escape(_kept(line)) for line in lines), style, bulletText=bullet or None)


class _Ordered(Paragraph):
    """A paragraph whose letters are not drawn as they are read: broken into lines first, then put in order."""

    def __init__(self, text: str, *more: Any, **named: Any) -> None:
        super().__init__(text, *more, **named)
        self._said: str | None = text  # None of the parts when reportlab divides a paragraph

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """The room that it takes, in points, as reportlab asks for it."""
        style, bullet = self.style, self.bulletText
        if self._said is not None:
            limit, bold = (width - style.leftIndent - style.rightIndent) * POINT - 0.01, style.fontName == BOLD
            said = [unescape(line) for line in self._said.split(_BREAK)]
            lines = [part for line in said for part in wrap(line, limit, style.fontSize * POINT, bold=bold)]
            super().__init__(_BREAK.join(escape(drawn(line)) for line in lines), style, bulletText=bullet)
        size: tuple[float, float] = super().wrap(width, height)
        return size


def numbered(items: Sequence[str]) -> list[Flowable]:
    """Items with their numbers."""
    return [paragraph(item, ITEM, bullet=f"{number}") for number, item in enumerate(items, 1)]


def bulleted(items: Sequence[str]) -> list[Flowable]:
    """Items in no order."""
    return [paragraph(item, ITEM, bullet="•") for item in items]


def heading(text: str, *, room: float = 62.0) -> list[Flowable]:
    """The head of a section, which is in the contents; on another page unless `room` mm are left on this one."""
    return [CondPageBreak(room / POINT), paragraph(text, HEADING)]


def subheading(text: str) -> Flowable:
    """A smaller head; what follows stays with it."""
    return paragraph(text, SUBHEADING)


def lead(text: str) -> Flowable:
    """A paragraph about the table or the figure below it, which stays with it, as its headings do."""
    return paragraph(text, LEAD)


def room(height: float) -> Flowable:
    """Go on with another page unless `height` mm are left on this one."""
    return CondPageBreak(height / POINT)


def space(height: float) -> Flowable:
    """Nothing, `height` mm of it."""
    return Spacer(0, height / POINT)


def new_page() -> Flowable:
    return PageBreak()


def together(*flowables: Flowable) -> Flowable:
    """What stays on one page."""
    return KeepTogether(list(flowables))


class Figure(Flowable):
    """A sheet drawn in the text: at its own size, or smaller when it is too wide or higher than `limit` mm."""

    def __init__(self, sheet: Sheet, *, align: Literal["LEFT", "CENTER"] = "LEFT", limit: float = math.inf) -> None:
        super().__init__()
        self._limit = limit
        self.hAlign = align
        self._sheet = sheet
        self._scale = 1.0

    def wrap(self, width: float, _: float) -> tuple[float, float]:
        """The room that it takes, in points; what is left of the page's height does not make it smaller."""
        sheet = self._sheet
        self._scale = min(1.0, (width + 1e-6) * POINT / sheet.width, self._limit / sheet.height)
        return sheet.width * self._scale / POINT, sheet.height * self._scale / POINT

    def draw(self) -> None:
        """Draw on the canvas of the page."""
        canvas: Canvas = self.canv
        canvas.saveState()
        canvas.scale(self._scale / POINT, self._scale / POINT)
        canvas.setLineJoin(1)
        for stroke in self._sheet.strokes:
            _draw(canvas, stroke, self._scale)
        canvas.setFillColorRGB(*INK)
        for text in self._sheet.texts:
            canvas.saveState()
            canvas.translate(text.at.x, text.at.y)
            canvas.rotate(text.angle)
            canvas.setFont(BOLD if text.bold else REGULAR, text.size)
            canvas.drawString(0, 0, drawn(text.text))
            canvas.restoreState()
        canvas.restoreState()


def _draw(canvas: Canvas, stroke: Stroke, scale: float) -> None:
    pen = stroke.pen
    canvas.setLineWidth(max(pen.width, THINNEST / scale))
    canvas.setDash(list(pen.dash))
    canvas.setStrokeColorRGB(*pen.colour)
    canvas.setFillColorRGB(*pen.colour)
    canvas.drawPath(outline_on(canvas, stroke.path), stroke=int(not stroke.filled), fill=int(stroke.filled))


def grid(
    rows: Sequence[Sequence[str | Flowable]], widths: Sequence[float], *, header: Sequence[str] = (), tint: bool = True
) -> Flowable:
    """A table with a rule under each row, its header repeated on every page it runs over. `widths` are in mm."""
    cells: list[list[Any]] = [[paragraph(text, HEAD) for text in header]] if header else []
    cells += [[_cell(one) for one in row] for row in rows]
    first = 1 if header else 0
    style: list[tuple[Any, ...]] = [
        ("FONT", (0, 0), (-1, -1), REGULAR, CELL.fontSize, CELL.leading),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2.5),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2.5),
        ("TOPPADDING", (0, 0), (-1, -1), 2.4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.6),
        ("LINEBELOW", (0, 0), (-1, -1), 0.35, RULE),
    ]
    if header:
        style += [("LINEBELOW", (0, 0), (-1, 0), 0.9, INK), ("VALIGN", (0, 0), (-1, 0), "BOTTOM")]
    if tint:
        style += [("BACKGROUND", (0, row), (-1, row), TINT) for row in range(first + 1, len(cells), 2)]
    return Grid(
        cells,
        colWidths=[width / POINT for width in widths],
        repeatRows=first,
        style=TableStyle(style),
        hAlign="LEFT",
        spaceBefore=2,
        spaceAfter=6,
    )


def beside(
    left: Sequence[Flowable], left_width: float, right: Sequence[Flowable], right_width: float, *, gap: float
) -> Flowable:
    """Two columns, `gap` mm apart, their tops level; they stay on one page. Widths are in mm."""
    style = TableStyle(
        [
            ("FONT", (0, 0), (-1, -1), REGULAR, BODY.fontSize),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            *((f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")),
            ("RIGHTPADDING", (0, 0), (0, 0), gap / POINT),
        ]
    )
    widths = [(left_width + gap) / POINT, right_width / POINT]
    return Grid([[list(left), list(right)]], colWidths=widths, style=style, hAlign="LEFT")


def _cell(content: str | Flowable) -> Flowable:
    return paragraph_lines(content) if isinstance(content, str) else content


def paragraph_lines(text: str) -> Paragraph:
    """A cell's text; its line breaks are kept."""
    return _set(text.split("\n"), CELL)


def _kept(text: str) -> str:
    """The text with no line break inside a measure: `20 mm`, `1 3/8 in`."""
    return _MEASURE.sub("\u00a0", text)


def contents() -> Flowable:
    """The list of headings with their pages."""
    made = TableOfContents(dotsMinLevel=0, levelStyles=[CONTENTS])
    made.tableStyle = TableStyle(
        [
            ("FONT", (0, 0), (-1, -1), REGULAR, CONTENTS.fontSize),
            *((f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")),
        ]
    )
    return made


class Booklet(BaseDocTemplate):
    """A document on one paper: the first page without a footer, the others with its title and their number."""

    def __init__(self, file: BytesIO, paper: Paper, *, title: str, author: str, subject: str, footer: str) -> None:
        """Set up the pages.

        Raises:
            OutputError: title, author, subject or footer has a character that cannot be printed.
        """
        for said in (title, author, subject, footer):
            check_text(said)
        size = (paper.width / POINT, paper.height / POINT)
        super().__init__(
            file,
            pagesize=size,
            title=title,
            author=author,
            subject=subject,
            creator="shirrline",
            lang=words.LANGUAGE,
            invariant=1,
            pageCompression=1,
            displayDocTitle=True,
            initialFontName=embedded(REGULAR),
            cropBox=(0, 0, *size),
            trimBox=(0, 0, *size),
        )
        self._footer = cut(footer, paper.width - 2 * MARGIN - FOLIO, FOOTER_SIZE * POINT)
        width, height = size
        frame = Frame(
            MARGIN / POINT - PAD,
            FOOT / POINT - PAD,
            width - 2 * MARGIN / POINT + 2 * PAD,
            height - (MARGIN + FOOT) / POINT + 2 * PAD,
            id="text",
        )
        self.addPageTemplates([PageTemplate(id="page", frames=[frame], onPage=self._page)])

    def _page(self, canvas: Canvas, _: object) -> None:
        page = canvas.getPageNumber()
        if page == 1:
            return
        left, right, y = MARGIN / POINT, self.pagesize[0] - MARGIN / POINT, 13 / POINT
        canvas.saveState()
        canvas.setStrokeColorRGB(*RULE)
        canvas.setLineWidth(0.4)
        canvas.line(left, y + 10, right, y + 10)
        canvas.setFillColorRGB(*GREY)
        canvas.setFont(REGULAR, FOOTER_SIZE)
        canvas.drawString(left, y, drawn(self._footer))
        canvas.drawRightString(right, y, str(page))
        canvas.restoreState()

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802 - reportlab calls it so
        """Note the page of a heading, for the contents and the reader's outline."""
        if isinstance(flowable, Paragraph) and flowable.style is HEADING:
            text = flowable.getPlainText()
            key = f"section-{self.canv.getPageNumber()}-{text}"
            self.canv.bookmarkPage(key)
            self.canv.addOutlineEntry(text, key)
            self.notify("TOCEntry", (0, text, self.page, key))


def printed(story: Sequence[Flowable], paper: Paper, *, title: str, author: str, subject: str, footer: str) -> bytes:
    """The finished file; the same story gives the same bytes.

    Raises:
        OutputError: something is taller than a page, or the fonts lack a character.
    """
    from reportlab import rl_config  # noqa: PLC0415 - beside its one use
    from reportlab.platypus.doctemplate import LayoutError  # noqa: PLC0415

    file = BytesIO()
    booklet = Booklet(file, paper, title=title, author=author, subject=subject, footer=footer)
    text_streams, rl_config.useA85 = rl_config.useA85, 0  # plain bytes, as in every file of ours
    try:
        with as_shipped():
            booklet.multiBuild(list(story))
    except LayoutError as error:
        said = " ".join(str(error).split())[:160]
        raise OutputError(f"page: something is taller than a page of {paper.name}: {said}; shorten it") from None
    finally:
        rl_config.useA85 = text_streams
    return sealed(file.getvalue(), Record(TO_READ))
