"""What is told of outlines, surfaces, clouds and tickets."""

import json
import struct
from pathlib import Path

import laspy
import numpy as np
import pytest
from laspy.vlrs.vlr import VLR
from numpy.testing import assert_allclose

from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import InputError
from gradevol.out.text.inventory import compose_inventory, compose_inventory_json
from tests.unit.inventory.conftest import codes, fact, only, shots

HOW_TO = Path(__file__).parents[3] / "docs" / "how-to" / "describe-a-file.md"


def test_outline_corners_area_and_turn(take):
    text = "0,0\n45,0\n45,80\n0,80\n0,0"
    inventory = take(text, header="easting_ft,northing_ft")
    assert inventory.kind == "outline"
    assert codes(inventory) == []
    assert fact(inventory, "corners") == 4
    assert_allclose(fact(inventory, "area"), 3600)
    assert fact(inventory, "orientation") == "counter-clockwise"
    backwards = "\n".join(reversed(text.splitlines()))
    other = take(backwards, header="easting_ft,northing_ft")
    assert fact(other, "orientation") == "clockwise"


def test_an_outline_that_crosses_itself_is_told_where(take):
    inventory = take("0,0\n40,40\n40,0\n0,40", header="easting,northing")
    assert "near E 20 N 20" in only(inventory, "crosses-itself").text


def test_cores_are_no_outline_that_crosses_itself(take):
    text = "C1,12,20,6 3/8\nC2,30,54,6 1/4\nC3,8,66,6 7/8\nC4,31,22,"
    inventory = take(text, header="core,easting_ft,northing_ft,length_in")
    assert (inventory.kind, codes(inventory)) == ("cores", [])
    assert fact(inventory, "cores") == {"taken": 3, "proposed": 1}
    assert fact(inventory, "lengths") == {"low": 6.25, "high": 6.875}
    bare = take("1,12,20,152\n2,30,54,149", header="id,easting,northing,length")
    assert fact(bare, "lengths") == {"low": 149, "high": 152}
    outline = take("1,0,0,9,x\n2,9,0,9,x\n3,9,9,9,x", header="point,e,n,length,bearing")
    assert outline.kind == "outline"


def test_geojson_outline_with_an_opening(tmp_path):
    rings = [[[0, 0], [45, 0], [45, 80], [0, 80], [0, 0]], [[1, 1], [1, 3], [3, 3], [3, 1], [1, 1]]]
    path = tmp_path / "edge.geojson"
    path.write_text(json.dumps({"type": "Polygon", "coordinates": rings}))
    inventory = take_inventory(path)
    assert_allclose(fact(inventory, "area"), 3600)
    assert fact(inventory, "openings") == {"count": 1, "area": 4.0}


def ply(path, points, faces, kind="double"):
    lines = ["ply", "format ascii 1.0", f"element vertex {len(points)}"]
    lines += [f"property {kind} {axis}" for axis in "xyz"]
    lines += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header"]
    lines += [" ".join(map(str, point)) for point in points]
    lines += [" ".join(map(str, [len(face), *face])) for face in faces]
    path.write_text("\n".join(lines) + "\n")
    return path


SQUARE = [(2000000, 300000, 100), (2000040, 300000, 100), (2000040, 300040, 101),
          (2000000, 300040, 100)]  # fmt: skip


def test_a_surface_is_told_by_points_faces_and_plan_area(tmp_path):
    inventory = take_inventory(ply(tmp_path / "a.ply", SQUARE, [(0, 1, 2), (0, 2, 3)]), unit="ft")
    assert inventory.kind == "surface"
    assert codes(inventory) == []
    assert fact(inventory, "faces") == 2
    assert_allclose(fact(inventory, "area"), 1600)


def test_single_precision_far_from_the_origin_is_seen(tmp_path):
    path = ply(tmp_path / "a.ply", SQUARE, [(0, 1, 2), (0, 2, 3)], kind="float")
    assert "steps of 0.125" in only(take_inventory(path), "rounded-coordinates").text


def test_points_of_an_obj_without_faces_are_no_surface(tmp_path):
    path = tmp_path / "a.obj"
    path.write_text("v 0 0 0\nv 1 0 0\nv 1 1 0\n")
    only(take_inventory(path), "no-faces")


def test_faces_turned_both_ways_and_loose_points_are_seen(tmp_path):
    path = ply(tmp_path / "a.ply", [*SQUARE, (2000001, 300001, 100)], [(0, 1, 2), (0, 3, 2)])
    assert codes(take_inventory(path)) == ["faces-both-ways", "points-of-no-face"]


def test_obj_is_known_by_its_content(tmp_path):
    path = tmp_path / "surface.txt"
    path.write_text("# made up\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\n")
    inventory = take_inventory(path)
    assert "OBJ" in inventory.title
    assert_allclose(fact(inventory, "area"), 1)


def cloud(path, n=3000, *, classes=None, withheld=None, wkt=None, strays=0, scale=0.001):
    east, north = np.random.default_rng(5).uniform(0, 10, (2, n))
    z = 20 + 0.01 * east
    z[:strays] += 1.7
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [scale] * 3, [0.0] * 3
    if wkt:
        header.vlrs.append(VLR("LASF_Projection", 2112, "", wkt.encode() + b"\0"))
        header.global_encoding.wkt = True
    las = laspy.LasData(header)
    las.x, las.y, las.z = 500 + east, 800 + north, z
    las.classification = np.full(n, 2) if classes is None else classes
    if withheld is not None:
        las.withheld = withheld
    las.write(path)
    return path


