"""What a file holds and what looks wrong in it: every check on a file that has it, and on one
that has not. All files are invented."""

import json
import struct
from pathlib import Path

import laspy
import numpy as np
import pytest
from laspy.vlrs.vlr import VLR
from numpy.testing import assert_allclose

from gradevol.doubts.described import take_inventory
from gradevol.geometry.gaps import find_empty_circle
from gradevol.ground.errors import InputError
from gradevol.out.text.inventory import compose_inventory, compose_inventory_json

HOW_TO = Path(__file__).parents[2] / "docs" / "how-to" / "describe-a-file.md"
HEADER = "point,northing_ft,easting_ft,elevation_ft,code"


def shots():
    """A lattice of 9 ft by 10 ft on a gentle slope, a hundredth or so uneven, as rows of text."""
    return [
        [
            str(101 + 6 * j + i),
            f"{2000 + 10 * j:.3f}",
            f"{5000 + 9 * i:.3f}",
            f"{100.3 + 0.01 * i - 0.02 * j + ((5 * i + 7 * j + 3 * i * j) % 11 - 5) / 300:.2f}",
            "BASE",
        ]
        for j in range(9)
        for i in range(6)
    ]


@pytest.fixture
def take(tmp_path):
    """Take the inventory of rows or text, with or without a header."""

    def take(rows, header=HEADER, name="shots.csv", **asked):
        text = rows if isinstance(rows, str) else "\n".join(map(",".join, rows))
        path = tmp_path / name
        path.write_text(f"{header}\n{text}\n" if header else f"{text}\n", encoding="utf-8")
        return take_inventory(path, **asked)

    return take


def fact(inventory, key):
    (found,) = [each for each in inventory.facts if each.key == key]
    return found.value


def codes(inventory):
    return [finding.code for finding in inventory.findings]


def only(inventory, code):
    assert codes(inventory) == [code]
    return inventory.findings[0]


def test_a_good_file_is_told_and_nothing_looks_wrong(take):
    inventory = take(shots())

    assert inventory.kind == "points"
    assert codes(inventory) == []
    assert fact(inventory, "unit") == "ft"
    assert fact(inventory, "columns") == "PNEZD"
    assert fact(inventory, "rows") == {"count": 54, "bad": 0}
    assert fact(inventory, "easting") == {"low": 5000.0, "high": 5045.0}
    assert fact(inventory, "northing") == {"low": 2000.0, "high": 2080.0}
    assert fact(inventory, "decimals") == {"plan": 3, "elevation": 2}
    assert [(group.name, group.count) for group in inventory.groups] == [("BASE", 54)]


def test_spacing_and_gap_of_a_lattice_are_its_side_and_its_diagonal(take):
    spacing = fact(take(shots()), "spacing")
    assert_allclose(spacing["typical"], 9)
    assert_allclose(spacing["widest_gap"], np.hypot(9, 10))


def test_the_widest_gap_is_where_a_shot_was_left_out(take):
    rows = shots()
    del rows[4 * 6 + 3]  # E 5027, N 2040
    spacing = fact(take(rows), "spacing")
    east, north = spacing["widest_gap_at"]
    # through the shots 9 ft east and west and one 10 ft away: 9² + y² = (10 - y)², y = 0.95
    assert_allclose([east, abs(north - 2040)], [5027, 0.95])
    assert_allclose(spacing["widest_gap"], 2 * 9.05)


def test_no_shot_lies_in_the_widest_gap():
    places = np.random.default_rng(8).uniform(0, 30, (60, 2))
    found = find_empty_circle(places)
    assert found is not None
    centre, width = found
    away = np.hypot(*(places - centre).T)
    assert_allclose(away.min(), width / 2)


def test_places_on_one_line_have_no_gap_between_them():
    assert find_empty_circle(np.column_stack([np.arange(5.0), np.arange(5.0)])) is None


def test_bad_rows_are_counted_and_the_first_three_quoted(take):
    rows = shots()
    for at in (3, 9, 20, 40):
        rows[at][3] = "dry"
    rows[9] = rows[9][:3]
    inventory = take(rows)

    finding = only(inventory, "bad-rows")
    assert finding.lines == (5, 11, 22, 42)
    assert fact(inventory, "rows") == {"count": 54, "bad": 4}
    assert sum(group.count for group in inventory.groups) == 50
    assert "line 5, '104,2000.000,5027.000,dry,BASE': the elevation 'dry' is" in finding.text
    assert "line 11" in finding.text
    assert "line 22" in finding.text
    assert "line 42" not in finding.text
    assert "and 1 more" in finding.text


