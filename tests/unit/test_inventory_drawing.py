import json

import numpy as np
import pytest
import trimesh
from ezdxf.filemanagement import new

from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import InputError
from gradevol.out.text.inventory import compose_inventory


def facts_of(inventory):
    return {fact.key: fact.value for fact in inventory.facts}


def save_dxf(path, draw, *, unit=2):
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = unit
    draw(drawing.modelspace())
    drawing.saveas(path)


def test_points_of_a_dxf_are_told_in_its_own_unit_by_layer(tmp_path):
    def draw(space):
        for i in range(4):
            for j in range(4):
                layer = "FORM" if i == 0 else "BASE"
                space.add_point((1000 + 5 * i, 2000 + 4 * j, 100.0), dxfattribs={"layer": layer})

    save_dxf(tmp_path / "points.dxf", draw)
    inventory = take_inventory(tmp_path / "points.dxf")

    assert inventory.title == "16 points, DXF"
    assert facts_of(inventory)["unit"] == "ft"
    assert {group.name: group.count for group in inventory.groups} == {"BASE": 12, "FORM": 4}
    assert inventory.groups[0].low == pytest.approx(100.0)


def test_faces_of_a_dxf_are_a_surface(tmp_path):
    save_dxf(
        tmp_path / "faces.dxf",
        lambda space: space.add_3dface([(0, 0, 1), (4, 0, 1), (4, 3, 1), (0, 3, 1)]),
        unit=6,
    )
    inventory = take_inventory(tmp_path / "faces.dxf")

    assert inventory.kind == "surface"
    assert facts_of(inventory)["unit"] == "m"
    assert np.isclose(facts_of(inventory)["area"], 12)


def test_what_lies_on_which_layer_of_a_dxf_is_listed_and_its_unit_held_against_what_is_said(
    tmp_path,
):
    def draw(space):
        space.add_3dface([(0, 0, 1), (4, 0, 1), (4, 3, 1), (0, 3, 1)], dxfattribs={"layer": "PAD"})
        for east in range(3):
            space.add_point((east, 0, 0), dxfattribs={"layer": "CONTROL"})

    save_dxf(tmp_path / "both.dxf", draw, unit=6)
    inventory = take_inventory(tmp_path / "both.dxf", unit="ft")

    assert facts_of(inventory)["layers"] == {"CONTROL": {"POINT": 3}, "PAD": {"3DFACE": 1}}
    assert facts_of(inventory)["unit"] == "m"
    assert [finding.code for finding in inventory.findings] == ["unit-contradicted"]


def test_several_surfaces_of_a_drawing_are_named(tmp_path):
    def draw(space):
        for level, layer in enumerate(("PAD", "TOP")):
            corners = [(0, 0, level), (4, 0, level), (4, 3, level)]
            space.add_3dface(corners, dxfattribs={"layer": layer})

    save_dxf(tmp_path / "both.dxf", draw)
    inventory = take_inventory(tmp_path / "both.dxf")

    assert [finding.code for finding in inventory.findings] == ["several-surfaces"]
    assert inventory.findings[0].text.startswith("Faces lie on several layers")
    assert facts_of(inventory)["layers"] == {"PAD": {"3DFACE": 1}, "TOP": {"3DFACE": 1}}


def test_several_surfaces_of_a_landxml_are_told_with_the_key_that_chooses(tmp_path):
    surface = (
        '<Surface name="{}"><Definition surfType="TIN"><Pnts><P id="1">0 0 1</P><P id="2">0 9 1'
        '</P><P id="3">9 0 1</P></Pnts><Faces><F>1 2 3</F></Faces></Definition></Surface>'
    )
    (tmp_path / "both.xml").write_text(
        '<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units><Metric '
        'linearUnit="meter"/></Units><Surfaces>' + surface.format("Pad") + surface.format("Top")
        + "</Surfaces></LandXML>"
    )  # fmt: skip
    text = compose_inventory(take_inventory(tmp_path / "both.xml"))

    assert "'Pad' (1 faces), 'Top' (1 faces)" in text
    assert "base.surface_name" in text


def test_a_unit_that_is_not_read_is_told_without_a_job(tmp_path):
    save_dxf(
        tmp_path / "far.dxf",
        lambda space: space.add_3dface([(0, 0, 1), (4, 0, 1), (4, 3, 1)]),
        unit=3,
    )
    with pytest.raises(InputError, match=r"it is in .*, which is not read") as caught:
        take_inventory(tmp_path / "far.dxf")
    assert "the job" not in str(caught.value)


def test_an_stl_whose_coordinates_are_rounded_is_described_with_its_step(tmp_path):
    trimesh.Trimesh([[2e6, 0, 1], [2e6 + 9, 0, 1], [2e6, 9, 1]], [[0, 1, 2]]).export(
        tmp_path / "far.stl"
    )
    (finding,) = take_inventory(tmp_path / "far.stl").findings

    assert finding.code == "rounded-coordinates"
    assert "eastings are rounded to steps of 0.125:" in finding.text


