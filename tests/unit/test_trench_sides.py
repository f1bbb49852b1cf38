"""Thickenings shot in the trench: along several sides, in one table or in several."""

import numpy as np
import pytest

from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab, Thickening
from gradevol.site.survey import Survey
from gradevol.site.top import Between, build_top

FIRST = np.array([(0, 0, 2.0), (4, 0, 2.03), (9, 0, 2.0)])
SECOND = np.array([(0, 15, 2.1), (5, 15, 2.16), (9, 15, 2.12)])


def beam(*sides):
    return Thickening(
        f"sides {sides}", depth=0.1, width=0.3, sides=sides, side_slope=3.0, surveyed="departure"
    )


def volume_of(thickenings, shots):
    slab = Slab(
        edge=np.array([(0, 0), (9, 0), (9, 15), (0, 15)], float),
        openings=(),
        thickness=0.15,
        least_thickness=0.13,
        thickenings=thickenings,
    )
    top = build_top(Between(FIRST, SECOND), slab)
    base = build_base(MeasuredBase(Survey(shots, np.zeros(3))), slab, top)
    return measure_concrete(build_field(base.surface, top.surface, slab), slab).volume


def shots_of(rows):
    """Rows across the slab, each at its northing; those in a trench lie lower."""
    random = np.random.default_rng(5)
    east = np.array([0.4, 2.1, 4.5, 6.8, 8.6])
    made = [
        np.column_stack([east, np.full(5, north), low + random.normal(0, 0.004, 5)])
        for north, low in rows
    ]
    return np.vstack(made)


BOTH_ENDS = [(0.15, 1.75), (2, 1.86), (5, 1.88), (8, 1.91), (11, 1.93), (13, 1.95), (14.85, 1.87)]


def test_one_table_of_two_sides_is_two_tables_of_one():
    shots = shots_of(BOTH_ENDS)
    together = volume_of((beam(1, 3),), shots)
    assert together == pytest.approx(volume_of((beam(1), beam(3)), shots), rel=1e-9)


def test_chains_that_meet_at_a_corner_share_their_place():
    along = np.array([(0.15, 3.0, 1.76), (0.15, 6.0, 1.79), (0.15, 9.0, 1.8), (0.15, 12.0, 1.83)])
    shots = np.vstack([shots_of(BOTH_ENDS[:-1]), along, [(0.15, 0.15, 1.75)]])
    together = volume_of((beam(4, 1),), shots)
    assert together == pytest.approx(volume_of((beam(1), beam(4)), shots), abs=0.15)
    assert 15 < together < 40
