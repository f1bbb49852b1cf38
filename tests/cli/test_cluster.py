"""A cluster of processes: the same result, whoever dies, and its errors told as any other."""

import os
import signal

import laspy
import numpy as np
import pytest
from numpy.testing import assert_array_equal

from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.cluster import connecting
from gradevol.ground.errors import InputError
from gradevol.out.starter import write_starter

distributed = pytest.importorskip("distributed", reason="gradevol[cluster] is not installed")
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]  # its warnings are its own

N_TILES, IN_TILE = 12, 4_000


@pytest.fixture(scope="module")
def cluster():
    """Two workers, processes of their own, and their scheduler."""
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as local:
        yield local


@pytest.fixture(scope="module")
def tiles(tmp_path_factory):
    """Invented strips of a scan, of which the last has other steps; a person stands on it."""
    folder, random = tmp_path_factory.mktemp("tiles"), np.random.default_rng(5)
    paths = []
    for number in range(N_TILES):
        east, north = random.uniform(0, (1, 6), (IN_TILE, 2)).T
        level = 20 + 0.01 * north + random.normal(0, 0.004, IN_TILE)
        level[np.hypot(east - 0.5, north - 3) < 0.15] += 1.2
        header = laspy.LasHeader(point_format=6, version="1.4")
        header.scales = [0.001] * 3 if number < N_TILES - 1 else [0.0004] * 3
        header.offsets = [500 + number, 800, 20]
        cloud = laspy.LasData(header)
        cloud.x, cloud.y, cloud.z = 500 + number + east, 800 + north, level
        paths.append(folder / f"{number}.{'laz' if number % 2 else 'las'}")
        cloud.write(paths[-1])
    return tuple(paths)


def assert_same(one, other):
    assert_array_equal(one.points, other.points)
    assert_array_equal(one.removed, other.removed)
    assert_array_equal(one.about_marks, other.about_marks)
    assert (one.notes, one.grain, one.read) == (other.notes, other.grain, other.read)


@pytest.mark.parametrize("cell", [None, 0.0])
def test_workers_read_the_same_bit_for_bit_though_one_is_killed_half_way(cluster, tiles, cell):
    cloud, marks = Cloud(tiles, "m", cell), np.array([[503.2, 803.0]])
    alone = read_cloud(cloud, marks=marks)
    killed: list[int] = []

    def kill(_, share):
        if share > 0.6 and not killed:  # while the second reading goes on
            state = max(cluster.scheduler.workers.values(), key=lambda held: len(held.has_what))
            assert state.has_what  # answers that nobody fetched yet die with it
            killed.append(cluster.workers[state.name].process.pid)
            os.kill(killed[0], signal.SIGKILL)

    with connecting(cluster.scheduler_address) as connected:
        shared = read_cloud(cloud, marks=marks, progress=kill, cluster=connected)
    assert killed
    assert shared.read == N_TILES * IN_TILE
    assert_same(alone, shared)


def test_a_worker_unpacks_on_as_many_cores_as_it_has_threads(cluster):
    with connecting(cluster.scheduler_address) as connected:
        assert connected is not None
        given = [ask() for ask in connected.run(os.getenv, "RAYON_NUM_THREADS", [""] * 4)]
    assert given == ["1"] * 4


def test_an_error_of_a_worker_is_that_of_a_run_without(cluster, tiles, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    bad = tmp_path / "bad.laz"
    content = bytearray(tiles[1].read_bytes())
    content[-2000:-1900] = b"\xff" * 100
    bad.write_bytes(content)
    cloud = Cloud((tiles[0], bad.relative_to(tmp_path)), "m", 0.05)
    told = []
    with connecting(cluster.scheduler_address) as connected:
        for where in (None, connected):
            with pytest.raises(InputError) as caught:
                read_cloud(cloud, cluster=where)
            told.append(str(caught.value))
    assert told[0] == told[1]
    assert told[0].startswith("bad.laz: ")


def test_jobs_of_a_cluster_have_the_files_of_jobs_without(cluster, tmp_path, invoke):
    write_starter(tmp_path / "north", "feet")
    broken = write_starter(tmp_path / "broken", "feet")
    broken.write_text(broken.read_text(encoding="utf-8").replace("shots.csv", "none.csv"))
    told = []
    for out, more in (("a", ()), ("b", ("--scheduler", cluster.scheduler_address))):
        done = invoke(
            "check", "north", "broken", "--no-pictures", "--out", out, *more, cwd=tmp_path
        )
        assert done.exit_code == 2
        assert done.stderr == ""
        told.append(done.stdout)
    assert told[0] == told[1]
    for name in ("jobs.csv", "north/job/result.json"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_an_address_where_nothing_answers_is_one_paragraph(invoke, tmp_path, monkeypatch):
    monkeypatch.setattr("gradevol.ground.cluster._PATIENCE", 0.5)
    job = write_starter(tmp_path / "north", "feet")
    done = invoke("check", str(job), "--scheduler", "tcp://127.0.0.1:9", cwd=tmp_path)
    assert done.exit_code == 2
    assert "no scheduler answers at tcp://127.0.0.1:9. Start one by `dask scheduler`" in " ".join(
        done.stderr.split()
    )
    assert "Traceback" not in done.stderr