def test_a_file_without_one_good_row_is_refused(take):
    with pytest.raises(InputError, match=r"none of its 2 rows is a point by the columns PNEZD"):
        take("1,2,3,dry,BASE\n2,2,4,wet,BASE")


def test_prose_is_refused(take):
    with pytest.raises(InputError, match="no columns of numbers"):
        take("Dear Bob,\nplease find\nregards", header="")


def test_other_kinds_of_file_are_refused_by_name(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"PK\x03\x04rest")
    with pytest.raises(InputError, match="Excel workbook"):
        take_inventory(path)


def test_columns_that_cannot_be_known_are_told_one_by_one_with_the_choices(take):
    rows = [[row[2], row[1], row[3]] for row in shots()]
    inventory = take(rows, header="")

    assert inventory.kind == "table"
    assert fact(inventory, "column_1")["low"] == 5000.0
    assert fact(inventory, "column_3")["different"] > 10
    finding = only(inventory, "columns-not-known")
    assert "--columns: NEZ or ENZ" in finding.text


def test_stated_columns_settle_what_cannot_be_known(take):
    rows = [[row[2], row[1], row[3]] for row in shots()]
    inventory = take(rows, header="", columns="ENZ")
    assert codes(inventory) == []
    assert fact(inventory, "easting") == {"low": 5000.0, "high": 5045.0}


def test_a_header_goes_before_the_stated_columns_and_says_so(take):
    inventory = take(shots(), columns="PENZD")
    only(inventory, "header-followed")
    assert fact(inventory, "columns") == "PNEZD"


def test_a_header_that_is_not_known_leaves_the_stated_columns(take):
    rows = [row[:4] for row in shots()]
    inventory = take(rows, header="Nr,Hoch,Rechts,H", columns="PNEZ")
    only(inventory, "header-not-known")
    assert fact(inventory, "easting")["high"] == 5045.0


def test_columns_without_a_northing_are_refused(take):
    with pytest.raises(InputError, match="no northing and easting"):
        take(shots(), header="", columns="PZ")


@pytest.mark.parametrize(
    ("header", "asked", "unit", "found"),
    [
        ("point,northing,easting,elevation,code", None, None, []),
        ("point,northing,easting,elevation,code", "m", "m", []),
        ("point,northing_ft,easting_ft,elevation_ft,code", "us-ft", "us-ft", []),
        ("point,northing_ft,easting_ft,elevation_ft,code", "m", "ft", ["unit-contradicted"]),
        ("point,northing_ft,easting_ft,elevation_m,code", None, None, ["units-mixed"]),
        ("point,northing_cm,easting_cm,elevation_cm,code", None, None, ["units-mixed"]),
    ],
)
def test_the_unit_is_the_headers_else_as_stated_and_never_guessed(take, header, asked, unit, found):
    rows = [[*row[:3], f"{row[3]}5", row[4]] for row in shots()]  # three decimals suit metres too
    inventory = take(rows, header=header, unit=asked)
    assert fact(inventory, "unit") == unit
    assert codes(inventory) == found


