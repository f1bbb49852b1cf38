"""The unit that a comment or a title of a table says its numbers are in."""

import pytest
from click.testing import CliRunner

from gradevol.cli import main
from gradevol.files import Files, read_shots
from gradevol.files.ignored import note_ignored
from gradevol.files.sources import Shots
from gradevol.ground.errors import InputError

HEADER = "point,northing,easting,elevation,code\n"
ROWS = "".join(f"{at},{at % 3},{at // 3},{99.5 + at / 100:.2f},BASE\n" for at in range(9))


def read(folder, text, **said):
    (folder / "shots.csv").write_text(text, encoding="utf-8")
    return read_shots(Shots((folder / "shots.csv",), **{"unit": "ft", **said}))


@pytest.mark.parametrize(
    ("line", "unit"),
    [
        ("# units: metres", "m"),
        ("Units,Meters", "m"),
        ("// Coordinates in US survey feet", "us-ft"),
        ("# linear units = m; angles in degrees", "m"),
        ("All values in inches", "in"),
        ("# Units: cm", "cm"),
        ("UNITS METERS", "m"),
        ("# units (m)", "m"),
        ("# Elevation in m, local datum", "m"),
        ("# Coordinates [m]", "m"),
        ("# Converted to local grid; units: m", "m"),
        ("# Coordinates in feet, converted to metres", "m"),
    ],
)
def test_another_unit_than_the_jobs_is_refused(tmp_path, line, unit):
    with pytest.raises(InputError, match=rf"says that its numbers are in {unit}, but the job says"):
        read(tmp_path, f"{line}\n{HEADER}{ROWS}")
    survey = read(tmp_path, f"{line}\n{HEADER}{ROWS}", ignores_unit=True)
    assert len(survey.points) == 9


def test_it_is_where_no_header_is_either(tmp_path):
    with pytest.raises(InputError, match="its numbers are in m, but the job says ft"):
        read(tmp_path, f"# units: m\n{ROWS}")


@pytest.mark.parametrize(
    "line",
    [
        "# units: ft",
        "# Units are feet",
        "# Unit 12 in building B",
        "# Unit M, building 4",
        "# Units M to Q",
        "# Coordinates in metres were converted to feet",
        "# Original units: metres; changed to ft",
        "# elevations in M Street datum",
        "# values in error were taken out",
    ],
)
def test_the_jobs_own_unit_and_other_words_are_not(tmp_path, line):
    assert len(read(tmp_path, f"{line}\n{HEADER}{ROWS}").points) == 9


def test_plain_feet_may_be_survey_feet(tmp_path):
    assert len(read(tmp_path, f"# units: feet\n{HEADER}{ROWS}", unit="us-ft").points) == 9


def test_a_header_with_units_goes_before_it(tmp_path):
    header = "point,northing_ft,easting_ft,elevation_ft,code\n"
    assert len(read(tmp_path, f"# from coordinates in m\n{header}{ROWS}").points) == 9


@pytest.mark.parametrize(
    ("line", "told"),
    [("# units: m", "m, by line 1"), ("# units: cm", "says cm, which is not read")],
)
def test_describe_tells_it(tmp_path, line, told):
    (tmp_path / "shots.csv").write_text(f"{line}\n{HEADER}{ROWS}", encoding="utf-8")
    run = CliRunner().invoke(main, ["describe", str(tmp_path / "shots.csv")])
    assert told in " ".join(run.stdout.split())


def test_one_that_is_passed_over_as_the_job_asks_is_noted(tmp_path):
    (tmp_path / "shots.csv").write_text(f"# units: m\n{HEADER}{ROWS}", encoding="utf-8")
    source = Shots((tmp_path / "shots.csv",), "ft", ignores_unit=True)
    (note,) = note_ignored(source, Files())
    assert "its line 1 says that it is in m." in note.text
    assert note_ignored(Shots(source.paths, "m", ignores_unit=True), Files()) == ()
