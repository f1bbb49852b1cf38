import numpy as np
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry import quadrature
from gradevol.geometry.coarse import coarsen

SLAB = shapely.box(0, 0, 20, 12)


def test_an_outline_of_few_corners_stays_itself():
    assert coarsen(SLAB, most=400) is SLAB


def test_a_round_slab_of_2000_corners_keeps_its_area_with_a_fifth_of_them():
    disc = shapely.Point(0, 0).buffer(6, quad_segs=500)
    coarse = coarsen(disc, most=400)
    assert shapely.get_num_coordinates(coarse) <= 400
    assert_allclose(coarse.area, disc.area, rtol=1e-3)


def test_thousands_of_small_holes_are_filled_and_a_wide_one_stays():
    places = np.stack(np.meshgrid(np.arange(0.2, 20, 0.3), np.arange(0.2, 7, 0.3)), -1)
    holes = shapely.buffer(shapely.points(places.reshape(-1, 2)), 0.02)
    holed = SLAB.difference(shapely.union_all(holes)).difference(shapely.box(5, 8, 8, 11))
    coarse = coarsen(holed, most=400)
    assert_allclose(coarse.area, 20 * 12 - 9, rtol=1e-3)


def test_a_region_of_crumbs_becomes_the_whole_about_them():
    places = np.random.default_rng(3).uniform((0, 0), (20, 12), (900, 2))
    crumbs = shapely.union_all(shapely.buffer(shapely.points(places), 0.08))
    assert shapely.get_num_coordinates(coarsen(crumbs, most=400)) <= 400


def test_the_integral_is_the_same_taken_a_few_places_at_a_time(monkeypatch):
    places = np.random.default_rng(4).uniform(0, 12, (50, 2))
    whole = quadrature.integrate_radial(SLAB, places, lambda r: r**2 / 2, reach=1.0)
    monkeypatch.setattr(quadrature, "_AT_ONCE", 20)
    assert_allclose(
        quadrature.integrate_radial(SLAB, places, lambda r: r**2 / 2, reach=1.0), whole, rtol=1e-12
    )
