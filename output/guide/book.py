"""The printed guide of a design: what a stranger needs to print, choose, buy, cut and sew it, in every size and rise.

Numbers come from the drafted sizes alone, as in the tables; words from `output.guide.words`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil
from typing import Final

from output.system import as_shipped  # noqa: F401 - before reportlab is loaded

# isort: split
from reportlab.platypus import Flowable

from blocks.blend import blend, of_waist_size
from blocks.cloth import Cloth, width_across
from blocks.design import Design
from blocks.elastic import Use
from blocks.garment import Garment
from blocks.haberdashery import Haberdashery, Purchase, column_of, columns_of, haberdashery, strips_by_column
from blocks.known import block_of
from blocks.lay import LayRules
from blocks.measurements import RANGES
from blocks.requirement import Buying, Requirement
from blocks.short import Short
from blocks.short.design import ShortDesign, TrimKind
from blocks.size_range import casings_left_out
from blocks.size_table import SizeTable
from drafting.errors import OutputError
from drafting.picture import Label, Picture, Trace, line, outlined, rectangle, row
from drafting.piece import Piece
from drafting.point import Point, Vector
from drafting.role import Role
from drafting.units import eighths, show_both, show_measure, show_small
from output.drawing.picture import LABEL_SIZE, captioned, moved, strokes_of
from output.drawing.sheet import Sheet, Stroke, Text
from output.guide import booklet as pages
from output.guide.diagrams import WIDTH, Model, piece_picture, step_diagram
from output.guide.figure import ORDER, measuring_picture
from output.guide.garment_drawing import garment_picture, outer_width
from output.guide.steps import steps
from output.guide.words import group, listed, runs, say, sizes_of, together
from output.paper.sizes import Paper
from output.tables.amounts import bought, bought_words, cut_cells, cut_words

OFF_SCALE: Final = 0.03
"""What a print dialog that fits a page to its margins takes off: an example, no source."""

HALF: Final = 0.5
COLUMNS: Final = 9
"""Numbers beside a size that a table has room for."""

FROM_WAIST: Final = "blend.waist.word"
FROM_HIPS: Final = "blend.hips.word"

LABEL: Final = 16.0
ROW: Final = 8.4
FIGURE_HEIGHT: Final = 92.0
STEP_GAP: Final = 5.0
LAY_HEAD: Final = 48.0
"""mm; room above a lay plan for its caption and, on the first page, the heading of the section."""


@dataclass(frozen=True, slots=True)
class ClothNeed:
    """What to buy of one cloth for one size in one rise."""

    size: str
    rise: str
    cloth: Cloth
    need: Requirement


@dataclass(frozen=True)
class _Guide:
    """All that the sections draw on."""

    shorts: tuple[Short, ...]
    design: ShortDesign
    table: SizeTable
    cloths: tuple[Cloth, ...]
    needs: tuple[ClothNeed, ...]
    buying: Buying
    rules: LayRules
    lays: tuple[tuple[str, Sheet], ...]
    files: tuple[tuple[str, str], ...]
    paper: Paper

    @property
    def width(self) -> float:
        """Of the text, in mm."""
        return self.paper.width - 2 * pages.MARGIN

    @cached_property
    def labels(self) -> list[str]:
        """The sizes that were drafted in any rise, smallest first."""
        drafted = {short.size for short in self.shorts}
        return [size.label for size in self.table.sizes if size.label in drafted]

    @cached_property
    def rises(self) -> list[str]:
        return list(dict.fromkeys(short.rise for short in self.shorts))

    def of(self, rise: str) -> list[Short]:
        """The sizes in that rise, smallest first."""
        return sorted((short for short in self.shorts if short.rise == rise), key=lambda s: self.labels.index(s.size))

    @cached_property
    def between(self) -> list[Short]:
        """Sizes of one rise that a wearer may stand between; none where no rise has two."""
        return next((sizes for sizes in map(self.of, self.rises) if sizes[1:]), [])

    @cached_property
    def split(self) -> list[str]:
        """The sizes whose leg is split in any rise."""
        return [label for label in self.labels if any(s.split for s in self.shorts if s.size == label)]

    @cached_property
    def model(self) -> Model:
        """The size that is drawn: of those with every casing the middle one left whole, or of all if all are split."""
        most = max(len(short.elastics) for short in self.shorts)
        full = [[short for short in self.of(rise) if len(short.elastics) == most] for rise in self.rises]
        first = next(shorts for shorts in full if shorts)
        whole = [short for short in first if not short.split] or first
        return Model(whole[len(whole) // 2])

    @cached_property
    def split_model(self) -> Model:
        """The smallest size that is split, for what concerns split legs alone."""
        return Model(next(short for rise in self.rises for short in self.of(rise) if short.split))

    @property
    def table_room(self) -> float:
        """Height in mm of a table with a row for each size, its heading included; no more than most of a page."""
        return min(self.paper.height - 80, 42 + ROW * len(self.labels))


def guide_pdf(
    garments: Sequence[Garment],
    *,
    design: Design,
    table: SizeTable,
    paper: Paper,
    cloths: Sequence[Cloth] = (),
    needs: Sequence[ClothNeed] = (),
    buying: Buying | None = None,
    rules: LayRules | None = None,
    lays: Sequence[tuple[str, Sheet]] = (),
    files: Sequence[tuple[str, str]] = (),
) -> bytes:
    """The guide to a whole range, all its rises in one file.

    `garments` are drafted from `design` in sizes of `table`. `cloths` are those for which it tells which fit whole;
    `needs`, which `buying` and lays by `rules` led to, and `lays` (a caption and a drawing each) are printed when
    given, as are `files`: each file's name and what it is for. The same values give the same bytes.

    Raises:
        OutputError: no size, sizes of another design or not in the table, or the fonts lack a character.
    """
    known = {size.label for size in table.sizes}
    if not garments:
        raise OutputError("guide: there is no size to write about; draft one or more")
    for short in garments:
        if short.design != design or short.size not in known:
            raise OutputError(
                f"guide: {short.design.name}, size {short.size!r}, is not of this design and size table; "
                "give sizes that were drafted from both"
            )
    shorts = tuple(one for one in garments if isinstance(one, Short))
    if not isinstance(design, ShortDesign) or len(shorts) < len(garments):
        raise OutputError(f"guide: there is none yet to a {design.block}; leave it out")
    made = _Guide(
        shorts,
        design,
        table,
        tuple(cloths),
        tuple(needs),
        buying or Buying(),
        rules or LayRules(),
        tuple(lays),
        tuple(files),
        paper,
    )
    story: list[Flowable] = []
    for section in SECTIONS:
        story += section(made)
    title = f"{design.name} · {say('guide')}"
    footer = f"{title} · {design.workroom}" if design.workroom else title
    subject = say("guide.subject", design=design.name)
    return pages.printed(story, paper, title=title, author=design.workroom, subject=subject, footer=footer)


def lay_room(paper: Paper) -> tuple[float, float]:
    """Width and height, in mm, that a drawing of a lay may take on a page of the guide."""
    return paper.width - 2 * pages.MARGIN, paper.height - pages.MARGIN - pages.FOOT - LAY_HEAD


# Choosing ---------------------------------------------------------------------------------------------------------


def _cover(made: _Guide) -> Iterator[Flowable]:
    design, labels = made.design, made.labels
    yield pages.space(6)
    yield pages.paragraph(design.name, pages.TITLE)
    sizes = say("cover.sizes", first=labels[0], last=labels[-1]) if labels[1:] else say("cover.one", first=labels[0])
    rises = " · ".join(say(f"rise.{rise}") for rise in made.rises)
    for text in (say("guide"), f"{sizes} · {rises}", design.workroom):
        if text:
            yield pages.paragraph(text, pages.SUBTITLE)
    yield pages.space(4)
    lead = "cover.lead" if made.model.casings else "cover.lead.plain"
    every = len(made.split) == len(labels)
    some = say("cover.some", sizes=sizes_of(labels, made.split)) if made.split and not every else ""
    yield pages.paragraph(f"{say(f'{lead}.split' if every else lead)} {some}".rstrip())
    yield pages.space(12)
    wanted = made.model.short.size
    same = [next((s for s in made.of(rise) if s.size == wanted), made.of(rise)[0]) for rise in made.rises]
    scale = (made.width - 10) / 2 / max(outer_width(short) for short in same)
    scale *= 0.97
    for short in same:
        yield pages.Figure(_garments(short, scale, made.width), align="CENTER")
        yield pages.space(10)
    yield pages.paragraph(say("cover.drawn", size=same[0].size), pages.CENTRED)
    yield pages.new_page()
    yield pages.paragraph(say("contents"), pages.SUBHEADING)
    yield pages.contents()


def _garments(short: Short, scale: float, width: float) -> Sheet:
    """Front and back side by side, each named below."""
    pictures = []
    for back in (False, True):
        picture = garment_picture(short, scale=scale, back=back)
        left, bottom, right, _ = picture.bounds
        name = " · ".join((say(f"rise.{short.rise}"), say("cover.back" if back else "cover.front")))
        named = Label(Point((left + right) / 2, bottom - 6), name)
        room = line(Role.BLANK, Point(left, bottom - 7), Point(right, bottom - 7))
        pictures.append(Picture((*picture.traces, room), labels=(named,)))
    tall = max(picture.bounds[3] for picture in pictures)
    room = line(Role.BLANK, Point(0, tall), Point(0.1, tall))
    level = [replace(picture, traces=(*picture.traces, room)) for picture in pictures]
    return captioned(row(level, gap=10), width)


def _printing(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(say("print"))
    yield from pages.numbered(listed("print"))
    short = made.model.short
    off = show_both(short.body.hip_girth * OFF_SCALE)
    yield pages.paragraph(say("print.why", size=short.size, off=off), pages.SMALL)


def _files(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(say("files"))
    pick = [say("files.pick.size")] if made.labels[1:] else []
    pick += [say("files.pick.both" if pick else "files.pick.rise")] if made.rises[1:] else []
    chosen = f"{' '.join(pick)}. " if pick else ""
    yield pages.paragraph(f"{chosen}{say('files.lead')}")
    yield pages.subheading(say("files.release"))
    rows = []
    for rise in made.rises:
        for split in (False, True):
            sizes = [short.size for short in made.of(rise) if short.split is split]
            if sizes:
                pieces = say("files.halves" if split else "files.whole")
                rows.append((say(f"rise.{rise}"), runs(made.labels, sizes), pieces))
    header = (say("files.pattern"), say("files.sizes"), say("files.pieces"))
    yield pages.grid(rows, (34, made.width - 90, 56), header=header)
    if made.files:
        yield pages.grid(made.files, (made.width * 0.5,) * 2, header=(say("files.file"), say("files.for")))
    if made.cloths:
        yield pages.subheading(say("files.cloth"))
        yield pages.paragraph(say("files.cloth.lead"))
        keys = ("width", "usable", "whole", "split", "none")
        wide = (made.width - 72) / 3
        yield pages.grid(
            [_fits(made, cloth) for cloth in made.cloths],
            (42, 30, wide, wide, wide),
            header=[say(f"files.cloth.{key}") for key in keys],
        )


def _fits(made: _Guide, cloth: Cloth) -> tuple[str, ...]:
    """One row: which sizes fit a cloth in one piece, which split, which not at all. Both rises are as wide."""
    found: dict[str, list[str]] = {"whole": [], "split": [], "none": []}
    for label in made.labels:
        short = next(short for short in made.shorts if short.size == label)
        whole, half = leg_widths(short)
        fit = "whole" if whole <= cloth.usable + 1e-6 else "split" if half <= cloth.usable + 1e-6 else "none"
        found[fit].append(label)
    told = [runs(made.labels, sizes) if sizes else say("none") for sizes in found.values()]
    return (f"{show_both(cloth.width)}\n{say(cloth.lay.value)}", show_both(cloth.usable).replace(" (", "\n("), *told)


def leg_widths(short: Short) -> tuple[float, float]:
    """Width of the leg's cut line across the grain, whole, and that of its wider half when it is split, in mm."""
    allowance = short.design.allowances.seam
    legs = [piece for piece in short.pieces if piece.name.split(" ")[0] == "leg"]
    if short.split:
        widths = [width_across(piece) for piece in legs]
        return sum(widths) - 2 * allowance, max(widths)
    left, _, right, _ = legs[0].cut_line.bounds
    return right - left, max(right, -left) + allowance


