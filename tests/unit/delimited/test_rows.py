"""Rows of a table: numbers, faults, codes and files."""

import pytest
from numpy.testing import assert_allclose

from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sniff import open_file
from gradevol.files.sources import Shots
from gradevol.files.tables.table import read_table
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES, Units
from tests.unit.delimited.conftest import ENZ, PNEZD, absolute, codes_of


def test_numbers_are_read_as_people_write_them(read):
    survey = read(
        '1,1e1,+20,"99\' 6""",BASE\n2,-11.,.5,99\'-6 1/2",BASE\n3,−3,21,  100’ 3” ,BASE\n',
        unit="ft",
    )
    assert_allclose(
        absolute(survey) / METRES["ft"],
        [[20, 10, 99.5], [0.5, -11, 99 + 6.5 / 12], [21, -3, 100.25]],
        atol=1e-12,
    )
    assert survey.readings == ("99' 6\"", "99'-6 1/2\"", "100’ 3”")


def test_decimal_commas_are_read_where_they_part_no_cells(read):
    rows = "1|10,5|20,25|100,1|BASE\n2|11|21|100,2|\n3|12|22,5|100,3|BASE\n4|13|20|100,4|B\n"
    for delimiter in (";", "\t", " "):
        assert_allclose(absolute(read(rows.replace("|", delimiter))), ENZ, rtol=1e-15)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1;1,34.5;20.5;100.5\n2;11.5;21.5;100.5\n3;12.5;2.5;100.5\n", "northing '1,34.5'"),
        ("1;12,5;20.5;100.5\n2;11.5;21.5;100.5\n3;12.5;2.5;100.5\n", "thousands mark"),
        ("1;12,5;20,5;100.5\n2;11,5;21,5;100,5\n3;12,5;2,5;100,5\n", "decimal point, but most"),
        ('1,"1,234",20,100\n2,11,21,100\n3,12,20,100\n4,5,5,5\n', "thousands mark"),
        ("1;1.34,5;2,5;100,5\n2;11,5;21,5;100,5\n3;12,5;2,5;100,5\n", "thousands mark"),
        ("1,1'008.5,2.5,100.5\n2,1'002.5,1.5,100.5\n3,1'003,2,100.5\n", "part thousands"),
    ],
)
def test_thousands_and_mixed_marks_are_refused(read, text, said):
    with pytest.raises(InputError, match=said):
        read(text)


def test_commas_that_may_part_thousands_of_millimetres_are_refused(read):
    text = "1;12,345;20,100;1,001\n2;11,000;21,000;1,002\n3;12,000;20,000;1,003\n"
    with pytest.raises(InputError, match="may be a thousands mark or a decimal comma"):
        read(text, unit="mm")
    assert_allclose(absolute(read(text))[0], [20.1, 12.345, 1.001])


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("3,12,ten,100.3,BASE", "easting 'ten' is not a number"),
        ("3,12+50.2,22,100.3,BASE", r"northing '12\+50.2' is a station: .* a distance, 1250.2"),
        ("3,12,22,,BASE", "the elevation is blank"),
        ("3,12,22,nan,BASE", "elevation 'nan' is not a measured number"),
        ("3,12,22,-Inf,BASE", "'-Inf' is not a measured number"),
        ("3,12,22,1e999,BASE", "too large"),
        ("3,12,22,99' 14\",BASE", "has 14 inches: twelve make a foot"),
        ("3,12,22,99 yd,BASE", "names no known unit"),
        *(
            (f"3,12,22,{cell},BASE", f"elevation '{cell}' is a date: a spreadsheet makes one of")
            for cell in ("8-Apr", "4. Mar. 2026", "Apr-48", "2026-04-08", "04/08/26")
        ),
        ("3,12,22,99-6,BASE", "'99-6' is not a number"),
        ("3,12,22,1_00,BASE", "'1_00' is not a number"),
        (
            "average,,,100.3,BASE",
            "easting is blank.* delete it if it is no point; columns were read as P",
        ),
        ("3,12,22", "a row of 3 cells is too short for the columns PNEZD"),
        ("3,12,5,22,5,100,3", "a row of 7 cells, with numbers at its end"),
    ],
)
@pytest.mark.parametrize("codes", [(), ("BASE",)])
def test_a_bad_row_is_named_by_line_and_quoted(read, row, said, codes):
    with pytest.raises(InputError, match=said) as caught:
        read(f"# demo\n{PNEZD}\n{row}\n", codes=codes)
    assert "shots1.csv, line 7: " in str(caught.value)
    assert f"in '{row}'" in str(caught.value)


def test_a_number_longer_than_any_is_refused(read):
    with pytest.raises(InputError, match="is not a number: it has 404 characters"):
        read(f"{PNEZD}\n3,12,22,100.{'3' * 400},BASE\n")


