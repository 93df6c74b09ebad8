"""One turn at the desk: what a page sends with a change, and what it gets back. It is made in a worker."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from pathlib import Path
from typing import Final

from blocks.cloth import Lay
from blocks.quantity import read_count, shown
from blocks.size_range import Fit
from drafting.errors import DraftError
from output.commands.options import CLOTH_WIDTH, SELVEDGE
from output.commands.request import Request
from output.serve.desk.reverting import changes, reverted
from output.serve.desk.sliding import Slider
from output.serve.desk.steps import DESIGN, TABLE, Copy
from output.serve.desk.study import Study, StudyRequest, View, study
from output.serve.editing import edit
from output.serve.editing.places import CASING
from output.serve.form import FormError
from output.system.reading import TABLES

TEXTS: Final = (DESIGN, TABLE)

VALUE: Final = "p."
CELL: Final = "c."
MOVE: Final = "m."
NEW: Final = "new."
"""How fields begin that hold a value of the design, a cell of the table, a place of a casing in steps, or what is to be
added.
"""

BACK: Final = frozenset(("undo", "redo", "default", "revert", "theirs"))
"""What goes back to something, and so away from what could not be taken."""

CASINGS: Final = f"{CASING}."
"""How the places of casings begin."""

PATIENCE: Final = 20
"""Steps back to where a casing could be drafted."""

_STEPS: Final = re.compile(r"-?[0-9]{1,6}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Look(Request):
    """What is to be drawn, as `output.serve.desk.study.StudyRequest` says it; in a nest the `sizes` alone, all if None.

    Raises:
        DraftError: there is no such view, lay or fit.
    """

    view: View = View.OPENED
    size: str = ""
    rise: str = ""
    piece: str = ""
    sizes: tuple[str, ...] | None = None
    cloth: str = f"{CLOTH_WIDTH:g}"
    selvedge: str = f"{SELVEDGE:g}"
    lay: Lay = Lay.OPEN
    fit: Fit = Fit.AUTO


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """What a page sends: its working copy (None when it begins), the SHA-256 of the files that it knows, what was typed
    into which fields, what is to be done, and how to look at what comes of it. What is `joined` goes on with the step
    before. The `whole` range is looked at if asked for; that takes longer than what is drawn alone.
    """

    design: Path
    table: Path
    copy: Copy | None = None
    seen: Mapping[str, str] = field(default_factory=dict)
    typed: Mapping[str, str] = field(default_factory=dict)
    do: str = ""
    joined: bool = False
    look: Look = field(default_factory=Look)
    whole: bool = True


@dataclass(frozen=True, slots=True)
class Outside:
    """A file that another program has changed since the page knew it, and how the copy differs from it now."""

    which: str
    file: str
    differences: tuple[edit.Difference, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What a page gets back: the copy, what it knows of the files, what was done, and what could not be, by field. The
    last step is `open` to what is typed next at the same place.
    """

    copy: Copy
    open: bool
    seen: Mapping[str, str]
    told: str = ""
    refused: Mapping[str, str] = field(default_factory=dict)
    groups: tuple[edit.Group, ...] = ()
    problem: str = ""
    sheet: edit.Sheet | None = None
    problems: tuple[edit.Problem, ...] = ()
    differences: Mapping[str, tuple[edit.Difference, ...]] = field(default_factory=dict)
    outside: tuple[Outside, ...] = ()
    drawn: Study = field(default_factory=Study)
    whole: Study | None = None

    @property
    def unsaved(self) -> int:
        """How many places differ from the saved files."""
        return sum(map(len, self.differences.values()))


def turn(sent: Sent) -> Turn:
    """Do what is asked for, and look at what comes of it.

    Raises:
        DraftError: there is no copy, and a file cannot be read; or what was sent is not what a page sends.
    """
    desk = _Desk(sent)
    for name, value in sorted(sent.typed.items(), key=_renames):
        desk.type(name, value)
    desk.do(sent.do)
    return desk.turned()


