"""Remarks: each is made where it must be, and only there."""

import re
from importlib.resources import files

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.ground.units import CUBIC_YARD, METRES, SQUARE_FOOT
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job
from tests.small_job import EDGE, HEADER, JOB, SHOTS, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]
BEAM = '[[thickening]]\nname = "beam"\nsides = [1]\nwidth = "1 ft"\ndepth = "6 in"\n'
PIPE = '[[void]]\nname = "pipe"\ndiameter = "2 in"\nline = {line}\n'
#: Codes that this module makes of the pad alone; the top and the reader make others.
CODES = {
    "thickness-far-from-design",
    "beyond-survey",
    "far-shots",
    "base-above-top",
    "suspect-shots",
    "shots-in-thickening",
    "thickening-outside-slab",
    "thickenings-overlap",
    "voids-take-all",
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


def in_trench(by=0.5):
    """The shots, those along the beam so much lower, ft."""
    rows = [row.split(",") for row in SHOTS.splitlines()]
    low = {"1", "5", "9", "13", "17"}
    return "".join(
        ",".join([*row[:3], f"{float(row[3]) - by:.3f}"] if row[0] in low else row) + "\n"
        for row in rows
    )


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


def test_thickenings_that_share_plan_are_counted_once_and_said(check):
    pad = (
        '[[thickening]]\nname = "pad"\ndepth = 1\noutline = [[2, 0.2], [3, 0.2], [3, 3], [2, 3]]\n'
    )
    apart, both = check(JOB + BEAM + pad.replace("0.2", "1.5")), check(JOB + BEAM + pad)
    assert "thickenings-overlap" not in codes_of(apart)
    assert "thickenings-overlap" not in codes_of(check(JOB + BEAM + pad.replace("0.2", "0.99")))
    note = note_of(both, "thickenings-overlap")
    assert note.measures[0].value == pytest.approx(0.8 * SQUARE_FOOT * 0.1524)
    more = both.concrete.volume - apart.concrete.volume
    assert more == pytest.approx((1.3 * 0.3048 - 0.8 * 0.1524) * SQUARE_FOOT)
    shown = check(JOB + BEAM + pad.replace("depth = 1", "depth = 1\nsurveyed = true"))
    assert "beam shares {} of concrete with pad" in note_of(shown, "thickenings-overlap").text


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


def test_a_void_beside_the_slab_is_said(check):
    line = "[[0, 4], [20, 4]]"
    result = check(JOB + PIPE.format(line=line))
    note = note_of(result, "void-outside-slab")
    assert note.measures[0].value == pytest.approx(4 * FOOT)  # not short of it by a form's width
    assert "pipe" in note.say(result.units)


def test_a_void_within_the_slab_needs_no_remark(check):
    assert "void-outside-slab" not in codes_of(check(JOB + PIPE.format(line="[[0, 4], [16, 4]]")))


def test_voids_that_take_more_than_there_is_are_said(check):
    result = check(JOB + "[[void]]\nvolume = 5\n")
    assert "voids-take-all" in codes_of(result)
    assert "voids-take-all" not in codes_of(check(JOB + "[[void]]\nvolume = 1\n"))


def test_a_survey_with_a_hole_in_it_is_measured_where_it_is(check):
    few = HEADER + "1,0,0,99.5\n2,16,0,99.5\n3,16,9,99.5\n4,0,9,99.5\n"
    assert codes_of(check(shots=few)) == set()


def without_trench(shots):
    """The shots but those of the southern row, which lie on the beam's bottom."""
    rows = shots.splitlines()
    kept = [row for row in rows[1:] if row.split(",")[2] != "0.0000"]
    return "\n".join([rows[0], *kept]) + "\n"


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
def test_a_trench_that_was_shot_is_not_told(check, surveyed):
    assert "no-trench-shots" not in codes_of(
        check(f"{JOB}{BEAM}surveyed = {surveyed}\n", in_trench())
    )


def test_a_trench_that_nobody_shot_is_not_told_where_the_job_says_so(check):
    assert "no-trench-shots" not in codes_of(check(JOB + BEAM, without_trench(SHOTS)))


@pytest.mark.parametrize(("elevation", "below"), [(99.2, "0.80"), (9.96, "90.04")])
def test_a_void_wholly_below_the_slab_is_told(check, elevation, below):
    result = check(JOB + PIPE.format(line=[[0, 4, elevation], [16, 4, elevation]]))
    note = note_of(result, "void-outside-slab")
    assert f"The line of pipe is {below} ft below the top of slab" in note.say(result.units)


def test_a_void_that_reaches_into_the_slab_or_its_beam_is_not_told(check):
    in_slab = PIPE.format(line=[[0, 4, 99.45], [16, 4, 99.45]])  # its base is at 99.5
    assert "void-outside-slab" not in codes_of(check(JOB + in_slab))
    in_beam = PIPE.format(line=[[0, 4, 99.2], [16, 4, 99.2]])
    assert "void-outside-slab" not in codes_of(check(JOB + BEAM + in_beam))


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
