"""A skirt to test with, and its body; all invented."""

from blocks.measurements import body_from
from blocks.skirt.design import RuffleDesign, SkirtCasing, SkirtDesign, SkirtFinish, SkirtWaist
from blocks.skirt.draft import draft_skirt

BODY = body_from({"waist_girth": 74, "hip_girth": 100, "waist_to_hip": 20}, unit="cm", needs=())
CASINGS = (SkirtCasing("upper", -120), SkirtCasing("lower", -400, depth=14))
PLAIN = SkirtDesign("Wagtail")
TIERED = SkirtDesign("Wagtail", casings=CASINGS)
RUFFLED = SkirtDesign("Wagtail", casings=CASINGS, ruffle=RuffleDesign(depth=100, strips=2))
FACED = SkirtDesign("Wagtail", casings=CASINGS, waist=SkirtWaist(finish=SkirtFinish.FACED))
DESIGNS = (PLAIN, TIERED, RUFFLED, FACED)


def drafted(design=TIERED, body=BODY, **options):
    return draft_skirt(design, body, **options)


def pieces(skirt):
    return {piece.name: piece for piece in skirt.pieces}
