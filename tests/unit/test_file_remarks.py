"""What `describe` finds in a file is said in the check of it too."""

import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """units = "ft"
[base]
shots = "shots.csv"
{}
[slab]
edge = [[0, 0], [20, 0], [20, 20], [0, 20]]
thickness = "6 in"
[top]
level = 100.1
"""


@pytest.fixture
def say(tmp_path):
    """Codes and texts of the notes of a job with these elevations and descriptions."""

    def check(levels, words=("BASE",), keys="", step=10):
        rows = ["point,n,e,z,code"]
        for k, level in enumerate(levels):
            rows.append(
                f"{k},{step * (k // 3)}.5,{step * (k % 3)}.5,{level},{words[k % len(words)]}"
            )
        (tmp_path / "shots.csv").write_text("\n".join(rows) + "\n")
        (tmp_path / "job.toml").write_text(JOB.format(keys))
        notes = check_job(read_job(tmp_path / "job.toml")).notes
        return {note.code: note.text for note in notes}

    return check


GOOD = ["99.53", "99.61", "99.58", "99.55", "99.60", "99.57", "99.59", "99.56", "99.62"]


def test_nothing_is_said_of_a_good_file(say):
    assert not {"file-looks-wrong", "code-nearly-matches"} & say(GOOD).keys()


def test_elevations_in_whole_feet_are_said(say):
    told = say(["99", "100", "99", "99", "100", "99", "99", "99", "100"])
    assert "written in whole numbers, in steps of 1 ft" in told["file-looks-wrong"]


def test_elevations_that_are_all_one_are_said(say):
    assert "All elevations are 99.55 ft" in say(["99.55"] * 9)["file-looks-wrong"]


def test_descriptions_that_differ_by_a_blank_are_said(say):
    told = say(GOOD, ("BASE CRS", "BASECRS", "BASE CRS"))
    assert "Codes differ only by capitals or blanks" in told["file-looks-wrong"]


def test_a_shot_left_out_for_a_slip_in_its_description_is_said(say):
    words = ("BASE",) * 8 + ('BAS"E',)
    told = say(GOOD, words, 'codes = ["BASE"]')
    assert '1 shot is left out: BAS"E is nearly BASE' in told["code-nearly-matches"]


def test_shots_that_descriptions_leave_out_of_the_base_are_counted(say):
    words = ("BASE",) * 7 + ("CURB", "FORM")
    told = say(GOOD, words, 'codes = ["BASE"]')["codes-left-out"]
    assert told.startswith("Of 9 shots 2 are left out of the base by their descriptions: CURB (1),")
    assert "codes-left-out" not in say(GOOD, words, 'codes = ["*"]')


def test_a_shot_whose_numbers_slid_into_its_description_is_said(say):
    told = say(GOOD, ("BASE",) * 8 + ('"412,09"',), 'codes = ["BASE"]')
    assert "1 shot is left out whose description is a number, 412,09" in told["code-is-number"]


def test_the_one_shot_without_a_description_is_said_to_be_left_out(say):
    told = say(GOOD, ("BASE",) * 8 + ("",), 'codes = ["BASE"]')
    assert "1 shot is left out for want of a description" in told["code-missing"]
    assert "(shots.csv, line 10)" in told["code-missing"]


def test_a_file_of_base_and_forms_is_spoken_of_once(say, tmp_path):
    words = ("BASE",) * 9 + ("FORM",) * 5 + ("",)
    levels = [*GOOD, *FORMS, "99.6"]
    say(levels, words, 'codes = ["BASE"]\nallow_gaps = true', step=4)
    job = (tmp_path / "job.toml").read_text()
    job = job.replace("level = 100.1", 'shots = "shots.csv"\ncodes = ["FORM"]')
    (tmp_path / "job.toml").write_text(job)
    notes = check_job(read_job(tmp_path / "job.toml")).notes
    assert [note.code for note in notes].count("code-missing") == 1


def test_shots_without_a_description_are_not_told_where_they_are_many_or_taken(say):
    assert "code-missing" not in say(GOOD, ("BASE", "", "BASE"), 'codes = ["BASE"]')
    assert "code-missing" not in say(GOOD, ("BASE",) * 8 + ("",))


FORMS = ["100.1", "100.12", "100.09", "100.1", "100.11"]


def test_a_shot_of_the_base_that_is_described_as_one_of_the_forms_is_said(say):
    words = ("BASE",) * 4 + ("FORM",) + ("BASE",) * 4 + ("FORM",) * 5
    told = say(GOOD + FORMS, words, 'codes = ["BASE"]\nallow_gaps = true', step=4)
    assert "1 shot stands on the base, but is left out as FORM (4)" in told["code-of-base"]


@pytest.mark.parametrize("word", ["FORM", "CURB"])
def test_forms_are_not_taken_for_base_nor_what_is_described_by_itself(say, word):
    words = ("BASE",) * 9 + ("FORM",) * 5 + (word,)
    levels = [*GOOD, *FORMS, "100.1" if word == "FORM" else "99.58"]
    told = say(levels, words, 'codes = ["BASE"]\nallow_gaps = true', step=4)
    assert "code-of-base" not in told


