import math

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.sources import Cloud, Control, OutlineFile, Shots, SurfaceFile
from gradevol.geometry.rings import ring_area
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import TopFile, TopLines, TopPanels, TopShots, read_job
from gradevol.site.top import Between, Fall, Level, Plane

FOOT = 0.3048
INCH = 0.0254
UNITS = 'units = "ft"\n'
BASE = '[base]\nshots = "shots.csv"\n'
EDGE = "edge = [[0, 0], [45, 0], [45, 80], [0, 80]]\n"
SLAB = f'[slab]\n{EDGE}thickness = "6 in"\n'
TOP = "[top]\nlevel = 100.5\n"
FILES = ("shots.csv", "more.csv", "top.csv", "pad.ply", "edge.geojson", "one.laz", "two.las")


@pytest.fixture
def read(tmp_path):
    """Write a job file beside empty data files, and read it."""
    for name in FILES:
        (tmp_path / name).write_text("")
    (tmp_path / "tiles").mkdir()
    for name in ("b.LAZ", "a.las", "c.copc.laz", "notes.txt"):
        (tmp_path / "tiles" / name).write_text("")
    (tmp_path / "empty").mkdir()

    def read_text(text):
        path = tmp_path / "apron.toml"
        path.write_text(text, encoding="utf-8")
        return read_job(path)

    return read_text


@pytest.fixture
def refuse(read, tmp_path):
    """Read a job that must be refused; return what is said after the file's name."""

    def refuse_text(text):
        with pytest.raises(InputError) as caught:
            read(text)
        said = str(caught.value)
        assert said.startswith(f"{tmp_path / 'apron.toml'}")
        return said.removeprefix(f"{tmp_path / 'apron.toml'}")

    return refuse_text


def test_the_shortest_job_has_the_defaults(read, tmp_path):
    job = read(UNITS + BASE + SLAB + TOP)

    assert job.path == tmp_path / "apron.toml"
    assert (job.title, job.interval, job.unit) == ("apron", 0.9, "ft")
    assert (job.units.length, job.units.volume) == ("ft", "yd3")
    assert job.base.source == Shots((tmp_path / "shots.csv",), "ft")
    assert (job.base.sigma, job.base.datum_sigma, job.base.allow_gaps) == (None, None, False)
    assert_allclose(job.slab.edge, np.array([[0, 0], [45, 0], [45, 80], [0, 80]]) * FOOT)
    assert_allclose(job.slab.thickness, 0.1524)
    assert_allclose(job.slab.least_thickness, 5.25 * INCH)  # 3/4 in less
    assert (job.slab.openings, job.slab.thickenings, job.slab.voids) == ((), (), ())
    assert (job.slab.base_high, job.slab.base_low, job.slab.side_names) == (None, None, ())
    assert job.top == Level(100.5 * FOOT)
    assert (job.top_sigma, job.order, job.pours) == (None, None, ())


def test_arrays_of_a_job_cannot_be_changed(read):
    job = read(UNITS + BASE + SLAB + TOP)
    with pytest.raises(ValueError, match="read-only"):
        job.slab.edge[0, 0] = 1.0


@pytest.mark.parametrize(
    ("unit", "metres"),
    [("m", 1.0), ("mm", 0.001), ("ft", 0.3048), ("us-ft", 1200 / 3937), ("in", 0.0254)],
)
def test_bare_numbers_are_in_the_units_of_the_job(read, unit, metres):
    edge = "edge = [[0, 0], [600, 0], [600, 900]]\n"
    job = read(f'units = "{unit}"\n{BASE}[slab]\n{edge}thickness = 200\n[top]\nlevel = 300\n')

    assert_allclose(job.slab.thickness, 200 * metres)
    assert_allclose(job.slab.edge[2], [600 * metres, 900 * metres])
    assert job.top == Level(300 * metres)


def test_lengths_may_carry_their_own_unit_everywhere(read):
    job = read(
        'units = "m"\n'
        + BASE
        + 'sigma = "1/4 in"\n[slab]\nthickness = "152 mm"\nbase_high = "1/4\\""\nbase_low = 0\n'
        'edge = [["5\'-6 1/2\\"", 0], [10, 0], [10, "0.15 m"]]\n'
        '[top]\nlevel = "100 ft"\nsigma = 0.002\n'
    )
    assert_allclose(job.base.sigma, INCH / 4)
    assert_allclose(job.slab.thickness, 0.152)
    assert_allclose(job.slab.edge[0], [66.5 * INCH, 0])
    assert_allclose(job.slab.edge[2], [10, 0.15])
    assert_allclose((job.slab.base_high, job.slab.base_low), (INCH / 4, 0.0))
    assert job.top == Level(100 * FOOT)
    assert job.top_sigma == 0.002


def test_coordinates_of_millions_keep_the_last_bit_that_fits(read):
    edge = "edge = [[2000000.01, 13000000.02], [2000045.01, 13000000.02], [2000045.01, 13000080]]\n"
    job = read(f'units = "us-ft"\n{BASE}[slab]\n{edge}thickness = 0.5\n{TOP}')
    spacing = np.spacing(13e6 * FOOT)
    assert_allclose(job.slab.edge[0, 1], 13000000.02 * 1200 / 3937, rtol=0, atol=spacing)
    assert_allclose(np.diff(job.slab.edge[:2, 0]), 45 * 1200 / 3937, rtol=0, atol=1e-9)


def test_units_are_never_guessed(refuse):
    said = refuse(BASE + SLAB + TOP)
    assert "units is missing" in said
    assert "never guessed" in said
    assert "m, mm, ft (international foot), us-ft (US survey foot) or in" in said


@pytest.mark.parametrize("unit", ['"feet"', '"yd"', "1", "true", '""'])
def test_units_that_are_not_known_are_refused_with_the_choices(refuse, unit):
    said = refuse(f"units = {unit}\n" + BASE + SLAB + TOP)
    assert "units is" in said
    assert "one of m, mm, in, ft, us-ft" in said


