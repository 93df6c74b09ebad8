"""The wearer's form: which fields it has for a design, and what is asked for by what was typed into them."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any, Final, TypeVar

from blocks.cloth import Lay, cloth_length
from blocks.design import Design
from blocks.fitting import CALLED as FIT
from blocks.fitting import NAMES as FINDINGS
from blocks.fitting import Fitting, called, fitting_from
from blocks.known import block_of, used_of
from blocks.measurements import ALWAYS, RANGES, body_from, check_label, measurement, missing
from blocks.parameters import of_kind, parameters_of
from blocks.quantity import read_cell, shown
from blocks.size_range import Fit
from drafting.errors import DraftError, MeasurementError
from drafting.units import MILLIMETRES
from output.commands.draft import DraftRequest
from output.commands.options import SELVEDGE
from output.paper.sizes import PAPERS, PROJECTIONS, roll_named
from output.serve.drawing.screen import standard_body
from output.serve.folder import Folder, Named
from output.serve.form import FormError
from output.words.text import spoken

UNITS: Final = ("cm", "in")
"""In which a tape is read."""

PAGES: Final = {f"page.{paper.name}": paper.name for paper in PAPERS.values()}
GROUNDS: Final = {f"projection.{ground}": ground for ground in PROJECTIONS}
ADJUSTED: Final = {f"{FIT}.{name}": name for name in FINDINGS}
EXTRAS: Final = ("svg", "dxf", "before_after", "guide")
PLAIN: Final = ("design", "unit", "rise", "size", "cloth", "selvedge", "lay", "fit", "roll")

FIELDS: Final = frozenset((*PLAIN, *RANGES, *ADJUSTED, *PAGES, *GROUNDS, *EXTRAS))
"""Every field that the form can have, by its name; a message about one begins with it."""

_APART: Final = re.compile(r"[\s;]+")

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Entry:
    """A field for a figure: its name, how it is called on a page, and what is to be measured."""

    name: str
    label: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of the form for one design: measurements it `needs`, those that `help` it, the `others`."""

    needs: tuple[Entry, ...]
    helps: tuple[Entry, ...]
    others: tuple[Entry, ...]
    findings: tuple[Entry, ...]
    rises: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What a filled form asks for: a request, or what is wrong by field ("" if by none), and what was typed.

    `missing` are the measurements that the design needs and that were left empty; they are among the problems.
    """

    design: Named | None
    values: Mapping[str, str]
    problems: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    request: DraftRequest | None = None


def form_of(design: Design) -> Form:
    """The form for a design."""
    block, names = block_of(design), tuple(RANGES)
    needs = [name for name in names if name in block.needs or name in ALWAYS]
    helps = [name for name in used_of(design, standard_body()) if name not in needs]
    about = parameters_of(Fitting)
    return Form(
        needs=tuple(map(_entry, needs)),
        helps=tuple(map(_entry, helps)),
        others=tuple(_entry(name) for name in names if name not in needs and name not in helps),
        findings=tuple(
            Entry(f"{FIT}.{name}", called(name).capitalize(), about[name].meaning) for name in block.findings
        ),
        rises=block.rises,
    )


def _entry(name: str) -> Entry:
    return Entry(name, spoken(name).capitalize(), RANGES[name].meaning)


def read(fields: Mapping[str, str], folder: Folder, *, typing: str = "") -> Asked:
    """What the filled form asks for. Every field is looked at, not the first alone.

    A field that somebody is `typing` into, and that is wrong by itself, is left out: it is not finished.

    Raises:
        FormError: a field that the form does not have.
        DraftError: the folder cannot be read.
    """
    for name in fields:
        if name not in FIELDS:
            raise FormError(f"form: {shown(name)} is no field of this page; open the page anew and try again")
    designs = folder.designs()
    named, problems = _chosen(fields.get("design", ""), designs)
    if named is None or named.design is None or problems:
        return Asked(named, fields, problems)
    asked = _Reader(named.design, fields).asked()
    if typing in asked.problems and typing in fields:
        begun = {typing: asked.problems[typing]}
        asked = _Reader(named.design, {name: value for name, value in fields.items() if name != typing}).asked()
        if typing in asked.missing:
            asked = replace(asked, problems={**asked.problems, **begun})
    return replace(asked, design=named, values=fields)


def placed(error: DraftError) -> tuple[str, str]:
    """The field that an error is about, empty if it is about none, and what it says."""
    told = str(error)
    name = told.partition(":")[0]
    return (name if name in FIELDS else "", told)


def _chosen(slug: str, designs: Collection[Named]) -> tuple[Named | None, dict[str, str]]:
    """The design of that public name; without one, or if it cannot be had, the first that can be drafted."""
    first = next((one for one in designs if one.design), None)
    if not slug:
        return first, {}
    named = next((one for one in designs if one.slug == slug), None)
    if named is None:
        return first, {"design": f"design: {shown(slug)} is not here, or not any more; choose another"}
    return (named, {}) if named.design else (first, {"design": named.problem})


class _Reader:
    """Reads the fields of the form for a design one by one and notes what is wrong with each."""

    def __init__(self, design: Design, fields: Mapping[str, str]) -> None:
        self._design, self._block, self._fields = design, block_of(design), fields
        self._problems: dict[str, str] = {}

    def asked(self) -> Asked:
        unit = self._word("unit", of_unit, "cm")
        measured, lacking = self._measured(unit)
        adjust = self._adjusted(unit)
        if not any(name in RANGES for name in self._problems):
            self._try("", lambda: body_from(measured, unit=unit, needs=self._block.needs))
        rest: dict[str, Any] = {
            "size": self._word("size", check_label, None),
            "rise": self._word("rise", self._block.rise_named, "") if self._block.rises else "",
            "rolls": tuple(self._rolls()),
            "cloth": self._cloth("cloth", "width", unit),
            "selvedge": self._cloth("selvedge", "selvedge", unit, SELVEDGE),
            "lay": self._word("lay", lambda raw: of_kind("lay", raw, Lay, DraftError), Lay.OPEN),
            "fit": self._word("fit", lambda raw: of_kind("fit", raw, Fit, DraftError), Fit.AUTO),
            **{name: name in self._fields for name in EXTRAS},
        }
        if self._problems:
            return Asked(None, self._fields, self._problems, lacking)
        pages = tuple(paper for name, paper in PAGES.items() if name in self._fields)
        grounds = tuple(ground for name, ground in GROUNDS.items() if name in self._fields)
        body: dict[str, Any] = {"measured": measured, "unit": unit, "adjust": adjust}
        request = DraftRequest(design=self._design, out="", pages=pages, projections=grounds, **body, **rest)
        return Asked(None, self._fields, request=request)

    def _measured(self, unit: str) -> tuple[dict[str, Any], tuple[str, ...]]:
        """Each measurement as it was typed, and those that are missing."""
        taken, lacking = {}, []
        for name in RANGES:
            if name in self._fields:
                taken[name] = read_cell(self._fields[name])
                self._try(name, partial(measurement, name, taken[name], unit))
            elif name in self._block.needs or name in ALWAYS:
                lacking.append(name)
                self._problems[name] = missing(name, unit)
        return taken, tuple(lacking)

    def _adjusted(self, unit: str) -> dict[str, str]:
        """What a fitting found, as it was typed; a block that cannot be changed by a finding has no field for it."""
        found = {
            name: self._fields[place]
            for place, name in ADJUSTED.items()
            if place in self._fields and name in self._block.findings
        }
        for name, amount in found.items():
            self._try(f"{FIT}.{name}", partial(fitting_from, {name: amount}, unit))
        if not any(f"{FIT}.{name}" in self._problems for name in found):
            self._try("", lambda: fitting_from(found, unit))
        return found

    def _rolls(self) -> Iterator[float]:
        for width in filter(None, _APART.split(self._fields.get("roll", ""))):
            paper = self._try("roll", partial(roll_named, width))
            if paper:
                yield paper.width

    def _cloth(self, name: str, parameter: str, unit: str, otherwise: float | None = None) -> Any:
        """A length of the cloth in cm, whatever it was typed in."""
        if name not in self._fields:
            return otherwise
        length = self._try(name, lambda: cloth_length(parameter, read_cell(self._fields[name]), unit, name=name))
        return None if length is None else length / MILLIMETRES["cm"]

    def _word(self, name: str, known: Callable[[str], Value], otherwise: Value) -> Value:
        """What a field says, or what is meant without it."""
        if name not in self._fields:
            return otherwise
        value = self._try(name, lambda: known(self._fields[name]))
        return otherwise if value is None else value

    def _try(self, name: str, look: Callable[[], Value]) -> Value | None:
        """What is found, or None when it is refused; the problem is noted at the field that it is about."""
        try:
            return look()
        except DraftError as error:
            place, told = placed(error)
            self._problems.setdefault(place or name, told)
            return None


def of_unit(raw: str) -> str:
    """The unit of that name.

    Raises:
        MeasurementError: no tape has it.
    """
    if raw not in UNITS:
        raise MeasurementError(f"unit: {shown(raw)} is no unit of a tape; choose one of {', '.join(UNITS)}")
    return raw
