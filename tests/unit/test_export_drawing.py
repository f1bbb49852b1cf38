"""DXF: read back by ezdxf."""

import numpy as np
import pytest
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.encoding import decode_dxf_unicode
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.answer.drawing.bands import choose_bands
from gradevol.answer.surfaces.lines import round_levels
from gradevol.answer.surfaces.meshes import Mesh, mesh_base, mesh_top
from gradevol.out.exports.drawing import LAYERS
from gradevol.out.exports.dxf import Dot, Faces, Item, Label, Line, write_dxf


def on_layer(drawing, kind, layer):
    return list(drawing.modelspace().query(f'{kind}[layer=="{layer}"]'))


@pytest.fixture(scope="module")
def drawing(exported):
    return readfile(exported.folder / "drawing.dxf")


def test_the_drawing_has_nothing_to_repair(drawing):
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.dxfversion == "AC1015"


def test_no_handle_is_used_twice_and_the_next_is_free(exported):
    lines = (exported.folder / "drawing.dxf").read_text(encoding="cp1252").splitlines()
    pairs = list(zip(map(str.strip, lines[::2]), lines[1::2], strict=True))
    seed = int(pairs[pairs.index(("9", "$HANDSEED")) + 1][1], 16)
    entities = pairs[pairs.index(("2", "ENTITIES")) :]
    handles = [int(value, 16) for code, value in pairs if code == "5"]
    handles.remove(seed)
    assert len(handles) == len(set(handles)) > len(entities) / 50
    assert max(handles) < seed


def test_the_unit_is_declared(exported, drawing):
    assert drawing.header["$INSUNITS"] == {"m": 6, "ft": 2, "us-ft": 21}[exported.unit]


def test_the_header_tells_where_the_drawing_lies(exported, drawing):
    places = np.vstack([mesh_base(exported.result).points, mesh_top(exported.result).points])
    low, high = np.array(drawing.header["$EXTMIN"]), np.array(drawing.header["$EXTMAX"])

    assert (low[:2] <= places.min(axis=0)[:2] + 1e-6).all()
    assert (high >= places.max(axis=0) - 1e-6).all()
    assert (high[:2] - low[:2] < 2 * np.ptp(places, axis=0)[:2]).all()


def test_a_drawing_that_begins_at_the_origin_tells_its_extents_too(tmp_path):
    dots = [Dot("SHOTS", (0.0, 0.0, 0.0)), Dot("SHOTS", (12.0, 6.0, 1.0))]
    write_dxf(tmp_path / "dots.dxf", dots, layers=LAYERS, unit="m")
    header = readfile(tmp_path / "dots.dxf").header

    assert_allclose(header["$EXTMIN"], [0, 0, 0], atol=2e-6)
    assert_allclose(header["$EXTMAX"], [12, 6, 1], atol=2e-6)


def test_faces_are_those_of_the_meshes(exported, drawing):
    for layer, mesh in (("BASE", mesh_base(exported.result)), ("TOP", mesh_top(exported.result))):
        faces = on_layer(drawing, "3DFACE", layer)
        corners = np.array([[tuple(corner) for corner in face.wcs_vertices()] for face in faces])
        assert_array_equal(corners[:, :3], mesh.points[mesh.triangles])


def test_outlines_of_spots_are_those_of_the_result(exported, drawing):
    view = exported.view
    for layer, spots in (
        ("THIN", view["thin"]["spots"]),
        ("HIGH", view["grading"]["high_spots"]),
        ("LOW", view["grading"]["low_spots"]),
    ):
        drawn = on_layer(drawing, "LWPOLYLINE", layer)
        wanted = [ring for spot in spots for ring in spot["outline"]]
        assert wanted
        assert all(line.closed for line in drawn)
        for line, ring in zip(drawn, wanted, strict=True):
            assert_array_equal(np.array(line.get_points("xy")), np.array(ring))
        assert [text.dxf.text for text in on_layer(drawing, "TEXT", layer)] == [
            f"FIX{fix['rank']}" for fix in exported.view["fix"] if fix["kind"].upper() == layer
        ]


def test_the_edge_and_the_opening_are_closed_lines(exported, drawing):
    drawn = on_layer(drawing, "LWPOLYLINE", "EDGE")
    assert len(drawn) == 2
    slab, origin = exported.result.slab, exported.result.survey.origin[:2]
    corners = np.array(drawn[0].get_points("xy"))
    wanted = (slab.edge + origin) / exported.metres
    assert len(corners) == 4
    for corner in wanted:
        assert np.hypot(*(corners - corner).T).min() < 1e-6


