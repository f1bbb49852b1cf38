"""The ground filter of a file of points: when it is used, and what is said of it."""

import runpy
from itertools import pairwise
from pathlib import Path

import laspy
import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.clouds.sinks import MOST_MARKS
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError
from tests.clouds import write
from tests.unit.ground_filter.conftest import FAR, LONG, WIDE, make_scene

# In a file


@pytest.fixture(scope="module")
def small():
    return make_scene(400, off=FAR)


def marks_of(survey):
    assert survey.removed is not None
    return survey.removed


def test_an_unclassified_scan_is_filtered_and_says_so(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, classes=np.zeros(len(small.points), np.uint8))

    survey = read_cloud(Cloud((path,), "m", cell=0))

    (note,) = [note for note in survey.notes if note.code == "cloud-not-base"]
    assert survey.count == survey.read == len(small.points)
    taken = survey.count - len(survey.points)
    assert note.text.startswith(f"{taken:,} of {survey.count:,} points (")
    assert taken == pytest.approx((~small.is_of("base")).sum(), rel=0.1)
    assert "{}" in note.text
    # the marks are where clutter is
    clutter = (small.points - survey.origin)[~small.is_of("base"), :2]
    marks = marks_of(survey)
    nearest = [np.hypot(*(clutter - place).T).min() for place in marks]
    assert 100 < len(marks) <= MOST_MARKS
    assert np.mean(np.array(nearest) < 0.3) > 0.95


def test_marks_move_with_the_survey(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, classes=np.zeros(len(small.points), np.uint8))
    survey = read_cloud(Cloud((path,), "m"))
    moved = survey.about(survey.origin - [10.0, 20.0, 5.0])
    assert_allclose(
        marks_of(moved) - marks_of(survey), np.tile([10.0, 20.0], (len(marks_of(moved)), 1))
    )
    low, high = marks_of(survey).min(axis=0), marks_of(survey).max(axis=0)
    assert (low > -1).all()
    assert (high < [WIDE + 1, LONG + 1]).all()
    assert not marks_of(survey).flags.writeable


def test_marks_are_thinned_to_larger_squares(tmp_path):
    random = np.random.default_rng(8)
    east, north = random.uniform(0, 30, (2, 60_000))
    z = 20 + np.where(random.random(60_000) < 0.2, 0.1, 0.0)  # reinforcing everywhere
    path = write(
        tmp_path / "a.laz", np.column_stack([east, north, z]), classes=np.ones(60_000, np.uint8)
    )
    removed = marks_of(read_cloud(Cloud((path,), "m")))
    assert 500 < len(removed) <= MOST_MARKS
    assert len(np.unique(removed, axis=0)) == len(removed)


def test_ground_false_keeps_all(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, classes=np.ones(len(small.points), np.uint8))
    survey = read_cloud(Cloud((path,), "m", cell=0, ground=False))
    assert len(survey.points) == survey.read == len(small.points)
    assert survey.removed is None


def test_of_a_classified_cloud_its_ground_is_the_base(tmp_path, small):
    classes = np.where(small.is_of("base"), 2, 1)
    path = write(tmp_path / "a.laz", small.points, classes=classes)
    survey = read_cloud(Cloud((path,), "m", cell=0))
    assert len(survey.points) == small.is_of("base").sum()
    assert survey.removed is None
    (note,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    assert note.text.endswith(
        "The cloud is classified, so its ground (class 2) was taken as the base."
    )


def test_classes_that_are_named_are_not_filtered_unless_asked(tmp_path, small):
    classes = np.where(small.is_of("low"), 1, 6)
    path = write(tmp_path / "a.laz", small.points, classes=classes)
    plain = read_cloud(Cloud((path,), "m", cell=0, classes=(6,)))
    assert len(plain.points) == (classes == 6).sum()
    forced = read_cloud(Cloud((path,), "m", cell=0, classes=(6,), ground=True))
    assert small.is_of("base").sum() * 0.99 < len(forced.points) < len(plain.points)


def test_ground_true_filters_a_classified_cloud_too(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, classes=np.full(len(small.points), 2))
    survey = read_cloud(Cloud((path,), "m", cell=0, ground=True))
    assert len(survey.points) < 0.99 * survey.count


def test_tiles_and_memory_do_not_matter(tmp_path, small, monkeypatch):
    classes = np.zeros(len(small.points), np.uint8)
    whole = read_cloud(
        Cloud((write(tmp_path / "a.laz", small.points, classes=classes),), "m", cell=0.5)
    )
    parts = np.array_split(small.points[::-1], 5)
    tiles = tuple(
        write(tmp_path / f"{at}.las", part, classes=classes[: len(part)])
        for at, part in enumerate(parts)
    )
    monkeypatch.setattr("gradevol.files.clouds.sinks._MOST_HELD", 20_000)
    told = []
    tiled = read_cloud(
        Cloud(tiles, "m", cell=0.5), progress=lambda what, share: told.append((what, share))
    )
    assert_allclose(tiled.points + tiled.origin, whole.points + whole.origin, atol=2e-3)
    assert_array_equal(marks_of(tiled) + tiled.origin[:2], marks_of(whole) + whole.origin[:2])
    shares = [share for _, share in told]
    assert all(earlier <= later for earlier, later in pairwise(shares))
    assert shares[-1] == 1.0


def test_a_scan_of_nothing_kept_is_refused(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, classes=np.full(len(small.points), 7))
    with pytest.raises(InputError, match="noise"):
        read_cloud(Cloud((path,), "m", cell=0, ground=True))


# The invented sample


def test_the_sample_is_what_its_script_makes_and_comes_out_as_its_base_was_invented(
    tmp_path, check_sample
):
    folder = Path(__file__).parents[3] / "sample_surveys"
    kept = folder / "site_scan" / "scan.laz"
    drawn = tmp_path / "scan.laz"
    told = runpy.run_path(str(folder / "make_cloud.py"))
    told["make_site"](drawn)
    made, held = (laspy.read(path) for path in (drawn, kept))
    for axis in "XYZ":  # a step of the file: another numpy may draw the last bit otherwise
        assert_allclose(made[axis].astype(int), held[axis].astype(int), rtol=0, atol=1)
    assert kept.stat().st_size < 400_000

    result = check_sample("site_scan/job.toml")

    places = result.survey.points + result.survey.origin
    east, north, z = (places / told["FOOT"]).T
    inset = np.minimum.reduce([east - 2000, 2024 - east, north - 5000, 5030 - north])
    off = (z - told["measure_site"](east, north))[inset > 0.3]
    assert len(off) > 10_000
    assert np.abs(off).max() < 0.10  # ft; a person stands 5.6 ft high in it, bars 0.25 ft
    assert np.quantile(np.abs(off), 0.999) < 0.05
    assert abs(np.median(off)) < 0.004  # the scan stands 0.02 ft low, and control said so
    (shift,) = [note for note in result.notes if note.code == "control-shift"]
    assert shift.say(result.units).startswith("Control is 0.02 ft off the cloud")
    assert result.survey.count == len(held.points)
