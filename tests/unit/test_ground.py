"""The ground filter, on an invented scan: what it must keep, what it takes away, what it can't.

No such site exists.
"""

import runpy
import subprocess
import sys
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import laspy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.bins import bin_points
from gradevol.files.cloud import MOST_MARKS, read_cloud
from gradevol.files.ground import BAND, find_ground
from gradevol.files.layers import count_layers, find_anchor, merge_layers
from gradevol.files.sources import Cloud
from gradevol.ground.errors import GeometryError, InputError
from tests.conftest import examples

WIDE, LONG = 12.0, 16.0
SLOPE = 0.03
NOISE = 0.004


@dataclass(frozen=True)
class Scene:
    """Points (n, 3), m, and what each is of: ``base`` or a name of clutter."""

    points: np.ndarray
    kind: np.ndarray

    def is_of(self, kind):
        return self.kind == kind


def level_of_base(east, north):
    """Elevation of the invented base, m: 3 % of slope, a ridge, a trench with upright sides."""
    z = 20 + SLOPE * east
    # 60 mm high and 1.5 m wide, all the way across
    off = np.abs(north - 5.0 - 0.2 * east)
    z = z + 0.06 * np.where(off < 0.75, np.cos(np.pi * off / 1.5) ** 2, 0.0)
    return z - 0.15 * is_in_trench(east, north)


def is_in_trench(east, north):
    """400 mm wide, 6 m long, askew to the squares."""
    along = (east - 3) * np.cos(0.3) + (north - 11) * np.sin(0.3)
    across = -(east - 3) * np.sin(0.3) + (north - 11) * np.cos(0.3)
    return (np.abs(across) < 0.2) & (along > 0) & (along < 6)


def make_scene(per_square_metre=2500, *, seed=1, off=(0.0, 0.0, 0.0), noise=NOISE):
    """Scan it: base, people, forms, stakes, reinforcing, low strays; shadows under what hides."""
    random = np.random.default_rng(seed)
    count = int(per_square_metre * WIDE * LONG)
    east, north = random.uniform(0, WIDE, count), random.uniform(0, LONG, count)
    z = level_of_base(east, north)
    kind = np.full(count, "base", dtype="U12")

    def cover(is_hidden, height, name):
        z[is_hidden] = level_of_base(east[is_hidden], north[is_hidden]) + height
        kind[is_hidden] = name

    # forms: boards 38 mm wide and 100 mm high along the edge, half a metre in
    inset = np.minimum.reduce([east, WIDE - east, north, LONG - north])
    cover((inset > 0.5) & (inset < 0.538), 0.10, "form")
    # reinforcing over the north half: bars of 12 mm each 300 mm, 75 mm up on chairs
    is_bar = ((east % 0.3 < 0.012) | (north % 0.3 < 0.012)) & (north > 9) & (inset > 0.7)
    cover(is_bar & (kind == "base"), 0.075, "bar")
    more = []
    for east_0, north_0 in ((2.0, 2.5), (7.5, 6.0), (8.1, 6.2), (5.0, 13.0)):  # two side by side
        is_hidden = np.hypot(east - east_0, north - north_0) < 0.25
        kind[is_hidden] = "hidden"
        turn = random.uniform(0, 2 * np.pi, int(per_square_metre * 0.5 * np.pi * 1.7 / 2))
        side = [east_0 + 0.25 * np.cos(turn), north_0 + 0.25 * np.sin(turn)]
        up = random.uniform(0.0, 1.7, len(turn))
        more.append((*side, level_of_base(*side) + up, "person"))
    for step in np.arange(1.0, WIDE, 1.5):  # stakes of 50 mm, 400 mm above the base
        is_hidden = (np.abs(east - step) < 0.025) & (np.abs(north - 0.42) < 0.025)
        kind[is_hidden] = "hidden"
        side = [step + random.uniform(-0.025, 0.025, 60), 0.42 + np.full(60, 0.025)]
        more.append((*side, level_of_base(*side) + random.uniform(0, 0.4, 60), "stake"))
    n_low = count // 1000
    low = [random.uniform(0, WIDE, n_low), random.uniform(0, LONG, n_low)]
    more.append((*low, level_of_base(*low) - random.uniform(0.1, 0.5, n_low), "low"))

    seen = kind != "hidden"
    columns = [[east[seen], north[seen], z[seen]]] + [[e, n, up] for e, n, up, _ in more]
    points = np.concatenate([np.column_stack(each) for each in columns])
    points[:, 2] += random.normal(0, noise, len(points))
    names = [kind[seen]] + [np.full(len(e), name, dtype="U12") for e, _, _, name in more]
    order = random.permutation(len(points))
    return Scene((points + np.asarray(off))[order], np.concatenate(names)[order])


