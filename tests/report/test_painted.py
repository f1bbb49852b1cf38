"""Lines within the colours of the plan: the design thickness, and the outermost shots."""

import numpy as np
import pytest
import shapely

from .reading import colours_at, ground_of, thickness_at

pytestmark = pytest.mark.browser

INK = (28, 31, 36)


@pytest.fixture
def painted(apron, show):
    """Some rows of dots of the plan: their places (n, m, 2), m, and colours (n, m, 3)."""
    page = show(apron)
    to_screen, scale = ground_of(page, apron)
    box = page.locator("#map canvas").bounding_box()
    (west, south), (east, north) = apron.result.slab.edge.min(0), apron.result.slab.edge.max(0)
    (left, top), (right, bottom) = to_screen((west, north)), to_screen((east, south))
    columns = np.arange(np.ceil(left - box["x"]) + 2, right - box["x"] - 3)
    rows = np.arange(np.ceil(top - box["y"]) + 2, bottom - box["y"] - 3)[::13]
    dots = np.stack(np.meshgrid(columns + 0.5, rows + 0.5), -1)
    places = np.stack(
        [
            west + (dots[..., 0] + box["x"] - left) / scale,
            north - (dots[..., 1] + box["y"] - top) / scale,
        ],
        -1,
    )
    on_screen = dots + np.array([box["x"], box["y"]])
    colours = colours_at(page, on_screen.reshape(-1, 2).tolist()).reshape(*dots.shape[:2], 3)
    return places, colours


def test_the_design_thickness_is_a_dark_line(apron, painted):
    places, colours = painted
    off = thickness_at(apron, places) - apron.result.slab.thickness
    is_between = (off[:, 1:] * off[:, :-1] < 0) & (abs(off[:, 1:] - off[:, :-1]) > 1e-5)
    is_dark = np.abs(colours - INK).max(axis=-1) <= 15  # nearly all ink
    assert is_between.sum() > 20
    assert is_dark[:, 1:][is_between].mean() > 0.95
    assert is_dark[:, :-1][is_between].mean() > 0.95
    assert is_dark.mean() < 0.2


def test_the_line_through_the_outermost_shots_is_dashed(apron, painted):
    places, colours = painted
    shots = apron.result.survey.points[:, :2]
    is_within = shapely.contains_xy(
        shapely.MultiPoint(shots).convex_hull, places[..., 0], places[..., 1]
    )
    is_left_of_it = is_within[:, 2:] & ~is_within[:, :-2]
    is_ink = (colours == INK).all(axis=-1)[:, :-2]
    assert is_left_of_it.sum() > 40
    assert 0.4 < is_ink[is_left_of_it].mean() < 0.6
    assert is_ink.mean() < 0.1
