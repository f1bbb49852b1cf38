"""A noisy scan: what it scatters is neither a spot nor work, and what is really off is both."""

from dataclasses import replace
from textwrap import dedent

import laspy
import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.job import read_job
from gradevol.measures.spots import find_high, find_low, find_thin
from gradevol.plan.fixes.fix import find_all
from gradevol.plan.fixes.scraps import sweep_scraps
from gradevol.runs.check import check_job
from gradevol.site.survey import Grain
from tests.conftest import look_coarsely
from tests.pads import grid

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = 0.3048
JOB = """
title = "Invented pad"
units = "ft"
[base]
cloud = "scan.laz"
ground = false
{more}
[slab]
edge = [[1000, 2000], [1020, 2000], [1020, 2016], [1000, 2016]]
thickness = "6 in"
least_thickness = "5 1/2 in"
base_high = "3/8 in"
base_low = "3/8 in"
[top]
level = 100.00
"""


@pytest.fixture(scope="module")
def scrap(tmp_path_factory):
    """A strip along the forms stands high that is narrower than the scan's squares."""
    with look_coarsely():
        return check(tmp_path_factory.mktemp("scrap"), 0.003, strip=0.1, more="cell = '4 in'")


def check(folder, noise, *, strip=-9.0, more="", count=50_000):
    """Check a smooth base with one high and one low place, ft; `strip` stands high along N 2000."""
    random = np.random.default_rng(7)
    east, north = random.uniform(-1, 21, count), random.uniform(-1, 17, count)
    level = 99.5 + 0.015 * np.sin(east / 7) * np.cos(north / 5)
    level += 0.07 * np.exp(-((east - 6) ** 2 + (north - 5) ** 2) / 4)
    level -= 0.08 * np.exp(-((east - 14) ** 2 + (north - 11) ** 2) / 4)
    level += np.where(north < strip, 0.3, 0.0)
    level += random.normal(0, noise / FOOT, count)
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.0005] * 3, [1000, 2000, 99]
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = 1000 + east, 2000 + north, level
    cloud.write(folder / "scan.laz")
    (folder / "job.toml").write_text(JOB.format(more=more), encoding="utf-8")
    return check_job(read_job(folder / "job.toml"))


def count_spots(result):
    return [result.thin.count, result.high.count, result.low.count]


@pytest.mark.parametrize("noise", [0.0, 0.003, 0.006])
def test_the_real_high_and_low_spot_are_found_and_no_other(tmp_path, noise):
    result = check(tmp_path, noise)
    assert count_spots(result) == [1, 1, 1]
    assert [fix.kind for fix in result.work.fixes] == ["thin", "low"]
    assert result.work.more == result.work.left == 0
    (high,), (low,) = result.high.listed, result.low.listed
    west, south = result.slab.edge[0]
    assert high.at[:2] == pytest.approx([west + 6 * FOOT, south + 5 * FOOT], abs=1 * FOOT)
    assert low.at[:2] == pytest.approx([west + 14 * FOOT, south + 11 * FOOT], abs=1 * FOOT)


def test_with_every_point_by_itself_scatter_is_not_told_as_hundreds_of_spots(tmp_path):
    result = check(tmp_path, 0.001, more="cell = 0", count=20_000)
    plain = find_all(result.field, result.slab)
    assert result.survey.grain.sigma == pytest.approx(0.001, rel=0.05)
    assert result.high is not None
    assert plain.high is not None
    assert result.high.count < plain.high.count / 3
    assert result.high.count + result.high.doubtful == plain.high.count


@pytest.mark.parametrize("find", [find_thin, find_high, find_low])
def test_a_place_in_doubt_is_no_spot_but_stays_in_the_area(make_result, find):
    east, north = grid(np.arange(7.0), np.arange(5.0)).T
    level = np.full(east.shape, 100.0)
    way = -1 if find is find_low else 1
    level[(east == 1) & (north == 2)] += way * 0.023
    level[(east == 5) & (north == 2)] += way * 0.040
    edge = np.array([[0, 0], [6, 0], [6, 4], [0, 4.0]])
    pad = {"base_high": 0.02, "base_low": 0.02, "least_thickness": 0.13}
    result = make_result(np.column_stack([east, north, level]), edge, 100.15, **pad)

    plain = find(result.field, result.slab)
    sure = find(result.field, result.slab, doubt=lambda plan: np.full(len(plan), 0.0031))

    assert (plain.count, plain.doubtful) == (2, 0)
    assert (sure.count, sure.doubtful) == (1, 1)
    assert sure.area == plain.area
    assert sure.listed[0].at == max(plain.listed, key=lambda spot: spot.area).at


def test_a_strip_along_the_forms_narrower_than_the_squares_is_no_work(scrap, tmp_path):
    result = check(tmp_path, 0.003, more="cell = '4 in'")
    assert result.work.scraps == 0

    assert scrap.work.scraps > 0
    assert scrap.thin.area > result.thin.area
    assert [fix.kind for fix in scrap.work.fixes] == ["thin", "low"]
    said = compose_answer(scrap)
    (work,) = [topic for topic in said.topics if topic.key == "work"]
    (told,) = [said for said in work.statements if said.key == "work.scraps"]
    assert "narrower than the scan's squares, along the edge" in str(told.short)

    wide = check(tmp_path, 0.003, strip=1.5, more="cell = '4 in'")
    assert wide.work.scraps == 0
    assert [fix.kind for fix in wide.work.fixes] == ["thin", "thin", "low"]


def test_shots_have_neither_scraps_nor_doubt(scrap):
    found = find_all(scrap.field, scrap.slab)
    assert sweep_scraps(found, scrap.slab, None) == (found, 0)
    assert sweep_scraps(found, scrap.slab, Grain(0.0, 0.003, 0.003, 1.0)) == (found, 0)
    places = scrap.survey.points[:3, :2]
    assert (scrap.survey.doubt_by_place()(places) > 0).all()
    assert (replace(scrap.survey, grain=None, errors=None).doubt_by_place()(places) == 0).all()


def test_what_few_points_scatter_far_from_the_scanner_is_no_work(tmp_path):
    def scan(bump):
        random = np.random.default_rng(3)
        plan = random.uniform(-1, [25, 17], (150_000, 2))
        far = np.hypot(*(plan - [1, 3]).T)
        plan = plan[random.uniform(size=len(plan)) < (2 / np.maximum(far, 2)) ** 3]
        level = random.normal(9.875, 0.006, len(plan))
        level[np.hypot(*(plan - [6, 6]).T) < 1] += bump
        return np.column_stack([plan, level])

    job = """
        title = "pad from one setup"
        units = "m"
        [base]
        cloud = "scan.xyz"
        ground = false
        [slab]
        edge = [[0, 0], [24, 0], [24, 16], [0, 16]]
        thickness = 0.125
        base_high = 0.008
        base_low = 0.008
        [top]
        level = 10
    """
    (tmp_path / "job.toml").write_text(dedent(job))
    for bump, rows in ((0.0, 0), (0.02, 1)):
        np.savetxt(tmp_path / "scan.xyz", scan(bump), fmt="%.4f")
        result = check_job(read_job(tmp_path / "job.toml"))
        assert len(result.work.fixes) == rows
        assert result.low is not None
        assert result.low.doubtful > 5