FAR = (500_000.25, 4_000_000.75, 100.0)


def sift(points, chunks=1):
    """The ground of points (n, 3), and which of them are base."""
    anchor = find_anchor(points)
    parts = [count_layers(part, anchor) for part in np.array_split(points, chunks)]
    ground = find_ground(merge_layers(parts))
    return ground, ground.holds(points, ground.place(points))


@pytest.fixture(scope="module")
def scene():
    return make_scene(2500, off=FAR)


@pytest.fixture(scope="module")
def is_base(scene):
    return sift(scene.points)[1]


def test_all_but_a_few_in_a_thousand_of_the_base_is_kept(scene, is_base):
    assert is_base[scene.is_of("base")].mean() > 0.995


@pytest.mark.parametrize(
    ("kind", "most"),
    # what is left of a person or a stake stands within the band above the base: its feet
    [("form", 0.001), ("bar", 0.04), ("low", 0.02), ("person", 0.04), ("stake", 0.12)],
)
def test_what_stands_on_a_site_is_taken_away(scene, is_base, kind, most):
    assert scene.is_of(kind).sum() > 100
    assert is_base[scene.is_of(kind)].mean() < most


def test_what_is_kept_of_it_stands_within_the_band(scene, is_base):
    east, north, z = (scene.points - FAR)[is_base & scene.is_of("person")].T
    # at the trench's upright sides the base itself spans 150 mm, with what hangs over them
    around = [is_in_trench(east + a, north + b) for a in (-0.2, 0, 0.2) for b in (-0.2, 0, 0.2)]
    off = np.abs(z - level_of_base(east, north))[~np.any(around, axis=0)]
    assert len(off) > 100
    assert (off < 0.05).mean() > 0.9  # its feet; two stand on the side of the ridge
    assert off.max() < 0.10


def test_a_ridge_and_a_trench_of_the_base_are_kept(scene, is_base):
    east, north, _ = (scene.points - FAR).T
    ridge = scene.is_of("base") & (np.abs(north - 5 - 0.2 * east) < 0.3)
    trench = scene.is_of("base") & is_in_trench(east, north)
    assert ridge.sum() > 5_000
    assert trench.sum() > 5_000
    assert is_base[ridge].mean() > 0.999
    assert is_base[trench].mean() > 0.99


@pytest.mark.parametrize(("density", "most"), [(2500, 0.020), (600, 0.045)])
def test_no_square_of_what_is_kept_stands_far_off_the_base(density, most):
    scene = make_scene(density, seed=5, off=FAR)
    _, is_base = sift(scene.points)
    means = bin_points(scene.points[is_base] - FAR, 0.1).means
    around = [is_in_trench(*(means[:, :2] + off).T) for off in np.eye(2).repeat(2, 0) * 0.3]
    around += [is_in_trench(*(means[:, :2] - off).T) for off in np.eye(2).repeat(2, 0) * 0.3]
    off = (means[:, 2] - level_of_base(*means[:, :2].T))[~np.any(around, axis=0)]
    assert len(off) > 15_000
    assert np.abs(off).max() < most


