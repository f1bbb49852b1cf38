import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.measures.acceptance import PUBLISHED
from tests.small_job import JOB, write_job

INCH = 0.0254


def read(folder, text):
    return read_job(write_job(folder, job=JOB + text)).tests


def test_the_published_tests_stand_where_the_job_states_none(tmp_path):
    assert read(tmp_path, "") == PUBLISHED


def test_stated_tests_replace_the_published_ones(tmp_path):
    text = """
[[acceptance]]
name = "airport"
average = "1/4 in"
single = "1/2 in"
over = "1/2 in"
samples = 6
[[acceptance]]
single = 0.05
"""
    first, second = read(tmp_path, text)
    assert (first.name, first.samples, first.source) == ("airport", 6, "the job")
    assert_allclose([first.average, first.single, first.over], [INCH / 4, INCH / 2, INCH / 2])
    assert (second.name, second.average, second.over, second.samples) == (
        "acceptance 2", None, None, None,
    )  # fmt: skip
    assert_allclose(second.single, 0.05 * 0.3048)


def test_a_limit_of_nought_is_a_limit(tmp_path):
    (made,) = read(tmp_path, "[[acceptance]]\naverage = 0\n")
    assert made.average == 0.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("samples = 4", "states no limit"),
        ("single = '3/4 in'\nover = '3/4 in'", "over is given without acceptance 1.average"),
        ("single = '3/4 in'\nsamples = 2.5", "a whole number from 1 to 1000"),
        ("single = '3/4 in'\nsamples = 0", "a whole number from 1 to 1000"),
        ("single = '-3/4 in'", "0 or more"),
        ("single = 0.75", "less than the design thickness"),
        ("single = true", "a length"),
        ("singel = '3/4 in'", "'single'"),
        ("single = '3/4 in'\n[[acceptance]]\nname = 'acceptance 1'\naverage = 0.01", "two accep"),
    ],
)
def test_what_can_t_be_used_is_refused_in_words(tmp_path, text, words):
    with pytest.raises(InputError, match=words):
        read(tmp_path, f"[[acceptance]]\n{text}\n")


def test_a_single_table_without_its_second_brackets_is_refused_with_what_to_write(tmp_path):
    with pytest.raises(InputError, match=r"\[\[acceptance\]\]"):
        read(tmp_path, "[acceptance]\nsingle = '3/4 in'\n")
