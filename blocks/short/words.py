"""The words of the short in the guide and the reports, over the common ones. British English."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from blocks.waist import WORDS as WAIST

WORDS: Final[Mapping[str, str]] = {
    **WAIST,
    # cover
    "cover.brief": "A pull-on brief",
    "cover.short": "A pull-on short",
    "cover.knee": "Pull-on trousers to the knee",
    "cover.calf": "Pull-on trousers to the calf",
    "cover.ankle": "Pull-on trousers to the ankle",
    "cover.whole": "{what} with no side seam. Each leg is one piece of cloth.",
    "cover.halves": "{what}. Each leg is a front and a back, joined at the side.",
    "cover.casings": "Elastic gathers the waist, and the legs in casings folded from their own cloth.",
    "cover.plain": "Elastic gathers the waist.",
    # finished measures
    "finished.lead": "Of the sewn garment, laid flat and pulled out, before the elastics draw it in; only the leg "
    "opening is with its elastic.",
    "finished.lead.above": "Of the sewn garment, laid flat and pulled out, before the elastics draw it in.",
    "finished.lead.plain": "Of the sewn garment, laid flat and pulled out, before the waist elastic draws it in.",
    "finished.waist_seam": "waist",
    "finished.hip": "hip",
    "finished.hem": "hem, one leg",
    "finished.leg_opening": "leg opening",
    "finished.front_rise": "front rise",
    "finished.back_rise": "back rise",
    "finished.crotch_seam": "crotch seam",
    "finished.side_length": "side length",
    "finished.inseam": "inseam",
    "rise.high": "High rise",
    "rise.mid": "Mid rise",
    # elastics
    "try.above": "Above the crotch a casing takes two, each for one half of the body: hold both together, mark on "
    "mark, round the body at the height of the casing.",
    "try.below": "Below the crotch each leg takes one: hold it, mark on mark, round the leg at the height of the "
    "casing.",
    # pieces
    "pieces.lead": "All drawn to one scale in size {size}, {rise} rise. Allowances are included: {seam} at crotch seam "
    "and inseam, {waist}, {hem} at the hem, {turned}.",
    "pieces.lead.split": "All drawn to one scale in size {size}, {rise} rise. Allowances are included: {seam} at "
    "crotch seam, inseam and side seam, {waist}, {hem} at the hem, {turned}.",
    "pieces.waist.faced": "{allowed} at the waist",
    "pieces.waist.cut-on": "{depth} to fold down at the waist",
    "pieces.waist.waistband": "{allowed} at the waist seam",
    "pieces.turned.faced": "{under} to turn under along the facing",
    "pieces.turned.cut-on": "{under} to turn under along the upper edge",
    "pieces.turned.waistband": "{under} to turn under along the waistband",
    "pieces.band": "The trim band has {top} at its upper edge and {low} at its lower one.",
    "pieces.band.hem": "{hem}",
    "pieces.band.cut": "none",
    "pieces.patch": "The patch pocket has {seam} on three sides, and {hem} and {turn} for the hem of its opening.",
    "pieces.bags": "The pocket bags, for {sizes}, whose leg is split, have {seam} all round.",
    "need.stay": "Stay tape or selvedge {width} wide, {long} for each pocket.",
    "pieces.bags.none": "The pocket lies in the side seam of a split leg: no size here has one.",
    # for one wearer
    "own.pieces.bags": "The pocket bags have {seam} all round.",
    "own.pieces.bags.none": "The pocket lies in the side seam of a split leg: yours is in one piece and has none.",
    "own.step.trim.1": "Cut one length of trim for each leg, as long as the elastic table says. Seal or stay ends that "
    "fray.",
    # steps
    "steps.lead": "The order matters: everything that is easier flat is sewn while the legs lie flat. Sew both legs "
    "step by step, as a mirrored pair.",
    "step.side.only": "Only for {sizes}, whose leg is split.",
    "step.cut.1": "Cut every piece as often as it says, half of them mirrored, so that you have a left and a right "
    "leg. Keep the grainline along the selvedge.",
    "step.cut.3": "Mark the inside of each piece, and its upper edge, with a pin or the marker.",
    "step.bags": "Sew on the pocket bags",
    "step.bags.only": "Only for {sizes}, whose leg is split: a leg in one piece has no pocket.",
    "step.bags.one": "Only on the {which} leg; the other side seam is stitched through.",
    "step.bags.1": "Baste a stay over the seam line of the opening, on the inside of the leg front: tape or selvedge, "
    "{stay_wide} wide and {stay_long} long. It keeps the opening its length.",
    "step.bags.2": "Lay the front bag on the leg front and the back bag on the leg back, right sides together, side "
    "edges level, their notches on those of the opening. Stitch {seam} from the edge, from notch to notch, and "
    "back-stitch at both.",
    "step.bags.3": "Press the bags out, away from the leg, and the allowances into them. Understitch the front bag.",
    "step.side": "Join front and back at the side",
    "step.side.1": "Lay leg front on leg back, right sides together, side edges level and every notch on its mate. "
    "Stitch {seam} from the edge.",
    "step.side.pocket": "Leave the opening of the pocket free: stitch to its notches and back-stitch there. Then "
    "stitch the two bags together round their edge, {seam} from it, from notch to notch.",
    "step.side.2": "Finish the two edges together and press them to the back, quite flat: later an elastic must slide "
    "past them.",
    "step.side.faced": "Join the front and the back of the waist facing in the same way.",
    "step.side.banded": "Join the front and the back of the waistband in the same way.",
    "step.side.3": "From here on a joined leg is handled like a leg in one piece.",
    "step.side.band": "Join the front and the back of the trim band in the same way.",
    "step.side.bags": "Snip the allowance of the leg back to the ends of the opening and press both bags to the "
    "front. Close each end of the opening with a short bar of dense stitches. Keep the bags pinned up until the legs "
    "are joined: no hem, casing or elastic may catch them.",
    "step.pocket": "Sew on the patch pocket",
    "step.pocket.one": "Only on the {which} leg.",
    "step.pocket.1": "Turn the upper edge of the pocket {pocket_turn} to the inside, then {pocket_hem} along the fold "
    "notches, and press. Stitch {near} from the inner fold.",
    "step.pocket.2": "Press {pocket_seam} of the other three edges to the inside, the bottom first.",
    "step.pocket.2.round": "Gather the allowance of the round corners, a long stitch inside it, and draw it up over a "
    "card cut to the seam line. Press {pocket_seam} of all three edges to the inside over it.",
    "step.pocket.3": "Lay the pocket on the outside of the leg, its outline on the placement line, so that it covers "
    "the crosses. Stitch {near} from its edge: down, along the bottom and up. Back-stitch over both upper corners.",
    "step.pocket.4": "It is sewn on while the cloth is flat. Later it keeps the cloth under it smooth; the gathers "
    "form on both sides of it and fade out above and below.",
    "step.crease": "Crease the fold lines",
    "step.crease.1": "Fold the leg wrong sides together so that the two fold notches of a casing lie in the fold, one "
    "at each edge. The layers at the edges match as far as the stitch marks.",
    "step.crease.2": "Press a sharp crease right across, straight along the thread of the cloth.",
    "step.crease.next": "Open the leg and crease the next one, lowest first: {casings}.",
    "step.hem": "Roll the hem",
    "step.hem.1": "Turn the lower edge {deep} to the inside and press; turn it {deep} again. The ends of the "
    "allowance come to lie level with the inseam edges.",
    "step.hem.2": "Stitch close to the inner fold.",
    "step.band": "Hem the trim band",
    "step.band.1": "The band has a right way up: its edge marked casing is the upper one. Mark it on the inside.",
    "step.band.2": "Turn the lower edge {band_deep} to the inside twice, press, and stitch close to the inner fold.",
    "step.band.cut": "The lower edge stays as it is cut. Trim it with pinking shears, or finish it as you like, within "
    "its own width.",
    "step.trim": "Cut the bought trim",
    "step.trim.1": "Cut one length of trim for each leg; the elastic table has the length for your size. Seal or stay "
    "ends that fray.",
    "step.trim.2": "Mark a line {inside} below its upper edge: that much goes into the casing.",
    "step.casings": "Stitch the casings",
    "step.casings.lowest": "Begin with the lowest.",
    "step.casings.1": "Fold the leg along the crease, wrong sides together, and stitch parallel "
    "to the fold from edge to edge: {depths}. The stitch marks of both layers meet on this line.",
    "step.casings.2": "Back-stitch at neither end: the seams will hold them. The tuck stands on the outside of the "
    "leg, and its fold and its stitching make a tunnel open at both ends.",
    "step.casings.band": "Lowest casing: before you fold, lay the band on the inside of the leg, its right side on the "
    "leg’s wrong side, its upper seam line on the lower stitch line, ends level. Baste. Fold along the crease so that "
    "the band’s raw edge lies in the tuck, {gap} short of the fold, and stitch through all layers. The band now hangs "
    "behind the hem and shows {shows} below it.",
    "step.casings.trim": "Lowest casing: before you fold, lay the trim on the inside of the leg, its right side on the "
    "leg’s wrong side, its marked line on the lower stitch line, ends level. Baste. Fold along the crease so that the "
    "trim’s upper edge lies in the tuck, {gap} short of the fold, and stitch through all layers. The trim now hangs "
    "behind the hem and shows {shows} below it.",
    "step.press": "Press the tucks toward the hem",
    "step.press.1": "From the outside press every tuck down, toward the hem. At both ends its layers now lie edge on "
    "edge with the leg below: that is how the pattern was cut.",
    "step.press.2": "Do not close the ends: the elastics go in there.",
    "step.buttonholes": "Work the buttonholes for the drawcord",
    "step.buttonholes.1": "On the inside of each {outer}, over the mark of its buttonhole, fuse or baste a stay: a "
    "piece of firm interfacing {stay} square. A cord wears out a hole without one.",
    "step.buttonholes.2": "Work a buttonhole {hole} long on the mark, through cloth and stay: upright, {aside} from "
    "the seam line of the centre front. Sew one on a scrap first and see that the cord passes.",
    "step.buttonholes.3": "Cut it open. A pin across each end stops the blade.",
    "step.buttonholes.mind": "A cord can catch and strangle: put none into children’s clothes. EN 14682 limits cords "
    "there, and your local rules come before anything written here.",
    "step.facing": "Sew on the waist facing",
    "step.facing.1": "Press {under} along the lower edge of the facing to the inside, then open it again.",
    "step.facing.2": "Lay the facing on the leg, right sides together: its plain long edge on the waist, one notch in "
    "front, two at the back, the side notches on each other. Stitch {waist} from the edge.",
    "step.facing.2.split": "Lay the facing on the leg, right sides together: its plain long edge on the waist, one "
    "notch in front, two at the back, side seam on side seam. Stitch {waist} from the edge.",
    "step.facing.3": "Press the facing up, and both allowances into it. Understitch: on the facing, {edge} from the "
    "seam, through the allowances. The facing will turn in willingly.",
    "step.down": "Stitch the folds down",
    "step.down.1": "Do it now, while the tunnels are empty and the leg lies flat: nothing has to be stretched, and no "
    "needle can catch an elastic.",
    "step.down.2": "Stitch {close} from the fold, through tuck and leg, from edge to edge; back-stitch at neither end.",
    "step.down.trim": "At the lowest casing fold the trim up out of the way, so that it hangs free.",
    "step.down.3": "The tunnel between the two rows is then higher than its elastic is wide: {spare}.",
    "step.down.snug": "Under {slides} an elastic may stick, so draw one through a test tuck first. If it sticks, draw "
    "the elastics in before you stitch the folds down: push each up against the first row, stretch the leg until the "
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
    "step.elastic.trim": "In the lowest casing draw it through in front of the trim’s edge.",
    "step.elastic.3": "At both ends stitch twice across tuck, elastic and leg in the middle of the allowance, {half} "
    "from the edge. The seam to come will cover it.",
    "step.elastic.4": "Spread the gathers evenly from end to end.",
    "step.loop": "Make the hanging loop",
    "step.loop.1": "Press the strip in half lengthwise and open it. Press both long edges to the middle crease and "
    "fold it again: it is {loop_wide} wide, its raw edges inside. Stitch {near} from both edges.",
    "step.loop.2": "Fold it double and baste its ends to one of the two facings at the centre back, on the right side, "
    "where it is marked.",
    "step.loop.2.folded": "Fold it double and baste its ends to one of the two legs at the centre back, on the right "
    "side of what will be folded down inside, where it is marked.",
    "step.loop.2.banded": "Fold it double and baste its ends to one of the two waistbands at the centre back, on the "
    "right side of its inner half, where it is marked.",
    "step.loop.3": "Its ends lie level with the cut edge and it points away from that. The crotch seam will take it, "
    "and it will hang inside the garment.",
    "step.crotch": "Sew the crotch seams",
    "step.crotch.1": "Lay the two legs right sides together. {open} Match front to front and back to back: {match}, "
    "casing on casing, notches on notches.",
    "step.crotch.1.plain": "Lay the two legs right sides together. {open} Match front to front and back to back: "
    "{match}, notches on notches.",
    "step.crotch.2": "Stitch the front from the top of {top} to the crotch point, {seam} from the edge, the "
    "back likewise. Turn the wheel by hand over thick places.",
    "step.crotch.try": "Put the garment on: the two elastics of each casing above the crotch now go round the body. "
    "Sit, and walk. Where they pinch or mark the skin, open the seam over the casing and put in longer ones.",
    "step.crotch.3": "Stitch the curve a second time on the same line. Finish the edges together; press the front to "
    "one side and the back to the other, so that they part at the crotch.",
    "step.inseam": "Sew the inseam",
    "step.inseam.1": "Lay the garment so that each leg’s front lies on its back, right sides together. Match the "
    "crotch seams, then the notches, then hem on hem.",
    "step.inseam.casing": "Match the casings below the crotch exactly, their tucks lying down.",
    "step.inseam.band": "Baste the ends of the trim to the ends of the leg first, so that one seam takes all four "
    "layers. Below the hem it takes the trim alone.",
    "step.inseam.2": "Stitch in one line from hem to hem through the crotch, {seam} from the edge.",
    "step.inseam.try": "Put the garment on: now the elastics below the crotch go round the legs. Sit, and walk. Where "
    "one pinches or marks the skin, open the seam over the casing and put in longer ones.",
    "step.inseam.3": "Finish the edges together and tack them to the back at the hem.",
    "finish.faced.open": "Open the facings up.",
    "finish.faced.match": "waist seam on waist seam",
    "finish.faced.outer": "leg",
    "finish.cut-on.outer": "leg",
    "finish.waistband.outer": "waistband",
    "finish.faced.top": "the facing",
    "finish.cut-on.open": "Their upper edges are not folded down yet.",
    "finish.cut-on.match": "fold notch on fold notch at the waist",
    "finish.cut-on.top": "the leg",
    "finish.waistband.open": "Open the waistbands up.",
    "finish.waistband.match": "waist seam on waist seam",
    "finish.waistband.top": "the waistband",
    "step.waistband": "Sew on the waistband",
    "step.waistband.1": "Fold the band lengthwise at the fold notches of its ends, wrong sides together, and press. "
    "The half whose ends are notched is the outer one. Press {under} along the long edge of the inner half to the "
    "inside, then open both creases again.",
    "step.waistband.2": "Lay the band on the leg, right sides together: the long edge of its outer half "
    "on the waist, one notch in front, two at the back, the side notches on each other. Stitch {waist} from the edge.",
    "step.waistband.2.split": "Lay the band on the leg, right sides together: the long edge of its outer "
    "half on the waist, one notch in front, two at the back, side seam on side seam. Stitch {waist} from the edge.",
    "step.waistband.3": "Press the band up, and both allowances into it.",
    "step.folded.tack": "Tack the allowances of the crotch seam flat inside it: later the elastic must slide past "
    "them.",
    "step.banding": "Fold the waistband over and put in the waist elastic",
    "step.banding.1": "Fold the band to the inside along its crease, its inner edge turned under. It reaches {edge} "
    "below the waist seam: tack it so all round, and the allowances of the crotch seam flat inside it.",
    "step.banding.2": "From the outside stitch in the groove of the waist seam, so that the row catches the inner edge "
    "all round, and leave {opening} open at the centre back.",
    "step.waist": "Turn the facing down and put in the waist elastic",
    "step.waist.1": "Turn the facing to the inside, its lower edge turned under along the crease. Tack the allowances "
    "of the crotch seam flat inside it. From the outside stitch {channel} below the waist, {edge} above the "
    "facing’s fold, and leave {opening} open at the centre back.",
    "step.finish": "Finish",
    "step.finish.1": "Remove basting and marks. Press the hem and the flat parts only: heat spoils elastic.",
    "step.finish.2": "Pull every seam and every elastic once, firmly, and look for loose threads, pins and needles "
    "left behind.",
    # words inside the diagrams
    "draw.side.seam": "side seam",
    "draw.side.notch": "notches meet",
    "draw.side.front": "leg front, inside up",
    "draw.side.back": "leg back, outside up",
    "draw.side.bag": "round both bags",
    "draw.bags.bag": "front bag, inside up",
    "draw.bags.stitch": "from notch to notch, over the stay",
    "draw.bags.notch": "notches meet",
    "draw.bags.leg": "leg front, outside up",
    "draw.pocket.hem": "hem of the opening",
    "draw.pocket.inside": "inside up",
    "draw.pocket.under": "allowance pressed in",
    "draw.pocket.corner": "back-stitch at the corner",
    "draw.pocket.stitch": "close to the edge",
    "draw.loop.stitch": "stitch both edges",
    "draw.loop.raw": "raw edges inside",
    "draw.loop.double": "loop, folded double",
    "draw.loop.level": "ends level with the cut edge",
    "draw.loop.baste": "baste",
    "draw.crease.line": "crease along the fold line",
    "draw.crease.notch": "fold notch, at both edges",
    "draw.hem.wrong": "inside up",
    "draw.hem.line": "stitch near the inner fold",
    "draw.band.casing": "this edge goes into the casing",
    "draw.band.hem": "hem, turned twice",
    "draw.band.cut": "edge left as cut",
    "draw.band.notch": "notch: level of the leg’s hem",
    "draw.trim.top": "this much goes into the casing",
    "draw.trim.length": "cut length for one leg",
    "draw.casings.lines": "the two stitch lines of a casing meet",
    "draw.casings.first": "begin here",
    "draw.press.tuck": "tuck, pressed down",
    "draw.press.hem": "hem",
    "draw.facing.crease": "pressed, then opened",
    "draw.facing.under": "understitching",
    "draw.facing.side": "side notches meet",
    "draw.elastic.bodkin": "bodkin",
    "draw.elastic.pinned": "first end pinned level",
    "draw.down.line": "close to the fold",
    "draw.crotch.faced": "facing, opened up",
    "draw.crotch.cut-on": "folded down later",
    "draw.crotch.waistband": "waistband, opened up",
    "draw.buttonholes.hole": "buttonhole",
    "draw.buttonholes.stay": "stay, on the inside",
    "draw.buttonholes.centre": "centre front",
    "draw.buttonholes.top.faced": "waist seam, sewn later",
    "draw.buttonholes.top.cut-on": "fold, made later",
    "draw.buttonholes.top.waistband": "fold of the waistband, made later",
    "need.cord": "A cord {width} wide, in the length of the elastic table, and a scrap of firm interfacing.",
    "word.stay": "Stay: a piece of interfacing or tape that keeps cloth from stretching and tearing.",
    "draw.waistband.fold": "the fold, opened",
    "draw.waistband.under": "pressed, then opened",
    "draw.waistband.side": "side notches meet",
    "draw.banding.fold": "fold",
    "draw.banding.stitch": "stitch in the seam, leaving a gap",
    "draw.crotch.back": "back crotch seam",
    "draw.crotch.front": "front crotch seam",
    "draw.crotch.wrong": "inside up; the other leg lies under it",
    "draw.crotch.casing": "casing on casing",
    "draw.inseam.crotch": "crotch seams meet",
    "draw.inseam.hem": "hem on hem",
    "draw.inseam.wrong": "inside out",
    "draw.inseam.casing": "casing on casing",
    # what is seen on a toile, and what to change; drafting and fitting handbooks, from memory
    "find.full_tummy.see": "Drag lines run from the centre front to the sides, the waist edge dips in front, the side "
    "line swings forward.",
    "find.full_tummy.change": "Slash from the centre front to nothing at the side, below the waist, and open it at the "
    "centre; let the centre line run up straighter.",
    "find.flat_tummy.see": "A loose fold lies across the front below the waist.",
    "find.flat_tummy.change": "Fold it out from the centre front to nothing at the side; let the centre line lean in "
    "more.",
    "find.full_seat.see": "The waist edge is pulled down behind when you sit or bend, drag lines point to the seat, "
    "the hem rides up at the back.",
    "find.full_seat.change": "Slash from the centre back to nothing at the side, at the hip level, and open it at the "
    "centre; carry a third of that across into the back crotch extension.",
    "find.flat_seat.see": "Loose folds hang below the seat.",
    "find.flat_seat.change": "Fold it out from the centre back to nothing at the side, at the hip level; take a third "
    "of that from the back crotch extension.",
    "find.hollow_back.see": "A fold lies across the back between waist and seat.",
    "find.hollow_back.change": "Fold it out from the centre back to nothing at the side, above the seat.",
    "find.full_inner_thigh.see": "Drag lines run from the crotch down the inside of the thighs, the legs creep up "
    "between them.",
    "find.full_inner_thigh.change": "Move both crotch points out, front and back by half each, and the inseams with "
    "them; on a long leg to nothing at the knee.",
    "find.full_outer_thigh.see": "The cloth is tight over the outside of the thighs, its gathers are pulled flat "
    "there.",
    "find.full_outer_thigh.change": "Slash down the side line and spread it from waist to hem; on a long leg to "
    "nothing at the knee.",
    "find.high_waist_front.see": "The edge lies below the waist at the centre front; nothing pulls.",
    "find.high_waist_front.change": "Raise the waist edge at the centre front, to nothing at the side.",
    "find.low_waist_front.see": "The edge stands above the waist at the centre front; nothing pulls.",
    "find.low_waist_front.change": "Lower the waist edge at the centre front, to nothing at the side.",
    "find.high_waist_back.see": "The edge lies below the waist at the centre back; nothing pulls.",
    "find.high_waist_back.change": "Raise the waist edge at the centre back, to nothing at the side.",
    "find.low_waist_back.see": "The edge stands above the waist at the centre back; nothing pulls.",
    "find.low_waist_back.change": "Lower the waist edge at the centre back, to nothing at the side.",
    "find.high_waist_side.see": "The edge lies below the waist at the side; nothing pulls.",
    "find.high_waist_side.change": "Raise the waist edge at the side, to nothing at the centres.",
    "find.low_waist_side.see": "The edge stands above the waist at the side; nothing pulls.",
    "find.low_waist_side.change": "Lower the waist edge at the side, to nothing at the centres.",
    "find.long_crotch.see": "The crotch seam cuts in, and the waist is pulled down at both centres; the sides lie "
    "right.",
    "find.long_crotch.change": "Lengthen both crotch edges, a little more behind: half at the crotch points, outwards, "
    "half at the waist of the centres, upwards.",
    "find.short_crotch.see": "The crotch hangs low, or cloth bags at both centres; the sides lie right.",
    "find.short_crotch.change": "Shorten both crotch edges likewise.",
    "find.long_front_crotch.see": "The crotch seam cuts in in front alone.",
    "find.long_front_crotch.change": "Lengthen the front crotch edge: half at the crotch point, half at the waist of "
    "the centre front.",
    "find.short_front_crotch.see": "Cloth bags at the crotch in front alone.",
    "find.short_front_crotch.change": "Shorten the front crotch edge likewise.",
    "find.long_back_crotch.see": "The crotch seam cuts in behind alone.",
    "find.long_back_crotch.change": "Lengthen the back crotch edge: half at the crotch point, half at the waist of the "
    "centre back.",
    "find.short_back_crotch.see": "Cloth bags at the crotch behind alone.",
    "find.short_back_crotch.change": "Shorten the back crotch edge likewise.",
    "find.long_rise.see": "The waist edge does not reach the waist anywhere, or the crotch pulls up all round.",
    "find.long_rise.change": "Slash straight across between hip level and waist and spread it evenly.",
    "find.short_rise.see": "The waist edge stands above the waist all round, or the crotch hangs low all round.",
    "find.short_rise.change": "Fold it out straight across between hip level and waist.",
    "find.long_leg.see": "The hem lies higher on the leg than you want it.",
    "find.long_leg.change": "Slash straight across the leg just below the crotch and spread it evenly.",
    "find.short_leg.see": "The hem lies lower on the leg than you want it.",
    "find.short_leg.change": "Fold it out straight across the leg just below the crotch.",
    # glossary
    "word.crotch": "Crotch point: where crotch seam and inseam meet, between the legs.",
    "word.inseam": "Inseam: the seam along the inside of the legs, from hem to hem.",
    "word.rise.both": "Rise: the height from crotch to waist. The mid rise ends lower on the body than the high rise.",
    "word.rise": "Rise: the height from crotch to waist.",
}
