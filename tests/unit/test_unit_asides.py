"""The unit that a comment or a title of a table says its numbers are in."""

import pytest
from click.testing import CliRunner

from gradevol.cli import main
from gradevol.files import Files, read_shots
from gradevol.files.cores import read_cores
from gradevol.files.drawings.outline import read_outline
from gradevol.files.ignored import note_ignored
from gradevol.files.sheet_sources import Depths, Lattice, Rods
from gradevol.files.sheets.depths import read_depths
from gradevol.files.sheets.survey import read_rods
from gradevol.files.sources import OutlineFile, Shots
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
        ("# Tolerance 5; distances in mm", "mm"),
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
        "Tolerance: distances in mm",
        "# Accuracy of the elevations in mm: 5",
        "# RMS error, coordinates (ft): 0.02; misclosure units: mm",
    ],
)
def test_the_jobs_own_unit_and_other_words_are_not(tmp_path, line):
    assert len(read(tmp_path, f"{line}\n{HEADER}{ROWS}").points) == 9


def test_plain_feet_may_be_survey_feet(tmp_path):
    assert len(read(tmp_path, f"# units: feet\n{HEADER}{ROWS}", unit="us-ft").points) == 9


def test_a_header_with_units_goes_before_it(tmp_path):
    header = "point,northing_ft,easting_ft,elevation_ft,code\n"
    assert len(read(tmp_path, f"# from coordinates in m\n{header}{ROWS}").points) == 9


LATTICE = Lattice("ft")
SHEET = ",0,6,12\n" + "".join(f"{row},0.4,0.5,0.6\n" for row in (0, 6, 12))
POINTS = "easting,northing,depth\n" + "".join(f"{at},{at % 3},0.5\n" for at in range(9))
READ = {
    "rods": (SHEET, lambda path, **is_ignored: read_rods(
        Rods(path, "ft", LATTICE, 104.5, **is_ignored), Files())),
    "depths": (SHEET, lambda path, **is_ignored: read_depths(
        Depths(path, "ft", LATTICE, **is_ignored), Files())),
    "depths at points": (POINTS, lambda path, **is_ignored: read_depths(
        Depths(path, "ft", LATTICE, **is_ignored), Files())),
    "outline": ("easting,northing\n0,0\n9,0\n9,9\n", lambda path, **is_ignored: read_outline(
        OutlineFile(path, "ft", **is_ignored))),
}  # fmt: skip


@pytest.mark.parametrize("kind", READ)
def test_it_is_whatever_the_table_holds(tmp_path, kind):
    rows, read_it = READ[kind]
    path = tmp_path / "table.csv"
    mark = "# " if kind == "outline" else ""  # a sheet's titles stand above its labels
    path.write_text(f"{mark}units: metres\n{rows}")
    with pytest.raises(InputError, match="numbers are in m, but the job says ft") as refused:
        read_it(path)
    assert refused.value.line == 1
    has_own = kind == "depths at points"  # of its column; any other heading would be refused too
    assert ("heading" in str(refused.value)) == has_own
    read_it(path, ignores_unit=True)
    path.write_text(f"{mark}units: feet\n{rows}")
    read_it(path)


def test_marks_in_the_cells_of_a_sheet_go_before_a_line(tmp_path):
    path = tmp_path / "sheet.csv"
    marked = SHEET.replace("0.4,0.5,0.6", '"5 1/4""","6""","6 1/2"""')
    path.write_text(f"Readings in inches\n{marked}")
    assert len(read_depths(Depths(path, "ft", LATTICE), Files()).points) == 9


def test_a_line_may_say_the_unit_that_one_column_has(tmp_path):
    (tmp_path / "cores.csv").write_text("# lengths in inches\neasting,northing,length_in\n1,2,6\n")
    (core,) = read_cores(tmp_path / "cores.csv", unit="ft")
    assert core.length == 6 * 0.0254
    (tmp_path / "bare.csv").write_text("# lengths in inches\neasting,northing,length\n1,2,6\n")
    with pytest.raises(InputError, match=r"in in, but the job says ft.*as in length_in"):
        read_cores(tmp_path / "bare.csv", unit="ft")


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
