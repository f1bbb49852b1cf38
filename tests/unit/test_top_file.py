"""The file of shots on a finished top: of the top alone."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.reconcile import reconcile_job
from tests.small_job import HEADER, JOB, SHOTS, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

CODED = SHOTS.replace("elevation\n", "elevation,code\n").replace("\n", ",BASE\n").replace(
    "code,BASE", "code", 1
)  # fmt: skip
TOP = "".join(f"T{at},{1 + at},{1 + at % 3 * 3},100.00,TOP\n" for at in range(14))


def reconcile_with(folder, top_shots):
    files = {"tickets.csv": "load,volume_yd3\n1,2.9\n", "top.csv": top_shots}
    text = JOB.replace("[slab]", 'codes = ["base"]\n[slab]')
    job = read_job(write_job(folder, job=text, shots=CODED, files=files))
    return reconcile_job(job, folder / "tickets.csv", top_shots=folder / "top.csv")


def test_a_file_of_all_shots_of_the_job_is_refused_by_the_bases_own_descriptions(tmp_path):
    few = "".join(CODED.splitlines(keepends=True)[1:4])
    with pytest.raises(InputError, match=r"3 shots stand under a description .* base: 1, 2, 3"):
        reconcile_with(tmp_path, HEADER.replace("\n", ",code\n") + TOP + few)


def test_a_file_of_the_top_alone_is_taken(tmp_path):
    done = reconcile_with(tmp_path, HEADER.replace("\n", ",code\n") + TOP)
    assert done.found.account.row("top").volume == pytest.approx(0, abs=1e-6)
