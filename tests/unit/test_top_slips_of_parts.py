"""Wrong digits in panels of a top, in long lines and in planes through more points than three."""

import numpy as np
import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [40, 0], [40, 60], [0, 60]]
thickness = "6 in"
[top]
"""
WEST, EAST = "[[0, 0], [20, 0], [20, 60], [0, 60]]", "[[20, 0], [40, 0], [40, 60], [20, 60]]"


def slips(folder, top, level, *, step=10):
    """Say the slips that are told of a top, over a base that was graded to a level."""
    random = np.random.default_rng(7)
    rows = [
        f"{100 * e + n},{e},{n},{level(e, n) - 0.5 + random.normal(0, 0.015):.3f}"
        for e in range(0, 41, 8)
        for n in range(0, 61, step)
    ]
    (folder / "shots.csv").write_text("point,easting,northing,elevation\n" + "\n".join(rows))
    (folder / "job.toml").write_text(JOB + top)
    result = check_job(read_job(folder / "job.toml"))
    return [note.say(result.units) for note in result.notes if note.code == "top-point-slip"]


def fall(e, _n):
    return 100 - e / 48


PLANE = [[0, 0, 100.0], [40, 0, 99.17], [40, 60, 99.17], [0, 60, 100.0]]


@pytest.mark.parametrize(("at", "off"), [(0, 0.54), (0, -0.54), (1, -0.54), (2, 0.54), (3, -0.54)])
def test_a_wrong_digit_in_a_plane_of_four_points_shows_in_the_base(tmp_path, at, off):
    points = [list(point) for point in PLANE]
    points[at][2] += off
    (said,) = slips(tmp_path, f"plane = {points}\n", fall)
    assert f"as if point {at + 1} of top.plane stood" in said
    assert f" ft {'lower' if off > 0 else 'higher'}:" in said


def test_a_plane_of_four_points_that_the_base_follows_is_not_told(tmp_path):
    assert slips(tmp_path, f"plane = {PLANE}\n", fall) == []


def test_the_one_point_that_leaves_a_plane_is_named(tmp_path):
    # in the middle of the others it moves the whole plane alike, which no base can show
    (said,) = slips(tmp_path, f"plane = {[*PLANE, [20, 30, 99.855]]}\n", fall)
    assert "Point 5 of top.plane stands 0.27 ft above the plane through the others" in said
    assert slips(tmp_path, f"plane = {[*PLANE, [20, 30, 99.59]]}\n", fall) == []


def test_a_wrong_digit_in_a_line_of_five_points_shows_in_the_base(tmp_path):
    def between(level):
        first = [[0, n, level if n == 30 else 100.0] for n in (0, 15, 30, 45, 60)]
        return f"between = {[first, [[40, 0, 99.17], [40, 60, 99.17]]]}\n"

    (said,) = slips(tmp_path, between(100.3), fall)
    assert "as if point 3 of line 1 of top.between stood" in said
    assert "lower" in said
    assert slips(tmp_path, between(100.0), fall) == []


def test_a_wrong_digit_that_three_shots_follow_shows_in_the_base(tmp_path):
    def between(level):
        first = [[0, n, level if n == 24 else 100.0] for n in (0, 14, 24, 34, 60)]
        return f"between = {[first, [[40, 0, 99.17], [40, 60, 99.17]]]}\n"

    (said,) = slips(tmp_path, between(100.8), fall, step=20)
    assert "as if point 3 of line 1 of top.between stood" in said
    # of so few it takes more: this may be a hole of the base
    assert slips(tmp_path, between(100.25), fall, step=20) == []


def panels(west, east):
    return "".join(
        f"[[top.panel]]\nedge = {edge}\n{top}\n" for edge, top in ((WEST, west), (EAST, east))
    )


def step(e, _n):
    return 100.0 if e < 20 else 99.5


@pytest.mark.parametrize(("level", "said"), [(99.8, "lower"), (99.2, "higher")])
def test_a_panel_at_a_wrong_level_shows_in_the_base(tmp_path, level, said):
    (note,) = slips(tmp_path, panels("level = 100", f"level = {level}"), step)
    assert "as if top.panel 2 stood" in note
    assert f" {said}: " in note
    assert slips(tmp_path, panels("level = 100", "level = 99.5"), step) == []


def test_a_wrong_digit_in_a_panel_shows_in_the_base(tmp_path):
    def crown(corner):
        ridge = [[20, 0, 100], [20, 60, 100]]
        west, east = (
            f"between = {[[[e, 0, 99.6], [e, 60, level]], ridge]}"
            for e, level in ((0, 99.6), (40, corner))
        )
        return panels(west, east)

    def ridged(e, _n):
        return 100 - 0.02 * abs(e - 20)

    (said,) = slips(tmp_path, crown(99.9), ridged)
    assert "as if point 2 of line 1 of top.panel 2.between stood" in said
    assert slips(tmp_path, crown(99.6), ridged) == []


@pytest.mark.parametrize(("drain", "said"), [(99.9, "lower"), (99.2, "higher")])
def test_a_wrong_digit_in_a_drain_that_panels_share_shows_in_the_base(tmp_path, drain, said):
    def valleys(level):
        ring = [(0, 0), (40, 0), (40, 60), (0, 60)]
        return "".join(
            f"[[top.panel]]\nedge = {[[*a], [*b], [20, 30]]}\n"
            f"plane = {[[*a, 100], [*b, 100], [20, 30, level]]}\n"
            for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
        )

    def hollow(e, n):
        return 100 - 0.4 * min(e / 20, 2 - e / 20, n / 30, 2 - n / 30)

    (note,) = slips(tmp_path, valleys(drain), hollow)
    assert "as if point 3 of top.panel 1.plane, with those of other panels at that place," in note
    assert f" {said}: " in note
    assert slips(tmp_path, valleys(99.6), hollow) == []


CORNERS = [(0, 0), (40, 0), (40, 60), (0, 60), (20, 30)]


@pytest.mark.parametrize("many", [4, 5])
def test_a_wrong_digit_in_one_of_few_shots_of_a_top_shows_in_the_base(tmp_path, many):
    def shoot(off):
        rows = [
            f"T{at},{e},{n},{fall(e, n) + (off if at == 1 else 0):.3f}"
            for at, (e, n) in enumerate(CORNERS[:many])
        ]
        (tmp_path / "top.csv").write_text("point,easting,northing,elevation\n" + "\n".join(rows))
        return slips(tmp_path, 'shots = "top.csv"\n', fall)

    (said,) = shoot(0.5)
    assert "as if shot T1 of top.shots stood" in said
    assert "lower" in said
    assert shoot(0.0) == []


@pytest.mark.parametrize("apart", [5, 6])
def test_a_flat_base_under_a_crown_accuses_no_end_of_its_ridge(tmp_path, apart):
    ridge = [[20, 0, 100], [20, 60, 100]]
    tops = (f"between = {[[[e, 0, 99.6], [e, 60, 99.6]], ridge]}" for e in (0, 40))
    assert slips(tmp_path, panels(*tops), lambda _e, _n: 99.6, step=apart) == []


def test_a_base_with_bends_of_its_own_accuses_no_point(tmp_path):
    def wavy(e, n):
        return fall(e, n) + 0.1 * np.sin(e / 7) + 0.1 * np.cos(n / 9 + e / 20)

    assert slips(tmp_path, f"plane = {PLANE}\n", wavy) == []
    lines = [[[0, n, 100.0] for n in (0, 20, 40, 60)], [[40, 0, 99.17], [40, 60, 99.17]]]
    assert slips(tmp_path, f"between = {lines}\n", wavy) == []
