"""How far off the slab a cloud is read: farther where its points lie farther apart."""

import numpy as np
import pytest

from gradevol.files import read_base
from gradevol.files.sources import Cloud
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.clouds import patch, write

pytestmark = pytest.mark.usefixtures("unsimulated")

SLAB = (500.0, 800.0, 508.0, 806.0)
EDGE = np.array([(500, 800), (508, 800), (508, 806), (500, 806)], float)
JOB = """
units = "m"
[base]
cloud = "a.laz"
ground = false
[slab]
edge = [[500, 800], [508, 800], [508, 806], [500, 806]]
thickness = 0.15
least_thickness = 0.135
[top]
level = 20.15
"""


def lattice(spacing, reach=14.0):
    steps = [
        np.arange(low - reach, high + reach, spacing) for low, high in ((500, 508), (800, 806))
    ]
    east, north = (axis.ravel() for axis in np.meshgrid(*steps))
    return np.column_stack([east, north, 20 + 0.001 * (east - 500) ** 2])


def reach_of(survey):
    east, north = (survey.points + survey.origin)[:, :2].T
    west, south, most_east, most_north = SLAB
    return min(
        *(west - east.min(), south - north.min()),
        *(east.max() - most_east, north.max() - most_north),
    )


@pytest.mark.parametrize(
    ("spacing", "least", "most"),
    [(0.1, 1.8, 2.0), (0.39, 1.6, 2.0), (1.0, 4.0, 6.0), (2.0, 8.0, 12)],
)
def test_a_sparse_cloud_is_read_farther_out(tmp_path, spacing, least, most):
    path = write(tmp_path / "a.laz", lattice(spacing))
    cloud = Cloud((path,), "m", cell=0)
    survey, _ = read_base(cloud, edge=EDGE, progress=lambda *_: None)
    assert least <= reach_of(survey) <= most + 1e-6


def test_a_stray_point_far_away_does_not_widen_the_margin(tmp_path):
    points = np.vstack([lattice(0.1), [90_000.0, 90_000.0, 20.0]])
    cloud = Cloud((write(tmp_path / "a.laz", points),), "m", cell=0)
    survey, _ = read_base(cloud, edge=EDGE, progress=lambda *_: None)
    assert reach_of(survey) <= 2.0


def test_a_volume_rests_on_the_points_beyond_the_edge(tmp_path):
    write(tmp_path / "a.laz", lattice(5.0, reach=30.0))
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    assert check_job(read_job(tmp_path / "job.toml")).coverage == pytest.approx(1.0)


@pytest.mark.parametrize("axes", [1, 2])
def test_a_box_without_a_width_is_not_taken_at_its_word(tmp_path, axes):
    path = tmp_path / "a.las"
    write(path, lattice(0.5))
    whole, _ = read_base(Cloud((path,), "m", ground=False), edge=EDGE, progress=lambda *_: None)
    patch(path, 179, f"<{2 * axes}d", *[0.0] * (2 * axes))
    read, _ = read_base(Cloud((path,), "m", ground=False), edge=EDGE, progress=lambda *_: None)
    assert len(read.points) == len(whole.points)
