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

    def check(levels, words=("BASE",), keys=""):
        rows = ["point,n,e,z,code"]
        for k, level in enumerate(levels):
            rows.append(f"{k},{10 * (k // 3)}.5,{10 * (k % 3)}.5,{level},{words[k % len(words)]}")
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


def test_a_shot_whose_numbers_slid_into_its_description_is_said(say):
    told = say(GOOD, ("BASE",) * 8 + ('"412,09"',), 'codes = ["BASE"]')
    assert "1 shot is left out whose description is a number, 412,09" in told["code-is-number"]


@pytest.mark.parametrize(("label", "is_said"), [("55", True), ("5.5", False)])
def test_labels_of_a_sheet_that_do_not_go_one_way_are_said(tmp_path, label, is_said):
    rows = "\n".join(f"{up},4.61,4.63,4.60,4.62" for up in ("0.5", label, "10.5", "15.5", "19.5"))
    (tmp_path / "rods.csv").write_text(f"north \\ east,0.5,7,13,19.5\n{rows}\n")
    rods = 'rods = "rods.csv"\nbenchmark = 100\nbacksight = 4'
    job = JOB.format("").replace('shots = "shots.csv"', rods).replace("100.1", "100")
    (tmp_path / "job.toml").write_text(job)
    notes = check_job(read_job(tmp_path / "job.toml")).notes
    said = [note.text for note in notes if note.code == "file-looks-wrong"]
    assert any("row labels do not go one way" in text for text in said) == is_said
