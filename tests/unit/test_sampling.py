import numpy as np
from numpy.testing import assert_allclose

from gradevol.answer.drawing.sampling import Image, average, carry_on, faces_between, sample

SQUARE = np.array([[(0.0, 0), (3, 0), (3, 2)], [(0, 0), (3, 2), (0, 2)]])


def middles(image):
    rows, columns = image.thickness.shape
    return np.meshgrid(
        image.west + (np.arange(columns) + 0.5) * image.cell,
        image.south + (np.arange(rows) + 0.5) * image.cell,
    )


def test_every_cell_has_the_value_at_its_middle():
    def value(plan):
        return 0.1 * plan[..., 0] - 0.2 * plan[..., 1] + 7

    image = sample(SQUARE, value(SQUARE), cell=0.07)
    east, north = middles(image)
    is_in = (east < 3) & (north < 2)
    assert_allclose(image.thickness[is_in], (0.1 * east - 0.2 * north + 7)[is_in], atol=1e-12)
    assert np.isfinite(image.thickness).sum() == is_in.sum()


def test_slivers_and_triangles_smaller_than_a_cell_do_no_harm():
    sliver = np.array(
        [[(0.0, 0), (3, 1e-9), (3, 2e-9)], [(1.01, 1.01), (1.02, 1.01), (1.02, 1.02)]]
    )
    corners = np.concatenate([SQUARE, sliver])
    value = np.concatenate([np.ones((2, 3)), np.full((2, 3), 5.0)])
    image = sample(corners, value, cell=0.1)
    assert set(np.unique(image.thickness[np.isfinite(image.thickness)])) <= {1.0, 5.0}
    assert np.nanmean(image.thickness) < 1.2


def test_means_keep_the_mean_and_reach_beyond_the_slab():
    rng = np.random.default_rng(1)
    image = Image(rng.normal(0.15, 0.01, (40, 60)), 10.0, 20.0, 0.05)
    coarse = average(image, 10)
    assert coarse.cell == 0.5
    assert_allclose(coarse.thickness[2:-2, 2:-2].mean(), image.thickness.mean())
    assert np.isfinite(coarse.thickness).all()
    assert_allclose(coarse.extent, (9.0, 14.0, 19.0, 23.0))


def test_carrying_on_leaves_known_cells_alone():
    values = np.full((5, 5), np.nan)
    values[2, 2] = 3.0
    image = carry_on(Image(values, 0.0, 0.0, 1.0), 1)
    assert np.isfinite(image.thickness).sum() == 9
    assert np.nanmax(image.thickness) == np.nanmin(image.thickness) == 3.0
    assert (image.west, image.south) == (-1.0, -1.0)


def test_faces_lie_between_known_cells_only():
    values = np.arange(12.0).reshape(3, 4)
    values[0, 0] = np.nan
    corners, level = faces_between(Image(values, 0.0, 0.0, 1.0))
    assert len(corners) == 4 * 5
    assert np.isfinite(level).all()
    assert_allclose(level, 4 * (corners[..., 1] - 0.5) + corners[..., 0] - 0.5)
