"""The surface against data sets and test functions of the literature."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.geometry.rings import ring_area
from gradevol.site.surface import build_surface
from tests.pads import grid, volume_under

# Davis, J. C. (1973), Statistics and Data Analysis in Geology, Wiley: 52 elevations of a
# topographic survey, east and north in units of 50 ft, elevation in ft. Read from the copy that is
# spread with statistical software as data set "topo" (R, package MASS): facts of the survey.
DAVIS = np.array([
    [0.3, 6.1, 870], [1.4, 6.2, 793], [2.4, 6.1, 755], [3.6, 6.2, 690], [5.7, 6.2, 800],
    [1.6, 5.2, 800], [2.9, 5.1, 730], [3.4, 5.3, 728], [3.4, 5.7, 710], [4.8, 5.6, 780],
    [5.3, 5.0, 804], [6.2, 5.2, 855], [0.2, 4.3, 830], [0.9, 4.2, 813], [2.3, 4.8, 762],
    [2.5, 4.5, 765], [3.0, 4.5, 740], [3.5, 4.5, 765], [4.1, 4.6, 760], [4.9, 4.2, 790],
    [6.3, 4.3, 820], [0.9, 3.2, 855], [1.7, 3.8, 812], [2.4, 3.8, 773], [3.7, 3.5, 812],
    [4.5, 3.2, 827], [5.2, 3.2, 805], [6.3, 3.4, 840], [0.3, 2.4, 890], [2.0, 2.7, 820],
    [3.8, 2.3, 873], [6.3, 2.2, 875], [0.6, 1.7, 873], [1.5, 1.8, 865], [2.1, 1.8, 841],
    [2.1, 1.1, 862], [3.1, 1.1, 908], [4.5, 1.8, 855], [5.5, 1.7, 850], [5.7, 1.0, 882],
    [6.2, 1.0, 910], [0.4, 0.5, 940], [1.4, 0.6, 915], [1.4, 0.1, 890], [2.1, 0.7, 880],
    [2.3, 0.3, 870], [3.1, 0.0, 880], [4.1, 0.8, 960], [5.4, 0.4, 890], [6.0, 0.1, 860],
    [5.7, 3.0, 830], [3.6, 6.0, 705],
])  # fmt: skip


def test_davis_points_are_those_of_the_book():
    # computed from the copy: guards against a slip in the table above
    level = DAVIS[:, 2]
    assert (len(level), level.sum(), level.min(), level.max()) == (52, 43_008, 690, 960)
    assert_allclose([level.mean(), level.std(ddof=1)], [827.0769, 61.9977], atol=5e-5)


def test_davis_hull_mean_and_volume():
    # computed beforehand with scipy 1.17's Delaunay triangulation; the book prints none of them
    feet = DAVIS * [50, 50, 1]
    surface = build_surface(feet)
    assert surface.rim is not None
    hull = ring_area(feet[surface.rim, :2])
    assert_allclose(hull, 89_975, rtol=1e-9)
    assert len(surface.triangles) == 87
    assert_allclose(volume_under(surface) / hull, 831.5685, atol=5e-5)
    assert_allclose(volume_under(surface) - 690 * hull, 12_737_625, atol=0.5)


def franke(east, north):
    # Franke, R. (1979), A critical comparison of some methods for interpolation of scattered data,
    # NPS-53-79-003; the form read at https://rdrr.io/cran/interp/src/R/franke.R
    x, y = 9 * east, 9 * north
    return (
        0.75 * np.exp(-((x - 2) ** 2 + (y - 2) ** 2) / 4)
        + 0.75 * np.exp(-((x + 1) ** 2) / 49 - (y + 1) / 10)
        + 0.5 * np.exp(-((x - 7) ** 2 + (y - 3) ** 2) / 4)
        - 0.2 * np.exp(-((x - 4) ** 2) - (y - 7) ** 2)
    )


#: Over the unit square; computed with 30 digits.
FRANKE_INTEGRAL = 0.406969589491556


def franke_volume(cells):
    at = np.linspace(0, 1, cells + 1)
    east, north = grid(at, at).T
    return volume_under(build_surface(np.column_stack([east, north, franke(east, north)])))


def test_franke_function_has_its_values_at_the_corners():
    # computed from the form as read
    corners = franke(np.array([0, 1, 0, 1, 0.5]), np.array([0, 0, 1, 1, 0.5]))
    expected = [0.7664205913, 0.1075575523, 0.2703371616, 0.0358695924, 0.3257620893]
    assert_allclose(corners, expected, atol=5e-11)


@pytest.mark.parametrize(
    ("cells", "trapezoid"), [(10, 0.4048552160), (20, 0.4064421444), (50, 0.4068852545)]
)
def test_franke_lattice_holds_the_trapezoid_rules_volume(cells, trapezoid):
    # computed by the trapezoid rule, to 10 digits
    assert_allclose(franke_volume(cells), trapezoid, atol=5e-11)


def test_franke_volume_converges_at_second_order():
    error = np.abs(np.array([franke_volume(n) for n in (10, 20, 40, 80)]) - FRANKE_INTEGRAL)
    assert_allclose(error[:-1] / error[1:], 4, atol=0.1)
    assert error[-1] < 4e-5


def test_seven_samples_and_the_triangle_that_holds_the_place_asked_for():
    # Isaaks & Srivastava (1989), An Introduction to Applied Geostatistics, ch. 11: printed 548.7 at
    # (65, 137) from samples 2, 3, 5. From memory; the printed answer follows from the inputs.
    samples = np.array([
        [61, 139, 477], [63, 140, 696], [64, 129, 227], [68, 128, 646],
        [71, 140, 606], [73, 141, 791], [75, 128, 783],
    ], float)  # fmt: skip
    surface = build_surface(samples)
    place = np.array([65.0, 137.0])
    for corners in surface.corners:
        share = np.linalg.solve(np.vstack([corners[:, :2].T, np.ones(3)]), [*place, 1])
        if (share >= 0).all():
            assert {tuple(c) for c in corners} == {tuple(samples[i]) for i in (1, 2, 4)}
            assert_allclose(share @ corners[:, 2], 548.7, atol=0.05)  # printed to 0.1
            return
    raise AssertionError("no triangle holds the place")
