"""Two releases held against one another: sizes, files, numbers of the design, figures of the tables.

A release is read from its folder. What its design said stands in none of its files, so that is compared only where it
is known from elsewhere.
"""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from blocks.design import Design
from blocks.parameters import parameters_of
from blocks.quantity import finite
from blocks.words import runs, together
from drafting.errors import OutputError
from drafting.units import show_in
from output.inspection.folder import listing
from output.inspection.manifest import MANIFEST
from output.serve.releases.figures import Figure, Figures, figures_in
from output.system.reading import LARGEST_JSON, read_bytes
from output.words import text as words

FIRST: Final = "There was no release in this folder to compare this one with."
SAME: Final = "All files are what they were, byte for byte."
UNKNOWN: Final = (
    "What the design of the earlier release said is not known: no file of a release holds it, and that release was not "
    "made here since these pages were opened."
)
NOT_THERE: Final = "not there"
NO_FIGURE: Final = Figure(None, "", NOT_THERE)
MOST_SAID: Final = 4
"""Changes of a design that are said in a sentence; more are counted, and all are in the table."""

MEASURES: Final = "finished measures: "
DECIMALS: Final = 3
"""Of differences between figures of tables, which have no more."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A number or a word of a design, and how its designer reads it; `unit` is that of a number, mm for a length."""

    value: object
    unit: str
    told: str
    written_in: str = "mm"


@dataclass(frozen=True, slots=True)
class Release:
    """A release as it stands in its folder: the SHA-256 of its files, its figures; what its design said, if known."""

    files: Mapping[str, str]
    figures: Figures
    settings: Mapping[str, Setting] | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """What was one thing before and is another now, and by how much, where both are numbers."""

    what: str
    before: str
    after: str
    by: str = ""
    more: float | None = None


