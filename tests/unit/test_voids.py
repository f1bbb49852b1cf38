"""Voids whose lines cross openings or leave the slab: only what lies in concrete is taken off."""

import math

import pytest

from gradevol.ground.units import METRES
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import EDGE, JOB, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]
SECTION = math.pi / 4 * 0.0508**2
#: A pit of 4 by 4 ft in the middle of the pad, and a notch that reaches over its east edge.
OPENINGS = "openings = [[[6, 3], [10, 3], [10, 7], [6, 7]], [[15, 0], [17, 0], [17, 3], [15, 3]]]"
PIT = JOB.replace(EDGE, f'{EDGE}\n{OPENINGS}\nopening_names = ["pit", "notch"]')
PIPE = '[[void]]\nname = "pipe"\ndiameter = "2 in"\nline = {line}\n'


@pytest.fixture
def check(tmp_path):
    def run(job):
        return check_job(read_job(write_job(tmp_path, job=job)))

    return run


def said(result, code):
    return [note.say(result.units) for note in result.notes if note.code == code]


def test_a_duct_is_taken_off_where_it_is_in_concrete(check):
    result = check(PIT + PIPE.format(line="[[0, 4], [16, 4]]"))
    assert result.concrete.voids == pytest.approx(12 * FOOT * SECTION)
    (told,) = said(result, "void-in-opening")
    assert told == (
        "4 ft 0 in of the line of pipe is in pit, where there is no concrete: nothing was taken "
        "off there."
    )
    assert not said(result, "void-outside-slab")


def test_a_duct_with_elevations_goes_by_its_share_in_plan(check):
    whole = check(JOB + PIPE.format(line="[[0, 4, 99.6], [16, 4, 99.9]]")).concrete.voids
    cut = check(PIT + PIPE.format(line="[[0, 4, 99.6], [16, 4, 99.9]]")).concrete.voids
    assert cut == pytest.approx(whole * 12 / 16)


def test_a_duct_that_leaves_the_slab_is_taken_off_within_it(check):
    result = check(PIT + PIPE.format(line="[[12, 8], [20, 8]]"))
    assert result.concrete.voids == pytest.approx(4 * FOOT * SECTION)
    (told,) = said(result, "void-outside-slab")
    assert "4 ft 0 in of the line of pipe is outside the slab" in told
    assert "nothing was taken off there" in told


def test_a_duct_through_a_notch_at_the_edge_is_counted_once(check):
    result = check(PIT + PIPE.format(line="[[12, 1], [20, 1]]"))
    assert result.concrete.voids == pytest.approx(3 * FOOT * SECTION)
    assert "1 ft 0 in of the line of pipe is in notch" in said(result, "void-in-opening")[0]
    assert "4 ft 0 in of the line of pipe is outside" in said(result, "void-outside-slab")[0]


@pytest.mark.parametrize("stated", ["length = 16\n", ""])
def test_what_the_job_states_is_taken_off_in_full_and_said(check, stated):
    volume = "volume = 0.4\n" if not stated else ""
    pipe = PIPE.format(line="[[0, 4], [16, 4]]") + stated + volume
    result = check(PIT + pipe)
    alone = check(JOB + pipe)
    assert result.concrete.voids == pytest.approx(alone.concrete.voids)
    (told,) = said(result, "void-in-opening")
    assert told.endswith("taken off in full, as the job states its length or volume.")


def test_a_key_that_adds_is_counted_in_full(check):
    key = '[[void]]\nname = "key"\nsection = -0.02\nline = [[0, 4], [16, 4]]\n'
    result = check(PIT + key)
    assert result.concrete.voids == pytest.approx(-0.02 * 16 * FOOT**3)
    (told,) = said(result, "void-in-opening")
    assert "what it adds was counted in full" in told


@pytest.mark.parametrize("line", ["[[0, 0], [16, 0]]", "[[6.1, 3], [6.1, 7]]", "[[6, 4], [6, 7]]"])
def test_a_former_along_an_edge_is_in_concrete(check, line):
    former = f'[[void]]\nname = "former"\nsection = 0.02\nline = {line}\n'
    result = check(PIT.replace("[15, 0], [17, 0]", "[15, 1], [17, 1]") + former)
    assert not said(result, "void-in-opening")
    assert not said(result, "void-outside-slab")
    assert result.concrete.voids == pytest.approx(check(JOB + former).concrete.voids)


def test_parts_of_the_day_of_the_pour_share_what_is_left(check):
    """What is cut off at an opening is not shared out over the rest."""
    parts = (
        '[[pour]]\nname = "west"\nedge = [[0, 0], [8, 0], [8, 9], [0, 9]]\n'
        '[[pour]]\nname = "east"\nedge = [[8, 0], [16, 0], [16, 9], [8, 9]]\n'
    )
    result = check(PIT + PIPE.format(line="[[0, 4], [16, 4]]") + parts)
    shares = [part.concrete.voids for part in result.delivery.parts]
    assert shares == pytest.approx([6 * FOOT * SECTION, 6 * FOOT * SECTION])
