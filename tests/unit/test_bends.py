"""A top that bends where no shot stands: what is made of it there is told, not taken for found."""

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job
from tests.small_job import EDGE, HEADER, write_job

VALLEY, CROWN, FLAT = -0.02, 0.02, 0.0
ROWS = (0.5, 3.5, 6.5, 9.5, 12.5, 15.5)


def job(fall, sigma):
    """The pad of 16 by 9 ft, 6 in thick, whose top bends along the middle of its length, E 8."""
    middle = 100 + 8 * fall
    panels = "".join(
        f"[[top.panel]]\nedge = [[{side}, 0], [8, 0], [8, 9], [{side}, 9]]\n"
        f"plane = [[{side}, 0, 100], [{side}, 9, 100], [8, 0, {middle}]]\n"
        for side in (0, 16)
    )
    return (
        f'units = "ft"\n[base]\nshots = "shots.csv"\n[slab]\nedge = {EDGE}\nthickness = 0.5\n'
        f"[top]\nsigma = {sigma}\n{panels}"
    )


def graded(fall, rows=ROWS):
    """Shots on a base 6 in below a top of that fall, exactly."""
    places = [(e, n) for e in rows for n in (0.5, 3, 6, 8.5)]
    return HEADER + "".join(
        f"{at},{e},{n},{99.5 + fall * min(e, 16 - e):.4f}\n" for at, (e, n) in enumerate(places, 1)
    )


@pytest.fixture
def check(tmp_path):
    def run(fall, shots, sigma=0.006):
        return check_job(read_job(write_job(tmp_path, job=job(fall, sigma), shots=shots)))

    return run


def told(result):
    return [note.say(result.units) for note in result.notes if note.code == "top-bends-unshot"]


@pytest.mark.usefixtures("unsimulated")
@pytest.mark.parametrize(("fall", "off"), [(VALLEY, "3/8 in too high"), (CROWN, "3/8 in too low")])
def test_a_bend_between_shots_is_told_with_the_volume_of_a_base_as_drawn(check, fall, off):
    result = check(fall, graded(fall))
    (said,) = told(result)
    assert off in said
    assert "the slab then takes 2.67 yd³. At the shots it is as drawn." in said  # 16 x 9 x 0.5 / 27
    assert f"{result.units.to_volume(result.concrete.volume):.2f}" != "2.67"


@pytest.mark.usefixtures("unsimulated")
def test_shots_along_the_bend_leave_nothing_to_tell(check):
    assert told(check(VALLEY, graded(VALLEY, (0.5, 4, 8, 12, 15.5)))) == []


@pytest.mark.usefixtures("unsimulated")
def test_a_base_that_is_level_under_a_falling_top_does_not_bend_with_it(check):
    assert told(check(VALLEY, graded(FLAT))) == []


@pytest.mark.usefixtures("unsimulated")
@pytest.mark.parametrize("surveyed", ['"departure"', "true"])
def test_trench_shots_do_not_hide_that_the_base_bends_with_the_top(tmp_path, surveyed):
    beam = f"[[thickening]]\nsides = [4]\nwidth = 1\ndepth = 0.7\nsurveyed = {surveyed}\n"
    rows = [line.split(",") for line in graded(VALLEY).splitlines()[1:]]
    dug = [(*row[:3], f"{float(row[3]) - 0.7 * (float(row[1]) < 1)}") for row in rows]
    shots = HEADER + "".join(",".join(row) + "\n" for row in dug)
    path = write_job(tmp_path, job=job(VALLEY, 0.006) + beam, shots=shots)
    (said,) = told(check_job(read_job(path)))
    assert "At the shots it is as drawn." in said


@pytest.mark.usefixtures("unsimulated")
def test_shots_that_see_no_bend_are_not_said_to_follow_it(check):
    (said,) = told(check(CROWN, graded(CROWN, (0.5, 15.5))))
    assert "At the shots" not in said


@pytest.mark.usefixtures("unsimulated")
def test_a_surface_of_a_file_that_runs_straight_over_a_bend_is_told_too(tmp_path):
    shots = [line.split(",")[1:] for line in graded(VALLEY).splitlines()[1:]]
    at = [4 * row + place for row in range(len(ROWS) - 1) for place in range(3)]
    faces = [f"3 {a} {a + 4} {a + 5}\n3 {a} {a + 5} {a + 1}" for a in at]
    axes = "".join(f"property double {axis}\n" for axis in "xyz")
    ply = (
        f"ply\nformat ascii 1.0\nelement vertex {len(shots)}\n{axes}element face {2 * len(at)}\n"
        "property list uchar int vertex_indices\nend_header\n"
        + "\n".join([*(" ".join(shot) for shot in shots), *faces])
    )
    text = job(VALLEY, 0.006).replace('shots = "shots.csv"', 'surface_file = "base.ply"')
    path = write_job(tmp_path, job=text, shots=None, files={"base.ply": ply + "\n"})
    (said,) = told(check_job(read_job(path)))
    assert "At the surface's corners it is as drawn." in said
    assert "the slab then takes 2.67 yd³" in said


@pytest.mark.usefixtures("unsimulated")
def test_a_step_between_shots_is_told_as_one(tmp_path):
    stepped = job(FLAT, 0.006).replace("[16, 0, 100], [16, 9, 100], [8, 0, 100.0]",
                              "[16, 0, 99.5], [16, 9, 99.5], [8, 0, 99.5]")  # fmt: skip
    rows = [line.split(",") for line in graded(FLAT).splitlines()[1:]]
    low = [(*row[:3], f"{float(row[3]) - 0.5 * (float(row[1]) > 8)}") for row in rows]
    shots = HEADER + "".join(",".join(row) + "\n" for row in low)
    result = check_job(read_job(write_job(tmp_path, job=stepped, shots=shots)))
    (said,) = told(result)
    assert said.startswith("Shoot where the top bends or steps: ")
    assert "the slab then takes 2.67 yd³" in said


@pytest.mark.usefixtures("unsimulated")
def test_it_stands_above_the_volume(check):
    result = check(VALLEY, graded(VALLEY))
    lines = compose_summary(result.title, compose_answer(result).topics).splitlines()
    assert lines[1].strip().startswith("Shoot where the top bends")


@pytest.mark.usefixtures("unsimulated")
def test_no_row_must_be_done_before_the_bends_are_shot(check):
    answer = compose_answer(check(-0.05, graded(-0.05)))  # thin in the valley, if not shot
    (said,) = [
        str(each.short)
        for topic in answer.pick("work")
        for each in topic.statements
        if each.key == "work.must"
    ]
    assert said.startswith("shoot where the top bends, then do row 1 before the pour")


def test_more_shots_are_not_said_to_be_of_no_help(check):
    answer = compose_answer(check(VALLEY, graded(VALLEY), sigma=0.05))  # hides all else
    said = [str(each.short) for topic in answer.pick("next_shots") for each in topic.statements]
    assert "where the top bends, before all else" in said
    assert not [each for each in said if "would not help" in each]
    tree = answer.tree.next_shots
    assert tree is not None
    assert not [each for each in tree.advice if each.code.startswith("volume-")]
