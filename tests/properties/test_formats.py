"""The same shots in every format and dialect make the same concrete."""

import numpy as np
import pytest
import trimesh
from ezdxf.filemanagement import new
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.conftest import examples
from tests.read_files import measure_job
from tests.shot_files import (
    write_columns,
    write_depths,
    write_dxf,
    write_geojson,
    write_grid,
    write_landxml,
    write_las,
    write_ply,
    write_rods,
    write_sheet,
    write_text,
    write_tin,
)

EDGE = [[0.0, 0.0], [9.0, 0.0], [9.0, 7.0], [0.0, 7.0]]


def make_shots(seed, origin):
    rng = np.random.default_rng(seed)
    plan = np.array([[e, n] for e in np.linspace(-0.4, 9.4, 6) for n in np.linspace(-0.4, 7.4, 5)])
    plan += rng.uniform(-0.3, 0.3, plan.shape) * (np.abs(plan - [4.5, 3.5]) < [4, 3])
    level = 0.01 * plan[:, 0] + rng.normal(0, 0.02, len(plan))
    return np.round(np.column_stack([plan, level]) + origin, 3)


def write_job(folder, source, origin):
    edge = [[e + origin[0], n + origin[1]] for e, n in EDGE]
    (folder / "job.toml").write_text(
        f'units = "m"\n[base]\n{source}\n[slab]\nedge = {edge}\nthickness = 0.15\n'
        f"[top]\nlevel = {origin[2] + 0.25}\n"
    )
    return folder / "job.toml"


DIALECTS = {
    "comma.csv": {"delimiter": ",", "decimal": "."},
    "semicolon.csv": {"delimiter": ";", "decimal": ","},
    "point.csv": {"delimiter": ";", "decimal": "."},
    "tab.txt": {"delimiter": "\t", "decimal": ","},
    "bar.txt": {"delimiter": "|", "decimal": "."},
    "blanks.txt": {"delimiter": "   ", "decimal": "."},
    "bom.csv": {"delimiter": ",", "decimal": ".", "encoding": "utf-8-sig", "newline": "\r\n"},
    "wide.csv": {"delimiter": ";", "decimal": ",", "encoding": "utf-16"},
    "old.csv": {"delimiter": ",", "decimal": ".", "newline": "\r"},
}
CLOUD = "cell = 0\nground = false"


def write_all(folder, shots, origin):
    """Write the shots every way; return what a job says of each."""
    named = {}
    for name, dialect in DIALECTS.items():
        form = {"encoding": "utf-8", "newline": "\n", **dialect}
        write_text(folder / name, shots, **form)
        named[name] = f'shots = "{name}"\ncodes = "BASE"'

    write_columns(folder / "pnezd.csv", shots, "PNEZD")
    named["pnezd.csv"] = 'shots = "pnezd.csv"'
    half = len(shots) // 2
    write_columns(folder / "first.csv", shots[:half], "PNEZD")
    write_columns(folder / "second.csv", shots[half:], "PNEZD", ids=False)
    named["two files"] = 'shots = ["first.csv", "second.csv"]'
    write_landxml(folder / "points.xml", shots)
    write_dxf(folder / "points.dxf", shots)
    write_geojson(folder / "points.geojson", shots)
    for name in ("points.xml", "points.dxf", "points.geojson"):
        named[name] = f'shots = "{name}"\ncodes = "BASE"'

    write_las(folder / "cloud.las", shots)
    write_las(folder / "cloud.laz", shots)
    write_ply(folder / "cloud.ply", shots)
    write_columns(folder / "cloud.xyz", shots, "ENZ", mark=" ")
    for name in ("cloud.las", "cloud.laz", "cloud.ply", "cloud.xyz"):
        named[name] = f'cloud = "{name}"\n{CLOUD}'
    write_columns(folder / "turned.txt", shots, "-ZNE", mark=";", decimal=",")
    named["turned.txt"] = f'cloud = "turned.txt"\ncolumns = "-ZNE"\n{CLOUD}'

    heights = {"A": origin[2] + 1.5, "B": origin[2] + 1.732}
    write_rods(folder / "rods.csv", shots, heights)
    said = "".join(f"{name} = {{ height = {height!r} }}\n" for name, height in heights.items())
    named["rods.csv"] = f'shots = "rods.csv"\n[base.setups]\n{said}'
    return named


