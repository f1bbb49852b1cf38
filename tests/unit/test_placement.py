"""Slab and top put about the survey's origin, whatever file they come from."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files import Files, read_base
from gradevol.ground.errors import GeometryError, InputError
from gradevol.job import read_job
from gradevol.job.placement import place_slab, place_survey, place_top
from gradevol.runs.check import check_job
from gradevol.site.survey import DATUM_SIGMA, FOOT_SIGMA, SHOT_SIGMA
from gradevol.site.top import Between, Faces, Fall, Level, Measured, Panels, Plane
from tests.small_job import EDGE, HEADER, JOB, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = 0.3048
ORIGIN = np.array([1.0, 2.0, 30.0])
FORMS = HEADER + "1,0,0,100\n2,16,0,100\n3,16,9,100.1\n4,0,9,100.1\n"


def job_of(folder, text=JOB, **files):
    return read_job(write_job(folder, job=text, files={n.replace("_", "."): t for n, t in files.items()}))  # fmt: skip # noqa: E501


def top_of(folder, lines, **files):
    job = job_of(folder, JOB.replace("level = 100", lines), **files)
    return place_top(job.top, Files(), ORIGIN)


def survey_of(job):
    survey, _ = read_base(job.base.source, progress=lambda *_: None)
    return place_survey(survey, job)


def test_a_survey_has_the_accuracy_of_its_method(tmp_path):
    survey = survey_of(job_of(tmp_path))
    assert survey.sigma == SHOT_SIGMA["shots"]
    assert survey.datum_sigma == pytest.approx(DATUM_SIGMA["shots"])
    assert survey.foot_sigma == pytest.approx(FOOT_SIGMA["shots"])


def test_what_the_job_states_of_it_goes_first(tmp_path):
    text = JOB.replace("[slab]", "sigma = 0.02\ndatum_sigma = 0\n[slab]")
    survey = survey_of(job_of(tmp_path, text))
    assert survey.sigma == pytest.approx(0.02 * FOOT)
    assert survey.datum_sigma == 0
    assert survey.foot_sigma == 0  # who states what is shared has said all
    text = JOB.replace("[slab]", "datum_sigma = 0\nfoot_sigma = '1 mm'\n[slab]")
    assert survey_of(job_of(tmp_path, text)).foot_sigma == pytest.approx(0.001)


def test_all_of_a_slab_is_put_about_the_origin(tmp_path):
    parts = (
        '[[thickening]]\nname = "a"\nwidth = 1\ndepth = 1\nalong = [[0, 1], [16, 1]]\n'
        '[[thickening]]\nname = "b"\ndepth = 1\noutline = [[2, 2], [4, 2], [4, 4], [2, 4]]\n'
        '[[void]]\nname = "c"\ndiameter = "2 in"\nline = [[0, 4], [16, 4]]\n'
        '[[void]]\nname = "d"\ndiameter = "2 in"\nline = [[0, 5, 99], [16, 5, 99]]\n'
        '[[void]]\nname = "e"\nvolume = 0.1\n'
    )
    text = JOB.replace(
        "thickness", "openings = [[[8, 6], [9, 6], [9, 7]]]\nthickness", 1
    )  # fmt: skip
    slab = place_slab(job_of(tmp_path, text + parts), Files(), ORIGIN)
    corners = FOOT * np.array([[0, 0], [16, 0], [16, 9], [0, 9.0]])
    assert_allclose(slab.edge, corners - ORIGIN[:2])
    assert_allclose(slab.openings[0][0], FOOT * np.array([8, 6]) - ORIGIN[:2])
    beam, pad = slab.thickenings
    assert beam.along is not None
    assert pad.outline is not None
    assert_allclose(beam.along[0], FOOT * np.array([0, 1]) - ORIGIN[:2])
    assert_allclose(pad.outline[0], FOOT * np.array([2, 2]) - ORIGIN[:2])
    flat, raised, lump = slab.voids
    assert flat.line is not None
    assert raised.line is not None
    assert_allclose(flat.line[0], FOOT * np.array([0, 4]) - ORIGIN[:2])
    assert_allclose(raised.line[0], FOOT * np.array([0, 5, 99]) - ORIGIN)
    assert lump.line is None


def test_an_edge_from_a_file_is_the_same_edge(tmp_path):
    given = place_slab(job_of(tmp_path / "a"), Files(), ORIGIN)
    text = JOB.replace(EDGE, '"edge.csv"')
    edge = "easting,northing\n0,0\n16,0\n16,9\n0,9\n"
    filed = place_slab(job_of(tmp_path / "b", text, edge_csv=edge), Files(), ORIGIN)
    assert_allclose(filed.edge, given.edge)


def test_names_of_sides_must_be_as_many_as_the_sides_of_an_edge_from_a_file(tmp_path):
    text = JOB.replace(EDGE, '"edge.csv"\nsides = ["a", "b", "c"]')
    edge = "easting,northing\n0,0\n16,0\n16,9\n0,9\n"
    with pytest.raises(GeometryError, match="names 3 sides, but the edge has 4"):
        place_slab(job_of(tmp_path, text, edge_csv=edge), Files(), ORIGIN)


@pytest.mark.parametrize(
    ("lines", "kind", "first"),
    [
        ("plane = [[0, 0, 100], [16, 0, 100], [0, 9, 100]]", Plane, "points"),
        ('through = [0, 0, 100]\nfall = "1 %"\nbearing = 90', Fall, "through"),
        ("between = [[[0, 0, 100], [16, 0, 100]], [[0, 9, 100], [16, 9, 100]]]", Between, "first"),
    ],
)
def test_a_drawn_top_is_put_about_the_origin(tmp_path, lines, kind, first):
    top = top_of(tmp_path, lines)
    assert isinstance(top, kind)
    points = np.reshape(getattr(top, first), (-1, 3))
    assert_allclose(points[0], FOOT * np.array([0, 0, 100]) - ORIGIN)


def test_a_level_is_put_about_the_origin(tmp_path):
    top = top_of(tmp_path, "level = 100")
    assert isinstance(top, Level)
    assert top.elevation == pytest.approx(100 * FOOT - 30)


def test_shots_of_a_top_are_put_about_the_origin(tmp_path):
    top = top_of(tmp_path, 'shots = "forms.csv"', forms_csv=FORMS)
    assert isinstance(top, Measured)
    assert_allclose(top.points[1], FOOT * np.array([16, 0, 100]) - ORIGIN)


def test_a_surface_file_of_a_top_is_put_about_the_origin(tmp_path):
    faces = "v 0 0 100\nv 16 0 100\nv 16 9 100\nv 0 9 100\nf 1 2 3\nf 1 3 4\n"
    top = top_of(tmp_path, 'surface_file = "top.obj"', top_obj=faces)
    assert isinstance(top, Faces)
    assert_allclose(top.points[2], FOOT * np.array([16, 9, 100]) - ORIGIN)


def test_panels_are_put_about_the_origin_each_with_its_top(tmp_path):
    text = JOB.replace(
        "[top]\nlevel = 100\n",
        "[[top.panel]]\nedge = [[0, 0], [8, 0], [8, 9], [0, 9]]\nlevel = 100\n"
        '[[top.panel]]\nedge = [[8, 0], [16, 0], [16, 9], [8, 9]]\nshots = "forms.csv"\n',
    )
    top = place_top(job_of(tmp_path, text, forms_csv=FORMS).top, Files(), ORIGIN)
    assert isinstance(top, Panels)
    west, east = top.panels
    assert_allclose(east.edge[0], FOOT * np.array([8, 0]) - ORIGIN[:2])
    assert isinstance(west.design, Level)
    assert isinstance(east.design, Measured)
    assert_allclose(east.design.points[0], FOOT * np.array([0, 0, 100]) - ORIGIN)


def test_each_way_to_give_one_level_top_gives_one_volume(tmp_path):
    flat = FORMS.replace("100.1", "100")
    faces = "v 0 0 100\nv 16 0 100\nv 16 9 100\nv 0 9 100\nf 1 2 3\nf 1 3 4\n"
    ways = [
        "level = 100",
        "plane = [[0, 0, 100], [16, 0, 100], [0, 9, 100]]",
        'through = [3, 3, 100]\nfall = 0\nbearing = 90',
        "between = [[[0, 0, 100], [16, 0, 100]], [[16, 9, 100], [0, 9, 100]]]",
        'shots = "forms.csv"',
        'surface_file = "top.obj"',
    ]  # fmt: skip
    files = {"forms_csv": flat, "top_obj": faces}
    volumes = [
        check_job(
            job_of(tmp_path / str(number), JOB.replace("level = 100", way), **files)
        ).concrete.volume
        for number, way in enumerate(ways)
    ]
    assert_allclose(volumes, volumes[0], rtol=1e-9)


def test_a_survey_says_which_values_the_job_states(tmp_path):
    assert survey_of(job_of(tmp_path)).stated == frozenset()
    text = JOB.replace("[slab]", "sigma = 0.02\nfoot_high = '3 mm'\n[slab]")
    assert survey_of(job_of(tmp_path, text)).stated == {"sigma", "foot_high"}


def test_a_base_under_a_rods_foot_is_lower_and_the_volume_larger_by_area_times_that(tmp_path):
    plain = check_job(job_of(tmp_path))
    high = check_job(job_of(tmp_path, JOB.replace("[slab]", "foot_high = '5 mm'\n[slab]")))
    assert_allclose(high.concrete.volume - plain.concrete.volume, 0.005 * plain.slab.area)
    assert_allclose(high.thickness.mean - plain.thickness.mean, 0.005)
    assert high.survey.booked(0) == pytest.approx(plain.survey.booked(0))
    note = next(note for note in high.notes if note.code == "foot-high")
    assert f"larger by {high.units.say_volume(0.005 * plain.slab.area)}" in note.say(high.units)
    assert "foot-high" not in {note.code for note in plain.notes}


def test_forms_shot_as_the_top_are_not_lowered_with_the_base(tmp_path):
    forms = JOB.replace("level = 100", 'shots = "forms.csv"')
    plain = check_job(job_of(tmp_path, forms, forms_csv=FORMS))
    text = forms.replace("[slab]", "foot_high = '5 mm'\n[slab]")
    high = check_job(job_of(tmp_path, text, forms_csv=FORMS))
    assert_allclose(high.concrete.volume - plain.concrete.volume, 0.005 * plain.slab.area)


def test_a_cloud_has_no_rods_foot(tmp_path):
    text = JOB.replace('shots = "shots.csv"', 'cloud = "pad.las"\nfoot_high = 0.01')
    with pytest.raises(InputError, match="foot_high"):
        job_of(tmp_path, text)


def test_later_shots_of_the_base_stand_under_the_rods_foot_too(tmp_path):
    later = HEADER + "".join(
        f"R{number},{east},{north},99.55\n"
        for number, (east, north) in enumerate([(4, 3), (8, 3), (8, 6)])
    )
    rework = 'rechecks = { shots = "later.csv", radius = 1 }\n[slab]'
    plain = check_job(job_of(tmp_path, JOB.replace("[slab]", rework), later_csv=later))
    text = JOB.replace("[slab]", f"foot_high = '5 mm'\n{rework}")
    high = check_job(job_of(tmp_path, text, later_csv=later))
    assert_allclose(high.concrete.volume - plain.concrete.volume, 0.005 * plain.slab.area)


def test_rods_of_a_sheet_stand_under_the_foot_too(tmp_path):
    sheet = "N\\E,0,8,16\n0,5.50,5.49,5.50\n4.5,5.51,5.50,5.49\n9,5.50,5.52,5.50\n"
    rods = 'rods = "sheet.csv"\ninstrument_height = 105\n'
    text = JOB.replace('shots = "shots.csv"\n', rods)
    plain = check_job(job_of(tmp_path, text, sheet_csv=sheet))
    text = text.replace("[slab]", "foot_high = '5 mm'\n[slab]")
    high = check_job(job_of(tmp_path, text, sheet_csv=sheet))
    assert_allclose(high.concrete.volume - plain.concrete.volume, 0.005 * plain.slab.area)
