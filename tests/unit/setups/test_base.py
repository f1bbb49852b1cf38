"""Rods of the base from one setup or several."""

import pytest
from numpy.testing import assert_allclose

from gradevol.answer.tree.result import present
from gradevol.files.setups import Setup, Setups
from gradevol.ground.errors import InputError
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.unit.setups.conftest import FOOT, ONE, SHOTS, SLAB, TOP, TWO

pytestmark = pytest.mark.usefixtures("unsimulated")

LEVELS = (100.0, 100.02, 100.0, 100.08)


def levels(survey):
    return (survey.points[:, 2] + survey.origin[2]) / FOOT


def test_an_elevation_is_the_height_of_instrument_less_the_rod(survey):
    shot = survey(SHOTS)

    assert_allclose(levels(shot), LEVELS, atol=1e-12)
    assert shot.setups == ("A", "A", "B", "B")  # as the job writes them
    assert shot.readings == ("5.62", "5.60", "5.18", "5.10")
    assert (shot.is_read_down, shot.method, shot.reading_unit) == (True, "rod and level", "ft")


def test_one_setup_needs_no_column(survey):
    shots = "point,e,n,rod\n1,0,0,5.62\n2,20,0,5.60\n3,20,20,5.58\n"
    shot = survey(shots, ONE)
    assert_allclose(levels(shot), [100, 100.02, 100.04], atol=1e-12)
    assert shot.setups == ("A", "A", "A")


def test_rods_may_be_columns_that_the_job_states(survey):
    shots = "1,0,0,5.62,A\n2,20,0,5.60,A\n3,20,20,5.18,B\n"
    assert_allclose(
        levels(survey(shots, base='columns = "PENRS"\n')), [100, 100.02, 100], atol=1e-12
    )


def test_rods_in_feet_and_inches_are_taken_off_a_height_in_decimals(survey):
    shots = "e,n,rod\n0,0,5'-7 1/2\"\n20,0,5' 6\"\n20,20,5-7 1/2\n"
    assert_allclose(levels(survey(shots, ONE)), [99.995, 100.12, 99.995], atol=1e-12)


def test_setups_are_lengths_and_may_carry_their_unit(survey):
    setups = "[base.setups]\nA = { benchmark = '30 m', backsight = '4 ft 6 in' }\n"
    shots = "e,n,rod\n0,0,5\n20,0,5\n20,20,4\n"
    assert_allclose(levels(survey(shots, setups))[0] * FOOT, 30 + 4.5 * FOOT - 5 * FOOT)


def test_a_closing_shot_is_stated_and_not_distributed(survey):
    shot = survey(SHOTS)
    (note,) = [note for note in shot.notes if note.code == "setup-misclosure"]
    said = note.say(Units.of_job("ft"))
    assert "setup B found 101.24 ft on a mark known as 101.25 ft" in said
    assert "misclosure of −0.01 ft" in said
    assert_allclose(note.measures[2].value, -0.01 * FOOT, atol=1e-12)
    assert "the margin takes it as one standard deviation" in said
    assert_allclose(levels(shot), LEVELS, atol=1e-12)
    assert_allclose(shot.misclosures["B"], -0.01 * FOOT, atol=1e-12)


def test_a_misclosure_is_among_what_the_interval_rests_on_and_widens_it(read):
    exact = TWO.replace("3.94", "3.93")
    told = [present(check_job(read(SHOTS, setups))) for setups in (TWO, exact)]
    intervals = [each["concrete"]["interval"] for each in told]
    assumed = [item for item in intervals[0]["assumed"] if item["name"] == "base.setups.closing"]
    assert assumed == [
        {"name": "base.setups.closing", "value": 0.01, "source": "job", "setup": "B"}
    ]
    assert "base.setups.closing" not in [item["name"] for item in intervals[1]["assumed"]]
    assert intervals[0]["datum"] > intervals[1]["datum"]