@dataclass(frozen=True, slots=True)
class Shift:
    """A figure that has changed, of one rise: in which sizes, by how much, and size by size."""

    what: str
    rise: str
    sizes: str
    by: str
    each: tuple[Moved, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """What is different: in plain sentences, and one by one."""

    sentences: tuple[str, ...]
    settings: tuple[Moved, ...] = ()
    figures: tuple[Shift, ...] = ()
    added: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()


def read_release(folder: Path, settings: Mapping[str, Setting] | None = None) -> Release | None:
    """The release in a folder; None if it has no manifest.

    Raises:
        OutputError: its manifest is none of ours, or a table cannot be read.
    """
    if not (folder / MANIFEST).exists():
        return None
    _, files = listing(folder)
    return Release({file.name: file.sha256 for file in files}, figures_in(folder), settings)


def digest_of(folder: Path) -> str:
    """The SHA-256 of a folder's manifest, by which one release is told from the next; empty without a manifest."""
    try:
        return hashlib.sha256(read_bytes(folder / MANIFEST, "manifest", LARGEST_JSON)).hexdigest()
    except OutputError:
        return ""


def settings_of(design: Design) -> dict[str, Setting]:
    """Every number and word of a design by its place, each length as its designer writes it.

    >>> settings_of(Design("Wren", unit="cm"))["waist.overlap"].told
    '2 cm'
    """
    return dict(_settings(design, "", design.unit))


def _settings(record: Any, where: str, unit: str) -> Iterator[tuple[str, Setting]]:
    about = parameters_of(record)
    for each in (each for each in dataclasses.fields(record) if each.compare):
        value, place = getattr(record, each.name), f"{where}{each.name}"
        if dataclasses.is_dataclass(value):
            yield from _settings(value, f"{place}.", unit)
        elif isinstance(value, tuple):
            for number, one in enumerate(value, start=1):
                inner = f"{place.removesuffix('s')}.{getattr(one, 'name', number)}"
                if dataclasses.is_dataclass(one):
                    yield from _settings(one, f"{inner}.", unit)
                else:
                    yield inner, Setting(one, "", str(one))
        else:
            own = about[each.name].unit if each.name in about else ""
            yield place, Setting(value, own, _said(value, own, unit), unit)


def _said(value: object, own: str, unit: str) -> str:
    if value is None:
        return "left out"
    if isinstance(value, bool):
        return "yes" if value else "no"
    number = None if isinstance(value, str) else finite(value)
    if number is None:
        return str(value)
    return show_in(number, unit) if own == "mm" else f"{number:.6g} {own}".rstrip()


def compare(before: Release | None, after: Release) -> Comparison:
    """What is different in the later of two releases."""
    if before is None:
        return Comparison((FIRST,))
    added = tuple(sorted(after.files.keys() - before.files.keys()))
    gone = tuple(sorted(before.files.keys() - after.files.keys()))
    changed = tuple(name for name in sorted(after.files) if before.files.get(name, "") not in ("", after.files[name]))
    settings, known = _moved_settings(before, after)
    figures = tuple(_shifts(before.figures, after.figures))
    sentences = (
        *_membership("Size", before.figures.sizes, after.figures.sizes),
        *_membership("Rise", before.figures.rises, after.figures.rises),
        _of_files(len(after.files), added, gone, changed),
        _of_settings(settings) if known else UNKNOWN,
        *_of_figures(figures),
    )
    return Comparison(sentences, settings, figures, added, gone, changed)


def _membership(noun: str, before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    """Which sizes or rises have come and gone."""
    for names, what in (
        ([one for one in after if one not in before], "new"),
        ([one for one in before if one not in after], "gone"),
    ):
        if names:
            yield f"{noun}{'s' * (len(names) > 1)} {together(names)} {'are' if names[1:] else 'is'} {what}."


def _of_files(number: int, added: Collection[str], gone: Collection[str], changed: Collection[str]) -> str:
    if not (added or gone or changed):
        return SAME
    same = number - len(added) - len(changed)
    counted = [(len(added), "new"), (len(gone), "gone"), (len(changed), "changed"), (same, "the same")]
    return f"Files: {together([f'{many} {what}' for many, what in counted if many])}."


def _moved_settings(before: Release, after: Release) -> tuple[tuple[Moved, ...], bool]:
    """What has changed in the design, and whether that is known at all."""
    if before.settings is None or after.settings is None:
        return (), False
    places = dict.fromkeys((*before.settings, *after.settings))
    moved = [(place, before.settings.get(place), after.settings.get(place)) for place in places]
    return tuple(
        Moved(place, one.told if one else NOT_THERE, other.told if other else NOT_THERE, _by_setting(one, other))
        for place, one, other in moved
        if _value(one) != _value(other) and ((one and other) or _is_first(place, before.settings, after.settings))
    ), True


def _is_first(place: str, before: Mapping[str, Setting], after: Mapping[str, Setting]) -> bool:
    """True of what stands for a record that only one design has: its name, if it has one, or else all that is in it."""
    name = f"{place.rpartition('.')[0]}.name"
    return place == name or (name in before) is (name in after)


def _value(setting: Setting | None) -> object:
    """What counts of a setting: the length, in whichever unit it is written."""
    return (None,) if setting is None else setting.value


def _by_setting(one: Setting | None, other: Setting | None) -> str:
    if one is None or other is None or isinstance(one.value, bool) or one.unit != other.unit:
        return ""
    numbers = [None if isinstance(each.value, str) else finite(each.value) for each in (one, other)]
    if numbers[0] is None or numbers[1] is None:
        return ""
    more = numbers[1] - numbers[0]
    return f"{'−' if more < 0 else '+'}{_said(abs(more), one.unit, other.written_in)}"


def _of_settings(moved: Sequence[Moved]) -> str:
    if not moved:
        return "The design says what it said."
    if len(moved) <= MOST_SAID:
        return f"In the design {'; '.join(f'{one.what} was {one.before} and is {one.after}' for one in moved)}."
    return f"In the design {len(moved)} places have changed."


def _shifts(before: Figures, after: Figures) -> Iterator[Shift]:
    """The figures that are not the same, in the order of the later tables, of the sizes that both releases have."""
    both = {place.size for place in before.by_place} & {place.size for place in after.by_place}
    rows: dict[tuple[str, str], list[tuple[str, Figure, Figure]]] = {}
    for place in dict.fromkeys((*after.by_place, *before.by_place)):
        if place.size in both:
            pair = (before.by_place.get(place, NO_FIGURE), after.by_place.get(place, NO_FIGURE))
            rows.setdefault((place.what, place.rise), []).append((place.size, *pair))
    for (what, rise), row in rows.items():
        pairs = [(size, one, other) for size, one, other in row if one != other]
        if pairs:
            each = tuple(
                Moved(size, one.told, other.told, _by(one, other), _more(one, other)) for size, one, other in pairs
            )
            sizes = _sizes([size for size, _, _ in row], [size for size, _, _ in pairs])
            yield Shift(what, rise, sizes, _span(pairs), each)


def _sizes(among: Sequence[str], chosen: Sequence[str]) -> str:
    """Of which sizes a figure has changed."""
    return f"all {len(among)}" if len(among) == len(chosen) > 1 else runs(among, chosen)


def _by(one: Figure, other: Figure) -> str:
    more = _more(one, other)
    return "" if more is None else _signed(more, other.unit)


def _more(one: Figure, other: Figure) -> float | None:
    """How much more the later figure is; nothing where it is no number of the same unit."""
    if one.number is None or other.number is None or one.unit != other.unit:
        return None
    return round(other.number - one.number, DECIMALS)


def _span(pairs: Sequence[tuple[str, Figure, Figure]]) -> str:
    """By how much the sizes have changed, from the least to the most."""
    all_more = [_more(one, other) for _, one, other in pairs]
    numbers = [more for more in all_more if more is not None]
    if not numbers or len(numbers) < len(all_more):
        return ""
    low, high, unit = min(numbers), max(numbers), pairs[0][2].unit
    return _signed(low, unit) if low == high else f"{_signed(low)} to {_signed(high, unit)}"


def _signed(number: float, unit: str = "") -> str:
    """A difference with its sign.

    >>> _signed(0.5, "cm"), _signed(-2)
    ('+0.5 cm', '−2')
    """
    return f"{'−' if number < 0 else '+'}{abs(number):g} {unit}".rstrip()


def _of_figures(shifts: Sequence[Shift]) -> Iterator[str]:
    if not shifts:
        yield "No figure of the tables has changed."
        return
    number = sum(len(shift.each) for shift in shifts)
    yield f"In the tables {words.count(number, 'figure')} {'has' if number == 1 else 'have'} changed."
    measures = [shift for shift in shifts if shift.what.startswith(MEASURES)]
    moved = [(abs(one.more), shift, one) for shift in measures for one in shift.each if one.more is not None]
    if moved:
        _, shift, one = max(moved, key=lambda found: found[0])
        where = f"size {one.what}{f', {shift.rise} rise' if shift.rise else ''}"
        yield f"Of the finished measures {shift.what.removeprefix(MEASURES)} has changed most: {one.by} in {where}."
