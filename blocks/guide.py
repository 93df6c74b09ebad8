"""What a block brings to the printed guide: its steps with their pictures, the garment as it is worn, some sentences.

The guide is one book for all garments: covers, sizes, tables, cutting, cautions and the layout of pages are common.
A block says the rest, in words of its own catalogue and in pictures that know no page. One without parts of its own
gets a guide without steps.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from blocks.words import Catalogue
from drafting.picture import Picture

WIDTH: Final = 104.0
"""mm; widest a step's picture may be that has no captions."""
OVERVIEW: Final = 66.0
"""mm; widest a step's picture may be whose captions stand beside it."""

INSTEAD: Final = "own."
"""Before a key of a block's words: what is said instead of it in a guide for one wearer, who has no size to choose."""

Own = TypeVar("Own")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of sewing, by a name of its own: its title, its sentences, and the pictures that stand beside them.

    The pictures stand one below the other, each with its captions in a column on its right, in a size that is theirs:
    no wider than `OVERVIEW`, or `WIDTH` without captions. At most half a page high in all, so that the step stays on
    one page.
    """

    name: str
    title: str
    sentences: tuple[str, ...]
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told(Generic[Own]):
    """Whom and what a guide is for, as a block's parts of it are told.

    `garment` is the size that is drawn: a middle one of those with every casing, its part in one piece unless that of
    every size is split. `halved` is the smallest size whose part is split, None where none is. `labels` are all sizes,
    smallest first, `split` those of them whose part is split in any rise. `words` is the common catalogue with the
    block's words over it.
    """

    garment: Own
    halved: Own | None
    labels: tuple[str, ...]
    split: tuple[str, ...]
    rises: tuple[str, ...]
    words: Catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentences:
    """What a block says in the common parts of a guide; what it leaves empty is left out.

    `cover` says below the title what the garment is; `finished` what is measured and how, above the table of finished
    measures; `trying` how the elastics of casings are tried before they are in; `pieces` how the pieces are drawn and
    which allowances they include, above their list. `needs` are the
    materials, an item each. `glossary` names the words that are explained, each by what follows `word.` in its key of
    the catalogue, in the order of the alphabet. With `thigh` the caution about elastic is that of one round a thigh.
    `high_hip` is the share of the way down from waist to hip at which the high-hip girth is measured.
    """

    cover: str = ""
    finished: str = ""
    trying: str = ""
    pieces: str = ""
    needs: tuple[str, ...] = ()
    glossary: tuple[str, ...] = ()
    thigh: bool = False
    high_hip: float = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideParts(Generic[Own]):
    """A block's parts of the guide.

    `worn(garment, scale=, back=)` is the sewn garment laid flat from the front or from the back, `scale` mm on paper
    for a real mm, without captions. `steps(told)` are the steps of sewing in an order in which hands can do them; the
    first one of every guide, cutting and marking, is common and comes before them. `sentences(told)` are what it says
    elsewhere.

    A block that has steps has words for `steps.lead` above them. What its garments' measures and its rises are called
    is `finished.NAME` and `rise.NAME`, where the name itself will not do. It may lay its own over any common words,
    such as `step.cut.1`. `blocks.sections` draws folded and stitched cloth cut through, `blocks.drape` gathered cloth.
    """

    worn: Callable[..., Picture]
    steps: Callable[[Told[Own]], tuple[Step, ...]]
    sentences: Callable[[Told[Own]], Sentences]