@pytest.mark.parametrize(
    ("text", "key", "table", "nearest"),
    [
        (UNITS + "intervall = 0.9\n" + BASE + SLAB + TOP, "intervall", "the top", "interval"),
        (UNITS + BASE + 'colums = "PNEZD"\n' + SLAB + TOP, "colums", "base", "columns"),
        (UNITS + BASE + SLAB + "Thickness = 6\n" + TOP, "Thickness", "slab", "thickness"),
        (UNITS + BASE + SLAB + TOP + "levels = 1\n", "levels", "top", "level"),
        (UNITS + BASE + SLAB + TOP + "[[thickening]]\nwdth = 1\n", "wdth", "thickening 1", "width"),
        (
            UNITS + BASE + SLAB + TOP + "[[void]]\nvolume = 1\n[[void]]\ndia = 1\n",
            "dia",
            "void 2",
            "diameter",
        ),
        (UNITS + BASE + SLAB + TOP + "[order]\nwast = 1\n", "wast", "order", "waste"),
        (UNITS + BASE + SLAB + TOP + "[[pour]]\ncounts = 1\n", "counts", "pour 1", "count"),
        (
            UNITS + BASE + SLAB + "[[top.panel]]\nedg = 1\n",
            "edg",
            "top.panel 1",
            "edge",
        ),
        (
            UNITS + BASE + SLAB + "openings = [{ centre = [1, 1], diameter = 1 }]\n" + TOP,
            "centre",
            "slab.opening 1",
            "center",
        ),
    ],
)
def test_an_unknown_key_is_named_with_its_table_and_the_nearest_known_one(
    refuse, text, key, table, nearest
):
    said = refuse(text)
    assert f"there is no key {key!r}" in said
    assert table in said
    assert f"nearest key known there is {nearest!r}" in said


def test_a_key_that_slipped_below_a_table_is_said_to_belong_above_it(refuse):
    said = refuse(UNITS + BASE + SLAB + TOP + "interval = 0.8\n")
    assert "'interval' belongs in the top of the file, above the first table" in said


@pytest.mark.parametrize("missing", ["base", "slab", "top"])
def test_a_table_that_is_missing_is_named(refuse, missing):
    tables = {"base": BASE, "slab": SLAB, "top": TOP}
    del tables[missing]
    assert f"{missing} is missing" in refuse(UNITS + "".join(tables.values()))


@pytest.mark.parametrize(
    ("text", "key", "found", "expected"),
    [
        ("title = 5\n" + BASE + SLAB + TOP, "title", "the number 5", "text"),
        ('interval = "9"\n' + BASE + SLAB + TOP, "interval", "the text '9'", "a share"),
        ('interval = "5 %"\n' + BASE + SLAB + TOP, "interval", "the text '5 %'", "a share"),
        ("interval = 90\n" + BASE + SLAB + TOP, "interval", "the number 90", "0.9 for 90 %"),
        ("interval = nan\n" + BASE + SLAB + TOP, "interval", "the number nan", "a share"),
        ("base = 1\n" + SLAB + TOP, "base", "the number 1", "a table"),
        ("[[base]]\n" + SLAB + TOP, "base", "a list of 1", "a table"),
        ("[base]\nshots = 5\n" + SLAB + TOP, "base.shots", "the number 5", "text"),
        ("[base]\nshots = []\n" + SLAB + TOP, "base.shots", "an empty list", "list of text"),
        (BASE + "codes = [1]\n" + SLAB + TOP, "base.codes", "the number 1", "text"),
        (BASE + "columns = ['P']\n" + SLAB + TOP, "base.columns", "a list of 1", "text"),
        (BASE + "units = 'feet'\n" + SLAB + TOP, "base.units", "the text 'feet'", "one of m"),
        (BASE + "sigma = -0.1\n" + SLAB + TOP, "base.sigma", "the number -0.1", "0 or more"),
        (BASE + "sigma = true\n" + SLAB + TOP, "base.sigma", "true", "a length"),
        (BASE + "allow_gaps = 'yes'\n" + SLAB + TOP, "base.allow_gaps", "'yes'", "true or false"),
        (BASE + f"[slab]\n{EDGE}thickness = 0\n" + TOP, "slab.thickness", "number 0", "more than"),
        (BASE + f"[slab]\n{EDGE}thickness = [6]\n" + TOP, "slab.thickness", "a list", "a length"),
        (
            BASE + f"[slab]\n{EDGE}thickness = 2024-01-02\n" + TOP,
            "slab.thickness",
            "2024-01-02",
            "a length",
        ),
        (BASE + SLAB + "[top]\nlevel = true\n", "top.level", "true", "a length"),
        (BASE + SLAB + "openings = 5\n" + TOP, "slab.openings", "the number 5", "a list"),
        (BASE + SLAB + TOP + "[thickening]\n", "thickening", "a table", "a list of tables"),
        (BASE + SLAB + "[top.panel]\n", "top.panel", "a table", "a list of tables"),
    ],
)
def test_a_value_of_the_wrong_kind_is_quoted_with_what_is_expected(
    refuse, text, key, found, expected
):
    said = refuse(UNITS + text)
    assert f"{key} is" in said
    assert found in said
    assert expected in said


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e999"])
def test_a_coordinate_that_is_no_number_is_refused_with_its_place(refuse, value):
    said = refuse(UNITS + BASE + SLAB.replace("[45, 80]", f"[45, {value}]") + TOP)
    assert "the northing of corner 3 of slab.edge" in said
    assert "finite" in said


def test_a_length_that_cannot_be_read_is_quoted(refuse):
    said = refuse(UNITS + BASE + SLAB.replace("6 in", "6 inn") + TOP)
    assert "slab.thickness must be a length, but '6 inn' names no known unit" in said


def test_a_whole_number_of_thousands_of_digits_is_refused(refuse):
    said = refuse(UNITS + BASE + SLAB + "[top]\nlevel = 0x" + "f" * 5000)
    assert "top.level must be a length, but such a number is too large" in said
    said = refuse("interval = 0x" + "f" * 5000 + "\n" + UNITS + BASE + SLAB + TOP)
    assert "interval is a very long number" in said


# Files of the job


def test_text_that_is_not_toml_is_refused_with_its_line(refuse):
    said = refuse(UNITS + BASE + "[slab]\nthickness = 6 in\n")
    assert said.startswith(", line 5: this is not TOML")


@pytest.mark.parametrize(
    "data", [b"point,e,n,z\n1,0,0,9\n", b"LASF\x00\xff\n", b"\xef\xbb\xbf1 2 3\n"]
)
def test_a_data_file_in_place_of_a_job_is_told_where_to_go(tmp_path, data):
    path = tmp_path / "shots.csv"
    path.write_bytes(data)
    with pytest.raises(InputError, match=r"no job file.*`gradevol describe shots\.csv`"):
        read_job(path)


