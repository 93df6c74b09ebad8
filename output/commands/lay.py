"""The lay command: every size of a table laid on every cloth; plans to print, and tables of what to buy."""

from __future__ import annotations

import json
from argparse import Namespace
from dataclasses import dataclass
from pathlib import Path

from blocks.garment import size_and_rise
from blocks.known import block_of
from blocks.lay import LayRules, Search
from blocks.requirement import Buying, required
from blocks.size_range import cloth_words, draft_range
from output.commands.options import cloth_of, design_and_sizes, only, papers_of, rises_of, seconds_of, share_of
from output.inspection.manifest import check_unlisted
from output.lays.file import LayFile, lay_file_of
from output.lays.requirement import CLOTHS, lay_files
from output.lays.wanted import WantedLay, laid, laying, wanted_lays
from output.system.files import writing
from output.system.names import on_line
from output.tables.amounts import bought_words
from output.words.letters import check_names


@dataclass(frozen=True, slots=True)
class Lays:
    """What became of every lay, in the order of the cloths, the rises and the sizes."""

    folder: str
    lay_file: str
    design: str
    rules: LayRules
    buying: Buying
    wanted: tuple[WantedLay, ...]
    files: tuple[str, ...]

    @property
    def failures(self) -> tuple[WantedLay, ...]:
        return tuple(one for one in self.wanted if one.page is None)

    @property
    def complaint(self) -> str:
        """One line about the lays that failed; empty when none did."""
        if not self.failures:
            return ""
        count = len(self.failures)
        return f"{count} lay{'' if count == 1 else 's'} failed; {Path(self.folder) / CLOTHS} tells why"

    def text(self) -> str:
        """What to buy, one line a lay, and the files."""
        lines = [f"{self.design}: cloth requirement{', one-way' if self.rules.one_way else ''}"]
        for one in self.wanted:
            head = f"  {size_and_rise(one.size, one.rise)}, {cloth_words(one.cloth)}: "
            if one.page is None:
                lines.append(f"{head}{one.problem}")
                continue
            needs = required(one.page.plan.length, buying=self.buying)
            split = f", split {block_of(one.short.design).part}" if one.short and one.short.split else ""
            lines.append(f"{head}{bought_words(needs)}{split}")
        lines += ["", f"Files in {on_line(self.folder)}", *(f"  {name}" for name in self.files)]
        return "\n".join((*lines, f"Lays are kept in {on_line(self.lay_file)}"))

    def json(self) -> str:
        """Every lay as one JSON object, lengths in mm."""
        document = {
            "design": self.design,
            "unit": "mm",
            "folder": self.folder,
            "lay_file": self.lay_file,
            "files": self.files,
            "one_way": self.rules.one_way,
            "shrinkage": self.buying.shrinkage,
            "lays": [self._entry(one) for one in self.wanted],
        }
        return json.dumps(document, indent=2)

    def _entry(self, one: WantedLay) -> dict[str, object]:
        entry: dict[str, object] = {
            "size": one.size,
            "rise": one.rise,
            "cloth": one.cloth.width,
            "lay": one.cloth.lay,
        }
        if one.page is None or one.short is None:
            return {**entry, "problem": one.problem}
        needs = required(one.page.plan.length, buying=self.buying)
        return {
            **entry,
            "split": one.short.split,
            "lay_length": needs.lay_length,
            "used": one.page.plan.used,
            "least": needs.least,
            "metres": needs.metres,
            "yards": needs.yards,
        }


def lay(arguments: Namespace) -> Lays:
    """Lay what the command line asks for and write plans and tables; each lay that is found is stored at once.

    Raises:
        DraftError: a file, an option, the design or the table is at fault, the packing engine is not installed, or
            a folder cannot be written. Then no plan and no table is written; lays that were found stay stored.
    """
    papers = papers_of(arguments.page)
    cloths = list(dict.fromkeys(cloth_of(raw, arguments.selvedge, arguments.lay) for raw in arguments.cloth))
    rules, buying = LayRules(one_way=arguments.one_way), Buying(shrinkage=share_of("shrinkage", arguments.shrinkage))
    search = Search(seconds=seconds_of(arguments.seconds))
    design, whole = design_and_sizes(arguments.design, arguments.sizes)
    table = only(whole, arguments.only)
    check_names(design, (size.label for size in table.sizes))
    lays = LayFile(arguments.lays or lay_file_of(arguments.design))
    rises = rises_of(arguments.rise, design)
    with writing(arguments.out) as place:
        ranges = [draft_range(design, table, rises=rises, cloth=cloth, fit=arguments.fit) for cloth in cloths]
        done = [laid(one, lays, design, rules, buying, search) for one in laying(wanted_lays(ranges))]
        files = lay_files(done, design, rules, buying, papers)
        check_unlisted(place.goal, files, named=arguments.out)
        place.put(files)
    return Lays(arguments.out, str(lays.path), design.name, rules, buying, tuple(done), tuple(sorted(files)))
