"""The same shots in every format and dialect make the same concrete."""

import json

import numpy as np
import pytest
import trimesh
from ezdxf.filemanagement import new
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.check import check_job
from gradevol.job import read_job

EDGE = [[0.0, 0.0], [9.0, 0.0], [9.0, 7.0], [0.0, 7.0]]


def make_shots(seed, origin):
    rng = np.random.default_rng(seed)
    plan = np.array([[e, n] for e in np.linspace(-0.4, 9.4, 6) for n in np.linspace(-0.4, 7.4, 5)])
    plan += rng.uniform(-0.3, 0.3, plan.shape) * (np.abs(plan - [4.5, 3.5]) < [4, 3])
    level = 0.01 * plan[:, 0] + rng.normal(0, 0.02, len(plan))
    return np.round(np.column_stack([plan, level]) + origin, 3)


def write_text(path, shots, *, delimiter, decimal, encoding, newline):
    rows = [["point", "easting", "northing", "elevation", "code"]]
    rows += [[str(i), *(f"{x:.3f}".replace(".", decimal) for x in shot), "BASE"]
             for i, shot in enumerate(shots)]  # fmt: skip
    text = newline.join(delimiter.join(row) for row in rows) + newline
    path.write_bytes(text.encode(encoding))


def write_landxml(path, shots):
    points = "".join(
        f'<CgPoint name="{i}" code="BASE">{n:.3f} {e:.3f} {z:.3f}</CgPoint>'
        for i, (e, n, z) in enumerate(shots)
    )
    path.write_text(
        '<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" '
        'date="2026-01-01" time="00:00:00" version="1.2"><Units><Metric linearUnit="meter" '
        'areaUnit="squareMeter" volumeUnit="cubicMeter" temperatureUnit="celsius" '
        f'pressureUnit="HPA"/></Units><CgPoints>{points}</CgPoints></LandXML>'
    )


def write_dxf(path, shots):
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = 6
    for shot in shots:
        drawing.modelspace().add_point(shot, dxfattribs={"layer": "BASE"})
    drawing.saveas(path)


def write_geojson(path, shots):
    features = [
        {
            "type": "Feature",
            "properties": {"id": str(i), "code": "BASE"},
            "geometry": {"type": "Point", "coordinates": list(shot)},
        }
        for i, shot in enumerate(shots.tolist())
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))


def measure(folder, source, origin):
    edge = [[e + origin[0], n + origin[1]] for e, n in EDGE]
    (folder / "job.toml").write_text(
        f'units = "m"\n[base]\n{source}\n[slab]\nedge = {edge}\nthickness = 0.15\n'
        f"[top]\nlevel = {origin[2] + 0.25}\n"
    )
    return check_job(read_job(folder / "job.toml"))


@pytest.mark.parametrize("origin", [(0, 0, 0), (432180, 5316740, 412)])
@settings(max_examples=8)
@given(seed=st.integers(0, 2**31))
def test_the_same_shots_in_every_format_make_the_same_concrete(tmp_path_factory, origin, seed):
    folder = tmp_path_factory.mktemp("formats")
    shots = make_shots(seed, origin)
    dialects = {
        "comma.csv": {"delimiter": ",", "decimal": "."},
        "semicolon.csv": {"delimiter": ";", "decimal": ","},
        "tab.txt": {"delimiter": "\t", "decimal": ","},
        "bom.csv": {"delimiter": ",", "decimal": ".", "encoding": "utf-8-sig", "newline": "\r\n"},
        "wide.csv": {"delimiter": ";", "decimal": ",", "encoding": "utf-16"},
    }
    for name, dialect in dialects.items():
        write_text(folder / name, shots, **{"encoding": "utf-8", "newline": "\n", **dialect})
    write_landxml(folder / "points.xml", shots)
    write_dxf(folder / "points.dxf", shots)
    write_geojson(folder / "points.geojson", shots)

    wanted = measure(folder, 'shots = "comma.csv"', origin)
    assert wanted.concrete.volume > 1
    for name in [*dialects, "points.xml", "points.dxf", "points.geojson"]:
        found = measure(folder, f'shots = "{name}"\ncodes = "BASE"', origin)
        assert_allclose(found.concrete.volume, wanted.concrete.volume, rtol=1e-9, err_msg=name)
        assert len(found.survey.points) == len(shots)


def test_the_same_faces_in_every_format_make_the_same_concrete(tmp_path):
    shots = make_shots(3, (100.0, 200.0, 10.0))
    wanted = None
    (tmp_path / "shots.csv").write_text(
        "e,n,z\n" + "".join(f"{e:.3f},{n:.3f},{z:.3f}\n" for e, n, z in shots)
    )
    wanted = measure(tmp_path, 'shots = "shots.csv"', (100.0, 200.0, 10.0)).concrete.volume

    from scipy.spatial import Delaunay  # noqa: PLC0415

    faces = Delaunay(shots[:, :2] - shots[:, :2].mean(axis=0)).simplices
    mesh = trimesh.Trimesh(shots, faces, process=False)
    (tmp_path / "base.obj").write_text(
        "".join(f"v {e:.6f} {n:.6f} {z:.6f}\n" for e, n, z in shots)
        + "".join(f"f {a + 1} {b + 1} {c + 1}\n" for a, b, c in faces)
    )
    mesh.export(tmp_path / "base.stl")
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = 6
    for a, b, c in shots[faces]:
        drawing.modelspace().add_3dface([a, b, c, c], dxfattribs={"layer": "GRADE"})
    drawing.saveas(tmp_path / "base.dxf")

    for name, tolerance in (("base.obj", 1e-9), ("base.dxf", 1e-9), ("base.stl", 1e-4)):
        found = measure(tmp_path, f'surface_file = "{name}"', (100.0, 200.0, 10.0))
        # STL holds single precision: seven digits of a coordinate
        assert_allclose(found.concrete.volume, wanted, rtol=tolerance, err_msg=name)