def test_a_job_in_utf16_is_told_to_be_saved_again(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes("units = 'm'\n".encode("utf-16"))
    with pytest.raises(InputError, match="Save the job file as UTF-8"):
        read_job(path)


def test_a_table_given_twice_is_told_as_such(refuse):
    assert "Head each table once" in refuse(UNITS + BASE + BASE)


def test_a_base_that_takes_the_forms_of_its_file_too_is_refused(refuse):
    top = "[top]\nshots = 'shots.csv'\ncodes = 'FORM*'\n"
    said = refuse(UNITS + BASE + SLAB + top)
    assert "top.codes picks FORM* out of shots.csv, but [base] takes every shot" in said
    assert (
        refuse(UNITS + BASE + "codes = 'B*'\n" + SLAB + top + "least_fall = 2\n").count("FORM") == 0
    )


@pytest.mark.parametrize("number", [".5", "[[0, 0], [-.5, 0]]", "5."])
def test_a_number_without_a_digit_beside_its_point_is_explained(refuse, number):
    assert "0.5 for .5" in refuse(f"{UNITS}{BASE}sigma = {number}\n")


def test_a_job_that_breaks_off_is_refused_with_its_last_line(refuse):
    assert refuse(UNITS + "[base]\nshots = [").startswith(", line 3: this is not TOML")


def test_backslashes_of_a_path_are_explained(refuse):
    assert "Write / in paths" in refuse(UNITS + '[base]\nshots = "data\\shots.csv"\n')


@pytest.mark.parametrize("path", ["C:\\users\\shots.csv", "C:\\Ulla\\shots.csv", "raw\\xyz.csv"])
def test_backslashes_that_read_like_numbers_of_letters_are_explained_too(refuse, path):
    said = refuse(f'{UNITS}[base]\nshots = "{path}"\n')
    assert "Write / in paths" in said


@pytest.mark.parametrize("path", ['"raw\\new\\table.csv"', "'raw\\shots.csv'"])
def test_a_path_whose_backslashes_are_no_error_of_toml_is_explained(refuse, path):
    assert "Write / in paths" in refuse(f"{UNITS}[base]\nshots = {path}\n")


@pytest.mark.parametrize("far", ["1e300", "-1e300", "1e9"])
def test_a_corner_that_is_nowhere_on_earth_is_refused_and_named(refuse, far):
    slab = f"[slab]\nedge = [[0, 0], [{far}, 0], [{far}, 9], [0, 9]]\nthickness = '6 in'\n"
    said = refuse(UNITS + BASE + slab + TOP)
    assert "the easting of corner 2 of slab.edge is the number" in said
    assert "nothing on Earth is as far" in said


@pytest.mark.parametrize("turned", [False, True])
def test_a_top_between_one_line_and_itself_is_refused(refuse, turned):
    line = [[0, 0, 100], [20, 0, 100.2]]
    other = line[::-1] if turned else line
    said = refuse(f"{UNITS}{BASE}{SLAB}[top]\nbetween = [{line}, {other}]\n")
    assert "line 1 and line 2 of top.between are one line in plan" in said


def test_a_key_given_twice_is_refused_with_its_line(refuse):
    assert refuse(UNITS + UNITS + BASE).startswith(", line 2: this is not TOML")


def test_brackets_without_end_are_refused(refuse):
    assert "nested too deep" in refuse("units = " + "[" * 100_000)


def test_a_job_saved_with_a_byte_order_mark_is_read(read):
    assert read("\ufeff" + UNITS + BASE + SLAB + TOP).unit == "ft"


def test_a_job_that_is_not_utf8_is_refused(tmp_path):
    path = tmp_path / "apron.toml"
    path.write_bytes(b'title = "\xff"\n')
    with pytest.raises(InputError, match="byte 10 is not UTF-8"):
        read_job(path)


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_a_job_that_is_not_there_is_refused(tmp_path, name):
    with pytest.raises(InputError, match="cannot be read"):
        read_job(tmp_path / name)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("[base]\nshots = 'lost.csv'\n" + SLAB + TOP, "base.shots"),
        ("[base]\nshots = ['shots.csv', 'lost.csv']\n" + SLAB + TOP, "base.shots"),
        ("[base]\ncloud = 'lost.csv'\n" + SLAB + TOP, "base.cloud"),
        ("[base]\nsurface_file = 'lost.csv'\n" + SLAB + TOP, "base.surface_file"),
        (BASE + "[slab]\nthickness = 1\nedge = 'lost.csv'\n" + TOP, "slab.edge"),
        (BASE + SLAB + "openings = ['lost.csv']\n" + TOP, "slab.opening 1"),
        (BASE + SLAB + "[top]\nshots = 'lost.csv'\n", "top.shots"),
        (BASE + SLAB + "[top]\nsurface_file = 'lost.csv'\n", "top.surface_file"),
    ],
)
def test_a_file_that_is_not_there_is_named_with_its_key(refuse, tmp_path, text, key):
    said = refuse(UNITS + text)
    assert f"{key} is 'lost.csv', but {tmp_path / 'lost.csv'} is not there" in said


@pytest.mark.parametrize("name", ["\\u0000", "a" * 300])
def test_a_name_that_no_file_can_have_is_refused(refuse, name):
    assert "base.shots is" in refuse(UNITS + f'[base]\nshots = "{name}"\n' + SLAB + TOP)


def test_a_folder_is_no_file_of_shots(refuse):
    assert "is a folder" in refuse(UNITS + "[base]\nshots = 'tiles'\n" + SLAB + TOP)


def test_a_file_named_twice_is_refused(refuse):
    text = "[base]\nshots = ['shots.csv', 'tiles/../shots.csv']\n"
    assert "shots.csv twice" in refuse(UNITS + text + SLAB + TOP)


# The base


def test_shots_with_every_key(read, tmp_path):
    job = read(
        UNITS + "[base]\nshots = ['shots.csv', 'more.csv']\ncolumns = 'PENZD'\ncodes = 'BASE*'\n"
        "units = 'us-ft'\nsigma = 0.01\ndatum_sigma = '1 mm'\nallow_gaps = true\n" + SLAB + TOP
    )
    paths = (tmp_path / "shots.csv", tmp_path / "more.csv")
    assert job.base.source == Shots(paths, "us-ft", columns="PENZD", codes=("BASE*",))
    assert_allclose((job.base.sigma, job.base.datum_sigma), (0.01 * FOOT, 0.001))
    assert job.base.allow_gaps


def test_a_folder_of_tiles_is_read_in_the_order_of_their_names(read, tmp_path):
    job = read(UNITS + "[base]\ncloud = 'tiles'\ncell = '3 in'\nclasses = [2, 8]\n" + SLAB + TOP)
    tiles = tuple(tmp_path / "tiles" / name for name in ("a.las", "b.LAZ", "c.copc.laz"))
    assert job.base.source == Cloud(tiles, "ft", cell=3 * INCH, classes=(2, 8))


def test_a_cloud_of_listed_files(read, tmp_path):
    job = read(UNITS + "[base]\ncloud = ['two.las', 'one.laz']\ncell = 0\n" + SLAB + TOP)
    paths = (tmp_path / "two.las", tmp_path / "one.laz")
    assert job.base.source == Cloud(paths, "ft", cell=0.0)


def test_a_folder_without_tiles_is_refused(refuse):
    said = refuse(UNITS + "[base]\ncloud = 'empty'\n" + SLAB + TOP)
    assert "holds no .las or .laz file" in said