class _Desk:
    """The copy while it is changed, beside the files as they are now."""

    def __init__(self, sent: Sent) -> None:
        self._sent = sent
        self._paths: Mapping[str, Path] = {DESIGN: sent.design, TABLE: sent.table}
        self._files = {which: edit.read(path) for which, path in self._paths.items()}
        self.copy = sent.copy or Copy(self._files[DESIGN].text, self._files[TABLE].text)
        self._seen = {which: sent.seen.get(which, file.sha256) for which, file in self._files.items()}
        self._refused: dict[str, str] = {}
        self._new: dict[str, str] = {}
        self._open = sent.joined
        self._told = ""
        self._shown = _values(self.copy.design)

    def type(self, name: str, value: str) -> None:
        """Take what was typed into a field; what is refused is told at it."""
        try:
            if name.startswith(VALUE):
                self._set(name.removeprefix(VALUE), value)
            elif name.startswith(CELL):
                self._fill(name.removeprefix(CELL), value)
            elif name.startswith(MOVE):
                self._move(name.removeprefix(MOVE), value)
            elif name.startswith(NEW):
                self._new[name.removeprefix(NEW)] = value
            else:
                raise FormError(f"desk: {shown(name)} is no field of this page; open the desk anew")
        except FormError:
            raise
        except DraftError as error:
            self._refused[name] = str(error)

    def do(self, asked: str) -> None:
        """Do what a button says."""
        verb, _, argument = asked.partition(" ")
        if not verb or verb == "look":
            return
        done = self._verbs().get(verb)
        if done is None:
            raise FormError(f"desk: {shown(verb)} cannot be done; open the desk anew")
        if verb in BACK:
            self._refused.clear()
        try:
            self._told = done(argument)
        except FormError:
            raise
        except DraftError as error:
            self._told = self._refused[verb] = str(error)

    def turned(self) -> Turn:
        """All that the page gets back."""
        groups, problem = _groups(self.copy.design)
        sheet = _sheet(self.copy.table)
        return Turn(
            copy=self.copy,
            open=self._open,
            seen=self._seen,
            told=self._told,
            refused=self._refused,
            groups=groups,
            problem=problem,
            sheet=sheet,
            problems=edit.problems(self.copy.design, self.copy.table, drafted=False),
            differences={which: self._differences(which) for which in TEXTS},
            outside=tuple(self._outside()),
            drawn=study(self._asked(self.copy)),
            whole=study(replace(self._asked(self.copy), sizes=(), rises=())) if self._sent.whole else None,
        )

    def _asked(self, copy: Copy) -> StudyRequest:
        """What is to be drawn of a copy: one size, or those of a nest."""
        look = self._sent.look
        chosen = (look.size,) if look.size else ()
        return StudyRequest(
            design=copy.design,
            table=copy.table,
            toml=self._sent.table.suffix.lower() not in TABLES,
            design_name=self._sent.design.name,
            table_name=self._sent.table.name,
            sizes=(look.sizes or ()) if look.view == View.NEST else chosen,
            rises=(look.rise,) if look.rise else (),
            size=look.size,
            view=look.view,
            piece=look.piece,
            cloth=look.cloth or None,
            selvedge=look.selvedge or SELVEDGE,
            lay=look.lay,
            fit=look.fit,
        )

    def _verbs(self) -> Mapping[str, Callable[[str], str]]:
        return {
            "undo": self._undo,
            "redo": self._redo,
            "default": self._default,
            "revert": self._revert,
            "add": self._add,
            "remove": self._remove,
            "up": partial(self._swap, by=-1),
            "down": partial(self._swap, by=1),
            "row": self._row,
            "unrow": self._without_row,
            "column": self._column,
            "theirs": self._theirs,
            "mine": self._mine,
            "save": self._save,
        }

    def _set(self, place: str, value: str) -> None:
        """Give a value of the design what was typed; nothing at all means its default."""
        shown_now = self._shown.get(place)
        if shown_now is None:
            raise DraftError(f"{place}: the design has no such value any more")
        if value != shown_now:
            self._change(DESIGN, place, edit.changed(self.copy.design, place, value or None))

    def _move(self, casing: str, value: str) -> None:
        """Put a casing so many steps above the origin."""
        slider = self._slider(casing)
        at = int(value) if _STEPS.fullmatch(value) else None
        if slider is None or at is None:
            raise DraftError(f"casing {casing!r}: it cannot be moved while it is not drawn; type where it lies")
        if at != slider.at:
            key, text = slider.value(at)
            place = f"casing.{casing}.{key}"
            self._change(DESIGN, place, edit.changed(self.copy.design, place, text))

    def _slider(self, casing: str) -> Slider | None:
        """Where a casing lies; while it is where it cannot be drafted, where it lay before."""
        copy = self.copy
        for _ in range(PATIENCE):
            casings = (one for made in study(self._asked(copy)).made for one in made.casings)
            if found := next((one for one in casings if one.name == casing), None):
                return found
            copy = copy.undo()
        return None

    def _default(self, place: str) -> str:
        self._change(DESIGN, place, edit.changed(self.copy.design, place, None))
        return f"{place} is back to its default"

    def _revert(self, change: str) -> str:
        which, _, place = change.partition(" ")
        self._change(which, place, reverted(which, self._file(which).text, self.copy.text(which), place))
        return f"{place} is as it was saved"

    def _add(self, _: str) -> str:
        text = edit.with_casing(self.copy.design, self.copy.table, self._new.get("casing", ""))
        self._change(DESIGN, "a new casing", text)
        return "A casing is added; move it to where it is wanted"

    def _remove(self, casing: str) -> str:
        self._change(DESIGN, f"casing {casing}", edit.changed(self.copy.design, f"casing.{casing}", None))
        return f"The casing {casing} is removed"

    def _swap(self, casing: str, *, by: int) -> str:
        """Exchange a casing with the one before or after it in the file."""
        names = [
            group.place.partition(".")[2] for group in edit.listed(self.copy.design) if group.place.startswith(CASINGS)
        ]
        at = names.index(casing) + by if casing in names else -1
        if not 0 <= at < len(names):
            raise DraftError(f"casing {casing!r}: there is none to change places with")
        self._change(DESIGN, f"casing {casing}", edit.swapped(self.copy.design, casing, names[at]))
        return f"The casing {casing} has changed places with {names[at]}"

    def _fill(self, cell: str, value: str) -> None:
        """Put what was typed into a cell of the table."""
        number, _, column = cell.partition(".")
        sheet = _cells(self.copy.table)
        row = read_count(number) or 0
        if not 1 <= row <= len(sheet.rows) or column not in sheet.columns:
            raise DraftError(f"{cell}: the table has no such cell any more")
        if sheet.rows[row - 1][sheet.columns.index(column)].strip() != value:
            self._change(TABLE, f"row {row} {column}", edit.with_cell(self.copy.table, row, column, value))

    def _row(self, number: str) -> str:
        self._change(TABLE, "a new row", edit.with_row(self.copy.table, read_count(number) or 0))
        return f"A row is added as number {number}"

    def _without_row(self, number: str) -> str:
        self._change(TABLE, f"row {number}", edit.without_row(self.copy.table, read_count(number) or 0))
        return f"Row {number} is removed"

    def _column(self, _: str) -> str:
        column = self._new.get("column", "")
        self._change(TABLE, f"column {column}", edit.with_column(self.copy.table, column))
        return f"The column {column} is added"

    def _change(self, which: str, place: str, text: str) -> None:
        before, joined = self.copy.done, self._sent.joined
        self.copy = self.copy.changed(which, place, text, joined=joined)
        done = self.copy.done
        self._open = done[:-1] == before[:-1] and bool(done) if joined else done != before

    def _undo(self, _: str) -> str:
        before, self.copy = self.copy, self.copy.undo()
        return f"Undone: {before.done[-1].place}" if before.done else "There is nothing to undo"

    def _redo(self, _: str) -> str:
        before, self.copy = self.copy, self.copy.redo()
        return f"Done again: {before.undone[-1].place}" if before.undone else "There is nothing to do again"

    def _theirs(self, which: str) -> str:
        file = self._file(which)
        self.copy = self.copy.changed(which, "the file as it is", file.text)
        self._seen[which] = file.sha256
        return f"{self._paths[which].name} is loaded as it is now"

    def _mine(self, which: str) -> str:
        self._seen[which] = self._file(which).sha256
        return f"What is here is kept; saving will write it over {self._paths[which].name}"

    def _save(self, _: str) -> str:
        """Write what has changed, if no file is another than the page knew."""
        if self._refused:
            raise DraftError("nothing is saved: mend what was refused first, or undo it")
        if next(self._outside(), None):
            raise DraftError("nothing is saved: choose first what is to be kept of the file that was changed outside")
        saved = [which for which in TEXTS if self.copy.text(which) != self._files[which].text]
        for which in saved:
            path = self._paths[which]
            self._files[which] = edit.save(path, self.copy.text(which), self._seen[which], within=path.parent)
            self._seen[which] = self._files[which].sha256
        names = " and ".join(self._paths[which].name for which in saved)
        return f"Saved: {names}" if saved else "There is nothing to save"

    def _file(self, which: str) -> edit.Saved:
        if which not in self._files:
            raise FormError(f"desk: {shown(which)} is no text of this page; open the desk anew")
        return self._files[which]

    def _differences(self, which: str) -> tuple[edit.Difference, ...]:
        return changes(which, self._files[which].text, self.copy.text(which))

    def _outside(self) -> Iterator[Outside]:
        """The files that are not as the page knew them; one that holds what the page does is known from now on."""
        for which, file in self._files.items():
            if file.text == self.copy.text(which):
                self._seen[which] = file.sha256
            if self._seen[which] != file.sha256:
                yield Outside(which, self._paths[which].name, self._differences(which))


def _renames(typed: tuple[str, str]) -> bool:
    """True of a casing's name: it is changed when all that is found by it has been."""
    return typed[0].startswith(f"{VALUE}{CASINGS}") and typed[0].endswith(".name")


def _groups(text: str) -> tuple[tuple[edit.Group, ...], str]:
    """The values of a design, or why they cannot be told."""
    try:
        return edit.listed(text), ""
    except DraftError as error:
        return (), str(error)


@lru_cache(maxsize=4)
def _cells(text: str) -> edit.Sheet:
    """The cells of a table: a page without scripting sends all of them at once."""
    return edit.sheet(text)


def _sheet(text: str) -> edit.Sheet | None:
    """The cells of a table; None of one that has none, which its problems tell of."""
    try:
        return _cells(text)
    except DraftError:
        return None


def _values(text: str) -> Mapping[str, str]:
    """What the page shows of each value of a design."""
    return {one.place: shown_of(one) for group in _groups(text)[0] for one in group.values}


def shown_of(value: edit.Listed) -> str:
    """A value as the page shows it: as it is written, or its default."""
    return (value.value if value.value is not None else value.default).strip()