def test_a_bad_row_says_how_many_there_are(read):
    with pytest.raises(InputError, match=r"line 5: .*; 2 rows have faults in all"):
        read(PNEZD + "5,a,1,1,BASE\n6,1,1,1,BASE\n7,1,1,b,BASE\n")


def test_a_description_at_the_end_takes_in_what_follows_it(read):
    survey = read("1,10,20,100,BASE, wet\n2,11,21,100,\n3,12,20,100,BASE,,\n4,1,2,100\n")
    assert survey.codes == ("BASE, wet", "", "BASE", "")
    survey = read('1 10 20 100 FORM TOP 2\n2 11 21 100\n3 12 20 100 "WET BASE"\n')
    assert survey.codes == ("FORM TOP 2", "", "WET BASE")


def test_more_cells_than_columns_are_not_dropped_in_silence(read):
    with pytest.raises(InputError, match="a row of 5 cells is too long for the columns PNEZ"):
        read(PNEZD, columns="PNEZ")
    assert len(read(PNEZD, columns="PNEZ-").points) == 4


def test_a_decimal_comma_that_became_a_mark_between_cells_is_not_left_out_by_its_code(read):
    rows = "1;10,5;20,2;100,1;BASE\n2;11,5;21,2;100,2;BASE\n3;12,5;22,2;100,3;BASE\n"
    with pytest.raises(InputError, match="with numbers at its end, does not fit PNEZD"):
        read(f"{rows}4;13;5;20,2;100,4;BASE\n", columns="PNEZD", codes=("BASE",))
    described = read(f"{rows}4;13,5;20,2;100,4;BASE;2 in stone\n", codes=("BASE*",))
    assert described.codes[-1] == "BASE; 2 in stone"


def test_a_quote_that_is_left_open_never_swallows_shots(read):
    with pytest.raises(InputError, match="line 2: a quote is left open"):
        read('1,10,20,100,BASE\n2,11,21,100,"BASE\n3,12,20,100,BASE\n4,13,20,100,BASE\n')


def test_codes_are_patterns_without_regard_to_case(read):
    survey = read(PNEZD + "5,9,9,99,based\n6,8,8,98,\n", codes=("ba?e", "FO*"))
    assert survey.ids == ("1", "2", "3", "4")


def test_rows_of_other_codes_need_no_numbers(read):
    assert read(PNEZD + "BM,,,100,BENCH\n", codes=("BASE",)).ids == ("1", "3", "4")


def test_codes_that_match_nothing_are_answered_with_those_there_are(read):
    with pytest.raises(InputError, match=r"asks for STONE, .* BASE \(3\), FORM \(1\)"):
        read(PNEZD, codes=("STONE",))


def test_codes_that_match_nothing_are_told_by_their_table_of_the_job(tmp_path):
    path = tmp_path / "shots.csv"
    path.write_text(PNEZD)
    with pytest.raises(InputError, match=r": slab\.edge\.codes asks for E.*Set slab\.edge\.codes"):
        read_delimited(Shots((path,), "m", codes=("E",), key="slab.edge"))


def test_a_pattern_and_a_file_without_a_match_are_noted(read):
    survey = read(PNEZD, "9,1,2,3,FORM\n", codes=("BASE", "{STONE}*"))
    assert codes_of(survey) == [*("code-matches-nothing", "codes-left-out", "file-without-shots")]
    assert "{STONE}*" in survey.notes[0].say(Units.of_job("m"))


def test_codes_without_descriptions_are_refused(read):
    with pytest.raises(InputError, match="no column holds descriptions"):
        read("1,10,20,100\n2,11,21,100\n3,12,20,100\n", codes=("BASE",))


def test_longitudes_and_latitudes_are_refused_as_such(read):
    rows = "".join(f"{k},{44.9 + k % 3 * 1e-5:.7f},{-93.1 + k * 1e-5:.7f},99.9\n" for k in range(6))
    with pytest.raises(InputError, match="look like degrees of longitude and latitude"):
        read(rows)


def test_fewer_than_three_shots_are_refused(read):
    with pytest.raises(InputError, match="2 shots cannot make a surface"):
        read("1,10,20,100,BASE\n2,11,21,100,BASE\n")
    with pytest.raises(InputError, match=r"1 shot cannot .* base.codes"):
        read(PNEZD, codes=("FORM",))


def test_ids_that_repeat_are_kept_and_noted(read):
    survey = read(PNEZD + "2,9,9,99,BASE\n{7},8,8,98,BASE\n{7},7,8,98,BASE\n")
    assert len(survey.points) == 7
    (note,) = survey.notes
    assert note.code == "duplicate-ids"
    assert note.points == ("2", "{7}")
    assert "2 (2 times), {7} (2 times)" in note.say(Units.of_job("ft"))


def test_files_are_joined_in_order_about_one_origin(read):
    survey = read(PNEZD, "point,easting,northing,elevation\n4,1,2,3\n5,4,5,6\n")
    assert survey.ids == ("1", "2", "3", "4", "4", "5")
    assert survey.codes == ("BASE", "FORM", "BASE", "BASE", "", "")
    assert_allclose(absolute(survey)[:4], ENZ)
    assert_allclose(absolute(survey)[4:], [[1, 2, 3], [4, 5, 6]])
    assert codes_of(survey) == ["duplicate-ids"]


