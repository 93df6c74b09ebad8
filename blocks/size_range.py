"""A range: every size of a table drafted in every rise, whole or split as the cloth demands, and sorted into files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from blocks.cloth import Cloth, Lay, width_across
from blocks.design import Design
from blocks.fitting import check_taken
from blocks.garment import Garment, size_and_rise
from blocks.known import block_of
from blocks.left_out import casings_left_out, parts_omitted, uneven_casings
from blocks.measurements import Body
from blocks.parameters import of_kind
from blocks.quantity import shown
from blocks.size_table import Size, SizeTable
from blocks.words import listed
from drafting.errors import DesignError, DraftError
from drafting.units import apart

LAYS = {Lay.OPEN: "single layer", Lay.FOLDED: "folded"}


class Fit(StrEnum):
    """How legs are made to fit the cloth: split where they must be, or all whole, or all split."""

    AUTO = "auto"
    WHOLE = "whole"
    SPLIT = "split"


@dataclass(frozen=True, slots=True)
class Drafting:
    """One size in one rise, waiting to be drafted. It can be sent to another process."""

    design: Design
    size: Size
    rise: str
    cloth: Cloth | None
    fit: Fit


@dataclass(frozen=True, slots=True)
class Undrafted:
    """A size that could not be drafted, and why."""

    label: str
    rise: str
    message: str

    def __str__(self) -> str:
        return f"{size_and_rise(self.label, self.rise)}: {self.message}"


@dataclass(frozen=True, slots=True)
class Group:
    """Sizes that are printed in one file: of one rise, and all whole or all split."""

    rise: str
    split: bool
    garments: tuple[Garment, ...]


@dataclass(frozen=True, slots=True)
class SizeRange:
    """One design in every size. `garments` and `failures` run by rise, then by size."""

    design: Design
    table: SizeTable
    rises: tuple[str, ...]
    cloth: Cloth | None
    fit: Fit
    garments: tuple[Garment, ...]
    failures: tuple[Undrafted, ...]

    def of(self, rise: str) -> tuple[Garment, ...]:
        """The sizes drafted in that rise, smallest first."""
        return tuple(garment for garment in self.garments if garment.rise == rise)

    @property
    def named_rises(self) -> tuple[str, ...]:
        """The rises that have a name: none for a garment without rises."""
        return tuple(filter(None, self.rises))

    @property
    def drafted(self) -> tuple[Size, ...]:
        """The sizes of the table that could be drafted in one rise or more."""
        done = {garment.size for garment in self.garments}
        return tuple(size for size in self.table.sizes if size.label in done)

    @property
    def groups(self) -> tuple[Group, ...]:
        """What goes into one file each: rise by rise, the whole sizes before the split ones."""
        groups = []
        for rise in self.rises:
            for split in (False, True):
                garments = tuple(garment for garment in self.of(rise) if garment.split is split)
                if garments:
                    groups.append(Group(rise, split, garments))
        return tuple(groups)

    @property
    def parts(self) -> str:
        """What is split where it must be, as the head of a line."""
        return f"{block_of(self.design).part}s".capitalize()

    @property
    def splitting(self) -> tuple[str, ...]:
        """Which sizes are split, in a sentence: one for all rises, or one for each where they differ."""
        told = {rise: self._splitting(self.of(rise)) for rise in self.rises if self.of(rise)}
        if len(set(told.values())) == 1:
            return tuple(set(told.values()))
        return tuple(f"{rise} rise: {sentence}" for rise, sentence in told.items())

    def _splitting(self, garments: Sequence[Garment]) -> str:
        every = "every size" if len(garments) == len(self.table.sizes) else "every size that could be drafted"
        if self.fit is not Fit.AUTO:
            return f"{every} is {'left whole' if self.fit is Fit.WHOLE else 'split'}, as chosen"
        if self.cloth is None:
            return f"{every} is left whole: no cloth width was given"
        on = f"on {cloth_words(self.cloth)}"
        split = [garment.split for garment in garments]
        if not any(split):
            return f"no size is split {on}"
        if all(split):
            return f"{every} is split {on}"
        which = listed([one.size for one in garments], [one.size for one in garments if one.split])
        return f"{which} {'is' if sum(split) == 1 else 'are'} split {on}"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to look at: what sizes lack, in the table, in each size, pieces forced to be wider than the cloth."""
        found = [*uneven_casings(self.garments), *casings_left_out(self.garments), *parts_omitted(self.garments)]
        found += self.table.warnings
        for garment in self.garments:
            elsewhere = {*garment.body.warnings, *(one.why for one in garment.left_out), *garment.omitted}
            found += [f"{garment.label}: {warning}" for warning in garment.warnings if warning not in elsewhere]
        return tuple(found)