@pytest.mark.parametrize("classes", ["[]", "[256]", "[-1]", "[2.0]", "[true]", "2", "['2']"])
def test_classes_of_a_cloud_are_whole_numbers_of_a_byte(refuse, classes):
    said = refuse(UNITS + f"[base]\ncloud = 'one.laz'\nclasses = {classes}\n" + SLAB + TOP)
    assert "base.classes is" in said
    assert "whole numbers from 0 to 255" in said


def test_a_base_that_is_a_surface(read, tmp_path):
    job = read(UNITS + "[base]\nsurface_file = 'pad.ply'\nunits = 'm'\n" + SLAB + TOP)
    assert job.base.source == SurfaceFile(tmp_path / "pad.ply", "m")


def test_a_base_without_source_is_refused(refuse):
    said = refuse(UNITS + "[base]\nsigma = 0.01\n" + SLAB + TOP)
    assert "the base is not given" in said
    assert "one of shots, cloud, rods, depths, surface_file" in said


def test_a_base_with_two_sources_is_refused_with_their_names(refuse):
    said = refuse(UNITS + BASE + "cloud = 'one.laz'\n" + SLAB + TOP)
    assert "base.shots and by base.cloud" in said


@pytest.mark.parametrize(
    ("said", "meant"), [("", "auto"), ("ground = 'auto'", "auto"), ("ground = true", True)]
)
def test_ground_is_auto_or_said(read, said, meant):
    job = read(UNITS + f"[base]\ncloud = 'one.laz'\n{said}\n" + SLAB + TOP)
    assert job.base.source.ground == meant


@pytest.mark.parametrize("said", ["'yes'", "1", "'true'", "[2]"])
def test_ground_that_is_neither_is_refused(refuse, said):
    told = refuse(UNITS + f"[base]\ncloud = 'one.laz'\nground = {said}\n" + SLAB + TOP)
    assert "base.ground is" in told
    assert '"auto", true or false' in told


def test_control_takes_the_unit_of_the_base(read, tmp_path):
    (tmp_path / "control.csv").write_text("1,2,3,4\n")
    control = "control = { shots = 'control.csv', columns = 'PENZ', apply = true }\n"
    job = read(UNITS + "[base]\ncloud = 'one.laz'\nunits = 'us-ft'\n" + control + SLAB + TOP)
    assert job.base.control == Control(
        Shots((tmp_path / "control.csv",), "us-ft", columns="PENZ"), apply=True
    )


@pytest.mark.parametrize(
    ("control", "match"),
    [
        ("'control.csv'", "base.control is the text"),
        ("{ apply = true }", "base.control.shots is missing"),
        ("{ shots = 'none.csv' }", "is not there"),
        ("{ shots = 'shots.csv', aply = true }", "The nearest key known there is 'apply'"),
        ("{ shots = 'shots.csv', apply = 'yes' }", "base.control.apply is the text"),
    ],
)
def test_control_that_cannot_be_used_is_refused(refuse, control, match):
    said = refuse(UNITS + f"[base]\ncloud = 'one.laz'\ncontrol = {control}\n" + SLAB + TOP)
    assert match in said


def test_a_folder_without_laz_stands_for_its_text_clouds(read, tmp_path):
    (tmp_path / "scan").mkdir()
    for name in ("b.xyz", "a.XYZ", "read me.txt"):
        (tmp_path / "scan" / name).write_text("1 2 3\n")
    job = read(UNITS + "[base]\ncloud = 'scan'\n" + SLAB + TOP)
    assert [path.name for path in job.base.source.paths] == ["a.XYZ", "b.xyz"]


def test_shots_beside_those_of_the_base_are_on_its_layer(read):
    rechecks = "rechecks = { shots = 'more.csv', radius = 2 }\n"
    edge = "[slab]\nedge = { codes = 'EDGE*' }\nthickness = 1\n"
    job = read(UNITS + BASE + "layer = 'BASE'\nunits = 'm'\n" + rechecks + edge + TOP)
    assert (job.base.rechecks.shots.layer, job.base.rechecks.shots.unit) == ("BASE", "m")
    assert (job.slab.edge.shots.layer, job.slab.edge.shots.unit) == ("BASE", "m")


def test_a_base_by_depths_is_shot_again_in_columns_of_its_own(read):
    depths = "[base]\ndepths = 'shots.csv'\ncolumns = 'ENT'\nunits = 'mm'\n"
    job = read(UNITS + depths + "rechecks = { shots = 'more.csv', radius = 2 }\n" + SLAB + TOP)
    later = job.base.rechecks.shots
    assert (later.columns, later.unit) == (None, "mm")
    assert [path.name for path in later.paths] == ["more.csv"]


@pytest.mark.parametrize(
    ("base", "key"),
    [
        ("shots = 'shots.csv'\ncell = 1\n", "cell"),
        ("shots = 'shots.csv'\nclasses = [2]\n", "classes"),
        ("cloud = 'one.laz'\ncodes = 'B'\n", "codes"),
        ("shots = 'shots.csv'\nground = true\n", "ground"),
        ("shots = 'shots.csv'\ncontrol = { shots = 'shots.csv' }\n", "control"),
        ("surface_file = 'pad.ply'\ncodes = 'B'\n", "codes"),
    ],
)
def test_a_key_that_means_nothing_beside_the_source_is_not_passed_over(refuse, base, key):
    assert f"base.{key} means nothing beside base." in refuse(
        UNITS + f"[base]\n{base}" + SLAB + TOP
    )


# The slab


def test_a_first_corner_repeated_at_the_end_is_dropped(read):
    job = read(UNITS + BASE + SLAB.replace("[0, 80]]", "[0, 80], [0, 0]]") + TOP)
    assert job.slab.edge.shape == (4, 2)
    assert_allclose(job.slab.edge[-1], [0, 80 * FOOT])


@pytest.mark.parametrize(
    ("edge", "problem"),
    [
        ("[]", "slab.edge is an empty list"),
        ("[[0, 0], [1, 0]]", "slab.edge is a list of 2"),
        ("[[0, 0], [1, 0], [0, 0]]", "slab.edge has 2 corners"),
        ("[[0, 0], [9, 0], [9, 0], [9, 9]]", "corners 2 and 3 of slab.edge are at one place"),
        ("[[0, 0], [9, 0], [9, 9], [0, 0], [0, 0]]", "corners 4 and 5 of slab.edge"),
        ("[[0, 0], [9, 0], [9, 9, 1]]", "corner 3 of slab.edge is a list of 3"),
        ("[[0, 0], [9, 0], 9]", "corner 3 of slab.edge is the number 9"),
        ("[[0, 0], [9, 0], [9, true]]", "the northing of corner 3 of slab.edge is true"),
        ("{ corners = 3 }", "there is no key 'corners' in slab.edge"),
        ("{ shots = 'shots.csv' }", "slab.edge.codes is missing"),
        ("5", "slab.edge is the number 5"),
    ],
)
def test_an_edge_that_is_no_ring_is_refused_with_its_corner(refuse, edge, problem):
    assert problem in refuse(UNITS + BASE + f"[slab]\nthickness = 1\nedge = {edge}\n" + TOP)


