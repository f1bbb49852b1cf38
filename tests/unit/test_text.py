from pathlib import Path

import pytest

from gradevol.files.sniff import open_file, sniff
from gradevol.files.tables.lines import split_lines
from gradevol.files.tables.table import read_table
from gradevol.files.tables.text import (
    find_decimal,
    find_delimiter,
    is_number_like,
    read_text,
    split_cells,
)
from gradevol.files.tickets.table import read_tickets
from gradevol.ground.errors import InputError

WORDS = "1,10.5,20.25,100.1,Höhe ½\r\n"


@pytest.mark.parametrize(
    ("mark", "encoding", "named"),
    [
        (b"", "utf-8", "utf-8"),
        (b"\xef\xbb\xbf", "utf-8", "utf-8-sig"),
        (b"\xff\xfe", "utf-16-le", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be", "utf-16-be"),
        (b"", "cp1252", "cp1252"),
    ],
)
def test_the_same_words_come_out_of_every_encoding(tmp_path, mark, encoding, named):
    path = tmp_path / "shots.csv"
    path.write_bytes(mark + WORDS.encode(encoding))
    text = read_text(open_file(path))
    assert text.content == "1,10.5,20.25,100.1,Höhe ½\n"
    assert text.encoding == named


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_lines_end_in_any_of_three_ways(tmp_path, end):
    path = tmp_path / "shots.csv"
    path.write_bytes(end.join([b"1,2", b"3,4"]) + end + b"\x1a")
    lines, numbers, *_ = split_lines(read_text(open_file(path)).content)
    assert lines == ["1,2", "3,4"]
    assert list(numbers) == [1, 2]


@pytest.mark.parametrize(
    ("data", "seems"),
    [
        (b"LASF\x00\x00", "point cloud"),
        (b"PK\x03\x04\x14\x00plan.shp", "zip archive"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\x00", "xls"),
        (b"%PDF-1.7\n", "PDF"),
        (b"ASTM-E57\x01\x00\x00\x00", "E57"),
        (b"1,2\x00\x07,3\n", "binary"),
        ("1,10.5,20.25\n".encode("utf-16-le"), "UTF-16"),
        (b"\xff\xfe1", "UTF-16"),
        (b"caf\x81\n", "neither UTF-8 nor Windows-1252"),
        (b"", "empty"),
        (b" \n\n", "empty"),
    ],
)
def test_a_file_that_is_not_text_is_named(tmp_path, data, seems):
    path = tmp_path / "wrong.csv"
    path.write_bytes(data)
    with pytest.raises(InputError, match=seems) as caught:
        read_table(open_file(path))
    assert "wrong.csv" in str(caught.value)


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (b"\xff\xd8\xff\xe1\x00\x18Exif", "JPEG picture"),
        (b"\x89PNG\r\n\x1a\n", "PNG picture"),
        (b"GIF89a\x01\x00", "GIF picture"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "HEIF picture"),
        (b"\x00\x00\x00\x1cftypmif1\x00\x00\x00\x00mif1heic", "HEIF picture"),
        (b"RIFF\x24\x00\x00\x00WEBPVP8 ", "WebP picture"),
        (b"\x00\x00\x00\x18ftypisom\x00\x00\x02\x00isommp41", "film"),
        (b"%PDF-1.7\n1 0 obj", "PDF"),
    ],
)
def test_a_photo_of_tickets_is_known_by_its_content_and_not_read(tmp_path, data, kind):
    path = tmp_path / "tickets.csv"
    path.write_bytes(data)
    with pytest.raises(InputError) as caught:
        read_tickets(path, unit="ft")
    said = str(caught.value)
    assert f"it is a {kind}, and " in said
    assert "is not read. " in said
    assert "of delivery tickets one row a load, under load,ticket,volume,finished" in said
    assert "\n" not in said


def test_a_missing_file_is_told_with_the_nearest_name(tmp_path):
    (tmp_path / "shots.csv").write_text("1\n")
    with pytest.raises(InputError, match=r"no such file. Did you mean 'shots.csv'\?$"):
        open_file(tmp_path / "shot.csv")
    with pytest.raises(InputError, match="Check the name"):
        open_file(tmp_path / "nowhere" / "shots.csv")


def test_a_link_to_nothing_is_told_as_one(tmp_path):
    link = tmp_path / "shots.csv"
    link.symlink_to("drive.csv")
    with pytest.raises(InputError, match=r"shots\.csv: it is a link to drive\.csv, which is not"):
        open_file(link)


def test_a_folder_is_told(tmp_path):
    with pytest.raises(InputError, match="folder"):
        open_file(tmp_path)


def test_comments_and_blank_lines_are_left_out_but_counted():
    lines, numbers, comment, _ = split_lines(
        "# the first\n\n// point, n\n  # e, n, z\n1,2\n;;;\n,,\n#3,4\n;3,4\n5,6\n"
    )
    assert lines == ["1,2", "5,6"]
    assert numbers == [5, 10]
    assert comment == "e, n, z"


