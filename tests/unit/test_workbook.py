"""Workbooks: the one sheet that is seen and holds something, read as a table."""

import io
import zipfile

import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.described import take_inventory
from gradevol.files import Files, read_shots
from gradevol.files.learned import add_row
from gradevol.files.sheet_sources import Sheets
from gradevol.files.sheets.survey import read_sheets
from gradevol.files.sources import Shots
from gradevol.files.tables.number_formats import show_number
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.conftest import look_coarsely
from tests.small_job import EDGE, HEADER, JOB, SHOTS, write_job
from tests.workbooks import Formula, Sheet, Shown, write_workbook

HEAD = ["Point", "Northing", "Easting", "Elevation", "Code"]
ROWS = [[1, 10.5, 20.25, 100.1, "BASE"], [2, 11, 21, 100.2, "BASE"], [3, 12, 22.5, 100.3, "B"]]
ENZ = [[20.25, 10.5, 100.1], [21, 11, 100.2], [22.5, 12, 100.3]]
SHEET = Sheet([HEAD, *ROWS])
NOTES = Sheet([["called the plant at", 7.5], [None], ["rain"]], name="Notes")
AGAIN = Sheet([*ROWS[:2]], name="Again")


@pytest.fixture
def read(tmp_path):
    def read(*sheets, unit="m", **options):
        path = tmp_path / "shots.xlsx"
        path.write_bytes(write_workbook(*sheets, **options))
        return read_shots(Shots((path,), unit))

    return read


def with_elevations(make):
    return Sheet([HEAD, *([*row[:3], make(row[3]), row[4]] for row in ROWS)])


@pytest.mark.parametrize(
    "sheets",
    [
        (SHEET,),
        (Sheet([["Floor of the shed"], [], HEAD, *ROWS], merged="A1:E1"),),
        (Sheet([["Floor of the shed"], [None, "of Smith"], HEAD, *ROWS], merged="A1:A2"),),
        (Sheet([["old"]], name="Old", state="hidden"), SHEET, Sheet([], name="Sheet3")),
        (NOTES, SHEET),
        (Sheet([["Cover"], ["of the job"]], name="Cover", merged="A1:C9"), SHEET),
        (with_elevations(lambda level: Formula("105.6-F2", level)),),
        (with_elevations(lambda level: 105.6 - (105.6 - level)),),
    ],
)
def test_the_one_sheet_that_holds_something_is_read(read, sheets):
    survey = read(*sheets)
    assert_allclose(survey.points + survey.origin, ENZ, atol=1e-9)
    assert (survey.ids, survey.codes) == (("1", "2", "3"), ("BASE", "BASE", "B"))
    assert survey.readings == ("100.1", "100.2", "100.3")
    (note,) = survey.notes
    assert (note.code, note.text) == ("sheet-read", "Of shots.xlsx the sheet 'Shots' was read.")


@pytest.mark.parametrize(
    ("sheets", "said"),
    [
        ((SHEET, NOTES, AGAIN), r"hold tables: 'Shots' \(4 rows\) and 'Again' \(2 rows\)"),
        ((Sheet([HEAD], state="hidden"),), "no sheet that is seen holds any"),
        ((Sheet([HEAD, *ROWS], hidden=frozenset({3})),), "row 3 of it is hidden, as by a filter"),
        ((Sheet([HEAD, *ROWS], merged="E2:E4"),), "cells E2:E4 are merged over several rows"),
        ((with_elevations(lambda _: Formula("F2")),), "cell D2 holds a formula that was never"),
        ((with_elevations(lambda _: "#REF!"),), "line 2: the elevation '#REF!' is not a number"),
        ((Sheet([["Units: feet"], HEAD, *ROWS]),), "says that its numbers are in ft, but the job"),
    ],
)
def test_what_cannot_be_known_is_refused(read, sheets, said):
    with pytest.raises(InputError, match=said):
        read(*sheets)


def test_of_several_the_one_that_is_named_is_read(tmp_path):
    path = tmp_path / "shots.xlsx"
    path.write_bytes(
        write_workbook(SHEET, AGAIN, Sheet([["old", 1, 2]], name="Old", state="hidden"))
    )
    survey = read_shots(Shots((path,), "m", sheet=" shots"))
    assert survey.ids == ("1", "2", "3")
    with pytest.raises(InputError, match=r"named 'Old'; there are 'Shots' and 'Again'\. Correct"):
        read_shots(Shots((path,), "m", sheet="Old"))
    with pytest.raises(InputError, match=r"Hide the others.* as in sheet = 'Shots'"):
        read_shots(Shots((path,), "m"))


