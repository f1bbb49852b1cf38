"""Files of a cloud that show the same ground at two levels."""

import numpy as np
import pytest

from gradevol.answer.said.notes import list_calls
from gradevol.files.clouds.overlap import Overlap
from gradevol.files.clouds.stored import store_points
from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """
title = "pad from two setups"
units = "m"
[base]
cloud = "scans"
ground = {ground}
[slab]
edge = [[500, 800], [512, 800], [512, 808], [500, 808]]
thickness = 0.15
[top]
level = 20.0
"""


def base(plan, fall):
    """Ground with a fall, and ruts that both see."""
    east, north = plan.T
    return 19.85 + fall * (east - 506) + 0.006 * np.sin(north * 5)


def check(folder, raised, *, west=6.0, east=6.0, ground="false", count=8_000, fall=0.02):
    """Two scans: one of the western part, one of the eastern, that one `raised`, m."""
    (folder / "scans").mkdir()
    random = np.random.default_rng(4)
    for name, low, high, by in (
        ("west.xyz", -0.5, 6 + west, 0.0),
        ("east.xyz", 6 - east, 12.5, raised),
    ):
        plan = random.uniform([500 + low, 799.5], [500 + high, 808.5], (count, 2))
        level = base(plan, fall) + by + random.normal(0, 0.003, count)
        np.savetxt(folder / "scans" / name, np.column_stack([plan, level]), fmt="%.4f")
    (folder / "job.toml").write_text(JOB.format(ground=ground))
    return check_job(read_job(folder / "job.toml"))


def find(result):
    return [note for note in result.notes if note.code == "scans-apart"]


@pytest.mark.parametrize(("raised", "ground"), [(0.012, "true"), (-0.05, "false")])
def test_scans_at_two_levels_are_told_with_how_far_apart_they_stand(tmp_path, raised, ground):
    result = check(tmp_path, raised, west=2, east=2, ground=ground)
    (note,) = find(result)
    apart, area = (measure.value for measure in note.measures)
    assert apart == pytest.approx(abs(raised), abs=0.001)
    assert area == pytest.approx(4 * 9, rel=0.15)
    high, low = ("east.xyz", "west.xyz") if raised > 0 else ("west.xyz", "east.xyz")
    assert note.text.startswith(f"{high} stands {{}} above {low} where")


def test_scans_that_fit_as_well_as_scans_do_are_not_told(tmp_path):
    assert find(check(tmp_path, 0.005)) == []


def test_tiles_share_too_little_to_be_held_against_one_another(tmp_path):
    assert find(check(tmp_path, 0.03, west=0.02, east=0.02)) == []


@pytest.mark.parametrize("laps", [0.0, 0.15])
def test_what_meets_in_the_middle_of_a_square_is_not_told_for_the_fall_of_the_base(tmp_path, laps):
    assert find(check(tmp_path, 0.0, west=0.25 + laps, east=-0.25 + laps, fall=0.08)) == []


def test_the_order_waits_for_scans_that_stand_apart(tmp_path):
    assert list_calls(check(tmp_path, 0.02)) == ["register the scans anew first"]


def test_what_is_watched_in_parts_is_the_same_put_together():
    random = np.random.default_rng(2)
    points = random.uniform([0, 0, 10], [8, 5, 11], (6_000, 3))
    whole, part, rest = (Overlap((0.0, 0.0), 0.5, (17, 11)) for _ in range(3))
    for number, raised in ((0, 0.0), (1, 0.02)):
        stored = store_points(points + np.array([0, 0, raised]))
        whole.watch(stored, number)
        part.watch(stored.keep(slice(0, 1_000)), number)
        rest.watch(stored.keep(slice(1_000, None)), number)
    part.merge(rest)
    assert part.tell(["a.las", "b.las"]) == whole.tell(["a.las", "b.las"]) != []
