"""The body of a slab of panels in a turned system: closed in the digits of any file."""

import numpy as np
import pytest
import trimesh

from gradevol.answer.surfaces.meshes import mesh_body
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.conftest import lattice
from tests.small_job import HEADER, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")


def rows(places):
    return ", ".join("[" + ", ".join(f"{value:.4f}" for value in place) + "]" for place in places)


@pytest.mark.parametrize("is_single", [False, True])
@pytest.mark.parametrize("lip", [0.0, 0.012])
@pytest.mark.parametrize("turn", [0.3, 2.0])
def test_corners_of_panels_a_rounding_off_the_edge_leave_it_closed(tmp_path, turn, lip, is_single):
    cos, sin = np.cos(turn), np.sin(turn)

    def put(places):  # to a tenth of a millimetre, as a job is written
        return np.asarray(places, float) @ [[cos, sin], [-sin, cos]] + [1000.0, 2000.0]

    panels = ""
    for west, east, levels in ((0, 5, (10.0, 9.95, 9.95)), (5, 12, (9.95, 9.9, 9.9))):
        ring = put([(west, 0), (east, 0), (east, 6), (west, 6)])
        plane = np.column_stack([ring[:3], np.array(levels) - lip * (west > 0)])
        panels += f"[[top.panel]]\nedge = [{rows(ring)}]\nplane = [{rows(plane)}]\n"
    edge = rows(put([(0, 0), (12, 0), (12, 6), (0, 6)]))
    job = f'units = "m"\n[base]\nshots = "shots.csv"\n[slab]\nedge = [{edge}]\nthickness = 0.15\n'
    plan = lattice(10, 5, 1.3) + 0.3
    level = 9.8 - 0.005 * plan[:, 0] + np.random.default_rng(1).normal(0, 0.004, len(plan))
    shots = "".join(
        f"{number},{east:.4f},{north:.4f},{up:.4f}\n"
        for number, ((east, north), up) in enumerate(zip(put(plan), level, strict=True), start=1)
    )
    path = write_job(tmp_path, job=f"{job}[top]\n{panels}", shots=HEADER + shots)
    result = check_job(read_job(path))

    mesh = mesh_body(result, is_single=is_single)
    assert mesh is not None
    solid = trimesh.Trimesh(mesh.points - mesh.points.min(axis=0), mesh.triangles)  # merged
    assert solid.is_watertight
    # over the lip the base beyond the shots steps too: single precision is closed on 0.04 mm
    assert solid.volume == pytest.approx(result.concrete.slab, rel=2e-5)
