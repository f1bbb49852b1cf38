"""Tickets as they come: headings, units, times, fronts, and rows that must not count twice."""

from pathlib import Path

import pytest

from gradevol.files.ticket_columns import FrontColumn, TicketLayout
from gradevol.files.tickets import read_tickets
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD

APRON = Path(__file__).parents[2] / "sample_surveys" / "apron" / "tickets.csv"
FOOT = 0.3048


@pytest.fixture
def read(tmp_path):
    def read_text(text, **how):
        path = tmp_path / "tickets.csv"
        path.write_text(text, encoding="utf-8")
        return read_tickets(path, **{"unit": "ft", **how})

    return read_text


def codes(tickets):
    return [note.code for note in tickets.notes]


def volumes(tickets, unit=CUBIC_YARD):
    return [round(load.volume / unit, 6) for load in tickets.loads]


# headings and units


def test_volumes_without_a_unit_are_the_jobs(read):
    text = "load,volume,finished\n1,10,7:00\n"
    assert volumes(read(text)) == [10]
    assert volumes(read(text, unit="m"), 1.0) == [10]


def test_other_amounts_without_a_unit_are_the_jobs_and_that_is_said(read):
    tickets = read("load,volume_yd3,batch weight\n1,10,38960\n")
    assert tickets.loads[0].batch_weight.value == pytest.approx(38960 * 0.45359237)
    assert codes(tickets) == ["tickets-unit-of-job"]


def test_decimal_commas_between_semicolons_are_read(read):
    tickets = read("Load;volume_m3;finished\n1;7,5;7:00\n2;6,25;7:30\n", unit="m")
    assert volumes(tickets, 1.0) == [7.5, 6.25]


def test_thousands_of_a_weight_are_read_and_of_a_volume_refused(read):
    tickets = read('load,volume_yd3,batch_wt_lb\n1,10,"38,960"\n')
    assert tickets.loads[0].batch_weight.value == pytest.approx(38960 * 0.45359237)
    with pytest.raises(InputError, match=r"line 2.*comma"):
        read('load,volume_yd3\n1,"1,250"\n')


def test_headings_are_mapped_by_the_job(read):
    layout = TicketLayout({"volume": "Menge cbm", "load": "Fuhre"}, (FrontColumn("West", 4),))
    tickets = read(
        "Fuhre,Menge cbm,West,Rest\n7,8,3.5,x\n", unit="m", layout=layout, sides=[10] * 4
    )
    load = tickets.loads[0]
    assert (load.number, load.volume, load.fronts) == ("7", 8.0, ((4, 3.5),))
    assert tickets.left_out == ("Rest",)


def test_a_heading_that_the_job_maps_must_be_there(read):
    with pytest.raises(InputError, match=r"no column 'Menge'.*tickets\.volume"):
        read("load,volume\n1,10\n", layout=TicketLayout({"volume": "Menge"}))


def test_a_file_without_a_volume_is_refused(read):
    with pytest.raises(InputError, match="names a volume"):
        read("load,ticket,finished\n1,88,7:00\n")


def test_a_photo_is_not_read(tmp_path):
    photo = tmp_path / "ticket.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0" + bytes(100))
    with pytest.raises(InputError, match="JPEG picture"):
        read_tickets(photo, unit="ft")


# times


