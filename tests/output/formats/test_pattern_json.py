from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import jsonschema
import pytest
from shapely import LineString, Point, Polygon
from shapely.affinity import scale

import output
from blocks.short import Short
from drafting.path import Path
from drafting.piece import Edge, Grainline, Piece
from drafting.point import Point as At
from output.formats.pattern_json import FLATNESS, pattern_json
from sample_pieces import marked
from sampled import heron
from zoo import dense_path

RISES = ("high", "mid")
ROUNDING = 2e-4
LEFT_OUT = {"marks", "adjusted"}
"""What a piece, or the file, has only where there is something to tell."""


def schema() -> Any:
    return json.loads((FilePath(output.__file__).parent / "formats" / "pieces.schema.json").read_text())


def read_back(*pieces: Piece) -> list[dict[str, Any]]:
    document = json.loads(pattern_json(pieces))
    jsonschema.Draft202012Validator(schema()).validate(document)
    return list(document["pieces"])


@pytest.fixture(params=RISES)
def short(request: pytest.FixtureRequest) -> Short:
    return heron(request.param)


def both(short: Short) -> list[tuple[Piece, dict[str, Any]]]:
    """Each piece beside what was read back of it."""
    found = {piece["name"]: piece for piece in read_back(*short.pieces)}
    assert len(found) == len(short.pieces)
    return [(piece, found[piece.name]) for piece in short.pieces]


def square(side: float, name: str = "pocket") -> Piece:
    def edge(label: str, *corners: tuple[float, float]) -> Edge:
        line = Path.through(*(At(x, y) for x, y in corners))
        return Edge(label, line, 0.0, line)

    return Piece(
        name=name,
        title="Pocket",
        size="",
        variant="",
        edges=(edge("foot", (0, 0), (side, 0)), edge("rest", (side, 0), (side, side), (0, side), (0, 0))),
        grainline=Grainline(At(side / 2, 10), At(side / 2, side - 10)),
    )


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("extra", [("pieces", 0, "colour"), ("pieces", 0, "notches", 0, "angle"), ("author",)])
def test_the_schema_refuses_what_it_does_not_describe(extra: tuple[Any, ...]) -> None:
    document = json.loads(pattern_json(heron().pieces))
    place = document
    for step in extra[:-1]:
        place = place[step]
    place[extra[-1]] = 1
    with pytest.raises(jsonschema.ValidationError, match="Additional properties"):
        jsonschema.Draft202012Validator(schema()).validate(document)


def test_every_property_is_required() -> None:
    def visit(node: Any) -> None:
        if isinstance(node, dict):
            if "properties" in node and node.get("type") == "object":
                assert sorted(node["required"]) == sorted(set(node["properties"]) - LEFT_OUT)
                assert node["additionalProperties"] is False
            for child in node.values():
                visit(child)

    visit(schema())


def test_marks_are_told_by_name_and_left_out_of_a_piece_without() -> None:
    piece = marked()
    (found,) = read_back(piece)
    told = {mark["name"]: mark for mark in found["marks"]}
    assert list(told) == sorted(mark.name for mark in piece.marks)
    for mark in piece.marks:
        assert (told[mark.name]["kind"], told[mark.name]["label"]) == (mark.kind, mark.label)
        assert told[mark.name]["points"] == [[at.x, at.y] for at in mark.points]
        line = told[mark.name]["line"]
        assert line == (mark.line and [[at.x, at.y] for at in mark.line.flat()])
    (plain,) = read_back(replace(piece, marks=()))
    assert "marks" not in plain


def test_the_same_pieces_give_the_same_bytes() -> None:
    pieces = [*heron("high").pieces, *heron("mid").pieces]
    assert pattern_json(pieces) == pattern_json(pieces[::-1])
    assert pattern_json(pieces) != pattern_json(pieces[:1])


def test_coordinates_are_rounded_and_have_no_negative_zero(short: Short) -> None:
    text = pattern_json(short.pieces).decode()
    assert "-0.0," not in text
    assert "-0.0]" not in text
    for token in text.replace("[", " ").replace("]", " ").replace(",", " ").split():
        if token.lstrip("-").replace(".", "").isdigit():
            assert len(token.partition(".")[2]) <= 4


def test_polylines_lie_on_the_drafted_curves(short: Short) -> None:
    for piece, found in both(short):
        lines = [(piece.seam_line, found["seam_line"]), (piece.cut_line, found["cut_line"])]
        if piece.fold_lines:
            assert piece.finished is not None
            lines.append((piece.finished, found["finished_line"]))
        for path, line in lines:
            true, flat = LineString(dense_path(path, steps=400)), LineString(line)
            assert flat.hausdorff_distance(true) < FLATNESS + 1e-3  # the true curve is itself sampled here
            assert flat.length == pytest.approx(path.length, abs=0.1)


