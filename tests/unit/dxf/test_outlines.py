"""Outlines of DXF files, and files that are damaged or none."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from tests.read_files import read_points_of as read_dxf_points
from tests.read_files import read_ring_of as read_dxf_outline
from tests.unit.dxf.conftest import (
    FAR,
    SQUARE,
    VERSIONS,
    add_block,
    draw_polyface,
    draw_two_layers,
    on,
)


def area(ring):
    return shapely.Polygon(ring).area


def is_one_ring(ring, corners):
    """Whether a ring has these corners and no others, from wherever it starts."""
    return shapely.Polygon(ring).equals(shapely.Polygon(corners)) and len(ring) == len(corners)


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
