"""The guide command: every size of a table drafted, and the guide to all of them written for each paper."""

from __future__ import annotations

from dataclasses import dataclass

from blocks.cloth import Lay
from blocks.parameters import of_kind
from blocks.quantity import Number
from blocks.size_range import SizeRange, draft_range
from drafting.errors import DraftError
from output.commands.options import CLOTH_WIDTH, SELVEDGE, cloth_of, design_and_sizes, papers_of, rises_of
from output.commands.request import RequestOfSizes
from output.guide.book import guide_pdf
from output.guide.cloths import told_cloths
from output.inspection.manifest import write_unlisted
from output.system.names import design_stem, on_line
from output.words.letters import check_names


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideRequest(RequestOfSizes):
    """The guide to every size of a table.

    It goes on `pages`, A4 or Letter. Parts wider than the `cloth`, so many cm from selvedge to selvedge, are split.
    """

    pages: tuple[str, ...] = ()
    cloth: Number = CLOTH_WIDTH


@dataclass(frozen=True, slots=True)
class GuideReport:
    """What the guide was made of, and its files in the folder."""

    made: SizeRange
    folder: str
    files: tuple[str, ...]

    def text(self) -> str:
        """What was left out, what to look at, and the files, for a reader."""
        left_out = (f"Not drafted: {failure}" for failure in self.made.failures)
        warned = (f"Warning: {warning}" for warning in self.made.warnings)
        written = (f"  {name}" for name in self.files)
        return "\n".join((*left_out, *warned, f"Files in {on_line(self.folder)}", *written))


def guide(request: GuideRequest) -> GuideReport:
    """Draft what is asked for and write its guide.

    Raises:
        DraftError: a file, a field of the request, the design or the table is at fault, no size can be drafted, or the
            folder cannot be written. Then nothing is written.
    """
    asked: GuideRequest = of_kind("request", request, GuideRequest, DraftError)
    papers = papers_of(asked.pages)
    design, table = design_and_sizes(asked.design, asked.sizes)
    check_names(design, (size.label for size in table.sizes))
    cloth = cloth_of(asked.cloth, SELVEDGE, Lay.OPEN)
    made = draft_range(design, table, rises=rises_of(asked.rises, design), cloth=cloth)
    if not made.garments:
        raise DraftError(f"sizes: none of them could be drafted; {made.failures[0]}")
    files = {
        f"{design_stem(design.name)}-guide-{paper.name}.pdf": guide_pdf(
            made.garments, design=design, table=table, paper=paper, cloths=told_cloths(cloth)
        )
        for paper in papers
    }
    write_unlisted(str(asked.out), files)
    return GuideReport(made, str(asked.out), tuple(files))
