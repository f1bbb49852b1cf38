import pytest

from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Lattice, Rods
from gradevol.files.sheets.survey import read_rods
from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sniff import open_file
from gradevol.files.sources import Shots
from gradevol.files.tables.broken_rows import remark_on_commented
from gradevol.files.tables.table import read_table
from gradevol.ground.errors import InputError

HEADER = "point,n,e,z,code\n"
ROWS = "1,0.5,0.5,98.71,BASE\n2,0.5,9.5,98.72,BASE\n3,9.5,9.5,98.70,BASE\n4,9.5,0.5,98.73,BASE\n"


@pytest.fixture
def read(tmp_path):
    def take(text, **asked):
        path = tmp_path / "shots.csv"
        path.write_text(text, encoding="utf-8")
        return read_delimited(Shots((path,), "ft", **asked))

    return take


@pytest.mark.parametrize(
    ("row", "number"),
    [
        ("5,5.5,1.5,98,74,BASE", "98,74"),
        ("5,5.5,1.5,98,74", "98,74"),
        ("5,5,5,1.5,98.74,BASE", "5,5"),
        ("5,5.5,1,5,98.74,BASE", "1,5"),
    ],
)
def test_a_decimal_comma_among_commas_is_refused_and_named(read, row, number):
    with pytest.raises(InputError, match=f"'{number}' has a decimal comma") as caught:
        read(f"{HEADER}{ROWS}{row}\n")
    assert caught.value.line == 6


@pytest.mark.parametrize("row", ["5,5.5,1.5,98.74,2, wet", "5,5.5,1.5,98,7", "5,5.5,1.5,98.74,74"])
def test_words_with_a_number_before_them_are_no_decimal_comma(read, row):
    others = ROWS.replace("BASE", "7")
    assert len(read(f"{HEADER}{others}{row}\n").points) == 5


@pytest.mark.parametrize(
    ("last", "why"),
    [
        ("5,5.5,1.5,98.7", "has 4 cells where the others have 5"),
        ("5,5.5,1.5,98.74", "has 4 cells where the others have 5"),
        ("5,5.5,1.5,98.74,", "its last cell is empty where those of all others are not"),
        ("5,5.5,1.5,98.74,BA", "'BA' may be the beginning of 'BASE'"),
    ],
)
def test_a_file_cut_in_its_last_row_is_refused_even_where_codes_leave_it_out(read, last, why):
    for codes in ((), ("BASE",)):
        with pytest.raises(InputError, match=r"the last row, .* was cut short") as caught:
            read(HEADER + ROWS + last, codes=codes)
        assert why in str(caught.value)


def test_a_last_row_between_blanks_that_lost_its_description_is_refused(read):
    rows = (HEADER + ROWS).replace(",", " ")
    with pytest.raises(InputError, match="has 4 cells where the others have 5"):
        read(f"{rows}5 5.5 1.5 98.74")
    assert len(read(f"{rows}5 5.5 1.5 98.74\n").points) == 5


def test_digits_that_only_the_last_row_lost_are_missed(read):
    rows = "".join(f"{row.rsplit(',', 1)[0]}\n" for row in ROWS.splitlines())
    with pytest.raises(InputError, match=r"'98' has 0 decimals where all others have 2 or more"):
        read("point,n,e,z\n" + rows + "5,5.5,1.5,98")
    assert len(read("point,n,e,z\n" + rows + "5,5.5,1.5,98\n").points) == 5


def test_a_last_row_without_a_line_feed_is_read_where_it_is_whole(read):
    assert len(read(HEADER + ROWS + "5,5.5,1.5,98.74,BASE").points) == 5
    assert len(read(HEADER + ROWS + "5,5.5,1.5,98.74,FORM").points) == 5


def test_a_quote_left_open_in_the_last_row_is_refused(read):
    with pytest.raises(InputError, match="a quote is left open") as caught:
        read(HEADER + ROWS + '5,5.5,1.5,98.74,"BASE')
    assert caught.value.line == 6


def test_a_sheet_cut_in_its_last_reading_is_refused(tmp_path):
    path = tmp_path / "rods.csv"
    path.write_text(",0,10\n0,5.25,5.26\n10,5.24,5")
    rods = Rods(path, "ft", Lattice("ft"), 100.0)
    with pytest.raises(InputError, match=r"its last reading, '5', has 0 decimals"):
        read_rods(rods, Files())


@pytest.mark.parametrize("row", [";,9.5,5.5,98.71,BASE", "# 5, 9.5, 5.5, 98.71, BASE"])
def test_a_comment_that_reads_like_a_row_is_told(tmp_path, row):
    (note,) = remark_on_commented(tabulate(tmp_path, f"{HEADER}{ROWS}{row}\n"))
    assert note.text.startswith(
        "1 comment of shots.csv reads like a row, and is passed over: line 6"
    )
    assert repr(row) in note.text


def test_a_comment_between_blanks_that_took_the_place_of_a_number_is_told(tmp_path):
    rows = ROWS.replace(",", " ")
    (note,) = remark_on_commented(tabulate(tmp_path, f"{rows}; 9.5 5.5 98.71 BASE\n"))
    assert "line 5" in note.text


@pytest.mark.parametrize(
    "comment",
    [
        "# point,n,e,z,code",
        "# Rod and level, two setups, feet, 4 crew, 5 days",
        "; BM 1 at 0.0,0.0: 100.00",
        "#",
        "// 12",
    ],
)
def test_a_comment_that_reads_like_words_is_not_told(tmp_path, comment):
    for text in (f"{comment}\n{HEADER}{ROWS}", f"{HEADER}{ROWS}{comment}\n"):
        assert remark_on_commented(tabulate(tmp_path, text)) == []


def tabulate(folder, text):
    path = folder / "shots.csv"
    path.write_text(text)
    return read_table(open_file(path))
