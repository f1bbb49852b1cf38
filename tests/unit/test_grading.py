"""Cut and fill against the design base, in closed form."""

import numpy as np
import pytest

from gradevol.measures.grading import measure_grading
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface
from gradevol.site.top import Level, build_top

EDGE = np.array([(0, 0), (8, 0), (8, 5), (0, 5.0)])


def grade(levels):
    """A plane base over the slab by the elevations of its west and its east side."""
    slab = Slab(edge=EDGE, openings=(), thickness=0.2, least_thickness=0.18)
    west, east = levels
    base = build_surface(np.column_stack([EDGE, [west, east, east, west]]))
    top = build_top(Level(1.2), slab)
    return measure_grading(build_field(extend_level(base, slab.outline), top.surface, slab), slab)


def test_a_base_that_tilts_through_its_design_is_cut_and_filled_by_wedges():
    grading = grade((1.03, 0.99))  # design base at 1.00: high over the western 6 of 8 m
    assert grading.cut == pytest.approx(0.5 * 0.03 * 6 * 5)
    assert grading.fill == pytest.approx(0.5 * 0.01 * 2 * 5)
    assert grading.high_share == pytest.approx(6 / 8)


@pytest.mark.parametrize(("level", "share"), [(1.0, 0.0), (0.98, 0.0), (1.01, 1.0)])
def test_a_base_that_is_level_is_high_all_over_or_nowhere(level, share):
    assert grade((level, level)).high_share == pytest.approx(share)
