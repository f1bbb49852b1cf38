"""Cells of tickets: times, fronts, amounts, and where a load went."""

import pytest

from gradevol.files.tickets.columns import FrontColumn, TicketLayout
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from tests.unit.tickets.conftest import codes, volumes

FOOT = 0.3048

# times


@pytest.mark.parametrize(
    ("cell", "hours"),
    [
        ("06:38", 6 + 38 / 60),
        ("6:38 PM", 18 + 38 / 60),
        ("12:05am", 5 / 60),
        ("1838", 18 + 38 / 60),
        ("745", 7.75),
        ("638p", 18 + 38 / 60),
        ("7.05", 7 + 5 / 60),
        ("2026-05-12 18:38:30", 18 + 38.5 / 60),
        ("5/12/2026 6:38", 6 + 38 / 60),
        ("7 am", 7),
    ],
)
def test_a_time_of_day_is_read(read, cell, hours):
    assert read(f"load,volume_yd3,finished\n1,10,{cell}\n").loads[0].finished == pytest.approx(
        hours
    )


@pytest.mark.parametrize("cell", ["25:00", "13:10 pm", "soon", "7:61", "7"])
def test_what_is_no_time_is_named(read, cell):
    with pytest.raises(InputError, match=r"line 2.*no|line 2.*not"):
        read(f"load,volume_yd3,finished\n1,10,{cell}\n")


def test_times_rise_over_midnight(read):
    tickets = read(
        "load,volume_yd3,started,finished\n1,10,22:50,23:20\n2,10,23:40,0:05\n3,10,0:10,0:40\n"
    )
    times = [time for load in tickets.loads for time in (load.started, load.finished)]
    assert times == sorted(times)
    assert times[-1] == pytest.approx(24 + 40 / 60)


def test_a_12_hour_clock_goes_on_past_noon_and_that_is_said(read):
    tickets = read(
        "load,volume_yd3,started,finished\n1,10,11:50,12:20\n2,10,12:40,1:05\n3,10,1:10,1:40\n"
    )
    assert tickets.loads[1].finished == pytest.approx(13 + 5 / 60)
    assert tickets.loads[2].finished == pytest.approx(13 + 40 / 60)
    assert codes(tickets) == ["tickets-by-12-hours"]


def test_midnight_is_no_time_of_a_12_hour_clock(read):
    tickets = read("load,volume_yd3,finished\n1,10,9:50\n2,10,0:00\n3,10,1:10\n")
    assert tickets.loads[2].finished == pytest.approx(25 + 10 / 60)


def test_times_of_24_hours_that_fall_are_of_the_next_day(read):
    tickets = read("load,volume_yd3,finished\n1,10,12:50\n2,10,18:20\n3,10,1:05\n")
    assert tickets.loads[2].finished == pytest.approx(25 + 5 / 60)
    assert codes(tickets) == []


def test_trucks_that_were_booked_out_of_turn_stay_on_their_day(read):
    tickets = read("load,volume_yd3,batched\n1,10,7:10\n2,10,7:05\n")
    assert tickets.loads[1].batched == pytest.approx(7 + 5 / 60)


# fronts


def test_a_front_is_taped_from_the_far_end_where_the_job_says_so(read):
    layout = TicketLayout({}, (FrontColumn("west_ft", 4, is_from_far=True),))
    tickets = read("load,volume_yd3,west_ft\n1,10,71\n", layout=layout, sides=[80 * FOOT] * 4)
    assert tickets.loads[0].fronts[0][1] == pytest.approx(9 * FOOT)


def test_a_front_beyond_its_side_is_named(read):
    with pytest.raises(InputError, match=r"line 2.*beyond the end of side 4.*80 ft 0 in"):
        read("load,volume_yd3,front 4\n1,10,85\n", sides=[80 * FOOT] * 4)


def test_a_front_in_feet_and_inches_is_read(read):
    tickets = read('load,volume_yd3,front 2\n1,10,"9\' 6"""\n', sides=[80 * FOOT] * 4)
    assert tickets.loads[0].fronts == ((2, pytest.approx(9.5 * FOOT)),)