@pytest.mark.parametrize(
    ("cell", "hours"),
    [
        ("06:38", 6 + 38 / 60),
        ("6:38 PM", 18 + 38 / 60),
        ("12:05am", 5 / 60),
        ("1838", 18 + 38 / 60),
        ("745", 7.75),
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


# rows that count once, or not at all


@pytest.mark.parametrize(
    "row", ["2,,10,,cancelled", "2,,10,VOID,", "2,,cancelled,,", "2,,10,,Rejected: slump"]
)
def test_a_cancelled_load_is_not_counted_and_that_is_said(read, row):
    tickets = read(f"load,ticket,volume_yd3,status,note\n1,,10,,\n{row}\n3,,9,,\n")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == ["ticket-cancelled"]


def test_a_note_that_only_speaks_of_cancelling_counts_and_is_asked_about(read):
    tickets = read("load,volume_yd3,note\n1,10,last load cancelled by phone\n")
    assert volumes(tickets) == [10]
    assert codes(tickets) == ["ticket-maybe-cancelled"]


@pytest.mark.parametrize(
    ("note", "front"), [("void under the slab filled", ""), ("rejected 2 yd", ""), ("refused", "9")]
)
def test_a_load_that_was_placed_is_not_cancelled_by_a_word(read, note, front):
    tickets = read(f"load,volume_yd3,front 2,note\n1,10,{front},{note}\n", sides=[30.0] * 4)
    assert volumes(tickets) == [10]


def test_a_timed_row_that_stands_twice_counts_once_even_without_numbers(read):
    tickets = read("volume_yd3,finished\n10,7:20\n10,7:20\n10,7:40\n")
    assert volumes(tickets) == [10, 10]
    assert codes(tickets) == ["ticket-repeated"]


def test_a_load_that_is_written_twice_counts_once(read):
    tickets = read("load,ticket,volume_yd3,finished\n1,88,10,7:27\n1,88,10,\n2,89,10,7:50\n")
    assert volumes(tickets) == [10, 10]
    assert codes(tickets) == ["ticket-repeated"]


def test_a_row_completes_another_of_its_load(read):
    tickets = read("load,ticket,volume_yd3,arrived,finished\n1,88,10,7:02,\n1,88,10,,7:27\n")
    (load,) = tickets.loads
    assert (load.arrived, load.finished) == (pytest.approx(7 + 2 / 60), pytest.approx(7.45))


@pytest.mark.parametrize("rows", ["1,88,10\n2,88,10", "1,88,7\n1,88,3", "1,88,10\n1,89,10"])
def test_rows_that_share_a_ticket_and_differ_are_asked_about(read, rows):
    with pytest.raises(InputError, match=r"line 3: (ticket 88|load 1) stands in line 2"):
        read(f"load,ticket,volume_yd3\n{rows}\n")


def test_merged_loads_are_one_row_of_two(read):
    tickets = read("load,ticket,volume_yd3\n3+4,88+89,10+9.5\n")
    assert volumes(tickets) == [19.5]
    assert codes(tickets) == []  # two trucks hold that
    with pytest.raises(InputError, match="ticket 89 stands in line 2"):
        read("load,ticket,volume_yd3\n3+4,88+89,10+9.5\n5,89,9.5\n")


def test_a_row_of_totals_is_compared_and_not_counted(read):
    right = read("load,ticket,volume_yd3\n1,88,10\n2,89,9\nTotal,,19\n")
    assert volumes(right) == [10, 9]
    assert codes(right) == []
    assert codes(read("load,ticket,volume_yd3\n1,88,10\nTotal,,19\n")) == ["tickets-sum-differs"]


@pytest.mark.parametrize("row", ["Total yards,,,19", ",,Day total:,19", "Sum of loads,,,19"])
def test_a_row_of_totals_is_known_by_its_first_words(read, row):
    tickets = read(f"load,ticket,finished,volume_yd3\n1,88,7:00,10\n2,89,7:20,9\n{row}\n")
    assert volumes(tickets) == [10, 9]


def test_a_bare_sum_below_loads_is_not_counted_and_that_is_said(read):
    tickets = read("load,ticket,volume_yd3\n1,88,10\n2,89,9\n,,19\n")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == ["ticket-is-sum"]
    assert volumes(read("load,ticket,volume_yd3\n1,88,10\n2,89,9\n,,8\n")) == [10, 9, 8]


def test_a_running_total_is_compared(read):
    assert codes(read("load,volume_yd3,cum_yd\n1,10,10\n3,10,30\n")) == ["tickets-sum-differs"]


@pytest.mark.parametrize("row", ["2,,7:40", "2,ten,7:40", "2,-3,7:40"])
def test_a_row_that_cannot_be_read_is_named(read, row):
    with pytest.raises(InputError, match="line 3"):
        read(f"load,volume_yd3,finished\n1,10,7:20\n{row}\n")


def test_loads_go_by_their_numbers(read):
    tickets = read("load,volume_yd3\n10,9\n2,8\n1,7\n")
    assert volumes(tickets) == [7, 8, 9]


def test_more_than_a_truck_holds_is_told(read):
    assert codes(read("load,volume_yd3\n1,60\n")) == ["ticket-large"]


def test_the_samples_tickets_add_up():
    tickets = read_tickets(APRON, unit="ft")
    assert sum(volumes(tickets)) == pytest.approx(78.5)
    assert tickets.left_out == ("front_y_west_ft", "front_y_east_ft")


def test_a_column_that_lost_its_heading_is_told_if_it_holds_anything(read):
    tickets = read("load,volume_yd3,finished,,\n1,10,7:20,slab,\n2,8,7:40,pad,\n")
    assert codes(tickets) == ["tickets-columns-left-out"]
    assert tickets.left_out == ("column 4, which has none",)


def test_a_last_row_that_was_cut_is_told(read):
    rows = "".join(f"{load},10,7:{10 * load},slab\n" for load in range(1, 6))
    assert codes(read("load,volume_yd3,finished,went_to\n" + rows)) == []
    cut = read("load,volume_yd3,finished,went_to\n" + rows[:-11])
    assert codes(cut) == ["file-cut-short"]
    assert "it has 2 cells where the others have 4" in cut.notes[0].text