def test_an_edge_in_a_file_keeps_the_unit_of_the_job(read, tmp_path):
    job = read(
        UNITS + BASE + "[slab]\nthickness = 1\nedge = 'edge.geojson'\nsides = ['a', 'b']\n" + TOP
    )
    assert job.slab.edge == OutlineFile(tmp_path / "edge.geojson", "ft")
    assert job.slab.side_names == ("a", "b")  # how many sides there are is not known yet


def test_openings_are_rings_files_and_circles(read, tmp_path):
    job = read(
        UNITS + BASE + SLAB + "openings = [[[1, 1], [2, 1], [2, 2]], 'edge.geojson', "
        "{ center = [10, 20], diameter = '18 in' }]\n" + TOP
    )
    ring, file, circle = job.slab.openings
    assert_allclose(ring, np.array([[1, 1], [2, 1], [2, 2]]) * FOOT)
    assert file == OutlineFile(tmp_path / "edge.geojson", "ft")
    assert_allclose(ring_area(circle), math.pi * (9 * INCH) ** 2)
    assert_allclose(circle.mean(axis=0), [10 * FOOT, 20 * FOOT])


def test_a_lone_opening_needs_no_list(read):
    job = read(UNITS + BASE + SLAB + "openings = { center = [9, 9], diameter = 2 }\n" + TOP)
    assert_allclose(ring_area(job.slab.openings[0]), math.pi * FOOT**2)


@pytest.mark.parametrize(
    ("opening", "problem"),
    [
        ("{ center = [9, 9] }", "slab.opening 1.diameter is missing"),
        ("{ diameter = 2 }", "slab.opening 1.center is missing"),
        ("{ center = [9, 9], diameter = 0 }", "slab.opening 1.diameter is the number 0"),
        ("{ center = [9], diameter = 1 }", "slab.opening 1.center is a list of 1"),
        (
            "[1, 1], [2, 1], [2, 2]",
            "slab.openings is one list of corners, but it must be a list of rings",
        ),
    ],
)
def test_an_opening_that_is_no_ring_is_refused(refuse, opening, problem):
    assert problem in refuse(UNITS + BASE + SLAB + f"openings = [{opening}]\n" + TOP)


def test_a_least_thickness_may_be_stated(read):
    job = read(UNITS + BASE + SLAB + "least_thickness = '5 1/2 in'\n" + TOP)
    assert_allclose(job.slab.least_thickness, 5.5 * INCH)


def test_a_least_thickness_above_the_thickness_is_refused(refuse):
    said = refuse(UNITS + BASE + SLAB + "least_thickness = '7 in'\n" + TOP)
    assert "slab.least_thickness (7 in) is more than slab.thickness (6 in)" in said


def test_a_slab_too_thin_for_the_default_must_state_its_least_thickness(refuse):
    said = refuse(UNITS + BASE + SLAB.replace("6 in", "3/4 in") + TOP)
    assert "or state slab.least_thickness" in said


def test_sides_are_named_one_by_one(read, refuse):
    names = ("west form", "dock", "shop slab", "road")
    job = read(UNITS + BASE + SLAB + f"sides = {list(names)}\n" + TOP)
    assert job.slab.side_names == names

    said = refuse(UNITS + BASE + SLAB + "sides = ['west form']\n" + TOP)
    assert "slab.sides has 1 names, but slab.edge has 4 sides" in said


# Thickenings


def read_thickening(read, text):
    return read(UNITS + BASE + SLAB + TOP + f"[[thickening]]\n{text}").slab.thickenings[0]


def test_a_thickening_along_sides(read):
    made = read_thickening(
        read, "sides = [1, 3]\nwidth = '12 in'\ndepth = '4 in'\nside_slope = 6\n"
    )
    assert made.name == "thickening 1"
    assert made.sides == (1, 3)
    assert made.along is None
    assert made.outline is None
    assert_allclose((made.width, made.depth, made.side_slope), (12 * INCH, 4 * INCH, 6))
    assert made.surveyed == "no"


def test_sides_may_stand_within_along(read):
    assert read_thickening(read, "along = { sides = [2] }\nwidth = 1\ndepth = 1\n").sides == (2,)


def test_a_thickening_along_a_line(read):
    made = read_thickening(
        read, "name = 'rib'\nalong = [[0, 40], [45, 40]]\nwidth = 1\ndepth = 0.5\nsurveyed = true\n"
    )
    assert made.name == "rib"
    assert_allclose(made.along, np.array([[0, 40], [45, 40]]) * FOOT)
    assert made.surveyed == "yes"


def test_a_pad_by_its_outline_needs_no_width(read):
    made = read_thickening(
        read, "outline = [[1, 1], [3, 1], [3, 3], [1, 3]]\ndepth = 1\nsurveyed = 'departure'\n"
    )
    assert_allclose(ring_area(made.outline), 4 * FOOT**2)
    assert (made.width, made.surveyed) == (0.0, "departure")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("width = 1\ndepth = 1\n", "the place of 'thickening 1' is not given"),
        ("sides = [1]\nalong = [[0, 0], [1, 0]]\n", "thickening 1.along and by thickening 1.sides"),
        ("sides = [1]\ndepth = 1\n", "thickening 1.width is missing"),
        ("sides = [1]\nwidth = 1\n", "thickening 1.depth is missing"),
        ("sides = [5]\nwidth = 1\ndepth = 1\n", "whole numbers from 1 to 4"),
        ("sides = [0]\nwidth = 1\ndepth = 1\n", "whole numbers from 1 to 4"),
        ("sides = [1, 1]\nwidth = 1\ndepth = 1\n", "names 1 twice"),
        ("along = [[0, 0]]\nwidth = 1\ndepth = 1\n", "thickening 1.along is a list of 1"),
        (
            "along = [[0, 0], [0, 0]]\nwidth = 1\ndepth = 1\n",
            "points 1 and 2 of thickening 1.along",
        ),
        ("outline = 'edge.geojson'\ndepth = 1\n", "thickening 1.outline is the text"),
        ("sides = [1]\nwidth = 1\ndepth = 1\nsurveyed = 'maybe'\n", 'false or "departure"'),
        ("sides = [1]\nwidth = 1\ndepth = 1\nside_slope = -1\n", "thickening 1.side_slope is"),
        ("sides = [1]\nwidth = 1\ndepth = 1\nside_slope = '2'\n", "thickening 1.side_slope is"),
        ("sides = [1]\nwidth = 1\ndepth = -1\n", "thickening 1.depth is the number -1"),
    ],
)
def test_a_thickening_that_is_not_whole_is_refused(refuse, text, problem):
    assert problem in refuse(UNITS + BASE + SLAB + TOP + f"[[thickening]]\n{text}")


