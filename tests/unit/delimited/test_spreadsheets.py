"""Shots as spreadsheets and printed pages write them."""

import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from tests.unit.delimited.conftest import ENZ, PNEZD, absolute

WITH_COMMAS = "1;2.134.567,5;1.020,25;100,1\n2;2.134.568,5;999,75;100,2\n3;2134569,5;1010;100,3\n"


@pytest.mark.parametrize(
    "text",
    [
        '1,"2,134,567.5","1,020.25",100.1\n2,"2,134,568.5",999.75,100.2\n3,2134569.5,1010,100.3\n',
        WITH_COMMAS,
        WITH_COMMAS.replace(".", "\u00a0"),
    ],
)
def test_thousands_that_can_be_nothing_else_are_read(read, text):
    expected = [(1020.25, 2134567.5, 100.1), (999.75, 2134568.5, 100.2), (1010, 2134569.5, 100.3)]
    assert_allclose(absolute(read(text)), expected, rtol=1e-15)


def test_a_header_that_stands_again_is_left_out_and_told(read):
    head, rows = "P,N,E,Z,D\n", ["1,10,20,100.1,B\n", "2,11,21,100.2,B\n", "3,12,20,100.3,B\n"]
    survey = read(head + rows[0] + head + rows[1] + rows[2])
    assert survey.ids == ("1", "2", "3")
    (note,) = [note for note in survey.notes if note.code == "header-again"]
    assert "line 3" in note.text
    with pytest.raises(InputError, match="'N' is not a number"):
        read(head + rows[0] + "P,Elev,N,E,D\n" + rows[1] + rows[2])


@pytest.mark.parametrize(
    "header",
    [
        "Name,Grid Northing,Grid Easting,Ortho Height,Code",
        "Name,Local N (m),Local E (m),Elev (m),Code",
        "Name,Northing,Easting,Orthometric Elevation,Code",
    ],
)
def test_a_word_before_a_coordinate_says_which_it_is(read, header):
    assert_allclose(absolute(read(f"{header}\n{PNEZD}")), ENZ)


def test_beside_a_plain_coordinate_it_is_passed_over_and_two_kinds_are_refused(read):
    rows = "1,10,20,99,99,5\n2,11,21,99,99,6\n3,12,20,99,99,7\n"
    survey = read("P,N,E,Grid Northing (ft),Grid Easting (ft),Z (m)\n" + rows)
    assert_allclose(absolute(survey), [[20, 10, 5], [21, 11, 6], [20, 12, 7]])
    with pytest.raises(InputError, match="both name the northing"):
        read("P,Ground N,Ground E,Grid N,Grid E,Z\n" + rows)
    with pytest.raises(InputError, match="names no elevation"):
        read("P,N,E,Ellipsoidal Height,a,b\n" + rows)
