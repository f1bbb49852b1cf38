"""Remarks: each is made where it must be, and only there."""

import re
from importlib.resources import files

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.ground.units import CUBIC_YARD, METRES, SQUARE_FOOT
from gradevol.out.text.summary import compose_summary
from tests.small_job import EDGE, HEADER, JOB, SHOTS
from tests.unit.remarks.conftest import CODES, codes_of, note_of

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]


def moved(number, place):
    """The shots, one of them at another place or elevation."""
    rows = SHOTS.splitlines()
    rows[number] = f"{number},{place}"
    return "\n".join(rows) + "\n"


def test_a_pad_shot_out_to_its_edge_needs_none(check):
    assert codes_of(check()) == set()


def test_every_code_is_in_the_reference():
    page = files("gradevol").joinpath("../docs/reference/result.md")
    text = page.read_text(encoding="utf-8")
    for code in CODES:
        assert f"`{code}`" in text


def test_a_top_on_another_benchmark_is_doubted(check):
    note = note_of(check(JOB.replace("level = 100", "level = 110")), "thickness-far-from-design")
    assert note.measures[1].value == pytest.approx(0.5 * FOOT)
    assert note.measures[0].value == pytest.approx(10.5 * FOOT, rel=0.01)


def test_a_mean_below_nought_is_told_as_a_base_above_the_top(check):
    result = check(JOB.replace("level = 100", "level = 99.3"))
    note = note_of(result, "thickness-far-from-design")
    assert "the base is 0.21 ft above the top, where 0.50 ft" in note.say(result.units)


@pytest.mark.parametrize(
    ("thickness", "level", "said"),
    [
        ("6 in", 100.9, "is 1.39 ft where 0.50 ft is designed: are"),
        ("8 in", 101.15, "is 1.64 ft where 0.67 ft is designed, about a whole foot more: are"),
        ("6 in", 99.75, "is 0.23 ft where 0.50 ft is designed: are"),
        ("15 in", 99.75, "is 0.23 ft where 1.25 ft is designed, about a whole foot less: are"),
    ],
)
def test_half_as_much_again_is_told_first_and_a_whole_foot_is_named(check, thickness, level, said):
    job = JOB.replace('thickness = "6 in"', f'thickness = "{thickness}"')
    result = check(job.replace("level = 100", f"level = {level}"))
    assert said in note_of(result, "thickness-far-from-design").say(result.units)


@pytest.mark.parametrize("top", [99.85, 100, 100.2])
def test_a_thickness_within_reason_is_not(check, top):
    result = check(JOB.replace("level = 100", f"level = {top}"))
    assert "thickness-far-from-design" not in codes_of(result)


def test_a_top_below_the_base_is_doubted_and_said(check):
    result = check(JOB.replace("level = 100", "level = 99"))
    assert codes_of(result) == {"thickness-far-from-design", "base-above-top"}
    assert result.concrete.volume == 0


def test_what_lies_beyond_the_shots_is_said_with_what_rests_on_it(check):
    result = check(JOB.replace(EDGE, "[[0, 0], [20, 0], [20, 9], [0, 9]]"))
    note = note_of(result, "beyond-survey")
    area, volume = note.measures
    assert area.value == pytest.approx(4 * 9 * SQUARE_FOOT)
    assert volume.value == pytest.approx(result.concrete.beyond_survey)
    assert volume.value / CUBIC_YARD == pytest.approx(4 * 9 * 0.5 / 27, rel=0.05)


def test_a_place_where_the_base_stands_above_the_top_is_named(check):
    result = check(shots=moved(6, "4,3,100.2"))
    note = note_of(result, "base-above-top")
    assert note.measures[0].value == pytest.approx(0.2 * FOOT)
    assert note.places[0] == pytest.approx((4 * FOOT, 3 * FOOT))
    assert result.concrete.overlap > 0


def test_a_base_that_meets_the_top_does_not_stand_above_it(check):
    assert "base-above-top" not in codes_of(check(shots=moved(6, "4,3,100.001")))
    assert "base-above-top" in codes_of(check(shots=moved(6, "4,3,100.002")))


def test_suspect_shots_are_named(check):
    result = check(shots=moved(6, "4,3,99.9"))
    note = note_of(result, "suspect-shots")
    assert note.points == ("6",)
    assert "Shot 6 disagrees" in note.say(result.units)


def test_several_suspect_shots_are_named_in_the_plural(check):
    rows = moved(6, "4,3,99.9").splitlines()
    rows[15] = "15,12,6,99.1"
    result = check(shots="\n".join(rows) + "\n")
    assert "disagree with" in note_of(result, "suspect-shots").say(result.units)
    assert set(note_of(result, "suspect-shots").points) == {"6", "15"}


def test_the_slab_resting_on_a_far_shot_is_said(check):
    # shot 20 was to be the corner (16, 9)
    result = check(shots=moved(20, "1600,9,99.5"))
    note = note_of(result, "far-shots")
    assert note.points == ("20",)
    # the hull of the others lacks the triangle (12, 9), (16, 6), (16, 9)
    assert note.measures[0].value == pytest.approx(4 * 3 / 2 * SQUARE_FOOT)
    assert result.coverage == pytest.approx(1)


def test_a_far_shot_that_the_slab_does_not_rest_on_is_left_alone(check):
    result = check(shots=SHOTS + "99,1600,9,99.5\n")
    assert "far-shots" not in codes_of(result)


def test_a_survey_of_the_whole_site_is_no_far_shot(check):
    around = "".join(f"{100 + k},{e},{n},99.5\n" for k, (e, n) in enumerate(
        [(-60, -60), (80, -60), (80, 70), (-60, 70), (0, -60), (0, 70)]
    ))  # fmt: skip
    assert codes_of(check(shots=SHOTS + around)) == set()


def test_a_survey_with_a_hole_in_it_is_measured_where_it_is(check):
    few = HEADER + "1,0,0,99.5\n2,16,0,99.5\n3,16,9,99.5\n4,0,9,99.5\n"
    assert codes_of(check(shots=few)) == set()


def test_a_bench_mark_a_foot_off_is_told_above_the_volume(check):
    answer = compose_answer(check(JOB.replace("level = 100", "level = 101.2")))
    above, _, _ = compose_summary(answer.title, answer.topics).partition("of concrete")
    assert "The mean thickness is" in above


def test_a_thickness_with_a_unit_of_its_own_is_not_said_to_be_metres(check):
    job = re.sub(r"(?m)^thickness = .*", 'thickness = "5 in"', JOB)
    result = check(job.replace("level = 100", "level = 100.9"))
    notes = {note.code for note in result.notes}
    assert "thickness-far-from-design" in notes
    assert "elevations-in-another-unit" not in notes
