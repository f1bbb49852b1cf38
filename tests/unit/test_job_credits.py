"""[survey] of a job: who measured, when, with what."""

import tomllib
from pathlib import Path

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.job.keys import TABLES
from gradevol.job.keys.whole import SURVEY
from gradevol.job.table import JobFile, Table
from gradevol.site.metadata import Credits
from tests.small_job import write_job


def read(**survey):
    file = JobFile(Path("job.toml"), "ft", TABLES)
    return Table(file, SURVEY, "survey", survey).fill(Credits)


def test_a_job_without_the_table_leaves_every_line_to_be_filled(tmp_path):
    assert read_job(write_job(tmp_path)).credits == read() == Credits()


def test_text_is_kept_on_one_line_and_blank_text_is_none():
    got = read(by=" A. Rodman\n and B. Grader ", instrument="  ", benchmark="BM-1 101.25")
    assert got == Credits(by="A. Rodman and B. Grader", benchmark="BM-1 101.25")


def test_a_date_may_be_text_or_a_date_of_toml():
    assert read(**tomllib.loads("date = 2026-05-04")).date == "2026-05-04"
    assert read(date="the morning of 4 May").date == "the morning of 4 May"


def test_a_number_is_no_text_and_an_unknown_key_names_the_nearest():
    with pytest.raises(InputError, match=r"survey\.by is the number 3, but it must be text"):
        read(by=3)
    with pytest.raises(InputError, match="instrument"):
        read(instrumnt="level")
