"""Ground beside the slab in a dense survey: the margin does not go by it."""

import numpy as np
import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """
units = "m"
[base]
surface_file = "base.ply"
[slab]
edge = [[0, 0], [8, 0], [8, 12], [0, 12]]
thickness = 0.15
[top]
level = 20.15
{more}
"""
BEAM = """
[[thickening]]
along = [[4, 0], [4, 12]]
width = 0.6
depth = 0.3
surveyed = true
"""


def write(path, step, trench=0.0):
    """Write an invented level base at 20 m as a mesh each 0.1 m; ground a step off around it."""
    east, north = np.meshgrid(np.arange(-20, 101) / 10 + 0.05, np.arange(-20, 141) / 10 + 0.05)
    level = 20 + 0.002 * np.sin(3 * east + 2 * north)
    is_on = (east > 0) & (east < 8) & (north > 0) & (north < 12)
    level = np.where(is_on, level - trench * (np.abs(east - 4) < 0.3), 20 + step)
    rows, columns = level.shape
    at = np.arange(rows * columns).reshape(rows, columns)
    west, east_, up, far = at[:-1, :-1], at[:-1, 1:], at[1:, :-1], at[1:, 1:]
    faces = np.concatenate(
        [np.stack(part, -1).reshape(-1, 3) for part in ((west, east_, far), (west, far, up))]
    )
    lines = ["ply", "format ascii 1.0", f"element vertex {level.size}"]
    lines += [f"property double {axis}" for axis in "xyz"]
    lines += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header"]
    lines += [
        f"{e:.3f} {n:.3f} {z:.4f}"
        for e, n, z in zip(east.flat, north.flat, level.flat, strict=True)
    ]
    lines += [f"3 {a} {b} {c}" for a, b, c in faces.tolist()]
    path.write_text("\n".join(lines) + "\n")


def interval_of(result):
    """Middle of a result's interval, and half of its width, m³."""
    assert result.interval is not None
    low, high = result.interval.low, result.interval.high
    return (low + high) / 2, (high - low) / 2


@pytest.mark.parametrize("step", [-0.3, 0.3])
def test_the_margin_of_a_surface_file_does_not_go_by_the_ground_around_the_slab(tmp_path, step):
    write(tmp_path / "base.ply", step)
    (tmp_path / "job.toml").write_text(JOB.format(more=""))
    result = check_job(read_job(tmp_path / "job.toml"))
    middle, half = interval_of(result)
    assert abs(middle - result.concrete.volume) < 0.3 * half
    assert abs(middle - 0.15 * 96) < 0.5 * half


def test_nor_does_it_where_a_trench_in_it_is_drawn(tmp_path):
    write(tmp_path / "base.ply", -0.3, trench=0.3)
    (tmp_path / "job.toml").write_text(JOB.format(more=BEAM))
    result = check_job(read_job(tmp_path / "job.toml"))
    middle, half = interval_of(result)
    assert abs(middle - result.concrete.volume) < 0.3 * half