def test_a_sheet_is_named_of_a_workbook_alone(tmp_path):
    (tmp_path / "shots.csv").write_text(SHOTS)
    with pytest.raises(InputError, match=r"'Base', but it is delimited text.*Leave sheet out"):
        read_shots(Shots((tmp_path / "shots.csv",), "ft", sheet="Base"))


def rows_of(text):
    """Cells of delimited text: numbers as numbers."""
    lines = [line.split(",") for line in text.splitlines()]
    return [[float(cell) if cell.strip("-").replace(".", "").isdigit() else cell for cell in line]
            for line in lines]  # fmt: skip


def test_one_workbook_holds_what_a_job_names_by_its_sheets(tmp_path):
    later = HEADER + "R1,8.0,6.0,99.40\n"
    corners = "easting,northing\n0,0\n16,0\n16,9\n0,9\n"
    forms = HEADER + "".join(f"F{at},{e},{n},100\n" for at, (e, n) in enumerate(
        [(0, 0), (16, 0), (16, 9), (0, 9)]))  # fmt: skip
    book = write_workbook(
        *(Sheet(rows_of(text), name=name)
          for name, text in [("Base", SHOTS), ("Later", later), ("Edge", corners), ("Top", forms)])
    )  # fmt: skip
    base = 'shots = "book.xlsx"\nsheet = "Base"\n'
    rechecks = 'rechecks = { shots = "book.xlsx", sheet = "Later", radius = 1 }'
    job = JOB.replace('shots = "shots.csv"', base + rechecks)
    job = job.replace(EDGE, '{ file = "book.xlsx", sheet = "Edge" }')
    job = job.replace("level = 100", 'shots = "book.xlsx"\nsheet = "Top"')
    with look_coarsely():
        found = check_job(read_job(write_job(tmp_path, job=job, shots=None,
                                             files={"book.xlsx": book})))  # fmt: skip
    assert found.slab.area == pytest.approx(16 * 9 * 0.3048**2)
    assert found.survey.ids[-1] == "R1"
    assert len(found.survey.points) == 20  # one of them retired
    assert found.top.surface.points[:, 2] + found.survey.origin[2] == pytest.approx(30.48)
    read = [note.text for note in found.notes if note.code == "sheet-read"]
    assert len(read) == 3


def test_field_sheets_may_stand_in_one_workbook(tmp_path):
    sheet = [["", *range(0, 20, 4)], *([north, *[4.5] * 5] for north in (0, 3, 6, 9))]
    book = write_workbook(Sheet(sheet, name="Mon"), Sheet(sheet, name="Tue"))
    rods = (
        'rods = [{ file = "w.xlsx", sheet = "Mon" }, { file = "w.xlsx", sheet = "%s", '
        "origin = [0, 12] }]\ninstrument_height = 104"
    )
    job = JOB.replace('shots = "shots.csv"', rods)
    path = write_job(tmp_path, job=job % "Tue", shots=None, files={"w.xlsx": book})
    source = read_job(path).base.source
    assert isinstance(source, Sheets)
    assert read_sheets(source, Files()).ids[::20] == ("Mon 0/0", "Tue 0/0")
    for again in (job % "mon", (job % "Mon").replace(', sheet = "Mon" }', " }")):
        path.write_text(again)
        with pytest.raises(InputError, match=r"names 'w.xlsx' twice.*of a workbook each sheet"):
            read_job(path)


def test_a_sheet_is_the_same_in_capitals_where_top_and_base_share_it(tmp_path):
    base = 'shots = "book.xlsx"\nsheet = "Base"\n'
    top = 'shots = "book.xlsx"\nsheet = "BASE"\ncodes = ["FORM*"]'
    job = JOB.replace('shots = "shots.csv"', base).replace("level = 100", top)
    path = write_job(tmp_path, job=job, shots=None, files={"book.xlsx": b""})
    with pytest.raises(InputError, match=r"\[base\] takes every shot of it, those too"):
        read_job(path)


