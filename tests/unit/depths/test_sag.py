"""The sag of a string, and what it makes of depths."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.files import read_base
from gradevol.files.sheet_sources import String
from gradevol.files.sheets.depths import estimate_sag
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.forces import parse_force, parse_line_weight
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.job.placement import place_survey
from gradevol.runs.check import check_job
from gradevol.site.survey import DATUM_SIGMA, SHOT_SIGMA, Survey
from tests.conftest import examples
from tests.read_files import measure_job
from tests.unit.depths.conftest import FOOT, INCH, SHEET

pytestmark = pytest.mark.usefixtures("unsimulated")


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
    return measure_job(path)[0]


@examples(3)  # five jobs each
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
