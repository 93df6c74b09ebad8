"""What the templates of the desk show of one turn."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from html import escape
from typing import Final

from blocks.cloth import Lay
from blocks.measurements import RANGES
from blocks.size_range import Fit
from output.serve.desk.sliding import Slider
from output.serve.desk.steps import DESIGN, TABLE, steps_text
from output.serve.desk.study import About, Made, Note, Study, View
from output.serve.desk.turn import CELL, VALUE, Sent, Turn, shown_of
from output.serve.editing import edit
from output.serve.editing.cells import SIZE
from output.serve.editing.places import CASING
from output.words import text as words

COPY: Final = (f"{DESIGN}_text", f"{TABLE}_text", "steps")
"""The fields that carry the working copy, in JSON: no browser changes the line ends in it."""

VIEWS: Final[Mapping[str, str]] = {
    View.OPENED.value: "casings opened",
    View.FINISHED.value: "finished",
    View.WORN.value: "as worn",
    View.NEST.value: "sizes over one another",
}

FITS: Final[Mapping[str, str]] = {
    Fit.AUTO.value: "split if too wide",
    Fit.WHOLE.value: "left whole",
    Fit.SPLIT.value: "split",
}

KINDS: Final[Mapping[About, str]] = {
    About.DESIGN: "Design",
    About.TABLE: "Size table",
    About.CLOTH: "Cloth",
    About.FAILURE: "Not drafted",
    About.GRADE: "Grade",
    About.ELASTIC: "Elastic",
    About.LEFT_OUT: "Left out",
    About.OMITTED: "Omitted",
    About.UNEVEN: "Uneven",
    About.GARMENT: "To look at",
}

WORDS: Final[Mapping[About, str]] = {about: told.lower() for about, told in KINDS.items()} | {
    About.GRADE: "out of line",
    About.LEFT_OUT: "lacks a casing",
    About.OMITTED: "lacks a part",
    About.ELASTIC: "elastic to look at",
}
"""What is said of a size beside its row."""

MADE_SPLIT: Final = "split"

OPEN: Final = ("leg", "panel", CASING)
"""Tables that are unfolded from the beginning: what is changed most."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value of the design in the list: what its field shows, and what else is said of it."""

    value: edit.Listed
    shown: str
    changed: bool
    problem: str

    @property
    def label(self) -> str:
        return self.value.key.replace("_", " ")

    @property
    def resets(self) -> bool:
        """True if it can go back to its default."""
        return self.value.value is not None and not self.value.needed

    @property
    def choices(self) -> tuple[str, ...]:
        known = self.value.choices
        return known if not known or self.shown in known else (self.shown, *known)

    @property
    def words(self) -> str:
        """By what it is found."""
        return f"{self.value.place} {self.label} {self.value.meaning}".lower()

    @property
    def hint(self) -> str:
        """What it means, what it may be, what it is when it is left out, and who says so."""
        value = self.value
        default = f"default {value.default}" if value.default else ""
        return " · ".join(filter(None, (value.meaning, value.span, default, value.source)))


