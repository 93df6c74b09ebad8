"""The guide command: every size of a table drafted, and the guide to all of them written for each paper."""

from __future__ import annotations

from argparse import Namespace

from blocks.cloth import Cloth, Lay
from blocks.size_range import draft_range
from drafting.errors import DraftError
from output.commands.options import cloth_of, design_and_sizes, papers_of, rises_of
from output.guide.book import guide_pdf
from output.guide.cloths import told_cloths
from output.inspection.manifest import write_unlisted
from output.system.names import design_stem, on_line
from output.words.letters import check_names


def write_guide(arguments: Namespace) -> str:
    """Draft what the command line asks for, write its guide, and return the report to print.

    Raises:
        DraftError: a file, an option, the design or the table is at fault, no size can be drafted, or the folder cannot
            be written. Then nothing is written.
    """
    papers = papers_of(arguments.page)
    design, table = design_and_sizes(arguments.design, arguments.sizes)
    check_names(design, (size.label for size in table.sizes))
    width = cloth_of(arguments.cloth, None, Lay.OPEN).width
    made = draft_range(design, table, rises=rises_of(arguments.rise, design), cloth=Cloth(width))
    if not made.garments:
        raise DraftError(f"sizes: none of them could be drafted; {made.failures[0]}")
    cloths = told_cloths(Cloth(width))
    files = {
        f"{design_stem(design.name)}-guide-{paper.name}.pdf": guide_pdf(
            made.garments, design=design, table=table, paper=paper, cloths=cloths
        )
        for paper in papers
    }
    write_unlisted(arguments.out, files)
    left_out = (f"Not drafted: {failure}" for failure in made.failures)
    warned = (f"Warning: {warning}" for warning in made.warnings)
    return "\n".join((*left_out, *warned, f"Files in {on_line(arguments.out)}", *(f"  {name}" for name in files)))
