"""A small pad, checked, and the remarks that are made of it."""

import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import JOB, SHOTS, write_job

BEAM = '[[thickening]]\nname = "beam"\nsides = [1]\nwidth = "1 ft"\ndepth = "6 in"\n'
PIPE = '[[void]]\nname = "pipe"\ndiameter = "2 in"\nline = {line}\n'
#: Codes that are looked at here: made of the pad alone; the top and the reader make others.
CODES = {
    "thickness-far-from-design",
    "beyond-survey",
    "far-shots",
    "base-above-top",
    "suspect-shots",
    "shots-in-thickening",
    "opening-outside-slab",
    "openings-overlap",
    "thickening-outside-slab",
    "thickenings-overlap",
    "void-in-opening",
    "void-outside-slab",
    "no-trench-shots",
}


@pytest.fixture
def check(tmp_path):
    def run(job=JOB, shots=SHOTS):
        return check_job(read_job(write_job(tmp_path, job=job, shots=shots)))

    return run


def codes_of(result):
    return {note.code for note in result.notes} & CODES


def note_of(result, code):
    (note,) = (note for note in result.notes if note.code == code)
    return note
