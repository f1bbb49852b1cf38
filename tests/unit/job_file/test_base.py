"""What a job file says of the base."""

import pytest
from numpy.testing import assert_allclose

from gradevol.files.sources import Cloud, Control, Shots, SurfaceFile
from tests.unit.job_file.conftest import BASE, FOOT, INCH, SLAB, TOP, UNITS

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
