"""Remarks on thickenings: shots missing, unasked for, or too high; pads beyond the slab."""

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.ground.units import METRES, SQUARE_FOOT
from gradevol.out.text.summary import compose_summary
from tests.small_job import JOB, SHOTS
from tests.unit.remarks.conftest import BEAM, codes_of, note_of

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]


def in_trench(by=0.5):
    """The shots, those along the beam so much lower, ft."""
    rows = [row.split(",") for row in SHOTS.splitlines()]
    low = {"1", "5", "9", "13", "17"}
    return "".join(
        ",".join([*row[:3], f"{float(row[3]) - by:.3f}"] if row[0] in low else row) + "\n"
        for row in rows
    )


def without_trench(shots):
    """The shots but those of the southern row, which lie on the beam's bottom."""
    rows = shots.splitlines()
    kept = [row for row in rows[1:] if row.split(",")[2] != "0.0000"]
    return "\n".join([rows[0], *kept]) + "\n"


def test_shots_in_a_thickening_that_was_not_shot_may_count_it_twice(check):
    result = check(JOB + BEAM, in_trench())
    note = note_of(result, "shots-in-thickening")
    assert set(note.points) == {"1", "5", "9", "13", "17"}
    assert f"{result.units.say_volume(result.concrete.thickenings)} of it is counted" in note.say(
        result.units
    )
    told = compose_summary(result.title, compose_answer(result).topics).splitlines()[1]
    assert told.strip().startswith("5 shots lie low within beam"), "above the volume"


def test_base_shots_above_a_shallow_thickening_are_none_in_it(check):
    """One by one they can't be told from its bottom, all together they can."""
    shallow = BEAM.replace('depth = "6 in"', "depth = 0.2")
    assert shallow != BEAM
    assert "shots-in-thickening" not in codes_of(check(JOB + shallow))
    assert "shots-in-thickening" in codes_of(check(JOB + shallow, in_trench(0.2)))


def test_base_shots_above_a_trench_are_none_in_it(check):
    """They were taken before it was dug, and nothing is counted twice."""
    assert codes_of(check(JOB + BEAM)) == set()


def test_base_shots_above_a_trench_are_not_raised_and_said(check):
    """Raised by its 6 in they would leave no concrete along the side."""
    job = JOB + BEAM + 'surveyed = "departure"\n'
    result, right = check(job), check(job, in_trench())
    note = note_of(result, "shots-above-trench")
    assert set(note.points) == {"1", "5", "9", "13", "17"}
    assert "stand 6 in or more above its drawn bottom" in note.say(result.units)
    assert "no-trench-shots" in codes_of(result)
    assert "shots-above-trench" not in {note.code for note in right.notes}
    assert result.thin.area == 0
    assert result.concrete.volume == pytest.approx(right.concrete.volume)


@pytest.mark.parametrize("surveyed", ["true", '"departure"'])
def test_shots_in_a_thickening_that_was_shot_are_as_they_should_be(check, surveyed):
    job = f"{JOB}{BEAM}surveyed = {surveyed}\n"
    assert "shots-in-thickening" not in codes_of(check(job, in_trench()))


def test_a_pad_that_reaches_beyond_the_slab_is_counted_within_it_and_said(check):
    pad = (
        '[[thickening]]\nname = "pad"\ndepth = 1\n'
        "outline = [[{0}, 7], [{1}, 7], [{1}, 11], [{0}, 11]]\n"
    )
    result = check(JOB + pad.format(14, 18))  # a quarter of 4 by 4 ft lies within 16 by 9
    note = note_of(result, "thickening-outside-slab")
    assert note.measures[0].value == pytest.approx(12 * SQUARE_FOOT * FOOT)
    assert result.concrete.thickenings == pytest.approx(4 * SQUARE_FOOT * FOOT)
    inside = check(JOB + pad.format(10, 14).replace("11]", "9]"))
    assert "thickening-outside-slab" not in codes_of(inside)


def test_a_name_with_braces_is_said_as_it_stands(check):
    result = check(JOB + BEAM.replace("beam", "beam {0} {x}"), in_trench())
    assert "beam {0} {x}" in note_of(result, "shots-in-thickening").say(result.units)


@pytest.mark.parametrize(
    ("surveyed", "words"),
    [('"departure"', "known from the drawing alone"), ("true", "is not in the volume")],
)
def test_a_trench_that_is_said_to_be_shot_and_is_not_is_told(check, surveyed, words):
    beam = f"{BEAM}surveyed = {surveyed}\n"
    note = note_of(check(JOB + beam, without_trench(SHOTS)), "no-trench-shots")
    assert "No shot is on the bottom of beam" in note.text
    assert words in note.text


@pytest.mark.parametrize("surveyed", ['"departure"', "true"])
def test_the_only_shot_in_a_pad_is_no_suspect(check, surveyed):
    pad = '[[thickening]]\nname = "pad"\ndepth = 1\noutline = [[5, 4], [7, 4], [7, 5], [5, 5]]\n'
    job = f"{JOB}{pad}surveyed = {surveyed}\n"
    assert check(job, SHOTS + "99,6,4.5,98.5\n").suspects == ()
    (suspect,) = check(job, SHOTS + "99,6,4.5,98.3\n").suspects
    assert suspect.difference == pytest.approx(-0.2 * FOOT, abs=0.02 * FOOT)


@pytest.mark.parametrize("surveyed", ['"departure"', "true"])
def test_a_trench_that_was_shot_is_not_told(check, surveyed):
    assert "no-trench-shots" not in codes_of(
        check(f"{JOB}{BEAM}surveyed = {surveyed}\n", in_trench())
    )


def test_a_trench_that_nobody_shot_is_not_told_where_the_job_says_so(check):
    assert "no-trench-shots" not in codes_of(check(JOB + BEAM, without_trench(SHOTS)))
