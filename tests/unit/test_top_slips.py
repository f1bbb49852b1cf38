import numpy as np
import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import SHOTS

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [16, 0], [16, 9], [0, 9]]
thickness = "6 in"
[top]
between = [{}, {}]
"""
EAST = (0, 4, 8, 12, 16, 20)


def check(folder, levels):
    (folder / "shots.csv").write_text(SHOTS)
    first = [[e, 0, z] for e, z in zip(EAST, levels, strict=True)]
    (folder / "job.toml").write_text(JOB.format(first, [[e, 9, 100.2] for e in EAST]))
    return check_job(read_job(folder / "job.toml"))


LEVELS = (100.0, 100.03, 100.08, 100.1, 100.16, 100.2)


@pytest.mark.parametrize("at", range(6))
@pytest.mark.parametrize("off", [-4.0, 10.0, 1.0])
def test_a_wrong_digit_in_a_ruled_top_is_refused_by_its_point(tmp_path, at, off):
    levels = np.array(LEVELS)
    levels[at] += off
    with pytest.raises(InputError) as caught:
        check(tmp_path, levels.tolist())
    assert f"point {at + 1} of line 1 of top.between stands" in str(caught.value)
    assert " ft " in str(caught.value)


def test_an_edge_that_bends_and_steps_is_no_slip(tmp_path):
    assert check(tmp_path, LEVELS).concrete.volume > 0
    steps = (100.0, 100.0, 100.0, 100.9, 100.9, 100.9)
    assert check(tmp_path, steps).concrete.volume > 0


TWO: tuple[list[list[float]], list[list[float]]] = (
    [[0, 0, 100], [16, 0, 100.2]],
    [[0, 9, 100.1], [16, 9, 100.3]],
)


def graded(top):
    """Shots half a foot below rulings between two lines of two points."""
    (a, b), (c, d) = (([row[2] for row in line]) for line in top)
    rows = []
    for i in range(6):
        for j in range(4):
            u, v = i / 5, j / 3
            level = (1 - v) * ((1 - u) * a + u * b) + v * ((1 - u) * c + u * d)
            rows.append(
                f"{4 * i + j},{16 * u:.3f},{9 * v:.3f},{level - 0.5 + (i + j) % 2 / 50:.3f}"
            )
    return "point,easting,northing,elevation\n" + "\n".join(rows) + "\n"


def check_graded(folder, top):
    """Check a base that was graded to `TWO` under a top that is written otherwise."""
    (folder / "shots.csv").write_text(graded(TWO))
    (folder / "job.toml").write_text(JOB[: JOB.index("between")] + top)
    return check_job(read_job(folder / "job.toml"))


@pytest.mark.parametrize(("line", "point"), [(0, 0), (0, 1), (1, 0), (1, 1)])
@pytest.mark.parametrize(("off", "said"), [(1.0, "1.00 ft lower"), (-0.3, "0.30 ft higher")])
def test_a_wrong_digit_in_a_line_of_two_points_shows_in_the_base(tmp_path, line, point, off, said):
    wrong = [[list(place) for place in held] for held in TWO]
    wrong[line][point][2] += off
    result = check_graded(tmp_path, f"between = {wrong}")
    (note,) = (note for note in result.notes if note.code == "top-point-slip")
    named = f"point {point + 1} of line {line + 1} of top.between"
    assert f"as if {named} stood {said}" in note.say(result.units)


def test_a_wrong_digit_in_a_plane_shows_in_the_base(tmp_path):
    result = check_graded(tmp_path, "plane = [[0, 0, 100], [16, 0, 100.2], [0, 9, 101.1]]")
    (note,) = (note for note in result.notes if note.code == "top-point-slip")
    assert "point 3 of top.plane stood 1.00 ft lower" in note.say(result.units)


def test_a_base_graded_to_its_top_accuses_no_point(tmp_path):
    for off in (0.0, 0.05):  # and one that was graded low as a whole
        lines = [[[e, n, z + off] for e, n, z in line] for line in TWO]
        notes = check_graded(tmp_path, f"between = {lines}").notes
        assert "top-point-slip" not in {note.code for note in notes}


@pytest.mark.parametrize(
    ("top", "said"),
    [
        (f"between = {[[[0, 0, 100], [16, 0, 1000]], TWO[1]]}", "point 1 to point 2 of line 1"),
        ("plane = [[0, 0, 100], [0.01, 0, 109], [0, 9, 100]]", "top.plane is steeper than 1 in 1"),
    ],
)
def test_a_top_as_steep_as_a_wall_is_refused(tmp_path, top, said):
    with pytest.raises(InputError, match=said):
        check_graded(tmp_path, top)


@pytest.mark.parametrize(("off", "said"), [(-0.2, "2 3/8 in thinner"), (0.1, "1 1/8 in thicker")])
def test_a_wrong_digit_in_a_shot_of_the_top_shows_in_the_base(tmp_path, off, said):
    result = check_shot_top(tmp_path, {5: off})
    (note,) = (note for note in result.notes if note.code == "top-shot-off")
    assert f"At shot T5 of the top the slab is {said} than at the others" in note.say(result.units)


def test_shots_of_a_top_that_are_off_in_several_places_accuse_none(tmp_path):
    for off in ({}, {5: 0.1, 6: 0.08, 9: 0.1}):
        notes = check_shot_top(tmp_path, off).notes
        assert "top-shot-off" not in {note.code for note in notes}


def check_shot_top(folder, off):
    """Check a graded base under a top that was shot, some shots of it off by so much, ft."""
    rows = [
        f"T{at},{e},{n},{100 + e / 80 + n * 0.9 / 72 + off.get(at, 0):.3f}"
        for at, (e, n) in enumerate((e, n) for e in (0, 8, 16) for n in (0, 3, 6, 9))
    ]
    (folder / "top.csv").write_text("point,easting,northing,elevation\n" + "\n".join(rows) + "\n")
    return check_graded(folder, 'shots = "top.csv"')
