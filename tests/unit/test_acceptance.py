import numpy as np
import pytest

from gradevol.measures.acceptance import PUBLISHED, Acceptance

INCH = 0.0254
SQUARE_FOOT = 0.3048**2
#: Samples of a slab of 6 in, in.
SETS = np.array([
    [6.0, 6.0, 6.0, 6.0],
    [5.6, 5.6, 5.6, 5.6],  # 0.4 in under, each
    [5.2, 6.5, 6.5, 6.5],  # one 0.8 in under
    [5.3, 5.3, 5.3, 8.5],  # the thick one counts for 6.75 in: 5.66 in on the mean, not 6.1 in
    [5.3, 5.3, 5.3, 6.5],  # 5.6 in on the mean
]) * INCH  # fmt: skip


def test_the_average_fails_by_three_eighths_and_a_single_sample_by_three_quarters():
    average, single = PUBLISHED
    assert average.find_failed(SETS, 6 * INCH).tolist() == [False, True, False, False, True]
    assert single.find_failed(SETS, 6 * INCH).tolist() == [False, False, True, False, False]


def test_a_very_thick_sample_does_not_make_up_for_thin_ones():
    thick = np.array([[5.2, 5.2, 5.2, 8.0]]) * INCH
    assert PUBLISHED[0].find_failed(thick, 6 * INCH).tolist() == [True]
    plain = Acceptance("as it is", average=0.375 * INCH)
    assert plain.find_failed(thick, 6 * INCH).tolist() == [False]


def test_a_test_of_both_limits_fails_where_either_does():
    both = Acceptance("both", average=0.375 * INCH, single=0.75 * INCH, over=0.75 * INCH)
    assert both.find_failed(SETS, 6 * INCH).tolist() == [False, True, True, False, True]


@pytest.mark.parametrize(
    ("feet", "samples"), [(100, 4), (5000, 4), (5001, 8), (10_000, 8), (22_000, 20)]
)
def test_four_samples_are_taken_for_each_five_thousand_square_feet(feet, samples):
    assert PUBLISHED[0].count_samples(feet * SQUARE_FOOT) == samples


def test_a_stated_number_of_samples_stands_whatever_the_area():
    assert Acceptance("mine", single=0.01, samples=3).count_samples(5000.0) == 3
