"""Point clouds: every version, what is kept of them, and bins."""

import runpy
from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.notes import Measure
from tests.clouds import N, absolute, patch, points_of, read, refused, write
from tests.conftest import SAMPLES

VERSIONS = [
    *[("1.1", kind) for kind in (0, 1)],
    *[("1.2", kind) for kind in (0, 1, 2, 3)],
    *[("1.3", kind) for kind in (0, 4, 5)],
    *[("1.4", kind) for kind in range(11)],
]


@pytest.mark.parametrize("suffix", ["las", "laz"])
@pytest.mark.parametrize(("version", "kind"), VERSIONS)
def test_every_version_and_format_gives_its_points(tmp_path, version, kind, suffix):
    points = points_of()
    classes, withheld = np.full(N, 2), np.zeros(N, bool)
    classes[:5], withheld[-7:] = 7, True
    path = write(
        tmp_path / f"a.{suffix}",
        points,
        kind=kind,
        version=version,
        classes=classes,
        withheld=withheld,
    )

    survey = read(path)

    assert_allclose(absolute(survey), points[5:-7], rtol=0, atol=1e-9)
    assert survey.method == "point cloud"
    assert survey.ids == ()
    (left_out,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    assert left_out.text == (
        "12 of 400 points of the cloud were left out: 7 withheld, 5 noise (classes 7 and 18)."
    )


@pytest.mark.parametrize("suffix", ["las", "laz"])
def test_version_1_0_is_read(tmp_path, suffix):
    # laspy writes none; the header of 1.0 has the layout of 1.1
    path = patch(write(tmp_path / f"a.{suffix}", kind=1, version="1.1"), 25, "<B", 0)
    assert_allclose(absolute(read(path)), points_of(), rtol=0, atol=1e-9)


def test_high_noise_is_left_out_too(tmp_path):
    classes = np.where(np.arange(N) < 11, 18, 2)
    assert len(read(write(tmp_path / "a.laz", classes=classes)).points) == N - 11


def test_only_the_classes_named_are_kept(tmp_path):
    classes = np.arange(N) % 4 + 1
    classes[:10] = 7
    path = write(tmp_path / "a.laz", classes=classes)
    survey = read(path, classes=(2, 3))
    assert_allclose(absolute(survey), points_of()[np.isin(classes, [2, 3])], rtol=0, atol=1e-9)
    (note,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    assert "10 noise" in note.text
    assert "of other classes (1, 4)" in note.text


def test_noise_is_kept_where_it_is_named(tmp_path):
    path = write(tmp_path / "a.laz", classes=np.full(N, 7))
    assert len(read(path, classes=(7,)).points) == N


def test_a_cloud_of_which_nothing_is_kept_is_refused(tmp_path):
    refused(write(tmp_path / "a.laz", classes=np.full(N, 5)), "of other classes", classes=(2,))
    refused(write(tmp_path / "b.laz", classes=np.full(N, 7)), "400 noise")


def test_a_stray_reading_of_nothing_left_out_leaves_no_note(tmp_path):
    survey = read(write(tmp_path / "a.laz"), cell=0)
    assert [note.code for note in survey.notes] == ["cloud-bins"]
    assert "The 400 points of the cloud are used one by one" in survey.notes[0].text


# Bins


def test_bins_are_the_means_of_their_points(tmp_path):
    points = points_of()
    survey = read(write(tmp_path / "a.laz", points), cell=1.0)
    square = np.floor(points[:, :2] + 1e-8)
    wanted = [
        points[(square == each).all(axis=1)].mean(axis=0) for each in np.unique(square, axis=0)
    ]
    assert_allclose(absolute(survey), wanted, rtol=0, atol=1e-9)
    (note,) = survey.notes
    assert note.code == "cloud-bins"
    assert note.text.startswith("The 400 points of the cloud were averaged in 36 squares of {}")
    assert [measure.value for measure in note.measures] == [1.0]
    assert isinstance(note.measures[0], Measure)


def test_bins_do_not_depend_on_the_order_of_points_or_files(tmp_path):
    points = points_of(3000)
    shuffled = np.random.default_rng(2).permutation(points)
    whole = read(write(tmp_path / "a.laz", points), cell=0.5)
    tiles = [
        write(tmp_path / f"{index}.las", part, kind=3, version="1.2")
        for index, part in enumerate(np.array_split(shuffled, 4))
    ]
    for order in (tiles, tiles[::-1]):
        assert_allclose(absolute(read(*order, cell=0.5)), absolute(whole), rtol=0, atol=1e-9)


def test_a_plane_is_kept_exactly_at_state_plane_size(tmp_path):
    east, north = np.meshgrid(np.arange(40) * 0.1, np.arange(30) * 0.1)
    z = 0.04 * east + 0.02 * north
    points = np.stack([east + 1_912_345, north + 651_234, z + 512], axis=-1).reshape(-1, 3)
    found = absolute(read(write(tmp_path / "a.laz", points), cell=0.7))
    plane = 512 + 0.04 * (found[:, 0] - 1_912_345) + 0.02 * (found[:, 1] - 651_234)
    assert_allclose(found[:, 2], plane, rtol=0, atol=1e-9)


def test_progress_runs_to_one(tmp_path):
    paths = (write(tmp_path / "a.laz"), write(tmp_path / "b.las"))
    told = []
    read_cloud(Cloud(paths, "m"), progress=lambda label, share: told.append((label, share)))
    shares = [share for _, share in told]
    assert told[0][0] == "reading a.laz"
    assert told[-1] == ("reading b.las", 1.0)
    assert all(earlier < later for earlier, later in pairwise([0.0, *shares]))


# The invented sample


def test_the_sample_is_what_its_script_makes(tmp_path):
    kept = SAMPLES / "cloud_pad" / "base.laz"
    make = runpy.run_path(str(SAMPLES / "make_cloud.py"))["make_cloud"]
    for name in ("a.laz", "b.laz"):
        make(tmp_path / name)
    assert (tmp_path / "a.laz").read_bytes() == (tmp_path / "b.laz").read_bytes()
    survey = read(kept, cell=0)
    # a step of the file: another version of numpy may draw the last bit otherwise
    assert_allclose(
        absolute(survey), absolute(read(tmp_path / "a.laz", cell=0)), rtol=0, atol=1.1e-3
    )
    assert "24 withheld, 25 noise" in survey.notes[1].text


def test_the_sample_lies_about_its_design_base():
    east, north, z = absolute(read(SAMPLES / "cloud_pad" / "base.laz", cell=0)).T
    departure = z - (20.30 - 0.015 * (east - 500) - 0.15)
    assert 0.040 < departure.max() < 0.060
    assert -0.045 < departure.min() < -0.025
    assert abs(np.median(departure)) < 0.002
    assert_allclose([east.min(), east.max()], [499.5, 508.5], atol=0.06)
    assert_allclose([north.min(), north.max()], [799.5, 812.5], atol=0.06)
