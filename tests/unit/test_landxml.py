"""LandXML written by hand: what a file says is what is read, and nothing is read in silence."""

import gzip

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from tests.read_files import read_faces_of as read_landxml_surface
from tests.read_files import read_points_of as read_landxml_points

# northing, easting, elevation, as the schema has them
PNTS = {"1": "0 0 100", "2": "0 20 100.5", "5": "10 20 101", "9": "10 0 100.25"}
POINTS = [[0, 0, 100], [20, 0, 100.5], [20, 10, 101], [0, 10, 100.25]]
FACES = ["1 2 5", "1 5 9"]
METRIC = '<Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter"/>'


def surface(name="base", pnts=PNTS, faces=FACES, kind="TIN"):
    points = "".join(f'<P id="{key}">{text}</P>' for key, text in pnts.items())
    shapes = "".join(f if f.startswith("<F") else f"<F>{f}</F>" for f in faces)
    return (
        f'<Surface name="{name}"><SourceData><Breaklines/></SourceData><Definition '
        f'surfType="{kind}"><Pnts>{points}</Pnts><Faces>{shapes}</Faces></Definition></Surface>'
    )


def document(*surfaces, units=METRIC, version="1.2", points="", prolog=""):
    xmlns = f"http://www.landxml.org/schema/LandXML-{version}"
    return (
        f'<?xml version="1.0"?>{prolog}<LandXML xmlns="{xmlns}" version="{version}">'
        f"<Units>{units}</Units>{points}<Surfaces>{''.join(surfaces)}</Surfaces></LandXML>"
    )


@pytest.fixture
def file(tmp_path):
    def file(text):
        path = tmp_path / "base.xml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return file


@pytest.mark.parametrize("version", ["1.0", "1.1", "1.2"])
def test_points_are_northing_easting_elevation_in_every_version(file, version):
    points, triangles = read_landxml_surface(file(document(surface(), version=version)), unit="m")
    assert_array_equal(points, POINTS)
    assert_array_equal(triangles, [[0, 1, 2], [0, 2, 3]])


def test_a_prefix_for_the_namespace_changes_nothing(file):
    text = document(surface()).replace("<", "<lx:").replace("<lx:/", "</lx:")
    text = text.replace("<lx:?xml", "<?xml").replace("xmlns=", "xmlns:lx=")
    points, _ = read_landxml_surface(file(text), unit="m")
    assert_array_equal(points, POINTS)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "windows-1252"])
def test_the_declared_encoding_is_followed(file, encoding):
    text = document(surface(name="Größe")).replace("?>", f' encoding="{encoding}"?>', 1)
    points, _ = read_landxml_surface(file(text.encode(encoding)), unit="m", name="größe")
    assert_array_equal(points, POINTS)


def test_a_packed_file_is_unpacked_as_it_is_read(file):
    points, _ = read_landxml_surface(file(gzip.compress(document(surface()).encode())), unit="m")
    assert_array_equal(points, POINTS)


def test_a_packed_file_that_breaks_off_is_refused(file):
    packed = gzip.compress(document(surface()).encode())
    with pytest.raises(InputError, match=r"gzip packing is broken|not well-formed"):
        read_landxml_surface(file(packed[:-20]), unit="m")


def test_invisible_faces_are_left_out(file):
    faces = ["1 2 5", '<F i="1" n="0 0 1">1 5 9</F>']
    _, triangles = read_landxml_surface(file(document(surface(faces=faces))), unit="m")
    assert_array_equal(triangles, [[0, 1, 2]])


def test_a_grid_face_is_two_triangles(file):
    text = document(surface(faces=["1 2 5 9"], kind="grid"))
    _, triangles = read_landxml_surface(file(text), unit="m")
    assert_array_equal(triangles, [[0, 1, 2], [0, 2, 3]])


@pytest.mark.parametrize(
    ("element", "linear", "unit"),
    [
        ("Metric", "meter", "m"),
        ("Metric", "millimeter", "mm"),
        ("Imperial", "foot", "ft"),
        ("Imperial", "USSurveyFoot", "us-ft"),
        ("Imperial", "inch", "in"),
    ],
)
def test_the_declared_unit_must_be_the_jobs(file, element, linear, unit):
    path = file(document(surface(), units=f'<{element} linearUnit="{linear}"/>'))
    points, _ = read_landxml_surface(path, unit=unit)
    assert_allclose(points, np.array(POINTS) * METRES[unit], rtol=1e-15)
    for other in METRES.keys() - {unit}:
        with pytest.raises(InputError, match=f"{linear}.* in {unit}.*numbers are in {other}"):
            read_landxml_surface(path, unit=other)


