"""The draft command: from the files and options that were named to a written pattern and its summary."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from blocks.cloth import Cloth, Lay
from blocks.design import Design
from blocks.fitting import fitting_from
from blocks.garment import Garment
from blocks.known import block_of
from blocks.measurements import RANGES, Body, body_from, check_label, marked
from blocks.parameters import of_kind
from blocks.quantity import Number, read_number
from blocks.size_range import Fit, draft_to_fit
from drafting.errors import DraftError, MeasurementError, OutputError
from drafting.piece import Piece
from output.commands.options import CLOTH_WIDTH, SELVEDGE, body_of, cloth_of, design_of, media_of
from output.commands.request import Request
from output.formats.pattern_json import pattern_json
from output.inspection.manifest import write_unlisted
from output.inspection.pdf_objects import LARGEST, PdfError, PdfFile
from output.inspection.record import CREATOR, info_of
from output.paper.sizes import A4, Paper, Spent
from output.patterns.file_names import put_on, size_stem
from output.patterns.pattern_pdf import pattern_pdf
from output.system.names import stems, together
from output.system.progress import watched
from output.system.reading import is_file, read_bytes
from output.tables.summary import MadeFile, summary_json, summary_text
from output.words.letters import check_names


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRequest(Request):
    """One size of a design, to be drafted and written into the folder `out`.

    The body is in the `measurements`, or it is `measured`: each measurement by its name (see
    `blocks.measurements.RANGES`) in the `unit`, cm if none is named. `adjust` is what the fitting of a toile found on
    it, each by its name (see `blocks.fitting.Fitting`, with hyphens or without), in the same unit unless an amount
    says its own, as 12mm; it goes over what the file says. Without a `rise` it is the design's first. Its
    pattern goes on `pages` by their names, on `rolls` so many mm wide and on `projections`, light or dark; on A4 if
    none of them is asked for. With a `cloth`, so many cm wide from selvedge to selvedge, a part too wide for it is
    split, unless the `fit` is whole or split; `selvedge` is in cm, too. `before_after` asks for a page that shows what
    the fitting has moved, `guide` for a guide for this one wearer, on each paper of a home printer that is asked for.
    """

    design: str | Path | Design
    out: str | Path
    measurements: str | Path | Body | None = None
    measured: Mapping[str, Number] = field(default_factory=dict)
    unit: str | None = None
    adjust: Mapping[str, Number] = field(default_factory=dict)
    size: str | None = None
    rise: str = ""
    pages: tuple[str, ...] = ()
    rolls: tuple[Number, ...] = ()
    projections: tuple[str, ...] = ()
    cloth: Number | None = None
    selvedge: Number = SELVEDGE
    lay: Lay = Lay.OPEN
    fit: Fit = Fit.AUTO
    svg: bool = False
    dxf: bool = False
    before_after: bool = False
    guide: bool = False

    @property
    def papers(self) -> tuple[Paper, ...]:
        """All that the pattern is asked for on.

        Raises:
            DraftError: no paper or projection has that name, or a roll's width is none.
        """
        return tuple(media_of(self.pages, self.rolls, self.projections))

    @property
    def laid_on(self) -> Cloth:
        """The cloth that it is to be cut from: one of a usual width if none is asked for.

        Raises:
            DesignError: a length is not a number, or outside its range.
        """
        return cloth_of(CLOTH_WIDTH if self.cloth is None else self.cloth, self.selvedge, self.lay)


@dataclass(frozen=True, slots=True)
class DraftFile:
    """One file of a draft: its name, its bytes, its pages and the paper it takes, where it has any."""

    name: str
    data: bytes
    pages: int | None = None
    spent: Spent | None = None

    @property
    def made(self) -> MadeFile:
        """What a report says of it."""
        return MadeFile(self.name, self.pages, self.spent)


@dataclass(frozen=True, slots=True)
class Maker:
    """A file to be made: what it is, and what makes it by its name."""

    about: str
    make: Callable[[str], DraftFile]


@dataclass(frozen=True, slots=True)
class Plan:
    """What was drafted, and the files to be made of it, by name in order: each is made when it is wanted."""

    garment: Garment
    makers: Mapping[str, Maker]

    def made(self, name: str) -> DraftFile:
        """The file of that name."""
        return self.makers[name].make(name)


@dataclass(frozen=True, slots=True)
class Made:
    """What was drafted, and its files."""

    garment: Garment
    files: tuple[DraftFile, ...]


@dataclass(frozen=True, slots=True)
class DraftReport:
    """What was drafted, and the files that were written into the folder."""

    garment: Garment
    folder: str
    files: tuple[MadeFile, ...]

    def text(self) -> str:
        """The summary, for a reader."""
        return summary_text(self.garment, self.files, self.folder)

    def json(self) -> str:
        """The summary as one JSON object, lengths in mm."""
        return summary_json(self.garment, self.files, self.folder)


def draft(request: DraftRequest) -> DraftReport:
    """Draft what is asked for and write it. Nothing is written on an error.

    Raises:
        DraftError: a file, a field of the request, the design or the body is at fault, or the folder cannot be
            written.
    """
    made, folder = make(request), str(request.out)
    for file in made.files:
        if file.name.endswith(".pdf"):
            _check_replaced(Path(folder) / file.name, file.data)
    write_unlisted(folder, {file.name: file.data for file in made.files})
    return DraftReport(made.garment, folder, tuple(file.made for file in made.files))


def make(request: DraftRequest) -> Made:
    """Draft what is asked for and make the files that `draft` writes. Nothing is written.

    Raises:
        DraftError: a file, a field of the request, the design or the body is at fault.
    """
    planned = plan(request)
    return Made(planned.garment, tuple(map(planned.made, watched(tuple(planned.makers), "files", unit="file"))))


def plan(request: DraftRequest) -> Plan:
    """Draft what is asked for, and make no file of it yet: for who wants one of them, or one after the other.

    Raises:
        DraftError: see `make`.
    """
    asked: DraftRequest = of_kind("request", request, DraftRequest, DraftError)
    papers = asked.papers
    design = design_of(asked.design)
    size, body = _measured(asked, design)
    check_names(design, (size,))
    cloth = None if asked.cloth is None else cloth_of(asked.cloth, asked.selvedge, asked.lay)
    if asked.before_after and not body.fitting.found:
        raise MeasurementError(
            "before_after: nothing is adjusted; give what a fitting found by --adjust, or in the table [fit] of the "
            "measurements, or leave --before-after out"
        )
    garment = draft_to_fit(design, body, rise=asked.rise, size=size, cloth=cloth, fit=asked.fit)
    makers = together(_makers(asked, garment, papers))
    if asked.guide:
        about, cloth = [(name, one.about) for name, one in makers.items()], asked.laid_on
        for paper in [paper for paper in papers if paper.home] or [A4]:
            name = f"{size_stem(garment)}-guide-{paper.name}.pdf"
            makers[name] = Maker(
                f"The guide for you, on {paper.name} (PDF)", partial(_guided, garment, paper, papers, cloth, about)
            )
    return Plan(garment, makers)


def _check_replaced(path: Path, data: bytes) -> None:
    """See that a pattern is written over none of another name, as of size 36-38 over that of 36/38.

    Raises:
        OutputError: it would be.
    """
    if not is_file(path):
        return
    try:
        there = info_of(PdfFile(read_bytes(path, "PDF", LARGEST)))
    except PdfError:  # no pattern of ours that anybody could cut by
        return
    old, new = there.get("Title", ""), info_of(PdfFile(data))["Title"]
    if there.get("Creator") == CREATOR and old != new:
        raise OutputError(f"{path}: it is {old!r} and would be written over by {new!r}; choose another folder or label")


def _makers(asked: DraftRequest, garment: Garment, papers: Sequence[Paper]) -> Iterator[tuple[str, Maker]]:
    """The files that are asked for but for the guide, in the order in which they are reported."""
    stem = size_stem(garment)
    for paper in papers:
        yield f"{stem}-{paper.name}.pdf", Maker(f"The pattern {put_on(paper)} (PDF)", partial(_printed, garment, paper))
    if asked.before_after:
        home, about = next((paper for paper in papers if paper.home), A4), "What the fitting has changed"
        yield f"{stem}-before-after-{home.name}.pdf", Maker(f"{about} (PDF)", partial(_compared, garment, home))
        yield f"{stem}-before-after.svg", Maker(f"{about} (SVG)", partial(_compared, garment, None))
    yield "pieces.json", Maker("The pieces for other programs (JSON)", partial(_listed, garment))
    if asked.svg:
        named = stems(piece.name for piece in garment.pieces)
        for piece in garment.pieces:
            name, about = f"{stem}-{named[piece.name]}.svg", f"{piece.title}, for drawing programs and cutters (SVG)"
            yield name, Maker(about, partial(_drawn, garment, piece))
    if asked.dxf:
        yield f"{stem}.dxf", Maker("The pieces for cutting-room systems (DXF)", partial(_exchanged, garment))


def _printed(garment: Garment, paper: Paper, name: str) -> DraftFile:
    """The pattern on that paper."""
    pdf = pattern_pdf(garment, paper)
    return DraftFile(name, pdf.data, pdf.pages, pdf.spent)


def _compared(garment: Garment, paper: Paper | None, name: str) -> DraftFile:
    """The garment before and after what the fitting found: on paper, or without one in real size."""
    from output.patterns.before_after import before_after_pdf, before_after_svg  # noqa: PLC0415 - seldom asked for

    return DraftFile(name, *before_after_pdf(garment, paper)) if paper else DraftFile(name, before_after_svg(garment))


def _guided(
    garment: Garment,
    paper: Paper,
    media: Sequence[Paper],
    cloth: Cloth,
    files: Sequence[tuple[str, str]],
    name: str,
) -> DraftFile:
    """The guide for the wearer on that paper, with the lay of what is to be bought drawn."""
    from output.guide.book import own_guide_pdf  # noqa: PLC0415 - slow to import, and seldom asked for
    from output.guide.own import lay_room  # noqa: PLC0415
    from output.lays.plan import lay_drawing  # noqa: PLC0415
    from output.lays.wanted import laid_quickly  # noqa: PLC0415
    from output.lays.words import how_to_lay  # noqa: PLC0415

    bought = laid_quickly(garment, cloth)
    page, (width, height) = bought.page, lay_room(paper)
    data = own_guide_pdf(
        garment,
        paper=paper,
        cloth=cloth,
        need=bought.need,
        problem=bought.problem,
        lay=(page.title, lay_drawing(page.plan, width=width, height=height)) if page else None,
        how=how_to_lay(garment.pieces, cloth, page.plan.rules) if page else (),
        media=media,
        files=files,
    )
    return DraftFile(name, data, len(PdfFile(data).pages()))


def _listed(garment: Garment, name: str) -> DraftFile:
    """The pieces as plain geometry."""
    return DraftFile(name, pattern_json(garment.pieces, of=(garment,)))


def _drawn(garment: Garment, piece: Piece, name: str) -> DraftFile:
    """A piece as SVG."""
    from output.formats.svg import piece_svg  # noqa: PLC0415 - not needed for paper

    return DraftFile(name, piece_svg(piece, design=garment.design.name))


def _exchanged(garment: Garment, name: str) -> DraftFile:
    """The pieces as one DXF file."""
    from output.formats.dxf import pattern_dxf  # noqa: PLC0415 - not needed for paper

    design = garment.design
    return DraftFile(name, pattern_dxf(garment.pieces, design=design.name, workroom=design.workroom))


def _measured(asked: DraftRequest, design: Design) -> tuple[str, Body]:
    """The size label, empty for the default, and the body, from a file or as it was measured, with what to adjust."""
    adjust = {"_".join(name.replace("-", " ").split()).lower(): amount for name, amount in asked.adjust.items()}
    if asked.measurements is not None:
        if asked.measured or asked.unit:
            named = ", ".join(name for name in RANGES if name in asked.measured) or "--unit"
            raise MeasurementError(
                f"measurements: {named} given beside the file {asked.measurements}; give one or the other"
            )
        size, body = body_of(asked.measurements, design, adjust)
    elif asked.measured:
        taken = {name: read_number(raw) for name, raw in asked.measured.items()}
        unit = asked.unit or "cm"
        size, body = "", body_from(taken, unit=unit, needs=block_of(design).needs)
        body = replace(body, fitting=fitting_from(adjust, unit))
    else:
        raise MeasurementError(
            "measurements: missing; give a file of measurements, or --waist, --hip, --body-rise and --waist-to-hip"
        )
    label = size if asked.size is None else check_label(asked.size)
    return marked(label, body) if label else "", body
