"""Units of point clouds: by the file, or by the job."""

import struct

import laspy
import pytest
from numpy.testing import assert_allclose

from gradevol.files import Files
from gradevol.files.clouds.las_header import read_las_header
from gradevol.files.ignored import note_ignored
from gradevol.files.sources import Cloud
from gradevol.ground.units import METRES
from tests.clouds import CRS, FT_WKT, absolute, keys, patch, points_of, read, refused, text, write

FOOT, SURVEY_FOOT = METRES["ft"], METRES["us-ft"]
WKT2 = """COMPOUNDCRS["a [b]",PROJCRS["p",BASEGEOGCRS["g",DATUM["d",ELLIPSOID["e",6378137,298.2,
 LENGTHUNIT["metre",1]]]],CONVERSION["c",PARAMETER["f",1,LENGTHUNIT["metre",1]]],CS[Cartesian,2],
 AXIS["e",east,LENGTHUNIT["foot",0.3048]],AXIS["n",north,LENGTHUNIT["foot",0.3048]]],
 VERTCRS["v",VDATUM["w"],CS[vertical,1],AXIS["up",up],LENGTHUNIT["metre",1.0]]]"""


@pytest.mark.parametrize(
    ("record", "unit", "plan", "elevation"),
    [
        (None, "ft", FOOT, FOOT),
        (None, "mm", 0.001, 0.001),
        (keys((1024, 1), (3076, 9001)), "m", 1, 1),
        (keys((1024, 1), (3076, 9002)), "ft", FOOT, FOOT),
        (keys((1024, 1), (3076, 9003)), "us-ft", SURVEY_FOOT, SURVEY_FOOT),
        (keys((1024, 1), (3076, 9003), (4099, 9001)), "us-ft", SURVEY_FOOT, 1),
        (keys((1024, 1), (4099, 9002)), "m", 1, FOOT),
        (text(FT_WKT), "us-ft", SURVEY_FOOT, SURVEY_FOOT),
        (
            text(f'COMPD_CS["a",{FT_WKT},VERT_CS["v",VERT_DATUM["d",2005],UNIT["m",1.0]]]'),
            "us-ft",
            SURVEY_FOOT,
            1,
        ),
        (text(WKT2), "ft", FOOT, 1),
        (text('LOCAL_CS["site",UNIT["metre",1]]'), "m", 1, 1),
        (text('PROJCS["cut short",UNIT["foot",0.3048'), "m", 1, 1),
        (text("not a system at all"), "m", 1, 1),
    ],
)
def test_units_are_the_files_own_or_the_jobs(tmp_path, record, unit, plan, elevation):
    path = write(tmp_path / "a.laz", records=[record] if record else [])
    survey = read(path, unit=unit, cell=0)
    wanted = points_of() * [plan, plan, elevation]
    assert_allclose(absolute(survey), wanted, rtol=0, atol=1e-9)


def test_a_note_says_that_plan_and_elevation_differ_in_unit(tmp_path):
    path = write(tmp_path / "a.laz", records=[keys((1024, 1), (3076, 9003), (4099, 9001))])
    (note,) = [note for note in read(path, unit="us-ft").notes if note.code == "cloud-units"]
    assert note.text == "The cloud says that it is in us-ft in plan and m in elevation."


def test_a_cloud_that_is_wrong_about_its_unit_is_in_the_jobs_where_that_says_so(tmp_path):
    records = [keys((1024, 1), (3076, 9003), (4099, 9001))]
    path = write(tmp_path / "a.laz", records=records)
    survey = read(path, unit="ft", cell=0, ignores_unit=True)
    assert_allclose(absolute(survey), points_of() * FOOT, rtol=0, atol=1e-9)
    (note,) = note_ignored(Cloud((path,), "ft", ignores_unit=True), Files())
    assert "its header says that it is in us-ft" in note.text


def test_a_unit_of_its_own_size_is_known_by_its_size(tmp_path):
    shorts = (1, 1, 0, 2, 3076, 0, 1, 32767, 3077, 34736, 1, 0)
    records = [(34735, struct.pack("<12H", *shorts)), (34736, struct.pack("<d", 0.3048))]
    path = write(tmp_path / "a.laz", records=records)
    refused(path, "are in ft, the job that they are in m")
    assert_allclose(absolute(read(path, unit="ft")), points_of() * FOOT, rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("record", "match"),
    [
        (keys((1024, 1), (3076, 9003)), "are in us-ft, the job that they are in m"),
        (text(FT_WKT), 'write units = "us-ft" under'),
        (keys((1024, 1), (3076, 9036)), "EPSG code 9036"),
        (text('PROJCS["p",UNIT["fathom",1.8288]]'), "are in fathom, which is none of"),
        (keys((1024, 2)), "degrees"),
        (keys((1024, 3)), "geocentric"),
        (text(f"GEOGCS[{CRS}]"), "geographic or geocentric"),
        (text(f'COMPD_CS["a",GEOGCS[{CRS}],VERT_CS["v",UNIT["m",1]]]'), "geographic"),
    ],
)
def test_a_unit_that_cannot_be_is_refused(tmp_path, record, match):
    refused(write(tmp_path / "a.laz", records=[record]), match)


def test_the_text_stands_where_the_header_says_so(tmp_path):
    records = [keys((1024, 1), (3076, 9001)), text(FT_WKT)]
    path = write(tmp_path / "a.las", records=records, kind=1, version="1.2")
    assert read_las_header(path).units.plan == "m"
    assert read_las_header(patch(path, 6, "<H", 16)).units.plan == "us-ft"


def test_a_system_after_the_points_is_found(tmp_path):
    path = write(tmp_path / "a.las")
    content = path.read_bytes()
    wkt = FT_WKT.encode()
    record = struct.pack("<2x16sHQ32x", b"LASF_Projection", 2112, len(wkt)) + wkt
    path.write_bytes(content + record)
    patch(path, 235, "<QI", len(content), 1)
    assert read_las_header(path).units.plan == "us-ft"


def test_degrees_are_refused_where_nothing_is_declared(tmp_path):
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [1e-7, 1e-7, 0.001], [-93.0, 44.0, 0.0]
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = (points_of() * [1e-5, 1e-5, 1] - [93.005, -44.1, 0]).T
    cloud.write(tmp_path / "a.laz")
    refused(tmp_path / "a.laz", "look like degrees")
