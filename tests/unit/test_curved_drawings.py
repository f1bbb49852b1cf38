"""Edges out of drawings: each arc is one side; holes of polygons are openings."""

import json
import math

import pytest
from ezdxf.document import Drawing
from numpy.testing import assert_allclose

from gradevol.answer.compose import compose_answer
from gradevol.answer.said.places import say_place
from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import GeometryError
from gradevol.ground.units import Units
from tests.quarter_ring import INNER, OUTER, check, slab_in
from tests.read_files import measure_job


def drawing(folder, draw):
    made = Drawing.new()
    made.units = 6
    draw(made.modelspace())
    made.saveas(folder / "edge.dxf")


def test_arcs_of_a_drawing_are_one_side_each(tmp_path):
    names = 'sides = ["gate", "outer", "house", "inner"]'
    bulge = math.tan(math.pi / 8)
    corners = [(INNER, 0, 0), (OUTER, 0, bulge), (0, OUTER, 0), (0, INNER, -bulge)]
    drawing(tmp_path, lambda space: space.add_lwpolyline(corners, "xyb", close=True))
    drawn = slab_in(tmp_path, edge='"edge.dxf"', slab=names)
    typed = slab_in(tmp_path / "typed", slab=names)
    assert drawn.side_names == typed.side_names
    for one, other in zip(drawn.paths, typed.paths, strict=True):
        assert_allclose(one, other, atol=1e-9)


def test_a_drawing_is_described_by_its_corners_not_by_its_chords(tmp_path):
    corners = [(INNER, 0, 0), (OUTER, 0, math.tan(math.pi / 8)), (0, OUTER, 0), (0, INNER, 0)]
    drawing(tmp_path, lambda space: space.add_lwpolyline(corners, "xyb", close=True))
    told = take_inventory(tmp_path / "edge.dxf")
    assert told.title.startswith("an outline of 4 corners")
    (sides,) = (fact.text for fact in told.facts if fact.key == "perimeter")
    assert "sides from 4.000 to 15.708" in sides


def test_lines_and_arcs_drawn_one_by_one_are_sides_too(tmp_path):
    def draw(space):
        space.add_arc((0, 0), OUTER, 0, 90)
        space.add_line((INNER, 0), (OUTER, 0))
        space.add_arc((0, 0), INNER, 0, 90)
        space.add_line((0, OUTER), (0, INNER))

    drawing(tmp_path, draw)
    slab = slab_in(tmp_path, edge='"edge.dxf"')
    assert sorted(len(path) > 2 for path in slab.paths) == [False, False, True, True]
    assert_allclose(slab.area, math.pi / 4 * (OUTER**2 - INNER**2), rtol=1e-9)


def test_a_circle_of_a_drawing_is_one_side_that_begins_in_the_east(tmp_path):
    drawing(tmp_path, lambda space: space.add_circle((5, 5), 4))
    slab = slab_in(tmp_path, edge='"edge.dxf"')
    assert len(slab.paths) == 1
    assert_allclose(slab.corners, [[9, 5]], atol=0.001)
    assert_allclose(slab.area, 16 * math.pi, rtol=1e-9)
    told = say_place((5, 8), slab, Units.of_job("m"))
    assert told == "6.28 m along side 1 from corner 1, 1.00 m off it"


def test_a_whole_job_on_a_circle_can_be_checked_and_told(tmp_path):
    drawing(tmp_path, lambda space: space.add_circle((5, 5), 4))
    result = check(tmp_path, edge='"edge.dxf"', level=lambda *_: 4.8)
    assert_allclose(result.concrete.volume, 0.2 * 16 * math.pi, rtol=1e-9)
    assert compose_answer(result).plain()["slab"]


def test_an_edge_of_which_too_many_sides_are_named_counts_an_arc_once(tmp_path):
    drawing(tmp_path, lambda space: space.add_circle((5, 5), 4))
    with pytest.raises(GeometryError, match=r"names 2 sides, but the edge has 1: .* an arc is one"):
        slab_in(tmp_path, edge='"edge.dxf"', slab='sides = ["a", "b"]')


def test_holes_of_a_polygon_are_openings_beside_those_listed(tmp_path):
    def square(at, size):
        return [[at, at], [at + size, at], [at + size, at + size], [at, at + size], [at, at]]

    shape = {"type": "Polygon", "coordinates": [square(0, 10), square(1, 2), square(6, 1)]}
    result = check(
        tmp_path,
        edge='"edge.geojson"',
        slab="openings = [[[4, 4], [5, 4], [5, 5], [4, 5]]]",
        files={"edge.geojson": json.dumps(shape)},
    )
    assert_allclose(result.slab.area, 100 - 4 - 1 - 1)
    (note,) = (note for note in result.notes if note.code == "openings-of-edge")
    said = note.say(result.units)
    assert said.startswith("The polygon of edge.geojson has 2 holes, 5.0 m²:")


def test_holes_of_a_polygon_are_openings_of_a_slab_over_a_surface_too(tmp_path):
    corners = [[0, 0], [9, 0], [9, 9], [0, 9]]
    hole = [[2, 2], [3, 2], [3, 3], [2, 3]]
    shape = {"type": "Polygon", "coordinates": [[*ring, ring[0]] for ring in (corners, hole)]}
    (tmp_path / "edge.geojson").write_text(json.dumps(shape))
    places = "".join(f"v {east} {north} 9.85\n" for east, north in corners)
    (tmp_path / "base.obj").write_text(places + "f 1 2 3 4\n")
    job = tmp_path / "job.toml"
    job.write_text(
        'units = "m"\n[base]\nsurface_file = "base.obj"\n[slab]\nedge = "edge.geojson"\n'
        "thickness = 0.15\n[top]\nlevel = 10\n"
    )
    assert_allclose(measure_job(job)[0], 80 * 0.15)