def test_feet_and_inches_say_their_unit(take):
    rows = [[str(k), str(k % 4), str(k // 4), f"99'-{k % 12} 1/2\""] for k in range(12)]
    inventory = take(rows, header="point,northing,easting,elevation")
    assert fact(inventory, "unit") == "ft"
    assert_allclose(fact(inventory, "elevation")["high"], 99 + 11.5 / 12)


def test_decimal_commas_and_semicolons_are_read_and_told(take):
    text = "\n".join(";".join(row[:4]).replace(".", ",") for row in shots())
    inventory = take(text, header="Nr;N;E;Z")
    assert "semicolon-separated" in inventory.title
    assert "decimal commas" in inventory.title
    assert fact(inventory, "northing")["high"] == 2080.0


def test_duplicate_ids_are_named_with_their_lines(take):
    rows = shots()
    rows[13][0] = rows[4][0]
    finding = only(take(rows), "duplicate-ids")
    assert finding.lines == (6, 15)
    assert "105 (lines 6 and 15)" in finding.text


def test_shots_at_one_place_are_named_with_their_difference(take):
    rows = shots()
    rows.append(["900", rows[7][1], rows[7][2], f"{float(rows[7][3]) + 0.04:.2f}", "BASE"])
    finding = only(take(rows), "same-place")
    assert finding.points == ("108", "900")
    assert "108 and 900 (0.04 ft)" in finding.text


@pytest.mark.parametrize(("code", "is_told"), [("BASE again", True), ("FORM TOP", False)])
def test_a_form_over_a_shot_of_the_base_is_at_no_place_of_another(take, code, is_told):
    rows = shots()
    rows.append(["900", rows[7][1], rows[7][2], f"{float(rows[7][3]) + 0.5:.2f}", code])
    assert ("same-place" in codes(take(rows))) == is_told


def test_shots_two_millimetres_apart_are_at_two_places(take):
    rows = shots()
    rows.append(["900", rows[7][1], f"{float(rows[7][2]) + 0.007:.3f}", rows[7][3], "BASE"])
    assert codes(take(rows)) == []


def test_elevations_of_zero_are_far_from_the_rest(take):
    rows = shots()
    rows[10][3] = "0.00"
    finding = only(take(rows), "far-elevations")
    assert finding.points == ("111",)
    assert "exactly 0 was probably never measured" in finding.text


def test_many_elevations_of_zero_were_placed_and_not_measured(take):
    rows = shots()
    for row in rows[::3]:
        row[3] = "0.00"
    finding = only(take(rows), "zero-elevations")
    assert len(finding.points) == 18


def test_two_benchmarks_show_as_two_groups(take):
    rows = shots()
    for row in rows[::3]:
        row[3], row[4] = f"{float(row[3]) + 12:.2f}", "SLAB"
    finding = only(take(rows), "two-groups")
    assert "36 from" in finding.text
    assert "(BASE)" in finding.text
    assert "18 from" in finding.text
    assert "(SLAB)" in finding.text


@pytest.mark.parametrize(("off", "found"), [(9, ["two-groups"]), (2, ["two-groups"]), (0.5, [])])
def test_two_benchmarks_a_foot_or_more_apart_show_as_two_groups(take, off, found):
    rows = shots()
    for row in rows[::3]:
        row[3], row[4] = f"{float(row[3]) + off:.2f}", "SLAB"
    assert codes(take(rows)) == found


def test_a_shot_at_the_origin_is_far_from_a_site_at_five_thousand(take):
    rows = [*shots(), ["900", "0.000", "0.000", "100.00", "CP"]]
    finding = only(take(rows), "far-in-plan")
    assert finding.points == ("900",)
    assert "exactly 0" in finding.text


def test_a_corner_at_the_origin_of_a_local_grid_is_a_corner(take):
    rows = [[p, str(float(n) - 2000), str(float(e) - 5000), z, d] for p, n, e, z, d in shots()]
    assert codes(take(rows)) == []


def test_a_foot_misread_is_named_as_the_slip(take):
    rows = shots()
    rows[22][3] = f"{float(rows[22][3]) + 1:.2f}"
    finding = only(take(rows), "leaves-neighbours")
    assert finding.points == ("123",)
    assert "reads like a foot misread, too high" in finding.text


def test_neighbours_are_not_compared_where_the_unit_is_not_known_and_it_is_said(take):
    rows = shots()
    rows[22][3] = f"{float(rows[22][3]) + 1:.2f}"
    inventory = take(rows, header="")
    assert codes(inventory) == []
    assert "needs the unit" in fact(inventory, "neighbours")
    assert "neighbours" not in inventory.looked_at


def test_each_code_is_compared_with_its_own(take):
    rows = shots()
    for row in rows[1::2]:
        row[3], row[4] = f"{float(row[3]) + 0.5:.2f}", "FORM"
    assert codes(take(rows)) == []


def forms(points, change=lambda e, n, z: (e, n, z)):
    """Shots on forms around the lattice, half a foot over it, as rows of text."""
    corners = ((-1, -1), (46, -1), (46, 81), (-1, 81), (20, -1))
    held = [change(5000 + e, 2000 + n, 100.8) for e, n in corners]
    return [
        *points,
        *(
            [str(200 + k), f"{n:.3f}", f"{e:.3f}", f"{z:.2f}", "FORM"]
            for k, (e, n, z) in enumerate(held)
        ),
    ]


def test_forms_over_the_base_are_as_they_should_be(take):
    assert codes(take(forms(shots()))) == []


def test_a_base_over_the_forms_is_seen(take):
    finding = only(take(forms(shots(), lambda e, n, z: (e, n, z - 1.2))), "base-above-forms")
    assert "100% of the base's shots stand above the forms, by 0.6" in finding.text
    assert len(finding.points) == 54


@pytest.mark.parametrize(
    ("change", "code", "says"),
    [
        (lambda e, n, z: (n, e, z), "swapped-axes", "easting of FORM look swapped"),
        (lambda e, n, z: (e * 0.3048, n * 0.3048, z), "units-mixed", "Read in m, FORM would meet"),
        (lambda e, n, z: (e + 900, n, z), "far-apart", "in one coordinate system?"),
    ],
)
def test_shots_of_two_codes_that_do_not_meet_are_told_with_the_slip(take, change, code, says):
    finding = [each for each in take(forms(shots(), change)).findings if each.code == code]
    assert len(finding) == 1
    assert says in finding[0].text
    assert "BASE within E 5000.00 to 5045.00" in finding[0].text


def test_inches_written_as_decimals_are_seen(take):
    inches = np.random.default_rng(2).integers(0, 12, 40)
    rows = [[str(k), str(k // 6 * 10), str(k % 6 * 9), f"{4 + k % 4}.{inches[k]:02d}"]
            for k in range(40)]  # fmt: skip
    header = "point,northing,easting,rod_ft"
    finding = only(take(rows, header=header), "inches-for-tenths")
    assert "rod readings" in finding.text

    rows[5][3] = "4.12"
    assert codes(take(rows, header=header)) == []


def test_flat_ground_just_over_a_whole_foot_is_not_inches(take):
    rows = [[*row[:3], f"100.{k % 12:02d}", "BASE"] for k, row in enumerate(shots())]
    assert "inches-for-tenths" not in codes(take(rows))


def test_whole_numbers_are_too_coarse(take):
    rows = [[*row[:3], str(98 + k % 4), "BASE"] for k, row in enumerate(shots())]
    finding = only(take(rows, header="", unit=None), "coarse-elevations")
    assert "whole numbers" in finding.text


def test_whole_millimetres_are_not_coarse(take):
    rows = [
        [row[0], row[1].replace(".", ""), row[2].replace(".", ""), str(30000 + k), "B"]
        for k, row in enumerate(shots())
    ]
    assert codes(take(rows, header="", unit="mm")) == []


def test_elevations_that_are_all_equal_are_seen(take):
    rows = [[*row[:3], "100.00", "BASE"] for row in shots()]
    assert "100.00 ft" in only(take(rows), "all-equal").text


def test_shots_on_one_line_make_no_surface(take):
    rows = [[*row[:2], "5000.000", *row[3:]] for row in shots()[::6]]
    only(take(rows), "one-line")


def test_degrees_are_seen(take):
    rng = np.random.default_rng(4)
    rows = [
        [str(k), f"{47.1 + rng.random() / 1000:.7f}", f"{-122.3 + rng.random() / 1000:.7f}",
         f"{100 + rng.random():.2f}"]
        for k in range(30)
    ]  # fmt: skip
    only(take(rows, header="point,northing,easting,elevation"), "looks-like-degrees")


def test_a_comma_too_many_shows_in_the_description(take):
    rows = shots()
    rows[5][2] = "50,45.000"
    inventory = take(rows)
    assert "description-with-number" in codes(inventory)


def test_codes_that_differ_by_capitals_are_named(take):
    rows = shots()
    rows[5][4] = "base"
    assert "'BASE' (53) and 'base' (1)" in only(take(rows), "codes-alike").text


def test_two_shots_are_too_few(take):
    only(take(shots()[:2]), "too-few")


def test_a_header_alone_holds_no_rows(take):
    only(take("", header=HEADER), "no-rows")


def test_level_notes_are_recognised(take):
    inventory = take("BM1,4.26,,100.00\n101,,4.88,\nTP1,,4.47,", header="point,BS,FS,known")
    assert inventory.kind == "levels"
    assert "gradevol levels" in fact(inventory, "next")


def test_braces_and_escapes_in_a_file_reach_no_terminal(take):
    rows = shots()
    rows[3][0] = rows[4][0] = "{0}\x9b2J"
    text = compose_inventory(take(rows))
    assert "{0}·2J" in text
    assert "\x9b" not in text


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
    path = Path(__file__).parents[2] / "sample_surveys" / "apron" / "tickets.csv"
    told = take_inventory(path)
    assert told.kind == "tickets"
    assert told.title.startswith("delivery tickets of 8 loads")
    facts = {fact.key: fact for fact in told.facts}
    assert facts["ticketed"].text == "78.5 yd³"
    assert facts["times"].value == ["6:38", "10:31"]
    assert [finding.code for finding in told.findings] == ["ticket-returned-by-note", "no-fronts"]


def test_tickets_without_a_unit_say_so(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_text("load,volume,finished,front 2\n1,10,7:20,9\n")
    told = take_inventory(path)
    assert [finding.code for finding in told.findings] == ["no-unit"]
