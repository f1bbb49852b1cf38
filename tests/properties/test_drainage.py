"""What must not change what water does: where the slab lies, and which way north is."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.measures.drainage import Runoff, measure_drainage
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import find_tie_ins
from gradevol.site.top import Measured, build_top

EDGE = np.array([[0, 0], [9, 0], [9, 4], [5, 4], [5, 8], [0, 8.0]])
RUNOFF = Runoff(0.01, (1, 4))


def turned(points, angle, by):
    cosine, sine = np.cos(angle), np.sin(angle)
    plan = points[:, :2] @ np.array([[cosine, sine], [-sine, cosine]]) + by[:2]
    return np.column_stack([plan, points[:, 2:] + by[2]]) if points.shape[1] == 3 else plan


def figures(shots, edge):
    slab, design = Slab(edge, (), 0.15, 0.13), Measured(shots)
    water = measure_drainage(
        build_top(design, slab).surface, slab, find_tie_ins(design, slab), RUNOFF
    )
    return water, np.array(
        [
            *(water.falls.mean, water.falls.resultant, water.falls.least, water.flat_area),
            *(len(water.ponds), sum(pond.volume for pond in water.ponds)),
            *(max((pond.depth for pond in water.ponds), default=0), len(water.edges)),
        ]
    )


@given(
    st.integers(0, 10_000),
    st.floats(0, 6.28),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50), st.floats(-5, 5)),
)
def test_neither_place_nor_bearing_changes_what_water_does(seed, angle, by):
    random = np.random.default_rng(seed)
    plan = np.vstack([random.uniform(-1, 10, (25, 2)), [[-3, -3], [14, -3], [14, 12], [-3, 12]]])
    shots = np.column_stack([plan, 0.05 * random.normal(size=len(plan))])
    water, one = figures(shots, EDGE)
    other_water, other = figures(turned(shots, angle, by), turned(EDGE, angle, by))

    assert_allclose(other, one, rtol=1e-6, atol=1e-7)
    before, after = water.falls.bearing, other_water.falls.bearing
    assert before is not None
    assert after is not None
    turn = (before - np.degrees(angle) - after + 180) % 360 - 180
    assert abs(turn) < 1e-4
