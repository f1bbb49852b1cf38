"""The same shots are the same points in whatever format they come."""

import json
import tempfile
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import tifffile
from ezdxf.filemanagement import new
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.files.drawings.outline import read_outline
from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sources import OutlineFile, Shots
from gradevol.ground.units import METRES
from tests.read_files import read_faces_of, read_points_of, read_ring_of

LINEAR = {"m": "meter", "mm": "millimeter", "ft": "foot", "us-ft": "USSurveyFoot", "in": "inch"}
INSUNITS = {"m": 6, "mm": 4, "ft": 2, "us-ft": 21, "in": 1}
#: Local, UTM and state plane origins, in the file's unit.
ORIGINS = [(0.0, 0.0, 0.0), (500_000.25, 4_649_776.5, 231.5), (2_012_300.375, 651_200.125, 6201.0)]

units = st.sampled_from(sorted(METRES))
origins = st.sampled_from(ORIGINS)
thousandths = st.integers(-99_999, 99_999)
shots = st.lists(st.tuples(thousandths, thousandths, thousandths), min_size=3, max_size=8)


def placed(rows, origin):
    return [
        [round(float(o) + v / 1000, 3) for o, v in zip(origin, row, strict=True)] for row in rows
    ]


def landxml(inner, unit):
    system = "Metric" if unit in {"m", "mm"} else "Imperial"
    return (
        f'<LandXML version="1.2"><Units><{system} linearUnit="{LINEAR[unit]}"/></Units>'
        f"{inner}</LandXML>"
    )


def nez(row):
    return f"{row[1]!r} {row[0]!r} {row[2]!r}"


def write_csv(path, rows, unit):
    path.write_text("".join(f"{i},{n!r},{e!r},{z!r},BASE\n" for i, (e, n, z) in enumerate(rows)))
    return read_delimited(Shots((path,), unit, columns="PNEZD"))


def write_landxml(path, rows, unit):
    points = "".join(f'<CgPoint name="{i}">{nez(row)}</CgPoint>' for i, row in enumerate(rows))
    path.write_text(landxml(f"<CgPoints>{points}</CgPoints>", unit))
    return read_points_of(path, unit=unit)


def write_geojson(path, rows, unit):
    path.write_text(json.dumps({"type": "MultiPoint", "coordinates": rows}))
    return read_points_of(path, unit=unit)


def write_dxf(path, rows, unit, form="asc"):
    drawing = new("R2000")
    drawing.header["$INSUNITS"] = INSUNITS[unit]
    for row in rows:
        drawing.modelspace().add_point(row)
    drawing.saveas(path, fmt=form)
    return read_points_of(path, unit=unit)


def write_binary_dxf(path, rows, unit):
    return write_dxf(path, rows, unit, "bin")


@pytest.mark.parametrize(
    "write", [write_csv, write_landxml, write_geojson, write_dxf, write_binary_dxf]
)
@given(rows=shots, origin=origins, unit=units)
def test_the_same_shots_are_the_same_points_in_every_format(write, rows, origin, unit):
    rows = placed(rows, np.add(origin, (1000, 1000, 0)))  # 1000: not taken for degrees
    with tempfile.TemporaryDirectory() as folder:
        survey = write(Path(folder) / "shots", rows, unit)
    assert_allclose(survey.points + survey.origin, np.array(rows) * METRES[unit], rtol=0, atol=1e-9)


def write_tin(path, corners, faces, unit):
    points = "".join(f'<P id="{i}">{nez(row)}</P>' for i, row in enumerate(corners, start=1))
    named = "".join(f"<F>{' '.join(str(i + 1) for i in face)}</F>" for face in faces)
    definition = f'<Definition surfType="TIN"><Pnts>{points}</Pnts><Faces>{named}</Faces>'
    surface = f'<Surfaces><Surface name="s">{definition}</Definition></Surface></Surfaces>'
    path.write_text(landxml(surface, unit))
    return read_faces_of(path, unit=unit)


