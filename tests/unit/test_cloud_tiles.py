"""Clouds in tiles: only what meets the slab is read."""

import laspy
import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.clouds import las_points
from gradevol.files.clouds.las_header import read_las_header
from gradevol.files.clouds.las_runs import read_runs
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.clouds import absolute, patch, points_of, write

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]


def tiles_of(folder, points):
    """Write tiles of 3 m by 3 m, and say which of the points each holds."""
    square = np.floor(points[:, :2] / 3).astype(int)
    written = {}
    for key in np.unique(square, axis=0):
        is_in = (square == key).all(axis=1)
        path = folder / f"{key[0]}_{key[1]}.laz"
        written[write(path, points[is_in])] = is_in
    return written


def test_tiles_off_the_slab_are_not_read_and_named(tmp_path, monkeypatch):
    points = points_of(3000)
    tiles = tiles_of(tmp_path, points)
    opened = []

    def watch(header, runs):
        opened.append(header.path)
        return read_runs(header, runs)

    monkeypatch.setattr(las_points, "read_runs", watch)
    bounds = (500.5, 800.5, 502.9, 802.9)
    survey = read_cloud(Cloud(tuple(tiles), "m", ground=False), bounds=bounds)

    near = [path for path in tiles if path.stem in {"166_266", "167_266", "166_267", "167_267"}]
    assert 0 < len(near) < len(tiles)
    assert set(opened) == set(near)
    e, n, _ = points.T
    inside = (e >= 500.5) & (e <= 502.9) & (n >= 800.5) & (n <= 802.9)
    assert len(survey.points) == inside.sum()
    assert survey.count == sum(tiles[path].sum() for path in near)
    (note,) = [note for note in survey.notes if note.code == "cloud-files-off"]
    assert note.text.startswith(f"{len(tiles) - len(near)} of {len(tiles)} files are off the slab")


def test_a_tile_whose_header_says_nothing_of_its_ends_is_read(tmp_path):
    path = patch(write(tmp_path / "a.las"), 179, "<6d", *[0.0] * 6)
    assert read_las_header(path).extent is None
    survey = read_cloud(Cloud((path,), "m"), bounds=(500, 800, 503, 806))
    assert len(survey.points) == (points_of()[:, 0] <= 503).sum()


def test_whole_and_tiled_clouds_have_the_same_bins_within_bounds(tmp_path):
    points = points_of(3000)
    bounds = (501.2, 801.3, 504.9, 805.1)
    whole = read_cloud(Cloud((write(tmp_path / "a.las", points),), "m", 0.5), bounds=bounds)
    tiles = tuple(reversed(tiles_of(tmp_path, points)))
    tiled = read_cloud(Cloud(tiles, "m", 0.5), bounds=bounds)
    assert_allclose(absolute(tiled), absolute(whole), rtol=0, atol=1e-9)
    assert whole.count == 3000


def test_one_far_stray_matters_to_nothing_within_bounds(tmp_path):
    points = points_of(3000)
    stray = np.vstack([points, [[900_500.0, 700_800.0, 300.0]]])
    bounds = (499, 799, 507, 807)
    with_it = read_cloud(Cloud((write(tmp_path / "a.las", stray),), "m"), bounds=bounds)
    assert_allclose(absolute(with_it), points, rtol=0, atol=1e-9)
    (note,) = [note for note in with_it.notes if note.code == "cloud-left-out"]
    assert note.text == (
        "1 of 3,001 points of the cloud were left out: 1 off the slab and the margin around it."
    )


@pytest.mark.parametrize(
    ("bounds", "unit", "remedy"),
    [
        ((10, 10, 20, 20), "m", "one coordinate system"),
        ((799, 499, 807, 507), "m", "look swapped"),
        ((499 * FOOT, 799 * FOOT, 507 * FOOT, 807 * FOOT), "m", "It would fit in ft"),
    ],
)
def test_a_cloud_off_the_slab_is_refused_with_a_likely_cause(tmp_path, bounds, unit, remedy):
    path = write(tmp_path / "a.laz")
    with pytest.raises(InputError, match=f"does not meet the slab.*{remedy}"):
        read_cloud(Cloud((path,), unit), bounds=bounds)


def test_a_cloud_of_text_off_the_slab_is_refused_with_its_ends_and_a_likely_cause(tmp_path):
    path = tmp_path / "scan.xyz"
    path.write_text("".join(f"{e} {n} 100.0\n" for e in range(500, 508) for n in range(800, 808)))
    bounds = (499 * FOOT, 799 * FOOT, 507 * FOOT, 807 * FOOT)
    with pytest.raises(InputError, match=r"lie within E 500\.00 to 507\.00.*would fit in ft"):
        read_cloud(Cloud((path,), "m"), bounds=bounds)


def test_a_job_reads_a_folder_of_tiles_over_its_slab_alone(tmp_path):
    (tmp_path / "tiles").mkdir()
    tiles = tiles_of(tmp_path / "tiles", points_of(4000))
    job = tmp_path / "job.toml"
    job.write_text(
        """units = "m"
        [base]
        cloud = "tiles"
        [slab]
        edge = [[500.2, 800.2], [500.8, 800.2], [500.8, 800.8], [500.2, 800.8]]
        thickness = 0.15
        [top]
        level = 20.15
        """
    )
    result = check_job(read_job(job))
    east, north = (result.survey.points + result.survey.origin)[:, :2].T
    assert east.max() <= 502.8  # 2 m around the slab
    assert north.max() <= 802.8
    assert result.survey.count < 4000
    assert "cloud-files-off" in [note.code for note in result.notes]
    assert result.coverage == 1
    # the invented slope over 0.6 m by 0.6 m about E 500.5, N 800.5
    assert result.concrete.slab == pytest.approx(0.36 * (0.15 - 0.02 * 0.5 + 0.01 * 0.5), abs=2e-4)
    assert len(tiles) == 9


@pytest.mark.parametrize("name", ["none.las", "none.laz"])
def test_an_empty_tile_is_passed_over_and_named(tmp_path, name):
    one = write(tmp_path / "one.laz")
    laspy.LasData(laspy.LasHeader(point_format=6, version="1.4")).write(tmp_path / name)
    survey = read_cloud(Cloud((one, tmp_path / name), "m", ground=False))
    assert survey.count == 400
    (note,) = [note for note in survey.notes if note.code == "cloud-files-empty"]
    assert note.text.startswith(f"1 file of the cloud holds no points: {name}. ")
    with pytest.raises(InputError, match="declares no points"):
        read_cloud(Cloud((tmp_path / name,), "m"))


def test_a_tile_whose_header_forgot_its_points_is_refused(tmp_path):
    cut = patch(patch(write(tmp_path / "cut.laz"), 247, "<Q", 0), 107, "<I", 0)
    with pytest.raises(InputError, match="declares no points"):
        read_cloud(Cloud((write(tmp_path / "one.las"), cut), "m"))