def test_a_closing_shot_is_on_the_same_benchmark_unless_another_is_named(read):
    setups = "[base.setups]\nA = { benchmark = 101.25, backsight = 4.37, closing = 4.36 }\n"
    job = read(SHOTS, setups)
    assert isinstance(job.base.source.setups, Setups)
    assert job.base.source.setups.known == (
        Setup("A", 105.62 * FOOT, closing=4.36 * FOOT, closing_benchmark=101.25 * FOOT),
    )


def test_a_setup_that_closes_says_so(survey):
    setups = "[base.setups]\nA = { benchmark = 101.25, backsight = 4.37, closing = 4.37 }\n"
    shots = "e,n,rod\n0,0,5.62\n20,0,5.60\n20,20,5.58\n"
    (note,) = survey(shots, setups).notes
    assert note.code == "setup-misclosure"
    assert "it closes" in note.text


@pytest.fixture
def unused(read, tmp_path):
    """Texts of the notes on setups that nothing was shot from."""

    def unused_in(shots, setups=TWO, *, later=None, **rest):
        if later is not None:
            (tmp_path / "later.csv").write_text(later)
        result = check_job(read(shots, setups, **rest))
        return [note.text for note in result.notes if note.code == "setup-not-used"]

    return unused_in


ALL_FROM_A = (
    "point,setup,e,n,rod\n1,A,0,0,6.12\n2,A,20,0,6.12\n3,A,20,20,6.12\n4,A,0,20,6.12\n"
    "5,A,10,10,6.12\n"
)


NOT_USED = "No shot was taken from setup B of base.setups."


def test_a_setup_that_no_shot_names_is_noted(unused):
    assert unused(ALL_FROM_A) == [NOT_USED]


def test_a_setup_of_the_rechecks_alone_is_in_use(unused):
    base = "rechecks = { shots = 'later.csv', radius = 3 }\n"
    later = "point,setup,e,n,rod\n6,{},9,9,{}\n7,{},11,9,{}\n8,{},9,11,{}\n"
    from_b = later.format(*["B", 5.684] * 3)
    assert unused(ALL_FROM_A, later=from_b, base=base) == []
    from_a = later.format(*["A", 6.12] * 3)
    assert unused(ALL_FROM_A, later=from_a, base=base) == [NOT_USED]


def test_a_setup_of_the_top_alone_is_in_use(unused):
    top = "[top]\nshots = 'form.csv'\n"
    form = "point,setup,e,n,rod\n6,{0},0,0,{1}\n7,{0},20,0,{1}\n8,{0},20,20,{1}\n9,{0},0,20,{1}\n"
    assert unused(ALL_FROM_A, top=top, form=form.format("B", 5.184)) == []
    assert unused(ALL_FROM_A, top=top, form=form.format("A", 5.62)) == [NOT_USED]


def test_a_setup_of_the_top_that_no_shot_names_is_noted(unused):
    top = "[top]\nshots = 'form.csv'\n[top.setups]\nC = { height = 105.62 }\nD = { height = 1 }\n"
    form = "point,setup,e,n,rod\n6,C,0,0,5.62\n7,C,20,0,5.62\n8,C,20,20,5.62\n9,C,0,20,5.62\n"
    one = "[base.setups]\nA = { height = 105.62 }\n"
    said = unused(ALL_FROM_A, one, top=top, form=form)
    assert said == ["No shot was taken from setup D of top.setups."]


def test_a_setup_that_is_not_listed_is_named_with_those_that_are(refuse):
    said = refuse(SHOTS.replace("3,B", "3,C"))
    assert "shots.csv, line 4: setup 'C' is not one of those in base.setups (A, B)" in said


def test_a_shot_without_a_setup_is_refused_where_there_are_several(refuse):
    assert "line 4: a shot names no setup" in refuse(SHOTS.replace("3,B", "3,"))


