"""Surfaces of files and rechecks: what stands off, and is said."""

import numpy as np
import pytest

from gradevol.doubts.epochs import remark_on_epochs
from gradevol.doubts.spikes import remark_on_one_level, remark_on_spikes
from gradevol.job import read_job
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.runs.check import check_job
from gradevol.site.rechecks import apply_rechecks
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from tests.pads import grid

pytestmark = pytest.mark.usefixtures("unsimulated")

EDGE = np.array([[0, 0], [10, 0], [10, 8], [0, 8]], float)
NX, NY = 6, 5
JOB = """units = "m"
[base]
surface_file = "a.stl"
[slab]
edge = [[0, 0], [10, 0], [10, 8], [0, 8]]
thickness = 0.15
[top]
level = 20
"""


def mesh(**off):
    """Corners and faces of a grid, with some corners moved up: ``c12=0.3``."""
    east, north = np.meshgrid(np.linspace(0, 10, NX), np.linspace(0, 8, NY))
    wave = 0.004 * np.sin(np.arange(NX * NY) * 2.4)
    points = np.column_stack([east.ravel(), north.ravel(), 19.85 + wave])
    for name, rise in off.items():
        points[int(name[1:]), 2] += rise
    at = np.arange(NX * NY).reshape(NY, NX)
    a, b, c, d = (each.ravel() for each in (at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]))
    return points, np.vstack([np.column_stack([a, b, d]), np.column_stack([b, c, d])])


def look(survey, faces=None):
    slab = Slab(EDGE, (), thickness=0.15, least_thickness=0.13)
    top, measured = build_top(Level(20), slab), MeasuredBase(survey, faces)
    return remark_on_spikes(measured, build_base(measured, slab, top), slab, top)


def spikes(**off):
    points, faces = mesh(**off)
    return look(Survey(points, np.zeros(3)), faces)


def test_a_surface_that_is_as_rough_everywhere_has_no_spike():
    assert spikes() == ()


@pytest.mark.parametrize(("corner", "rise"), [("c0", -20.0), ("c14", 0.3), ("c14", -0.08)])
def test_a_corner_that_stands_off_all_around_it_is_named_by_its_place(corner, rise):
    (note,) = spikes(**{corner: rise})
    assert note.code == "surface-spike"
    assert note.places == (tuple(mesh()[0][int(corner[1:]), :2]),)
    assert note.measures[0].value == pytest.approx(abs(rise), abs=0.02)


def test_shots_are_left_to_their_own_screening():
    points = mesh(c0=-20)[0]
    assert look(Survey(points, np.zeros(3), ids=tuple(map(str, range(len(points)))))) == ()


def cloud(off):
    """Points a metre apart, some moved up: ``{(3, 4): 0.3}``, by easting and northing."""
    plan = grid(np.arange(-4.0, 15), np.arange(-4.0, 13))
    level = 19.85 + 0.004 * np.sin(np.arange(len(plan)) * 2.4)
    level += [off.get((e, n), 0.0) for e, n in plan]
    return look(Survey(np.column_stack([plan, level]), np.zeros(3)))


def test_strays_of_a_cloud_are_counted_and_placed_however_many_they_are():
    strays = {(2, 2): 0.13, (3, 2): -0.4, (4, 2): 0.2, (8, 6): 7.0, (0, 7): -2.0}
    assert cloud({}) == ()
    (note,) = cloud(strays)
    assert note.text.startswith("5 places of the cloud stand off all places around")
    assert set(note.places) == strays.keys()
    assert note.measures[0].value == pytest.approx(7, abs=0.02)


def test_what_stands_on_a_base_over_several_places_of_a_cloud_is_no_stray():
    assert cloud({(4, 3): 0.3, (5, 3): 0.3, (6, 3): 0.29}) == ()


