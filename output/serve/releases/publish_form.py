"""The form that asks for a release: what may be chosen, and the request that comes of what was."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from blocks.cloth import Lay
from blocks.known import block_of
from blocks.parameters import of_kind
from blocks.words import together
from drafting.errors import DraftError
from output.commands.publish import MEDIA, PublishRequest
from output.paper.sizes import A4, LETTER, PROJECTIONS, WIDE_SHEETS, Paper
from output.serve.folder import Folder, Named
from output.serve.releases.publishing import release_name
from output.system.names import design_stem

PAGES: Final = tuple(paper.name for paper in (A4, LETTER, *WIDE_SHEETS))
GROUNDS: Final = tuple(PROJECTIONS)
LAYS: Final = ((Lay.OPEN, "opened out, in a single layer"), (Lay.FOLDED, "folded lengthwise"))
USUAL: Final = PublishRequest(design="", sizes="", out="")
"""What a release is like when nothing is chosen."""

ENDING: Final = "-release"
"""How the folder of a release is called after its design, if it is not named."""

_PARTED: Final = re.compile(r"[\s;]+|,\s+|,$")
"""What stands between several numbers in one field; a comma within one is left to be refused with it."""


def _named(paper: Paper) -> str:
    """What a paper is called in a sentence."""
    kind, _, which = paper.name.partition("-")
    if paper.screen:
        return f"a {which} {kind}"
    return f"a roll of {which} mm" if kind == "roll" else paper.name


@dataclass(frozen=True, slots=True)
class Choices:
    """What the form offers."""

    designs: Sequence[Named]
    tables: Sequence[Named]
    rises: Sequence[str]
    pages: Sequence[str] = PAGES
    grounds: Sequence[str] = GROUNDS
    lays: Sequence[tuple[str, str]] = LAYS
    otherwise: str = together([_named(paper) for paper in MEDIA])
    usual: PublishRequest = USUAL

    @property
    def whole(self) -> bool:
        """True if there is something to publish."""
        return any(one.design for one in self.designs) and bool(self.tables)


def choices(folder: Folder) -> Choices:
    """What may be chosen of the designs and size tables in a folder.

    Raises:
        DraftError: the folder cannot be read.
    """
    designs = folder.designs()
    rises = [rise for one in designs if one.design for rise in block_of(one.design).rises]
    return Choices(designs, folder.tables(), tuple(dict.fromkeys(rises)))


def asked(fields: Mapping[str, str], folder: Folder) -> PublishRequest:
    """The release that a form asks for; files are named as in the folder, and numbers read by the command alone.

    Raises:
        DraftError: the form names no design or size table of the folder, or no plain name for the release.
    """
    design, table = folder.named(fields.get("design", "")), folder.table(fields.get("table", ""))
    if design.design is None:
        raise DraftError(design.problem)
    out = release_name(fields.get("folder") or f"{design_stem(design.design.name)}{ENDING}", folder.path)
    return PublishRequest(
        design=design.file,
        sizes=table.name,
        out=out,
        rises=_chosen("rise", block_of(design.design).rises, fields),
        pages=_chosen("page", PAGES, fields),
        rolls=_several(fields.get("rolls", "")),
        projections=_chosen("projection", GROUNDS, fields),
        cloths=_several(fields.get("cloths", "")) or USUAL.cloths,
        selvedge=fields.get("selvedge", USUAL.selvedge),
        lay=of_kind("lay", fields.get("lay", USUAL.lay), Lay, DraftError),
        one_way="one_way" in fields,
        shrinkage=fields.get("shrinkage", USUAL.shrinkage),
        seconds=fields.get("seconds", USUAL.seconds),
    )


def _chosen(kind: str, names: Sequence[str], fields: Mapping[str, str]) -> tuple[str, ...]:
    """Which of several boxes are ticked."""
    return tuple(name for name in names if f"{kind}-{name}" in fields)


def _several(text: str) -> tuple[str, ...]:
    """The numbers in one field.

    >>> _several("914 1118"), _several("140; 150,"), _several("137,5")
    (('914', '1118'), ('140', '150'), ('137,5',))
    """
    return tuple(filter(None, _PARTED.split(text)))
