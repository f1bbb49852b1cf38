from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.epochs import remark_on_outlived
from gradevol.ground.errors import GeometryError
from gradevol.site.rechecks import apply_rechecks
from gradevol.site.slab import Slab, Thickening
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from tests.pads import grid


def lattice(level, *, prefix=""):
    plan = grid(np.arange(5) * 2.0, np.arange(4) * 2.0)
    points = np.column_stack([plan + np.array([100, 200]), np.full(len(plan), level)])
    ids = tuple(f"{prefix}{number + 1}" for number in range(len(points)))
    return Survey.about_local_origin(points, ids=ids, codes=("BASE",) * len(points))


def later(*places):
    points = np.array([[100 + e, 200 + n, 9.9] for e, n in places])
    return Survey.about_local_origin(points, ids=tuple(f"R{i}" for i in range(len(points))))


def test_shots_within_the_radius_are_retired_and_no_others():
    first = lattice(10.0)

    epochs = apply_rechecks(first, later((0.5, 0.5)), radius=1.0)

    assert [first.name(index) for index in epochs.retired] == ["1"]
    assert len(epochs.survey.points) == 20
    assert epochs.survey.ids == (*first.ids[1:], "R0")
    assert epochs.survey.codes[-1] == ""
    assert_allclose(epochs.survey.points[-1] + epochs.survey.origin, [100.5, 200.5, 9.9])


def test_an_outline_retires_what_lies_within_it():
    first = lattice(10.0)
    outline = np.array([[-1.0, -1.0], [5.0, -1.0], [5.0, 3.0], [-1.0, 3.0]])

    epochs = apply_rechecks(first, later((1, 1), (3, 1)), outline=outline)

    assert len(epochs.retired) == 6  # three columns by two rows
    assert epochs.survey.notes[-1].code == "rechecks-applied"
    assert len(epochs.first.points) == 20


def test_rechecks_that_are_near_no_shot_are_refused():
    with pytest.raises(GeometryError, match="retires no shot"):
        apply_rechecks(lattice(10.0), later((50, 50)), radius=1.0)


def test_later_shots_that_are_the_first_once_more_are_refused():
    first = lattice(10.0)
    with pytest.raises(GeometryError, match="name the file of the later shots"):
        apply_rechecks(first, first.about(first.origin), radius=1.0)


def test_later_shots_outside_of_the_outline_are_told():
    outline = np.array([[-1.0, -1.0], [5.0, -1.0], [5.0, 3.0], [-1.0, 3.0]])
    epochs = apply_rechecks(lattice(10.0), later((1, 1), (7, 5)), outline=outline)
    note = epochs.survey.notes[-1]
    assert note.code == "rechecks-outside"
    assert note.text.startswith("1 of the later shots lies outside of base.rechecks.outline")
    assert note.points == ("R1",)


def test_ids_of_later_shots_that_first_ones_have_too_are_told():
    first = lattice(10.0)
    again = replace(later((0.5, 0.5)), ids=("7",))  # 7 is kept, 1 is retired
    codes = [note.code for note in apply_rechecks(first, again, radius=1.0).survey.notes]
    assert codes == ["rechecks-applied", "duplicate-ids"]
    retired = replace(later((0.5, 0.5)), ids=("1",))
    codes = [note.code for note in apply_rechecks(first, retired, radius=1.0).survey.notes]
    assert codes == ["rechecks-applied"]


@pytest.mark.parametrize("places", [[(4, 3)], [(0, 0), (4, 3), (8, 6)]])
def test_a_radius_that_leaves_no_surface_is_told_to_be_too_large(places):
    with pytest.raises(GeometryError, match=r"retires all 20 first shots.*a smaller radius"):
        apply_rechecks(lattice(10.0), later(*places), radius=300)


def test_all_first_shots_may_be_retired_by_a_surface_of_later_ones():
    epochs = apply_rechecks(lattice(10.0), later((0, 0), (8, 0), (4, 6)), radius=300)
    assert epochs.survey.ids == ("R0", "R1", "R2")


@pytest.fixture
def told_beside():
    """Notes on earlier shots beside later ones, on a slab with a trench on side 1."""

    def tell(first, again, radius):
        edge = np.array([[100, 200], [108, 200], [108, 206], [100, 206.0]]) - first.origin[:2]
        trench = Thickening("", 0.3, 0.1, sides=(1,), surveyed="yes")
        slab = Slab(edge, (), 0.15, 0.13, thickenings=(trench,))
        top = build_top(Level(10.15 - float(first.origin[2])), slab)
        epochs = apply_rechecks(first, again, radius=radius)
        return remark_on_outlived(epochs, slab, top)

    return tell


def test_a_first_shot_that_no_radius_reached_is_told_where_it_stands_beside_a_later_one(
    told_beside,
):
    again = later((0.15, 2), (2, 2))
    (note,) = told_beside(lattice(10.0), again, 0.1)
    assert note.points == ("6",)
    assert "give base.rechecks a larger radius" in note.text
    assert "of one round" not in note.text
    assert not told_beside(lattice(10.0), again, 0.5)
    assert not told_beside(lattice(9.9), again, 0.1)  # nobody worked there


def test_a_later_shot_of_an_earlier_round_is_told(told_beside):
    again = later((2, 2), (2.1, 2.1), (4, 2))
    points = again.points.copy()
    points[0, 2] += 0.05
    (note,) = told_beside(lattice(10.0), replace(again, points=points), 0.5)
    assert note.points == ("R0",)
    assert "radius" not in note.text  # it retires no later shot
    assert "If both are of one round" in note.text
    assert not told_beside(lattice(10.0), again, 0.5)


def test_a_shot_in_a_trench_is_none_of_the_place_beside_it(told_beside):
    first = lattice(9.9)
    points = first.points - [[0, 0, 0.3]] * (first.points[:, 1:2] < 0.1)
    assert not told_beside(replace(first, points=points), later((4, 0.15), (2, 2)), 0.1)
