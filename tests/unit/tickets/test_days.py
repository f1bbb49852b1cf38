"""Tickets of several days in one file, and forms whose last rows are blank yet."""

import pytest

from gradevol.after.call import find_pace
from gradevol.after.load_times import doubt_times
from gradevol.after.places import keep_own
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from tests.unit.tickets.conftest import HALVES, codes, volumes

HEAD = "date,load,volume_yd3,finished\n"


def outs(tickets):
    return [None if load.finished is None else round(load.finished, 3) for load in tickets.loads]


def test_numbers_that_begin_anew_the_next_day_are_other_loads(read):
    tickets = read(f"{HEAD}11/28,1,10,13:30\n,2,9,13:45\n11/29,1,8,9:30\n,2,7,9:45\n")
    assert volumes(tickets) == [10, 9, 8, 7]
    assert [load.name for load in tickets.loads] == [
        *("load 1 of 11/28", "load 2 of 11/28", "load 1 of 11/29", "load 2 of 11/29")
    ]
    with pytest.raises(InputError, match="load 1 of 11/28 stands in line 2"):
        read(f"{HEAD}11/28,1,10,13:30\n11/28,1,9,13:45\n")


@pytest.mark.parametrize(
    "text",
    [
        f"{HEAD}11/28/2026,1,10,13:30\n11/28/2026,2,10,13:45\n11/29/2026,3,8,9:30\n",
        f"{HEAD}Nov 28 13:20,1,10,13:30\nNov 28 13:25,2,10,13:45\nNov 29 9:10,3,8,9:30\n",
        "load,volume_yd3,finished\n1,10,2026-11-28 13:30\n2,10,2026-11-28 13:45\n"
        "3,8,2026-11-29 09:30\n",
    ],
)
def test_the_time_goes_by_the_last_day(read, text):
    """By the clock alone 9:30 is 4 h before 13:45, and the load before it counts as the last."""
    tickets = read(text)
    assert outs(tickets) == [-10.5, -10.25, 9.5]
    assert find_pace(tickets.loads, 20 * CUBIC_YARD).out_at == pytest.approx(9.5)
    assert find_pace(tickets.loads, None).rate is None  # one load of that day tells of no rate
    assert list(doubt_times(tickets.loads, start=11.0)) == []


def test_a_load_that_is_left_out_of_the_numbers_of_its_day_is_asked_about(read):
    rows = "11/28,1,10,13:30\n,2,9,13:45\n11/29,1,8,9:30\n,2,7,9:45\n"
    assert codes(read(HEAD + rows)) == []
    (note,) = read(f"{HEAD}{rows},4,7,10:10\n").notes
    assert note.text.startswith("Load 3 of 11/29 is not among the tickets, by the numbers")


def test_a_mark_for_the_same_date_is_that_of_the_row_above(read):
    tickets = read(f'{HEAD}11/28,1,10,13:30\n"""",2,10,13:45\n-,3,8,13:55\n')
    assert outs(tickets) == [13.5, 13.75, 13.917]
    assert {load.day for load in tickets.loads} == {0}


@pytest.mark.parametrize("second", ["11/3/2026", "11/3", "11-03"])
def test_a_day_that_is_written_in_two_ways_is_one(read, second):
    tickets = read(f"{HEAD}11/03/2026,1,10,13:30\n{second},2,10,13:45\n11/04,1,8,9:30\n")
    assert outs(tickets) == [-10.5, -10.25, 9.5]
    assert tickets.loads[-1].name == "load 1 of 11/04"


@pytest.mark.parametrize("number", ["²", "9" * 400, "9" * 5000])
def test_a_number_that_is_none_or_endless_makes_no_gap(read, number):
    text = f"{HEAD}11/28,1,10,13:30\n11/28,{number},10,13:45\n11/28,3,8,14:00\n"
    assert "tickets-gap" not in codes(read(text))


def test_a_day_that_goes_on_past_midnight_is_one(read):
    tickets = read(f"{HEAD}5/12,1,10,23:40\n5/12,2,10,0:15\n5/13,3,10,0:35\n5/13,4,10,0:55\n")
    assert outs(tickets) == [-0.333, 0.25, 0.583, 0.917]


@pytest.mark.parametrize(
    ("dates", "told"),
    [
        (("5/12", "5/13", "5/12", "5/12"), "a day comes back after another, 5/12, 5/13, 5/12."),
        (("5/12", "5/13", "5/14", "5/15"), "each load has another, 5/12, 5/13, 5/14, 5/15."),
    ],
)
def test_dates_that_cant_be_those_of_the_loads_are_told_and_not_looked_at(read, dates, told):
    rows = "".join(f"{date},{n},10,7:{10 * n}\n" for n, date in enumerate(dates, start=1))
    tickets = read(HEAD + rows)
    assert codes(tickets) == ["tickets-dates"]
    assert tickets.notes[0].text.endswith(told)
    assert outs(tickets) == [7.167, 7.333, 7.5, 7.667]


def test_the_hours_of_a_part_go_by_its_own_loads(read):
    rows = "1,10,13:30,west\n2,10,5:20,east\n3,10,5:40,east\n"
    tickets = read(f"load,volume_yd3,finished,went_to\n{rows}")
    assert outs(tickets)[1:] == [29.333, 29.667]
    assert outs(keep_own(tickets, "east", HALVES)) == [5.333, 5.667]


def test_a_number_counts_without_the_noughts_before_it(read):
    tickets = read("ticket,volume_yd3,finished\n0088,10,7:20\n88,10,\n089,9,7:40\n00,8,7:50\n")
    assert volumes(tickets) == [10, 9, 8]
    assert codes(tickets) == ["ticket-repeated"]
    with pytest.raises(InputError, match="ticket 88 stands in line 2"):
        read("ticket,volume_yd3\n088,10\n88,9\n")


def test_rows_of_a_form_that_are_blank_yet_are_no_loads(read):
    rows = "1,5/12,Shed,10,7:20\n2,,,9,7:40\n3,5/12,Shed,,\n4,,,-,\n"
    tickets = read(f"load,date,project,volume_yd3,finished\n{rows}")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == []


def test_a_blank_row_above_a_load_is_told(read):
    tickets = read("load,volume_yd3,finished\n1,10,7:20\n2,,\n3,9,7:40\n4,,\n")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == ["ticket-unfilled"]
    assert tickets.notes[0].text.startswith("Line 3 of the tickets holds a number and nothing else")
