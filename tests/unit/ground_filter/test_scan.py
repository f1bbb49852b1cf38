"""The ground filter, on an invented scan: what it must keep, what it takes away, what it can't."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_array_equal

from gradevol.files.clouds import layers
from gradevol.files.clouds.bins import bin_points
from gradevol.files.clouds.ground import BAND, find_ground
from gradevol.files.clouds.layers import (
    BITS,
    CELL,
    HALF,
    LAYER,
    count_layers,
    find_anchor,
    merge_layers,
)
from gradevol.files.clouds.stored import store_points
from gradevol.ground.errors import GeometryError
from tests.conftest import examples
from tests.unit.ground_filter.conftest import FAR, is_in_trench, level_of_base, make_scene


def sift(points, chunks=1):
    """The ground of points (n, 3), and which of them are base."""
    stored = store_points(points)
    anchor = find_anchor(stored)
    parts = [count_layers(store_points(part), anchor) for part in np.array_split(points, chunks)]
    ground = find_ground(merge_layers(parts))
    return ground, ground.holds(stored, ground.place(stored))


@pytest.fixture(scope="module")
def scene():
    return make_scene(2500, off=FAR)


@pytest.fixture(scope="module")
def is_base(scene):
    return sift(scene.points)[1]


def test_layers_are_those_of_each_point_in_a_table_and_sorted(scene, monkeypatch):
    stored = store_points(scene.points)
    anchor = find_anchor(stored)
    sides = np.array([CELL, CELL, LAYER])
    within = np.floor((scene.points + np.array([1e-8, 1e-8, 0])) / sides).astype(int) - anchor
    shifts = 1 << (np.array([2, 1, 0]) * BITS)
    keys, counts = np.unique((within + HALF) @ shifts, return_counts=True)
    for most in (10**6, 0):
        monkeypatch.setattr(layers, "_TABLE_PER_POINT", most)
        found = count_layers(stored, anchor)
        assert_array_equal(found.key, keys)
        assert_array_equal(found.count, counts)


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
    means = bin_points(store_points(scene.points[is_base] - FAR), 0.1).means
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
    stray = store_points(np.array([[0.0, 0.0, 0.0], [9e6, 9e6, 0.0]]))
    with pytest.raises(GeometryError, match="too much to tell base"):
        count_layers(stray, find_anchor(stray))
    far = store_points(np.array([[0.0, 0.0, 0.0], [5e4, 5e4, 0.0]]))
    with pytest.raises(GeometryError, match=r"base\.ground = false"):
        find_ground(count_layers(far, find_anchor(far)))
