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
        found = find_known(tmp_path / "kept.npz", "x")
        assert found is not None
        need, wanted = found.need, known.need
        assert (need is None) == (not order)
        if need is None or wanted is None:
            continue
        assert need.spread == wanted.spread
        assert need.find_range(0.9) == wanted.find_range(0.9)
        assert need.survey is not None
        assert wanted.survey is not None
        np.testing.assert_array_equal(need.survey.quantile(0.98), wanted.survey.quantile(0.98))
