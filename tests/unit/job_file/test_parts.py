"""Thickenings and voids of a job file."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.geometry.rings import ring_area
from gradevol.ground.units import CUBIC_YARD
from tests.unit.job_file.conftest import BASE, FOOT, INCH, SLAB, TOP, UNITS

# Thickenings


def read_thickening(read, text):
    return read(UNITS + BASE + SLAB + TOP + f"[[thickening]]\n{text}").slab.thickenings[0]


def test_a_thickening_along_sides(read):
    made = read_thickening(
        read, "sides = [1, 3]\nwidth = '12 in'\ndepth = '4 in'\nside_slope = 6\n"
    )
    assert made.name == "thickening 1"
    assert made.sides == (1, 3)
    assert made.along is None
    assert made.outline is None
    assert_allclose((made.width, made.depth, made.side_slope), (12 * INCH, 4 * INCH, 6))
    assert made.surveyed == "no"


def test_sides_may_stand_within_along(read):
    assert read_thickening(read, "along = { sides = [2] }\nwidth = 1\ndepth = 1\n").sides == (2,)


NAMED = 'sides = ["Wall", "form", "garage", "form"]\n'


def test_sides_may_be_told_by_their_names(read):
    job = read(
        f"{UNITS}{BASE}{SLAB}{NAMED}{TOP}closed_sides = ['wall', 2]\n[[thickening]]\n"
        "sides = ['garage', 'wall']\nwidth = 1\ndepth = 1\n"
    )
    assert job.slab.thickenings[0].sides == (3, 1)
    assert job.runoff.closed_sides == (1, 2)


def test_the_side_of_a_tape_may_be_told_by_its_name(read, refuse):
    front = "[[tickets.front]]\nheading = 'arc'\nside = "
    job = UNITS + BASE + SLAB + NAMED + TOP + front
    (column,) = read(job + "'garage'\n").tickets.fronts
    assert column.side == 3
    assert "side is 'form', which is the name of sides 2 and 4" in refuse(job + "'form'\n")
    assert "a whole number from 1 to 4" in refuse(job + "5\n")


@pytest.mark.parametrize(
    ("sides", "problem"),
    [
        ("'from'", "'from', which is no side of the slab. The nearest of slab.sides is 'form'"),
        ("'form'", "is 'form', which is the name of sides 2 and 4. Write the number"),
        ("1, 'wall'", "names 'wall' twice"),
        ("5", "from 1 to 4, or a name in slab.sides"),
    ],
)
def test_a_name_that_is_not_that_of_one_side_is_refused(refuse, sides, problem):
    part = f"[[thickening]]\nsides = [{sides}]\nwidth = 1\ndepth = 1\n"
    assert problem in refuse(UNITS + BASE + SLAB + NAMED + TOP + part)


def test_a_name_where_no_side_has_one_is_refused(refuse):
    part = "[[thickening]]\nsides = ['wall']\nwidth = 1\ndepth = 1\n"
    assert "Write the side's number" in refuse(UNITS + BASE + SLAB + TOP + part)


def test_a_thickening_along_a_line(read):
    made = read_thickening(
        read, "name = 'rib'\nalong = [[0, 40], [45, 40]]\nwidth = 1\ndepth = 0.5\nsurveyed = true\n"
    )
    assert made.name == "rib"
    assert_allclose(made.along, np.array([[0, 40], [45, 40]]) * FOOT)
    assert made.surveyed == "yes"


def test_a_pad_by_its_outline_needs_no_width(read):
    made = read_thickening(
        read, "outline = [[1, 1], [3, 1], [3, 3], [1, 3]]\ndepth = 1\nsurveyed = 'departure'\n"
    )
    assert_allclose(ring_area(made.outline), 4 * FOOT**2)
    assert (made.width, made.surveyed) == (0.0, "departure")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("width = 1\ndepth = 1\n", "the place of 'thickening 1' is not given"),
        ("sides = [1]\nalong = [[0, 0], [1, 0]]\n", "thickening 1.along and by thickening 1.sides"),
        ("sides = [1]\ndepth = 1\n", "thickening 1.width is missing"),
        ("sides = [1]\nwidth = 1\n", "thickening 1.depth is missing"),
        ("sides = [5]\nwidth = 1\ndepth = 1\n", "whole number from 1 to 4"),
        ("sides = [0]\nwidth = 1\ndepth = 1\n", "whole number from 1 to 4"),
        ("sides = [1, 1]\nwidth = 1\ndepth = 1\n", "names 1 twice"),
        ("along = [[0, 0]]\nwidth = 1\ndepth = 1\n", "thickening 1.along is a list of 1"),
        (
            "along = [[0, 0], [0, 0]]\nwidth = 1\ndepth = 1\n",
            "points 1 and 2 of thickening 1.along",
        ),
        ("outline = 'edge.geojson'\ndepth = 1\n", "thickening 1.outline is the text"),
        ("sides = [1]\nwidth = 1\ndepth = 1\nsurveyed = 'maybe'\n", 'false or "departure"'),
        ("sides = [1]\nwidth = 1\ndepth = 1\nside_slope = -1\n", "thickening 1.side_slope is"),
        ("sides = [1]\nwidth = 1\ndepth = 1\nside_slope = '2'\n", "thickening 1.side_slope is"),
        ("sides = [1]\nwidth = 1\ndepth = -1\n", "thickening 1.depth is the number -1"),
    ],
)
def test_a_thickening_that_is_not_whole_is_refused(refuse, text, problem):
    assert problem in refuse(UNITS + BASE + SLAB + TOP + f"[[thickening]]\n{text}")


# Voids


def read_void(read, text, unit="ft"):
    job = read(f'units = "{unit}"\n' + BASE + SLAB + TOP + f"[[void]]\n{text}")
    return job.slab.voids[0]


@pytest.mark.parametrize(
    ("text", "unit", "volume"),
    [
        ("length = 10\ndiameter = '2 in'\n", "ft", math.pi / 4 * (2 * INCH) ** 2 * 10 * FOOT),
        ("volume = 0.5\n", "ft", 0.5 * CUBIC_YARD),
        ("volume = 0.5\n", "us-ft", 0.5 * CUBIC_YARD),
        ("volume = 0.5\n", "in", 0.5 * CUBIC_YARD),
        ("volume = 0.5\n", "m", 0.5),
        ("volume = 0.5\n", "mm", 0.5),
        ("volume = '13.5 ft3'\n", "m", 0.5 * CUBIC_YARD),
        ("volume = '-0.2 m3'\n", "ft", -0.2),
        ("section = '2 in2'\nlength = 45\n", "ft", 2 * INCH**2 * 45 * FOOT),
        ("section = 0.5\nlength = 45\n", "ft", 22.5 * FOOT**3),
        ("section = 300\nlength = '10 m'\n", "mm", 300e-6 * 10),
        ("section = '0.01 m2'\nlength = -2\n", "m", -0.02),
        ("section = '-0.01 m2'\nlength = 2\n", "m", -0.02),
        ("section = 1\nline = [[0, 0], [3, 4]]\n", "m", 5.0),
    ],
)
def test_the_volume_of_a_void(read, text, unit, volume):
    made = read_void(read, text, unit)
    assert made.name == "void 1"
    assert_allclose(made.volume, volume, rtol=1e-14)


def test_a_conduit_on_a_line_is_as_long_as_the_line_in_space(read):
    made = read_void(
        read,
        "name = 'conduit'\nline = [[0, 0, 100], [3, 4, 100], [3, 4, 112]]\ndiameter = 0.1\n"
        "least_cover = '75 mm'\n",
        "m",
    )
    assert made.name == "conduit"
    assert_allclose(made.volume, math.pi / 4 * 0.01 * 17)
    assert_allclose((made.diameter, made.least_cover), (0.1, 0.075))
    assert_array_equal(made.line, [[0, 0, 100], [3, 4, 100], [3, 4, 112]])


def test_a_line_without_elevation_keeps_two_columns(read):
    made = read_void(read, "line = [[0, 0], [3, 4]]\ndiameter = 0.1\nlength = 6\n", "m")
    assert made.line.shape == (2, 2)
    assert_allclose(made.volume, math.pi / 4 * 0.01 * 6)  # the length that is stated


def test_a_diameter_beside_a_volume_on_a_line_is_kept_for_its_cover(read):
    made = read_void(read, "line = [[0, 0], [3, 4]]\ndiameter = 0.1\nvolume = 0.7\n", "m")
    assert (made.volume, made.diameter) == (0.7, 0.1)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("name = 'box'\n", "the volume of 'box' is not given"),
        ("volume = 1\nsection = 1\n", "void 1.volume and by void 1.section"),
        ("volume = 1\ndiameter = 1\n", "void 1.volume and by void 1.diameter"),
        ("volume = 1\nlength = 1\n", "void 1.length means nothing beside void 1.volume"),
        ("diameter = 1\n", "void 1.length is missing"),
        ("section = 1\n", "void 1.length is missing"),
        ("length = 5\n", "the volume of 'void 1' is not given"),
        ("diameter = 1\nlength = -5\n", "void 1.length is the number -5"),
        ("section = -1\nlength = -5\n", "void 1.length is the number -5"),
        ("diameter = 0\nlength = 5\n", "void 1.diameter is the number 0"),
        ("volume = 0\n", "the volume of 'void 1' is 0"),
        ("volume = '2 ft2'\n", "'2 ft2' is not a volume"),
        ("section = '2 in'\nlength = 1\n", "'2 in' is not an area"),
        ("volume = 1\nleast_cover = 1\n", "void 1.least_cover is given without void 1.line"),
        ("diameter = 1\nline = [[0, 0], [1, 1, 1]]\n", "point 1 of void 1.line has 2 numbers"),
        ("diameter = 1\nline = [[0, 0]]\n", "void 1.line is a list of 1"),
    ],
)
def test_a_void_that_is_not_given_in_one_way_is_refused(refuse, text, problem):
    assert problem in refuse(UNITS + BASE + SLAB + TOP + f"[[void]]\n{text}")


def test_two_pours_of_one_name_are_refused(refuse):
    pad = '[[pour]]\nname = "{}"\nvolume = "1 yd3"\n'
    said = refuse(UNITS + BASE + SLAB + TOP + pad.format("pad") + pad.format("Pad"))
    assert "pour 1 and pour 2 are both called 'Pad'" in said
