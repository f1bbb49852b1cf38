from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.check import check_job
from gradevol.files import read_base
from gradevol.files.depths import estimate_sag
from gradevol.files.sheet_sources import String
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.errors import InputError
from gradevol.ground.forces import parse_force, parse_line_weight
from gradevol.ground.units import METRES, Units
from gradevol.job import read_job
from gradevol.job.placement import place_survey
from gradevol.site.survey import DATUM_SIGMA, SHOT_SIGMA, Survey
from tests.conftest import examples

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]
INCH = METRES["in"]
SLAB = '[slab]\nedge = [[0, 0], [20, 0], [20, 20], [0, 20]]\nthickness = "6 in"\n'
TOP = '[top]\nthrough = [0, 0, 100.5]\nfall = "2 %"\nbearing = 90\n'
SHEET = ",0,10,20\n0,6,6.5,6\n10,6,,5\n20,6,6,6\n"
INCHES = 'units = "in"\nstring = { span = 0 }\n'
POINTS = "point,e,n,depth_in\na,0,0,6\nb,20,0,6 1/2\nc,20,20,5\nd,0,20,6\n"


@pytest.fixture
def read(tmp_path):
    """Read a job whose base is depths."""

    def read_text(depths, base=INCHES, *, slab=SLAB, top=TOP):
        (tmp_path / "depths.csv").write_text(depths)
        path = tmp_path / "job.toml"
        path.write_text(f'units = "ft"\n[base]\ndepths = "depths.csv"\n{base}{slab}{top}')
        return read_job(path)

    return read_text


@pytest.fixture
def survey(read):
    """Read the survey of such a job, before there is a top."""

    def survey_of(depths, base=INCHES):
        return read_base(read(depths, base).base.source, progress=lambda *_: None)[0]

    return survey_of


@pytest.fixture
def refuse(read):
    """Check a job that must be refused; return what is said."""

    def refuse_text(depths, base=INCHES, **rest):
        with pytest.raises(InputError) as caught:
            check_job(read(depths, base, **rest))
        return str(caught.value)

    return refuse_text


def test_a_depth_is_thickness_whatever_the_top(read):
    deep = ",0,20\n0,7,7\n20,7,7\n"
    for top in ("[top]\nlevel = 100\n", "[top]\nlevel = -3\n", TOP):
        result = check_job(read(deep, top=top))
        assert_allclose(result.thickness.mean, 7 * INCH, rtol=1e-12)
        assert_allclose(result.concrete.slab, 400 * FOOT**2 * 7 * INCH, rtol=1e-12)


def test_the_base_is_the_top_less_the_depth_at_each_shot(read):
    result = check_job(read(SHEET))
    survey = result.survey
    east = np.array([0, 10, 20, 0, 20, 0, 10, 20])
    inches = np.array([6, 6.5, 6, 6, 5, 6, 6, 6])
    level = (survey.points[:, 2] + survey.origin[2]) / FOOT
    assert_allclose(level, 100.5 - 0.02 * east - inches / 12, atol=1e-12)
    assert survey.depths is not None
    assert_allclose(survey.depths, inches * INCH)
    assert survey.ids[:2] == ("0/0", "0/10")
    assert survey.readings[:2] == ("6", "6.5")
    assert (survey.method, survey.is_read_down) == ("string-line depths", True)


def test_thickness_between_depths_is_linear_over_a_lattice_cell(read):
    result = check_job(read(",0,20\n0,6,6\n20,6,8\n"))
    assert_allclose(result.thickness.mean, 6.5 * INCH, rtol=1e-12)  # a cell's is its corners' mean
    assert_allclose((result.thickness.min, result.thickness.max), (6 * INCH, 8 * INCH))


def test_points_may_carry_depths_in_a_unit_of_their_own(survey):
    shots = survey(POINTS, "string = { span = 0 }\n")  # the job is in feet
    assert_allclose(shots.depths, np.array([6, 6.5, 5, 6]) * INCH)
    assert_allclose(shots.points[:, :2] / FOOT, [(0, 0), (20, 0), (20, 20), (0, 20)])
    assert shots.ids == ("a", "b", "c", "d")
    assert shots.readings == ("6", "6 1/2", "5", "6")


