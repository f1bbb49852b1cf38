from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.tree.result import present
from gradevol.files import read_base
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.job import read_job

FOOT = METRES["ft"]
SAMPLES = Path(__file__).parents[2] / "sample_surveys"
SHEET = ",1.5,10,20\n0,5.00,5.10,5.20\n15,5.30,,5.50\n"
PLACES = [(1.5, 0), (10, 0), (20, 0), (1.5, 15), (20, 15)]
LETTERS = ",A,B,C\n1,5.0,5.1,5.2\n2,5.3,,5.5\n"
REST = '[slab]\nedge = [[0, 0], [20, 0], [20, 20]]\nthickness = "6 in"\n[top]\nlevel = 95.5\n'


@pytest.fixture
def read(tmp_path):
    """Read the survey of a job whose base is a rod sheet."""

    def read_text(sheet, base="instrument_height = 100\n", *, after=""):
        (tmp_path / "rods.csv").write_text(sheet, encoding="utf-8")
        path = tmp_path / "job.toml"
        path.write_text(f'units = "ft"\n[base]\nrods = "rods.csv"\n{base}{after}{REST}')
        return read_base(read_job(path).base.source, progress=lambda *_: None)[0]

    return read_text


@pytest.fixture
def refuse(read):
    """Read a sheet that must be refused; return what is said."""

    def refuse_text(sheet, base="instrument_height = 100\n", **rest):
        with pytest.raises(InputError) as caught:
            read(sheet, base, **rest)
        return str(caught.value)

    return refuse_text


def absolute(survey):
    return (survey.points + survey.origin) / FOOT


def test_a_cell_is_a_shot_at_its_labels_and_a_blank_is_none(read):
    survey = read(SHEET)

    assert_allclose(absolute(survey)[:, :2], PLACES, atol=1e-12)
    assert_allclose(absolute(survey)[:, 2], [95, 94.9, 94.8, 94.7, 94.5], atol=1e-12)
    assert survey.ids == ("0/1.5", "0/10", "0/20", "15/1.5", "15/20")
    assert survey.readings == ("5.00", "5.10", "5.20", "5.30", "5.50")
    assert (survey.method, survey.is_read_down, survey.setups) == ("rod and level", True, ())


def test_benchmark_and_backsight_make_the_height_of_instrument(read):
    survey = read(SHEET, "benchmark = 96\nbacksight = 4\n")
    assert_allclose(absolute(survey), absolute(read(SHEET)))


@pytest.mark.parametrize(
    ("bearing", "places"),
    [
        (0, [(101.5, 200), (110, 200), (120, 200), (101.5, 215), (120, 215)]),
        (90, [(100, 198.5), (100, 190), (100, 180), (115, 198.5), (115, 180)]),
        (180, [(98.5, 200), (90, 200), (80, 200), (98.5, 185), (80, 185)]),
        (270, [(100, 201.5), (100, 210), (100, 220), (85, 201.5), (85, 220)]),
    ],
)
def test_rows_advance_along_the_bearing_and_columns_to_its_right(read, bearing, places):
    survey = read(SHEET, f"instrument_height = 100\norigin = [100, 200]\nbearing = {bearing}\n")
    assert_allclose(absolute(survey)[:, :2], places, atol=1e-11)


def test_a_bearing_between_turns_the_lattice_and_keeps_its_distances(read):
    survey = read(SHEET, "instrument_height = 100\nbearing = 30\n")
    east, north = absolute(survey)[3, :2]  # 15 along, 1.5 to the right
    assert_allclose(east, 15 * 0.5 + 1.5 * np.sqrt(0.75), atol=1e-12)
    assert_allclose(north, 15 * np.sqrt(0.75) - 1.5 * 0.5, atol=1e-12)


@pytest.mark.parametrize(
    ("spacing", "across", "up"), [("10", 10, 10), ('["8 ft 6 in", 12]', 8.5, 12)]
)
def test_lines_that_are_lettered_and_numbered_lie_at_their_spacing(read, spacing, across, up):
    survey = read(LETTERS, f"instrument_height = 100\norigin = [5, 7]\nspacing = {spacing}\n")
    assert_allclose(
        absolute(survey)[:, :2],
        np.array([(0, 0), (1, 0), (2, 0), (0, 1), (2, 1)]) * [across, up] + [5, 7],
        atol=1e-12,
    )
    assert survey.ids == ("A1", "B1", "C1", "A2", "C2")


@pytest.mark.parametrize(
    ("labels", "steps"),
    [
        ("A,B,C", (0, 1, 2)),
        ("G,H,J", (0, 1, 2)),  # drawings leave out I
        ("1,2,4", (0, 1, 3)),
        ("L7,L8,L10", (0, 1, 3)),
        ("west,middle,east", (0, 1, 2)),
    ],
)
def test_labels_count_the_lines_from_the_first(read, labels, steps):
    survey = read(f",{labels}\n1,5,5,5\n2,5,5,5\n", "instrument_height = 100\nspacing = 10\n")
    assert_allclose(absolute(survey)[:3, 0], 10 * np.array(steps), atol=1e-12)


