"""The range as tables for a spreadsheet and for a program, in centimetres and inches; its grading; elastic lists.

Every CSV file is one table in UTF-8 by RFC 4180: a line of column names, then rows of as many cells.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

from blocks.blend import Blend, blends
from blocks.garment import Garment
from blocks.grade import Grade
from blocks.haberdashery import Haberdashery, Purchase, Strip, changed, haberdashery
from blocks.known import block_of, used_of
from blocks.measurements import Body
from blocks.size_range import SizeRange
from blocks.words import together
from drafting.units import eighths, nearest_eighth, show_small
from output.tables.amounts import bought, bought_words, cm, cut_cells, inches_of
from output.tables.body import how_known
from output.tables.csv_text import Written, csv_of
from output.tables.summary import WIDTH
from output.words import text as words

SCHEMA_VERSION: Final = 1
COLUMNS: Final = ("table", "size", "rise", "item", "measure", "cm", "inches", "eighths", "count", "text")
GRADE_COLUMNS: Final = (
    *("rise", "outline", "point", "from_size", "size"),
    *("x_cm", "y_cm", "dx_cm", "dy_cm", "x_inches", "y_inches", "dx_inches", "dy_inches"),
)
ELASTIC_HEADER: Final = ("elastic", "width", "cut length", "rounded", "inches", "quantity")
STRETCH: Final = "Stretch ratio"
CAUTION: Final = "Try every elastic on before it is sewn in: it must lie close without pressing."


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the tables. `measure` says which of an item's several numbers it is; `length` is in mm, or already
    written in cm, inches and eighths.
    """

    table: str
    size: str = ""
    rise: str = ""
    item: str = ""
    measure: str = ""
    length: float | tuple[str, str, str] | None = None
    count: int | None = None
    text: str = ""

    @property
    def cells(self) -> tuple[str, ...]:
        if isinstance(self.length, tuple):
            sizes = self.length
        elif self.length is None:
            sizes = ("", "", "")
        else:
            sizes = (cm(self.length), inches_of(self.length), Written(eighths(self.length)))
        count = "" if self.count is None else str(self.count)
        return (self.table, self.size, self.rise, self.item, self.measure, *sizes, count, self.text)


def tables_csv(made: SizeRange) -> bytes:
    """The whole range, one number a line: body, finished measures, elastics, what to buy, splitting and pieces to cut;
    and for every waist size on every other hip size, as in `H104 on H112`, the elastics that are not the hip size's.

    `count` is how many to cut; `text` holds what is no length. Lines without a size speak of the range.
    """
    return csv_of(COLUMNS, (row.cells for row in _rows(made)))


def elastics_csv(blend: Blend) -> bytes:
    """The elastic list of a blended or personal size, in the columns of the tables."""
    garment = blend.pattern
    label = _blend_label(blend)
    rows = [
        _Row("pattern", label, garment.rise, piece.name, "pieces", count=piece.cut_count, text=f"size {garment.size}")
        for piece in garment.pieces
    ]
    rows += _strip_rows(blend.haberdashery(), label, garment.rise)
    rows += [_Row("warnings", label, garment.rise, text=warning) for warning in blend.warnings]
    return csv_of(COLUMNS, (row.cells for row in rows))


def elastics_text(takes: Haberdashery) -> str:
    """An elastic list as lines of a terminal, with what to buy."""
    rows = [ELASTIC_HEADER]
    for strip in (*takes.elastics, *takes.trims):
        rounded, inches = cut_cells(strip)
        rows.append(
            (
                strip.name,
                show_small(strip.width),
                f"{cm(strip.cut_length)} cm",
                f"{rounded} cm",
                f"{inches} in",
                str(strip.quantity),
            )
        )
    lines = words.in_columns(rows)
    lines += [f"Buy {bought_words(one)} of {one.ware} {show_small(one.width)} wide" for one in takes.shopping]
    return "\n".join((*lines, CAUTION))


