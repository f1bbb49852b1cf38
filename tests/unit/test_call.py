"""The balance to call: how much, by when, and what it feeds."""

import pytest

from gradevol.after.call import Pace, find_pace, leave_over, need_of, size_call
from gradevol.files.tickets.loads import Load
from gradevol.job.terms import SmallPour, Terms

TERMS = Terms(risk=0.05, step=0.25, truck=8.0, least_load=2.0, notice=0.5)


def call(
    still, sd=0.3, *, released=0.0, called=0.0, ticketed=0.0, pours=(), terms=TERMS, pace=None
):
    return size_call(
        need_of(still, sd),
        ticketed=ticketed,
        released=released,
        called=called,
        terms=terms,
        pours=pours,
        pace=pace or Pace(),
        is_metric=True,
        level=0.9,
    )


def test_it_is_short_with_no_more_than_the_accepted_chance_and_in_whole_steps():
    found = call(5.0)
    assert found.volume == 5.5  # 5.0 and 1.645 of 0.3, rounded up to 0.25
    assert found.chance_short < 0.05
    assert found.loads == (5.5,)


def test_what_is_on_its_way_is_not_called_again():
    assert call(21.0, released=56.0, ticketed=40.0).volume == 5.5
    assert call(21.0, released=56.0, ticketed=40.0).coming == 16.0


def test_what_was_called_is_not_called_again():
    found = call(21.0, released=56.0, called=5.5, ticketed=40.0)
    assert (found.volume, found.coming, found.called) == (0.0, 21.5, 5.5)
    assert call(24.0, released=56.0, called=5.5, ticketed=40.0).volume == 3.0


def test_nothing_is_called_where_what_comes_is_enough():
    found = call(6.0, released=8.0)
    assert (found.volume, found.order, found.by) == (0.0, None, None)
    assert found.left_over == pytest.approx(2.0)


def test_no_load_is_under_the_least():
    assert call(0.5, 0.1).volume == 2.0


def test_time_to_call_is_when_what_is_coming_is_out_less_the_notice():
    pace = Pace(rate=20.0, out_at=9.0, placed=40.0)
    found = call(21.0, released=56.0, ticketed=40.0, pace=pace)
    assert found.by == pytest.approx(9 + 16 / 20 - 0.5, abs=1 / 60)
    assert not found.is_late
    late = call(5.0, ticketed=40.0, pace=pace)
    assert late.is_late


def test_a_load_on_site_that_is_not_out_counts_as_coming():
    pace = Pace(rate=20.0, out_at=9.0, placed=32.0)
    found = call(21.0, released=56.0, ticketed=40.0, pace=pace)
    assert found.by == pytest.approx(9 + 24 / 20 - 0.5, abs=1 / 60)


def test_no_time_is_made_up():
    assert call(5.0, pace=Pace(rate=20.0)).by is None
    assert call(5.0, pace=Pace(rate=20.0, out_at=9.0), terms=Terms(risk=0.05)).by is None


def test_what_is_left_over_is_fed_in_order():
    pad = SmallPour("pad", 0.3)
    bases = SmallPour("base", 0.1, count=3)
    found = call(5.0, pours=(pad, bases))
    assert found.feeds == (("pad", 1, 0.3), ("base", 2, pytest.approx(0.2)))
    curb = SmallPour("curb", 2.0, is_partial=True)
    assert call(5.0, pours=(curb,)).feeds == (("curb", 1, pytest.approx(0.5)),)


def test_small_pours_that_are_filled_are_done():
    pours = (SmallPour("pad", 0.3), SmallPour("base", 0.1, count=3))
    (left,) = leave_over(pours, (("pad", 1, 0.3), ("base", 1, 0.1)))
    assert (left.name, left.count) == ("base", 2)


def loads(*finished):
    return [
        Load(line=at, number=str(at), ticket="", volume=8.0, finished=time)
        for at, time in enumerate(finished, start=2)
    ]


def test_the_pace_is_that_of_the_loads_that_are_out_if_the_job_states_none():
    assert find_pace(loads(7.0, 7.5, 8.0), None) == Pace(16.0, False, 8.0, 24.0)
    assert find_pace(loads(7.0, 7.5, None), 20.0) == Pace(20.0, True, 7.5, 16.0)
    assert find_pace(loads(None, None), None) == Pace()


def test_no_pour_goes_faster_than_the_trucks_come():
    by_trucks = Pace(rate=30.0, start=7.0, is_by_trucks=True)
    for stated in (None, 40.0):
        assert find_pace([], stated, 7.0, 30.0) == by_trucks
        assert find_pace(loads(7.0), stated, 7.0, 30.0).rate == 30.0
        assert find_pace(loads(7.0, 7.5), stated, 7.0, 30.0).rate == 16.0  # as it went
    assert find_pace([], 27.0, 7.0, 30.0) == Pace(27.0, True, start=7.0)
    assert find_pace(loads(7.0, 7.5), 27.0, 7.0, 30.0).rate == 27.0


@pytest.mark.parametrize("finished", [(7.0,), (7.0, 7.0)])
def test_one_time_makes_no_pace(finished):
    assert find_pace(loads(*finished), None).rate is None


def test_a_wheelbarrow_is_not_on_its_way():
    assert call(5.0, released=40.0, ticketed=39.98).coming == 0.0  # a ticket in another unit
    assert call(5.0, released=40.0, ticketed=39.0).coming == 1.0
