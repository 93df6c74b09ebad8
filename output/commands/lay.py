"""The lay command: every size of a table laid on every cloth; plans to print, and tables of what to buy."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from blocks.cloth import Lay
from blocks.garment import size_and_rise
from blocks.known import block_of
from blocks.lay import LayRules
from blocks.left_out import casings_left_out
from blocks.parameters import of_kind
from blocks.quantity import Number
from blocks.requirement import Buying
from blocks.size_range import Fit, cloth_words, draft_range
from drafting.errors import DraftError
from output.commands.lay_options import SECONDS, SHRINKAGE, buying_of, lays_of, search_of
from output.commands.options import SELVEDGE, cloths_of, design_and_sizes, only, papers_of, rises_of
from output.commands.request import RequestOfSizes
from output.inspection.manifest import check_unlisted
from output.lays.requirement import CLOTHS, lay_files
from output.lays.wanted import WantedLay, lay_all, wanted_lays
from output.system.files import writing
from output.system.names import on_line
from output.words.letters import check_names


@dataclass(frozen=True, slots=True, kw_only=True)
class LayRequest(RequestOfSizes):
    """Every size of a table, or `only` some, to be laid on each of the `cloths`.

    Plans go on `pages`, A4 or Letter. Cloths are as wide as is said, in cm from selvedge to selvedge; `selvedge` is in
    cm, too, and `shrinkage` in per cent of the cloth's length. A part wider than a cloth is split, unless the `fit` is
    whole or split. If it is `one_way`, no piece is turned upside down. Each lay is searched for so many `seconds`, and
    kept in the file `lays`, beside the design's if none is named.
    """

    cloths: tuple[Number, ...]
    selvedge: Number = SELVEDGE
    lay: Lay = Lay.OPEN
    fit: Fit = Fit.AUTO
    only: str | tuple[str, ...] = ()
    one_way: bool = False
    shrinkage: Number = SHRINKAGE
    seconds: int | str = SECONDS
    lays: str | Path | None = None
    pages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LayReport:
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

    @property
    def warnings(self) -> tuple[str, ...]:
        """The casings that sizes lack: less elastic and cloth is bought for them."""
        garments = {(one.size, one.rise): one.garment for one in self.wanted if one.garment}
        return casings_left_out(tuple(garments.values()))

    def text(self) -> str:
        """What to buy, one line a lay, the casings that sizes lack, and the files."""
        lines = [f"{self.design}: cloth requirement{', one-way' if self.rules.one_way else ''}"]
        for one in self.wanted:
            head = f"  {size_and_rise(one.size, one.rise)}, {cloth_words(one.cloth)}: "
            laid = one.garment if one.page else None
            split = f", split {block_of(laid.design).part}" if laid and laid.split else ""
            lines.append(f"{head}{one.told}{split}")
        lines += [f"Warning: {warning}" for warning in self.warnings]
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
            "warnings": self.warnings,
        }
        return json.dumps(document, indent=2)

    def _entry(self, one: WantedLay) -> dict[str, object]:
        entry: dict[str, object] = {
            "size": one.size,
            "rise": one.rise,
            "cloth": one.cloth.width,
            "lay": one.cloth.lay,
        }
        needs = one.need
        if one.page is None or one.garment is None or needs is None:
            return {**entry, "problem": one.problem}
        return {
            **entry,
            "split": one.garment.split,
            "lay_length": needs.lay_length,
            "used": one.page.plan.used,
            "least": needs.least,
            "metres": needs.metres,
            "yards": needs.yards,
        }


def lay(request: LayRequest) -> LayReport:
    """Lay what is asked for and write plans and tables; each lay that is found is stored at once.

    Raises:
        DraftError: a file, a field of the request, the design or the table is at fault, the packing engine is not
            installed, or a folder cannot be written. Then no plan and no table is written; lays that were found stay
            stored.
    """
    asked: LayRequest = of_kind("request", request, LayRequest, DraftError)
    papers, cloths = papers_of(asked.pages), cloths_of(asked.cloths, asked.selvedge, asked.lay)
    if not cloths:
        raise DraftError("cloths: there are none; give the width of one or more, in cm")
    rules, buying = LayRules(one_way=asked.one_way), buying_of(asked.shrinkage)
    search = search_of(asked.seconds)
    design, whole = design_and_sizes(asked.design, asked.sizes)
    table = only(whole, asked.only)
    check_names(design, (size.label for size in table.sizes))
    lays = lays_of(asked.lays, asked.design)
    rises, folder = rises_of(asked.rises, design), str(asked.out)
    with writing(folder) as place:
        ranges = [draft_range(design, table, rises=rises, cloth=cloth, fit=asked.fit) for cloth in cloths]
        done = lay_all(wanted_lays(ranges), lays, design, rules, buying, search)
        files = lay_files(done, design, rules, buying, papers)
        check_unlisted(place.goal, files, named=folder)
        place.put(files)
    return LayReport(folder, str(lays.path), design.name, rules, buying, tuple(done), tuple(sorted(files)))