def write_3dfaces(path, corners, faces, unit):
    drawing = new("R12")
    for face in faces:
        drawing.modelspace().add_3dface([corners[i] for i in face])
    drawing.saveas(path)
    return read_faces_of(path, unit=unit)


def volume(points, triangles):
    """Signed volume above the lowest point, about the first point."""
    corners = points[triangles] - points.min(axis=0)
    along, off = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = (along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / 2
    return float((area * corners[..., 2].mean(axis=1)).sum())


@given(levels=st.lists(thousandths, min_size=12, max_size=12), origin=origins, unit=units)
def test_a_grid_is_the_same_surface_in_every_format(levels, origin, unit):
    east, north = np.meshgrid(np.arange(4) * 2.5, np.arange(3) * -2.5)
    heights = np.round(np.array(levels).reshape(3, 4) / 1000 + origin[2], 3)
    pixels = np.column_stack([east.ravel() + origin[0], north.ravel() + origin[1], heights.ravel()])
    cells = [
        (4 * r + c, 4 * r + c + 4, 4 * r + c + 5, 4 * r + c + 1) for r in (0, 1) for c in (0, 1, 2)
    ]
    middles = [pixels[list(cell)].mean(axis=0) for cell in cells]
    corners = [[float(v) for v in row] for row in (*pixels, *middles)]
    faces = [
        (start, end, 12 + number)
        for number, cell in enumerate(cells)
        for start, end in pairwise((*cell, cell[0]))
    ]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "base"
        tin = write_tin(path, corners, faces, unit)
        drawn = write_3dfaces(path, corners, faces, unit)
        place = (0, 0, 0, origin[0], origin[1], 0)
        keys = (1, 1, 0, 1, 1025, 0, 1, 2)  # pixels are points
        tags = [
            (33550, 12, 3, (2.5, 2.5, 0.0), True),
            (33922, 12, 6, place, True),
            (34735, 3, len(keys), keys, True),
        ]
        tifffile.imwrite(path, heights, extratags=tags)
        grid = read_faces_of(path, unit=unit)
    expected = np.array(corners) * METRES[unit]
    assert_allclose(tin[0], expected, rtol=0, atol=1e-9)
    assert_allclose(grid[0], expected, rtol=0, atol=1e-9)
    assert_allclose(sorted(map(tuple, drawn[0])), sorted(map(tuple, expected)), rtol=0, atol=1e-9)
    volumes = [volume(*tin), volume(*drawn), volume(*grid)]
    assert_allclose(volumes, volumes[0], rtol=1e-9, atol=1e-9 * METRES[unit] ** 3)


@given(
    angles=st.lists(st.integers(0, 359), min_size=3, max_size=8, unique=True),
    seed=st.integers(0, 99),
    origin=origins,
    unit=units,
)
def test_an_outline_of_shuffled_lines_is_the_polygon(angles, seed, origin, unit):
    turned = np.radians(sorted(angles))
    corners = np.column_stack([np.cos(turned), np.sin(turned)]) * 300 + np.array(origin[:2])
    order = np.random.default_rng(seed)
    sides = [pair[:: order.choice((1, -1))] for pair in pairwise([*corners, corners[0]])]
    order.shuffle(sides)
    drawing = new("R2000")
    drawing.header["$INSUNITS"] = INSUNITS[unit]
    for start, end in sides:
        drawing.modelspace().add_line(start, end)
    ring = [*corners.tolist(), corners[0].tolist()]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "edge"
        drawing.saveas(path)
        drawn = read_ring_of(path, unit=unit)
        path.write_text(json.dumps({"type": "Polygon", "coordinates": [ring]}))
        given_ring = read_outline(OutlineFile(path, unit))
    assert_allclose(sorted(map(tuple, drawn)), sorted(map(tuple, given_ring)), rtol=0, atol=1e-9)
    start = int(np.argmin(np.hypot(*(given_ring - drawn[0]).T)))
    turned_ring = np.roll(given_ring, -start, axis=0)
    backwards = np.roll(given_ring[::-1], start + 1, axis=0)
    assert min(np.abs(drawn - turned_ring).max(), np.abs(drawn - backwards).max()) < 1e-9
