"""A range: every size of a table drafted in every rise, whole or split as the cloth demands, and sorted into files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from blocks.cloth import Cloth, Lay, width_across
from blocks.design import Design
from blocks.leg import Rise, left_out
from blocks.measurements import Body
from blocks.parameters import of_kind
from blocks.quantity import shown
from blocks.short import Short, draft_short
from blocks.size_table import Size, SizeTable
from drafting.errors import DesignError, DraftError
from drafting.units import apart

LAYS = {Lay.OPEN: "single layer", Lay.FOLDED: "folded"}


class Fit(StrEnum):
    """How legs are made to fit the cloth: split where they must be, or all whole, or all split."""

    AUTO = "auto"
    WHOLE = "whole"
    SPLIT = "split"


@dataclass(frozen=True, slots=True)
class Job:
    """One size in one rise, waiting to be drafted. It can be sent to another process."""

    design: Design
    size: Size
    rise: Rise
    cloth: Cloth | None
    fit: Fit


@dataclass(frozen=True, slots=True)
class Failure:
    """A size that could not be drafted, and why."""

    label: str
    rise: Rise
    message: str

    def __str__(self) -> str:
        return f"{self.label}, {self.rise} rise: {self.message}"


@dataclass(frozen=True, slots=True)
class Group:
    """Sizes that are printed in one file: of one rise, and all whole or all split."""

    rise: Rise
    split: bool
    shorts: tuple[Short, ...]


@dataclass(frozen=True, slots=True)
class SizeRange:
    """One design in every size. `shorts` and `failures` run by rise, then by size."""

    design: Design
    table: SizeTable
    rises: tuple[Rise, ...]
    cloth: Cloth | None
    fit: Fit
    shorts: tuple[Short, ...]
    failures: tuple[Failure, ...]

    def of(self, rise: Rise) -> tuple[Short, ...]:
        """The sizes drafted in that rise, smallest first."""
        return tuple(short for short in self.shorts if short.rise is rise)

    @property
    def drafted(self) -> tuple[Size, ...]:
        """The sizes of the table that could be drafted in one rise or more."""
        done = {short.size for short in self.shorts}
        return tuple(size for size in self.table.sizes if size.label in done)

    @property
    def groups(self) -> tuple[Group, ...]:
        """What goes into one file each: rise by rise, the whole sizes before the split ones."""
        groups = []
        for rise in self.rises:
            for split in (False, True):
                shorts = tuple(short for short in self.of(rise) if short.split is split)
                if shorts:
                    groups.append(Group(rise, split, shorts))
        return tuple(groups)

    @property
    def splitting(self) -> tuple[str, ...]:
        """Which sizes are split, in a sentence: one for all rises, or one for each where they differ."""
        told = {rise: self._splitting(self.of(rise)) for rise in self.rises if self.of(rise)}
        if len(set(told.values())) == 1:
            return tuple(set(told.values()))
        return tuple(f"{rise} rise: {sentence}" for rise, sentence in told.items())

    def _splitting(self, shorts: Sequence[Short]) -> str:
        every = "every size" if len(shorts) == len(self.table.sizes) else "every size that could be drafted"
        if self.fit is not Fit.AUTO:
            return f"{every} is {'left whole' if self.fit is Fit.WHOLE else 'split'}, as chosen"
        if self.cloth is None:
            return f"{every} is left whole: no cloth width was given"
        on = f"on {cloth_words(self.cloth)}"
        split = [short.split for short in shorts]
        if not any(split):
            return f"no size is split {on}"
        if all(split):
            return f"{every} is split {on}"
        runs = _runs([short.size for short in shorts], split)
        return f"{_listed(runs)} {'is' if sum(split) == 1 else 'are'} split {on}"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to look at: in the table, in each size, and pieces that were forced to be wider than the cloth."""
        found = [*self.table.warnings, *casings_left_out(self.shorts)]
        for short in self.shorts:
            where = f"{short.size}, {short.rise} rise"
            elsewhere = {
                *short.body.warnings,
                *(left_out(casing, self.design, short.rise) for casing in short.left_out),
            }
            found += [f"{where}: {warning}" for warning in short.warnings if warning not in elsewhere]
        return tuple(found)