@pytest.mark.parametrize("density", [600, 100])
def test_a_coarser_scan_keeps_its_base_too(density):
    scene = make_scene(density, off=FAR)
    ground, is_base = sift(scene.points)
    assert ground.cell == 0.2
    assert is_base[scene.is_of("base")].mean() > 0.995
    for kind in ("form", "person", "low"):
        assert is_base[scene.is_of(kind)].mean() < 0.08


def test_a_rougher_base_gets_a_wider_band():
    scene = make_scene(1200, noise=0.010, off=FAR)
    ground, is_base = sift(scene.points)
    assert 0.030 < ground.band < 0.050
    assert is_base[scene.is_of("base")].mean() > 0.995


@pytest.mark.parametrize("density", [5, 30, 100, 1000])
@pytest.mark.parametrize("slope", [0.0, 0.02, 0.10])
def test_nothing_is_taken_from_a_bare_slope(density, slope):
    random = np.random.default_rng(3)
    east, north = random.uniform(0, 12, (2, density * 144))
    z = 20 + slope * east + random.normal(0, 0.003, len(east))
    _, is_base = sift(np.column_stack([east, north, z]))
    assert is_base.mean() > 0.995


def test_an_upright_step_of_the_base_is_kept_on_both_sides():
    # a footing dug 0.4 m down, 3 m wide
    random = np.random.default_rng(4)
    east, north = random.uniform(0, 9, (2, 80_000))
    z = 20 - 0.4 * ((east > 3.03) & (east < 6.07)) + random.normal(0, 0.003, len(east))
    assert sift(np.column_stack([east, north, z]))[1].mean() > 0.998


@pytest.mark.parametrize(("height", "is_kept"), [(0.012, True), (0.10, False)])
def test_a_wide_board_is_told_from_base_only_if_it_is_higher_than_the_band(height, is_kept):
    random = np.random.default_rng(5)
    east, north = random.uniform(0, 6, (2, 100_000))
    is_board = np.abs(east - 3) < 0.3
    z = 20 + height * is_board + random.normal(0, 0.002, len(east))
    kept = sift(np.column_stack([east, north, z]))[1]
    assert kept[~is_board].mean() > 0.995
    assert (kept[is_board].mean() > 0.9) == is_kept


@examples(8)
@given(st.integers(1, 12), st.integers(0, 1000), st.tuples(*[st.integers(-900_000, 900_000)] * 2))
def test_neither_order_nor_chunks_nor_whole_metres_matter(chunks, seed, off):
    points = np.round(make_scene(60).points, 3)
    _, wanted = sift(points)
    order = np.random.default_rng(seed).permutation(len(points))
    # a quarter of a layer in, so that no point sits on a border that rounding could cross
    moved = points[order] + [*off, 0.0]
    _, found = sift(moved, chunks)
    assert (found != wanted[order]).sum() <= 3


def test_the_band_is_never_narrower_than_stated():
    points = np.column_stack(
        [np.random.default_rng(6).uniform(0, 5, (2, 30_000)).T, np.full(30_000, 7.0)]
    )
    assert sift(points)[0].band == BAND


def test_points_that_stretch_too_far_are_refused():
    stray = np.array([[0.0, 0.0, 0.0], [9e6, 9e6, 0.0]])
    with pytest.raises(GeometryError, match="too much to tell base"):
        count_layers(stray, find_anchor(stray))
    far = np.array([[0.0, 0.0, 0.0], [5e4, 5e4, 0.0]])
    with pytest.raises(GeometryError, match=r"base\.ground = false"):
        find_ground(count_layers(far, find_anchor(far)))


# In a file


def write(path, points, classes):
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, np.floor(points.min(axis=0))
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = points.T
    cloud.classification = classes
    cloud.write(path)
    return path