@pytest.mark.parametrize(
    ("lines", "delimiter"),
    [
        (["1,10.5,20.2,100.1,BASE"], ","),
        (["1, 10.5, 20.2, 100.1, FORM TOP EAST"], ","),
        (["1;10,5;20,2;100,1;BASE"], ";"),
        (["1;10.5;20.2;100.1;BASE, EDGE"], ";"),
        (["1\t10.5\t20.2\t100.1\tFORM TOP"], "\t"),
        (["1\t10,5\t20,2\t100,1"], "\t"),
        (["  1   10.5    20.2   100.1  BASE"], " "),
        (["1 10,5 20,2 100,1 BASE"], " "),
        (["10,5 20,3", "11,5 21,3"], " "),
        (["1,100'-6 1/2\",99' 6\",100'-1\",BASE"], ","),
        (["1,10.5,20.2,100.1,WALL 1 2 3", "2,10.5,20.2,100.1,"], ","),
        (["point;easting;northing;elevation"], ";"),
        (["STA\tBS\tFS", "BM 1\t4.26\t", "TP 1\t5.02\t4.47", "BM 2\t\t3.41"], "\t"),
        (["easting northing"], " "),
        (["alone"], " "),
    ],
)
def test_the_delimiter_is_found(lines, delimiter):
    assert find_delimiter(lines) == delimiter


def test_quoted_cells_may_hold_the_delimiter_and_inches():
    rows = split_cells(['1, "BASE, EDGE", "5\'-6 1/2""",99\' 6"'], ",")
    assert rows == [("1", "BASE, EDGE", "5'-6 1/2\"", "99' 6\"")]


def test_the_decimal_mark_is_that_of_most_numbers():
    assert find_decimal([["1.1", "10,5", "20,3", "100,2"]], ";") == ","
    assert find_decimal([["1", "10.5", "20.3", "100.2", "2,5"]], ";") == "."
    assert find_decimal([["1", "10,5", "20,3"]], ",") == "."
    assert find_decimal([["1", "10", "20"]], ";") == "."


@pytest.mark.parametrize("cell", ["1", "-1.5", "−2", "1,5", ".5", "1e3", "99' 6\"", "6 1/2 in"])
def test_numbers_look_like_numbers(cell):
    assert is_number_like(cell)


@pytest.mark.parametrize("cell", ["", "BASE", "A1", "1A", "1,2,3", "N", "-", "2024-05-01"])
def test_words_do_not(cell):
    assert not is_number_like(cell)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ('<?xml version="1.0"?>', "LandXML"),
        (' {"type": 1}', "GeoJSON"),
        ("\ufeff[1]", "GeoJSON"),
        ("  0\nSECTION\n  2\n", "DXF"),
        ("  0\r\nSECTION\r\n  2\r\n", "DXF"),
        ("ply\nformat ascii 1.0\n", "PLY"),
        ("ncols 4\nnrows 4\n", "ASCII grid"),
        ("# made up\nv 0 0 0\nv 1 0 0\nf 1 2 1\n", "OBJ"),
        ("# mine\nunits = 'm'\n\n[base]\nshots = 1\n", "job"),
        ("1,2,3\n", "text"),
        ("v 0 0 0\n1,2,3\n", "text"),
    ],
)
def test_kinds_of_text_are_told_apart(text, kind):
    assert sniff(Path("shots"), text.encode()) == kind


def test_what_is_no_table_is_refused_by_what_it_is(tmp_path):
    path = tmp_path / "shots.csv"
    path.write_text("units = 'm'\n[base]\n")
    with pytest.raises(InputError, match="a job file, which `gradevol check` reads, not a table"):
        read_table(open_file(path))


def test_a_file_that_only_ends_alike_is_not_suggested(tmp_path):
    (tmp_path / "e.csv").write_text("1\n")
    with pytest.raises(InputError, match=r"no such file\. Check the name and the folder\.$"):
        open_file(tmp_path / "nope.csv")


@pytest.mark.parametrize(
    ("content", "held", "comment"),
    [
        ("; job 7\n1,2,3\n; 9,9,9\n4,5,6\n", ["1,2,3", "4,5,6"], "job 7"),
        ("  ;N E Z\n1 2 3\n4 5 6\n", ["1 2 3", "4 5 6"], "N E Z"),
        ("a|b|c\n;1|2|3\n4|5|6\n", ["a|b|c", "4|5|6"], ""),
        # there it is a cell without anything in it, as where a point has no number
        (";2;3\n4;5;6\n", [";2;3", "4;5;6"], ""),
        ("p;n;e\n;2;3\n", ["p;n;e", ";2;3"], ""),
        ("sep=;\n;2;3\n", ["sep=;", ";2;3"], ""),
        (";1;2;3\n;4;5;6\n", [";1;2;3", ";4;5;6"], ""),
        ("1,5;2,5;3\n;2,5;3\n", ["1,5;2,5;3", ";2,5;3"], ""),
        ("|||\n1|2|3\n", ["1|2|3"], ""),
    ],
)
def test_a_line_that_begins_with_a_semicolon_is_a_comment_where_it_parts_no_cells(
    content, held, comment
):
    lines, _, told, _ = split_lines(content)
    assert (lines, told) == (held, comment)


@pytest.mark.parametrize("mark", ["|", ";", ",", "\t"])
def test_what_stands_between_numbers_is_found(mark):
    rows = [mark.join(row) for row in (["p", "n", "e"], ["1", "20.5", "30"], ["2", "21", "31 "])]
    assert find_delimiter(rows) == mark
    assert find_delimiter(rows[:1]) == mark