@pytest.mark.parametrize("origin", [(0, 0, 0), (432180, 5316740, 412)])
@examples(3)
@given(seed=st.integers(0, 2**31))
def test_the_same_shots_in_every_format_make_the_same_concrete(tmp_path_factory, origin, seed):
    folder = tmp_path_factory.mktemp("formats")
    shots = make_shots(seed, origin)
    named = write_all(folder, shots, origin)
    wanted, _ = measure_job(write_job(folder, 'shots = "comma.csv"', origin))
    assert wanted > 1
    for name, source in named.items():
        volume, count = measure_job(write_job(folder, source, origin))
        assert_allclose(volume, wanted, rtol=1e-9, err_msg=name)
        assert count == len(shots), name


def test_the_volume_here_is_that_of_a_whole_check(tmp_path):
    origin = (100, 200, 10)
    write_columns(tmp_path / "shots.csv", make_shots(5, origin), "PNEZD")
    path = write_job(tmp_path, 'shots = "shots.csv"', origin)
    assert measure_job(path)[0] == check_job(read_job(path)).concrete.volume


@examples(10)
@given(
    order=st.permutations("PNEZD-"),
    mark=st.sampled_from([",", ";", "\t", "  "]),
    seed=st.integers(0, 99),
)
def test_the_order_of_columns_makes_no_other_concrete(tmp_path_factory, order, mark, seed):
    folder = tmp_path_factory.mktemp("columns")
    shots = make_shots(seed, (100, 200, 10))
    write_text(
        folder / "headed.csv", shots, delimiter=",", decimal=".", encoding="utf-8", newline="\n"
    )
    write_columns(folder / "bare.txt", shots, order, mark=mark)
    wanted, _ = measure_job(write_job(folder, 'shots = "headed.csv"', (100, 200, 10)))
    source = f'shots = "bare.txt"\ncolumns = "{"".join(order)}"'
    found, _ = measure_job(write_job(folder, source, (100, 200, 10)))
    assert_allclose(found, wanted, rtol=1e-9)


@pytest.mark.parametrize("origin", [(0, 0, 0), (432180, 5316740, 412)])
@examples(3)
@given(levels=st.lists(st.integers(-80, 80), min_size=20, max_size=20))
def test_a_sheet_makes_the_same_concrete_as_its_shots(tmp_path_factory, origin, levels):
    folder = tmp_path_factory.mktemp("sheets")
    east, north = np.meshgrid(np.arange(5) * 2 + 0.5, np.arange(4) * 2 + 0.5)
    z = np.array(levels).reshape(east.shape) / 1000
    shots = np.column_stack([east.ravel(), north.ravel(), z.ravel()]) + origin
    write_columns(folder / "shots.csv", np.round(shots, 3), "PNEZD")
    wanted, _ = measure_job(write_job(folder, 'shots = "shots.csv"', origin))
    assert wanted > 1

    height, top = 1.625, 0.25
    offsets = [f"{x:g}" for x in north[:, 0]], [f"{x:g}" for x in east[0]]
    letters = ["1", "2", "3", "4"], list("ABCDE")
    write_sheet(folder / "rods.csv", *offsets, height - z)
    write_sheet(folder / "letters.csv", *letters, height - z)
    write_sheet(folder / "depths.csv", *offsets, top - z)
    write_depths(folder / "points.csv", shots, origin[2] + top)
    corner = f"[{origin[0] + 0.5}, {origin[1] + 0.5}]"
    at = f"origin = [{origin[0]}, {origin[1]}]\n"
    string = "string = { span = 0 }\n"
    for source in (
        f'rods = "rods.csv"\ninstrument_height = {origin[2] + height}\n{at}',
        f'rods = "rods.csv"\nbenchmark = {origin[2]}\nbacksight = {height}\n{at}',
        f'rods = "letters.csv"\ninstrument_height = {origin[2] + height}\n'
        f"origin = {corner}\nspacing = 2\n",
        f'depths = "depths.csv"\n{at}{string}',
        f'depths = "points.csv"\n{string}',
    ):
        volume, count = measure_job(write_job(folder, source, origin))
        assert count == 20
        assert_allclose(volume, wanted, rtol=1e-9, err_msg=source)


