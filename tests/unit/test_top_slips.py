import numpy as np
import pytest

from gradevol.check import check_job
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from tests.small_job import SHOTS

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [16, 0], [16, 9], [0, 9]]
thickness = "6 in"
[top]
between = [{}, {}]
"""
EAST = (0, 4, 8, 12, 16, 20)


def check(folder, levels):
    (folder / "shots.csv").write_text(SHOTS)
    first = [[e, 0, z] for e, z in zip(EAST, levels, strict=True)]
    (folder / "job.toml").write_text(JOB.format(first, [[e, 9, 100.2] for e in EAST]))
    return check_job(read_job(folder / "job.toml"))


LEVELS = (100.0, 100.03, 100.08, 100.1, 100.16, 100.2)


@pytest.mark.parametrize("at", range(6))
@pytest.mark.parametrize("off", [-4.0, 10.0, 1.0])
def test_a_wrong_digit_in_a_ruled_top_is_refused_by_its_point(tmp_path, at, off):
    levels = np.array(LEVELS)
    levels[at] += off
    with pytest.raises(InputError) as caught:
        check(tmp_path, levels.tolist())
    assert f"point {at + 1} of line 1 of top.between stands" in str(caught.value)
    assert " ft " in str(caught.value)


def test_an_edge_that_bends_and_steps_is_no_slip(tmp_path):
    assert check(tmp_path, LEVELS).concrete.volume > 0
    steps = (100.0, 100.0, 100.0, 100.9, 100.9, 100.9)
    assert check(tmp_path, steps).concrete.volume > 0