def test_a_front_that_can_be_read_in_two_ways_asks_for_marks(read):
    with pytest.raises(InputError, match=r"two ways.*with marks") as refused:
        read("load,volume_yd3,front 2\n1,10,9-6\n", sides=[80 * FOOT] * 4)
    assert "notation" not in str(refused.value)


def test_a_line_of_points_is_read(read):
    tickets = read("load,volume_yd3,front points\n1,10,0 71 / 20 70.5 / 45 70\n")
    assert tickets.loads[0].points[1] == pytest.approx((20 * FOOT, 70.5 * FOOT))


# amounts and places


def test_estimates_are_told_from_what_was_measured(read):
    first, second = read("load,volume_yd3,returned\n1,10,~0.2\n2,10,0.5\n").loads
    assert first.returned.is_estimate
    assert not second.returned.is_estimate
    assert second.returned.value == pytest.approx(0.5 * CUBIC_YARD)


def test_what_was_returned_is_taken_from_a_note(read):
    tickets = read("load,volume_yd3,note\n1,8.5,0.2 yd est. returned\n")
    assert tickets.loads[0].returned.value == pytest.approx(0.2 * CUBIC_YARD)
    assert codes(tickets) == ["ticket-returned-by-note"]


@pytest.mark.parametrize(
    ("note", "yards"),
    [
        ("1/2 yd sent back", 0.5),
        ("1 1/2 yd returned", 1.5),
        ("1½ yd returned", 1.5),
        ("truck 5 - 1/2 yd returned", 0.5),
        (".5 yd. was returned", 0.5),
        ("sent back 1.5 cy", 1.5),
        ("stiff; returned about 2 yards", 2),
        ("Back to plant: 3/4 yd", 0.75),
    ],
)
def test_all_of_an_amount_in_a_note_is_returned_and_said(read, note, yards):
    tickets = read(f"load,volume_yd3,note\n1,8.5,{note}\n")
    assert tickets.loads[0].returned.value == pytest.approx(yards * CUBIC_YARD)
    assert tickets.loads[0].returned.is_estimate
    assert codes(tickets) == ["ticket-returned-by-note"]
    assert tickets.notes[0].measures[0].value == tickets.loads[0].returned.value


@pytest.mark.parametrize(("amount", "is_asked"), [("02", True), ("0.2", False), ("10", False)])
def test_an_amount_in_a_note_that_may_have_lost_its_point_is_asked_about(read, amount, is_asked):
    (note,) = read(f"load,volume_yd3,note\n1,10,{amount} yd est. returned\n").notes
    assert ("has it lost its point?" in note.text) == is_asked


@pytest.mark.parametrize("weight", ["9" * 400, "9" * 400 + "/7"])
def test_an_amount_of_hundreds_of_digits_is_refused(read, weight):
    with pytest.raises(InputError, match="is not an amount"):
        read(f"load,volume_yd3,unit_weight\n1,10,{weight}\n")


def test_a_whole_load_that_went_back_is_no_estimate(read):
    (load,) = read("load,volume_yd3,note\n1,8.5,8.5 yd returned\n").loads
    assert not load.returned.is_estimate


@pytest.mark.parametrize(
    "note", ["truck 7 returned", "half a yard sent back", "returned 9 min late"]
)
def test_a_note_of_a_return_without_an_amount_is_asked_about(read, note):
    tickets = read(f"load,volume_yd3,note\n1,8.5,{note}\n")
    assert tickets.loads[0].returned is None
    assert codes(tickets) == ["ticket-maybe-cancelled"]


@pytest.mark.parametrize("cell", ["9½", "9 1/2", "9-1/2", "9.5", "9½ yd"])
def test_half_yards_are_read_as_hands_write_them(read, cell):
    assert volumes(read(f"load,volume_yd3\n1,{cell}\n")) == [9.5]


def test_no_more_can_be_returned_than_came(read):
    with pytest.raises(InputError, match="more was returned"):
        read("load,volume_yd3,returned\n1,8,9\n")


def test_the_slab_alone_is_no_other_place(read):
    first, second = read("load,volume_yd3,went_to\n1,10,slab\n2,8.5,slab+pad + bollard\n").loads
    assert first.went_to == ()
    assert second.went_to == ("slab", "pad", "bollard")
