"""Yield by weight: what counts as a test, and when it is a yield in the sense of the standard."""

from dataclasses import replace

from gradevol.after.yields import TEST_SIGMA, UNTESTED_SIGMA, measure_yield
from gradevol.files.tickets.table import Amount, Load

WEIGHT = Amount(2300.0 * 7.5)


def loads_of(*densities, weight=WEIGHT):
    return [
        Load(n, f"{n}", "", 7.6, batch_weight=weight, unit_weight=density)
        for n, density in enumerate(densities)
    ]


def test_three_tests_of_three_loads_are_a_standard_yield_and_two_are_none():
    tests = [Amount(2290.0), Amount(2300.0), Amount(2310.0)]
    assert measure_yield(loads_of(*tests, None)).is_standard
    assert not measure_yield(loads_of(*tests[:2], None, None)).is_standard


def test_an_estimate_is_no_test():
    found = measure_yield(loads_of(Amount(2300.0, True), Amount(2300.0), Amount(2300.0)))
    assert (found.tests, found.is_standard) == (2, False)


def test_loads_that_were_not_weighed_make_it_no_standard_yield_and_less_sure():
    tests = [Amount(2300.0)] * 3
    whole = measure_yield(loads_of(*tests))
    part = measure_yield([*loads_of(*tests), *loads_of(None, weight=None)])
    assert whole.is_standard
    assert not part.is_standard
    assert (part.weighed, part.loads) == (3, 4)
    assert part.ratio == whole.ratio
    assert part.sigma > whole.sigma


def test_without_a_test_or_a_weight_nothing_is_assigned():
    for loads in (loads_of(None, None), loads_of(Amount(2300.0), weight=None)):
        found = measure_yield(loads)
        assert found.ratio is None
        assert found.by_weight is None
        assert found.sigma == UNTESTED_SIGMA


def test_tests_that_agree_by_chance_are_no_surer_than_a_test_is():
    found = measure_yield(loads_of(*[Amount(2300.0)] * 3))
    assert found.sigma > TEST_SIGMA / 2300 / 3**0.5
    scattered = measure_yield(loads_of(Amount(2250.0), Amount(2300.0), Amount(2350.0)))
    assert scattered.sigma > 2 * found.sigma


def test_water_added_on_site_is_told_and_in_no_weight():
    (load,) = loads_of(Amount(2300.0))
    wet = replace(load, water_added=Amount(0.02))
    assert measure_yield([wet]).water == 0.02
    assert measure_yield([wet]).ratio == measure_yield([load]).ratio