def test_points_of_geojson_in_degrees_are_refused_as_such(tmp_path):
    shot = '{"type": "Feature", "geometry": {"type": "Point", "coordinates": [-93.1, 44.9, 9]}}'
    (tmp_path / "shots.geojson").write_text(
        f'{{"type": "FeatureCollection", "features": [{shot}, {shot}, {shot}]}}'
    )
    with pytest.raises(InputError, match="longitude and latitude in degrees"):
        take_inventory(tmp_path / "shots.geojson")


def test_a_drawing_of_a_ring_alone_is_an_outline(tmp_path):
    save_dxf(
        tmp_path / "edge.dxf",
        lambda space: space.add_lwpolyline([(0, 0), (30, 0), (30, 20), (0, 20)], close=True),
    )
    assert take_inventory(tmp_path / "edge.dxf").kind == "outline"


def test_a_landxml_without_points_or_surface_is_refused_in_one_paragraph(tmp_path):
    (tmp_path / "empty.xml").write_text(
        '<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" date="2026-01-01" '
        'time="00:00:00" version="1.2"/>'
    )
    with pytest.raises(InputError, match=r"empty\.xml"):
        take_inventory(tmp_path / "empty.xml")


def draw_plan(space):
    """An edge of 40 by 30 on a layer, two piers on another, and a note's lone line."""
    corners = [(0, 0), (40, 0), (40, 30), (0, 30)]
    for one, two in zip(corners, corners[1:] + corners[:1], strict=True):
        space.add_line(one, two, dxfattribs={"layer": "EDGE"})
    for east in (10, 30):
        space.add_circle((east, 15), 1, dxfattribs={"layer": "PIERS"})
    space.add_line((0, 40), (9, 40), dxfattribs={"layer": "NOTES"})


def test_a_drawing_of_several_outlines_is_told_by_layer(tmp_path):
    save_dxf(tmp_path / "plan.dxf", draw_plan)
    inventory = take_inventory(tmp_path / "plan.dxf")

    assert inventory.kind == "outline"
    assert facts_of(inventory)["rings"] == {"EDGE": pytest.approx(1200)}
    assert 'slab.edge = { file = "plan.dxf", layer = "EDGE" }' in compose_inventory(inventory)
    notes, piers = (finding.text for finding in inventory.findings)
    assert "layer NOTES do not make one ring" in notes
    assert "9.000 ft off" in notes
    assert "the lines make 2 rings" in piers


def test_a_drawing_of_no_unit_is_told_by_layer_in_its_own(tmp_path):
    save_dxf(tmp_path / "plan.dxf", draw_plan, unit=0)
    inventory = take_inventory(tmp_path / "plan.dxf")

    assert facts_of(inventory)["rings"] == {"EDGE": pytest.approx(1200)}
    assert not [
        finding for finding in inventory.findings if " in" in finding.text.split("ring")[-1]
    ]


def test_a_drawing_without_lines_is_still_refused(tmp_path):
    save_dxf(tmp_path / "text.dxf", lambda space: space.add_text("SLAB"))
    with pytest.raises(InputError, match="TEXT"):
        take_inventory(tmp_path / "text.dxf")


def test_faces_drawn_twice_are_told(tmp_path):
    def draw(space):
        for _ in range(2):
            space.add_3dface([(0, 0, 1), (4, 0, 1), (4, 3, 1)])

    save_dxf(tmp_path / "twice.dxf", draw)
    (finding,) = take_inventory(tmp_path / "twice.dxf").findings
    assert finding.code == "faces-overlap"
    assert "6.00 ft² of them, such as near E 2.67 N 1.00" in finding.text


def test_points_of_geojson_are_told_though_a_polygon_lies_beside_them(tmp_path):
    ring = [[0, 0], [9, 0], [9, 9], [0, 0]]
    shapes = [{"type": "Point", "coordinates": [*place, 1 + place[0] / 90]} for place in ring[:3]]
    shapes.append({"type": "Polygon", "coordinates": [ring]})
    path = tmp_path / "both.geojson"
    path.write_text(json.dumps({"type": "GeometryCollection", "geometries": shapes}))
    inventory = take_inventory(path)
    assert inventory.title == "3 points, GeoJSON"
    assert "geometries-left-out" in {finding.code for finding in inventory.findings}


def test_points_of_geojson_without_elevations_are_told_as_such(tmp_path):
    path = tmp_path / "flat.geojson"
    path.write_text(json.dumps({"type": "MultiPoint", "coordinates": [[0, 0], [9, 0], [9, 9]]}))
    with pytest.raises(InputError, match="point 1 has no elevation"):
        take_inventory(path)
