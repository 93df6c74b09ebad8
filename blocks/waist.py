"""How the waist of a garment is finished: what its elastic runs in, and the words for it that blocks share. In mm.

A facing is a strip sewn to the waist edge and turned down inside. A cut-on casing is the garment's own upper edge,
folded down inside: there is no strip to sew on, but cloth folds along a straight line only, so the edge must be one. A
waistband is a strip folded lengthwise and sewn to the waist edge, so that it stands above the seam.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from blocks.design import Design
from drafting.errors import DesignError


def check_turn_under(design: Design, table: str, whole: str, *, edge: float, under: float) -> None:
    """Refuse more turned under than there is to turn it onto: `whole` says what that is.

    Raises:
        DesignError: what is turned under would reach the waist edge.
    """
    depth = design.waist.channel + edge
    if under >= depth:
        raise DesignError(
            f"{table}.turn_under: {design.said(under)} reaches over {whole}, {design.said(depth)} (waist.channel and "
            f"{table}.edge); set it to {design.at_most(depth - 1)} at most, or waist.channel to "
            f"{design.at_least(under - edge + 1)} at least"
        )


CUT_ON_NOTE: Final = "the upper edge is folded down inside along the seam line"
"""What is printed on the piece whose edge that is."""

SHARED: Final = ("elastic", "box", "hold", "cord", "hold.cord")
"""Sentences about the waist elastic that are said in the last step of any finish, as `step.waist.` and these."""

WORDS: Final[Mapping[str, str]] = {
    "step.folded": "Fold the waist down and put in its elastic",
    "step.folded.1": "Press {under} along the upper edge to the inside. Fold the edge down {depth} to the inside, "
    "along the seam line, and press.",
    "step.folded.2": "Stitch {channel} below the upper fold, {edge} above the lower one, all round, and leave "
    "{opening} open beside a seam.",
    "step.waist.elastic": "Draw in the waist elastic without a twist. Lap its ends by {lap} and pin. Try it "
    "on: it must pass over the hips, and sit without pinching.",
    "step.waist.box": "Stitch a box with a cross through both ends. Let them slip in, close the gap, and spread the "
    "gathers.",
    "step.waist.hold": "Hold the elastic in place with a short line of stitching across the channel, in front and at "
    "the back.",
    "step.waist.cord": "Draw the cord in at one buttonhole, round in front of the elastic, and out at the other. Make "
    "its ends equal, and knot or bind them.",
    "step.waist.hold.cord": "Hold elastic and cord in place with a short line of stitching across the channel at the "
    "centre back, so that the cord cannot be pulled out. In front it must slide.",
    "word.waistband": "Waistband: a strip that is sewn to the waist and folded over the waist elastic.",
    "draw.folded.top": "fold, on the seam line",
    "draw.folded.edge": "raw edge turned under",
}
