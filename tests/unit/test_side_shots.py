"""Side shots that a field book without a column IS has under FS."""

import pytest
from numpy.testing import assert_allclose

from gradevol.files.sheets.level_notes import read_level_notes
from gradevol.ground.errors import InputError
from gradevol.site.levelling import reduce_levels

FOOT = 0.3048
#: Reduced by hand: HI 105.62, then 105.18.
BOOK = """Sta,BS(+),HI,FS(-),Elev
BM1,4.37,105.62,,101.25
1,,,6.88,98.74
2,,,6.81,98.81
TP1,5.16,105.18,5.60,100.02
3,,,5.40,99.78
BM1,,,3.94,101.24
"""
BY_HAND = [101.25, 98.74, 98.81, 100.02, 99.78, 101.24]


@pytest.fixture
def book(tmp_path):
    def book(text):
        path = tmp_path / "book.csv"
        path.write_text(text)
        return read_level_notes(path, unit="ft")

    return book


def observed(page):
    return [row.observed / FOOT for row in reduce_levels(page.notes).rows]


def test_they_are_read_as_the_book_has_them(book):
    page = book(BOOK)
    assert_allclose(observed(page), BY_HAND, atol=1e-9)
    assert [row.intermediate is not None for row in page.notes.rows] == [
        *(False, True, True, False, True, False)
    ]
    told = {note.code: note.text for note in page.remarks}
    assert "3 sights under FS" in told["side-shots-under-fs"]


def test_a_turning_point_in_two_rows_is_still_turned_on(book):
    rows = BOOK.replace("TP1,5.16,105.18,5.60,100.02", "A,,,5.60,100.02\nA,5.16,105.18,,100.02")
    assert_allclose(observed(book(rows)), [*BY_HAND[:4], 100.02, *BY_HAND[4:]], atol=1e-9)


def test_a_turning_point_whose_backsight_was_forgotten_is_refused(book):
    page = book(BOOK.replace("TP1,5.16,105.18", "TP1,,"))
    with pytest.raises(InputError, match="no instrument stands"):
        reduce_levels(page.notes)


def test_a_page_with_intermediate_sights_stays_as_it_is(book):
    page = book("point,BS,IS,FS,known\nBM,4,,,100\n1,,5,,\n2,,,5,\n3,,,6,\n")
    with pytest.raises(InputError, match="no instrument stands"):
        reduce_levels(page.notes)


def test_a_row_of_sums_is_no_point(book):
    with pytest.raises(InputError, match="the row 'Sum' was worked out"):
        book(BOOK + "Sum,9.53,,9.54,\n")
