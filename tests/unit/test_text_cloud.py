"""Text and PLY clouds: columns without a guess, every row a point, the same bins as of LAS."""

from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.clouds import text as text_cloud
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError
from tests.clouds import absolute, read, refused

N = 500


def points_of(n=N):
    """Points of an invented slope near E 512, N 834, in whole millimetres."""
    east, north = np.random.default_rng(1).uniform(0, 6, (2, n))
    return np.round(np.column_stack([512 + east, 834 + north, 20 + 0.02 * east]), 3)


def rows(points=None, *, mark=" ", after="", form=".3f"):
    points = points_of() if points is None else points
    return [mark.join(f"{value:{form}}" for value in point) + after for point in points]


def put(path, lines, *, end="\n"):
    path.write_text("\n".join(lines) + end)
    return path


@pytest.mark.parametrize("name", ["a.xyz", "a.TXT", "a.asc", "a.pts", "a.csv"])
@pytest.mark.parametrize(
    ("mark", "after"),
    [(" ", ""), ("\t", ""), (",", ""), (";", ""), (" ", " 17 200 100 50"), ("  ", " ")],
)
def test_rows_are_easting_northing_elevation(tmp_path, name, mark, after):
    survey = read(put(tmp_path / name, rows(mark=mark, after=after)))
    assert_allclose(absolute(survey), points_of(), rtol=0, atol=1e-9)
    assert survey.count == N
    (note,) = [note for note in survey.notes if note.code == "cloud-columns"]
    assert "base.columns" in note.text


def test_a_comment_that_reads_like_a_point_is_told(tmp_path):
    lines = rows()
    lines[40] = f"#{lines[40][1:]}"
    (said,) = [note.text for note in read(put(tmp_path / "a.xyz", lines)).notes
               if note.code == "rows-commented-out"]  # fmt: skip
    assert said.startswith("1 comment of a.xyz reads like a row, and is passed over: line 41")


@pytest.mark.parametrize(
    ("head", "columns"),
    [
        (["Y,X,Z,intensity"], None),
        (["northing,easting,elevation,code"], None),
        (["//Y,X,Z,Intensity"], None),
        (["# Y,X,Z,Intensity"], None),
        ([], "NEZ-"),
        ([], "yxz"),
        (["a remark,of,the,scanner"], "NEZ"),
    ],
)
def test_a_header_or_the_job_says_another_order(tmp_path, head, columns):
    points = points_of()[:, [1, 0, 2]]
    path = put(tmp_path / "a.csv", [*head, *rows(points, mark=",", after=",9")])
    assert_allclose(absolute(read(path, columns=columns)), points_of(), rtol=0, atol=1e-9)


def test_a_header_goes_before_the_job_and_a_note_says_so(tmp_path):
    path = put(tmp_path / "a.csv", ["X,Y,Z", *rows(mark=",")])
    survey = read(path, columns="NEZ")
    assert_allclose(absolute(survey), points_of(), rtol=0, atol=1e-9)
    assert "header-followed" in [note.code for note in survey.notes]


def test_decimal_commas_are_read(tmp_path):
    path = put(tmp_path / "a.xyz", [row.replace(".", ",") for row in rows(mark=" ")])
    assert_allclose(absolute(read(path)), points_of(), rtol=0, atol=1e-9)


def test_comments_and_blank_lines_are_passed_over(tmp_path):
    lines = rows()
    lines[3:3] = ["", "# a remark", "   ", "// another"]
    path = put(tmp_path / "a.xyz", ["# scan of an invented pad", "", *lines, ""])
    assert_allclose(absolute(read(path)), points_of(), rtol=0, atol=1e-9)


