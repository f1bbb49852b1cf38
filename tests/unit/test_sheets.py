"""Several field sheets of one base. All files are invented."""

from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files import read_base
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.job import read_job

FOOT = METRES["ft"]
MONDAY = ",0,10,20\n0,5.00,5.10,5.20\n10,5.30,5.40,5.50\n"
TUESDAY = ",0,10,20\n0,4.00,4.10,4.20\n10,4.30,,4.50\n"
LATER = MONDAY.replace("\n0,", "\n20,").replace("\n10,", "\n30,")
REST = '[slab]\nedge = [[0, 0], [20, 0], [20, 20]]\nthickness = "6 in"\n[top]\nlevel = 95.5\n'


@pytest.fixture
def read(tmp_path):
    """Read the survey of a job with a [base], beside three sheets."""

    def read_text(base):
        (tmp_path / "monday.csv").write_text(MONDAY)
        (tmp_path / "tuesday.csv").write_text(TUESDAY)
        (tmp_path / "later.csv").write_text(LATER)
        (tmp_path / "mm.csv").write_text(",0,10,20\n0,150,151,152\n10,153,154,155\n")
        path = tmp_path / "job.toml"
        path.write_text(f'units = "ft"\n[base]\n{base}\n{REST}')
        return read_base(read_job(path).base.source, progress=lambda *_: None)[0]

    return read_text


def absolute(survey):
    return (survey.points + survey.origin) / FOOT


def test_sheets_of_one_height_are_one_setup_and_follow_one_another(read):
    survey = read('rods = ["monday.csv", "later.csv"]\ninstrument_height = 100')
    assert_allclose(absolute(survey)[[0, 6]], [[0, 0, 95], [0, 20, 95]], atol=1e-9)
    assert survey.ids[:1] + survey.ids[6:7] == ("0/0", "20/0")
    assert survey.setups == ()
    assert survey.method == "rod and level"
    assert survey.is_read_down


def test_each_sheet_may_have_its_own_height_and_place(read):
    survey = read(
        "rods = [\n"
        '{ file = "monday.csv", instrument_height = 100 },\n'
        '{ file = "tuesday.csv", benchmark = 95, backsight = 4, '
        "origin = [100, 50], bearing = 90 },\n"
        "]\nbearing = 0"
    )
    assert_allclose(absolute(survey)[0], [0, 0, 95], atol=1e-9)
    assert_allclose(absolute(survey)[[6, 7]], np.array([[100, 50, 95], [100, 40, 94.9]]), atol=1e-9)
    assert survey.setups == ("monday",) * 6 + ("tuesday",) * 5
    assert survey.ids[0] == "monday 0/0"
    assert survey.ids[6] == "tuesday 0/0"
    assert len(set(survey.ids)) == 11


def test_a_sheet_with_its_own_height_leaves_that_of_the_base_to_the_others(read):
    survey = read(
        'rods = ["monday.csv", { file = "later.csv", instrument_height = 101, setup = "B" }]\n'
        "benchmark = 96\nbacksight = 4"
    )
    assert survey.setups == ("base",) * 6 + ("B",) * 6
    assert_allclose(absolute(survey)[[0, 6], 2], [95, 96], atol=1e-9)


def test_sheets_may_be_of_listed_setups(read):
    survey = read(
        'rods = [{ file = "monday.csv", setup = "1" }, { file = "tuesday.csv", setup = "2" }]\n'
        "[base.setups]\n1 = { height = 100 }\n2 = { height = 99 }"
    )
    assert survey.setups == ("1",) * 6 + ("2",) * 5
    assert_allclose(absolute(survey)[[0, 6], 2], [95, 95], atol=1e-9)


def test_a_closing_shot_is_told_once_for_all_sheets(read):
    survey = read(
        'rods = ["monday.csv", "later.csv"]\n'
        "[base.setups]\n1 = { benchmark = 96, backsight = 4, closing = 4.01 }"
    )
    assert [note.code for note in survey.notes] == ["setup-misclosure"]
    assert survey.setups == ("1",) * 12


def test_depths_may_be_several_sheets_in_units_of_their_own(read):
    survey = read(
        'depths = ["monday.csv", { file = "mm.csv", units = "mm", origin = [100, 0] }]\n'
        'string = { span = "20 ft" }'
    )
    assert_allclose(survey.depths[[0, 6]], [5 * FOOT, 0.15], atol=1e-12)
    assert survey.readings == ()
    assert survey.setups == ()
    assert [note.code for note in survey.notes] == ["string-sag"]


