"""Rows of a grid that leave those on either side: what a damaged file looks like."""

import numpy as np
import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.shot_files import write_grid

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """units = "m"
[base]
surface_file = "base.tif"
[slab]
edge = [[0, 0], [10, 0], [10, 8], [0, 8]]
thickness = 0.15
[top]
level = 20
"""


@pytest.fixture
def tell(tmp_path):
    """The note on rows of a grid of pixels each half a metre, of which some were moved."""

    def check(move):
        plan = np.stack(np.meshgrid(np.arange(21) / 2, np.arange(17) / 2), -1).reshape(-1, 2)
        level = 19.85 + 0.008 * np.sin(plan[:, 0]) + 0.006 * np.cos(1.3 * plan[:, 1])
        level += np.random.default_rng(3).normal(0, 0.001, len(level))
        grid = level.reshape(17, 21)
        move(grid)
        write_grid(tmp_path / "base.tif", np.column_stack([plan, grid.ravel()]), 17, 21, 0.5)
        (tmp_path / "job.toml").write_text(JOB)
        notes = check_job(read_job(tmp_path / "job.toml")).notes
        return [note for note in notes if note.code == "grid-rows-apart"]

    return check


@pytest.mark.parametrize("first", [0, 9])
def test_a_row_of_a_grid_that_is_off_from_one_pixel_on_is_told_with_its_places(tell, first):
    def damage(grid):
        grid[6, first:] += 0.04

    (note,) = tell(damage)
    assert note.text.startswith("1 row of the grid leaves those on either side")
    assert {north for _, north in note.places} == {3.0}
    assert min(east for east, _ in note.places) == pytest.approx(first / 2, abs=0.5)
    assert note.measures[0].value == pytest.approx(0.04, abs=0.006)


def test_a_base_that_is_graded_is_not_told_as_damaged(tell):
    def dig(grid):
        grid[5:9, 6:14] -= 0.2  # a pit
        grid[12:, :] += 0.1  # a step along the rows
        grid[:, 17:] += 0.1  # and one across
        grid[:5] -= 0.06 * np.abs(np.arange(5) - 2)[:, None]  # a crown

    def leave(_):
        pass

    assert tell(leave) == tell(dig) == []