@pytest.mark.parametrize("name", ["shots.ods", "shots"])
def test_an_opendocument_spreadsheet_is_refused_with_what_to_do(tmp_path, name):
    with zipfile.ZipFile(tmp_path / name, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", "<x/>", zipfile.ZIP_DEFLATED)
    with pytest.raises(InputError, match=r"an OpenDocument spreadsheet.*save it as \.xlsx"):
        read_shots(Shots((tmp_path / name,), "m"))


def test_numbers_count_in_the_unit_that_their_cells_show(read):
    survey = read(with_elevations(lambda level: Shown(level / 0.3048, 0)), formats=['0.00" ft"'])
    assert_allclose((survey.points + survey.origin)[:, 2], [100.1, 100.2, 100.3], atol=1e-9)


@pytest.mark.parametrize(
    ("value", "form", "shown"),
    [
        (99.409999999999997, "General", "99.41"),
        (99.4, "0.00", "99.40"),
        (2134567.891, "#,##0.00", "2134567.891"),
        (-0.5, "0.00;[Red](0.00)", "-0.50"),
        (4.625, "# ?/?", "4 5/8"),
        (0.625, "# ?/8", "5/8"),
        (4.63, "# ?/8", "4.63"),
        (0.15, '0.00" m"', "0.15 m"),
        (0.02, "0%", "2%"),
        (2.5, '0.0"%"', "2.5%"),
        (46329, "d-mmm", "2026-11-03"),
        (46329.5868055556, "m/d/yy h:mm", "2026-11-03 14:05"),
        (0.25, "h:mm AM/PM", "06:00"),
        (7, '"setup "0', "setup 7"),
    ],
)
def test_a_number_is_told_as_its_cell_shows_it(value, form, shown):
    assert show_number(value, form) == shown


def test_days_may_be_counted_from_1904():
    assert show_number(46329 - 1462, "yyyy-mm-dd", is_1904=True) == "2026-11-03"


def test_it_is_described_as_a_sheet(tmp_path):
    (tmp_path / "shots.xlsx").write_bytes(write_workbook(SHEET))
    assert take_inventory(tmp_path / "shots.xlsx").title == "3 shots, sheet 'Shots' of a workbook"


def test_a_damaged_one_is_refused_whatever_byte_is_wrong(tmp_path):
    whole, path = write_workbook(SHEET), tmp_path / "shots.xlsx"
    for at in range(4, len(whole), 23):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 0x55]) + whole[at + 1 :])
        try:
            survey = read_shots(Shots((path,), "m"))
        except InputError:
            continue
        assert_allclose(survey.points + survey.origin, ENZ, atol=1e-9)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_one_that_says_it_is_packed_otherwise_is_refused(tmp_path, method):
    whole, path = write_workbook(SHEET), tmp_path / "shots.xlsx"
    first = whole.index(b"PK\x01\x02")  # in the directory at its end the method stands 10 bytes on
    path.write_bytes(whole[: first + 10] + bytes([method]) + whole[first + 11 :])
    with pytest.raises(InputError, match="damaged workbook"):
        read_shots(Shots((path,), "m"))


def test_a_row_that_no_sheet_has_is_refused_before_rows_are_made_up_to_it(tmp_path):
    path = tmp_path / "shots.xlsx"
    with zipfile.ZipFile(io.BytesIO(write_workbook(SHEET))) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    name = "xl/worksheets/sheet1.xml"
    parts[name] = parts[name].replace(b'<row r="4"', b'<row r="4000000000000"')
    with zipfile.ZipFile(path, "w") as package:
        for name, part in parts.items():
            package.writestr(name, part)
    with pytest.raises(InputError, match="damaged workbook"):
        read_shots(Shots((path,), "m"))


@pytest.mark.parametrize(
    ("styles", "said"),
    [
        (b"<!DOCTYPE styleSheet><styleSheet/>", "has a document type, which no workbook needs"),
        (b'<?xml version="1.0" encoding="UTF-x"?><styleSheet/>', "is a damaged workbook"),
    ],
)
def test_what_no_workbook_holds_is_refused(tmp_path, styles, said):
    path = tmp_path / "shots.xlsx"
    with zipfile.ZipFile(io.BytesIO(write_workbook(SHEET))) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    parts["xl/styles.xml"] = styles
    with zipfile.ZipFile(path, "w") as package:
        for name, part in parts.items():
            package.writestr(name, part)
    with pytest.raises(InputError, match=said):
        read_shots(Shots((path,), "m"))


def test_no_row_is_added_to_one(tmp_path):
    path = tmp_path / "learned.xlsx"
    path.write_bytes(write_workbook(SHEET))
    with pytest.raises(InputError, match="rows are added to text alone"):
        add_row(path, ["job"], ["shed"])