@pytest.mark.parametrize(
    "name", ["depth", "Measure-down", "measured down", "down", "thickness", "depth (ft)", "T"]
)
def test_depths_go_by_several_names(survey, name):
    shots = survey(f"E,N,{name}\n0,0,.5\n20,0,.6\n20,20,.4\n", "string = { span = 0 }\n")
    assert_allclose(shots.depths / FOOT, [0.5, 0.6, 0.4])
    assert shots.ids == ("line 2", "line 3", "line 4")


def test_columns_may_be_stated_where_there_is_no_header(survey):
    text = "a,0,0,.5\nb,20,0,.6\nc,20,20,.4\n"
    shots = survey(text, "string = { span = 0 }\ncolumns = 'PENT'\n")
    assert_allclose(shots.depths / FOOT, [0.5, 0.6, 0.4])


def test_a_sheet_lettered_from_a_to_n_is_no_table_of_points(survey):
    letters = "ABCDEFGHIJKLMN"
    sheet = f",{','.join(letters)}\n1{',6' * 14}\n2{',6' * 14}\n"
    assert len(survey(sheet, INCHES + "spacing = 1\n").points) == 28


@pytest.mark.parametrize(
    ("text", "base", "said"),
    [
        ("p,e,n,z\na,0,0,1\nb,1,0,1\nc,1,1,1\n", "", "hold no depth"),
        ("0,0,6\n20,0,6\n20,20,6\n", "", "begins with '0'"),
        ("e,n,depth_cm\n0,0,6\n20,0,6\n20,20,6\n", "", "its header gives depths in cm"),
        ("e_m,n_m,depth\n0,0,6\n20,0,6\n20,20,6\n", "", "'e_m', in m, but the job says"),
        ("e,n,depth\n0,0,6\n20,0,six\n20,20,6\n", "", "line 3: the depth 'six' is not a number"),
        ("e,n,depth\n0,0,6\n20,0,6\n", "", "2 depths cannot make a surface"),
        ("a,0,0,6\n", "columns = 'PENZ'\n", "'Z' names no column"),
        ("0,0\n", "columns = 'EN'\n", "hold no depth"),
        (SHEET, "codes = 'B'\n", "base.codes means nothing beside base.depths"),
        (SHEET, "setups = { A = { height = 1 } }\n", "base.setups means nothing beside"),
    ],
)
def test_depths_that_cannot_be_read_without_a_guess_are_refused(refuse, text, base, said):
    assert said in refuse(text, base)


def test_depths_outside_of_the_slab_are_named(refuse):
    text = "point,e,n,depth\na,0,0,.5\nb,20,0,.5\nfar,20,22,.5\noff,-9,20,.5\n"
    said = refuse(text, "")
    assert "2 depths measured outside of the slab" in said
    assert "far, off" in said


def test_depths_just_outside_are_hung_from_the_top_at_the_edge_and_noted(read):
    text = "point,e,n,depth\na,0,0,.5\nb,20.9,0,.5\nc,20,20,.5\nd,0,20,.5\n"
    result = check_job(read(text, ""))
    (note,) = [note for note in result.notes if note.code == "depths-beyond-edge"]
    assert note.points == ("b",)
    level = (result.survey.points[1, 2] + result.survey.origin[2]) / FOOT
    assert_allclose(level, 100.5 - 0.02 * 20 - 0.5, atol=1e-12)


def test_a_suspect_depth_names_the_slip_on_the_tape(read):
    sheet = ",0,5,10,15,20\n" + "".join(
        f"{n},0.50,0.51,0.50,0.52,0.50\n" if n != 10 else f"{n},0.51,0.50,0.60,0.50,0.51\n"
        for n in (0, 5, 10, 15, 20)
    )
    (suspect,) = check_job(read(sheet, "")).suspects
    assert_allclose(suspect.difference, -0.1 * FOOT, atol=0.01 * FOOT)
    assert "a tenth of a foot misread, too low" in suspect.slip


def test_the_sag_of_a_string_is_that_of_a_parabola():
    # computed by hand: 0.01 lb/ft over 25 ft at 30 lb, w L^2 / 8 T = 6.25 / 240 ft
    string = String(25 * FOOT, parse_force("30 lb"), parse_line_weight("0.01 lb/ft"), "")
    assert_allclose(estimate_sag(string) / FOOT, 6.25 / 240, rtol=1e-12)