# Voids


def read_void(read, text, unit="ft"):
    job = read(f'units = "{unit}"\n' + BASE + SLAB + TOP + f"[[void]]\n{text}")
    return job.slab.voids[0]


@pytest.mark.parametrize(
    ("text", "unit", "volume"),
    [
        ("length = 10\ndiameter = '2 in'\n", "ft", math.pi / 4 * (2 * INCH) ** 2 * 10 * FOOT),
        ("volume = 0.5\n", "ft", 0.5 * CUBIC_YARD),
        ("volume = 0.5\n", "us-ft", 0.5 * CUBIC_YARD),
        ("volume = 0.5\n", "in", 0.5 * CUBIC_YARD),
        ("volume = 0.5\n", "m", 0.5),
        ("volume = 0.5\n", "mm", 0.5),
        ("volume = '13.5 ft3'\n", "m", 0.5 * CUBIC_YARD),
        ("volume = '-0.2 m3'\n", "ft", -0.2),
        ("section = '2 in2'\nlength = 45\n", "ft", 2 * INCH**2 * 45 * FOOT),
        ("section = 0.5\nlength = 45\n", "ft", 22.5 * FOOT**3),
        ("section = 300\nlength = '10 m'\n", "mm", 300e-6 * 10),
        ("section = '0.01 m2'\nlength = -2\n", "m", -0.02),
        ("section = '-0.01 m2'\nlength = 2\n", "m", -0.02),
        ("section = 1\nline = [[0, 0], [3, 4]]\n", "m", 5.0),
    ],
)
def test_the_volume_of_a_void(read, text, unit, volume):
    made = read_void(read, text, unit)
    assert made.name == "void 1"
    assert_allclose(made.volume, volume, rtol=1e-14)


def test_a_conduit_on_a_line_is_as_long_as_the_line_in_space(read):
    made = read_void(
        read,
        "name = 'conduit'\nline = [[0, 0, 100], [3, 4, 100], [3, 4, 112]]\ndiameter = 0.1\n"
        "least_cover = '75 mm'\n",
        "m",
    )
    assert made.name == "conduit"
    assert_allclose(made.volume, math.pi / 4 * 0.01 * 17)
    assert_allclose((made.diameter, made.least_cover), (0.1, 0.075))
    assert_array_equal(made.line, [[0, 0, 100], [3, 4, 100], [3, 4, 112]])


def test_a_line_without_elevation_keeps_two_columns(read):
    made = read_void(read, "line = [[0, 0], [3, 4]]\ndiameter = 0.1\nlength = 6\n", "m")
    assert made.line.shape == (2, 2)
    assert_allclose(made.volume, math.pi / 4 * 0.01 * 6)  # the length that is stated


def test_a_diameter_beside_a_volume_on_a_line_is_kept_for_its_cover(read):
    made = read_void(read, "line = [[0, 0], [3, 4]]\ndiameter = 0.1\nvolume = 0.7\n", "m")
    assert (made.volume, made.diameter) == (0.7, 0.1)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("name = 'box'\n", "the volume of 'box' is not given"),
        ("volume = 1\nsection = 1\n", "void 1.volume and by void 1.section"),
        ("volume = 1\ndiameter = 1\n", "void 1.volume and by void 1.diameter"),
        ("volume = 1\nlength = 1\n", "void 1.length means nothing beside void 1.volume"),
        ("diameter = 1\n", "void 1.length is missing"),
        ("section = 1\n", "void 1.length is missing"),
        ("length = 5\n", "the volume of 'void 1' is not given"),
        ("diameter = 1\nlength = -5\n", "void 1.length is the number -5"),
        ("section = -1\nlength = -5\n", "void 1.length is the number -5"),
        ("diameter = 0\nlength = 5\n", "void 1.diameter is the number 0"),
        ("volume = 0\n", "the volume of 'void 1' is 0"),
        ("volume = '2 ft2'\n", "'2 ft2' is not a volume"),
        ("section = '2 in'\nlength = 1\n", "'2 in' is not an area"),
        ("volume = 1\nleast_cover = 1\n", "void 1.least_cover is given without void 1.line"),
        ("diameter = 1\nline = [[0, 0], [1, 1, 1]]\n", "point 1 of void 1.line has 2 numbers"),
        ("diameter = 1\nline = [[0, 0]]\n", "void 1.line is a list of 1"),
    ],
)
def test_a_void_that_is_not_given_in_one_way_is_refused(refuse, text, problem):
    assert problem in refuse(UNITS + BASE + SLAB + TOP + f"[[void]]\n{text}")


# The top


def read_top(read, text):
    return read(UNITS + BASE + SLAB + f"[top]\n{text}").top


def test_a_plane_by_points(read):
    top = read_top(read, "plane = [[0, 0, 100], [45, 0, 100.4], [0, 80, 100.2]]\n")
    assert isinstance(top, Plane)
    assert_allclose(top.points, np.array([[0, 0, 100], [45, 0, 100.4], [0, 80, 100.2]]) * FOOT)


@pytest.mark.parametrize(
    "fall", ['"1/4 in per ft"', "0.020833333333333332", '"2.0833333333333333 %"']
)
def test_a_fall_from_a_point(read, fall):
    top = read_top(read, f"through = [0, 80, '100 ft']\nfall = {fall}\nbearing = 180\n")
    assert isinstance(top, Fall)
    assert_allclose(top.through, np.array([0, 80, 100]) * FOOT)
    assert_allclose((top.fall, top.bearing), (1 / 48, 180))


def test_rulings_between_two_edges(read):
    top = read_top(
        read,
        "between = [[[0, 0, 99], [45, 0, 100]], [[0, 80, 99], [20, 80, 99.5], [45, 80, 101]]]\n",
    )
    assert isinstance(top, Between)
    assert_allclose(top.first, np.array([[0, 0, 99], [45, 0, 100]]) * FOOT)
    assert_allclose(top.second[1], np.array([20, 80, 99.5]) * FOOT)


def test_a_top_of_shots_takes_the_keys_of_the_base(read, tmp_path):
    top = read_top(
        read, "shots = 'top.csv'\ncolumns = 'PNEZD'\ncodes = ['F*', 'S*']\nunits = 'm'\n"
    )
    path = tmp_path / "top.csv"
    assert top == TopShots(Shots((path,), "m", columns="PNEZD", codes=("F*", "S*")))


def test_a_top_that_is_a_surface(read, tmp_path):
    assert read_top(read, "surface_file = 'pad.ply'\n") == TopFile(
        SurfaceFile(tmp_path / "pad.ply", "ft")
    )


