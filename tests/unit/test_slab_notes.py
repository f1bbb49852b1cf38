"""Remarks on a slab as drawn: openings that share plan or lie partly outside, lines of voids."""

import pytest

from gradevol.ground.units import METRES, SQUARE_FOOT
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import EDGE, JOB, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]


@pytest.fixture
def check(tmp_path):
    def run(job):
        return check_job(read_job(write_job(tmp_path, job=job)))

    return run


def with_openings(*corners, names=""):
    """The job with rectangular openings: west, south, east and north of each."""
    rings = [[[w, s], [e, s], [e, n], [w, n]] for w, s, e, n in corners]
    return JOB.replace(EDGE, f"{EDGE}\nopenings = {rings}\n{names}")


def notes_of(result, code):
    return [note for note in result.notes if note.code == code]


def test_openings_that_share_plan_are_cut_out_once_and_said(check):
    names = 'opening_names = ["pit", "drain", "column"]\n'
    result = check(with_openings((2, 2, 6, 6), (5, 3, 9, 5), (12, 2, 13, 3), names=names))
    (note,) = notes_of(result, "openings-overlap")
    assert note.measures[0].value == pytest.approx(2 * SQUARE_FOOT)
    assert note.say(result.units).startswith("Drain shares 2 ft² with pit: it is cut out once.")
    assert result.slab.area == pytest.approx((16 * 9 - 16 - 8 + 2 - 1) * SQUARE_FOOT)


def test_openings_beside_one_another_are_not_said(check):
    result = check(with_openings((2, 2, 6, 6), (6, 2, 9, 6)))
    assert not notes_of(result, "openings-overlap")
    assert not notes_of(result, "opening-outside-slab")


def test_an_opening_within_another_is_said_and_not_refused(check):
    result = check(with_openings((2, 2, 6, 6), (3, 3, 4, 4)))
    (note,) = notes_of(result, "openings-overlap")
    assert "Opening 2 shares 1 ft² with opening 1" in note.say(result.units)
    assert result.slab.area == pytest.approx((16 * 9 - 16) * SQUARE_FOOT)


def test_an_opening_that_reaches_beyond_the_slab_is_said(check):
    result = check(with_openings((14, 2, 18, 6)))
    (note,) = notes_of(result, "opening-outside-slab")
    said = note.say(result.units)
    assert said.startswith("8 ft² of opening 1 lies beyond the slab's edge, where nothing is cut")
    assert "8 ft² of it lies within" in said
    assert result.slab.area == pytest.approx((16 * 9 - 8) * SQUARE_FOOT)
