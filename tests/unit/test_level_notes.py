import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from numpy.testing import assert_allclose

from gradevol.answer.levels import present_levels
from gradevol.cli import levels as levels_module
from gradevol.cli import main, options
from gradevol.files.sheets.level_limits import read_limits
from gradevol.files.sheets.level_notes import read_level_notes
from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sources import Shots
from gradevol.ground.errors import InputError
from gradevol.ground.lengths import NOTATIONS
from gradevol.ground.units import METRES
from gradevol.out.text.levels import compose_level_shots, compose_levels, write_level_shots
from gradevol.site.levelling import reduce_levels
from gradevol.site.levelling.misclosure import ORDERS, adjust_by_setups

PAGE = """point,BS,IS,FS,HI,known,easting,northing,description
BM1,4.26,,,104.26,100.00,,,bolt
101,,4.88,,,,2000000,2,BASE
102,,4.93,,,,2000014,2,BASE
TP1,5.02,,4.47,104.81,,,,stake
103,,5.45,,,,2000026,22,=BASE
BM2,,,3.38,,101.42,,,nail
"""
SAMPLE = Path(__file__).parents[2] / "sample_surveys" / "level_notes" / "page.csv"


@pytest.fixture
def page(tmp_path):
    def page(text, **options):
        path = tmp_path / "notes.csv"
        path.write_text(text)
        return read_level_notes(path, **options)

    return page


def run(*arguments):
    return CliRunner().invoke(main, ["levels", *map(str, arguments)])


def test_a_page_in_feet_is_read_into_metres(page):
    read = page(PAGE, unit="ft")
    rows = read.notes.rows
    assert [row.point for row in rows] == ["BM1", "101", "102", "TP1", "103", "BM2"]
    assert_allclose(rows[3].backsight, 5.02 * METRES["ft"])
    assert_allclose(rows[3].foresight, 4.47 * METRES["ft"])
    assert_allclose(rows[0].booked_instrument, 104.26 * METRES["ft"])
    assert read.notes.known == {"bm1": 100 * METRES["ft"], "bm2": 101.42 * METRES["ft"]}
    assert_allclose(read.places[1], (2000000 * METRES["ft"], 2 * METRES["ft"]))
    assert read.places[0] is None
    assert (read.decimals, read.unit, read.remarks) == (2, "ft", ())


@pytest.mark.parametrize(
    "header",
    [
        "point,BS_ft,IS,FS,known",
        "Pt.,B.S. (ft),I.S.,F.S. (ft),BM elev. (ft)",
        "Point No,Backsight,Intermediate sight,Foresight [feet],Known elevation",
    ],
)
def test_the_unit_may_stand_in_a_heading(page, header):
    read = page(f"{header}\nBM1,4.26,,,100\n1,,4.88,,\n")
    assert read.unit == "ft"
    assert_allclose(reduce_levels(read.notes).rows[1].observed, 99.38 * METRES["ft"])


def test_feet_and_inches_are_read(page):
    read = page("point;BS;IS;FS;known\nBM1;4'-3\";;;100\n1;;4 ft 6 1/2 in;;\n", unit="ft")
    observed = reduce_levels(read.notes).rows[1].observed
    assert_allclose(observed / METRES["ft"], 100 + 4.25 - 4.5 - 1 / 24)


def test_decimal_commas_are_read(page):
    read = page("point;BS;IS;FS;known\nBM1;1,216;;;106,366\na;;0,025;;\n", unit="m")
    assert_allclose(reduce_levels(read.notes).rows[1].observed, 107.557)


def test_a_row_may_give_only_a_known_elevation(page):
    text = "point,BS,IS,FS,elev\nBM1,,,,100\nBM1,4.26,,,\n1,,4.88,,\n2,,4.9,,\n"
    read = page(text, unit="ft")
    assert len(read.notes.rows) == 3
    assert reduce_levels(read.notes).rows[0].observed == 100 * METRES["ft"]


def test_elevations_in_every_row_are_compared_not_believed(page):
    text = "point,BS,IS,FS,elev\nBM1,4,,,100\n1,,5,,99\n2,,5,,98\nBM1,,,4.02,99.98\n"
    read = page(text, unit="ft")
    assert read.notes.known == {"bm1": 100 * METRES["ft"]}
    assert [note.code for note in read.remarks] == ["elevations-compared"]
    reduction = reduce_levels(read.notes)
    assert [note.points for note in reduction.notes] == [("2",)]
    assert reduction.legs[0].misclosure == pytest.approx(-0.02 * METRES["ft"])


def test_a_known_point_that_was_never_read_is_told(page):
    (note,) = page(PAGE.replace("3.38", ""), unit="ft").remarks
    assert note.code == "known-not-read"
    assert note.text.startswith("No reading was booked on BM2 (line ")