def draft_range(
    design: Design,
    table: SizeTable,
    *,
    rises: Sequence[str] | None = None,
    cloth: Cloth | None = None,
    fit: str = Fit.AUTO,
    run: Callable[[Callable[[Drafting], Garment | Undrafted], Sequence[Drafting]], Iterable[Garment | Undrafted]] = map,
) -> SizeRange:
    """Draft every size of a table in these rises, or in all; what cannot be drafted is a failure.

    With a `cloth` a part wider than it is split; a size whose halves are still too wide fails. `fit` forces all whole
    or split: then a piece too wide is a warning. `run` maps `draft_size` over what is to be drafted, in order, as `map`
    does; give a process pool's to draft several at once.

    Raises:
        DesignError: an unknown rise or fit, or no rise at all.
    """
    of_kind("design", design, Design)
    of_kind("sizes", table, SizeTable)
    of_kind("cloth", cloth, Cloth | None)
    block = block_of(design)
    named = () if rises is None else of_kind("rises", rises, tuple[str, ...])
    if rises is not None and not named:
        raise DesignError(f"rise: none given; choose one or more of {', '.join(block.rises)}")
    if not isinstance(fit, str) or fit not in tuple(Fit):
        raise DesignError(f"fit: {shown(fit)} is unknown; choose one of {', '.join(Fit)}")
    wanted = block.rises_named(named)
    made = list(
        run(draft_size, [Drafting(design, size, rise, cloth, Fit(fit)) for rise in wanted for size in table.sizes])
    )
    return SizeRange(
        design=design,
        table=table,
        rises=wanted,
        cloth=cloth,
        fit=Fit(fit),
        garments=tuple(one for one in made if isinstance(one, Garment)),
        failures=tuple(one for one in made if isinstance(one, Undrafted)),
    )


def draft_size(job: Drafting) -> Garment | Undrafted:
    """Draft one size in one rise, split where its cloth demands it; or say why it cannot be."""
    size = job.size
    try:
        return draft_to_fit(job.design, size.body, rise=job.rise, size=size.label, cloth=job.cloth, fit=job.fit)
    except DraftError as error:
        return Undrafted(size.label, job.rise, str(error))


def draft_to_fit(
    design: Design,
    body: Body,
    *,
    rise: str | None = None,
    size: str = "",
    cloth: Cloth | None = None,
    fit: str = Fit.AUTO,
) -> Garment:
    """Draft one size whole, or split where its part is wider than the cloth; `fit` forces it whole or split, and then a
    piece too wide for the cloth is a warning. Without a `rise` it is the block's first.

    Raises:
        DesignError: the block refuses the design, the body or the rise; or a piece is too wide even so.
        MeasurementError: a fitting found what the block cannot be changed by.
        GeometryError: a piece cannot be built, or fails one of its proofs.
    """
    block = block_of(design)
    level = block.rise_named(rise)
    check_taken(body.fitting, block.findings, block.name)
    if fit != Fit.AUTO or cloth is None:
        garment: Garment = block.draft(design, body, rise=level, size=size, split=fit == Fit.SPLIT)
        misfit = too_wide(garment, cloth) if cloth else ""
        return replace(garment, warnings=(*garment.warnings, misfit)) if misfit else garment
    garment = block.draft(design, body, rise=level, size=size, split=lambda part: not cloth.fits(part))
    if misfit := too_wide(garment, cloth):
        raise DesignError(misfit)
    return garment


def too_wide(garment: Garment, cloth: Cloth) -> str:
    """Which pieces do not fit across the cloth and what to do about it; empty when all do."""
    wide = [piece for piece in garment.pieces if not cloth.fits(piece)]
    if not wide:
        return ""
    told = [apart(width_across(piece) / 10, cloth.usable / 10, decimals=1) for piece in wide]
    usable = max((limit for _, limit in told), key=len)
    each = ", ".join(f"{piece.name} ({width} cm)" for piece, (width, _) in zip(wide, told, strict=True))
    remedy = "wider cloth" if garment.split else f"wider cloth or a split {block_of(garment.design).part}"
    opened = " or a single layer" if cloth.lay is Lay.FOLDED else ""
    return f"too wide for {cloth_words(cloth)}, usable {usable} cm: {each}; use {remedy}{opened}"


def cloth_words(cloth: Cloth) -> str:
    """A cloth as it is told to the reader.

    >>> cloth_words(Cloth(1400)), cloth_words(Cloth(1100, lay=Lay.FOLDED))
    ('140 cm cloth, single layer', '110 cm cloth, folded')
    """
    return f"{cloth.width / 10:g} cm cloth, {LAYS[cloth.lay]}"
