"""The fuzz's quick road: it leaves out what no file breaks, and nothing that is asked for."""

import pytest

from docs.studies.fuzz_roads import check
from tests.small_job import write_job


@pytest.mark.usefixtures("unsimulated")
def test_a_quick_check_comes_to_the_volume_of_a_whole_one(tmp_path):
    write_job(tmp_path)
    quick, whole = (check(tmp_path, is_quick) for is_quick in (True, False))
    assert quick.volume == whole.volume
    assert quick.count == whole.count