def _bodies(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(say("body"), room=made.table_room)
    lead = [say("body.lead"), say("body.choose" if made.labels[1:] else "body.one")]
    yield pages.paragraph(" ".join((*lead, *([say("body.blend")] if made.between else []))))
    sizes = [size for size in made.table.sizes if size.label in made.labels]
    rows = [(size.label, [_stacked(getattr(size.body, name)) for name in RANGES]) for size in sizes]
    yield from _size_tables(made, [say(f"measure.{name}") for name in RANGES], rows)
    estimated = [say(f"measure.{name}").lower() for name in RANGES if name in sizes[0].body.estimated]
    told = say("unit")
    if estimated:
        told = f"{told} {say('body.estimated', names=together(estimated))}"
    yield pages.paragraph(told, pages.SMALL)


def _stacked(length: float) -> str:
    """A length in cm above the same in inches and eighths."""
    return f"{length / 10:.1f}\n{eighths(length)}"


def _rise(made: _Guide, rise: str) -> Iterator[Flowable]:
    """The head of a rise's table: the first below its section's, the others on a page that holds the table."""
    if rise is not made.rises[0]:
        yield pages.room(made.table_room - 14)
    yield pages.subheading(say(f"rise.{rise}"))


def _size_tables(
    made: _Guide, names: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]], head: str = ""
) -> Iterator[Flowable]:
    """A row for each size, over several tables where there are more columns than fit; `head` stands above the sizes."""
    count = ceil(len(names) / COLUMNS)
    each = ceil(len(names) / count)
    for start in range(0, len(names), each):
        part = names[start : start + each]
        wide = min(26.0, (made.width - LABEL) / len(part))
        cells = [(label, *values[start : start + each]) for label, values in rows]
        yield pages.grid(cells, (LABEL, *(wide for _ in part)), header=(head or say("size"), *part))


