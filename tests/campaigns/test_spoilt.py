"""PDFs of ours spoilt in many ways, the digests of their record left alone or reckoned anew: none is called safe.

The ways are those in which ISO 32000-1 lets a page be moved, scaled, hidden, covered, left out or made to act. The same
files saved again by another program, nothing changed, are safe as before.
"""

from __future__ import annotations

from functools import cache
from random import Random

from campaigns.effort import rounds
from drafting.errors import OutputError
from guides import guide
from nests import PENS, mid_nest, shorts
from output.inspection.pdf import inspect_pdf
from output.paper.sizes import A4, paper_named, roll
from output.patterns.pattern_pdf import stacks_of
from output.patterns.tiled import tiled_pdf
from output.patterns.wide import wide_pdf
from sample_pieces import leg_like
from spoilt import FORGED_UNSEEN, HARMLESS, LAYERS, SPOILERS, NotApplicableError, resealed


@cache
def files() -> dict[str, bytes]:
    """A file of each kind."""
    stacks = stacks_of(shorts(3, start=104, rise="mid"))
    return {
        "tiled": tiled_pdf([leg_like(width=500)], paper=A4, title="Heron shorts", size="H102", rise="high").data,
        "nested": mid_nest().data,
        "roll": wide_pdf(stacks, PENS, paper=roll(914), title="Heron shorts", rise="mid", group="Sizes").data,
        "joined sheets": wide_pdf([(leg_like(width=1260),)], paper=paper_named("A0"), title="Heron shorts").data,
        "guide": guide(),
    }


def ways() -> list[tuple[str, str, bool]]:
    """A file, a way to spoil it, and whether its record's digests are reckoned anew."""
    every = [(name, way) for name in files() for way in (*SPOILERS, *(LAYERS if name in ("nested", "roll") else ()))]
    forged = [(name, way) for name, way in every if name != "guide" and way not in FORGED_UNSEEN]
    return [*((*one, False) for one in every), *((*one, True) for one in forged)]


def verdict(data: bytes, name: str) -> bool:
    """Whether a file is called safe; a refusal to read it is none."""
    try:
        return inspect_pdf(data, name).safe
    except OutputError:
        return False


def test_no_spoilt_file_is_called_safe():
    every = ways()
    some = Random("spoilt").sample(every, min(len(every), rounds(60, len(every))))
    spoilt, unfit, safe = 0, 0, []
    for name, way, anew in some:
        try:
            data = {**SPOILERS, **LAYERS}[way](files()[name])
            data = resealed(data) if anew else data
        except NotApplicableError:
            unfit += 1
            continue
        spoilt += 1
        if verdict(data, name):
            safe.append((name, way, anew))
    print(f"{spoilt} spoilt files, {len(safe)} called safe; {unfit} of {len(some)} ways do not fit their file")
    assert safe == []
    assert unfit < len(some) / 3


def test_files_saved_again_by_another_program_are_safe_as_before():
    every = [(name, way) for name in files() for way in HARMLESS]
    some = Random("harmless").sample(every, min(len(every), rounds(20, len(every))))
    refused = [(name, way) for name, way in some if not verdict(HARMLESS[way](files()[name]), name)]
    print(f"{len(some)} files saved again, {len(refused)} not called safe")
    assert refused == []