@dataclass(frozen=True, slots=True)
class Shelf:
    """One table of the design with its rows. `casing` is how the page calls the casing that it is."""

    group: edit.Group
    rows: tuple[Row, ...]
    notes: int

    @property
    def casing(self) -> str:
        table, _, name = self.group.place.partition(".")
        return name if table == CASING else ""

    @property
    def open(self) -> bool:
        """True if it is unfolded from the beginning."""
        noteworthy = self.group.problem or any(row.changed or row.problem for row in self.rows)
        return bool(noteworthy) or self.group.place.partition(".")[0] in ("", *OPEN)

    @property
    def told(self) -> str:
        """What is to be seen in it, for when it is folded."""
        wrong = bool(self.group.problem) + sum(bool(row.problem) for row in self.rows)
        changed = sum(row.changed for row in self.rows)
        told = (f"{wrong} to be mended" if wrong else "", f"{changed} changed" if changed else "")
        return ", ".join(filter(None, told))


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of the size table: its number in the row, its field, what that shows, and what is wrong."""

    number: int
    field: str
    column: str
    shown: str
    changed: bool
    problem: str


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the size table, by its number and what it is called, with what is wrong and what is to be seen."""

    number: int
    label: str
    cells: tuple[Cell, ...]
    problem: str
    said: tuple[str, ...]

    @property
    def wrong(self) -> bool:
        """True if anything is wrong in it."""
        return bool(self.problem) or any(cell.problem for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Page:
    """The page after a turn, for a design and a size table by their public names."""

    design: str
    table: str
    sent: Sent
    turn: Turn
    find: str = ""

    @property
    def state(self) -> Mapping[str, str]:
        """What the page carries to the next turn."""
        copy = self.turn.copy
        texts = (json.dumps(text, ensure_ascii=False) for text in (copy.design, copy.table))
        return {
            DESIGN: self.design,
            TABLE: self.table,
            **dict(zip(COPY, (*texts, steps_text(copy)), strict=True)),
            **{f"{which}_seen": sha256 for which, sha256 in self.turn.seen.items()},
        }

    @property
    def refused(self) -> Mapping[str, str]:
        """What was typed into fields and could not be taken: it stays there until it is mended."""
        return {field: self.sent.typed[field] for field in self.turn.refused if field in self.sent.typed}

    @property
    def name(self) -> str:
        """What the design is called, or its file while it has no name."""
        return self.turn.drawn.name or self.sent.design.name

    @property
    def title(self) -> str:
        """Of the page: what is not saved is seen in the list of a browser's tabs."""
        return f"{'* ' if self.turn.unsaved else ''}{self.name} · desk"

    @property
    def told(self) -> str:
        """What was done, or why it was not."""
        refused = [why for field, why in self.turn.refused.items() if field.startswith((VALUE, CELL))]
        drawn = self.turn.drawn
        undrawn = [] if drawn.drawings else [f"Nothing is drawn: {note.text}" for note in drawn.notes]
        return next(iter(filter(None, (self.turn.told, *refused, *undrawn))), "")

    def finds(self, row: Row) -> bool:
        """True of a value that has every word that is looked for in its name or meaning."""
        return all(word in row.words for word in self.find.lower().split())

    @property
    def files(self) -> Mapping[str, str]:
        """What the two files are called."""
        return {DESIGN: self.sent.design.name, TABLE: self.sent.table.name}

    @property
    def saving(self) -> str:
        """How much is not saved."""
        return f"{words.count(self.turn.unsaved, 'change')} not saved" if self.turn.unsaved else "All is saved"

    @property
    def seen(self) -> str:
        """What the files hold, as far as the page knows."""
        return " ".join(self.turn.seen.values())

    @property
    def shelves(self) -> Iterator[Shelf]:
        """Every value of the design, table by table."""
        changed = {one.place for one in self.turn.differences[DESIGN]}
        for group in self.turn.groups:
            yield Shelf(group, tuple(self._row(value, changed) for value in group.values), self._noted(group.place))

    def _row(self, value: edit.Listed, changed: Collection[str]) -> Row:
        field = f"{VALUE}{value.place}"
        refused = self.turn.refused.get(field, "")
        shown = self.sent.typed[field] if refused else shown_of(value)
        return Row(value, shown, value.place in changed, refused or value.problem)

    def _noted(self, place: str) -> int:
        return sum(one.place == place or one.place.startswith(f"{place}.") for one in self.notes) if place else 0

    @property
    def lines(self) -> Iterator[Line]:
        """The rows of the size table."""
        sheet = self.turn.sheet
        if sheet is None:
            return
        found = {(one.row, one.column): one.message for one in reversed(self.turn.problems)}
        changed = {one.place for one in self.turn.differences[TABLE]}
        for number, row in enumerate(sheet.rows, start=1):
            label = row[sheet.columns.index(SIZE)] if SIZE in sheet.columns else ""
            cells = [
                self._cell(number, label or f"row {number}", column, cell, found, changed)
                for column, cell in zip(sheet.columns, row, strict=True)
            ]
            yield Line(number, label or f"row {number}", tuple(cells), found.get((number, ""), ""), self._said(label))

    def _cell(
        self,
        row: int,
        label: str,
        column: str,
        text: str,
        found: Mapping[tuple[int, str], str],
        changed: Collection[str],
    ) -> Cell:
        field = f"{CELL}{row}.{column}"
        refused = self.turn.refused.get(field, "")
        shown = self.sent.typed[field] if refused else text.strip()
        at = self.turn.sheet.columns.index(column) + 1 if self.turn.sheet else 0
        return Cell(at, field, column, shown, f"{label}.{column}" in changed, refused or found.get((row, column), ""))

    def _said(self, label: str) -> tuple[str, ...]:
        """What is to be seen of a size in the whole range, in a word each."""
        split = [MADE_SPLIT for one in self.study.made if one.size == label and one.split]
        return tuple(dict.fromkeys((*split, *(WORDS[one.about] for one in self.notes if one.size == label))))

    @property
    def table_problems(self) -> tuple[str, ...]:
        """What is wrong with the table as a whole, or with a column."""
        return tuple(one.message for one in self.turn.problems if one.row == 0 or self.turn.sheet is None)

    @property
    def columns(self) -> Mapping[str, str]:
        """The columns that a table may have, and what each is."""
        return {name: about.meaning for name, about in RANGES.items()}

    @property
    def notes(self) -> tuple[Note, ...]:
        """Of the whole range, if that was looked at."""
        return self.study.notes

    @property
    def study(self) -> Study:
        """The whole range, or if that was not looked at what is drawn."""
        return self.turn.whole or self.turn.drawn

    @property
    def whole(self) -> bool:
        """True if the whole range was looked at."""
        return self.turn.whole is not None

    @property
    def size(self) -> str:
        """The size that is drawn, or would be."""
        return self.turn.drawn.size or self.sent.look.size

    @property
    def rise(self) -> str:
        """The rise that is drawn, or would be."""
        return self.turn.drawn.rise or self.sent.look.rise

    @property
    def views(self) -> Mapping[str, str]:
        return VIEWS

    @property
    def lays(self) -> tuple[str, ...]:
        return tuple(lay.value for lay in Lay)

    @property
    def fits(self) -> Mapping[str, str]:
        return FITS

    @property
    def made(self) -> Made | None:
        """The size that is drawn, in figures."""
        drawn = self.turn.drawn
        found = (one for one in drawn.made if (one.size, one.rise) == (drawn.size, drawn.rise))
        return next(found, None)

    @property
    def kinds(self) -> Mapping[About, str]:
        return KINDS

    @property
    def cloth_problem(self) -> str:
        """Why no cloth is taken into account."""
        return next((one.text for one in self.turn.drawn.notes if one.about is About.CLOTH), "")

    def on(self, label: str) -> bool:
        """True of a size that is among those laid over one another."""
        return self.sent.look.sizes is None or label in self.sent.look.sizes

    @property
    def sliders(self) -> tuple[Slider, ...]:
        """Where the casings of what is drawn lie."""
        return self.made.casings if self.made else ()

    def noted(self, casing: str) -> tuple[str, ...]:
        """What is said of a casing in the size that is drawn."""
        drawn = self.turn.drawn
        return tuple(one.text for one in drawn.notes if one.casing == casing and one.size in ("", drawn.size))

    def marked(self, svg: str) -> str:
        """A drawing whose casings and sizes are marked if something is said of them."""
        for name in dict.fromkeys(one.casing for one in self.turn.drawn.notes if one.casing):
            svg = svg.replace(f'data-casing="{escape(name)}"', f'data-casing="{escape(name)}" data-noted')
        for size in dict.fromkeys(one.size for one in self.turn.drawn.notes if one.about is About.GRADE):
            svg = svg.replace(f'data-size="{escape(size)}"', f'data-size="{escape(size)}" data-noted')
        return svg
