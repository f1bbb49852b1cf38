"""The concrete once the work is done, where the outermost shots stop short of the forms."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.spots import no_doubt
from gradevol.plan.fixes import plan_work
from gradevol.plan.fixes.fix import look_over
from gradevol.plan.fixes.outcome import measure_outcome
from tests.conftest import lattice

EDGE = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
NEAT = 12 * 9 * 0.15


@pytest.fixture
def worked(make_result):
    """Shots 1 m off the forms, at so much off the design base by easting: what the work leaves."""

    def work_off(departure):
        plan = lattice(11, 8, 1.0) + 1.0
        shots = np.column_stack([plan, 100 + departure(plan[:, 0])])
        result = make_result(shots, EDGE, 100.15, base_high=0.01, base_low=0.01)
        field, slab = result.field, result.slab
        look = look_over(field, slab, doubt=no_doubt)
        work = plan_work(
            look.shot, look.shot, grading=result.grading, slab=slab, survey=result.survey
        )
        volume = result.concrete.volume
        return work, measure_outcome(work, field, None, slab, look, volume=volume)

    return work_off


def test_what_is_high_between_the_outermost_shots_and_the_forms_is_shaved_with_its_row(worked):
    """Reshot at design, the strip too is taken at design: it was told as high as before."""
    work, outcome = worked(lambda east: np.full(len(east), 0.04))

    (row,) = work.fixes
    assert_allclose(row.area, 10 * 7)  # no row lists ground that nobody shot
    assert_allclose(outcome.must.volume, NEAT)
    assert outcome.beyond == (1,)


def test_the_strip_goes_with_the_row_beside_it_alone_and_takes_no_more_than_is_brought(worked):
    work, outcome = worked(lambda east: np.where(east < 6, 0.04, -0.03))
    shaved, filled = work.fixes

    # the low half, strip and all, and what is under 10 mm on the way to it
    low = 9 * (0.03 * 6 + 0.03 * 3 / 7 / 2)
    high = 9 * 0.01 * 1 / 7 / 2
    assert_allclose(outcome.must.volume, NEAT + low - high)
    assert shaved.volume > filled.volume
    assert_allclose(outcome.all.volume, outcome.must.volume - filled.volume)
    assert outcome.part_filled == ()
