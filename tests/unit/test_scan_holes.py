"""Holes in a scan, as under water: told, drawn, and nowhere taken for ground that was seen."""

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.answer.compose import compose_answer
from gradevol.answer.said.unseen import tell_unseen
from gradevol.answer.setting_out import find_stakes
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

WIDE, LONG, MIDDLE = 6.0, 8.0, (2.5, 3.0)
JOB = """
units = "m"
[base]
cloud = "scan.xyz"
ground = false
cell = 0.2
[slab]
edge = [[800, 800], [806, 800], [806, 808], [800, 808]]
thickness = 0.15
[top]
level = 20.15
"""


def check(folder, radius, *, around=0.6, forms=False):
    """Check an invented level base of which a scan shows nothing within `radius` of a place."""
    random = np.random.default_rng(5)
    sides = ((-around, WIDE + around), (-around, LONG + around))
    plan = np.column_stack([random.uniform(*side, 9000) for side in sides])
    is_on_form = forms & (np.abs(plan - (WIDE / 2, LONG / 2)) > (WIDE / 2, LONG / 2)).any(axis=1)
    plan = plan[is_on_form | (np.hypot(*(plan - MIDDLE).T) > radius)]
    points = np.column_stack([plan + np.array([800, 800]), np.full(len(plan), 20.0)])
    points[:, 2] += random.normal(0, 0.001, len(points))
    np.savetxt(folder / "scan.xyz", points, fmt="%.4f")
    (folder / "job.toml").write_text(JOB)
    return check_job(read_job(folder / "job.toml"))


@pytest.fixture(scope="module")
def puddle(tmp_path_factory):
    return check(tmp_path_factory.mktemp("puddle"), 1.0)


def check_rows(folder, apart, *, without=()):
    """Check an invented level base that was scanned in rows, a point each 20 mm along them."""
    rows = np.delete(np.arange(-0.5, LONG + 0.6, apart), without)
    plan = np.array([(east, row) for row in rows for east in np.arange(-0.5, WIDE + 0.5, 0.02)])
    plan += np.random.default_rng(5).normal(0, 0.01, plan.shape)
    points = np.column_stack([plan + np.array([800, 800]), np.full(len(plan), 20.0)])
    np.savetxt(folder / "scan.xyz", points, fmt="%.4f")
    (folder / "job.toml").write_text(JOB.replace("cell = 0.2", "cell = 0.05"))
    return check_job(read_job(folder / "job.toml"))


def find_note(result):
    return next((note for note in result.notes if note.code == "scan-holes"), None)


def find_middle(result):
    return MIDDLE + np.array([800, 800]) - result.survey.origin[:2]


def test_a_hole_is_told_with_its_size_and_its_place(puddle):
    note = find_note(puddle)
    area, length, width = (measure.value for measure in note.measures)
    assert np.pi < area < np.pi * 1.2**2  # out to the means of the squares around
    assert 2.0 < width <= length < 2.4
    assert_allclose(note.places, [find_middle(puddle)], atol=0.2)
    (topic,) = tell_unseen(puddle)
    (said,) = (told.short for told in topic.statements if told.key == "unseen.holes")
    assert str(said).startswith("The scan shows nothing of 3.")
    assert "from side 1" in str(said)


@pytest.mark.parametrize("around", [0.6, -0.1])  # with ground beyond the scan, and without
def test_the_base_in_a_hole_is_assumed_and_moves_no_volume(tmp_path, around):
    result = check(tmp_path, 1.0, around=around)
    beyond = result.concrete.beyond_survey / 0.15
    hole = find_note(result).measures[0].value
    assert_allclose(beyond, (1 - result.coverage) * WIDE * LONG, rtol=0.01)
    assert beyond > hole if around < 0 else beyond == pytest.approx(hole, rel=0.01)
    assert_allclose(result.concrete.volume, 0.15 * WIDE * LONG, rtol=2e-3)


def test_what_a_scan_leaves_open_and_what_lies_beyond_it_are_told_as_one_area(tmp_path):
    (topic,) = tell_unseen(check(tmp_path, 1.0, around=-0.6))
    (said,) = (told.long for told in topic.statements if told.key == "concrete.beyond_survey")
    assert "m² in holes and beyond the outermost points;" in str(said)


def test_nothing_is_marked_or_set_out_in_a_hole(puddle):
    hole = shapely.Point(find_middle(puddle)).buffer(0.7)
    for marking in compose_answer(puddle).drawing.markings:
        assert not shapely.contains_xy(hole, *marking.places.T).any()
    places = find_stakes(puddle).places
    assert len(places) > 20
    assert not shapely.contains_xy(hole, *places.T).any()


def test_a_scan_of_the_forms_alone_is_refused(tmp_path):
    match = "of the slab: the rest is holes in the scan, as where it shows the forms alone. Shoot"
    with pytest.raises(InputError, match=match):
        check(tmp_path, 20.0, around=0.1, forms=True)


@pytest.mark.parametrize("apart", [1.1, 1.5])
def test_ground_between_rows_of_a_scan_is_no_hole_but_a_row_that_lacks_makes_one(tmp_path, apart):
    result = check_rows(tmp_path, apart)
    assert find_note(result) is None
    assert result.coverage > 0.9
    note = find_note(check_rows(tmp_path, apart, without=3))
    assert len(note.places) == 1
    assert note.measures[2].value == pytest.approx(2 * apart, abs=0.2)


def test_what_a_person_hides_is_no_hole(tmp_path):
    result = check(tmp_path, 0.35)
    assert find_note(result) is None
    assert result.coverage == 1
