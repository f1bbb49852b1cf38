"""What a job teaches the next: a plain file, each job once."""

from dataclasses import replace

import pytest

from gradevol.answer.account import compose_account
from gradevol.answer.said.learned import LEARNED, list_cells, tell_jobs, tell_learned
from gradevol.files.learned import add_row, read_factors, read_past
from gradevol.ground.errors import InputError
from gradevol.out.pages.account import compose_account_page
from gradevol.out.tables.learned import write_rows
from gradevol.out.text.account import compose_account_text
from tests.after_pour import TOP_SHOTS, reconciled

HEADER = ("job", "date", "factor", "sigma")


def test_a_job_is_added_below_others_and_stands_once(tmp_path):
    path = tmp_path / "learned.csv"
    added = add_row(path, HEADER, ("a/job.toml", "", "1.04", "0.01"))
    assert added.rows == [["a/job.toml", "", "1.04", "0.01"]]
    path.write_text("job,date,factor,sigma\na/job.toml,,1.04,0.01\nb/job.toml,,1.06,0.02\n")
    again = add_row(path, HEADER, ("a/job.toml", "May", "1.05", "0.01"))
    assert again.rows == [["a/job.toml", "May", "1.05", "0.01"], ["b/job.toml", "", "1.06", "0.02"]]
    assert (added.remark, "factor 1.04" in again.remark) == ("", True)


def test_jobs_in_folders_of_one_name_do_not_take_each_others_place(tmp_path):
    path, header = tmp_path / "learned.csv", (*HEADER, "title")
    remarks = []
    for factor, title in (("1.04", "North"), ("1.06", "South"), ("1.05", "north")):
        added = add_row(path, header, ("slab/job.toml", "", factor, "0.01", title))
        write_rows(path, header, added.rows)
        remarks.append(added.remark)
    assert [job.factor for job in read_factors(path)] == [1.05, 1.06]
    assert ["another title" in remark for remark in remarks] == [False, True, False]
    assert "took the place of the row, factor 1.04" in remarks[2]


def test_a_file_that_a_spreadsheet_has_saved_is_still_one(tmp_path):
    path, header = tmp_path / "learned.csv", (*HEADER, "title")
    kept = ["a, b/job.toml", "", "1.04", "0.01", "Yard, north"]
    for text in (
        "\ufeffjob;date;factor;sigma;title\r\na, b/job.toml;;1,04;0,01;Yard, north\r\n",
        'job,date,factor,sigma,title,,\n"a, b/job.toml",,1.04,0.01,"Yard, north",,\n',
    ):
        path.write_text(text, encoding="utf-8")
        assert [job.factor for job in read_factors(path)] == [1.04]
        added = add_row(path, header, ("c/job.toml", "", "1.05", "0.01", "C"))
        assert added.rows == [kept, ["c/job.toml", "", "1.05", "0.01", "C"]]


def test_a_row_by_hand_may_be_short(tmp_path):
    path = tmp_path / "learned.csv"
    path.write_text("job,date,factor,sigma,title\nold,,1.04,0.01\n")
    added = add_row(path, (*HEADER, "title"), ("a/job.toml", "", "1.05", "0.01", "A"))
    assert added.rows[0] == ["old", "", "1.04", "0.01", ""]


@pytest.mark.parametrize("text", ["point,easting\n1,2\n", "job,factor\na,1\n"])
def test_another_file_is_left_alone(tmp_path, text):
    path = tmp_path / "other.csv"
    path.write_text(text)
    with pytest.raises(InputError, match="no file of factors that gradevol wrote"):
        add_row(path, HEADER, ("a", "", "1", "0"))
    assert path.read_text() == text


@pytest.mark.parametrize("name", ["=pad", "-1 pad", "+pad", "@pad", "'tis", "pad"])
def test_a_name_that_a_spreadsheet_would_run_is_guarded_and_known_again(tmp_path, name):
    path = tmp_path / "learned.csv"
    row = (f"{name}/job.toml", "", "1.04", "0.01")
    for _ in range(2):
        write_rows(path, HEADER, add_row(path, HEADER, row).rows)
    guarded = f"'{name}" if name[0] in "=-+@" else name
    assert path.read_text().splitlines()[1:] == [f"{guarded}/job.toml,,1.04,0.01"]
    assert [job.name for job in read_factors(path)] == [row[0]]


def test_jobs_are_told_one_below_the_other_with_their_means(check_sample):
    done = reconciled(check_sample, top_shots=TOP_SHOTS)
    own = read_past(LEARNED, [list_cells(done.learned)])[0]
    other = {"job": "shed/job.toml", "title": "Shed", "base_low_m": 0.004}
    other |= {"factor": 1.03, "sigma": own["sigma"]}
    (topic,) = tell_jobs(replace(done, past=(other, own)))
    shed, apron, mean, sigma = topic.statements
    assert (shed.label, apron.label, mean.label) == (
        "Shed",
        "Cider-house loading apron",
        "Mean of 2 jobs",
    )
    assert shed.cells[1:] == ("1.030", "0.013 ft", "–", "–", "–")
    assert mean.cells[1] == "1.040"
    # of two jobs as sure as one another, half of what they differ by, if that is more than allowed
    assert sigma.cells[1] == f"{(done.learned.factor - 1.03) / 2:.3f}"
    assert mean.cells[2] == "–"  # how sure the other's base is, it does not say
    assert mean.cells[3] == "–"  # one job alone was shot
    assert tell_jobs(done) == ()
    high = {**other, "base_low_m": -0.004, "unresolved": -0.027}
    (topic,) = tell_jobs(replace(done, past=(high, own)))
    assert topic.statements[0].cells[2::3] == ("\N{MINUS SIGN}0.013 ft", "\N{MINUS SIGN}2.7 %")
    answer = compose_account(replace(done, past=(other, own)))
    for told in (compose_account_text(answer), compose_account_page(answer)):
        assert "Mean of 2 jobs" in told
        assert "Shed" in told


def test_a_factor_that_holds_what_is_unresolved_says_so(check_sample):
    done = reconciled(check_sample)
    much = replace(done.learned, unresolved=0.5, unresolved_sigma=0.03)
    told = [
        str(each)
        for learned in (done.learned, much)
        for each in tell_learned(replace(done, learned=learned))[0].statements[0].details
    ]
    assert [text.startswith("unresolved included") for text in told] == [False] * 4 + [True]
