"""DXF written by ezdxf."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import new
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from tests.read_files import read_faces_of as read_dxf_faces
from tests.read_files import read_points_of as read_dxf_points
from tests.read_files import read_ring_of as read_dxf_outline

SQUARE = [(0, 0), (20, 0), (20, 10), (0, 10)]
CORNERS = [(0, 0, 100), (20, 0, 100.5), (20, 10, 101), (0, 10, 100.25)]
FAR = np.array([2_012_300.123456789, 651_200.987654321, 0])
VERSIONS = ["R12", "R2000", "R2018"]


@pytest.fixture
def file(tmp_path):
    """A function that lets another draw, and saves what it drew."""

    def file(draw, version="R2010", units=0, form="asc"):
        drawing = new(version)
        if version != "R12":
            drawing.header["$INSUNITS"] = units
        draw(drawing.modelspace())
        path = tmp_path / "base.dxf"
        drawing.saveas(path, fmt=form)
        return path

    return file


def on(layer, **rest):
    return {"dxfattribs": {"layer": layer, **rest}}


def area(ring):
    return shapely.Polygon(ring).area


def is_one_ring(ring, corners):
    """Whether a ring has these corners and no others, from wherever it starts."""
    return shapely.Polygon(ring).equals(shapely.Polygon(corners)) and len(ring) == len(corners)


# points


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("form", ["asc", "bin"])
def test_points_are_read_from_every_version(file, version, form):
    def draw(space):
        for corner in CORNERS:
            space.add_point(np.add(corner, FAR), **on("BASE"))

    survey = read_dxf_points(file(draw, version, form=form), unit="ft")
    expected = np.add(CORNERS, FAR) * 0.3048
    assert_allclose(survey.points + survey.origin, expected, rtol=0, atol=1e-9)
    assert survey.codes == ("BASE",) * 4
    assert len(set(survey.ids)) == 4


def draw_two_layers(space):
    for number, corner in enumerate(CORNERS * 2):
        space.add_point(corner, **on("Base" if number < 4 else "CURB"))


def test_a_layer_or_codes_choose_points(file):
    path = file(draw_two_layers)
    assert len(read_dxf_points(path, unit="m").points) == 8
    assert len(read_dxf_points(path, unit="m", layer="BASE").points) == 4
    assert len(read_dxf_points(path, unit="m", codes=("cu*",)).points) == 4
    with pytest.raises(InputError, match=r"'EDGE' holds no POINT; .*Base \(4\), CURB \(4\)"):
        read_dxf_points(path, unit="m", layer="EDGE")


@pytest.mark.parametrize(
    ("number", "unit"), [(1, "in"), (2, "ft"), (4, "mm"), (6, "m"), (21, "us-ft")]
)
def test_the_declared_unit_must_be_the_jobs(file, number, unit):
    path = file(draw_two_layers, units=number)
    assert len(read_dxf_points(path, unit=unit).points) == 8
    for other in METRES.keys() - {unit}:
        with pytest.raises(
            InputError, match=rf"INSUNITS {number}\) says that it is in {unit}.* are in {other}"
        ):
            read_dxf_points(path, unit=other)


@pytest.mark.parametrize(("number", "said"), [(5, "cm"), (10, "yards"), (17, "unit no. 17")])
def test_units_that_no_job_has_are_named(file, number, said):
    with pytest.raises(InputError, match=f"is in {said}, but"):
        read_dxf_points(file(draw_two_layers, units=number), unit="m")


def add_block(space, insert_on, *entities, layer="0"):
    block = space.doc.blocks.new(f"B{len(space.doc.blocks)}")
    for entity in entities:
        getattr(block, f"add_{entity[0]}")(*entity[1:], **on(layer))
    space.add_blockref(block.name, (0, 0), **on(insert_on))
    return block


def test_points_in_blocks_alone_are_refused_and_beside_others_noted(file):
    with pytest.raises(InputError, match=r"only blocks.*Explode"):
        read_dxf_points(file(lambda s: add_block(s, "A", ("point", (1, 1, 1)))), unit="m")

    def both(space):
        draw_two_layers(space)
        add_block(space, "BASE", ("point", (1, 1, 1)))

    (note,) = read_dxf_points(file(both), unit="m").notes
    assert note.code == "blocks-left-out"
    assert read_dxf_points(file(both), unit="m", layer="CURB").notes == ()


# faces


def face_areas(points, triangles):
    one, two, three = np.moveaxis(points[triangles][..., :2], 1, 0)
    along, off = two - one, three - one
    return (along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / 2


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("form", ["asc", "bin"])
def test_faces_share_their_corners(file, version, form):
    def draw(space):
        space.add_3dface([CORNERS[0], CORNERS[1], CORNERS[2]], **on("TIN"))
        space.add_3dface([CORNERS[0], CORNERS[2], CORNERS[3], CORNERS[3]], **on("TIN"))

    points, triangles = read_dxf_faces(file(draw, version, form=form), unit="m")
    assert sorted(map(tuple, points)) == sorted(CORNERS)
    assert_allclose(face_areas(points, triangles), [100, 100])


def test_a_face_of_four_corners_is_two_triangles(file):
    points, triangles = read_dxf_faces(file(lambda s: s.add_3dface(CORNERS)), unit="ft")
    assert_allclose(points[triangles[0]], np.array(CORNERS[:3]) * 0.3048, rtol=1e-15)
    assert_allclose(face_areas(points, triangles), [100 * 0.3048**2] * 2)


def draw_polyface(space):
    space.add_polyface().append_faces([CORNERS[:3], [CORNERS[0], CORNERS[2], CORNERS[3]]])


def draw_grid(space):
    mesh = space.add_polymesh((3, 3))
    for east in range(3):
        for north in range(3):
            mesh.set_mesh_vertex((east, north), (10 * east, 5 * north, 100 + east * north))


def draw_mesh(space):
    with space.add_mesh().edit_data() as data:
        data.vertices = CORNERS
        data.faces = [(0, 1, 2), (0, 2, 3)]


@pytest.mark.parametrize(("draw", "count"), [(draw_polyface, 2), (draw_grid, 8), (draw_mesh, 2)])
def test_meshes_are_faces_too(file, draw, count):
    points, triangles = read_dxf_faces(file(draw), unit="m")
    assert len(triangles) == count
    assert_allclose(face_areas(points, triangles).sum(), 200)
    assert points[:, 2].min() == 100


def test_faces_of_two_layers_may_be_two_surfaces(file):
    def draw(space):
        space.add_3dface(CORNERS, **on("TOP"))
        space.add_3dface(CORNERS, **on("Base"))

    path = file(draw)
    with pytest.raises(InputError, match=r"several layers.*TOP \(1\), Base \(1\)"):
        read_dxf_faces(path, unit="m")
    assert len(read_dxf_faces(path, unit="m", layer="base")[1]) == 2


@pytest.mark.parametrize(
    ("draw", "said"),
    [
        (lambda _: None, "holds no 3DFACE.*but nothing"),
        (lambda s: s.add_text("no"), r"holds no 3DFACE.* but TEXT \(1\)"),
        (lambda s: s.add_polyline2d(SQUARE), "holds lines .POLYLINE., but no faces"),
        (lambda s: s.add_3dface([(4, 0), (1, 1), (0, 4), (0, 0)]), "polygon with a hollow"),
        (lambda s: s.add_3dface([(0, 0), (1e300, 4), (1, 1)]), "lies at"),
        (
            lambda s: (s.add_3dface(CORNERS), add_block(s, "0", ("3dface", CORNERS))),
            "blocks hold more 3DFACE",
        ),
    ],
)
def test_faces_that_cannot_be_used_are_refused(file, draw, said):
    with pytest.raises(InputError, match=said):
        read_dxf_faces(file(draw), unit="m")


def test_smoothed_meshes_are_refused(file):
    def draw(space):
        draw_mesh(space)
        space[0].dxf.subdivision_levels = 2

    with pytest.raises(InputError, match=r"is smoothed"):
        read_dxf_faces(file(draw), unit="m")


def test_a_polyface_that_names_a_missing_corner_is_refused(file):
    def draw(space):
        draw_polyface(space)
        space[0].vertices[-1].dxf.vtx1 = 9

    with pytest.raises(InputError, match=r"damaged or was cut short"):
        read_dxf_faces(file(draw, "R12"), unit="m")


def test_a_mesh_that_names_a_missing_corner_is_refused(file):
    def draw(space):
        with space.add_mesh().edit_data() as data:
            data.vertices = CORNERS
            data.faces = [(0, 1, 7)]

    with pytest.raises(InputError, match=r"a corner that is none of its 4 points"):
        read_dxf_faces(file(draw), unit="m")


# outlines


def lines(*corners, reverse=()):
    def draw(space):
        for number, pair in enumerate(pairwise(corners)):
            start, end = pair[::-1] if number in reverse else pair
            space.add_line(start, end, **on("EDGE"))

    return draw


@pytest.mark.parametrize(
    "draw",
    [
        lambda s: s.add_lwpolyline(SQUARE, close=True, **on("EDGE")),
        lambda s: s.add_lwpolyline([*SQUARE, SQUARE[0]], **on("EDGE")),
        lambda s: s.add_lwpolyline([*SQUARE, SQUARE[0]], close=True, **on("EDGE")),
        lambda s: s.add_polyline2d(SQUARE, close=True, **on("EDGE")),
        lambda s: s.add_polyline3d([(*c, 7) for c in SQUARE], close=True, **on("EDGE")),
        lines(*SQUARE, SQUARE[0]),
        lines(*SQUARE, SQUARE[0], reverse=(0, 2)),
        lines(*SQUARE[:3], (0, 10.0004), SQUARE[0]),
    ],
)
@pytest.mark.parametrize("unit", ["m", "us-ft"])
def test_a_square_is_a_square_however_it_was_drawn(file, draw, unit):
    ring = read_dxf_outline(file(draw), unit=unit, layer="edge") / METRES[unit]
    assert ring.shape == (4, 2)
    if ring[:, 1].max() == 10:
        assert is_one_ring(ring, SQUARE)
    assert_allclose(area(ring), 200, atol=0.01)


@pytest.mark.parametrize("unit", ["m", "ft", "mm"])
@pytest.mark.parametrize("closes", [True, False])
def test_bulges_are_arcs_to_a_millimetre(file, unit, closes):
    # a slot: a 20 x 10 rectangle between two half circles (bulge 1: an arc of 180 degrees)
    slot = [(0, 0, 0), (20, 0, 1), (20, 10, 0), (0, 10, 1), (0, 0, 0)]
    scale = 1 / METRES[unit]
    places = [(e * scale, n * scale, bulge) for e, n, bulge in slot[: 4 if closes else 5]]
    path = file(lambda s: s.add_lwpolyline(places, format="xyb", close=closes))
    ring = read_dxf_outline(path, unit=unit)
    assert_allclose(area(ring), 200 + math.pi * 25, atol=0.001 * math.pi * 10)
    exact = shapely.LineString([(0, 5), (20, 5)]).buffer(5, quad_segs=2000)
    assert shapely.Polygon(ring).exterior.hausdorff_distance(exact.exterior) < 0.00101
    assert ring[:, 0].max() > 24.99  # the arc bows outwards


def test_a_negative_bulge_bows_inwards(file):
    places = [(0, 0, 0), (20, 0, -math.tan(math.radians(90) / 4)), (20, 10, 0), (0, 10, 0)]
    ring = read_dxf_outline(file(lambda s: s.add_lwpolyline(places, "xyb", close=True)), unit="m")
    segment = 25 * 2 * (math.pi / 4 - 0.5)  # of a quarter circle of radius 5 sqrt 2
    assert_allclose(area(ring), 200 - segment, atol=0.02)


@pytest.mark.parametrize("version", VERSIONS)
def test_lines_and_arcs_that_touch_are_one_outline(file, version):
    def draw(space):
        space.add_arc((20, 5), 5, -90, 90)
        space.add_line((20, 0), (0, 0))
        space.add_arc((0, 5), 5, 90, 270)
        space.add_line((0, 10), (20, 10))

    ring = read_dxf_outline(file(draw, version), unit="m")
    assert_allclose(area(ring), 200 + math.pi * 25, atol=0.04)


@pytest.mark.parametrize(
    "draw",
    [
        lambda s: s.add_circle((7, 3), 5),
        lambda s: s.add_ellipse((7, 3), (5, 0), 1.0),
        lambda s: s.add_lwpolyline([(2, 3, 1), (12, 3, 1)], format="xyb", close=True),
        lambda s: (s.add_arc((7, 3), 5, 30, 200), s.add_arc((7, 3), 5, 200, 30)),
        lambda s: s.add_circle((-7, 3), 5, dxfattribs={"extrusion": (0, 0, -1)}),
        lambda s: s.add_lwpolyline(
            [(-2, 3, 1), (-12, 3, 1)],
            format="xyb",
            close=True,
            dxfattribs={"extrusion": (0, 0, -1)},
        ),
        lambda s: (
            s.add_arc((-7, 3), 5, 30, 200, dxfattribs={"extrusion": (0, 0, -1)}),
            s.add_arc((-7, 3), 5, 200, 30, dxfattribs={"extrusion": (0, 0, -1)}),
        ),
    ],
)
def test_a_circle_is_a_circle_however_it_was_drawn(file, draw):
    ring = read_dxf_outline(file(draw), unit="m")
    away = np.hypot(*(ring - [7, 3]).T)
    assert_allclose(away, 5, atol=0.0011)
    assert_allclose(area(ring), math.pi * 25, atol=0.03)


def test_state_plane_outlines_lose_nothing(file):
    far = np.add(SQUARE, FAR[:2])
    ring = read_dxf_outline(file(lines(*map(tuple, far), tuple(far[0])), units=21), unit="us-ft")
    assert_array_equal(sorted(map(tuple, ring)), sorted(map(tuple, far * METRES["us-ft"])))


@pytest.mark.parametrize(
    ("draw", "said"),
    [
        (
            lambda s: (s.add_lwpolyline(SQUARE, close=True), s.add_circle((5, 5), 1)),
            "layer 0, the lines make 2 rings: 200.0 m² at 0.00, 0.00; 3.1 m² at",
        ),
        (lambda s: s.add_lwpolyline(SQUARE), r"meets no other within 0.001 m .*10.000 m off"),
        (lines(*SQUARE[:3], (0, 10.002), SQUARE[0], SQUARE[1]), "2 make a ring|ends of lines meet"),
        (lines(*SQUARE, (0, 0.002)), r"0.002 m off\), so that the outline is open"),
        (lines(*SQUARE, SQUARE[0], (3, 3)), "3 ends of lines meet at 0.000, 0.000"),
        (
            lambda s: (s.add_circle((5, 5), 1), s.add_line((0, 0), (1, 1))),
            "the line that ends at .* meets no other",
        ),
        (lambda s: s.add_line((0, 0), (0, 0)), "there is no ring"),
        (lambda s: s.add_lwpolyline([(0, 0, 1e12), (1e7, 0, 0)], "xyb"), "an arc of radius"),
        (lambda s: s.add_circle((0, 0), 1e200), "there is no ring"),
        (lambda s: s.add_line((0, 0), (1e300, 0)), "outside the Earth"),
        (lambda s: s.add_text("no"), r"holds no LINE.* but TEXT \(1\)"),
        (draw_polyface, "there is no ring"),
        (
            lambda s: (
                s.add_circle((5, 5), 1),
                add_block(s, "0", ("line", (0, 0), (1, 1))),
            ),
            "blocks hold more LINE",
        ),
    ],
)
def test_lines_that_make_no_single_ring_are_refused(file, draw, said):
    with pytest.raises(InputError, match=said) as refusal:
        read_dxf_outline(file(draw), unit="m")
    assert "\n" not in str(refusal.value)


def test_layers_with_lines_are_listed_where_the_named_one_has_none(file):
    path = file(lines(*SQUARE, SQUARE[0]))
    with pytest.raises(InputError, match=r"layer 'SLAB' holds no .*these do: EDGE \(4\)"):
        read_dxf_outline(path, unit="m", layer="SLAB")


def test_blocks_that_name_one_another_end(file):
    def draw(space):
        space.add_circle((5, 5), 1)
        first, second = add_block(space, "0"), add_block(space, "0")
        first.add_blockref(second.name, (0, 0))
        second.add_blockref(first.name, (0, 0))

    assert len(read_dxf_outline(file(draw), unit="m")) > 10


# files


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"AC1032\0\0\0\0", "a DWG drawing"),
        (b"1,0,0,100\n", "not a DXF drawing"),
        (b"0\nSECTION\n2\nENTITIES\n0\nPOINT\n", "damaged or was cut short"),
        (b"0\nSECTION\nx\ny\n", "damaged or was cut short"),
        (b"AutoCAD Binary DXF\r\n\x1a\0", "damaged or was cut short|holds no POINT"),
        (b"AutoCAD Binary DXF\r\n\x1a\0\0\0SECT", "damaged or was cut short"),
        (b"<LandXML/>", "not a DXF drawing"),
    ],
)
def test_what_is_no_drawing_is_refused(tmp_path, content, said):
    path = tmp_path / "base.dxf"
    path.write_bytes(content)
    with pytest.raises(InputError, match=said) as refusal:
        read_dxf_points(path, unit="m")
    assert "\n" not in str(refusal.value)


def test_a_missing_file_is_said_to_be_missing(tmp_path):
    with pytest.raises(InputError, match=r"no such file"):
        read_dxf_points(tmp_path / "none.dxf", unit="m")


@pytest.mark.parametrize("form", ["asc", "bin"])
@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_a_drawing_cut_anywhere_is_refused(file, tmp_path, form, version):
    whole = file(draw_two_layers, version, form=form).read_bytes()
    path = tmp_path / "cut.dxf"
    last = whole.rindex(b"ENDSEC")
    for end in range(0, last, max(last // 40, 1)):
        path.write_bytes(whole[:end])
        with pytest.raises(InputError):
            read_dxf_points(path, unit="m")


@pytest.mark.parametrize("form", ["asc", "bin"])
def test_damaged_bytes_are_refused_or_change_nothing_but_numbers(file, tmp_path, form):
    whole = file(draw_two_layers, "R12", form=form).read_bytes()
    path, random, refused = tmp_path / "bad.dxf", np.random.default_rng(11), 0
    for _ in range(60):
        content = bytearray(whole)
        for at in random.integers(0, len(whole), 12):
            content[at] = random.integers(256)
        path.write_bytes(content)
        try:
            survey = read_dxf_points(path, unit="m")
        except InputError:
            refused += 1
        else:
            assert np.isfinite(survey.points).all()
    assert refused > 10


@pytest.mark.parametrize("bulge", [1e-14, 1e-10, -1e-7])
def test_a_side_that_hardly_bulges_is_straight_and_loses_no_corner(file, bulge):
    corners = [(*SQUARE[0], 0), (*SQUARE[1], bulge), (*SQUARE[2], 0), (*SQUARE[3], bulge)]
    for places, closes in ((corners, True), ([*corners, (*SQUARE[0], 0)], False)):
        path = file(lambda s, p=places, c=closes: s.add_lwpolyline(p, format="xyb", close=c))
        ring = read_dxf_outline(path, unit="m")
        assert ring.shape == (4, 2)
        assert_allclose(ring, SQUARE, rtol=0, atol=1e-5)