def test_the_sag_is_that_of_the_catenary_where_it_is_small():
    string = String(25 * FOOT, parse_force("30 lb"), parse_line_weight("0.01 lb/ft"), "")
    stretch = string.tension / string.weight
    catenary = stretch * (np.cosh(string.span / 2 / stretch) - 1)
    assert_allclose(estimate_sag(string), catenary, rtol=1e-4)


def test_forces_are_read_in_the_units_of_a_spring_balance():
    assert_allclose(parse_force("130 N"), 130)
    assert_allclose(parse_force("1 lb"), 4.4482216152605)  # 0.45359237 kg x 9.80665
    assert_allclose(parse_force("2 kg"), 2 * 9.80665)
    assert_allclose(parse_line_weight("0.15 N/m"), 0.15)
    assert_allclose(parse_line_weight("1 lb/ft"), 14.593902937206)  # the same / 0.3048
    assert_allclose(parse_line_weight("15 g per m"), 0.015 * 9.80665)


@pytest.mark.parametrize("text", [30, "30", "30 ft", "0 lb", "-3 lb", "3 lb/ft", "", True])
def test_a_pull_needs_its_unit(text):
    with pytest.raises(ValueError, match="not a pull"):
        parse_force(text)


@pytest.mark.parametrize("text", [0.01, "0.01", "0.01 lb", "0.01 lb/in", "0.01 ft/lb", True])
def test_a_weight_needs_its_units(text):
    with pytest.raises(ValueError, match="not a weight"):
        parse_line_weight(text)


STRING = '{ span = "25 ft", tension = "30 lb", weight = "0.01 lb/ft"'


def test_sag_is_stated_and_nothing_is_changed_unless_asked(survey):
    shots = survey(SHEET, f'units = "in"\nstring = {STRING} }}\n')
    (note,) = shots.notes
    assert note.code == "string-sag"
    said = note.say(Units.of_job("ft"))
    assert "A string of 0.01 lb/ft pulled to 30 lb over 25 ft 0 in hangs" in said
    assert "hangs 0.31 in at mid-span, 0.21 in on average. Depths were not corrected" in said
    sag = 6.25 / 240 * FOOT
    assert_allclose([measure.value for measure in note.measures], [25 * FOOT, sag, 2 / 3 * sag])
    assert_allclose(shots.depths[:2] / INCH, [6, 6.5])
    assert_allclose(shots.datum_sigma / FOOT, 2 / 3 * 6.25 / 240)


def test_a_correction_makes_each_depth_longer_by_the_mean_sag(survey):
    shots = survey(SHEET, f'units = "in"\nstring = {STRING}, correct = true }}\n')
    mean = 2 / 3 * 6.25 / 240 * FOOT
    assert_allclose(shots.depths[:2], np.array([6, 6.5]) * INCH + mean)
    assert shots.datum_sigma == 0
    assert "made longer by the average" in shots.notes[0].text


def test_sag_is_estimated_from_the_span_alone_and_says_what_it_assumed(survey):
    (note,) = survey(SHEET, 'string = { span = "45 ft" }\n').notes
    assert "0.0006 lb/ft pulled to 15 lb (assumed)" in note.text
    assert_allclose(note.measures[1].value / FOOT, 0.0006 * 45**2 / 8 / 15)


def test_a_straightedge_does_not_sag_and_a_string_that_is_not_described_is_mentioned(survey):
    assert survey(SHEET, "string = { span = 0 }\n").notes == ()
    (note,) = survey(SHEET, "").notes
    assert note.code == "string-sag"
    assert "say how far it spans in base.string" in note.text


@pytest.mark.parametrize(
    ("string", "said"),
    [
        ("3", "base.string is the number 3"),
        ("{ }", "base.string.span is missing"),
        ("{ span = 9, tension = 15 }", "base.string.tension must be a pull"),
        ("{ span = 9, weight = '15 lb' }", "base.string.weight must be a weight"),
        ("{ span = 9, correct = 'yes' }", "must be true or false"),
        ("{ span = 9, tensoin = '15 lb' }", "nearest key known there is 'tension'"),
    ],
)
def test_strings_that_make_no_sense_are_refused(refuse, string, said):
    assert said in refuse(SHEET, f"string = {string}\n")


def test_depths_have_the_accuracy_of_their_method_and_of_a_sag_left_in(read):
    job = read(SHEET, f'units = "in"\nstring = {STRING} }}\n')
    placed = place_survey(read_base(job.base.source, progress=lambda *_: None)[0], job)
    assert placed.sigma == SHOT_SIGMA["string-line depths"] == 0.003
    sag = 2 / 3 * 6.25 / 240 * FOOT
    assert_allclose(placed.datum_sigma, np.hypot(DATUM_SIGMA["string-line depths"], sag))


