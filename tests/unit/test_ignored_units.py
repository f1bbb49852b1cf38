"""A file that is wrong about its own unit: passed over where the job says so, and told."""

import json

import pytest
from ezdxf.document import Drawing
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import EDGE, JOB, SHOTS, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

LYING = SHOTS.replace("easting,northing", "easting_m,northing_m")


def check(folder, job=JOB, **files):
    return check_job(read_job(write_job(folder, job=job, **files)))


def codes_of(result):
    return [note.code for note in result.notes]


def test_a_header_in_another_unit_is_refused_unless_the_job_says_that_it_is_wrong(tmp_path):
    with pytest.raises(InputError, match="ignore_file_unit = true beside units"):
        check(tmp_path / "a", shots=LYING)
    job = JOB.replace('"shots.csv"', '"shots.csv"\nignore_file_unit = true')
    told = check(tmp_path / "b", job, shots=LYING)
    true = check(tmp_path / "c")
    assert told.concrete.volume == true.concrete.volume
    (note,) = (note for note in told.notes if note.code == "file-unit-ignored")
    assert "its heading 'easting_m' says that it is in m" in note.text
    assert "read in ft" in note.text


def test_nothing_is_told_of_a_file_that_says_nothing_else(tmp_path):
    job = JOB.replace('"shots.csv"', '"shots.csv"\nignore_file_unit = true')
    assert "file-unit-ignored" not in codes_of(check(tmp_path, job))


def test_the_edge_and_the_top_have_words_of_their_own(tmp_path):
    corners = json.loads(EDGE)
    edge = "e_m,n_m\n" + "".join(f"{e},{n}\n" for e, n in corners)
    forms = "e_m,n_m,z\n" + "".join(f"{e},{n},100\n" for e, n in corners)
    job = JOB.replace(EDGE, '{ file = "edge.csv", ignore_file_unit = true }')
    job = job.replace("level = 100", 'shots = "forms.csv"\nignore_file_unit = true')
    told = check(tmp_path / "a", job, files={"edge.csv": edge, "forms.csv": forms})
    assert_allclose(told.concrete.volume, check(tmp_path / "b").concrete.volume, rtol=1e-9)
    assert codes_of(told).count("file-unit-ignored") == 2


def test_a_drawing_that_lies_about_its_unit_can_be_used(tmp_path):
    drawing = Drawing.new()
    drawing.units = 6  # metres
    drawing.modelspace().add_lwpolyline(json.loads(EDGE), close=True)
    drawing.saveas(tmp_path / "edge.dxf")
    with pytest.raises(InputError, match="ignore_file_unit = true there"):
        check(tmp_path, JOB.replace(EDGE, '"edge.dxf"'))
    told = check(tmp_path, JOB.replace(EDGE, '{ file = "edge.dxf", ignore_file_unit = true }'))
    assert_allclose(told.slab.area, 16 * 9 * 0.3048**2)
    assert "file-unit-ignored" in codes_of(told)


def test_a_coded_edge_out_of_the_same_file_passes_it_over_too(tmp_path):
    corners = json.loads(EDGE)
    shots = "point,easting_m,northing_m,elevation,code\n"
    shots += "".join(f"{line},BASE\n" for line in SHOTS.splitlines()[1:])
    shots += "".join(f"c{at},{e},{n},100,EDGE\n" for at, (e, n) in enumerate(corners))
    job = JOB.replace('"shots.csv"', '"shots.csv"\ncodes = "BASE"\nignore_file_unit = true')
    told = check(tmp_path, job.replace(EDGE, '{ codes = "EDGE" }'), shots=shots)
    assert_allclose(told.slab.area, 16 * 9 * 0.3048**2)
    assert codes_of(told).count("file-unit-ignored") == 1


def test_a_title_of_a_rod_sheet_is_passed_over_too(tmp_path):
    sheet = "Units: metres\n,0,4,8,12,16\n" + "".join(
        f"{up},{','.join(['5.00'] * 5)}\n" for up in (0, 3, 6, 9)
    )
    rods = 'rods = "shots.csv"\ninstrument_height = 104.5\n'
    with pytest.raises(InputError, match="line 1: it says that its numbers are in m"):
        check(tmp_path, JOB.replace('shots = "shots.csv"', rods), shots=sheet)
    job = JOB.replace('shots = "shots.csv"', f"{rods}ignore_file_unit = true")
    told = check(tmp_path, job, shots=sheet)
    assert codes_of(told).count("file-unit-ignored") == 1
