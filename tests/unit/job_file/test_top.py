"""What a job file says of the top and the order."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.sources import OutlineFile, Shots, SurfaceFile
from gradevol.job import TopFile, TopPanels, TopShots
from gradevol.site.top import Between, Fall, Level, Plane
from tests.unit.job_file.conftest import BASE, EDGE, FOOT, SLAB, TOP, UNITS

# The top


def read_top(read, text):
    return read(UNITS + BASE + SLAB + f"[top]\n{text}").top


def test_a_plane_by_points(read):
    top = read_top(read, "plane = [[0, 0, 100], [45, 0, 100.4], [0, 80, 100.2]]\n")
    assert isinstance(top, Plane)
    assert_allclose(top.points, np.array([[0, 0, 100], [45, 0, 100.4], [0, 80, 100.2]]) * FOOT)


@pytest.mark.parametrize(
    "fall", ['"1/4 in per ft"', "0.020833333333333332", '"2.0833333333333333 %"']
)
def test_a_fall_from_a_point(read, fall):
    top = read_top(read, f"through = [0, 80, '100 ft']\nfall = {fall}\nbearing = 180\n")
    assert isinstance(top, Fall)
    assert_allclose(top.through, np.array([0, 80, 100]) * FOOT)
    assert_allclose((top.fall, top.bearing), (1 / 48, 180))


def test_rulings_between_two_edges(read):
    top = read_top(
        read,
        "between = [[[0, 0, 99], [45, 0, 100]], [[0, 80, 99], [20, 80, 99.5], [45, 80, 101]]]\n",
    )
    assert isinstance(top, Between)
    assert_allclose(top.first, np.array([[0, 0, 99], [45, 0, 100]]) * FOOT)
    assert_allclose(top.second[1], np.array([20, 80, 99.5]) * FOOT)


def test_a_top_of_shots_takes_the_keys_of_the_base(read, tmp_path):
    top = read_top(
        read, "shots = 'top.csv'\ncolumns = 'PNEZD'\ncodes = ['F*', 'S*']\nunits = 'm'\n"
    )
    path = tmp_path / "top.csv"
    assert top == TopShots(Shots((path,), "m", columns="PNEZD", codes=("F*", "S*")))


def test_a_top_that_is_a_surface(read, tmp_path):
    assert read_top(read, "surface_file = 'pad.ply'\n") == TopFile(
        SurfaceFile(tmp_path / "pad.ply", "ft")
    )


def test_panels_have_each_a_top_of_its_own(read, tmp_path):
    top = read(
        UNITS + BASE + SLAB + "[top]\nsigma = 0.01\n"
        "[[top.panel]]\nedge = [[0, 0], [45, 0], [45, 40], [0, 40]]\nlevel = 100\n"
        "[[top.panel]]\nedge = 'edge.geojson'\nshots = 'top.csv'\n"
    ).top
    assert isinstance(top, TopPanels)
    first, second = top.panels
    assert first.design == Level(100 * FOOT)
    assert_allclose(np.asarray(first.edge), np.array([[0, 0], [45, 0], [45, 40], [0, 40]]) * FOOT)
    assert second.edge == OutlineFile(tmp_path / "edge.geojson", "ft")
    assert second.design == TopShots(Shots((tmp_path / "top.csv",), "ft"))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("sigma = 0\n", "the top is not given"),
        ("level = 1\nplane = [[0, 0, 1]]\n", "the top is given by top.level and by top.plane"),
        ("level = 1\nbearing = 90\n", "top.bearing means nothing beside top.level"),
        ("level = 1\nunits = 'm'\n", "top.units means nothing beside top.level"),
        ("plane = [[0, 0, 1], [1, 0, 1]]\n", "top.plane is a list of 2"),
        ("plane = [[0, 0], [1, 0], [1, 1]]\n", "point 1 of top.plane is a list of 2"),
        ("through = [0, 0, 1]\nbearing = 90\n", "top.fall is missing"),
        ("through = [0, 0, 1]\nfall = 0.02\n", "top.bearing is missing"),
        ("through = [0, 0]\nfall = 0.02\nbearing = 90\n", "top.through is a list of 2"),
        ("through = [0, 0, 1]\nfall = 2\nbearing = 90\n", "top.fall is the number 2"),
        ("through = [0, 0, 1]\nfall = -0.02\nbearing = 90\n", "top.fall is the number -0.02"),
        ("through = [0, 0, 1]\nfall = 'steep'\nbearing = 90\n", "'steep' is not a fall"),
        ("through = [0, 0, 1]\nfall = 0.02\nbearing = 400\n", "top.bearing is the number 400"),
        ("through = [0, 0, 1]\nfall = 0.02\nbearing = 'N'\n", "top.bearing is the text 'N'"),
        ("between = [[[0, 0, 1], [1, 0, 1]]]\n", "top.between is a list of 1"),
        (
            "between = [[[0, 0, 1]], [[0, 1, 1], [1, 1, 1]]]\n",
            "line 1 of top.between is a list of 1",
        ),
        ("panel = []\n", "top.panel is empty"),
        ("[[top.panel]]\nlevel = 1\n", "top.panel 1.edge is missing"),
        (f"[[top.panel]]\n{EDGE}", "the top of top.panel 1 is not given"),
        ("level = 1\n[[top.panel]]\n", "the top is given by top.level and by top.panel"),
    ],
)
def test_a_top_that_is_not_given_in_one_way_is_refused(refuse, text, problem):
    assert problem in refuse(UNITS + BASE + SLAB + f"[top]\n{text}")


# The order


def test_the_order_is_read_and_the_pours_are_kept_as_written(read):
    job = read(
        'title = "Apron"\ninterval = 0.8\n' + UNITS + BASE + SLAB + TOP + "[order]\nwaste = 0.03\n"
        "truck = 10\ncosts = { concrete = 168 }\n[[pour]]\nname = 'pad'\nvolume = 1.23\n"
    )
    assert (job.title, job.interval) == ("Apron", 0.8)
    assert job.order is not None
    assert job.order.waste == 0.03
    assert job.order.costs is not None
    (pour,) = job.pours
    assert pour.name == "pad"
    assert_allclose(pour.volume, 1.23 * 0.764554857984)  # yd³: 0.9144³ m³


@pytest.mark.parametrize(
    ("unit", "said"), [("ft", "is 0.05 ft: 3/4 in less"), ("mm", "is 0.01524 m: 3/4 in less")]
)
def test_errors_about_the_thickness_speak_the_jobs_unit(refuse, unit, said):
    slab = SLAB.replace("6 in", "0.05 ft")
    assert said in refuse(UNITS.replace('"ft"', f'"{unit}"') + BASE + slab + TOP)