def test_the_two_feet_are_told_apart_in_words(file):
    path = file(document(surface(), units='<Imperial linearUnit="foot"/>'))
    with pytest.raises(InputError, match=r"ft \(international feet\).*us-ft \(US survey feet\)"):
        read_landxml_surface(path, unit="us-ft")


def test_a_unit_that_stands_after_the_surfaces_counts_too(file):
    text = document(surface(), units="")
    text = text.replace("</LandXML>", f"<Units>{METRIC}</Units></LandXML>")
    with pytest.raises(InputError, match=r"is in m, but"):
        read_landxml_surface(file(text), unit="ft")


def test_without_a_unit_the_jobs_is_taken(file):
    points, _ = read_landxml_surface(file(document(surface(), units="")), unit="ft")
    assert_allclose(points, np.array(POINTS) * 0.3048, rtol=1e-15)


def test_of_several_surfaces_one_must_be_named(file):
    lower = {key: text.replace("10", "9", 1) for key, text in PNTS.items()}
    path = file(document(surface("Base"), surface("top", pnts=lower), surface("empty", faces=[])))
    with pytest.raises(InputError, match=r"2 surfaces: 'Base' \(2 faces\), 'top' \(2 faces\)"):
        read_landxml_surface(path, unit="m")
    points, _ = read_landxml_surface(path, unit="m", name="BASE")
    assert_array_equal(points, POINTS)
    with pytest.raises(InputError, match=r"none of its surfaces with faces is named 'ground'"):
        read_landxml_surface(path, unit="m", name="ground")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (document(surface(faces=["1 2 5", "1 5 7"])), r"line 1: face 2 \(1 5 7\).* point '7'"),
        (document(surface(faces=["1 2"])), "names 2 points"),
        (document(surface(faces=["1 2 5 9 1"])), "names 5 points"),
        (document(surface(pnts={**PNTS, "2": "0 20"})), "point '2' of .*: '0 20'"),
        (document(surface(pnts={**PNTS, "2": "0 20 1 5"})), "no northing, easting and elevation"),
        (document(surface(pnts={**PNTS, "2": "0,5 20,5 1,5"})), "no northing, easting and elev"),
        (document(surface(pnts={**PNTS, "2": "0 2_0 1"})), "no northing, easting and elevation"),
        (document(surface(pnts={**PNTS, "2": "0 20 nan"})), "corner 2 lies at 20, 0, nan"),
        (document(surface(pnts={**PNTS, "2": "0 20 1e300"})), "corner 2 lies at"),
        (document(surface()).replace('id="2"', 'id="1"'), "two points .* have the id '1'"),
        (document(surface(faces=[])), "no visible faces: 'base'"),
        (document(surface(faces=['<F i="1">1 2 5</F>'])), "no visible faces"),
        (document(), "holds no surface"),
        (document(surface(), units='<Metric linearUnit="furlong"/>'), "is in furlong, but"),
        (document(surface())[:-40], "line 1: it is not well-formed XML"),
        ("<kml/>", "XML, but not LandXML: it begins with <kml>"),
        ("", "it is empty"),
        ("1,0,0,100\n", "not well-formed"),
        (b"\x00\x01\x02\x03" * 50, "not well-formed"),
        (b"AC1027\x00\x00", "a DWG drawing"),
        (b'<?xml version="1.0" encoding="klingon"?><LandXML/>', "encoding cannot be read"),
        (b'<?xml version="1.0" encoding="shift_jis"?><LandXML/>', "encoding cannot be read"),
        ("<LandXML>" + "<a>" * 100_000, "nested more than 200 deep"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_paragraph(file, text, said):
    with pytest.raises(InputError, match=said) as refusal:
        read_landxml_surface(file(text), unit="m")
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    "prolog",
    [
        "<!DOCTYPE LandXML>",
        '<!DOCTYPE LandXML [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>',
        '<!DOCTYPE LandXML SYSTEM "http://127.0.0.1:9/x.dtd">',
        '<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]>',
    ],
)
def test_document_types_are_refused_before_anything_is_expanded(file, prolog):
    text = document(surface(name="&b;" if "&a" in prolog else "base"), prolog=prolog)
    with pytest.raises(InputError, match=r"it has a document type"):
        read_landxml_surface(file(text), unit="m")