@pytest.fixture(scope="module")
def small():
    return make_scene(400, off=FAR)


def marks_of(survey):
    assert survey.removed is not None
    return survey.removed


def test_an_unclassified_scan_is_filtered_and_says_so(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, np.zeros(len(small.points), np.uint8))

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
    path = write(tmp_path / "a.laz", small.points, np.zeros(len(small.points), np.uint8))
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
    path = write(tmp_path / "a.laz", np.column_stack([east, north, z]), np.ones(60_000, np.uint8))
    removed = marks_of(read_cloud(Cloud((path,), "m")))
    assert 500 < len(removed) <= MOST_MARKS
    assert len(np.unique(removed, axis=0)) == len(removed)


def test_ground_false_keeps_all(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, np.ones(len(small.points), np.uint8))
    survey = read_cloud(Cloud((path,), "m", cell=0, ground=False))
    assert len(survey.points) == survey.read == len(small.points)
    assert survey.removed is None


def test_of_a_classified_cloud_its_ground_is_the_base(tmp_path, small):
    classes = np.where(small.is_of("base"), 2, 1)
    path = write(tmp_path / "a.laz", small.points, classes)
    survey = read_cloud(Cloud((path,), "m", cell=0))
    assert len(survey.points) == small.is_of("base").sum()
    assert survey.removed is None
    (note,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    assert note.text.endswith(
        "The cloud is classified, so its ground (class 2) was taken as the base."
    )


def test_classes_that_are_named_are_not_filtered_unless_asked(tmp_path, small):
    classes = np.where(small.is_of("low"), 1, 6)
    path = write(tmp_path / "a.laz", small.points, classes)
    plain = read_cloud(Cloud((path,), "m", cell=0, classes=(6,)))
    assert len(plain.points) == (classes == 6).sum()
    forced = read_cloud(Cloud((path,), "m", cell=0, classes=(6,), ground=True))
    assert small.is_of("base").sum() * 0.99 < len(forced.points) < len(plain.points)


def test_ground_true_filters_a_classified_cloud_too(tmp_path, small):
    path = write(tmp_path / "a.laz", small.points, np.full(len(small.points), 2))
    survey = read_cloud(Cloud((path,), "m", cell=0, ground=True))
    assert len(survey.points) < 0.99 * survey.count


def test_tiles_and_memory_do_not_matter(tmp_path, small, monkeypatch):
    classes = np.zeros(len(small.points), np.uint8)
    whole = read_cloud(Cloud((write(tmp_path / "a.laz", small.points, classes),), "m", cell=0.5))
    parts = np.array_split(small.points[::-1], 5)
    tiles = tuple(
        write(tmp_path / f"{at}.las", part, classes[: len(part)]) for at, part in enumerate(parts)
    )
    monkeypatch.setattr("gradevol.files.cloud_stream._MOST_HELD", 20_000)
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
    path = write(tmp_path / "a.laz", small.points, np.full(len(small.points), 7))
    with pytest.raises(InputError, match="noise"):
        read_cloud(Cloud((path,), "m", cell=0, ground=True))


# The invented sample


def test_the_sample_is_what_its_script_makes_and_comes_out_as_its_base_was_invented(
    tmp_path, check_sample
):
    folder = Path(__file__).parents[2] / "sample_surveys"
    kept = folder / "site_scan" / "scan.laz"
    drawn = tmp_path / "scan.laz"
    script = [sys.executable, folder / "make_cloud.py", tmp_path / "pad.laz", drawn]
    subprocess.run(script, check=True, capture_output=True)
    made, held = (laspy.read(path) for path in (drawn, kept))
    for axis in "XYZ":  # a step of the file: another numpy may draw the last bit otherwise
        assert_allclose(made[axis].astype(int), held[axis].astype(int), rtol=0, atol=1)
    assert kept.stat().st_size < 400_000

    told = runpy.run_path(str(folder / "make_cloud.py"))
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