@pytest.mark.parametrize("origin", [(0, 0, 0), (432180, 5316740, 412)])
@examples(3)
@given(levels=st.lists(st.integers(-80, 80), min_size=20, max_size=20))
def test_a_grid_makes_the_same_concrete_as_its_shots(tmp_path_factory, origin, levels):
    folder = tmp_path_factory.mktemp("grids")
    east, north = np.meshgrid(np.arange(5) * 2.5 - 0.5, np.arange(4) * 2.5 - 0.25)
    heights = np.array(levels) / 1000
    shots = np.round(np.column_stack([east.ravel(), north.ravel(), heights]) + origin, 3)
    write_columns(folder / "shots.csv", shots, "PNEZD")
    write_grid(folder / "grid.tif", shots, 4, 5, 2.5)
    wanted, _ = measure_job(write_job(folder, 'shots = "shots.csv"', origin))
    assert wanted > 1
    volume, count = measure_job(write_job(folder, 'surface_file = "grid.tif"', origin))
    assert count == 20 + 12  # and the middles of its cells
    assert_allclose(volume, wanted, rtol=1e-9)


def test_the_same_faces_in_every_format_make_the_same_concrete(tmp_path):
    shots = make_shots(3, (100.0, 200.0, 10.0))
    (tmp_path / "shots.csv").write_text(
        "e,n,z\n" + "".join(f"{e:.3f},{n:.3f},{z:.3f}\n" for e, n, z in shots)
    )
    # faces are taken as they are; of shots, rows and lattices are made whole besides
    of_shots, _ = measure_job(write_job(tmp_path, 'shots = "shots.csv"', (100.0, 200.0, 10.0)))

    from scipy.spatial import Delaunay  # noqa: PLC0415

    faces = Delaunay(shots[:, :2] - shots[:, :2].mean(axis=0)).simplices
    mesh = trimesh.Trimesh(shots, faces, process=False)
    (tmp_path / "base.obj").write_text(
        "".join(f"v {e:.6f} {n:.6f} {z:.6f}\n" for e, n, z in shots)
        + "".join(f"f {a + 1} {b + 1} {c + 1}\n" for a, b, c in faces)
    )
    mesh.export(tmp_path / "base.stl")
    write_ply(tmp_path / "base.ply", shots, faces)
    write_tin(tmp_path / "base.xml", shots, faces)
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = 6
    for a, b, c in shots[faces]:
        drawing.modelspace().add_3dface([a, b, c, c], dxfattribs={"layer": "GRADE"})
    drawing.saveas(tmp_path / "base.dxf")

    wanted, _ = measure_job(write_job(tmp_path, 'surface_file = "base.obj"', (100.0, 200.0, 10.0)))
    assert_allclose(wanted, of_shots, rtol=5e-3)
    named = {"base.obj": 1e-9, "base.dxf": 1e-9, "base.ply": 1e-9, "base.xml": 1e-9}
    for name, tolerance in {**named, "base.stl": 1e-4}.items():
        source = f'surface_file = "{name}"'
        found, _ = measure_job(write_job(tmp_path, source, (100.0, 200.0, 10.0)))
        # STL holds single precision: seven digits of a coordinate
        assert_allclose(found, wanted, rtol=tolerance, err_msg=name)