def test_shots_keep_their_place_and_name(exported, drawing):
    survey = exported.result.survey
    dots = np.array([tuple(dot.dxf.location) for dot in on_layer(drawing, "POINT", "SHOTS")])
    assert_allclose(dots, (survey.points + survey.origin) / exported.metres, atol=1e-6)
    assert [text.dxf.text for text in on_layer(drawing, "TEXT", "SHOTS")] == list(survey.ids)


def test_contours_lie_on_the_base_at_their_elevation(exported, drawing):
    mesh = mesh_base(exported.result)
    lines = on_layer(drawing, "LWPOLYLINE", "CONTOUR")
    assert 3 <= len({line.dxf.elevation for line in lines}) <= 15
    corners = mesh.points[mesh.triangles]
    for line in lines:
        places = np.array(line.get_points("xy"))
        middles = (places[1:] + places[:-1]) / 2
        assert_allclose(levels_at(corners, middles), line.dxf.elevation, atol=1e-5)


def levels_at(corners, places):
    """Elevation of a surface at places by barycentric coordinates, each in some triangle."""
    one, other = corners[:, 1, :2] - corners[:, 0, :2], corners[:, 2, :2] - corners[:, 0, :2]
    twice = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    off = places[:, None] - corners[None, :, 0, :2]
    second = (off[..., 0] * other[:, 1] - off[..., 1] * other[:, 0]) / twice
    third = (one[:, 0] * off[..., 1] - one[:, 1] * off[..., 0]) / twice
    least = np.min([1 - second - third, second, third], axis=0)
    best = least.argmax(axis=1)
    row = np.arange(len(places))
    assert least[row, best].min() > -1e-5
    second, third = second[row, best], third[row, best]
    held = corners[best, :, 2]
    return held[:, 0] * (1 - second - third) + held[:, 1] * second + held[:, 2] * third


def test_lines_of_thickness_are_named_as_in_the_plan(exported, drawing):
    words = [text.dxf.text for text in on_layer(drawing, "TEXT", "THICKNESS")]
    assert len(words) >= 2
    unit = "mm" if exported.unit == "m" else "in"
    assert all(word.endswith(f" {unit}") for word in words)
    assert len(words) <= len(choose_bands(exported.result).levels)


def test_every_layer_is_there_and_no_entity_on_another(drawing):
    assert {layer.dxf.name for layer in drawing.layers} == {"0", "Defpoints", *LAYERS}
    assert {entity.dxf.layer for entity in drawing.modelspace()} == set(LAYERS)


def test_words_beyond_the_code_page_and_control_codes_are_kept_apart(tmp_path):
    mesh = Mesh(np.array([[0, 0, 1], [1, 0, 1], [0, 1, 1.0]]), np.array([[0, 1, 2]]))
    items: list[Item] = [
        Faces("BASE", mesh),
        Line("EDGE", mesh.points[:, :2], is_closed=True),
        Dot("SHOTS", (1, 2, 3)),
        Label("SHOTS", (1, 2, 3), "стена\n#1 %%c é", 0.5),
    ]
    write_dxf(tmp_path / "a.dxf", items, layers=LAYERS, unit="m")
    drawing = readfile(tmp_path / "a.dxf")
    assert not drawing.audit().errors
    (text,) = on_layer(drawing, "TEXT", "SHOTS")
    assert decode_dxf_unicode(text.dxf.text) == "стена #1 % %c é"
    assert tuple(text.dxf.insert) == (1, 2, 3)


@pytest.mark.parametrize(
    ("low", "high", "levels"),
    [
        (0.0, 0.0, []),
        (100.03, 100.28, [round(100.04 + 0.02 * k, 2) for k in range(13)]),
        (-3.0, 21.0, [-2.0 + 2 * k for k in range(12)]),
        (0.001, 0.0011, [0.001 + 0.00001 * k for k in range(11)]),
        (99.47, 99.615, [99.48, 99.5, 99.52, 99.54, 99.56, 99.58, 99.6]),
    ],
)
def test_contours_are_at_round_levels(low, high, levels):
    found = round_levels(low, high)
    assert_allclose(found, levels, atol=1e-12)