def test_a_closing_shot_that_became_a_comment_is_told(page):
    (note,) = page(PAGE.replace("BM2", "#"), unit="ft").remarks
    assert note.code == "rows-commented-out"
    assert "line 7, '#,,,3.38,,101.42,,,nail'" in note.text


def test_known_elevations_may_be_given_beside_the_file(page):
    read = page("point,BS,IS,FS\nBM 1,4,,\nBM2,,,5\n", unit="ft", known=["bm 1=100", "BM2=99.01"])
    (leg,) = reduce_levels(read.notes).legs
    assert leg.misclosure == pytest.approx(-0.01 * METRES["ft"])


@pytest.mark.parametrize(
    ("text", "options", "message"),
    [
        ("point,BS,IS,FS\nBM,4,,\n1,,5,,\n", {}, "neither its headings nor --units"),
        ("point,BS_m,IS,FS\nBM,4,,\n", {"unit": "ft"}, "'BS_m' says m, but --units ft says ft"),
        ("point,BS_m,IS,FS_ft\nBM,4,,\n", {}, "'FS_ft' says ft, but heading 'BS_m' says m"),
        ("BM,4,,,100\n1,,5,,\n", {"unit": "ft"}, "no header row"),
        ("point,BS,rise,fall\nBM,4,,\n", {"unit": "ft"}, "names no FS"),
        ("point,BS,BS,FS\nBM,4,,\n", {"unit": "ft"}, "both name the BS"),
        ("point,BS,IS,FS,dist\nBM,4,,,3\n", {"unit": "ft"}, "'dist' can be the sight back"),
        (
            "point,BS,IS,FS,known\nBM,4,,,100\n1,,4.8 wet,,\n",
            {"unit": "ft"},
            "line 3: the IS '4.8 wet' names no",
        ),
        ("point,BS,IS,FS,known\nBM,4,,,100\n1,,4.8,,,,9\n", {"unit": "ft"}, "line 3: a row of 7"),
        (
            "point,BS,IS,FS,known\nBM,100,,,4\n1,,4.8,,\n",
            {"unit": "ft"},
            "line 2: the BS '100' is 100 ft",
        ),
        ("point,BS,IS,FS,known\nBM,1216,,,4\n1,,48,,\n", {"unit": "m"}, "longer than any staff"),
        ("point,BS,IS,FS,known\nBM,4,,,100\n1,,,,\n", {"unit": "ft"}, "line 3: '1' has neither BS"),
        (
            "point,BS,IS,FS,BS dist\nBM,4,,,-3\n",
            {"unit": "ft"},
            "line 2: the BS distance '-3' is not above 0",
        ),
        (
            "point,BS,IS,FS,known\nBM,4,,,100\nBM,,,4,100.1\n",
            {"unit": "ft"},
            "line 3: 'BM' is given two known elevations, here and in line 2",
        ),
        ("point,BS,IS,FS\nBM1,4,,\n", {"unit": "ft", "known": ["BM2=9"]}, "Did you mean 'BM1'"),
        ("point,BS,IS,FS\nBM1,4,,\n", {"unit": "ft", "known": ["BM1"]}, "is not a point and its"),
        (
            "point,BS,IS,FS\nBM1,4,,\n",
            {"unit": "ft", "known": ["BM1=ten"]},
            "'ten' is not a length",
        ),
        ("point,BS,IS,FS,known\nBM1,,,,100\n", {"unit": "ft"}, "has no readings"),
    ],
)
def test_a_page_that_cannot_be_used_is_refused(page, text, options, message):
    with pytest.raises(InputError, match=message):
        page(text, **options)


def test_columns_that_are_not_known_are_noted(page):
    read = page("point,BS,IS,FS,known,weather\nBM,4,,,100,rain\n1,,5,,,\n", unit="ft")
    assert [note.code for note in read.remarks] == ["columns-left-out"]


def test_reduced_page_as_text(page):
    read = page(PAGE, unit="ft")
    reduction = adjust_by_setups(reduce_levels(read.notes))
    limits = read_limits(order="third", per_setup="0.01 ft")
    text = compose_levels(present_levels(read, reduction, limits), read.decimals)
    assert text.splitlines()[2:9] == [
        "point    BS    IS    FS      HI  observed   corr.    final",
        "BM1    4.26              104.26    100.00  +0.000  100.000",
        "101          4.88                   99.38  -0.005   99.375",
        "102          4.93                   99.33  -0.005   99.325",
        "TP1    5.02        4.47  104.81     99.79  -0.005   99.785",
        "103          5.45                   99.36  -0.010   99.350",
        "BM2                3.38            101.43  -0.010  101.420",
    ]
    flat = " ".join(text.split())
    assert "sum of BS 9.28 - sum of FS 7.85 = +1.43 = last 101.43 - first 100.00" in flat
    assert "It does not test intermediate sights" in flat
    assert "observed 101.43 - known 101.42 = +0.01 ft" in flat
    assert "Allowed: 0.0141 ft (0.01 ft × √setups). Within it." in flat
    assert "not known by order third" in flat
    assert max(map(len, text.splitlines())) <= 78


