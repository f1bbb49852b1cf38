"""What the order is made for is kept for the day, and comes back as it was."""

import numpy as np

from gradevol.after.kept import find_known, keep_known
from gradevol.job import read_job
from gradevol.runs.pour import know_job
from tests.small_job import JOB, write_job


def test_the_need_comes_back_as_it_was(tmp_path):
    for order in ("[order]\nwaste = 0.02\nrisk = 0.02\n", ""):
        known = know_job(read_job(write_job(tmp_path, job=f"{JOB}{order}")))
        keep_known(tmp_path / "kept.npz", known, "x")
        need = find_known(tmp_path / "kept.npz", "x").need
        assert (need is None) == (not order)
        if need is not None:
            assert need.spread == known.need.spread
            assert need.find_range(0.9) == known.need.find_range(0.9)
            np.testing.assert_array_equal(
                need.survey.quantile(0.98), known.need.survey.quantile(0.98)
            )
