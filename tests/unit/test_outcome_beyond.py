"""The concrete once the work is done, where the outermost shots stop short of the forms."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.job import read_job
from gradevol.measures.spots import no_doubt
from gradevol.plan.fixes import plan_work
from gradevol.plan.fixes.fix import look_over
from gradevol.plan.fixes.outcome import measure_outcome
from gradevol.runs.check import check_job
from tests.conftest import lattice
from tests.small_job import HEADER, JOB, write_job

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
        return work, measure_outcome(work, field, None, slab, (look, look), volume=volume)

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


@pytest.mark.usefixtures("unsimulated")
def test_the_strip_goes_with_a_row_that_rests_on_a_suspect_shot_should_that_be_right(tmp_path):
    """Where it alone is high and is shaved, the floor takes what it does without that shot."""
    rng = np.random.default_rng(2)
    plan = lattice(10, 7, 4.0) + 3.0
    level = 99.5 + rng.choice([-0.01, 0, 0.01], 70)
    level[4] += 0.25
    shots = HEADER + "".join(
        f"{at},{e},{n},{z:.2f}\n" for at, ((e, n), z) in enumerate(zip(plan, level, strict=True))
    )
    edge = "[[0, 0], [42, 0], [42, 30], [0, 30]]"
    job = JOB.replace("[[0, 0], [16, 0], [16, 9], [0, 9]]", edge)
    result = check_job(read_job(write_job(tmp_path, job=job, shots=shots)))
    assert [one.index for one in result.suspects] == [4]
    stage = result.outcome.must
    assert stage is not None
    assert stage.if_right is not None
    assert stage.without_suspects is not None
    # the row is what is too thin: beside it, too, the base was high by less than may be
    lost = stage.without_suspects - stage.volume
    assert stage.if_right.volume - stage.volume > 0.6 * lost