@pytest.mark.parametrize("labels", ["A,B,D", "C,B,A", "3,2,1", "0,10,20", "1.5,10,18.5", "1,A,2"])
def test_labels_that_do_not_count_the_lines_are_refused_with_a_spacing(refuse, labels):
    said = refuse(f",{labels}\n1,5,5,5\n2,5,5,5\n", "instrument_height = 100\nspacing = 10\n")
    assert f"the column labels {labels.replace(',', ', ')} ... do not count" in said


def test_letters_need_a_spacing(refuse):
    said = refuse(LETTERS)
    assert "the column label 'A' is not a number" in said
    assert "no spacing is given" in said


def test_a_column_may_name_the_setup_of_each_row(read):
    setups = "[base.setups]\n1 = { height = 100 }\n2 = { height = 101 }\n"
    for header in ("setup,1.5,10,20", "1.5,10,20,S"):
        cells = [("1", "5.00,5.10,5.20"), ("2", "6.30,,6.50")]
        first = header.startswith("setup")
        rows = [f"{s},{c}" if first else f"{c},{s}" for s, c in cells]
        survey = read(f"y/x,{header}\n0,{rows[0]}\n15,{rows[1]}\n", "", after=setups)
        assert_allclose(absolute(survey), absolute(read(SHEET)), atol=1e-12)
        assert survey.setups == ("1", "1", "1", "2", "2")


def test_a_sheet_of_one_setup_needs_no_column_of_setups(read):
    setups = "[base.setups]\nA = { height = 100, closing = 1, closing_benchmark = 99 }\n"
    survey = read(SHEET, "", after=setups)
    assert survey.setups == ("A",) * 5
    assert [note.code for note in survey.notes] == ["setup-misclosure"]


def test_readings_in_feet_and_inches_and_in_another_unit(read):
    sheet = ",0,10\n0,5'-6\",5 ft 6 1/2 in\n10,5'-6,\n"
    assert_allclose(
        absolute(read(sheet))[:, 2], 100 - np.array([5.5, 5.5 + 1 / 24, 5.5]), atol=1e-12
    )
    inches = read(",0,10\n0,66,66.5\n10,66,\n", 'instrument_height = 100\nunits = "in"\n')
    assert_allclose(absolute(inches)[:, 2], 100 - np.array([66, 66.5, 66]) / 12, atol=1e-12)
    assert_allclose(absolute(inches)[1, 0], 10)  # labels stay in the job's unit


def test_semicolons_and_decimal_commas_are_read(read):
    survey = read(";1,5;10\n0;5,00;5,10\n15,5;5,30;\n")
    assert_allclose(absolute(survey)[:, :2], [(1.5, 0), (10, 0), (1.5, 15.5)], atol=1e-12)


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("5.40 reshoot 5.50", "the rod reading at 15/10, '5.40 reshoot 5.50' is more than one"),
        ("5.40/5.50", "'5.40/5.50' is more than one reading"),
        ("5.40?", "'5.40?' carries a mark"),
        ("5.40*", "'5.40*' carries a mark"),
        ("-", "'-' is not a number. Write one number, or leave the cell blank"),
        ("n/a", "'n/a' is not a number"),
        ("-5.4", "'-5.4', is negative"),
        ("5'-14\"", "has 14 inches"),
    ],
)
def test_a_cell_that_is_not_one_reading_is_refused_with_its_place(refuse, cell, said):
    assert said in (told := refuse(SHEET.replace("5.30,,", f"5.30,{cell},")))
    assert "rods.csv, line 3" in told


@pytest.mark.parametrize(
    ("sheet", "said"),
    [
        (SHEET.replace("10,20", "10,10"), "two columns are labelled '10'"),
        (SHEET.replace("15,5.30", "0,5.30"), "two rows are labelled '0'"),
        (SHEET.replace("15,5.30", ",5.30"), "',5.30,,5.50' has no label"),
        (",A,B\n,5.10,5.30\n15,5.20,5.30\n", "',5.10,5.30' has no label"),  # no distances
        (SHEET.replace("5.50", "5.50,5.60"), "longer than the row of labels"),
        (SHEET.replace(".", ","), "decimal commas need a semicolon"),
        (",1.5,10\n0,5-0,5-1\n15,5-3,5-5\n", 'Such as notation = "feet-inches"'),
        (SHEET.replace(",10,", ",,"), "column 2 of the sheet has no label"),
        ("0" + SHEET, "begins with '0'"),
        (",1,2\n1,5,\n2,,5\n", "2 readings cannot make a surface"),
        (",1\n1,5\n", "1 reading cannot make a surface"),
        ("x 1 2 3\n1 5 5 5\n2 5 5\n", "aligned by blanks and differ in length"),
        (SHEET + "Mean,5.15,5.1,5.35\n", "a line of the sheet is labelled 'Mean'"),
        (SHEET + "TBM,4.29\n", "Take the row off the sheet if it holds no shots of the base"),
        (",1,2,avg.\n1,5,5.1,5.05\n2,5,5.1,5.05\n", "labelled 'avg.'"),
    ],
)
def test_a_sheet_that_cannot_be_read_without_a_guess_is_refused(refuse, sheet, said):
    assert said in refuse(sheet)