@pytest.mark.parametrize(("label", "is_said"), [("55", True), ("5.5", False)])
def test_labels_of_a_sheet_that_do_not_go_one_way_are_said(tmp_path, label, is_said):
    ups = [_UP[0], label, *_UP[2:]]
    for what, told in {
        "row": check_sheet(tmp_path, [f"{up},4.61,4.63,4.60,4.62" for up in ups]),
        "column": check_sheet(tmp_path, [f"{up},4.61,4.63,4.60,4.62,4.6" for up in _UP], ups),
    }.items():
        said = f"{what} labels do not go one way" in told.get("file-looks-wrong", "")
        assert said == is_said


@pytest.mark.parametrize(
    ("ups", "said"),
    [
        ("2.5 8 14 20 26 31 35.5", ""),
        ("2.5 8 16 20 26 31 35.5", "16 is not midway between 8 and 20"),
        ("2.5 11 14 20 26 31 35.5", "11 is not midway between 2.5 and 14"),
        ("2.5 8 14 20 26 35 37.5", "35 is not midway between 26 and 37.5"),
        ("0.5 1 5 9 13 17 19.5", ""),  # beside the forms a line is nearer
        ("0 5 10 15 20 23", ""),  # what is left over
        ("0 5 10 15 20 21", ""),
        ("0.5 5 7 12 13 17 19.5", ""),  # as it suited
    ],
)
def test_one_label_of_a_sheet_that_leaves_an_even_spacing_is_said(tmp_path, ups, said):
    told = check_sheet(tmp_path, [f"{up},4.61,4.63,4.60,4.62" for up in ups.split()])
    looks_wrong = told.get("file-looks-wrong", "")
    assert ("label" in looks_wrong) == bool(said)
    assert said in looks_wrong


def test_the_few_blank_cells_of_a_sheet_are_said_by_row_and_column(tmp_path):
    rows = [f"{up},4.61,4.63,4.60,4.62" for up in _UP]
    assert "cells-blank" not in check_sheet(tmp_path, rows)
    rows[1:3] = ["5.5,4.61,4.63,4.60,", "10.5,,4.63,4.60,4.62"]
    assert check_sheet(tmp_path, rows)["cells-blank"].startswith(
        "2 cells are blank in rods.csv (row 5.5, column 19.5; row 10.5, column 0.5)"
    )
    rows[3] = "15.5,,4.63,4.60,4.62"  # a slab that is no rectangle
    assert "cells-blank" not in check_sheet(tmp_path, rows)


def test_a_row_of_a_sheet_that_ends_before_its_neighbours_is_said(tmp_path):
    rows = [f"{up},4.61,4.63,4.60,4.62" for up in _UP]
    rows[1] = "5.5,4.61"
    assert check_sheet(tmp_path, rows)["cells-blank"].startswith(
        "In rods.csv row 5.5 ends before those on either side"
    )
    rows[0] = "0.5,4.61"  # a slab that is no rectangle
    assert "cells-blank" not in check_sheet(tmp_path, rows)


_UP = ["0.5", "5.5", "10.5", "15.5", "19.5"]


def check_sheet(folder, rows, columns=("0.5", "7", "13", "19.5")):
    """Codes and texts of the notes of a job of a field sheet."""
    text = "\n".join(["north \\ east," + ",".join(columns), *rows])
    (folder / "rods.csv").write_text(f"{text}\n")
    rods = 'rods = "rods.csv"\nbenchmark = 100\nbacksight = 4'
    job = JOB.format("").replace('shots = "shots.csv"', rods).replace("100.1", "100")
    (folder / "job.toml").write_text(job)
    return {note.code: note.text for note in check_job(read_job(folder / "job.toml")).notes}


@pytest.mark.parametrize(
    ("level", "said"), [("100.11", ""), ("100.20", "0.10 ft above"), ("99.9", "0.20 ft below")]
)
def test_forms_off_the_drawn_top_are_told(tmp_path, level, said):
    base = [f"{k},{10 * (k // 3)},{10 * (k % 3)},{z},BASE" for k, z in enumerate(GOOD)]
    forms = [f"F{k},{n},{e},{level},FORM" for k, (n, e) in enumerate([(0, 5), (5, 20), (20, 9)])]
    (tmp_path / "shots.csv").write_text("\n".join(["point,n,e,z,code", *base, *forms]) + "\n")
    (tmp_path / "job.toml").write_text(JOB.format('codes = ["BASE"]'))
    result = check_job(read_job(tmp_path / "job.toml"))
    told = [note.say(result.units) for note in result.notes if note.code == "forms-off-top"]
    assert bool(told) == bool(said)
    assert not said or f"3 shots on the forms stand {said} the drawn top" in told[0]
