"""Shots as spreadsheets and printed pages write them."""

import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from tests.unit.delimited.conftest import absolute

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