def test_panels_have_each_a_top_of_its_own(read, tmp_path):
    top = read(
        UNITS + BASE + SLAB + "[top]\nsigma = 0.01\n"
        "[[top.panel]]\nedge = [[0, 0], [45, 0], [45, 40], [0, 40]]\nlevel = 100\n"
        "[[top.panel]]\nedge = 'edge.geojson'\nshots = 'top.csv'\n"
    ).top
    assert isinstance(top, TopPanels)
    first, second = top.panels
    assert first.design == Level(100 * FOOT)
    assert_allclose(np.asarray(first.edge), np.array([[0, 0], [45, 0], [45, 40], [0, 40]]) * FOOT)
    assert second.edge == OutlineFile(tmp_path / "edge.geojson", "ft")
    assert second.design == TopShots(Shots((tmp_path / "top.csv",), "ft"))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("sigma = 0\n", "the top is not given"),
        ("level = 1\nplane = [[0, 0, 1]]\n", "the top is given by top.level and by top.plane"),
        ("level = 1\nbearing = 90\n", "top.bearing means nothing beside top.level"),
        ("level = 1\nunits = 'm'\n", "top.units means nothing beside top.level"),
        ("plane = [[0, 0, 1], [1, 0, 1]]\n", "top.plane is a list of 2"),
        ("plane = [[0, 0], [1, 0], [1, 1]]\n", "point 1 of top.plane is a list of 2"),
        ("through = [0, 0, 1]\nbearing = 90\n", "top.fall is missing"),
        ("through = [0, 0, 1]\nfall = 0.02\n", "top.bearing is missing"),
        ("through = [0, 0]\nfall = 0.02\nbearing = 90\n", "top.through is a list of 2"),
        ("through = [0, 0, 1]\nfall = 2\nbearing = 90\n", "top.fall is the number 2"),
        ("through = [0, 0, 1]\nfall = -0.02\nbearing = 90\n", "top.fall is the number -0.02"),
        ("through = [0, 0, 1]\nfall = 'steep'\nbearing = 90\n", "'steep' is not a fall"),
        ("through = [0, 0, 1]\nfall = 0.02\nbearing = 400\n", "top.bearing is the number 400"),
        ("through = [0, 0, 1]\nfall = 0.02\nbearing = 'N'\n", "top.bearing is the text 'N'"),
        ("between = [[[0, 0, 1], [1, 0, 1]]]\n", "top.between is a list of 1"),
        (
            "between = [[[0, 0, 1]], [[0, 1, 1], [1, 1, 1]]]\n",
            "line 1 of top.between is a list of 1",
        ),
        ("panel = []\n", "top.panel is empty"),
        ("[[top.panel]]\nlevel = 1\n", "top.panel 1.edge is missing"),
        (f"[[top.panel]]\n{EDGE}", "the top of top.panel 1 is not given"),
        ("level = 1\n[[top.panel]]\n", "the top is given by top.level and by top.panel"),
    ],
)
def test_a_top_that_is_not_given_in_one_way_is_refused(refuse, text, problem):
    assert problem in refuse(UNITS + BASE + SLAB + f"[top]\n{text}")


# The order


def test_the_order_is_read_and_the_pours_are_kept_as_written(read):
    job = read(
        'title = "Apron"\ninterval = 0.8\n' + UNITS + BASE + SLAB + TOP + "[order]\nwaste = 0.03\n"
        "truck = 10\ncosts = { concrete = 168 }\n[[pour]]\nname = 'pad'\nvolume = 1.23\n"
    )
    assert (job.title, job.interval) == ("Apron", 0.8)
    assert job.order is not None
    assert job.order.waste == 0.03
    assert job.order.costs is not None
    (pour,) = job.pours
    assert pour.name == "pad"
    assert_allclose(pour.volume, 1.23 * 0.764554857984)  # yd³: 0.9144³ m³


@pytest.mark.parametrize(
    ("unit", "said"), [("ft", "is 0.05 ft: 3/4 in less"), ("mm", "is 0.01524 m: 3/4 in less")]
)
def test_errors_about_the_thickness_speak_the_jobs_unit(refuse, unit, said):
    slab = SLAB.replace("6 in", "0.05 ft")
    assert said in refuse(UNITS.replace('"ft"', f'"{unit}"') + BASE + slab + TOP)


# curves


def bent(edge):
    return UNITS + BASE + f'[slab]\nedge = {edge}\nthickness = "6 in"\n' + TOP


def test_a_rounded_corner_is_a_side_of_its_own_between_the_two_it_joins(read):
    slab = read(bent("[[0, 0], [20, 0], { corner = [20, 10], radius = 4 }, [0, 10]]")).slab
    assert slab.n_sides == 5
    starts = slab.edge[list(slab.side_starts)] / FOOT
    assert_allclose(starts, [[0, 0], [20, 0], [20, 6], [16, 10], [0, 10]], atol=1e-12)
    assert_allclose(ring_area(slab.edge), (200 - (4 - math.pi) * 4) * FOOT**2)


def test_where_the_first_corner_is_rounded_its_arc_is_the_last_side(read):
    slab = read(bent("[{ corner = [0, 0], radius = 2 }, [20, 0], [20, 10], [0, 10]]")).slab
    starts = slab.edge[list(slab.side_starts)] / FOOT
    assert_allclose(starts, [[2, 0], [20, 0], [20, 10], [0, 10], [0, 2]], atol=1e-12)


def test_sides_that_roundings_use_up_are_not_counted(read):
    corners = ((0, 0), (20, 0), (20, 10), (0, 10))
    pill = ", ".join(f"{{ corner = [{e}, {n}], radius = 5 }}" for e, n in corners)
    slab = read(bent(f"[{pill}]")).slab
    assert slab.n_sides == 6
    assert_allclose(ring_area(slab.edge), (100 + 25 * math.pi) * FOOT**2)


def test_a_circle_is_two_corners_and_two_curves(read):
    slab = read(bent("[[5, 0], { curve = [0, 5] }, [-5, 0], { curve = [0, -5] }]")).slab
    assert slab.n_sides == 2
    assert_allclose(ring_area(slab.edge), 25 * math.pi * FOOT**2)
    off = np.hypot(*slab.edge.T) - 5 * FOOT
    assert np.abs(off).max() < 0.001


@pytest.mark.parametrize("last", ["", ", [0, 0]"])
def test_a_first_corner_may_be_repeated_at_the_end_of_a_bent_edge(read, last):
    edge = f"[[0, 0], [9, 0], {{ corner = [9, 9], radius = 1 }}, [0, 9]{last}]"
    assert read(bent(edge)).slab.n_sides == 5