def test_elevations_beside_the_rods_are_checked_against_them(survey):
    shots = "setup,e,n,rod,z\nA,0,0,5.62,100.00\nA,20,0,5.60,\nB,20,20,5.184,100.0\n"
    assert_allclose(levels(survey(shots)), [100, 100.02, 99.996], atol=1e-12)


def test_an_elevation_that_its_rod_does_not_make_is_refused_with_both_numbers(refuse):
    shots = "point,setup,e,n,rod,z\n1,A,0,0,5.62,100.00\n2,A,20,0,5.60,100.03\n3,B,20,20,5.1,99\n"
    said = refuse(shots)
    assert "line 3: 2 is written at elevation 100.03, but its rod reading 5.60 from setup A" in said
    assert "105.620) makes 100.020 ft; 2 rows differ in all" in said
    assert "leave base.setups out to use the elevations as written" in said


@pytest.mark.parametrize("written", ["100.02", "100.0", "100", "100' 0 1/4\""])
def test_an_elevation_may_differ_by_what_its_last_digit_hides(survey, written):
    shots = f"setup,e,n,rod,z\nA,0,0,5.62,\nA,20,0,5.60,{written}\nB,20,20,5.18,\n"
    assert len(survey(shots).points) == 3


def test_elevations_are_used_where_no_setups_are_given(survey):
    shots = "setup,e,n,rod,z\nA,0,0,5.62,90.00\nA,20,0,5.60,90.03\nB,20,20,5.1,90\n"
    shot = survey(shots, "")
    assert_allclose(levels(shot), [90, 90.03, 90], atol=1e-12)
    assert shot.setups == ("A", "A", "B")
    assert (shot.is_read_down, shot.method) == (False, "shots")


def test_setups_without_rods_and_rods_without_setups_are_refused(refuse):
    assert "base.setups is given, but the columns ENZ hold no rod readings" in refuse(
        "e,n,z\n0,0,100\n20,0,100\n20,20,100\n"
    )
    assert "List the instrument setups under [base.setups]" in refuse(SHOTS, "")


def test_a_negative_rod_is_refused(refuse):
    assert "line 3: the rod reading '-5.60' is negative" in refuse(SHOTS.replace("5.60", "-5.60"))


@pytest.mark.parametrize(
    ("setups", "said"),
    [
        ("setups = 3\n", "base.setups is the number 3, but it must be a table of setups"),
        ("setups = {}\n", "it must be a table of setups"),
        ("setups = { A = 105.62 }\n", "base.setups.A is the number 105.62"),
        ("setups = { A = { height = 1 }, a = { height = 1 } }\n", "lists both 'A' and 'a'"),
        ("setups = { A = { height = 1, backsight = 1 } }\n", "height and backsight"),
        ("setups = { A = { } }\n", "base.setups.A has no height"),
        ("setups = { A = { benchmark = 100 } }\n", "base.setups.A.backsight is missing"),
        ("setups = { A = { benchmark = 9, backsight = -1 } }\n", "must be 0 or more"),
        ("setups = { A = { height = 1, hight = 1 } }\n", "nearest key known there is 'height'"),
        ("setups = { A = { height = 1, closing = 1 } }\n", "no mark that it was taken on"),
        (
            "setups = { A = { height = 1, closing_benchmark = 1 } }\n",
            "is given without base.setups.A.closing",
        ),
    ],
)
def test_setups_that_make_no_sense_are_refused(refuse, setups, said):
    assert said in refuse(SHOTS, setups)


def test_setups_mean_nothing_beside_a_cloud(tmp_path):
    (tmp_path / "a.las").write_text("")
    path = tmp_path / "job.toml"
    path.write_text(f'units = "ft"\n[base]\ncloud = "a.las"\n{ONE}{SLAB}{TOP}')
    with pytest.raises(InputError, match=r"base\.setups means nothing beside base\.cloud"):
        read_job(path)