def test_a_missing_file_is_said_to_be_missing(tmp_path):
    with pytest.raises(InputError, match=r"no such file"):
        read_landxml_surface(tmp_path / "none.xml", unit="m")


CGPOINTS = """<CgPoints name="shots">
<CgPoint name="101" code="BASE" desc="stone">5000.25 2000.5 100.02</CgPoint>
<CgPoint name="102" desc="BASE edge">5010 2000 100.1</CgPoint>
<CgPoint name="103" code="CP">5010 2010 101.5</CgPoint>
<CgPoint code="BASE">5000 2010 100.3</CgPoint>
</CgPoints><CgPoints name="group"><CgPoint pntRef="102"/></CgPoints>"""


def test_points_keep_their_names_codes_and_digits(file):
    survey = read_landxml_points(file(document(points=CGPOINTS)), unit="m")
    assert survey.ids == ("101", "102", "103", "point 4")
    assert survey.codes == ("BASE", "BASE edge", "CP", "BASE")
    assert survey.readings == ("100.02", "100.1", "101.5", "100.3")
    expected = [[2000.5, 5000.25, 100.02], [2000, 5010, 100.1], [2010, 5010, 101.5]]
    assert_allclose((survey.points + survey.origin)[:3], expected, rtol=0, atol=1e-9)


def test_codes_choose_points_and_name_what_there_is(file):
    path = file(document(points=CGPOINTS))
    assert read_landxml_points(path, unit="m", codes=("base*",)).ids == ("101", "102", "point 4")
    with pytest.raises(InputError, match=r"the codes CURB.*BASE \(2\), BASE edge \(1\), CP \(1\)"):
        read_landxml_points(path, unit="m", codes=("CURB",))
    with pytest.raises(InputError, match=r"1 shot cannot make a surface.*and the codes"):
        read_landxml_points(path, unit="m", codes=("CP",))


def test_a_mark_without_an_elevation_matters_only_where_it_is_wanted(file):
    mark = '<CgPoint name="9" code="PCOR">5005 2005</CgPoint>'
    path = file(document(points=CGPOINTS.replace("<CgPoint name=", f"{mark}<CgPoint name=", 1)))
    survey = read_landxml_points(path, unit="m", codes=("BASE*",))
    assert survey.ids == ("101", "102", "point 5")
    assert_allclose((survey.points + survey.origin)[:, 2], [100.02, 100.1, 100.3], atol=1e-9)
    for codes in ((), ("PCOR", "BASE*")):
        with pytest.raises(InputError, match=r"point '9' has no .*name the descriptions"):
            read_landxml_points(path, unit="m", codes=codes)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ("", "no points"),
        ('<CgPoint name="7">1 2</CgPoint>', "point '7' has no northing"),
        ('<CgPoint name="7">1 2 inf</CgPoint>', "point 1 lies at 2, 1, inf"),
        ('<CgPoint pntRef="8"/>', "refers to point '8', which is not there"),
        ('<CgPoint name="7"/>', "point '7' has no northing"),
    ],
)
def test_points_that_are_none_are_refused(file, points, said):
    with pytest.raises(InputError, match=said):
        read_landxml_points(file(document(points=points)), unit="m")


def test_ids_that_stand_twice_are_noted(file):
    points = CGPOINTS.replace("102", "101")
    survey = read_landxml_points(file(document(points=points)), unit="m")
    (note,) = survey.notes
    assert note.code == "duplicate-ids"
    assert note.points == ("101",)


def test_the_coordinates_of_web_maps_are_refused(file):
    units = f'{METRIC}</Units><CoordinateSystem epsgCode="3857"/><Units>'
    with pytest.raises(InputError, match="longer than on the ground"):
        read_landxml_surface(file(document(surface(), units=units)), unit="m")