def test_a_line_of_means_is_refused_where_a_spacing_would_make_it_one_more_line(refuse):
    sheet = ",A,B,C,mean\n1,5.0,5.1,5.2,5.1\n2,5.3,5.4,5.5,5.4\n"
    assert "worked out, not shot" in refuse(sheet, "instrument_height = 100\nspacing = 8\n")


def test_a_corner_that_turns_rows_and_columns_about_is_refused(read, refuse):
    turned = SHEET.replace(",1.5", "east \\ north,1.5", 1)
    assert "its row labels count east, but by the job (bearing) they count north" in refuse(turned)
    assert len(read(turned, "instrument_height = 100\nbearing = 90\n").ids) == 5
    right = SHEET.replace(",1.5", "N \\ E,1.5", 1)
    assert len(read(right).ids) == 5
    assert "count north, but" in refuse(right, "instrument_height = 100\nbearing = 270\n")


def test_titles_above_the_labels_are_left_out(read):
    sheet = SHEET.replace(",1.5", "n\\e,1.5", 1)
    titled = read(f"Boat shed, Tuesday\n\nread by RQ\n{sheet}")
    assert_allclose(absolute(titled), absolute(read(sheet)))
    titled = read(f"Boat shed, Tuesday\nHI 105.62\n{SHEET}")  # few distances, below a blank corner
    assert_allclose(absolute(titled), absolute(read(sheet)))


@pytest.mark.parametrize("sheet", [",A,B\n1,5.0,5.1\n2,5.3,5.4\n", ",A,B\na,5,5.1\nb,5.3,5.4\n"])
def test_a_row_of_two_labels_is_no_title(read, sheet):
    assert len(read(sheet, "instrument_height = 100\nspacing = 8\n").ids) == 4


@pytest.mark.parametrize(
    ("base", "said"),
    [
        ("", "base has no instrument_height"),
        ("instrument_height = 1\nbacksight = 1\n", "instrument_height and backsight"),
        ("instrument_height = 1\nsetups = { A = { height = 1 } }\n", "both say what the rods"),
        ("instrument_height = 1\nspacing = 0\n", "base.spacing is the number 0"),
        ("instrument_height = 1\nspacing = [1, 2, 3]\n", "must be one length or two"),
        ("instrument_height = 1\nbearing = 400\n", "must be an azimuth from 0 to 360"),
        ("instrument_height = 1\norigin = 3\n", "base.origin is the number 3"),
        ("instrument_height = 1\ncolumns = 'PNEZD'\n", "base.columns means nothing beside"),
        ("instrument_height = 1\nstring = { span = 3 }\n", "base.string means nothing beside"),
        ("shots = 'rods.csv'\n", "by base.shots and by base.rods"),
    ],
)
def test_keys_that_do_not_go_with_a_sheet_are_refused(refuse, base, said):
    assert said in refuse(SHEET, base)


def test_the_place_of_a_sheet_means_nothing_beside_shots(tmp_path):
    (tmp_path / "a.csv").write_text("")
    path = tmp_path / "job.toml"
    path.write_text(f'units = "ft"\n[base]\nshots = "a.csv"\nspacing = 3\n{REST}')
    with pytest.raises(InputError, match=r"base\.spacing means nothing beside base\.shots"):
        read_job(path)


def test_the_sample_rod_sheet_answers_as_the_sample_shots_do(check_sample):
    sheet, shots = (present(check_sample(f"{name}/job.toml")) for name in ("rod_sheet", "apron"))
    interval, other = sheet["concrete"].pop("interval"), shots["concrete"].pop("interval")
    for key in ("slab", "concrete", "thickness", "cover"):
        assert sheet[key] == shots[key]
    assert interval["datum"] > other["datum"]  # a setup of the sheet did not close
    assert sheet["thin"]["area"] == shots["thin"]["area"] > 0
    assert sheet["grading"]["net"] == shots["grading"]["net"]
    (suspect,), (same,) = sheet["survey"]["suspect"], shots["survey"]["suspect"]
    assert (suspect["id"], same["id"]) == ("55/35", "41")
    assert {**suspect, "id": "41"} == same
    assert sheet["notes"][0]["code"] == "setup-misclosure"