def test_a_survey_has_one_depth_a_point():
    with pytest.raises(ValueError, match="depths for 3 points"):
        Survey(np.zeros((3, 3)), np.zeros(3), depths=np.zeros(2))


hundredths = st.lists(st.integers(-30, 20), min_size=12, max_size=12)
WARPED = (
    "[top]\nbetween = [[[0, 0, 100.0], [9, 0, 100.2], [30, 0, 100.25]], "
    "[[0, 40, 100.4], [30, 40, 100.1]]]\n"
)
EAST, NORTH = (0, 11.5, 30), (0, 12, 26.25, 40)


def volume_of(folder: Path, base: str, **files: str) -> float:
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text)
    path = folder / "job.toml"
    path.write_text(
        f'units = "ft"\n[base]\n{base}[slab]\nthickness = "6 in"\n'
        f"edge = [[0, 0], [30, 0], [30, 40], [0, 40]]\n{WARPED}"
    )
    return check_job(read_job(path)).concrete.volume


@examples(3)  # five checks each
@given(hundredths)
def test_the_same_base_by_elevations_rods_sheets_and_depths_has_one_volume(tmp_path_factory, off):
    folder = tmp_path_factory.mktemp("same")
    places = [(e, n) for n in NORTH for e in EAST]
    level = [99.7 + part / 100 for part in off]
    rods = [104.5 - z for z in level]
    top = _top_at(tuple(places))
    depths = [t - z for t, z in zip(top, level, strict=True)]

    def rows(*columns: object) -> str:
        return "\n".join(",".join(map(repr, row)) for row in zip(*columns, strict=True)) + "\n"

    def sheet(values: list[float]) -> str:
        lines = [["", *map(str, EAST)]]
        for at, north in enumerate(NORTH):
            lines.append([str(north), *map(repr, values[3 * at : 3 * at + 3])])
        return "\n".join(map(",".join, lines)) + "\n"

    east, north = zip(*places, strict=True)
    setup = "setups = { A = { benchmark = 100, backsight = 4.5 } }\n"
    by_elevation = volume_of(folder, 'shots = "z.csv"\n', z="e,n,z\n" + rows(east, north, level))
    volumes = [
        volume_of(folder, f'shots = "r.csv"\n{setup}', r="e,n,rod\n" + rows(east, north, rods)),
        volume_of(folder, f'rods = "s.csv"\n{setup}', s=sheet(rods)),
        volume_of(folder, 'depths = "d.csv"\n', d=sheet(depths)),
        volume_of(folder, 'depths = "p.csv"\n', p="e,n,depth\n" + rows(east, north, depths)),
    ]
    assert by_elevation > 0
    assert_allclose(volumes, by_elevation, rtol=0, atol=1e-9)


@cache
def _top_at(places: tuple[tuple[float, float], ...]) -> list[float]:
    """Elevation of the warped top at places, ft."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "flat.csv").write_text("e,n,z\n0,0,99\n30,0,99\n30,40,99\n0,40,99\n")
        path = folder / "flat.toml"
        path.write_text(
            'units = "ft"\n[base]\nshots = "flat.csv"\n[slab]\nthickness = "6 in"\n'
            f"edge = [[0, 0], [30, 0], [30, 40], [0, 40]]\n{WARPED}"
        )
        result = check_job(read_job(path))
    plan = np.array(places) * FOOT - result.survey.origin[:2]
    level = nearest_level(result.top.surface.corners, plan) + result.survey.origin[2]
    return [float(z) for z in level / FOOT]


@pytest.mark.parametrize(
    ("readings", "is_in_inches"),
    [
        (("4-7 1/4", "4-8", "4.61"), True),
        (('55 1/4"', "54 3/4 in", "55"), True),
        (("4.61", "4.58", "4-7 1/4"), False),
        (("1.402", "1398 mm", "1.40 m"), False),
        ((), False),
    ],
)
def test_readings_in_inches_are_known_by_how_most_are_written(readings, is_in_inches):
    points = np.zeros((len(readings) or 3, 3))
    assert Survey(points, np.zeros(3), readings=readings).is_in_inches == is_in_inches
