"""Pockets measured by shapely on the pieces: their shape, their place among the casings, what is refused and why."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from shapely import LinearRing, LineString, Polygon
from shapely import Point as Spot

from blocks.left_out import parts_omitted
from blocks.read_design import design_from
from blocks.short import Short, ShortDesign, draft_short
from blocks.short.design import PocketDesign, PocketKind
from blocks.short.pocket import BAG, PATCH
from blocks.size_range import draft_range
from drafting.errors import DesignError
from drafting.piece import NotchKind, Piece
from heron import BODY, DESIGN
from nests import table

EVERY_PATCH = [
    {"kind": "patch", "place": place, "corner": corner, "legs": legs}
    for place, corner, legs in product(("front", "back"), ("square", "round"), ("both", "left"))
]


def with_pocket(**values) -> ShortDesign:
    return replace(DESIGN, pocket=PocketDesign(**values))


def drafted(*, split: bool = False, rise: str = "high", **values) -> Short:
    return draft_short(with_pocket(**values), BODY, rise=rise, split=split)


def named(short: Short, name: str) -> Piece:
    (piece,) = (piece for piece in short.pieces if piece.name == name)
    return piece


def ring(path) -> LinearRing:
    return LinearRing(path.array(tolerance=1e-3))


@pytest.mark.parametrize("values", EVERY_PATCH)
def test_a_patch_has_its_size_and_its_allowances(values):
    pocket = PocketDesign(**values)
    patch = named(drafted(**values), PATCH)
    seam, cut = (Polygon(line.array(tolerance=1e-3)) for line in (patch.seam_line, patch.cut_line))
    left, low, right, top = seam.bounds
    assert (right - left, top - low) == pytest.approx((pocket.width, pocket.height))
    lost = 0.0 if pocket.corner == "square" else (4 - 3.14159265) * pocket.radius**2 / 2
    assert seam.area == pytest.approx(pocket.width * pocket.height - lost, rel=1e-4)
    assert cut.bounds[3] - top == pytest.approx(pocket.hem + pocket.turn)
    assert low - cut.bounds[1] == left - cut.bounds[0] == pytest.approx(pocket.allowance)
    # the hem's ends are those of the sides that it is turned down onto
    for y in (1.0, pocket.hem - 1, pocket.hem + pocket.turn - 1):
        across = LineString([(-999, top + y), (999, top + y)]).intersection(cut)
        assert across.length == pytest.approx(pocket.width + 2 * pocket.allowance, abs=0.01)
    assert patch.cut_count == (2 if pocket.legs == "both" else 1)
    folds = [notch for notch in patch.notches if notch.kind is NotchKind.FOLD]
    assert {notch.seam_point.y for notch in folds} == {top}


@pytest.mark.parametrize(("values", "split", "rise"), [*product(EVERY_PATCH, (False, True), ("high", "mid"))])
def test_a_patch_is_placed_whole_on_its_leg_clear_of_every_casing(values, split, rise):
    short = drafted(split=split, rise=rise, **values)
    pocket, patch = short.design.pocket, named(short, PATCH)
    (leg,) = (piece for piece in short.pieces if piece.marks)
    assert leg.name == (f"leg {pocket.place}" if split else "leg")
    (mark,) = leg.marks
    place, shape = Polygon(ring(mark.line)), Polygon(ring(patch.seam_line))
    moved = (place.centroid.x - shape.centroid.x, place.centroid.y - shape.centroid.y)
    at = Polygon([(x + moved[0], y + moved[1]) for x, y in shape.exterior.coords])
    assert at.symmetric_difference(place).area < 1e-3
    near = place.bounds[0] if pocket.place == "front" else -place.bounds[2]
    assert near == pytest.approx(pocket.from_side)
    seam = Polygon(ring(leg.seam_line))
    assert seam.contains(place)
    assert seam.exterior.distance(place) >= pocket.gap - 1e-6
    for line in (*leg.fold_lines, *leg.stitch_lines):
        assert LineString([(p.x, p.y) for p in (line.start, line.end)]).distance(place) >= pocket.gap - 1e-6
    assert len(mark.points) == 4
    for point in mark.points:
        assert place.contains(Spot(point.x, point.y))
        assert place.exterior.distance(Spot(point.x, point.y)) == pytest.approx(pocket.inset, abs=1e-3)
    only = "" if pocket.legs == "both" else ", left leg only"
    assert mark.label == f"patch pocket{only}"


def test_no_pressed_tuck_covers_a_pocket():
    """On the finished leg a tuck covers its depth below its stitching (common practice)."""
    short = drafted(kind="patch")
    (mark,) = short.pieces[0].marks
    bottom, top = mark.line.bounds[1], mark.line.bounds[3]
    tucks = sorted(short.design.casings, key=lambda casing: casing.height)
    below = [c for c in tucks if c.height + 2 * sum(o.depth for o in tucks if o.height <= c.height) <= bottom]
    lift = 2 * sum(casing.depth for casing in below)
    for casing in tucks:
        assert top - lift <= casing.height - casing.depth or bottom - lift >= casing.height


REFUSED = [
    ({"kind": "patch", "top": 100}, "runs into casing 'lower'", {"top": 70}),
    ({"kind": "patch", "top": 450}, "runs into the waist's channel", {"top": None}),
    ({"kind": "patch", "top": -100}, "runs into the hem, casing 'frill' and casing 'thigh'", {"top": None}),
    ({"kind": "patch", "below": 60}, "pocket.below: at 60 mm", {"below": None}),
    (
        {"kind": "patch", "height": 200, "below": 60},
        "set pocket.height to 148 mm at most",
        {"height": 148, "below": None},
    ),
    ({"kind": "patch", "width": 300, "from_side": 200}, "set pocket.width to ", {"width": 180}),
    ({"kind": "patch", "corner": "round", "radius": 70}, "set it to 64 mm at most", {"radius": 64}),
    ({"kind": "in-seam", "bag": 150}, "hangs into the hem", {"bag": 70}),
]


@pytest.mark.parametrize(("values", "told", "remedy"), REFUSED)
def test_what_does_not_fit_is_refused_with_what_does(values, told, remedy):
    with pytest.raises(DesignError, match=r"^pocket\.\w+: ") as refused:
        drafted(split=True, **values)
    assert told in str(refused.value)
    assert drafted(split=True, **{**values, **remedy}).pieces


@pytest.mark.parametrize("name", ["in-seam", "inseam", "in seam", "side-seam", "side seam"])
def test_a_pocket_in_the_side_seam_has_many_names(name):
    read = design_from({"name": "Plain", "unit": "mm", "pocket": {"kind": name}})
    assert read.pocket.kind is PocketKind.IN_SEAM
    assert PocketDesign(kind=name).kind is PocketKind.IN_SEAM


def test_two_heights_of_one_opening_are_refused():
    with pytest.raises(DesignError, match="top and below are both given"):
        PocketDesign(kind="patch", top=50, below=100)


@pytest.mark.parametrize("rise", ["high", "mid"])
def test_an_opening_in_the_side_seam_is_marked_on_both_halves_and_on_the_bag(rise):
    short = drafted(kind="in-seam", split=True, rise=rise)
    pocket = short.design.pocket
    for half, other in (("front", "back"), ("back", "front")):
        leg, bag = named(short, f"leg {half}"), named(short, f"{BAG} {half}")
        ends = [leg.notch(name) for name in ("pocket-top", "pocket-low")]
        assert ends[0].seam_point.distance(ends[1].seam_point) == pytest.approx(pocket.height)
        assert [notch.mate for notch in ends] == [f"leg {other}/pocket-top", f"leg {other}/pocket-low"]
        assert all(notch.seam_point.x == pytest.approx(0) for notch in ends)
        met = [bag.notch(name) for name in ("pocket-top", "pocket-low")]
        assert met[0].seam_point.distance(met[1].seam_point) == pytest.approx(pocket.height)
        assert [notch.mate for notch in met] == [f"leg {half}/pocket-top", f"leg {half}/pocket-low"]
        # right sides together, edges run against each other
        assert (ends[0].distance < ends[1].distance) is (met[0].distance > met[1].distance)
        (mark,) = leg.marks
        assert mark.line.length == pytest.approx(pocket.height)
        for line in (*leg.fold_lines, *leg.stitch_lines):
            y = line.start.y
            assert not ends[1].seam_point.y - pocket.gap < y < ends[0].seam_point.y + pocket.gap
        assert bag.edge("side").allowance == leg.edge("side").allowance
        assert (bag.cut_count, bag.mirrored) == (2, True)
    walks = {walk.first: walk for walk in short.proofs.walks}
    assert walks[f"{BAG} front bag"].mates == 1
    assert walks["leg front side"].mate_gap < 1e-6


def test_the_two_halves_of_a_bag_are_one_shape_mirrored():
    front, back = (named(drafted(kind="in-seam", split=True), f"{BAG} {half}") for half in ("front", "back"))
    one, two = (Polygon(ring(piece.cut_line)) for piece in (front, back))
    mirrored = Polygon([(-x, y) for x, y in two.exterior.coords])
    assert one.symmetric_difference(mirrored).area < 1e-3


def test_a_bag_hangs_between_its_edges_and_clear_of_the_hem():
    short = drafted(kind="in-seam", split=True)
    pocket = short.design.pocket
    left, low, right, top = named(short, f"{BAG} back").seam_line.bounds
    assert (right - left, top) == pytest.approx((pocket.width, pocket.gap))
    assert low == pytest.approx(-pocket.height - pocket.bag)


def test_a_pocket_of_one_leg_is_cut_for_that_leg():
    # Seen from its outside, a leg as drawn has its front on the right: it is the wearer's right one.
    for legs, mirrored in (("left", True), ("right", False)):
        short = drafted(kind="in-seam", split=True, legs=legs)
        bag = named(short, f"{BAG} front")
        assert (bag.cut_count, bag.mirrored) == (1, False)
        assert ("cut it mirrored" in bag.notes[0]) is mirrored
        assert named(short, "leg front").marks[0].label == f"pocket opening, {legs} leg only"


def test_without_a_side_seam_there_is_no_pocket_in_it_and_every_report_says_so():
    short = drafted(kind="in-seam")
    assert short.pieces == draft_short(DESIGN, BODY).pieces
    (why,) = short.omitted
    assert why in short.warnings
    assert not drafted(kind="in-seam", split=True).omitted


def test_a_range_tells_once_which_sizes_lack_the_pocket():
    made = draft_range(with_pocket(kind="in-seam"), table(count=3), rises=("high",), fit="whole")
    (told,) = parts_omitted(made.garments)
    assert told.startswith("every size, high rise: the pocket is left out")
    assert [warning for warning in made.warnings if "pocket" in warning] == [told]
    assert not parts_omitted(draft_range(with_pocket(kind="in-seam"), table(count=2), fit="split").garments)


def test_a_design_without_a_pocket_has_none():
    assert not any(piece.marks for piece in draft_short(DESIGN, BODY).pieces)