def test_shots_without_ids_go_by_their_line(read):
    text = "E,N,Z\n20,10,100\n\n21,11,100\n20,13,100\n"
    assert read(text).ids == ("line 2", "line 4", "line 5")
    survey = read(text, text)
    assert survey.ids[3] == "shots2.csv line 2"
    assert survey.notes == ()


def test_a_guessed_encoding_is_noted(tmp_path):
    path = tmp_path / "shots.csv"
    path.write_bytes(PNEZD.replace("FORM", "Höhe").encode("cp1252"))
    survey = read_delimited(Shots((path,), "m"))
    assert survey.codes[1] == "Höhe"
    assert codes_of(survey) == ["encoding-guessed"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("# nothing\n", "no rows"),
        ("<?xml version='1.0'?>", "XML"),
        ("point,n,e,z\n", "0 shots"),
        ("\ufeff", "no rows"),
        ("x" * 200_000, "1 column"),
        ("1,2,3,4\n" + "x" * 200_000 + ",1,2,3\n", "not delimited text"),
        ('1,2,3,4\n"' + "x" * 200_000 + '",1,2,3\n', "not delimited text"),
    ],
)
def test_files_without_points_are_refused(read, text, said):
    with pytest.raises(InputError, match=said):
        read(text)


def test_names_of_two_words_between_blanks_do_not_shift_the_columns(read):
    rows = "  1  10.5  20.25  100.1\n  2  11.0  21.00  100.2\n  3  12.0  22.50  100.3\n"
    survey = read(f"Point No  Northing  Easting  Elev (m)\n{rows}")
    assert_allclose(absolute(survey), ENZ[:3])
    with pytest.raises(InputError, match="names of several words"):
        read(f"Point No Northing Easting Elev (m)\n{rows}")


def test_the_first_line_of_a_spreadsheet_may_name_its_delimiter(read):
    survey = read("sep=;\r\n" + PNEZD.replace(",", ";").replace("\n", "\r\n"))
    assert_allclose(absolute(survey), ENZ)


def test_a_table_is_read_without_judgement(tmp_path):
    path = tmp_path / "shots.txt"
    path.write_text("# demo\nPunkt;Wert\n1;10,5\n\n2;zehn\n")
    table = read_table(open_file(path))
    assert table.header == ("Punkt", "Wert")
    assert [list(row) for row in table.rows] == [["1", "10,5"], ["2", "zehn"]]
    assert list(table.lines) == [3, 5]
    assert (table.delimiter, table.decimal, table.encoding) == (";", ",", "utf-8")


@pytest.mark.slow
def test_a_hundred_thousand_plain_shots_are_read_whole(tmp_path):
    path = tmp_path / "many.csv"
    count = 100_000
    path.write_text("".join(f"{i},{i % 317}.125,{i // 317}.5,100.25,BASE\n" for i in range(count)))
    survey = read_delimited(Shots((path,), "ft"))
    assert len(survey.points) == count
    assert survey.ids[-1] == str(count - 1)
    assert_allclose(absolute(survey)[318] / METRES["ft"], [1.5, 1.125, 100.25])


def test_decimal_commas_in_every_row_are_refused_and_never_read_as_whole_numbers(read):
    rows = "".join(f"{at},{at},{2 * at},98,{410 + at},BASE\n" for at in range(1, 6))
    with pytest.raises(
        InputError, match="more than the columns PNEZD: has a number a decimal comma"
    ):
        read("point,northing,easting,elevation,description\n" + rows)


def test_words_with_a_comma_in_every_description_are_kept(read):
    rows = "".join(f"{at},{at},{at * at},98.5,stone, wet\n" for at in range(1, 6))
    survey = read("point,northing,easting,elevation,description\n" + rows)
    assert set(survey.codes) == {"stone, wet"}


@pytest.mark.parametrize("name", ["Average", "Mean:", "TOTAL"])
def test_a_row_of_means_is_no_shot(read, name):
    rows = "1,0,0,98.5\n2,0,9,98.6\n3,9,0,98.7\n"
    with pytest.raises(InputError, match=f"line 5: the row '{name}' was worked out, not shot"):
        read(f"point,northing,easting,elevation\n{rows}{name},3,3,98.6\n")


@pytest.mark.parametrize("level", ["412;045", "412;5"])
def test_a_number_that_slid_into_the_description_is_refused(read, level):
    rows = "1;0,5;0,5;412,1;BASE\n2;9,5;0,5;412,2;BASE\n"
    with pytest.raises(InputError, match=r"line 4: .*does not fit"):
        read(
            f"point;easting;northing;elevation;code\n{rows}3;0,5;9,5;{level};BASE\n", codes=["BASE"]
        )
