"""The account: rows add up whatever is ticketed; coordinates may be shifted and turned."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gradevol.after.account import PARTS, draw_up_account
from gradevol.after.finished import finish_top
from gradevol.after.likely import weigh_rows
from gradevol.after.poured import Poured
from gradevol.after.yields import measure_yield
from gradevol.answer.rounding import balance
from gradevol.files.tickets.table import Amount, Load
from gradevol.job.terms import Terms
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import Concrete
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Plane, build_top

EDGE = np.array([(0, 0), (12, 0), (12, 9), (0, 9.0)])
PLANE = np.array([(0, 0, 5.0), (12, 0, 5.14), (0, 9, 5.07)])
VOLUMES = st.floats(0.5, 12.0)
AMOUNTS = st.none() | st.builds(Amount, st.floats(0.0, 0.5), st.booleans())
WEIGHTS = st.none() | st.builds(Amount, st.floats(2000.0, 26000.0), st.booleans())
DENSITIES = st.none() | st.builds(Amount, st.floats(2100.0, 2500.0), st.booleans())
LOADS = st.lists(
    st.builds(
        lambda volume, returned, weight, density: Load(
            1, "1", "", volume, returned=returned, batch_weight=weight, unit_weight=density
        ),
        VOLUMES,
        AMOUNTS,
        WEIGHTS,
        DENSITIES,
    ),
    min_size=1,
    max_size=9,
)


@given(
    loads=LOADS,
    slab=st.floats(1.0, 90.0),
    neat=st.floats(1.0, 90.0),
    over=st.floats(-2.0, 2.0),
    waste=st.none() | st.floats(0.0, 0.5),
    poured=st.floats(0.0, 3.0),
)
def test_rows_add_up_to_what_was_ticketed(loads, slab, neat, over, waste, poured):
    account = draw_up_account(
        loads,
        poured=Poured((("pad", 1, poured),), poured, 0.04 * poured),
        measured=measure_yield(loads),
        concrete=Concrete(slab, slab, 0.0, 0.0, 0.0, 0.0, neat, ()),
        slab=Slab(EDGE, (), 0.15, 0.13),
        flush_sides=(),
        terms=Terms(waste=waste),
        over=over,
        moved=np.array([0.01, -0.02]),
        covariance=np.array([(0.3, -0.1), (-0.1, 0.2)]),
        is_top_shot=True,
    )
    ticketed, *rows = account.rows
    assert [row.key for row in rows] == list(PARTS)
    assert sum(row.volume for row in rows) == pytest.approx(ticketed.volume, abs=1e-11)
    assert account.likely.volume.sum() == pytest.approx(ticketed.volume, abs=1e-10)
    assert all(row.sigma >= 0 for row in rows)


@given(
    parts=st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=12),
    decimals=st.integers(0, 6),
)
def test_rounded_rows_add_up_to_the_last_digit(parts, decimals):
    total, *rounded = balance(sum(parts), parts, decimals)
    unit = 10**decimals
    assert sum(round(part * unit) for part in rounded) == round(total * unit)
    for part, told in zip(parts[:-1], rounded, strict=False):
        assert told == pytest.approx(part, abs=0.501 / unit)


@given(seed=st.integers(0, 10**6), total=st.floats(-5.0, 5.0))
def test_weighing_is_least_squares_under_the_sum(seed, total):
    random = np.random.default_rng(seed)
    volume, root = random.normal(size=5), random.normal(size=(5, 5))
    covariance = root @ root.T + 0.1 * np.eye(5)
    likely = weigh_rows(volume, covariance, total)
    assert likely.volume.sum() == pytest.approx(total, abs=1e-9)

    def misfit(found):
        return float((found - volume) @ np.linalg.solve(covariance, found - volume))

    best = misfit(likely.volume)
    for _ in range(10):  # nothing else that adds up lies nearer
        step = random.normal(size=5)
        assert misfit(likely.volume + step - step.mean()) > best
    assert (likely.sigma <= np.sqrt(np.diag(covariance)) + 1e-12).all()


def as_built(base, over, angle, shift):
    """Volume that a finished top adds, its mean, and the slab's least thickness."""
    turn = np.array([(np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))])

    def book(points):
        return np.column_stack([points[:, :2] @ turn + shift, points[:, 2:]])

    slab = Slab(book(EDGE), (), 0.15, 0.13)
    top = build_top(Plane(book(PLANE)), slab)
    survey = Survey(book(base), np.zeros(3), sigma=0.002, method="rod and level")
    ground = build_base(MeasuredBase(survey), slab, top)
    field = build_field(ground.surface, top.surface, slab)
    shots = Survey(book(over), np.zeros(3))
    finished = finish_top(shots, survey, field=field, top=top, slab=slab)
    moments = measure_thickness(finished.field)
    return finished.volume, finished.random, finished.coverage, moments.mean, moments.min


@given(seed=st.integers(0, 10**6), angle=st.floats(0, 6.283), shift=st.floats(-900, 900))
def test_shifting_and_turning_coordinates_change_nothing_as_built(seed, angle, shift):
    random = np.random.default_rng(seed)

    def strew(count, above):
        plan = random.uniform((0.2, 0.2), (11.8, 8.8), (count, 2))
        level = 5.0 + 0.14 * plan[:, 0] / 12 + 0.07 * plan[:, 1] / 9 + above
        return np.column_stack([plan, level + random.normal(0, 0.006, count)])

    base, over = strew(25, -0.15), strew(12, 0.003)
    told = as_built(base, over, 0.0, 0.0)
    assert as_built(base, over, angle, shift) == pytest.approx(told, abs=1e-6)
