"""An edge that lacks a corner, or has a wrong one, where shots were taken."""

import numpy as np
import pytest

from gradevol.doubts.corner import remark_on_corner
from gradevol.ground.units import Units
from gradevol.measures.base import MeasuredBase
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

ROUND = [(0, 0), (9, 0), (9, 6), (0, 6)]
PLAN = np.mgrid[0.2:8.8:7j, 0.2:5.8:5j].reshape(2, -1).T


def remark(edge, plan=PLAN):
    points = np.column_stack([plan, np.zeros(len(plan))])
    ids = tuple(f"S{number}" for number in range(len(plan)))
    survey = Survey.about_local_origin(points, ids=ids)
    slab = Slab(np.array(edge, dtype=float), (), thickness=0.1, least_thickness=0.08)
    return remark_on_corner(MeasuredBase(survey), slab)


@pytest.mark.parametrize(
    ("edge", "side", "shot"),
    [
        (ROUND[:3], 3, "S4"),
        (ROUND[1:], 3, "S0"),
        ([*ROUND[:2], (9, 0.6), ROUND[3]], 3, "S34"),  # a digit left out
    ],
)
def test_the_corner_that_would_take_in_the_shots_off_the_slab_is_named(edge, side, shot):
    (note,) = remark(edge)
    assert note.code == "edge-lacks-corner"
    said = note.say(Units.of_job("m"))
    assert f"beside side {side}, up to" in said
    assert f"one more corner near shot {shot} would take in them all" in said


@pytest.mark.parametrize(
    "edge",
    [
        ROUND,
        [(0, 0), (4, 0), (4, 6), (0, 6)],  # shots of ground as wide as the slab
        [(3, 2), (6, 2), (6, 4), (3, 4)],  # and all round
        [*ROUND[:2], (9, 4), (7, 6), ROUND[3]],  # a small corner that was cut off
    ],
)
def test_other_shots_off_the_slab_are_no_corner(edge):
    assert remark(edge) == ()


@pytest.mark.parametrize(
    "more",
    [
        [(15, 3), (15, 3.001), (15.002, 3)],  # a bench mark, shot at morning, noon and night
        [(11, 3), (13, 3.1), (15, 3)],  # along a pipe
        [(10.5, 3), (11, 2.5), (15, 3)],  # hubs
    ],
)
def test_a_few_shots_that_fill_no_triangle_are_no_corner(more):
    plan = np.mgrid[0.2:8.8:6j, 0.2:5.8:4j].reshape(2, -1).T
    assert remark(ROUND, np.vstack([plan, more])) == ()