def test_units_are_the_jobs(tmp_path):
    survey = read(put(tmp_path / "a.xyz", rows()), unit="us-ft")
    assert_allclose(absolute(survey), points_of() * 1200 / 3937, rtol=0, atol=1e-9)
    refused(put(tmp_path / "b.csv", ["x_ft,y_ft,z_ft", *rows(mark=",")]), "in ft, but the job says")


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_blocks_do_not_matter(tmp_path, monkeypatch, ending):
    path = tmp_path / "a.xyz"
    path.write_bytes((ending.join(rows()) + ending).encode())
    monkeypatch.setattr(text_cloud, "_BLOCK", 1000)
    told = []
    survey = read_cloud(
        Cloud((path,), "m", ground=False), progress=lambda _what, share: told.append(share)
    )
    assert_allclose(absolute(survey), points_of(), rtol=0, atol=1e-9)
    assert len(told) > 5
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1, abs=0.06)


def test_it_makes_the_same_bins_as_any_cloud(tmp_path):
    points = points_of(3000)
    whole = read(put(tmp_path / "a.xyz", rows(points)), cell=0.5)
    other = put(tmp_path / "b.txt", rows(points[:1200][::-1]))
    rest = put(tmp_path / "c.csv", rows(points[1200:], mark=";"))
    tiled = read_cloud(Cloud((rest, other), "m", cell=0.5))
    assert_allclose(absolute(tiled), absolute(whole), rtol=0, atol=1e-9)
    assert tiled.count == 3000


