"""Tickets that would steer a pour if they were taken as they stand: sums, returns, times."""

import pytest

from gradevol.after.load_times import doubt_times
from gradevol.ground.units import CUBIC_YARD
from tests.unit.tickets.conftest import codes, volumes

LOADS = "load,ticket,volume_yd3,note\n1,88,10,\n2,89,7.5,\n"


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Subtotal,,17.5,", []),
        ("All loads,,17.5,", ["ticket-is-sum"]),
        ("Summe,,17.5,", ["ticket-is-sum"]),
        ("3,,17.5,", None),
    ],
)
def test_a_sum_is_no_load_whatever_it_is_called_unless_that_is_a_number(read, row, told):
    tickets = read(f"{LOADS}{row}\n")
    assert codes(tickets) == (told or [])
    assert len(tickets.loads) == (3 if told is None else 2)


@pytest.mark.parametrize(
    ("last", "told"),
    [("25", []), ("7.5", []), ("24", ["tickets-sum-differs"])],  # of all, since the first, neither
)
def test_a_total_may_stand_after_some_loads_and_be_of_those_since_the_last(read, last, told):
    text = f"{LOADS}Subtotal,,17.5,\n3,90,7.5,\nTotal,,{last},\n"
    assert codes(read(text)) == told


@pytest.mark.parametrize(
    ("note", "yards"),
    [
        ("1/2 yd3 returned", 0.5),
        ("returned 1 1/2 yd³", 1.5),
        ("0.5 cu yd went back", 0.5),
        ("sent 2 cy back: too wet", 2),
        ("took back 1.5 yards", 1.5),
        ("went back with 2 yd", 2),
        ("0.5 cy back", 0.5),
        ("-1 yd ret", 1),
        ("RET 3/4 YD", 0.75),
        ("1.5 yd rtn; too wet", 1.5),
    ],
)
def test_what_went_back_is_read_in_other_words_and_units(read, note, yards):
    (load,) = read(f"load,volume_yd3,note\n1,10,{note}\n").loads
    assert load.returned.value / CUBIC_YARD == pytest.approx(yards)


@pytest.mark.parametrize(
    "note", ["half went back", "took the rest back", "1/0 yd returned", "ret 0.75"]
)
def test_what_went_back_without_an_amount_is_asked_about(read, note):
    tickets = read(f"load,volume_yd3,note\n1,10,{note}\n")
    assert codes(tickets) == ["ticket-maybe-cancelled"]
    assert tickets.loads[0].returned is None


@pytest.mark.parametrize(
    "note",
    ["2 yd ret. wall next", "waited for the pump to come back, 2 yd short", "1 yd back form"],
)
def test_words_that_only_look_like_it_return_nothing(read, note):
    tickets = read(f'load,volume_yd3,note\n1,10,"{note}"\n')
    assert tickets.loads[0].returned is None
    assert codes(tickets) == []


@pytest.mark.parametrize(
    "note",
    [
        *("1 yd to the driveway", "dumped 1/2 yd³ in the washout", "lost 1 cy at the hose"),
        *("1/2 yd left in truck", "truck left with 1 yd", "credit 0.5 yd"),
        *("left 1/2 yd in truck", "1/4 yd kept in the drum"),
    ],
)
def test_a_part_that_went_elsewhere_by_its_note_is_counted_and_told(read, note):
    tickets = read(f"load,volume_yd3,note\n1,10,{note}\n")
    assert codes(tickets) == ["ticket-maybe-elsewhere"]
    assert tickets.loads[0].volume / CUBIC_YARD == pytest.approx(10)
    assert codes(read(f"load,volume_yd3,note,returned_yd3\n1,10,{note},1\n")) == []
    told = codes(read(f"load,volume_yd3,note,went_to\n1,10,{note},slab + pad\n"))
    assert told == ([] if "to the" in note else ["ticket-maybe-elsewhere"])


@pytest.mark.parametrize(
    "note",
    [
        *("8.5 yd to go", "27 yd/hr to the pump", "1 yd to the slab", "40 yd3 into it so far"),
        *("10 yd on truck 12", "8 yd in the drum by the driver", "slump 5 in truck; 10 yd"),
        *("plant called: 9 yd truck late", "called off 3 yd"),
    ],
)
def test_a_note_of_what_is_still_to_come_or_comes_aboard_is_none_of_concrete_elsewhere(read, note):
    assert codes(read(f"load,volume_yd3,note\n1,10,{note}\n")) == []