def draft_range(
    design: Design,
    table: SizeTable,
    *,
    rises: Sequence[str] = tuple(Rise),
    cloth: Cloth | None = None,
    fit: str = Fit.AUTO,
    run: Callable[[Callable[[Job], Short | Failure], Sequence[Job]], Iterable[Short | Failure]] = map,
) -> SizeRange:
    """Draft every size of a table in every rise; a size that cannot be drafted is a failure, and the rest still are.

    With a `cloth` a leg wider than it is split at its side line; a size whose halves are still too wide fails. `fit`
    forces all legs whole or split: then a piece too wide is a warning. `run` maps `draft_size` over the jobs in
    order, as `map` does; give a process pool's to draft several at once.

    Raises:
        DesignError: an unknown rise or fit, or no rise at all.
    """
    of_kind("design", design, Design)
    of_kind("sizes", table, SizeTable)
    of_kind("cloth", cloth, Cloth | None)
    for rise in of_kind("rises", rises, tuple[str, ...]):
        if rise not in tuple(Rise):
            raise DesignError(f"rise: {shown(rise)} is not a rise of this design; choose one of {', '.join(Rise)}")
    if not rises:
        raise DesignError(f"rise: none given; choose one or more of {', '.join(Rise)}")
    if not isinstance(fit, str) or fit not in tuple(Fit):
        raise DesignError(f"fit: {shown(fit)} is unknown; choose one of {', '.join(Fit)}")
    wanted = tuple(dict.fromkeys(Rise(rise) for rise in rises))
    jobs = [Job(design, size, rise, cloth, Fit(fit)) for rise in wanted for size in table.sizes]
    made = list(run(draft_size, jobs))
    return SizeRange(
        design=design,
        table=table,
        rises=wanted,
        cloth=cloth,
        fit=Fit(fit),
        shorts=tuple(one for one in made if isinstance(one, Short)),
        failures=tuple(one for one in made if isinstance(one, Failure)),
    )


def draft_size(job: Job) -> Short | Failure:
    """Draft one size in one rise, split where the job's cloth demands it; or say why it cannot be."""
    size = job.size
    try:
        return draft_to_fit(job.design, size.body, rise=job.rise, size=size.label, cloth=job.cloth, fit=job.fit)
    except DraftError as error:
        return Failure(size.label, job.rise, str(error))


def draft_to_fit(
    design: Design, body: Body, *, rise: str, size: str = "", cloth: Cloth | None = None, fit: str = Fit.AUTO
) -> Short:
    """Draft one size whole, or split where its leg is wider than the cloth; `fit` forces it whole or split, and then a
    piece too wide for the cloth is a warning.

    Raises:
        DesignError: see `blocks.short.draft_short`; or the split pieces are still too wide for the cloth.
        GeometryError: see `blocks.short.draft_short`.
    """
    if fit != Fit.AUTO or cloth is None:
        short = draft_short(design, body, rise=rise, size=size, split=fit == Fit.SPLIT)
        misfit = too_wide(short, cloth) if cloth else ""
        return replace(short, warnings=(*short.warnings, misfit)) if misfit else short
    short = draft_short(design, body, rise=rise, size=size, split=lambda leg: not cloth.fits(leg))
    if short.split and (misfit := too_wide(short, cloth)):
        raise DesignError(misfit)
    return short


def too_wide(short: Short, cloth: Cloth) -> str:
    """Which pieces do not fit across the cloth and what to do about it; empty when all do."""
    wide = [piece for piece in short.pieces if not cloth.fits(piece)]
    if not wide:
        return ""
    told = [apart(width_across(piece) / 10, cloth.usable / 10, decimals=1) for piece in wide]
    usable = max((limit for _, limit in told), key=len)
    each = ", ".join(f"{piece.name} ({width} cm)" for piece, (width, _) in zip(wide, told, strict=True))
    remedy = "wider cloth" if short.split else "wider cloth or a split leg"
    opened = " or a single layer" if cloth.lay is Lay.FOLDED else ""
    return f"too wide for {cloth_words(cloth)}, usable {usable} cm: {each}; use {remedy}{opened}"


def casings_left_out(shorts: Sequence[Short]) -> tuple[str, ...]:
    """Which casings a rise lacks, in which of these sizes of a design and why: a sentence for each casing and rise."""
    told = []
    for rise in dict.fromkeys(short.rise for short in shorts):
        sizes = [short for short in shorts if short.rise is rise]
        for casing in sizes[0].design.casings:
            lacking = [casing in short.left_out for short in sizes]
            if any(lacking):
                where = _listed(_runs([short.size for short in sizes], lacking))
                every = (
                    "every size" if all(lacking) and len(sizes) > 1 else f"{where} alone" if len(sizes) > 1 else where
                )
                told.append(f"{every}, {rise} rise: {left_out(casing, sizes[0].design, rise)}")
    return tuple(told)


def cloth_words(cloth: Cloth) -> str:
    """A cloth as it is told to the reader.

    >>> cloth_words(Cloth(1400)), cloth_words(Cloth(1100, lay=Lay.FOLDED))
    ('140 cm cloth, single layer', '110 cm cloth, folded')
    """
    return f"{cloth.width / 10:g} cm cloth, {LAYS[cloth.lay]}"


def _runs(labels: Sequence[str], chosen: Sequence[bool]) -> list[str]:
    """Neighbours that were chosen, as `H84 to H92`; a run to the end as `H128 and up`."""
    runs, start = [], 0
    for end in range(1, len(labels) + 1):
        if end < len(labels) and chosen[end] == chosen[start]:
            continue
        if chosen[start]:
            first, last = labels[start], labels[end - 1]
            if end - start == 1:
                runs.append(first)
            elif end == len(labels):
                runs.append(f"{first} and up")
            else:
                runs.append(f"{first} to {last}")
        start = end
    return runs


def _listed(runs: Sequence[str]) -> str:
    return runs[0] if len(runs) == 1 else f"{', '.join(runs[:-1])} and {runs[-1]}"
