"""The words of the skirt's guide and of its reports. British English; names in braces are filled in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from blocks.waist import WORDS as WAIST

WORDS: Final[Mapping[str, str]] = {
    **WAIST,
    # the common parts
    "part": "skirt",
    "skirt.cover.casings": "A pull-on skirt in tiers, gathered by elastic in casings folded from the skirt itself.",
    "skirt.cover.plain": "A pull-on skirt, gathered at the waist by elastic.",
    "skirt.cover.whole": "It is one rectangle of cloth, closed by a seam at the centre back.",
    "skirt.cover.halves": "It is two rectangles of cloth alike, front and back, joined at the sides.",
    "cover.some": "In {sizes}, where that is wider than the cloth of this set, it is two rectangles alike, front and "
    "back, joined at the sides.",
    "files.lead": "A skirt that is wider than the cloth is cut as two panels alike, front and back, and joined at the "
    "sides; everything else stays the same.",
    "files.pieces": "panels",
    "files.whole": "one panel",
    "files.halves": "two panels alike",
    "files.cloth.whole": "skirt in one panel",
    "files.cloth.split": "skirt in two panels",
    "pieces.split": "For {sizes}, whose skirt is two panels",
    "skirt.finished.all": "Of the sewn skirt. The waist is that of its elastic at rest; the width round is that of the "
    "cloth, pulled out before the elastics draw it in; the length is from the waist to the hem.",
    "skirt.finished.ruffle": "The hem is that of the ruffle, pulled out flat.",
    "skirt.pieces.all": "All drawn to one scale in size {size}. Allowances are included: {seam} at the seams down the "
    "skirt.",
    "skirt.pieces.folded": "At the waist they are {depth} to fold down and {under} to turn under.",
    "skirt.pieces.faced": "At the waist they are {waist}, and {under} to turn under along the facing.",
    "skirt.pieces.hem": "At the hem they are {hem}, turned twice.",
    "skirt.pieces.ruffle": "Where the ruffle is sewn on they are {seam}.",
    "try": "Hold each, mark on mark, round the body at the height of its casing.",
    "finished.waist_at_rest": "waist, at rest",
    "finished.width": "width round",
    "finished.hem": "hem",
    "finished.length": "length",
    "word.ruffle": "Ruffle: a strip of cloth gathered onto an edge.",
    # steps
    "steps.lead": "The order matters: everything that is easier flat is sewn before the skirt is closed.",
    "step.cut.1": "Cut every piece as often as it says. Keep the grainline along the selvedge.",
    "step.cut.3": "Mark the inside of each piece, and its upper edge, with a pin or the marker.",
    "step.side": "Join front and back at one side",
    "step.side.only": "Only for {sizes}, which are two panels.",
    "step.side.1": "Lay front on back, right sides together, ends level and every notch on its mate. Stitch one side, "
    "{seam} from the edge.",
    "step.side.2": "Finish the two edges together and press them to the back, quite flat: later an elastic must slide "
    "past them.",
    "step.side.3": "From here on both panels are handled like a skirt in one.",
    "step.crease": "Crease the fold lines",
    "step.crease.1": "Fold the skirt wrong sides together so that the two fold notches of a casing lie in the fold, "
    "one at each edge. The layers at the edges match as far as the stitch marks.",
    "step.crease.2": "Press a sharp crease right across, straight along the thread of the cloth.",
    "step.crease.next": "Open the skirt and crease the next one, lowest first: {casings}.",
    "step.casings": "Stitch the casings",
    "step.casings.lowest": "Begin with the lowest.",
    "step.casings.1": "Fold the skirt along the crease, wrong sides together, and stitch "
    "parallel to the fold from edge to edge: {depths}. The stitch marks of both layers meet on this line.",
    "step.casings.2": "Back-stitch at neither end: the seam will hold them. The tuck stands on the outside of the "
    "skirt, and its fold and its stitching make a tunnel open at both ends.",
    "step.press": "Press the tucks toward the hem",
    "step.press.1": "From the outside press every tuck down, toward the hem. At both ends its layers now lie edge on "
    "edge with the skirt below.",
    "step.press.2": "Do not close the ends: the elastics go in there.",
    "step.down": "Stitch the folds down",
    "step.down.1": "Do it now, while the tunnels are empty and the skirt lies flat: nothing has to be stretched, and "
    "no needle can catch an elastic.",
    "step.down.2": "Stitch {close} from the fold, through tuck and skirt, from edge to edge; back-stitch at neither "
    "end.",
    "step.down.3": "The tunnel between the two rows is then higher than its elastic is wide: {spare}.",
    "step.down.snug": "Under {slides} an elastic may stick, so draw one through a test tuck first. If it sticks, draw "
    "the elastics in before you stitch the folds down: push each up against the first row, stretch the skirt until the "
    "cloth lies smooth, and stitch past it; where the needle caught it, unpick.",
    "step.down.mind": "Stretch with both hands away from the needle, and never pull the cloth under it: a bent needle "
    "breaks.",
    "step.elastic": "Draw in the elastics",
    "step.elastic.1": "Both ends of every tunnel are still open. On each elastic mark {seam} from both ends: between "
    "the marks lies its finished length.",
    "step.elastic.try": "Try each one now, as “Elastics to cut and to buy” says: once it is in, it cannot go round the "
    "body before the seam is sewn.",
    "step.elastic.2": "Pin one end level with the cut edge, draw the other through with the bodkin, and pin it level "
    "too. Keep it flat.",
    "step.elastic.3": "At both ends stitch twice across tuck, elastic and skirt in the middle of the allowance, {half} "
    "from the edge. The seam to come will cover it.",
    "step.elastic.4": "Spread the gathers evenly from end to end.",
    "step.close": "Close the skirt",
    "step.close.1": "Fold the skirt right sides together, its two ends on each other: this is the seam at the centre "
    "back.",
    "step.close.halves": "Fold the skirt right sides together at its side seam, the two ends on each other: this is "
    "the other side seam.",
    "step.close.some": "For {sizes}, which are two panels, it is the other side seam.",
    "step.close.casings": "Match the casings exactly, their tucks lying down.",
    "step.close.2": "Stitch {seam} from the edge, from the lower edge to the upper one.",
    "step.close.try": "Put the skirt on: now the elastics go round the body. Sit, and stride. Where one pinches or "
    "marks the skin, open the seam over the casing and put in a longer one.",
    "step.close.3": "Finish the edges together and press them to one side.",
    "step.faced": "Sew on the facing and put in the waist elastic",
    "step.faced.1": "Press {under} along the lower edge of the facing to the inside. Open it again and join its ends, "
    "{seam} from the edge, as the skirt’s are joined.",
    "step.faced.2": "Lay the facing on the outside of the skirt, right sides together, upper edges level, seam on "
    "seam, middle on middle. Stitch {waist} from the edge.",
    "step.faced.3": "Turn the facing to the inside, its lower edge under along the crease, and press. Stitch {channel} "
    "below the waist, {edge} above the facing’s fold, all round, and leave {opening} open beside a seam.",
    "step.hem": "Roll the hem",
    "step.hem.1": "Turn the lower edge {deep} to the inside and press; turn it {deep} again.",
    "step.hem.2": "Stitch close to the inner fold, all round.",
    "step.ruffle": "Make the ruffle",
    "step.ruffle.1": "Join the strips of the ruffle end to end into a round, {seam} from the edge. Finish the edges.",
    "step.ruffle.2": "Turn its lower edge {deep} to the inside and press; turn it {deep} again, and stitch close to "
    "the inner fold.",
    "step.ruffle.3": "Along its upper edge sew two rows of long stitches inside the allowance, without back-stitching.",
    "step.gather": "Gather the ruffle on",
    "step.gather.1": "Pin the ruffle to the lower edge of the skirt, right sides together: the middle of each strip on "
    "its notch, and a join on each seam of the skirt.",
    "step.gather.joins": "Between two middles lies a join, on the notch between them.",
    "step.gather.2": "Draw the threads up until the ruffle is as long as the skirt, spread the gathers evenly, and "
    "stitch {seam} from the edge. Finish the edges together and press them up.",
    "step.finish": "Finish",
    "step.finish.1": "Remove basting and marks. Press the hem and the flat parts only: heat spoils elastic.",
    "step.finish.2": "Pull every seam and every elastic once, firmly, and look for loose threads, pins and needles "
    "left behind.",
    # words inside the pictures
    "draw.crease.line": "crease along the fold line",
    "draw.crease.notch": "fold notch, at both ends",
    "draw.casings.lines": "the two stitch lines of a casing meet",
    "draw.casings.first": "begin here",
    "draw.press.tuck": "tuck, pressed down",
    "draw.press.hem": "lower edge",
    "draw.elastic.bodkin": "bodkin",
    "draw.elastic.pinned": "first end pinned level",
    "draw.down.line": "close to the fold",
    "draw.close.back": "seam at the centre back",
    "draw.close.side": "the other side seam",
    "draw.side.seam": "side seam",
    "draw.side.wrong": "inside up; the other panel lies under it",
    "draw.side.notch": "notches meet",
    "draw.close.wrong": "inside out",
    "draw.close.fold": "fold",
    "draw.close.casing": "casing on casing",
    "draw.hem.wrong": "inside up",
    "draw.hem.line": "stitch near the inner fold",
    "draw.ruffle.rows": "two rows to gather by",
    "draw.ruffle.hem": "hem, turned twice",
    "draw.ruffle.join": "joined to the next strip",
    "draw.gather.ruffle": "ruffle",
    "draw.gather.notch": "middle of a strip on its notch",
    "draw.gather.seam": "stitch",
    "draw.gather.skirt": "skirt",
    "draw.gather.allowance": "allowances, pressed up",
}
