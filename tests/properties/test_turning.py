"""Coordinates turned, shifted and rounded to a millimetre: the same slab has the same concrete."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import find_low
from gradevol.measures.thickness import measure_thickness
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Plane, build_top

#: Last digit of what is printed: a tenth of a cubic yard, a sixteenth of an inch, m.
VOLUME, THICKNESS = 0.1 * 0.9144**3, 0.0254 / 16
EDGE = np.array([(0, 0), (13.7, 0), (13.7, 24.4), (0, 24.4)])
TOP = np.array([(0, 0, 5.0), (13.7, 0, 5.14), (0, 24.4, 5.12)])


def survey_of(seed, stagger):
    """Rows of shots on a base that a machine trimmed, laid out by tape to a few centimetres."""
    random = np.random.default_rng(seed)
    east, north = np.meshgrid(np.arange(0.6, 13.7, 2.1), np.arange(0.5, 24.4, 2.4))
    plan = np.column_stack([east.ravel(), north.ravel()]) + random.normal(0, stagger, (70, 2))
    graded = 5 + 0.14 * plan[:, 0] / 13.7 + 0.12 * plan[:, 1] / 24.4 - 0.15
    return np.column_stack([plan, graded + random.normal(-0.003, 0.007, 70)])


def figures_of(shots, angle, shift):
    turn = np.array([(np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))])

    def book(points):
        plan = np.round(points[:, :2] @ turn + shift, 3)
        return np.column_stack([plan, points[:, 2:]])

    slab = Slab(edge=book(EDGE), openings=(), thickness=0.15, least_thickness=0.131, base_low=0.012)
    # the top is one plane however its points are rounded: they are not
    top = build_top(Plane(np.column_stack([TOP[:, :2] @ turn + shift, TOP[:, 2]])), slab)
    base = build_base(MeasuredBase(Survey(book(shots), np.zeros(3))), slab, top)
    field = build_field(base.surface, top.surface, slab)
    moments, low = measure_thickness(field), find_low(field, slab)
    assert low is not None
    return measure_concrete(field, slab).volume, moments.min, moments.max, low.area


@pytest.mark.parametrize("stagger", [0.0, 0.004, 0.03])
@given(seed=st.integers(0, 50), angle=st.floats(0, 6.283), shift=st.floats(0, 9.0))
def test_turning_shifting_and_rounding_change_no_printed_figure(stagger, seed, angle, shift):
    shots = survey_of(seed, stagger)
    volume, least, most, low = figures_of(shots, 0.0, 0.0)
    other = figures_of(shots, angle, shift)
    assert other[0] == pytest.approx(volume, abs=VOLUME / 2)
    assert other[1:3] == pytest.approx((least, most), abs=THICKNESS / 2)
    # where rows are only paced, a shot 60 mm off its row is of it or not by a millimetre
    assert other[3] == pytest.approx(low, abs=0.5 if stagger < 0.03 else 0.1 * low)
