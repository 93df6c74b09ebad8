"""The printed guide of a design: what a stranger needs to print, choose, buy, cut and sew it, in every size and rise.

Numbers come from the drafted sizes alone, as in the tables; words from `output.guide.words`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from blocks.cloth import Cloth
from blocks.design import Design
from blocks.garment import Garment
from blocks.lay import LayRules
from blocks.requirement import Buying, Requirement
from blocks.size_table import Size, SizeTable
from drafting.errors import OutputError
from output.drawing.sheet import Sheet
from output.guide import between, buying, choosing, fitting, own, sewing
from output.guide import booklet as pages
from output.guide.booklet import Matter
from output.guide.content import ClothNeed, Content
from output.guide.own import OwnContent
from output.paper.sizes import Paper


def guide_pdf(
    garments: Sequence[Garment],
    *,
    design: Design,
    table: SizeTable,
    paper: Paper,
    cloths: Sequence[Cloth] = (),
    needs: Sequence[ClothNeed] = (),
    buying: Buying | None = None,
    rules: LayRules | None = None,
    lays: Sequence[tuple[str, Sheet]] = (),
    files: Sequence[tuple[str, str]] = (),
) -> bytes:
    """The guide to a whole range, all its rises in one file.

    `garments` are drafted from `design` in sizes of `table`. `cloths` are those for which it tells which fit whole;
    `needs`, which `buying` and lays by `rules` led to, and `lays` (a caption and a drawing each) are printed when
    given, as are `files`: each file's name and what it is for. The same values give the same bytes.

    Raises:
        OutputError: no size, sizes of another design or not in the table, or the fonts lack a character.
    """
    known = {size.label for size in table.sizes}
    if not garments:
        raise OutputError("guide: there is no size to write about; draft one or more")
    for garment in garments:
        if garment.design != design or garment.size not in known:
            raise OutputError(
                f"guide: {garment.design.name}, size {garment.size!r}, is not of this design and size table; "
                "give sizes that were drafted from both"
            )
    made = Content(
        tuple(garments),
        design,
        table,
        tuple(cloths),
        tuple(needs),
        buying or Buying(),
        rules or LayRules(),
        tuple(lays),
        tuple(files),
        paper,
    )
    return _printed(made, [matter for section in SECTIONS for matter in section(made)])


def own_guide_pdf(
    garment: Garment,
    *,
    paper: Paper,
    cloth: Cloth,
    need: Requirement | None = None,
    problem: str = "",
    buying: Buying | None = None,
    rules: LayRules | None = None,
    lay: tuple[str, Sheet] | None = None,
    how: Sequence[str] = (),
    media: Sequence[Paper] = (),
    files: Sequence[tuple[str, str]] = (),
) -> bytes:
    """The guide for the one wearer that a garment is drafted for.

    She cuts it from `cloth`: `need` is what to buy of it, which `buying` and a lay by `rules` led to, `lay` is that lay
    and `how` it is made; or there is a `problem` with it. `media` is what her pattern is on, and `files` are as in
    `guide_pdf`. The same values give the same bytes.

    Raises:
        OutputError: the fonts lack a character.
    """
    made = OwnContent(
        (garment,),
        garment.design,
        SizeTable((Size(garment.size, garment.body),), "cm"),
        (cloth,),
        (ClothNeed(garment.size, garment.rise, cloth, need),) if need else (),
        buying or Buying(),
        rules or LayRules(),
        (lay,) if lay else (),
        tuple(files),
        paper,
        tuple(media),
        tuple(how),
        problem,
    )
    return _printed(made, [matter for section in OWN_SECTIONS for matter in section(made)])


def _printed(made: Content, story: Sequence[Matter]) -> bytes:
    design, title = made.design, made.title
    footer = f"{title} · {design.workroom}" if design.workroom else title
    subject = made.say("guide.subject", design=design.name)
    return pages.printed(story, made.paper, title=title, author=design.workroom, subject=subject, footer=footer)


SECTIONS: Final = (
    choosing.cover,
    sewing.safety,
    choosing.printing,
    choosing.files,
    choosing.bodies,
    choosing.measuring,
    choosing.finished,
    between.blended,
    buying.cloth,
    buying.elastics,
    buying.pieces,
    buying.needed,
    fitting.toile,
    sewing.sewing,
    sewing.glossary,
)
"""In the order of use."""

OWN_SECTIONS: Final[Sequence[Callable[[OwnContent], Iterable[Matter]]]] = (
    choosing.cover,
    own.remarks,
    sewing.safety,
    own.printing,
    own.files,
    own.body,
    choosing.measuring,
    own.finished,
    own.cloth,
    own.elastics,
    own.lays,
    buying.pieces,
    buying.needed,
    fitting.toile,
    sewing.sewing,
    sewing.glossary,
)
"""Those for one wearer."""