def test_openings_panels_pours_and_outlines_may_be_bent_too(read):
    ring = "[[2, 0], { curve = [0, 2] }, [-2, 0], { curve = [0, -2] }]"
    text = UNITS + BASE + SLAB + f"openings = [{ring}]\n[top]\n"
    text += f"panel = [{{ edge = {ring}, level = 1 }}]\n[[pour]]\nedge = {ring}\n"
    job = read(f"{text}[[thickening]]\noutline = {ring}\ndepth = 1\n")
    rings = (job.slab.openings[0], job.slab.thickenings[0].outline)
    for made in (*rings, job.top.panels[0].edge, job.pours[0].edge):
        assert_allclose(ring_area(made), 4 * math.pi * FOOT**2)


def test_a_thickening_may_follow_an_arc_by_its_number(read, refuse):
    edge = "[[0, 0], [20, 0], { curve = [24, 5] }, [20, 10], [0, 10]]"
    beam = "[[thickening]]\nsides = [{}]\nwidth = 1\ndepth = 1\n"
    assert read(bent(edge) + beam.format(4)).slab.thickenings[0].sides == (4,)
    assert "from 1 to 4" in refuse(bent(edge) + beam.format(5))


_TOO_LARGE = "the radius of entry 3 of slab.edge (12 ft 0 in) is too large: rounding takes"


@pytest.mark.parametrize(
    ("edge", "said"),
    [
        ("[[0, 0], [20, 0], { corner = [20, 10], radius = 12 }, [0, 10]]", _TOO_LARGE),
        (
            "[[0, 0], { corner = [9, 0], radius = 6 }, { corner = [9, 10], radius = 6 }, [0, 10]]",
            "the radii of entry 2 of slab.edge and the one after it are too large: rounding takes "
            "12 ft 0 in of a side that is 10 ft 0 in long",
        ),
        ("[{ curve = [5, -1] }, [9, 0], [9, 9]]", "slab.edge begins with a curve"),
        ("[[0, 0], { curve = [5, 0] }, [9, 0], [9, 9]]", "entry 2 of slab.edge lies on one line"),
        ("[[0, 0], { curve = [50, 0.01] }, [9, 0], [9, 9]]", "would have a radius of"),
        ("[[0, 0], { curve = [4, -1] }, { curve = [6, -1] }, [9, 0]]", "are both curves"),
        (
            "[[0, 0], { curve = [4, -1] }, { corner = [9, 0], radius = 1 }, [9, 9]]",
            "beside a round",
        ),
        ("[[0, 0], { corner = [5, 0], radius = 1 }, [9, 0], [9, 9]]", "entry 2 of slab.edge is r"),
        ("[[0, 0], { corner = [5, 0] }, [9, 0], [9, 9]]", "slab.edge 2.radius is missing"),
        ("[[0, 0], { corner = [9, 0], radius = 0 }, [9, 9]]", "slab.edge 2.radius is the number 0"),
        ("[[0, 0], { curve = [4, -1], radius = 2 }, [9, 0]]", "2.radius means nothing beside"),
        ("[[0, 0], { curv = [4, -1] }, [9, 0], [9, 9]]", "there is no key 'curv' in slab.edge 2"),
        ("[[0, 0], { curve = [4, -1, 2] }, [9, 0], [9, 9]]", "slab.edge 2.curve is a list of 3"),
        ("[[0, 0], { curve = [4, -1] }, 9, [9, 9]]", "entry 3 of slab.edge is the number 9"),
        ("[[0, 0], { curve = [4, -1] }, [9, 0, 5], [9, 9]]", "entry 3 of slab.edge is a list of 3"),
        ("[[0, 0], { curve = [0, 0] }, [9, 0], [9, 9]]", "entry 1 of slab.edge and the one after"),
        ("[[0, 0], { curve = [4, -1] }]", "slab.edge has 1 corner and 1 curve"),
        ("[{ corner = [9, 0], radius = 1 }]", "slab.edge has 1 corner and 0 curves"),
    ],
)
def test_a_bent_edge_that_makes_no_outline_is_refused_in_words(refuse, edge, said):
    assert said in refuse(bent(edge))


# a top between coded lines


def test_a_line_of_the_top_may_be_shots_and_the_other_points(read, tmp_path):
    text = UNITS + BASE + 'codes = "BASE"\nunits = "m"\ncolumns = "PENZD"\n' + SLAB
    lines = 'between = [{ codes = "A" }, [[0, 80, 100], [45, 80, 100]]]\n'
    top = read(f"{text}[top]\n{lines}").top
    assert isinstance(top, TopLines)
    assert isinstance(top.first, Shots)
    assert isinstance(top.second, np.ndarray)
    assert (top.first.paths, top.first.codes) == ((tmp_path / "shots.csv",), ("A",))
    assert (top.first.unit, top.first.columns, top.first.least) == ("m", "PENZD", 2)
    assert_allclose(top.second[1], [45 * FOOT, 80 * FOOT, 100 * FOOT])


@pytest.mark.parametrize(
    ("base", "lines", "said"),
    [
        ("", '{ codes = "A" }, { codes = "B" }', "top.between 1.codes picks A out of shots.csv"),
        ('codes = "G"\n', '{ code = "A" }, { codes = "B" }', "no key 'code' in top.between 1"),
        ('codes = "G"\n', '{ codes = "A" }, { shots = "x" }', "top.between 2.codes is missing"),
        ('codes = "G"\n', '{ codes = "A" }', "top.between is a list of 1"),
        ('codes = "G"\n', '{ codes = "A" }, 5', "line 2 of top.between is the number 5"),
    ],
)
def test_coded_lines_that_say_too_little_are_refused(refuse, base, lines, said):
    assert said in refuse(UNITS + BASE + base + SLAB + f"[top]\nbetween = [{lines}]\n")


def test_the_notation_of_the_base_goes_for_its_rechecks_and_for_text_of_the_job(read):
    job = read(
        UNITS
        + 'interval = "95 %"\n'
        + BASE
        + 'notation = "inches"\nrechecks = { shots = "more.csv", radius = "6 1/2" }\n'
        + SLAB
        + TOP
    )
    assert job.interval == 0.95
    assert job.base.source.notation == "inches"
    assert job.base.rechecks.shots.notation == "inches"
    assert job.base.rechecks.radius == pytest.approx(6.5 * 0.0254)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("edge = [0, 0], [24, 0], [24, 30]", "one more pair of brackets"),
        ("edge = [[0, 0] [24, 0], [24, 30]]", "a comma between one corner and the next"),
        ("thickness = \u201c6 in\u201d", "straight quotation marks"),
        ("thickness = 1\nthickness = 2", "Write each key once"),
        ("thickness = 6 in", "stand between quotes"),
    ],
)
def test_a_slip_of_the_hand_in_toml_is_told_with_its_own_cure(refuse, line, said):
    assert said in refuse(f"{UNITS}{BASE}[slab]\n{line}\n")
