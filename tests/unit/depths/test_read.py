"""Depths from a string: their unit, their places, and the base that they make."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.runs.check import check_job
from tests.unit.depths.conftest import FOOT, INCH, INCHES, SHEET, TOP

pytestmark = pytest.mark.usefixtures("unsimulated")

POINTS = "point,e,n,depth_in\na,0,0,6\nb,20,0,6 1/2\nc,20,20,5\nd,0,20,6\n"


def test_a_depth_is_thickness_whatever_the_top(read):
    deep = ",0,20\n0,7,7\n20,7,7\n"
    for top in ("[top]\nlevel = 100\n", "[top]\nlevel = -3\n", TOP):
        result = check_job(read(deep, top=top))
        assert_allclose(result.thickness.mean, 7 * INCH, rtol=1e-12)
        assert_allclose(result.concrete.slab, 400 * FOOT**2 * 7 * INCH, rtol=1e-12)


def test_the_base_is_the_top_less_the_depth_at_each_shot(read):
    result = check_job(read(SHEET))
    survey = result.survey
    east = np.array([0, 10, 20, 0, 20, 0, 10, 20])
    inches = np.array([6, 6.5, 6, 6, 5, 6, 6, 6])
    level = (survey.points[:, 2] + survey.origin[2]) / FOOT
    assert_allclose(level, 100.5 - 0.02 * east - inches / 12, atol=1e-12)
    assert survey.depths is not None
    assert_allclose(survey.depths, inches * INCH)
    assert survey.ids[:2] == ("0/0", "0/10")
    assert survey.readings[:2] == ("6", "6.5")
    assert (survey.method, survey.is_read_down) == ("string-line depths", True)


def test_thickness_between_depths_is_linear_over_a_lattice_cell(read):
    result = check_job(read(",0,20\n0,6,6\n20,6,8\n"))
    assert_allclose(result.thickness.mean, 6.5 * INCH, rtol=1e-12)  # a cell's is its corners' mean
    assert_allclose((result.thickness.min, result.thickness.max), (6 * INCH, 8 * INCH))


def test_points_may_carry_depths_in_a_unit_of_their_own(survey):
    shots = survey(POINTS, "string = { span = 0 }\n")  # the job is in feet
    assert_allclose(shots.depths, np.array([6, 6.5, 5, 6]) * INCH)
    assert_allclose(shots.points[:, :2] / FOOT, [(0, 0), (20, 0), (20, 20), (0, 20)])
    assert shots.ids == ("a", "b", "c", "d")
    assert shots.readings == ("6", "6 1/2", "5", "6")


@pytest.mark.parametrize(
    "name", ["depth", "Measure-down", "measured down", "down", "thickness", "depth (ft)", "T"]
)
def test_depths_go_by_several_names(survey, name):
    shots = survey(f"E,N,{name}\n0,0,.5\n20,0,.6\n20,20,.4\n", "string = { span = 0 }\n")
    assert_allclose(shots.depths / FOOT, [0.5, 0.6, 0.4])
    assert shots.ids == ("line 2", "line 3", "line 4")


def test_columns_may_be_stated_where_there_is_no_header(survey):
    text = "a,0,0,.5\nb,20,0,.6\nc,20,20,.4\n"
    shots = survey(text, "string = { span = 0 }\ncolumns = 'PENT'\n")
    assert_allclose(shots.depths / FOOT, [0.5, 0.6, 0.4])


def test_a_sheet_lettered_from_a_to_n_is_no_table_of_points(survey):
    letters = "ABCDEFGHIJKLMN"
    sheet = f",{','.join(letters)}\n1{',6' * 14}\n2{',6' * 14}\n"
    assert len(survey(sheet, INCHES + "spacing = 1\n").points) == 28


@pytest.mark.parametrize(
    ("text", "base", "said"),
    [
        ("p,e,n,z\na,0,0,1\nb,1,0,1\nc,1,1,1\n", "", "hold no depth"),
        ("0,0,6\n20,0,6\n20,20,6\n", "", "begins with '0'"),
        ("e,n,depth_cm\n0,0,6\n20,0,6\n20,20,6\n", "", "its header gives depths in cm"),
        ("e_m,n_m,depth\n0,0,6\n20,0,6\n20,20,6\n", "", "'e_m', in m, but the job says"),
        ("e,n,depth\n0,0,6\n20,0,six\n20,20,6\n", "", "line 3: the depth 'six' is not a number"),
        ("e,n,depth\n0,0,6\n20,0,6\n", "", "2 depths cannot make a surface"),
        ("a,0,0,6\n", "columns = 'PENZ'\n", "'Z' names no column"),
        ("0,0\n", "columns = 'EN'\n", "hold no depth"),
        ("Station,Offset,Depth\n0,0,6\n20,0,6\n", "", "names the depth ('Depth'), but no easting"),
        (SHEET, "codes = 'B'\n", "base.codes means nothing beside base.depths"),
        (SHEET, "setups = { A = { height = 1 } }\n", "base.setups means nothing beside"),
    ],
)
def test_depths_that_cannot_be_read_without_a_guess_are_refused(refuse, text, base, said):
    assert said in refuse(text, base)


def test_depths_outside_of_the_slab_are_named(refuse):
    text = "point,e,n,depth\na,0,0,.5\nb,20,0,.5\nfar,20,22,.5\noff,-9,20,.5\n"
    said = refuse(text, "")
    assert "2 depths measured outside of the slab" in said
    assert "far, off" in said


@pytest.mark.parametrize("place", ["10,0", "10.003,20", "10,20.5"])
def test_depths_on_a_step_of_the_top_are_named(refuse, place):
    halves = (
        f"[[top.panel]]\nedge = [[{west}, 0], [{east}, 0], [{east}, 20], [{west}, 20]]\n"
        f"level = {level}\n"
        for west, east, level in ((0, 10, 100), (10, 20, 100.4))
    )
    said = refuse(f"{POINTS}e,{place},6\n", "string = { span = 0 }\n", top="".join(halves))
    assert "1 depth measured just where the top steps, and nothing says from which of its" in said
    assert "levels: e. Give each a place" in said


def test_depths_just_outside_are_hung_from_the_top_at_the_edge_and_noted(read):
    # c stands a slip of the pen beside it
    text = "point,e,n,depth\na,0,0,.5\nb,20.9,0,.5\nc,20.008,20,.5\nd,0,20,.5\n"
    result = check_job(read(text, ""))
    (note,) = [note for note in result.notes if note.code == "depths-beyond-edge"]
    assert note.points == ("b",)
    level = (result.survey.points[1, 2] + result.survey.origin[2]) / FOOT
    assert_allclose(level, 100.5 - 0.02 * 20 - 0.5, atol=1e-12)


def test_a_suspect_depth_names_the_slip_on_the_tape(read):
    sheet = ",0,5,10,15,20\n" + "".join(
        f"{n},0.50,0.51,0.50,0.52,0.50\n" if n != 10 else f"{n},0.51,0.50,0.60,0.50,0.51\n"
        for n in (0, 5, 10, 15, 20)
    )
    (suspect,) = check_job(read(sheet, "")).suspects
    assert_allclose(suspect.difference, -0.1 * FOOT, atol=0.01 * FOOT)
    assert "a tenth of a foot misread, too low" in suspect.slip
