"""Rows of the fix list that shots as unsure as these would make of a base without a fault."""

import numpy as np
import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import HEADER, JOB, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

LIMITS = 'base_high = "10 mm"\nbase_low = "15 mm"\n[top]'


@pytest.fixture
def check(tmp_path):
    """Check the pad as drawn, shot with a scatter of 14 mm, as the job says or not."""
    scatter = np.random.default_rng(5).normal(0, 0.046, 60)
    shots = HEADER + "".join(
        f"{at + 1},{at % 10 * 1.75 + 0.1},{at // 10 * 1.75 + 0.1},{99.5 + off:.3f}\n"
        for at, off in enumerate(scatter)
    )

    def run(sigma, limits=LIMITS):
        job = JOB.replace("[slab]", f"{sigma}\n[slab]").replace("[top]", limits)
        return check_job(read_job(write_job(tmp_path, job=job, shots=shots)))

    return run


def told(result):
    return [note.say(result.units) for note in result.notes if note.code == "fix-list-unsure"]


def test_rows_that_the_scatter_of_the_shots_makes_are_to_be_looked_at_first(check):
    result = check("sigma = '14 mm'")
    assert result.work.fixes
    (said,) = told(result)
    assert said.startswith("Check the fix list with a level before you shave or fill: ")
    assert "off by 1 1/8 in (twice base.sigma), while slab.base_" in said


@pytest.mark.parametrize("sigma", ["", "sigma = '5 mm'"])
def test_of_surer_shots_nothing_is_said(check, sigma):
    assert told(check(sigma)) == []


def test_without_a_row_to_work_nothing_is_said(check):
    wide = "base_high = '2 in'\nbase_low = '2 in'\nleast_thickness = '3 in'\n[top]"
    result = check("sigma = '14 mm'", wide)
    assert not [fix for fix in result.work.fixes if fix.call != "leave"]
    assert told(result) == []
