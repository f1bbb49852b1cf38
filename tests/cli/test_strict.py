"""`gradevol check --strict`: the limits it speaks of."""

import pytest

from tests.small_job import JOB, SHOTS, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")


def test_strict_exits_nought_where_all_limits_are_kept(invoke, tmp_path):
    done = invoke("check", write_job(tmp_path), "--no-pictures", "--strict")
    assert (done.exit_code, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("limit", "word"), [('base_high = "1/16 in"', "base_high"), ('base_low = "1/8 in"', "base_low")]
)
def test_strict_speaks_of_the_grading_tolerance_too(invoke, tmp_path, limit, word):
    low = SHOTS.replace("4.0000,3.0000,99.5", "4.0000,3.0000,99.4")
    assert low != SHOTS
    job = write_job(tmp_path, job=JOB.replace('"6 in"', f'"6 in"\n{limit}'), shots=low)
    done = invoke("check", job, "--no-pictures", "--strict")
    assert done.exit_code == 3
    assert f"beyond {word}" in done.stderr


def test_strict_speaks_of_cover(invoke, tmp_path):
    void = (
        '[[void]]\nname = "pipe"\ndiameter = "4 in"\nline = [[0, 4], [16, 5]]\n'
        'least_cover = "2 in"\n'
    )
    done = invoke("check", write_job(tmp_path, job=JOB + void), "--no-pictures", "--strict")
    assert done.exit_code == 3
    assert "pipe: " in done.stderr
    assert "less cover" in done.stderr


TILTED = "plane = [[0, 0, 100.0], [16, 0, 100.08], [16, 9, 100.08]]\n"  # 0.5 % to the west


@pytest.mark.parametrize(("least", "code"), [('least_fall = "1 %"\n', 3), ("", 0)])
def test_strict_speaks_of_flat_places_just_where_a_least_fall_is_stated(
    invoke, tmp_path, least, code
):
    job = write_job(tmp_path, job=JOB.replace("level = 100\n", TILTED + least))
    done = invoke("check", job, "--no-pictures", "--strict")
    assert done.exit_code == code
    assert ("144 ft² of the top falls less than 1.0 %" in done.stderr) == bool(least)


@pytest.mark.parametrize(("least", "code"), [('least_fall = "0.4 %"\n', 3), ("", 0)])
def test_strict_speaks_of_standing_water_just_where_a_least_fall_is_stated(
    invoke, tmp_path, least, code
):
    closed = "closed_sides = [1, 3, 4]\n"  # all of it falls enough, and towards walls
    job = write_job(tmp_path, job=JOB.replace("level = 100\n", TILTED + least + closed))
    done = invoke("check", job, "--no-pictures", "--strict")
    assert done.exit_code == code
    assert ("water stands on the top in 1 place, 1 in deep" in done.stderr) == bool(least)
    assert "falls less than" not in done.stderr