def test_one_sheet_of_two_setups_and_a_sheet_of_each_are_the_same_survey(tmp_path):
    sample = Path(__file__).parents[2] / "sample_surveys" / "rod_sheet"
    one = read_base(read_job(sample / "job.toml").base.source, progress=lambda *_: None)[0]
    rows = [line.split(",") for line in (sample / "rods.csv").read_text().splitlines()[1:]]
    for setup in "12":
        kept = [[row[0], *row[2:]] for row in rows if row[1] in {"setup", setup}]
        (tmp_path / f"{setup}.csv").write_text("\n".join(map(",".join, kept)))
    (tmp_path / "job.toml").write_text(
        'units = "ft"\n[base]\n'
        'rods = [{ file = "1.csv", benchmark = 101.25, backsight = 4.37 },\n'
        f'{{ file = "2.csv", benchmark = 100.02, backsight = 5.16 }}]\n{REST}'
    )
    two = read_base(read_job(tmp_path / "job.toml").base.source, progress=lambda *_: None)[0]
    assert_allclose(absolute(two), absolute(one), atol=1e-9)
    assert (two.setups, two.ids, two.readings) == (one.setups, one.ids, one.readings)


@pytest.mark.parametrize(
    ("base", "said"),
    [
        ("rods = []", "base.rods is an empty list"),
        ("rods = [1]", "sheet 1 of base.rods is the number 1"),
        ("rods = [{ instrument_height = 100 }]", "sheet 1 of base.rods.file is missing"),
        ('rods = ["monday.csv", "monday.csv"]\ninstrument_height = 1', "'monday.csv' twice"),
        (
            'rods = ["monday.csv", "gone.csv"]\ninstrument_height = 1',
            "file of sheet 2 of base.rods",
        ),
        ('rods = ["monday.csv"]', "sheet 1 of base.rods has no instrument_height"),
        (
            'rods = [{ file = "monday.csv", instrument_height = 1 }]\n'
            "[base.setups]\n1 = { height = 2 }",
            "base.setups and instrument_height both say",
        ),
        (
            'rods = ["monday.csv"]\ninstrument_height = 1\n[base.setups]\n1 = { height = 2 }',
            "base.setups and instrument_height both say",
        ),
        (
            'rods = [{ file = "monday.csv", instrument_height = 1, setup = "A" },\n'
            '{ file = "later.csv", instrument_height = 2, setup = "a" }]',
            "two sheets of base.rods are of setup 'a', with two instrument heights",
        ),
        ('rods = [{ file = "monday.csv", columns = "PENT" }]', "has columns, which means nothing"),
        ('depths = [{ file = "monday.csv", setup = "A" }]', "has setup, which means nothing"),
        ('rods = [{ file = "monday.csv", hight = 3 }]', "there is no key 'hight'"),
    ],
)
def test_lists_that_make_no_sense_are_refused(read, base, said):
    with pytest.raises(InputError) as caught:
        read(base)
    assert said in str(caught.value)


def test_a_list_of_points_and_a_field_sheet_are_each_told_where_they_belong(read, tmp_path):
    (tmp_path / "points.csv").write_text("point,northing,easting,rod\n1,0,0,4.1\n2,0,5,4.2\n")
    with pytest.raises(InputError, match=r"it is a list of points .* Name it as base\.shots"):
        read("rods = 'points.csv'\ninstrument_height = 100")
    (tmp_path / "walls.csv").write_text(",north,east,south,west\n1,4,4,4,4\n2,4,4,4,4\n")
    assert len(read("rods = 'walls.csv'\ninstrument_height = 100\nspacing = 5").points) == 8
    (tmp_path / "points.csv").write_text(",0,5,10,15\n0,4.1,4.2,4.3,4.2\n5,4.1,4.2,4.3,4.2\n")
    with pytest.raises(InputError, match=r"a field sheet is base\.rods or base\.depths"):
        read("shots = 'points.csv'")
    sheet = f",{','.join('ABCDEFGHIJKLMN')}\n" + "".join(f"{row}{',5' * 14}\n" for row in (1, 2))
    (tmp_path / "points.csv").write_text(sheet)  # of labels some are E and N
    assert len(read("rods = 'points.csv'\ninstrument_height = 100\nspacing = 5").points) == 28
