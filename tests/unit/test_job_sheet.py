"""[sheet] of a job, and the names of its openings."""

import re

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from tests.small_job import JOB, write_job


def read(folder, *, units="ft", sheet="", slab=""):
    job = JOB.replace('units = "ft"', f'units = "{units}"').replace("[top]", f"{slab}\n[top]")
    return read_job(write_job(folder, job=f"{job}{sheet}\n"))


@pytest.mark.parametrize(("units", "marks"), [("ft", None), ("us-ft", None), ("in", "inches")])
def test_marks_are_in_inches_where_the_job_is(tmp_path, units, marks):
    assert read(tmp_path, units=units).marks == marks


@pytest.mark.parametrize("marks", ["inches", "hundredths"])
def test_the_job_says_how_marks_are_written(tmp_path, marks):
    for units in ("ft", "in"):
        sheet = f'[sheet]\nmarks = "{marks}"'
        assert read(tmp_path, units=units, sheet=sheet).marks == marks


def test_a_metric_job_has_no_choice_and_another_word_is_refused(tmp_path):
    for units, marks, said in (
        ("m", "inches", "marks of a metric job are in millimetres"),
        ("ft", "eighths", '"hundredths" or "inches"'),
    ):
        with pytest.raises(InputError, match=re.escape(said)):
            read(tmp_path, units=units, sheet=f'[sheet]\nmarks = "{marks}"')


def test_each_opening_is_named_or_none(tmp_path):
    pit = "openings = [[[2, 2], [3, 2], [3, 3]]]"
    named = read(tmp_path, slab=f'{pit}\nopening_names = ["pit"]')
    assert named.slab.opening_names == ("pit",)
    with pytest.raises(InputError, match="has 2 names, but there is 1 opening"):
        read(tmp_path, slab=f'{pit}\nopening_names = ["pit", "drain"]')
