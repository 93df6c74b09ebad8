"""The words of the printed guide: one catalogue, so that a translator need read one file. British English.

Keys that end in a number are the items of one list, in that order. Names in braces are filled in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from blocks.words import isolated, sizes_span

WORDS: Final[dict[str, str]] = {
    # the document
    "guide": "Sewing guide",
    "guide.subject": "How to print, choose, cut and sew {design}",
    "contents": "In this guide",
    # cover
    "cover.sizes": "Sizes {first} to {last}",
    "sizes.one": "size {sizes}",
    "sizes.several": "sizes {sizes}",
    "cover.one": "Size {first}",
    "cover.front": "front",
    "cover.back": "back",
    "cover.drawn": "Drawn from the pattern itself, size {size}: the widths are those of the elastics laid flat, the "
    "gathers those of the cloth.",
    "cover.lead": "A pull-on short with no side seam. Each leg is one piece of cloth; elastic gathers it, in casings "
    "folded from the leg itself.",
    "cover.lead.split": "A pull-on short. Each leg is a front and a back, joined at the side; elastic gathers it, in "
    "casings folded from the leg itself.",
    "cover.some": "In {sizes} the leg is wider than the cloth of this set and is joined at the side.",
    "cover.lead.plain": "A pull-on short with no side seam. Each leg is one piece of cloth.",
    "cover.lead.plain.split": "A pull-on short. Each leg is a front and a back, joined at the side.",
    # printing
    "print": "Print and check the scale",
    "print.1": "Print at 100 % or “actual size”. Switch off “fit to page”, “shrink to fit” and every other scaling.",
    "print.2": "Print only the first page of the pattern file. It has two squares: one of 50 mm, one of 2 in "
    "(50.8 mm). Measure both with a rigid ruler, across and up.",
    "print.3": "If a square is out by more than half a millimetre (1/64 in), do not cut. Correct the print scale and "
    "print that page again.",
    "print.4": "Print the rest on the same paper with the same settings. A4 files go on A4 paper, Letter files on "
    "Letter paper.",
    "print.5": "Join the pages as the first page of the file shows, until every register mark is whole. A wide sheet "
    "from a print shop has the same squares: measure them before you cut.",
    "print.why": "A scale that is wrong by 3 % makes the hip of size {size} wrong by {off}.",
    # which file
    "files": "Which pattern for which size and cloth",
    "files.pick.size": "Pick your size by the body sizes on the next pages",
    "files.pick.rise": "Pick the pattern for your rise",
    "files.pick.both": "and then the pattern for your rise",
    "files.lead": "A leg that is wider than the cloth is split at the side into a front and a back; everything else "
    "stays the same.",
    "files.release": "In this set of patterns",
    "files.pattern": "pattern",
    "files.sizes": "sizes",
    "files.pieces": "pieces of a leg",
    "files.whole": "leg in one piece",
    "files.halves": "leg front and leg back",
    "files.file": "file",
    "files.for": "for",
    "files.cloth": "What fits on which cloth",
    "files.cloth.lead": "Usable width is the cloth’s less its selvedges, halved when it is folded. Lay the grainline "
    "along the selvedge.",
    "files.cloth.width": "cloth",
    "files.cloth.usable": "usable width",
    "files.cloth.whole": "leg in one piece",
    "files.cloth.split": "leg split at the side",
    "files.cloth.none": "too narrow for",
    "open": "single layer",
    "folded": "folded lengthwise",
    "none": "none",
    # bodies
    "body": "Body sizes",
    "body.lead": "Compare these with your own body, not with a garment.",
    "body.choose": "The hip girth decides; between two sizes, take the larger.",
    "body.one": "The pattern is drafted for this one.",
    "body.blend": "Where waist and hips point to two sizes, see “Between two sizes”.",
    "body.estimated": "Estimated from the others, not measured: {names}.",
    "unit": "Upper figures are centimetres, lower ones inches.",
    "size": "size",
    # how to measure
    "measure": "How to measure",
    "measure.lead": "Measure over close underwear, standing easily, with someone to help. Keep the tape level and snug "
    "without pressing; one finger should fit under it. The names are those of ISO 8559-1.",
    "measure.half": "half way",
    "measure.share": "{percent} % of the way",
    "measure.waist_girth": "Waist girth",
    "measure.waist_girth.how": "Bend to one side: the crease is the natural waist. Tie a tape there and measure round "
    "it, breathing out.",
    "measure.hip_girth": "Hip girth",
    "measure.hip_girth.how": "Round the fullest part of the seat, feet together, the tape level all round.",
    "measure.body_rise": "Body rise",
    "measure.body_rise.how": "Sit upright on a hard chair. At the side, from the waist tape straight down to the seat.",
    "measure.waist_to_hip": "Waist to hip",
    "measure.waist_to_hip.how": "At the side, from the waist tape down over the curve to the level of the hip girth.",
    "measure.high_hip_girth": "High-hip girth",
    "measure.high_hip_girth.how": "Round the body over the hip bones, {down} from waist to hip.",
    "measure.thigh_girth": "Thigh girth",
    "measure.thigh_girth.how": "Round one thigh at its fullest, just below the crotch, weight on both feet.",
    "measure.crotch_length": "Crotch length",
    "measure.crotch_length.how": "From the waist tape in front, between the legs, to the waist tape at the back. Let "
    "the tape hang easily.",
    "measure.height": "Height",
    "measure.height.how": "Without shoes, back to a wall, from the floor to the top of the head.",
    # finished measures
    "finished": "Finished measures",
    "finished.lead": "Of the sewn garment, laid flat and pulled out, before the elastics draw it in; only the leg "
    "opening is with its elastic.",
    "finished.lead.above": "Of the sewn garment, laid flat and pulled out, before the elastics draw it in.",
    "finished.lead.plain": "Of the sewn garment, laid flat and pulled out, before the waist elastic draws it in.",
    "finished.waist_seam": "waist seam",
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
    # blended sizes
    "blend": "Between two sizes",
    "blend.lead": "The pieces follow the hips, the elastics follow the body. So a waist of one size goes on the hips "
    "of another without redrafting: cut the pieces of your hip size, and take each elastic as follows.",
    "blend.1": "Find the size of your hip girth. Cut every piece in that size.",
    "blend.2": "Find the size of your waist girth. Cut the waist elastic in that size.",
    "blend.table.1": "In the table for your rise find the row of your hip size. Where a casing’s column says “waist”, "
    "cut its elastic as for your waist size; where it says “hips”, as for your hip size. The lengths are those of "
    "“Elastics to cut and to buy”.",
    "blend.hips.1": "Cut the elastic of every casing as for your hip size.",
    "blend.plain.1": "There is no other elastic.",
    "blend.last.1": "Add up the lengths of each width before you buy: the amounts in the other tables are those of one "
    "size alone.",
    "blend.last.2": "Try every elastic round the body before you sew it in.",
    "blend.size": "hip size",
    "blend.waist": "waist size",
    "blend.waist.word": "waist",
    "blend.hips.word": "hips",
    "blend.lacks": "–",
    "blend.lacking": "A waist size whose own pattern lacks the casing has no length for it in the table of elastics: "
    "here it is.",
    "blend.example": "Worked example: waist of {waist}, hips of {hips}, {rise} rise",
    "blend.body": "The wearer has a waist girth of {waist} and a hip girth of {hips}. They cut the pieces of {size} "
    "and these elastics:",
    "blend.column.elastic": "elastic",
    "blend.column.height": "from the crotch line",
    "blend.above": "{length} above",
    "blend.below": "{length} below",
    "blend.column.from": "taken from",
    "blend.column.width": "width",
    "blend.column.length": "cut length",
    "blend.column.quantity": "quantity",
    "blend.bought": "To buy: {amounts}.",
    "blend.buy": "{amount} of elastic {width} wide",
    "blend.warned": "Mind: {warning}.",
    # cloth
    "cloth": "Cloth to buy",
    "cloth.lead": "Lengths include {shrinkage} % that the first wash may shrink and {ends} for squaring the ends. Wash "
    "and press the cloth before you cut.",
    "cloth.two_way": "Cloth with nap or a print that has a direction may need more.",
    "cloth.one_way": "All pieces point one way, as cloth with nap or a print that has a direction needs it.",
    "cloth.on": "{width} cloth, {lay}",
    "lays": "Lay plans",
    "lays.lead": "One way to lay the pieces. Grainlines run along the cloth. Check that every piece is there before "
    "you cut the first.",
    # elastics
    "elastics": "Elastics to cut and to buy",
    "elastics.lead": "Cut lengths include what the seams take up: {seam} at each end of a casing’s elastic, and a lap "
    "of {lap} at the waist. Elastics differ in stretch. Cut one, try it round the body, seated and moving, and only "
    "then cut the rest.",
    "elastics.lead.plain": "The cut length includes a lap of {lap}. Elastics differ in stretch: try it round the body, "
    "seated and moving, before you sew it in.",
    "elastics.mind": "Mind: {sentence}.",
    "elastics.column": "{name} {width} × {quantity}",
    "elastics.buy.elastic": "buy elastic {width}",
    "elastics.buy.trim": "buy trim {width}",
    # pieces
    "pieces": "The pieces",
    "pieces.lead": "All drawn to one scale in size {size}, {rise} rise. Allowances are included: {seam} at crotch seam "
    "and inseam, {waist} at the waist, {hem} at the hem, {under} to turn under along the facing.",
    "pieces.lead.split": "All drawn to one scale in size {size}, {rise} rise. Allowances are included: {seam} at "
    "crotch seam, inseam and side seam, {waist} at the waist, {hem} at the hem, {under} to turn under along the "
    "facing.",
    "pieces.band": "The trim band has {top} at its upper edge and {low} at its lower one.",
    "pieces.band.hem": "{hem}",
    "pieces.band.cut": "none",
    "pieces.piece": "piece",
    "pieces.cut": "cut",
    "pieces.measures": "width × height in size {size}",
    "pieces.once": "{count}",
    "pieces.pairs": "{count}: {drawn} as drawn, {mirrored} mirrored",
    "pieces.split": "For {sizes}, whose leg is split",
    # materials
    "need": "What you need",
    "need.1": "A light to medium woven cloth that gathers softly: lawn, poplin, linen, viscose, double gauze. Wash and "
    "press it first.",
    "need.2": "Thread, pins or clips, a fabric marker that comes out, small sharp scissors, a bodkin or safety pin, an "
    "iron, a sewing machine with a sharp new needle of size 70 to 80 (10 to 12).",
    "need.3": "A stitch of 2.5 mm (1/10 in) unless a step says otherwise.",
    "need.casings.1": "Flat elastics in the widths and lengths of the elastic table: a firm, woven or braided one for "
    "the waist, soft ones for the casings. Sew a test tuck on a scrap: your elastic must slide in it.",
    "need.plain.1": "A flat elastic in the width and length of the elastic table, firm, woven or braided.",
    "need.trim": "A trim {width} wide, in the length of the elastic table.",
    # reading the diagrams
    "key": "How to read the diagrams",
    "key.lead": "They are drawn from the pieces of size {size}, {rise} rise, laid flat. Yours gather once the elastics "
    "are in. Sections cut through the leg: up is towards the waist, right is outside.",
    "key.outside": "outside of the cloth",
    "key.inside": "inside of the cloth",
    "key.now": "sew now",
    "key.sewn": "sewn before",
    "key.crease": "fold or crease",
    "key.elastic": "elastic",
    # steps
    "steps": "Sewing",
    "steps.lead": "The order matters: everything that is easier flat is sewn while the legs lie flat. Sew both legs "
    "step by step, as a mirrored pair.",
    "steps.lacking": "Where a step names a casing that your size and rise lack, pass over it.",
    "step.side.only": "Only for {sizes}, whose leg is split.",
    "step.cut": "Cut and mark",
    "step.cut.1": "Cut every piece as often as it says, half of them mirrored, so that you have a left and a right "
    "leg. Keep the grainline along the selvedge.",
    "step.cut.2": "Mark every notch with a snip along it, square to the edge, no deeper than it is drawn: {snip} at "
    "most. One stroke means the front, two mean the back; an arrow points to a fold line, a T stands at a stitch line, "
    "a dot ends the mark of the side.",
    "step.cut.3": "Mark the inside of each piece and the top of the facing with a pin or the marker.",
    "step.cut.plain": "Mark every notch with a snip along it, square to the edge, no deeper than it is drawn: {snip} "
    "at most. One stroke means the front, two mean the back, a dot ends the mark of the side.",
    "step.cut.ring": "A mark in a ring is not snipped: copy it with chalk or the marker.",
    "step.side": "Join front and back at the side",
    "step.side.1": "Lay leg front on leg back, right sides together, side edges level and every notch on its mate. "
    "Stitch {seam} from the edge.",
    "step.side.2": "Finish the two edges together and press them to the back, quite flat: later an elastic must slide "
    "past them.",
    "step.side.3": "Join the front and the back of the waist facing in the same way. From here on a joined leg is "
    "handled like a leg in one piece.",
    "step.side.band": "Join the front and the back of the trim band in the same way.",
    "step.crease": "Crease the fold lines",
    "step.crease.1": "Fold the leg wrong sides together so that the two fold notches of a casing lie in the fold, one "
    "at each edge. The layers at the edges match as far as the stitch marks.",
    "step.crease.2": "Press a sharp crease right across, straight along the thread of the cloth. Open the leg and "
    "crease the next one, lowest first: {casings}.",
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
    "step.trim.2": "Mark a line {top} below its upper edge: that much goes into the casing.",
    "step.casings": "Stitch the casings",
    "step.casings.1": "Begin with the lowest. Fold the leg along the crease, wrong sides together, and stitch parallel "
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
    "step.press.2": "Do not close the ends yet. The elastics go in first.",
    "step.facing": "Sew on the waist facing",
    "step.facing.1": "Press {under} along the lower edge of the facing to the inside, then open it again.",
    "step.facing.2": "Lay the facing on the leg, right sides together: its plain long edge on the waist, one notch in "
    "front, two at the back, the side notches on each other. Stitch {waist} from the edge.",
    "step.facing.2.split": "Lay the facing on the leg, right sides together: its plain long edge on the waist, one "
    "notch in front, two at the back, side seam on side seam. Stitch {waist} from the edge.",
    "step.facing.3": "Press the facing up, and both allowances into it. Understitch: on the facing, {edge} from the "
    "seam, through the allowances. The facing will turn in willingly.",
    "step.elastic": "Draw in the elastics",
    "step.elastic.1": "On each elastic mark {seam} from both ends: between the marks lies its finished length. Pin one "
    "end level with the cut edge, draw the other through with the bodkin, and pin it level too. Keep it flat.",
    "step.elastic.2": "At both ends stitch twice across tuck, elastic and leg in the middle of the allowance, {half} "
    "from the edge. The seam to come will cover it.",
    "step.elastic.3": "Spread the gathers evenly from end to end.",
    "step.elastic.mind": "Try each elastic round the body before you stitch its second end. If it pinches or marks the "
    "skin, cut a longer one.",
    "step.elastic.trim": "In the lowest casing the elastic lies in front of the trim’s edge.",
    "step.down": "Stitch the folds down",
    "step.down.1": "Push the elastic up against the first stitching. Hold the leg at both ends and stretch it until "
    "the cloth lies smooth; let the machine feed it.",
    "step.down.2": "Stitch {close} from the fold, through tuck and leg, from edge to edge. The elastic must stay free: "
    "where the needle caught it, unpick and stitch again.",
    "step.down.trim": "At the lowest casing fold the trim up out of the way, so that it hangs free.",
    "step.down.mind": "Stretch with both hands away from the needle, and never pull the cloth under it: a bent needle "
    "breaks.",
    "step.crotch": "Sew the crotch seams",
    "step.crotch.1": "Lay the two legs right sides together. Open the facings up. Match front to front and back to "
    "back: waist seam on waist seam, casing on casing, notches on notches.",
    "step.crotch.1.plain": "Lay the two legs right sides together. Open the facings up. Match front to front and back "
    "to back: waist seam on waist seam, notches on notches.",
    "step.crotch.2": "Stitch the front from the top of the facing to the crotch point, {seam} from the edge, the "
    "back likewise. Turn the wheel by hand over thick places.",
    "step.crotch.3": "Stitch the curve a second time on the same line. Finish the edges together; press the front to "
    "one side and the back to the other, so that they part at the crotch.",
    "step.inseam": "Sew the inseam",
    "step.inseam.1": "Lay the garment so that each leg’s front lies on its back, right sides together. Match the "
    "crotch seams, then the notches, then hem on hem.",
    "step.inseam.casing": "Match the casings below the crotch exactly, their tucks lying down.",
    "step.inseam.band": "Baste the ends of the trim to the ends of the leg first, so that one seam takes all four "
    "layers. Below the hem it takes the trim alone.",
    "step.inseam.2": "Stitch in one line from hem to hem through the crotch, {seam} from the edge. Finish the edges "
    "together and tack them to the back at the hem.",
    "step.waist": "Turn the facing down and put in the waist elastic",
    "step.waist.1": "Turn the facing to the inside, its lower edge turned under along the crease. Tack the allowances "
    "of the crotch seam flat inside it. From the outside stitch {channel} below the waist, {edge} above the "
    "facing’s fold, and leave {opening} open at the centre back.",
    "step.waist.2": "Draw in the waist elastic without a twist. Lap its ends by {lap} and pin. Try the garment on and "
    "move in it.",
    "step.waist.3": "Stitch a box with a cross through both ends. Let them slip in, close the gap, and spread the "
    "gathers.",
    "step.waist.4": "Hold the elastic in place with a short line of stitching across the channel at centre front and "
    "centre back.",
    "step.finish": "Finish",
    "step.finish.1": "Remove basting and marks. Press the hem and the flat parts only: heat spoils elastic.",
    "step.finish.2": "Pull every seam and every elastic once, firmly, and look for loose threads, pins and needles "
    "left behind.",
    # words inside the diagrams
    "draw.cut.drawn": "leg, as drawn",
    "draw.cut.mirrored": "leg, mirrored",
    "draw.cut.notch": "notch",
    "draw.cut.snip": "snip no deeper: {snip}",
    "draw.cut.seam": "seam line",
    "draw.cut.edge": "cut edge",
    "draw.side.seam": "side seam",
    "draw.side.notch": "notches meet",
    "draw.side.front": "leg front, inside up",
    "draw.side.back": "leg back, outside up",
    "draw.crease.line": "crease along the fold line",
    "draw.crease.notch": "fold notch, at both edges",
    "draw.crease.fold": "crease",
    "draw.crease.wrong": "wrong sides together",
    "draw.hem.wrong": "inside up",
    "draw.hem.line": "stitch near the inner fold",
    "draw.hem.stitch": "through all layers",
    "draw.hem.raw": "raw edge rolled in",
    "draw.band.casing": "this edge goes into the casing",
    "draw.band.hem": "hem, turned twice",
    "draw.band.cut": "edge left as cut",
    "draw.band.notch": "notch: level of the leg’s hem",
    "draw.trim.top": "this much goes into the casing",
    "draw.trim.length": "cut length for one leg",
    "draw.casings.lines": "the two stitch lines of a casing meet",
    "draw.casings.first": "begin here",
    "draw.casings.fold": "fold",
    "draw.casings.stitch": "stitch, fold to line as given",
    "draw.casings.trim": "trim, caught in the tuck",
    "draw.press.tuck": "tuck, pressed down",
    "draw.press.hem": "hem",
    "draw.press.stitch": "stitching of the casing",
    "draw.press.fold": "fold",
    "draw.press.outside": "outside of the leg",
    "draw.facing.crease": "pressed, then opened",
    "draw.facing.under": "understitching",
    "draw.facing.side": "side notches meet",
    "draw.facing.facing": "facing",
    "draw.facing.stitch": "understitching",
    "draw.facing.leg": "leg",
    "draw.elastic.bodkin": "bodkin",
    "draw.elastic.pinned": "first end pinned level",
    "draw.elastic.seam": "seam line, sewn later",
    "draw.elastic.flush": "elastic level with the cut edge",
    "draw.elastic.stitch": "stitch twice, inside the allowance",
    "draw.down.elastic": "elastic, free in the tunnel",
    "draw.down.stitch": "stitch the fold down",
    "draw.down.stretch": "stretch both ways while you sew",
    "draw.down.line": "close to the fold",
    "draw.crotch.facing": "facing, opened up",
    "draw.crotch.back": "back crotch seam",
    "draw.crotch.front": "front crotch seam",
    "draw.crotch.wrong": "inside up; the other leg lies under it",
    "draw.crotch.casing": "casing on casing",
    "draw.inseam.crotch": "crotch seams meet",
    "draw.inseam.hem": "hem on hem",
    "draw.inseam.wrong": "inside out",
    "draw.inseam.casing": "casing on casing",
    "draw.waist.seam": "waist seam",
    "draw.waist.elastic": "waist elastic",
    "draw.waist.stitch": "stitch, leaving a gap",
    "draw.waist.fold": "facing, turned under",
    "draw.waist.lap": "lap of the two ends",
    "draw.waist.box": "box with a cross",
    # cautions
    "safe": "Work safely",
    "safe.iron": "Iron",
    "safe.iron.text": "It burns and scalds, and some cloths melt. Test it on a scrap, keep the cord out of the way, "
    "stand it up, and never leave it hot and alone.",
    "safe.needle": "Needles and pins",
    "safe.needle.text": "Switch the machine off before you thread it or change the needle. Keep fingers beside the "
    "foot, not before it. Count your pins, and look for a broken needle until you have every part of it.",
    "safe.blade": "Blades",
    "safe.blade.text": "Cut away from yourself. Close a rotary cutter whenever you put it down. Keep blades from "
    "children and animals.",
    "safe.elastic": "Elastic",
    "safe.elastic.text": "Elastic that grips too hard can hinder circulation. The lengths here are a start: try each "
    "one seated and moving. If it marks the skin, tingles or pinches, make it longer. Ask a doctor first if the wearer "
    "is pregnant, has swollen legs, or cannot say that it hurts.",
    "safe.elastic.thigh": "Elastic",
    "safe.elastic.thigh.text": "Elastic that grips too hard can hinder circulation, above all round a thigh. The "
    "lengths here are a start: try each one seated and moving. If it marks the skin, tingles or pinches, make it "
    "longer. Ask a doctor first if the wearer is pregnant, has swollen legs, or cannot say that it hurts.",
    "safe.child": "Children’s wear",
    "safe.child.text": "Fit no loose cords, drawstrings, or small parts that a child could pull off and swallow. "
    "Loose, light cloth catches fire easily: keep it from flames, and mind that nightwear has rules of its own in many "
    "places. These sizes are for adults.",
    "safe.law": "Rules and trained people",
    "safe.law.text": "Rules on children’s wear, flammability, small parts, labels and sale differ from place to place. "
    "Your local rules, and the judgement of qualified and licensed people, come before anything written here.",
    # glossary
    "glossary": "Words used here",
    "word.basting": "Basting: long stitches that hold layers for a while and are taken out again.",
    "word.bodkin": "Bodkin: a blunt needle or clip that draws elastic through a tunnel; a safety pin will do.",
    "word.casing": "Casing: a tunnel of cloth for an elastic. Here it is a tuck folded from the leg.",
    "word.crotch": "Crotch point: where crotch seam and inseam meet, between the legs.",
    "word.facing": "Facing: a strip that finishes an edge and is turned to the inside. Here it also holds the waist "
    "elastic.",
    "word.fullness": "Fullness: how much wider the cloth is than the body. It is what gathers.",
    "word.grain": "Grain: the direction of the threads; the straight grain runs along the selvedge.",
    "word.inseam": "Inseam: the seam along the inside of the legs, from hem to hem.",
    "word.notch": "Notch: a mark on an edge that must meet its mate when the seam is sewn.",
    "word.rise.both": "Rise: the height from crotch to waist. The mid rise ends lower on the body than the high rise.",
    "word.rise": "Rise: the height from crotch to waist.",
    "word.allowance": "Seam allowance: cloth between the seam line and the cut edge.",
    "word.selvedge": "Selvedge: the firm woven edge of the cloth, along its length.",
    "word.sides": "Right side, wrong side: the outside and the inside of the cloth as it is worn.",
    "word.tuck": "Tuck: a fold of cloth held by a line of stitching.",
    "word.understitch": "Understitching: stitching the seam allowances to the facing, so that it rolls inwards.",
}


def say(key: str, **filled: object) -> str:
    """The words of a key, their braces filled in.

    >>> say("cover.sizes", first="H84", last="H152")
    'Sizes H84 to H152'
    """
    told = {name: isolated(value) if isinstance(value, str) else value for name, value in filled.items()}
    return WORDS[key].format(**told) if told else WORDS[key]


def listed(key: str, **filled: object) -> tuple[str, ...]:
    """The items of a list, in order.

    >>> len(listed("print"))
    5
    """
    items: list[str] = []
    while f"{key}.{len(items) + 1}" in WORDS:
        items.append(say(f"{key}.{len(items) + 1}", **filled))
    return tuple(items)


def together(names: Sequence[str]) -> str:
    """Names in a row.

    >>> together(["leg"]), together(["leg", "lower", "upper"])
    ('leg', 'leg, lower and upper')
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def runs(labels: Sequence[str], chosen: Sequence[str]) -> str:
    """The chosen among all labels in their order, neighbours drawn together.

    >>> runs(["H84", "H88", "H92", "H96"], ["H84", "H88", "H96"])
    'H84 to H88, H96'
    """
    found: list[list[str]] = []
    for i, label in enumerate(labels):
        if label not in chosen:
            continue
        if found and i and found[-1][-1] == labels[i - 1]:
            found[-1].append(label)
        else:
            found.append([label])
    return ", ".join(isolated(run[0]) if len(run) == 1 else sizes_span(run[0], run[-1]) for run in found)


def sizes_of(labels: Sequence[str], chosen: Sequence[str]) -> str:
    """The chosen sizes in a sentence.

    >>> sizes_of(["H84", "H88", "H92"], ["H88"]), sizes_of(["H84", "H88", "H92"], ["H84", "H88"])
    ('size H88', 'sizes H84 to H88')
    """
    return say("sizes.several" if chosen[1:] else "sizes.one", sizes=runs(labels, chosen))


def group(prefix: str) -> Mapping[str, str]:
    """All entries under a prefix, by what follows it: their order is the catalogue's."""
    return {key[len(prefix) + 1 :]: words for key, words in WORDS.items() if key.startswith(f"{prefix}.")}
