"""What reading a cloud does is counted, so that what is linear and flat stays so."""

import numpy as np
import pytest

from gradevol.files.clouds import las_runs
from gradevol.files.clouds.gathering import Gathering
from gradevol.files.clouds.las_points import LasCloud
from gradevol.files.clouds.stored import FINE, store_points
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from tests.clouds import points_of, write

N = 120_000  # three chunks of a LAZ


@pytest.fixture(scope="module")
def scan(tmp_path_factory):
    folder = tmp_path_factory.mktemp("scan")
    points = points_of(N)
    classes = np.ones(N, np.uint8)
    return {name: write(folder / f"a.{name}", points, classes=classes) for name in ("las", "laz")}


@pytest.fixture
def read_runs(monkeypatch):
    """Runs that were read."""
    runs, plain = [], las_runs._read

    def watch(header, file, run, into, **rest):
        runs.append(run)
        return plain(header, file, run, into, **rest)

    monkeypatch.setattr(las_runs, "_read", watch)
    return runs


@pytest.mark.parametrize("kind", ["las", "laz"])
@pytest.mark.parametrize("ground", [True, False])
@pytest.mark.parametrize("cell", [None, 0.05, 0.0])
def test_each_point_is_read_once_with_the_ground_filter_too(scan, read_runs, kind, ground, cell):
    read_cloud(Cloud((scan[kind],), "m", cell, ground=ground))
    assert sum(run.count for run in read_runs) == N
    assert len({run.at for run in read_runs}) == len(read_runs)
    assert sum(run.length for run in read_runs) <= scan[kind].stat().st_size


def test_points_past_what_is_held_are_read_twice_and_no_more(scan, read_runs, monkeypatch):
    monkeypatch.setattr("gradevol.files.clouds.sinks._MOST_HELD", 1_000)
    read_cloud(Cloud((scan["laz"],), "m", ground=True))
    assert sum(run.count for run in read_runs) == 2 * N


def test_many_tiles_are_not_held_against_one_another(scan, monkeypatch):
    monkeypatch.setattr(LasCloud, "__eq__", None)
    assert read_cloud(Cloud((scan["las"], scan["laz"]), "m", 0.05)).read == 2 * N


def test_memory_of_bins_does_not_grow_with_the_points():
    made, sizes = Gathering(0.01, FINE, 1_000, None, 0), []
    for seed in range(12):
        made.add(store_points(points_of(4_000, seed=seed)), (seed,))
        sizes.append((made._table.filled if made._table else 0) + sum(map(len, made._parts)))
    made.close()
    assert made.count == 48_000
    assert sum(map(len, made._parts)) <= 1_000
    assert max(sizes) <= 1_000