def _measuring(made: _Guide) -> Iterator[Flowable]:
    body = made.model.short.body
    figure = pages.Figure(captioned(measuring_picture(body, tall=FIGURE_HEIGHT), made.width), align="CENTER")
    share = made.design.leg.high_hip_share
    down = say("measure.half") if share == HALF else say("measure.share", percent=f"{100 * share:.3g}")
    rows = [
        (f"{number}", say(f"measure.{name}"), say(f"measure.{name}.how", down=down))
        for number, name in enumerate(ORDER, 1)
    ]
    yield pages.new_page()
    yield from pages.heading(say("measure"))
    yield pages.paragraph(say("measure.lead"))
    yield figure
    yield pages.space(3)
    yield pages.grid(rows, (8, 34, made.width - 42))


def _finished(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(say("finished"), room=made.table_room)
    below = any(casing.height <= 0 for casing in made.model.casings)
    lead = "finished.lead" if below else "finished.lead.above" if made.model.casings else "finished.lead.plain"
    yield pages.paragraph(say(lead))
    names = list(made.model.short.measures)
    for rise in made.rises:
        yield from _rise(made, rise)
        rows = [(s.size, [_stacked(s.measures[name]) for name in names]) for s in made.of(rise)]
        yield from _size_tables(made, [say(f"finished.{name}") for name in names], rows)
    yield pages.paragraph(say("unit"), pages.SMALL)


def _blended(made: _Guide) -> Iterator[Flowable]:
    if not made.between:
        return
    casings = any(len(short.elastics) > 1 for short in made.shorts)
    yield from pages.heading(say("blend"))
    yield pages.paragraph(say("blend.lead"))
    rules = {rise: [_sources(short) for short in made.of(rise)] for rise in made.rises}
    up = any(FROM_WAIST in row.values() for rows in rules.values() for row in rows)
    told = "blend.table" if up else "blend.hips" if casings else "blend.plain"
    yield from pages.numbered((*listed("blend"), *listed(told), *listed("blend.last")))
    for rise, rows in rules.items() if up else ():
        names = list(dict.fromkeys(name for row in sorted(rows, key=len, reverse=True) for name in row))
        yield from _rise(made, rise)
        cells = [
            (short.size, [say(row.get(name, "blend.lacks")) for name in names])
            for short, row in zip(made.of(rise), rows, strict=True)
        ]
        yield from _size_tables(made, names, cells, say("blend.size"))
        yield from _lacking(made, rise, names)
    yield from _example(made, made.between)


def _sources(hips: Short) -> dict[str, str]:
    """By the names of a pattern's casings, from which size a wearer between sizes takes each elastic."""
    level = block_of(hips.design).waist_from(hips)
    casings = (elastic for elastic in hips.elastics if elastic.use is Use.CASING)
    return {casing.label: FROM_WAIST if of_waist_size(casing, level) else FROM_HIPS for casing in casings}


def _lacking(made: _Guide, rise: str, names: Sequence[str]) -> Iterator[Flowable]:
    """Lengths for waists of sizes whose own pattern lacks a casing that other sizes take from the waist size."""
    shorts = made.of(rise)
    fullest = max(shorts, key=lambda short: len(short.elastics))
    own = {short.size: {elastic.label for elastic in short.elastics} for short in shorts}
    asked = {name for short in shorts for name, source in _sources(short).items() if source == FROM_WAIST}
    columns = [name for name in names if name in asked and any(name not in has for has in own.values())]
    rows = []
    for short in shorts:
        strips = {strip.name: strip for strip in blend(short, fullest).haberdashery().elastics}
        if not own[short.size].issuperset(columns):
            rows.append((short.size, [_stack(cut_cells(strips[name])) for name in columns]))
    if rows:
        yield pages.paragraph(say("blend.lacking"))
        yield from _size_tables(made, columns, rows, say("blend.waist"))


def _example(made: _Guide, sizes: Sequence[Short]) -> Iterator[Flowable]:
    """Two sizes blended."""
    middle = len(sizes) // 2
    waist, hips = sizes[max(0, middle - 2)], sizes[middle]
    mixed = blend(waist, hips)
    takes = mixed.haberdashery()
    rows = [
        (
            strip.name,
            say("blend.above" if elastic.height > 0 else "blend.below", length=show_both(abs(elastic.height))),
            source,
            show_small(strip.width),
            cut_words(strip),
            f"{strip.quantity}",
        )
        for elastic, strip, source in zip(mixed.elastics, takes.elastics, mixed.taken_from, strict=True)
    ]
    header = ("elastic", "height", "from", "width", "length", "quantity")
    head = [say(f"blend.column.{name}") for name in header]
    wide = (made.width - 22 - 18 - 20) / 3
    body = say(
        "blend.body",
        waist=show_measure(waist.body.waist_girth),
        hips=show_measure(hips.body.hip_girth),
        size=hips.size,
    )
    shop = together([say("blend.buy", amount=bought_words(one), width=show_small(one.width)) for one in takes.to_buy])
    yield pages.together(
        pages.subheading(say("blend.example", waist=waist.size, hips=hips.size, rise=hips.rise)),
        pages.paragraph(body),
        pages.grid(rows, (22, wide, 18, wide, wide, 20), header=head),
        pages.paragraph(say("blend.bought", amounts=shop)),
        *(pages.paragraph(say("blend.warned", warning=warning), pages.SMALL) for warning in mixed.warnings),
    )


def _stack(cells: tuple[str, str]) -> str:
    """Metric above imperial."""
    return "\n".join(cells)


# Buying -----------------------------------------------------------------------------------------------------------


def _cloth(made: _Guide) -> Iterator[Flowable]:
    if made.needs:
        yield from pages.heading(say("cloth"), room=made.table_room)
        shrinkage, ends = f"{100 * made.buying.shrinkage:g}", show_both(made.buying.ends)
        way = say("cloth.one_way" if made.rules.one_way else "cloth.two_way")
        yield pages.paragraph(f"{say('cloth.lead', shrinkage=shrinkage, ends=ends)} {way}")
        for rise in made.rises:
            needs = {(need.size, need.cloth): need.need for need in made.needs if need.rise == rise}
            cloths = list(dict.fromkeys(need.cloth for need in made.needs if need.rise == rise))
            if not cloths:
                continue
            names = [say("cloth.on", width=show_both(cloth.width), lay=say(cloth.lay.value)) for cloth in cloths]
            rows = [
                (label, [_bought(needs.get((label, cloth))) for cloth in cloths])
                for label in made.labels
                if any((label, cloth) in needs for cloth in cloths)
            ]
            yield from _rise(made, rise)
            yield from _size_tables(made, names, rows)
    if made.lays:
        yield from pages.heading(say("lays"))
        yield pages.paragraph(say("lays.lead"))
        for caption, sheet in made.lays:
            figure = pages.Figure(sheet, limit=lay_room(made.paper)[1])
            yield pages.together(pages.subheading(caption), figure, pages.space(3))


def _bought(need: Requirement | Purchase | None) -> str:
    if need is None:
        return say("blend.lacks")
    metric, imperial = bought(need)
    return f"{metric} m\n{imperial} yd"


def _elastics(made: _Guide) -> Iterator[Flowable]:
    design = made.design
    lap = show_small(design.waist.overlap)
    yield from pages.heading(say("elastics"), room=made.table_room)
    if made.model.casings:
        yield pages.paragraph(say("elastics.lead", seam=show_small(design.allowances.seam), lap=lap))
    else:
        yield pages.paragraph(say("elastics.lead.plain", lap=lap))
    for rise in made.rises:
        takes = {short.size: haberdashery(short) for short in made.of(rise)}
        names, rows = _elastic_rows(takes)
        yield from _rise(made, rise)
        yield from _size_tables(made, names, rows)
    yield pages.paragraph(say("unit"), pages.SMALL)
    for sentence in casings_left_out(made.shorts):
        yield pages.paragraph(say("elastics.mind", sentence=sentence))


def _elastic_rows(takes: Mapping[str, Haberdashery]) -> tuple[list[str], list[tuple[str, list[str]]]]:
    """Columns and rows: the cut length of every strip, then what to buy of each width."""
    strips = columns_of(list(takes.values()))
    names = [
        say("elastics.column", name=strip.name, width=show_small(strip.width), quantity=strip.quantity)
        for strip in strips
    ]
    # An elastic and a trim of one width are two things to buy.
    shop = {
        size: {("elastic", one.width): one for one in each.to_buy}
        | {("trim", one.width): one for one in each.trims_to_buy}
        for size, each in takes.items()
    }
    wanted = list(dict.fromkeys(key for each in shop.values() for key in each))
    names += [say(f"elastics.buy.{kind}", width=show_small(width)) for kind, width in wanted]
    rows = []
    for size, each in takes.items():
        own = strips_by_column(each)
        cells = [
            _stack(cut_cells(own[key])) if (key := column_of(strip)) in own else say("blend.lacks") for strip in strips
        ]
        cells += [_bought(shop[size].get(key)) for key in wanted]
        rows.append((size, cells))
    return names, rows


def _pieces(made: _Guide) -> Iterator[Flowable]:
    allow = made.design.allowances
    short = made.model.short
    yield from pages.heading(say("pieces"))
    trim, split = made.design.trim, bool(made.split)
    told = say(
        "pieces.lead.split" if split else "pieces.lead",
        size=short.size,
        rise=short.rise,
        seam=show_small(allow.seam),
        waist=show_small(allow.waist),
        hem=show_small(allow.hem),
        under=show_small(made.design.facing.turn_under),
    )
    if trim.kind is TrimKind.BAND:
        low = say("pieces.band.hem", hem=show_small(trim.hem)) if trim.hem else say("pieces.band.cut")
        told = f"{told} {say('pieces.band', top=show_small(trim.top), low=low)}"
    yield pages.paragraph(told)
    scale = 62 / width_across(made.model.leg)
    if len(made.split) < len(made.labels):
        yield _inventory(made, made.model.whole, scale)
    if made.split:
        if len(made.split) < len(made.labels):
            yield pages.subheading(say("pieces.split", sizes=sizes_of(made.labels, made.split)))
        yield _inventory(made, made.split_model.halves, scale)


def _inventory(made: _Guide, short: Short, scale: float) -> Flowable:
    rows = [
        (
            pages.Figure(captioned(piece_picture(piece, scale), 66)),
            piece.title,
            _count(piece),
            _extent(piece),
            "; ".join(piece.notes),
        )
        for piece in short.pieces
    ]
    header = ("", say("pieces.piece"), say("pieces.cut"), say("pieces.measures", size=short.size), "")
    rest = made.width - 70 - 22 - 22 - 31
    return pages.grid(rows, (70, 22, 22, 31, rest), header=header, tint=False)


def _count(piece: Piece) -> str:
    if not piece.mirrored:
        return say("pieces.once", count=piece.cut_count)
    half = piece.cut_count // 2
    return say("pieces.pairs", count=piece.cut_count, drawn=piece.cut_count - half, mirrored=half)


def _extent(piece: Piece) -> str:
    left, bottom, right, top = piece.cut_line.bounds
    return f"{show_both(right - left)} ×\n{show_both(top - bottom)}"


def _needed(made: _Guide) -> Iterator[Flowable]:
    trim = made.design.trim
    which = "need.casings" if made.model.casings else "need.plain"
    bought_trim = [say("need.trim", width=show_small(trim.width))] if trim.kind is TrimKind.BOUGHT else []
    yield from pages.heading(say("need"))
    yield from pages.bulleted((*listed("need"), *listed(which), *bought_trim))


# Sewing -----------------------------------------------------------------------------------------------------------


def _sewing(made: _Guide) -> Iterator[Flowable]:
    yield pages.new_page()
    yield from pages.heading(say("steps"))
    lacking = say("steps.lacking") if any(short.left_out for short in made.shorts) else ""
    yield pages.paragraph(f"{say('steps.lead')} {lacking}".rstrip())
    short = made.model.short
    key = [
        pages.subheading(say("key")),
        pages.paragraph(say("key.lead", size=short.size, rise=short.rise)),
        pages.Figure(_key(made.width)),
    ]
    yield pages.together(*key)
    left = made.width - WIDTH - STEP_GAP
    for number, step in enumerate(steps(made.model, labels=made.labels, split=made.split), 1):
        said = [pages.paragraph(sentence) for sentence in step.sentences]
        yield pages.together(
            pages.subheading(f"{number}  {step.title}"),
            pages.beside(said, left, [pages.Figure(_diagram(made, step.name))], WIDTH, gap=STEP_GAP),
            pages.space(4),
        )


def _diagram(made: _Guide, name: str) -> Sheet:
    return step_diagram(name, made.split_model if name == "side" else made.model)


def _key(width: float) -> Sheet:
    """Samples of the cloth's two sides and of the lines, three beside each other."""
    samples: list[tuple[str, tuple[Trace, ...]]] = [
        ("outside", outlined(Role.OUTSIDE, rectangle(0, 0, 10, 4))),
        ("inside", outlined(Role.INSIDE, rectangle(0, 0, 10, 4))),
        ("elastic", outlined(Role.ELASTIC, rectangle(0, 1, 10, 3), Role.RUBBER)),
        ("now", (line(Role.NOW, Point(0, 2), Point(10, 2)),)),
        ("sewn", (line(Role.SEWN, Point(0, 2), Point(10, 2)),)),
        ("crease", (line(Role.CREASE, Point(0, 2), Point(10, 2)),)),
    ]
    strokes: list[Stroke] = []
    texts: list[Text] = []
    column = width / 3
    for number, (name, drawn) in enumerate(samples):
        by = Vector(number % 3 * column + 0.3, 8.0 - number // 3 * 7.0)
        sample, told = moved(strokes_of(drawn), [Text(Point(13, 1.1), say(f"key.{name}"), LABEL_SIZE)], by)
        strokes += sample
        texts += told
    return Sheet(width, 13.0, tuple(strokes), tuple(texts))


def _safety(made: _Guide) -> Iterator[Flowable]:
    thigh = any(casing.height <= 0 for casing in made.model.casings)
    yield from pages.heading(say("safe"))
    for name in ("iron", "needle", "blade", "elastic.thigh" if thigh else "elastic", "child", "law"):
        yield pages.together(pages.subheading(say(f"safe.{name}")), pages.paragraph(say(f"safe.{name}.text")))


def _glossary(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(say("glossary"))
    left_out = {"rise" if made.rises[1:] else "rise.both"} | (set() if made.model.casings else {"casing", "tuck"})
    words = [entry.partition(": ") for name, entry in group("word").items() if name not in left_out]
    rows = [(word, meaning[0].upper() + meaning[1:]) for word, _, meaning in words]
    yield pages.grid(rows, (42, made.width - 42))


SECTIONS: Final = (
    _cover,
    _safety,
    _printing,
    _files,
    _bodies,
    _measuring,
    _finished,
    _blended,
    _cloth,
    _elastics,
    _pieces,
    _needed,
    _sewing,
    _glossary,
)
"""In the order of use."""