def test_bounds_leave_points_out_and_count_them(tmp_path):
    points = np.vstack([points_of(), [[900_000.0, 4e6, 17.0]]])
    survey = read_cloud(
        Cloud((put(tmp_path / "a.xyz", rows(points)),), "m"), bounds=(512, 834, 515, 840)
    )
    inside = points_of()[points_of()[:, 0] <= 515]
    assert_allclose(absolute(survey), inside, rtol=0, atol=1e-9)
    (note,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    off = N + 1 - len(inside)
    assert f"{off:,} off the slab" in note.text


# What is refused


def test_the_line_of_a_row_that_is_no_point_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(text_cloud, "_BLOCK", 2000)
    lines = rows()
    lines[311] = "512.100 834.200 twenty"
    refused(
        put(tmp_path / "a.xyz", ["# invented", *lines]), r"line 313: .*'twenty' is not a number"
    )


@pytest.mark.parametrize(
    "row", ["512.1 834.2", "512.1 834.2 nan", "512.1 834.2 inf", "512.1 834.2 1,20.5"]
)
def test_a_row_without_three_numbers_is_refused(tmp_path, row):
    refused(put(tmp_path / "a.xyz", [*rows(), row, *rows()]), "line 501: .*is no point")


def test_pts_declares_how_many_points_follow(tmp_path):
    path = put(tmp_path / "a.pts", [f"{N}", *rows(after=" -1200 30 30 30")])
    assert_allclose(absolute(read(path)), points_of(), rtol=0, atol=1e-9)
    refused(put(tmp_path / "b.pts", [f"{N + 7}", *rows()]), "declares 507 points, but 500")
    refused(
        put(tmp_path / "c.pts", [f"{N - 7}", *rows()]),
        "but 500 could be read. .* more than one export",
    )


@pytest.mark.parametrize("lost", [1, 2, 3, 5, 9])
def test_a_last_row_that_lost_digits_is_refused(tmp_path, lost):
    path = tmp_path / "a.xyz"
    path.write_text("\n".join(rows())[:-lost])
    refused(path, "cut short|is no point")


def test_a_last_row_without_a_line_end_is_a_row(tmp_path):
    assert read(put(tmp_path / "a.xyz", rows(), end="")).count == N


def test_point_numbers_are_not_taken_for_eastings(tmp_path):
    lines = [f"{number + 1} {row}" for number, row in enumerate(rows())]
    refused(put(tmp_path / "a.xyz", lines), "look like point numbers")
    assert_allclose(absolute(read(tmp_path / "a.xyz", columns="PENZ")), points_of(), atol=1e-9)


def test_degrees_are_refused(tmp_path):
    points = (points_of() - [512, 834, 0]) * [1e-5, 1e-5, 1] + [-93.2, 44.9, 0]
    refused(put(tmp_path / "a.xyz", rows(points, form=".8f")), "look like degrees")


@pytest.mark.parametrize(
    ("content", "match"),
    [
        (b"", "is empty"),
        (b"# nothing but a remark\n", "no rows"),
        (b"here is no number at all\nnor here\n", "names of several words"),
        (b"512.1 834.2\n512.3 834.2\n", "does not begin with three numbers"),
        (b"PK\x03\x04" + bytes(60), "zip archive"),
        (b"<LandXML></LandXML>", "XML"),
        ("512.1 834.2 20.1\n".encode("utf-16"), "it is UTF-16 text"),
        (("512.1 834.2 20.1\n" * 9000).encode("utf-16"), "it is UTF-16 text"),
    ],
)
def test_what_is_no_text_of_points_is_refused(tmp_path, content, match):
    (tmp_path / "a.xyz").write_bytes(content)
    refused(tmp_path / "a.xyz", match)


def test_classes_of_text_and_columns_of_laz_are_refused(tmp_path):
    refused(put(tmp_path / "a.xyz", rows()), "carry no classes", classes=(2,))
    with pytest.raises(InputError, match="names no column"):
        read(tmp_path / "a.xyz", columns="ENQ")
    laz = Path(__file__).parents[2] / "sample_surveys" / "cloud_pad" / "base.laz"
    refused(laz, "is for clouds of text", columns="ENZ")


# PLY


def ply(path, points, *, kind="double", form="ascii", faces=(), more=""):
    head = ["ply", f"format {form} 1.0", f"element vertex {len(points)}"]
    head += [f"property {kind} {axis}" for axis in "xyz"]
    head += [f"property uchar {more}"] if more else []
    if len(faces):
        head += [f"element face {len(faces)}", "property list uchar int vertex_indices"]
    content = "\n".join([*head, "end_header", ""]).encode()
    if form == "ascii":
        lines = rows(points, after=" 7" if more else "")
        lines += [" ".join(map(str, [len(face), *face])) for face in faces]
        content += ("\n".join(lines) + "\n").encode()
    else:
        content += np.asarray(points).astype("<f8" if kind == "double" else "<f4").tobytes()
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("form", ["ascii", "binary_little_endian"])
def test_vertices_of_ply_are_points(tmp_path, form):
    survey = read(ply(tmp_path / "a.ply", points_of(), form=form), unit="ft")
    assert_allclose(absolute(survey), points_of() * 0.3048, rtol=0, atol=1e-9)
    assert survey.count == N
    assert survey.method == "point cloud"


def test_other_properties_are_passed_over_and_faces_noted(tmp_path):
    path = ply(tmp_path / "a.ply", points_of(), more="red", faces=[(0, 1, 2)])
    survey = read(path)
    assert_allclose(absolute(survey), points_of(), rtol=0, atol=1e-9)
    (note,) = [note for note in survey.notes if note.code == "cloud-faces"]
    assert "1 faces" in note.text


def test_ply_cut_short_or_with_too_few_digits_is_refused(tmp_path):
    for form, lost in (("ascii", 30), ("binary_little_endian", 5)):
        path = ply(tmp_path / "a.ply", points_of(), form=form)
        path.write_bytes(path.read_bytes()[:-lost])
        refused(path, "declares|vertex|few|but has")
    far = points_of() + np.array([500_000, 4_000_000, 0])
    single = ply(tmp_path / "b.ply", far, kind="float", form="binary_little_endian")
    refused(single, "too coarse")
    refused(ply(tmp_path / "c.ply", points_of()[:0]), "no points")


def test_a_cloud_may_mix_formats(tmp_path):
    first = ply(tmp_path / "a.ply", points_of()[:200])
    second = put(tmp_path / "b.xyz", rows(points_of()[200:]))
    survey = read_cloud(Cloud((first, second), "m"))
    assert_allclose(absolute(survey), points_of(), rtol=0, atol=1e-9)