def stretches_text(takes: Haberdashery) -> str:
    """What each elastic of a list must stretch to as it is put on, times its finished length: for a terminal."""
    told = [f"{strip.name} {strip.stretch_ratio:.2f}" for strip in takes.elastics if strip.stretch_ratio is not None]
    return "\n".join(wrap(f"{STRETCH}: {', '.join(told)}", WIDTH, subsequent_indent="  "))


def grade_csv(grade: Grade) -> bytes:
    """How every named point moves from size to size, in x and y from the origin of the block."""
    rows = []
    for place in grade.moves:
        moves = (place.x, place.y, place.dx, place.dy)
        rows.append(
            (
                place.rise,
                place.outline.value,
                place.name,
                place.before or "",
                place.size,
                *("" if move is None else cm(move) for move in moves),
                *("" if move is None else inches_of(move) for move in moves),
            )
        )
    return csv_of(GRADE_COLUMNS, rows)


def tables_json(made: SizeRange) -> bytes:
    """The tables as one JSON object: each length in cm, inches and eighths; the same range gives the same bytes."""
    cloth = made.cloth
    document = {
        "schema_version": SCHEMA_VERSION,
        "design": made.design.name,
        "workroom": made.design.workroom,
        "cloth": {"width": _lengths(cloth.width), "usable": _lengths(cloth.usable), "lay": cloth.lay}
        if cloth
        else None,
        "splitting": made.splitting,
        "body": {
            size.label: {name: _measurement(size.body, name) for name in used_of(made.design, size.body)}
            for size in made.drafted
        },
        "sizes": [_size(garment) for garment in made.garments],
        "blends": [
            {
                "waist_size": pair.waist_size,
                "hip_size": pair.pattern.size,
                "rise": rise,
                "elastics": list(map(_strip, own)),
            }
            for rise in made.rises
            for pair, own in _blended(made, rise)
        ],
        "failures": [
            {"size": failure.label, "rise": failure.rise, "message": failure.message} for failure in made.failures
        ],
        "warnings": made.warnings,
    }
    return (json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def _measurement(body: Body, name: str) -> dict[str, object]:
    """A measurement; of an estimate its error, and in which measurements the body is beyond those of its rule."""
    found: dict[str, object] = {**_lengths(body.known(name)), "estimated": name in body.estimated}
    estimate = body.estimate(name)
    return {**found, "error": _lengths(estimate.error), "beyond": body.strange(name)} if estimate else found


def _beyond(body: Body, name: str) -> str:
    sources = [words.spoken(source) for source in body.strange(name)]
    return f"beyond the bodies of its rule in {together(sources)}" if sources else ""


def _blended(made: SizeRange, rise: str) -> Iterator[tuple[Blend, tuple[Strip, ...]]]:
    """Every waist size on every other hip size, and which elastics differ from those of the hip size."""
    takes = {garment.size: haberdashery(garment) for garment in made.of(rise)}
    for pair in blends(made.of(rise)).values():
        yield pair, changed(pair.haberdashery(), takes[pair.pattern.size])


def _size(garment: Garment) -> dict[str, object]:
    takes = haberdashery(garment)
    return {
        "size": garment.size,
        "rise": garment.rise,
        "split": garment.split,
        "measures": {name: _lengths(value) for name, value in garment.measures.items()},
        "elastics": [_strip(strip) for strip in takes.elastics],
        "elastics_to_buy": [_purchase(one) for one in takes.to_buy],
        "trims": [_strip(strip) for strip in takes.trims],
        "trims_to_buy": [_purchase(one) for one in takes.trims_to_buy],
        "pieces": [{"name": piece.name, "cut_count": piece.cut_count} for piece in garment.pieces],
        "notes": garment.notes,
    }


def _strip(strip: Strip) -> dict[str, object]:
    inches = nearest_eighth(strip.cut_length)
    return {
        "use": strip.use,
        "name": strip.name,
        "width": _width(strip.width),
        "cut_length": _lengths(strip.cut_length),
        "rounded": {"cm": float(cm(strip.rounded)), "inches": inches, "eighths": eighths(strip.cut_length)},
        "quantity": strip.quantity,
        "stretch_ratio": None if strip.stretch_ratio is None else _ratio(strip.stretch_ratio),
    }


def _purchase(one: Purchase) -> dict[str, object]:
    return {
        "ware": one.ware,
        "width": _width(one.width),
        "total": _lengths(one.total),
        "metres": one.metres,
        "yards": bought(one)[1],
    }


def _ratio(ratio: float) -> float:
    return round(ratio, 3)


def _width(width: float) -> dict[str, object]:
    return {"cm": float(cm(width)), "inches": float(inches_of(width))}


def _lengths(length: float) -> dict[str, object]:
    return {"cm": float(cm(length)), "inches": float(inches_of(length)), "eighths": eighths(length)}


def _rows(made: SizeRange) -> Iterator[_Row]:
    for sentence in made.splitting:
        yield _Row("splitting", item="range", text=sentence)
    for each in made.drafted:
        for name in used_of(made.design, each.body):
            item = words.spoken(name)
            yield _Row("body", each.label, item=item, length=each.body.known(name), text=how_known(each.body, name))
            if estimate := each.body.estimate(name):
                yield _Row(
                    "body", each.label, item=item, measure="error", length=estimate.error, text=_beyond(each.body, name)
                )
    for garment in made.garments:
        size, rise = garment.size, garment.rise
        for name, value in garment.measures.items():
            yield _Row("finished measures", size, rise, words.spoken(name), length=value)
        yield from _strip_rows(haberdashery(garment), size, rise)
        yield _Row("splitting", size, rise, block_of(made.design).part, text="split" if garment.split else "whole")
        for piece in garment.pieces:
            yield _Row("pieces", size, rise, piece.name, count=piece.cut_count)
        for note in garment.notes:
            yield _Row("notes", size, rise, text=note)
    for rise in made.rises:
        for pair, own in _blended(made, rise):
            yield from _cut_rows("blended elastics", own, _blend_label(pair), rise)
    for failure in made.failures:
        yield _Row("failures", failure.label, failure.rise, text=failure.message)
    for warning in made.warnings:
        yield _Row("warnings", text=warning)


def _strip_rows(takes: Haberdashery, size: str, rise: str) -> Iterator[_Row]:
    yield from _cut_rows("elastics", takes.elastics, size, rise)
    yield from _cut_rows("trims", takes.trims, size, rise)
    for one in takes.shopping:
        what = f"{one.ware} {_short(one.width)} cm wide"
        yield _Row("to buy", size, rise, what, "total", one.total)
        yield _Row("to buy", size, rise, what, "metres", (cm(one.metres * 1000), "", ""), text=bought_words(one))


def _cut_rows(table: str, strips: Sequence[Strip], size: str, rise: str) -> Iterator[_Row]:
    for strip in strips:
        # Each tape has its own rounding; a width is read off a seam gauge, which has no eighths.
        inches = Written(f"{nearest_eighth(strip.cut_length):.3f}")
        rounded = (cm(strip.rounded), inches, Written(eighths(strip.cut_length)))
        width = (cm(strip.width), inches_of(strip.width), "")
        yield _Row(table, size, rise, strip.name, "width", width)
        yield _Row(table, size, rise, strip.name, "cut length", strip.cut_length, strip.quantity)
        yield _Row(table, size, rise, strip.name, "cut length, rounded", rounded, strip.quantity)
        if strip.stretch_ratio is not None:
            yield _Row(table, size, rise, strip.name, "stretch ratio", text=f"{_ratio(strip.stretch_ratio):.3f}")


def _blend_label(blend: Blend) -> str:
    return f"{blend.waist_size} on {blend.pattern.size}"


def _short(length: float) -> str:
    """A width in cm without needless noughts."""
    return f"{round(length / 10, 2):g}"