def test_shots_can_be_read_as_the_base_of_a_job(page, tmp_path):
    read = page(PAGE, unit="ft")
    view = present_levels(read, adjust_by_setups(reduce_levels(read.notes)))
    remark = write_level_shots(tmp_path / "shots.csv", view)
    assert remark == "3 points; left out for want of a place: BM1, TP1, BM2"
    survey = read_delimited(Shots((tmp_path / "shots.csv",), "ft"))
    assert survey.ids == ("101", "102", "103")
    assert survey.codes == ("BASE", "BASE", "'=BASE")  # no spreadsheet runs it
    assert survey.setups == ("1", "1", "2")
    points = (survey.points + survey.origin) / METRES["ft"]
    assert_allclose(points[:, 0], [2000000, 2000014, 2000026], atol=1e-4)
    assert_allclose(points[:, 2], [99.375, 99.325, 99.35], atol=1e-4)


def test_shots_say_how_they_were_adjusted_and_what_was_observed(page):
    read = page(PAGE, unit="ft")
    reduction = reduce_levels(read.notes)
    adjusted = compose_level_shots(present_levels(read, adjust_by_setups(reduction)))
    assert adjusted.splitlines()[1] == ("101,2000000.0000,2.0000,99.3750,BASE,1,99.3800,setups")
    assert (
        compose_level_shots(present_levels(read, reduction))
        .splitlines()[1]
        .endswith("99.3800,none")
    )


def test_points_without_places_are_written_and_it_is_said(page, tmp_path):
    read = page("point,BS,IS,FS,known\nBM,4,,,100\n1,,5,,\n", unit="ft")
    view = present_levels(read, reduce_levels(read.notes))
    remark = write_level_shots(tmp_path / "levels.csv", view)
    assert remark.startswith("2 points, without easting and northing")
    written = (tmp_path / "levels.csv").read_text().splitlines()
    assert written[0] == "point,elevation_ft,description,setup,observed_ft,adjustment"


@pytest.mark.parametrize("text", ["0", "-5", "five", "0 mm"])
def test_a_limit_is_a_length_above_0(text):
    with pytest.raises(InputError, match="--per-setup"):
        read_limits(per_setup=text)


def test_bare_limits_are_millimetres():
    by_length, by_setup = read_limits(per_root_km="12", per_setup="0.01 ft")
    assert (by_length.factor, by_length.rule) == (0.012, "12 mm × √km")
    assert_allclose(by_setup.factor, 0.003048)


def test_the_command_offers_every_order():
    assert set(levels_module.ORDERS) == set(ORDERS)
    assert options.NOTATIONS == NOTATIONS


def test_json_stands_alone_on_standard_output():
    done = run(SAMPLE, "--json")
    assert (done.exit_code, done.stderr) == (0, "")
    view = json.loads(done.stdout)
    assert view["legs"][0]["misclosure"] == 0.01
    assert view["rows"][-1]["elevation"] == 101.42


def test_strict_exits_3_where_the_misclosure_is_more_than_is_allowed():
    within = run(SAMPLE, "--strict", "--per-setup", "0.01 ft")
    assert within.exit_code == 0
    exceeded = run(SAMPLE, "--strict", "--per-setup", "1")
    assert exceeded.exit_code == 3
    assert "EXCEEDED" in exceeded.stdout
    assert run(SAMPLE, "--per-setup", "1").exit_code == 0


def test_a_fault_exits_2_and_writes_nothing(tmp_path):
    (tmp_path / "notes.csv").write_text("point,BS,IS,FS\nBM1,4,,\n1,,5,\n")
    done = run(tmp_path / "notes.csv", "--units", "ft", "--out", tmp_path / "shots.csv")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "notes.csv, line 2: 'BM1' begins a line" in done.stderr
    assert not (tmp_path / "shots.csv").exists()


def test_the_sample_says_that_it_is_invented():
    assert "Invented" in SAMPLE.read_text().splitlines()[0]


def test_notes_that_were_cut_in_their_last_row_say_so(tmp_path):
    rows = ["point,BS,IS,FS,known,description", "BM1,4.26,,,100.00,kerb"]
    rows += [f"{100 + at},,4.8{at},,,BASE" for at in range(5)]
    path = tmp_path / "page.csv"
    path.write_text("\n".join(rows) + "\n")
    assert read_level_notes(path, unit="ft").remarks == ()
    path.write_text("\n".join(rows)[:-2])
    (remark,) = read_level_notes(path, unit="ft").remarks
    assert "'BA' may be the beginning of 'BASE'" in remark.text
