"""The words of the printed guide that are common to all garments. British English.

A block lays its own over them: all that names its parts, seams and measures. `{part}` is what it splits when that is
wider than the cloth.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from blocks.words import Catalogue

WORDS: Final[Mapping[str, str]] = {
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
    "cover.drawn": "Drawn from the pattern itself, size {size}: where elastic holds it, as wide as that elastic laid "
    "flat; the gathers are those of the cloth.",
    "cover.some": "In {sizes} the {part} is wider than the cloth of this set and is joined at the side.",
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
    "files.lead": "A {part} that is wider than the cloth is split at the side into a front and a back; everything else "
    "stays the same.",
    "files.release": "In this set of patterns",
    "files.pattern": "pattern",
    "files.sizes": "sizes",
    "files.pieces": "pieces of a {part}",
    "files.whole": "{part} in one piece",
    "files.halves": "{part} front and {part} back",
    "files.file": "file",
    "files.for": "for",
    "files.cloth": "What fits on which cloth",
    "files.cloth.lead": "Usable width is the cloth’s less its selvedges; of cloth that is folded it is half of that, "
    "less what the fold takes up. Lay the grainline along the selvedge.",
    "files.cloth.width": "cloth",
    "files.cloth.usable": "usable width",
    "files.cloth.whole": "{part} in one piece",
    "files.cloth.split": "{part} split at the side",
    "files.cloth.none": "too narrow for",
    "open": "single layer",
    "folded": "folded lengthwise",
    "none": "none",
    # bodies
    "body": "Body sizes",
    "body.lead": "Compare these with your own body, not with a garment.",
    "body.choose": "The hip girth decides; between two sizes, take the larger.",
    "body.one": "The pattern is drafted for this one.",
    "body.adjusted": "{size} is drafted with what a fitting found: {found}.",
    "body.blend": "Where waist and hips point to two sizes, see “Between two sizes”.",
    "body.about": "≈ {length}",
    "body.unknown": "–",
    "body.estimated": "≈ marks what was not measured but estimated from the others: {names}; two bodies in three lie "
    "within these errors.",
    "body.beyond": "For {sizes} an estimate goes beyond the bodies that its rule was drawn from: {names}; measure your "
    "own.",
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
    "measure.knee_girth": "Knee girth",
    "measure.knee_girth.how": "Round the knee over the middle of the kneecap, standing, the leg straight.",
    "measure.calf_girth": "Calf girth",
    "measure.calf_girth.how": "Round the calf at its fullest, weight on both feet.",
    "measure.ankle_girth": "Ankle girth",
    "measure.ankle_girth.how": "Round the leg at its narrowest, just above the ankle bone.",
    "measure.crotch_length": "Crotch length",
    "measure.crotch_length.how": "From the waist tape in front, between the legs, to the waist tape at the back. Let "
    "the tape hang easily.",
    "measure.front_crotch_length": "Front crotch length",
    "measure.front_crotch_length.how": "From the waist tape in front down to the crotch point, where the inner seams "
    "of trousers meet between the legs.",
    "measure.back_crotch_length": "Back crotch length",
    "measure.back_crotch_length.how": "From the same crotch point between the legs up to the waist tape at the back.",
    "measure.height": "Height",
    "measure.height.how": "Without shoes, back to a wall, from the floor to the top of the head.",
    "measure.inside_leg_height": "Inside leg height",
    "measure.inside_leg_height.how": "Without shoes, from the floor straight up between the legs to the crotch.",
    "measure.knee_height": "Knee height",
    "measure.knee_height.how": "Without shoes, from the floor straight up to the middle of the kneecap.",
    "measure.calf_height": "Calf height",
    "measure.calf_height.how": "From the floor up to where the calf girth is taken.",
    "measure.ankle_height": "Ankle height",
    "measure.ankle_height.how": "From the floor up to where the ankle girth is taken.",
    # finished measures
    "finished": "Finished measures",
    # blended sizes
    "blend": "Between two sizes",
    "blend.lead": "The pieces follow the hips, the elastics follow the body. So a waist of one size goes on the hips "
    "of another without redrafting: cut the pieces of your hip size, and take each elastic as follows.",
    "blend.1": "Find the size of your hip girth. Cut every piece in that size.",
    "blend.2": "Find the size of your waist girth.",
    "blend.3": "Cut each elastic as {table} says.",
    "blend.one_list": "the list below",
    "blend.own_list": "the list for your rise",
    "blend.of_waist": "As for your waist size, from “Elastics to cut and to buy”: {names}.",
    "blend.of_hips": "As for your hip size, from “Elastics to cut and to buy”: {names}.",
    "blend.of_both": "By both sizes, from the tables that follow: {names}.",
    "blend.of_before": "By both sizes, from the tables for the {rise}: {names}.",
    "blend.table": "{name}: your hip size down, your waist size across",
    "blend.near": "{name}: your hip size down, across by how many sizes your waist is smaller (-) or larger (+)",
    "blend.step": "waist {step}",
    "blend.last.1": "Add up the lengths of each width before you buy: the amounts in the other tables are those of one "
    "size alone.",
    "blend.last.2": "Try every elastic before you sew it in, as “Elastics to cut and to buy” says.",
    "blend.last.3": "Where the hip girth is more than {most} times the waist elastic without its lap, ordinary elastic "
    "does not pass over the hips: take one that stretches further.",
    "blend.size": "hip size",
    "blend.across": "waist {size}",
    "blend.lacks": "–",
    "blend.example": "Worked example: waist of {waist}, hips of {hips}",
    "blend.example.rise": "Worked example: waist of {waist}, hips of {hips}, {rise} rise",
    "blend.body": "The wearer has a waist girth of {waist} and a hip girth of {hips}. They cut the pieces of {size} "
    "and these elastics:",
    "blend.column.elastic": "elastic",
    "blend.column.height": "from the {origin}",
    "blend.above": "{length} above",
    "blend.below": "{length} below",
    "blend.column.girth": "girth of the body there",
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
    "of {lap} at the waist. Elastics differ in stretch. Cut those of one casing first, mark what the seams take up, "
    "and try them before you cut the rest. {trying} They should lie close, seated and moving, and neither pinch nor "
    "mark the skin.",
    "elastics.heights": "From the {origin} they lie, in size {size}: {places}.",
    "elastics.lead.plain": "The cut length includes a lap of {lap}. Elastics differ in stretch: try it round the body, "
    "seated and moving, before you sew it in.",
    "elastics.stretch": "Put on, elastics stretch over the widest part of the body below them: {stretches} in the size "
    "that asks most. Ordinary elastic stretches to {most} times its length; try yours before you buy.",
    "elastics.stretch.one": "{name} to {ratio} times its length",
    "elastics.mind": "Mind: {sentence}.",
    "elastics.column": "{name} {width} × {quantity}",
    "elastics.buy": "buy {ware} {width}",
    # pieces
    "pieces": "The pieces",
    "pieces.piece": "piece",
    "pieces.cut": "cut",
    "pieces.measures": "width × height in size {size}",
    "pieces.once": "{count}",
    "pieces.pairs": "{count}: {drawn} as drawn, {mirrored} mirrored",
    "pieces.split": "For {sizes}, whose {part} is split",
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
    # trying a toile
    "toile": "Try a toile first",
    "toile.lead": "A toile is the garment in cheap cloth, sewn to be looked at. What it shows on the body can be put "
    "right in the pattern before good cloth is cut.",
    "toile.1": "Take a cloth as heavy as your own. Cut the pieces in your size, baste all that is stitched with long "
    "stitches, and pin the elastics in.",
    "toile.2": "Put it on over close underwear. Look from the front, the side and behind, standing easily; then sit, "
    "bend and climb a stair.",
    "toile.3": "Look for the first line of the table that is so. Slash the toile where it pulls and set in a strip, or "
    "pin a fold where it is loose, until it lies smooth; begin with the amount given. Then look again: one change "
    "often mends two faults.",
    "toile.4": "Measure what you set in or pinned, and change the pattern by as much. Join cut edges again in smooth "
    "lines, and walk each seam along its mate. A pattern drafted to the wearer’s own measurements takes these amounts, "
    "by their names, and is drafted anew.",
    "toile.5": "Sew the toile again if anything moved by more than {again}.",
    "toile.mind": "Pins and needles: let someone else pin. Pin through cloth alone with the points away from the skin, "
    "never at the crotch while the garment is worn, and count the pins out again before the wearer sits or undresses. "
    "Take the toile off before you slash it. Children and whoever cannot keep still are fitted without pins.",
    "toile.see": "what you see",
    "toile.found": "it is called",
    "toile.change": "what to change",
    "toile.start": "begin with",
    # reading the diagrams
    "key": "How to read the diagrams",
    "key.lead": "They are drawn from the pieces of size {size}, laid flat. Yours gather once elastic is in. "
    "Sections cut through the {part}: up is towards the waist, right is outside.",
    "key.lead.rise": "They are drawn from the pieces of size {size}, {rise} rise, laid flat. Yours gather once elastic "
    "is in. Sections cut through the {part}: up is towards the waist, right is outside.",
    "key.outside": "outside of the cloth",
    "key.inside": "inside of the cloth",
    "key.now": "sew now",
    "key.sewn": "sewn before",
    "key.crease": "fold or crease",
    "key.elastic": "elastic",
    # steps
    "steps": "Sewing",
    "steps.lacking": "Where a step names a casing that your size lacks, pass over it.",
    "steps.lacking.rise": "Where a step names a casing that your size and rise lack, pass over it.",
    "step.cut": "Cut and mark",
    "step.cut.1": "Cut every piece as often as it says, half of them mirrored where it says so. Keep the grainline "
    "along the selvedge.",
    "step.cut.2": "Mark every notch with a snip along it, square to the edge, no deeper than it is drawn: {snip} at "
    "most.",
    "step.cut.single": "One stroke stands in front, and where front and back are sewn together.",
    "step.cut.double": "Two strokes stand at the back alone.",
    "step.cut.fold": "An arrow points to a fold line.",
    "step.cut.stitch": "A T stands at a stitch line.",
    "step.cut.dot": "A dot ends the mark of a middle, a side, a level or a join.",
    "step.cut.3": "Mark the inside of each piece with a pin or the marker.",
    "step.cut.marks": "Copy the marks inside a piece onto each of its cloths with chalk or tacking thread: a pin "
    "through a cross finds its place on the other side. Do not cut there.",
    "step.cut.ring": "A mark in a ring is not snipped: copy it with chalk or the marker.",
    # words inside the diagrams
    "draw.cut.drawn": "{piece}, as drawn",
    "draw.cut.mirrored": "{piece}, mirrored",
    "draw.cut.notch": "notch",
    "draw.cut.snip": "snip no deeper: {snip}",
    "draw.cut.seam": "seam line",
    "draw.cut.edge": "cut edge",
    "draw.crease.fold": "crease",
    "draw.crease.wrong": "wrong sides together",
    "draw.hem.stitch": "through all layers",
    "draw.hem.raw": "raw edge rolled in",
    "draw.casings.fold": "fold",
    "draw.casings.stitch": "stitch, fold to line as given",
    "draw.casings.trim": "trim, caught in the tuck",
    "draw.press.stitch": "stitching of the casing",
    "draw.press.fold": "fold",
    "draw.press.outside": "outside of the {part}",
    "draw.facing.facing": "facing",
    "draw.facing.stitch": "understitching",
    "draw.facing.part": "{part}",
    "draw.elastic.seam": "seam line, sewn later",
    "draw.elastic.flush": "elastic level with the cut edge",
    "draw.elastic.stitch": "stitch twice, inside the allowance",
    "draw.down.tunnel": "tunnel for the elastic, empty",
    "draw.down.stitch": "stitch the fold down",
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
    "safe.elastic.thigh.text": "Elastic that grips too hard can hinder circulation, above all round a leg. The "
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
    "word.casing": "Casing: a tunnel of cloth for an elastic. Here it is a tuck folded from the {part}.",
    "word.facing": "Facing: a strip that finishes an edge and is turned to the inside. Here it also holds the waist "
    "elastic.",
    "word.fullness": "Fullness: how much wider the cloth is than the body. It is what gathers.",
    "word.grain": "Grain: the direction of the threads; the straight grain runs along the selvedge.",
    "word.notch": "Notch: a mark on an edge. Where two edges are sewn together, each meets its mate.",
    "word.allowance": "Seam allowance: cloth between the seam line and the cut edge.",
    "word.selvedge": "Selvedge: the firm woven edge of the cloth, along its length.",
    "word.sides": "Right side, wrong side: the outside and the inside of the cloth as it is worn.",
    "word.tuck": "Tuck: a fold of cloth held by a line of stitching.",
    "word.understitch": "Understitching: stitching the seam allowances to the facing, so that it rolls inwards.",
}

OWN: Final[Mapping[str, str]] = {
    "guide": "Sewing guide for one wearer",
    "remarks": "Please note",
    # printing
    "print.shop": "From a print shop",
    "print.shop.1": "Have it printed at 100 %, in its full size and without any scaling.",
    "print.shop.2": "Measure both squares with a rigid ruler, across and up, before you cut. If one is out by more "
    "than half a millimetre (1/64 in), do not cut: have it printed again.",
    "print.beam": "With a projector",
    "print.beam.1": "Set the projector square to the table and show the page at 100 %. Move and zoom until the "
    "squares measure as they say and the grid is square in every corner.",
    "print.beam.2": "Fasten projector, table and cloth so that they cannot be knocked, and check a square again before "
    "you cut.",
    "print.why": "A scale that is wrong by 3 % makes the hip wrong by {off}.",
    # files
    "files": "Your files",
    "files.across": "Your widest piece is {wide} across: no cloth does that leaves less between its selvedges, or to "
    "its fold.",
    "files.narrower": "For narrower cloth it can be drafted anew ({split}): then {half} across is enough.",
    "files.wider": "For a cloth that leaves {whole} across it can be drafted anew ({split}).",
    # bodies
    "body": "Your measurements",
    "body.lead": "The pattern is drafted for these. Where your body is not so, or is so no more, have it drafted anew.",
    "body.estimated": "± tells how far an estimate may be off: two bodies in three lie within it. Measure what is "
    "estimated, and have the pattern drafted anew, if it is to fit more closely.",
    "body.adjusted": "It is drafted with what a fitting found: {found}.",
    "body.moved": "What the fitting has moved",
    # cloth
    "cloth.on": "{width} wide, {lay}",
    "cloth.buy": "Buy {amount} of cloth {width} wide from selvedge to selvedge, for the lay plan that follows.",
    "cloth.none": "A cloth {width} wide, {lay}, does not do: {problem}.",
    "lays": "Lay plan",
    # elastics
    "elastics.stretch": "Put on, elastics stretch over the widest part of the body below them: {stretches}. Ordinary "
    "elastic stretches to {most} times its length; try yours before you buy.",
    "elastics.shop": "To buy",
    "elastics.ware": "{ware}, {width} wide",
    # pieces
    "pieces.measures": "width × height",
    # toile
    "toile.1": "Take a cloth as heavy as your own. Cut the pieces, baste all that is stitched with long stitches, and "
    "pin the elastics in.",
    "toile.4": "Measure what you set in or pinned, and have the pattern drafted anew with these amounts, by their "
    "names. Or change it by as much: join cut edges again in smooth lines, and walk each seam along its mate.",
    "toile.before": "Your pattern is drafted with this already: {found}. Add what you find to it where the names are "
    "the same.",
    # steps
    "key.lead": "They are drawn from your pieces, laid flat, which gather once elastic is in. Sections cut through the "
    "{part}: up is towards the waist, right is outside.",
    "key.lead.rise": "They are drawn from your pieces, laid flat, which gather once elastic is in. Sections cut "
    "through the {part}: up is towards the waist, right is outside.",
    "steps.lacking": "",
    "steps.lacking.rise": "",
    "safe.child.text": "Fit no loose cords, drawstrings, or small parts that a child could pull off and swallow. "
    "Loose, light cloth catches fire easily: keep it from flames, and mind that nightwear has rules of its own in many "
    "places. This pattern is for adults.",
}
"""What is said otherwise, or only, in a guide for one wearer."""


COMMON: Final = Catalogue(WORDS)
