"""Units, lengths and keys of a job file: what is read, and what is refused in which words."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.sources import Shots
from gradevol.site.top import Level
from tests.unit.job_file.conftest import BASE, EDGE, FOOT, INCH, SLAB, TOP, UNITS


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


def test_beside_a_key_that_is_like_none_the_main_ones_are_named(refuse):
    said = refuse(UNITS + BASE + SLAB.replace("edge", "corners") + TOP)
    assert "'thickness', the main ones are edge, thickness." in said
    assert "main ones" not in refuse(UNITS + BASE + SLAB + TOP.replace("level", "levl"))


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
        (BASE + "codes = [1]\n" + SLAB + TOP, "base.codes 1", "the number 1", "text"),
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
        (
            BASE + SLAB + "sides = ['a', '', 'c', 'd']\n" + TOP,
            "slab.sides 2",
            "the text ''",
            "not blank. Write something between the quotes",
        ),
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


def test_a_decimal_comma_and_a_pull_without_its_unit_are_told_with_their_cure(refuse):
    said = refuse(UNITS + BASE + SLAB.replace("6 in", "4,5 in") + TOP)
    assert "Write it without a comma: 4.5 for 4,5, and 1200 for 1,200" in said
    depths = "[base]\ndepths = 'shots.csv'\nstring = { span = 9, tension = 15 }\n"
    assert refuse(UNITS + depths + SLAB + TOP).endswith('Write it as text such as "15 lb".')


def test_a_whole_number_of_thousands_of_digits_is_refused(refuse):
    said = refuse(UNITS + BASE + SLAB + "[top]\nlevel = 0x" + "f" * 5000)
    assert "top.level must be a length, but such a number is too large" in said
    said = refuse("interval = 0x" + "f" * 5000 + "\n" + UNITS + BASE + SLAB + TOP)
    assert "interval is a very long number" in said