def test_a_fraction_may_have_a_unit_with_a_digit_in_it(read):
    (load,) = read("load,ticket,volume\n1,88,8 1/2 yd3\n").loads
    assert load.volume / CUBIC_YARD == pytest.approx(8.5)


@pytest.mark.parametrize("head", ["Load #,Ticket #,Qty (CY)", "Shed floor\n#,Ticket,CY"])
def test_a_heading_may_have_a_number_sign(read, head):
    (load,) = read(f"{head}\n1,501,9\n").loads
    assert (load.number, load.ticket) == ("1", "501")


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("1,7:00,7:20\n2,7:24,7:50\n", []),
        ("1,7:21,7:20\n", []),  # written from memory
        ("1,23:40,0:10\n2,0:15,0:40\n", ["Load 1 was out 17.2 h after the job's start"]),
        ("1,7:00,7:20\n2,7:24,17:50\n3,7:52,8:16\n", ["Load 2 took 10.4 h"]),
        ("1,7:50,7:24\n", ["Load 1 runs backwards"]),
        ("1,,7:20\n2,,17:50\n", ["Load 2 was out 10.5 h after load 1"]),
        ("1,,7:20\n2,,9:50\n", []),  # 2 h, and half an hour to place it
        ("1,,7:20\n2,,11:50\n", ["Load 2 was out 4.5 h after load 1"]),
        ("1,,7:20\n2,,6:55\n", []),  # two that unload at once
        ("1,,8:20\n2,,7:20\n", ["Load 2 was out 1.0 h before load 1"]),
        ("1,,11:20\n", []),  # rain
        ("1,,19:20\n", ["Load 1 was out 12.3 h after the job's start"]),
        ("1,,1:20\n", ["Load 1 was out 5.7 h before the job's start"]),
    ],
)
def test_times_that_are_hardly_right_are_told(read, rows, told):
    loads = read("load,started,finished,volume_yd3\n" + rows.replace("\n", ",10\n")).loads
    found = doubt_times(loads, rate=20 * CUBIC_YARD, start=7.0)
    notes = [note.text.split(" by its times")[0] for note in found]
    assert notes == told


def test_a_time_that_is_taken_to_be_of_the_next_day_is_told_as_such(read):
    """What stands more than 6 h before the load ahead of it counts as after midnight."""
    loads = read("load,finished,volume_yd3\n1,14:00,10\n2,7:50,10\n3,8:10,10\n").loads
    (note,) = doubt_times(loads)
    assert note.text.startswith(
        "Load 2 was out 17.8 h after load 1 by its times, taken to be of the next day: is one"
    )
    over_midnight = read("load,finished,volume_yd3\n1,23:50,10\n2,0:10,10\n").loads
    assert list(doubt_times(over_midnight)) == []


def test_a_start_before_midnight_and_a_load_after_it_are_near(read):
    loads = read("load,finished,volume_yd3\n1,0:10,10\n").loads
    assert list(doubt_times(loads, start=22.0)) == []


def test_slow_crews_are_not_told_of_their_pace(read):
    loads = read("load,finished,volume_yd3\n1,7:20,10\n2,11:50,10\n").loads
    assert list(doubt_times(loads, rate=3 * CUBIC_YARD)) == []


def test_tickets_of_a_neighbour_are_asked_about(read):
    head = "load,project,customer,volume_yd3\n"
    tickets = read(f"{head}1,Barn,Ash,10\n2,Shop,Ash,9\n3,barn ,Ash,8\n")
    assert volumes(tickets) == [10, 9, 8]
    assert "tickets-of-several-jobs" in codes(tickets)
    (told,) = (note.text for note in tickets.notes if note.code == "tickets-of-several-jobs")
    assert "column project the tickets are of Barn and Shop: none is left out" in told
    assert "tickets-of-several-jobs" not in codes(read(f"{head}1,Barn,Ash,10\n2,,Ash,9\n"))
