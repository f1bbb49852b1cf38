"""Ground outside the forms in a surface file: faces that cross the slab's edge."""

import numpy as np
import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

WIDE, LONG = 10.0, 8.0
JOB = """
units = "m"
[base]
surface_file = "base.obj"
[slab]
edge = [[0, 0], [10, 0], [10, 8], [0, 8]]
thickness = 0.15
base_low = 0.02
base_high = 0.02
[top]
level = 20.15
"""


def check(folder, east, north, *, step=0.0, rough=0.003):
    """A base at 20 m on a lattice, invented, with ground a `step` off it beside the slab."""
    plan = np.stack(np.meshgrid(east, north, indexing="ij"), axis=-1).reshape(-1, 2)
    is_on = ((plan >= 0) & (plan <= [WIDE, LONG])).all(axis=1)
    level = 20 + np.random.default_rng(3).normal(0, rough, len(plan)) + np.where(is_on, 0, step)
    number = 1 + np.arange(len(plan)).reshape(len(east), len(north))
    low, right, up = number[:-1, :-1].ravel(), number[1:, :-1].ravel(), number[:-1, 1:].ravel()
    far = number[1:, 1:].ravel()
    faces = [*zip(low, right, far, strict=True), *zip(low, far, up, strict=True)]
    lines = [f"v {e} {n} {z:.4f}" for (e, n), z in zip(plan, level, strict=True)]
    lines += [f"f {one} {two} {three}" for one, two, three in faces]
    (folder / "base.obj").write_text("\n".join(lines))
    (folder / "job.toml").write_text(JOB)
    return check_job(read_job(folder / "job.toml"))


def found(result):
    return [note for note in result.notes if note.code == "surface-beside"]


@pytest.mark.parametrize(
    ("step", "spacing"), [(-0.15, 0.5), (0.15, 0.25), (0.09, 0.25), (0.09, 0.5)]
)
def test_ground_outside_the_forms_moves_neither_volume_nor_spots_nor_margin(
    tmp_path, step, spacing
):
    east, north = np.arange(-1.3, 11.4, spacing), np.arange(-1.1, 9.2, spacing)
    result = check(tmp_path, east, north, step=step)
    assert result.concrete.volume == pytest.approx(0.15 * WIDE * LONG, rel=0.003)
    assert result.low.area == result.high.area == 0
    middle = (result.interval.low + result.interval.high) / 2
    assert middle == pytest.approx(result.concrete.volume, rel=0.005)
    (note,) = found(result)
    assert note.measures[1].value == pytest.approx(abs(step), abs=0.02)


@pytest.mark.parametrize("rough", [0.003, 0.025])
def test_a_base_that_goes_on_beyond_the_edge_is_kept_however_rough(tmp_path, rough):
    east, north = np.arange(-1.3, 11.4, 0.5), np.arange(-1.1, 9.2, 0.5)
    result = check(tmp_path, east, north, rough=rough)
    assert not found(result)
    assert result.coverage == pytest.approx(1.0)


def test_a_surface_that_ends_at_the_slab_s_edge_is_kept(tmp_path):
    east, north = np.linspace(-1e-9, WIDE + 1e-9, 21), np.linspace(-1e-9, LONG + 1e-9, 17)
    result = check(tmp_path, east, north, rough=0.02)
    assert not found(result)
