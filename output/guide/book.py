"""The printed guide of a design: what a stranger needs to print, choose, buy, cut and sew it, in every size and rise.

Numbers come from the drafted sizes alone, as in the tables; words from `output.guide.words`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil
from typing import Any, Final

from output.system import as_shipped  # noqa: F401 - before reportlab is loaded

# isort: split
from reportlab.platypus import Flowable

from blocks.blend import blend, of_waist_size
from blocks.cloth import Cloth, width_across
from blocks.design import Design
from blocks.elastic import Use
from blocks.garment import Block, Garment
from blocks.guide import WIDTH, GuideParts, Sentences, Step, Told
from blocks.haberdashery import Haberdashery, Purchase, column_of, columns_of, haberdashery, strips_by_column
from blocks.known import block_of, used_of
from blocks.lay import LayRules
from blocks.requirement import Buying, Requirement
from blocks.size_range import casings_left_out
from blocks.size_table import SizeTable
from blocks.words import Catalogue, runs, together
from drafting.errors import OutputError
from drafting.picture import Label, Picture, Trace, line, outlined, rectangle, row
from drafting.piece import Piece
from drafting.point import Point, Vector
from drafting.role import Role
from drafting.units import eighths, show_both, show_measure, show_small
from output.drawing.picture import LABEL_SIZE, captioned, moved, stacked, strokes_of
from output.drawing.sheet import Sheet, Stroke, Text
from output.guide import booklet as pages
from output.guide.cutting import cutting_step, piece_picture
from output.guide.figure import measuring_picture
from output.guide.words import COMMON
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
PIECE_ROOM: Final = 62.0
"""mm; how wide the widest piece of the list of pieces is drawn."""
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

    garments: tuple[Garment, ...]
    design: Design
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
    def block(self) -> Block[Any]:
        return block_of(self.design)

    @cached_property
    def words(self) -> Catalogue:
        return COMMON.under(self.block.words)

    def say(self, key: str, **filled: object) -> str:
        return self.words.say(key, **filled)

    @cached_property
    def labels(self) -> list[str]:
        """The sizes that were drafted in any rise, smallest first."""
        drafted = {garment.size for garment in self.garments}
        return [size.label for size in self.table.sizes if size.label in drafted]

    @cached_property
    def rises(self) -> list[str]:
        """The rises that were drafted: for a garment without rises, the empty one."""
        return list(dict.fromkeys(garment.rise for garment in self.garments))

    def of(self, rise: str) -> list[Garment]:
        """The sizes in that rise, smallest first."""
        return sorted((one for one in self.garments if one.rise == rise), key=lambda one: self.labels.index(one.size))

    @cached_property
    def between(self) -> list[Garment]:
        """Sizes of one rise that a wearer may stand between; none where no rise has two."""
        return next((sizes for sizes in map(self.of, self.rises) if sizes[1:]), [])

    @cached_property
    def split(self) -> list[str]:
        """The sizes that are split in any rise."""
        return [label for label in self.labels if any(one.split for one in self.garments if one.size == label)]

    @cached_property
    def model(self) -> Garment:
        """The size that is drawn: of those with every casing the middle one left whole, or of all if all are split."""
        most = max(len(garment.elastics) for garment in self.garments)
        full = [[garment for garment in self.of(rise) if len(garment.elastics) == most] for rise in self.rises]
        first = next(garments for garments in full if garments)
        whole = [garment for garment in first if not garment.split] or first
        return whole[len(whole) // 2]

    @cached_property
    def whole(self) -> Garment:
        """The size that is drawn, in one piece."""
        return self._drafted(self.model, split=False) if self.model.split else self.model

    @cached_property
    def halved(self) -> Garment | None:
        """The smallest size that is split, for what concerns split pieces alone; None where none is."""
        return next((garment for rise in self.rises for garment in self.of(rise) if garment.split), None)

    def _drafted(self, garment: Garment, *, split: bool) -> Garment:
        drafted: Garment = self.block.draft(
            garment.design, garment.body, rise=garment.rise, size=garment.size, split=split
        )
        return drafted

    @cached_property
    def told(self) -> Told[Any]:
        return Told(
            garment=self.model,
            halved=self.halved,
            labels=tuple(self.labels),
            split=tuple(self.split),
            rises=tuple(self.rises),
            words=self.words,
        )

    @cached_property
    def parts(self) -> GuideParts[Any] | None:
        return self.block.guide

    @cached_property
    def sentences(self) -> Sentences:
        return self.parts.sentences(self.told) if self.parts else Sentences()

    def with_rise(self, key: str, rise: str, **filled: object) -> str:
        """Words that name a rise, or those that say the same of a garment without rises."""
        return self.say(f"{key}.rise", rise=rise, **filled) if rise else self.say(key, **filled)

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
    for garment in garments:
        if garment.design != design or garment.size not in known:
            raise OutputError(
                f"guide: {garment.design.name}, size {garment.size!r}, is not of this design and size table; "
                "give sizes that were drafted from both"
            )
    made = _Guide(
        tuple(garments),
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
    title = f"{design.name} · {made.say('guide')}"
    footer = f"{title} · {design.workroom}" if design.workroom else title
    subject = made.say("guide.subject", design=design.name)
    return pages.printed(story, paper, title=title, author=design.workroom, subject=subject, footer=footer)


def lay_room(paper: Paper) -> tuple[float, float]:
    """Width and height, in mm, that a drawing of a lay may take on a page of the guide."""
    return paper.width - 2 * pages.MARGIN, paper.height - pages.MARGIN - pages.FOOT - LAY_HEAD


# Choosing ---------------------------------------------------------------------------------------------------------


def _cover(made: _Guide) -> Iterator[Flowable]:
    design, labels = made.design, made.labels
    yield pages.space(6)
    yield pages.paragraph(design.name, pages.TITLE)
    sizes = (
        made.say("cover.sizes", first=labels[0], last=labels[-1])
        if labels[1:]
        else made.say("cover.one", first=labels[0])
    )
    for text in (made.say("guide"), " · ".join((sizes, *_rise_names(made))), design.workroom):
        if text:
            yield pages.paragraph(text, pages.SUBTITLE)
    yield pages.space(4)
    some = bool(made.split) and len(made.split) < len(labels)
    joined = made.say("cover.some", sizes=made.words.sizes_of(labels, made.split), part=made.block.part) if some else ""
    yield pages.paragraph(f"{made.sentences.cover} {joined}".strip())
    yield pages.space(12)
    if made.parts:
        yield from _worn(made, made.parts)
    yield pages.new_page()
    yield pages.paragraph(made.say("contents"), pages.SUBHEADING)
    yield pages.contents()


def _rise_names(made: _Guide) -> list[str]:
    """What the rises are called: nothing for a garment without rises."""
    return [made.say(f"rise.{rise}") for rise in made.rises if rise]


def _worn(made: _Guide, parts: GuideParts[Any]) -> Iterator[Flowable]:
    """The garment from the front and from the back, in each rise, all to one scale."""
    wanted = made.model.size
    same = [next((s for s in made.of(rise) if s.size == wanted), made.of(rise)[0]) for rise in made.rises]
    boxes = [parts.worn(garment, scale=1.0, back=False).bounds for garment in same]
    scale = (made.width - 10) / 2 / max(right - left for left, _, right, _ in boxes)
    scale *= 0.97
    for garment in same:
        yield pages.Figure(_garments(made, parts, garment, scale), align="CENTER")
        yield pages.space(10)
    yield pages.paragraph(made.say("cover.drawn", size=same[0].size), pages.CENTRED)


def _garments(made: _Guide, parts: GuideParts[Any], garment: Garment, scale: float) -> Sheet:
    """Front and back side by side, each named below."""
    pictures = []
    for back in (False, True):
        picture = parts.worn(garment, scale=scale, back=back)
        left, bottom, right, _ = picture.bounds
        side = made.say("cover.back" if back else "cover.front")
        name = " · ".join((made.say(f"rise.{garment.rise}"), side) if garment.rise else (side,))
        named = Label(Point((left + right) / 2, bottom - 6), name)
        room = line(Role.BLANK, Point(left, bottom - 7), Point(right, bottom - 7))
        pictures.append(Picture((*picture.traces, room), labels=(named,)))
    tall = max(picture.bounds[3] for picture in pictures)
    room = line(Role.BLANK, Point(0, tall), Point(0.1, tall))
    level = [replace(picture, traces=(*picture.traces, room)) for picture in pictures]
    return captioned(row(level, gap=10), made.width)


def _printing(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(made.say("print"))
    yield from pages.numbered(made.words.listed("print"))
    short = made.model
    off = show_both(short.body.hip_girth * OFF_SCALE)
    yield pages.paragraph(made.say("print.why", size=short.size, off=off), pages.SMALL)


def _files(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(made.say("files"))
    pick = [made.say("files.pick.size")] if made.labels[1:] else []
    pick += [made.say("files.pick.both" if pick else "files.pick.rise")] if made.rises[1:] else []
    chosen = f"{' '.join(pick)}. " if pick else ""
    yield pages.paragraph(f"{chosen}{made.say('files.lead', part=made.block.part)}")
    yield pages.subheading(made.say("files.release"))
    part = made.block.part
    rows = []
    for rise in made.rises:
        for split in (False, True):
            sizes = [short.size for short in made.of(rise) if short.split is split]
            if sizes:
                pieces = made.say("files.halves" if split else "files.whole", part=part)
                rows.append((*([made.say(f"rise.{rise}")] if rise else []), runs(made.labels, sizes), pieces))
    header = (made.say("files.pattern"), made.say("files.sizes"), made.say("files.pieces", part=part))
    columns = (34, made.width - 90, 56)
    own = len(rows[0])
    yield pages.grid(rows, columns[-own:], header=header[-own:])
    if made.files:
        yield pages.grid(made.files, (made.width * 0.5,) * 2, header=(made.say("files.file"), made.say("files.for")))
    if made.cloths:
        yield pages.subheading(made.say("files.cloth"))
        yield pages.paragraph(made.say("files.cloth.lead"))
        keys = ("width", "usable", "whole", "split", "none")
        wide = (made.width - 72) / 3
        yield pages.grid(
            [_fits(made, cloth) for cloth in made.cloths],
            (42, 30, wide, wide, wide),
            header=[made.say(f"files.cloth.{key}", part=part) for key in keys],
        )


def _fits(made: _Guide, cloth: Cloth) -> tuple[str, ...]:
    """One row: which sizes fit a cloth in one piece, which split, which not at all. Both rises are as wide."""
    found: dict[str, list[str]] = {"whole": [], "split": [], "none": []}
    for label in made.labels:
        whole, half = widths(next(garment for garment in made.garments if garment.size == label))
        fit = "whole" if whole <= cloth.usable + 1e-6 else "split" if half <= cloth.usable + 1e-6 else "none"
        found[fit].append(label)
    told = [runs(made.labels, sizes) if sizes else made.say("none") for sizes in found.values()]
    return (
        f"{show_both(cloth.width)}\n{made.say(cloth.lay.value)}",
        show_both(cloth.usable).replace(" (", "\n("),
        *told,
    )


def widths(garment: Garment) -> tuple[float, float]:
    """How wide a cloth must be for the part that can be split: in one piece, and split, in mm."""
    asked: list[float] = []

    def split(piece: Piece) -> bool:
        asked.append(width_across(piece))
        return True

    draft = block_of(garment.design).draft
    halves = draft(garment.design, garment.body, rise=garment.rise, size=garment.size, split=split)
    return max(asked), max(map(width_across, halves.pieces))


def _bodies(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(made.say("body"), room=made.table_room)
    lead = [made.say("body.lead"), made.say("body.choose" if made.labels[1:] else "body.one")]
    yield pages.paragraph(" ".join((*lead, *([made.say("body.blend")] if made.between else []))))
    sizes = [size for size in made.table.sizes if size.label in made.labels]
    names = used_of(made.design, sizes[0].body)
    rows = [(size.label, [_stacked(size.body.known(name)) for name in names]) for size in sizes]
    yield from _size_tables(made, [made.say(f"measure.{name}") for name in names], rows)
    estimated = [made.say(f"measure.{name}").lower() for name in names if name in sizes[0].body.estimated]
    told = made.say("unit")
    if estimated:
        told = f"{told} {made.say('body.estimated', names=together(estimated))}"
    yield pages.paragraph(told, pages.SMALL)


def _stacked(length: float) -> str:
    """A length in cm above the same in inches and eighths."""
    return f"{length / 10:.1f}\n{eighths(length)}"


def _rise(made: _Guide, rise: str) -> Iterator[Flowable]:
    """The head of a rise's table: the first below its section's, the others on a page that holds the table."""
    if rise is not made.rises[0]:
        yield pages.room(made.table_room - 14)
    if rise:
        yield pages.subheading(made.say(f"rise.{rise}"))


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
        yield pages.grid(cells, (LABEL, *(wide for _ in part)), header=(head or made.say("size"), *part))


def _measuring(made: _Guide) -> Iterator[Flowable]:
    body, share = made.model.body, made.sentences.high_hip
    names = used_of(made.design, body)
    figure = pages.Figure(captioned(measuring_picture(body, names, tall=FIGURE_HEIGHT), made.width), align="CENTER")
    down = made.say("measure.half") if share == HALF else made.say("measure.share", percent=f"{100 * share:.3g}")
    rows = [
        (f"{number}", made.say(f"measure.{name}"), made.say(f"measure.{name}.how", down=down))
        for number, name in enumerate(names, 1)
    ]
    yield pages.new_page()
    yield from pages.heading(made.say("measure"))
    yield pages.paragraph(made.say("measure.lead"))
    yield figure
    yield pages.space(3)
    yield pages.grid(rows, (8, 34, made.width - 42))


def _finished(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(made.say("finished"), room=made.table_room)
    if made.sentences.finished:
        yield pages.paragraph(made.sentences.finished)
    names = list(made.model.measures)
    for rise in made.rises:
        yield from _rise(made, rise)
        rows = [(one.size, [_stacked(one.measures[name]) for name in names]) for one in made.of(rise)]
        yield from _size_tables(made, [made.say(f"finished.{name}") for name in names], rows)
    yield pages.paragraph(made.say("unit"), pages.SMALL)


def _blended(made: _Guide) -> Iterator[Flowable]:
    if not made.between:
        return
    casings = any(len(short.elastics) > 1 for short in made.garments)
    yield from pages.heading(made.say("blend"))
    yield pages.paragraph(made.say("blend.lead"))
    rules = {rise: [_sources(short) for short in made.of(rise)] for rise in made.rises}
    up = any(FROM_WAIST in row.values() for rows in rules.values() for row in rows)
    told = "blend.table" if up else "blend.hips" if casings else "blend.plain"
    table = made.say("blend.own_table" if any(made.rises) else "blend.one_table")
    rest = (*made.words.listed(told, table=table), *made.words.listed("blend.last"))
    yield from pages.numbered((*made.words.listed("blend"), *rest))
    for rise, rows in rules.items() if up else ():
        names = list(dict.fromkeys(name for row in sorted(rows, key=len, reverse=True) for name in row))
        yield from _rise(made, rise)
        cells = [
            (short.size, [made.say(row.get(name, "blend.lacks")) for name in names])
            for short, row in zip(made.of(rise), rows, strict=True)
        ]
        yield from _size_tables(made, names, cells, made.say("blend.size"))
        yield from _lacking(made, rise, names)
    yield from _example(made, made.between)


def _sources(hips: Garment) -> dict[str, str]:
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
        yield pages.paragraph(made.say("blend.lacking"))
        yield from _size_tables(made, columns, rows, made.say("blend.waist"))


def _example(made: _Guide, sizes: Sequence[Garment]) -> Iterator[Flowable]:
    """Two sizes blended."""
    middle = len(sizes) // 2
    waist, hips = sizes[max(0, middle - 2)], sizes[middle]
    mixed = blend(waist, hips)
    takes = mixed.haberdashery()
    rows = [
        (
            strip.name,
            made.say("blend.above" if elastic.height > 0 else "blend.below", length=show_both(abs(elastic.height))),
            source,
            show_small(strip.width),
            cut_words(strip),
            f"{strip.quantity}",
        )
        for elastic, strip, source in zip(mixed.elastics, takes.elastics, mixed.taken_from, strict=True)
    ]
    header = ("elastic", "height", "from", "width", "length", "quantity")
    head = [made.say(f"blend.column.{name}", origin=made.block.origin) for name in header]
    wide = (made.width - 22 - 18 - 20) / 3
    body = made.say(
        "blend.body",
        waist=show_measure(waist.body.waist_girth),
        hips=show_measure(hips.body.hip_girth),
        size=hips.size,
    )
    shop = together(
        [made.say("blend.buy", amount=bought_words(one), width=show_small(one.width)) for one in takes.to_buy]
    )
    yield pages.together(
        pages.subheading(made.with_rise("blend.example", hips.rise, waist=waist.size, hips=hips.size)),
        pages.paragraph(body),
        pages.grid(rows, (22, wide, 18, wide, wide, 20), header=head),
        pages.paragraph(made.say("blend.bought", amounts=shop)),
        *(pages.paragraph(made.say("blend.warned", warning=warning), pages.SMALL) for warning in mixed.warnings),
    )


def _stack(cells: tuple[str, str]) -> str:
    """Metric above imperial."""
    return "\n".join(cells)


# Buying -----------------------------------------------------------------------------------------------------------


def _cloth(made: _Guide) -> Iterator[Flowable]:
    if made.needs:
        yield from pages.heading(made.say("cloth"), room=made.table_room)
        shrinkage, ends = f"{100 * made.buying.shrinkage:g}", show_both(made.buying.ends)
        way = made.say("cloth.one_way" if made.rules.one_way else "cloth.two_way")
        yield pages.paragraph(f"{made.say('cloth.lead', shrinkage=shrinkage, ends=ends)} {way}")
        for rise in made.rises:
            needs = {(need.size, need.cloth): need.need for need in made.needs if need.rise == rise}
            cloths = list(dict.fromkeys(need.cloth for need in made.needs if need.rise == rise))
            if not cloths:
                continue
            names = [
                made.say("cloth.on", width=show_both(cloth.width), lay=made.say(cloth.lay.value)) for cloth in cloths
            ]
            rows = [
                (label, [_bought(made, needs.get((label, cloth))) for cloth in cloths])
                for label in made.labels
                if any((label, cloth) in needs for cloth in cloths)
            ]
            yield from _rise(made, rise)
            yield from _size_tables(made, names, rows)
    if made.lays:
        yield from pages.heading(made.say("lays"))
        yield pages.paragraph(made.say("lays.lead"))
        for caption, sheet in made.lays:
            figure = pages.Figure(sheet, limit=lay_room(made.paper)[1])
            yield pages.together(pages.subheading(caption), figure, pages.space(3))


def _bought(made: _Guide, need: Requirement | Purchase | None) -> str:
    if need is None:
        return made.say("blend.lacks")
    metric, imperial = bought(need)
    return f"{metric} m\n{imperial} yd"


def _elastics(made: _Guide) -> Iterator[Flowable]:
    design = made.design
    lap = show_small(design.waist.overlap)
    yield from pages.heading(made.say("elastics"), room=made.table_room)
    if made.model.elastics.casings:
        yield pages.paragraph(made.say("elastics.lead", seam=show_small(design.allowances.seam), lap=lap))
    else:
        yield pages.paragraph(made.say("elastics.lead.plain", lap=lap))
    for rise in made.rises:
        takes = {short.size: haberdashery(short) for short in made.of(rise)}
        names, rows = _elastic_rows(made, takes)
        yield from _rise(made, rise)
        yield from _size_tables(made, names, rows)
    yield pages.paragraph(made.say("unit"), pages.SMALL)
    for sentence in casings_left_out(made.garments):
        yield pages.paragraph(made.say("elastics.mind", sentence=sentence))


def _elastic_rows(made: _Guide, takes: Mapping[str, Haberdashery]) -> tuple[list[str], list[tuple[str, list[str]]]]:
    """Columns and rows: the cut length of every strip, then what to buy of each width."""
    strips = columns_of(list(takes.values()))
    names = [
        made.say("elastics.column", name=strip.name, width=show_small(strip.width), quantity=strip.quantity)
        for strip in strips
    ]
    # An elastic and a trim of one width are two things to buy.
    shop = {
        size: {("elastic", one.width): one for one in each.to_buy}
        | {("trim", one.width): one for one in each.trims_to_buy}
        for size, each in takes.items()
    }
    wanted = list(dict.fromkeys(key for each in shop.values() for key in each))
    names += [made.say(f"elastics.buy.{kind}", width=show_small(width)) for kind, width in wanted]
    rows = []
    for size, each in takes.items():
        own = strips_by_column(each)
        cells = [
            _stack(cut_cells(own[key])) if (key := column_of(strip)) in own else made.say("blend.lacks")
            for strip in strips
        ]
        cells += [_bought(made, shop[size].get(key)) for key in wanted]
        rows.append((size, cells))
    return names, rows


def _pieces(made: _Guide) -> Iterator[Flowable]:
    yield from pages.heading(made.say("pieces"))
    if made.sentences.pieces:
        yield pages.paragraph(made.sentences.pieces)
    scale = PIECE_ROOM / max(map(width_across, made.whole.pieces))
    some = len(made.split) < len(made.labels)
    if some:
        yield _inventory(made, made.whole, scale)
    if made.halved:
        if some:
            sizes = made.words.sizes_of(made.labels, made.split)
            yield pages.subheading(made.say("pieces.split", sizes=sizes, part=made.block.part))
        yield _inventory(made, made.halved, scale)


def _inventory(made: _Guide, short: Garment, scale: float) -> Flowable:
    rows = [
        (
            pages.Figure(captioned(piece_picture(piece, scale), 66)),
            piece.title,
            _count(made, piece),
            _extent(piece),
            "; ".join(piece.notes),
        )
        for piece in short.pieces
    ]
    header = ("", made.say("pieces.piece"), made.say("pieces.cut"), made.say("pieces.measures", size=short.size), "")
    rest = made.width - 70 - 22 - 22 - 31
    return pages.grid(rows, (70, 22, 22, 31, rest), header=header, tint=False)


def _count(made: _Guide, piece: Piece) -> str:
    if not piece.mirrored:
        return made.say("pieces.once", count=piece.cut_count)
    half = piece.cut_count // 2
    return made.say("pieces.pairs", count=piece.cut_count, drawn=piece.cut_count - half, mirrored=half)


def _extent(piece: Piece) -> str:
    left, bottom, right, top = piece.cut_line.bounds
    return f"{show_both(right - left)} ×\n{show_both(top - bottom)}"


def _needed(made: _Guide) -> Iterator[Flowable]:
    if made.sentences.needs:
        yield from pages.heading(made.say("need"))
        yield from pages.bulleted(made.sentences.needs)


# Sewing -----------------------------------------------------------------------------------------------------------


def _sewing(made: _Guide) -> Iterator[Flowable]:
    if not made.parts:
        return
    short = made.model
    yield pages.new_page()
    yield from pages.heading(made.say("steps"))
    lacking = any(one.left_out for one in made.garments)
    told = made.say("steps.lacking.rise" if any(made.rises) else "steps.lacking") if lacking else ""
    yield pages.paragraph(f"{made.say('steps.lead')} {told}".rstrip())
    yield pages.together(
        pages.subheading(made.say("key")),
        pages.paragraph(made.with_rise("key.lead", short.rise, size=short.size, part=made.block.part)),
        pages.Figure(_key(made)),
    )
    left = made.width - WIDTH - STEP_GAP
    first = cutting_step(made.whole.pieces[0], short.pieces, made.words)
    for number, step in enumerate((first, *made.parts.steps(made.told)), 1):
        said = [pages.paragraph(sentence) for sentence in step.sentences]
        yield pages.together(
            pages.subheading(f"{number}  {step.title}"),
            pages.beside(said, left, [pages.Figure(step_diagram(step))], WIDTH, gap=STEP_GAP),
            pages.space(4),
        )


def step_diagram(step: Step) -> Sheet:
    """The pictures of a step one below the other, `WIDTH` mm wide."""
    return stacked([captioned(picture, WIDTH) for picture in step.pictures])


def _key(made: _Guide) -> Sheet:
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
    column = made.width / 3
    for number, (name, drawn) in enumerate(samples):
        by = Vector(number % 3 * column + 0.3, 8.0 - number // 3 * 7.0)
        sample, told = moved(strokes_of(drawn), [Text(Point(13, 1.1), made.say(f"key.{name}"), LABEL_SIZE)], by)
        strokes += sample
        texts += told
    return Sheet(made.width, 13.0, tuple(strokes), tuple(texts))


def _safety(made: _Guide) -> Iterator[Flowable]:
    elastic = "elastic.thigh" if made.sentences.thigh else "elastic"
    yield from pages.heading(made.say("safe"))
    for name in ("iron", "needle", "blade", elastic, "child", "law"):
        yield pages.together(pages.subheading(made.say(f"safe.{name}")), pages.paragraph(made.say(f"safe.{name}.text")))


def _glossary(made: _Guide) -> Iterator[Flowable]:
    if not made.sentences.glossary:
        return
    yield from pages.heading(made.say("glossary"))
    entries = [made.say(f"word.{name}", part=made.block.part).partition(": ") for name in made.sentences.glossary]
    rows = [(word, meaning[0].upper() + meaning[1:]) for word, _, meaning in entries]
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
