"""The factor that a job begins with, and how earlier jobs pull it."""

import numpy as np
import pytest

from gradevol.files.learned import PastJob, read_factors
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.job.terms import Terms
from gradevol.measures.concrete import Concrete
from gradevol.out.tables.learned import write_rows
from gradevol.plan.order.expected import expect_factor, learn_factor
from gradevol.plan.order.need import measure_need
from tests.small_job import JOB, write_job

TERMS = Terms(waste=0.01, settlement=0.01, yield_short=0.005, sigma=0.0095)


def jobs(*factors, sigma=0.005):
    return [PastJob(f"job {at}", factor, sigma) for at, factor in enumerate(factors)]


def test_without_earlier_jobs_it_is_the_allowances():
    found = expect_factor(TERMS)
    assert found.mean == pytest.approx(1.025)
    assert (found.sigma, found.jobs) == (0.0095, 0)


def test_a_job_without_allowances_begins_unsure():
    found = expect_factor(Terms())
    assert found.mean == 1
    assert found.sigma > 0.01
    assert not found.is_stated


def test_the_more_jobs_the_more_they_weigh():
    found = [expect_factor(TERMS, jobs(*[1.05] * count)) for count in (1, 2, 5, 20)]
    means = [each.mean for each in found]
    assert means == sorted(means)
    assert 1.025 < means[0] < 1.045
    assert means[-1] == pytest.approx(1.05, abs=0.002)
    shares = [each.share for each in found]
    assert shares == sorted(shares)


def test_jobs_that_differ_leave_the_next_as_unsure_as_they_differ():
    alike = expect_factor(TERMS, jobs(*[1.04] * 8))
    unlike = expect_factor(TERMS, jobs(*[1.0, 1.08] * 4))
    assert unlike.sigma > 0.03
    assert alike.sigma < 0.012
    assert unlike.mean == pytest.approx(1.030, abs=0.002)  # a third of the way: 0.04 over root 8


def test_a_job_that_is_hardly_known_hardly_counts():
    sure, unsure = (expect_factor(TERMS, jobs(1.06, sigma=sigma)) for sigma in (0.002, 0.05))
    assert unsure.mean - 1.025 < 0.3 * (sure.mean - 1.025)


def test_an_order_needs_what_earlier_jobs_took_and_says_so():
    concrete = Concrete(50.0, 50.0, 0.0, 0.0, 0.0, 0.0, 50.0, ())
    plain = measure_need(concrete, TERMS, survey_sd=0.5)
    learned = expect_factor(TERMS, jobs(1.05, 1.05, 1.05))
    need = measure_need(concrete, TERMS, survey_sd=0.5, learned=learned)
    (line,) = [line for line in need.lines if line.kind == "learned"]
    assert line.name == "as 3 earlier jobs took"
    assert need.mean == pytest.approx(plain.mean + line.volume)
    assert need.mean == pytest.approx(50 * learned.mean)
    assert need.allowance_sd == pytest.approx(50 * learned.sigma)


@pytest.mark.parametrize("folder", ["=pad", "-1 pad", "+pad", "@pad"])
def test_a_job_whose_name_is_guarded_does_not_learn_from_itself(tmp_path, folder):
    text = JOB + '[order]\nwaste = 0.02\nlearned = "factors.csv"\n'
    rows = [[f"{folder}/job.toml", "", "1.2", "0.001"]]
    write_rows(tmp_path / folder / "factors.csv", ("job", "date", "factor", "sigma"), rows)
    job = read_job(write_job(tmp_path / folder, job=text))
    assert job.name == rows[0][0]
    assert learn_factor(job).jobs == 0


def test_a_job_does_not_learn_from_itself(tmp_path):
    (tmp_path / "factors.csv").write_text(
        f"job,date,factor,sigma\n{tmp_path.name}/job.toml,,1.09,0.004\n"
    )
    path = write_job(tmp_path, job=f'{JOB}[order]\nwaste = 0.02\nlearned = "factors.csv"\n')
    assert learn_factor(read_job(path)).jobs == 0


def test_it_learns_from_a_job_of_another_title_in_a_folder_of_the_same_name(tmp_path):
    (tmp_path / "factors.csv").write_text(
        f"job,date,factor,sigma,title\n{tmp_path.name}/job.toml,,1.09,0.004,Yard\n"
        f"{tmp_path.name}/job.toml,,1.07,0.004,Pad (invented)\n"
    )
    text = f'{JOB}[order]\nwaste = 0.02\nlearned = "factors.csv"\n'
    assert learn_factor(read_job(write_job(tmp_path, job=text))).jobs == 1


def test_the_grid_of_spreads_is_fine_enough(monkeypatch):
    found = expect_factor(TERMS, jobs(1.05, 1.04, 1.06))
    monkeypatch.setattr("gradevol.plan.order.expected._SPREADS", np.linspace(0.0002, 0.08, 3000))
    finer = expect_factor(TERMS, jobs(1.05, 1.04, 1.06))
    assert found.mean == pytest.approx(finer.mean, abs=2e-5)
    assert found.sigma == pytest.approx(finer.sigma, abs=2e-5)


def test_a_file_of_factors_is_read_and_its_last_word_on_a_job_counts(tmp_path):
    path = tmp_path / "factors.csv"
    path.write_text(
        "job,date,factor,sigma,volume\nA,2026-05-01,1.03,0.006,50\nB,,1.05,0.01,\n"
        "A,2026-05-02,1.04,0.005,51\n"
    )
    found = read_factors(path)
    assert [(job.name, job.factor) for job in found] == [("B", 1.05), ("A", 1.04)]


@pytest.mark.parametrize("row", ["A,,104,0.01", "A,,1.04,", "A,,1.04,0", "A,,x,0.1"])
def test_a_factor_that_is_none_is_named(tmp_path, row):
    path = tmp_path / "factors.csv"
    path.write_text(f"job,date,factor,sigma\nB,,1.05,0.01\n{row}\n")
    with pytest.raises(InputError, match="line 3"):
        read_factors(path)
