"""Every sentence of a guide that is not always so, held against the fact that makes it so, over a spread of designs.

And no heading of theirs stands alone at the foot of a page.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO

import pytest
from pypdf import PdfReader

from blocks.elastic import Elastic
from blocks.garment import Garment
from blocks.known import used_of
from blocks.short import ShortDesign
from blocks.short.design import TrimKind
from blocks.short.length import Length, length_of_leg
from blocks.skirt import SkirtDesign
from blocks.tunnel import SLIDES, spare
from drafting.piece import MarkKind, NotchKind
from quick import quick
from spread import guide_to, spread, text


@dataclass(frozen=True)
class Facts:
    """What is so of the garments that a guide is for."""

    garments: tuple[Garment, ...]

    @property
    def model(self) -> Garment:
        """The garment that is drawn has every casing; all are of one design."""
        return max(self.garments, key=lambda garment: len(garment.elastics))

    @property
    def short(self) -> bool:
        return isinstance(self.model.design, ShortDesign)

    @property
    def skirt(self) -> bool:
        return isinstance(self.model.design, SkirtDesign)

    @property
    def casings(self) -> tuple[Elastic, ...]:
        return self.model.elastics.casings

    @property
    def above(self) -> bool:
        return self.short and any(casing.height > 0 for casing in self.casings)

    @property
    def below(self) -> bool:
        return self.short and any(casing.height <= 0 for casing in self.casings)

    @property
    def trim(self) -> TrimKind:
        return self.model.design.trim.kind if self.short else TrimKind.NONE

    @property
    def sizes(self) -> set[str]:
        return {garment.size for garment in self.garments}

    @property
    def split(self) -> set[str]:
        return {garment.size for garment in self.garments if garment.split}

    @property
    def some(self) -> bool:
        return set() < self.split < self.sizes

    @property
    def rises(self) -> set[str]:
        return {garment.rise for garment in self.garments}

    @property
    def faced(self) -> bool:
        return any("facing" in piece.name for piece in self.model.pieces)

    def has(self, *names: str) -> bool:
        """Whether it has a piece of that name, or of one of several."""
        return any(piece.name.startswith(names) for piece in self.model.pieces)

    @property
    def cord(self) -> bool:
        return any(mark.kind is MarkKind.BUTTONHOLE for piece in self.model.pieces for mark in piece.marks)

    @property
    def ruffled(self) -> bool:
        return any(piece.name == "ruffle" for piece in self.model.pieces)

    @property
    def kinds(self) -> set[NotchKind]:
        return {notch.kind for piece in self.model.pieces for notch in piece.notches}

    @property
    def snug(self) -> bool:
        return any(spare(casing.design.depth, casing.design.elastic_width) < SLIDES for casing in self.casings)

    @property
    def length(self) -> Length | None:
        design, body = self.model.design, self.model.body
        return length_of_leg(design.leg.inseam_length, body) if self.short else None


CLAIMS: tuple[tuple[str, Callable[[Facts], object]], ...] = (
    # what it is
    ("A pull-on brief", lambda so: so.length is Length.BRIEF),
    ("A pull-on short", lambda so: so.length is Length.SHORT),
    ("trousers to the knee", lambda so: so.length is Length.KNEE),
    ("trousers to the calf", lambda so: so.length is Length.CALF),
    ("trousers to the ankle", lambda so: so.length is Length.ANKLE),
    ("A pull-on skirt", lambda so: so.skirt),
    ("with no side seam|Each leg is one piece of cloth", lambda so: so.short and so.split < so.sizes),
    ("Each leg is a front and a back, joined at the side", lambda so: so.short and so.split == so.sizes),
    ("It is one rectangle of cloth", lambda so: so.skirt and so.split < so.sizes),
    ("It is two rectangles of cloth alike", lambda so: so.skirt and so.split == so.sizes),
    ("wider than the cloth of this set", lambda so: so.some),
    ("casings folded from (their own cloth|the skirt itself)", lambda so: so.casings),
    (r"Elastic gathers the waist\.|skirt, gathered at the waist by elastic", lambda so: not so.casings),
    # sizes
    ("Pick your size|between two sizes, take the larger", lambda so: len(so.sizes) > 1),
    ("The pattern is drafted for this one", lambda so: len(so.sizes) == 1),
    ("Between two sizes", lambda so: len(so.sizes) > 1),
    ("for your rise|the mid rise ends lower", lambda so: len(so.rises) > 1),
    ("≈", lambda so: set(so.model.body.estimated) & set(used_of(so.model.design, so.model.body))),
    # elastics
    ("Above the crotch a casing takes two, each for one half", lambda so: so.above),
    ("Below the crotch each leg takes one", lambda so: so.below),
    ("mark on mark, round the body", lambda so: so.above or (so.skirt and so.casings)),
    ("at each end of a casing’s elastic|From the (crotch line|waist) they lie", lambda so: so.casings),
    ("soft ones for the casings|your elastic must slide in it", lambda so: so.casings),
    ("only the leg opening is with its elastic", lambda so: so.below),
    ("above all round a leg", lambda so: so.below),
    # steps
    ("Crease the fold lines|Stitch the casings|Stitch the folds down|Draw in the elastics", lambda so: so.casings),
    (r"\bCasing\b A tunnel|\bTuck\b A fold", lambda so: so.casings),
    ("An arrow points to a fold line", lambda so: so.kinds & {NotchKind.FOLD}),
    ("Two strokes stand at the back alone", lambda so: so.kinds & {NotchKind.DOUBLE}),
    ("One stroke stands in front", lambda so: so.kinds & {NotchKind.SINGLE}),
    ("Begin with the lowest|lowest first", lambda so: len(so.casings) > 1),
    ("an elastic may stick|bent needle breaks", lambda so: so.snug),
    ("casing on casing", lambda so: so.casings and (so.skirt or so.above or so.below)),
    ("the two elastics of each casing above the crotch now go round", lambda so: so.above),
    ("now the elastics below the crotch go round the legs", lambda so: so.below),
    ("Match the casings below the crotch", lambda so: so.below),
    ("Put the skirt on: now the elastics go round the body", lambda so: so.skirt and so.casings),
    ("Only for size", lambda so: so.some),
    ("Join front and back at", lambda so: so.split),
    ("trim", lambda so: so.trim is not TrimKind.NONE),
    ("Cut one length of trim", lambda so: so.trim is TrimKind.BOUGHT),
    ("Hem the trim band", lambda so: so.trim is TrimKind.BAND),
    # the waist, the ruffle
    (r"\bfacing", lambda so: so.faced),
    ("[Rr]uffle", lambda so: so.ruffled),
    ("[Ww]aistband", lambda so: so.has("waistband")),
    ("buttonhole|Drawcord|drawcord", lambda so: so.cord),
    ("buy drawcord", lambda so: so.cord),
    ("strangle", lambda so: so.cord),
    # pockets, the loop
    ("patch pocket|Sew on the patch pocket", lambda so: so.has("patch pocket")),
    ("Sew on the pocket bags|Stay tape or selvedge", lambda so: so.has("pocket bag")),
    ("hanging loop", lambda so: so.has("hanging loop")),
    ("Only on the left leg", lambda so: so.has("pocket", "patch pocket") and so.model.design.pocket.legs == "left"),
    ("is drafted with what a fitting found", lambda so: any(one.body.fitting.found for one in so.garments)),
    ("Copy the marks inside a piece", lambda so: any(piece.marks for piece in so.model.pieces)),
)
"""Words, and whether they are so; where they are, a guide says them."""

QUICK = ("short, plain", "short, bare", "short, some split", "short, tapered", "skirt, plain", "skirt, some split")


@pytest.mark.parametrize("name", quick(spread(), lambda name: name in QUICK))
def test_a_guide_says_what_is_so_and_nothing_else(name):
    so, told = Facts(spread()[name].drafted().garments), text(name)
    for words, fact in CLAIMS:
        said = [alternative for alternative in words.split("|") if "(" in words or re.search(alternative, told)]
        if "(" in words:
            said = re.findall(words, told)
        assert bool(said) is bool(fact(so)), (words, said)


def test_every_claim_is_made_in_some_guide_and_left_out_of_another():
    """A sentence that no design of the spread brings about, or every one, would be held against nothing."""
    facts = {name: Facts(told.drafted().garments) for name, told in spread().items()}
    for words, fact in CLAIMS:
        assert {bool(fact(so)) for so in facts.values()} == {True, False}, words


def test_what_never_can_be_done_or_is_never_so_is_never_said():
    """Half a girth in an open leg goes round nobody, and a size is not named after its hips by every label."""
    for name in spread():
        for words in ("before you stitch its second end", "named after it", r"\{", "Push the elastic up against"):
            assert not re.search(words, text(name)), (name, words)


def runs(data: bytes) -> list[list[tuple[float, str, str]]]:
    """For each page its runs of text without the footer's, from the top: how high they stand, their fonts and words."""
    pages = []
    for page in PdfReader(BytesIO(data)).pages:
        found: list[tuple[float, str, str]] = []

        def note(said, cm, at, font, _, found=found) -> None:
            high = cm[1] * at[4] + cm[3] * at[5] + cm[5]
            if said.strip() and high > FOOTER:
                found.append((high, font["/BaseFont"], " ".join(said.split())))

        page.extract_text(visitor_text=note)
        pages.append(sorted(found, reverse=True))
    return pages


FOOTER = 22 * 72 / 25.4
"""Points; below it stands a page's footer alone."""


BOTH = ("short, some split", "skirt, some split")
"""Those that are looked at on both papers."""


@pytest.mark.parametrize(
    ("name", "paper"),
    quick([*((name, "A4") for name in spread()), *((name, "Letter") for name in BOTH)], lambda case: case[0] in BOTH),
)
def test_no_heading_stands_at_the_foot_of_a_page(name, paper):
    """Headings and the heads of tables are bold, and nothing else is that is lowest on a page."""
    found = runs(guide_to(name, paper))
    for number, page in enumerate(found, 1):
        assert "Bold" not in page[-1][1], (number, page[-1])