def test_strays_that_vouch_for_each_other_across_a_gap_are_told():
    plan = grid(np.arange(0, 10.5, 0.5), np.arange(18) / 2)
    plan[:, 1] -= 0.25
    level = 19.85 + 0.004 * np.sin(np.arange(len(plan)) * 2.4)
    # of a row along the slab's side one point fell as low as some that went beyond the corner
    lost = (plan[:, 1] < 0) & (plan[:, 0] > 2)
    row = np.flatnonzero(lost)
    level[row], plan[row[1:]] = 19.0, (-2.0, -0.75)
    (note,) = look(Survey(np.column_stack([plan, level]), np.zeros(3)))
    assert (2.5, -0.25) in note.places
    assert note.measures[0].value == pytest.approx(0.85, abs=0.02)


def count_at_one_level(share):
    """Notes on a cloud of which a share stands at one elevation."""
    level = 19.85 + 0.02 * np.sin(np.arange(400.0) * 2.4)
    level[: int(share * 400)] = 19.9
    plan = grid(np.arange(20.0), np.arange(20.0))
    return remark_on_one_level(MeasuredBase(Survey(np.column_stack([plan, level]), np.zeros(3))))


def test_a_cloud_most_of_which_stands_at_one_elevation_is_told():
    (note,) = count_at_one_level(0.6)
    assert note.text.startswith("240 of 400 points of the cloud stand at exactly {}, all others at")
    assert note.measures[0].value == pytest.approx(19.9)
    (note,) = count_at_one_level(1.0)
    assert note.text.startswith(
        "400 of 400 points of the cloud stand at exactly {}: was part of it"
    )
    assert count_at_one_level(0.4) == ()


def test_a_stray_off_the_slab_is_not_told():
    assert cloud({(13, 4): 5.0, (-3, -3): -1.0}) == ()


def test_no_thickness_many_times_the_design_goes_without_a_note(tmp_path):
    points, faces = mesh(c0=-20.0)
    text = "solid a\n"
    for face in faces:
        corners = "".join("vertex {:.4f} {:.4f} {:.4f}\n".format(*points[at]) for at in face)
        text += f"facet normal 0 0 1\nouter loop\n{corners}endloop\nendfacet\n"
    (tmp_path / "a.stl").write_text(text + "endsolid a\n")
    (tmp_path / "job.toml").write_text(JOB)
    codes = {note.code for note in check_job(read_job(tmp_path / "job.toml")).notes}
    assert {"surface-spike", "thickness-many-times"} <= codes


def shot_again(off):
    """Epochs of a base shot again within, off by so much at each place."""
    points = mesh()[0]
    inner = points[(points[:, 0] > 1) & (points[:, 0] < 9) & (points[:, 1] > 1)]
    later = inner + np.column_stack([*np.full((2, len(inner)), 0.05), off(inner)])
    return apply_rechecks(
        Survey(points, np.zeros(3), sigma=0.003), Survey(later, np.zeros(3)), radius=0.5
    )


@pytest.mark.parametrize("step", [0.05, -0.3048])
def test_rechecks_that_are_all_off_by_one_step_are_said_to_be(step):
    (note,) = remark_on_epochs(shot_again(lambda inner: np.full(len(inner), step)))
    assert note.code == "epochs-step"
    assert note.measures[0].value == pytest.approx(abs(step), abs=0.006)


def test_a_recheck_that_does_not_share_the_step_of_all_others_is_named():
    def slip(inner):
        return np.where(np.arange(len(inner)) == 2, 0.034, -0.02)

    (note,) = remark_on_epochs(shot_again(slip))
    assert len(note.points) == 1
    assert "nearly all by about the same" in note.text
    assert "Not so no. 17 ({} above that): a misread" in note.text
    assert [each.value for each in note.measures] == pytest.approx([0.02, 0.054], abs=0.006)


def test_rechecks_of_work_that_was_needed_are_no_step():
    assert remark_on_epochs(shot_again(lambda inner: 0.05 * np.sin(inner[:, 0] * 2))) == ()
    assert remark_on_epochs(shot_again(lambda inner: np.zeros(len(inner)))) == ()
    assert remark_on_epochs(None) == ()