def test_outlines_are_closed_simple_and_counter_clockwise(short: Short) -> None:
    for found in read_back(*short.pieces):
        for name in ("seam_line", "cut_line", "finished_line"):
            if found[name] is None:
                continue
            assert found[name][0] == found[name][-1]
            outline = Polygon(found[name])
            assert outline.is_valid
            assert outline.exterior.is_ccw
        assert Polygon(found["cut_line"]).contains(Polygon(found["seam_line"]))


def test_edges_run_round_the_seam_line(short: Short) -> None:
    for piece, found in both(short):
        assert [edge["name"] for edge in found["edges"]] == [edge.name for edge in piece.edges]
        round_it = [found["edges"][0]["line"][0]]
        for edge in found["edges"]:
            assert edge["line"][0] == pytest.approx(round_it[-1], abs=ROUNDING)
            round_it += edge["line"][1:]
        assert len(round_it) == len(found["seam_line"])
        assert Polygon(round_it).equals_exact(Polygon(found["seam_line"]), ROUNDING)
        for edge in found["edges"]:
            away = LineString(found["cut_line"]).distance(
                Point(LineString(edge["line"]).interpolate(0.5, normalized=True))
            )
            assert away <= edge["allowance"] + FLATNESS


def test_marks_lie_where_they_belong(short: Short) -> None:
    for found in read_back(*short.pieces):
        seam, cut, inside = LineString(found["seam_line"]), LineString(found["cut_line"]), Polygon(found["cut_line"])
        edges = {edge["name"]: LineString(edge["line"]) for edge in found["edges"]}
        for notch in found["notches"]:
            assert edges[notch["edge"]].distance(Point(notch["seam_point"])) < FLATNESS + ROUNDING
            assert cut.distance(Point(notch["cut_point"])) < FLATNESS + ROUNDING
        assert len({notch["id"] for notch in found["notches"]}) == len(found["notches"])
        for line in [*found["fold_lines"], *found["stitch_lines"]]:
            assert line["start"][1] == line["end"][1]
            assert seam.distance(Point(line["start"])) < FLATNESS + ROUNDING
            assert seam.distance(Point(line["end"])) < FLATNESS + ROUNDING
        grain = found["grainline"]
        assert grain["start"][0] == grain["end"][0]
        assert grain["start"][1] < grain["end"][1]
        assert inside.contains(LineString([grain["start"], grain["end"]]))


def test_mates_name_each_other(short: Short) -> None:
    pieces = {found["name"]: {notch["id"]: notch for notch in found["notches"]} for found in read_back(*short.pieces)}
    mated = [(piece, notch) for piece, notches in pieces.items() for notch in notches.values() if notch["mate"]]
    assert mated
    for piece, notch in mated:
        other, _, mate = notch["mate"].rpartition("/")
        partner = pieces[piece if other in ("", "mirror") else other][mate]
        assert partner["mate"] is not None
        assert partner["mate"].rpartition("/")[2] == notch["id"]


def test_casings_fold_back_onto_the_finished_leg(short: Short) -> None:
    """The file alone proves the folding: cut at each casing and reflected in its fold, both layers lie on the leg."""
    (found,) = [piece for piece in read_back(*short.pieces) if piece["fold_lines"]]
    flat, finished = Polygon(found["seam_line"]), Polygon(found["finished_line"])
    removed = 0.0
    for fold in sorted(found["fold_lines"], key=lambda line: line["start"][1]):
        depth, y = fold["depth"], fold["start"][1]
        stitched = sorted(line["start"][1] for line in found["stitch_lines"] if line["casing"] == fold["casing"])
        assert stitched == pytest.approx([y - depth, y + depth], abs=ROUNDING)
        seam = stitched[0] - removed  # height of the stitching on the finished leg

        def band(shape: Polygon, low: float, high: float) -> Any:
            return shape.intersection(Polygon([(-9e3, low), (9e3, low), (9e3, high), (-9e3, high)]))

        below = band(finished, seam - depth, seam)
        inner = scale(band(flat, y - depth, y), yfact=-1, origin=(0, y - depth))
        outer = band(flat, y, y + depth)
        for layer, lift in ((inner, removed), (outer, removed + 2 * depth)):
            pressed = LineString(layer.exterior.coords).segmentize(1)
            assert all(below.exterior.distance(Point(x, height - lift)) < 0.05 for x, height in pressed.coords), fold[
                "casing"
            ]
        removed += 2 * depth


def test_a_plain_piece_has_no_finished_line_and_keeps_its_corners() -> None:
    (found,) = read_back(square(200))
    assert found["finished_line"] is None
    assert found["seam_line"] == [[0, 0], [200, 0], [200, 200], [0, 200], [0, 0]]
    assert (found["fold_lines"], found["stitch_lines"], found["notches"]) == ([], [], [])


def test_pieces_come_by_name_size_and_rise() -> None:
    pieces = [square(200, "b"), square(200, "a"), replace(square(200, "a"), size="H96")]
    assert [(piece["name"], piece["size"]) for piece in read_back(*pieces)] == [("a", ""), ("a", "H96"), ("b", "")]
