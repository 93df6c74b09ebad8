"""What all sections of a guide draw on: the drafted sizes, their block with its words, and what they are cut from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.garment import Block, Garment
from blocks.guide import GuideParts, Sentences, Told
from blocks.known import block_of, used_of
from blocks.lay import LayRules
from blocks.measurements import RANGES
from blocks.requirement import Buying, Requirement
from blocks.size_table import SizeTable
from blocks.words import Catalogue
from output.drawing.sheet import Sheet
from output.guide import booklet as pages
from output.guide.words import COMMON
from output.paper.sizes import Paper

ROW: Final = 8.4
"""mm; height of a row with a length above another."""


@dataclass(frozen=True, slots=True)
class ClothNeed:
    """What to buy of one cloth for one size in one rise."""

    size: str
    rise: str
    cloth: Cloth
    need: Requirement


@dataclass(frozen=True)
class Content:
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

    @property
    def title(self) -> str:
        """Of the document."""
        return f"{self.design.name} · {self.say('guide')}"

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
    def asked(self) -> list[str]:
        """The measurements by which the sizes are drafted, those of any of them, in the order of a table."""
        bodies = [size.body for size in self.table.sizes if size.label in self.labels]
        used = {name for body in bodies for name in used_of(self.design, body)}
        return [name for name in RANGES if name in used]

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
        one = self.model
        if not one.split:
            return one
        whole: Garment = self.block.draft(one.design, one.body, rise=one.rise, size=one.size, split=False)
        return whole

    @cached_property
    def halved(self) -> Garment | None:
        """The smallest size that is split, for what concerns split pieces alone; None where none is."""
        return next((garment for rise in self.rises for garment in self.of(rise) if garment.split), None)

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
        return self.block.guide_parts

    @cached_property
    def sentences(self) -> Sentences:
        return self.parts.sentences(self.told) if self.parts else Sentences()

    def rise_name(self, rise: str) -> str:
        return self._named(f"rise.{rise}", f"{rise} rise".capitalize())

    def measure_name(self, name: str) -> str:
        """What a finished measure is called."""
        return self._named(f"finished.{name}", name.replace("_", " "))

    def _named(self, key: str, otherwise: str) -> str:
        """A block's own word; a block may leave out words that are as good as their key."""
        return self.say(key) if key in self.words.words else otherwise

    def with_rise(self, key: str, rise: str, **filled: object) -> str:
        """Words that name a rise, or those that say the same of a garment without rises."""
        return self.say(f"{key}.rise", rise=rise, **filled) if rise else self.say(key, **filled)

    @property
    def table_room(self) -> float:
        """Height in mm of a table with a row for each size, its heading included; no more than most of a page."""
        return min(self.paper.height - 80, 42 + ROW * len(self.labels))
