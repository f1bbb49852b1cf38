"""What a job file says of the edge and the openings, straight."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.sources import OutlineFile
from gradevol.geometry.rings import ring_area
from tests.unit.job_file.conftest import BASE, FOOT, INCH, SLAB, TOP, UNITS

# The slab


def test_a_first_corner_repeated_at_the_end_is_dropped(read):
    job = read(UNITS + BASE + SLAB.replace("[0, 80]]", "[0, 80], [0, 0]]") + TOP)
    assert job.slab.edge.shape == (4, 2)
    assert_allclose(job.slab.edge[-1], [0, 80 * FOOT])


@pytest.mark.parametrize(
    ("edge", "problem"),
    [
        ("[]", "slab.edge is an empty list"),
        ("[[0, 0], [1, 0]]", "slab.edge is a list of 2"),
        ("[[0, 0], [1, 0], [0, 0]]", "slab.edge has 2 corners"),
        ("[[0, 0], [9, 0], [9, 0], [9, 9]]", "corners 2 and 3 of slab.edge are at one place"),
        ("[[0, 0], [9, 0], [9, 9], [0, 0], [0, 0]]", "corners 4 and 5 of slab.edge"),
        ("[[0, 0], [9, 0], [9, 9, 1]]", "corner 3 of slab.edge is a list of 3"),
        ("[[0, 0], [9, 0], 9]", "corner 3 of slab.edge is the number 9"),
        ("[[0, 0], [9, 0], [9, true]]", "the northing of corner 3 of slab.edge is true"),
        ("{ corners = 3 }", "there is no key 'corners' in slab.edge"),
        ("{ shots = 'shots.csv' }", "slab.edge.codes is missing"),
        ("5", "slab.edge is the number 5"),
    ],
)
def test_an_edge_that_is_no_ring_is_refused_with_its_corner(refuse, edge, problem):
    assert problem in refuse(UNITS + BASE + f"[slab]\nthickness = 1\nedge = {edge}\n" + TOP)


def test_an_edge_in_a_file_keeps_the_unit_of_the_job(read, tmp_path):
    job = read(
        UNITS + BASE + "[slab]\nthickness = 1\nedge = 'edge.geojson'\nsides = ['a', 'b']\n" + TOP
    )
    assert job.slab.edge == OutlineFile(tmp_path / "edge.geojson", "ft")
    assert job.slab.side_names == ("a", "b")  # how many sides there are is not known yet


def test_openings_are_rings_files_and_circles(read, tmp_path):
    job = read(
        UNITS + BASE + SLAB + "openings = [[[1, 1], [2, 1], [2, 2]], 'edge.geojson', "
        "{ center = [10, 20], diameter = '18 in' }]\n" + TOP
    )
    ring, file, circle = job.slab.openings
    assert_allclose(ring, np.array([[1, 1], [2, 1], [2, 2]]) * FOOT)
    assert file == OutlineFile(tmp_path / "edge.geojson", "ft")
    assert_allclose(ring_area(circle), math.pi * (9 * INCH) ** 2)
    assert_allclose(circle.mean(axis=0), [10 * FOOT, 20 * FOOT])


def test_a_lone_opening_needs_no_list(read):
    job = read(UNITS + BASE + SLAB + "openings = { center = [9, 9], diameter = 2 }\n" + TOP)
    assert_allclose(ring_area(job.slab.openings[0]), math.pi * FOOT**2)


@pytest.mark.parametrize(
    ("opening", "problem"),
    [
        ("{ center = [9, 9] }", "slab.opening 1.diameter is missing"),
        ("{ diameter = 2 }", "slab.opening 1.center is missing"),
        ("{ center = [9, 9], diameter = 0 }", "slab.opening 1.diameter is the number 0"),
        ("{ center = [9], diameter = 1 }", "slab.opening 1.center is a list of 1"),
        (
            "[1, 1], [2, 1], [2, 2]",
            "slab.openings is one list of corners, but it must be a list of rings",
        ),
    ],
)
def test_an_opening_that_is_no_ring_is_refused(refuse, opening, problem):
    assert problem in refuse(UNITS + BASE + SLAB + f"openings = [{opening}]\n" + TOP)


def test_a_least_thickness_may_be_stated(read):
    job = read(UNITS + BASE + SLAB + "least_thickness = '5 1/2 in'\n" + TOP)
    assert_allclose(job.slab.least_thickness, 5.5 * INCH)


def test_a_least_thickness_above_the_thickness_is_refused(refuse):
    said = refuse(UNITS + BASE + SLAB + "least_thickness = '7 in'\n" + TOP)
    assert "slab.least_thickness (7 in) is more than slab.thickness (6 in)" in said


def test_a_slab_too_thin_for_the_default_must_state_its_least_thickness(refuse):
    said = refuse(UNITS + BASE + SLAB.replace("6 in", "3/4 in") + TOP)
    assert "or state slab.least_thickness" in said


def test_sides_are_named_one_by_one(read, refuse):
    names = ("west form", "dock", "shop slab", "road")
    job = read(UNITS + BASE + SLAB + f"sides = {list(names)}\n" + TOP)
    assert job.slab.side_names == names

    said = refuse(UNITS + BASE + SLAB + "sides = ['west form']\n" + TOP)
    assert "slab.sides has 1 name, but slab.edge has 4 sides" in said