def test_a_cloud_is_told_by_count_classes_and_density(tmp_path):
    classes = np.where(np.arange(3000) < 100, 7, 2)
    withheld = np.arange(3000) >= 2990
    seen = []
    inventory = take_inventory(
        cloud(tmp_path / "a.laz", classes=classes, withheld=withheld),
        progress=lambda what, share: seen.append((what, share)),
    )
    assert inventory.kind == "cloud"
    assert codes(inventory) == []
    assert fact(inventory, "points") == {
        "count": 3000, "declared": 3000, "withheld": 10, "noise": 100,
    }  # fmt: skip
    assert [(group.name, group.count) for group in inventory.groups] == [
        ("2 ground", 2900),
        ("7 low noise", 100),
    ]
    assert_allclose(fact(inventory, "density")["density"], 30, rtol=0.02)
    assert seen[-1] == ("reading a.laz", 1.0)


def test_a_cloud_says_its_unit(tmp_path):
    wkt = 'PROJCS["invented",UNIT["foot",0.3048]]'
    inventory = take_inventory(cloud(tmp_path / "a.las", wkt=wkt))
    assert fact(inventory, "unit") == "ft"
    other = take_inventory(cloud(tmp_path / "a.las", wkt=wkt), unit="m")
    only(other, "unit-contradicted")
    assert fact(other, "unit") == "ft"


def test_stray_points_above_the_base_are_seen(tmp_path):
    finding = only(take_inventory(cloud(tmp_path / "a.las", strays=20)), "stray-points")
    assert "span 1.8" in finding.text
    assert "A job takes the ground (class 2) alone" in finding.text
    plain = cloud(tmp_path / "b.las", strays=20, classes=np.zeros(3000, int))
    assert "A job takes them away" in only(take_inventory(plain), "stray-points").text


def test_a_coarse_scale_is_seen(tmp_path):
    path = cloud(tmp_path / "a.las", scale=0.01)
    assert "coarse-elevations" in codes(take_inventory(path, unit="m"))
    assert "coarse-elevations" not in codes(take_inventory(path, unit="mm"))


def test_extents_that_the_points_deny_are_seen(tmp_path):
    path = cloud(tmp_path / "a.las")
    content = bytearray(path.read_bytes())
    struct.pack_into("<d", content, 179, 900.0)  # largest easting; LAS 1.4 R15, public header
    path.write_bytes(content)
    only(take_inventory(path), "extents-differ")


@pytest.mark.parametrize("name", ["a.las", "a.laz"])
def test_a_cloud_that_was_cut_short_is_refused(tmp_path, name):
    path = cloud(tmp_path / name)
    path.write_bytes(path.read_bytes()[:-400])
    with pytest.raises(InputError, match=r"a\.la[sz]: "):
        take_inventory(path)


def test_text_fits_eighty_columns_and_json_holds_the_same(take):
    rows = shots()
    rows[13][0] = rows[4][0]
    rows[22][3] = "dry"
    inventory = take(rows)
    text = compose_inventory(inventory)
    assert max(map(len, text.splitlines())) <= 80
    view = json.loads(compose_inventory_json(inventory))
    assert view["easting"] == {"low": 5000.0, "high": 5045.0}
    assert [finding["code"] for finding in view["wrong"]] == ["bad-rows", "duplicate-ids"]
    assert view["codes"][0]["count"] == 53


def test_the_how_to_shows_what_is_printed(take):
    rows = shots()
    rows[7][3] = "wet"
    rows[29][0] = rows[28][0]
    rows[22][3] = f"{float(rows[22][3]) + 1:.2f}"
    printed = compose_inventory(take(rows)).splitlines()
    shown = "\n".join(f"    {line}".rstrip() for line in printed)
    assert shown in HOW_TO.read_text(encoding="utf-8")


def test_delivery_tickets_are_known_by_their_header():
    path = Path(__file__).parents[3] / "sample_surveys" / "apron" / "tickets.csv"
    told = take_inventory(path)
    assert told.kind == "tickets"
    assert told.title.startswith("delivery tickets of 8 loads")
    facts = {fact.key: fact for fact in told.facts}
    assert facts["ticketed"].text == "78.5 yd³"
    assert facts["times"].value == ["6:38", "10:31"]
    assert [finding.code for finding in told.findings] == ["ticket-returned-by-note", "no-fronts"]


def test_a_ticket_number_and_yards_alone_are_of_delivery_tickets(tmp_path):
    path = tmp_path / "t.csv"
    path.write_text("truck,ticket no,yds\n12,5501,10\n7,5502,2 1/2\n")
    assert take_inventory(path).kind == "tickets"


def test_what_tickets_say_was_called_is_told(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_text("load,volume_m3,finished,called_m3\n1,8,7:20,\n,,7:30,6.5\n")
    facts = {fact.key: fact for fact in take_inventory(path).facts}
    assert facts["loads"].value == 1
    assert (facts["called"].text, facts["called"].value) == ("6.50 m³", 6.5)


def test_tickets_of_several_days_say_so(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_text("date,load,volume_yd3,finished\n5/12,1,10,13:27\n5/13,2,9,9:30\n")
    (times,) = [each for each in take_inventory(path).facts if each.key == "times"]
    assert times.text == "13:27 to 9:30, on 2 days"


def test_tickets_without_a_unit_say_so(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_text("load,volume,finished,front 2\n1,10,7:20,9\n")
    told = take_inventory(path)
    assert [finding.code for finding in told.findings] == ["no-unit"]
